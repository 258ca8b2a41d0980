"""From a first plan to better ones, while there is time."""

from collections.abc import Callable, Collection, Mapping, Sequence
from random import Random
from time import monotonic
from typing import NamedTuple

from yardwright.plan import checker, solver
from yardwright.plan.asides import asides_put_off
from yardwright.plan.bound import Relaxed
from yardwright.plan.list_plan import Stuck, by_promise, demand, list_plan, pulled_forward
from yardwright.plan.parts import of_boats
from yardwright.plan.problem import BoatId, Plan, Problem, Score, days_late, score

PART_S = 3.0  # how long the solver may look at one part of the yard
MORE_TRIES = 10
ASK_S = 0.3
NO_SCORE = Score(10**9, 0, 0, 0, 0)  # worse than any plan


class Bound(NamedTuple):
    """What no plan can beat: days of Ink lateness, and of Pencil at the Ink lateness found."""

    ink_days: int
    pencil_days: int


class Order(NamedTuple):
    """An order of the boats, those moved aside, and the list plan it makes."""

    score: Score
    rank: Mapping[BoatId, float]
    asides: frozenset[BoatId]
    wait_min: float  # for those less in demand
    plan: Plan | None


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
        self.problem, self.relaxed = problem, Relaxed(problem)
        self.began_s, self.time_limit_s = monotonic(), time_limit_s
        self.least, self.demand = Bound(0, 0), demand(problem)
        self.seed, self.random = seed, Random(seed)  # noqa: S311 - no secret
        self.told, self.stop = told, stop
        self.ask_s, self.look_s, self.is_stopped = 0.0, 0.0, False
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

    def look_for_bound(self) -> None:
        """Raise what no plan can beat: Ink at first, Pencil once a plan's Ink is known.

        A big yard takes longer than it is given; a second look is left out where the time for it
        is gone, and the bound stays as low as it was.
        """
        if self.proven or self.stopped() or self.left_s() < self.look_s:
            return
        limit_s, before_s = self.time_limit_s / 20, self.left_s()
        if self.score is None:
            ink = self.relaxed.ink_days(limit_s)
            self.proven = ink is None
            self.least = Bound(ink or 0, 0)
        else:
            pencil = self.relaxed.pencil_days(limit_s, self.score.ink_days)
            self.least = Bound(self.least.ink_days, max(self.least.pencil_days, pencil or 0))
            self.over()
        self.look_s = before_s - self.left_s()

    def over(self, share: float = 1.0) -> bool:
        """Whether this share of the time is gone, somebody stops it, or nothing can be better."""
        if self.score == (self.least.ink_days, self.least.pencil_days, 0, 0, 0):
            self.proven = True
        return self.proven or self.left_s(share) <= 0 or self.stopped()

    def offer(self, plan: Plan | None) -> None:
        """Keep a plan that is better than the best so far and passes the checker."""
        if plan is None:
            return
        offered = score(self.problem, plan)
        if self.score is None or offered < self.score:
            self._keep(plan)

    def put_off_asides(self) -> None:
        """Move each boat aside as late as serves: until then she stands where she is known."""
        if self.best is not None:
            self._keep(asides_put_off(self.problem, self.best))

    def _keep(self, plan: Plan) -> None:
        if faults := checker.broken(plan, self.problem):
            raise Faulty(f"A plan was made that breaks {len(faults)} rules: {' '.join(faults[:3])}")
        self.best, self.score = plan, score(self.problem, plan)

    def tell(self) -> None:
        """Say how it stands."""
        gone = min(1.0, 1 - self.left_s() / self.time_limit_s)
        if self.score is None:
            self.told(gone, "No plan yet.")
        else:
            ink, pencil = self.score.ink_days, self.score.pencil_days
            self.told(gone, f"Ink late by {ink} days in all, Pencil by {pencil}.")

    def try_orders(self, share: float, tries: int = 10**9) -> None:
        """Place the boats in many orders, with these or those moved aside."""
        rank, asides = by_promise(self.problem), frozenset[BoatId]()
        fronts = sorted({front for row in self.problem.rows for front in row[:-1]})
        firsts = [
            self._place(rank, some, wait_min)
            for some in (asides, self._in_the_way(rank), fronts)
            for wait_min in (0, 1440, 10 * 1440)
        ]
        for order in firsts:
            self.offer(order.plan)
        here = min(firsts, key=lambda order: order.score)
        while tries > 0 and not self.over(share):
            tries -= 1
            order = self._place(*self._shaken(here, fronts))
            if order.score <= here.score:
                here = order
                self.offer(order.plan)

    def _place(
        self, rank: Mapping[BoatId, float], asides: Collection[BoatId], wait_min: float
    ) -> Order:
        """Place the boats; one that finds no room is placed sooner, in a few more tries."""
        wait = {person: wait_min * share for person, share in self.demand.items()}
        for _ in range(MORE_TRIES):
            try:
                plan = list_plan(self.problem, rank, asides, wait)
                return Order(score(self.problem, plan), rank, frozenset(asides), wait_min, plan)
            except Stuck as stuck:
                rank = {**rank, stuck.boat: min(rank.values()) - 1}
        return Order(NO_SCORE, rank, frozenset(asides), wait_min, None)

    def _in_the_way(self, rank: dict[BoatId, float]) -> frozenset[BoatId]:
        return frozenset(
            front
            for row in self.problem.rows
            for place, front in enumerate(row)
            if any(rank[behind] < rank[front] for behind in row[place + 1 :])
        )

    def _late(self) -> dict[BoatId, int]:
        """Days late of each late boat, Ink counting tenfold."""
        boats = {boat: self.problem.boat[boat] for boat in self.best.launches} if self.best else {}
        late = {k: days_late(self.problem, self.best, b) for k, b in boats.items() if self.best}
        return {
            key: days * (1 if boats[key].ink is None else 10) for key, days in late.items() if days
        }

    def _shaken(
        self, order: Order, fronts: Sequence[BoatId]
    ) -> tuple[dict[BoatId, float], frozenset[BoatId], float]:
        """The order with a late boat sooner or a few boats elsewhere, or another moved aside."""
        dice, rank, asides, wait_min = self.random, dict(order.rank), order.asides, order.wait_min
        late, everyone = self._late(), list(rank)
        if late and dice.random() < 0.5:
            (boat,) = dice.choices(list(late), list(late.values()))
            rank[boat] -= dice.expovariate(1 / 5)
            in_front = [
                f for row in self.problem.rows if boat in row for f in row[: row.index(boat)]
            ]
            fronts = in_front or fronts
        else:
            for boat in dice.sample(everyone, min(len(everyone), dice.randint(1, 4))):
                rank[boat] += dice.gauss(0, 4)
        if fronts and dice.random() < 0.3:
            asides ^= {dice.choice(fronts)}
        if dice.random() < 0.1:
            wait_min = dice.uniform(0, 10 * 1440)
        return rank, asides, wait_min

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
        self.proven = found.ends in (solver.Ends.BEST, solver.Ends.NO_PLAN)
        if found.plan is not None:
            self.offer(pulled_forward(self.problem, found.plan))
            self._raise_bound(found.least)

    def _raise_bound(self, least: Score) -> None:
        at_best = self.score is not None and least.ink_days == self.score.ink_days
        pencil = least.pencil_days if at_best else 0
        self.least = Bound(*map(max, self.least, (least.ink_days, pencil)))

    def try_parts(self, workers: int, share: float) -> None:
        """Give the solver a few boats at a time, the others as they are."""
        size, part = 5.0, 0
        while self.best is not None and not self.over(share):
            part += 1
            found = solver.solve(
                self.problem,
                time_limit_s=min(PART_S, self.left_s(share)),
                workers=workers,
                seed=self.seed + part,
                known=self.best,
                part=of_boats(self.problem, self._part(round(size))),
                stop=self.stopped,
            )
            if found.plan is not None:
                self.offer(pulled_forward(self.problem, found.plan))
            size *= 1.1 if found.ends == solver.Ends.BEST else 0.8
            size = max(2.0, min(size, 15.0))

    def _part(self, size: int) -> set[BoatId]:
        """A late boat (or one moved aside), her row, and boats whose launches are near hers."""
        assert self.best is not None  # noqa: S101
        launches = self.best.launches
        late = self._late() or dict.fromkeys(self.best.asides, 1) or dict.fromkeys(launches, 1)
        (centre,) = self.random.choices(list(late), list(late.values()))
        row = next((row for row in self.problem.rows if centre in row), (centre,))
        around = launches.get(centre, 0)
        near = sorted(
            launches, key=lambda boat: abs(launches[boat] - around) * self.random.uniform(0.5, 2)
        )
        mates = sorted(row, key=lambda boat: abs(row.index(boat) - row.index(centre)))
        half = mates[: max(2, size // 2)]
        return set(half + [boat for boat in near if boat not in half][: max(0, size - len(half))])
