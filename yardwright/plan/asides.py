"""Move boats aside as late as serves: a move made days too soon stands in the way meanwhile."""

from collections.abc import Iterator, Mapping

from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import Stretches, both, either, last, outside, starts, within
from yardwright.plan.problem import BoatId, Job, Plan, Problem, TaskId


def asides_put_off(problem: Problem, plan: Plan) -> Plan:
    """The same plan, each move aside at the last minute that still lets those behind out.

    Parameters
    ----------
    problem : Problem
        What was asked.
    plan : Plan
        One that keeps every rule.

    Returns
    -------
    Plan
        It keeps every rule too; jobs and launches are as they were, no move aside is sooner.
    """
    asides = dict(plan.asides)
    for key, start in sorted(plan.asides.items(), key=lambda aside: aside[1], reverse=True):
        put_off = Plan(plan.jobs, plan.launches, asides)
        minutes = problem.boat[key].aside_min or 0
        free = outside(either(_on_the_lift(problem, put_off, key)), problem.days.end)
        idle = outside(worked_on(problem, plan.jobs, key), problem.days.end)
        opens = starts(both(both(problem.lift, free), idle), minutes)
        latest = last(opens, min(_needed_by(problem, put_off, key)) - minutes)
        asides[key] = start if latest is None else latest
    return Plan(plan.jobs, plan.launches, asides)


def worked_on(problem: Problem, jobs: Mapping[TaskId, Job], key: BoatId) -> Stretches:
    """When somebody works on a boat; not while they rest."""
    placed = (jobs[task.id] for task in problem.jobs[key] if task.id in jobs)
    hours = ((problem.person[job.person].works, job) for job in placed)
    return either(span for works, job in hours for span in within(works, job.start, job.end))


def _needed_by(problem: Problem, plan: Plan, key: BoatId) -> Iterator[Minute]:
    """When she must be out of the way: those behind leave, or she goes in herself."""
    yield plan.launches.get(key, problem.days.end)
    for row in problem.rows:
        if key in row:
            for behind in row[row.index(key) + 1 :]:
                yield plan.asides.get(behind, plan.launches.get(behind, problem.days.end))


def _on_the_lift(problem: Problem, plan: Plan, but: BoatId) -> Iterator[Interval]:
    for key, start in plan.launches.items():
        yield start, start + problem.boat[key].launch_min
    for key, start in plan.asides.items():
        if key != but:
            yield start, start + (problem.boat[key].aside_min or 0)
