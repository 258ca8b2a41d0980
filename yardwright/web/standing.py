"""Where should she go: the places for a boat that comes, and what each row may cost in spring."""

from collections.abc import Mapping, Sequence
from urllib.parse import urlencode

from django import forms
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.views.decorators.http import require_GET

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.plan.standing import not_known
from yardwright.season import model as season
from yardwright.season import standing
from yardwright.work import queries as work
from yardwright.work.models import Kind
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard.asked import WRONG
from yardwright.yard.forms.fields import YardForm

HEARD = (Kind.MOVED, Kind.LIFTED, Kind.PROMISED)
UNHEARD = tuple(kind for kind in Kind if kind not in HEARD)
SHOWN = 5


class WhichForm(YardForm):
    """Which boat comes."""

    boat = forms.ChoiceField(
        label="Which boat comes?",
        error_messages={
            "invalid_choice": "No such boat is waiting; choose one of the list.",
            "required": "Choose the boat that comes.",
        },
    )

    def __init__(self, boats: list[season.Boat], *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]  # Django's own
        choices = [("", "choose her"), *((boat.tag, boat.name) for boat in boats)]
        self.fields["boat"].choices = choices  # type: ignore[attr-defined]  # a choice field


def _boats() -> list[season.Boat]:
    rows: list[Boat] = list(fleet.boats())
    facts = work.story(rows, without=UNHEARD)
    return [work.value(row, facts[row.pk]) for row in rows]


def _asked(place: str, berth: int) -> str:
    """What her page is asked with to propose them."""
    return urlencode({"place": place, "berth": berth})


def expected_pairs(places: Sequence[season.Place]) -> Mapping[str, float]:
    """Expected blocked pairs of each place, by its name."""
    return standing.expected(yard.yard(clock.the_yard()), _boats(), places)


@login_required
@require_GET
def where_to(request: HttpRequest) -> HttpResponse:
    boats, places, here = _boats(), yard.places(), yard.yard(clock.the_yard())
    form = WhichForm(boats, request.GET if "boat" in request.GET else None)
    context: dict[str, object] = {"form": form}
    if not form.is_bound or not form.is_valid():
        return render(request, "where_to.html", context, status=WRONG if form.is_bound else 200)
    row = get_object_or_404(Boat, tag=form.cleaned_data["boat"])
    boat = next(one for one in boats if one.tag == row.tag)
    choices = standing.where_to(here, boats, places, boat.name)
    rows = {one.name: one for one in standing.rows_of(places)}
    context |= {
        "boat": boat,
        "choices": [(one, ", ".join(not_known(rows[one.place.row]))) for one in choices[:SHOWN]],
        "brought_to": _asked(choices[0].place.row, choices[0].place.berth) if choices else "",
        "why_none": "" if choices else standing.why_none(boat, boats, here, places),
        "why_not": standing.why_not(boat, here, places),
        "in_front": [
            other.name
            for other in boats
            if choices
            and other.place == choices[0].place.row
            and other.berth
            and other.berth > choices[0].place.berth
            and other.name != boat.name
        ],
        "day": standing.day_words(here, boat),
    }
    return render(request, "where_to.html", context)
