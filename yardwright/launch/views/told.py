"""What an owner was told, and how true such words proved."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.launch import owner_services, queries, sheets
from yardwright.launch.calls import heard_of
from yardwright.launch.forms import CallForm, DayForm, ToldForm
from yardwright.launch.on_her_way import where
from yardwright.launch.promises_kept import PromiseTold, promises_told
from yardwright.plan.calibration import Calibration, Told, calibration
from yardwright.plan.chance import THIN
from yardwright.procedures.going_in import State
from yardwright.procedures.steps import book
from yardwright.season import learned
from yardwright.season.uncertain import USUAL
from yardwright.work import history
from yardwright.work.facts import Entry
from yardwright.yard import clock
from yardwright.yard.asked import (
    REFUSES,
    WRONG,
    Context,
    answered,
    back,
    form_page,
    printed,
    typed,
    who,
)
from yardwright.yard.refused import Refused


@login_required
@form_page
def told_owner(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    if request.method == "GET":
        return _told_owner(request, boat)
    form = ToldForm(request.POST)
    if not form.is_valid():
        return _told_owner(request, boat, form, status=WRONG)
    given = form.cleaned_data
    entry = Entry(given["uuid"], who(request), clock.now())
    try:
        owner_services.tell_owner(entry, boat, given["day"], given["percent"] / 100)
    except Refused as refused:
        return _told_owner(request, boat, form, str(refused), REFUSES)
    return redirect(back(request) or reverse("boat", args=[tag]))


def _told_owner(
    request: HttpRequest,
    boat: Boat,
    form: ToldForm | None = None,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    asked = DayForm(request.GET)
    day, sure = asked.cleaned_data.get("day") if asked.is_valid() else None, queries.sure_of(boat)
    context = {
        "boat": boat,
        "form": form or ToldForm(initial={"day": day}),
        "day": day,
        "by_day": sure.by(day) if sure and day else "",
        "old": sure.old if sure else "",
        "refused": refused,
    }
    return render(request, "told_owner.html", context, status=status)


@login_required
@form_page
def called(request: HttpRequest, tag: str) -> HttpResponse:
    """What an owner said on the phone, where no day was told by it."""
    boat, by = boat_of(tag), who(request)
    form = CallForm(typed(request))
    if where(boat).state != State.NOT_GOING_IN:
        del form.fields["knows"]

    def deed() -> None:
        given = form.cleaned_data
        entry = Entry(given["uuid"], by, clock.now())
        owner_services.write_call(entry, boat, given["said"], knows=given.get("knows", False))

    heard = heard_of(boat)
    lead = f"Her owner was told {heard.words}." if heard else "Her owner was told no day yet."
    context: Context = {"title": f"A call to the owner of {boat}", "does": "Write it down"}
    then = back(request) or reverse("boat", args=[tag])
    return answered(request, form, deed, then, context | {"lead": lead})


@login_required
@require_GET
def promises_kept(request: HttpRequest) -> HttpResponse:
    """Of the promises told at 80 %, how many were kept."""
    told, found, took = _kept()
    context = {
        "found": found,
        "told": told,
        "open": sum(one.kept is None for one in told),
        "took": took,
        "thin": THIN,
        "fewest": learned.FEWEST,
        "far": learned.FAR,
    }
    return render(request, "promises_kept.html", context)


@login_required
@require_GET
def promises_kept_paper(request: HttpRequest) -> HttpResponse:
    told, found, took = _kept()
    address = request.build_absolute_uri(reverse("promises-kept"))
    sheet = sheets.promises_sheet(clock.the_yard().name, clock.today(), found, told, took, address)
    return printed(request, sheet, "promises-kept")


def _kept() -> tuple[list[PromiseTold], Calibration, list[learned.Told]]:
    """Each promise told, how true they were, and how long jobs took."""
    told = promises_told()
    known = [Told(one.odds, one.kept) for one in told if one.kept is not None]
    took = learned.told(USUAL.lessons(history.history()), book().steps)
    return told, calibration(known), took
