"""A plan in a moment: boats in the order of their promises, each thing at its first free minute."""

from bisect import bisect_left
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from yardwright.plan.alone import launch_begins
from yardwright.plan.asides import worked_on
from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import Stretches, crowded, either, first, starts
from yardwright.plan.problem import (
    Boat,
    BoatId,
    Job,
    LiftId,
    Person,
    PersonId,
    Plan,
    Problem,
    Task,
    TaskId,
)

LAST = 10**6  # the rank of a boat that nobody was promised


class Stuck(Exception):  # noqa: N818 - no error: another order may do
    """Placed in this order, a boat finds no room before the season ends. That proves nothing."""

    def __init__(self, boat: BoatId) -> None:
        super().__init__(f"{boat} finds no room in this order; place her sooner.")
        self.boat = boat


def by_promise(problem: Problem) -> dict[BoatId, float]:
    """The rank of each boat: the day promised in Ink, else in Pencil."""
    return {boat.id: _promised(boat) for boat in problem.boats}


def list_plan(
    problem: Problem,
    rank: Mapping[BoatId, float],
    asides: Collection[BoatId] = (),
    wait_min: Mapping[PersonId, float] | None = None,
) -> Plan:
    """Place boat by boat in the order of ``rank``, each job and launch as early as it will go.

    Parameters
    ----------
    problem : Problem
        What is asked.
    rank : mapping of BoatId to float
        Lower goes first. Boats in front inherit the rank of those they shut in.
    asides : collection of BoatId
        Boats to move aside when they are in the way; the others must be launched first.
    wait_min : mapping of PersonId to float
        How much later a job may be done for it not to be done by this person. [min]

    Returns
    -------
    Plan
        It keeps every rule.

    Raises
    ------
    Stuck
        A boat finds no room in this order.
    """
    yard = _Yard(problem, frozenset(asides), wait_min or {})
    for boat in sorted(problem.boats, key=lambda boat: rank[boat.id]):
        yard.place(boat)
    return Plan(yard.jobs, yard.launches, yard.asides)


def pulled_forward(problem: Problem, plan: Plan) -> Plan:
    """The same plan in the same order by the same people, each job and launch as early as it goes.

    Moves aside and launches that keep their published minute stay. Nothing gets later.
    """
    yard = _Yard(problem, frozenset(), {}, asides=dict(plan.asides))
    for moved, begins in plan.asides.items():
        yard.carry(problem.boat[moved], (begins, begins + (problem.boat[moved].aside_min or 0)))
    ready: dict[BoatId, Minute] = {}
    jobs = [(job.start, task, None) for task, job in plan.jobs.items()]
    launches = [(start, None, boat) for boat, start in plan.launches.items()]
    for start, key, boat in sorted([*jobs, *launches], key=lambda event: event[0]):
        if key is not None:
            task = problem.task[key]
            by = (problem.person[plan.jobs[key].person],)
            yard.jobs[key] = yard.job(task, by, ready.get(task.boat, 0))
            ready[task.boat] = yard.jobs[key].end
        elif boat is not None:
            kept = start if problem.boat[boat].published == start else 0
            yard.launch(problem.boat[boat], max(kept, ready.get(boat, 0)))
    return Plan(yard.jobs, yard.launches, yard.asides)


def _promised(boat: Boat) -> float:
    if boat.ink is not None:
        return boat.ink
    return LAST if boat.pencil is None else boat.pencil + 0.5


def demand(problem: Problem) -> Mapping[PersonId, float]:
    """For each person the share of their hours that is asked of their most wanted trade."""
    asked, there = Counter[str](), Counter[str]()
    for task in problem.tasks:
        asked[task.trade] += task.minutes
    for person in problem.people:
        there.update(dict.fromkeys(person.trades, person.on.plain.worked[-1]))
    share = {trade: asked[trade] / max(1, there[trade]) for trade in there}
    return {p.id: max((share[trade] for trade in p.trades), default=0) for p in problem.people}


@dataclass(slots=True)
class _Yard:
    """A plan as it grows, and what is taken by it."""

    problem: Problem
    may_move: frozenset[BoatId]
    wait_min: Mapping[PersonId, float]
    jobs: dict[TaskId, Job] = field(default_factory=dict)
    launches: dict[BoatId, Minute] = field(default_factory=dict)
    asides: dict[BoatId, Minute] = field(default_factory=dict)
    busy: dict[PersonId, list[Interval]] = field(default_factory=dict)  # in minutes of work
    carried: dict[LiftId, list[Interval]] = field(default_factory=dict)

    def place(self, boat: Boat) -> None:
        """All of a boat's jobs, the way out of her row, and her launch."""
        if boat.id in self.launches:
            return
        ready = self._work(boat)
        if not boat.goes_in:
            return
        self._clear(boat, ready)
        self.launch(boat, ready)

    def launch(self, boat: Boat, ready: Minute) -> None:
        """Her launch, not before she is ready and her way is clear."""
        clear = [self._gone(front) for front in self._in_front(boat)]
        if aside := self._aside_span(boat):
            clear = [aside[1]]
        dry = (self.jobs[task.id].end + task.dry_min for task in self.problem.ashore(boat.id))
        soonest = max([*dry, boat.carry_min + max([ready, *clear])])
        lasts = boat.carry_min, boat.launch_min
        start = self._lift(boat, launch_begins(self.problem, boat), soonest, lasts)
        self.launches[boat.id] = start

    def _work(self, boat: Boat) -> Minute:
        """When the last of her jobs is done."""
        ready = 0
        for task in self._next_first(boat):
            if task.afloat:
                continue
            if task.id not in self.jobs:
                able = (p for p in self.problem.people if task.trade in p.trades)
                self.jobs[task.id] = self.job(task, able, ready)
            ready = max(ready, self.jobs[task.id].end)
        return ready

    def _next_first(self, boat: Boat) -> list[Task]:
        """Her jobs in an order that keeps ``after``; what waits for nothing goes first."""
        left, order = list(self.problem.jobs[boat.id]), list[Task]()
        while left:
            waiting = {task.id for task in left}
            free = [task for task in left if not waiting & set(task.after)]
            task = min(free, key=lambda task: task.not_before)
            left.remove(task)
            order.append(task)
        return order

    def job(self, task: Task, able: Iterable[Person], ready: Minute) -> Job:
        """The job by whoever of these is done first, those less in demand favoured."""
        for before in task.after:
            if before not in self.jobs:
                self._work(self.problem.boat[self.problem.task[before].boat])
        ready = max([ready, task.not_before, *(self.jobs[before].end for before in task.after)])
        spans = [(person, self._free_span(person, task, ready)) for person in able]
        found = [Job(person.id, *span) for person, span in spans if span]
        if not found:
            raise Stuck(task.boat)
        job = min(found, key=lambda job: job.end + self.wait_min.get(job.person, 0))
        person = self.problem.person[job.person]
        begin = person.on.plain.worked_by(job.start)
        _book(self.busy[person.id], (begin, begin + task.minutes))
        return job

    def _free_span(self, person: Person, task: Task, ready: Minute) -> Interval | None:
        """When this person could do it, counted in their own minutes of work and put back."""
        busy, clock = self.busy.setdefault(person.id, []), person.on.plain
        begin = clock.worked_by(ready)
        taken = busy[max(0, bisect_left(busy, (begin, 0)) - 1) :]
        if aside := self._aside_span(self.problem.boat[task.boat]):
            moving = clock.worked_by(aside[0]), clock.worked_by(aside[1])
            taken = sorted([*taken, moving]) if moving[0] < moving[1] else taken
        for start, end in taken:
            if start - begin >= task.minutes:
                break
            begin = max(begin, end)
        if begin + task.minutes > clock.worked[-1]:
            return None
        return clock.minute_of(begin), clock.minute_of(begin + task.minutes - 1) + 1

    def _aside_span(self, boat: Boat) -> Interval | None:
        if boat.id not in self.asides:
            return None
        return self.asides[boat.id], self.asides[boat.id] + (boat.aside_min or 0)

    def _clear(self, boat: Boat, ready: Minute) -> None:
        """Get those in front out of the way, aisle first."""
        clear = self._day_before(ready)
        for front in self._in_front(boat):
            if front.id in self.launches or front.id in self.asides:
                pass
            elif front.id in self.may_move and front.aside_min is not None:
                self._move(front, clear)
            elif front.goes_in:
                self.place(front)
            else:
                raise Stuck(front.id)
            clear = max(clear, self._gone(front))

    def _in_front(self, boat: Boat) -> list[Boat]:
        row = next((row for row in self.problem.rows if boat.id in row), (boat.id,))
        return [self.problem.boat[front] for front in row[: row.index(boat.id)]]

    def _gone(self, boat: Boat) -> Minute:
        aside = self._aside_span(boat)
        return aside[1] if aside else self.launches[boat.id] + boat.launch_min

    def _day_before(self, minute: Minute) -> Minute:
        days = self.problem.days
        return days.midnight(max(0, days.day(minute) - 1))

    def _move(self, boat: Boat, ready: Minute) -> None:
        minutes = boat.aside_min or 0
        work = worked_on(self.problem, self.jobs, boat.id)
        opens = _opens(self.problem.lift[boat.lift].opens, minutes)
        self.asides[boat.id] = self._lift(boat, opens, ready, (0, minutes), work)

    def _lift(
        self,
        boat: Boat,
        opens: Stretches,
        ready: Minute,
        lasts: Interval,
        work: Sequence[Interval] = (),
    ) -> Minute:
        """Book a lift of her kind from before a minute to after it, not while she is worked on."""
        lift, (before, after) = self.problem.lift[boat.lift], lasts
        full = crowded(self.carried.get(lift.id, []), lift.count)
        taken = either([*full, *work])
        start = first(opens, ready)
        while start is not None:
            span = start - before, start + after
            busy = _overlap(taken, span)
            if busy is None:
                self.carry(boat, span)
                return start
            start = first(opens, busy[1] + before)
        raise Stuck(boat.id)

    def carry(self, boat: Boat, span: Interval) -> None:
        """Take a lift of her kind."""
        self.carried.setdefault(boat.lift, []).append(span)


@lru_cache(maxsize=1024)
def _opens(lift: Stretches, minutes: int) -> Stretches:
    return starts(lift, minutes)


def _overlap(busy: Sequence[Interval], span: Interval) -> Interval | None:
    """The first stretch that is taken inside the span; ``busy`` is sorted and disjoint."""
    at = bisect_left(busy, span)
    if at and busy[at - 1][1] > span[0]:
        return busy[at - 1]
    return busy[at] if at < len(busy) and busy[at][0] < span[1] else None


def _book(busy: list[Interval], span: Interval) -> None:
    """Add a span, joined with those it touches."""
    at = bisect_left(busy, span)
    if at < len(busy) and busy[at][0] == span[1]:
        span = span[0], busy.pop(at)[1]
    if at and busy[at - 1][1] == span[0]:
        span = busy.pop(at - 1)[0], span[1]
        at -= 1
    busy.insert(at, span)
