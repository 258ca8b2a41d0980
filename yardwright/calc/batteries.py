"""What a 12 V battery must hold under load, by its own temperature."""

from math import isfinite

from yardwright import refdata

F_PER_C = 9 / 5


def load_test_limit_v(temp_c: float) -> float:
    """Least volts at the 15th second of a load test at half the cold-cranking amps.

    Parameters
    ----------
    temp_c : float
        The battery's own temperature, not the air's. [°C] -17.8 to 37.8 (0 to 100 °F).

    Returns
    -------
    float
        Least volts of a good 12 V battery, six cells. [V]

    Raises
    ------
    ValueError
        Colder than the table: warm the battery first. Hotter: let it cool.

    Notes
    -----
    Holds for a lead-acid battery charged to 75 % or more, rested, surface charge taken off.
    Straight lines between the rows; above the warmest row, 70 °F, its 9.6 V holds. The limit
    written for this very battery goes first.

    References
    ----------
    ``refdata/batteries.toml``: the table, and how far its warmest row is used.
    """
    curve = refdata.curves("batteries")["load_test_minimum"]
    temp_f = _table_temp_f(temp_c)
    return curve.y[-1] if temp_f > curve.x[-1] else curve.at(temp_f)


def load_test_slope_v_per_c(temp_c: float) -> float:
    """How much the load-test limit moves with the battery's temperature.

    Parameters
    ----------
    temp_c : float
        As for `load_test_limit_v`. [°C]

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
    curve = refdata.curves("batteries")["load_test_minimum"]
    temp_f = _table_temp_f(temp_c)
    return 0.0 if temp_f > curve.x[-1] else curve.slope_at(temp_f) * F_PER_C


def _table_temp_f(temp_c: float) -> float:
    coldest_f = refdata.curves("batteries")["load_test_minimum"].x[0]
    hottest_f = refdata.table("batteries")["load_test_warmest_row_holds_up_to"].value
    # A gauge that says 10 °F comes here as -12.222… °C: rounding gives it its own row back.
    temp_f = round(temp_c * F_PER_C + 32, 6) if isfinite(temp_c) else temp_c
    told = f"battery is at {temp_c:.3g} °C ({temp_f:.3g} °F)"
    if temp_f < coldest_f:
        raise ValueError(f"{told}; warm it first: the load-test table ends at {coldest_f:g} °F.")
    if not temp_f <= hottest_f:
        raise ValueError(f"{told}; let it cool, and test it below {hottest_f:g} °F.")
    return temp_f
