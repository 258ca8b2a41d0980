"""A boat by herself: when she could go in if all were there for her, and why she never could."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import NamedTuple

from yardwright.plan.days import Days, Interval, Minute
from yardwright.plan.hours import Stretches, both, either, finish, first, later, outside, starts
from yardwright.plan.problem import Boat, BoatId, Lift, Problem, Task, TaskId

NEAR_MIN = 180  # so far from its own hours a lift may be asked to stay open: nobody lifts at night


def by_the_clock(problem: Problem, lift: Lift) -> Interval:
    """From when to when a lift is open on any day but for single ones: minutes by the clock."""
    return _by_the_clock(problem.days, lift.opens, lift.longer)


@lru_cache(maxsize=64)
def _by_the_clock(days: Days, opens: Stretches, longer: Stretches) -> Interval:
    usual = both(opens, outside(longer, days.end))
    since = [(days.clock_min(a, days.day(a)), days.clock_min(b, days.day(a))) for a, b in usual]
    return min((a for a, _ in since), default=0), max((b for _, b in since), default=0)


@lru_cache(maxsize=64)
def _daily(days: Days, low: int, high: int) -> Stretches:
    """On each day from one time by the clock to another."""
    found = [(days.by_clock(day, low), days.by_clock(day, high)) for day in range(days.count)]
    return either((max(0, a), min(b, days.end)) for a, b in found if a < b)


def may_stay_open(problem: Problem, lift: Lift) -> Stretches:
    """When a lift could be kept open: near its own hours by the clock, not held, its people in."""
    days, (low, high) = problem.days, by_the_clock(problem, lift)
    near = _daily(days, low - NEAR_MIN, high + NEAR_MIN)
    return both(near, outside(lift.stays_shut, days.end)) if lift.opens else ()


def with_somebody_in(problem: Problem) -> Problem:
    """As if somebody who may run each lift were in on every day, at its hours by the clock."""
    return replace(problem, lifts=tuple(_run_daily(problem, lift) for lift in problem.lifts))


def _run_daily(problem: Problem, lift: Lift) -> Lift:
    days, (low, high) = problem.days, by_the_clock(problem, lift)
    usual = _daily(days, low, high)
    usual = usual or ((0, days.end),)
    more = both(both(lift.away, usual), outside(lift.held, days.end))
    return replace(lift, opens=either([*lift.opens, *more]), away=())


def launch_begins(problem: Problem, boat: Boat) -> Stretches:
    """The minutes at which a launch of hers may begin: water, lift and looks hold from there."""
    looks: Stretches | None = None
    if problem.looks and boat.looks_min:
        looks = problem.looks_open
    lasts = boat.carry_min, boat.launch_min, boat.looks_min
    return _begins(boat.water, problem.lift_opens(boat), looks, lasts)


@lru_cache(maxsize=2048)
def _begins(
    water: Stretches, lift: Stretches, looks: Stretches | None, lasts: tuple[int, int, int]
) -> Stretches:
    carry_min, launch_min, looks_min = lasts
    begins = starts(water, launch_min)
    begins = both(begins, later(starts(lift, carry_min + launch_min), carry_min))
    return begins if looks is None else both(begins, later(starts(looks, looks_min), -launch_min))


def by_herself(problem: Problem, boat: Boat) -> Problem:
    """Her own part of a problem: her work and all people, no other boat."""
    own = {task.id for task in problem.jobs[boat.id]}
    tasks = tuple(
        replace(
            task,
            after=tuple(key for key in task.after if key in own),
            not_by=tuple(key for key in task.not_by if key in own),
        )
        for task in problem.jobs[boat.id]
    )
    return replace(problem, boats=(boat,), tasks=tasks, rows=())


class Done(NamedTuple):
    """Minutes before which each job can't be done, and before which they can't all be done."""

    ends: Mapping[TaskId, Minute]
    all: Minute


def ready_alone(problem: Problem, boat: Boat) -> Minute | None:
    """A minute before which her work ashore can't be done, even if all were there for her alone.

    None: not within the season.
    """
    done = _done(problem, boat, list(problem.ashore(boat.id)), 0)
    return None if done is None else done.all


def meets_water_alone(problem: Problem, boat: Boat) -> Minute | None:
    """A minute before which she can't meet the water, were it and the lift always there."""
    ashore = list(problem.ashore(boat.id))
    done = _done(problem, boat, ashore, 0)
    if done is None:
        return None
    return max([done.all + boat.carry_min, *(done.ends[t.id] + t.dry_min for t in ashore)])


def earliest_launch(problem: Problem, boat: Boat) -> Minute | None:
    """A minute before which a boat can't go in; None when not within the season."""
    soonest = meets_water_alone(problem, boat)
    return None if soonest is None else first(launch_begins(problem, boat), soonest)


def gone_from_her_place(problem: Problem, front: Boat) -> Minute:
    """When she has been launched at the soonest, and no longer stands before who is behind her."""
    launch = earliest_launch(problem, front)
    return problem.days.end if launch is None else launch + front.launch_min


def earliest_handed_over(problem: Problem, boat: Boat, launch: Minute) -> Minute | None:
    """A minute before which she can't be her owner's, launched then or later; None: never."""
    over = launch + boat.launch_min
    done = _done(problem, boat, list(problem.afloat(boat.id)), over)
    if done is None:
        return None
    return max(over + boat.watch_min, boat.free_from + 1, done.all) - 1


def _done(problem: Problem, boat: Boat, tasks: Sequence[Task], ready: Minute) -> Done | None:
    """When jobs are done at the soonest; None: one can't within the season.

    Of those who may do a job only those who have its trade count: nobody who learns it is done
    before the one who watches would be.
    """
    begins: dict[TaskId, Minute] = {}
    ends: dict[TaskId, Minute] = {}
    for task in tasks:
        heads = [ends[before] for before in task.after if before in ends]
        begins[task.id] = max([ready, task.not_before, *heads])
        end = done_alone(problem, task, begins[task.id])
        if end is None:
            return None
        ends[task.id] = end
    latest = max(ends.values(), default=ready)
    anyone = _anyone(tuple(person.on.long.opens for person in problem.people))
    for head in sorted(set(begins.values())):
        minutes = sum(task.minutes for task in tasks if begins[task.id] >= head)
        start = first(anyone, head)
        crowd = None if start is None else finish(anyone, start, -(-minutes // boat.hands))
        if crowd is None:
            return None
        latest = max(latest, crowd)
    return Done(ends, latest)


def done_alone(problem: Problem, task: Task, ready: Minute) -> Minute | None:
    """When a job is done at the soonest, if it may begin at ``ready``; None: not in the season."""
    able = (p.on.long.opens for p in problem.people if task.trade in p.trades)
    starting = [(works, first(works, ready)) for works in able]
    done = [finish(works, at, task.minutes) for works, at in starting if at is not None]
    return min((end for end in done if end is not None), default=None)


@lru_cache(maxsize=64)
def _anyone(works: tuple[Stretches, ...]) -> Stretches:
    return either(span for one in works for span in one)


def never_in(problem: Problem) -> dict[BoatId, str]:
    """The boats that no plan can launch, whatever is done about the others, each with its reason.

    Returns
    -------
    dict of BoatId to str
        What follows "is not planned: ", without a full stop. Leave these boats out, and none of
        the others has such a reason.
    """
    return {boat.id: why for boat in problem.going_in if (why := why_never_in(problem, boat))}


def why_never_in(problem: Problem, boat: Boat) -> str:
    """Why no plan can launch a boat that is to go in, as ``never_in`` says it; "": one may."""
    if why := _why_never(problem, boat):
        return why
    for front in problem.in_front[boat.id]:
        if front.aside_min is None and (not front.goes_in or _why_never(problem, front)):
            return (
                f"she is shut in behind {front.name}, who stays and can't be moved aside; "
                "say how that one is moved"
            )
    return ""


def _why_never(problem: Problem, boat: Boat) -> str:
    trades = {trade for person in problem.people for trade in person.trades}
    if nobody := sorted({task.trade for task in problem.jobs[boat.id]} - trades):
        what = " and a ".join(nobody)
        return f"her work needs a {what}, and nobody here is one; give somebody the trade"
    if alone := next(_nobody_else(problem, boat), ""):
        return alone
    ready = ready_alone(problem, boat)
    if ready is None:
        return (
            "her work does not fit into the season even if all were there for her alone; bring "
            "her parts sooner, or end the season later"
        )
    launch = earliest_launch(problem, boat)
    if launch is None:
        return _no_launch(problem, boat, ready)
    if earliest_handed_over(problem, boat, launch) is None:
        at = problem.days.clock(launch)
        return (
            f"she can go in {at} at the soonest, and after that her work afloat does not fit into "
            "the season; end the season later"
        )
    return ""


def _nobody_else(problem: Problem, boat: Boat) -> Iterator[str]:
    """The jobs that somebody else is to do, where there is one person for both."""
    for task in problem.jobs[boat.id]:
        for other in (problem.task[key] for key in task.not_by):
            able = {p.name for p in problem.people if task.trade in p.trades}
            if len(able | {p.name for p in problem.people if other.trade in p.trades}) == 1:
                yield (
                    f"{task.text} is for another {task.trade} than does {other.text}, and there "
                    f"is {min(able)} alone; give somebody the trade"
                )


def _no_launch(problem: Problem, boat: Boat, ready: Minute) -> str:
    soonest, at = meets_water_alone(problem, boat) or ready, problem.days.clock(ready)
    dry = f", and dry {problem.days.clock(soonest)}" if soonest > ready + boat.carry_min else ""
    lasts = boat.carry_min, boat.launch_min, 0
    if first(_begins(boat.water, problem.lift_opens(boat), None, lasts), soonest) is not None:
        return (
            f"she can be ready {at}{dry}, but after that nobody is there to look after her for "
            f"{boat.looks_min} min when she is in; give more hours for it, or end the season later"
        )
    staffed = with_somebody_in(problem).lift_opens(boat)
    if first(_begins(boat.water, staffed, None, lasts), soonest) is not None:
        name = problem.lift[boat.lift].name
        return (
            f"she can be ready {at}{dry}, but after that nobody who may run the {name} is in while "
            "she has water; say who else may run it, or when they are in"
        )
    carry = f" and {boat.carry_min} min before it" if boat.carry_min else ""
    ground, ask = "", ""
    if boat.ground_from > ready:
        ground = f" and the ground firm, which it is from {problem.days.clock(boat.ground_from)} on"
        ask = "name a lift for her that goes there sooner, "
    return (
        f"she can be ready {at}{dry}, but after that she has no {boat.launch_min} min of water "
        f"with the lift open{carry}{ground}{_no_lift(problem, boat, soonest)}; {ask}open the lift at "
        "another hour, or end the season later"
    )


def _no_lift(problem: Problem, boat: Boat, soonest: Minute) -> str:
    """When there is water long enough for her, with no lift for it; or that there is none."""
    start = first(starts(boat.water, boat.launch_min), soonest)
    if start is None:
        return ", and no water so long until the season ends"
    end = next(end for begin, end in boat.water if begin <= start < end)
    since, until = problem.days.clock(start), problem.days.clock(end)
    return f" (there is water so long {since} to {until}, but no lift for it)"
