"""How sure a reading is: uncertainties, and the chance that the true value lies within limits."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from math import erfc, hypot, isfinite, sqrt
from statistics import NormalDist, median
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_NORMAL = NormalDist()
_ROOT_2 = sqrt(2)
_HALF_95 = _NORMAL.inv_cdf(0.975)
_FAR = (
    5.5  # standard deviations: for 12 readings all pairs together are beyond them 3e-6 of the time
)


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
    below = 1.0 if upper is None else _cdf((upper - value) / u)
    too_low = 0.0 if lower is None else _cdf((lower - value) / u)
    return below - too_low


def _cdf(z: float) -> float:
    return 0.5 * erfc(-z / _ROOT_2)


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
        0 to 1, good to 0.00001.

    Raises
    ------
    ValueError
        A number outside the ranges above.

    Notes
    -----
    The highest true value is x, and each of the others lies between `ratio` x and x: summed over
    which one is the highest, and over x. Draws (JCGM 101:2008) agree, and take a thousand times
    as long.

    References
    ----------
    JCGM 101:2008, 5.2: propagation of distributions.
    """
    _check_positive("uncertainty", u, "give the standard uncertainty; no reading is exact")
    low, _ = _lowest_and_highest(readings, ratio)
    if low < 5 * u:
        raise ValueError(
            f"lowest reading is {low:g} with uncertainty {u:g}; "
            "too coarse a gauge for a ratio, take a finer one."
        )
    return _chance_ratio(readings, u, ratio)


def _chance_ratio(readings: Sequence[float], u: float, ratio: float) -> float:
    highest = max(readings)
    sure = (min(readings) - ratio * highest) / (u * hypot(1, ratio))
    if abs(sure) > _FAR:
        return float(sure > 0)
    import numpy as np  # these take long to load: only for who asks
    from scipy.special import ndtr

    nodes, weights = _nodes()
    x = (highest + 8 * u * nodes)[:, np.newaxis]
    z = (x - np.asarray(readings)) / u
    between = np.maximum(ndtr(z) - ndtr(z - (1 - ratio) * x / u), 0)
    density = np.exp(-z * z / 2) / sqrt(2 * np.pi)
    others = np.divide(density, between, out=np.zeros_like(z), where=between > 0).sum(axis=1)
    return float(min(1.0, 8 * np.dot(weights, between.prod(axis=1) * others)))


@cache
def _nodes() -> "tuple[NDArray[np.float64], NDArray[np.float64]]":
    import numpy as np

    nodes, weights = np.polynomial.legendre.leggauss(64)
    return nodes, weights


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
        In the readings' unit. Where the ratio holds: the largest that reaches the chance. Where it
        does not: one that reaches it for sure, from lowest and highest alone. 0 on the limit.

    Raises
    ------
    ValueError
        A number outside the ranges above.
    """
    lowest, highest = _lowest_and_highest(readings, ratio)
    _check_chance(chance)
    spare = (lowest - ratio * highest) / hypot(1, ratio)
    wide = abs(spare) / _NORMAL.inv_cdf(chance)
    if spare <= 0:
        return wide
    # Somewhere between "only lowest and highest count" and "each pair alone may fail".
    pairs = len(readings) * (len(readings) - 1)
    fine = spare / _NORMAL.inv_cdf(1 - (1 - chance) / pairs)
    while wide - fine > 1e-6 * wide:
        middle = (wide + fine) / 2
        if _chance_ratio(readings, middle, ratio) >= chance:
            fine = middle
        else:
            wide = middle
    return fine


@dataclass(frozen=True, slots=True)
class Slope:
    """A straight line's rise for each step of x: the middle of it, and from where to where.

    ``sure`` says that ``low`` and ``high`` are its 95 % interval; with fewer than five points no
    interval is that sure, and they are the least and the most of all pairs.
    """

    middle: float
    low: float
    high: float
    sure: bool


SURE_POINTS = 5  # of four, all pairs together hold the true slope 92 % of the time (4! orders)


def robust_slope(x: Sequence[float], y: Sequence[float]) -> Slope:
    """Slope that one odd reading does not move: the middle of the slopes of all pairs.

    Parameters
    ----------
    x : sequence of float
        Such as years, no two alike, in any order. Two or more.
    y : sequence of float
        What was read, as many.

    Returns
    -------
    Slope
        In y's unit for each of x's.

    Raises
    ------
    ValueError
        Fewer than two points, not as many x as y, or two x alike.

    References
    ----------
    P. K. Sen, "Estimates of the regression coefficient based on Kendall's tau", Journal of the
    American Statistical Association 63 (1968), 1379-1389: the middle, and the interval by the
    normal approximation, corrected for equal readings.
    """
    count = len(x)
    if count < 2 or count != len(y) or len(set(x)) < count:
        raise ValueError(f"{list(x)} and {list(y)}; give two or more points, no two x alike.")
    pairs = combinations(range(count), 2)
    slopes = sorted([(y[b] - y[a]) / (x[b] - x[a]) for a, b in pairs])
    alike = sum(n * (n - 1) * (2 * n + 5) for n in Counter(y).values())
    spread = _HALF_95 * sqrt((count * (count - 1) * (2 * count + 5) - alike) / 18)
    first = max(round((len(slopes) - spread) / 2) - 1, 0)
    last = min(round((len(slopes) + spread) / 2), len(slopes) - 1)
    return Slope(median(slopes), slopes[first], slopes[last], count >= SURE_POINTS)


def _lowest_and_highest(readings: Sequence[float], ratio: float) -> tuple[float, float]:
    if len(readings) < 2:
        raise ValueError(f"{len(readings)} reading; give two or more to compare.")
    for reading in readings:
        _check_positive("reading", reading, "give what the gauge showed")
    if not 0 < ratio <= 1:
        raise ValueError(f"ratio is {ratio}; give a share between 0 and 1, such as 0.90.")
    return min(readings), max(readings)


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
