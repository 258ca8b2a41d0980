"""Find a boat by her name, tag, hull number, owner or place."""

from dataclasses import dataclass

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.work import queries as work
from yardwright.work.queries import Where

SHOWN = 100


@dataclass(frozen=True, slots=True)
class Found:
    boat: Boat
    where: Where


@login_required
@require_GET
def find_boat(request: HttpRequest) -> HttpResponse:
    """One boat alone, or her tag said exactly, leads straight to her; from a phone to her page at hand."""
    asked = " ".join(request.GET.get("q", "").split())
    page = "at-hand" if request.GET.get("at") == "hand" else "boat"
    where = work.where_all()
    rows = fleet.found(asked, (pk for pk, one in where.items() if _at(one, asked)))
    count = rows.count()
    boats = list(rows[:SHOWN])
    fragment = request.headers.get("HX-Request") == "true"
    if asked and not fragment and (only := _the_one(boats, asked)):
        return redirect(page, only.tag)
    context = {
        "asked": asked,
        "page": page,
        "found": [Found(boat, where.get(boat.pk, Where())) for boat in boats],
        "count": count,
        "more": count - len(boats),
    }
    return render(request, "_found.html" if fragment else "find_boat.html", context)


def _at(where: Where, asked: str) -> bool:
    return bool(asked) and asked.casefold() in where.place.casefold()


def _the_one(boats: list[Boat], asked: str) -> Boat | None:
    if len(boats) == 1:
        return boats[0]
    return next((boat for boat in boats if boat.tag == asked.upper()), None)
