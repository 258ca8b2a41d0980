"""What a battery loses standing, and the volts it is charged with."""

from math import exp2

from yardwright import refdata
from yardwright.calc.charge import Kind, Span


def lost_percent(rate_percent: float, temp_c: float, months: float) -> float:
    """What a battery loses standing.

    Parameters
    ----------
    rate_percent : float
        Its rate at 20 °C. [% of full a month] 0 to 100.
    temp_c : float
        Where it stands, over the time. [°C] -20 to 50.
    months : float
        How long. 0 to 60.

    Returns
    -------
    float
        Points of full charge. [%] More than it has means flat.

    Raises
    ------
    ValueError
        A number outside those ranges.

    Notes
    -----
    Each 10 °C doubles it. Charged against full charge each month, not against what is left:
    the same at first, and never too little.

    References
    ----------
    ``refdata/batteries.toml``: the rates, and what doubles them.
    """
    if not 0 <= rate_percent <= 100:
        raise ValueError(f"the rate is {rate_percent:g} % a month; give 0 to 100.")
    if not 0 <= months <= 60:
        raise ValueError(f"{months:g} months; give 0 to 60.")
    _check_battery_temp(temp_c)
    rows = refdata.table("batteries")
    room_c, doubles_c = (rows[f"self_discharge_{key}"].value for key in ("room", "doubles_per"))
    return rate_percent * exp2((temp_c - room_c) / doubles_c) * months


def months_until(percent: float, keep_percent: float, rate_percent: float, temp_c: float) -> float:
    """Months until a standing battery has lost down to a charge that is to be kept.

    Parameters
    ----------
    percent, keep_percent : float
        Charge now, and the one to keep. [%] 0 to 100.
    rate_percent, temp_c : float
        As for `lost_percent`; the rate more than 0.

    Returns
    -------
    float
        Months; 0 if it has no more than that now.

    Raises
    ------
    ValueError
        A number outside those ranges.
    """
    for each in (percent, keep_percent):
        if not 0 <= each <= 100:
            raise ValueError(f"charge is {each:g} %; give 0 to 100 %.")
    if rate_percent <= 0:
        raise ValueError(f"the rate is {rate_percent:g} % a month; give more than 0.")
    return max(percent - keep_percent, 0.0) / lost_percent(rate_percent, temp_c, 1)


def rate_percent(kind: Kind) -> Span:
    """Lowest and highest rate of loss of its kind, % of full a month at 20 °C."""
    rows = refdata.table("batteries")
    low, high = (rows[f"self_discharge_{kind}_{end}"].value for end in ("low", "high"))
    return Span(low, high)


def charging_v(
    volts_v: float, cells: int, temp_c: float, by: str = "charge_volts_per_degc"
) -> float:
    """Charging volts of a lead-acid battery at its temperature.

    Parameters
    ----------
    volts_v : float
        What its sheet says at 25 °C. [V] 2.0 to 2.7 for each cell.
    cells : int
        3 in a 6 V battery, 6 in 12 V, 12 in 24 V.
    temp_c : float
        The battery's own temperature. [°C] -20 to 50.
    by : str
        The row of volts for each degree; sources differ from 3 to 5 mV a cell.

    Returns
    -------
    float
        More in the cold, less in the heat. [V]

    Raises
    ------
    ValueError
        A number outside those ranges, or no such row.

    References
    ----------
    ``refdata/batteries.toml``.
    """
    _check_battery_temp(temp_c)
    check_sheet_v(volts_v, cells)
    rows = refdata.table("batteries")
    per_c_mv = rows[refdata.rival("batteries", "charge_volts_per_degc", by)].value
    return volts_v + cells * per_c_mv / 1000 * (temp_c - rows["charge_volts_base"].value)


def check_sheet_v(volts_v: float, cells: int) -> None:
    """Refuse volts that no charger of so many lead cells gives: a ValueError outside 2.0 to 2.7 each.

    A LiFePO4 battery is charged in place of a lead one, so its volts lie there as well.
    """
    if not (cells >= 1 and 2.0 <= volts_v / cells <= 2.7):
        raise ValueError(
            f"{volts_v:g} V for {cells} cells of lead, or LiFePO4 in their place; give its sheet's "
            "volts at 25 °C, 2.0 to 2.7 a cell, such as 14.4 V for 6."
        )


def lifepo4_may_be_charged(temp_c: float) -> bool:
    """Whether LiFePO4 cells are warm enough to be charged: at 0 °C or above.

    Parameters
    ----------
    temp_c : float
        The cells' own temperature. [°C] -60 to 50.

    Returns
    -------
    bool
        False below 0 °C: lithium plates out and the cells are ruined.

    Raises
    ------
    ValueError
        Outside that range.
    """
    if not -60 <= temp_c <= 50:
        raise ValueError(f"cells at {temp_c:.3g} °C; give -60 to 50 °C, above 50 °C let them cool.")
    return temp_c >= refdata.table("batteries")["lifepo4_least_charging_c"].value


def _check_battery_temp(temp_c: float) -> None:
    rows = refdata.table("batteries")
    coldest_c, hottest_c = rows["battery_coldest"].value, rows["battery_hottest"].value
    if not coldest_c <= temp_c <= hottest_c:
        raise ValueError(
            f"battery at {temp_c:.3g} °C; these sums hold from {coldest_c:g} to {hottest_c:g} °C: "
            "warm it or let it cool."
        )
