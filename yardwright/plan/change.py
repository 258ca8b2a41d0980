"""What a plan changes of the one that people know, and what that costs them."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from yardwright.plan.days import Day, Minute
from yardwright.plan.problem import (
    BoatId,
    Job,
    Plan,
    Problem,
    TaskId,
    handed_over,
    overtime_min,
)

LAUNCH = 3  # a launch that moves counts as so many jobs: her owner was told


class Cost(NamedTuple):
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


def changed(
    problem: Problem, published: Plan, plan: Plan, some: Iterable[BoatId] | None = None
) -> Cost:
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
            days[boat.ink is not None] += beyond(problem, published, plan, boat.id)
    if some is None:
        moves += sum(key not in problem.task for key in published.jobs)
        moves += LAUNCH * sum(key not in problem.boat for key in published.launches)
        moves += sum(key not in problem.boat for key in published.asides)
    return Cost(days[True], moves, days[False], handed_on, extra)


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


def beyond(problem: Problem, published: Plan, plan: Plan, key: BoatId) -> Day:
    """Days a boat is handed over after the published day, or the promised one if that is later."""
    boat = problem.boat[key]
    if boat.promised is None:
        return 0
    known = key in published.launches and all(t.id in published.jobs for t in problem.jobs[key])
    was = problem.days.day(handed_over(problem, published, boat)) if known else 0
    return max(0, problem.days.day(handed_over(problem, plan, boat)) - max(boat.promised, was))
