"""The hours of one day by the clock on the wall: a person's, a lift's, a lift's with who runs it."""

from collections.abc import Callable, Collection, Iterable
from datetime import date, time

from yardwright.season.model import Lift, OnDay, Person

Hours = tuple[tuple[time, time], ...]


def weekly(hours: Hours, weekdays: Collection[int]) -> Callable[[date], Hours]:
    """The same hours on some days of each week."""
    return lambda day: hours if day.weekday() in weekdays else ()


def hours_of(person: Person, day: date) -> Hours:
    """When somebody works on a day, overtime apart: longer where they stay, not while they are away."""
    if day in person.off:
        return ()
    usual = person.hours if person.works_on(day) else ()
    return _without(joined((*usual, *on_day(person.longer, day))), on_day(person.away, day))


def overtime_of(person: Person, day: date) -> Hours:
    """When somebody can be asked for overtime on a day: not while they are away."""
    usual = person.overtime if person.works_on(day) else ()
    return _without(joined(usual), on_day(person.away, day))


def with_overtime(person: Person, day: date) -> Hours:
    """All the hours that somebody can work on a day, overtime too."""
    return joined((*hours_of(person, day), *overtime_of(person, day)))


def open_on(lift: Lift, day: date) -> Hours:
    """When a lift is open on a day, whoever is in: at its hours, and longer where that is said."""
    usual = ((lift.opens, lift.closes),) if day.weekday() in lift.weekdays else ()
    return joined((*usual, *on_day(lift.longer, day)))


def run_on(lift: Lift, people: Iterable[Person], day: date) -> Hours:
    """When a lift is open on a day and one who may run it is at work; overtime does not count."""
    if not lift.run_by:
        return open_on(lift, day)
    run = (one for one in people if one.name in lift.run_by)
    there = joined(span for one in run for span in hours_of(one, day))
    cut = ((max(a, c), min(b, d)) for a, b in open_on(lift, day) for c, d in there)
    return tuple((a, b) for a, b in cut if a < b)


def on_day(some: Iterable[OnDay], day: date) -> Hours:
    """Those hours of single days that are of one day."""
    return tuple((one.starts, one.ends) for one in some if one.day == day)


def joined(hours: Iterable[tuple[time, time]]) -> Hours:
    """Any hours, sorted; those that meet are one."""
    found: list[tuple[time, time]] = []
    for start, end in sorted(hours):
        if found and start <= found[-1][1]:
            found[-1] = found[-1][0], max(end, found[-1][1])
        else:
            found.append((start, end))
    return tuple(found)


def _without(hours: Hours, gone: Hours) -> Hours:
    for since, until in gone:
        halves = [half for a, b in hours for half in ((a, min(b, since)), (max(a, until), b))]
        hours = tuple((a, b) for a, b in halves if a < b)
    return hours
