"""What gauges on an engine say: compression, leak-down, a gear housing under pressure, plug torque."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from yardwright import refdata

SEA_LEVEL_KPA = 101.325  # the standard atmosphere
_LAPSE_K_M = 0.0065
_SEA_LEVEL_K = 288.15
_PRESSURE_POWER = 5.25588
_M_A_FOOT = 0.3048
_ICE_POINT_K = 273.15
_HIGHEST_M = 6000.0
_LOWEST_M = -500.0


@dataclass(frozen=True, slots=True)
class Evenness:
    """How even an engine's cylinders are; cylinders are counted from 1 as they were typed."""

    lowest_kpa: float
    highest_kpa: float
    lowest_cylinder: int
    highest_cylinder: int

    @property
    def ratio(self) -> float:
        """Lowest over highest."""
        return self.lowest_kpa / self.highest_kpa


def evenness(readings_kpa: Sequence[float]) -> Evenness:
    """Lowest and highest cylinder of one engine.

    Parameters
    ----------
    readings_kpa : sequence of float
        Gauge pressure of each cylinder, in their order. [kPa] Two or more, each 50 to 8000.

    Returns
    -------
    Evenness
        Lowest, highest, and which they are; of equals the first.

    Raises
    ------
    ValueError
        Fewer than two, or a pressure outside the range.
    """
    if len(readings_kpa) < 2:
        raise ValueError(f"{len(readings_kpa)} reading; give one for each cylinder, two or more.")
    for kpa in readings_kpa:
        if not 50 <= kpa <= 8000:
            raise ValueError(
                f"a cylinder read {kpa:g} kPa; give gauge pressures from 50 to 8000 kPa."
            )
    lowest, highest = min(readings_kpa), max(readings_kpa)
    cylinders = list(readings_kpa)
    return Evenness(lowest, highest, cylinders.index(lowest) + 1, cylinders.index(highest) + 1)


def air_ratio(height_m: float, by: str) -> float:
    """What a compression gauge loses with height, as a share of its sea-level reading.

    Parameters
    ----------
    height_m : float
        Height of the yard above the sea. [m] -500 to 6000.
    by : str
        ``height_by_pressure`` (the air's pressure), ``height_by_density`` (workshop books) or
        ``height_by_rule_of_thumb`` (1 % for each 250 ft).

    Returns
    -------
    float
        1 at sea level, less above.

    Raises
    ------
    ValueError
        A height outside the range, or no such rule.

    Notes
    -----
    Absolute pressures in the cylinder go with the air's, and so do gauge pressures: gauge + air
    at the start are both in proportion to the air.

    References
    ----------
    U.S. Standard Atmosphere, 1976: p/p₀ = (1 - 0.0065 h / 288.15)^5.25588.
    """
    if not _LOWEST_M <= height_m <= _HIGHEST_M:
        raise ValueError(f"height is {height_m:g} m; give {_LOWEST_M:g} to {_HIGHEST_M:g} m.")
    if by not in _AIR_RATIO:
        raise ValueError(f"no rule {by!r}; there are {', '.join(_AIR_RATIO)}.")
    return _AIR_RATIO[by](height_m)


def air_kpa(height_m: float) -> float:
    """Pressure of the air at a height, by the standard atmosphere.

    Parameters
    ----------
    height_m : float
        Above the sea. [m] -500 to 6000.

    Returns
    -------
    float
        Absolute. [kPa] 101.325 at sea level.

    Raises
    ------
    ValueError
        A height outside the range.
    """
    return SEA_LEVEL_KPA * air_ratio(height_m, "height_by_pressure")


def leak_percent(supplied_kpa: float, held_kpa: float) -> float:
    """Leak of a cylinder under air: what is lost between the two gauges.

    Parameters
    ----------
    supplied_kpa : float
        Gauge before the orifice. [kPa] 100 to 1400.
    held_kpa : float
        Gauge behind it, at the cylinder. [kPa] 0 to `supplied_kpa`.

    Returns
    -------
    float
        Share of the supply that is lost. [%]

    Raises
    ------
    ValueError
        A pressure outside the ranges above.

    References
    ----------
    FAA AC 43.13-1B, 8-14: differential compression test, 80 psi supplied.
    """
    if not 100 <= supplied_kpa <= 1400:
        raise ValueError(f"supply is {supplied_kpa:g} kPa; give 100 to 1400, usually 552 (80 psi).")
    if not 0 <= held_kpa <= supplied_kpa:
        raise ValueError(
            f"the cylinder holds {held_kpa:g} kPa of {supplied_kpa:g}; give 0 up to the supply."
        )
    return 100 * (1 - held_kpa / supplied_kpa)


def cooled_kpa(start_kpa: float, start_c: float, end_c: float, air_kpa: float) -> float:
    """Gauge pressure of a tight housing after its air changed temperature.

    Parameters
    ----------
    start_kpa : float
        Gauge at the start. [kPa] -90 (a vacuum, and no deeper than the air around) to 1000.
    start_c, end_c : float
        The housing's temperature at start and end. [°C] -40 to 120.
    air_kpa : float
        Absolute pressure of the air around. [kPa] 45 to 110.

    Returns
    -------
    float
        Gauge at the end. [kPa] The pressure of a gas kept in goes with its absolute temperature.

    Raises
    ------
    ValueError
        A number outside the ranges above.
    """
    if not -90 <= start_kpa <= 1000:
        raise ValueError(f"gauge is {start_kpa:g} kPa; give -90 to 1000 kPa.")
    for celsius in (start_c, end_c):
        if not -40 <= celsius <= 120:
            raise ValueError(f"temperature is {celsius:g} °C; give -40 to 120 °C.")
    if not 45 <= air_kpa <= 110:
        raise ValueError(f"the air is at {air_kpa:g} kPa; give 45 to 110 kPa, absolute.")
    if start_kpa + air_kpa <= 0:
        raise ValueError(
            f"gauge is {start_kpa:g} kPa in air of {air_kpa:g} kPa; there is no vacuum deeper than "
            "the air: read gauge and height again."
        )
    return (start_kpa + air_kpa) * (end_c + _ICE_POINT_K) / (start_c + _ICE_POINT_K) - air_kpa


def plug_torque_lb_ft(thread_mm: int, seat: str, head: str, by: str) -> tuple[float, float]:
    """Torque of a spark plug, from where to where.

    Parameters
    ----------
    thread_mm : int
        Thread. [mm] 10, 12, 14 or 18; with a taper seat 14 or 18.
    seat : str
        ``gasket`` or ``taper``.
    head : str
        ``iron`` or ``aluminium``.
    by : str
        The table: ``plug_torque`` or ``plug_torque_by_a_chart``.

    Returns
    -------
    tuple of float
        Least and most, dry threads. [lb ft]

    Raises
    ------
    ValueError
        A plug that the table does not print, or no such table.
    """
    grid = refdata.grids("engine")[refdata.rival("engine", "plug_torque", by)]
    row = f"{thread_mm} mm {seat}, {head}"
    return grid.at(row, 1), grid.at(row, 2)


def _pressure(height_m: float) -> float:
    return float((1 - _LAPSE_K_M * height_m / _SEA_LEVEL_K) ** _PRESSURE_POWER)


def _density(height_m: float) -> float:
    return float((1 - _LAPSE_K_M * height_m / _SEA_LEVEL_K) ** (_PRESSURE_POWER - 1))


def _rule_of_thumb(height_m: float) -> float:
    percent_each_250_ft = refdata.table("engine")["height_by_rule_of_thumb"].value
    return 1 - percent_each_250_ft / 100 * height_m / _M_A_FOOT / 250


_AIR_RATIO: Mapping[str, Callable[[float], float]] = {
    "height_by_pressure": _pressure,
    "height_by_density": _density,
    "height_by_rule_of_thumb": _rule_of_thumb,
}
