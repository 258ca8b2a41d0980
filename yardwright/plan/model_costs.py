"""What the solver makes small: the parts of a score, or of a change to a published plan."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from yardwright.plan.change import LAUNCH
from yardwright.plan.days import Day, Minute
from yardwright.plan.model_unknowns import Expr, Unknowns
from yardwright.plan.problem import Boat, BoatId, Plan, handed_over

A_DAY_OFF = 1440  # on the line a job with a rest like this ends so much later


class Cost(NamedTuple):
    """Terms to add up, and the most they can come to."""

    terms: list[Expr]
    most: int


@dataclass(frozen=True, slots=True)
class Published:
    """A plan that people know: lateness counts beyond its days, and what moves costs."""

    plan: Plan
    day: Mapping[BoatId, Day]
    pencil_first: bool = False


def scored(free: Unknowns) -> list[Cost]:
    """The parts of a ``Score``, in its order, of what may be planned anew."""
    due = {boat.id: boat.promised for boat in free.problem.going_in}
    published: list[Expr] = []
    for boat in free.problem.going_in:
        if boat.published is not None and boat.id in free.part.boats:
            at = free.known.launches[boat.id] if free.known else None
            differs = free.flag(at != boat.published)
            place = free.line.place(boat.published)
            free.model.add(free.launch[boat.id] == place).only_enforce_if(~differs)
            published.append(differs)
    asides: list[Expr] = [m for key, m in free.moved.items() if key in free.part.boats]
    return [
        *_lateness(free, due),
        Cost(published, len(published)),
        Cost(asides, len(asides)),
        Cost(
            list(free.overtime.values()), sum(free.problem.task[t].minutes for t in free.overtime)
        ),
    ]


def changed(free: Unknowns, published: Published) -> list[Cost]:
    """Ink beyond what is published, moves, Pencil beyond, jobs handed to somebody else."""
    due = {
        boat.id: None
        if boat.promised is None
        else max(boat.promised, published.day.get(boat.id, boat.promised))
        for boat in free.problem.going_in
    }
    ink, pencil = _lateness(free, due)
    moves = list(_moves(free, published.plan))
    moved = Cost(moves, LAUNCH * len(free.part.boats) + len(free.part.tasks) + len(free.moved))
    handed_on = list(_handed_on(free, published.plan))
    first = (pencil, moved) if published.pencil_first else (moved, pencil)
    return [ink, *first, Cost(handed_on, len(handed_on))]


def _moves(free: Unknowns, published: Plan) -> Iterator[Expr]:
    for task in free.free_tasks():
        job = published.jobs.get(task.id)
        if job is not None:
            was = free.known.jobs[task.id] if free.known else job
            yield _moved(free, free.start[task.id], was.start, job.start)
    for key, at in published.launches.items():
        if key in free.part.boats and key in free.launch:
            was_in = free.known.launches[key] if free.known else at
            yield LAUNCH * _moved(free, free.launch[key], was_in, at)
    for key, aside in free.moved.items():
        if key in free.part.boats:
            told = published.asides.get(key)
            yield aside if told is None else _moved_aside(free, key, told)


def _moved_aside(free: Unknowns, key: BoatId, published: Minute) -> Expr:
    """Whether she is moved aside at another minute than is published, or not at all."""
    differs = free.flag(free.was_aside(key) != published)
    free.model.add(free.aside[key] == free.line.place(published)).only_enforce_if(~differs)
    free.model.add(free.moved[key] == 1).only_enforce_if(~differs)
    return differs


def _handed_on(free: Unknowns, published: Plan) -> Iterator[Expr]:
    for task in free.free_tasks():
        job = published.jobs.get(task.id)
        if job is not None:
            does = free.does(task.id, job.person)
            yield 1 if does is None else 1 - does


def _moved(free: Unknowns, begins: Expr, was: Minute, published: Minute) -> Expr:
    moved = free.flag(was != published)
    free.model.add(begins == free.line.place(published)).only_enforce_if(~moved)
    return moved


def _lateness(free: Unknowns, due: Mapping[BoatId, Day | None]) -> tuple[Cost, Cost]:
    ink: list[Expr] = []
    pencil: list[Expr] = []
    for boat in free.touched():
        day = due.get(boat.id)
        if boat.goes_in and day is not None:
            (pencil if boat.ink is None else ink).extend(_days_late(free, boat, day))
    return Cost(ink, _most(ink)), Cost(pencil, _most(pencil))


def _most(terms: list[Expr]) -> int:
    return sum(term if isinstance(term, int) else 1 for term in terms)


def _days_late(free: Unknowns, boat: Boat, due: Day) -> Iterator[Expr]:
    """Terms that add up to the days from the day due to the day she is handed over."""
    days, problem = free.problem.days, free.problem
    yield max(0, -due)  # lost before the season began
    afloat = [free.end[task.id] for task in problem.afloat(boat.id)]
    soonest, latest = free.window.get(boat.id, (0, free.line.end))
    launch = free.launch[boat.id]
    paid = days.day(boat.free_from)
    was = days.day(handed_over(problem, free.known, boat)) if free.known else None
    later = None
    horizon = _horizon(free, boat, latest)
    for day in range(days.day(days.end + boat.watch_min) - 1, max(0, due) - 1, -1):
        midnight = days.midnight(day + 1)
        in_water = free.line.place(midnight - boat.launch_min - boat.watch_min + 1)
        if day < paid or in_water <= soonest:
            yield 1
            continue
        if horizon <= min(in_water, free.line.place(midnight)):
            continue
        late = free.flag(was is not None and was > day)
        free.model.add(launch < in_water).only_enforce_if(~late)
        for end in afloat:
            free.model.add(end <= free.line.place(midnight)).only_enforce_if(~late)
        if later is not None:
            free.model.add_implication(later, late)
        later = late
        yield late


def _horizon(free: Unknowns, boat: Boat, latest: int) -> int:
    """A place that neither her launch nor her work afloat goes beyond."""
    ends = [latest]
    for task in free.problem.afloat(boat.id):
        end = free.end[task.id]
        if isinstance(end, int):
            ends.append(end)
        elif task.id in free.window:
            ends.append(free.window[task.id][1] + task.minutes + A_DAY_OFF)
            free.model.add(end <= ends[-1])
        else:
            ends.append(free.line.end + 1)
    return max(ends)
