"""Why a boat can't go in earlier in a plan, and why one is moved aside: in words."""

from collections.abc import Iterator, Sequence
from dataclasses import replace
from typing import NamedTuple

from yardwright.calc.counting import hours
from yardwright.plan.alone import (
    by_herself,
    done_alone,
    launch_begins,
    meets_water_alone,
    ready_alone,
    with_somebody_in,
)
from yardwright.plan.asides import gone, leaves
from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import Stretches, both, crowded, first, later, outside, starts, within
from yardwright.plan.problem import Boat, BoatId, Plan, Problem, Task

NAMED = 3  # of boats that are on the lift meanwhile


class _Bar(NamedTuple):
    """Before a minute she can't meet the water in this plan, and why."""

    until: Minute
    because: str


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
        Of the water that she misses from the day promised on (or from the day before her launch):
        what leaves before she could be ready at all; then what of this plan she waits for; then
        what comes while the lift is shut, and while it is taken. Each cause once.
    """
    boat, launch = problem.boat[key], plan.launches[key]
    since, soonest = _since(problem, boat, launch), meets_water_alone(problem, boat) or 0
    missed = [water for water in boat.water if since < water[1] and water[0] < launch]
    gone = [water for water in missed if water[1] - boat.launch_min < soonest]
    begins = within(launch_begins(problem, boat), max(since, soonest), launch)
    run = within(_with_somebody_in(problem, boat), max(since, soonest), launch)
    bar = max(_bars(problem, plan, boat), key=lambda bar: bar.until, default=_Bar(soonest, ""))
    waits = bool(within(run, soonest, bar.until))
    shut = [
        water
        for water in missed[len(gone) :]
        if water[1] <= launch
        and not within(begins, *water)
        and not (waits and water[1] - boat.launch_min < bar.until)
    ]
    said = [
        *(_too_soon(problem, boat, gone[-1]) if gone else ()),
        *((bar.because,) if waits else ()),
        *_shut(problem, boat, shut, within(run, bar.until, launch)),
        *_taken(problem, plan, boat, within(begins, bar.until, launch)),
    ]
    return said or [f"{boat.name} goes in at her first water with the lift open after her work."]


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


def _too_soon(problem: Problem, boat: Boat, water: Interval) -> Iterator[str]:
    """When she could be ready, and the last water that leaves before."""
    yield from _ready(problem, boat)
    leaves_at = problem.days.clock(water[1])
    yield f"{boat.name}'s water leaves {leaves_at}; a launch needs {_needs(boat)}.{_back(problem, boat, water[1])}"


def _back(problem: Problem, boat: Boat, gone: Minute) -> str:
    """When her water is back, long enough and with the lift open, after she could be ready."""
    soonest = max(gone, meets_water_alone(problem, boat) or 0)
    start = first(launch_begins(problem, boat), soonest)
    if start is None:
        return ""
    end = next(end for begin, end in boat.water if begin <= start < end)
    since, until = _span(problem, start, end)
    return f" It is back, long enough and with the lift open, {since} to {until}."


def _needs(boat: Boat) -> str:
    return f"{boat.launch_min} min" + (
        f", and {boat.carry_min} min before it" if boat.carry_min else ""
    )


def _ready(problem: Problem, boat: Boat) -> Iterator[str]:
    ready = ready_alone(problem, boat) or 0
    at, late = problem.days.clock(ready), _late_part(problem, boat, ready)
    if late is not None:
        comes = f"{boat.name}'s {late.waits_for} comes {problem.days.clock(late.not_before)}"
        if done_alone(problem, late, late.not_before) == ready:
            work = f"with {hours(late.minutes)} of work ({late.text})"
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
    waiting = (task for task in alone.ashore(boat.id) if task.not_before and task.waits_for)
    for late in sorted(waiting, key=lambda task: -task.not_before):
        here = (replace(t, not_before=0) if t.id == late.id else t for t in alone.tasks)
        if (ready_alone(replace(alone, tasks=tuple(here)), boat) or 0) < ready:
            return late
    return None


def _bars(problem: Problem, plan: Plan, boat: Boat) -> Iterator[_Bar]:
    """What of this plan she waits for: her work, her paint, who stands in front."""
    for task in problem.ashore(boat.id):
        end = plan.jobs[task.id].end
        yield _Bar(end + boat.carry_min, _worked_on(problem, plan, boat, task))
        if task.dry_min:
            dry = end + task.dry_min
            at = problem.days.clock(dry)
            yield _Bar(dry, f"{boat.name}'s paint ({task.text}) is dry {at}, not before.")
    yield from _in_her_way(problem, plan, boat)


def _worked_on(problem: Problem, plan: Plan, boat: Boat, last: Task) -> str:
    """Who is on her last, since when, and what other boat kept them."""
    job, clock = plan.jobs[last.id], problem.days.clock
    start, end = problem.days.at(job.start), problem.days.at(job.end)
    since = f"{start:%H:%M}" if start.date() == end.date() else clock(job.start)
    return (
        f"{boat.name} is ready {clock(job.end)}, not before: {problem.person[job.person].name} is "
        f"on her ({last.text}) from {since}{_busy_before(problem, plan, last)}."
    )


def _in_her_way(problem: Problem, plan: Plan, boat: Boat) -> Iterator[_Bar]:
    clock = problem.days.clock
    if boat.id in plan.asides:
        end = plan.asides[boat.id] + (boat.aside_min or 0)
        yield _Bar(end + boat.carry_min, f"{boat.name} is moved aside first, until {clock(end)}.")
        return
    if in_front := problem.in_front[boat.id]:
        until, last = max((gone(problem, plan, front), front.id) for front in in_front)
        out, name = clock(leaves(problem, plan, last)), problem.boat[last].name
        stands = f"{boat.name} stands behind {name}, who leaves her place {out}."
        yield _Bar(until + boat.carry_min, stands)


def _with_somebody_in(problem: Problem, boat: Boat) -> Stretches:
    """When a launch of hers could begin were somebody who may run her lift always in."""
    if not problem.lift[boat.lift].away:
        return launch_begins(problem, boat)
    return launch_begins(with_somebody_in(by_herself(problem, boat)), boat)


def _shut(
    problem: Problem, boat: Boat, waters: Sequence[Interval], run: Stretches
) -> Iterator[str]:
    """Her waters that come while she can't be fetched, by what is in the way.

    ``run`` is when she could be, ready as she is in the plan, were somebody in to run her lift.
    """
    by_cause: dict[str, list[Interval]] = {}
    for water in waters:
        by_cause.setdefault(_not_open(problem, boat, water, run), []).append(water)
    for cause, some in by_cause.items():
        start, end = _span(problem, some[0][0], some[-1][1])
        what = f"There is water for {boat.name} {start} to {end}"
        if len(some) > 1:
            what = f"From {start} to {end} there is water for {boat.name} {len(some)} times"
        yield f"{what}, but {cause}; a launch needs {_needs(boat)}."


def _not_open(problem: Problem, boat: Boat, water: Interval, run: Stretches) -> str:
    if water[0] - boat.carry_min < boat.ground_from:
        firm = problem.days.clock(boat.ground_from)
        return f"the ground where she stands bears her lift from {firm} on"
    if within(run, *water):
        return f"nobody who may run the {problem.lift[boat.lift].name} is in"
    if problem.looks and boat.looks_min:
        return "not with the lift open, and then somebody there to look after her"
    return "not with the lift open"


def _taken(problem: Problem, plan: Plan, boat: Boat, begins: Stretches) -> Iterator[str]:
    """Whom the lift, or the looks, are taken by while she is ready; or that nothing is."""
    if not begins:
        return
    lasts, end = boat.carry_min + boat.launch_min, problem.days.end
    start, last = _span(problem, begins[0][0], begins[-1][1] - 1)
    lifted = [*_on_the_lift(problem, plan, boat)]
    free = outside(crowded((span for _, span in lifted), problem.lift[boat.lift].count), end)
    free = both(problem.lift_opens(boat), free)
    free = both(begins, later(starts(free, lasts), boat.carry_min))
    if not free:
        busy = _busy(lifted, begins, (boat.carry_min, boat.launch_min))
        yield f"From {start} to {last} the lift has no {lasts} min free{busy}."
        return
    if problem.looks and boat.looks_min:
        new = [*_looked_after(problem, plan, boat)]
        places = outside(crowded((span for _, span in new), problem.looks.at_once), end)
        free = both(free, later(starts(places, boat.looks_min), -boat.launch_min))
        if not free:
            busy = _busy(new, begins, (0, boat.launch_min + boat.looks_min))
            yield f"From {start} to {last} nobody can look after {boat.name} too{busy}."
            return
    sooner = problem.days.clock(free[0][0])
    yield f"{boat.name} could go in {sooner} too: nothing in this plan stands against it."


def _busy(spans: Sequence[tuple[str, Interval]], begins: Stretches, reach: tuple[int, int]) -> str:
    """Who is there while she might be, a few by name."""
    before, after = reach
    names = list(
        dict.fromkeys(
            name
            for name, (start, end) in spans
            if any(a - before < end and start < b - 1 + after for a, b in begins)
        )
    )
    if not names:
        return ""
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return f" (busy with {', '.join(names[:NAMED])}{more})"


def _busy_before(problem: Problem, plan: Plan, task: Task) -> str:
    """The other boat that this job's person was on within the day before."""
    job = plan.jobs[task.id]
    earlier = [
        (other.end, problem.boat[problem.task[key].boat].name)
        for key, other in plan.jobs.items()
        if other.person == job.person
        and other.end <= job.start
        and problem.task[key].boat != task.boat
    ]
    if not earlier or max(earlier)[0] < job.start - 1440:
        return ""
    return f", and on {max(earlier)[1]} before that"


def _on_the_lift(problem: Problem, plan: Plan, boat: Boat) -> Iterator[tuple[str, Interval]]:
    """The others on lifts of her kind, in the order of time."""
    kind = [one for one in problem.boats if one.lift == boat.lift and one.id != boat.id]
    spans = [
        *((one.name, (at - one.carry_min, at + one.launch_min)) for one in kind
          if (at := plan.launches.get(one.id)) is not None),
        *((one.name, (at, at + (one.aside_min or 0))) for one in kind
          if (at := plan.asides.get(one.id)) is not None),
    ]  # fmt: skip
    return iter(sorted(spans, key=lambda one: one[1]))


def _looked_after(problem: Problem, plan: Plan, boat: Boat) -> Iterator[tuple[str, Interval]]:
    """The others new in the water, in the order of time."""
    for one in sorted(problem.going_in, key=lambda one: plan.launches[one.id]):
        if one.looks_min and one.id != boat.id:
            over = plan.launches[one.id] + one.launch_min
            yield one.name, (over, over + one.looks_min)


def _span(problem: Problem, start: Minute, end: Minute) -> tuple[str, str]:
    """Two minutes as people say them, the day of both said once."""
    begins, ends = problem.days.at(start), problem.days.at(end)
    same = begins.date() == ends.date()
    return problem.days.clock(start), f"{ends:%H:%M}" if same else problem.days.clock(end)
