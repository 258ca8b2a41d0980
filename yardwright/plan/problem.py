"""What is asked of a plan, what a plan is, and how late it is. Knows no solver."""

from bisect import bisect_right
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from graphlib import CycleError, TopologicalSorter
from itertools import accumulate, pairwise
from typing import NamedTuple, NewType

from yardwright.plan.days import Day, Days, Interval, Minute
from yardwright.plan.hours import EVER, Stretches, crowded, either, outside, within
from yardwright.plan.hours import both as shared

BoatId = NewType("BoatId", str)
TaskId = NewType("TaskId", str)
PersonId = NewType("PersonId", str)
LiftId = NewType("LiftId", str)
LAST_FROST = "last frost"  # waited for as a part is, but nobody brings it sooner
PART = "part"  # one that nobody named: no other job waits for the same


@dataclass(frozen=True, slots=True)
class Clock:
    """Stretches of work, and the minutes worked before each."""

    opens: Stretches
    worked: tuple[int, ...] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        lengths = (end - start for start, end in self.opens)
        object.__setattr__(self, "worked", tuple(accumulate(lengths, initial=0)))

    def worked_by(self, minute: Minute) -> int:
        """Minutes of work since the season began."""
        at = bisect_right(self.opens, (minute, EVER)) - 1
        if at < 0:
            return 0
        start, end = self.opens[at]
        return self.worked[at] + min(end, minute) - start

    def minute_of(self, worked: int) -> Minute:
        """The minute in which they work after ``worked`` minutes of work; fewer than all."""
        at = bisect_right(self.worked, worked) - 1
        return self.opens[at][0] + worked - self.worked[at]


class Clocks(NamedTuple):
    """A person's working hours alone, and with overtime."""

    plain: Clock
    long: Clock


@dataclass(frozen=True, slots=True)
class Lift:
    """Lifts of one kind, whichever of them is free.

    ``held`` is when they carry nothing at any hour: wind, repairs; ``away`` are the days on which
    nobody is in who may run them. Both are cut out of ``opens`` already; whoever asks for other
    hours cuts them out too. Each stretch of ``taken`` takes one of them: a boat hangs in it that
    went to the lift before this was asked. ``run_by`` are those who may run them, where it is not
    just anybody, each with their hours; whether one of them falls ill is for the odds. ``longer`` are
    the hours of single days: on other days they are not near its own.
    """

    id: LiftId
    name: str
    opens: tuple[Interval, ...]
    count: int = 1
    held: tuple[Interval, ...] = ()
    taken: tuple[Interval, ...] = ()
    away: tuple[Interval, ...] = ()
    run_by: tuple[tuple[PersonId, Stretches], ...] = ()
    longer: tuple[Interval, ...] = ()

    def __post_init__(self) -> None:
        _in_turn(f"{self.name}'s hours", self.opens)
        _in_turn(f"When {self.name} is held", self.held)
        _in_turn(f"When nobody runs {self.name}", self.away)
        _in_turn(f"When {self.name} is open longer", self.longer)
        if shared(self.opens, self.held):
            raise ValueError(f"{self.name} is open while it is held; cut that out of its hours.")
        if shared(self.opens, self.away):
            raise ValueError(
                f"{self.name} is open with nobody to run it; cut that out of its hours."
            )
        _from_to(f"{self.name}: lifts of its kind", self.count, 1, 20)
        _not_too_many(f"Boats that hang in {self.name}", self.taken, self.count)

    @property
    def stays_shut(self) -> Stretches:
        """When they can't be kept open longer either: they are held, or nobody runs them."""
        return either([*self.held, *self.away])


@dataclass(frozen=True, slots=True)
class Looks:
    """How many boats can be looked after at once while they are new in the water, and when.

    Each stretch of ``taken`` takes one place: for a boat that went in before this was asked.
    """

    at_once: int
    opens: tuple[Interval, ...]
    taken: tuple[Interval, ...] = ()

    def __post_init__(self) -> None:
        _in_turn("The hours for looks after a launch", self.opens)
        _from_to("Boats looked after at once", self.at_once, 1, 100)
        _not_too_many("Boats looked after already", self.taken, self.at_once)


@dataclass(frozen=True, slots=True)
class Boat:
    """A boat, her water, her minutes on the lift and what her owner was told.

    ``water`` are the stretches in which she floats at the well (not before she is wished for,
    nor before she is insured afloat). A launch begins when she meets the water: the lift is hers
    from ``carry_min`` before (nobody works on her any more) until ``launch_min`` after, and all
    of ``launch_min`` needs water: the hang, slings off, and the way back out. ``aside_min``
    minutes need the lift alone (None: she can't be moved aside). For ``looks_min`` after her
    launch she takes one of the places of ``Problem.looks``. She is handed over when ``watch_min``
    have passed after her launch, her work afloat is done and ``free_from`` has come (the day the
    bill is paid). ``hands`` is how many jobs can go on at once on her. Before ``ground_from`` the
    ground where she stands does not bear her lift. ``pencil``, which is her owner's wish or
    our own day, counts only while there is no ``ink``.
    """

    id: BoatId
    name: str
    lift: LiftId
    water: tuple[Interval, ...] = ()
    launch_min: int = 30
    carry_min: int = 0
    aside_min: int | None = 30
    looks_min: int = 0
    watch_min: int = 0
    free_from: Minute = 0
    ground_from: Minute = 0
    hands: int = 1
    ink: Day | None = None
    pencil: Day | None = None
    published: Minute | None = None
    goes_in: bool = True

    def __post_init__(self) -> None:
        _in_turn(f"{self.name}'s water", self.water)
        _between(f"{self.name}'s launch", self.launch_min, 1, 1440)
        _between(f"Carrying {self.name}", self.carry_min, 0, 1440)
        _between(f"Looking after {self.name}", self.looks_min, 0, 1440)
        _between(f"{self.name}'s watch", self.watch_min, 0, 7 * 1440)
        _from_to(f"{self.name}: jobs at once", self.hands, 1, 20)
        if self.aside_min is not None:
            _between(f"Moving {self.name} aside", self.aside_min, 1, 1440)

    @property
    def promised(self) -> Day | None:
        """The day that counts for her: told in Ink, or else wished for or in Pencil."""
        return self.pencil if self.ink is None else self.ink


@dataclass(frozen=True, slots=True)
class Task:
    """A job on a boat: one person of the trade does all of it, resting only when they rest.

    Until ``not_before`` it waits for ``waits_for``, or, where that is empty, only for the hour;
    however soon that is there, the frost holds it back until ``frost_until``.
    ``not_by`` are jobs that this is a second look at: who has the trade does it, and had no hand in
    them, working or watching (a sign-off is never by the one who did the work).
    After its end ``dry_min`` pass before she meets the water (paint), and not more than
    ``within_min``. A job ``afloat`` begins when her launch is over; she is her owner's after it.
    """

    id: TaskId
    boat: BoatId
    trade: str
    minutes: int
    text: str = "work"
    after: tuple[TaskId, ...] = ()
    not_before: Minute = 0
    waits_for: str = PART
    frost_until: Minute = 0
    not_by: tuple[TaskId, ...] = ()
    dry_min: int = 0
    within_min: int | None = None
    afloat: bool = False

    def __post_init__(self) -> None:
        _between(f"Job {self.id}", self.minutes, 1, 100_000)
        _between(f"Drying after {self.id}", self.dry_min, 0, 60 * 1440)
        if self.within_min is not None:
            _between(f"From {self.id} to the water", self.within_min, self.dry_min + 1, 400 * 1440)
        if self.id in (*self.after, *self.not_by):
            raise ValueError(f"Job {self.id} comes after itself; take it out of its own list.")
        if self.afloat and (self.dry_min or self.within_min is not None):
            raise ValueError(f"Job {self.id} is done afloat; paint dries before she goes in.")

    @property
    def waits_for_part(self) -> bool:
        """It waits for something that somebody could fetch."""
        return self.not_before > 0 and self.waits_for not in ("", LAST_FROST)

    @property
    def comes_with(self) -> str:
        """Alike for her jobs that wait for one and the same thing: it comes once, for all of them."""
        return self.id if self.waits_for in ("", PART) else self.waits_for

    def with_it_by(self, minute: Minute) -> "Task":
        """The same, what it waits for there by a minute; no part ends the frost."""
        frost = 0 if self.waits_for == LAST_FROST else self.frost_until
        return replace(self, not_before=max(frost, min(minute, self.not_before)))

    def from_then(self, minute: Minute) -> "Task":
        """The same, not begun before a minute; what was to come by then is here."""
        if minute <= self.not_before:
            return self
        return replace(self, not_before=minute, waits_for="")


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody with one trade or more, and when they work (absences already cut out).

    ``overtime`` lies outside ``works``. What they still learn they do only while somebody
    watches who has that trade and has no job of their own meanwhile; ``may_watch`` is how many
    jobs they can watch at once.
    """

    id: PersonId
    name: str
    trades: frozenset[str]
    works: tuple[Interval, ...]
    overtime: tuple[Interval, ...] = ()
    learns: frozenset[str] = frozenset()
    may_watch: int = 1
    on: Clocks = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        _in_turn(f"{self.name}'s hours", self.works)
        _in_turn(f"{self.name}'s overtime", self.overtime)
        _from_to(f"Jobs {self.name} can watch", self.may_watch, 0, 20)
        if twice := sorted(self.trades & self.learns):
            raise ValueError(f"{self.name} has and learns {', '.join(twice)}; keep one of the two.")
        if shared(self.works, self.overtime):
            raise ValueError(f"{self.name}'s overtime lies inside working hours; cut it out.")
        object.__setattr__(
            self, "on", Clocks(Clock(self.works), Clock(either([*self.works, *self.overtime])))
        )

    def hours(self, *, overtime: bool) -> Clock:
        """Their working hours, with or without overtime."""
        return self.on.long if overtime else self.on.plain

    def may_do(self, task: Task) -> bool:
        """Whether they do such work, alone or watched; a second look is not for who learns."""
        return task.trade in self.trades or (task.trade in self.learns and not task.not_by)


@dataclass(frozen=True, slots=True)
class Problem:
    """One spring: who stands where, what is to be done, who is there, when the lifts are open.

    ``rows`` list boats from the aisle inward; so do ``in_front`` and ``behind`` of each boat.
    """

    days: Days
    boats: tuple[Boat, ...]
    tasks: tuple[Task, ...]
    people: tuple[Person, ...]
    lifts: tuple[Lift, ...]
    rows: tuple[tuple[BoatId, ...], ...] = ()
    looks: Looks | None = None
    boat: Mapping[BoatId, Boat] = field(init=False, repr=False, compare=False)
    task: Mapping[TaskId, Task] = field(init=False, repr=False, compare=False)
    person: Mapping[PersonId, Person] = field(init=False, repr=False, compare=False)
    lift: Mapping[LiftId, Lift] = field(init=False, repr=False, compare=False)
    jobs: Mapping[BoatId, tuple[Task, ...]] = field(init=False, repr=False, compare=False)
    apart: Mapping[TaskId, list[TaskId]] = field(init=False, repr=False, compare=False)
    in_front: Mapping[BoatId, tuple[Boat, ...]] = field(init=False, repr=False, compare=False)
    behind: Mapping[BoatId, tuple[Boat, ...]] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        _once("boat", [b.id for b in self.boats])
        _once("job", [t.id for t in self.tasks])
        _once("person", [p.id for p in self.people])
        _once("lift", [lift.id for lift in self.lifts])
        stands = [boat for row in self.rows for boat in row]
        _once("place in the rows for boat", stands)
        boats = {b.id: b for b in self.boats}
        tasks = {t.id: t for t in self.tasks}
        lifts = {lift.id: lift for lift in self.lifts}
        _known("Boats name the lift", (b.lift for b in self.boats), lifts)
        run_by = (one for lift in self.lifts for one, _ in lift.run_by)
        _known("Lifts are run by", run_by, {p.id for p in self.people})
        _known("The rows name", stands, boats)
        _known("Jobs name", (t.boat for t in self.tasks), boats)
        _known("Jobs come after", (before for t in self.tasks for before in t.after), tasks)
        _known("Jobs name as another's", (one for t in self.tasks for one in t.not_by), tasks)
        self._inside_the_season()
        self._afloat_last(boats, tasks)
        _in_no_ring(tasks)
        jobs: dict[BoatId, list[Task]] = {b: [] for b in boats}
        for task in self.tasks:
            jobs[task.boat].append(task)
        object.__setattr__(self, "boat", boats)
        object.__setattr__(self, "task", tasks)
        object.__setattr__(self, "person", {p.id: p for p in self.people})
        object.__setattr__(self, "lift", lifts)
        in_turn = {boat: _first_things_first(hers) for boat, hers in jobs.items()}
        object.__setattr__(self, "jobs", in_turn)
        object.__setattr__(self, "apart", _apart(self.tasks))
        alone = dict.fromkeys(boats, tuple[Boat, ...]())
        rows = [tuple(boats[key] for key in row) for row in self.rows]
        in_front = {boat.id: row[:place] for row in rows for place, boat in enumerate(row)}
        behind = {boat.id: row[place + 1 :] for row in rows for place, boat in enumerate(row)}
        object.__setattr__(self, "in_front", alone | in_front)
        object.__setattr__(self, "behind", alone | behind)

    def _inside_the_season(self) -> None:
        held = [(f"{b.name}'s water", b.water) for b in self.boats]
        held += [(f"{p.name}'s hours", p.on.long.opens) for p in self.people]
        held += [(f"{lift.name}'s hours", lift.opens) for lift in self.lifts]
        for what, stretches in held:
            if stretches and (stretches[0][0] < 0 or stretches[-1][1] > self.days.end):
                raise ValueError(
                    f"{what} run from {stretches[0][0]} to {stretches[-1][1]}; "
                    f"cut them to the season, 0 to {self.days.end}."
                )

    def _afloat_last(self, boats: Mapping[BoatId, Boat], tasks: Mapping[TaskId, Task]) -> None:
        for task in self.tasks:
            if task.afloat and not boats[task.boat].goes_in:
                name = boats[task.boat].name
                raise ValueError(
                    f"Job {task.id} is done afloat; {name} stays ashore, leave it out."
                )
            for before in (tasks[key] for key in task.after):
                if before.boat == task.boat and before.afloat and not task.afloat:
                    raise ValueError(
                        f"Job {task.id} comes after {before.id}, which is done afloat; do both there."
                    )

    @property
    def going_in(self) -> tuple[Boat, ...]:
        """The boats that are to be launched this season."""
        return tuple(b for b in self.boats if b.goes_in)

    def lift_opens(self, boat: Boat) -> Stretches:
        """When her lift is open and one of its kind is free, and the ground bears it."""
        lift = self.lift[boat.lift]
        opens = _free(lift.opens, lift.taken, lift.count)
        return within(opens, boat.ground_from, self.days.end) if boat.ground_from else opens

    @property
    def looks_open(self) -> Stretches:
        """When somebody looks after new boats and a place is free; at no hour without looks."""
        looks = self.looks
        return _free(looks.opens, looks.taken, looks.at_once) if looks else ()

    def ashore(self, boat: BoatId) -> Iterator[Task]:
        """Her jobs before the water."""
        return (task for task in self.jobs[boat] if not task.afloat)

    def afloat(self, boat: BoatId) -> Iterator[Task]:
        """Her jobs in the water."""
        return (task for task in self.jobs[boat] if task.afloat)


@dataclass(frozen=True, slots=True)
class Job:
    """Who does a task, from its first minute of work to its last, and who watches a learner.

    In ``overtime`` the person works their overtime too wherever it lies inside the job.
    """

    person: PersonId
    start: Minute
    end: Minute
    watcher: PersonId | None = None
    overtime: bool = False

    @property
    def hands(self) -> frozenset[PersonId]:
        """Who has a hand in it: who works, and who watches."""
        return frozenset(one for one in (self.person, self.watcher) if one)


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
    overtime_min: int


def handed_over(problem: Problem, plan: Plan, boat: Boat) -> Minute:
    """The last minute before a boat is her owner's."""
    work = (plan.jobs[task.id].end for task in problem.afloat(boat.id))
    in_water = plan.launches[boat.id] + boat.launch_min + boat.watch_min
    return max(in_water, boat.free_from + 1, *work) - 1


def days_late(problem: Problem, plan: Plan, boat: Boat) -> int:
    """Calendar days from the day promised (Ink, or else Pencil) to the day she is handed over."""
    if boat.promised is None:
        return 0
    return max(0, problem.days.day(handed_over(problem, plan, boat)) - boat.promised)


def overtime_min(problem: Problem, job: Job) -> int:
    """Minutes of a job that are done in overtime."""
    if not job.overtime:
        return 0
    extra = within(problem.person[job.person].overtime, job.start, job.end)
    return sum(end - start for start, end in extra)


def score(problem: Problem, plan: Plan) -> Score:
    """How late a plan is, in boat-days, and how much it moves."""
    late = {b.id: days_late(problem, plan, b) for b in problem.going_in}
    return Score(
        sum(late[b.id] for b in problem.going_in if b.ink is not None),
        sum(late[b.id] for b in problem.going_in if b.ink is None),
        sum(b.published not in (None, plan.launches[b.id]) for b in problem.going_in),
        len(plan.asides),
        sum(overtime_min(problem, job) for job in plan.jobs.values()),
    )


def _apart(tasks: Iterable[Task]) -> Mapping[TaskId, list[TaskId]]:
    """The jobs that somebody else does than each, whichever of the two says so."""
    apart: dict[TaskId, list[TaskId]] = {}
    for task in tasks:
        for other in task.not_by:
            apart.setdefault(task.id, []).append(other)
            apart.setdefault(other, []).append(task.id)
    return apart


def _from_to(what: str, value: int, low: int, high: int) -> None:
    if not low <= value <= high:
        raise ValueError(f"{what}: {value}; give {low} to {high}.")


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


def _not_too_many(what: str, taken: Stretches, most: int) -> None:
    if full := crowded(taken, most + 1):
        raise ValueError(
            f"{what}: more than {most} from {full[0][0]} to {full[0][1]}; leave some out."
        )


@lru_cache(maxsize=256)
def _free(opens: Stretches, taken: Stretches, most: int) -> Stretches:
    """What of the hours not all are taken in."""
    return shared(opens, outside(crowded(taken, most), EVER)) if taken else opens


def _once(what: str, ids: Iterable[str]) -> None:
    twice = sorted(name for name, count in Counter(ids).items() if count > 1)
    if twice:
        raise ValueError(f"More than one {what}: {', '.join(twice)}; keep one.")


def _known(what: str, ids: Iterable[str], known: Collection[str]) -> None:
    if unknown := sorted(set(ids) - set(known)):
        raise ValueError(f"{what} {', '.join(unknown)}, which is not there; add it or correct it.")


def _in_no_ring(tasks: Mapping[TaskId, Task]) -> None:
    try:
        TopologicalSorter({t.id: t.after for t in tasks.values()}).prepare()
    except CycleError as ring:
        raise ValueError(
            f"Jobs wait for each other in a ring: {' > '.join(ring.args[1])}; let one begin."
        ) from None


def _first_things_first(tasks: list[Task]) -> tuple[Task, ...]:
    """A boat's jobs in an order that keeps ``after``; what waits for nothing goes first."""
    left, order = list(tasks), list[Task]()
    while left:
        waiting = {task.id for task in left}
        free = [task for task in left if not waiting.intersection(task.after)]
        order.append(min(free, key=lambda task: task.not_before))
        left.remove(order[-1])
    return tuple(order)
