"""A boat by herself: when she could go in if all were there for her, and why she never could."""

from collections.abc import Iterator

from yardwright.plan.days import Minute
from yardwright.plan.hours import both, either, finish, first, starts
from yardwright.plan.problem import Boat, BoatId, Problem, TaskId


def ready_alone(problem: Problem, boat: Boat) -> Minute | None:
    """A minute before which a boat's work can't be done, even if all were there for her alone.

    None: not within the season.
    """
    begins: dict[TaskId, Minute] = {}
    ends: dict[TaskId, Minute] = {}
    for task in problem.jobs[boat.id]:
        heads = [ends[before] for before in task.after if before in ends]
        begins[task.id] = max([task.not_before, *heads])
        able = (p.works for p in problem.people if task.trade in p.trades)
        starting = [(works, first(works, begins[task.id])) for works in able]
        done = [finish(w, start, task.minutes) for w, start in starting if start is not None]
        if not any(done):
            return None
        ends[task.id] = min(end for end in done if end is not None)
    ready = max(ends.values(), default=0)
    anyone = either([span for person in problem.people for span in person.works])
    for head in sorted(set(begins.values())):
        minutes = sum(t.minutes for t in problem.jobs[boat.id] if begins[t.id] >= head)
        start = first(anyone, head)
        end = None if start is None else finish(anyone, start, minutes)
        if end is None:
            return None
        ready = max(ready, end)
    return ready


def earliest_launch(problem: Problem, boat: Boat) -> Minute | None:
    """A minute before which a boat can't go in; None when not within the season."""
    ready = ready_alone(problem, boat)
    opens = starts(both(boat.water, problem.lift), boat.launch_min)
    return None if ready is None else first(opens, ready)


def never_in(problem: Problem) -> dict[BoatId, str]:
    """The boats that no plan can launch, whatever is done about the others, each with its reason.

    Returns
    -------
    dict of BoatId to str
        What follows "is not planned: ", without a full stop. Leave these boats out, and none of
        the others has such a reason.
    """
    never = {b.id: why for b in problem.going_in if (why := _why_never(problem, b))}
    for boat, front in _shut_in(problem, frozenset(never)):
        never.setdefault(
            boat.id,
            f"she is shut in behind {front.name}, who stays and can't be moved aside; "
            "say how that one is moved",
        )
    return never


def _why_never(problem: Problem, boat: Boat) -> str:
    trades = {trade for person in problem.people for trade in person.trades}
    if nobody := sorted({task.trade for task in problem.jobs[boat.id]} - trades):
        what = " and a ".join(nobody)
        return f"her work needs a {what}, and nobody here is one; give somebody the trade"
    ready = ready_alone(problem, boat)
    if ready is None:
        return (
            "her work does not fit into the season even if all were there for her alone; bring "
            "her parts sooner, or end the season later"
        )
    if earliest_launch(problem, boat) is None:
        return (
            f"she can be ready {problem.days.clock(ready)}, but after that she has no "
            f"{boat.launch_min} min of water with the lift open; open the lift at another hour, "
            "or end the season later"
        )
    return ""


def _shut_in(problem: Problem, never: frozenset[BoatId]) -> Iterator[tuple[Boat, Boat]]:
    """The boats that are to go in behind one that stays and can't be moved, and that one."""
    for row in problem.rows:
        wall: Boat | None = None
        for boat in (problem.boat[key] for key in row):
            if wall and boat.goes_in:
                yield boat, wall
            elif (not boat.goes_in or boat.id in never) and boat.aside_min is None:
                wall = wall or boat
