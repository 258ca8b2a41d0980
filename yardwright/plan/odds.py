"""How sure a promise is: in which share of many seasons it is kept."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from itertools import repeat
from typing import Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

from yardwright.plan.booked import Yes
from yardwright.plan.calibration import wilson
from yardwright.plan.chance import Uncertain
from yardwright.plan.days import Day
from yardwright.plan.hours import EVER
from yardwright.plan.problem import BoatId, Plan, Problem
from yardwright.plan.seasons import BLOCK, Asked, block_of_seasons

A = TypeVar("A")
B = TypeVar("B")
R = TypeVar("R")


class Map(Protocol):
    """The built-in ``map`` over two rows, that of a pool of processes, or of a cluster."""

    def __call__(
        self, function: Callable[[A, B], R], asked: Iterable[A], each: Iterable[B], /
    ) -> Iterable[R]:
        """What the function answers for each two, in their order."""


@dataclass(frozen=True, slots=True)
class Odds:
    """The day on which each boat is handed over, in every simulated season.

    ``day`` has a row a boat, in the order of ``boats``, and a column a season; a boat that is
    not handed over within the season has the day after its last, ``never``: by no day she is.
    """

    boats: tuple[BoatId, ...]
    day: NDArray[np.int32]
    never: Day = EVER

    def alone(self, boat: BoatId, seasons: int) -> "Odds":
        """Of one boat, in the first seasons."""
        return Odds((boat,), self.day[[self.boats.index(boat)], :seasons], self.never)

    def by(self, boat: BoatId, day: Day) -> float:
        """The share of seasons in which she is handed over by the end of that day."""
        return float(np.mean(self.kept(boat, day)))

    def between(self, boat: BoatId, day: Day) -> tuple[float, float]:
        """The odds that would give what was counted, 19 times in 20 (Wilson's interval)."""
        kept = self.kept(boat, day)
        return wilson(int(kept.sum()), kept.size)

    def days_late(self, boat: BoatId, day: Day) -> float:
        """How many days after that one she is handed over, in the mean of the seasons."""
        return float(np.mean(np.maximum(0, self.day[self.boats.index(boat)] - day)))

    def kept(self, boat: BoatId, day: Day) -> Yes:
        """In which seasons she is handed over by the end of that day."""
        over = self.day[self.boats.index(boat)]
        kept: Yes = (over <= day) & (over < self.never)
        return kept


def odds(
    problem: Problem,
    plan: Plan,
    uncertain: Uncertain,
    *,
    seasons: int = 2000,
    seed: int = 1,
    blocks: Map = map,
) -> Odds:
    """Live through a plan in many seasons.

    Each person takes the jobs of the plan in its order; one who has to wait takes a later job
    that fits in the meantime. Work goes to somebody else of the trade where it is done a day
    sooner by that. A boat goes in at her first water with the lift free, somebody there to run it
    and no wind, in the order of the plan. One in front that holds up a boat for a day is moved
    aside. Who watches a learner watches one job at a time, and is asked for only where it could
    begin. Not counted: paint that gets too old before the water.

    Parameters
    ----------
    problem : Problem
        What was asked.
    plan : Plan
        One that keeps every rule.
    uncertain : Uncertain
        What may come otherwise than planned.
    seasons : int
        How many, a whole number of thousands.
    seed : int
        Same seed, same seasons: for this plan and for every other of the same yard.
    blocks : callable
        A ``map``: the built-in one, that of a pool of processes, or of a cluster's executor. The
        figures are the same.

    Returns
    -------
    Odds

    Raises
    ------
    ValueError
        ``seasons`` is no whole number of thousands, 1,000 to 100,000.
    """
    if seasons % BLOCK or not BLOCK <= seasons <= 100_000:
        raise ValueError(f"{seasons} seasons; give 1,000 to 100,000, in thousands.")
    asked = Asked(problem, plan, uncertain, seed)
    days = list(blocks(block_of_seasons, repeat(asked, seasons // BLOCK), range(seasons // BLOCK)))
    boats = tuple(boat.id for boat in asked.boats)
    return Odds(boats, np.concatenate(days, axis=1), problem.days.count)


def quick_look(
    problem: Problem, plan: Plan, uncertain: Uncertain, only: BoatId, seasons: int, seed: int
) -> Odds:
    """One boat's days in the first few of the very seasons that ``odds`` lives through.

    What is planned after her last job can't hold her up, and is left out.
    """
    asked = Asked(problem, plan, uncertain, seed, only, seasons)
    return Odds((only,), block_of_seasons(asked, 0), problem.days.count)
