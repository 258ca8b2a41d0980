"""After a surprise: the smallest change of a published plan that keeps what can be kept."""

from collections import defaultdict
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, wait
from contextlib import contextmanager
from dataclasses import dataclass
from functools import partial
from random import Random
from time import monotonic

from yardwright.plan import checker
from yardwright.plan.change import LAUNCH, Cost, Diff, beyond, changed, different
from yardwright.plan.days import Day, Minute
from yardwright.plan.give_way import GivingWay, given_way, know
from yardwright.plan.line import short_line
from yardwright.plan.model_costs import Published
from yardwright.plan.parts import Part, followed, followers, nearest, of_tasks, whole
from yardwright.plan.past import past_changed
from yardwright.plan.problem import BoatId, Plan, Problem, TaskId, handed_over
from yardwright.plan.processes import pool
from yardwright.plan.repair import NoRoom, hit, repaired
from yardwright.plan.solver import Ends, Limits, improve

MOST = 260  # jobs in one part
ENOUGH = 60  # in which nothing better was found
FEW_HIT = 3  # jobs; around so few, what was hit is planned with more and more
GROWN = 0.4  # share of the time for it
FIRST = 0.85  # share for the first answer, where there is another
IN_VAIN = 8  # parts in which nothing better was found, before it is left at that
REACH_DAYS = (3, 3)
CIRCLES, CIRCLE_S = (0, 30, 60, 90, 120, 160, 200), 1.0  # jobs; those that moved in any case
GIVEN_WAY = 0.75  # share of the time until boats have given way
ROUND_S = 1.5  # of it, in each process; then all go on from the best
ROUNDS_IN_VAIN = 2
WORTH_S = 3.0  # that much time is to be left for processes to be started
ASK_S = 0.1  # how often it is asked whether to stop
MANY = 200  # moves: from there on small parts are put back to a proof, below large ones are tried
SMALL, SMALL_S, LARGE, LARGE_S = 60, 1.0, 140, 2.0  # jobs in such a part, and its time


@dataclass(frozen=True, slots=True)
class Option:
    """A checked plan, what it costs, and where it differs."""

    plan: Plan
    change: Cost
    diff: Diff


@dataclass(frozen=True, slots=True)
class Replanned:
    """The answer there was at once, the better one, and one with more moves and less Pencil."""

    at_once: Option | None
    better: Option | None
    other: Option | None


def replan(
    problem: Problem,
    published: Plan,
    *,
    now: Minute = 0,
    time_limit_s: float = 10.0,
    workers: int = 2,
    seed: int = 1,
    told: Callable[[Option], None] = lambda _option: None,
    stop: Callable[[], bool] = lambda: False,
) -> Replanned:
    """Change a published plan as little as serves.

    Least Ink beyond what is published, then fewest moves (a launch counts three), then Pencil
    beyond, then jobs handed to somebody else, then overtime.

    Parameters
    ----------
    problem : Problem
        What is asked now, the surprise in it.
    published : Plan
        The plan that people know.
    now : int
        What began before stays, unless it can't. [min]
    time_limit_s : float
        When to answer at the latest. [s]
    workers : int
        Threads of the solver, and processes in which boats give way.
    seed : int
        Same seed, same choices; where the time runs out still depends on the machine.
    told : callable
        Told each plan that is better than those before, the first one at once.
    stop : callable
        Asked ten times a second; once true, the best so far is the answer.

    Returns
    -------
    Replanned
        Each plan in it has passed ``checker.broken``; none where nothing was found.
    """
    return _Asked(problem, published, now, time_limit_s, workers, seed, told, stop).answer()


class _Asked:
    """One surprise: what is known of it, and the best answers so far."""

    def __init__(
        self,
        problem: Problem,
        published: Plan,
        now: Minute,
        time_limit_s: float,
        workers: int,
        seed: int,
        told: Callable[[Option], None],
        stop: Callable[[], bool],
    ) -> None:
        self.problem, self.published, self.now = problem, published, now
        self.time_limit_s, self.until_s = time_limit_s, monotonic() + time_limit_s
        self.workers, self.seed = workers, seed
        self.dice = Random(seed)  # noqa: S311 - no secret
        self.told, self.stop = told, stop
        self.line = short_line(problem)
        self.hit = hit(problem, published)
        self.after = followers(problem)
        self.best: Option | None = None
        self.other: Option | None = None

    def answer(self) -> Replanned:
        """At once by repair, then as boats give way, then by the solver; the other answer last."""
        few = [self._repair(soonest=soonest) for soonest in (False, True)]
        if self.best is None:
            self._repair(self._not_past(whole(self.problem)))
        at_once = self.best
        if self.hit.tasks or self.hit.boats or not any(few):
            starts = [option for option in few if option]
            stands = self._grow(starts)
            if not stands or (self.best and self.best.change.pencil_days):
                self._give_way(starts)
                self._put_back(self._first_s())
            if self.other and self.best and self.best.change.pencil_days:
                self._put_back(self.until_s, pencil_first=True)
        other = self.other
        if other and self.best and _pencil_first(other.change) >= _pencil_first(self.best.change):
            other = None
        return Replanned(at_once, self.best, other)

    def left_s(self, until_s: float) -> float:
        """Seconds until then."""
        return until_s - monotonic()

    def _share_s(self, share: float) -> float:
        """When this share of the time is gone."""
        return self.until_s - (1 - share) * self.time_limit_s

    def _first_s(self) -> float:
        """When the time for the first answer is gone; all of it, where Pencil is kept anyway."""
        kept = self.best is not None and not self.best.change.pencil_days
        return self.until_s if kept else self._share_s(FIRST)

    def _give_way(self, starts: list[Option]) -> None:
        """Boats that can wait give way to those late on their Ink, then to those that moved.

        Each process goes its own way for a moment, then all go on from the best.
        """
        until_s, in_vain = self._given_way_s(), 0
        known = {option.change: option.plan for option in (*starts, self.best) if option}
        plans = [known[change] for change in sorted(known)]
        with self._processes(until_s) as processes:
            while plans and in_vain < ROUNDS_IN_VAIN and self.left_s(until_s) > 0:
                if self.stop():
                    break
                before, some = self.best, (plans * self.workers)[: self.workers]
                for plan in self._go_on(processes, some, until_s):
                    self._offer(plan)
                until_s, in_vain = self._given_way_s(), in_vain + 1 if self.best is before else 0
                plans = [self.best.plan] if self.best else []

    def _given_way_s(self) -> float:
        """When boats have given way enough: not before the end while Ink is lost."""
        lost = self.best is None or self.best.change.ink_days
        return self._share_s(FIRST if lost else GIVEN_WAY)

    @contextmanager
    def _processes(self, until_s: float) -> Iterator[Executor | None]:
        """So many as there are workers; None: one works here, also where they would hardly begin."""
        if self.workers == 1 or self.left_s(until_s) < WORTH_S:
            yield None
            return
        with pool(self.workers, partial(know, self.problem, self.published, self.now)) as some:
            yield some

    def _go_on(self, processes: Executor | None, some: list[Plan], until_s: float) -> list[Plan]:
        """What becomes of some plans in a moment; nothing, once it is to stop."""
        round_s = min(until_s, monotonic() + ROUND_S)
        seeds = [self.dice.randrange(1 << 30) for _ in some]
        if processes is None:
            giving = GivingWay(self.problem, self.published, some[0], self.now, seeds[0])
            giving.go_on(round_s, self.stop)
            return [giving.plan]
        asked = [
            processes.submit(given_way, plan, ROUND_S, until_s, seed)
            for plan, seed in zip(some, seeds, strict=True)
        ]
        while wait(asked, timeout=ASK_S).not_done:
            if self.stop():
                return []
        return [one.result() for one in asked]

    def _repair(self, loose: Part | None = None, *, soonest: bool = False) -> Option | None:
        loose = loose or self.hit
        try:
            return self._offer(
                repaired(self.problem, self.published, loose, self.now, soonest=soonest)
            )
        except NoRoom:
            return None

    def _offer(self, plan: Plan) -> Option | None:
        """The plan, if it keeps every rule; kept if it is better in either way."""
        option = Option(
            plan,
            changed(self.problem, self.published, plan),
            different(self.published, plan),
        )
        better = self.best is None or option.change < self.best.change
        other = self.other is None or _pencil_first(option.change) < _pencil_first(
            self.other.change
        )
        asked = self.problem, self.published, self.now, self.hit
        if checker.broken(plan, self.problem) or past_changed(plan, *asked):
            return None
        if better:
            self.best = option
            self.told(option)
        if other:
            self.other = option
        return option

    def _ask(
        self,
        known: Option,
        part: Part,
        left_s: float,
        *,
        around: bool = False,
        pencil_first: bool = False,
    ) -> tuple[Ends, Option] | None:
        """The part planned anew from a known option, or that option; None: the time is gone."""
        if left_s <= 0 or self.stop():
            return None
        if not part.tasks | part.boats or len(part.tasks) > MOST:
            return Ends.NONE_IN_TIME, known
        limits = Limits(left_s, self.workers, self.seed, None, self.stop, around)
        published = Published(self.published, self._days(), pencil_first)
        found = improve(
            self.problem,
            known.plan,
            part,
            limits,
            line=self.line,
            published=published,
            reach_days=REACH_DAYS,
            now=self.now,
        )
        option = None if found.plan is None else self._offer(found.plan)
        if option is None:
            return found.ends, known
        if pencil_first:
            return found.ends, min(known, option, key=lambda one: _pencil_first(one.change))
        return found.ends, min(known, option, key=lambda one: one.change)

    def _days(self) -> dict[BoatId, Day]:
        plan = self.published
        return {
            boat.id: self.problem.days.day(handed_over(self.problem, plan, boat))
            for boat in self.problem.going_in
            if boat.id in plan.launches
            and all(task.id in plan.jobs for task in self.problem.jobs[boat.id])
        }

    def _grow(self, starts: list[Option]) -> bool:
        """What has moved, with more and more around what was hit; whether that is as good as any.

        It ends at a part large enough in which nothing better is possible.
        """
        if len(self.hit.tasks) > FEW_HIT:
            return False
        until_s = self._share_s(GROWN)
        here = min(starts, key=lambda option: option.change, default=None)
        for most in CIRCLES if here else ():
            assert here is not None  # noqa: S101
            if self._no_less_is_possible():
                return True
            part = self._circle(here, most)
            answer = self._ask(here, part, min(CIRCLE_S, self.left_s(until_s)))
            if answer is None:
                return False
            stands = answer[0] is Ends.BEST and answer[1].change[:2] == here.change[:2]
            here = answer[1]
            if stands and len(part.tasks) >= ENOUGH and not here.change.ink_days:
                return here is self.best or self.best is None
        return False

    def _no_less_is_possible(self) -> bool:
        assert self.best is not None  # noqa: S101
        moved = self.published.asides.keys() & self.hit.boats  # what is hit may be that alone
        least = LAUNCH * len(self.hit.boats - moved) + len(moved)
        change = self.best.change
        return not change.ink_days and not change.pencil_days and change.moves <= least

    def _circle(self, option: Option, most: int) -> Part:
        """All that has moved, and those next in time who do such work as was hit or makes late."""
        problem, jobs = self.problem, option.plan.jobs
        some = {one.task for one in option.diff.jobs if one.now}
        late = {
            b.id for b in problem.going_in if beyond(problem, self.published, option.plan, b.id)
        }
        causes = self.hit.tasks | {key for key in some if problem.task[key].boat in late}
        wanted: defaultdict[str, list[Minute]] = defaultdict(list)
        for key in causes:
            task, was = problem.task[key], self.published.jobs.get(key, jobs[key])
            ahead = (jobs[one].end for one in task.after)
            wanted[task.trade].append(max([self.now, task.not_before, was.start, *ahead]))
        after: dict[TaskId, Minute] = {}
        for task in problem.tasks:
            if begins := wanted.get(task.trade):
                after[task.id] = min(abs(jobs[task.id].start - one) for one in begins)
        some = followed(self.after, some)
        some = nearest(some, sorted(after, key=lambda key: (after[key], key)), self.after, most)
        launches = {one.boat for one in option.diff.launches if one.now is not None}
        return self._not_past(_and(of_tasks(problem, some), self.hit.boats | launches))

    def _not_past(self, part: Part) -> Part:
        """Without what has begun, unless it can't stay."""
        jobs, launches, boats = self.published.jobs, self.published.launches, self.problem.boat
        begun = {key for key in part.tasks if key in jobs and jobs[key].start < self.now}
        fetched = {key: at - boats[key].carry_min for key, at in launches.items() if key in boats}
        gone = {key for key in part.boats if fetched.get(key, self.now) < self.now}
        return Part(part.tasks - (begun - self.hit.tasks), part.boats - (gone - self.hit.boats))

    def _put_back(self, until_s: float, *, pencil_first: bool = False) -> None:
        """Around one moved thing after the other, put back whatever can go to its old place."""
        in_vain = 0
        while in_vain < IN_VAIN:
            option = self.other if pencil_first else self.best
            if option is None or not option.diff.jobs:
                return
            many = option.change.moves > MANY
            most, step_s = (SMALL, SMALL_S) if many else (LARGE, LARGE_S)
            answer = self._ask(
                option,
                self._not_past(self._around(option, most)),
                min(step_s, self.left_s(until_s)),
                around=not many,
                pencil_first=pencil_first,
            )
            if answer is None:
                return
            in_vain = 0 if answer[1] is not option else in_vain + 1

    def _to_blame(self, option: Option, moved: list[TaskId]) -> list[TaskId]:
        """What has moved of boats that are later than their Ink, and of those in front of them."""
        some: set[BoatId] = set()
        for boat in self.problem.going_in:
            if boat.ink is not None and beyond(self.problem, self.published, option.plan, boat.id):
                some |= {boat.id, *(one.id for one in self.problem.in_front[boat.id])}
        return [key for key in moved if self.problem.task[key].boat in some]

    def _around(self, option: Option, most: int) -> Part:
        """A moved job, what else has moved near it, and who does such work then."""
        problem, jobs = self.problem, option.plan.jobs
        moved = [one.task for one in option.diff.jobs if one.now]
        centre = self.dice.choice(self._to_blame(option, moved) or moved)
        was = self.published.jobs.get(centre, jobs[centre]).start

        def far(key: TaskId) -> int:
            return min(abs(jobs[key].start - at) for at in (was, jobs[centre].start))

        some = followed(self.after, [centre])
        some = nearest(some, sorted(moved, key=far), self.after, most // 2)
        trades = {problem.task[key].trade for key in some}
        for task in sorted(
            (t for t in problem.tasks if t.trade in trades), key=lambda t: far(t.id)
        ):
            more = followed(self.after, [task.id])
            if len(some | more) > most:
                break
            some |= more
        return of_tasks(problem, some)


def _and(part: Part, boats: frozenset[BoatId]) -> Part:
    return Part(part.tasks, part.boats | boats)


def _pencil_first(change: Cost) -> tuple[int, ...]:
    return (change.ink_days, change.pencil_days, *change[1:2], *change[3:])
