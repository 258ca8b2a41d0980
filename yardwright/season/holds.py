"""Whether a plan still holds: what of it no longer fits the season as it stands now."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from yardwright.plan.problem import BoatId, Problem
from yardwright.procedures.going_in import State
from yardwright.season.asked import as_asked, no_less_work, of_those_here
from yardwright.season.causes import Broken, Hit, broken_rules, said_once
from yardwright.season.model import Boat, Season
from yardwright.season.published import Published
from yardwright.season.spring import asked_of, task_of
from yardwright.season.under_way import AT_THE_LIFT, UnderWay, under_way
from yardwright.season.yard_time import Launch

WENT_IN = AT_THE_LIFT | {State.HANDED_OVER}


def breaks(season: Season, one: Published, now: datetime) -> list[Broken]:
    """Say why a plan no longer holds.

    Parameters
    ----------
    season : Season
        The season as it stands now.
    one : Published
        A plan that was made of it earlier.
    now : datetime
        The time asked about, aware: what should be over by now must have been done.

    Returns
    -------
    list of Broken
        A line a cause; empty when the plan holds. Work that was done since is no breach, nor is a
        boat at the lift on her day. One that hangs in the slings at another time than hers has the
        lift.
    """
    launches = {go.boat: go for go in one.plan.launches}
    zone = ZoneInfo(season.yard.zone)
    wanted = {b.name: b for b in season.boats if _as_it_wanted(b, launches.get(b.name), now, zone)}
    in_time = {name for name, boat in wanted.items() if _in_time(boat, launches[name], now)}
    others = replace(season, boats=tuple(b for b in season.boats if b.name not in in_time))
    asked, left_out = asked_of(others, begins=one.begins, now=now)
    goes_on = under_way(season, one, now)
    problem = goes_on.beside(no_less_work(one, asked))
    why = {left.boat: left.because for left in left_out}
    at_lift = frozenset(wanted)
    other = (
        *_other_boats(one, problem, why, at_lift),
        *_other_work(one, problem),
        *_by_nobody(one, goes_on),
    )
    both = _in_both(one, problem)
    known = of_those_here(as_asked(one, both), both)
    return [
        *said_once(other),
        *broken_rules(others, known, both),
        *said_once(_overdue(one, problem, now)),
    ]


def _in_both(one: Published, problem: Problem) -> Problem:
    """What is asked now as far as the plan has it too: of this the rules are looked at.

    A boat that is only in one of them does not go in, and stands where she stands.
    """
    planned = {launch.boat for launch in one.plan.launches}
    people = {person.name for person in problem.people}
    has = {
        task_of(job)
        for job in one.plan.jobs
        if job.person in people and (not job.watcher or job.watcher in people)
    }
    boats = tuple(
        boat if boat.name in planned else replace(boat, goes_in=False, water=())
        for boat in problem.boats
    )
    going = {boat.id for boat in boats if boat.goes_in}
    ids = {task.id for task in problem.tasks if task.id in has and task.boat in going}
    tasks = tuple(
        replace(
            task,
            after=tuple(before for before in task.after if before in ids),
            not_by=tuple(before for before in task.not_by if before in ids),
        )
        for task in problem.tasks
        if task.id in ids
    )
    return replace(problem, boats=boats, tasks=tasks)


def _as_it_wanted(boat: Boat, go: Launch | None, now: datetime, zone: ZoneInfo) -> bool:
    """She went to the lift on the day of her launch, or after it."""
    if go is None or boat.state not in WENT_IN:
        return False
    return go.starts.astimezone(zone).date() <= now.astimezone(zone).date()


def _in_time(boat: Boat, go: Launch, now: datetime) -> bool:
    """She has no lift that the plan has for others: where she hangs, it is her own time by the plan."""
    since, at = (go.fetched or go.starts).astimezone(UTC), now.astimezone(UTC)
    return boat.state != State.IN_THE_SLINGS or since <= at < go.ends.astimezone(UTC)


def _other_boats(
    one: Published, problem: Problem, why: Mapping[str, str], at_lift: frozenset[str]
) -> Iterator[Hit]:
    going = {boat.name for boat in problem.going_in}
    here = {boat.name for boat in problem.boats}
    planned = {launch.boat for launch in one.plan.launches}
    for boat in sorted(planned - going - at_lift):
        if boat in here:
            says = f"{boat} is in the plan, but now she can't be planned: {why[boat]}."
            yield Hit(f"In the plan, but now not to be planned ({why[boat]})", boat, says)
        else:
            says = f"{boat} is in the plan, but no longer stands on land."
            yield Hit("In the plan, but no longer on land", boat, says)
    for boat in sorted(going - planned):
        yield Hit(
            "To go in, and not in this plan", boat, f"{boat} goes in too, and is not in this plan."
        )


def _other_work(one: Published, problem: Problem) -> Iterator[Hit]:
    planned = {task_of(job) for job in one.plan.jobs}
    for task in problem.tasks:
        if task.id not in planned:
            boat = problem.boat[task.boat].name
            says = f"{boat} needs work that is not in this plan: {task.text}."
            yield Hit(f"Work that is not in this plan, {task.text}", boat, says, is_job=True)
    people = {person.name for person in problem.people}
    for job in one.plan.jobs:
        for name in (job.person, job.watcher):
            if name and name not in people and task_of(job) in problem.task:
                cause = f"{name} no longer works here"
                yield Hit(cause, job.boat, f"{cause}: {job.what} on {job.boat}.", is_job=True)


def _by_nobody(one: Published, goes_on: UnderWay) -> Iterator[Hit]:
    """Work on boats at the lift that nobody does by the plan, and the plan does not say so."""
    known = {(left.boat, left.what) for left in one.by_nobody}
    for left in goes_on.nobody:
        if (left.boat, left.what) not in known:
            yield Hit("Nobody is there by the plan for it", left.boat, left.words, is_job=True)


def _overdue(one: Published, problem: Problem, now: datetime) -> Iterator[Hit]:
    """What the plan put before now must be over; who was moved aside stands in front of nobody."""
    here = {boat.name for boat in problem.boats}
    for go in one.plan.launches:
        if go.boat in here and _over(go.ends, now):
            says = f"{go.boat} was to go in {_clock(problem, go.starts)}; that has passed."
            yield Hit("Their time to go in has passed", go.boat, says)
    for aside in one.plan.asides:
        in_front = any(boat.goes_in for boat in problem.behind.get(BoatId(aside.boat), ()))
        if in_front and _over(aside.ends, now):
            at = _clock(problem, aside.starts)
            says = f"{aside.boat} was to be moved aside {at}; that has passed."
            yield Hit("Their time to be moved aside has passed", aside.boat, says)
    for job in one.plan.jobs:
        if task_of(job) in problem.task and _over(job.ends, now):
            says = (
                f"{job.boat}'s work ({job.what}) was to be done by {_clock(problem, job.ends)}; "
                "nobody has said that it is."
            )
            yield Hit(
                "To be done by now, and nobody has said that it is", job.boat, says, is_job=True
            )


def _over(ends: datetime, now: datetime) -> bool:
    return ends.astimezone(UTC) <= now.astimezone(UTC)


def _clock(problem: Problem, at: datetime) -> str:
    return problem.days.clock(problem.days.minute(at))
