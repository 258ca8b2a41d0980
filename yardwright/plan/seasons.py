"""Many seasons at once, each lived through by the plan as the yard would.

All seasons of a block are simulated together: every quantity here is an array with one number a
season. A block's random numbers hang on the seed, the block and the name of what is drawn alone,
so that two plans of the same yard meet the same sick days and late kits, and so that any number
of processes or machines gives the same figures.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from yardwright.plan.alone import launch_begins
from yardwright.plan.booked import Carried, Crew, Minutes, Run, Which, Yes, next_inside, then
from yardwright.plan.chance import Uncertain
from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import EVER, Stretches, either, starts
from yardwright.plan.problem import (
    Boat,
    BoatId,
    Clock,
    Job,
    LiftId,
    Person,
    PersonId,
    Plan,
    Problem,
    Task,
    TaskId,
)

BLOCK = 1000  # seasons simulated together
TRIES = 6  # at a place for a job among the others on her
HANDED_ON_MIN = 1440  # work is handed to somebody else when it is done a day sooner by that
WAITS_MIN = 1440  # a boat in front that is not ready is moved aside when she holds up so long


@dataclass(frozen=True, slots=True)
class Asked:
    """What a block of seasons is simulated from, and whether one boat alone is asked about.

    ``first`` so many seasons of a block; of fewer the figures are the same.
    """

    problem: Problem
    plan: Plan
    uncertain: Uncertain
    seed: int
    only: BoatId | None = None
    first: int = BLOCK

    @property
    def boats(self) -> tuple[Boat, ...]:
        """Those asked about."""
        going = self.problem.going_in
        return going if self.only is None else (self.problem.boat[self.only],)


def block_of_seasons(asked: Asked, block: int) -> NDArray[np.int32]:
    """The days on which the boats are handed over in one block of seasons."""
    return Seasons(asked, block).lived()


class _Dice:
    """Random numbers of one block, each stream by the name of what it is for."""

    def __init__(self, seed: int, block: int) -> None:
        self.seed, self.block = seed, block

    def of(self, what: str, name: str) -> np.random.Generator:
        words = crc32(what.encode()), crc32(name.encode())
        return np.random.Generator(
            np.random.Philox(np.random.SeedSequence([self.seed, self.block, *words]))
        )


class Seasons:
    """A block of seasons while it is lived through."""

    def __init__(self, asked: Asked, block: int) -> None:
        self.problem, self.plan, self.uncertain = asked.problem, asked.plan, asked.uncertain
        self.asked = asked
        self.dice = _Dice(asked.seed, block)
        self.seasons, self.every = asked.first, np.arange(asked.first)
        self.midnights = np.array(self.problem.days.midnights, dtype=np.int64)
        self.done: dict[TaskId, tuple[Minutes, Minutes]] = {}  # each job's start and end
        self.by: dict[TaskId, Which] = {}  # who of the crew did it
        self.launched: dict[BoatId, Minutes] = {}
        self.gone: dict[BoatId, Minutes] = {}
        boats = len(self.plan.launches) + len(self.plan.asides)
        self.lifts = {
            lift.id: Carried(lift.count, boats, self.seasons, lift.taken)
            for lift in self.problem.lifts
        }
        looks = self.problem.looks
        self.looks = Carried(looks.at_once, boats, self.seasons, looks.taken) if looks else None
        self.here = {person.id: self._here(person) for person in self.problem.people}
        clocks = {person.id: self._clock(person) for person in self.problem.people}
        self.crew = Crew(clocks, self.midnights, self.here, self.seasons)
        self.wind = self._wind()
        self.run = {lift.id: Run(lift, self.here) for lift in self.problem.lifts if lift.run_by}

    def lived(self) -> NDArray[np.int32]:
        """Do what the plan says in its order, and see when each boat is handed over."""
        last = self._last()
        for when, happens in sorted(self._events(), key=lambda event: event[0]):
            if when <= last:
                happens()
        days = [self._day_handed_over(boat) for boat in self.asked.boats]
        return np.array(days, dtype=np.int32).reshape(len(days), self.seasons)

    def _last(self) -> tuple[Minute, int]:
        """After which nothing counts any more for those asked about."""
        if self.asked.only is None:
            return EVER, 0
        afloat = (self.plan.jobs[task.id].start for task in self.problem.afloat(self.asked.only))
        return max([(self.plan.launches[self.asked.only], 2), *((at, 3) for at in afloat)])

    def _events(self) -> Iterator[tuple[tuple[Minute, int], Callable[[], None]]]:
        """Jobs, moves aside and launches; at the same minute jobs afloat come last."""
        for task in self.problem.tasks:
            job = self.plan.jobs[task.id]
            yield (job.start, 3 if task.afloat else 0), partial(self._work, task, job)
        for key, start in self.plan.asides.items():
            yield (start, 1), partial(self._move_aside, self.problem.boat[key], start)
        for key, start in self.plan.launches.items():
            yield (start, 2), partial(self._launch, self.problem.boat[key])

    def _work(self, task: Task, planned: Job) -> None:
        minutes, ready = self._minutes(task), self._ready(task)
        whom, place, start, end = self._by_whom(task, planned, minutes, ready, self.every)
        some, hands = self.every, self.problem.boat[task.boat].hands
        for again in range(TRIES):
            full = self._full(task.boat, start[some], end[some], hands, some)
            some, full = some[full > 0], full[full > 0]
            if not some.size:
                break
            if again == TRIES - 2:  # then after all the others on her
                full = self._all_over(task.boat)[some]
            ready[some] = np.maximum(ready[some], full)
            whom[some], place[some], start[some], end[some] = self._by_whom(
                task, planned, minutes[some], ready[some], some
            )
        some = np.flatnonzero(end < EVER)
        self.crew.take(place[some], minutes[some], whom[some])
        if planned.watcher is not None:
            self.crew.watch(start[some], end[some], self.crew.of(planned.watcher)[some])
        self.by[task.id], self.done[task.id] = whom, (start, end)

    def _by_whom(
        self, task: Task, planned: Job, minutes: Minutes, ready: Minutes, some: Which
    ) -> tuple[Which, Minutes, Minutes, Minutes]:
        """In some seasons: who does the job, where among their work it fits, from when to when."""
        crew, whom = self.crew, self.crew.of(planned.person)[some]
        if planned.watcher is not None:
            watcher = crew.of(planned.watcher)[some]
            ready = np.maximum(ready, crew.minute_of(crew.room(minutes, ready, watcher), watcher))
        place = self._room(task, minutes, ready, whom, some)
        end = crew.ends(place, minutes, whom)
        late = np.flatnonzero(end > planned.end + HANDED_ON_MIN)
        others = self._others(task, planned) if planned.watcher is None and late.size else []
        if others:
            those = np.array([crew.of(key)[some[late]] for key in others])
            there = self._room(task, minutes[late], ready[late], those, some[late])
            done = crew.ends(there, minutes[late], those)
            for who, at, over in zip(those, there, done, strict=True):
                sooner = over + HANDED_ON_MIN <= end[late]
                now = late[sooner]
                whom[now], place[now], end[now] = who[sooner], at[sooner], over[sooner]
        return whom, place, crew.minute_of(place, whom), end

    def _others(self, task: Task, planned: Job) -> list[PersonId]:
        """Who else has the trade."""
        return [
            person.id
            for person in self.problem.people
            if person.id != planned.person and task.trade in person.trades
        ]

    def _room(
        self, task: Task, minutes: Minutes, ready: Minutes, whom: Which, some: Which
    ) -> Minutes:
        """Where among their work the job fits; after all of it for whom it is not to be."""
        place = self.crew.room(minutes, ready, whom)
        if task.id in self.problem.apart:
            place = np.where(self._had_a_hand(task, whom, some), self.crew.most[whom], place)
        return place

    def _had_a_hand(self, task: Task, whom: Which, some: Which) -> Yes:
        """Where they worked, or watched, and this is another's look, or theirs at that."""
        had = np.zeros(whom.shape, dtype=np.bool_)
        for other in self.problem.apart[task.id]:
            if other in self.by:
                had |= self.by[other][some] == whom
                watcher = self.plan.jobs[other].watcher
                if watcher is not None:
                    had |= self.crew.of(watcher)[some] == whom
        return had

    def _full(self, boat: BoatId, start: Minutes, end: Minutes, hands: int, some: Which) -> Minutes:
        """Until when there are hands enough on a boat already, meanwhile; 0 where there are not."""
        until = np.zeros(len(some), dtype=np.int64)
        others = [self.done[one.id] for one in self.problem.jobs[boat] if one.id in self.done]
        if len(others) < hands:
            return until
        begins, stops = (np.array([at[some] for at in edge]) for edge in zip(*others, strict=True))
        busy = np.flatnonzero(np.sum((begins < end) & (stops > start), axis=0) >= hands)
        if not busy.size:
            return until
        begins, stops, start, end = begins[:, busy], stops[:, busy], start[busy], end[busy]
        for point in (start, *begins):
            on_her = (begins <= point) & (point < stops)
            crowded = (point >= start) & (point < end) & (np.sum(on_her, axis=0) >= hands)
            if crowded.any():
                first = np.min(np.where(on_her, stops, EVER), axis=0)
                until[busy] = np.maximum(until[busy], np.where(crowded, first, 0))
        return until

    def _all_over(self, boat: BoatId) -> Minutes:
        """When all that is done on a boat by now is over."""
        ends = [self.done[one.id][1] for one in self.problem.jobs[boat] if one.id in self.done]
        over: Minutes = np.max(ends, axis=0)
        return over

    def _ready(self, task: Task) -> Minutes:
        """When a job can begin."""
        ready = self._comes(task)
        for before in task.after:
            ready = np.maximum(ready, self.done[before][1])
        if task.afloat:
            boat = self.problem.boat[task.boat]
            ready = np.maximum(ready, self.launched[boat.id] + boat.launch_min)
        return ready

    def _comes(self, task: Task) -> Minutes:
        arrival = self.uncertain.arrivals.get(task.id)
        if arrival is None:
            return np.full(self.seasons, task.not_before, dtype=np.int64)
        dice = self.dice.of("arrives", arrival.of or task.id)
        drawn = np.searchsorted(np.cumsum(arrival.odds), dice.random(self.seasons), "right")
        comes: Minutes = np.array(arrival.minutes, dtype=np.int64)
        return comes[np.minimum(drawn, len(comes) - 1)]

    def _minutes(self, task: Task) -> Minutes:
        """How long a job takes, with what is found on the way."""
        minutes = np.full(self.seasons, float(task.minutes))
        if spread := self.uncertain.spreads.get(task.id):
            drawn = self.dice.of("takes", task.id).standard_normal(self.seasons)
            minutes *= np.exp(spread.log_mean + spread.log_sd * drawn)
        if found := self.uncertain.found.get(task.id):
            minutes += found.minutes * (
                self.dice.of("finds", task.id).random(self.seasons) < found.chance
            )
        whole: Minutes = np.maximum(1, np.rint(minutes)).astype(np.int64)
        return whole

    def _move_aside(self, boat: Boat, planned: Minute) -> None:
        """Not before those in front are gone, nor while somebody is on her."""
        minutes = boat.aside_min or 0
        held_up, moves = self._cleared(boat, np.full(self.seasons, planned, dtype=np.int64))
        ready = np.maximum(planned, held_up)

        def begins_by(problem: Problem) -> Stretches:
            return starts(problem.lift_opens(boat), minutes)

        opens = begins_by(self.problem)
        for _ in range(TRIES):
            begins = next_inside(opens, ready) if opens else ready
            busy = self._full(boat.id, begins, begins + minutes, 1, self.every)
            if not busy.any():
                break
            ready = np.maximum(ready, busy)
        start = self._on_the_lift(boat, begins_by, ready, before=moves, after=minutes)
        self.gone[boat.id] = start + minutes

    def _launch(self, boat: Boat) -> None:
        ready = np.zeros(self.seasons, dtype=np.int64)
        for task in self.problem.ashore(boat.id):
            ready = np.maximum(ready, self.done[task.id][1] + max(task.dry_min, boat.carry_min))
        held_up, moves = self._cleared(boat, ready)
        start = self._on_the_lift(
            boat,
            lambda problem: launch_begins(problem, boat),
            np.maximum(ready, held_up + boat.carry_min),
            before=boat.carry_min + moves,
            after=boat.launch_min,
        )
        self.launched[boat.id] = start
        self.gone.setdefault(boat.id, start + boat.launch_min)

    def _cleared(self, boat: Boat, ready: Minutes) -> tuple[Minutes, Minutes]:
        """When those in front are out of her way, and minutes of moving them aside for that."""
        clear, moves = (
            np.zeros(self.seasons, dtype=np.int64),
            np.zeros(self.seasons, dtype=np.int64),
        )
        if boat.id in self.gone:  # moved aside before: nobody is in front of her now
            return self.gone[boat.id], moves
        for front in self.problem.in_front[boat.id]:
            gone = self.gone.get(front.id, np.full(self.seasons, EVER, dtype=np.int64))
            moved = gone > ready + WAITS_MIN
            if front.aside_min is not None and moved.any():
                moves = moves + moved * front.aside_min
                gone = np.where(moved, np.maximum(ready + WAITS_MIN, front.ground_from), gone)
            clear = np.maximum(clear, gone)
        return clear, moves

    def _on_the_lift(
        self,
        boat: Boat,
        begins_by: Callable[[Problem], Stretches],
        ready: Minutes,
        *,
        before: Minutes,
        after: int,
    ) -> Minutes:
        """The first minute with the lift free and run, a place for looks and no wind, booked."""
        opens = begins_by(self.problem)
        if not opens:
            return np.full(self.seasons, EVER, dtype=np.int64)
        lift, looks = self.lifts[boat.lift], self.looks if boat.looks_min else None
        start, some = next_inside(opens, ready), self.every
        while some.size:
            now, lead = start[some], before[some]
            later = self._when_run(boat.lift, begins_by, self._after_wind(now, some), some)
            busy = lift.busy_until(now - lead, now + after, some)
            later = np.maximum(later, then(busy, lead))
            if looks:
                looked = now + after, now + after + boat.looks_min
                later = np.maximum(later, looks.busy_until(*looked, some) - after)
            held = (later > now) & (now < EVER)
            some = some[held]
            start[some] = next_inside(opens, later[held])
        lift.take(start - before, start + after)
        if looks:
            looks.take(start + after, start + after + boat.looks_min)
        return start

    def _after_wind(self, start: Minutes, some: Which) -> Minutes:
        """The midnight after, on a day of too much wind for the lift; else the same minute."""
        day, inside = self._days(start)
        windy = (day <= inside) & self.wind[some, inside]
        return np.where(windy, self.midnights[inside + 1], start)

    def _when_run(
        self,
        lift: LiftId,
        begins_by: Callable[[Problem], Stretches],
        start: Minutes,
        some: Which,
    ) -> Minutes:
        """The same minute, or on a day on which some are away who run the lift the next with others."""
        if lift not in self.run:
            return start
        run, later = self.run[lift], start.copy()
        day, inside = self._days(start)
        there = np.where(day <= inside, run.there[some, inside], run.everybody)
        for who in np.unique(there[there != run.everybody]):
            those = np.flatnonzero(there == who)
            opens = begins_by(run.by(self.problem, int(who)))
            runs = next_inside(opens, start[those]) if opens else np.full(len(those), EVER)
            later[those] = np.minimum(runs, self.midnights[inside[those] + 1])
        return np.maximum(later, start)

    def _days(self, start: Minutes) -> tuple[Minutes, Minutes]:
        """The day of each minute, and the same within the season."""
        day = np.clip(np.searchsorted(self.midnights, start, "right") - 1, 0, None)
        return day, np.minimum(day, len(self.midnights) - 2)

    def _wind(self) -> Yes:
        days = len(self.midnights) - 1
        return self.dice.of("wind", "").random((self.seasons, days)) < self.uncertain.wind

    def _clock(self, person: Person) -> Clock:
        extra = self._overtime_in_plan(person)
        return Clock(either([*person.works, *extra])) if extra else person.on.plain

    def _overtime_in_plan(self, person: Person) -> list[Interval]:
        longer = [
            job for job in self.plan.jobs.values() if job.overtime and job.person == person.id
        ]
        return [
            (start, end)
            for start, end in person.overtime
            if any(job.start < end and start < job.end for job in longer)
        ]

    def _here(self, person: Person) -> Yes:
        """Day by day there or away: as often away as said, and mostly for as many days."""
        days = len(self.midnights) - 1
        away = self.uncertain.away.get(person.id)
        if away is None:
            return np.ones((self.seasons, days), dtype=bool)
        drawn = self.dice.of("away", person.id).random((days, BLOCK))[:, : self.seasons]
        gone = np.empty((days, self.seasons), dtype=bool)
        gone[0] = drawn[0] < away.share
        for day in range(1, days):
            gone[day] = drawn[day] < np.where(gone[day - 1], away.stays, away.begins)
        return np.ascontiguousarray(~gone.T)

    def _day_handed_over(self, boat: Boat) -> Minutes:
        over = self.launched[boat.id] + boat.launch_min + boat.watch_min
        for task in self.problem.afloat(boat.id):
            over = np.maximum(over, self.done[task.id][1])
        over = np.maximum(over, boat.free_from + 1) - 1
        day = np.searchsorted(self.midnights, over, "right") - 1
        return np.minimum(day, len(self.midnights) - 1)
