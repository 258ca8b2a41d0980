"""A plan as it grows: each job and launch at its first free time, and what is taken by it."""

from bisect import bisect_left, insort
from collections.abc import Iterable, Mapping
from copy import copy
from dataclasses import replace
from functools import lru_cache

from yardwright.plan.alone import launch_begins
from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import (
    EVER,
    Stretches,
    both,
    crowded,
    either,
    first,
    outside,
    starts,
    within,
)
from yardwright.plan.problem import Boat, BoatId, Job, PersonId, Plan, Problem, Task, TaskId
from yardwright.plan.slots import SLOT_MIN, Found, Hands

WATCHED_MIN = 1440  # a learner does a job, watched, where that ends it a day sooner
TRIES = 40  # half hours at which a learner and a watcher are brought together


class Stuck(Exception):  # noqa: N818 - no error: another order may do
    """Placed in this order, a boat finds no room before the season ends. That proves nothing."""

    def __init__(self, boat: BoatId) -> None:
        super().__init__(f"{boat} finds no room in this order; place her sooner.")
        self.boat = boat


class _Full:
    """What a few can have at once: lifts of a kind, places for looks. Spans that are taken."""

    def __init__(self, count: int, taken: Stretches) -> None:
        self.count = count
        self.spans: list[Interval] = []
        self.longest = 0
        for span in taken:
            self.take(span)

    def busy_until(self, span: Interval) -> Minute | None:
        """When all are taken in a span, the first minute that may do; None: there is room."""
        low = bisect_left(self.spans, (span[0] - self.longest, 0))
        high = bisect_left(self.spans, (span[1], 0))
        near = [one for one in self.spans[low:high] if one[1] > span[0]]
        if len(near) < self.count:
            return None
        full = within(crowded(near, self.count), *span)
        return full[-1][1] if full else None

    def take(self, span: Interval) -> None:
        """Book one."""
        insort(self.spans, span)
        self.longest = max(self.longest, span[1] - span[0])

    def copy(self) -> "_Full":
        """Another, taken alike."""
        other = copy(self)
        other.spans = list(self.spans)
        return other


class Placing:
    """A plan as it grows, and what is taken by it."""

    def __init__(
        self,
        problem: Problem,
        may_move: frozenset[BoatId],
        wait_min: Mapping[PersonId, float],
        early_days: Mapping[BoatId, float],
    ) -> None:
        self.problem, self.may_move, self.wait_min = problem, may_move, wait_min
        self.early_days = early_days
        self.jobs: dict[TaskId, Job] = {}
        self.launches: dict[BoatId, Minute] = {}
        self.asides: dict[BoatId, Minute] = {}
        self.hands = {person.id: Hands(person) for person in problem.people}
        self.may_do = _may_do(problem)
        self.lifts = {lift.id: _Full(lift.count, lift.taken) for lift in problem.lifts}
        looks = problem.looks
        self.looks = _Full(looks.at_once, looks.taken) if looks else None
        self.watched: dict[PersonId, list[Interval]] = {}
        self.on_her: dict[BoatId, list[Job]] = {boat.id: [] for boat in problem.boats}
        self.stays: frozenset[TaskId] = frozenset()  # jobs that are not placed otherwise

    @property
    def plan(self) -> Plan:
        """What is placed so far."""
        return Plan(self.jobs, self.launches, self.asides)

    def keep(self, plan: Plan) -> None:
        """All of a plan stays as it is."""
        for key, job in plan.jobs.items():
            self.book(self.problem.task[key], job)
        for goes_in, begins in plan.launches.items():
            self.take_launch(self.problem.boat[goes_in], begins)
        for moved, begins in plan.asides.items():
            boat = self.problem.boat[moved]
            self.asides[boat.id] = begins
            self.lifts[boat.lift].take((begins, begins + (boat.aside_min or 0)))

    def without(self, jobs: Iterable[TaskId], launches: Iterable[BoatId]) -> "Placing":
        """Another in which some is not placed any more, and the other jobs stay."""
        other = copy(self)
        other.jobs, other.launches = dict(self.jobs), dict(self.launches)
        other.hands = {key: hands.copy() for key, hands in self.hands.items()}
        other.lifts = {key: lift.copy() for key, lift in self.lifts.items()}
        other.looks = self.looks.copy() if self.looks else None
        other.watched = {key: list(spans) for key, spans in self.watched.items()}
        other.on_her = {key: list(placed) for key, placed in self.on_her.items()}
        for task in jobs:
            other.unbook(self.problem.task[task])
        for key in launches:
            other.free_launch(self.problem.boat[key])
        other.stays = frozenset(other.jobs)
        return other

    def has_lift(self, boat: Boat, begins: Minute) -> bool:
        """Whether a lift, and a place for looks, is free for a launch of hers in a minute."""
        over = begins + boat.launch_min
        if self.lifts[boat.lift].busy_until((begins - boat.carry_min, over)) is not None:
            return False
        looks = self.looks if boat.looks_min else None
        return looks is None or looks.busy_until((over, over + boat.looks_min)) is None

    def take_launch(self, boat: Boat, begins: Minute) -> None:
        """Her launch in a minute, with the lift and a place for looks."""
        over = begins + boat.launch_min
        self.launches[boat.id] = begins
        self.lifts[boat.lift].take((begins - boat.carry_min, over))
        if self.looks and boat.looks_min:
            self.looks.take((over, over + boat.looks_min))

    def free_launch(self, boat: Boat) -> None:
        """Her launch is not placed any more."""
        begins = self.launches.pop(boat.id)
        over = begins + boat.launch_min
        self.lifts[boat.lift].spans.remove((begins - boat.carry_min, over))
        if self.looks and boat.looks_min:
            self.looks.spans.remove((over, over + boat.looks_min))

    def place(self, boat: Boat) -> None:
        """All of a boat's jobs, the way out of her row, and her launch."""
        if boat.id in self.launches:
            self._work_afloat(boat, overtime=boat.id in self.early_days)
            return
        ready = self._work(boat, overtime=False)
        if not boat.goes_in:
            return
        if self._is_short_of_days(boat, ready):
            self._back(boat)
            ready = self._work(boat, overtime=True)
        self._clear(boat, ready)
        self._launch(boat, ready)
        late = boat.id in self.early_days and self._would_be_late(boat, ready)
        self._work_afloat(boat, overtime=late)

    def _is_short_of_days(self, boat: Boat, ready: Minute) -> bool:
        """Whether overtime is worth it: she would be late, or ready too short before her day."""
        early_days = self.early_days.get(boat.id)
        if early_days is None or boat.promised is None:
            return False
        short = self.problem.days.day(ready) + early_days > boat.promised
        return short or self._would_be_late(boat, ready)

    def _would_be_late(self, boat: Boat, ready: Minute) -> bool:
        """Whether she would be late even with nobody in front of her and the lift free."""
        if boat.promised is None:
            return False
        start = self.launches.get(boat.id)
        if start is None:
            start = first(launch_begins(self.problem, boat), self._meets_water(boat, ready))
        if start is None:
            return True
        afloat = sum(task.minutes for task in self.problem.afloat(boat.id))
        over = start + boat.launch_min + max(boat.watch_min, afloat)
        return self.problem.days.day(over) > boat.promised

    def _back(self, boat: Boat) -> None:
        """Her work ashore is not placed any more."""
        for task in self.problem.ashore(boat.id):
            if task.id not in self.stays:
                self.unbook(task)

    def unbook(self, task: Task) -> None:
        """A job is not placed any more."""
        job = self.jobs.pop(task.id)
        self.on_her[task.boat].remove(job)
        self.hands[job.person].give_back((job.start, job.end))
        if job.watcher is not None:
            self._watches_no_more(job.watcher, (job.start, job.end))

    def _watches_no_more(self, key: PersonId, span: Interval) -> None:
        self.watched[key].remove(span)
        self.hands[key].give_back(span, watching=True)

    def _work(self, boat: Boat, *, overtime: bool) -> Minute:
        """When the last of her jobs ashore is done."""
        ready = 0
        for task in self.problem.ashore(boat.id):
            if task.id not in self.jobs:
                self._job(task, 0, overtime=overtime)
            ready = max(ready, self.jobs[task.id].end)
        return ready

    def _work_afloat(self, boat: Boat, *, overtime: bool) -> None:
        over = self.launches[boat.id] + boat.launch_min
        for task in self.problem.afloat(boat.id):
            if task.id not in self.jobs:
                self._job(task, over, overtime=overtime)

    def _job(self, task: Task, ready: Minute, *, overtime: bool) -> None:
        """Place a job with whoever is done first, those less in demand favoured."""
        for before in task.after:
            if before not in self.jobs:
                self._work(self.problem.boat[self.problem.task[before].boat], overtime=False)
        ready = max([ready, task.not_before, *(self.jobs[before].end for before in task.after)])
        boat = self.problem.boat[task.boat]
        while True:
            job = self._by_somebody(task, ready, overtime=overtime)
            until = self.too_many(boat, job)
            if until is None:
                break
            ready = until
        self.book(task, job)

    def book(self, task: Task, job: Job) -> None:
        """Place a job."""
        self.jobs[task.id] = job
        self.on_her[task.boat].append(job)
        self.hands[job.person].take((job.start, job.end))
        if job.watcher is not None:
            self.watched.setdefault(job.watcher, []).append((job.start, job.end))
            self.hands[job.watcher].take((job.start, job.end), watching=True)

    def too_many(self, boat: Boat, job: Job) -> Minute | None:
        """When there are hands enough on her, or she is not on the move; None: there are."""
        on_her = self.on_her[boat.id]
        if len(on_her) >= boat.hands:
            start, end = job.start, job.end
            spans = [(a.start, a.end) for a in on_her if a.start < end and start < a.end]
            full = within(crowded(spans, boat.hands), job.start, job.end)
            if full:
                return full[0][1]
        if boat.id in self.asides:
            moved = self.asides[boat.id], self.asides[boat.id] + (boat.aside_min or 0)
            if job.start < moved[1] and moved[0] < job.end:
                return moved[1]
        return None

    def _by_somebody(self, task: Task, ready: Minute, *, overtime: bool) -> Job:
        may, learn = self.may_do[task.trade]
        apart = (self.jobs[one] for one in self.problem.apart.get(task.id, ()) if one in self.jobs)
        others = frozenset(key for job in apart for key in job.hands)
        count = -(-task.minutes // SLOT_MIN)
        best: tuple[PersonId, Found] | None = None
        soonest = float(EVER)
        for key in may:
            wait_min = self.wait_min.get(key, 0)
            until = soonest - wait_min
            found = self.hands[key].first(count, ready, overtime=overtime, until=until)
            if found and found.over < until and key not in others:
                soonest, best = found.over + wait_min, (key, found)
        for key in () if task.not_by else learn:
            job = self._watched_job(task, key, ready, others) if key not in others else None
            if job and job.end + WATCHED_MIN < soonest:
                return job
        if best is None:
            raise Stuck(task.boat)
        return self.hands[best[0]].job(best[1], task.minutes)

    def _watched_job(
        self, task: Task, learner: PersonId, ready: Minute, others: frozenset[PersonId]
    ) -> Job | None:
        """By one who learns it, while somebody of the trade watches all of it, none of others."""
        for _ in range(TRIES):
            found = self.hands[learner].first(-(-task.minutes // SLOT_MIN), ready, overtime=False)
            if found is None:
                return None
            job = self.hands[learner].job(found, task.minutes)
            for key in self.may_do[task.trade][0]:
                if key not in (learner, *others) and self._can_watch(
                    key, learner, (job.start, job.end)
                ):
                    return replace(job, watcher=key)
            ready = job.start + SLOT_MIN
        return None

    def _can_watch(self, key: PersonId, learner: PersonId, span: Interval) -> bool:
        person = self.problem.person[key]
        works = within(self.problem.person[learner].works, *span)
        here = sum(end - start for start, end in within(person.works, *span))
        there = sum(end - start for part in works for start, end in within(person.works, *part))
        if not here or there < sum(end - start for start, end in works):
            return False
        watches = sum(a < span[1] and span[0] < b for a, b in self.watched.get(key, ()))
        return self.hands[key].has_no_job(span) and watches < person.may_watch

    def _meets_water(self, boat: Boat, ready: Minute) -> Minute:
        dry = (self.jobs[task.id].end + task.dry_min for task in self.problem.ashore(boat.id))
        return max([ready + boat.carry_min, *dry])

    def _launch(self, boat: Boat, ready: Minute) -> None:
        """Her launch, not before she is ready and her way is clear."""
        start = self.goes_in(boat, self.clear_at(boat, ready))
        for task in self.problem.ashore(boat.id):
            if task.within_min is not None and start - self.jobs[task.id].end > task.within_min:
                raise Stuck(boat.id)
        self.launches[boat.id] = start

    def clear_at(self, boat: Boat, ready: Minute) -> Minute:
        """When she could meet the water, her work done and dry and nobody in front of her."""
        if boat.id in self.asides:
            clear = [self._gone(boat)]
        else:
            clear = [self._gone(front) for front in self.problem.in_front[boat.id]]
        return max(self._meets_water(boat, ready), boat.carry_min + max(clear, default=0))

    def _clear(self, boat: Boat, ready: Minute) -> None:
        """Get those in front out of the way, aisle first."""
        if boat.id in self.asides:
            return
        days = self.problem.days
        clear = days.midnight(max(0, days.day(ready) - 1))
        for front in self.problem.in_front[boat.id]:
            if front.id in self.launches or front.id in self.asides:
                pass
            elif front.id in self.may_move and front.aside_min is not None:
                self._move(front, clear)
            elif front.goes_in:
                self.place(front)
            else:
                raise Stuck(front.id)
            clear = max(clear, self._gone(front))

    def _gone(self, boat: Boat) -> Minute:
        if boat.id in self.asides:
            return self.asides[boat.id] + (boat.aside_min or 0)
        return self.launches[boat.id] + boat.launch_min

    def _move(self, boat: Boat, ready: Minute) -> None:
        """Aside, not while somebody is on her."""
        minutes = boat.aside_min or 0
        busy = [(job.start, job.end) for job in self.on_her[boat.id]]
        idle = outside(either(busy), self.problem.days.end)
        opens = both(_opens(self.problem.lift_opens(boat), minutes), starts(idle, minutes))
        self.asides[boat.id] = self._on_the_lift(boat, opens, ready, (0, minutes))

    def _on_the_lift(self, boat: Boat, opens: Stretches, ready: Minute, lasts: Interval) -> Minute:
        """Book a lift of her kind from before a minute to after it."""
        lift, (before, after) = self.lifts[boat.lift], lasts
        start = first(opens, ready)
        while start is not None:
            span = start - before, start + after
            busy = lift.busy_until(span)
            if busy is None:
                lift.take(span)
                return start
            start = first(opens, busy + before)
        raise Stuck(boat.id)

    def goes_in(self, boat: Boat, soonest: Minute) -> Minute:
        """A launch with a place for the looks after it."""
        opens, lasts = launch_begins(self.problem, boat), (boat.carry_min, boat.launch_min)
        if self.looks is None or not boat.looks_min:
            return self._on_the_lift(boat, opens, soonest, lasts)
        while True:
            start = self._on_the_lift(boat, opens, soonest, lasts)
            over = start + boat.launch_min
            looked = over, over + boat.looks_min
            busy = self.looks.busy_until(looked)
            if busy is None:
                self.looks.take(looked)
                return start
            self.lifts[boat.lift].spans.remove((start - boat.carry_min, over))
            soonest = busy - boat.launch_min


def _may_do(problem: Problem) -> Mapping[str, tuple[list[PersonId], list[PersonId]]]:
    """Of each trade who has it, those with fewest trades first, and who learns it."""
    people = sorted(problem.people, key=lambda one: len(one.trades))
    return {
        trade: (
            [p.id for p in people if trade in p.trades],
            [p.id for p in people if trade in p.learns],
        )
        for trade in {task.trade for task in problem.tasks}
    }


@lru_cache(maxsize=1024)
def _opens(lift: Stretches, minutes: int) -> Stretches:
    return starts(lift, minutes)
