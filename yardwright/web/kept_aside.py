"""What phones sent and the yard did not take: somebody decides, entry by entry."""

import json
from dataclasses import replace
from uuid import UUID, uuid5

from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_GET

from yardwright.season.model import Right
from yardwright.web import sent
from yardwright.web.replay import NotTaken, page_of, replay
from yardwright.work import facts, queries, services
from yardwright.work.facts import Arrival
from yardwright.work.forms.entry import AsideForm
from yardwright.work.models import Fact, Kind
from yardwright.yard.asked import REFUSES, WRONG, form_page, who
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused
from yardwright.yard.rights import may, vouched_by

OURS = ("csrfmiddlewaretoken", "uuid", "made_at")
SET = (*OURS, "deed", "holds", "what")  # what a button said: another deed is another entry


@login_required
@require_GET
def kept_aside(request: HttpRequest) -> HttpResponse:
    waits = queries.kept_aside().select_related("boat", "by").order_by("received_at")
    tag = request.GET.get("boat", "").upper()
    if tag:
        waits = waits.filter(boat__tag=tag)
    context = {"waits": list(waits), "boat": next((one.boat for one in waits if tag), None)}
    return render(request, "kept_aside.html", context)


@login_required
@form_page
def decide(request: HttpRequest, pk: UUID) -> HttpResponse:
    kept = Fact.objects.select_related("boat", "by__user", "second")
    aside = get_object_or_404(kept, pk=pk, kind=Kind.ASIDE)
    if request.method == "GET":
        return _aside(request, aside, AsideForm())
    form = AsideForm(request.POST)
    if not form.is_valid():
        return _aside(request, aside, form, status=WRONG)
    try:
        if form.cleaned_data["deed"] == AsideForm.ENTER:
            _enter(request, aside, form)
        else:
            reason = form.cleaned_data["reason"]
            services.strike_out(form.entry(who(request)), aside, reason)
    except (Refused, NotTaken) as refused:
        return _aside(request, aside, form, str(refused), REFUSES)
    return redirect("decide-aside", pk=pk)


@transaction.atomic
def _enter(request: HttpRequest, aside: Fact, form: AsideForm) -> None:
    """As its own person made it, when they made it; whoever decides stands beside it."""
    by = who(request)
    services.enter(form.entry(by), aside)
    try:
        row = sent.row(json.loads(aside.body["row"]))
    except ValueError as error:
        raise NotTaken(f"{error} Enter it by hand, then strike this out.") from error
    row, righted = _put_right(row, request.POST)
    also = {
        "uuid": str(uuid5(aside.pk, "entered")),  # its own may hold something else
        "made_at": aside.done_at.isoformat(),
    }
    second: Person | None = None
    if by != aside.by:
        second = by
        also |= {} if dict(row.fields).get("second") else {"second": str(by.pk)}
    mark = f"kept aside first; {by} entered it"
    if righted:
        mark += f" with another {' and '.join(righted)}"
    with facts.arriving(Arrival(aside.sent, mark, second)), vouched_by(by):
        replay(request, row, aside.by, also=also)


def _put_right(row: sent.Row, given: QueryDict) -> tuple[sent.Row, list[str]]:
    """With what whoever decides typed in place of it, and which fields those are."""
    fields = tuple(
        (name, typed if name in SET else given.get(f"row_{at}", typed))
        for at, (name, typed) in enumerate(row.fields)
    )
    other = [new[0] for new, old in zip(fields, row.fields, strict=True) if new != old]
    return replace(row, fields=fields), [_words(name) for name in other]


def _words(name: str) -> str:
    return name.removeprefix("c_").replace("_", " ")


def _made_on(row: sent.Row) -> str:
    """The page to enter it on by hand, if it is one at the boat."""
    try:
        page_of(row.to)
    except NotTaken:
        return ""
    return row.to


def _aside(
    request: HttpRequest, aside: Fact, form: AsideForm, refused: str = "", status: int = 200
) -> HttpResponse:
    try:
        row = sent.row(json.loads(aside.body["row"]))
        fields, made_on = row.fields, _made_on(row)
        asks = [
            (at, _words(name), request.POST.get(f"row_{at}", typed))
            for at, (name, typed) in enumerate(fields)
            if name not in SET
        ]
    except ValueError:
        fields, made_on, asks = (("as it came", aside.body["row"]),), "", []
    context = {
        "aside": aside,
        "boat": aside.boat,
        "made_on": made_on,
        "fields": [(_words(name), typed) for name, typed in fields if name not in OURS and typed],
        "asks": asks,
        "entered": queries.standing().filter(kind=Kind.ENTERED, of=aside).first(),
        "struck": Fact.objects.filter(kind=Kind.STRUCK_OUT, of=aside).first(),
        "may_enter": may(who(request), Right.CLEAR),
        "form": form,
        "fresh": AsideForm(),
        "refused": refused,
    }
    return render(request, "decide_aside.html", context, status=status)
