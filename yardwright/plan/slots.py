"""A person's working time as a line of half hours: nights and breaks take no room on it.

What is free is one long whole number, a bit a half hour, so that a free stretch is found by a
few shifts, however long the season is.
"""

from bisect import bisect_left
from dataclasses import dataclass, field
from typing import NamedTuple

from yardwright.plan.days import Interval, Minute
from yardwright.plan.problem import Clock, Person

SLOT_MIN = 30


class Found(NamedTuple):
    """Where a job fits: its first minute, the one after its last, and whether in overtime."""

    start: Minute
    end: Minute
    overtime: bool


@dataclass(slots=True)
class Line:
    """The half hours of one clock, and which of them are free."""

    clock: Clock
    begins: list[Minute] = field(init=False)
    free: int = field(init=False)

    def __post_init__(self) -> None:
        self.begins = [
            minute
            for start, end in self.clock.opens
            for minute in range(start, end - SLOT_MIN + 1, SLOT_MIN)
        ]
        self.free = (1 << len(self.begins)) - 1

    def first(self, minutes: int, ready: Minute) -> Interval | None:
        """The first free stretch for so many minutes of work, not before ``ready``."""
        count = -(-minutes // SLOT_MIN)
        at = bisect_left(self.begins, ready)
        runs, have = self.free >> at, 1
        while have < count and runs:
            more = min(have, count - have)
            runs &= runs >> more
            have += more
        if not runs:
            return None
        start = self.begins[at + (runs & -runs).bit_length() - 1]
        worked = self.clock.worked_by(start)
        return start, self.clock.minute_of(worked + minutes - 1) + 1

    def take(self, span: Interval) -> None:
        """Nothing else goes on in a span, rests in it included."""
        self.free &= ~self.half_hours(span)

    def give_back(self, span: Interval) -> None:
        """The span is free again; nothing else was booked in it."""
        self.free |= self.half_hours(span)

    def half_hours(self, span: Interval) -> int:
        """The half hours that a span touches."""
        low, high = bisect_left(self.begins, span[0]), bisect_left(self.begins, span[1])
        if low and self.begins[low - 1] + SLOT_MIN > span[0]:
            low -= 1
        return ((1 << (high - low)) - 1) << low


class Hands:
    """One person while a plan grows: their half hours without and with overtime."""

    def __init__(self, person: Person) -> None:
        self.person = person
        self.plain = Line(person.on.plain)
        self.long = Line(person.on.long) if person.overtime else self.plain
        self.own = 0  # half hours of the long line with a job of their own

    def first(self, minutes: int, ready: Minute, *, overtime: bool) -> Found | None:
        """Where a job fits first, in overtime only where that ends it sooner."""
        plain = self.plain.first(minutes, ready)
        if overtime and self.long is not self.plain:
            longer = self.long.first(minutes, ready)
            if longer and (plain is None or longer[1] < plain[1]):
                return Found(*longer, overtime=self._past_hours(longer, minutes))
        return Found(*plain, overtime=False) if plain else None

    def _past_hours(self, span: Interval, minutes: int) -> bool:
        clock = self.person.on.plain
        return clock.worked_by(span[1]) - clock.worked_by(span[0]) < minutes

    def take(self, span: Interval, *, watching: bool = False) -> None:
        """Book a job of theirs, or one they watch: then they have none of their own meanwhile."""
        self.plain.take(span)
        if self.long is not self.plain:
            self.long.take(span)
        if not watching:
            self.own |= self.long.half_hours(span)

    def give_back(self, span: Interval) -> None:
        """A job of theirs, or one they watched alone, is not placed any more."""
        self.plain.give_back(span)
        if self.long is not self.plain:
            self.long.give_back(span)
        self.own &= ~self.long.half_hours(span)

    def has_no_job(self, span: Interval) -> bool:
        """Whether no job of their own touches a span."""
        return not self.own & self.long.half_hours(span)
