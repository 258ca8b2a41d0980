"""A person's working time as a line of half hours: nights and breaks take no room on it.

What is free is one long whole number, a bit a half hour, so that a free stretch is found by a
few shifts, however long the season is.
"""

from bisect import bisect_left
from dataclasses import dataclass, field
from typing import NamedTuple

from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import EVER
from yardwright.plan.problem import Clock, Job, Person

SLOT_MIN = 30


@dataclass(slots=True)
class HalfHours:
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

    def first(self, count: int, ready: Minute) -> int:
        """Where so many free half hours begin, not before ``ready``; -1: nowhere."""
        at = bisect_left(self.begins, ready)
        runs, have = self.free >> at, 1
        while have < count:
            more = min(have, count - have)
            runs &= runs >> more
            have += more
        return at + (runs & -runs).bit_length() - 1 if runs else -1

    def span(self, at: int, minutes: int) -> Interval:
        """From the first minute of work to the one after the last."""
        start = self.begins[at]
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


class Found(NamedTuple):
    """Where a job fits: its first half hour on a line, and when its last one is over."""

    over: Minute
    line: HalfHours
    at: int


class Hands:
    """One person while a plan grows: their half hours without and with overtime."""

    def __init__(self, person: Person) -> None:
        self.person = person
        self.plain = HalfHours(person.on.plain)
        self.long = HalfHours(person.on.long) if person.overtime else self.plain
        self.own = 0  # half hours of the long line with a job of their own
        self.past_hours = False  # whether any overtime is booked

    def first(self, count: int, ready: Minute, *, overtime: bool) -> Found | None:
        """Where so many half hours fit, in overtime only where that ends sooner."""
        at = self._in_hours(count, ready) if self.past_hours else self.plain.first(count, ready)
        over = EVER if at < 0 else self.plain.begins[at + count - 1] + SLOT_MIN
        if overtime and self.long is not self.plain:
            longer = self.long.first(count, ready)
            if longer >= 0 and self.long.begins[longer + count - 1] + SLOT_MIN < over:
                return Found(self.long.begins[longer + count - 1] + SLOT_MIN, self.long, longer)
        return None if at < 0 else Found(over, self.plain, at)

    def _in_hours(self, count: int, ready: Minute) -> int:
        """Where a job fits that does not reach over an evening in which overtime is booked."""
        while (at := self.plain.first(count, ready)) >= 0:
            span = self.plain.begins[at], self.plain.begins[at + count - 1] + SLOT_MIN
            if span[1] - span[0] == count * SLOT_MIN:
                return at
            booked = ~self.long.free & self.long.half_hours(span)
            if not booked:
                return at
            ready = self.long.begins[booked.bit_length() - 1] + SLOT_MIN
        return -1

    def job(self, found: Found, minutes: int) -> Job:
        """The job that was found room for."""
        start, end = found.line.span(found.at, minutes)
        plain = self.person.on.plain
        past = plain.worked_by(end) - plain.worked_by(start) < minutes
        return Job(self.person.id, start, end, overtime=past)

    def take(self, span: Interval, *, watching: bool = False) -> None:
        """Book a job of theirs, or one they watch: then they have none of their own meanwhile."""
        self.plain.take(span)
        if self.long is not self.plain:
            self.long.take(span)
            self.past_hours = True
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
