"""A plan set right at once, without a solver: what can't stay goes where there is room."""

from bisect import insort
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import product

from yardwright.plan.alone import launch_begins
from yardwright.plan.asides import leaves, worked_on
from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import Stretches, both, crowded, first, outside, starts, within
from yardwright.plan.line import begins
from yardwright.plan.parts import Part, followers
from yardwright.plan.problem import (
    Boat,
    BoatId,
    Job,
    PersonId,
    Plan,
    Problem,
    Task,
    TaskId,
    handed_over,
)

LAST = 1 << 40
MORE_MIN = 1440  # of slack, for a job to give way to another


class NoRoom(Exception):  # noqa: N818 - no error: the solver may find some
    """Kept in this order, something finds no room before the season ends."""


def hit(problem: Problem, published: Plan) -> Part:
    """What can't stay as published: its people are away, its kit late, its lift shut, or it is new.

    A boat is hit by her launch or by her move aside.

    Parameters
    ----------
    problem : Problem
        What is asked now.
    published : Plan
        The plan that people know. Jobs and boats may have been added to the problem since.

    Returns
    -------
    Part
        Jobs and boats that break a rule by themselves, whatever the others do.
    """
    tasks = (t.id for t in problem.tasks if not _can_stay(problem, t, published.jobs.get(t.id)))
    boats = {b.id for b in problem.going_in if not _can_go_in(problem, b, published)}
    moved = (b for b in problem.boats if b.id in published.asides)
    boats |= {b.id for b in moved if not _can_be_moved(problem, b, published.asides[b.id])}
    return Part(frozenset(tasks), frozenset(boats))


def repaired(
    problem: Problem, published: Plan, loose: Part, now: Minute, *, soonest: bool = False
) -> Plan:
    """The published plan with what is loose put in again, in the published order, none sooner.

    Parameters
    ----------
    problem : Problem
        What is asked now.
    published : Plan
        The plan that people know.
    loose : Part
        What is put in again; what it pushes away comes loose too.
    now : int
        Nothing is put in before. [min]
    soonest : bool
        Whether a job goes where it ends soonest rather than first of all to its published minute.

    Returns
    -------
    Plan
        As a rule it keeps every rule; ``checker.broken`` is the authority.

    Raises
    ------
    NoRoom
        Something finds no room.
    """
    return _Repair(problem, published, now, soonest=soonest).done(loose)


def _can_stay(problem: Problem, task: Task, job: Job | None) -> bool:
    if job is None or job.person not in problem.person:
        return False
    person = problem.person[job.person]
    clock = person.hours(overtime=job.overtime)
    worked = clock.worked_by(job.end) - clock.worked_by(job.start)
    ends = clock.worked_by(job.start + 1) - clock.worked_by(job.start)
    ends += clock.worked_by(job.end) - clock.worked_by(job.end - 1)
    fits = worked == task.minutes and ends == 2 and job.start >= task.not_before
    if not fits or job.watcher is None:
        return fits and task.trade in person.trades
    watcher = problem.person.get(job.watcher)
    if watcher is None or task.trade not in watcher.trades or not person.may_do(task):
        return False
    there = watcher.hours(overtime=job.overtime)
    return both(within(clock.opens, job.start, job.end), there.opens) == within(
        clock.opens, job.start, job.end
    )


def _can_go_in(problem: Problem, boat: Boat, published: Plan) -> bool:
    at = published.launches.get(boat.id)
    return at is not None and first(launch_begins(problem, boat), at) == at


def _can_be_moved(problem: Problem, boat: Boat, at: Minute) -> bool:
    return first(_aside_begins(problem, boat), at) == at


def _aside_begins(problem: Problem, boat: Boat) -> Stretches:
    """When a boat could be moved aside by lift and ground; never, where she can't be at all."""
    if boat.aside_min is None:
        return ()
    return starts(problem.lift_opens(boat), boat.aside_min)


JOB, ASIDE, LAUNCH = range(3)
Booked = tuple[Minute, Minute, TaskId]
Thing = tuple[int, str]  # which of the three, and its id
Event = tuple[Minute, int, str]  # when published, and the thing


@dataclass(slots=True)
class _Repair:
    problem: Problem
    published: Plan
    now: Minute
    soonest: bool
    at: Minute = 0  # when that is published which is put in now
    jobs: dict[TaskId, Job] = field(default_factory=dict)
    launches: dict[BoatId, Minute] = field(default_factory=dict)
    asides: dict[BoatId, Minute] = field(default_factory=dict)
    busy: defaultdict[PersonId, list[Booked]] = field(default_factory=lambda: defaultdict(list))
    slack_min: dict[BoatId, int] = field(default_factory=dict)
    queue: list[Event] = field(default_factory=list)
    waiting: dict[Thing, Minute] = field(default_factory=dict)  # and until when
    anew: dict[TaskId, Minute] = field(default_factory=dict)  # paint that stood too long, from when
    after: Mapping[TaskId, list[TaskId]] = field(default_factory=dict)

    def done(self, loose: Part) -> Plan:
        """The plan, once nothing waits any more."""
        self.after = followers(self.problem)
        self.slack_min = {boat.id: self._slack_min(boat) for boat in self.problem.boats}
        for task in self.problem.tasks:
            job = self.published.jobs.get(task.id)
            if job is None or task.id in loose.tasks:
                self._wait((JOB, task.id), self._when(task))
            else:
                self._book(task.id, job)
        for boat in self.problem.boats:
            self._aside(boat)
        for boat in self.problem.going_in:
            at = self.published.launches.get(boat.id)
            if at is None or boat.id in loose.boats:
                self._wait((LAUNCH, boat.id), LAST if at is None else at)
            else:
                self.launches[boat.id] = at
        while self.queue:
            self.at, kind, key = heappop(self.queue)
            del self.waiting[kind, key]
            if kind == JOB:
                self._does(self.problem.task[TaskId(key)])
            elif kind == ASIDE:
                self._moves(self.problem.boat[BoatId(key)])
            else:
                self._goes_in(self.problem.boat[BoatId(key)])
        return Plan(self.jobs, self.launches, self.asides)

    def _slack_min(self, boat: Boat) -> int:
        """How much later than published she may be and keep her day."""
        jobs = self.problem.afloat(boat.id)
        known = boat.id in self.published.launches and all(
            t.id in self.published.jobs for t in jobs
        )
        if boat.promised is None or not boat.goes_in or not known:
            return LAST if boat.promised is None else 0
        over = handed_over(self.problem, self.published, boat)
        days = self.problem.days
        return days.midnight(max(days.day(over), boat.promised) + 1) - over

    def _when(self, task: Task) -> Minute:
        """When a job is published, or would be: before its boat goes in."""
        job = self.published.jobs.get(task.id)
        if job is not None:
            return job.start
        return self.published.launches.get(task.boat, LAST) + 1 if task.afloat else self.now

    def _wait(self, thing: Thing, at: Minute) -> None:
        if thing not in self.waiting:
            self.waiting[thing] = at
            heappush(self.queue, (at, *thing))

    def _last_of(self, ahead: Iterable[Thing]) -> Minute | None:
        """When the last of those ahead that wait too will have been put in; None: none waits."""
        return max((self.waiting[one] + 1 for one in ahead if one in self.waiting), default=None)

    def _book(self, key: TaskId, job: Job) -> None:
        self.jobs[key] = job
        insort(self.busy[job.person], (job.start, job.end, key))
        if job.watcher is not None:
            insort(self.busy[job.watcher], (job.start, job.end, key))

    def _unbook(self, key: TaskId) -> None:
        job = self.jobs.pop(key)
        self.busy[job.person].remove((job.start, job.end, key))
        if job.watcher is not None:
            self.busy[job.watcher].remove((job.start, job.end, key))

    def _undo(self, key: TaskId) -> None:
        """A job is to be put in again."""
        self._unbook(key)
        self._wait((JOB, key), self._when(self.problem.task[key]))

    def _does(self, task: Task) -> None:
        boat = self.problem.boat[task.boat]
        ahead = [(JOB, one) for one in task.after]
        if (until := self._last_of([*ahead, *([(LAUNCH, boat.id)] * task.afloat)])) is not None:
            self._wait((JOB, task.id), until)
            return
        ready = max([task.not_before, self.now, *(self.jobs[one].end for one in task.after)])
        ready = max(ready, self.anew.get(task.id, 0))
        if task.id in self.published.jobs:
            ready = max(ready, self.published.jobs[task.id].start)
        if task.afloat:
            ready = max(ready, self.launches[boat.id] + boat.launch_min)
        self._book(task.id, self._job(task, ready))
        end = self.jobs[task.id].end
        for key in self.after.get(task.id, ()):
            if key in self.jobs and self.jobs[key].start < end:
                self._undo(key)
        if boat.id in self.launches and not task.afloat:
            at = self.launches[boat.id]
            if at < max(end + boat.carry_min, end + task.dry_min):
                self._wait((LAUNCH, boat.id), self.launches.pop(boat.id))

    def _job(self, task: Task, ready: Minute) -> Job:
        """Where there is room; where that is too late, in place of jobs that have more slack."""
        job = self._best(task, ready, displacing=False)
        was = self.published.jobs.get(task.id)
        slack_min = self.slack_min[task.boat]
        if self.soonest or (job and was and job.end - was.end < min(slack_min, 1440)):
            displacing = None
        else:
            displacing = self._best(task, ready, displacing=True)
        if displacing and (job is None or displacing.end < job.end):
            for start, end, key in list(self.busy[displacing.person]):
                if start < displacing.end and displacing.start < end:
                    self._undo(key)
            return displacing
        if job is None:
            raise NoRoom(task.id)
        return job

    def _best(self, task: Task, ready: Minute, *, displacing: bool) -> Job | None:
        while True:
            offers = self._offers(task, ready, displacing=displacing)
            job = min(offers, key=lambda job: self._price(task, job), default=None)
            full = None if job is None else self._too_many(task, job)
            if full is None:
                return job
            ready = full

    def _offers(self, task: Task, ready: Minute, *, displacing: bool) -> Iterator[Job]:
        apart = (self.jobs[one] for one in self.problem.apart.get(task.id, ()) if one in self.jobs)
        others = {key for job in apart for key in job.hands}
        for person, overtime in product(self.problem.people, (False, True)):
            able = task.trade in person.trades and person.id not in others
            if not able or (overtime and not person.overtime):
                continue
            clock = person.hours(overtime=overtime)
            busy = [
                (start, end)
                for start, end, key in self.busy[person.id]
                if not (displacing and self._gives_way(key, task))
            ]
            piece = next(begins(clock, task.minutes, (ready, self.problem.days.end), busy), None)
            if piece is not None:
                start = piece.begins[0]
                yield Job(person.id, start, start + piece.lasts, overtime=overtime)

    def _gives_way(self, key: TaskId, task: Task) -> bool:
        """Whether a job has not begun and days more of slack than another."""
        job, other = self.jobs[key], self.problem.task[key]
        more = self.slack_min[other.boat] - self.slack_min[task.boat]
        return more >= MORE_MIN and job.start >= self.now and job.watcher is None

    def _price(self, task: Task, job: Job) -> tuple[bool, int, bool, bool]:
        was = self.published.jobs.get(task.id)
        moved = was is None or job.start != was.start
        other = was is None or job.person != was.person
        return moved and not self.soonest, job.end, job.overtime, other

    def _too_many(self, task: Task, job: Job) -> Minute | None:
        """When there are hands enough on her again, and she is not on the move."""
        boat = self.problem.boat[task.boat]
        spans = [(one.start, one.end) for one in self._on_her(boat)]
        full = within(crowded(spans, boat.hands), job.start, job.end)
        if boat.id in self.asides:
            moving = ((self.asides[boat.id], self._gone(boat)),)
            full = full or within(moving, job.start, job.end)
        return full[-1][1] if full else None

    def _on_her(self, boat: Boat) -> Iterator[Job]:
        return (self.jobs[t.id] for t in self.problem.jobs[boat.id] if t.id in self.jobs)

    def _aside(self, boat: Boat) -> None:
        """Her move aside as published, or later where it can't be made then.

        One that stays, or by the published plan leaves later than one behind her, is newly moved,
        in the day before the first of these leaves.
        """
        at = self.published.asides.get(boat.id)
        if at is not None and _can_be_moved(self.problem, boat, at):
            self.asides[boat.id] = at
            return
        if at is None and (not boat.goes_in or boat.id in self.published.launches):
            goes = leaves(self.problem, self.published, boat.id)
            behind = self.problem.behind[boat.id]
            out = (leaves(self.problem, self.published, other.id) for other in behind)
            at = min((minute - 1440 for minute in out if minute < goes), default=None)
        if at is not None and boat.aside_min is not None:
            self._wait((ASIDE, boat.id), at)

    def _leaves(self, boat: Boat) -> Thing:
        """What takes a boat from her place."""
        moved = boat.id in self.asides or (ASIDE, boat.id) in self.waiting
        return (ASIDE if moved else LAUNCH), boat.id

    def _gone(self, boat: Boat) -> Minute:
        """When a boat has left her place."""
        if boat.id in self.asides:
            return self.asides[boat.id] + (boat.aside_min or 0)
        if boat.id not in self.launches:
            raise NoRoom(boat.id)
        return self.launches[boat.id] + boat.launch_min

    def _let_out(self, boat: Boat) -> None:
        """Those behind her who would leave before she is gone leave later."""
        over = self._gone(boat)
        for behind in self.problem.behind[boat.id]:
            if self.asides.get(behind.id, over) < over:
                self._wait((ASIDE, behind.id), self.asides.pop(behind.id))
            elif self._leaves(behind)[0] == LAUNCH:
                self._not_before(behind, over)

    def _not_before(self, boat: Boat, minute: Minute) -> None:
        """A launch that is put in goes in again where she would be fetched sooner."""
        if self.launches.get(boat.id, LAST) - boat.carry_min < minute:
            self._wait((LAUNCH, boat.id), self.launches.pop(boat.id))

    def _moves(self, boat: Boat) -> None:
        in_front = self.problem.in_front[boat.id]
        if (until := self._last_of(self._leaves(front) for front in in_front)) is not None:
            self._wait((ASIDE, boat.id), until)
            return
        wanted = self.published.asides.get(boat.id, self.at)
        ready = max([self.now, wanted, *map(self._gone, in_front)])
        idle = outside(worked_on(self.problem, self.jobs, boat.id), self.problem.days.end)
        lift, minutes = self.problem.lift[boat.lift], boat.aside_min or 0
        free = outside(crowded(self._lifted(boat), lift.count), self.problem.days.end)
        opens = both(_aside_begins(self.problem, boat), starts(both(idle, free), minutes))
        at = first(opens, ready)
        if at is None:
            raise NoRoom(boat.id)
        self.asides[boat.id] = at
        self._not_before(boat, at + minutes)
        self._let_out(boat)

    def _goes_in(self, boat: Boat) -> None:
        ashore = list(self.problem.ashore(boat.id))
        moved = self._leaves(boat)[0] == ASIDE
        ahead = [boat] if moved else self.problem.in_front[boat.id]
        waits = [*map(self._leaves, ahead), *((JOB, task.id) for task in ashore)]
        if (until := self._last_of(waits)) is not None:
            self._wait((LAUNCH, boat.id), until)
            return
        ready = max([self.now, self.published.launches.get(boat.id, 0) - boat.carry_min])
        ready = max([ready, *map(self._gone, ahead), *(self.jobs[task.id].end for task in ashore)])
        dry = (self.jobs[task.id].end + task.dry_min for task in ashore)
        at = self._room(boat, max([ready + boat.carry_min, *dry]))
        if self._stood_too_long(ashore, at):
            self._wait((LAUNCH, boat.id), at)
            return
        self.launches[boat.id] = at
        over = at + boat.launch_min
        for task in self.problem.afloat(boat.id):
            if task.id in self.jobs and self.jobs[task.id].start < over:
                self._undo(task.id)
        if not moved:
            self._let_out(boat)

    def _stood_too_long(self, ashore: Iterable[Task], at: Minute) -> bool:
        """Whether paint would be too old when she meets the water; then it is put on later."""
        old = [t for t in ashore if t.within_min and self.jobs[t.id].end + t.within_min < at]
        for task in old:
            if self.jobs[task.id].start < self.now:
                raise NoRoom(task.id)
            self.anew[task.id] = at - (task.within_min or 0) - task.minutes
            self._undo(task.id)
        return bool(old)

    def _room(self, boat: Boat, ready: Minute) -> Minute:
        opens = launch_begins(self.problem, boat)
        at = first(opens, ready)
        while at is not None:
            full = self._taken(boat, at)
            if full is None:
                return at
            at = first(opens, full)
        raise NoRoom(boat.id)

    def _taken(self, boat: Boat, at: Minute) -> Minute | None:
        """When a lift and a place for looks are free again; None: they are."""
        lift, span = self.problem.lift[boat.lift], (at - boat.carry_min, at + boat.launch_min)
        if full := within(crowded(self._lifted(boat), lift.count), *span):
            return full[-1][1] + boat.carry_min
        looks, looked = self.problem.looks, (span[1], span[1] + boat.looks_min)
        if looks and boat.looks_min:
            others = (self.problem.boat[key] for key in self.launches)
            spans = [self._looked_after(one) for one in others if one.looks_min]
            spans += looks.taken
            near = [one for one in spans if one[0] < looked[1] and looked[0] < one[1]]
            if full := within(crowded(near, looks.at_once), *looked):
                return full[-1][1] - boat.launch_min
        return None

    def _looked_after(self, boat: Boat) -> Interval:
        over = self.launches[boat.id] + boat.launch_min
        return over, over + boat.looks_min

    def _lifted(self, but: Boat) -> Iterator[Interval]:
        yield from self.problem.lift[but.lift].taken
        for key, at in self.launches.items():
            boat = self.problem.boat[key]
            if boat.lift == but.lift and key != but.id:
                yield at - boat.carry_min, at + boat.launch_min
        for key, at in self.asides.items():
            boat = self.problem.boat[key]
            if boat.lift == but.lift:
                yield at, at + (boat.aside_min or 0)
