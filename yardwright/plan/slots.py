"""A person's working time as a line of half hours: nights and breaks take no room on it.

What is free is one long whole number, a bit a half hour, so that a free stretch is found by a
few shifts, however long the season is.
"""

from bisect import bisect_left, bisect_right, insort
from copy import copy
from dataclasses import dataclass, field
from typing import NamedTuple

from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import EVER
from yardwright.plan.problem import Clock, Job, Person

SLOT_MIN = 30


@dataclass(slots=True)
class HalfHours:
    """The half hours of one clock, and which of them are free.

    ``cut`` are those after which no job goes on: in the rest that follows there is another.
    """

    clock: Clock
    begins: list[Minute] = field(init=False)
    ends: list[Minute] = field(init=False)
    free: int = field(init=False)
    cut: int = 0

    def __post_init__(self) -> None:
        self.begins = [
            minute
            for start, end in self.clock.opens
            for minute in range(start, end - SLOT_MIN + 1, SLOT_MIN)
        ]
        self.ends = [minute + SLOT_MIN for minute in self.begins]
        self.free = (1 << len(self.begins)) - 1

    def first(self, count: int, ready: Minute, until: float = EVER) -> int:
        """Where so many free half hours begin, not before ``ready``.

        -1: nowhere, or it is plain that they can't be over before ``until``.
        """
        at = bisect_left(self.begins, ready)
        last = at + count - 1
        if last >= len(self.ends) or self.ends[last] >= until:
            return -1
        runs = self._runs(count, at)
        return at + (runs & -runs).bit_length() - 1 if runs else -1

    def last(self, count: int, until: Minute) -> int:
        """Where so many free half hours begin that are over by ``until``, the last; -1: nowhere."""
        low = bisect_right(self.ends, until) - count
        return (self._runs(count, 0) & ((1 << (low + 1)) - 1)).bit_length() - 1 if low >= 0 else -1

    def _runs(self, count: int, at: int) -> int:
        """From which half hours on so many are free, those before one left out; a bit each."""
        runs = self.free >> (at + count - 1)
        if count > 1:
            more, have = (self.free & ~self.cut) >> at, 1
            while have < count - 1:
                step = min(have, count - 1 - have)
                more &= more >> step
                have += step
            runs &= more
        return runs

    def span(self, at: int, minutes: int) -> Interval:
        """From the first minute of work to the one after the last."""
        start = self.begins[at]
        worked = self.clock.worked_by(start)
        return start, self.clock.minute_of(worked + minutes - 1) + 1

    def touched(self, span: Interval) -> int:
        """The half hours that a span touches."""
        low, high = bisect_right(self.ends, span[0]), bisect_left(self.begins, span[1])
        return ((1 << (high - low)) - 1) << low


class Found(NamedTuple):
    """Where a job fits: when its last half hour is over, and its first one on a line."""

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
        self.booked: list[tuple[Minute, Minute, bool]] = []  # and whether they watch
        self.longest_min = 0  # of all that was ever booked

    def first(
        self, count: int, ready: Minute, *, overtime: bool, until: float = EVER
    ) -> Found | None:
        """Where so many half hours fit, in overtime only where that ends sooner.

        None: nowhere, or it is plain that they can't be over before ``until``.
        """
        at = self.plain.first(count, ready, until)
        found = Found(self.plain.ends[at + count - 1], self.plain, at) if at >= 0 else None
        if overtime and self.long is not self.plain:
            sooner = min(until, found.over) if found else until
            at = self.long.first(count, ready, sooner)
            if at >= 0 and self.long.ends[at + count - 1] < sooner:
                found = Found(self.long.ends[at + count - 1], self.long, at)
        return found

    def job(self, found: Found, minutes: int) -> Job:
        """The job that was found room for."""
        start, end = found.line.span(found.at, minutes)
        if found.line is self.plain:
            return Job(self.person.id, start, end)
        plain = self.person.on.plain
        past = plain.worked_by(end) - plain.worked_by(start) < minutes
        return Job(self.person.id, start, end, overtime=past)

    def take(self, span: Interval, *, watching: bool = False) -> None:
        """Book a job of theirs, or one they watch: then they have none of their own meanwhile."""
        insort(self.booked, (*span, watching))
        self.longest_min = max(self.longest_min, span[1] - span[0])
        self._touch(span, watching=watching)
        if self.long is not self.plain:
            self._cut(span)

    def _touch(self, span: Interval, *, watching: bool) -> None:
        touched = self.long.touched(span)
        self.long.free &= ~touched
        if not watching:
            self.own |= touched
        if self.long is not self.plain:
            self.plain.free &= ~self.plain.touched(span)

    def give_back(self, span: Interval, *, watching: bool = False) -> None:
        """A job of theirs, or one they watched, is not placed any more."""
        del self.booked[self.booked.index((*span, watching), bisect_left(self.booked, span))]
        touched = self.long.touched(span)
        self.long.free |= touched
        self.own &= ~touched
        if self.long is not self.plain:
            self.plain.free |= self.plain.touched(span)
        low, high = span[0] - SLOT_MIN, span[1] + SLOT_MIN  # others may touch the same half hour
        near = bisect_left(self.booked, (low - self.longest_min,))
        for start, end, watches in self.booked[near : bisect_left(self.booked, (high,))]:
            if low < end:
                self._touch((start, end), watching=watches)
        if self.long is not self.plain:
            self._cut(span)

    def _cut(self, span: Interval) -> None:
        """Whether a job in their hours may go on the next day, past this evening."""
        low, high = bisect_right(self.plain.ends, span[0]), bisect_left(self.plain.begins, span[1])
        if low == high > 0:
            before = 1 << (low - 1)
            nights = self.plain.begins[low] if low < len(self.plain.begins) else EVER
            evening = self.long.touched((self.plain.ends[low - 1], nights))
            idle = self.long.free & evening == evening
            self.plain.cut = self.plain.cut & ~before if idle else self.plain.cut | before

    def copy(self) -> "Hands":
        """Another, taken alike."""
        other = copy(self)
        other.plain = copy(self.plain)
        other.long = copy(self.long) if self.long is not self.plain else other.plain
        other.booked = list(self.booked)
        return other

    def is_free(self, span: Interval) -> bool:
        """Whether they neither work nor watch in a span."""
        return not any(start < span[1] and span[0] < end for start, end, _ in self.booked)

    def has_no_job(self, span: Interval) -> bool:
        """Whether no job of their own touches a span."""
        return not self.own & self.long.touched(span)
