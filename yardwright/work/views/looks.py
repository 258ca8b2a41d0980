"""A look at a way in or at what a start needs; and what made earlier looks lapse."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.procedures.land_check import COVER
from yardwright.procedures.start_check import needs
from yardwright.procedures.water_order import Supply
from yardwright.procedures.ways_in import OPENINGS, BarrierKind, Disturbance, Known, known
from yardwright.season import checks
from yardwright.season import model as season
from yardwright.work import queries, services
from yardwright.work.forms.looks import LookForm, SinceForm
from yardwright.yard import clock
from yardwright.yard.asked import (
    REFUSES,
    WRONG,
    Context,
    answer,
    back_or,
    form_page,
    is_fragment,
    who,
)
from yardwright.yard.refused import Refused

HOW = {
    BarrierKind.VALVE: "Shut it by hand until it stops. Look and feel below it: no drop, no weep.",
    BarrierKind.PLUG: "Turn it home on its washer. Push and pull: it does not move.",
    BarrierKind.BLANK: "Ring in its groove, screwed home. Push and pull: it does not move.",
    BarrierKind.JOINT: "Pull the hose: it stays. Both clamps tight, nothing cracked, no drop.",
    BarrierKind.SEAL: "Look and feel all round it: no crack, no drop.",
    BarrierKind.LOOP: "Blow through its vent: air comes. A stuck vent lets the sea siphon in.",
    BarrierKind.DRAIN: "Pour a little water in: it runs out at once.",
}


@dataclass(frozen=True, slots=True)
class Asked:
    """One thing that can be looked at: the question, how to look, and the caution."""

    at: str
    title: str
    question: str
    how: str = ""
    caution: str = ""
    yes: str = "Looked: it holds"
    no: str = "It does not hold"
    lapses: bool = True  # the start check has its own rule of how long a look counts
    tells: bool = False  # what was found is written, also when it is so


def can_be_looked_at(boat: season.Boat) -> Iterator[Asked]:
    yield Asked(
        OPENINGS,
        "All openings counted",
        "Are these all the openings in her hull?",
        "Walk round the bare hull and count every hole; then look inside for each one.",
        yes="Counted: these are all",
        no="They are not all",
    )
    for way in boat.ways_in:
        yield Asked(way.name, way.name.capitalize(), "Does it hold?", HOW[way.kind])
    yield Asked(
        COVER,
        "Her cover",
        "Does her cover shed rain, or is none on?",
        "Push up from below where it sags: no pool, no ice, no weight on a pole that has slipped.",
        yes="Looked: no rain lies in it",
        no="Rain lies in it",
    )
    yield from _needs_of(boat)


def _needs_of(boat: season.Boat) -> Iterator[Asked]:
    """What a start needs on any water that her engine may run on."""
    asked: dict[str, Asked] = {}
    try:
        kind = checks.engine_kind(boat)
    except ValueError:
        return
    for supply in Supply:
        try:
            hers = needs(kind, supply)
        except ValueError:  # not on this water
            continue
        for need in hers:
            asked.setdefault(
                need.code,
                Asked(
                    need.code,
                    need.code.capitalize(),
                    need.question,
                    caution=need.caution,
                    yes="Looked: it is so",
                    no="It is not so",
                    lapses=False,
                    tells=need.after_stop,
                ),
            )
    yield from asked.values()


@login_required
@form_page
def look(request: HttpRequest, tag: str) -> HttpResponse:
    row = boat_of(tag)
    boat = queries.values([fleet.boats().get(pk=row.pk)])[0]
    asked = {one.at: one for one in can_be_looked_at(boat)}
    at = request.GET.get("at", "")
    if not at and request.method == "GET":
        return _looks(request, row, boat, asked)
    if at not in asked:
        raise Http404(f"Nothing called {at} is looked at on {row}.")
    if request.method == "GET":
        return _look(request, row, boat, asked[at])
    form = LookForm(request.POST)
    if not form.is_valid():
        return _look(request, row, boat, asked[at], "Which button? Tap one.", WRONG)
    given = form.cleaned_data
    entry = form.entry(who(request))
    try:
        services.look(entry, row, at, holds=given["holds"], words=given["words"])
    except Refused as refused:
        return _look(request, row, boat, asked[at], str(refused), REFUSES)
    if is_fragment(request):
        boat = queries.values([fleet.boats().get(pk=row.pk)])[0]
        return _look(request, row, boat, asked[at])
    then = f"{reverse('look', args=[tag])}?{urlencode({'at': at})}"
    return back_or(request, given["uuid"], then)


def _known(boat: season.Boat, at: str) -> Known:
    return known(at, checks.ways_in(boat), clock.now())


def _looks(
    request: HttpRequest, row: Boat, boat: season.Boat, asked: dict[str, Asked]
) -> HttpResponse:
    known_now = [(one, _known(boat, one.at)) for one in asked.values()]
    each = [(one, is_known) for one, is_known in known_now if is_known.look or not one.tells]
    ways = len(boat.ways_in) + 2  # all counted before them, her cover after
    return render(request, "looks.html", {"boat": row, "ways": each[:ways], "needs": each[ways:]})


def _look(
    request: HttpRequest,
    row: Boat,
    boat: season.Boat,
    asked: Asked,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    context: Context = {
        "boat": row,
        "asked": asked,
        "known": _known(boat, asked.at),
        "ways": boat.ways_in if asked.at == OPENINGS else (),
        "form": LookForm(request.POST or None) if refused else LookForm(),
        "fresh": LookForm(),
        "refused": refused,
    }
    return answer(request, "way_look.html", context, status)


@login_required
@form_page
def since(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    ways = tuple(fleet.barrier(way) for way in boat.ways_in.all())
    if request.method == "GET":
        return _since(request, boat, SinceForm(ways))
    form = SinceForm(ways, request.POST)
    if not form.is_valid():
        return _since(request, boat, form, status=WRONG)
    given = form.cleaned_data
    try:
        services.disturb(
            form.entry(who(request)), boat, Disturbance(given["by_what"]), given["fitting"]
        )
    except Refused as refused:
        return _since(request, boat, form, str(refused), REFUSES)
    return back_or(request, given["uuid"], reverse("since", args=[tag]))


def _since(
    request: HttpRequest, boat: Boat, form: SinceForm, refused: str = "", status: int = 200
) -> HttpResponse:
    value = queries.values([fleet.boats().get(pk=boat.pk)])[0]
    happened = sorted(value.disturbed, key=lambda one: one.at, reverse=True)
    lapsed = [(way.name, _known(value, way.name)) for way in value.ways_in]
    context = {
        "boat": boat,
        "form": form,
        "refused": refused,
        "happened": happened,
        "lapsed": [(name, one) for name, one in lapsed if ", but " in one.because],
    }
    return render(request, "since.html", context, status=status)
