"""What no change of a plan can do without: launches that must move, by the hours that are left."""

from itertools import accumulate

from yardwright.plan.days import Minute
from yardwright.plan.problem import Plan, Problem, Task


def least_launches(problem: Problem, published: Plan, now: Minute) -> int:
    """How many launches have to move at least, whoever works and however long.

    Parameters
    ----------
    problem : Problem
        What is asked now, the surprise in it.
    published : Plan
        The plan that people know.
    now : int
        What had not begun by then is still to be done. [min]

    Returns
    -------
    int
        Counted by the hours of one trade: what is to be done on the boats that go in by a minute,
        against all hours until then of those who have the trade or learn it, overtime counted. What
        is too much is the work of boats that can't go in by then, of as few as make it up. Others
        may have to move too: of lift, water, rows and order nothing is asked.
    """
    return max(
        (_by_trade(problem, published, now, trade) for trade in {t.trade for t in problem.tasks}),
        default=0,
    )


def _by_trade(problem: Problem, published: Plan, now: Minute, trade: str) -> int:
    clocks = [person.on.long for person in problem.people if trade in person.trades | person.learns]
    due: dict[Minute, list[int]] = {}  # the work on each boat, by when she is fetched
    for boat in problem.going_in:
        launch = published.launches.get(boat.id)
        minutes = sum(
            task.minutes
            for task in problem.ashore(boat.id)
            if task.trade == trade and _is_ahead(published, task, now)
        )
        if launch is not None and minutes:
            due.setdefault(launch - boat.carry_min, []).append(minutes)
    least, boats = 0, list[int]()
    for fetched, hers in sorted(due.items()):
        boats += hers
        until = max(now, fetched)
        there = sum(clock.worked_by(until) - clock.worked_by(now) for clock in clocks)
        if (too_much := sum(boats) - there) > 0:
            largest = accumulate(sorted(boats, reverse=True))
            least = max(least, 1 + sum(so_far < too_much for so_far in largest))
    return least


def _is_ahead(published: Plan, task: Task, now: Minute) -> bool:
    job = published.jobs.get(task.id)
    return job is None or job.start >= now
