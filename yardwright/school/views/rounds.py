"""A round on a practice boat: planted, looked over, scored, and reset."""

from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.papers.day_sheet import Column, DaySheet, Section
from yardwright.papers.day_sheet import Kind as Holds
from yardwright.school import queries, services
from yardwright.school.forms import NameForm, PlantForm
from yardwright.school.models import PracticeBoat, Round
from yardwright.school.queries import Seat
from yardwright.yard import clock
from yardwright.yard.asked import Context, answered, form_page, printed, typed, who

SCORES = (
    Column("who", Holds.NAME, 1),
    Column("found", wide=0.5),
    Column("minutes", wide=0.5),
    Column("missed", wide=2),
    Column("named though sound", wide=2),
)


@login_required
@form_page
def plant(request: HttpRequest, pk: int) -> HttpResponse:
    boat, by = get_object_or_404(PracticeBoat, pk=pk), who(request)
    form = PlantForm(queries.things_on(boat), typed(request))

    def deed() -> str:
        given = form.cleaned_data
        one = services.plant(
            by, given["uuid"], boat, given["group"], given["planted"], given["by_dice"] or 0
        )
        return reverse("round", args=[one.pk])

    context: Context = {
        "title": f"Faults on {boat}",
        "lead": "Leave undone on her what is ticked here, or what the dice draw; then the class"
        " looks. First: on land and chocked, mast down, tanks empty and aired; batteries, gas and"
        " shore cord off the boat; a sign at helm and stern: practice, do not start, do not launch."
        " The dice draw nothing of rig, fuel, gas, shore power or lifting.",
        "does": "The round begins",
    }
    return answered(request, form, deed, reverse("school"), context)


@login_required
@form_page
def round_(request: HttpRequest, pk: UUID) -> HttpResponse:
    one = get_object_or_404(Round.objects.select_related("boat", "group", "group__teacher"), pk=pk)
    me, here = who(request), reverse("round", args=[pk])
    teaches = queries.teaches(me)
    if not teaches and not queries.in_group(me, one.group):
        raise PermissionDenied(f"This round is for {one.group}, and for who may teach.")
    form = NameForm(queries.things_on(one.boat), typed(request), initial={"deed": NameForm.NAME})

    def deed() -> None:
        given = form.cleaned_data
        match given["deed"]:
            case NameForm.DONE:
                services.done(me, given["uuid"], one)
            case NameForm.RESET:
                services.reset(me, one)
            case other:
                there = other == NameForm.NAME
                services.name(me, given["uuid"], one, given["kind"], given["words"], there=there)

    seat = queries.seat(one, me) if queries.in_group(me, one.group) else None
    context: Context = {
        "round": one,
        "seat": seat,
        "goes_on": seat is not None and seat.minutes is None and one.ended_at is None,
        "told": queries.is_told(one),
        "teaches": teaches,
        "planted": [queries.what(code) for code in one.planted] if teaches else (),
        "seats": queries.seats(one) if teaches else (),
    }
    return answered(request, form, deed, here, context, "round.html")


@login_required
@require_GET
def round_paper(request: HttpRequest, pk: UUID) -> HttpResponse:
    """The scores of the class; for whoever teaches."""
    if not queries.teaches(who(request)):
        raise PermissionDenied("The scores of a class are for who may teach.")
    one = get_object_or_404(Round.objects.select_related("boat", "group"), pk=pk)
    began = one.began_at.astimezone(clock.zone())
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title=f"{one.group} on {one.boat}",
        day=clock.today(),
        say=f"Practice, not a real boat. Begun {began:%a} {began.day} {began:%b %H:%M}.",
        sections=(
            Section("Scores", columns=SCORES, rows=tuple(map(_row, queries.seats(one)))),
            Section(
                "Planted: put each back when the round is over",
                columns=(Column("", Holds.TICK), Column("what", Holds.NAME)),
                rows=tuple((queries.what(code),) for code in one.planted),
            ),
        ),
        address=request.build_absolute_uri(reverse("round", args=[pk])),
    )
    return printed(request, sheet, "practice-round")


def _row(one: Seat) -> tuple[str, str, str, str, str]:
    found = f"{len(one.score.found)} of {len(one.score.found) + len(one.score.missed)}"
    minutes = "not done" if one.minutes is None else str(one.minutes)
    missed, sound = "; ".join(one.missed) or "–", "; ".join(one.though_sound) or "–"
    return one.person.name, found, minutes, missed, sound
