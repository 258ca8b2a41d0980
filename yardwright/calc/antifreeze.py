"""Antifreeze mixed with the water that stayed behind: how strong, and where it freezes.

The refractometer at the outlet decides, not the sum: fluid pushed through follows the way that
lets it through, and water hides in low places. A sum without that reading is poured, not proven.
"""

from collections.abc import Iterable
from math import isfinite

from yardwright import refdata


def mixed_percent(parts: Iterable[tuple[float, float]]) -> float:
    """Strength of several liquids mixed.

    Parameters
    ----------
    parts : iterable of (litres, percent)
        Each liquid's volume [L], 0 or more, and its glycol by volume [%], 0 to 100. Water left
        in the block is a part of 0 %.

    Returns
    -------
    float
        Glycol in the whole. [% by volume] Well mixed; that water and glycol shrink a little
        together is left out.

    Raises
    ------
    ValueError
        A number outside the ranges above, or nothing to mix.
    """
    given = list(parts)
    for litres, percent in given:
        _check_litres(litres)
        _check_percent(percent)
    total_l = sum(litres for litres, _ in given)
    if total_l == 0:
        raise ValueError("There is nothing to mix; give the litres of each liquid.")
    return sum(litres * percent for litres, percent in given) / total_l


def freezes_at_c(percent: float) -> float:
    """Freezing point of propylene glycol in water.

    Parameters
    ----------
    percent : float
        Glycol by volume, not by mass. [%] 0 to 50.

    Returns
    -------
    float
        Where the first crystals form. [°C] Not the burst rating on a jug, which is far colder.

    Raises
    ------
    ValueError
        Below 0 or above 50 %, where the handbook's table ends.

    Notes
    -----
    Straight lines between the printed rows; below the first, 5 %, a line to plain water. For
    ethylene glycol or an ethanol blend this is the wrong table.

    References
    ----------
    ``refdata/antifreeze.toml``: Lange's Handbook; it is the warmest of the sources compared.
    """
    _check_percent(percent)
    curve = refdata.curves("antifreeze")["propylene_glycol_freezes"]
    if percent > curve.x[-1]:
        raise ValueError(
            f"{percent:g} % is beyond the handbook's table, which ends at {curve.x[-1]:g} %; "
            "go by the fluid maker's sheet."
        )
    if percent >= curve.x[0]:
        return curve.at(percent)
    water_c = refdata.table("antifreeze")["water_freezes"].value
    return water_c + (curve.y[0] - water_c) * percent / curve.x[0]


def litres_to_push(water_l: float, fluid_percent: float, want_percent: float) -> float:
    """Litres of fluid that bring the water left behind to a wanted strength.

    Parameters
    ----------
    water_l : float
        Water that stayed behind. [L] 0 or more.
    fluid_percent : float
        The fluid's own glycol by volume. [%] More than `want_percent`, at most 100.
    want_percent : float
        Glycol wanted in the mix. [%] 0 or more.

    Returns
    -------
    float
        Fluid to push in, if all of it mixes and none runs out. [L] Push on until the outlet
        reads right.

    Raises
    ------
    ValueError
        A number outside the ranges above: no amount of a weaker fluid makes a stronger mix.
    """
    _check_litres(water_l)
    _check_percent(fluid_percent)
    _check_percent(want_percent)
    if want_percent >= fluid_percent:
        raise ValueError(
            f"No amount of {fluid_percent:g} % fluid brings water to {want_percent:g} %; "
            "take a stronger fluid, or drain the water first."
        )
    return water_l * want_percent / (fluid_percent - want_percent)


def _check_litres(litres: float) -> None:
    if not (isfinite(litres) and litres >= 0):
        raise ValueError(f"volume is {litres} L; give litres, 0 or more.")


def _check_percent(percent: float) -> None:
    if not (isfinite(percent) and 0 <= percent <= 100):
        raise ValueError(f"strength is {percent} %; give percent by volume, 0 to 100.")
