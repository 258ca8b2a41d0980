"""What the solver may choose, and what it may not."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from itertools import chain, product
from typing import NamedTuple

from ortools.sat.python import cp_model

from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import Stretches, either
from yardwright.plan.line import Line, Piece, begins, with_overtime
from yardwright.plan.parts import Part
from yardwright.plan.problem import (
    Boat,
    BoatId,
    Clock,
    Job,
    PersonId,
    Plan,
    Problem,
    Task,
    TaskId,
    overtime_min,
)

Var = cp_model.IntVar
Expr = cp_model.LinearExpr | int
Span = cp_model.IntervalVar


class Mode(NamedTuple):
    """Who does a job, who watches, and whether overtime is worked."""

    person: PersonId
    watcher: PersonId | None = None
    overtime: bool = False


REST_MIN = 60  # a rest as long as this is no day off
Way = tuple[TaskId, Mode]


@dataclass(slots=True)
class Unknowns:
    """Places on a line: a variable where the solver may choose, a number where it may not.

    Rules strike out ``modes``, bar stretches of the line to some ways of doing a job, and add
    constraints; ``close`` then says from which minutes each way may begin.
    """

    model: cp_model.CpModel
    problem: Problem
    line: Line
    known: Plan | None
    part: Part
    window: Mapping[str, Interval]
    rough: bool = False  # overtime wherever it serves, no job newly put over a day off
    priced: bool = True  # whether minutes of overtime are counted
    now: Minute = 0  # no move aside is newly put before it, and one that was stays
    start: dict[TaskId, Expr] = field(default_factory=dict)
    length: dict[TaskId, Var] = field(default_factory=dict)
    end: dict[TaskId, Expr] = field(default_factory=dict)
    modes: dict[TaskId, list[Mode]] = field(default_factory=dict)
    clock: dict[Way, Clock] = field(default_factory=dict)
    barred: defaultdict[Way, set[Stretches]] = field(default_factory=lambda: defaultdict(set))
    launch: dict[BoatId, Expr] = field(default_factory=dict)
    aside: dict[BoatId, Expr] = field(default_factory=dict)
    moved: dict[BoatId, Var] = field(default_factory=dict)
    leaves: dict[BoatId, Expr] = field(default_factory=dict)
    gone: dict[BoatId, Expr] = field(default_factory=dict)
    overtime: dict[TaskId, Var] = field(default_factory=dict)
    _by: dict[Way, Var] = field(default_factory=dict)
    _does: dict[tuple[TaskId, PersonId], Var] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for task in self.problem.tasks:
            self._task(task)
        for boat in self.problem.boats:
            self._boat(boat)

    def free_tasks(self) -> Iterator[Task]:
        """The jobs that may be planned anew."""
        return (task for task in self.problem.tasks if task.id in self.part.tasks)

    def kept_jobs(self) -> Iterator[tuple[Task, Job, Interval]]:
        """The jobs that stay, each with its span on the line."""
        if self.known is not None:
            for key, job in self.known.jobs.items():
                if key not in self.part.tasks:
                    yield self.problem.task[key], job, self.span_of(job)

    def span_of(self, job: Job) -> Interval:
        """A job's span on the line."""
        return self.line.place(job.start), self.line.place(job.end)

    def touched(self) -> Iterator[Boat]:
        """Boats of which anything may be planned anew."""
        some = {*self.part.boats, *(self.problem.task[key].boat for key in self.part.tasks)}
        return (boat for boat in self.problem.boats if boat.id in some)

    def was(self, key: TaskId) -> Mode | None:
        """How a job is done in the known plan."""
        if self.known is None:
            return None
        job = self.known.jobs[key]
        extra = overtime_min(self.problem, job) > 0
        if self.rough:
            extra = bool(self.problem.person[job.person].overtime)
        return Mode(job.person, job.watcher, extra)

    def was_aside(self, key: BoatId) -> Minute | None:
        """When a boat is moved aside in the known plan."""
        return self.known.asides.get(key) if self.known else None

    def integer(self, domain: Interval, hint: int | None, name: str = "") -> Var:
        """A number; ``domain`` ends before its second figure."""
        var = self.model.new_int_var(domain[0], max(domain[0], domain[1] - 1), name)
        if hint is not None:
            self.model.add_hint(var, hint)
        return var

    def flag(self, hint: bool | None, name: str = "") -> Var:
        """A choice of yes or no."""
        var = self.model.new_bool_var(name)
        if hint is not None and self.known is not None:
            self.model.add_hint(var, hint)
        return var

    def by(self, key: TaskId, mode: Mode) -> Var:
        """Whether a job is done this way."""
        way = key, mode
        if way not in self._by:
            self._by[way] = self.flag(self.was(key) == mode, f"{mode} does {key}")
        return self._by[way]

    def does(self, key: TaskId, person: PersonId) -> Var | None:
        """Whether a person does a job; None: they never do."""
        if (key, person) not in self._does:
            ways = [self.by(key, mode) for mode in self.modes[key] if mode.person == person]
            if not ways:
                return None
            does = ways[0]
            if len(ways) > 1:
                was = self.was(key)
                does = self.flag(was is not None and was.person == person)
                self.model.add(sum(ways) == does)
            self._does[key, person] = does
        return self._does[key, person]

    def span(self, key: TaskId, when: Var | int = 1) -> Span:
        """A job's interval; ``when`` it is there."""
        start, end = self.start[key], self.end[key]
        if key not in self.part.tasks:
            return self.model.new_interval_var(start, end - start, end, "")
        return self.model.new_optional_interval_var(start, self.length[key], end, when, key)

    def begins_in(self, begins: Expr, minutes: Stretches, when: Var | int = 1) -> None:
        """Something begins in one of these stretches of the season."""
        within(self.model, begins, self.line.on(minutes), when)

    def real(self, place: Expr, key: str, was: Minute | None, *, over: bool) -> Expr:
        """The minute of the season at a place; ``over``: of something that ends there."""
        opens = self.line.clock.opens
        if isinstance(place, int):
            return self.line.ended(place) if over else self.line.minute(place)
        if opens == ((0, self.problem.days.end),):
            return place
        real, here = self.integer((0, self.problem.days.end + 1), was), []
        low, high = self.window.get(key, (0, self.line.end))
        high += over * self.line.place(10 * 1440)
        for (begin, end), before in zip(opens, self.line.clock.worked, strict=False):
            if before + end - begin < low or high < before:
                continue
            inside = was is not None and begin + over <= was < end + over
            here.append(self.flag(inside))
            within(self.model, place, ((before + over, before + end - begin + over),), here[-1])
            self.model.add(real == place + (begin - before)).only_enforce_if(here[-1])
        self.model.add_exactly_one(here)
        return real

    def close(self) -> None:
        """Say from which minutes each way of doing a job may begin, and how long it then takes."""
        for task in self.free_tasks():
            if self.priced and any(mode.overtime for mode in self.modes[task.id]):
                was = overtime_min(self.problem, self.known.jobs[task.id]) if self.known else None
                self.overtime[task.id] = self.integer((0, task.minutes + 1), was)
            ways = chain.from_iterable(self._ways(task, mode) for mode in self.modes[task.id])
            self.model.add_exactly_one(list(ways))

    def _ways(self, task: Task, mode: Mode) -> Iterator[Var]:
        groups: defaultdict[Piece, list[Interval]] = defaultdict(list)
        for piece in self._pieces(task, mode):
            key = piece if task.id in self.overtime else piece._replace(extra=0, slope=0)
            groups[key._replace(begins=(0, 0))].append(piece.begins)
        by = self.by(task.id, mode)
        ways = (
            [by]
            if len(groups) == 1
            else [self._way(task, mode, begins) for begins in groups.values()]
        )
        if len(groups) != 1:
            self.model.add(sum(ways) == by)
        for way, (piece, stretches) in zip(ways, groups.items(), strict=True):
            within(self.model, self.start[task.id], stretches, way)
            self.model.add(self.length[task.id] == piece.lasts).only_enforce_if(way)
            if piece.extra or piece.slope:
                extra = piece.extra + piece.slope * self.start[task.id]
                self.model.add(self.overtime[task.id] >= extra).only_enforce_if(way)
            yield way

    def _way(self, task: Task, mode: Mode, stretches: list[Interval]) -> Var:
        if self.known is None:
            return self.flag(None)
        start, _ = self.span_of(self.known.jobs[task.id])
        here = any(a <= start < b for a, b in stretches)
        return self.flag(here and self.was(task.id) == mode)

    def _pieces(self, task: Task, mode: Mode) -> Iterator[Piece]:
        window = self.window.get(task.id, (0, self.line.end))
        clock = self.clock.get((task.id, mode))
        if clock is None:
            return iter([Piece(window, task.minutes)])
        barred = self.barred[task.id, mode] - {()}
        taken = next(iter(barred), ()) if len(barred) < 2 else either(chain(*barred))
        pieces = begins(clock, task.minutes, window, taken)
        if self.rough:
            start = self.span_of(self.known.jobs[task.id])[0] if self.known else 0
            most = task.minutes + REST_MIN
            pieces = (p for p in pieces if p.lasts <= most or p.begins[0] <= start < p.begins[1])
        elif mode.overtime and self.priced:
            plain = self.line.hours[mode.person].plain
            watched = mode.watcher is not None
            pieces = with_overtime(pieces, plain, task.minutes, all_of=watched)
        return pieces

    def _task(self, task: Task) -> None:
        job = self.known.jobs[task.id] if self.known else None
        start, end = self.span_of(job) if job else (None, None)
        if task.id not in self.part.tasks:
            assert start is not None  # noqa: S101 - what stays is known
            assert end is not None  # noqa: S101
            self.start[task.id], self.end[task.id] = start, end
            return
        low, high = self.window.get(task.id, (0, self.line.end))
        begins = self.integer((low, high), start, f"{task.id} starts")
        if start is not None and self.rough:
            end = self._soonest_end(task, start)
        takes = None if start is None or end is None else end - start
        length = self.integer((task.minutes, self.line.end + 1), takes)
        ends = self.integer((low + task.minutes, self.line.end + 1), end)
        self.model.add(begins + length == ends)
        self.start[task.id], self.length[task.id], self.end[task.id] = begins, length, ends
        self.modes[task.id] = list(_modes(self.problem, task, rough=self.rough))

    def _soonest_end(self, task: Task, start: int) -> int:
        mode = self.was(task.id)
        assert mode is not None  # noqa: S101 - it starts, so it is known
        clock = self.line.hours[mode.person][mode.overtime]
        return clock.minute_of(clock.worked_by(start) + task.minutes - 1) + 1

    def _boat(self, boat: Boat) -> None:
        at = self.known.launches.get(boat.id) if self.known else None
        aside = self.was_aside(boat.id)
        never = self.line.end + 1
        leaves: Expr = never
        gone: Expr = never
        free = boat.id in self.part.boats
        begun = aside is not None and aside < self.now
        if boat.goes_in:
            launch = None if at is None else self.line.place(at)
            if free:
                window = self.window.get(boat.id, (0, self.line.end))
                self.launch[boat.id] = self.integer(window, launch, f"{boat.id} goes in")
            else:
                assert launch is not None  # noqa: S101
                self.launch[boat.id] = launch
            leaves = self.launch[boat.id] - boat.carry_min
            gone = self.launch[boat.id] + boat.launch_min
        if free and not begun and boat.aside_min is not None and self.problem.behind[boat.id]:
            soonest = self.line.place(self.now)
            place = soonest if aside is None else self.line.place(aside)
            moved = self.flag(aside is not None, f"{boat.id} is moved aside")
            begins = self.integer((soonest, self.line.end), place if self.known else None)
            self.moved[boat.id], self.aside[boat.id] = moved, begins
            leaves = self._one_of(moved, begins, leaves, boat, 0)
            gone = self._one_of(moved, begins + boat.aside_min, gone, boat, boat.aside_min)
        elif aside is not None and (begun or not free):
            self.moved[boat.id] = self.model.new_constant(1)
            self.aside[boat.id] = self.line.place(aside)
            leaves = self.line.place(aside)
            gone = leaves + (boat.aside_min or 0)
        self.leaves[boat.id], self.gone[boat.id] = leaves, gone

    def _one_of(self, when: Var, this: Expr, that: Expr, boat: Boat, lasts: int) -> Var:
        hint = None
        if self.known and boat.id in self.known.asides:
            hint = self.line.place(self.known.asides[boat.id]) + lasts
        elif self.known and boat.goes_in:
            launch = self.line.place(self.known.launches[boat.id])
            hint = launch + (boat.launch_min if lasts else -boat.carry_min)
        elif self.known:
            hint = self.line.end + 1
        either = self.integer((-1440, self.line.end + 1442), hint)
        self.model.add(either == this).only_enforce_if(when)
        self.model.add(either == that).only_enforce_if(~when)
        return either


def within(
    model: cp_model.CpModel, what: Expr, stretches: Iterable[Interval], when: Var | int = 1
) -> None:
    """What lies in one of the stretches, ``when`` so."""
    domain = cp_model.Domain.from_intervals([[a, b - 1] for a, b in stretches])
    model.add_linear_expression_in_domain(what, domain).only_enforce_if(when)


def _modes(problem: Problem, task: Task, *, rough: bool) -> Iterator[Mode]:
    for person in problem.people:
        extra = (False, True) if person.overtime else (False,)
        if rough:
            extra = extra[-1:]
        watchers: list[PersonId | None] = [None]
        if task.trade in person.learns:
            able = (p.id for p in problem.people if task.trade in p.trades and p.may_watch)
            watchers += [one for one in able if one != person.id]
        for watcher, overtime in product(watchers, extra):
            yield Mode(person.id, watcher, overtime)
