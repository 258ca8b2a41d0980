"""What was understood when somebody tells a surprise, in a sentence."""

from collections.abc import Iterable, Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from yardwright.calc.counting import count
from yardwright.season.lifts import shut_while
from yardwright.season.model import Lift, OnDay, Person
from yardwright.season.zone import said_day


def days_off(person: Person, first: date, last: date, of: date) -> str:
    """From when to when somebody is off, both days in, and how many of them are working days.

    A day in another year than ``of``, a day of the season, is said with its year.
    """
    if first == last:
        return f"{person.name} is off {said_day(first, of)}."
    days = [date.fromordinal(n) for n in range(first.toordinal(), last.toordinal() + 1)]
    works = sum(day.weekday() in person.weekdays for day in days)
    of_work = "" if works == len(days) else f", {works} of them working days"
    return (
        f"{person.name} is off {said_day(first, of)} to {said_day(last, of)}: "
        f"{count(len(days), 'day')}{of_work}."
    )


def away(person: Person, one: OnDay, of: date) -> str:
    """For which hours of a day somebody is away."""
    return f"{person.name} is away {_hours(one, of)}."


def stays(person: Person, one: OnDay, of: date) -> str:
    """Which hours of a day somebody works more."""
    return f"{person.name} stays {_hours(one, of)}."


def open_longer(lift: Lift, people: Iterable[Person], one: OnDay, zone: ZoneInfo, of: date) -> str:
    """Which hours of a day a lift is open more; and why it can't be had then, where that is so."""
    start, end = (datetime.combine(one.day, at, zone) for at in (one.starts, one.ends))
    says = f"The {lift.name} is open {_hours(one, of)} too."
    return " ".join((says, *shut_while(lift, people, start, end, zone)))


def _hours(one: OnDay, of: date) -> str:
    return f"{said_day(one.day, of)} {one.starts:%H:%M} to {one.ends:%H:%M}"


def comes(part: str, arrives: datetime | None, boats: Sequence[str], of: date) -> str:
    """When a part comes by now, and who waits for it; None: nobody knows when."""
    when = (
        f"The {part} comes {said_day(arrives.date(), of)} {arrives:%H:%M}"
        if arrives
        else f"Nobody knows when the {part} comes"
    )
    return f"{when}; {', '.join(boats)} wait{'s' * (len(boats) == 1)} for it."
