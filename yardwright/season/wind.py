"""Wind at a lift: what its maker lets it lift in, and what somebody told."""

from yardwright.season.model import Lift
from yardwright.sums.words import both

FEWEST, MOST = 3, 12  # digits
HAIR = 9  # decimals: beyond them two winds differ by their units' arithmetic alone


def wind(m_s: float, digits: int = FEWEST) -> str:
    """A wind in words, in the units of both worlds."""
    return both(m_s, "m/s", "mph", digits)


def wind_limit(lift: Lift, digits: int = FEWEST) -> str:
    """What a lift's maker says of wind, in a sentence; that none is on file, where that is so."""
    limit = lift.wind_limit
    if limit is None:
        return (
            f"No wind limit on file for the {lift.name}: its manual or plate gives one. Read it there, "
            "and write it on The yard."
        )
    up_to = wind(limit.m_s, digits)
    return f"The {lift.name} lifts in wind up to {up_to}: {limit.source}, page {limit.page}."


def too_windy(lift: Lift, wind_m_s: float | None) -> tuple[str, ...]:
    """What refuses a lift in a wind that somebody told; nothing where none was told, or no limit."""
    limit = lift.wind_limit
    if limit is None or wind_m_s is None or round(wind_m_s - limit.m_s, HAIR) <= 0:
        return ()
    digits = _telling_apart(wind_m_s, limit.m_s)
    return (f"The wind is {wind(wind_m_s, digits)}. {wind_limit(lift, digits)} Wait for less.",)


def _telling_apart(one_m_s: float, other_m_s: float) -> int:
    """The fewest digits with which two winds are said differently, in each of their units."""
    for digits in range(FEWEST, MOST):
        said = zip(_parts(one_m_s, digits), _parts(other_m_s, digits), strict=True)
        if all(one != other for one, other in said):
            return digits
    return MOST


def _parts(m_s: float, digits: int) -> list[str]:
    return wind(m_s, digits).split(" (")


def not_told(lift: Lift) -> tuple[str, ...]:
    """What refuses a lift for which a wind limit is on file, while nobody has told the wind."""
    if lift.wind_limit is None:
        return ()
    return (
        f"Not known: the wind. {wind_limit(lift)} Measure the gusts, and write them down before the "
        "slings.",
    )
