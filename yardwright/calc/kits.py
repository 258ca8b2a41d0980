"""How many kits to order, from how many boats needed one so far.

Jeffreys' prior on the share of boats in need, so the count among those still to come is
beta-binomial. It takes the boats to come as like the boats seen; where the old ones were looked at
first, that is not so, and the order is too high.
"""

import numpy as np


def expected_kits(seen: int, needed: int, to_come: int) -> float:
    """Kits that will be needed, on average.

    Parameters
    ----------
    seen : int
        Boats looked at so far, 0 or more.
    needed : int
        Those of them that needed the kit, 0 to `seen`.
    to_come : int
        Boats still to be looked at, 0 or more.

    Returns
    -------
    float
        Kits among the boats to come. Half of the time more are needed: not a number to order by.

    Raises
    ------
    ValueError
        A count outside the ranges above.
    """
    from scipy.stats import betabinom  # it takes long to load: only for who asks

    return float(betabinom.mean(*_shape(seen, needed, to_come)))


def chance_enough(kits: int, seen: int, needed: int, to_come: int) -> float:
    """Chance that so many kits cover all boats to come.

    Parameters
    ----------
    kits : int
        Kits in hand, 0 or more.
    seen, needed, to_come : int
        As for `expected_kits`.

    Returns
    -------
    float
        0 to 1.

    Raises
    ------
    ValueError
        A count outside the ranges above.
    """
    if kits < 0:
        raise ValueError(f"kits are {kits}; give 0 or more.")
    from scipy.stats import betabinom

    return float(betabinom.cdf(kits, *_shape(seen, needed, to_come)))


def kits_to_cover(chance: float, seen: int, needed: int, to_come: int) -> int:
    """Fewest kits that cover all boats to come with at least this chance.

    Parameters
    ----------
    chance : float
        More than 0, less than 1; 0.95 for a kit that holds up a launch.
    seen, needed, to_come : int
        As for `expected_kits`.

    Returns
    -------
    int
        Kits.

    Raises
    ------
    ValueError
        A number outside the ranges above.
    """
    if not 0 < chance < 1:
        raise ValueError(f"chance is {chance}; give a share between 0 and 1, such as 0.95.")
    shape = _shape(seen, needed, to_come)
    from scipy.stats import betabinom

    covered = betabinom.pmf(np.arange(to_come + 1), *shape).cumsum()
    covered[-1] = 1.0  # a kit for each is enough, whatever the rounding
    return int(np.searchsorted(covered, chance))


def _shape(seen: int, needed: int, to_come: int) -> tuple[int, float, float]:
    if not 0 <= needed <= seen:
        raise ValueError(f"{needed} of {seen} boats needed it; give a count from 0 to {seen}.")
    if to_come < 0:
        raise ValueError(f"boats to come are {to_come}; give 0 or more.")
    return to_come, needed + 0.5, seen - needed + 0.5
