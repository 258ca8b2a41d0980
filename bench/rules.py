"""Plans of random small yards against the checker, and spoilt plans by model and checker."""

from collections import Counter
from collections.abc import Iterator
from contextlib import suppress
from time import perf_counter

from tests.plan.test_model import agreed
from tests.plan.yards import tiny
from yardwright.plan import checker, solver
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.placing import Stuck
from yardwright.plan.problem import BoatId, Plan, Problem

YARDS, SPOILT = 500, 500
BOATS, LIMIT_S = 5, 2


def rules() -> Iterator[str]:
    """How many plans were made and broke a rule; on how many spoilt ones model and checker agree.

    Raises
    ------
    AssertionError
        On a spoilt plan they don't agree.
    """
    began_s = perf_counter()
    made, broken, yards, tried = Counter[str](), 0, 0, 0
    while yards < YARDS:
        asked = tiny(tried, boats=BOATS)
        plans = list(_plans(asked))
        made.update(by for by, _ in plans)
        broken += sum(len(checker.broken(plan, asked)) for _, plan in plans)
        yards, tried = yards + bool(plans), tried + 1
    said = ", ".join(f"{count} by the {by}" for by, count in made.items())
    took_s = perf_counter() - began_s
    yield (
        f"rules: {yards} random yards that have a plan (of {tried}), {said}: "
        f"{broken} violations ({took_s:.0f} s)"
    )
    began_s, refused, kept, seed = perf_counter(), 0, 0, 0
    while refused < SPOILT:
        bad, good = agreed(range(seed, seed + 10))
        refused, kept, seed = refused + bad, kept + good, seed + 10
    took_s = perf_counter() - began_s
    yield (
        f"rules: {refused + kept} spoilt plans, model and checker agree on each: "
        f"{refused} refused, {kept} still whole ({took_s:.0f} s)"
    )


def _plans(asked: Problem) -> Iterator[tuple[str, Plan]]:
    """By the list, with nobody moved aside and with all in front; and by the solver."""
    known = None
    for some in (set[BoatId](), {front for row in asked.rows for front in row[:-1]}):
        with suppress(Stuck):
            plan = list_plan(asked, by_promise(asked), some)
            known = known or plan
            yield "list", plan
    found = solver.solve(asked, time_limit_s=LIMIT_S, known=known).plan
    if found:
        yield "solver", found
