"""What the Row Map shows: who stands where, who shuts whom in, who leaves next."""

from dataclasses import dataclass
from datetime import datetime

from django.urls import reverse

from yardwright.fleet.models import Boat
from yardwright.papers.drawing import Drawing
from yardwright.papers.marks import Shape
from yardwright.papers.row_map import Row, StandingBoat, row_map, shut_in_by
from yardwright.procedures.going_in import State
from yardwright.season.spring import ON_LAND
from yardwright.web.standing import expected_pairs
from yardwright.work import queries as work
from yardwright.yard import queries as yard
from yardwright.yard.models import Place

SHAPES = {
    State.READY: Shape.DISC,
    State.FITTING_OUT: Shape.HALF,
    State.OWNERS_TURN: Shape.DIAMOND,
    State.NOT_GOING_IN: Shape.DIAMOND,
}
PHONE_PX = 360
LEAST_PAIRS = 0.05
NOT_MEASURED_M = (7.0, 2.5)  # drawn so, and said to be not known


@dataclass(frozen=True, slots=True)
class Standing:
    """A line of the list beside the map."""

    boat: StandingBoat
    berth: int
    shut_in_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Map:
    place: Place
    row: Row
    drawing: Drawing
    narrow: Drawing  # the same for a phone
    standing: list[Standing]
    pairs: float = 0.0  # expected blocked pairs

    @property
    def pairs_words(self) -> str:
        if self.pairs < LEAST_PAIRS:
            return "hardly a blocked pair to be expected"
        return f"about {self.pairs:.1f} blocked pairs to be expected"


def maps(leaving: dict[str, datetime], width: int) -> list[Map]:
    """Each place with somebody in it; ``leaving`` are the launches of the plan, by boat."""
    where = work.where_all()
    order = {boat: place for place, boat in enumerate(sorted(leaving, key=leaving.__getitem__), 1)}
    standing: dict[str, list[tuple[int, StandingBoat]]] = {}
    for boat in Boat.objects.all():
        here = where.get(boat.pk, work.NOWHERE)
        if here.place and here.berth is not None and here.state in ON_LAND:
            drawn = _drawn(boat, here.state, order.get(boat.name))
            standing.setdefault(here.place, []).append((here.berth, drawn))
    numbers = [boat.leaves for row in standing.values() for _, boat in row if boat.leaves]
    next_out = min(numbers, default=None)
    places = list(Place.objects.all())
    pairs = expected_pairs([yard.place(place) for place in places])
    return [
        _map(
            place,
            sorted(standing[place.name], key=lambda one: one[0]),
            width,
            next_out,
            pairs.get(place.name, 0.0),
        )
        for place in places
        if place.name in standing
    ]


def _drawn(boat: Boat, state: State, leaves: int | None) -> StandingBoat:
    measured = boat.length_m is not None and boat.beam_m is not None
    return StandingBoat(
        name=boat.name,
        length_m=boat.length_m or NOT_MEASURED_M[0],
        beam_m=boat.beam_m or NOT_MEASURED_M[1],
        state=state if measured else f"{state}, size not known",
        shape=SHAPES.get(state, Shape.RING),
        href=reverse("boat", args=[boat.tag]),
        leaves=leaves,
    )


def _map(
    place: Place,
    berths: list[tuple[int, StandingBoat]],
    width: int,
    next_out: int | None,
    pairs: float,
) -> Map:
    row = Row(place.name, tuple(boat for _, boat in berths))
    return Map(
        place=place,
        row=row,
        drawing=row_map(f"row-{place.pk}", [row], width, next_out),
        narrow=row_map(f"row-{place.pk}-phone", [row], PHONE_PX, next_out),
        standing=[
            Standing(boat, berth, tuple(other.name for other in shut_in_by(row, boat)))
            for berth, boat in berths
        ],
        pairs=pairs,
    )
