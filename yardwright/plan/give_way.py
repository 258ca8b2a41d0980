"""Boats that give way: some are taken out of a plan together and put in again, the late first."""

from collections import defaultdict
from collections.abc import Callable, Collection
from dataclasses import replace
from random import Random

from yardwright.plan import checker
from yardwright.plan.days import Minute
from yardwright.plan.hours import within
from yardwright.plan.list_plan import Placing, Stuck, by_promise
from yardwright.plan.problem import Boat, BoatId, Plan, Problem, Task, TaskId, handed_over
from yardwright.plan.turns import put_in_again, waits

EVER_DAYS = 10_000  # overtime may be worked wherever that ends a job sooner
GIVE_WAY = 0, 1, 2, 3, 4, 5, 10  # so many others give way
ROUND_MIN = 1440, 2 * 1440  # before and after a job's published minutes others give way
SLACK_DAYS = 30  # of a boat nobody was promised
MOVED = 3  # so much sooner a boat whose work has moved anyway
EASY_DAYS = 5  # a boat not in Ink gives way as if she had so many days more

Price = Callable[[Plan, Collection[BoatId]], tuple[int, ...]]


class GivingWay:
    """A plan that each turn may bring nearer to the published one, never farther.

    Nothing is put in sooner than it is published, nor sooner than now, and no boat is newly moved
    aside. ``price`` is what the change of some boats costs those who know the published plan.
    """

    def __init__(
        self, problem: Problem, published: Plan, plan: Plan, now: Minute, price: Price, seed: int
    ) -> None:
        self.problem, self.published, self.now, self.price = problem, published, now, price
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

    @property
    def plan(self) -> Plan:
        """As good as it is so far."""
        return self.placing.plan

    def turn(self, needy: BoatId, too: Collection[BoatId] = ()) -> bool:
        """Take out a boat in need and some who can wait, put them in again; whether it is kept."""
        before = self.placing
        some = self._who_give_way(needy) | {key for key in too if waits(before, key, self.now)}
        in_turn = sorted(some, key=lambda key: (key != needy, self.rank[key], key))
        try:
            placing, touched = put_in_again(before, in_turn, self.now)
        except Stuck:
            return False
        kept = self.price(placing.plan, touched) <= self.price(before.plan, touched)
        self.placing = placing if kept else before
        return kept

    def holds(self) -> bool:
        """Whether the plan keeps every rule; if not, it is again the last that did."""
        if checker.broken(self.plan, self.problem):
            self.placing = self.held
            return False
        self.held = self.placing
        return True

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
