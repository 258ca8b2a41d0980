"""A boat's ways in, in the order she is walked round; a change asks for a new count of openings."""

from uuid import uuid4

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from yardwright.fleet import queries as fleet
from yardwright.fleet.forms.ways_in import WayInForm, way_in_initial
from yardwright.fleet.models import Boat, WayIn
from yardwright.procedures.ways_in import OPENINGS, known
from yardwright.season import checks
from yardwright.work import queries as work
from yardwright.work import services
from yardwright.work.facts import Entry
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, answered, form_page, typed, who
from yardwright.yard.forms.fields import OnceForm
from yardwright.yard.refused import Refused


@login_required
@require_GET
def ways_in(request: HttpRequest, tag: str) -> HttpResponse:
    return _list(request, tag)


def _list(
    request: HttpRequest, tag: str, refused: Refused | None = None, status: int = 200
) -> HttpResponse:
    boat = get_object_or_404(fleet.boats(), tag=tag.upper())
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
    boat = get_object_or_404(Boat.objects.prefetch_related("ways_in"), tag=tag.upper())
    walk = list(boat.ways_in.all())
    row = get_object_or_404(WayIn, pk=pk, boat=boat) if pk else None
    begins = way_in_initial(walk, row, request.GET.get("name", "")[:80])
    form = WayInForm(walk, row, typed(request), initial=begins)

    def keep() -> None:
        entry = Entry(form.cleaned_data["uuid"], who(request), clock.now())
        services.keep_way_in(entry, boat, row, form.barrier(), form.stands_after)

    return answered(
        request,
        form,
        keep,
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
    row = WayIn.objects.select_related("boat").filter(pk=pk, boat__tag=tag.upper()).first()
    if row is None:  # taken off already, by this same tap
        return redirect("ways-in", tag)
    form = OnceForm(request.POST)
    if not form.is_valid():
        again = Refused("The page had lost its mark.", "Tap once more on this one.")
        return _list(request, tag, again, WRONG)
    entry = Entry(form.cleaned_data["uuid"], who(request), clock.now())
    try:
        services.remove_way_in(entry, row)
    except Refused as refused:
        return _list(request, tag, refused, REFUSES)
    return redirect("ways-in", tag)
