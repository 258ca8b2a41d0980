"""Boats that give way: some are taken out of a plan together and put in again, Ink first."""

from collections import defaultdict
from collections.abc import Callable, Collection
from dataclasses import replace
from functools import partial
from random import Random
from time import monotonic

from yardwright.plan import checker
from yardwright.plan.change import beyond, changed
from yardwright.plan.days import Minute
from yardwright.plan.hours import within
from yardwright.plan.list_plan import by_promise
from yardwright.plan.placing import Placing
from yardwright.plan.problem import Boat, BoatId, Plan, Problem, Task, TaskId, handed_over
from yardwright.plan.turns import put_in_again, waits

EVER_DAYS = 10_000  # overtime may be worked wherever that ends a job sooner
GIVE_WAY = 0, 1, 2, 3, 4, 5, 10  # so many others give way
ROUND_MIN = 1440, 2 * 1440  # before and after a job's published minutes others give way
SLACK_DAYS = 30  # of a boat nobody was promised
MOVED = 3  # so much sooner a boat whose work has moved anyway
EASY_DAYS = 5  # a boat not in Ink gives way as if she had so many days more
NOISE_DAYS = 3  # of the order in which boats are put in
ALL_LATE = 0.2  # share of the turns in which all who are late are put in again together
IN_VAIN = 150  # turns
LOOK = 20  # turns that were kept, until the checker looks again


class GivingWay:
    """A plan that each turn may bring nearer to the published one, never farther.

    Nothing is put in sooner than it is published, nor sooner than now, and no boat is newly moved
    aside, and ``first`` stays as she is: she gives way to nobody. ``late`` are the boats later on
    their Ink than is published, ``moved`` those of which anything has moved.
    """

    def __init__(
        self,
        problem: Problem,
        published: Plan,
        plan: Plan,
        now: Minute,
        seed: int,
        first: BoatId | None = None,
    ) -> None:
        self.problem, self.published, self.now, self.first = problem, published, now, first
        self.dice = Random(seed)  # noqa: S311 - no secret
        self.rank = by_promise(problem)
        self.of_trade: defaultdict[str, list[Task]] = defaultdict(list)
        for task in problem.tasks:
            self.of_trade[task.trade].append(task)
        self.placing = Placing(
            _none_sooner(problem, published, now),
            frozenset(),
            {},
            dict.fromkeys(problem.boat, EVER_DAYS),
        )
        self.placing.keep(plan)
        self.held = self.placing
        self.late: set[BoatId] = set()
        self.moved: set[BoatId] = set()
        self._look_at(problem.boat)

    @property
    def plan(self) -> Plan:
        """As good as it is so far."""
        return self.placing.plan

    def go_on(self, until_s: float, stop: Callable[[], bool] = lambda: False) -> None:
        """Turn after turn for those late on their Ink, then for those that moved."""
        in_vain, kept = 0, 0
        while (self.late or self.moved) and in_vain < IN_VAIN and not stop():
            if monotonic() > until_s:
                break
            needy = sorted(self.late or self.moved)
            too = sorted(self.late) if self.dice.random() < ALL_LATE else []
            if not self.turn(self.dice.choice(needy), too):
                in_vain += 1
                continue
            in_vain, kept = 0, kept + 1
            if kept % LOOK == 0:
                self.holds()
        self.holds()

    def turn(self, needy: BoatId, too: Collection[BoatId] = ()) -> bool:
        """Take out a boat in need and some who can wait, put them in again; whether it is kept."""
        before = self.placing
        some = self._who_give_way(needy) | {key for key in too if waits(before, key, self.now)}
        if self.first in some:
            return False
        rank = {key: self.rank[key] + self.dice.gauss(0, NOISE_DAYS) for key in sorted(some)}
        pencilled = {key for key in some if self.problem.boat[key].ink is None}
        in_turn = sorted(some, key=lambda key: (key != needy, key in pencilled, rank[key], key))
        found = put_in_again(
            before, in_turn, partial(changed, self.problem, self.published), self.now
        )
        if found is None or self.first in found[1]:
            return False
        self.placing, touched = found
        self._look_at(touched)
        return True

    def holds(self) -> bool:
        """Whether the plan keeps every rule; if not, it is again the last that did."""
        if checker.broken(self.plan, self.problem):
            self.placing = self.held
            self._look_at(self.problem.boat)
            return False
        self.held = self.placing
        return True

    def _look_at(self, boats: Collection[BoatId]) -> None:
        """Which of these are late on their Ink, and which have moved."""
        problem, published, plan = self.problem, self.published, self.plan
        inked = (
            key for key in boats if problem.boat[key].goes_in and problem.boat[key].ink is not None
        )
        self.late = self.late.difference(boats) | {
            key for key in inked if beyond(problem, published, plan, key)
        }
        self.moved = self.moved.difference(boats) | {
            key for key in boats if self._has_anything_moved(key)
        }

    def _has_anything_moved(self, key: BoatId) -> bool:
        launched = self.plan.launches.get(key) != self.published.launches.get(key)
        return launched or any(self._has_moved(task.id) for task in self.problem.jobs[key])

    def _who_give_way(self, needy: BoatId) -> set[BoatId]:
        """She, at times those in front, and some on whom such work is done when hers should be."""
        some = {needy}
        front = [b.id for b in self.problem.in_front[needy] if waits(self.placing, b.id, self.now)]
        if front and self.dice.random() < 0.5:
            some |= set(front[-self.dice.randint(0, len(front)) :])
        jobs = [task for key in sorted(some) for task in self.problem.jobs[key]]
        jobs = [task for task in jobs if self._is_ahead(task)]
        if moved := [task for task in jobs if self._has_moved(task.id)]:
            jobs = moved
        if not jobs:
            return some
        wanted = self.dice.choice(jobs)
        job = self.published.jobs.get(wanted.id, self.placing.jobs[wanted.id])
        before, after = (self.dice.uniform(0, most) for most in ROUND_MIN)
        low, high = job.start - before, job.end + after
        spare: defaultdict[BoatId, float] = defaultdict(float)
        for task in self.of_trade[wanted.trade]:
            at = self.placing.jobs[task.id]
            if at.end > low and at.start < high:
                boat = self.problem.boat[task.boat]
                weight = MOVED if self._has_moved(task.id) else 1
                spare[boat.id] += self.dice.random() * self._days_to_spare(boat) * weight
        most = self.dice.choice(GIVE_WAY)
        return some | set(sorted(spare, key=lambda key: -spare[key])[:most])

    def _has_moved(self, key: TaskId) -> bool:
        was = self.published.jobs.get(key)
        return was is None or was.start != self.placing.jobs[key].start

    def _days_to_spare(self, boat: Boat) -> float:
        if boat.promised is None or not boat.goes_in:
            return SLACK_DAYS
        over = handed_over(self.problem, self.placing.plan, boat)
        spare = max(0.1, boat.promised - self.problem.days.day(over))
        return spare if boat.ink is not None else spare + EASY_DAYS

    def _is_ahead(self, task: Task) -> bool:
        return self.placing.jobs[task.id].start >= self.now


def _none_sooner(problem: Problem, published: Plan, now: Minute) -> Problem:
    """The same with nothing sooner than it is published, nor sooner than now."""
    was = {key: job.start for key, job in published.jobs.items()}
    tasks = (
        replace(task, not_before=max(task.not_before, now, was.get(task.id, 0)))
        for task in problem.tasks
    )
    boats = (
        replace(
            boat,
            water=within(
                boat.water,
                max(now + boat.carry_min, published.launches.get(boat.id, 0)),
                problem.days.end,
            ),
        )
        for boat in problem.boats
    )
    return replace(problem, tasks=tuple(tasks), boats=tuple(boats))


_asked: list[tuple[Problem, Plan, Minute]] = []  # in a process of its own: of what it knows


def know(problem: Problem, published: Plan, now: Minute) -> None:
    """What a process of its own is told once."""
    _asked.append((problem, published, now))


def given_way(plan: Plan, seconds: float, until_s: float, seed: int) -> Plan:
    """In such a process: a plan after so many seconds of turns, and at most until then."""
    problem, published, now = _asked[-1]
    giving = GivingWay(problem, published, plan, now, seed)
    giving.go_on(min(until_s, monotonic() + seconds))
    return giving.plan
