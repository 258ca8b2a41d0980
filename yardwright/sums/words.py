"""How several sums say the same kind of thing: a number in two units, a last day."""

from datetime import date

from yardwright.calc.units import convert, say
from yardwright.sums.sum import Told


def both(value: float, unit: str, us: str, digits: int = 3) -> str:
    """Say a value in two units of one kind.

    Parameters
    ----------
    value : float
        In ``unit``.
    unit, us : str
        Two units of one kind, as in `yardwright.calc.units`.
    digits : int
        Digits that count, 3 at least.

    Returns
    -------
    str
        Such as ``178 L/min (47.1 gal/min)``.
    """
    return f"{say(value, unit, digits)} ({say(convert(value, unit, us), us, digits)})"


def day_words(day: date) -> str:
    """Say a day.

    Parameters
    ----------
    day : date
        Any.

    Returns
    -------
    str
        Such as ``3 Nov 2026``.
    """
    return f"{day.day} {day:%b %Y}"


def last_day(ends: date, on: date) -> tuple[Told, ...]:
    """The numbers of a last day.

    Parameters
    ----------
    ends, on : date
        The last day, and the one that counts.

    Returns
    -------
    tuple of Told
        Its year, month and day, and the days between: below 0 it is past.
    """
    return (
        Told("year", "Last day, year", ends.year),
        Told("month", "Last day, month", ends.month),
        Told("day", "Last day, day", ends.day),
        Told("days_left", "Days left", (ends - on).days, "days"),
    )
