"""What no plan can beat: fewest days late, found by leaving rules out and never adding one."""

from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise
from math import ceil, inf

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from yardwright.plan.alone import earliest_handed_over, earliest_launch, launch_begins
from yardwright.plan.days import Day
from yardwright.plan.hours import Stretches, both, either
from yardwright.plan.problem import Boat, BoatId, Problem

Row = dict[tuple[BoatId, Day], float]  # what counts of "handed over by that day"


class Relaxed:
    """What is left of a problem when most rules are dropped: a yard that no real one beats.

    The unknowns say which boats are handed over by the end of which day. Kept are each boat's
    own work, people and water; hours of the trades up to each day; water with the lift open on
    each day; and rows in which nobody can be moved aside.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        watch = max((boat.watch_min for boat in problem.going_in), default=0)
        self.count = problem.days.day(problem.days.end + watch) + 1
        self.at = {boat.id: place * self.count for place, boat in enumerate(problem.going_in)}
        self.rows = [*self._stays(), *self._shut_in(), *self._hours(), *self._water()]

    def ink_days(self, time_limit_s: float) -> int | None:
        """Days of Ink lateness that every plan has at least; None: there is no plan.

        Cut short by ``time_limit_s`` it is lower and still true.
        """
        return self._least([b for b in self.problem.going_in if b.ink is not None], time_limit_s)

    def pencil_days(self, time_limit_s: float, ink_at_most: int) -> int | None:
        """Days of Pencil lateness of every plan with at most so many of Ink; None: no such plan."""
        inked = [b for b in self.problem.going_in if b.ink is not None]
        pencilled = [b for b in self.problem.going_in if b.ink is None]
        cost, certain = self._lateness(inked)
        row: Row = {key: cost[self.at[key[0]] + key[1]] for key in self._named(cost)}
        return self._least(pencilled, time_limit_s, [(row, ink_at_most - certain)] if row else [])

    def _named(self, cost: NDArray[np.float64]) -> Iterator[tuple[BoatId, Day]]:
        for boat, at in self.at.items():
            for day in np.flatnonzero(cost[at : at + self.count]):
                yield boat, int(day)

    def _lateness(self, boats: list[Boat]) -> tuple[NDArray[np.float64], int]:
        """Days late of these boats: the unknowns weighed by the first, plus the second."""
        cost = np.zeros(len(self.at) * self.count)
        certain = 0
        for boat in boats:
            promised = boat.pencil if boat.ink is None else boat.ink
            if promised is not None:
                days = range(max(0, promised), self.count)
                certain += len(days) + max(0, -promised)
                cost[[self.at[boat.id] + day for day in days]] = -1
        return cost, certain

    def _least(
        self, boats: list[Boat], time_limit_s: float, more: Sequence[tuple[Row, float]] = ()
    ) -> int | None:
        if not self.at:
            return 0
        upper = self._upper()
        if upper is None:
            return None
        cost, certain = self._lateness(boats)
        result = milp(
            cost,
            integrality=np.ones(len(cost), dtype=int),
            bounds=Bounds(self._lower(), upper),
            constraints=self._limits([*self.rows, *more]),
            options={"time_limit": time_limit_s},
        )
        if result.status == 2:  # infeasible
            return None
        proven = -inf if result.mip_dual_bound is None else float(result.mip_dual_bound)
        return ceil(certain + max(proven, float(cost @ upper)) - 1e-6)

    def _upper(self) -> NDArray[np.float64] | None:
        """1 from the first day on which a boat could be handed over; None: one never could."""
        upper = np.zeros(len(self.at) * self.count)
        for boat in self.problem.going_in:
            launch = earliest_launch(self.problem, boat)
            over = None if launch is None else earliest_handed_over(self.problem, boat, launch)
            if over is None:
                return None
            day, at = min(self.problem.days.day(over), self.count - 1), self.at[boat.id]
            upper[at + day : at + self.count] = 1
        return upper

    def _lower(self) -> NDArray[np.float64]:
        lower = np.zeros(len(self.at) * self.count)
        lower[self.count - 1 :: self.count] = 1  # in the end all are handed over
        return lower

    def _limits(self, rows: Sequence[tuple[Row, float]]) -> LinearConstraint:
        places = [(r, self.at[b] + d) for r, (row, _) in enumerate(rows) for b, d in row]
        shape = len(rows), len(self.at) * self.count
        numbers = [number for row, _ in rows for number in row.values()]
        at = tuple(np.array(places, dtype=int).reshape(-1, 2).T)
        limit = np.array([limit for _, limit in rows])
        return LinearConstraint(coo_array((numbers, at), shape=shape).tocsr(), -inf, limit)

    def _stays(self) -> Iterator[tuple[Row, float]]:
        """Handed over by a day, she is by the next."""
        for boat in self.at:
            for day, after in pairwise(range(self.count)):
                yield {(boat, day): 1, (boat, after): -1}, 0

    def _shut_in(self) -> Iterator[tuple[Row, float]]:
        """Behind a boat that can't be moved aside she waits for her launch."""
        for row in self.problem.rows:
            for front, behind in combinations(row, 2):
                boats = self.problem.boat[front], self.problem.boat[behind]
                fixed = boats[0].aside_min is None and self._prompt(boats[0])
                fixed = fixed and boats[0].watch_min <= boats[1].watch_min
                if fixed and front in self.at and behind in self.at:
                    for day in range(self.count):
                        yield {(behind, day): 1, (front, day): -1}, 0

    def _hours(self) -> Iterator[tuple[Row, float]]:
        """By each day, no more work than hours of those who can do it."""
        trades = sorted({task.trade for task in self.problem.tasks})
        sizes = range(1, len(trades) + 1) if len(trades) <= 5 else (1, 2, len(trades))
        for size in sizes:
            for some in combinations(trades, size):
                yield from self._hours_of(frozenset(some))

    def _hours_of(self, trades: frozenset[str]) -> Iterator[tuple[Row, float]]:
        work = {
            boat: sum(t.minutes for t in self.problem.jobs[boat] if t.trade in trades)
            for boat in self.at
        }
        able = [
            person.on.long.opens
            for person in self.problem.people
            if trades & (person.trades | person.learns)
        ]
        for day in range(self.count):
            until = self.problem.days.midnight(day + 1)
            hours = sum(_minutes(both(works, ((0, until),))) for works in able)
            if sum(work.values()) > hours:
                yield {(boat, day): minutes for boat, minutes in work.items() if minutes}, hours

    def _water(self) -> Iterator[tuple[Row, float]]:
        """On each day, no more launches than there is water with the lift open."""
        prompt = [b for b in self.problem.going_in if self._prompt(b)]
        opens = {b.id: self._lifted(b) for b in prompt}
        for kind, widest in {(b.lift, opens[b.id]) for b in prompt}:
            boats = [
                b for b in prompt if b.lift == kind and both(opens[b.id], widest) == opens[b.id]
            ]
            shortest = min(boat.launch_min for boat in boats)
            back = max(boat.launch_min + boat.watch_min for boat in boats)
            for day in range(self.count):
                begin, end = (self.problem.days.midnight(d) for d in (day, day + 1))
                room = both(widest, ((begin - back, end),))
                launches = sum((b - a) // shortest for a, b in room) * self.problem.lift[kind].count
                if launches < len(boats):
                    new: Row = {(boat.id, day): 1 for boat in boats}
                    if day:
                        new |= {(boat.id, day - 1): -1 for boat in boats}
                    yield new, launches

    def _prompt(self, boat: Boat) -> bool:
        """Whether she is handed over as soon as she was watched."""
        return not boat.free_from and not any(self.problem.afloat(boat.id))

    def _lifted(self, boat: Boat) -> Stretches:
        begins = launch_begins(self.problem, boat)
        return either((a, b + boat.launch_min - 1) for a, b in begins)


def _minutes(stretches: Stretches) -> int:
    return sum(end - start for start, end in stretches)
