"""What the yard could do to save one promise: each change by itself, with what it asks for.

A safety margin, the hang, the blower, the watch or drying time is never a change: none is made
here, and there is no way to ask for one.
"""

from bisect import bisect_left
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from enum import IntEnum
from functools import partial

from yardwright.plan.alone import (
    earliest_launch,
    launch_begins,
    may_stay_open,
    meets_water_alone,
)
from yardwright.plan.days import Day, Days, Interval, Minute
from yardwright.plan.hours import Stretches, both, either, last, outside, starts, within
from yardwright.plan.problem import Boat, BoatId, Person, PersonId, Plan, Problem, Task

OWNERS = "owner, "  # begins the trade of an owner who works on their own boat
LONGER_MIN = 120  # how much longer somebody may be asked to stay
HER_FIRST = "plan her work anew, before the others'"


class Kind(IntEnum):
    """The kinds of change, as a rule the cheaper first."""

    ANEW = 0
    FETCHED = 1
    LONGER = 2
    LIFT = 3
    BORROWED = 4
    ELSEWHERE = 5
    OWNER = 6


@dataclass(frozen=True, slots=True)
class Change:
    """One thing the yard could do, what it asks for, and the problem as it would be then."""

    kind: Kind
    words: str
    cost: str
    made: Callable[[Problem], Problem]


def changes(problem: Problem, plan: Plan, key: BoatId, now: Minute = 0) -> Iterator[Change]:
    """What the yard could do for one boat's promise from now on, each by itself.

    Her work put in anew before the others', a part fetched sooner, overtime of those on her, lift
    hours on a water she misses for them, a borrowed hand of each trade on her, a tow or a trailer
    to water that is always deep enough, her owner asked for another day.
    """
    boat = problem.boat[key]
    yield Change(Kind.ANEW, HER_FIRST, "other boats' work moves", _as_it_is)
    parts = {task.comes_with: task for task in problem.ashore(key) if task.waits_for_part}
    for task in parts.values():
        yield from _fetched(problem, boat, task, now)
    ours = [task for task in problem.jobs[key] if not task.trade.startswith(OWNERS)]
    for person in dict.fromkeys(plan.jobs[task.id].person for task in ours):
        yield from _longer(problem, boat, problem.person[person], now)
    yield from _lift_kept_open(problem, boat, now)
    for trade in dict.fromkeys(task.trade for task in ours):
        yield from _borrowed(problem, boat, trade, now)
    yield _elsewhere(problem, boat)
    if (boat.promised or 0) + 1 < problem.days.count:
        yield _asked(problem, boat)


def _as_it_is(problem: Problem) -> Problem:
    return problem


def _days_that_count(problem: Problem, boat: Boat, now: Minute) -> range:
    """From when her work could be done to the day promised, both counted: a week at most, from now."""
    last = boat.promised or 0
    ready = meets_water_alone(problem, boat)
    soonest = last if ready is None else problem.days.day(ready)
    return range(max(0, problem.days.day(now), last - 6, min(soonest, last)), max(0, last) + 1)


def _lift_kept_open(problem: Problem, boat: Boat, now: Minute) -> Iterator[Change]:
    """The other tide: the lift open on a water she misses only for its hours."""
    lift, days = problem.lift[boat.lift], problem.days
    carried = either((max(0, start - boat.carry_min), end) for start, end in boat.water)
    could = both(carried, may_stay_open(problem, lift))
    for day in _days_that_count(problem, boat, now):
        for span in within(could, days.midnight(day), days.midnight(day + 1)):
            missed = both((span,), outside(lift.opens, days.end))
            if missed and starts((span,), boat.carry_min + boat.launch_min):
                hours = sum(b - a for a, b in missed) / 60
                yield Change(
                    Kind.LIFT,
                    f"keep the {lift.name[:1].lower()}{lift.name[1:]} open {days.clock(span[0])} to {days.clock(span[1])}",
                    f"{hours:.1f} h of lift and crew",
                    partial(_with_lift, boat, span),
                )


def _with_lift(boat: Boat, span: Interval, problem: Problem) -> Problem:
    lift, end = problem.lift[boat.lift], problem.days.end
    opens = both(either([*lift.opens, span]), outside(lift.stays_shut, end))
    lifts = (replace(one, opens=opens) if one is lift else one for one in problem.lifts)
    return replace(problem, lifts=tuple(lifts))


def _fetched(problem: Problem, boat: Boat, task: Task, now: Minute) -> Iterator[Change]:
    """The part at the last quarter of an hour that lets her keep the promised day's last water."""
    over = problem.days.midnight((boat.promised or 0) + 1)
    by = last(launch_begins(problem, boat), over - 1)
    quarters = range(-(-now // 15) * 15, task.not_before, 15)
    if by is None or not quarters:
        return

    def too_late(quarter: int) -> bool:
        soonest = earliest_launch(_with_part(task, quarter, problem), boat)
        return soonest is None or soonest > by

    at = bisect_left(quarters, True, key=too_late) - 1
    if at >= 0:
        clock = problem.days.clock(quarters[at])
        yield Change(
            Kind.FETCHED,
            f"have her {task.waits_for} by {clock}",
            f"somebody fetches the {task.waits_for}",
            partial(_with_part, task, quarters[at]),
        )


def _with_part(task: Task, minute: Minute, problem: Problem) -> Problem:
    """Her part there by a minute, for every job of hers that waits for it."""

    def begun_with(one: Task) -> Task:
        waits = one.boat == task.boat and one.comes_with == task.comes_with
        return one.with_it_by(minute) if waits else one

    return replace(problem, tasks=tuple(map(begun_with, problem.tasks)))


def _borrowed(problem: Problem, boat: Boat, trade: str, now: Minute) -> Iterator[Change]:
    """Somebody more of a trade, in the hours in which the yard works anyway."""
    usual = either([span for one in problem.people if trade in one.trades for span in one.works])
    days = _days_that_count(problem, boat, now)
    since, until = problem.days.midnight(days.start), problem.days.midnight(days.stop)
    if works := within(usual, max(now, since), until):
        hours = sum(end - start for start, end in works) / 60
        more = Person(PersonId(f"borrowed {trade}"), f"Borrowed {trade}", frozenset({trade}), works)
        yield Change(
            Kind.BORROWED,
            f"borrow {_a(trade)}, {hours_said(problem.days, works)}",
            f"{hours:.0f} h of a borrowed {trade}",
            partial(_with_person, more),
        )


def _a(word: str) -> str:
    return f"{'an' if word[:1].lower() in 'aeiou' else 'a'} {word}"


def _longer(problem: Problem, boat: Boat, person: Person, now: Minute) -> Iterator[Change]:
    """One who works on her stays two hours longer on the days that count."""
    days, extra = problem.days, list[Interval]()
    for day in _days_that_count(problem, boat, now):
        today = within(person.works, days.midnight(day), days.midnight(day + 1))
        if today:
            extra.append((today[-1][1], min(today[-1][1] + LONGER_MIN, days.end)))
    if span := within(both(tuple(extra), outside(person.works, days.end)), now, days.end):
        hours = sum(end - start for start, end in span) / 60
        works = either([*person.works, *span])
        rest = both(person.overtime, outside(works, days.end))
        longer = replace(person, works=works, overtime=rest)
        yield Change(
            Kind.LONGER,
            f"{person.name} stays up to {LONGER_MIN // 60} h longer, {hours_said(days, span)}",
            f"{hours:.0f} h of overtime",
            partial(_with_person, longer),
        )


def hours_said(days: Days, spans: Stretches) -> str:
    """Hours day by day, from the first to the last of each: what is alike on days in a row is said once."""
    first, ends = dict[Day, Minute](), dict[Day, Minute]()
    for start, end in spans:
        day = days.day(start)
        first.setdefault(day, start)
        ends[day] = end
    alike = list[tuple[Day, Day, str]]()
    for day, start in first.items():
        clock = f"{days.at(start):%H:%M} to {days.at(ends[day]):%H:%M}"
        if alike and alike[-1][1:] == (day - 1, clock):
            alike[-1] = (alike[-1][0], day, clock)
        else:
            alike.append((day, day, clock))
    return ", then ".join(
        f"{days.said(a)} {clock}"
        if a == b
        else f"each day {days.said(a)} to {days.said(b)}, {clock}"
        for a, b, clock in alike
    )


def _with_person(person: Person, problem: Problem) -> Problem:
    others = tuple(one for one in problem.people if one.id != person.id)
    return replace(problem, people=(*others, person))


def _elsewhere(problem: Problem, boat: Boat) -> Change:
    """By trailer, or towed, to water that is always deep enough for her."""
    lift = problem.lift[boat.lift]
    since = boat.water[0][0] if boat.water else 0
    water = within(lift.opens, since, problem.days.end)
    return Change(
        Kind.ELSEWHERE,
        f"take {boat.name} by trailer or tow to water that is deep enough at any hour",
        "a trailer or a tow, and a ramp or lift elsewhere",
        partial(_afloat_anywhere, boat.id, water),
    )


def _asked(problem: Problem, boat: Boat) -> Change:
    """Her owner says yes to a day later."""
    day = (boat.promised or 0) + 1
    return Change(
        Kind.OWNER,
        f"call {boat.name}'s owner: would {problem.days.said(day)} do",
        "a call, and the owner's yes",
        partial(_promised_for, boat.id, day),
    )


def _afloat_anywhere(key: BoatId, water: Stretches, problem: Problem) -> Problem:
    return _with_boat(replace(problem.boat[key], water=water), problem)


def _promised_for(key: BoatId, day: Day, problem: Problem) -> Problem:
    boat = problem.boat[key]
    later = replace(boat, pencil=day) if boat.ink is None else replace(boat, ink=day)
    return _with_boat(later, problem)


def _with_boat(boat: Boat, problem: Problem) -> Problem:
    boats = tuple(boat if one.id == boat.id else one for one in problem.boats)
    return replace(problem, boats=boats)
