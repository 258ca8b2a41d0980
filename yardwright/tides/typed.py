"""Water from a printed table of high and low waters that somebody typed in."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import pairwise
from types import MappingProxyType

import numpy as np

from yardwright.tides.half_cosine import LESS_SURE, HalfCosine
from yardwright.tides.water import (
    Extreme,
    Floats,
    Interval,
    Turn,
    asked_hours,
    asked_times,
    hours,
    intervals,
)

# A gap this many times the gaps usual in the same table (9 in 10 are no longer) has rows missing.
# Of 418 US stations' tables for 2031 none has such a gap; a pair left out of a twice-daily one has.
LONGEST_GAP = 2.5


@dataclass(frozen=True, slots=True)
class TypedTable:
    """High and low waters in order, with half-cosines between them.

    Parameters
    ----------
    turns : tuple of Extreme
        At least two, in order, high and low in turn.
    datum : str
        What the heights stand above, as the table names it: "chart datum", "MLLW".
    epoch : str
        The years or the edition that this datum is reckoned from, as the table names it.
    source : str
        The table: who printed it, for which place and year.

    Raises
    ------
    ValueError
        All faults of the table at once, a line each: out of order, two highs or two lows in a row,
        a high not above its low, a gap with rows missing, no datum, no epoch.
    """

    turns: tuple[Extreme, ...]
    datum: str
    epoch: str
    source: str
    datums_m: Mapping[str, float] = field(
        default_factory=lambda: MappingProxyType({}), init=False, compare=False
    )
    _curve: HalfCosine = field(init=False, compare=False, repr=False)

    def __post_init__(self) -> None:
        faults = [*_missing_words(self), *table_faults(self.turns)]
        if faults:
            raise ValueError("\n".join(faults))
        at_h = np.array([hours(turn.at) for turn in self.turns])
        level_m = np.array([turn.level_m for turn in self.turns])
        object.__setattr__(self, "_curve", HalfCosine(at_h, level_m))

    @property
    def less_sure(self) -> str:
        """Only the high and low waters are printed."""
        return LESS_SURE

    @property
    def span(self) -> Interval:
        """From the first turn to the last."""
        return Interval(self.turns[0].at, self.turns[-1].at)

    def level_m(self, times: Sequence[datetime]) -> Floats:
        """Height of the water at each time. [m] Shape (times,)."""
        return self._curve.level(asked_times(self.span, times))

    def extremes(self, start: datetime, end: datetime) -> tuple[Extreme, ...]:
        """The typed high and low waters with start <= at < end."""
        from_h, to_h = asked_hours(self.span, start, end)
        return tuple(turn for turn in self.turns if from_h <= hours(turn.at) < to_h)

    def windows(self, start: datetime, end: datetime, level_m: float) -> tuple[Interval, ...]:
        """When the water stands at `level_m` or higher, however short."""
        asked = asked_hours(self.span, start, end)
        return intervals(self._curve.windows(*asked, level_m))


def _missing_words(water: TypedTable) -> Iterator[str]:
    for name, meaning in (
        ("datum", "what the heights stand above, such as chart datum"),
        ("epoch", "the years or edition this datum is reckoned from"),
        ("source", "who printed the table, and for which place"),
    ):
        if not getattr(water, name).strip():
            yield f"The table's {name} is missing; write {meaning}."


def table_faults(turns: Sequence[Extreme]) -> Iterator[str]:
    """What is wrong with a table of high and low waters, a sentence each, rows counted from 1."""
    if len(turns) < 2:
        yield f"The table has {len(turns)} rows; type at least one high and one low water."
    longest = _longest_gap(turns)
    for row, (before, after) in enumerate(pairwise(turns), start=2):
        where = f"Row {row} ({after.turn} {after.at:%Y-%m-%d %H:%M} UTC, {after.level_m:g} m)"
        if after.at <= before.at:
            yield f"{where} is not after the row before it; put the rows in order of time."
        elif after.at - before.at > longest:
            gap_h = (after.at - before.at) / timedelta(hours=1)
            yield f"{where} comes {gap_h:.1f} h after the row before it; type the ones left out."
        if after.turn == before.turn:
            yield f"{where} follows another {before.turn}; one between them is missing or misnamed."
        elif (after.level_m > before.level_m) != (after.turn == Turn.HW):
            yield f"{where} lies on the wrong side of the row before it; check both heights."


def _longest_gap(turns: Sequence[Extreme]) -> timedelta:
    """What a gap in this table may be, reckoned from its own usual gaps."""
    gaps = sorted(after.at - before.at for before, after in pairwise(turns))
    return LONGEST_GAP * max(gaps[int(0.9 * (len(gaps) - 1))], timedelta()) if gaps else timedelta()
