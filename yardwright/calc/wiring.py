"""A boat's wire: what it may carry, what is lost in it, its fuse, and the size to take."""

from dataclasses import dataclass
from math import pi

from yardwright import refdata

M_PER_FT = 0.3048
M_PER_IN = 0.0254
MM2_PER_CIRCULAR_MIL = pi / 4 * 0.0254**2


@dataclass(frozen=True, slots=True)
class Run:
    """How a wire is laid.

    Parameters
    ----------
    volts_v : float
        Of the circuit. [V] More than 0, at most 600.
    insulation_c : float
        Rating of the insulation, printed on it: 60, 75, 80, 90, 105, 125 or 200. [°C]
    in_engine_space : bool
        Any of it runs where it is as hot as an engine space.
    bundled : int
        Wires that carry current in its bundle, itself included. 1 to 200.

    Raises
    ------
    ValueError
        Volts or wires outside those ranges.
    """

    volts_v: float
    insulation_c: float
    in_engine_space: bool
    bundled: int

    def __post_init__(self) -> None:
        check_volts(self.volts_v)
        if not 1 <= self.bundled <= 200:
            raise ValueError(f"{self.bundled} wires in the bundle; count them, itself included.")


def allowed_a(size: str, run: Run) -> float:
    """Amps that a copper wire may carry.

    Parameters
    ----------
    size : str
        AWG: 18 to 1, 1/0 to 4/0.
    run : Run
        How it is laid.

    Returns
    -------
    float
        The table's amps in 30 °C air, times what is left in an engine space and, from 50 V on,
        in a bundle. [A]

    Raises
    ------
    ValueError
        A size or insulation that is not printed.

    References
    ----------
    ``refdata/wiring.toml``: 33 CFR 183.425, table 5, notes 1 and 2.
    """
    grids = refdata.grids("wiring")
    amps = grids["allowed_amps"].at(size, run.insulation_c)
    hot = grids["engine_space_factor"].at("engine space", run.insulation_c)
    return amps * (hot if run.in_engine_space else 1) * _bundle_factor(run)


def lost_v(size: str, current_a: float, there_and_back_m: float, by: str = "copper_area") -> float:
    """Volts lost in a copper wire.

    Parameters
    ----------
    size : str
        AWG: 18 to 1, 1/0 to 4/0.
    current_a : float
        [A] More than 0, at most 1000.
    there_and_back_m : float
        From the source to what it feeds and back. [m] More than 0, at most 300.
    by : str
        The row of copper areas: the least an SAE wire has, or full American gauge.

    Returns
    -------
    float
        10.75 times amps times feet by circular mils. [V] May be more than the source has: then
        the wire can't carry those amps so far.

    Raises
    ------
    ValueError
        A number outside those ranges, a size that is not printed, or no such row.

    References
    ----------
    ``refdata/wiring.toml``: the voluntary standard's sum, two tables of areas.
    """
    return _ohm_mils(current_a, there_and_back_m) / circular_mils(size, by)


def area_needed_mm2(current_a: float, there_and_back_m: float, may_lose_v: float) -> float:
    """Copper that loses no more than some volts.

    Parameters
    ----------
    current_a, there_and_back_m : float
        As for `lost_v`.
    may_lose_v : float
        [V] More than 0, at most 60.

    Returns
    -------
    float
        Area. [mm²]

    Raises
    ------
    ValueError
        A number outside those ranges.
    """
    _check("volts that may be lost", may_lose_v, "V", 60)
    return _ohm_mils(current_a, there_and_back_m) / may_lose_v * MM2_PER_CIRCULAR_MIL


def smallest_size(
    run: Run,
    current_a: float,
    there_and_back_m: float,
    may_lose_v: float,
    by: str = "copper_area",
) -> str:
    """Smallest single wire that carries the amps and loses no more than some volts.

    Parameters
    ----------
    run : Run
        How it is laid.
    current_a, there_and_back_m, may_lose_v, by
        As for `lost_v` and `area_needed_mm2`.

    Returns
    -------
    str
        AWG, 16 or larger: 18 is allowed only in a sheath.

    Raises
    ------
    ValueError
        A number outside those ranges, or no wire up to 4/0 will do.
    """
    needed_mm2 = area_needed_mm2(current_a, there_and_back_m, may_lose_v)
    for size in sizes(by):
        if copper_mm2(size, by) >= needed_mm2 and allowed_a(size, run) >= current_a:
            return size
    raise ValueError(
        f"no wire up to 4/0 will do: {needed_mm2:.0f} mm² of copper and {current_a:g} A are asked. "
        "Go shorter, to a higher voltage, or with wires side by side as the standard allows."
    )


def largest_fuse_a(allowed: float, volts_v: float) -> float:
    """Largest fuse or breaker of a wire.

    Parameters
    ----------
    allowed : float
        Amps the wire may carry, see `allowed_a`. [A] More than 0.
    volts_v : float
        Of the circuit. [V] More than 0, at most 600.

    Returns
    -------
    float
        Below 50 V one and a half times; from 50 V on no more than allowed, where the next
        standard size may be taken up to one and a half times. [A]

    Raises
    ------
    ValueError
        A number outside those ranges.

    References
    ----------
    ``refdata/wiring.toml``: 33 CFR 183.455.
    """
    check_volts(volts_v)
    _check("allowed amps", allowed, "A", 1000)
    rows = refdata.table("wiring")
    low = volts_v < rows["bundle_from_volts"].value
    return allowed * (rows["fuse_most"].value / 100 if low else 1)


def fuse_may_sit(from_source_m: float, sheathed: bool) -> bool:
    """Whether a fuse sits near enough to the source.

    Parameters
    ----------
    from_source_m : float
        Along the wire. [m] 0 to 30.
    sheathed : bool
        The wire is in a sheath or enclosed all the way from the source to the fuse.

    Returns
    -------
    bool
        True within 7 in., in a sheath within 40 in.; at the source itself where that can be.

    Raises
    ------
    ValueError
        Outside that range.

    References
    ----------
    ``refdata/wiring.toml``: 33 CFR 183.455.
    """
    if not 0 <= from_source_m <= 30:
        raise ValueError(f"the fuse is {from_source_m:g} m along the wire; give 0 to 30 m.")
    return round(from_source_m, 6) <= round(fuse_within_m(sheathed), 6)


def fuse_within_m(sheathed: bool) -> float:
    """How far along the wire the fuse may sit. [m]."""
    row = "fuse_within_sheathed" if sheathed else "fuse_within"
    return refdata.table("wiring")[row].value * M_PER_IN


def check_volts(volts_v: float) -> None:
    """Refuse volts that no circuit aboard has: a ValueError outside 0 to 600 V."""
    _check("volts", volts_v, "V", 600)


def sizes(by: str = "copper_area") -> tuple[str, ...]:
    """Sizes of single wires that a table of areas has, smallest first."""
    least = refdata.table("wiring")["least_single_awg"].value
    return tuple(size for size in _areas(by).down if "/" in size or int(size) <= least)


def circular_mils(size: str, by: str = "copper_area") -> float:
    """Copper of a wire, in circular mils; a ValueError for a size or a row that is not printed."""
    areas = _areas(by)
    return areas.at(size, areas.across[0])


def copper_mm2(size: str, by: str = "copper_area") -> float:
    """Copper of a wire. [mm²]."""
    return circular_mils(size, by) * MM2_PER_CIRCULAR_MIL


def _areas(by: str) -> refdata.Grid:
    return refdata.grids("wiring")[refdata.rival("wiring", "copper_area", by)]


def _bundle_factor(run: Run) -> float:
    if run.volts_v < refdata.table("wiring")["bundle_from_volts"].value:
        return 1.0
    grid = refdata.grids("wiring")["bundle_factor"]
    reached = [wires for wires in grid.across if wires <= run.bundled]
    return grid.at("bundle", reached[-1]) if reached else 1.0


def _ohm_mils(current_a: float, there_and_back_m: float) -> float:
    _check("current", current_a, "A", 1000)
    _check("length there and back", there_and_back_m, "m", 300)
    return refdata.table("wiring")["copper_k"].value * current_a * there_and_back_m / M_PER_FT


def _check(what: str, number: float, unit: str, most: float) -> None:
    if not 0 < number <= most:
        raise ValueError(f"{what}: {number:g} {unit}; give more than 0, at most {most:g} {unit}.")
