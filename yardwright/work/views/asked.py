"""Who asks, about which boat, and how a page or its fragment answers."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils.http import url_has_allowed_host_and_scheme

from yardwright.fleet.models import Boat
from yardwright.yard.models import Person

WRONG, REFUSES = 422, 409
PAGE = ("GET", "POST")

Context = dict[str, object]


def me(request: HttpRequest) -> Person:
    person: Person = request.user.person  # type: ignore[union-attr]  # login_required stands above
    return person


def boat_of(tag: str) -> Boat:
    return get_object_or_404(Boat.objects.select_related("owner"), tag=tag)


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
