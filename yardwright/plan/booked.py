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
Which = NDArray[np.intp]  # some of the seasons, or of a crew in its seasons, by number

STEP_MIN = 30  # a person's work is looked up in steps of so many minutes
GAPS = 4  # so many stretches in which somebody waited are remembered, to be filled by other work


class Crew:
    """Everybody in every season: when they are there, and what they are taken by.

    Work is booked in each one's own minutes of work, absences left out, so that breaks, nights
    and sick days need no thought. Whoever is meant is named together with the season, by one
    number (``of``): so one question covers many people and many seasons. Tables have a row a day,
    so that neighbours in it are asked for together.
    """

    def __init__(
        self,
        clocks: Mapping[PersonId, Clock],
        midnights: Minutes,
        here: Mapping[PersonId, Yes],
        seasons: int,
    ) -> None:
        self.number = {key: number for number, key in enumerate(clocks)}
        self.seasons, self.size = seasons, len(clocks) * seasons
        days, end = len(midnights) - 1, int(midnights[-1])
        worked = np.zeros((len(clocks), end + 1), dtype=np.int64)
        present = np.zeros((days, len(clocks), seasons), dtype=np.bool_)
        for number, (key, clock) in enumerate(clocks.items()):
            worked[number] = _worked_by_minute(clock.opens, end)
            present[:, number] = here[key].T
        self.worked_by = worked.ravel()  # by each minute of the season
        self.worked_from = np.repeat(np.arange(len(clocks)) * (end + 1), seasons)  # their row in it
        at = [np.flatnonzero(np.diff(row)) for row in worked]
        self.minute_at = np.concatenate([*at, np.zeros(1, dtype=np.intp)])  # of each of their work
        before = np.cumsum([0, *map(len, at)])[:-1]
        self.minute_from = np.repeat(before, seasons)
        self.day_of = np.searchsorted(midnights, np.arange(end + 1), "right") - 1
        np.minimum(self.day_of, days - 1, out=self.day_of)
        by_day = worked[:, midnights]
        there = np.zeros((days + 1, len(clocks), seasons), dtype=np.int64)
        np.cumsum(present * np.diff(by_day).T[:, :, None], axis=0, out=there[1:])
        self.missed = (by_day.T[:, :, None] - there).ravel()
        self.there = there.ravel()
        self.most = self.there[-self.size :]
        self.day_at = self._day_at(there.reshape(days + 1, -1))
        self.free = np.zeros(self.size, dtype=np.int64)
        self.waited = np.zeros((2, GAPS, self.size), dtype=np.int64)  # from and to

    def of(self, person: PersonId) -> Which:
        """One of them in every season."""
        return np.arange(self.seasons) + self.number[person] * self.seasons

    def _day_at(self, there: Minutes) -> NDArray[np.int16]:
        """For each step of work the day on which it begins."""
        steps = int(self.most.max(initial=0)) // STEP_MIN + 2
        days = np.zeros((steps, self.size), dtype=np.int16)
        np.add.at(days, (-(-there[1:-1] // STEP_MIN), np.arange(self.size)), 1)
        return np.cumsum(days, axis=0, out=days).ravel()

    def place_of(self, minute: Minutes, whom: Which) -> Minutes:
        """How much they have worked by a minute."""
        inside = np.minimum(minute, len(self.day_of) - 1)
        day = self.day_of[inside] * self.size + whom
        worked = self.worked_by[self.worked_from[whom] + inside]
        place: Minutes = np.minimum(worked - self.missed[day], self.there[day + self.size])
        return place

    def minute_of(self, place: Minutes, whom: Which) -> Minutes:
        """When they have worked so much; ``EVER`` where the season has not so much."""
        never = place >= self.most[whom]
        place = np.where(never, 0, place)
        day = self.day_at[place // STEP_MIN * self.size + whom].astype(np.int64) * self.size + whom
        while (over := ~never & (self.there[day + self.size] <= place)).any():
            day = day + over * self.size  # a day ends inside the step
        worked = np.where(never, 0, place + self.missed[day])
        return np.where(never, EVER, self.minute_at[self.minute_from[whom] + worked])

    def room(self, minutes: Minutes, ready: Minutes, whom: Which) -> Minutes:
        """Where a job fits, not before ``ready``: in a stretch they waited, or after all else."""
        at = self.place_of(ready, whom)
        starts, ends = self.waited[:, :, whom]
        here = np.maximum(starts, at)
        waiting = np.min(np.where(here + minutes <= ends, here, EVER), axis=0)
        place: Minutes = np.minimum(waiting, np.maximum(self.free[whom], at))
        return place

    def ends(self, place: Minutes, minutes: Minutes, whom: Which) -> Minutes:
        """When a job that begins there is done."""
        last = self.minute_of(place + minutes - 1, whom)
        return np.where(last >= EVER, EVER, last + 1)

    def take(self, place: Minutes, minutes: Minutes, whom: Which) -> None:
        """Book a job."""
        free, (starts, ends) = self.free[whom], self.waited[:, :, whom]
        after, each, rest = place >= free, np.arange(len(whom)), place + minutes
        shortest = np.argmin(ends - starts, axis=0)
        longer = np.flatnonzero(place - free > (ends - starts)[shortest, each])
        if not after.all():
            filled = ~after & (place >= starts) & (place < ends)
            keeps = filled & (place - starts > ends - rest)
            ends, starts = np.where(keeps, place, ends), np.where(filled & ~keeps, rest, starts)
        starts[shortest[longer], longer] = free[longer]
        ends[shortest[longer], longer] = place[longer]
        self.waited[0][:, whom], self.waited[1][:, whom] = starts, ends
        self.free[whom] = np.where(after, rest, free)

    def watch(self, start: Minutes, end: Minutes, whom: Which) -> None:
        """Book somebody else's job that they watch, from when to when."""
        place, rest = self.place_of(start, whom), self.place_of(end, whom)
        self.take(place, rest - place, whom)
        self.free[whom] = np.maximum(self.free[whom], rest)


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

    def busy_until(self, start: Minutes, end: Minutes, some: Which) -> Minutes:
        """Where all are taken in some seasons, when the first of them is free; else 0."""
        sure = start < EVER
        low, high = (start[sure].min(), end[sure].max()) if sure.any() else (0, 0)
        near = np.flatnonzero(
            (self.soonest[: self.taken] < high) & (self.latest[: self.taken] > low)
        )
        if len(near) < self.count:
            return np.zeros_like(start)
        begins, stops = self.begins[near[:, None], some], self.stops[near[:, None], some]
        clash = (begins < end) & (stops > start)
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


def then(until: Minutes, before: Minutes) -> Minutes:
    """When a lift that is busy until then can have her at the water."""
    return np.where(until > 0, until + before, 0)
