"""Stretches of time and their places on a strip of water."""

from dataclasses import dataclass
from datetime import datetime, timedelta

from yardwright.papers.drawing import by_offset, day_name

HOUR = timedelta(hours=1)
SIZE, SMALL = 15.0, 13.0
EDGE = 24.0
CURVE_HEIGHT = 90.0
BAR, LINE = 22.0, 19.0


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time, from before to after."""

    start: datetime
    end: datetime

    def __post_init__(self) -> None:
        object.__setattr__(self, "start", by_offset(self.start))
        object.__setattr__(self, "end", by_offset(self.end))
        if not self.start < self.end:
            raise ValueError(f"{self.start} is not before {self.end}; give the earlier time first.")

    def __str__(self) -> str:
        return f"{self.start:%H:%M}–{self.end:%H:%M}"

    @property
    def long(self) -> bool:
        """More than a day and a half: times in it then need their day."""
        return self.end - self.start > 36 * HOUR

    def within(self, other: "Span") -> "Span | None":
        """The part of it that lies in another, if any."""
        start, end = max(self.start, other.start), min(self.end, other.end)
        if (start, end) == (self.start, self.end):
            return self
        return Span(start, end) if start < end else None


@dataclass(frozen=True, slots=True)
class Scale:
    """From time and height to places on the drawing."""

    view: Span
    width: float
    low_m: float
    high_m: float
    top: float

    def x(self, at: datetime) -> float:
        """Place of a time."""
        share = (at - self.view.start) / (self.view.end - self.view.start)
        return EDGE + share * (self.width - 2 * EDGE)

    def y(self, height_m: float) -> float:
        """Place of a height."""
        share = (self.high_m - height_m) / ((self.high_m - self.low_m) or 1.0)
        return self.top + share * CURVE_HEIGHT

    @property
    def long(self) -> bool:
        """More than a day and a half: times then need their day."""
        return self.view.long

    def says(self, span: Span) -> str:
        """The span in words."""
        return f"{day_name(span.start)} {span}" if self.long else str(span)

    def seen(self, span: Span) -> Span | None:
        """The part of a span that is on the drawing."""
        return span.within(self.view)

    def box(self, span: Span, top: float, height: float) -> str:
        """Path of the rectangle that a span takes."""
        left, right = self.x(span.start), self.x(span.end)
        return f"M{left:.1f} {top:.1f}H{right:.1f}V{top + height:.1f}H{left:.1f}z"
