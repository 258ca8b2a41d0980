"""A plan near the one that stands, with one boat's work put in anew as soon as it can be."""

from itertools import count
from math import inf

from yardwright.plan import checker, planner
from yardwright.plan.change import changed
from yardwright.plan.days import Minute
from yardwright.plan.give_way import GivingWay
from yardwright.plan.parts import Part
from yardwright.plan.past import past_changed
from yardwright.plan.problem import BoatId, Plan, Problem, days_late
from yardwright.plan.repair import NoRoom, hit, repaired

TURNS = 100  # in which others win back days that they lost
SMALL_S = 2.0  # for the planner, in a yard so small that it sees all boats at once


def near(problem: Problem, stands: Plan, key: BoatId, now: Minute = 0) -> Plan | None:
    """Put one boat's work in anew; the others give way where they have days to spare.

    Parameters
    ----------
    problem : Problem
        What is asked now.
    stands : Plan
        The plan that stands.
    key : BoatId
        The boat who comes first.
    now : int
        Nothing is put in before; what has begun goes on. [min]

    Returns
    -------
    Plan or None
        It has passed ``checker.broken``; None where none was found.
    """
    boat = problem.boat[key]
    found = [one for one in (_put_in(problem, stands, key, now, s) for s in (False, True)) if one]
    late = all(days_late(problem, one, boat) for one in found)
    if late and len(problem.going_in) <= planner.WHOLE:
        anew = planner.plan(problem, time_limit_s=SMALL_S, workers=1, known=stands).plan
        if anew and not past_changed(anew, problem, stands, now, Part(frozenset(), frozenset())):
            found.append(anew)
    best = min(
        found,
        key=lambda one: (days_late(problem, one, boat), changed(problem, stands, one)),
        default=None,
    )
    return best and _won_back(problem, stands, best, key, now)


def _won_back(problem: Problem, stands: Plan, found: Plan, key: BoatId, now: Minute) -> Plan:
    """The others with fewer days lost by it, where they lost any; she stays as she was put in."""
    hers = {task.id for task in problem.jobs[key]}
    told = Plan(
        {**stands.jobs, **{task: found.jobs[task] for task in hers}},
        {**stands.launches, key: found.launches[key]},
        stands.asides,
    )
    lost = changed(problem, told, found)
    if not (lost.ink_days or lost.pencil_days):
        return found
    giving, turns = GivingWay(problem, told, found, now, 1, key), count()
    giving.go_on(inf, stop=lambda: next(turns) >= TURNS)
    return giving.plan


def _put_in(problem: Problem, stands: Plan, key: BoatId, now: Minute, soonest: bool) -> Plan | None:
    """With all of hers put in again that has not begun."""
    hers, carry_min = {task.id for task in problem.jobs[key]}, problem.boat[key].carry_min
    others = Plan(
        {task: job for task, job in stands.jobs.items() if task not in hers or job.start < now},
        {boat: at for boat, at in stands.launches.items() if boat != key or at - carry_min < now},
        stands.asides,
    )
    try:
        plan = repaired(problem, others, hit(problem, others), now, soonest=soonest)
    except NoRoom:
        return None
    return None if any(checker.broken(plan, problem)) else plan
