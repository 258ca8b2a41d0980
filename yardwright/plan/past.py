"""After a surprise: what has begun goes on, and nothing begins in the past. Knows no solver."""

from collections.abc import Iterator

from yardwright.plan.days import Minute
from yardwright.plan.parts import Part
from yardwright.plan.problem import BoatId, Job, Plan, Problem, TaskId

JOB, ASIDE, LAUNCH = "job", "move aside", "launch"
Thing = tuple[str, str]  # which of the three, and its id
Began = tuple[Minute, Job | Minute]  # when, and all that is planned of it


def past_changed(
    plan: Plan, problem: Problem, published: Plan, now: Minute, lost: Part
) -> list[str]:
    """Say what a plan changes of the past.

    Parameters
    ----------
    plan : Plan
        A plan after a surprise.
    problem : Problem
        What is asked now.
    published : Plan
        The plan that people know.
    now : int
        What is not as published begins then or later, the way to the water too. [min]
    lost : Part
        What can't stay by itself. It may be moved, and so may what comes after what moves.

    Returns
    -------
    list of str
        One sentence for each change; empty when the past stays.
    """
    was, will = dict(_things(published, problem)), dict(_things(plan, problem))
    moved = {one for one in was | will if was.get(one) != will.get(one)}
    may_move = {(JOB, str(key)) for key in lost.tasks}
    may_move |= {(kind, str(key)) for kind in (ASIDE, LAUNCH) for key in lost.boats}
    may_move |= {one for one in moved if moved & {*_ahead(problem, one)}}
    said = []
    for one in sorted(moved):
        what = _said(problem, one)
        if one in will and will[one][0] < now:
            at = problem.days.clock(will[one][0])
            said.append(f"{what} would begin {at}, which has passed.")
        elif one in was and was[one][0] < now and one not in may_move:
            said.append(f"{what} has begun, and would be moved.")
    return said


def _things(plan: Plan, problem: Problem) -> Iterator[tuple[Thing, Began]]:
    """All that is asked for still."""
    for task in problem.tasks:
        if job := plan.jobs.get(task.id):
            yield (JOB, task.id), (job.start, job)
    for boat in problem.boats:
        if (at := plan.asides.get(boat.id)) is not None:
            yield (ASIDE, boat.id), (at, at)
        if (at := plan.launches.get(boat.id)) is not None and boat.goes_in:
            yield (LAUNCH, boat.id), (at - boat.carry_min, at)


def _ahead(problem: Problem, one: Thing) -> Iterator[Thing]:
    """What it comes after."""
    kind, key = one
    if kind == JOB:
        task = problem.task[TaskId(key)]
        yield from ((JOB, before) for before in task.after)
        if task.afloat:
            yield LAUNCH, task.boat
    else:
        if kind == LAUNCH:
            yield from ((JOB, task.id) for task in problem.ashore(BoatId(key)))
            yield ASIDE, key
        for front in problem.in_front[BoatId(key)]:
            yield from ((ASIDE, front.id), (LAUNCH, front.id))


def _said(problem: Problem, one: Thing) -> str:
    kind, key = one
    if kind == JOB:
        task = problem.task[TaskId(key)]
        return f"{problem.boat[task.boat].name}: {task.text}"
    return f"{problem.boat[BoatId(key)].name}'s {kind}"
