"""When people are in, and when lifts work: hours by the clock as minutes of a season."""

from collections.abc import Callable, Iterable, Iterator
from datetime import date, datetime, time
from functools import partial
from typing import NamedTuple
from zoneinfo import ZoneInfo

from yardwright.plan.changes import OWNERS
from yardwright.plan.days import Days, Minute
from yardwright.plan.hours import Stretches, both, either, outside, within
from yardwright.plan.problem import Person as PlanPerson
from yardwright.plan.problem import PersonId
from yardwright.season.day_hours import Hours, hours_of, open_on, overtime_of, weekly
from yardwright.season.model import OWNER, Boat, Lift, Person


def person_of(person: Person, days: Days, left: Stretches | None = None) -> PlanPerson:
    """Somebody who works here, with the hours of what is left of a season, or of all of it."""
    left = ((0, days.end),) if left is None else left
    works = both(by_the_clock(days, partial(hours_of, person)), left)
    more = both(by_the_clock(days, partial(overtime_of, person)), left)
    return PlanPerson(
        PersonId(person.name),
        person.name,
        frozenset(person.trades),
        works,
        overtime=both(more, outside(works, days.end)),
        learns=frozenset(person.learns),
        may_watch=person.may_watch,
    )


def owners_of(
    boats: Iterable[Boat], days: Days, left: Stretches | None = None
) -> Iterator[PlanPerson]:
    """The owners who have work of their own on some boats, with the hours in which they can come."""
    left = ((0, days.end),) if left is None else left
    owners = {
        boat.owner.name: boat.owner
        for boat in boats
        if boat.owner and any(work.trade == OWNER for work in boat.work)
    }
    for owner in owners.values():
        works = both(by_the_clock(days, weekly(owner.hours, owner.weekdays)), left)
        trade = frozenset({f"{OWNERS}{owner.name}"})
        yield PlanPerson(PersonId(f"{owner.name} (owner)"), f"{owner.name} (owner)", trade, works)


class LiftHours(NamedTuple):
    """When a lift works; and what is cut out of that: wind and repairs, days with nobody to run it.

    ``run_by`` is who may run it, each with the hours in which they are in; ``longer`` what of its
    hours is of single days.
    """

    opens: Stretches
    held: Stretches
    away: Stretches
    run_by: tuple[tuple[PersonId, Stretches], ...]
    longer: Stretches


def lift_hours(days: Days, lift: Lift, people: Iterable[Person]) -> LiftHours:
    """When a lift works: at its hours, while one who may run it is at work, and not while it is held.

    Of people their hours of a day count, not their overtime. Neither is it counted that a
    launch takes time from the work that whoever runs the lift is planned for (`plan.lift_hands` says
    where it would), nor that nobody runs two lifts at once: name those whose job it is.
    """
    holds = ((days.minute(hold.starts), days.minute(hold.ends)) for hold in lift.holds)
    held = both(either((max(0, start), end) for start, end in holds if end > 0), ((0, days.end),))
    usual = by_the_clock(days, weekly(((lift.opens, lift.closes),), lift.weekdays))
    opens = by_the_clock(days, partial(open_on, lift))
    run_by = tuple(
        (PersonId(person.name), by_the_clock(days, partial(hours_of, person)))
        for person in people
        if person.name in lift.run_by
    )
    there = either(span for _, hours in run_by for span in hours)
    there = there if lift.run_by else ((0, days.end),)
    whole = ((days.midnight(day), days.midnight(day + 1)) for day in range(days.count))
    away = either(day for day in whole if not both(within(opens, *day) or (day,), there))
    free = both(both(opens, there), outside(held, days.end))
    return LiftHours(free, held, away, run_by, both(opens, outside(usual, days.end)))


def by_the_clock(days: Days, hours_on: Callable[[date], Hours]) -> Stretches:
    """Hours by the clock on the wall as minutes that pass; on the night it changes they differ."""
    calendar = [days.date_of(day) for day in range(days.count)]
    found = [
        (days.minute(_at(day, start, days.zone)), days.minute(_at(day, end, days.zone)))
        for day in calendar
        for start, end in hours_on(day)
    ]
    return either([(start, end) for start, end in found if start < end])


def midnight(day: date, days: Days) -> Minute:
    """When a day begins, in the minutes of a season."""
    return days.minute(_at(day, time(), days.zone))


def _at(day: date, clock: time, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, clock, zone)
