"""Winter Round: what is due on each boat, and the shortest walk that sees to it."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import lru_cache

from yardwright.plan.model_walk import Point, length_m, walk
from yardwright.procedures.going_in import State
from yardwright.procedures.land_check import COVER
from yardwright.procedures.put_backs import Undone
from yardwright.procedures.step import Has, Step
from yardwright.procedures.step import Season as StepSeason
from yardwright.procedures.steps import book, steps_for
from yardwright.season.model import Boat, Place
from yardwright.season.spring import ON_LAND

EACH_DAYS: Mapping[str, int] = dict.fromkeys(  # common practice: monthly
    ("batteries_kept_up", "flooded_tended", "sealed_tended", "lithium_looked_at"), 30
)
ONCE_A_PLACE = ("ground_looked_at", "people_aboard_seen", "line_of_snow_and_ice")
BATTERIES_ASHORE, WRAP_ON, UNWRAPPED = "batteries_ashore", "wrap_on", "unwrapped"
OTHERS_DAYS = 14  # drains, stands and chains, wrap: common practice, and after frost, thaw or gale
ROW_APART_M, BERTH_DEEP_M = 12.0, 10.0  # where nobody measured


@dataclass(frozen=True, slots=True)
class Due:
    """One thing to see to; ``last`` None: never this winter, as far as is known."""

    step: Step
    last: datetime | None

    @property
    def words(self) -> str:
        """When it was seen last."""
        if self.last is None:
            return "never seen this winter"
        return f"last {self.last:%a} {self.last.day} {self.last:%b}"


@dataclass(frozen=True, slots=True)
class Stop:
    """What is due at one spot, and where that is.

    ``boat`` is the one that it is due on; of a place, the first that stands there, on whose page
    it is entered.
    """

    boat: Boat
    due: tuple[Due, ...]
    where: str
    at_m: Point = (0.0, 0.0)

    @property
    def alike(self) -> str:
        """Why all of it is due, where there is one reason for all; else empty."""
        reasons = {one.words for one in self.due}
        return reasons.pop() if len(self.due) > 1 and len(reasons) == 1 else ""


@dataclass(frozen=True, slots=True)
class Round:
    """The stops in the order of the walk; ``proven`` where no walk is shorter.

    ``places`` are the looks that count for all who stand at a place, ``shelves`` the batteries
    that are ashore, ``nowhere`` the boats that have things due and no berth on file to walk to.
    """

    stops: tuple[Stop, ...]
    places: tuple[Stop, ...]
    shelves: tuple[Stop, ...]
    nowhere: tuple[Stop, ...]
    length_m: float
    proven: bool
    minutes: int

    @property
    def everything(self) -> tuple[Stop, ...]:
        """All that is due, walked to or not."""
        return (*self.places, *self.stops, *self.shelves, *self.nowhere)


def due_on(boat: Boat, seen: Mapping[str, datetime], now: datetime) -> tuple[Due, ...]:
    """What is due on a boat that stands on land.

    Parameters
    ----------
    boat : Boat
        What she has decides which winter steps she gets.
    seen : mapping of str to datetime
        When each winter step was last done on her, by its code; one that is missing: never.
    now : datetime
        Aware.

    Returns
    -------
    tuple of Due
        A battery that is not read for 30 days; drains, stands and chains, and the wrap not seen
        for 14, or not since the last frost or other disturbance of her. Never seen is due. Without
        the looks that count for a whole place, and, once her cover is off, without those at it.
    """
    if boat.state not in ON_LAND:
        return ()
    bare = _cover_is_off(boat)
    found = (
        _due(step, (seen.get(step.code), _looked(boat, step)), [boat], now)
        for step in steps_for(boat.has, StepSeason.WINTER)
        if step.code not in ONCE_A_PLACE and not (bare and Has.COVER in step.needs)
    )
    return tuple(one for one in found if one)


def _due(
    step: Step, seen: Iterable[datetime | None], boats: Sequence[Boat], now: datetime
) -> Due | None:
    """Whether a step is due, by the last look and whatever stirred any of the boats since."""
    last = max((at for at in seen if at), default=None)
    if last is None:
        return Due(step, None)
    days = EACH_DAYS.get(step.code, OTHERS_DAYS)
    stirred = any(last < one.at <= now for boat in boats for one in boat.disturbed)
    old = now - last > timedelta(days=days)
    return Due(step, last) if old or (stirred and days == OTHERS_DAYS) else None


def _newest(boat: Boat, kind: str) -> Undone | None:
    """What was undone last of a kind, put back or not."""
    what = book().kinds[kind].what
    return next((thing for thing in reversed(boat.undone) if thing.what == what), None)


def _cover_is_off(boat: Boat) -> bool:
    """By what was said of her wrap; where nothing was, by the step, or since she is ready to go in."""
    wrap = _newest(boat, WRAP_ON)
    if wrap is not None:
        return not wrap.is_open
    return UNWRAPPED in boat.done or boat.state == State.READY


def _looked(boat: Boat, step: Step) -> datetime | None:
    """A look at her cover is a look at her wrap, whichever form it was written in."""
    if step.code != "wrap_looked_at":
        return None
    return max((look.at for look in boat.looks if look.at_what == COVER), default=None)


def where_m(boat: Boat, places: Sequence[Place]) -> Point | None:
    """Where a boat stands, in metres from the first row at the aisle; None: no berth on file.

    Rows lie 12 m apart in the order of the yard's list, berths 10 m behind each other: nobody
    measured the yard, so the order of the walk counts, and its length is a guess.
    """
    names = [place.name for place in places]
    if boat.place not in names or boat.berth is None:
        return None
    return ROW_APART_M * names.index(boat.place), BERTH_DEEP_M * boat.berth


def winter_round(
    boats: Iterable[Boat],
    places: Sequence[Place],
    seen: Mapping[str, Mapping[str, datetime]],
    now: datetime,
    time_limit_s: float = 1.0,
) -> Round:
    """Walk past every boat with something due and back to the aisle.

    Parameters
    ----------
    boats : iterable of Boat
        The yard's.
    places : sequence of Place
        In the order in which they lie.
    seen : mapping
        By the boat's name, then by the step's code: when it was last done.
    now : datetime
        Aware.
    time_limit_s : float
        For the solver, at most. [s]

    Returns
    -------
    Round
        With the minutes that the work takes, without the walk.
    """
    stops, shelves, nowhere = list[Stop](), list[Stop](), list[Stop]()
    ashore = [boat for boat in boats if boat.state in ON_LAND]
    for boat in ashore:
        due = due_on(boat, seen.get(boat.name, {}), now)
        shelf = _newest(boat, BATTERIES_ASHORE)
        if shelf is not None and shelf.is_open:
            lie = tuple(one for one in due if one.step.code in EACH_DAYS)
            due = tuple(one for one in due if one not in lie)
            if lie:
                shelves.append(Stop(boat, lie, shelf.lies or "where they lie is not written down"))
        if not due:
            continue
        at = where_m(boat, places)
        if at is None:
            nowhere.append(Stop(boat, due, boat.place or "no place on file"))
        else:
            stops.append(Stop(boat, due, f"{boat.place}, berth {boat.berth}", at))
    points = [(0.0, 0.0), *(stop.at_m for stop in stops)]
    order, proven = _walked(tuple(points), time_limit_s)
    found = Round(
        stops=tuple(stops[place - 1] for place in order),
        places=tuple(_at_places(ashore, places, seen, now)),
        shelves=tuple(shelves),
        nowhere=tuple(nowhere),
        length_m=length_m(points, order),
        proven=proven,
        minutes=0,
    )
    minutes = sum(one.step.minutes for stop in found.everything for one in stop.due)
    return replace(found, minutes=minutes)


def _at_places(
    boats: Sequence[Boat],
    places: Sequence[Place],
    seen: Mapping[str, Mapping[str, datetime]],
    now: datetime,
) -> Iterator[Stop]:
    """A look at the ground, the people and the ice of a place counts for all who stand there."""
    names = [place.name for place in places]
    at: dict[str, list[Boat]] = {name: [] for name in names}
    for boat in boats:
        at.setdefault(boat.place, []).append(boat)
    for name, there in at.items():
        if not there:
            continue
        steps = [
            step for step in steps_for(there[0].has, StepSeason.WINTER) if step.code in ONCE_A_PLACE
        ]
        looks = [
            (step, [seen.get(boat.name, {}).get(step.code) for boat in there]) for step in steps
        ]
        due = tuple(one for step, last in looks if (one := _due(step, last, there, now)))
        if due:
            yield Stop(there[0], due, name or "no place on file")


@lru_cache(maxsize=8)
def _walked(points: tuple[Point, ...], time_limit_s: float) -> tuple[tuple[int, ...], bool]:
    """The same stops are walked alike: a page that is asked for again does not wait."""
    return walk(points, time_limit_s)
