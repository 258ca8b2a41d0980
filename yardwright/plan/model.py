"""The rules as the solver hears them. Each has a twin of the same name in ``checker``."""

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from itertools import pairwise

from ortools.sat.python import cp_model

from yardwright.plan.days import Interval
from yardwright.plan.hours import Stretches, outside, spans, starts
from yardwright.plan.problem import (
    Boat,
    BoatId,
    LiftId,
    PersonId,
    Plan,
    Problem,
    Task,
    TaskId,
)

Var = cp_model.IntVar
Span = cp_model.IntervalVar


@dataclass(frozen=True, slots=True)
class Unknowns:
    """What the solver may choose; what it may not is a constant."""

    start: dict[TaskId, Var] = field(default_factory=dict)
    length: dict[TaskId, Var] = field(default_factory=dict)
    end: dict[TaskId, Var] = field(default_factory=dict)
    by: dict[tuple[TaskId, PersonId], Var] = field(default_factory=dict)
    launch: dict[BoatId, Var] = field(default_factory=dict)
    aside: dict[BoatId, Var] = field(default_factory=dict)
    moved: dict[BoatId, Var] = field(default_factory=dict)
    leaves: dict[BoatId, cp_model.LinearExprT] = field(default_factory=dict)
    gone: dict[BoatId, cp_model.LinearExprT] = field(default_factory=dict)
    settled: set[BoatId] = field(default_factory=set)


Rule = Callable[[cp_model.CpModel, Unknowns, Problem], None]


def right_trade(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """One person who has the trade, or learns it, does the whole job."""
    for (task, person), by in free.by.items():
        if problem.task[task].trade not in problem.person[person].trades:
            model.add(by == 0)


def working_hours(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A job takes its minutes of work and rests only while its person does."""
    for (task, person), by in free.by.items():
        able = problem.task[task].trade in problem.person[person].trades
        if not able or problem.task[task].boat in free.settled:
            continue
        takes: list[Var] = []
        works = problem.person[person].on.plain.opens
        lengths = _by_length(works, problem.task[task].minutes)
        for length, begins in lengths.items():
            takes.append(model.new_bool_var(""))
            _begins_in(model, free.start[task], begins, takes[-1])
            model.add(free.length[task] == length).only_enforce_if(takes[-1])
        model.add(sum(takes) == by)


def one_job_a_person(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A person finishes a job before the next."""
    for person in problem.people:
        model.add_no_overlap(
            [
                _span(model, free, task, free.by[task.id, person.id])
                for task in problem.tasks
                if task.trade in person.trades and (task.id, person.id) in free.by
            ]
        )


def jobs_at_once(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """No more jobs go on at once on a boat than she has room for."""
    for jobs in problem.jobs.values():
        model.add_no_overlap([_span(model, free, task) for task in jobs])


def part_first(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A job does not begin before what it waits for is there."""
    for task in problem.tasks:
        model.add(free.start[task.id] >= task.not_before)


def in_order(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A job begins when those it comes after are finished."""
    for task in problem.tasks:
        for before in task.after:
            model.add(free.start[task.id] >= free.end[before])


def work_before_water(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A boat is fetched when all work on her ashore is done."""
    for boat in problem.going_in:
        for task in problem.ashore(boat.id):
            model.add(free.launch[boat.id] - boat.carry_min >= free.end[task.id])


def water_holds(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A launch has the boat's water from the minute she meets it until it is over."""
    for boat in problem.going_in:
        _begins_in(model, free.launch[boat.id], starts(boat.water, boat.launch_min))


def lift_open(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A launch, with the way to the water, or a move aside has the lift open all the time."""
    for key, launch in free.launch.items():
        boat = problem.boat[key]
        opens = starts(problem.lift[boat.lift].opens, boat.carry_min + boat.launch_min)
        _begins_in(model, launch, tuple((a + boat.carry_min, b + boat.carry_min) for a, b in opens))
    for key, aside in free.aside.items():
        boat = problem.boat[key]
        opens = starts(problem.lift[boat.lift].opens, boat.aside_min or 0)
        _begins_in(model, aside, opens, free.moved[key])


def lifts_enough(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """No more boats are carried at once than there are lifts of their kind."""
    carried: dict[LiftId, list[Span]] = {lift.id: [] for lift in problem.lifts}
    for key, launch in free.launch.items():
        boat = problem.boat[key]
        takes = boat.carry_min + boat.launch_min
        span = model.new_fixed_size_interval_var(launch - boat.carry_min, takes, "")
        carried[boat.lift].append(span)
    for key, aside in free.aside.items():
        boat = problem.boat[key]
        span = model.new_optional_fixed_size_interval_var(
            aside, boat.aside_min or 0, free.moved[key], ""
        )
        carried[boat.lift].append(span)
    for lift in problem.lifts:
        spans = carried[lift.id]
        if lift.count == 1:
            model.add_no_overlap(spans)
        else:
            model.add_cumulative(spans, [1] * len(spans), lift.count)


def front_leaves_first(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A boat leaves her place only when those in front have left or been moved aside."""
    for row in problem.rows:
        for front, behind in pairwise(row):
            model.add(free.gone[front] <= free.leaves[behind])


def aside_before_launch(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A boat is moved aside before she is fetched for her launch, not after."""
    for key, aside in free.aside.items():
        boat = problem.boat[key]
        if boat.goes_in:
            begins = aside + (boat.aside_min or 0) + boat.carry_min
            model.add(begins <= free.launch[key]).only_enforce_if(free.moved[key])


def nobody_on_her(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A boat is not moved aside while somebody works on her."""
    for key in free.aside.keys() - free.settled:
        aside, minutes = free.aside[key], problem.boat[key].aside_min or 0
        for task in problem.jobs[key]:
            before, after = model.new_bool_var(""), model.new_bool_var("")
            model.add(aside + minutes <= free.start[task.id]).only_enforce_if(before)
            model.add(aside >= free.end[task.id]).only_enforce_if(after)
            rests = list(_while_resting(model, free, problem, task, problem.boat[key]))
            model.add_bool_or(before, after, *rests, ~free.moved[key])


RULES: tuple[Rule, ...] = (
    right_trade,
    working_hours,
    one_job_a_person,
    jobs_at_once,
    part_first,
    in_order,
    work_before_water,
    water_holds,
    lift_open,
    lifts_enough,
    front_leaves_first,
    aside_before_launch,
    nobody_on_her,
)


def unknowns(
    model: cp_model.CpModel, problem: Problem, known: Plan | None, free: Collection[BoatId] | None
) -> Unknowns:
    """The unknowns of every boat; those not ``free`` stay as in the plan that is known."""
    unknown = Unknowns()
    for boat in problem.boats:
        if known is None or free is None or boat.id in free:
            _free(model, unknown, problem, boat)
        else:
            _settled(model, unknown, problem, boat, known)
    return unknown


def _free(model: cp_model.CpModel, unknown: Unknowns, problem: Problem, boat: Boat) -> None:
    end = problem.days.end
    for task in problem.jobs[boat.id]:
        unknown.start[task.id] = model.new_int_var(0, end, f"{task.id} starts")
        unknown.length[task.id] = model.new_int_var(1, end, f"{task.id} takes")
        unknown.end[task.id] = model.new_int_var(0, end, f"{task.id} ends")
        for person in problem.people:
            unknown.by[task.id, person.id] = model.new_bool_var(f"{person.id} does {task.id}")
        model.add_exactly_one(unknown.by[task.id, person.id] for person in problem.people)
    leaves: cp_model.LinearExprT = end + 1  # never
    gone = leaves
    if boat.goes_in:
        launch = unknown.launch[boat.id] = model.new_int_var(0, end, f"{boat.id} goes in")
        leaves, gone = launch - boat.carry_min, launch + boat.launch_min
    if boat.aside_min is not None and _shuts_in(problem, boat.id):
        moved = unknown.moved[boat.id] = model.new_bool_var(f"{boat.id} is moved aside")
        aside = unknown.aside[boat.id] = model.new_int_var(0, end, f"{boat.id} moves at")
        leaves = _one_of(model, moved, aside, leaves)
        gone = _one_of(model, moved, aside + boat.aside_min, gone)
    unknown.leaves[boat.id], unknown.gone[boat.id] = leaves, gone


def _one_of(
    model: cp_model.CpModel, when: Var, this: cp_model.LinearExprT, that: cp_model.LinearExprT
) -> Var:
    either = model.new_int_var(0, 1 << 20, "")
    model.add(either == this).only_enforce_if(when)
    model.add(either == that).only_enforce_if(~when)
    return either


def _settled(
    model: cp_model.CpModel, unknown: Unknowns, problem: Problem, boat: Boat, known: Plan
) -> None:
    unknown.settled.add(boat.id)
    for task in problem.jobs[boat.id]:
        job = known.jobs[task.id]
        unknown.start[task.id] = model.new_constant(job.start)
        unknown.length[task.id] = model.new_constant(job.end - job.start)
        unknown.end[task.id] = model.new_constant(job.end)
        unknown.by[task.id, job.person] = model.new_constant(1)
    leaves = gone = problem.days.end + 1
    if boat.goes_in:
        launch = known.launches[boat.id]
        leaves, gone = launch - boat.carry_min, launch + boat.launch_min
        unknown.launch[boat.id] = model.new_constant(launch)
    if boat.id in known.asides:
        leaves = known.asides[boat.id]
        gone = leaves + (boat.aside_min or 0)
        unknown.aside[boat.id] = model.new_constant(leaves)
        unknown.moved[boat.id] = model.new_constant(1)
    unknown.leaves[boat.id], unknown.gone[boat.id] = leaves, gone


def _shuts_in(problem: Problem, boat: BoatId) -> bool:
    return any(boat in row[:-1] for row in problem.rows)


def _span(model: cp_model.CpModel, free: Unknowns, task: Task, by: Var | int = 1) -> Span:
    start, length, end = free.start[task.id], free.length[task.id], free.end[task.id]
    return model.new_optional_interval_var(start, length, end, by, f"{task.id}")


def _begins_in(
    model: cp_model.CpModel, begins: Var, stretches: Stretches, when: Var | int = 1
) -> None:
    domain = cp_model.Domain.from_intervals([[a, b - 1] for a, b in stretches])
    model.add_linear_expression_in_domain(begins, domain).only_enforce_if(when)


@lru_cache(maxsize=4096)
def _by_length(works: Stretches, minutes: int) -> Mapping[int, Stretches]:
    lengths: dict[int, tuple[Interval, ...]] = {}
    for begins, length in spans(works, minutes):
        lengths[length] = (*lengths.get(length, ()), begins)
    return lengths


def _while_resting(
    model: cp_model.CpModel, free: Unknowns, problem: Problem, task: Task, boat: Boat
) -> Iterator[Var]:
    for person in problem.people:
        if task.trade in person.trades and (task.id, person.id) in free.by:
            rests = model.new_bool_var("")
            model.add_implication(rests, free.by[task.id, person.id])
            resting = outside(person.on.plain.opens, problem.days.end)
            _begins_in(model, free.aside[boat.id], starts(resting, boat.aside_min or 0), rests)
            yield rests
