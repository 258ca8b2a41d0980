"""Which part of a plan is planned anew while the rest stays. Knows no solver."""

from collections.abc import Iterable
from typing import NamedTuple

from yardwright.plan.problem import BoatId, Problem, TaskId


class Part(NamedTuple):
    """Jobs, and boats with their launch and their move aside."""

    tasks: frozenset[TaskId]
    boats: frozenset[BoatId]


def whole(problem: Problem) -> Part:
    """All there is."""
    return Part(frozenset(problem.task), frozenset(problem.boat))


def of_boats(problem: Problem, boats: Iterable[BoatId]) -> Part:
    """All of some boats."""
    some = frozenset(boats)
    return Part(frozenset(task.id for task in problem.tasks if task.boat in some), some)
