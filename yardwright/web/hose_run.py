"""The Hose Run: is water still coming out, is the heat right; and the runs she had."""

from collections.abc import Iterator

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from yardwright.calc.units import convert
from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.procedures.start_check import MayStart
from yardwright.procedures.water_order import Supply, in_gear_on_a_hose, order_of_water
from yardwright.season import checks
from yardwright.season import model as season
from yardwright.season.going_in import kind_of
from yardwright.web.boat_page import supply_of
from yardwright.work import queries as work
from yardwright.work import services
from yardwright.work.forms.hose_run import HoseRunForm
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.asked import Context, answered, back_or, form_page, typed, who

HEAT = "head_temperature"
LABELS = {name: str(field.label) for name, field in HoseRunForm.base_fields.items()}


@login_required
@form_page
def hose_run(request: HttpRequest, tag: str) -> HttpResponse:
    boat, by = boat_of(tag), who(request)
    form, here = HoseRunForm(typed(request)), reverse("hose-run", args=[boat.tag])

    def deed() -> str:
        fact = services.hose_run(form.entry(by), boat, form.cleaned_data["run"], form.sheet())
        return back_or(request, fact.pk, f"{here}#runs")["Location"]

    return answered(request, form, deed, here, _context(boat), "hose_run.html")


def _context(row: Boat) -> Context:
    facts, now = work.story([row])[row.pk], clock.now()
    boat = work.value(row, facts)
    supply, kind = supply_of(boat), kind_of(boat)
    start = checks.start_check(boat, supply, now) if supply else None
    limit_c = _limit_c(boat)
    return {
        "boat": row,
        "now": now,
        "supply": supply,
        "start": start,
        "may_start": start is not None and start.answer == MayStart.YES,
        "order": order_of_water(kind, supply) if kind and supply else (),
        "first_water": supply == Supply.MUFFS,
        "gear": in_gear_on_a_hose(None, propeller_off=False) if supply != Supply.AFLOAT else "",
        "limit_c": limit_c,
        "watch": {
            "tag": row.tag,
            "supply": supply.value if supply else "",
            "limit_c": limit_c,
            "may_start": start is not None and start.answer == MayStart.YES,
        },
        "runs": [*_runs(facts)],
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
