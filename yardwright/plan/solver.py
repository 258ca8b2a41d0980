"""Ask the solver: what it may choose, the rules it keeps, what a plan costs, and what it proved."""

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from enum import StrEnum
from math import ceil
from time import monotonic
from typing import NamedTuple

from ortools.sat.python import cp_model

from yardwright.plan import model as rules
from yardwright.plan.days import Interval, Minute
from yardwright.plan.line import Line, short_line, whole_line
from yardwright.plan.model_costs import Cost, Published, changed, scored
from yardwright.plan.model_unknowns import Expr, Unknowns
from yardwright.plan.parts import Part, whole
from yardwright.plan.problem import Job, Plan, Problem, Score, overtime_min

LOOK_S = 0.1  # how often a running solver is asked to stop
EVERY_MINUTE = 15  # up to so many boats nights stay in: there is little to win


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


@dataclass(frozen=True, slots=True)
class Limits:
    """When the solver stops, and how it searches.

    With ``steps`` it stops after so much work instead, on one worker the same on every machine.
    With ``around`` it looks only around the plan it starts from: it proves nothing, and finds
    better ones sooner.
    """

    time_limit_s: float
    workers: int = 2
    seed: int = 1
    steps: float | None = None
    stop: Callable[[], bool] = lambda: False
    around: bool = False


NONE = Score(0, 0, 0, 0, 0)


def solve(
    problem: Problem,
    *,
    time_limit_s: float,
    workers: int = 2,
    seed: int = 1,
    known: Plan | None = None,
    part: Part | None = None,
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
    part : Part, optional
        What may be planned anew; the rest stays as in ``known``. Then ``ends`` and ``least``
        speak of this part alone. Not given: all.
    stop : callable
        Asked ten times a second, in the caller's thread; true ends the search.

    Returns
    -------
    Found
        The plan is not checked: ``checker.broken`` is the authority.
    """
    limits = Limits(time_limit_s, workers, seed, None, stop)
    few = part is None and len(problem.boats) <= EVERY_MINUTE
    line = whole_line(problem) if few else short_line(problem)
    return search(problem, line, limits, known=known, part=part or whole(problem))


def improve(
    problem: Problem,
    known: Plan,
    part: Part,
    limits: Limits,
    *,
    line: Line | None = None,
    published: Published | None = None,
    reach_days: tuple[int, int] = (15, 5),
    now: Minute = 0,
) -> Found:
    """Plan a part anew, starting from the plan that is known and looking near it.

    Parameters
    ----------
    problem : Problem
        What is asked.
    known : Plan
        The plan to start from; keep it, for the search may end with none.
    part : Part
        What may be planned anew.
    limits : Limits
        When to stop, and how to search.
    line : Line, optional
        ``short_line(problem)``, if it is at hand.
    published : Published, optional
        Make a change to this plan small. Not given: make the score small, where overtime costs
        nothing and no job is newly put over a day off, which is much quicker.
    reach_days : tuple of int
        How many days sooner than it is a job may begin, and how many days after her launch
        (or where she has none, after itself). [days]
    now : int
        Nothing newly planned begins before. [min]

    Returns
    -------
    Found
        The plan is not checked: ``checker.broken`` is the authority.
    """
    line = line or short_line(problem)
    window = dict(
        _window(
            problem, line, (known, published.plan if published else known), part, reach_days, now
        )
    )
    return search(
        problem,
        line,
        limits,
        known=known,
        part=part,
        window=window,
        published=published,
        rough=published is None,
        now=now,
    )


def _window(
    problem: Problem,
    line: Line,
    plans: tuple[Plan, ...],
    part: Part,
    reach_days: tuple[int, int],
    now: Minute,
) -> Iterator[tuple[str, Interval]]:
    """Where each thing may begin: around where it is in any of the plans."""
    back, slack = (1440 * days for days in reach_days)

    def around(soonest: Minute, latest: Minute, before_min: int = 0) -> Interval:
        low = now + before_min
        return line.place(max(low, soonest - back)), line.place(max(low, latest) + slack)

    for boat in part.boats:
        launches = [plan.launches[boat] for plan in plans if boat in plan.launches]
        if launches:
            yield boat, around(min(launches), max(launches), problem.boat[boat].carry_min)
    for key in part.tasks:
        begins = [plan.jobs[key].start for plan in plans if key in plan.jobs]
        goes_in = (plan.launches.get(problem.task[key].boat, 0) for plan in plans)
        yield key, around(min(begins), max([*begins, *goes_in]))


def search(
    problem: Problem,
    line: Line,
    limits: Limits,
    *,
    known: Plan | None,
    part: Part,
    window: Mapping[str, Interval] | None = None,
    published: Published | None = None,
    rough: bool = False,
    now: Minute = 0,
) -> Found:
    """Plan a part anew on a line made before; ``window`` holds the places where to look."""
    began_s, model = monotonic(), cp_model.CpModel()
    priced = not rough and published is None
    free = Unknowns(model, problem, line, known, part, window or {}, rough, priced, now)
    for rule in rules.RULES:
        rule(model, free, problem)
    free.close()
    costs = scored(free) if published is None else changed(free, published)
    weights = _weights(costs)
    model.minimize(sum(w * sum(cost.terms) for w, cost in zip(weights, costs, strict=True)))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = max(0.01, began_s + limits.time_limit_s - monotonic())
    solver.parameters.num_workers = limits.workers
    solver.parameters.random_seed = limits.seed
    solver.parameters.cp_model_probing_level = 0  # it alone takes seconds on sixty boats
    if limits.workers == 1:
        solver.parameters.linearization_level = 0  # alone, twice as quick to a proof without
    solver.parameters.use_lns_only = limits.around
    if limits.steps is not None:
        solver.parameters.max_deterministic_time = limits.steps
    status = _run(solver, model, limits.stop)
    if status == cp_model.MODEL_INVALID:
        raise RuntimeError(f"The solver can't read the model: {model.validate()}")
    if status == cp_model.INFEASIBLE:
        return Found(Ends.NO_PLAN, None, NONE)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Found(Ends.NONE_IN_TIME, None, NONE)
    ends = Ends.BEST if status == cp_model.OPTIMAL else Ends.FOUND
    least = NONE
    if published is None:
        least = _score(ceil(solver.best_objective_bound - 1e-6), weights)
    return Found(ends, _plan(solver, free), least)


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


def _weights(costs: list[Cost]) -> list[int]:
    weights = [1]
    for cost in reversed(costs[1:]):
        weights.insert(0, weights[0] * (cost.most + 1))
    return weights


def _score(value: int, weights: list[int]) -> Score:
    parts = []
    for weight in weights:
        parts.append(value // weight)
        value %= weight
    return Score(*parts)


def _plan(solver: cp_model.CpSolver, free: Unknowns) -> Plan:
    known = free.known or Plan({}, {}, {})
    jobs, launches, asides = dict(known.jobs), dict(known.launches), dict(known.asides)

    def minute(place: Expr) -> int:
        return free.line.minute(solver.value(place))

    for task in free.free_tasks():
        (mode,) = (m for m in free.modes[task.id] if solver.value(free.by(task.id, m)))
        start, end = minute(free.start[task.id]), free.line.ended(solver.value(free.end[task.id]))
        job = Job(mode.person, start, end, mode.watcher, mode.overtime)
        if mode.watcher is None:  # who watches may work overtime where the learner has none
            job = replace(job, overtime=overtime_min(free.problem, job) > 0)
        jobs[task.id] = job
    for boat in free.part.boats & free.launch.keys():
        launches[boat] = minute(free.launch[boat])
    for boat in free.part.boats & free.moved.keys():
        asides.pop(boat, None)
        if solver.value(free.moved[boat]):
            asides[boat] = minute(free.aside[boat])
    return Plan(jobs, launches, asides)
