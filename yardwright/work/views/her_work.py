"""The work that a boat waits for beyond her steps, and what each piece of it waits for."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from yardwright.fleet import services
from yardwright.fleet.forms.work import WorkForm, work_initial
from yardwright.fleet.models import Boat, Work
from yardwright.fleet.views import boat_of
from yardwright.procedures.step import Trade
from yardwright.work.parts import with_parts
from yardwright.yard.asked import REFUSES, answered, form_page, typed, who
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused


@login_required
@require_GET
def boat_work(request: HttpRequest, tag: str) -> HttpResponse:
    return _boat_work(request, boat_of(tag))


def _boat_work(
    request: HttpRequest, boat: Boat, refused: Refused | None = None, status: int = 200
) -> HttpResponse:
    context = {"boat": boat, "pieces": with_parts(boat), "refused": refused}
    return render(request, "boat_work.html", context, status=status)


@login_required
@form_page
def piece_of_work(request: HttpRequest, tag: str, pk: int | None = None) -> HttpResponse:
    boat = boat_of(tag)
    row = get_object_or_404(Work, pk=pk, boat=boat) if pk else None
    others = [one.what for one in boat.work.all() if one != row]
    trades = {trade for one in Person.objects.filter(works_here=True) for trade in one.trades}
    form = WorkForm(others, sorted(trades | set(Trade)), typed(request), initial=work_initial(row))
    if row is not None:
        form.fields["what"].disabled = True
        form.fields["what"].help_text = "Stays as it is: what is done speaks of it by these words."
    return answered(
        request,
        form,
        lambda: services.keep_work(who(request), boat, row, form.work()),
        reverse("boat-work", args=[tag]),
        {
            "title": f"{boat.name}: {row.what if row else 'more work'}",
            "does": "She waits for this",
            "remove": reverse("remove-work", args=[tag, row.pk]) if row else "",
            "remove_title": "Not needed after all",
            "remove_does": "She waits for it no more",
        },
    )


@login_required
@require_POST
def remove_work(request: HttpRequest, tag: str, pk: int) -> HttpResponse:
    row = get_object_or_404(Work, pk=pk, boat__tag=tag.upper())
    try:
        services.remove_work(who(request), row)
    except Refused as refused:
        return _boat_work(request, row.boat, refused, REFUSES)
    return redirect("boat-work", tag)
