"""A boat's ways in, in the order she is walked round; a change asks for a new count of openings."""

from collections.abc import Callable
from uuid import UUID, uuid4

from django.contrib.auth.decorators import login_required
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from yardwright.fleet import queries as fleet
from yardwright.fleet import services
from yardwright.fleet.forms.ways_in import WayInForm, way_in_initial
from yardwright.fleet.models import Boat, WayIn
from yardwright.procedures.ways_in import OPENINGS, Disturbance, known
from yardwright.season import checks
from yardwright.work import queries as work
from yardwright.work.facts import Entry
from yardwright.work.models import Kind
from yardwright.work.services import disturb
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, answered, form_page, typed, who
from yardwright.yard.forms.fields import OnceForm
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused


@login_required
@require_GET
def ways_in(request: HttpRequest, tag: str) -> HttpResponse:
    return _list(request, tag)


def _list(
    request: HttpRequest, tag: str, refused: Refused | None = None, status: int = 200
) -> HttpResponse:
    boat = get_object_or_404(fleet.boats(), tag=tag)
    (value,) = work.values([boat])
    ways, now = checks.ways_in(value), clock.now()
    context = {
        "boat": boat,
        "counted": known(OPENINGS, ways, now),
        "walk": [(way, known(way.name, ways, now)) for way in boat.ways_in.all()],
        "refused": refused,
    }
    return render(request, "ways_in.html", context, status=status)


@login_required
@form_page
def way_in(request: HttpRequest, tag: str, pk: int | None = None) -> HttpResponse:
    boat = get_object_or_404(Boat.objects.prefetch_related("ways_in"), tag=tag)
    walk = list(boat.ways_in.all())
    row = get_object_or_404(WayIn, pk=pk, boat=boat) if pk else None
    form = WayInForm(walk, row, typed(request), initial=way_in_initial(walk, row))

    def keep() -> None:
        services.keep_way_in(
            who(request),
            boat,
            row,
            form.barrier(),
            after=form.stands_after,
            open_at=_open_at(boat),
        )

    return answered(
        request,
        form,
        lambda: _through_the_hull(
            keep, form.cleaned_data["uuid"], who(request), boat, form.barrier().name
        ),
        reverse("ways-in", args=[tag]),
        {
            "title": f"{boat.name}: {row.name if row else 'one more way in'}",
            "does": "This is the way in",
            "lead": "Her openings must be counted again after this.",
            "remove": reverse("remove-way-in", args=[tag, row.pk]) if row else "",
            "remove_title": "No longer there",
            "remove_does": "She has it no more",
            "uuid": uuid4(),
        },
    )


@login_required
@require_POST
def remove_way_in(request: HttpRequest, tag: str, pk: int) -> HttpResponse:
    row = WayIn.objects.select_related("boat").filter(pk=pk, boat__tag=tag).first()
    if row is None:  # taken off already, by this same tap
        return redirect("ways-in", tag)
    form = OnceForm(request.POST)
    if not form.is_valid():
        again = Refused("The page had lost its mark.", "Tap once more on this one.")
        return _list(request, tag, again, WRONG)
    boat, me = row.boat, who(request)

    def remove() -> None:
        services.remove_way_in(me, row, _open_at(boat))

    try:
        _through_the_hull(remove, form.cleaned_data["uuid"], me, boat, row.name)
    except Refused as refused:
        return _list(request, tag, refused, REFUSES)
    return redirect("ways-in", tag)


def _open_at(boat: Boat) -> set[str]:
    """The fittings that open put-backs name."""
    return {fact.body["fitting"] for fact in work.open_undone().filter(boat=boat)}


@transaction.atomic
def _through_the_hull(
    change: Callable[[], None], uuid: UUID, by: Person, boat: Boat, name: str
) -> None:
    """Change her ways in; if her openings were ever counted, that count lapses."""
    change()
    if work.standing().filter(boat=boat, kind=Kind.LOOKED, what=OPENINGS).exists():
        disturb(Entry(uuid, by, clock.now()), boat, Disturbance.HULL, name)
