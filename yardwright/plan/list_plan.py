"""A plan in a moment: boats in the order of their promises, each thing at its first free time."""

from bisect import bisect_left
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import replace

from yardwright.plan.days import Minute
from yardwright.plan.hours import EVER
from yardwright.plan.placing import Placing
from yardwright.plan.problem import Boat, BoatId, Job, PersonId, Plan, Problem, Task

LAST = 10**6  # the rank of a boat that nobody was promised


def by_promise(problem: Problem) -> dict[BoatId, float]:
    """The rank of each boat: the day promised in Ink, else in Pencil."""
    return {boat.id: _promised(boat) for boat in problem.boats}


def _promised(boat: Boat) -> float:
    if boat.ink is not None:
        return boat.ink
    return LAST if boat.pencil is None else boat.pencil + 0.5


def list_plan(
    problem: Problem,
    rank: Mapping[BoatId, float],
    asides: Collection[BoatId] = (),
    wait_min: Mapping[PersonId, float] | None = None,
    early_days: Mapping[BoatId, float] | None = None,
) -> Plan:
    """Place boat by boat in the order of ``rank``, each job and launch as early as it will go.

    Jobs begin on a half hour of their person. Overtime is used on a boat that would else be late,
    or ready too short before her day: those placed after her then find more hours left.

    Parameters
    ----------
    problem : Problem
        What is asked.
    rank : mapping of BoatId to float
        Lower goes first. Boats in front inherit the rank of those they shut in.
    asides : collection of BoatId
        Boats to move aside when they are in the way; the others must be launched first.
    wait_min : mapping of PersonId to float
        How much later a job may be done for it not to be done by this person. [min]
    early_days : mapping of BoatId to float, optional
        Boats on which overtime may be used, and how many days before her day each is to be ready
        without it. Not given: all, by their day.

    Returns
    -------
    Plan
        It keeps every rule.

    Raises
    ------
    Stuck
        A boat finds no room in this order.
    """
    early_days = dict.fromkeys(problem.boat, 0) if early_days is None else early_days
    yard = Placing(problem, frozenset(asides), wait_min or {}, early_days)
    for boat in sorted(problem.boats, key=lambda boat: rank[boat.id]):
        yard.place(boat)
    return yard.plan


def demand(problem: Problem) -> Mapping[PersonId, float]:
    """For each person the share of their hours that is asked of their most wanted trade."""
    asked, there = Counter[str](), Counter[str]()
    for task in problem.tasks:
        asked[task.trade] += task.minutes
    for person in problem.people:
        there.update(dict.fromkeys(person.trades, person.on.plain.worked[-1]))
    share = {trade: asked[trade] / max(1, there[trade]) for trade in there}
    return {p.id: max((share[trade] for trade in p.trades), default=0) for p in problem.people}


def pulled_forward(problem: Problem, plan: Plan) -> Plan:
    """The same plan in the same order by the same people, nothing later.

    Each job begins on the first half hour that order allows, or when its part is there, and each
    launch in the first minute; what is watched, done in overtime or dries stays, as do moves aside
    and launches that keep their published minute.
    """
    yard = Placing(problem, frozenset(), {}, {})
    yard.keep(Plan({}, plan.launches, plan.asides))
    watched = {job.watcher for job in plan.jobs.values()}
    free: dict[PersonId, Minute] = {}
    jobs = [(job.start, task, None) for task, job in plan.jobs.items()]
    launches = [(start, None, boat) for boat, start in plan.launches.items()]
    for _, key, boat_id in sorted([*jobs, *launches], key=lambda event: event[0]):
        if boat_id is not None:
            _sooner_in(problem, plan, yard, problem.boat[boat_id])
        elif key is not None:
            task, job = problem.task[key], plan.jobs[key]
            if not (job.watcher or job.overtime or task.within_min or job.person in watched):
                job = _sooner(problem, yard, task, job, free.get(job.person, 0))
            yard.jobs[key] = job
            yard.on_her[task.boat].append(job)
            free[job.person] = job.end
    return yard.plan


def _sooner(problem: Problem, yard: Placing, task: Task, job: Job, ready: Minute) -> Job:
    """The job at the first half hour at which its person is free and it may begin."""
    boat, clock = problem.boat[task.boat], problem.person[job.person].on.plain
    ready = max([ready, task.not_before, *(yard.jobs[one].end for one in task.after)])
    if task.afloat:
        ready = max(ready, yard.launches[boat.id] + boat.launch_min)
    begins = yard.hands[job.person].plain.begins
    while ready < job.start:
        here = clock.minute_of(clock.worked_by(ready))
        at = bisect_left(begins, here)
        half_hour = begins[at] if at < len(begins) else EVER
        start = here if here == task.not_before else half_hour
        if start >= job.start:
            return job
        end = clock.minute_of(clock.worked_by(start) + task.minutes - 1) + 1
        sooner = replace(job, start=start, end=end)
        until = yard.too_many(boat, sooner)
        if until is None:
            return sooner
        ready = until
    return job


def _sooner_in(problem: Problem, plan: Plan, yard: Placing, boat: Boat) -> None:
    start = plan.launches[boat.id]
    soonest = start
    dries = any(task.within_min is not None for task in problem.ashore(boat.id))
    if boat.published != start and not dries:
        ready = max((yard.jobs[task.id].end for task in problem.ashore(boat.id)), default=0)
        soonest = min(start, yard.clear_at(boat, ready))
    yard.free_launch(boat)
    yard.launches[boat.id] = yard.goes_in(boat, soonest)
