"""What is booked in many seasons at once: people's hours, lifts, who runs them, places for looks.

Every quantity is an array with one number a season, or one for each of some seasons.
"""

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from yardwright.plan.days import Interval
from yardwright.plan.hours import EVER, Stretches, both, either
from yardwright.plan.problem import Clock, Lift, PersonId, Problem

Minutes = NDArray[np.int64]  # one a season
Yes = NDArray[np.bool_]
Which = NDArray[np.intp]  # some of the seasons, by number

STEP_MIN = 30  # a person's work is looked up in steps of so many minutes
GAPS = 4  # so many stretches in which somebody waited are remembered, to be filled by other work


class Hands:
    """One person in every season: when they are there, and what they are taken by.

    Work is booked in their own minutes of work, absences left out, so that breaks, nights and
    sick days need no thought. Where a minute or a place is asked for in some seasons only, these
    are named, and cost no more than they must.
    """

    def __init__(self, clock: Clock, midnights: Minutes, here: Yes) -> None:
        seasons, days = here.shape
        self.nights = days + 1
        worked = _worked_by_minute(clock.opens, int(midnights[-1]))
        self.worked_by = worked  # by each minute of the season
        self.minute_at = np.flatnonzero(np.diff(worked))  # of each minute of their work
        self.day_of = np.searchsorted(midnights, np.arange(len(worked)), "right") - 1
        np.minimum(self.day_of, days - 1, out=self.day_of)
        by_day = worked[midnights]
        there = np.zeros((seasons, self.nights), dtype=np.int64)
        np.cumsum(here * np.diff(by_day), axis=1, out=there[:, 1:])
        self.every = np.arange(seasons)
        self.day_at = self._day_at(there, int(by_day[-1]))
        self.steps = self.day_at.size // seasons
        self.there = there.ravel()
        self.missed = (by_day - there).ravel()
        self.most = there[:, -1]
        self.free = np.zeros(seasons, dtype=np.int64)
        self.waited = np.zeros((2, GAPS, seasons), dtype=np.int64)  # from and to

    def _day_at(self, there: Minutes, worked: int) -> NDArray[np.int16]:
        """For each step of work in each season the day on which it begins."""
        steps = np.arange(0, worked + STEP_MIN, STEP_MIN)
        apart = self.every[:, None] * (int(steps[-1]) + worked + 2)
        found = np.searchsorted((there + apart).ravel(), (steps + apart).ravel(), "right")
        days = found.reshape(len(self.every), -1) - 1 - self.every[:, None] * self.nights
        inside: NDArray[np.int16] = np.minimum(days, self.nights - 2).astype(np.int16)
        return inside.ravel()

    def place_of(self, minute: Minutes, some: Which) -> Minutes:
        """How much they have worked by a minute."""
        inside = np.minimum(minute, len(self.worked_by) - 1)
        day = some * self.nights + self.day_of[inside]
        place: Minutes = np.minimum(self.worked_by[inside] - self.missed[day], self.there[day + 1])
        return place

    def minute_of(self, place: Minutes, some: Which) -> Minutes:
        """When they have worked so much; ``EVER`` where the season has not so much."""
        never = place >= self.most[some]
        place = np.where(never, 0, place)
        day = some * self.nights + self.day_at[some * self.steps + place // STEP_MIN]
        while (over := ~never & (self.there[day + 1] <= place)).any():
            day = day + over  # a day ends inside the step
        worked = np.where(never, 0, place + self.missed[day])
        return np.where(never, EVER, self.minute_at[worked] if self.minute_at.size else EVER)

    def room(self, minutes: Minutes, ready: Minutes, some: Which) -> Minutes:
        """Where a job fits, not before ``ready``: in a stretch they waited, or after all else."""
        at = self.place_of(ready, some)
        place = np.maximum(self.free[some], at)
        for start, end in zip(*self.waited[:, :, some], strict=True):
            here = np.maximum(start, at)
            place = np.where((here + minutes <= end) & (here < place), here, place)
        return place

    def ends(self, place: Minutes, minutes: Minutes, some: Which) -> Minutes:
        """When a job that begins there is done."""
        last = self.minute_of(place + minutes - 1, some)
        return np.where(last >= EVER, EVER, last + 1)

    def take(self, place: Minutes, minutes: Minutes, some: Which) -> None:
        """Book a job in those seasons in which it is theirs."""
        free, (starts, ends) = self.free[some], self.waited[:, :, some]
        after, each = place >= free, np.arange(len(some))
        long = ends - starts
        shortest = np.argmin(long, axis=0)
        longer = np.flatnonzero(after & (place - free > long[shortest, each]))
        for start, end in zip(starts, ends, strict=True):
            filled = ~after & (place >= start) & (place < end)
            if filled.any():
                keeps = filled & (place - start > end - place - minutes)
                rest = filled & ~keeps
                end[keeps] = place[keeps]
                start[rest] = (place + minutes)[rest]
        starts[shortest[longer], longer] = free[longer]
        ends[shortest[longer], longer] = place[longer]
        self.waited[0][:, some], self.waited[1][:, some] = starts, ends
        self.free[some] = np.where(after, place + minutes, free)


def _worked_by_minute(opens: Sequence[Interval], end: int) -> Minutes:
    """How much is worked by each minute up to the end of the season."""
    works = np.zeros(end + 1, dtype=np.int64)
    for start, stop in opens:
        works[start + 1 : stop + 1] = 1
    return np.cumsum(works)


class Carried:
    """What can be taken by a few boats at once: lifts of a kind, places for looks.

    ``before`` are the stretches that boats took which went to the lift before, in every season.
    """

    def __init__(self, count: int, boats: int, seasons: int, before: Stretches = ()) -> None:
        self.count, self.taken = count, 0
        boats += len(before)
        self.begins = np.zeros((boats, seasons), dtype=np.int64)
        self.stops = np.zeros((boats, seasons), dtype=np.int64)
        self.soonest = np.zeros(boats, dtype=np.int64)
        self.latest = np.zeros(boats, dtype=np.int64)
        for start, end in before:
            self.take(np.full(seasons, start), np.full(seasons, end))

    def busy_until(self, start: Minutes, end: Minutes) -> Minutes:
        """Where all are taken, when the first of them is free; else 0."""
        sure = start < EVER
        low, high = (start[sure].min(), end[sure].max()) if sure.any() else (0, 0)
        near = np.flatnonzero(
            (self.soonest[: self.taken] < high) & (self.latest[: self.taken] > low)
        )
        if len(near) < self.count:
            return np.zeros_like(start)
        stops = self.stops[near]
        clash = (self.begins[near] < end) & (stops > start)
        first: Minutes = np.min(np.where(clash, stops, EVER), axis=0)
        return np.where(clash.sum(axis=0) >= self.count, first, 0)

    def take(self, start: Minutes, end: Minutes) -> None:
        """Book one."""
        self.begins[self.taken], self.stops[self.taken] = start, end
        self.soonest[self.taken], self.latest[self.taken] = start.min(), end.max()
        self.taken += 1


class Run:
    """Lifts of a kind that only some may run: who of them is there, day by day in every season.

    ``there`` has a sum of powers of two for each day, one for each of them; ``everybody`` is that
    of all. ``here`` says of each person on which days they are not away.
    """

    def __init__(self, lift: Lift, here: Mapping[PersonId, Yes]) -> None:
        self.lift = lift
        each = [here[key].astype(np.int64) << n for n, (key, _) in enumerate(lift.run_by)]
        self.there: Minutes = np.sum(each, axis=0)
        self.everybody = (1 << len(lift.run_by)) - 1
        self.known: dict[int, Problem] = {}

    def by(self, problem: Problem, some: int) -> Problem:
        """The same with only some of them to run it: it is open while one of these is in."""
        if some not in self.known:
            hours = (h for place, (_, h) in enumerate(self.lift.run_by) if some >> place & 1)
            there = either(span for one in hours for span in one)
            fewer = replace(self.lift, opens=both(self.lift.opens, there))
            lifts = tuple(fewer if one.id == fewer.id else one for one in problem.lifts)
            self.known[some] = replace(problem, lifts=lifts)
        return self.known[some]


def next_inside(stretches: Stretches, minute: Minutes) -> Minutes:
    """The first minute inside, not before; ``EVER`` where there is none."""
    begins = np.array([start for start, _ in stretches], dtype=np.int64)
    ends = np.array([end for _, end in stretches], dtype=np.int64)
    at = np.searchsorted(ends, minute, "right")
    inside = np.minimum(at, len(begins) - 1)
    return np.where(at == len(begins), EVER, np.maximum(minute, begins[inside]))


def then(until: Minutes, before: int | Minutes) -> Minutes:
    """When a lift that is busy until then can have her at the water."""
    return np.where(until > 0, until + before, 0)
