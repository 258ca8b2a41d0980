"""Fuel over a winter: the water it holds, how old it may grow, what it weighs."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from yardwright import refdata
from yardwright.calc.units import convert

_TEASPOONS_A_GALLON = 768.0  # US; exact
_ROUNDING_F = 0.1  # 60 °F is typed as 15.6 °C as well, which is 60.08 °F


class Kind(StrEnum):
    """What is in the tank."""

    E10 = "e10"
    E0 = "e0"
    DIESEL = "diesel"


class Verdict(StrEnum):
    """What becomes of fuel that stood."""

    FIT = "fit"
    OWNER = "owner decides"
    DRAIN = "drain"


@dataclass(frozen=True, slots=True)
class Weight:
    """What fuel weighs, in kg, by the lightest and the heaviest of the sources."""

    low_kg: float
    high_kg: float


def water_held_l(fuel_l: float, temp_c: float, by: str) -> float:
    """Water that petrol with 10 % ethanol keeps dissolved.

    Parameters
    ----------
    fuel_l : float
        Petrol in the tank. [L] 0 to 100 000.
    temp_c : float
        Its temperature. [°C] -6.7 to 15.6 (20 to 60 °F), where the numbers lie.
    by : str
        A row of ``refdata/fuel.toml``: ``e10_holds_water`` follows the temperature, the others
        are one number for all.

    Returns
    -------
    float
        Most water before it separates. [L]

    Raises
    ------
    ValueError
        A number outside the ranges above, or no such row.
    """
    _check_litres(fuel_l)
    row = refdata.rivals("fuel", "e10_holds_water").get(by)
    if row is None:
        raise ValueError(f"no source {by!r} of what E10 holds.")
    fahrenheit = convert(temp_c, "°C", "°F")
    if isinstance(row, refdata.Curve):
        low, high = row.x[0], row.x[-1]
        if not low - _ROUNDING_F <= fahrenheit <= high + _ROUNDING_F:
            raise ValueError(
                f"{temp_c:.1f} °C ({fahrenheit:.0f} °F) is outside what is known, {low:g} to "
                f"{high:g} °F; outside it take the settled {_doubtful_percent():g} % as the most."
            )
        return fuel_l * row.at(min(max(fahrenheit, low), high)) / _TEASPOONS_A_GALLON
    if not isinstance(row, refdata.Datum):
        raise ValueError(f"{by!r} has no number.")
    if row.unit.startswith("%"):
        return fuel_l * row.value / 100
    return fuel_l * row.value / _TEASPOONS_A_GALLON


def water_freed_l(fuel_l: float, warm_c: float, cold_c: float, by: str) -> float:
    """Water that full-up petrol with ethanol lets go when it cools.

    Parameters
    ----------
    fuel_l : float
        Petrol in the tank. [L] 0 to 100 000.
    warm_c, cold_c : float
        From where to where it cools. [°C] As for `water_held_l`, the cold one no warmer.
    by : str
        As for `water_held_l`.

    Returns
    -------
    float
        Most water that can fall out, with ethanol in it. [L]

    Raises
    ------
    ValueError
        A number outside the ranges above.
    """
    if cold_c > warm_c:
        raise ValueError(f"it cools from {warm_c:g} to {cold_c:g} °C; give the colder one last.")
    return water_held_l(fuel_l, warm_c, by) - water_held_l(fuel_l, cold_c, by)


def doubtful_water_l(fuel_l: float) -> float:
    """Water from which on a tank of E10 is taken for separated, whatever its temperature.

    Parameters
    ----------
    fuel_l : float
        Petrol in the tank. [L] 0 to 100 000.

    Returns
    -------
    float
        [L]

    Raises
    ------
    ValueError
        A volume outside the range.
    """
    _check_litres(fuel_l)
    return fuel_l * _doubtful_percent() / 100


def aged(kind: Kind, days: int, stabilised: bool) -> Verdict:
    """What becomes of fuel that stood for days.

    Parameters
    ----------
    kind : Kind
        What is in the tank.
    days : int
        Since the last fill. 0 or more.
    stabilised : bool
        Dosed when fresh *and* run through to the engine. Not known is not done.

    Returns
    -------
    Verdict
        For diesel always the owner's: it goes by water and growth, not by days.

    Raises
    ------
    ValueError
        A fill that is still to come.
    """
    if days < 0:
        raise ValueError(f"the last fill is {-days} days ahead; give a day that is past.")
    if kind is Kind.DIESEL:
        return Verdict.OWNER
    fit, most = _ages(kind, stabilised)
    return Verdict.FIT if days <= fit else Verdict.OWNER if days <= most else Verdict.DRAIN


def weight_kg(fuel_l: float, diesel: bool) -> Weight:
    """What fuel in a tank weighs.

    Parameters
    ----------
    fuel_l : float
        [L] 0 to 100 000.
    diesel : bool
        Diesel or petrol.

    Returns
    -------
    Weight
        By the lightest and the heaviest figure of the trade.

    Raises
    ------
    ValueError
        A volume outside the range.
    """
    _check_litres(fuel_l)
    each = [
        _kg_a_litre(row)
        for row in refdata.rivals("fuel", "diesel_weighs" if diesel else "petrol_weighs").values()
    ]
    return Weight(fuel_l * min(each), fuel_l * max(each))


def _kg_a_litre(row: refdata.Row) -> float:
    if not isinstance(row, refdata.Datum):
        raise ValueError("a weight of fuel has no number.")
    if row.unit == "lb/gal":
        return row.value * convert(1, "lb", "kg") / convert(1, "gal", "L")
    return row.value


def _ages(kind: Kind, stabilised: bool) -> tuple[float, float]:
    rows = refdata.table("fuel")
    if stabilised:
        return rows["stabilised_keeps"].value, rows["stabilised_keeps"].value
    if kind is Kind.E10:
        return rows["e10_keeps"].value, rows["e10_keeps_at_most"].value
    return rows["e0_keeps"].value, rows["e0_keeps"].value


def age_days(filled: date, today: date) -> int:
    """Days since the last fill.

    Parameters
    ----------
    filled, today : date
        Last fill, and the day it is asked.

    Returns
    -------
    int
        Negative where the fill is still to come.
    """
    return (today - filled).days


def _doubtful_percent() -> float:
    return refdata.table("fuel")["e10_doubtful"].value


def _check_litres(fuel_l: float) -> None:
    if not 0 <= fuel_l <= 100_000:
        raise ValueError(f"volume is {fuel_l:g} L; give 0 to 100 000 L.")
