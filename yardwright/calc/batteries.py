"""A starting battery: what it must hold under load, its cells, its cranking, how it is held down."""

from collections.abc import Sequence
from functools import cache

from yardwright import refdata

F_PER_C = 9 / 5
KG_PER_LB = 0.45359237
N_PER_LB = KG_PER_LB * 9.80665
M_PER_IN = 0.0254


def load_test_limit_v(temp_c: float, by: str = "load_test_minimum") -> float:
    """Least volts at the 15th second of a load test at half the cold-cranking amps.

    Parameters
    ----------
    temp_c : float
        The battery's own temperature, not the air's. [°C] -17.7 to 37.7 (0 to 100 °F).
    by : str
        The row of the table; two printings differ at 0 °F.

    Returns
    -------
    float
        Least volts of a good 12 V battery, six cells. [V]

    Raises
    ------
    ValueError
        Colder than the table: warm the battery first. Hotter: let it cool. No such row.

    Notes
    -----
    Holds for a lead-acid battery charged to 75 % or more, rested, surface charge taken off.
    Straight lines between the rows; above the warmest row, 70 °F, its 9.6 V holds. The limit
    written for this very battery goes first.

    References
    ----------
    ``refdata/batteries.toml``: the table, and how far its warmest row is used.
    """
    curve = _load_test(by)
    temp_f = _table_temp_f(temp_c, curve)
    return curve.y[-1] if temp_f > curve.x[-1] else curve.at(temp_f)


def load_test_slope_v_per_c(temp_c: float, by: str = "load_test_minimum") -> float:
    """How much the load-test limit moves with the battery's temperature.

    Parameters
    ----------
    temp_c : float
        As for `load_test_limit_v`. [°C]
    by : str
        As for `load_test_limit_v`: limit and slope by one printing.

    Returns
    -------
    float
        Rise of the limit. [V/°C] On a row of the table the steeper side; 0 above 70 °F. Times
        the thermometer's uncertainty it is the limit's own.

    Raises
    ------
    ValueError
        As for `load_test_limit_v`.
    """
    curve = _load_test(by)
    temp_f = _table_temp_f(temp_c, curve)
    return 0.0 if temp_f > curve.x[-1] else curve.slope_at(temp_f) * F_PER_C


def load_test_a(cca_a: float) -> float:
    """Load of a load test.

    Parameters
    ----------
    cca_a : float
        The battery's cold-cranking amps, from its plate. [A] More than 0, at most 3000.

    Returns
    -------
    float
        Amps to draw for 15 s. [A]

    Raises
    ------
    ValueError
        Outside that range.

    References
    ----------
    ``refdata/batteries.toml``: half of the rating.
    """
    return rated_a(cca_a) * refdata.table("batteries")["load_test_share_of_cca"].value


def cold_cranking_a(marine_a: float, by: str = "mca_per_cca") -> float:
    """Cold-cranking amps (CCA) from marine cranking amps (MCA).

    Parameters
    ----------
    marine_a : float
        Amps held for 30 s at 32 °F, from the battery's plate. [A] More than 0, at most 3000.
    by : str
        The row of MCA for each CCA; three sources differ.

    Returns
    -------
    float
        Amps held for 30 s at 0 °F. [A]

    Raises
    ------
    ValueError
        Outside that range, or no such row.

    References
    ----------
    ``refdata/batteries.toml``: MCA for each CCA.
    """
    return rated_a(marine_a) / _marine_per_cold(by)


def cranking_a(cca_a: float, temp_c: float, by: str = "mca_per_cca") -> float:
    """Amps that a full battery holds for 30 s at a temperature, at least.

    Parameters
    ----------
    cca_a : float
        Its cold-cranking amps. [A] More than 0, at most 3000.
    temp_c : float
        The battery's own temperature. [°C] -17.7 to 26.6 (0 to 80 °F).
    by : str
        The row of MCA for each CCA.

    Returns
    -------
    float
        The rating at 0 °F, the marine rating at 32 °F, a straight line between; above 32 °F
        the marine rating, for more is not rated. [A]

    Raises
    ------
    ValueError
        A number outside those ranges, or no such row.
    """
    rows = refdata.table("batteries")
    cold_f, marine_f = rows["cca_temp"].value, rows["mca_temp"].value
    share = min((_cranking_temp_f(temp_c) - cold_f) / (marine_f - cold_f), 1.0)
    return rated_a(cca_a) * (1 + share * (_marine_per_cold(by) - 1))


def cranking_power_percent(temp_c: float) -> float:
    """Cranking power of a full battery, of what it has at 80 °F.

    Parameters
    ----------
    temp_c : float
        The battery's own temperature. [°C] -17.7 to 26.6 (0 to 80 °F).

    Returns
    -------
    float
        100 at 80 °F, 65 at 30 °F, 40 at 0 °F, straight lines between. [%]

    Raises
    ------
    ValueError
        Outside that range.

    References
    ----------
    ``refdata/batteries.toml``: US Army TM 5-1185.
    """
    return refdata.curves("batteries")["cranking_power"].at(_cranking_temp_f(temp_c))


def cell_spread(gravities: Sequence[float]) -> float:
    """How far the cells of one battery are apart.

    Parameters
    ----------
    gravities : sequence of float
        Each cell's specific gravity, all at one temperature; two or more, 1.000 to 1.300.

    Returns
    -------
    float
        Highest less lowest, to a thousandth of a hydrometer's step.

    Raises
    ------
    ValueError
        Fewer than two, or one outside that range.
    """
    if len(gravities) < 2:
        raise ValueError(f"{len(gravities)} cells; give each cell's specific gravity, 2 or more.")
    for gravity in gravities:
        check_gravity(gravity)
    return round(max(gravities) - min(gravities), 6)


def most_cell_spread(by: str = "cell_spread_most") -> float:
    """Most that the cells of one battery may be apart, by the source that is chosen."""
    return refdata.table("batteries")[refdata.rival("batteries", "cell_spread_most", by)].value


def pull_n(kg: float) -> float:
    """Pull that a battery must stand, one minute each way.

    Parameters
    ----------
    kg : float
        The battery's weight. [kg] More than 0, at most 500.

    Returns
    -------
    float
        90 lb, or twice its weight where that is less. [N]

    Raises
    ------
    ValueError
        Outside that range.

    References
    ----------
    ``refdata/batteries.toml``: 33 CFR 183.420(a).
    """
    if not 0 < kg <= 500:
        raise ValueError(f"the battery weighs {kg:g} kg; give its weight, up to 500 kg.")
    rows = refdata.table("batteries")
    twice_lb = rows["battery_pull_times_weight"].value * kg / KG_PER_LB
    return min(rows["battery_pull"].value, twice_lb) * N_PER_LB


def moves_too_far(moved_m: float) -> bool:
    """Whether a battery moved more under its pull than 1 in. (33 CFR 183.420(a)).

    Parameters
    ----------
    moved_m : float
        How far, in any direction. [m] 0 to 1.

    Returns
    -------
    bool
        True if it did.

    Raises
    ------
    ValueError
        Outside that range.
    """
    if not 0 <= moved_m <= 1:
        raise ValueError(f"it moved {moved_m:g} m; give how far, 0 to 1 m.")
    return round(moved_m / M_PER_IN, 6) > refdata.table("batteries")["battery_moves_most"].value


def check_gravity(gravity: float) -> None:
    """Refuse a specific gravity that no battery has: a ValueError outside 1.000 to 1.300."""
    if not 1.0 <= gravity <= 1.3:
        raise ValueError(f"specific gravity is {gravity:g}; give it as 1.265, from 1.000 to 1.300.")


def in_f(temp_c: float) -> float:
    """The same in °F; a gauge's 10 °F comes as -12.222… °C, rounding gives it its own back."""
    return round(temp_c * F_PER_C + 32, 6)


@cache
def _load_test(by: str) -> refdata.Curve:
    return refdata.curves("batteries")[refdata.rival("batteries", "load_test_minimum", by)]


@cache
def _hottest_f() -> float:
    return refdata.table("batteries")["load_test_warmest_row_holds_up_to"].value


def _table_temp_f(temp_c: float, curve: refdata.Curve) -> float:
    temp_f, coldest_f = in_f(temp_c), curve.x[0]
    told = f"battery is at {temp_c:.3g} °C ({temp_f:.3g} °F)"
    if temp_f < coldest_f:
        raise ValueError(f"{told}; warm it first: the load-test table ends at {coldest_f:g} °F.")
    if not temp_f <= _hottest_f():
        raise ValueError(f"{told}; let it cool, and test it below {_hottest_f():g} °F.")
    return temp_f


def _cranking_temp_f(temp_c: float) -> float:
    x = refdata.curves("batteries")["cranking_power"].x
    temp_f = in_f(temp_c)
    if not x[0] <= temp_f <= x[-1]:
        raise ValueError(
            f"battery is at {temp_c:.3g} °C ({temp_f:.3g} °F); "
            f"cranking is printed from {x[0]:g} to {x[-1]:g} °F (-17.7 to 26.6 °C)."
        )
    return temp_f


def rated_a(amps: float) -> float:
    """The amps of a plate, if a battery can have them: a ValueError outside 0 to 3000 A."""
    if not 0 < amps <= 3000:
        raise ValueError(f"rated {amps:g} A; give the amps on its plate, up to 3000 A.")
    return amps


def _marine_per_cold(by: str) -> float:
    return refdata.table("batteries")[refdata.rival("batteries", "mca_per_cca", by)].value
