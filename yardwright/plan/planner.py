"""Plan a season: quick first, better while there is time, never a plan the checker refuses."""

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from yardwright.plan.no_plan import why_no_plan
from yardwright.plan.problem import Plan, Problem, Score
from yardwright.plan.search import Bound, Search

WHOLE = 15  # up to so many boats the solver sees all of them at once
PROVABLE = 350  # up to so many jobs it may prove a plan of all of them the best, given time


class Status(StrEnum):
    """What is known of the answer."""

    BEST = "best"  # proven: no plan is better
    FOUND = "found"  # a checked plan; the bound says how much better one could be
    NO_PLAN = "no plan"  # proven: no plan keeps every rule
    NONE_IN_TIME = "none found in time"  # nothing is proven


@dataclass(frozen=True, slots=True)
class Answer:
    """A checked plan with its score and what no plan can beat, or why there is none."""

    status: Status
    plan: Plan | None
    score: Score | None
    bound: Bound
    reasons: tuple[str, ...] = ()


def plan(
    problem: Problem,
    *,
    time_limit_s: float = 25.0,
    workers: int = 2,
    seed: int = 1,
    steps: int | None = None,
    known: Plan | None = None,
    told: Callable[[float, str], None] = lambda _share, _said: None,
    stop: Callable[[], bool] = lambda: False,
) -> Answer:
    """Plan the season: least late on Ink, then on Pencil, then with fewest moves.

    Parameters
    ----------
    problem : Problem
        What is asked.
    time_limit_s : float
        When to answer at the latest; sooner when nothing better is possible. [s]
    workers : int
        Threads of the solver.
    seed : int
        Same seed, same choices; where the time runs out still depends on the machine.
    steps : int, optional
        So many rounds on one worker instead, whatever the clock says: the same seed and steps
        give the same plan.
    known : Plan, optional
        The last plan, to start from where it still keeps every rule.
    told : callable
        Told a few times a second which share of the time is gone, and how it stands.
    stop : callable
        Asked a few times a second; once true, the best plan so far is the answer.

    Returns
    -------
    Answer
        Any plan in it has passed ``checker.broken``.

    Raises
    ------
    Faulty
        The checker found a fault in a plan that was made. Such a plan is never returned.
    """
    search, provable = Search(problem, time_limit_s, seed, told, stop), _provable(problem)
    search.start_from(known)
    search.place_boats()
    search.look_for_bound()
    if steps is not None:
        search.play_alone(steps)
    elif len(problem.going_in) <= WHOLE:
        search.shake_orders(share=0.1, tries=1000)
        search.try_whole(workers, share=0.5)
        search.play(workers, share=0.85, orders_until=0)
    else:
        if provable:
            search.shake_orders(share=0.2, tries=1000)
        search.play(workers, share=0.6 if provable else 0.95, orders_until=0.5)
    if search.best is None or (steps is None and provable):
        search.try_whole(workers)
    search.finish()
    status = _status(search)
    return Answer(status, search.best, search.score, search.least, tuple(_reasons(status, problem)))


def _provable(problem: Problem) -> bool:
    """Whether the solver may prove a plan of all boats at once the best."""
    return len(problem.going_in) > WHOLE and len(problem.tasks) <= PROVABLE


def _reasons(status: Status, problem: Problem) -> list[str]:
    match status:
        case Status.NO_PLAN:
            return why_no_plan(problem)
        case Status.NONE_IN_TIME:
            return ["There may be one: give the search longer, or leave boats out."]
        case Status.BEST | Status.FOUND:
            return []


def _status(search: Search) -> Status:
    if search.best is not None:
        return Status.BEST if search.proven else Status.FOUND
    return Status.NO_PLAN if search.proven else Status.NONE_IN_TIME
