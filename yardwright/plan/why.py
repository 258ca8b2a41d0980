"""Why a boat can't go in earlier in a plan, and why one is moved aside: in words."""

from collections.abc import Iterator
from dataclasses import replace

from yardwright.plan.alone import (
    by_herself,
    done_alone,
    launch_begins,
    meets_water_alone,
    ready_alone,
)
from yardwright.plan.asides import leaves
from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import both, starts
from yardwright.plan.problem import Boat, BoatId, Plan, Problem, Task


def why_not_earlier(problem: Problem, plan: Plan, key: BoatId) -> list[str]:
    """Say what keeps a boat from going in before her minute in the plan.

    Parameters
    ----------
    problem : Problem
        What was asked.
    plan : Plan
        A plan that keeps every rule.
    key : BoatId
        One of its boats that go in.

    Returns
    -------
    list of str
        What makes her ready when she is, then each stretch of water that she misses, from the
        day promised on (or from the day before her launch).
    """
    boat, launch = problem.boat[key], plan.launches[key]
    missed = [water for water in boat.water if _since(problem, boat, launch) < water[1]]
    missed = [water for water in missed if water[0] < launch]
    reasons = [_missed(problem, plan, boat, water) for water in missed]
    if not any(reasons):
        return [f"{boat.name} goes in at her first water with the lift open after her work."]
    return [*_ready(problem, boat), *(reason for reason in reasons if reason)]


def why_moved_aside(problem: Problem, plan: Plan, key: BoatId) -> str:
    """Say for whom a boat is moved aside."""
    out = {boat.id: leaves(problem, plan, boat.id) for boat in problem.behind[key]}
    behind = [boat for boat in out if out[boat] < problem.days.end]
    name = problem.boat[key].name
    if not behind:
        return f"{name} is moved aside for nobody."
    soonest = min(behind, key=lambda boat: out[boat])
    at = problem.days.clock(plan.asides[key])
    other, goes = problem.boat[soonest].name, problem.days.clock(out[soonest])
    return f"{name} is moved aside {at}: {other} stands behind her and leaves {goes}."


def _since(problem: Problem, boat: Boat, launch: Minute) -> Minute:
    day_before = problem.days.day(launch) - 1
    since = day_before if boat.promised is None else min(boat.promised, day_before)
    return problem.days.midnight(max(0, since))


def _ready(problem: Problem, boat: Boat) -> Iterator[str]:
    ready = ready_alone(problem, boat) or 0
    at, late = problem.days.clock(ready), _late_part(problem, boat, ready)
    if late is not None:
        comes = f"{boat.name}'s {late.waits_for} comes {problem.days.clock(late.not_before)}"
        if done_alone(problem, late, late.not_before) == ready:
            work = f"with {_hours(late.minutes)} of work ({late.text})"
            yield f"{comes}; {work} she is ready {at} at the earliest."
        else:
            yield f"{comes}; what follows it ({late.text} first) is done {at} at the earliest."
    elif next(problem.ashore(boat.id), None):
        yield f"With everybody there for her alone, {boat.name}'s work is done {at}."
    wet = meets_water_alone(problem, boat) or 0
    if wet > ready + boat.carry_min:
        yield f"What is painted is dry {problem.days.clock(wet)} at the earliest."


def _late_part(problem: Problem, boat: Boat, ready: Minute) -> Task | None:
    """The job but for whose part or frost she could be ready sooner; the last to come of several."""
    alone = by_herself(problem, boat)
    waiting = (task for task in alone.ashore(boat.id) if task.not_before)
    for late in sorted(waiting, key=lambda task: -task.not_before):
        here = (replace(t, not_before=0) if t.id == late.id else t for t in alone.tasks)
        if (ready_alone(replace(alone, tasks=tuple(here)), boat) or 0) < ready:
            return late
    return None


def _missed(problem: Problem, plan: Plan, boat: Boat, water: Interval) -> str | None:
    """Why she does not go in by this water."""
    soonest, launch = meets_water_alone(problem, boat) or 0, plan.launches[boat.id]
    name, needs = boat.name, f"a launch needs {boat.launch_min} min"
    needs += f", and {boat.carry_min} min before it" if boat.carry_min else ""
    between = f"{problem.days.clock(water[0])} to {problem.days.clock(water[1])}"
    if soonest > water[1] - boat.launch_min:
        return f"{name}'s water leaves {problem.days.clock(water[1])}; {needs}."
    opens = [
        (max(a, soonest), b)
        for a, b in both(starts((water,), boat.launch_min), launch_begins(problem, boat))
        if soonest < b
    ]
    if not opens:
        return (
            f"There is water for {name} {between}, but {_not_open(problem, boat, water)}; {needs}."
        )
    last = min(opens[-1][1] - 1, launch - 1)
    if last < opens[0][0]:
        return None
    return _held_up(problem, plan, boat, (opens[0][0], last))


def _not_open(problem: Problem, boat: Boat, water: Interval) -> str:
    if water[0] - boat.carry_min < boat.ground_from:
        firm = problem.days.clock(boat.ground_from)
        return f"the ground where she stands bears her lift from {firm} on"
    if problem.looks and boat.looks_min:
        return "not with the lift open, and then somebody there to look after her"
    return "not with the lift open"


def _held_up(problem: Problem, plan: Plan, boat: Boat, opens: Interval) -> str:
    """What in this plan stands against a launch that begins between two minutes, both counted."""
    clock, (soonest, last) = problem.days.clock, opens
    done = max(problem.ashore(boat.id), key=lambda task: plan.jobs[task.id].end, default=None)
    if done and plan.jobs[done.id].end > last - boat.carry_min:
        job = plan.jobs[done.id]
        who = problem.person[job.person].name
        return (
            f"By {clock(last)} {boat.name} is not ready: {who} is on her ({done.text}) "
            f"{clock(job.start)} to {clock(job.end)}{_busy_before(problem, plan, done, soonest)}."
        )
    for front in problem.in_front[boat.id]:
        out = leaves(problem, plan, front.id)
        if boat.id not in plan.asides and out > soonest - boat.carry_min:
            stands = f"{boat.name} stands behind {front.name}"
            return f"{stands}, who leaves her place {clock(out)}."
    taken = [problem.boat[other].name for other in _on_the_lift(problem, plan, opens, boat)]
    busy = f" (busy with {', '.join(taken)})" if taken else ""
    return (
        f"From {clock(soonest)} to {clock(last)} the lift has no {boat.launch_min} min free{busy}."
    )


def _busy_before(problem: Problem, plan: Plan, task: Task, soonest: Minute) -> str:
    job = plan.jobs[task.id]
    earlier = [
        (other.end, problem.boat[problem.task[key].boat].name)
        for key, other in plan.jobs.items()
        if other.person == job.person and other.end <= job.start
    ]
    if not earlier or max(earlier)[0] < soonest - 1440:
        return ""
    return f", and before that on {max(earlier)[1]}"


def _on_the_lift(problem: Problem, plan: Plan, opens: Interval, boat: Boat) -> Iterator[BoatId]:
    """The others on lifts of her kind meanwhile."""
    begin, end = opens[0] - boat.carry_min, opens[1] + boat.launch_min
    kind = [one for one in problem.boats if one.lift == boat.lift and one.id != boat.id]
    for one in sorted(kind, key=lambda one: plan.launches.get(one.id, 0)):
        start = plan.launches.get(one.id)
        if start is not None and begin - one.launch_min < start < end + one.carry_min:
            yield one.id
    for one in sorted(kind, key=lambda one: plan.asides.get(one.id, 0)):
        start = plan.asides.get(one.id)
        if start is not None and begin - (one.aside_min or 0) < start < end:
            yield one.id


def _hours(minutes: int) -> str:
    hours, rest = divmod(minutes, 60)
    return " ".join(
        part for part in (f"{hours} h" * (hours > 0), f"{rest} min" * (rest > 0)) if part
    )
