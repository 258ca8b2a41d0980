"""What a bilge pump really moves where it is, not what its box says."""

from math import isfinite

from yardwright import refdata
from yardwright.calc.units import convert

CURVE = "pump_by_shutoff_head"


def installed_l_min(
    printed_l_min: float,
    lift_m: float,
    shutoff_m: float | None = None,
    by: str = "pump_corrugated_hose",
) -> float:
    """What an installed pump moves, by its printed rate and one of the rules.

    Parameters
    ----------
    printed_l_min : float
        The rate on its box: no lift, no hose, full volts. [L/min] More than 0.
    lift_m : float
        From the bilge water to where the hose ends. [m] 0 or more.
    shutoff_m : float or None
        The lift at which it moves nothing, by its sheet. [m] None is *not known*.
    by : str
        The row: a share of the printed rate, or the curve between free flow and shut-off.

    Returns
    -------
    float
        [L/min] 0 at its shut-off lift and above.

    Raises
    ------
    ValueError
        A number outside the ranges above; a share for more lift than it is meant for; the curve
        without the shut-off lift.

    Notes
    -----
    Share x printed, or printed x (1 - lift / shut-off) to the power of the row. The curve leaves
    out hose, bends and volts. A bucket and a stop-watch beat both: see `bucket_l_min`.

    References
    ----------
    ``refdata/flooding.toml``: the rules.
    """
    if not (isfinite(printed_l_min) and printed_l_min > 0):
        raise ValueError(f"the printed rate is {printed_l_min} L/min; give more than 0.")
    if not (isfinite(lift_m) and lift_m >= 0):
        raise ValueError(f"lift is {lift_m} m; give 0 or more.")
    if shutoff_m is not None and not (isfinite(shutoff_m) and shutoff_m > 0):
        raise ValueError(f"shut-off lift is {shutoff_m} m; give more than 0.")
    flooding = refdata.table("flooding")
    rule = flooding[refdata.rival("flooding", "pump_corrugated_hose", by)].value
    if shutoff_m is not None and lift_m >= shutoff_m:
        return 0.0
    if by == CURVE:
        if shutoff_m is None:
            raise ValueError("the shut-off lift is not known; give it from the pump's sheet.")
        return float(printed_l_min * (1 - lift_m / shutoff_m) ** rule)
    most_m = convert(flooding["pump_share_lift"].value, "ft", "m")
    if round(lift_m - most_m, 9) > 0:
        raise ValueError(
            f"lift is {lift_m:.2f} m; a share of the printed rate is said for up to {most_m:.2f} m "
            "(3 ft). Give a bucket test, or the shut-off lift and that rule."
        )
    return rule * printed_l_min


def bucket_l_min(litres: float, seconds: float) -> float:
    """What a pump moves by bucket and stop-watch, at its own hose, lift and battery.

    Parameters
    ----------
    litres : float
        What ran into the bucket. [L] More than 0.
    seconds : float
        In how long. [s] More than 0.

    Returns
    -------
    float
        [L/min]

    Raises
    ------
    ValueError
        A number that is not more than 0.
    """
    for what, number in (("the bucket's litres", litres), ("the seconds", seconds)):
        if not (isfinite(number) and number > 0):
            raise ValueError(f"{what}: {number}; give more than 0.")
    return litres / seconds * 60
