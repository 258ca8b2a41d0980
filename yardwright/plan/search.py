"""From a first plan to better ones, while there is time."""

from collections.abc import Callable
from random import Random
from time import monotonic

from yardwright.plan import checker, model
from yardwright.plan.bound import Bound
from yardwright.plan.list_plan import by_promise, list_plan, pulled_forward
from yardwright.plan.problem import BoatId, Plan, Problem, Score, days_late, score

PART_S = 2.0  # how long the solver may look at one part of the yard


class Faulty(RuntimeError):  # noqa: N818 - it is the plan that is faulty
    """The checker refused a plan that was made here: a fault in the planner."""


class Search:
    """The best plan so far, what no plan can beat, and the time that is left."""

    def __init__(
        self,
        problem: Problem,
        least: Bound,
        time_limit_s: float,
        seed: int,
        told: Callable[[float, str], None],
        stop: Callable[[], bool],
    ) -> None:
        self.problem, self.least = problem, least
        self.time_limit_s, self.began_s = time_limit_s, monotonic()
        self.seed, self.random = seed, Random(seed)  # noqa: S311 - no secret
        self.told, self.stop = told, stop
        self.best: Plan | None = None
        self.score: Score | None = None
        self.proven = False

    def left_s(self) -> float:
        """Seconds until the answer is due."""
        return self.time_limit_s - (monotonic() - self.began_s)

    def over(self, share: float = 1.0) -> bool:
        """Whether this share of the time is gone, somebody stops it, or nothing can be better."""
        if self.score == (self.least.ink_days, self.least.pencil_days, 0, 0):
            self.proven = True
        gone = 1 - self.left_s() / self.time_limit_s
        return self.proven or gone >= share or self.stop()

    def offer(self, plan: Plan | None) -> bool:
        """Keep a plan that is better than the best so far and passes the checker."""
        if plan is None:
            return False
        offered = score(self.problem, plan)
        if self.score is not None and offered >= self.score:
            return False
        if faults := checker.broken(plan, self.problem):
            raise Faulty(f"A plan was made that breaks {len(faults)} rules: {' '.join(faults[:3])}")
        self.best, self.score = plan, offered
        self.tell()
        return True

    def tell(self) -> None:
        """Say how it stands."""
        gone = min(1.0, 1 - self.left_s() / self.time_limit_s)
        if self.score is None:
            self.told(gone, "No plan yet.")
        else:
            ink, pencil = self.score.ink_days, self.score.pencil_days
            self.told(gone, f"Ink late by {ink} days in all, Pencil by {pencil}.")

    def try_orders(self, share: float, tries: int) -> None:
        """Place the boats in many orders, with these or those moved aside."""
        rank, asides = by_promise(self.problem), frozenset[BoatId]()
        fronts = sorted({front for row in self.problem.rows for front in row[:-1]})
        for some in (asides, self._in_the_way(rank), frozenset(fronts)):
            if self.offer(list_plan(self.problem, rank, some)):
                asides = some
        here = self.score
        while tries > 0 and not self.over(share):
            tries -= 1
            new_rank, new_asides = dict(rank), asides
            for boat in self._some_boats():
                new_rank[boat] += self.random.gauss(0, 3)
            if fronts and self.random.random() < 0.3:
                new_asides ^= {self.random.choice(fronts)}
            made = list_plan(self.problem, new_rank, new_asides)
            if made and (here is None or score(self.problem, made) <= here):
                rank, asides, here = new_rank, new_asides, score(self.problem, made)
                self.offer(made)

    def _in_the_way(self, rank: dict[BoatId, float]) -> frozenset[BoatId]:
        return frozenset(
            front
            for row in self.problem.rows
            for place, front in enumerate(row)
            if any(rank[behind] < rank[front] for behind in row[place + 1 :])
        )

    def _late(self) -> dict[BoatId, int]:
        """Days late of each late boat, Ink counting tenfold."""
        launches = self.best.launches if self.best else {}
        boats = {boat: self.problem.boat[boat] for boat in launches}
        late = {key: days_late(self.problem, b, launches[key]) for key, b in boats.items()}
        return {
            key: days * (1 if boats[key].ink is None else 10) for key, days in late.items() if days
        }

    def _some_boats(self) -> list[BoatId]:
        late, everyone = self._late(), [boat.id for boat in self.problem.boats]
        if late and self.random.random() < 0.5:
            return self.random.choices(list(late), list(late.values()))
        return self.random.sample(everyone, min(len(everyone), self.random.randint(1, 4)))

    def try_whole(self, workers: int) -> None:
        """Give the solver all boats at once; it may prove that nothing is better."""
        if self.over():
            return
        found = model.solve(
            self.problem,
            time_limit_s=max(0.1, self.left_s()),
            workers=workers,
            seed=self.seed,
            known=self.best,
            stop=self.stop,
        )
        self.proven = found.ends in (model.Ends.BEST, model.Ends.NO_PLAN)
        if found.plan is not None:
            self.offer(pulled_forward(self.problem, found.plan))
            self._raise_bound(found.least)

    def _raise_bound(self, least: Score) -> None:
        ink = max(self.least.ink_days, least.ink_days)
        pencil = self.least.pencil_days
        if self.score is not None and least.ink_days == self.score.ink_days:
            pencil = max(pencil, least.pencil_days)
        self.least = Bound(ink, pencil)

    def try_parts(self, workers: int) -> None:
        """Give the solver a few boats at a time, the others as they are."""
        size, part = 5.0, 0
        while self.best is not None and not self.over():
            part += 1
            found = model.solve(
                self.problem,
                time_limit_s=max(0.1, min(PART_S, self.left_s())),
                workers=workers,
                seed=self.seed + part,
                known=self.best,
                free=self._part(round(size)),
                stop=self.stop,
            )
            if found.plan is not None:
                self.offer(pulled_forward(self.problem, found.plan))
            size *= 1.1 if found.ends == model.Ends.BEST else 0.8
            size = max(2.0, min(size, 15.0))
            self.tell()

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
