"""The solver on a project: plain, and as our planner goes about it."""

from collections.abc import Collection
from concurrent.futures import ThreadPoolExecutor
from itertools import count
from random import Random
from threading import Lock
from time import monotonic, sleep
from typing import NamedTuple

from ortools.sat.python import cp_model

from bench.projects import (
    Project,
    Starts,
    justified,
    length,
    list_schedule,
    shaken,
)

WORKERS = 2
LISTS, WHOLE = 0.03, 0.15  # shares of the time at which the solver begins, and leaves the whole
PART, PART_S = 25, 1.0  # jobs in the first part; how long one may be looked at
POOL = 40


class Found(NamedTuple):
    """A plan, and what no plan can beat."""

    starts: Starts
    at_least: int


class Answer(NamedTuple):
    starts: Starts | None
    at_least: int
    none: bool  # proven that there is none within the bounds asked for


def ask(
    project: Project,
    solver: cp_model.CpSolver,
    *,
    time_limit_s: float,
    workers: int,
    seed: int,
    linear: bool = True,
    shorter_than: int | None = None,
    chains: Collection[tuple[int, int]] = (),
    work: float | None = None,
) -> Answer:
    """Intervals, what comes before what, and each resource as one cumulative rule.

    ``chains`` are pairs of jobs that keep their order besides; ``work`` limits the search by what
    it does and not by the clock, so that it is the same each time.
    """
    horizon = sum(project.duration) if shorter_than is None else shorter_than - 1
    model, jobs = cp_model.CpModel(), range(len(project.duration))
    start = [model.new_int_var(0, horizon - project.duration[job], "") for job in jobs]
    task = [model.new_fixed_size_interval_var(start[j], project.duration[j], "") for j in jobs]
    for job in jobs:
        for after in project.after[job]:
            model.add(start[after] >= start[job] + project.duration[job])
    for first, second in chains:
        model.add(start[second] >= start[first] + project.duration[first])
    for k, room in enumerate(project.capacity):
        needs = [(task[j], project.demand[j][k]) for j in jobs if project.demand[j][k]]
        model.add_cumulative([one for one, _ in needs], [need for _, need in needs], room)
    model.minimize(start[project.order[-1]])
    solver.parameters.max_time_in_seconds = max(0.01, time_limit_s)
    if work is not None:
        solver.parameters.max_deterministic_time = work
    if not linear:
        solver.parameters.linearization_level = 0
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = seed
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return Answer(None, horizon + 1, none=True)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Answer(None, 0, none=False)
    starts = tuple(solver.value(one) for one in start)
    return Answer(starts, round(solver.best_objective_bound), none=False)


def plain(project: Project, time_limit_s: float, seed: int = 1) -> Found:
    """The solver alone."""
    answer = ask(
        project, cp_model.CpSolver(), time_limit_s=time_limit_s, workers=WORKERS, seed=seed
    )
    starts = answer.starts or list_schedule(project, [-tail for tail in project.tail])
    return Found(starts, answer.at_least)


class Search:
    """The shortest plan so far, others nearly as short, and what no plan can beat."""

    def __init__(self, project: Project, time_limit_s: float, seed: int) -> None:
        self.project, self.seed = project, seed
        self.began_s, self.time_limit_s = monotonic(), time_limit_s
        self.at_least = project.at_least
        by_tail = list_schedule(project, [-tail for tail in project.tail])
        self.best = justified(project, by_tail)
        self.pool, self.solver, self.lock = [self.best], cp_model.CpSolver(), Lock()

    @property
    def shortest(self) -> int:
        return length(self.project, self.best)

    def left_s(self, share: float = 1.0) -> float:
        """Seconds until this share of the time is gone."""
        return share * self.time_limit_s - (monotonic() - self.began_s)

    def over(self, share: float = 1.0) -> bool:
        return self.shortest <= self.at_least or self.left_s(share) <= 0

    def offer(self, starts: Starts) -> None:
        """Keep a plan among the shortest few, each once."""
        with self.lock:
            if starts in self.pool:
                return
            before = self.shortest
            pool = sorted([starts, *self.pool], key=lambda one: length(self.project, one))
            self.pool = pool[:POOL]  # of equal ones the newest
            self.best = self.pool[0]
            if self.shortest < before:
                self.solver.stop_search()  # it asks for less now

    def lists(self, tries: int | None = None) -> None:
        """Lists by what follows each job, shaken; then children of the shortest plans."""
        dice, tails = Random(self.seed), [-tail for tail in self.project.tail]  # noqa: S311
        for one in count() if tries is None else range(tries):
            if self.over():
                return
            if one < POOL:
                rank = shaken(tails, dice, dice.choice((1, 3, 8)))
            else:
                rank = _child(dice.choice(self.pool), dice.choice(self.pool), dice)
            self.offer(justified(self.project, list_schedule(self.project, rank)))

    def whole(self, share: float = 1.0, work: float | None = None) -> None:
        """Ask for a shorter plan of all jobs, until there is none or this share of the time is gone."""
        while not self.over(share):
            answer = self._ask(self.left_s(share), self.seed, work=work)
            if answer.none:
                self.at_least = answer.at_least
            elif work is not None and answer.starts is None:
                return

    def _ask(
        self,
        time_limit_s: float,
        seed: int,
        chains: Collection[tuple[int, int]] = (),
        work: float | None = None,
    ) -> Answer:
        """A plan shorter than the shortest, with one worker and without linear programs."""
        self.solver = cp_model.CpSolver()
        answer = ask(
            self.project,
            self.solver,
            time_limit_s=time_limit_s,
            workers=1,
            seed=seed,
            linear=False,
            shorter_than=self.shortest,
            chains=chains,
            work=work,
        )
        if answer.starts:
            self.offer(justified(self.project, answer.starts))
        return answer

    def solve(self) -> None:
        """After a moment for the lists, the whole; then parts."""
        sleep(max(0.0, self.left_s(0) + LISTS * self.time_limit_s))
        self.whole(1.0 if len(self.project.duration) < 2 * PART else WHOLE)
        self.parts()

    def parts(self) -> None:
        """Some hours anew, the other jobs in their order; shorter than the shortest or nothing."""
        dice, size = Random(self.seed), float(PART)  # noqa: S311
        while not self.over():
            starts = dice.choice(self.pool)
            free = _part(self.project, starts, round(size), dice)
            kept = _kept_order(self.project, starts, free)
            limit_s = min(PART_S, self.left_s())
            answer = self._ask(limit_s, dice.randrange(10**6), kept)
            size *= 1.05 if answer.none else 1.0 if answer.starts else 0.95
            size = max(8.0, min(size, len(starts) - 2.0))


def _child(mother: Starts, father: Starts, dice: Random) -> list[float]:
    """In the mother's order, but for a stretch that comes in the father's; and a little shaken."""
    of_mother, of_father = (sorted(range(len(p)), key=p.__getitem__) for p in (mother, father))
    first, behind = sorted(dice.sample(range(len(mother) + 1), 2))
    head = of_mother[:first]
    stretch = [j for j in of_father if j not in set(head)][: behind - first]
    rest = [j for j in of_mother if j not in {*head, *stretch}]
    rank = [0.0] * len(mother)
    for place, job in enumerate((*head, *stretch, *rest)):
        rank[job] = place
    return shaken(rank, dice, dice.choice((0, 0.5, 2, 5)))


def _part(project: Project, starts: Starts, size: int, dice: Random) -> set[int]:
    """The jobs nearest in time to one of them."""
    middle = dice.randrange(length(project, starts))
    ends = [start + d for start, d in zip(starts, project.duration, strict=True)]
    jobs = range(len(starts))
    return set(sorted(jobs, key=lambda j: abs(starts[j] + ends[j] - 2 * middle))[:size])


def _kept_order(project: Project, starts: Starts, free: Collection[int]) -> set[tuple[int, int]]:
    """Who hands each unit of each resource on to whom, among those that keep their order."""
    kept = sorted((j for j in range(len(starts)) if j not in free), key=starts.__getitem__)
    handed: set[tuple[int, int]] = set()
    for k, room in enumerate(project.capacity):
        held: list[tuple[int, int]] = [(0, -1)] * room  # until when, by whom
        for job in kept:
            if need := project.demand[job][k]:
                held.sort(key=lambda unit: (unit[0] > starts[job], -unit[0]))
                handed |= {(by, job) for _, by in held[:need] if by >= 0}
                held[:need] = [(starts[job] + project.duration[job], job)] * need
    return handed


def ours(project: Project, time_limit_s: float, seed: int = 1) -> Found:
    """Lists on one worker all the time; on the other the solver."""
    search = Search(project, time_limit_s, seed)
    with ThreadPoolExecutor(WORKERS) as pool:
        lists = pool.submit(search.lists)
        proof = pool.submit(search.solve)
        lists.result(), proof.result()
    return Found(search.best, search.at_least)
