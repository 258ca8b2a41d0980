"""What is asked since a plan was made, and that plan beside it, in the same minutes."""

from dataclasses import replace
from datetime import datetime

from yardwright.plan.asides import gone, leaves
from yardwright.plan.days import Minute
from yardwright.plan.hours import within
from yardwright.plan.problem import Boat, BoatId, PersonId, Plan, Problem, Task, TaskId
from yardwright.plan.problem import Job as PlanJob
from yardwright.season.model import Season
from yardwright.season.published import Published
from yardwright.season.put_backs import PUT_BACK, REFILL
from yardwright.season.spring import problem_of, task_of
from yardwright.season.under_way import under_way


def no_less_work(one: Published, problem: Problem) -> Problem:
    """Where some of a job was done since, as much is asked as the plan has: that is no breach.

    Not of put-backs from which filling her with water was taken since.
    """
    minute, people = problem.days.minute, {p.name: p for p in problem.people}
    has: dict[TaskId, int] = {}
    for job in one.plan.jobs:
        if job.person in people:
            clock = people[job.person].hours(overtime=job.overtime)
            worked = clock.worked_by(minute(job.ends)) - clock.worked_by(minute(job.starts))
            has[task_of(job)] = worked
    for task in problem.tasks:
        if task.text.startswith(REFILL) and task.id not in has:
            has.pop(TaskId(task.id.replace(REFILL, PUT_BACK)), None)
    tasks = (replace(t, minutes=max(t.minutes, has.get(t.id, 0))) for t in problem.tasks)
    return replace(problem, tasks=tuple(tasks))


def asked_now(
    season: Season, old: Published, asked_at: datetime, begins: datetime
) -> tuple[Problem, Plan]:
    """What is asked since the plan that holds began, and that plan in its minutes.

    Work and launches that were to be over and are not wait until the new plan begins; a move aside
    that was to be over is none of it any more. Nor is a boat shut in under way by the clock alone.
    Who is at work then goes on: their hours before it stay theirs. A boat in the slings has the lift,
    one that is watched a place for looks; who has work on them by the plan has no hours for others
    then.
    A boat not in Ink is held against her Pencil, which is known: a plan made anew goes by the wish.
    """
    times = {go.boat: go.starts for go in old.plan.launches}
    asked = problem_of(season, published=times, begins=old.begins, now=asked_at)
    problem = under_way(season, old, asked_at).beside(no_less_work(old, asked))
    known = of_those_here(as_asked(old, problem), problem)
    now, since = problem.days.minute(asked_at), problem.days.minute(begins) + 1
    asides = {
        key: at for key, at in known.asides.items() if at + (problem.boat[key].aside_min or 0) > now
    }
    known = replace(known, asides=asides)
    shut_in = {boat.id for boat in problem.boats if _shut_in(boat, known, (now, since), problem)}
    asides = {key: at for key, at in asides.items() if key not in shut_in}
    tasks = tuple(_not_over(task, known.jobs.get(task.id), now, since) for task in problem.tasks)
    pencil = {boat.name: boat.promise.pencil for boat in season.boats}
    boats = tuple(
        replace(
            _not_before(boat, since, problem)
            if boat.id in shut_in or _was_to_be_in(boat, known, now)
            else boat,
            pencil=problem.days.day_of(day) if (day := pencil[boat.name]) else boat.pencil,
        )
        for boat in problem.boats
    )
    return replace(problem, tasks=tasks, boats=boats), replace(known, asides=asides)


def _not_over(task: Task, job: PlanJob | None, now: Minute, since: Minute) -> Task:
    """Work that was to be over, and nobody said that it is."""
    over = job is not None and job.end <= now
    if not over:
        return task
    task = task.from_then(now)
    return replace(task, not_before=max(task.not_before, since))


def _was_to_be_in(boat: Boat, known: Plan, now: Minute) -> bool:
    """By the clock, and she stands here still."""
    launch = known.launches.get(boat.id)
    return launch is not None and launch + boat.launch_min <= now


def _shut_in(boat: Boat, known: Plan, at: tuple[Minute, Minute], problem: Problem) -> bool:
    """By the clock she leaves before the new plan, and can't: one in front of her is there still."""
    now, since = at
    begins = leaves(problem, known, boat.id)
    fronts = problem.in_front[boat.id] if begins < since else ()
    return any(not now < gone(problem, known, front) <= begins for front in fronts)


def _not_before(boat: Boat, since: Minute, problem: Problem) -> Boat:
    """A boat that is fetched from then on."""
    return replace(boat, water=within(boat.water, since + boat.carry_min, problem.days.end))


def of_those_here(plan: Plan, problem: Problem) -> Plan:
    """Of a plan, the launches that are still asked for and the moves aside of boats on land."""
    going = {boat.id for boat in problem.going_in}
    return Plan(
        plan.jobs,
        {key: at for key, at in plan.launches.items() if key in going},
        {key: at for key, at in plan.asides.items() if key in problem.boat},
    )


def as_asked(one: Published, problem: Problem) -> Plan:
    """The kept plan in the minutes of a problem; work that is not asked for any more is left out."""
    minute = problem.days.minute
    return Plan(
        jobs={
            task_of(job): PlanJob(
                PersonId(job.person),
                minute(job.starts),
                minute(job.ends),
                PersonId(job.watcher) if job.watcher else None,
                job.overtime,
            )
            for job in one.plan.jobs
            if task_of(job) in problem.task
        },
        launches={BoatId(go.boat): minute(go.starts) for go in one.plan.launches},
        asides={BoatId(aside.boat): minute(aside.starts) for aside in one.plan.asides},
    )
