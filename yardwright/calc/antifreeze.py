"""Antifreeze: how strong a mix is, where it freezes, and how strong it must be for the coldest night.

Percent is by volume throughout; mass percent is another scale (30 % by volume of propylene glycol
is 30.8 % by mass). The refractometer at the outlet decides, not the sum: fluid pushed through
follows the way that lets it through, and water hides in low places.
"""

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.machinery import PathFinder
from importlib.util import find_spec, module_from_spec
from math import isfinite
from types import ModuleType

from yardwright import refdata

_MOST_PERCENT = 60.0  # beyond, no two laboratories agree, and more glycol freezes warmer again
_LEAST_PERCENT = 10.0  # where CoolProp's columns begin
_ICE_POINT_K = 273.15
_STEPS = 100  # of one percent


class Glycol(StrEnum):
    """What the fluid is made from."""

    PROPYLENE = "propylene"
    ETHYLENE = "ethylene"


_COOLPROP = {Glycol.PROPYLENE: "APG", Glycol.ETHYLENE: "AEG"}  # ASHRAE's, by volume


@dataclass(frozen=True, slots=True)
class FreezePoint:
    """Where the first crystals form, in °C, by each source that reaches this strength.

    ``manual_c`` is what one engine manual prints for ethylene glycol; it does not say whether by
    volume or by mass, so it is shown and not promised.
    """

    handbook_c: float | None
    coolprop_c: float | None
    manual_c: float | None

    @property
    def promised_c(self) -> float:
        """The more cautious of handbook and CoolProp: the warmer."""
        return max(c for c in (self.handbook_c, self.coolprop_c) if c is not None)


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
    mixed = sum(litres * percent for litres, percent in given) / total_l
    return round(mixed, 9)  # three parts of 50 % are 50 %, not a hair beyond the handbook's table


def freezes_at_c(percent: float) -> float:
    """Freezing point of propylene glycol in water, by the handbook alone.

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


def freeze_point(percent: float, glycol: Glycol) -> FreezePoint:
    """Freezing point of glycol in water by handbook and CoolProp, side by side.

    Parameters
    ----------
    percent : float
        Glycol by volume, not by mass. [%] Propylene 0 to 60, ethylene 10 to 60.
    glycol : Glycol
        Which one: the two do not protect alike.

    Returns
    -------
    FreezePoint
        The handbook reaches from 0 to 50 % of propylene glycol, CoolProp from 10 to 60 % of both.

    Raises
    ------
    ValueError
        A strength that neither source reaches. Above 60 % more glycol stops helping.

    References
    ----------
    ``refdata/antifreeze.toml``: Lange's Handbook, Table 5.13; CoolProp, INCOMP::APG and
    INCOMP::AEG (ASHRAE, volume fractions), T_freeze.
    """
    _check_reached(percent, glycol)
    return _by_both(percent, glycol, _Ashrae(glycol))


def strength_needed_percent(freeze_c: float, glycol: Glycol) -> float:
    """Weakest mix that freezes no warmer than this, by the more cautious source.

    Parameters
    ----------
    freeze_c : float
        Where it may freeze: the coldest night less the yard's margin. [°C] Below 0.
    glycol : Glycol
        Propylene or ethylene.

    Returns
    -------
    float
        Glycol by volume, to 0.01 above. [%] At most 60; ethylene 10 at least.

    Raises
    ------
    ValueError
        0 °C or warmer, where water itself does, or colder than a 60 % mix freezes.
    """
    if not freeze_c < 0:
        raise ValueError(f"{freeze_c:g} °C: plain water stays liquid there; give one below 0 °C.")
    ashrae = _Ashrae(glycol)
    least = 0.0 if glycol is Glycol.PROPYLENE else _LEAST_PERCENT
    steps = range(round(least * _STEPS), round(_MOST_PERCENT * _STEPS) + 1)
    found = bisect_left(
        steps, -freeze_c, key=lambda step: -_by_both(step / _STEPS, glycol, ashrae).promised_c
    )
    if found == len(steps):
        coldest_c = _by_both(_MOST_PERCENT, glycol, ashrae).promised_c
        raise ValueError(
            f"No {glycol} glycol mix is proven to {freeze_c:g} °C: {_MOST_PERCENT:g} % freezes at "
            f"{coldest_c:.1f} °C, and more does not help. Drain it dry, or bring it in."
        )
    return steps[found] / _STEPS


def read_percent(freeze_c: float, glycol: Glycol) -> float | None:
    """Glycol of a fluid that freezes here, as a refractometer's scale has it.

    Parameters
    ----------
    freeze_c : float
        What it reads. [°C] 0 or colder.
    glycol : Glycol
        What the scale is made for.

    Returns
    -------
    float or None
        By volume. [%] None for ethylene glycol weaker than 10 %, where its numbers begin.

    Raises
    ------
    ValueError
        Warmer than 0 °C, or colder than a 60 % mix freezes.
    """
    if freeze_c == 0:
        return 0.0
    percent = strength_needed_percent(freeze_c, glycol)
    weaker = freeze_c > freeze_point(percent, glycol).promised_c
    return None if glycol is Glycol.ETHYLENE and percent == _LEAST_PERCENT and weaker else percent


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


class _Ashrae:
    """CoolProp's column of one glycol; one for each question, since it holds a strength."""

    def __init__(self, glycol: Glycol) -> None:
        self._coolprop = _coolprop()
        self._state = self._coolprop.AbstractState("INCOMP", _COOLPROP[glycol])

    def freezes_at_c(self, percent: float) -> float | None:
        if percent < _LEAST_PERCENT:
            return None
        self._state.set_volu_fractions([percent / 100])
        kelvin: float = self._state.trivial_keyed_output(self._coolprop.iT_freeze)
        return kelvin - _ICE_POINT_K


@cache
def _coolprop() -> ModuleType:
    """CoolProp's core. The package around it lists every fluid first, which takes three seconds."""
    package = find_spec("CoolProp")
    folders = package.submodule_search_locations if package else None
    core = PathFinder.find_spec("CoolProp.CoolProp", folders)
    if core is None or core.loader is None:
        raise ImportError("CoolProp is not installed; set Yardwright up anew.")
    module = module_from_spec(core)
    core.loader.exec_module(module)
    return module


def _by_both(percent: float, glycol: Glycol, ashrae: _Ashrae) -> FreezePoint:
    curves = refdata.curves("antifreeze")
    handbook = curves["propylene_glycol_freezes"]
    manual = curves["ethylene_glycol_freezes_by_a_manual"]
    if glycol is Glycol.PROPYLENE:
        printed = percent <= handbook.x[-1]
        return FreezePoint(
            freezes_at_c(percent) if printed else None, ashrae.freezes_at_c(percent), None
        )
    printed = manual.x[0] <= percent <= manual.x[-1]
    return FreezePoint(None, ashrae.freezes_at_c(percent), manual.at(percent) if printed else None)


def _check_litres(litres: float) -> None:
    if not (isfinite(litres) and litres >= 0):
        raise ValueError(f"volume is {litres} L; give litres, 0 or more.")


def _check_percent(percent: float) -> None:
    if not 0 <= percent <= 100:
        raise ValueError(f"strength is {percent} %; give percent by volume, 0 to 100.")


def _check_reached(percent: float, glycol: Glycol) -> None:
    _check_percent(percent)
    if percent > _MOST_PERCENT:
        raise ValueError(
            f"{percent:g} % is beyond what was tested, {_MOST_PERCENT:g} %: more glycol stops "
            "helping, and pure glycol freezes warmer. Thin it with water."
        )
    if glycol is Glycol.ETHYLENE and percent < _LEAST_PERCENT:
        raise ValueError(
            f"{percent:g} % ethylene glycol is weaker than any table, {_LEAST_PERCENT:g} %; "
            "take it for water."
        )
