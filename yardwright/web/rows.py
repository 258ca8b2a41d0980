"""What the Row Map shows: who stands where, who shuts whom in, who leaves next."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from django.urls import reverse

from yardwright.fleet.models import Boat
from yardwright.launch import queries as launch
from yardwright.papers.drawing import Drawing
from yardwright.papers.marks import Shape
from yardwright.papers.row_map import Row, StandingBoat, row_map, shut_in_by
from yardwright.procedures.going_in import State
from yardwright.season.order import Evening, evenings, gone
from yardwright.season.spring import ON_LAND
from yardwright.web.standing import expected_pairs
from yardwright.work import queries as work
from yardwright.yard import clock
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
NOBODY_AWAY: Mapping[str, tuple[date, bool]] = {}


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
    pairs: float | None = None  # expected blocked pairs as they stand now

    @property
    def stand(self) -> int:
        """How many stand in it."""
        return sum(one.boat.stands for one in self.standing)

    @property
    def pairs_words(self) -> str:
        if self.pairs is None:
            return ""
        if self.pairs < LEAST_PAIRS:
            return "hardly a blocked pair to be expected"
        return f"about {self.pairs:.1f} blocked pairs to be expected"


@dataclass(frozen=True, slots=True)
class InWords:
    """Boats on land that no row shows: their place has none, or they have no berth on file."""

    place: str
    boats: list[StandingBoat]

    @property
    def where(self) -> str:
        """The place as it is said."""
        return self.place or "No place on file"


@dataclass(frozen=True, slots=True)
class YardMap:
    """Each place with somebody in a berth, drawn; the others in words."""

    maps: list[Map]
    in_words: list[InWords]


def yard_map(
    leaving: Mapping[str, datetime],
    width: int,
    away: Mapping[str, tuple[date, bool]] = NOBODY_AWAY,
) -> YardMap:
    """Every boat on land; ``leaving`` are the launches of the plan, by boat.

    ``away`` are those that will have left their berths on the evening that is drawn.
    """
    overdue = _overdue(leaving)
    where = work.where_all()
    order = {boat: place for place, boat in enumerate(sorted(leaving, key=leaving.__getitem__), 1)}
    places = list(Place.objects.all())
    names = {place.name for place in places}
    standing: dict[str, list[tuple[int, StandingBoat]]] = {}
    loose: dict[str, list[StandingBoat]] = {}
    for boat in Boat.objects.all():
        here = where.get(boat.pk, work.NOWHERE)
        if here.state not in ON_LAND:
            continue
        state = _state(boat, here.state, overdue.get(boat.name))
        drawn = _drawn(boat, here.state, state, order.get(boat.name))
        if boat.name in away:
            drawn = _away(drawn, *away[boat.name])
        if here.place in names and here.berth is not None:
            standing.setdefault(here.place, []).append((here.berth, drawn))
        else:
            loose.setdefault(here.place, []).append(drawn)
    shown = [boat for row in standing.values() for _, boat in row]
    shown += [boat for boats in loose.values() for boat in boats]
    next_out = min((boat.leaves for boat in shown if boat.leaves), default=None)
    pairs = {} if away else expected_pairs([yard.place(place) for place in places])
    drawn_maps = [
        _map(
            place,
            sorted(standing[place.name], key=lambda one: one[0]),
            width,
            next_out,
            None if away else pairs.get(place.name, 0.0),
        )
        for place in places
        if place.name in standing
    ]
    in_words = [
        InWords(place, sorted(boats, key=lambda one: (one.leaves or len(order) + 1, one.name)))
        for place, boats in sorted(loose.items(), reverse=True)
    ]
    return YardMap(drawn_maps, in_words)


def _overdue(leaving: Mapping[str, datetime]) -> dict[str, datetime]:
    """The launches that should be over; after the season an old plan says nothing of anybody."""
    now = clock.now()
    if now.date() > clock.the_yard().last_day:
        return {}
    return {boat: at for boat, at in leaving.items() if at < now}


def _state(boat: Boat, state: State, was_to_leave: datetime | None) -> str:
    """Her state in words, with what is not as it should be."""
    words = [str(state)]
    if boat.length_m is None or boat.beam_m is None:
        words.append("size not known")
    if was_to_leave:
        words.append(f"was to leave {_day(was_to_leave)}")
    return ", ".join(words)


def _drawn(boat: Boat, state: State, words: str, leaves: int | None) -> StandingBoat:
    return StandingBoat(
        name=boat.name,
        length_m=boat.length_m or NOT_MEASURED_M[0],
        beam_m=boat.beam_m or NOT_MEASURED_M[1],
        state=words,
        shape=SHAPES.get(state, Shape.RING),
        href=reverse("boat", args=[boat.tag]),
        leaves=leaves,
    )


def _away(boat: StandingBoat, since: date, for_good: bool) -> StandingBoat:
    """Her empty berth. Where a boat stands that was moved aside, the plan does not say: hatched."""
    if for_good:
        left = f"left {_day(since)}"
        return replace(boat, state=left, shape=Shape.RING, leaves=None, stands=False)
    aside = f"moved aside {_day(since)}, where to not known"
    return replace(boat, state=aside, shape=Shape.HATCHED, stands=False)


def _day(when: date) -> str:
    return f"{when:%a} {when.day} {when:%b}"


def _map(
    place: Place,
    berths: list[tuple[int, StandingBoat]],
    width: int,
    next_out: int | None,
    pairs: float | None,
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


@dataclass(frozen=True, slots=True)
class Order:
    """The map of one moment, now or an evening of the plan, and the days that can be asked for."""

    yard: YardMap
    sentence: str
    evenings: tuple[Evening, ...]
    on: Evening | None  # what moves on the day that is shown; None: it is now


def order_on(day: date | None, width: int) -> Order:
    """How the boats stand now; with a day, how the plan will have left them on its evening."""
    plan, zone = launch.plan_of(work.last_published()), clock.zone()
    leaving = {go.boat: go.starts for go in plan.plan.launches} if plan else {}
    each = evenings(plan.plan, clock.now(), zone) if plan else ()
    played = [one for one in each if day and one.day <= day]
    found = yard_map(leaving, width, gone(played))
    if day is None:
        return Order(found, _next(found), each, None)
    last = next((one for one in played if one.day == day), Evening(day, (), ()))
    return Order(found, f"{evening_words(last)} {_next(found)}", each, last)


def evening_words(one: Evening) -> str:
    """What the plan will have done on a day."""
    said = [
        f"{_names(boats)} {word}"
        for boats, word in (
            (one.leave, "goes in" if len(one.leave) == 1 else "go in"),
            (one.aside, "is moved aside" if len(one.aside) == 1 else "are moved aside"),
        )
        if boats
    ]
    return f"{_day(one.day)}, by the plan: {', '.join(said) or 'nobody moves'}."


def _names(boats: Sequence[str]) -> str:
    *firsts, last = boats
    return f"{', '.join(firsts)} and {last}" if firsts else last


def _next(found: YardMap) -> str:
    boats = [(one.boat, map_.place.name) for map_ in found.maps for one in map_.standing]
    boats += [(boat, part.place) for part in found.in_words for boat in part.boats]
    next_out = [
        (boat.leaves, boat.name, place if boat.stands else "aside")
        for boat, place in boats
        if boat.leaves
    ]
    if not next_out:
        return "No plan says who leaves next."
    _, name, place = min(next_out)
    return f"{name} leaves next{f', from {place}' if place else ''}."
