"""How sure a reading is: uncertainties, and the chance that the true value lies within limits."""

from collections.abc import Sequence
from math import hypot, isfinite, sqrt
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

DRAWS = 200_000
SEED = 2031

_NORMAL = NormalDist()


def resolution_u(step: float) -> float:
    """Standard uncertainty of a display that shows whole steps.

    Parameters
    ----------
    step : float
        Last digit, or finest mark that is read. [the reading's unit] More than 0.

    Returns
    -------
    float
        step / √12: anything within half a step shows the same. [the same unit]

    Raises
    ------
    ValueError
        A step that is not more than 0.

    References
    ----------
    JCGM 100:2008, F.2.2.1.
    """
    _check_positive("step", step, "give the last digit's worth")
    return step / sqrt(12)


def combined_u(*parts: float) -> float:
    """Standard uncertainty of a sum of independent parts: the root of their squares' sum.

    Parameters
    ----------
    *parts : float
        Standard uncertainties, all in the reading's unit, each 0 or more. A part that comes
        through something else (temperature into a limit) is multiplied by its slope before.

    Returns
    -------
    float
        In the same unit.

    Raises
    ------
    ValueError
        No part at all, or one that is negative: an unknown uncertainty is not 0.

    References
    ----------
    JCGM 100:2008, 5.1.2.
    """
    if not parts:
        raise ValueError("No uncertainty is given; give the instrument's at least.")
    for u in parts:
        if not (isfinite(u) and u >= 0):
            raise ValueError(f"an uncertainty is {u}; give 0 or more, in the reading's unit.")
    return hypot(*parts)


def chance_within(value: float, u: float, lower: float | None, upper: float | None) -> float:
    """Chance that the true value lies within the limits.

    Parameters
    ----------
    value : float
        The reading.
    u : float
        Its standard uncertainty, the limit's own included. More than 0: no reading is exact.
    lower, upper : float or None
        Limits; None where there is none on that side. Not both None.

    Returns
    -------
    float
        0 to 1, for a true value spread normally about the reading. All in one unit.

    Raises
    ------
    ValueError
        No limit at all, limits crossed, u not more than 0, or a number that is not finite.

    References
    ----------
    JCGM 106:2012, 7.3 and 7.4.
    """
    _check_limits(value, lower, upper)
    _check_positive("uncertainty", u, "give the standard uncertainty; no reading is exact")
    below = 1.0 if upper is None else _NORMAL.cdf((upper - value) / u)
    too_low = 0.0 if lower is None else _NORMAL.cdf((lower - value) / u)
    return below - too_low


def deciding_u(value: float, lower: float | None, upper: float | None, chance: float) -> float:
    """Standard uncertainty that would decide this reading.

    Parameters
    ----------
    value : float
        The reading.
    lower, upper : float or None
        As for `chance_within`.
    chance : float
        What must be reached: of lying within, for a reading within the limits; of lying outside,
        for one outside. More than 0.5, less than 1.

    Returns
    -------
    float
        The largest uncertainty that reaches it, in the reading's unit; for a reading outside two
        limits, one that reaches it for sure. 0 on the limit itself: no instrument decides that.

    Raises
    ------
    ValueError
        As for `chance_within`, or a chance outside its range.
    """
    _check_limits(value, lower, upper)
    _check_chance(chance)
    margins = [abs(value - limit) for limit in (lower, upper) if limit is not None]
    one_side = min(margins) / _NORMAL.inv_cdf(chance)
    within = (lower is None or lower <= value) and (upper is None or value <= upper)
    if one_side == 0 or not within or len(margins) == 1:
        return one_side
    # Two limits: somewhere between "the far one counts nothing" and "both are as near".
    wide, fine = one_side, min(margins) / _NORMAL.inv_cdf((1 + chance) / 2)
    while fine < (middle := (wide + fine) / 2) < wide:
        if chance_within(value, middle, lower, upper) >= chance:
            fine = middle
        else:
            wide = middle
    return fine


def chance_ratio_at_least(readings: Sequence[float], u: float, ratio: float) -> float:
    """Chance that the lowest true value is at least this share of the highest.

    Parameters
    ----------
    readings : sequence of float
        Two or more, as of the cylinders of one engine, each at least five times `u`.
    u : float
        Standard uncertainty of each, independent, in the readings' unit. More than 0.
    ratio : float
        The least share that will do, more than 0, at most 1.

    Returns
    -------
    float
        0 to 1, by 200,000 draws from a fixed seed: the same readings give the same answer, good
        to about 0.002.

    Raises
    ------
    ValueError
        A number outside the ranges above.

    References
    ----------
    JCGM 101:2008, propagation of distributions by draws.
    """
    _check_positive("uncertainty", u, "give the standard uncertainty; no reading is exact")
    values = _checked_readings(readings, ratio)
    if values.min() < 5 * u:
        raise ValueError(
            f"lowest reading is {values.min():g} with uncertainty {u:g}; "
            "too coarse a gauge for a ratio, take a finer one."
        )
    drawn = values + u * _draws(len(values))
    return float(np.mean(drawn.min(axis=1) >= ratio * drawn.max(axis=1)))


def deciding_u_for_ratio(readings: Sequence[float], ratio: float, chance: float) -> float:
    """Standard uncertainty of each reading that would decide their ratio.

    Parameters
    ----------
    readings, ratio
        As for `chance_ratio_at_least`.
    chance : float
        What must be reached, as for `deciding_u`.

    Returns
    -------
    float
        In the readings' unit. Where the ratio holds: the largest that reaches the chance, by the
        same draws. Where it does not: one that reaches it for sure, from lowest and highest alone.
        0 on the limit itself.

    Raises
    ------
    ValueError
        A number outside the ranges above.

    Notes
    -----
    "Lowest at least `ratio` of highest" says x_i - ratio x_j >= 0 for every pair. Along one draw
    each side is a straight line in u, so the u at which that draw first breaks is a quotient.
    """
    values = _checked_readings(readings, ratio)
    _check_chance(chance)
    spare = float(values.min() - ratio * values.max())
    if spare <= 0:
        return -spare / (_NORMAL.inv_cdf(chance) * hypot(1, ratio))
    draws = _draws(len(values))
    breaks_at = np.full(DRAWS, np.inf)
    for i, low in enumerate(values):
        for j, high in enumerate(values):
            pull = ratio * draws[:, j] - draws[:, i]
            falls = pull > 0
            breaks_at[falls] = np.minimum(breaks_at[falls], (low - ratio * high) / pull[falls])
    return float(np.quantile(breaks_at, 1 - chance, method="lower"))


def _draws(count: int) -> NDArray[np.float64]:
    return np.random.default_rng(SEED).standard_normal((DRAWS, count))


def _checked_readings(readings: Sequence[float], ratio: float) -> NDArray[np.float64]:
    if len(readings) < 2:
        raise ValueError(f"{len(readings)} reading; give two or more to compare.")
    for reading in readings:
        _check_positive("reading", reading, "give what the gauge showed")
    if not 0 < ratio <= 1:
        raise ValueError(f"ratio is {ratio}; give a share between 0 and 1, such as 0.90.")
    return np.asarray(readings, dtype=np.float64)


def _check_limits(value: float, lower: float | None, upper: float | None) -> None:
    if lower is None and upper is None:
        raise ValueError("No limit is given; give a lower or an upper one.")
    for number in (value, lower, upper):
        if number is not None and not isfinite(number):
            raise ValueError(f"{number} is no reading and no limit; give a number.")
    if lower is not None and upper is not None and lower >= upper:
        raise ValueError(f"limits are {lower} to {upper}; give the lower one first.")


def _check_chance(chance: float) -> None:
    if not 0.5 < chance < 1:
        raise ValueError(f"chance is {chance}; give more than 0.5 and less than 1, such as 0.95.")


def _check_positive(what: str, number: float, give: str) -> None:
    if not (isfinite(number) and number > 0):
        raise ValueError(f"{what} is {number}; {give}, more than 0.")
