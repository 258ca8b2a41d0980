"""What water could come in by, from her equipment: confirmed at the boat, one fitting at a time."""

from uuid import uuid4

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from yardwright.fleet import queries as fleet
from yardwright.fleet.forms.ways_in import FittingForm
from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.procedures import fittings
from yardwright.procedures.fitting import Fitting
from yardwright.procedures.fittings import Aboard
from yardwright.procedures.step import Has
from yardwright.procedures.ways_in import OPENINGS, SEA, known
from yardwright.season import checks
from yardwright.web.boat_page import supply_of
from yardwright.work import queries as work
from yardwright.work import services
from yardwright.work.facts import Entry
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, answered, form_page, typed, who
from yardwright.yard.forms.fields import OnceForm
from yardwright.yard.refused import Refused


@login_required
@require_GET
def her_fittings(request: HttpRequest, tag: str) -> HttpResponse:
    return _list(request, get_object_or_404(fleet.boats(), tag=tag.upper()))


def _list(
    request: HttpRequest, row: Boat, refused: Refused | None = None, status: int = 200
) -> HttpResponse:
    (boat,) = work.values([row])
    ways, now = checks.ways_in(boat), clock.now()
    proposed = fittings.hers(boat.has, boat.ways_in, boat.looks)
    supply = supply_of(boat)
    rows = {way.name: way for way in row.ways_in.all()}
    of_templates = {name for p in proposed for name in p.listed}
    context = {
        "boat": row,
        "to_say": [p for p in proposed if p.because and p.aboard == Aboard.NOT_SAID],
        "has": [(p, [rows[name] for name in p.listed]) for p in proposed if p.listed],
        "plain": [way for name, way in rows.items() if name not in of_templates],
        "hasnt": [p for p in proposed if p.aboard == Aboard.HASNT],
        "others": [p for p in proposed if not p.because and p.aboard == Aboard.NOT_SAID],
        "holes": sum(SEA in (way.outside, way.inside) for way in boat.ways_in),
        "counted": known(OPENINGS, ways, now),
        "openings": OPENINGS,
        "start": checks.start_check(boat, supply, now) if supply else None,
        "supply": supply,
        "refused": refused,
        "uuid": uuid4,  # a new one for each form
    }
    return render(request, "fittings.html", context, status=status)


def _fitting(code: str) -> Fitting:
    try:
        return fittings.fitting(code)
    except ValueError as error:
        raise Http404(str(error)) from error


@login_required
@form_page
def her_fitting(request: HttpRequest, tag: str, fitting: str) -> HttpResponse:
    """One fitting, named and measured; then she has it."""
    boat, one = boat_of(tag), _fitting(fitting)
    has = frozenset(Has(word) for word in boat.has)
    before = [fleet.barrier(way) for way in boat.ways_in.all()]
    parts, barriers = fittings.parts_of(one, has), fittings.barriers_of(one, has, before)
    form = FittingForm(one, list(zip(parts, barriers, strict=True)), typed(request))

    def keep() -> None:
        entry = Entry(form.cleaned_data["uuid"], who(request), clock.now())
        services.keep_fitting(entry, boat, one.aboard, form.barriers())

    one_more = barriers[0].name != parts[0].name
    context = {"boat": boat, "fitting": one, "one_more": one_more}
    return answered(request, form, keep, reverse("fittings", args=[tag]), context, "fitting.html")


@login_required
@require_POST
def no_fitting(request: HttpRequest, tag: str, fitting: str) -> HttpResponse:
    """She hasn't it; or has it no more, and its ways in leave her list."""
    row, one = get_object_or_404(fleet.boats(), tag=tag.upper()), _fitting(fitting)
    form = OnceForm(request.POST)
    if not form.is_valid():
        again = Refused("The page had lost its mark.", "Tap once more on this one.")
        return _list(request, row, again, WRONG)
    (boat,) = work.values([row])
    listed = next(
        p.listed for p in fittings.hers(boat.has, boat.ways_in, boat.looks) if p.fitting == one
    )
    entry = Entry(form.cleaned_data["uuid"], who(request), clock.now())
    try:
        gone = [way for way in row.ways_in.all() if way.name in listed]
        services.drop_fitting(entry, row, one.aboard, gone)
    except Refused as refused:
        return _list(request, row, refused, REFUSES)
    return redirect("fittings", tag)
