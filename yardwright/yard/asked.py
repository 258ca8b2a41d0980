"""Who asks, and how a page, its form or its fragment answers: the same in every slice."""

from collections.abc import Callable
from functools import partial
from urllib.parse import parse_qsl, urlencode, urlsplit
from uuid import UUID

from django.core.exceptions import PermissionDenied
from django.forms import BaseForm
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_http_methods

from yardwright.papers.day_sheet import DaySheet, day_sheet
from yardwright.papers.paper import MissingLetterError, Paper
from yardwright.yard.forms.fields import OnceForm
from yardwright.yard.forms.paper import PaperForm
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused

WRONG, REFUSES = 422, 409

Context = dict[str, object]

form_page = require_http_methods(["GET", "POST"])


def who(request: HttpRequest) -> Person:
    """Whoever is logged in, as someone who works here."""
    person = getattr(request.user, "person", None)
    if not isinstance(person, Person):
        raise PermissionDenied("This log-in belongs to nobody of this yard.")
    return person


def typed(request: HttpRequest) -> QueryDict | None:
    return request.POST if request.method == "POST" else None


def answered(
    request: HttpRequest,
    form: BaseForm,
    deed: Callable[[], object],
    then: str,
    context: Context,
    template: str = "form_page.html",
) -> HttpResponse:
    """One form: shown; sent back with its faults (422) or the yard's no (409); or done.

    A deed that answers with an address leads there, any other to ``then``.
    """
    status = 200
    if request.method == "POST":
        status = WRONG
        if form.is_valid():
            try:
                done = deed()
            except Refused as refused:
                form.add_error(None, str(refused))
                status = REFUSES
            else:
                return redirect(done if isinstance(done, str) else then)
        if isinstance(form, OnceForm):
            form.renew()
    return render(request, template, context | {"form": form, "then": then}, status=status)


def printed(request: HttpRequest, sheet: DaySheet, name: str) -> HttpResponse:
    """A sheet as PDF, on the paper that is asked for."""
    return as_pdf(request, partial(day_sheet, sheet), name)


def as_pdf(request: HttpRequest, prints: Callable[[Paper], bytes], name: str) -> HttpResponse:
    """What is printed on the paper that is asked for; a letter that no face has is refused."""
    form = PaperForm(request.GET)
    if not form.is_valid():
        return HttpResponse(form.errors["paper"][0], status=WRONG, content_type="text/plain")
    try:
        pdf = prints(form.cleaned_data["paper"])
    except MissingLetterError as error:
        return HttpResponse(str(error), status=REFUSES, content_type="text/plain")
    inline = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=inline)


def is_fragment(request: HttpRequest) -> bool:
    """A part of the page is asked for, by htmx."""
    return "HX-Request" in request.headers


def answer(request: HttpRequest, name: str, context: Context, status: int = 200) -> HttpResponse:
    """The page, or for htmx the fragment of the same name."""
    template = f"_{name}" if is_fragment(request) else name
    return render(request, template, context, status=status)


def back(request: HttpRequest) -> str:
    """Where the person came from, if that is a page of ours."""
    given = request.GET.get("back", "")
    ours = url_has_allowed_host_and_scheme(given, request.get_host())
    return given if given.startswith("/") and ours else ""


def back_or(request: HttpRequest, held: UUID, otherwise: str) -> HttpResponse:
    """Back to where the person came from, which tells what is held; else to another page."""
    came_from = urlsplit(back(request))
    if not came_from.path:
        return redirect(otherwise)
    query = urlencode([*parse_qsl(came_from.query), ("held", held)])
    return redirect(came_from._replace(query=query).geturl())
