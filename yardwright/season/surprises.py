"""What was understood when somebody tells a surprise, in a sentence."""

from collections.abc import Sequence
from datetime import date, datetime

from yardwright.calc.counting import count
from yardwright.season.model import Person
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


def comes(part: str, arrives: datetime | None, boats: Sequence[str], of: date) -> str:
    """When a part comes by now, and who waits for it; None: nobody knows when."""
    when = (
        f"The {part} comes {said_day(arrives.date(), of)} {arrives:%H:%M}"
        if arrives
        else f"Nobody knows when the {part} comes"
    )
    return f"{when}; {', '.join(boats)} wait{'s' * (len(boats) == 1)} for it."
