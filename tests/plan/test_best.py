"""The solver's best against every order tried by hand's own means, on tiny yards.

``best_of_all`` knows nothing of the planner: it counts whole hours, tries every order of jobs,
launches and moves aside, every person and every choice of boats to move, and puts each thing at
its first free hour. Lateness never falls when something happens later, so one of these orders
is a best plan.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from functools import lru_cache
from itertools import chain, combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.yards import LIFT, daily, lifts, tiny
from yardwright.plan import solver
from yardwright.plan.bound import Relaxed
from yardwright.plan.days import Interval
from yardwright.plan.problem import Boat, BoatId, Problem, Task, score

Event = tuple[str, str]  # "job", "launch" or "move", and its id
HOURS = 72


@lru_cache
def hours_in(stretches: tuple[Interval, ...]) -> frozenset[int]:
    return frozenset(
        h for h in range(HOURS) if any(a <= 60 * h and 60 * h + 60 <= b for a, b in stretches)
    )


@dataclass
class Yard:
    problem: Problem
    moving: frozenset[str]
    best: tuple[int, int, int] | None = None
    ends: dict[Event, int] = field(default_factory=dict)  # hour after the last
    people: dict[str, set[int]] = field(default_factory=dict)
    spans: dict[str, set[int]] = field(default_factory=dict)  # a boat's jobs, rests counted
    worked: dict[str, set[int]] = field(default_factory=dict)  # a boat's jobs, rests not counted
    moved: dict[str, set[int]] = field(default_factory=dict)
    lift: set[int] = field(default_factory=set)

    def __post_init__(self) -> None:
        self.people = {p.id: set(hours_in(p.works)) for p in self.problem.people}
        self.lift = set(hours_in(self.problem.lifts[0].opens))
        for boat in self.problem.boats:
            self.spans[boat.id], self.worked[boat.id], self.moved[boat.id] = set(), set(), set()
        self.events: list[Event] = [("job", t.id) for t in self.problem.tasks]
        self.events += [("launch", b.id) for b in self.problem.going_in]
        self.events += [("move", key) for key in sorted(self.moving)]

    def leaves(self, boat: str) -> Event:
        return ("move" if boat in self.moving else "launch", boat)

    def needs(self, event: Event) -> list[Event]:
        """What must have ended before it begins."""
        kind, key = event
        if kind == "job":
            return [
                ("job", before) for t in self.problem.tasks if t.id == key for before in t.after
            ]
        if event == self.leaves(key):
            rows = (row for row in self.problem.rows if key in row)
            first = [self.leaves(front) for row in rows for front in row[: row.index(key)]]
        else:
            first = [("move", key)]
        jobs = [("job", t.id) for t in self.problem.tasks if t.boat == key]
        return first + (jobs if kind == "launch" else [])

    def late(self) -> tuple[int, int, int]:
        ink = pencil = 0
        for boat in self.problem.going_in:
            if ("launch", boat.id) in self.ends:
                day = (self.ends["launch", boat.id] - 1) // 24
                if boat.ink is not None:
                    ink += max(0, day - boat.ink)
                elif boat.pencil is not None:
                    pencil += max(0, day - boat.pencil)
        return ink, pencil, len(self.moving)

    def search(self) -> None:
        late = self.late()
        if self.best is not None and late >= self.best:
            return
        if len(self.ends) == len(self.events):
            self.best = late
        for event in self.events:
            needs = self.needs(event)
            if event not in self.ends and all(need in self.ends for need in needs):
                ready = max((self.ends[need] for need in needs), default=0)
                self.place(event, ready)

    def place(self, event: Event, ready: int) -> None:
        kind, key = event
        if kind == "job":
            task = next(t for t in self.problem.tasks if t.id == key)
            for person in self.problem.people:
                if task.trade in person.trades:
                    self.place_job(event, task, person.id, max(ready, -(-task.not_before // 60)))
            return
        boat = next(b for b in self.problem.boats if b.id == key)
        able = (
            self.lift & hours_in(boat.water) if kind == "launch" else self.lift - self.worked[key]
        )
        hour = min((h for h in able if h >= ready), default=None)
        if hour is not None:
            self.ends[event] = hour + 1
            self.lift.discard(hour)
            if kind == "move":
                self.moved[key].add(hour)
            self.search()
            self.moved[key].discard(hour)
            self.lift.add(hour)
            del self.ends[event]

    def place_job(self, event: Event, task: Task, person: str, ready: int) -> None:
        calendar = hours_in(next(p.works for p in self.problem.people if p.id == person))
        for begin in range(ready, HOURS):
            ahead = sorted(h for h in calendar if h >= begin)[: task.minutes // 60]
            if len(ahead) < task.minutes // 60:
                return
            span = set(range(begin, ahead[-1] + 1))
            if (
                ahead[0] == begin
                and set(ahead) <= self.people[person]
                and not span & self.spans[task.boat]
                and not set(ahead) & self.moved[task.boat]
            ):
                self.people[person] -= set(ahead)
                self.spans[task.boat] |= span
                self.worked[task.boat] |= set(ahead)
                self.ends[event] = ahead[-1] + 1
                self.search()
                del self.ends[event]
                self.worked[task.boat] -= set(ahead)
                self.spans[task.boat] -= span
                self.people[person] |= set(ahead)
                return


def movable(problem: Problem) -> Iterator[tuple[Boat, ...]]:
    fronts = {key for row in problem.rows for key in row[:-1]}
    boats = [b for b in problem.boats if b.id in fronts and b.aside_min is not None]
    return chain.from_iterable(combinations(boats, n) for n in range(len(boats) + 1))


def best_of_all(problem: Problem) -> tuple[int, int, int] | None:
    best = None
    for some in movable(problem):
        yard = Yard(problem, frozenset(boat.id for boat in some), best)
        yard.search()
        best = yard.best
    return best


def agreed(asked: Problem) -> tuple[int, int, int] | None:
    """The best of all, and the solver says the same."""
    best = best_of_all(asked)
    found = solver.solve(asked, time_limit_s=20)
    if best is None:
        assert found.ends is solver.Ends.NO_PLAN
        return None
    assert found.ends is solver.Ends.BEST
    assert found.plan is not None
    assert found.least == score(asked, found.plan) == (best[0], best[1], 0, best[2], 0)
    return best


def test_the_solver_finds_what_trying_everything_finds() -> None:
    bests = [agreed(tiny(seed)) for seed in range(24)]
    # These yards are no walk-over: some are late, some move boats aside, some have no plan.
    assert sum(best is None for best in bests) >= 3
    assert sum(best is not None and best[0] > 0 for best in bests) >= 6
    assert sum(best is not None and best[2] > 0 for best in bests) >= 2


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6))
def test_no_plan_beats_the_bound(seed: int) -> None:
    asked = tiny(seed, boats=5)
    found = solver.solve(asked, time_limit_s=20)
    relaxed = Relaxed(asked)
    ink = relaxed.ink_days(5)
    if ink is None:
        assert found.plan is None
    elif found.plan is not None:
        best = score(asked, found.plan)
        assert ink <= best.ink_days
        pencil = relaxed.pencil_days(5, best.ink_days)
        assert pencil is not None
        assert pencil <= best.pencil_days


def bounded(count: int, water: tuple[Interval, ...], watch_min: int) -> tuple[int | None, int]:
    """Ink days of the bound and of the best plan, boats promised for the first day."""
    asked = tiny(0)
    keys = [BoatId(str(number)) for number in range(count)]
    boats = tuple(
        Boat(key, key, LIFT, water, 30, 0, None, watch_min=watch_min, ink=0) for key in keys
    )
    asked = replace(asked, boats=boats, tasks=(), rows=(), lifts=lifts((0, 3 * 1440)))
    found = solver.solve(asked, time_limit_s=20)
    assert found.plan is not None
    return Relaxed(asked).ink_days(5), score(asked, found.plan).ink_days


def test_the_bound_counts_water_for_one_launch_a_day() -> None:
    # By hand: half an hour of water a day, three boats: 0 + 1 + 2 days late.
    assert bounded(3, daily(3, "08:00-08:30"), 0) == (3, 3)


def test_the_bound_knows_of_a_watch_past_midnight() -> None:
    # By hand: two launches before midnight, each watched into the next day: 1 + 1.
    assert bounded(2, ((23 * 60, 1440),), 120) == (2, 2)
