"""What no plan can beat: fewest days late, found by leaving rules out and never adding one."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from itertools import chain, combinations, pairwise
from math import ceil, inf
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from yardwright.plan.alone import earliest_handed_over, launch_begins, meets_water_alone
from yardwright.plan.days import Day, Minute
from yardwright.plan.hours import EVER, Stretches, both, within
from yardwright.plan.problem import Boat, BoatId, Person, Problem, TaskId

Numbers = NDArray[np.int64]
SOLVED, INFEASIBLE = 0, 2
MANY_TRADES = 7  # from so many on not all sets of trades are looked at


class Row(NamedTuple):
    """What counts of each unknown, by its number, and the most it may come to."""

    at: NDArray[np.int64]
    counts: NDArray[np.float64]
    most: float


class Relaxed:
    """What is left of a problem when most rules are dropped: a yard that no real one beats.

    The unknowns say which boats are launched by the end of which day. Kept are each boat's own
    work, people and water; hours of the trades up to each noon and midnight, by when the work of
    those launched must be done and its paint dry; room on the lifts, with water, and for looks on
    each day; and rows in which nobody can be moved aside. A boat may be launched by halves: that
    makes it a linear program, and hardly ever costs a day.
    """

    def __init__(self, problem: Problem, alike: Mapping[BoatId, int] | None = None) -> None:
        self.problem, self.count = problem, problem.days.count
        self.alike = alike or {}  # boats that stand for so many, launched in any shares
        self.place = {boat.id: place for place, boat in enumerate(problem.going_in)}
        self.begins = self._begins()
        self.rows: list[Row] = []
        if self.possible:
            self.at = {boat: self._numbers(boat) for boat in self.place}
            self.rows += [*self._stays(), *self._shut_in(), *self._hours(), *self._lifted()]

    @property
    def possible(self) -> bool:
        """Whether every boat could go in, were she alone."""
        return len(self.begins) == len(self.place)

    def ink_days(self, time_limit_s: float) -> int | None:
        """Days of Ink lateness that every plan has at least; None: there is no plan.

        Cut short by ``time_limit_s`` it is lower and still true.
        """
        return self._least([b for b in self.problem.going_in if b.ink is not None], time_limit_s)

    def pencil_days(self, time_limit_s: float, ink_at_most: int) -> int | None:
        """Days of Pencil lateness of every plan with at most so many of Ink; None: no such plan."""
        inked = [b for b in self.problem.going_in if b.ink is not None]
        pencilled = [b for b in self.problem.going_in if b.ink is None]
        return self._least(pencilled, time_limit_s, list(self._late_at_most(inked, ink_at_most)))

    def share_kept(self, key: BoatId, pencil_at_most: int, time_limit_s: float) -> float:
        """The largest share of those alike that can be handed over on their day.

        The other boats all go in, with no day of Ink and at most so many of Pencil late.
        """
        if not self.possible:
            return 0.0
        kept = np.flatnonzero(self._late(self.problem.boat[key]) == 0)
        last = int(self.at[key][kept[-1]]) if len(kept) else -1
        if last < 0:
            return 0.0
        others = [boat for boat in self.problem.going_in if boat.id != key]
        rows = [
            *self.rows,
            *self._late_at_most([b for b in others if b.ink is not None], 0),
            *self._late_at_most([b for b in others if b.ink is None], pencil_at_most),
        ]
        cost, limits = np.zeros(len(self.place) * self.count), self._limits()
        cost[last] = -1
        limits.lb[self.at[key][-1]] = 0
        found = milp(
            cost,
            bounds=limits,
            constraints=_constraint(rows, len(cost)) if rows else (),
            options={"time_limit": time_limit_s},
        )
        if found.status == INFEASIBLE:
            return 0.0
        return 1.0 if found.fun is None or found.status != SOLVED else -found.fun

    def _late_at_most(self, boats: Sequence[Boat], days: int) -> Iterator[Row]:
        cost, certain = self._cost(boats)
        at = np.flatnonzero(cost)
        if len(at):
            yield Row(at, cost[at], days - certain)

    def _begins(self) -> Mapping[BoatId, Mapping[Day, Stretches]]:
        """The minutes at which each launch may begin, day by day, from her soonest.

        Left out is a boat that can't go in, and who stands behind one that never gets out.
        """
        found = {}
        in_rows = {key for row in self.problem.rows for key in row}
        alone = ((boat.id,) for boat in self.problem.boats if boat.id not in in_rows)
        for row in chain(self.problem.rows, alone):
            gone = 0  # when the last of those in front who can't be moved aside is out of the way
            for boat in (self.problem.boat[key] for key in row):
                begins = self._from_soonest(boat, gone) if boat.goes_in else ()
                if begins:
                    found[boat.id] = self._by_day(begins)
                if boat.aside_min is None:
                    gone = begins[0][0] + boat.launch_min if begins else EVER
        return found

    def _from_soonest(self, boat: Boat, gone: Minute) -> Stretches:
        ready = meets_water_alone(self.problem, boat)
        if ready is None:
            return ()
        begins = launch_begins(self.problem, boat)
        begins = within(begins, max(ready, gone + boat.carry_min), self.problem.days.end)
        over = earliest_handed_over(self.problem, boat, begins[0][0]) if begins else None
        return () if over is None else begins

    def _by_day(self, begins: Stretches) -> Mapping[Day, Stretches]:
        days, found = self.problem.days, {}
        for day in range(self.count):
            if on := within(begins, days.midnight(day), days.midnight(day + 1)):
                found[day] = on
        return found

    def _numbers(self, boat: BoatId) -> Numbers:
        """For each day the number of the unknown "launched by then"; -1: not possible."""
        day = np.arange(self.count)
        opens = np.isin(day, list(self.begins[boat]))
        last = np.maximum.accumulate(np.where(opens, day, -1))
        return np.where(last >= 0, last + self.place[boat] * self.count, -1)

    def _late(self, boat: Boat) -> Numbers:
        """How late she is at least if launched on each day."""
        late = np.zeros(self.count, dtype=np.int64)
        if boat.promised is None:
            return late
        for day, opens in self.begins[boat.id].items():
            over = earliest_handed_over(self.problem, boat, opens[0][0])
            last = self.problem.days.day(self.problem.days.end if over is None else over)
            late[day] = max(0, last - boat.promised)
        return np.maximum.accumulate(late)

    def _cost(self, boats: Sequence[Boat]) -> tuple[NDArray[np.float64], int]:
        """Days late of these boats: the unknowns weighed by the first, plus the second."""
        cost = np.zeros(len(self.place) * self.count)
        certain = 0
        for boat in boats:
            late = self._late(boat)
            certain += int(late[-1])
            at = self.at[boat.id][:-1]
            np.add.at(cost, at[at >= 0], (late[:-1] - late[1:])[at >= 0])
        return cost, certain

    def _least(
        self, boats: Sequence[Boat], time_limit_s: float, more: Sequence[Row] = ()
    ) -> int | None:
        if not self.possible:
            return None
        if not self.place:
            return 0
        cost, certain = self._cost(boats)
        rows = [*self.rows, *more]
        found = milp(
            cost,
            bounds=self._limits(),
            constraints=_constraint(rows, len(cost)) if rows else (),
            options={"time_limit": max(0.01, time_limit_s)},
        )
        if found.status == INFEASIBLE:
            return None
        proven = found.fun if found.status == SOLVED else None
        return ceil(certain + (cost.sum() if proven is None else proven) - 1e-6)

    def _limits(self) -> Bounds:
        """In the end all are launched."""
        upper = np.ones(len(self.place) * self.count)
        lower = np.zeros(len(upper))
        lower[[at[-1] for at in self.at.values()]] = 1
        return Bounds(lower, upper)

    def _stays(self) -> Iterator[Row]:
        """In the water by a day, she is by the next."""
        for at in self.at.values():
            for day, after in pairwise(np.unique(at[at >= 0])):
                yield Row(np.array([day, after]), np.array([1.0, -1.0]), 0)

    def _shut_in(self) -> Iterator[Row]:
        """Behind a boat that can't be moved aside she waits for her launch, that day's too."""
        for row in self.problem.rows:
            for front, behind in _walls([self.problem.boat[key] for key in row]):
                if front.id not in self.place or behind.id not in self.place:
                    continue
                soonest = [opens[0][0] for opens in self.begins[front.id].values()]
                latest = {}  # of the launches behind her that need hers on one of so many days
                for day, opens in self.begins[behind.id].items():
                    out = opens[-1][1] - 1 - behind.carry_min - front.launch_min
                    latest[bisect_right(soonest, out)] = self.at[behind.id][day]
                days = list(self.begins[front.id])
                for many, behind_at in latest.items():
                    front_at = [self.at[front.id][days[many - 1]]] if many else []
                    at = np.array([behind_at, *front_at])
                    yield Row(at, np.array([1.0, -1.0])[: len(at)], 0)

    def _hours(self) -> Iterator[Row]:
        """By each noon and midnight, no more work than hours of those who can do it."""
        days = self.problem.days
        edges = [days.midnight(day) for day in range(self.count + 1)]
        until = sorted({*edges[1:], *((a + b) // 2 for a, b in pairwise(edges))})
        work = self._work(until)
        for trades in self._sets():
            hours = _hours_of(self.problem.people, trades, until)
            for number in range(len(until)):
                asked = np.zeros(len(self.place) * self.count)
                for trade in trades & work.keys():
                    at, minutes = work[trade][number]
                    np.add.at(asked, at, minutes)
                if asked.sum() > hours[number]:
                    columns = np.flatnonzero(asked)
                    yield Row(columns, asked[columns], hours[number])

    def _work(
        self, until: Sequence[Minute]
    ) -> Mapping[str, list[tuple[NDArray[np.int64], NDArray[np.float64]]]]:
        """For each trade, and each minute until which: which unknowns ask for how much work."""
        found: defaultdict[str, list[tuple[list[int], list[float]]]] = defaultdict(
            lambda: [([], []) for _ in until]
        )
        for boat in self.problem.going_in:
            tails = _tails(self.problem, boat)
            days = np.array(sorted(self.begins[boat.id]))
            latest = np.array([self.begins[boat.id][day][-1][1] - 1 for day in days.tolist()])
            columns = self.at[boat.id][days]
            for task in self.problem.ashore(boat.id):
                # The last day she can be launched on so that this must be done by then.
                last = np.searchsorted(latest - tails[task.id], until, side="right") - 1
                for number in np.flatnonzero((last >= 0) & (columns[last] >= 0)).tolist():
                    at, minutes = found[task.trade][number]
                    at.append(columns[last[number]])
                    minutes.append(task.minutes * self.alike.get(boat.id, 1))
        return {
            trade: [(np.array(at, dtype=np.int64), np.array(minutes)) for at, minutes in lists]
            for trade, lists in found.items()
        }

    def _sets(self) -> Iterator[frozenset[str]]:
        """Sets of trades; of those that the same people have, the widest."""
        trades = sorted({task.trade for task in self.problem.tasks})
        few = len(trades) < MANY_TRADES
        sizes = range(len(trades), 0, -1) if few else (len(trades), 2, 1)
        seen: set[frozenset[str]] = set()
        for size in sizes:
            for some in combinations(trades, size):
                able = frozenset(
                    person.id
                    for person in self.problem.people
                    if (person.trades | person.learns) & set(some)
                )
                if able not in seen:
                    seen.add(able)
                    yield frozenset(some)

    def _lifted(self) -> Iterator[Row]:
        """On each day, no more launches than there is room on the lifts, and for looks."""
        for day in range(self.count):
            there = [boat for boat in self.problem.going_in if day in self.begins[boat.id]]
            for kind in {boat.lift for boat in there}:
                theirs = [boat for boat in there if boat.lift == kind]
                count = self.problem.lift[kind].count
                yield from self._at_once(theirs, day, count, _on_the_lift)
            if self.problem.looks:
                new = [boat for boat in there if boat.looks_min]
                yield from self._at_once(new, day, self.problem.looks.at_once, _looked_after)

    def _at_once(
        self, boats: Sequence[Boat], day: Day, count: int, lasts: Callable[[Boat], int]
    ) -> Iterator[Row]:
        """So many at once: the launches within the hours of one of them are not too many."""
        for opens in {self.begins[boat.id][day] for boat in boats}:
            some = [
                b for b in boats if both(self.begins[b.id][day], opens) == self.begins[b.id][day]
            ]
            shortest = min(lasts(boat) for boat in some)
            most = count * sum(1 + (end - 1 - begin) // shortest for begin, end in opens)
            many = np.array([self.alike.get(boat.id, 1) for boat in some], dtype=float)
            if most < many.sum():
                new = np.array([self.at[boat.id][day] for boat in some])
                old = np.array([self.at[boat.id][day - 1] if day else -1 for boat in some])
                before = old >= 0
                counts = np.concatenate([many, -many[before]])
                yield Row(np.concatenate([new, old[before]]), counts, most)


def _constraint(rows: Sequence[Row], count: int) -> LinearConstraint:
    ends = np.cumsum([0, *(len(row.at) for row in rows)])
    numbers = np.concatenate([row.counts for row in rows])
    columns = np.concatenate([row.at for row in rows])
    matrix = csr_array((numbers, columns, ends), shape=(len(rows), count))
    return LinearConstraint(matrix, -inf, [row.most for row in rows])


def _on_the_lift(boat: Boat) -> int:
    return boat.carry_min + boat.launch_min


def _looked_after(boat: Boat) -> int:
    return boat.looks_min


def _walls(row: Sequence[Boat]) -> Iterator[tuple[Boat, Boat]]:
    """Each boat that can't be moved aside, with those behind her up to the next such."""
    for place, front in enumerate(row):
        if front.aside_min is None:
            for behind in row[place + 1 :]:
                yield front, behind
                if behind.aside_min is None:
                    break


def _tails(problem: Problem, boat: Boat) -> Mapping[TaskId, int]:
    """For each job ashore the minutes that pass at least from its end until she meets the water."""
    tails: dict[TaskId, int] = {}
    for task in reversed(list(problem.ashore(boat.id))):
        tails[task.id] = max(task.dry_min, boat.carry_min, tails.get(task.id, 0))
        for before in task.after:
            tails[before] = max(tails.get(before, 0), task.minutes + tails[task.id])
    return tails


def _hours_of(
    people: Sequence[Person], trades: frozenset[str], until: Sequence[Minute]
) -> NDArray[np.int64]:
    """Minutes of work there are, overtime too; a learner's count no more than the watchers' eyes."""
    all_, eyes = np.zeros((2, len(until)), dtype=np.int64)
    for person in people:
        worked = np.array([person.on.long.worked_by(minute) for minute in until])
        all_ += worked * bool(trades & (person.trades | person.learns))
        eyes += worked * max(1, person.may_watch) * bool(trades & person.trades)
    return np.minimum(all_, eyes)
