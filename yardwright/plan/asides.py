"""Move boats aside as late as serves: a move made days too soon stands in the way meanwhile."""

from collections.abc import Iterator, Mapping

from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import Stretches, both, crowded, either, last, outside, starts, within
from yardwright.plan.problem import Boat, BoatId, Job, Plan, Problem, TaskId


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
        boat, end = problem.boat[key], problem.days.end
        minutes, lift = boat.aside_min or 0, problem.lift[boat.lift]
        free = outside(crowded(_on_the_lift(problem, put_off, boat), lift.count), end)
        idle = outside(worked_on(problem, plan.jobs, key), end)
        opens = starts(both(both(problem.lift_opens(boat), free), idle), minutes)
        latest = last(opens, min(_needed_by(problem, put_off, boat)) - minutes)
        asides[key] = start if latest is None else latest
    return Plan(plan.jobs, plan.launches, asides)


def worked_on(problem: Problem, jobs: Mapping[TaskId, Job], key: BoatId) -> Stretches:
    """When somebody works on a boat; not while they rest."""
    placed = (jobs[task.id] for task in problem.jobs[key] if task.id in jobs)
    hours = ((problem.person[job.person].hours(overtime=job.overtime), job) for job in placed)
    return either(span for clock, job in hours for span in within(clock.opens, job.start, job.end))


def leaves(problem: Problem, plan: Plan, key: BoatId) -> Minute:
    """When a boat leaves her place: moved aside, or fetched; the season's end if she stays."""
    if key in plan.asides:
        return plan.asides[key]
    if key in plan.launches:
        return plan.launches[key] - problem.boat[key].carry_min
    return problem.days.end


def gone(problem: Problem, plan: Plan, boat: Boat) -> Minute:
    """When one in front is out of the way: aside, or in the water."""
    aside = boat.id in plan.asides
    lasts = boat.aside_min or 0 if aside else boat.carry_min + boat.launch_min
    return leaves(problem, plan, boat.id) + lasts


def _needed_by(problem: Problem, plan: Plan, boat: Boat) -> Iterator[Minute]:
    """When she must be out of the way: those behind leave, or she goes in herself."""
    yield plan.launches.get(boat.id, problem.days.end + boat.carry_min) - boat.carry_min
    for behind in problem.behind[boat.id]:
        yield leaves(problem, plan, behind.id)


def _on_the_lift(problem: Problem, plan: Plan, but: Boat) -> Iterator[Interval]:
    """When lifts of her kind are taken, but for her own move aside."""
    yield from problem.lift[but.lift].taken
    for key, start in plan.launches.items():
        boat = problem.boat[key]
        if boat.lift == but.lift:
            yield start - boat.carry_min, start + boat.launch_min
    for key, start in plan.asides.items():
        boat = problem.boat[key]
        if boat.lift == but.lift and key != but.id:
            yield start, start + (boat.aside_min or 0)
