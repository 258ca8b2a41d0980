"""What a line can tell: a temperature, pressure or flow at a named point; a start; an answer."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from math import isfinite

from yardwright.calc import units

# Beyond these nothing on a boat is read: a wire is broken, or the unit is another. kPa is what a
# gauge shows, so nothing at all is 101 below 0; a thermocouple ends near 1300 °C.
RANGES: Mapping[str, tuple[float, float]] = {
    "°C": (-60, 1300),
    "kPa": (-102, 100_000),
    "L/min": (-5_000, 5_000),
    "V": (-1_000, 1_000),
    "A": (-5_000, 5_000),
    "%": (-100, 110),
    "rpm": (-20_000, 20_000),
}
DIGITS = 2  # kept behind the point, so that a recording says what was watched
POINT = re.compile(r"\w[\w.:-]{0,39}")


@dataclass(frozen=True, slots=True)
class Reading:
    """A value at a named point; ``at`` is None where the line says no time."""

    at: datetime | None
    point: str
    value: float
    unit: str


@dataclass(frozen=True, slots=True)
class Start:
    """The engine starts."""

    at: datetime | None


@dataclass(frozen=True, slots=True)
class Stopped:
    """The engine stands still."""

    at: datetime | None


@dataclass(frozen=True, slots=True)
class Water:
    """Somebody says whether water is coming out."""

    at: datetime | None
    coming_out: bool


@dataclass(frozen=True, slots=True)
class Warned:
    """What an engine itself warns of, in its own words."""

    at: datetime | None
    point: str
    words: str


@dataclass(frozen=True, slots=True)
class Wrong:
    """One value of several that can't be; the others of its message stand."""

    at: datetime | None
    words: str


Heard = Reading | Start | Stopped | Water | Warned | Wrong


def reading(at: datetime | None, point: str, value: float, unit: str) -> Reading:
    """A reading that can be one.

    Parameters
    ----------
    at : datetime or None
        Aware; None where the line says no time.
    point : str
        Where: letters, digits, ``_ . : -``, up to 40.
    value : float
        In ``unit``.
    unit : str
        One of those in ``RANGES``.

    Returns
    -------
    Reading
        Rounded to two decimals.

    Raises
    ------
    ValueError
        No name of a point, or a value that no sensor on a boat gives.
    """
    if not POINT.fullmatch(point):
        raise ValueError(f"{point[:40]!r} is no name of a point; write one like head_port.")
    low, high = RANGES[unit]
    if not (isfinite(value) and low <= value <= high):
        raise ValueError(
            f"{point}: {value:g} {unit}; a sensor gives {low:g} to {high:g} {unit}. Look at its wires."
        )
    return Reading(at, point, round(value, DIGITS), unit)


def one_of_several(at: datetime | None, point: str, value: float, unit: str) -> Reading | Wrong:
    """A value of a message that has several: where it can't be, the others are not lost.

    Parameters
    ----------
    at, point, value, unit
        As for `reading`.

    Returns
    -------
    Reading or Wrong
        The reading, or why it is none.
    """
    try:
        return reading(at, point, value, unit)
    except ValueError as wrong:
        return Wrong(at, str(wrong))


def typed(at: datetime | None, point: str, words: str) -> Reading:
    """A reading from a number and its unit as somebody or some logger writes them.

    Parameters
    ----------
    at : datetime or None
        Aware; None where the line says no time.
    point : str
        As for `reading`.
    words : str
        ``64.5 C``, ``9 psi``, ``3,2 gal/min``.

    Returns
    -------
    Reading
        In the unit that is kept for its kind, those in ``RANGES``.

    Raises
    ------
    ValueError
        As for `reading`; also no number, no unit, a unit of another kind.
    """
    one = units.read_one_of(words, tuple(RANGES))
    return reading(at, point, one.value, one.unit)
