"""The Hose Run: is water still coming out, is the heat right; and the runs she had."""

from collections.abc import Iterator
from datetime import UTC, datetime

from django.conf import settings
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.calc.units import convert
from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.papers.day_sheet import Column, DaySheet, Section
from yardwright.papers.day_sheet import Kind as Holds
from yardwright.procedures.hose_watch import ASK_LATER_S, ASK_S, BY_HAND_S, LATE_S, OFTEN_S
from yardwright.procedures.put_backs import Before, holds_back
from yardwright.procedures.start_check import MayStart, needs
from yardwright.procedures.water_order import (
    AT_THE_KEY,
    INBOARDS,
    TRIES_TO_DRAIN,
    Supply,
    did_not_fire,
    in_gear_on_a_hose,
    order_of_water,
)
from yardwright.season import checks, on_the_phone
from yardwright.season import model as season
from yardwright.season.going_in import kind_of
from yardwright.sensors.latest import Latest
from yardwright.web.boat_page import supply_of
from yardwright.work import queries as work
from yardwright.work import services, verdicts
from yardwright.work.forms.hose_run import SHEET, HoseRunForm
from yardwright.work.models import Fact, Kind
from yardwright.work.put_backs import left_in
from yardwright.yard import clock
from yardwright.yard.asked import (
    Context,
    answered,
    back_or,
    form_page,
    printed,
    typed,
    who,
)

HEAT = "head_temperature"
POINTS = 4  # columns to write temperatures in
MIND = (
    "two people. One at the stop, and does nothing else: lanyard or key; on a diesel the stop pull,"
    " with a flat board for her intake at hand. One sees the outlet, minds the water and holds the"
    " phone; agree on a hand sign for stop. Outdoors, nobody in the cabin or in the exhaust: carbon"
    " monoxide has no smell. On an inboard a third reads the gauges and minds the tee. Ear muffs. Propeller off or roped off, nobody near; hair, sleeves,"
    " scarf and glove ties away from belts and flywheel. Does not fire at once: water off before"
    " you crank again. The maker's manual comes first."
)
LABELS = {name: str(field.label) for name, field in HoseRunForm.base_fields.items()}


@login_required
@form_page
def hose_run(request: HttpRequest, tag: str) -> HttpResponse:
    boat, by = boat_of(tag), who(request)
    form, here = HoseRunForm(typed(request)), reverse("hose-run", args=[boat.tag])

    def deed() -> str:
        heads_c = _limit_c(*work.values([boat]))
        run = form.cleaned_data["run"].by_file(heads_c, work.kept_courses(boat.engine))
        fact = services.hose_run(form.entry(by), boat, run, form.sheet())
        return back_or(request, fact.pk, f"{here}#runs")["Location"]

    return answered(request, form, deed, here, _context(boat), "hose_run.html")


def _context(row: Boat) -> Context:
    facts, now = work.story([row])[row.pk], clock.now()
    boat = work.value(row, facts)
    supply, kind = supply_of(boat), kind_of(boat)
    start = checks.start_check(boat, supply, now) if supply else None
    may_start = start is not None and start.answer == MayStart.YES
    return {
        "boat": row,
        "now": now,
        "supply": supply,
        "start": start,
        "may_start": may_start,
        "order": order_of_water(kind, supply) if kind and supply else (),
        "gear": in_gear_on_a_hose(None, propeller_off=False) if supply != Supply.AFLOAT else "",
        "watch": {
            "tag": row.tag,
            "supply": supply.value if supply else "",
            "at_the_key": AT_THE_KEY[supply] if supply else "",
            "limit_c": _limit_c(boat),
            "kept": work.kept_courses(row.engine),
            "start": on_the_phone.start(start, _holds_a_start(row, facts)) if start else None,
            "not_fired": did_not_fire(kind, supply) if kind and supply else (),
            "drained_after": TRIES_TO_DRAIN if kind in INBOARDS else None,
        },
        "mind": MIND,
        "stopped": [one.words for one in verdicts.by_hose_run(facts)],
        "runs": [*_runs(facts)],
    }


def _holds_a_start(row: Boat, facts: list[Fact]) -> dict[str, str]:
    """What is open and must be back before a start, by the address where it is put back."""
    return {
        reverse("undone", args=[one.uuid]): one.thing.what
        for one in left_in(row, facts)
        if holds_back((one.thing,), Before.START)
    }


def _limit_c(boat: season.Boat) -> float | None:
    """What her heads must not reach, by the limit that the yard filed; None: none on file."""
    limit = checks.limit_for(fleet.limits(), boat, HEAT)
    return None if limit is None or limit.upper is None else convert(limit.upper, limit.unit, "°C")


def _runs(facts: list[Fact]) -> Iterator[tuple[Fact, list[tuple[str, str]]]]:
    """The newest first, each with its sheet."""
    runs = [fact for fact in facts if fact.kind == Kind.HOSE_RUN]
    for fact in sorted(runs, key=lambda fact: fact.done_at, reverse=True):
        yield fact, [(LABELS[name], said) for name, said in fact.body["sheet"].items()]


@login_required
@require_GET
def heard(_request: HttpRequest, tag: str) -> HttpResponse:
    """What sensors said at her last, each with how long ago: her page asks while it runs."""
    latest, now = Latest(settings.HOME, boat_of(tag).tag), datetime.now(UTC)  # listen's own clock
    told = {
        point: {"temp_c": temp_c, "age_s": (now - at).total_seconds(), "at": at.isoformat()}
        for point, (temp_c, at) in latest.all().items()
    }
    return JsonResponse(told, headers={"Cache-Control": "no-store"})


@login_required
@require_GET
def hose_run_paper(request: HttpRequest, tag: str) -> HttpResponse:
    """The run on paper: what a start needs, the questions by their minute, and the sheet."""
    row = boat_of(tag)
    boat = work.value(row, work.story([row])[row.pk])
    supply, kind, limit_c = supply_of(boat), kind_of(boat), _limit_c(boat)
    not_over = "no limit on file" if limit_c is None else f"heads not over {limit_c:g} °C"
    asked = needs(kind, supply) if kind and supply else ()
    order = "; ".join(order_of_water(kind, supply)) if kind and supply else "Not known."
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title=f"Hose run: {row.name}",
        day=clock.today(),
        say=f"Water still coming out? {LATE_S:.0f} s without an answer: stop the engine.",
        sections=(
            Section("Before the start", columns=NEEDS, rows=tuple((n.question,) for n in asked)),
            Section("In this order", str(supply or ""), columns=ORDER, rows=((order,),)),
            Section("While she runs", not_over, columns=ASKED, rows=(*_minutes(),)),
            Section("The sheet", columns=SEEN, rows=tuple((LABELS[name],) for name in SHEET)),
        ),
        address=request.build_absolute_uri(reverse("hose-run", args=[row.tag])),
        cautions=(MIND,),
    )
    return printed(request, sheet, f"hose-run-{row.tag}")


NEEDS = (Column("", Holds.TICK), Column("is it so?", Holds.NAME, 4), Column("who", Holds.WRITE, 1))
ORDER = (Column("", wide=1),)
ASKED = (
    Column("since the start", Holds.NAME, 1),
    Column("water", Holds.TICK),
    *(Column(f"point {n + 1}, °C or °F", Holds.WRITE, 1) for n in range(POINTS)),
)
SEEN = (Column("", Holds.NAME, 1.6), Column("seen, value and unit", Holds.WRITE, 3))


def _minutes() -> Iterator[tuple[str]]:
    """When the watch asks, to the minute from which a run may be ended by hand."""
    at_s = ASK_S
    while at_s <= BY_HAND_S:
        yield (f"{at_s // 60:.0f}:{at_s % 60:02.0f}",)
        at_s += ASK_S if at_s < OFTEN_S else ASK_LATER_S
