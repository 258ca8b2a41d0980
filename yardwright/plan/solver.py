"""Ask the solver: what it may choose, the rules it keeps, what a plan costs, and what it proved."""

from collections.abc import Callable, Collection, Iterator
from concurrent.futures import ThreadPoolExecutor
from enum import StrEnum
from math import ceil
from time import monotonic
from typing import NamedTuple

from ortools.sat.python import cp_model

from yardwright.plan import model as rules
from yardwright.plan.model import Unknowns, Var, unknowns
from yardwright.plan.problem import Boat, BoatId, Job, Plan, Problem, Score

LOOK_S = 0.1  # how often a running solver is asked to stop


class Ends(StrEnum):
    """How a search ended. No plan (proven) and none found in time are different answers."""

    BEST = "no better plan is possible"
    FOUND = "a plan; better ones are not ruled out"
    NO_PLAN = "no plan keeps every rule"
    NONE_IN_TIME = "no plan was found in time"


class Found(NamedTuple):
    """A plan if there is one, and what the solver proved: no plan scores below ``least``."""

    ends: Ends
    plan: Plan | None
    least: Score


def solve(
    problem: Problem,
    *,
    time_limit_s: float,
    workers: int = 2,
    seed: int = 1,
    known: Plan | None = None,
    free: Collection[BoatId] | None = None,
    stop: Callable[[], bool] = lambda: False,
) -> Found:
    """Find a plan that keeps every rule: least Ink lateness, then Pencil, then moves.

    Parameters
    ----------
    problem : Problem
        What is asked.
    time_limit_s : float
        When to stop looking, from now; building the model counts too. [s]
    workers : int
        Threads of the solver.
    seed : int
        Same seed, limits and machine: the same search.
    known : Plan, optional
        A plan to start from.
    free : collection of BoatId, optional
        The boats that may be planned anew; the others stay as in ``known``. Then ``ends`` and
        ``least`` speak of this choice alone. Not given: all.
    stop : callable
        Asked ten times a second, in the caller's thread; true ends the search.

    Returns
    -------
    Found
        The plan is not checked: ``checker.broken`` is the authority.
    """
    began_s, model = monotonic(), cp_model.CpModel()
    unknown = unknowns(model, problem, known, free)
    for rule in rules.RULES:
        rule(model, unknown, problem)
    costs = _costs(model, unknown, problem)
    weights = _weights(costs)
    model.minimize(sum(w * sum(cost.terms) for w, cost in zip(weights, costs, strict=True)))
    if known is not None:
        _hint(model, unknown, problem, known)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(0.01, began_s + time_limit_s - monotonic())
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    solver.parameters.cp_model_probing_level = 0  # it alone takes seconds on sixty boats
    status = _run(solver, model, stop)
    if status == cp_model.MODEL_INVALID:
        raise RuntimeError(f"The solver can't read the model: {model.validate()}")
    if status == cp_model.INFEASIBLE:
        return Found(Ends.NO_PLAN, None, Score(0, 0, 0, 0, 0))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found(Ends.NONE_IN_TIME, None, Score(0, 0, 0, 0, 0))
    least = _score(ceil(solver.best_objective_bound - 1e-6), weights)
    ends = Ends.BEST if status == cp_model.OPTIMAL else Ends.FOUND
    return Found(ends, _plan(solver, unknown), least)


def _run(
    solver: cp_model.CpSolver, model: cp_model.CpModel, stop: Callable[[], bool]
) -> cp_model.CpSolverStatus:
    with ThreadPoolExecutor(1) as pool:
        running = pool.submit(solver.solve, model)
        try:
            while True:
                try:
                    return running.result(timeout=LOOK_S)
                except TimeoutError:
                    if stop():
                        solver.stop_search()
        finally:
            if not running.done():
                solver.stop_search()


class Cost(NamedTuple):
    """Terms to add up, and the most they can come to."""

    terms: list[cp_model.LinearExprT]
    most: int


def _costs(model: cp_model.CpModel, unknown: Unknowns, problem: Problem) -> tuple[Cost, ...]:
    """The parts of a ``Score``, in its order, for the boats that are free."""
    ink: list[cp_model.LinearExprT] = []
    pencil: list[cp_model.LinearExprT] = []
    published: list[cp_model.LinearExprT] = []
    for boat in problem.going_in:
        launch = unknown.launch[boat.id]
        if boat.id in unknown.settled:
            continue
        (pencil if boat.ink is None else ink).extend(_days_late(model, problem, boat, launch))
        if boat.published is not None:
            differs = model.new_bool_var("")
            model.add(launch == boat.published).only_enforce_if(~differs)
            published.append(differs)
    asides: list[cp_model.LinearExprT] = [
        moved for boat, moved in unknown.moved.items() if boat not in unknown.settled
    ]
    return tuple(Cost(terms, _most(terms)) for terms in (ink, pencil, published, asides))


def _days_late(
    model: cp_model.CpModel, problem: Problem, boat: Boat, launch: Var
) -> Iterator[cp_model.LinearExprT]:
    promised = boat.pencil if boat.ink is None else boat.ink
    if promised is None:
        return
    yield max(0, -promised)  # lost before the season began
    over = launch + boat.launch_min + boat.watch_min - 1
    last = problem.days.day(problem.days.end + boat.watch_min)
    for day in range(max(0, promised), last):
        late = model.new_bool_var("")
        model.add(over < problem.days.midnight(day + 1)).only_enforce_if(~late)
        yield late


def _most(terms: list[cp_model.LinearExprT]) -> int:
    return sum(term if isinstance(term, int) else 1 for term in terms)


def _weights(costs: tuple[Cost, ...]) -> list[int]:
    weights = [1]
    for cost in reversed(costs[1:]):
        weights.insert(0, weights[0] * (cost.most + 1))
    return weights


def _score(value: int, weights: list[int]) -> Score:
    parts = []
    for weight in weights:
        parts.append(value // weight)
        value %= weight
    parts.append(0)
    return Score(*parts)


def _hint(model: cp_model.CpModel, unknown: Unknowns, problem: Problem, known: Plan) -> None:
    for key, job in known.jobs.items():
        if problem.task[key].boat not in unknown.settled:
            model.add_hint(unknown.start[key], job.start)
            model.add_hint(unknown.length[key], job.end - job.start)
            model.add_hint(unknown.end[key], job.end)
            for person in problem.people:
                model.add_hint(unknown.by[key, person.id], person.id == job.person)
    for boat, launch in known.launches.items():
        if boat not in unknown.settled:
            model.add_hint(unknown.launch[boat], launch)
    for boat, moved in unknown.moved.items():
        if boat not in unknown.settled:
            model.add_hint(moved, boat in known.asides)
            model.add_hint(unknown.aside[boat], known.asides.get(boat, 0))


def _plan(solver: cp_model.CpSolver, unknown: Unknowns) -> Plan:
    jobs = {
        task: Job(person, solver.value(unknown.start[task]), solver.value(unknown.end[task]))
        for (task, person), by in unknown.by.items()
        if solver.value(by)
    }
    return Plan(
        jobs,
        {boat: solver.value(launch) for boat, launch in unknown.launch.items()},
        {b: solver.value(unknown.aside[b]) for b, m in unknown.moved.items() if solver.value(m)},
    )
