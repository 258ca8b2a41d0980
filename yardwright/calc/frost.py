"""Freezing tonight, ice on the water, and by which day the first frost comes."""

from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum
from math import hypot, isfinite, log, sqrt
from statistics import NormalDist

from yardwright import refdata

_NORMAL = NormalDist()
_NINE_IN_TEN = _NORMAL.inv_cdf(0.9)
_S_AN_HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class Freezing:
    """Hours from now for water that stands in cold air."""

    at_zero_h: float
    tenth_frozen_h: float
    all_frozen_h: float


class Season(StrEnum):
    """Which frost is asked about."""

    FALL = "fall"
    SPRING = "spring"


@dataclass(frozen=True, slots=True)
class FrostDates:
    """A station's dates of first (fall) or last (spring) frost, as the tables print them.

    Fall: one year in ten it freezes before ``ten``, nine in ten before ``ninety``. Spring: one
    year in ten it freezes after ``ten``, nine in ten after ``ninety``, which is the earliest.
    """

    season: Season
    ten: date
    fifty: date
    ninety: date

    def __post_init__(self) -> None:
        days = [self.ten, self.fifty, self.ninety]
        if self.season is Season.SPRING:
            days.reverse()
        if not days[0] < days[1] < days[2]:
            order = "earliest first" if self.season is Season.FALL else "latest first"
            raise ValueError(
                f"the dates are {self.ten}, {self.fifty} and {self.ninety}; give 10, 50 and 90 % "
                f"of one {self.season}, {order}."
            )
        if (days[2] - days[0]).days > 183:
            raise ValueError(
                f"{days[0]} and {days[2]} lie more than half a year apart; give dates of one "
                f"{self.season}, with the year where it crosses New Year."
            )


def freezing(litres: float, loss_w_k: float, water_c: float, air_c: float) -> Freezing:
    """When standing water freezes in still, steady cold air.

    Parameters
    ----------
    litres : float
        Water. [L] More than 0, at most 1000.
    loss_w_k : float
        Heat it gives off for each degree between it and the air: film times surface. [W/K] More
        than 0, at most 1000.
    water_c : float
        Its temperature now. [°C] 0 to 60.
    air_c : float
        The air's. [°C] -60, up to less than 0.

    Returns
    -------
    Freezing
        Until 0 °C, until a tenth is ice (enough to crack a full housing), until all is.

    Raises
    ------
    ValueError
        A number outside the ranges above.

    Notes
    -----
    Newton cooling to 0 °C, t = mc/(hA) ln((T₀ - Tₐ)/(0 - Tₐ)), then heat of fusion at the same
    loss. The metal around it holds heat too: left out, which is cautious. No wind beyond the
    film, no sky: a clear one is colder than the air.

    References
    ----------
    ``refdata/frost.toml``: heat of water and of fusion. ASHRAE Fundamentals, time to freeze, is
    the same first part.
    """
    _check("water", litres, 0, 1000, "L", above=True)
    _check("heat loss", loss_w_k, 0, 1000, "W/K", above=True)
    _check("the water", water_c, 0, 60, "°C")
    _check("the air", air_c, -60, 0, "°C", below=True)
    rows = refdata.table("frost")
    heat_j_k = litres * rows["water_heat"].value
    at_zero_s = heat_j_k / loss_w_k * log((water_c - air_c) / -air_c)
    all_s = litres * rows["heat_of_fusion"].value * 1000 / (loss_w_k * -air_c)
    zero_h, all_h = at_zero_s / _S_AN_HOUR, all_s / _S_AN_HOUR
    return Freezing(zero_h, zero_h + all_h / 10, zero_h + all_h)


def frozen_share(litres: float, loss_w_k: float, degree_hours: float) -> float:
    """How much of water at 0 °C freezes in a frost.

    Parameters
    ----------
    litres, loss_w_k : float
        As for `freezing`.
    degree_hours : float
        Degrees below 0 °C times hours, summed. [°C h] 0 or more: 6 h at -4 °C are 24.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    ValueError
        A number outside the ranges above.
    """
    _check("water", litres, 0, 1000, "L", above=True)
    _check("heat loss", loss_w_k, 0, 1000, "W/K", above=True)
    _check("frost", degree_hours, 0, 1e6, "°C h")
    fusion_j = litres * refdata.table("frost")["heat_of_fusion"].value * 1000
    return min(1.0, degree_hours * _S_AN_HOUR * loss_w_k / fusion_j)


def ice_m(air_c: float, hours: float, film_w_m2_k: float | None) -> float:
    """Thickness of ice that grew on still fresh water at 0 °C.

    Parameters
    ----------
    air_c : float
        Mean air temperature. [°C] -60, up to less than 0.
    hours : float
        Since the first skin of ice. [h] 0 to 5000.
    film_w_m2_k : float or None
        What the air over it takes away. [W/m²K] 1 to 200, usually 10 to 30. None: the surface is
        as cold as the air, which is the most that can be.

    Returns
    -------
    float
        [m] No snow on it, no current under it.

    Raises
    ------
    ValueError
        A number outside the ranges above.

    Notes
    -----
    Stefan's growth with an air film: h = √((k/H)² + 2kΔt/(ρL)) - k/H.

    References
    ----------
    G. D. Ashton, "Ice in lakes and rivers", Encyclopaedia Britannica; ``refdata/frost.toml``.
    """
    _check("the air", air_c, -60, 0, "°C", below=True)
    _check("time", hours, 0, 5000, "h")
    rows = refdata.table("frost")
    k = rows["ice_conducts"].value
    heat_j_m3 = rows["ice_density"].value * rows["heat_of_fusion"].value * 1000
    bare_m = sqrt(2 * k * -air_c * hours * _S_AN_HOUR / heat_j_m3)
    if film_w_m2_k is None:
        return bare_m
    _check("the air's film", film_w_m2_k, 1, 200, "W/m²K")
    film_m = k / film_w_m2_k
    return hypot(film_m, bare_m) - film_m


def frost_chance(dates: FrostDates, day: date) -> float:
    """Chance that it freezes before a day of fall, or after a day of spring.

    Parameters
    ----------
    dates : FrostDates
        Of the station, at the threshold that counts for the thing (32, 28 or 24 °F).
    day : date
        Within half a year of the middle date.

    Returns
    -------
    float
        0 to 1; on the three printed dates, what is printed.

    Raises
    ------
    ValueError
        A day of another season.

    Notes
    -----
    A normal curve for each side of the middle, since tables are seldom even-sided. The published
    method counts years without any frost apart; where those are many, the table says so.

    References
    ----------
    NOAA, "Last freeze/frost probability", description of the data set.
    """
    late_days = (day - dates.fifty).days
    if abs(late_days) > 183:
        raise ValueError(f"{day} is of another season than {dates.fifty}; give a day near it.")
    side_days = _side_days(dates, late=late_days > 0)
    z = late_days / side_days * _NINE_IN_TEN
    return _NORMAL.cdf(z if dates.season is Season.FALL else -z)


def frost_day(dates: FrostDates, chance: float) -> date:
    """Day by which the chance of frost has grown to this (fall), or has sunk to this (spring).

    Parameters
    ----------
    dates : FrostDates
        As for `frost_chance`.
    chance : float
        0.01 to 0.99.

    Returns
    -------
    date
        The nearest day on the safe side: the earlier one in fall, the later one in spring.

    Raises
    ------
    ValueError
        A chance outside the range: tables of thirty years say no more.
    """
    days = frost_days_from_middle(dates, chance)
    whole = days // 1 if dates.season is Season.FALL else -(-days // 1)
    return dates.fifty + timedelta(days=whole)


def frost_days_from_middle(dates: FrostDates, chance: float) -> float:
    """As `frost_day`, in days after the 50 % date; before it, less than 0.

    Parameters
    ----------
    dates : FrostDates
        As for `frost_chance`.
    chance : float
        0.01 to 0.99.

    Returns
    -------
    float
        [d]

    Raises
    ------
    ValueError
        A chance outside the range.
    """
    if not 0.01 <= chance <= 0.99:
        raise ValueError(f"chance is {100 * chance:g} %; give 1 to 99 %, as far as tables reach.")
    z = _NORMAL.inv_cdf(chance) * (1 if dates.season is Season.FALL else -1)
    return z / _NINE_IN_TEN * _side_days(dates, late=z > 0)


def _side_days(dates: FrostDates, *, late: bool) -> int:
    """From the middle date to the printed date of that side."""
    ends = (dates.ten, dates.ninety)
    return abs(((max(ends) if late else min(ends)) - dates.fifty).days)


def _check(
    what: str,
    number: float,
    low: float,
    high: float,
    unit: str,
    *,
    above: bool = False,
    below: bool = False,
) -> None:
    too_low = number <= low if above else number < low
    too_high = number >= high if below else number > high
    if not isfinite(number) or too_low or too_high:
        least = f"more than {low:g}" if above else f"{low:g}"
        most = f"less than {high:g}" if below else f"{high:g}"
        raise ValueError(f"{what} is {number:g} {unit}; give {least} to {most} {unit}.")
