"""How several sums say the same kind of thing: a number in two units, a temperature, a last day."""

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


def temperature(celsius: float, decimals: int = 1) -> str:
    """Say a temperature as the yard and as its instruments have it.

    Parameters
    ----------
    celsius : float
        [°C]
    decimals : int
        Of the °C; the °F are whole.

    Returns
    -------
    str
        Such as ``-24.3 °C (-12 °F)``; what rounds to nothing has no sign.
    """
    rounded = round(celsius, decimals) + 0.0  # -0.0 becomes 0.0
    return f"{rounded:.{decimals}f} °C ({round(convert(celsius, '°C', '°F'))} °F)"


def pressure(kpa: float) -> str:
    """Say a pressure.

    Parameters
    ----------
    kpa : float
        By the gauge. [kPa]

    Returns
    -------
    str
        Such as ``1040 kPa (151.0 psi)``.
    """
    return f"{say(kpa, 'kPa')} ({convert(kpa, 'kPa', 'psi'):.1f} psi)"


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
