"""From a first plan to better ones, while there is time."""

from collections.abc import Callable
from concurrent.futures import FIRST_COMPLETED, Future, wait
from functools import partial
from math import inf
from random import Random
from time import monotonic
from typing import NamedTuple

from yardwright.plan import checker, rounds, solver
from yardwright.plan.asides import asides_put_off
from yardwright.plan.bound import Relaxed
from yardwright.plan.list_plan import pulled_forward
from yardwright.plan.parts import INK_COUNTS, Kind, Part, Sizes
from yardwright.plan.problem import Plan, Problem, Score, score
from yardwright.plan.processes import pool
from yardwright.plan.put_off import out_of_overtime
from yardwright.plan.rounds import NO_SCORE, Done, Order, Round, Yard

ASK_S = 0.3
ROUND_S = 1.0  # how long a round of shaken orders takes, about
BOUND_S = 5.0  # how long one look for a bound may take
LOOK_AGAIN = 5  # so many times as long as a look takes no other is begun while plans are looked for
STALE_TRIES = 80  # orders are left at that when in so many they gained
BETTER = 0.02  # less than this share,
TURNS = 80  # in a round
TURN_SHARE = 0.3  # of the rounds while some boat may be less late; then all of them
SPARE_EVERY = 4  # rounds


class Bound(NamedTuple):
    """What no plan can beat: days of Ink lateness, and of Pencil at the Ink lateness found."""

    ink_days: int
    pencil_days: int


class Faulty(RuntimeError):  # noqa: N818 - it is the plan that is faulty
    """The checker refused a plan that was made here: a fault in the planner."""


class Search:
    """The best plan so far, what no plan can beat, and the time that is left."""

    def __init__(
        self,
        problem: Problem,
        time_limit_s: float,
        seed: int,
        told: Callable[[float, str], None],
        stop: Callable[[], bool],
    ) -> None:
        self.problem, self.yard = problem, Yard.of(problem)
        self.began_s, self.time_limit_s = monotonic(), time_limit_s
        self.least = Bound(0, 0)
        self.relaxed: Relaxed | None = None
        self.looked_at: int | None = None  # days of Ink for which a bound of Pencil was looked for
        self.look_s = -inf  # not again before
        self.seed, self.dice, self.sizes = seed, Random(seed), Sizes()  # noqa: S311 - no secret
        self.told, self.stop = told, stop
        self.ask_s, self.is_stopped = 0.0, False
        self.order = Order(NO_SCORE, *rounds.first_orders(self.yard)[0], None)
        self.try_s = 0.1  # how long it takes to place all boats once
        self.tries, self.mark = 0, (inf, 0)  # orders tried; what the best cost when, much better
        self.parts = 0  # played
        self.best: Plan | None = None
        self.score: Score | None = None
        self.proven = False

    def left_s(self, share: float = 1.0) -> float:
        """Seconds until this share of the time is gone."""
        return share * self.time_limit_s - (monotonic() - self.began_s)

    def stopped(self) -> bool:
        """Whether to stop; asked, and told how it stands, a few times a second."""
        if not self.is_stopped and monotonic() >= self.ask_s:
            self.ask_s = monotonic() + ASK_S
            self.tell()
            self.is_stopped = self.stop()
        return self.is_stopped

    def over(self, share: float = 1.0) -> bool:
        """Whether this share of the time is gone, somebody stops it, or nothing can be better."""
        if self.score == (self.least.ink_days, self.least.pencil_days, 0, 0, 0):
            self.proven = True
        return self.proven or self.left_s(share) <= 0 or self.stopped()

    def look_for_bound(self) -> None:
        """Raise what no plan can beat: Ink at first, Pencil once a plan's Ink is known."""
        if self.proven or self.stopped():
            return
        self.relaxed = Relaxed(self.problem)
        ink = self.relaxed.ink_days(min(BOUND_S, self.time_limit_s / 10))
        self.proven = ink is None and self.best is None
        self.least = Bound(max(ink or 0, self.least.ink_days), self.least.pencil_days)
        self.look_for_pencil()

    def look_for_pencil(self) -> None:
        """Raise it for Pencil where fewer days of Ink are late than when it was looked for last."""
        if self.relaxed is None or self.proven or self.score is None:
            return
        if self.score.ink_days == self.looked_at:
            return
        began_s, self.looked_at = monotonic(), self.score.ink_days
        pencil = self.relaxed.pencil_days(min(BOUND_S, self.time_limit_s / 10), self.looked_at)
        self.least = Bound(self.least.ink_days, max(self.least.pencil_days, pencil or 0))
        self.look_s = monotonic() + LOOK_AGAIN * (monotonic() - began_s)

    def offer(self, plan: Plan | None) -> bool:
        """Keep a plan that is no worse than the best so far and passes the checker."""
        if plan is None:
            return False
        offered = score(self.problem, plan)
        if self.score is not None and offered > self.score:
            return False
        self._keep(plan)
        return True

    def _keep(self, plan: Plan) -> None:
        if faults := checker.broken(plan, self.problem):
            raise Faulty(f"A plan was made that breaks {len(faults)} rules: {' '.join(faults[:3])}")
        self.best, self.score = plan, score(self.problem, plan)

    def tell(self) -> None:
        """Say how it stands."""
        gone = min(1.0, 1 - self.left_s() / max(self.time_limit_s, 0.01))
        if self.score is None:
            self.told(gone, "No plan yet.")
        else:
            ink, pencil = self.score.ink_days, self.score.pencil_days
            self.told(gone, f"Ink late by {ink} days in all, Pencil by {pencil}.")

    def start_from(self, known: Plan | None) -> None:
        """A plan that is known, where it is one of all that is asked and still keeps every rule."""
        going = {boat.id for boat in self.problem.going_in}
        if known is None or known.jobs.keys() != self.problem.task.keys():
            return
        if known.launches.keys() == going and not checker.broken(known, self.problem):
            self.offer(known)

    def place_boats(self) -> None:
        """Place the boats by promise, in a few ways; the first plan that is shown."""
        for asked in rounds.first_orders(self.yard):
            if self.best is not None and self.over(0.1):
                break
            began_s = monotonic()
            order = rounds.placed(self.yard, *asked)
            self.try_s = monotonic() - began_s
            if order.score < self.order.score:
                self.order = order
                self.offer(order.plan)

    def shake_orders(self, share: float, tries: int) -> None:
        """Place the boats in many orders, in this process."""
        for _ in range(tries):
            if self.best is None or self.over(share):
                break
            self._take_in(rounds.played(self.yard, self._shaking(tries=1)))

    def play(self, processes: int, share: float, orders_until: float) -> None:
        """Rounds in processes of their own: first better orders, then part after part."""
        with pool(processes, partial(_open, self.problem)) as some:
            running: set[Future[Done]] = set()
            while self.best is not None and not self.over(share):
                while len(running) < processes:
                    running.add(some.submit(_play, self._next(orders_until)))
                done, running = wait(running, timeout=ASK_S, return_when=FIRST_COMPLETED)
                for one in done:
                    self._take_in(one.result())
                if monotonic() >= self.look_s:
                    self.look_for_pencil()

    def play_alone(self, steps: int) -> None:
        """So many rounds here, one after another, whatever the clock says."""
        for step in range(steps):
            if self.best is None or self.proven or self.stopped():
                break
            asked = self._shaking(tries=10) if step < steps / 3 else self._part(exact=True)
            self._take_in(rounds.played(self.yard, asked))

    def _next(self, orders_until: float) -> Round:
        if self.left_s(orders_until) > 0 and not self._orders_are_stale():
            return self._shaking(tries=max(1, round(ROUND_S / self.try_s)))
        return self._part(exact=False)

    def _orders_are_stale(self) -> bool:
        return self.tries - self.mark[1] > STALE_TRIES

    def _shaking(self, tries: int) -> Round:
        return Round(self._seed(), self.order, self._best(), tries=tries)

    def _part(self, *, exact: bool) -> Round:
        if self._at_least() or self.dice.random() < TURN_SHARE:
            return Round(self._seed(), self.order, self._best(), turns=TURNS, exact=exact)
        kind = Kind.RIVALS if self.dice.random() < 0.25 else Kind.TRADE
        jobs = round(self.sizes.jobs[kind])
        return Round(self._seed(), self.order, self._best(), kind=kind, jobs=jobs, exact=exact)

    def _at_least(self) -> bool:
        """Whether no plan is less late."""
        return self.score is not None and self.score[:2] <= self.least

    def _best(self) -> Plan:
        assert self.best is not None  # noqa: S101 - rounds are played from a plan
        return self.best

    def _seed(self) -> int:
        return self.dice.randrange(1 << 30)

    def _take_in(self, done: Done) -> None:
        """Keep what a round found, also where another was quicker meanwhile."""
        if done.order.score <= self.order.score:
            self.order = done.order
        if done.part is None:
            self._count(done.asked.tries)
            self.offer(done.plan)
            return
        if not done.asked.turns:
            self.sizes.learn(done.asked.kind, proven=done.proven)
        self._merge(done.plan, done.part)
        self.parts += 1
        if self.parts % SPARE_EVERY == 0:
            self.offer(out_of_overtime(self.problem, self._best(), passes=1))

    def _merge(self, plan: Plan | None, part: Part) -> None:
        """Keep what was found for a part, with what others have found meanwhile where it holds."""
        if plan is None:
            return
        both = rounds.merged(self._best(), plan, part)
        holds = score(self.problem, both) <= (self.score or NO_SCORE)
        if holds and not checker.broken(both, self.problem):
            self.offer(both)
        else:
            self.offer(plan)

    def _count(self, tries: int) -> None:
        """So many orders more were tried; remember when they last gained much."""
        self.tries += tries
        days = INK_COUNTS * self.order.score.ink_days + self.order.score.pencil_days
        if days < (1 - BETTER) * self.mark[0]:
            self.mark = days, self.tries

    def try_whole(self, workers: int, share: float = 1.0) -> None:
        """Give the solver all boats at once; it may prove that nothing is better."""
        if self.over(share):
            return
        found = solver.solve(
            self.problem,
            time_limit_s=self.left_s(share),
            workers=workers,
            seed=self.seed,
            known=self.best,
            stop=self.stopped,
        )
        none = found.ends is solver.Ends.NO_PLAN and self.best is None
        self.proven = none or found.ends is solver.Ends.BEST
        if found.plan is not None:
            self.offer(pulled_forward(self.problem, found.plan))
            self._raise_bound(found.least)

    def _raise_bound(self, least: Score) -> None:
        at_best = self.score is not None and least.ink_days == self.score.ink_days
        pencil = least.pencil_days if at_best else 0
        self.least = Bound(*map(max, self.least, (least.ink_days, pencil)))

    def finish(self) -> None:
        """All as early as it goes; each boat aside as late as serves, until then she stays there."""
        if self.best is not None:
            less = out_of_overtime(self.problem, self.best)
            self.offer(pulled_forward(self.problem, less))
            self._keep(asides_put_off(self.problem, self._best()))
            self.look_for_pencil()


_yards: list[Yard] = []  # in a process of a pool: the one it plays in


def _open(problem: Problem) -> None:
    _yards.append(Yard.of(problem))


def _play(asked: Round) -> Done:
    return rounds.played(_yards[0], asked)
