"""What is asked of a plan, what a plan is, and how late it is. Knows no solver."""

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from graphlib import CycleError, TopologicalSorter
from itertools import accumulate, pairwise
from typing import NamedTuple, NewType

from yardwright.plan.days import Day, Days, Interval, Minute

BoatId = NewType("BoatId", str)
TaskId = NewType("TaskId", str)
PersonId = NewType("PersonId", str)


@dataclass(frozen=True, slots=True)
class Boat:
    """A boat, her water, her minutes on the lift and what her owner was told.

    ``water`` are the stretches in which she floats at the well (not before she is wished for).
    ``launch_min`` minutes need water and lift, ``aside_min`` the lift alone (None: she can't be
    moved aside). She is handed over when ``watch_min`` more have passed. ``pencil`` counts only
    while there is no ``ink``.
    """

    id: BoatId
    name: str
    water: tuple[Interval, ...] = ()
    launch_min: int = 30
    aside_min: int | None = 30
    watch_min: int = 0
    ink: Day | None = None
    pencil: Day | None = None
    published: Minute | None = None
    goes_in: bool = True

    def __post_init__(self) -> None:
        _in_turn(f"{self.name}'s water", self.water)
        _between(f"{self.name}'s launch", self.launch_min, 1, 1440)
        _between(f"{self.name}'s watch", self.watch_min, 0, 7 * 1440)
        if self.aside_min is not None:
            _between(f"Moving {self.name} aside", self.aside_min, 1, 1440)


@dataclass(frozen=True, slots=True)
class Task:
    """A job on a boat: one person of the trade does all of it, resting only when they rest."""

    id: TaskId
    boat: BoatId
    trade: str
    minutes: int
    text: str = "work"
    after: tuple[TaskId, ...] = ()
    not_before: Minute = 0
    waits_for: str = "part"

    def __post_init__(self) -> None:
        _between(f"Job {self.id}", self.minutes, 1, 100_000)
        if self.id in self.after:
            raise ValueError(f"Job {self.id} comes after itself; take it out of its own list.")


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody with one trade or more, and when they work (absences already cut out)."""

    id: PersonId
    name: str
    trades: frozenset[str]
    works: tuple[Interval, ...]
    worked: tuple[int, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        _in_turn(f"{self.name}'s hours", self.works)
        lengths = (end - start for start, end in self.works)
        object.__setattr__(self, "worked", tuple(accumulate(lengths, initial=0)))

    def worked_by(self, minute: Minute) -> int:
        """Minutes of work since the season began."""
        at = bisect_right(self.works, (minute, 1 << 40)) - 1
        if at < 0:
            return 0
        start, end = self.works[at]
        return self.worked[at] + min(end, minute) - start

    def minute_of(self, worked: int) -> Minute:
        """The minute in which they work after ``worked`` minutes of work; fewer than all."""
        at = bisect_right(self.worked, worked) - 1
        return self.works[at][0] + worked - self.worked[at]


@dataclass(frozen=True, slots=True)
class Problem:
    """One spring: who stands where, what is to be done, who is there, when the lift is open.

    ``rows`` list boats from the aisle inward.
    """

    days: Days
    boats: tuple[Boat, ...]
    tasks: tuple[Task, ...]
    people: tuple[Person, ...]
    lift: tuple[Interval, ...]
    rows: tuple[tuple[BoatId, ...], ...] = ()
    boat: Mapping[BoatId, Boat] = field(init=False, repr=False, compare=False)
    task: Mapping[TaskId, Task] = field(init=False, repr=False, compare=False)
    person: Mapping[PersonId, Person] = field(init=False, repr=False, compare=False)
    jobs: Mapping[BoatId, tuple[Task, ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        _once("boat", [b.id for b in self.boats])
        _once("job", [t.id for t in self.tasks])
        _once("person", [p.id for p in self.people])
        stands = [boat for row in self.rows for boat in row]
        _once("place in the rows for boat", stands)
        _in_turn("The lift's hours", self.lift)
        boats = {b.id: b for b in self.boats}
        tasks = {t.id: t for t in self.tasks}
        _known("The rows name", stands, boats)
        _known("Jobs name", (t.boat for t in self.tasks), boats)
        _known("Jobs come after", (before for t in self.tasks for before in t.after), tasks)
        self._inside_the_season()
        order = [tasks[task] for task in _first_things_first(tasks)]
        jobs = {b: tuple(t for t in order if t.boat == b) for b in boats}
        object.__setattr__(self, "boat", boats)
        object.__setattr__(self, "task", tasks)
        object.__setattr__(self, "person", {p.id: p for p in self.people})
        object.__setattr__(self, "jobs", jobs)  # each boat's, first things first

    def _inside_the_season(self) -> None:
        held = [(f"{b.name}'s water", b.water) for b in self.boats]
        held += [(f"{p.name}'s hours", p.works) for p in self.people]
        for what, stretches in [*held, ("The lift's hours", self.lift)]:
            if stretches and (stretches[0][0] < 0 or stretches[-1][1] > self.days.end):
                raise ValueError(
                    f"{what} run from {stretches[0][0]} to {stretches[-1][1]}; "
                    f"cut them to the season, 0 to {self.days.end}."
                )

    @property
    def going_in(self) -> tuple[Boat, ...]:
        """The boats that are to be launched this season."""
        return tuple(b for b in self.boats if b.goes_in)


@dataclass(frozen=True, slots=True)
class Job:
    """Who does a task, from its first minute of work to its last."""

    person: PersonId
    start: Minute
    end: Minute


@dataclass(frozen=True, slots=True)
class Plan:
    """Each job with its person, each launch and each move aside with the minute it begins."""

    jobs: Mapping[TaskId, Job]
    launches: Mapping[BoatId, Minute]
    asides: Mapping[BoatId, Minute]


class Score(NamedTuple):
    """What a plan costs, worst first, so that the smaller of two is the better plan."""

    ink_days: int
    pencil_days: int
    published_moved: int
    moves_aside: int


def handed_over(boat: Boat, launch: Minute) -> Minute:
    """The last minute before a boat launched at ``launch`` is her owner's."""
    return launch + boat.launch_min + boat.watch_min - 1


def days_late(problem: Problem, boat: Boat, launch: Minute) -> int:
    """Calendar days from the day promised (Ink, or else Pencil) to the day she is handed over."""
    promised = boat.pencil if boat.ink is None else boat.ink
    if promised is None:
        return 0
    return max(0, problem.days.day(handed_over(boat, launch)) - promised)


def score(problem: Problem, plan: Plan) -> Score:
    """How late a plan is, in boat-days, and how much it moves."""
    late = {b.id: days_late(problem, b, plan.launches[b.id]) for b in problem.going_in}
    return Score(
        sum(late[b.id] for b in problem.going_in if b.ink is not None),
        sum(late[b.id] for b in problem.going_in if b.ink is None),
        sum(b.published not in (None, plan.launches[b.id]) for b in problem.going_in),
        len(plan.asides),
    )


def _between(what: str, value: int, low: int, high: int) -> None:
    if not low <= value <= high:
        raise ValueError(f"{what} takes {value} minutes; give {low} to {high}.")


def _in_turn(what: str, intervals: tuple[Interval, ...]) -> None:
    for start, end in intervals:
        if end <= start:
            raise ValueError(f"{what}: {start} to {end} is empty; end it later than it begins.")
    for (_, end), (start, _) in pairwise(intervals):
        if start <= end:
            raise ValueError(f"{what}: {start} begins before {end} is over; sort and join them.")


def _once(what: str, ids: Iterable[str]) -> None:
    twice = sorted(name for name, count in Counter(ids).items() if count > 1)
    if twice:
        raise ValueError(f"More than one {what}: {', '.join(twice)}; keep one.")


def _known(
    what: str, ids: Iterable[str], known: Mapping[BoatId, Boat] | Mapping[TaskId, Task]
) -> None:
    if unknown := sorted(set(ids) - set(known)):
        raise ValueError(f"{what} {', '.join(unknown)}, which is not there; add it or correct it.")


def _first_things_first(tasks: Mapping[TaskId, Task]) -> list[TaskId]:
    try:
        return list(TopologicalSorter({t.id: t.after for t in tasks.values()}).static_order())
    except CycleError as ring:
        raise ValueError(
            f"Jobs wait for each other in a ring: {' > '.join(ring.args[1])}; let one begin."
        ) from None
