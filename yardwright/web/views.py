"""Pages that compose the slices: Morning Sheet, Boat Page, Row Map."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from yardwright.fleet import queries as fleet
from yardwright.work import queries as work


@login_required
@require_GET
def morning_sheet(request: HttpRequest) -> HttpResponse:
    return render(request, "morning_sheet.html", {})


@login_required
@require_GET
def row_map(request: HttpRequest) -> HttpResponse:
    return render(request, "row_map.html", {})


@login_required
@require_GET
def boat(request: HttpRequest, tag: str) -> HttpResponse:
    row = get_object_or_404(fleet.boats(), tag=tag)
    (value,) = work.values([row])
    return render(request, "boat.html", {"boat": row, "value": value})
