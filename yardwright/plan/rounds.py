"""One round of the search: better orders of the boats, some boats put in again, or a part anew.

A round knows only what it is given, so that it can run in a process of its own.
"""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from random import Random
from time import monotonic
from typing import NamedTuple

from yardwright.plan import checker, parts, solver
from yardwright.plan.line import Line, short_line
from yardwright.plan.list_plan import by_promise, demand, list_plan
from yardwright.plan.parts import Kind, Part
from yardwright.plan.placing import Stuck
from yardwright.plan.problem import BoatId, PersonId, Plan, Problem, Score, days_late, score
from yardwright.plan.turns import Turns

MORE_TRIES = 10
SPARED = (0.0, 1440.0, 14400.0)  # minutes by which the most wanted are spared, at first
EARLY = (0.0, 4.0, 15.0)  # days before her day by which overtime is to make each ready, at first
TURNS_S = 1.5  # how long boats are taken out and put in again, where the clock counts
PART_S = 2.0  # how long the solver may look at one part of the yard
PART_STEPS = 1.0  # the same in steps of the solver, where the clock must not count
NO_SCORE = Score(10**9, 0, 0, 0, 0)  # worse than any plan


class Order(NamedTuple):
    """An order of the boats, those moved aside, and the list plan it makes."""

    score: Score
    rank: Mapping[BoatId, float]
    asides: frozenset[BoatId]
    wait_min: Mapping[PersonId, float]  # how much later a job may be done, not to take this one
    early_days: Mapping[BoatId, float]  # overtime is used to be ready so long before her day
    plan: Plan | None


@dataclass(frozen=True, slots=True)
class Yard:
    """A problem with what every round needs of it."""

    problem: Problem
    demand: Mapping[PersonId, float]
    fronts: Sequence[BoatId]
    line: Line

    @classmethod
    def of(cls, problem: Problem) -> "Yard":
        """Look once at what does not change."""
        fronts = {front for row in problem.rows for front in row[:-1]}
        fronts = {front for front in fronts if problem.boat[front].aside_min is not None}
        return cls(problem, demand(problem), sorted(fronts), short_line(problem))


class Round(NamedTuple):
    """What a round is asked: shake an order so often, take so many turns, or plan a part anew."""

    seed: int
    order: Order
    plan: Plan
    tries: int = 0
    turns: int = 0
    kind: Kind = Kind.TRADE
    jobs: int = 0
    exact: bool = False  # stop by steps, not by the clock


class Done(NamedTuple):
    """What came of it; ``part`` is None where an order was shaken."""

    asked: Round
    order: Order
    plan: Plan | None
    part: Part | None = None
    proven: bool = False


def played(yard: Yard, asked: Round, stop: Callable[[], bool] = lambda: False) -> Done:
    """Play a round."""
    dice = Random(asked.seed)  # noqa: S311 - no secret
    if asked.turns:
        return _turn(yard, asked, dice, stop)
    return _anew(yard, asked, dice, stop) if asked.jobs else _shake(yard, asked, dice, stop)


Asked = tuple[
    Mapping[BoatId, float], frozenset[BoatId], Mapping[PersonId, float], Mapping[BoatId, float]
]


def first_orders(yard: Yard) -> list[Asked]:
    """By promise; ever more overtime, with nobody, some or all of those in the way aside."""
    rank = by_promise(yard.problem)
    some = dict.fromkeys((frozenset[BoatId](), _in_the_way(yard, rank), frozenset(yard.fronts)))
    spared = [{key: wait_min * share for key, share in yard.demand.items()} for wait_min in SPARED]
    early = [dict.fromkeys(rank, days) for days in EARLY]
    ways = product(spared, early, some)
    return [(rank, asides, wait_min, early_days) for wait_min, early_days, asides in ways]


def placed(
    yard: Yard,
    rank: Mapping[BoatId, float],
    asides: Collection[BoatId],
    wait_min: Mapping[PersonId, float],
    early_days: Mapping[BoatId, float],
) -> Order:
    """Place the boats; one that finds no room is placed sooner, in a few more tries."""
    for _ in range(MORE_TRIES):
        try:
            plan = list_plan(yard.problem, rank, asides, wait_min, early_days)
            made = score(yard.problem, plan)
            return Order(made, rank, frozenset(asides), wait_min, early_days, plan)
        except Stuck as stuck:
            rank = {**rank, stuck.boat: min(rank.values()) - 1}
    return Order(NO_SCORE, rank, frozenset(asides), wait_min, early_days, None)


def _in_the_way(yard: Yard, rank: Mapping[BoatId, float]) -> frozenset[BoatId]:
    return frozenset(
        front
        for row in yard.problem.rows
        for place, front in enumerate(row)
        if front in yard.fronts and any(rank[behind] < rank[front] for behind in row[place + 1 :])
    )


def _shake(yard: Yard, asked: Round, dice: Random, stop: Callable[[], bool]) -> Done:
    """Shake an order, and go on from what is no worse."""
    here = asked.order
    for _ in range(asked.tries):
        if stop():
            break
        order = placed(yard, *_shaken(yard, here, dice))
        if order.score <= here.score:
            here = order
    return Done(asked, here, here.plan)


def _shaken(yard: Yard, order: Order, dice: Random) -> Asked:
    """Boats elsewhere; now and then another aside, somebody spared, ready at another time."""
    rank, asides, wait_min = dict(order.rank), order.asides, dict(order.wait_min)
    early_days = dict(order.early_days)
    fronts, late = yard.fronts, late_boats(yard.problem, order.plan)
    if late and dice.random() < 0.5:
        (boat,) = dice.choices(list(late), list(late.values()))
        rank[boat] -= dice.expovariate(1 / 5)
        in_front = (front.id for front in yard.problem.in_front[boat])
        fronts = [front for front in in_front if front in yard.fronts] or fronts
    else:
        for boat in dice.sample(list(rank), min(len(rank), dice.randint(1, 4))):
            rank[boat] += dice.gauss(0, 4)
    if fronts and dice.random() < 0.3:
        asides ^= {dice.choice(fronts)}
    if wait_min and dice.random() < 0.3:
        wait_min[dice.choice(sorted(wait_min))] = dice.choice((0.0, dice.expovariate(1 / 1440)))
    if dice.random() < 0.3:
        for boat in dice.sample(list(rank), min(len(rank), 10)):
            early_days[boat] = dice.choice((0.0, dice.expovariate(1 / 8)))
    return rank, asides, wait_min, early_days


def late_boats(problem: Problem, plan: Plan | None) -> dict[BoatId, int]:
    """Days late of each late boat, Ink counting tenfold."""
    if plan is None:
        return {}
    late = {boat: days_late(problem, plan, boat) for boat in problem.going_in}
    return {b.id: days * (1 if b.ink is None else 10) for b, days in late.items() if days}


def _turn(yard: Yard, asked: Round, dice: Random, stop: Callable[[], bool]) -> Done:
    """Take some boats out and put them in again, turn after turn."""
    turns, until_s = Turns(yard.problem, asked.plan, dice), monotonic() + TURNS_S
    for _ in range(asked.turns):
        if stop() or (not asked.exact and monotonic() > until_s):
            break
        turns.turn()
    found = turns.plan if turns.touched else None
    if found and checker.broken(found, yard.problem):
        found = None
    return Done(asked, asked.order, found, parts.of_boats(yard.problem, turns.touched))


def _anew(yard: Yard, asked: Round, dice: Random, stop: Callable[[], bool]) -> Done:
    """Draw a part of the plan and give it to the solver."""
    part = parts.drawn(yard.problem, asked.plan, asked.kind, asked.jobs, dice)
    if part is None:
        return Done(asked, asked.order, None)
    steps = PART_STEPS if asked.exact else None
    limit_s = 60.0 if asked.exact else PART_S
    found = solver.improve(
        yard.problem,
        asked.plan,
        part,
        solver.Limits(limit_s, 1, asked.seed, steps, stop),
        line=yard.line,
    )
    return Done(asked, asked.order, found.plan, part, proven=found.ends is solver.Ends.BEST)


def merged(plan: Plan, found: Plan, part: Part) -> Plan:
    """A plan with what was found for one part of it; the checker says whether it holds."""
    jobs = dict(plan.jobs) | {key: found.jobs[key] for key in part.tasks}
    launches = dict(plan.launches)
    launches |= {key: found.launches[key] for key in part.boats if key in found.launches}
    asides = {key: at for key, at in plan.asides.items() if key not in part.boats}
    asides |= {key: found.asides[key] for key in part.boats if key in found.asides}
    return replace(plan, jobs=jobs, launches=launches, asides=asides)
