"""What any water answers: its level, its high and low waters, and when it stands high enough.

Times go in aware, in any zone, and come out in UTC: two times of one local zone subtract and
compare by the wall clock in Python, which is an hour wrong on the night the clock changes.
Turn them into the yard's zone on the page, and nowhere before.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from enum import StrEnum
from itertools import pairwise
from math import isfinite
from typing import TYPE_CHECKING, Protocol, TypeAlias

from yardwright.refdata import table

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Floats: TypeAlias = "NDArray[np.float64]"
MINUTE = timedelta(minutes=1)
EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def utc(when: datetime) -> datetime:
    """The same moment in UTC; refuses a time without a zone, and one that the clock skips.

    Raises
    ------
    ValueError
        The time is naive, or does not exist on the day the clock goes forward.
    """
    if when.tzinfo is UTC:
        return when
    if when.utcoffset() is None:
        raise ValueError(f"{when:%Y-%m-%d %H:%M} has no time zone; give the yard's own zone.")
    moment = when.astimezone(UTC)
    if moment.astimezone(when.tzinfo).replace(tzinfo=None) != when.replace(tzinfo=None):
        raise ValueError(
            f"{when:%Y-%m-%d %H:%M} does not exist: the clock goes forward over it. "
            "Give the time an hour later or earlier, whichever is meant."
        )
    return moment


def hours(when: datetime) -> float:
    """Hours since 1970-01-01 00:00 UTC."""
    return (utc(when) - EPOCH) / timedelta(hours=1)


def moment(hour: float) -> datetime:
    """The UTC time of `hours`, to the microsecond."""
    return EPOCH + timedelta(hours=float(hour))


class Turn(StrEnum):
    """High or low water."""

    HW = "HW"
    LW = "LW"


@dataclass(frozen=True, slots=True)
class Extreme:
    """One high or low water: when [aware, kept in UTC] and how high above the datum [m]."""

    at: datetime
    level_m: float
    turn: Turn

    def __post_init__(self) -> None:
        if not isfinite(self.level_m):
            raise ValueError(f"the height is {self.level_m}; give metres above the datum.")
        object.__setattr__(self, "at", utc(self.at))


@dataclass(frozen=True, slots=True, order=True)
class Interval:
    """From a start to a later end, both kept in UTC."""

    start: datetime
    end: datetime

    def __post_init__(self) -> None:
        object.__setattr__(self, "start", utc(self.start))
        object.__setattr__(self, "end", utc(self.end))
        if self.start >= self.end:
            raise ValueError(f"the end, {self.end:%Y-%m-%d %H:%M} UTC, is not after the start.")

    @property
    def length_min(self) -> float:
        """Minutes that really pass, also over a change of the clock."""
        return (self.end - self.start) / MINUTE


def whole_minutes(windows: Iterable[Interval]) -> tuple[Interval, ...]:
    """The same windows rounded inwards to whole minutes; one that holds no minute is left out."""
    rounded = (
        (EPOCH - (EPOCH - w.start) // MINUTE * MINUTE, EPOCH + (w.end - EPOCH) // MINUTE * MINUTE)
        for w in windows
    )
    return tuple(Interval(start, end) for start, end in rounded if start < end)


class Water(Protocol):
    """The water at one place, however it is known."""

    @property
    def datum(self) -> str:
        """What heights stand above: "MLLW", "chart datum"."""
        ...

    @property
    def epoch(self) -> str | None:
        """The years or edition that datum is reckoned from; None if that is not known."""
        ...

    @property
    def datums_m(self) -> Mapping[str, float]:
        """The place's datums above one common zero, all of `epoch`; empty if only `datum` is known."""
        ...

    @property
    def span(self) -> Interval:
        """The time this water can answer for."""
        ...

    @property
    def source(self) -> str:
        """Where the heights come from, in a sentence for the page."""
        ...

    @property
    def less_sure(self) -> str:
        """Why a window may begin or end at another time, in a sentence; empty if it is exact."""
        ...

    def level_m(self, times: Sequence[datetime]) -> Floats:
        """Height of the water at each time. [m] Shape (times,)."""
        ...

    def extremes(self, start: datetime, end: datetime) -> tuple[Extreme, ...]:
        """High and low waters with start <= at < end, in order."""
        ...

    def windows(self, start: datetime, end: datetime, level_m: float) -> tuple[Interval, ...]:
        """When the water stands at `level_m` or higher, cut to the time asked for, in order."""
        ...


def asked_hours(span: Interval, start: datetime, end: datetime) -> tuple[float, float]:
    """Both ends in `hours`, after making sure that they are in order and within what is known.

    Raises
    ------
    ValueError
        The end is not after the start, or a part of the time lies outside `span`.
    """
    asked = Interval(start, end)
    if asked.start < span.start or asked.end > span.end:
        raise ValueError(
            f"{asked.start:%Y-%m-%d %H:%M} to {asked.end:%Y-%m-%d %H:%M} UTC is asked, but this "
            f"water is known from {span.start:%Y-%m-%d %H:%M} to {span.end:%Y-%m-%d %H:%M} UTC; "
            "ask within that, or type the printed high and low waters of that time."
        )
    return hours(asked.start), hours(asked.end)


def asked_times(span: Interval, times: Sequence[datetime]) -> Floats:
    """All times in `hours`, after making sure that each is within what is known."""
    asked = [utc(when) for when in times]
    for when in asked:
        if not span.start <= when <= span.end:
            raise ValueError(
                f"{when:%Y-%m-%d %H:%M} UTC is asked, but this water is known from "
                f"{span.start:%Y-%m-%d} to {span.end:%Y-%m-%d}; ask within that, or type the "
                "printed high and low waters of that time."
            )
    import numpy as np  # takes long to load: only for who asks for heights

    return np.array([(when - EPOCH).total_seconds() / 3600 for when in asked], dtype=np.float64)


def intervals(edges_h: Floats) -> tuple[Interval, ...]:
    """Pairs of hours, shape (windows, 2), as intervals; what touches is joined, what is empty goes."""
    joined: list[tuple[datetime, datetime]] = []
    for start, end in ((moment(a), moment(b)) for a, b in edges_h):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], end)
        else:
            joined.append((start, end))
    return tuple(Interval(start, end) for start, end in joined if start < end)


def wind_decides(water: Water, start: datetime, end: datetime) -> bool:
    """Whether the tide is so small that the wind decides, and a gauge reading is needed.

    Parameters
    ----------
    water : Water
        The water at the sill, or near it.
    start, end : datetime
        The days in question, aware; at least one tide long.

    Returns
    -------
    bool
        True if neighbouring high and low waters differ on average by less than
        ``refdata/water.toml``, row ``wind_decides_below``.

    Raises
    ------
    ValueError
        Fewer than two high and low waters between start and end.
    """
    heights = [turn.level_m for turn in water.extremes(start, end)]
    if len(heights) < 2:
        raise ValueError("no whole tide lies between start and end; ask about a few days.")
    steps = [abs(after - before) for before, after in pairwise(heights)]
    return sum(steps) / len(steps) < table("water")["wind_decides_below"].value
