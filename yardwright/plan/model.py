"""The rules as the solver hears them. Each has a twin of the same name in ``checker``."""

from collections import defaultdict
from collections.abc import Callable, Iterator
from itertools import pairwise

from ortools.sat.python import cp_model

from yardwright.plan.days import Interval
from yardwright.plan.hours import Stretches, both, either, later, outside, starts, within
from yardwright.plan.model_unknowns import Expr, Mode, Span, Unknowns, Var
from yardwright.plan.problem import Boat, LiftId, Person, PersonId, Problem, Task, TaskId

Rule = Callable[[cp_model.CpModel, Unknowns, Problem], None]
Loads = list[tuple[Span, int]]


def right_trade(_model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """One person who has the trade, or learns it, does the whole job."""
    for task in free.free_tasks():
        free.modes[task.id] = [
            mode for mode in free.modes[task.id] if problem.person[mode.person].may_do(task)
        ]


def watched(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A learner works while somebody of the trade is there for it, with no job of their own."""
    watches = _kept(free, watching=True)
    eyes = {person: either(spans) for person, spans in watches.items()}
    own = {person: either(spans) for person, spans in _kept(free, watching=False).items()}
    eyed: defaultdict[PersonId, Loads] = defaultdict(list)
    for task in free.free_tasks():
        free.modes[task.id] = [
            mode
            for mode in free.modes[task.id]
            if mode.watcher or task.trade not in problem.person[mode.person].learns
        ]
        for mode in free.modes[task.id]:
            free.barred[task.id, mode].add(eyes.get(mode.person, ()))
            if mode.watcher:
                away = _away(free, mode, problem.person[mode.watcher])
                free.barred[task.id, mode] |= {own.get(mode.watcher, ()), away}
                eyed[mode.watcher].append((free.span(task.id, free.by(task.id, mode)), 1))
    for key, new in eyed.items():
        most = problem.person[key].may_watch
        kept = [(_fixed(model, span), 1) for span in watches[key]]
        doing = [(span, most) for span in _doing(free, problem.person[key])]
        _at_most(model, [*new, *kept, *doing], most)


def working_hours(_model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A job takes its minutes of work and rests only while its person does."""
    for task in free.free_tasks():
        for mode in free.modes[task.id]:
            if problem.person[mode.person].may_do(task):
                free.clock[task.id, mode] = free.line.hours[mode.person][mode.overtime]


def one_job_a_person(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A person finishes a job before the next."""
    own = {person: either(spans) for person, spans in _kept(free, watching=False).items()}
    for task in free.free_tasks():
        for mode in free.modes[task.id]:
            free.barred[task.id, mode].add(own.get(mode.person, ()))
    for person in problem.people:
        model.add_no_overlap(_doing(free, person))


def jobs_at_once(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """No more jobs go on at once on a boat than she has room for."""
    for boat in free.touched():
        jobs = problem.jobs[boat.id]
        if len(jobs) > boat.hands:
            _at_most(model, [(free.span(task.id), 1) for task in jobs], boat.hands)


def part_first(model: cp_model.CpModel, free: Unknowns, _problem: Problem) -> None:
    """A job does not begin before what it waits for is there."""
    for task in free.free_tasks():
        model.add(free.start[task.id] >= free.line.place(task.not_before))


def in_order(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A job begins when those it comes after are finished."""
    for task in problem.tasks:
        for before in task.after:
            _first(model, free.end[before], free.start[task.id])


def by_another(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A second look is for who has the trade and had no hand in the work, nor watched it."""
    for task in problem.tasks:
        for other in task.not_by:
            for person in problem.people:
                hands = [*_hands(free, task.id, person), *_hands(free, other, person)]
                if not all(isinstance(one, int) for one in hands):
                    model.add(sum(hands) <= 1)


def work_before_water(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A boat is fetched when all work on her ashore is done."""
    for boat in free.touched():
        for task in problem.ashore(boat.id) if boat.goes_in else ():
            _first(model, free.end[task.id], free.launch[boat.id] - boat.carry_min)


def paint_dry(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A boat meets the water when her paint is dry."""
    for task, end, launch in _painted(free, problem, lambda task: task.dry_min > 0):
        _first(model, end + task.dry_min, launch)


def not_too_long_dry(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A boat meets the water before her paint has stood too long."""
    for task, end, launch in _painted(free, problem, lambda task: task.within_min is not None):
        _first(model, launch, end + (task.within_min or 0))


def water_holds(_model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A launch has the boat's water from the minute she meets it until it is over."""
    for boat in _launched(free, problem):
        free.begins_in(free.launch[boat.id], starts(boat.water, boat.launch_min))


def lift_open(_model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A launch, with the way to the water, or a move aside has the lift open all the time."""
    for boat in _launched(free, problem):
        opens = starts(problem.lift[boat.lift].opens, boat.carry_min + boat.launch_min)
        free.begins_in(free.launch[boat.id], later(opens, boat.carry_min))
    for boat in _moving(free, problem):
        opens = starts(problem.lift[boat.lift].opens, boat.aside_min or 0)
        free.begins_in(free.aside[boat.id], opens, free.moved[boat.id])


def ground_bears(_model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A boat is fetched or moved aside once the ground where she stands bears her lift."""
    for boat in _launched(free, problem):
        if boat.ground_from:
            firm = (boat.ground_from + boat.carry_min, problem.days.end + 1)
            free.begins_in(free.launch[boat.id], (firm,))
    for boat in _moving(free, problem):
        if boat.ground_from:
            firm = (boat.ground_from, problem.days.end + 1)
            free.begins_in(free.aside[boat.id], (firm,), free.moved[boat.id])


def lifts_enough(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """No more boats are carried at once than there are lifts of their kind."""
    carried: defaultdict[LiftId, Loads] = defaultdict(list)
    for key, launch in free.launch.items():
        boat = problem.boat[key]
        takes = boat.carry_min + boat.launch_min
        span = model.new_fixed_size_interval_var(launch - boat.carry_min, takes, "")
        carried[boat.lift].append((span, 1))
    for key, aside in free.aside.items():
        boat = problem.boat[key]
        span = model.new_optional_fixed_size_interval_var(
            aside, boat.aside_min or 0, free.moved[key], ""
        )
        carried[boat.lift].append((span, 1))
    for lift in {boat.lift for boat in problem.boats if boat.id in free.part.boats}:
        hang = _taken(model, free, problem.lift[lift].taken)
        _at_most(model, [*carried[lift], *hang], problem.lift[lift].count)


def front_leaves_first(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A boat leaves her place only when those in front have left or been moved aside."""
    for row in problem.rows:
        for front, behind in pairwise(row):
            _first(model, free.gone[front], free.leaves[behind])


def aside_before_launch(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A boat is moved aside before she is fetched for her launch, not after."""
    for boat in _moving(free, problem):
        if boat.goes_in:
            begins = free.aside[boat.id] + (boat.aside_min or 0) + boat.carry_min
            model.add(begins <= free.launch[boat.id]).only_enforce_if(free.moved[boat.id])


def nobody_on_her(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A boat is not moved aside while somebody works on her."""
    for boat in _moving(free, problem):
        for task in problem.jobs[boat.id]:
            _not_while_worked_on(model, free, problem, boat, task)
    for task in free.free_tasks():
        if task.boat in free.aside and task.boat not in free.part.boats:
            begin = free.line.place(free.was_aside(task.boat) or 0)
            moving = ((begin, begin + (problem.boat[task.boat].aside_min or 0)),)
            for mode in free.modes[task.id]:
                hours = free.line.hours[mode.person][mode.overtime]
                free.barred[task.id, mode].add(both(hours.opens, moving))


def looks_places(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """No more boats new in the water are looked after at once than can be."""
    if problem.looks:
        new = [boat for boat in problem.going_in if boat.looks_min]
        begins = {boat.id: free.launch[boat.id] + boat.launch_min for boat in new}
        looks = [
            (model.new_fixed_size_interval_var(begins[boat.id], boat.looks_min, ""), 1)
            for boat in new
        ]
        before = _taken(model, free, problem.looks.taken)
        _at_most(model, [*looks, *before], problem.looks.at_once)


def looks_hours(_model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """A boat new in the water is looked after while somebody is there for it."""
    for boat in _launched(free, problem):
        if problem.looks and boat.looks_min:
            opens = starts(problem.looks.opens, boat.looks_min)
            free.begins_in(free.launch[boat.id], later(opens, -boat.launch_min))


def work_afloat(model: cp_model.CpModel, free: Unknowns, problem: Problem) -> None:
    """Work afloat begins when the launch is over."""
    for boat in free.touched():
        for task in problem.afloat(boat.id):
            _first(model, free.launch[boat.id] + boat.launch_min, free.start[task.id])


RULES: tuple[Rule, ...] = (
    right_trade,
    watched,
    working_hours,
    one_job_a_person,
    jobs_at_once,
    part_first,
    in_order,
    by_another,
    work_before_water,
    paint_dry,
    not_too_long_dry,
    water_holds,
    lift_open,
    ground_bears,
    lifts_enough,
    front_leaves_first,
    aside_before_launch,
    nobody_on_her,
    looks_places,
    looks_hours,
    work_afloat,
)


def _first(model: cp_model.CpModel, before: Expr, after: Expr) -> None:
    """The one is over when the other begins. Where both stay, that is not asked again."""
    if not (isinstance(before, int) and isinstance(after, int)):
        model.add(before <= after)


def _at_most(model: cp_model.CpModel, loads: Loads, most: int) -> None:
    if most == 1:
        model.add_no_overlap([span for span, _ in loads])
    else:
        model.add_cumulative([span for span, _ in loads], [load for _, load in loads], most)


def _fixed(model: cp_model.CpModel, span: Interval) -> Span:
    return model.new_interval_var(span[0], span[1] - span[0], span[1], "")


def _taken(model: cp_model.CpModel, free: Unknowns, taken: Stretches) -> Loads:
    """What boats take that went to the lift before, one of it each."""
    spans = ((free.line.place(start), free.line.place(end)) for start, end in taken)
    return [(_fixed(model, span), 1) for span in spans if span[0] < span[1]]


def _kept(free: Unknowns, *, watching: bool) -> defaultdict[PersonId, list[Interval]]:
    """When each person is on a job that stays, or watches one."""
    spans: defaultdict[PersonId, list[Interval]] = defaultdict(list)
    for _, job, span in free.kept_jobs():
        person = job.watcher if watching else job.person
        if person is not None:
            spans[person].append(span)
    return spans


def _away(free: Unknowns, mode: Mode, watcher: Person) -> Stretches:
    """When the person of a mode works and the one who watches does not."""
    there = free.line.hours[watcher.id][mode.overtime].opens
    works = free.line.hours[mode.person][mode.overtime].opens
    return both(works, outside(there, free.line.end))


def _doing(free: Unknowns, person: Person) -> list[Span]:
    """What a person may do, of all that is planned anew."""
    does = ((task.id, free.does(task.id, person.id)) for task in free.free_tasks())
    return [free.span(key, when) for key, when in does if when is not None]


def _hands(free: Unknowns, key: TaskId, person: Person) -> list[Var | int]:
    """Whether a person has a hand in a job, working or watching: at most one of these is so."""
    if key in free.part.tasks:
        ways = (m for m in free.modes[key] if person.id in (m.person, m.watcher))
        return [free.by(key, mode) for mode in ways]
    assert free.known is not None  # noqa: S101 - what stays is known
    return [int(person.id in free.known.jobs[key].hands)]


def _painted(
    free: Unknowns, problem: Problem, asked: Callable[[Task], bool]
) -> Iterator[tuple[Task, Expr, Expr]]:
    """Jobs that must end some time before the water, with both minutes of the season."""
    jobs, launches = (free.known.jobs, free.known.launches) if free.known else ({}, {})
    for boat in free.touched():
        tasks = [task for task in problem.ashore(boat.id) if boat.goes_in and asked(task)]
        if tasks:
            launch = free.real(free.launch[boat.id], boat.id, launches.get(boat.id), over=False)
            for task in tasks:
                was = jobs[task.id].end if jobs else None
                yield task, free.real(free.end[task.id], task.id, was, over=True), launch


def _launched(free: Unknowns, problem: Problem) -> Iterator[Boat]:
    return (boat for boat in problem.going_in if boat.id in free.part.boats)


def _moving(free: Unknowns, problem: Problem) -> Iterator[Boat]:
    """Boats that may be moved aside or not."""
    return (problem.boat[key] for key in free.aside if key in free.part.boats)


def _not_while_worked_on(
    model: cp_model.CpModel, free: Unknowns, problem: Problem, boat: Boat, task: Task
) -> None:
    aside, minutes, moved = free.aside[boat.id], boat.aside_min or 0, free.moved[boat.id]
    if task.id not in free.part.tasks:
        assert free.known is not None  # noqa: S101 - what stays is known
        kept = free.known.jobs[task.id]
        hours = problem.person[kept.person].hours(overtime=kept.overtime)
        idle = outside(within(hours.opens, kept.start, kept.end), problem.days.end)
        free.begins_in(aside, starts(idle, minutes), moved)
        return
    was = free.was_aside(boat.id)
    job = free.known.jobs[task.id] if free.known else None
    before = free.flag(was is not None and job is not None and was + minutes <= job.start)
    after = free.flag(was is not None and job is not None and was >= job.end)
    model.add(aside + minutes <= free.start[task.id]).only_enforce_if(before)
    model.add(aside >= free.end[task.id]).only_enforce_if(after)
    rests = list(_while_resting(free, problem, task, boat))
    model.add_bool_or(before, after, *rests, ~moved)


def _while_resting(free: Unknowns, problem: Problem, task: Task, boat: Boat) -> Iterator[Var]:
    was = free.was_aside(boat.id)
    for mode in free.modes[task.id]:
        hours = problem.person[mode.person].hours(overtime=mode.overtime)
        resting = starts(outside(hours.opens, problem.days.end), boat.aside_min or 0)
        here = was is not None and any(a <= was < b for a, b in resting)
        rests = free.flag(here and free.was(task.id) == mode)
        free.model.add_implication(rests, free.by(task.id, mode))
        free.begins_in(free.aside[boat.id], resting, rests)
        yield rests
