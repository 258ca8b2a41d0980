"""After a surprise: the smallest change of a published plan that keeps what can be kept."""

from collections import defaultdict
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from functools import partial
from random import Random
from time import monotonic
from typing import NamedTuple

from yardwright.plan import checker
from yardwright.plan.days import Day, Minute
from yardwright.plan.give_way import GivingWay
from yardwright.plan.line import short_line
from yardwright.plan.model_costs import Published
from yardwright.plan.parts import Part, followed, followers, nearest, of_tasks, whole
from yardwright.plan.past import past_changed
from yardwright.plan.problem import (
    BoatId,
    Job,
    Plan,
    Problem,
    TaskId,
    handed_over,
    overtime_min,
)
from yardwright.plan.repair import NoRoom, hit, repaired
from yardwright.plan.solver import Ends, Limits, improve
from yardwright.plan.stand_ins import StoodIn, stood_in

LAUNCH = 3  # a launch that moves counts as so many jobs: her owner was told
MOST = 260  # jobs in one part
ENOUGH = 60  # in which nothing better was found
GROWN = 0.4  # share of the time in which what was hit is planned with more and more around it
FIRST = 0.85  # share for the first answer, where there is another
IN_VAIN = 8  # parts in which nothing better was found, before it is left at that
REACH_DAYS = (3, 3)
CIRCLES, CIRCLE_S = (0, 30, 60, 90, 120, 160, 200), 1.0  # jobs; those that moved in any case
STAND_IN, LET_GO = 0.35, 0.55  # shares of the time to let stand-ins go: in vain, and as some go
STAND_IN_S = 1.5  # for one step of it
GIVE_WAY = 0.85  # share of the time until boats have given way
TURNS, LOOK = 150, 20  # turns in vain; turns that were kept, until the checker looks again
ALL_LATE = 0.2  # share of the turns in which all who are late are put in again together
STUCK = 5  # steps in which none could go
AROUND, MORE, STRAY_DAYS = 90, 45, 3  # jobs in such a step; more of them after each in vain
MANY = 200  # moves: from there on small parts are put back to a proof, below large ones are tried
SMALL, SMALL_S, LARGE, LARGE_S = 60, 1.0, 140, 2.0  # jobs in such a part, and its time


class Change(NamedTuple):
    """What a new plan costs those who know the published one; the smaller is the better.

    Lateness counts beyond the published day, or the promised one where that is later.
    """

    ink_days: int
    moves: int
    pencil_days: int
    handed_on: int
    overtime_min: int


class Moved(NamedTuple):
    """A job before and after; None: it was not planned, or is not any more."""

    task: TaskId
    was: Job | None
    now: Job | None


class Relaunched(NamedTuple):
    """A launch before and after."""

    boat: BoatId
    was: Minute | None
    now: Minute | None


@dataclass(frozen=True, slots=True)
class Diff:
    """All in which a plan differs from the published one."""

    jobs: tuple[Moved, ...]
    launches: tuple[Relaunched, ...]


@dataclass(frozen=True, slots=True)
class Option:
    """A checked plan, what it costs, and where it differs."""

    plan: Plan
    change: Change
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
        Threads of the solver.
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


def changed(
    problem: Problem, published: Plan, plan: Plan, some: Iterable[BoatId] | None = None
) -> Change:
    """What a plan costs those who know the published one: all of it, or the change of some boats."""
    boats = problem.boats if some is None else [problem.boat[key] for key in some]
    days, moves, handed_on, extra = {True: 0, False: 0}, 0, 0, 0
    for boat in boats:
        for task in problem.jobs[boat.id]:
            was, now = published.jobs.get(task.id), plan.jobs[task.id]
            if was is None or was.start != now.start:
                moves += 1
            elif was != now:
                handed_on += 1
            extra += overtime_min(problem, now)
        moves += LAUNCH * (plan.launches.get(boat.id) != published.launches.get(boat.id))
        moves += plan.asides.get(boat.id) != published.asides.get(boat.id)
        if boat.goes_in:
            days[boat.ink is not None] += _beyond(problem, published, plan, boat.id)
    if some is None:
        moves += sum(key not in problem.task for key in published.jobs)
        moves += LAUNCH * sum(key not in problem.boat for key in published.launches)
        moves += sum(key not in problem.boat for key in published.asides)
    return Change(days[True], moves, days[False], handed_on, extra)


def different(published: Plan, plan: Plan) -> Diff:
    """Where a plan differs from the published one; who watches or works overtime counts too."""
    tasks = sorted(plan.jobs.keys() | published.jobs.keys())
    jobs = (Moved(key, published.jobs.get(key), plan.jobs.get(key)) for key in tasks)
    boats = sorted(plan.launches.keys() | published.launches.keys())
    launches = (Relaunched(k, published.launches.get(k), plan.launches.get(k)) for k in boats)
    return Diff(
        tuple(moved for moved in jobs if moved.was != moved.now),
        tuple(moved for moved in launches if moved.was != moved.now),
    )


def _beyond(problem: Problem, published: Plan, plan: Plan, key: BoatId) -> Day:
    boat = problem.boat[key]
    if boat.promised is None:
        return 0
    known = key in published.launches and all(t.id in published.jobs for t in problem.jobs[key])
    was = problem.days.day(handed_over(problem, published, boat)) if known else 0
    return max(0, problem.days.day(handed_over(problem, plan, boat)) - max(boat.promised, was))


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
        """At once by repair, better by the solver, and the other answer in the time left."""
        few = [self._repair(self.hit, soonest=soonest) for soonest in (False, True)]
        if self.best is None:
            self._repair(self._not_past(whole(self.problem)), soonest=False)
        at_once = self.best
        if self.hit.tasks or self.hit.boats or not any(few):
            stood = stood_in(self.problem, self.published, self.hit, self.now)
            stands = stood is None and self._grow([option for option in few if option])
            if stood is not None:
                stood = self._let_go(stood)
            if not stands:
                if stood is None or stood.done or (self.best and self.best.change.ink_days):
                    self._all_give_way(at_once, None if stood is None else stood.plan)
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

    def _let_go(self, stood: StoodIn) -> StoodIn:
        """One stand-in after the other; what is left to them at the end is put in again."""
        published = Published(stood.plan, self._days(), stand_ins=stood.people)
        line, in_vain = short_line(stood.problem), 0
        while stood.done and in_vain < STUCK and not self.stop():
            until_s = self._share_s(STAND_IN if in_vain else LET_GO)
            if self.left_s(until_s) <= 0:
                break
            most, days = AROUND + MORE * in_vain, STRAY_DAYS * in_vain
            part = stood.around(self.after, self.now, most, days, self.dice)
            step_s, seed = min(STAND_IN_S, self.left_s(until_s)), self.dice.randrange(1 << 30)
            found = improve(
                stood.problem,
                stood.plan,
                self._not_past(part),
                Limits(step_s, self.workers, seed, None, self.stop, around=True),
                line=line,
                published=replace(published, may_move=in_vain > 0),
                reach_days=REACH_DAYS,
                now=self.now,
            )
            less = replace(stood, plan=found.plan or stood.plan)
            in_vain = 0 if len(less.done) < len(stood.done) else in_vain + 1
            stood = less
        if not stood.done:
            self._offer(stood.plan)
        return stood

    def _all_give_way(self, at_once: Option | None, stood: Plan | None) -> None:
        """From the first answer, and from what stand-ins have left, put in again."""
        starts = [at_once]
        if stood is not None:
            lost = hit(self.problem, stood)
            starts += [self._repair(lost, stood, soonest=soonest) for soonest in (False, True)]
        known = {one.change: one for one in starts if one is not None}
        for left in range(len(known), 0, -1):
            until_s = self._share_s(GIVE_WAY)
            self._give_way(
                known.pop(min(known)), until_s - self.left_s(until_s) * (left - 1) / left
            )

    def _give_way(self, option: Option, until_s: float) -> None:
        """Boats that can wait give way to those late on their Ink, then to those that moved."""
        price = partial(changed, self.problem, self.published)
        giving = GivingWay(
            self.problem,
            self.published,
            option.plan,
            self.now,
            price,
            self.dice.randrange(1 << 30),
        )
        late, in_vain, kept = self._late(giving.plan), 0, 0
        needy = late or self._moved(giving.plan)
        while needy and in_vain < TURNS and self.left_s(until_s) > 0 and not self.stop():
            too = late if self.dice.random() < ALL_LATE else []
            if not giving.turn(self.dice.choice(needy), too):
                in_vain += 1
                continue
            in_vain, kept = 0, kept + 1
            if kept % LOOK == 0:
                giving.holds()
            late = self._late(giving.plan)
            needy = late or self._moved(giving.plan)
        if giving.holds():
            self._offer(giving.plan)

    def _late(self, plan: Plan) -> list[BoatId]:
        """Boats later on their Ink than is published."""
        problem = self.problem
        inked = (boat.id for boat in problem.going_in if boat.ink is not None)
        return [key for key in inked if _beyond(problem, self.published, plan, key)]

    def _moved(self, plan: Plan) -> list[BoatId]:
        """Boats of which anything begins at another minute than is published."""
        known = self.published
        some = {
            self.problem.task[key].boat
            for key, job in plan.jobs.items()
            if key not in known.jobs or known.jobs[key].start != job.start
        }
        some |= {key for key, at in plan.launches.items() if known.launches.get(key) != at}
        return sorted(some)

    def _repair(self, loose: Part, known: Plan | None = None, *, soonest: bool) -> Option | None:
        known = known or self.published
        try:
            return self._offer(repaired(self.problem, known, loose, self.now, soonest=soonest))
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
        worth = _pencil_first if pencil_first else _as_it_is
        better = option is not None and worth(option.change) < worth(known.change)
        return found.ends, option if option is not None and better else known

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
            b.id for b in problem.going_in if _beyond(problem, self.published, option.plan, b.id)
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
            if boat.ink is not None and _beyond(self.problem, self.published, option.plan, boat.id):
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


def _pencil_first(change: Change) -> tuple[int, ...]:
    return (change.ink_days, change.pencil_days, *change[1:2], *change[3:])


def _as_it_is(change: Change) -> tuple[int, ...]:
    return change
