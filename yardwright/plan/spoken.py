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
    whole = percent(odds)
    return f"{whole} % sure" if whole else "less than 5 % sure"


def percent(odds: float) -> int:
    """The share in % that is said of odds: rounded down to 5, at most 95."""
    return min(95, 5 * floor(round(odds * 100, 6) / 5))


def to_tell(days: Days, odds: Odds, boat: BoatId) -> tuple[Day, ...]:
    """The days an owner can be told: the first likely one, and a later one that is surer."""
    likely = [day for day in range(days.count) if odds.by(boat, day) >= EVEN]
    if not likely:
        return ()
    sure = [day for day in likely if odds.by(boat, day) > BETTER]
    later = sure[0] if sure else _last_rise(odds, boat, likely)
    return (likely[0], later) if later > likely[0] else (likely[0],)


def phone_sentence(
    days: Days, odds: Odds, boat: BoatId, waits_for: str = "", promised: Day | None = None
) -> str:
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
    promised : int, optional
        The day the owner was told; it is spoken of first, where it is none of the two.

    Returns
    -------
    str
        Such as "Fri 9 May, 75 % sure; by Tue 13 May, better than 95 %. She waits for a kit."
    """
    tail = f" She waits for {waits_for}." if waits_for else ""
    told = to_tell(days, odds, boat)
    if promised is not None and promised not in told:
        was = (
            f"You were told {days.said(promised)}; that is now {sure_words(odds, boat, promised)}."
        )
        return f"{was} {phone_sentence(days, odds, boat, waits_for)}"
    if not told:
        return f"Nobody can name a day yet: none is as likely as not.{tail}"
    said = f"{days.said(told[0])}, {sure_words(odds, boat, told[0])}"
    sure = odds.by(boat, told[-1]) > BETTER
    if len(told) == 1:
        return f"{said}{'' if sure else ', and not surer'}.{tail}"
    surer = "" if sure else ", and not surer this season"
    later = f"by {days.said(told[1])}, {sure_words(odds, boat, told[1])}"
    return f"{said}; {later}{surer}.{tail}"


def sure_by(days: Days, odds: Odds, boat: BoatId) -> tuple[tuple[Day, str], ...]:
    """How sure each day is, said where it changes: before the first she is less than 5 % sure."""
    said, before = list[tuple[Day, str]](), spoken(0)
    for day in range(days.count):
        words = sure_words(odds, boat, day)
        if words != before:
            said.append((day, words))
            before = words
    return tuple(said)


def sure_words(odds: Odds, boat: BoatId, day: Day) -> str:
    """Odds in words; better than 95 % only where that is sure of so many seasons."""
    low, _ = odds.between(boat, day)
    by = odds.by(boat, day)
    return spoken(min(by, BETTER) if low <= BETTER else by)


def _last_rise(odds: Odds, boat: BoatId, likely: list[Day]) -> Day:
    """The last day on which her odds still grow."""
    rises = [b for a, b in pairwise(likely) if odds.by(boat, b) > odds.by(boat, a)]
    return max(rises, default=likely[0])
