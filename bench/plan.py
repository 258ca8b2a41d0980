"""The planner on made-up yards, beside a list by due date, a rule tried again, and what is proven.

``./dev bench plan --yards 20 --seconds 60`` writes the tables of ``docs/performance.md``; it takes
``yards`` times twice the seconds, and a little.
"""

from collections.abc import Iterator, Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context
from random import Random
from resource import RUSAGE_CHILDREN, RUSAGE_SELF, getrusage
from time import monotonic
from typing import NamedTuple

from bench.yards import loads, yard
from yardwright.plan import checker, planner
from yardwright.plan.bound import Relaxed
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.placing import Stuck
from yardwright.plan.problem import BoatId, Problem, Score, score
from yardwright.plan.search import Bound

CORES = 2
LATER_DAYS = 5  # a boat that is only pencilled goes behind those with Ink, by due date
NOISE_DAYS = 4.0  # at most
HEAD = (
    "Boats, yard",
    "Load",
    "By due date",
    "A rule, tried again",
    "Ours",
    "No plan beats",
    "First plan",
    "Bound",
    "Memory",
)


class Measured(NamedTuple):
    """One yard: lateness by each method, what no plan beats, and what it took."""

    boats: int
    seed: int
    load: float
    by_due_date: Score
    rule: Score
    ours: Score
    least: Bound
    proven: bool
    first_s: float
    bound_s: float
    memory_mib: int


def tables(yards: int, seconds: float, sizes: Sequence[int]) -> Iterator[str]:
    """Markdown: for each size of yard a table and what it comes to."""
    for boats in sizes:
        some = {30: min(3, yards), 1000: 1}.get(boats, yards)
        limit_s = 5 * seconds if boats == 1000 else seconds
        yield f"\n### {boats} boats, {limit_s:g} s on {CORES} cores\n"
        yield _line(HEAD)
        yield _line(["---"] * len(HEAD))
        rows = []
        for seed in range(1, some + 1):
            rows.append(_alone(boats, seed, limit_s))
            yield _row(rows[-1])
        yield from _in_all(rows)


def _alone(boats: int, seed: int, seconds: float) -> Measured:
    """In a process of its own, so that its memory is its own."""
    with ProcessPoolExecutor(1, get_context("spawn")) as pool:
        return pool.submit(measured, boats, seed, seconds).result()


def measured(boats: int, seed: int, seconds: float) -> Measured:
    """Plan one yard by each method.

    Raises
    ------
    RuntimeError
        A plan breaks a rule, or beats what no plan can beat: then nothing is measured.
    """
    problem = yard(boats, seed)
    began_s = monotonic()
    relaxed = Relaxed(problem)
    ink = relaxed.ink_days(5)
    bound_s = monotonic() - began_s
    first_s: list[float] = []

    def told(_share: float, said: str) -> None:
        if not first_s and said.startswith("Ink"):
            first_s.append(monotonic() - began_s)

    began_s = monotonic()
    answer = planner.plan(problem, time_limit_s=seconds, workers=CORES, told=told)
    if answer.plan is None or answer.score is None:
        raise RuntimeError(f"{boats} boats, yard {seed}: no plan in {seconds:g} s.")
    if broken := checker.broken(answer.plan, problem):
        raise RuntimeError(f"{boats} boats, yard {seed}: {broken[0]}")
    if ink is None or answer.score.ink_days < ink:
        raise RuntimeError(f"{boats} boats, yard {seed}: Ink {answer.score} beats {ink}.")
    memory_mib = _memory_mib()
    return Measured(
        boats,
        seed,
        loads(problem)["all"],
        by_due_date(problem),
        tried_again(problem, seconds),
        answer.score,
        answer.bound,
        answer.status is planner.Status.BEST,
        first_s[0] if first_s else seconds,
        bound_s,
        memory_mib,
    )


def by_due_date(problem: Problem) -> Score:
    """A whiteboard: earliest Ink first, pencilled boats a little later; overtime to save an Ink."""
    inked = {boat.id: 0.0 for boat in problem.boats if boat.ink is not None}
    return score(problem, list_plan(problem, _due(problem), early_days=inked))


def tried_again(problem: Problem, seconds: float) -> Score:
    """The same rule with noise, again and again in two processes: the best of all."""
    with ProcessPoolExecutor(CORES, get_context("fork")) as pool:
        return min(pool.map(_shaken, [problem] * CORES, range(CORES), [seconds] * CORES))


def _shaken(problem: Problem, seed: int, seconds: float) -> Score:
    dice, until_s = Random(seed), monotonic() + seconds  # noqa: S311 - no secret
    due = by_promise(problem)
    best = by_due_date(problem)
    while monotonic() < until_s:
        noise_days = NOISE_DAYS * dice.random()
        rank = {boat: days + dice.gauss(0, noise_days) for boat, days in due.items()}
        try:
            best = min(best, score(problem, list_plan(problem, rank)))
        except Stuck:
            continue
    return best


def _due(problem: Problem) -> Mapping[BoatId, float]:
    return {
        boat.id: by_promise(problem)[boat.id] if boat.ink is not None else boat.pencil + LATER_DAYS
        for boat in problem.boats
        if boat.pencil is not None
    }


def _memory_mib() -> int:
    """At most: this process, and as much as the largest of its children for each of them."""
    kib = getrusage(RUSAGE_SELF).ru_maxrss + CORES * getrusage(RUSAGE_CHILDREN).ru_maxrss
    return kib // 1024


def _line(cells: Sequence[str]) -> str:
    return f"| {' | '.join(cells)} |"


def _row(one: Measured) -> str:
    return _line(
        [
            f"{one.boats}, {one.seed}",
            f"{one.load:.0%}",
            *(_late(score) for score in (one.by_due_date, one.rule, one.ours)),
            f"{one.least.ink_days} / {one.least.pencil_days}{' (best)' if one.proven else ''}",
            f"{one.first_s:.1f} s",
            f"{one.bound_s:.1f} s",
            f"{one.memory_mib} MiB",
        ]
    )


def _late(score: Score) -> str:
    return f"{score.ink_days} / {score.pencil_days} / {score.overtime_min // 60} h"


def _in_all(rows: Sequence[Measured]) -> Iterator[str]:
    ours, least, due, rule = (
        [sum(one[part] for one in scores) for part in (0, 1)]
        for scores in (
            [one.ours for one in rows],
            [one.least for one in rows],
            [one.by_due_date for one in rows],
            [one.rule for one in rows],
        )
    )
    yield (
        "\nDays late of Ink / of Pencil / overtime. In all: "
        f"by due date {due[0]} / {due[1]}, the rule tried again {rule[0]} / {rule[1]}, "
        f"ours {ours[0]} / {ours[1]}, no plan beats {least[0]} / {least[1]}."
    )
    for name, at, most in (("Ink", 0, 0.01), ("Pencil", 1, 0.10)):
        gap = ours[at] / least[at] - 1 if least[at] else float(bool(ours[at]))
        yield (
            f"{name}: {gap:.1%} above what no plan beats (aim {most:.0%}), "
            f"{ours[at] / max(1, due[at]):.0%} of by due date."
        )
    open_ = [f"{one.boats}, {one.seed}" for one in rows if one.ours[:2] != tuple(one.least)]
    proven = sum(one.proven for one in rows)
    yield (
        f"Proven the best: {proven} of {len(rows)}. Days at what no plan beats but for: "
        f"{'; '.join(open_) or 'none'}."
    )
