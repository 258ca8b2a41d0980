"""What would save a promise in a big made-up yard: how much is tried in two minutes."""

import os
from collections.abc import Iterator
from functools import partial
from time import monotonic

from bench.odds import usual
from bench.yards import yard
from yardwright.plan.changes import changes
from yardwright.plan.near import near
from yardwright.plan.odds import Map, Odds, odds
from yardwright.plan.planner import plan
from yardwright.plan.problem import Boat, Plan, Problem
from yardwright.plan.processes import pool
from yardwright.plan.savers import BEST, ENOUGH, Looked, savers
from yardwright.plan.spoken import percent

BOATS, SEED, PLAN_S, LIMIT_S = 300, 1, 20.0, 120.0
PAIRS = BEST * (BEST - 1) // 2


def savers_of_a_big_yard() -> Iterator[str]:
    """An early, a middle and a late Ink in danger, by two processes; the middle one by one too."""
    problem = yard(BOATS, SEED)
    stands = plan(problem, time_limit_s=PLAN_S).plan
    if stands is None:
        raise RuntimeError(f"The planner found no plan of {BOATS} boats in {PLAN_S:.0f} s.")
    with pool() as two:
        began_s = monotonic()
        before = odds(problem, stands, usual(problem), blocks=two.map)
        danger = in_danger(problem, before)
        yield (
            f"savers: {BOATS} boats, {len(danger)} Ink in danger; 2,000 seasons of the plan that "
            f"stands, two processes {monotonic() - began_s:.1f} s"
        )
        for boat in (danger[len(danger) * part // 4] for part in (1, 2, 3)):
            found, line = looked(problem, stands, before, boat, two.map)
            yield f"{line}, two processes"
            if boat is danger[len(danger) // 2]:
                alone, line = looked(problem, stands, before, boat, map)
                yield f"{line}, one process"
                if not (found.not_reached or alone.not_reached) and said(found) != said(alone):
                    raise RuntimeError("Two processes found other savers than one.")


def in_danger(problem: Problem, before: Odds) -> list[Boat]:
    """Ink that is not sure enough, the soonest day first."""
    told = ((boat.ink, boat) for boat in problem.going_in if boat.ink is not None)
    unsure = [(ink, b.id, b) for ink, b in told if percent(before.by(b.id, ink)) < ENOUGH]
    return [boat for _, _, boat in sorted(unsure, key=lambda one: one[:2])]


def looked(
    problem: Problem, stands: Plan, before: Odds, boat: Boat, mapped: Map
) -> tuple[Looked, str]:
    """What was found for one boat, and how far it came."""
    tried: list[str] = []
    began_s = monotonic()
    found = savers(
        problem, stands, boat.id, usual(problem), partial(near, key=boat.id),
        stands=before, mapped=mapped, told=lambda _share, words: tried.append(words),
        stop=lambda: monotonic() - began_s > LIMIT_S,
    )  # fmt: skip
    took_s, singles = monotonic() - began_s, len(list(changes(problem, stands, boat.id)))
    looks = sum(words.startswith("Trying") for words in tried)
    line = (
        f"savers: {boat.name}, Ink on day {boat.ink}: {looks} looks at {singles} changes and "
        f"at most {PAIRS} pairs, {len(tried) - looks} weighed in 2,000 seasons, "
        f"{len(found.not_reached)} not reached, {len(found.savers)} savers, {took_s:.1f} s "
        f"(load {os.getloadavg()[0]:.1f})"
    )
    return found, line


def said(found: Looked) -> list[tuple[str, float, float]]:
    return [(one.words, one.odds, one.mean_days_late) for one in found.savers]
