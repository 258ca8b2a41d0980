"""Odds as they are said on the phone, and the one sentence an owner can be told now."""

from itertools import pairwise
from math import floor

from yardwright.plan.days import Day, Days
from yardwright.plan.odds import Odds
from yardwright.plan.problem import BoatId

BETTER = 0.95  # nothing surer than this is ever said
EVEN = 0.5  # a day less sure than this is no day to tell an owner


def spoken(odds: float) -> str:
    """Odds in words: rounded down to 5 %, never above "better than 95 %".

    Raises
    ------
    ValueError
        ``odds`` is no chance, 0 to 1.
    """
    if not 0 <= odds <= 1:
        raise ValueError(f"Odds of {odds}; give 0 to 1.")
    if odds > BETTER:
        return "better than 95 %"
    whole = 5 * floor(round(odds * 100, 6) / 5)
    return f"{whole} % sure" if whole else "less than 5 % sure"


def phone_sentence(days: Days, odds: Odds, boat: BoatId, waits_for: str = "") -> str:
    """What an owner can be told: the first likely day, the first sure one, and what it waits for.

    Parameters
    ----------
    days : Days
        Of the problem the odds were made for.
    odds : Odds
        Of the plan that stands.
    boat : BoatId
        The owner's.
    waits_for : str
        What follows "She waits for ", without a full stop.

    Returns
    -------
    str
        Such as "Fri 9 May, 75 % sure; by Tue 13 May, better than 95 %. She waits for a kit."
    """
    likely = [day for day in range(days.count) if odds.by(boat, day) >= EVEN]
    tail = f" She waits for {waits_for}." if waits_for else ""
    if not likely:
        return f"Nobody can name a day yet: none is as likely as not.{tail}"
    first = likely[0]
    sure = [day for day in likely if odds.by(boat, day) > BETTER]
    said = f"{_date(days, first)}, {spoken(odds.by(boat, first))}"
    if not sure:
        last = _last_rise(odds, boat, likely)
        later = f"by {_date(days, last)}, {spoken(odds.by(boat, last))}, and not surer this season"
        return f"{said}; {later}.{tail}" if last > first else f"{said}, and not surer.{tail}"
    later = f"; by {_date(days, sure[0])}, better than 95 %" if sure[0] > first else ""
    return f"{said}{later}.{tail}"


def _last_rise(odds: Odds, boat: BoatId, likely: list[Day]) -> Day:
    """The last day on which her odds still grow."""
    rises = [b for a, b in pairwise(likely) if odds.by(boat, b) > odds.by(boat, a)]
    return max(rises, default=likely[0])


def _date(days: Days, day: Day) -> str:
    at = days.at(days.midnight(day))
    return f"{at:%a} {at.day} {at:%b}"
