"""Winter Round: what is due on each boat, and the shortest walk that sees to it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import lru_cache

from yardwright.plan.model_walk import Point, length_m, walk
from yardwright.procedures.land_check import COVER
from yardwright.procedures.step import Season as StepSeason
from yardwright.procedures.step import Step
from yardwright.procedures.steps import steps_for
from yardwright.season.model import Boat, Place
from yardwright.season.spring import ON_LAND

EACH_DAYS: Mapping[str, int] = dict.fromkeys(  # common practice: monthly
    ("batteries_kept_up", "flooded_tended", "sealed_tended", "lithium_looked_at"), 30
)
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
    """One boat of the round, with what is due on her."""

    boat: Boat
    due: tuple[Due, ...]
    at_m: Point


@dataclass(frozen=True, slots=True)
class Round:
    """The stops in the order of the walk; ``proven`` where no walk is shorter.

    ``nowhere`` are boats that have things due, and no berth on file to walk to.
    """

    stops: tuple[Stop, ...]
    nowhere: tuple[Stop, ...]
    length_m: float
    proven: bool
    minutes: int


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
        for 14, or not since the last frost or other disturbance of her. Never seen is due.
    """
    if boat.state not in ON_LAND:
        return ()
    stirred = max((one.at for one in boat.disturbed if one.at <= now), default=None)
    due = []
    for step in steps_for(boat.has, StepSeason.WINTER):
        last = max((at for at in (seen.get(step.code), _looked(boat, step)) if at), default=None)
        days = EACH_DAYS.get(step.code, OTHERS_DAYS)
        old = last is None or now - last > timedelta(days=days)
        since = last is not None and stirred is not None and stirred > last and days == OTHERS_DAYS
        if old or since:
            due.append(Due(step, last))
    return tuple(due)


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
    stops, nowhere = list[Stop](), list[Stop]()
    for boat in boats:
        if due := due_on(boat, seen.get(boat.name, {}), now):
            at = where_m(boat, places)
            (nowhere if at is None else stops).append(Stop(boat, due, at or (0.0, 0.0)))
    points = [(0.0, 0.0), *(stop.at_m for stop in stops)]
    order, proven = _walked(tuple(points), time_limit_s)
    minutes = sum(one.step.minutes for stop in [*stops, *nowhere] for one in stop.due)
    ordered = tuple(stops[place - 1] for place in order)
    return Round(ordered, tuple(nowhere), length_m(points, order), proven, minutes)


@lru_cache(maxsize=8)
def _walked(points: tuple[Point, ...], time_limit_s: float) -> tuple[tuple[int, ...], bool]:
    """The same stops are walked alike: a page that is asked for again does not wait."""
    return walk(points, time_limit_s)
