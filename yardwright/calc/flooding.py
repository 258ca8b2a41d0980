"""How fast water comes in through an opening below the waterline, and how long that leaves."""

from math import isfinite, pi, sqrt

from yardwright import refdata


def inflow_l_min(bore_m: float, head_m: float) -> tuple[float, float]:
    """Inflow of water through a round opening, as a range.

    Parameters
    ----------
    bore_m : float
        Inner diameter of the opening. [m] More than 0, at most 0.5.
    head_m : float
        Depth of its centre below the outside water, at the worst trim. [m] 0 to 10.

    Returns
    -------
    tuple of float
        Low and high volume per minute, into an empty bilge. [L/min] For minutes left take the
        high one.

    Raises
    ------
    ValueError
        A number outside the ranges above. Nothing is clamped.

    Notes
    -----
    Q = Cd A sqrt(2 g h): steady, bilge water not yet above the opening. Low is a bare hole, high
    a short tube behind it, running full. A long hose or a half-shut valve slows it further.

    References
    ----------
    ``refdata/flooding.toml``: both discharge coefficients, standard gravity.
    """
    if not 0 < bore_m <= 0.5:
        raise ValueError(f"bore is {bore_m} m; give the inner diameter in metres, up to 0.5.")
    if not 0 <= head_m <= 10:
        raise ValueError(f"head is {head_m} m; give the depth below the water, 0 to 10 m.")
    flooding = refdata.table("flooding")
    area_m2 = pi * bore_m**2 / 4
    ideal_l_min = area_m2 * sqrt(2 * flooding["standard_gravity"].value * head_m) * 60_000
    low, high = flooding["coefficient_bare_hole"], flooding["coefficient_short_tube"]
    return low.value * ideal_l_min, high.value * ideal_l_min


def minutes_to_fill(volume_l: float, inflow_l_min: float) -> float:
    """Minutes until a volume is full at a steady inflow.

    Parameters
    ----------
    volume_l : float
        Room for water up to the point of no return. [L] More than 0.
    inflow_l_min : float
        What comes in, less what is proven to go out. [L/min] More than 0.

    Returns
    -------
    float
        Time. [min] On the short side: the inflow slows as the water inside rises.

    Raises
    ------
    ValueError
        A number outside the ranges above.

    Notes
    -----
    Don't count on a bilge pump's printed rating: installed it moves about half of it or less.
    Only a bucket and a stop-watch prove it.
    """
    if not (isfinite(volume_l) and volume_l > 0):
        raise ValueError(f"volume is {volume_l} L; give the litres she can take, more than 0.")
    if not (isfinite(inflow_l_min) and inflow_l_min > 0):
        raise ValueError(f"inflow is {inflow_l_min} L/min; give more than 0, else nothing fills.")
    return volume_l / inflow_l_min
