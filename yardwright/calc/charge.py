"""A battery's charge by hydrometer or by volts, and where it freezes."""

from dataclasses import dataclass, replace
from enum import StrEnum

from yardwright import refdata
from yardwright.calc.batteries import F_PER_C, check_gravity, in_f


class Kind(StrEnum):
    """Kinds of battery; UNKNOWN is lead-acid of unknown build and age."""

    FLOODED = "flooded"
    AGM = "agm"
    LIFEPO4 = "lifepo4"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Span:
    """From at least to at most."""

    low: float
    high: float


def gravity_at_80_f(gravity: float, temp_c: float) -> float:
    """A hydrometer's reading brought to 80 °F, where the charts are.

    Parameters
    ----------
    gravity : float
        Specific gravity as read, 1.000 to 1.300.
    temp_c : float
        The acid's temperature. [°C] -17.7 to 48.8 (0 to 120 °F).

    Returns
    -------
    float
        0.004 more for each 10 °F above 80 °F, as much less below.

    Raises
    ------
    ValueError
        A number outside those ranges.

    References
    ----------
    ``refdata/batteries.toml``: the trade's temperature table.
    """
    check_gravity(gravity)
    return gravity + _correction("hydrometer_correction", temp_c)


def charge_percent(gravity: float, by: str = "charge_by_sg") -> float:
    """Charge of a flooded battery by specific gravity.

    Parameters
    ----------
    gravity : float
        At 80 °F, see `gravity_at_80_f`. From flat to full on the chart.
    by : str
        The chart's row: full at 1.265 or at 1.280.

    Returns
    -------
    float
        Straight lines between the printed rows. [%]

    Raises
    ------
    ValueError
        Off the chart, below or above, or no such chart.

    References
    ----------
    ``refdata/batteries.toml``: two charts, 25 points apart in the middle.
    """
    chart = _charge_chart(by)
    flat, full = chart.x[0], chart.x[-1]
    gravity = round(gravity, 6)
    if not gravity >= flat:
        raise ValueError(
            f"{gravity:.3f} is below this chart, which is flat at {flat:.3f}; "
            "charge it before anything else, and read again."
        )
    if gravity > full:
        raise ValueError(
            f"{gravity:.3f} is above this chart, which is full at {full:.3f}; "
            "check the acid's temperature, or take the chart of this battery."
        )
    return chart.at(gravity)


def charge_span(gravity: float) -> Span:
    """Charge of a flooded battery by specific gravity, where nobody knows which chart is its own.

    Parameters
    ----------
    gravity : float
        At 80 °F, see `gravity_at_80_f`.

    Returns
    -------
    Span
        Lowest and highest by any chart: 0 below one's flat, 100 above one's full. [%]
    """
    charts = refdata.curves("batteries")
    at_80 = round(gravity, 6)
    spans = [
        _chart_span(charts[key], at_80, at_80)
        for key in refdata.rivals("batteries", "charge_by_sg")
    ]
    return Span(min(span.low for span in spans), max(span.high for span in spans))


def freezes_at_c(gravity: float) -> float:
    """Where battery acid freezes.

    Parameters
    ----------
    gravity : float
        Specific gravity at 80 °F, 1.000 to 1.280.

    Returns
    -------
    float
        The warmest of the printed tables. [°C]

    Raises
    ------
    ValueError
        Outside that range.

    Notes
    -----
    Straight lines between printed rows; below a table's first, a line to plain water.

    References
    ----------
    ``refdata/batteries.toml``: three tables, at most about 3 °C apart.
    """
    strongest = max(table.x[-1] for table in _freezing())
    if not 1 <= gravity <= strongest:
        raise ValueError(
            f"specific gravity is {gravity:.3f}; freezing is printed from 1.000 to {strongest:.3f}."
        )
    return max(table.at(gravity) for table in _freezing() if gravity <= table.x[-1])


def gravity_that_survives(night_c: float) -> float:
    """Least specific gravity of acid that does not freeze.

    Parameters
    ----------
    night_c : float
        The coldest the battery gets. [°C] 0 down to -67.8 (-90 °F).

    Returns
    -------
    float
        At 80 °F; by each of the printed tables it freezes at that temperature or colder.

    Raises
    ------
    ValueError
        Outside that range.
    """
    coldest_c = min(table.y[-1] for table in _freezing())
    if not coldest_c <= night_c <= 0:
        raise ValueError(
            f"the night is {night_c:.3g} °C; freezing is printed from 0 °C down to {coldest_c:.1f} °C."
        )
    return max(_reaches(table, night_c) for table in _freezing())


def charge_that_survives(night_c: float, by: str = "charge_by_sg") -> float:
    """Least charge of a flooded battery that does not freeze.

    Parameters
    ----------
    night_c : float
        The coldest the battery gets. [°C] As for `gravity_that_survives`.
    by : str
        The chart's row, as for `charge_percent`.

    Returns
    -------
    float
        0 where even a flat one survives. [%]

    Raises
    ------
    ValueError
        Outside that range, no such chart, or colder than a full one on it survives.
    """
    chart = _charge_chart(by)
    gravity, full = gravity_that_survives(night_c), chart.x[-1]
    if freezes_at_c(full) > night_c:
        raise ValueError(
            f"at {night_c:.3g} °C even a full battery of this chart, {full:.3f}, freezes; "
            "bring it inside."
        )
    return chart.at(max(round(gravity, 9), chart.x[0]))


def rest_charge(volts_v: float, kind: Kind, temp_c: float, within_v: float) -> Span:
    """Charge of a 12 V battery by its volts at rest.

    Parameters
    ----------
    volts_v : float
        Rested, nothing drawn. [V]
    kind : Kind
        Flooded, AGM or LiFePO4 of four cells.
    temp_c : float
        Its own temperature. [°C] 0 to 120 °F. Counts for a flooded one; for the others no
        correction is printed.
    within_v : float
        How far the meter may be off. [V] 0 to 1.

    Returns
    -------
    Span
        Lowest and highest charge by any chart of its kind and any volts the meter allows. [%]

    Raises
    ------
    ValueError
        Volts on no chart of its kind, unknown kind, or a number outside those ranges.

    References
    ----------
    ``refdata/batteries.toml``: two or three charts for each kind.
    """
    if kind is Kind.UNKNOWN:
        raise ValueError("its kind is not known; find out whether it is flooded, AGM or LiFePO4.")
    if not 0 <= within_v <= 1:
        raise ValueError(f"the meter is off by {within_v:g} V; give 0 to 1 V.")
    correction_v = _correction("rest_volts_correction", temp_c)
    at_80_v = round(volts_v + (correction_v if kind is Kind.FLOODED else 0), 6)
    charts = refdata.curves("batteries")
    of_kind = [charts[key] for key in refdata.rivals("batteries", f"rest_volts_{kind}")]
    lowest_v, highest_v = min(c.x[0] for c in of_kind), max(c.x[-1] for c in of_kind)
    if not at_80_v >= lowest_v:
        raise ValueError(
            f"{at_80_v:.2f} V is below every chart of its kind, {lowest_v:g} V; it is flat or hurt: "
            "charge it and read again."
        )
    if at_80_v > highest_v:
        raise ValueError(
            f"{at_80_v:.2f} V is above every chart of its kind, {highest_v:g} V; it is on charge or "
            "not rested: take the charger off, let it rest, read again."
        )
    spans = [_chart_span(c, at_80_v - within_v, at_80_v + within_v) for c in of_kind]
    return Span(min(span.low for span in spans), max(span.high for span in spans))


def rest_hours() -> float:
    """How long a lead-acid battery rests before its volts count. [h]."""
    return refdata.table("batteries")["rest_hours"].value


def hydrometer_step() -> float:
    """How far off a hydrometer in good order can read."""
    return refdata.table("batteries")["hydrometer_step"].value


def volts_prove_nothing(volts_v: float, within_v: float) -> bool:
    """Whether a LiFePO4 battery's volts at rest may lie where they prove no charge.

    Parameters
    ----------
    volts_v, within_v : float
        Volts at rest, and how far the meter may be off. [V]

    Returns
    -------
    bool
        True if they may lie from 12.9 to 13.3 V.
    """
    rows = refdata.table("batteries")
    low_v, high_v = (rows[key].value for key in ("lifepo4_flat_from", "lifepo4_flat_to"))
    return low_v <= round(volts_v + within_v, 6) and round(volts_v - within_v, 6) <= high_v


def _charge_chart(by: str) -> refdata.Curve:
    return refdata.curves("batteries")[refdata.rival("batteries", "charge_by_sg", by)]


def _correction(row: str, temp_c: float) -> float:
    table = refdata.curves("batteries")[row]
    temp_f = in_f(temp_c)
    if not table.x[0] <= temp_f <= table.x[-1]:
        raise ValueError(
            f"the battery is at {temp_c:.3g} °C ({temp_f:.3g} °F); readings are corrected from "
            f"{table.x[0]:g} to {table.x[-1]:g} °F (-17.7 to 48.8 °C): bring it there first."
        )
    return table.at(temp_f)


def _freezing() -> list[refdata.Curve]:
    """The printed tables in °C, each from plain water on."""
    charts = refdata.curves("batteries")
    return [_from_water(charts[key]) for key in refdata.rivals("batteries", "electrolyte_freezes")]


def _from_water(table: refdata.Curve) -> refdata.Curve:
    in_c = table.y if table.y_unit == "degC" else tuple((f - 32) / F_PER_C for f in table.y)
    water = table.x[0] == 1
    x, y = ((), ()) if water else ((1.0,), (0.0,))
    return replace(table, x=(*x, *table.x), y=(*y, *in_c), y_unit="degC")


def _reaches(table: refdata.Curve, temp_c: float) -> float:
    """Where a table comes down to a temperature; its end, if it stays warmer."""
    turned = replace(table, x=table.y[::-1], y=table.x[::-1])
    return turned.at(max(temp_c, turned.x[0]))


def _chart_span(chart: refdata.Curve, low_v: float, high_v: float) -> Span:
    """Below a chart it may be down to 0 %, above it up to 100 %."""
    first_v, last_v = chart.x[0], chart.x[-1]
    low = 0.0 if low_v < first_v else chart.at(min(low_v, last_v))
    high = 100.0 if high_v > last_v else chart.at(max(high_v, first_v))
    return Span(low, high)
