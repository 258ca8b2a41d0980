"""Which part of a plan is planned anew while the rest stays. Knows no solver."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from random import Random
from typing import NamedTuple

from yardwright.plan.problem import Boat, BoatId, Plan, Problem, TaskId, days_late

INK_COUNTS = 50  # so many days of Pencil


class Part(NamedTuple):
    """Jobs, and boats with their launch and their move aside."""

    tasks: frozenset[TaskId]
    boats: frozenset[BoatId]


class Kind(StrEnum):
    """What the things in a part have in common."""

    TRADE = "one trade, back from a late boat"
    RIVALS = "a late boat, her row and those who want the same people"


LEAST_AND_MOST = {Kind.TRADE: (15, 260), Kind.RIVALS: (15, 200)}


@dataclass(slots=True)
class Sizes:
    """How many jobs a part of each kind has: more where the solver is done in time."""

    jobs: dict[Kind, float] = field(default_factory=lambda: {Kind.TRADE: 50.0, Kind.RIVALS: 60.0})

    def learn(self, kind: Kind, *, proven: bool) -> None:
        """A part of this kind was solved to the end, or not."""
        low, high = LEAST_AND_MOST[kind]
        self.jobs[kind] = min(high, max(low, self.jobs[kind] * (1.06 if proven else 0.85)))


def whole(problem: Problem) -> Part:
    """All there is."""
    return Part(frozenset(problem.task), frozenset(problem.boat))


def of_boats(problem: Problem, boats: Iterable[BoatId]) -> Part:
    """All of some boats."""
    some = frozenset(boats)
    return Part(frozenset(task.id for task in problem.tasks if task.boat in some), some)


def of_tasks(problem: Problem, tasks: Iterable[TaskId]) -> Part:
    """Some jobs, and the launches of those boats that wait for one of them."""
    some = frozenset(tasks)
    ashore = (problem.task[key].boat for key in some if not problem.task[key].afloat)
    return Part(some, frozenset(boat for boat in ashore if problem.boat[boat].goes_in))


def drawn(problem: Problem, plan: Plan, kind: Kind, jobs: int, dice: Random) -> Part | None:
    """A part of a kind with about so many jobs; None: the plan gives no cause for one."""
    return KINDS[kind](problem, plan, jobs, dice)


def by_trade(problem: Problem, plan: Plan, jobs: int, dice: Random) -> Part | None:
    """A trade a late boat asks for: its jobs back from her launch, with all that follows them."""
    boat = _late_boat(problem, plan, dice)
    theirs = list(problem.jobs[boat.id]) if boat else []
    if boat is None or not theirs:
        return None
    trade = dice.choices(theirs, [task.minutes for task in theirs])[0].trade
    until = plan.launches[boat.id] + 1440
    some = {task.id for task in theirs}
    wanted = [t for t in problem.tasks if t.trade == trade and plan.jobs[t.id].start <= until]
    wanted.sort(key=lambda task: dice.uniform(0, 4 * 1440) - plan.jobs[task.id].start)
    after = followers(problem)
    for task in wanted:
        more = some | followed(after, [task.id])
        if len(more) > jobs:
            break
        some = more
    return of_tasks(problem, some)


def by_rivals(problem: Problem, plan: Plan, jobs: int, dice: Random) -> Part | None:
    """A late boat, those in front of her, and boats on which the same trades work meanwhile."""
    boat = _late_boat(problem, plan, dice)
    if boat is None:
        return None
    some = {boat.id, *(front.id for front in problem.in_front[boat.id][-2:])}
    trades = {task.trade for task in problem.jobs[boat.id]}
    spans = [plan.jobs[task.id] for task in problem.jobs[boat.id]]
    low = min((job.start for job in spans), default=0)
    high = max((job.end for job in spans), default=0)
    use: defaultdict[BoatId, float] = defaultdict(float)
    for task in problem.tasks:
        if task.trade in trades and low <= plan.jobs[task.id].start <= high:
            use[task.boat] += task.minutes * dice.random()
    count = sum(len(problem.jobs[key]) for key in some)
    for key in sorted(use.keys() - some, key=lambda key: (-use[key], key)):
        count += len(problem.jobs[key])
        if count > jobs:
            break
        some.add(key)
    return of_boats(problem, some)


KINDS: Mapping[Kind, Callable[[Problem, Plan, int, Random], Part | None]] = {
    Kind.TRADE: by_trade,
    Kind.RIVALS: by_rivals,
}


def followers(problem: Problem) -> Mapping[TaskId, list[TaskId]]:
    """The jobs that come straight after each."""
    after: defaultdict[TaskId, list[TaskId]] = defaultdict(list)
    for task in problem.tasks:
        for before in task.after:
            after[before].append(task.id)
    return after


def followed(after: Mapping[TaskId, Sequence[TaskId]], tasks: Iterable[TaskId]) -> set[TaskId]:
    """The jobs themselves and all that wait for them."""
    some: set[TaskId] = set()
    waiting = list(tasks)
    while waiting:
        key = waiting.pop()
        if key not in some:
            some.add(key)
            waiting += after.get(key, ())
    return some


def nearest(
    some: Iterable[TaskId],
    keys: Iterable[TaskId],
    after: Mapping[TaskId, Sequence[TaskId]],
    most: int,
) -> set[TaskId]:
    """Some jobs and, one after the other, those with all that follows them which still fit."""
    kept = set(some)
    for key in keys:
        more = followed(after, [key])
        if len(kept | more) <= most:
            kept |= more
    return kept


def _late_boat(problem: Problem, plan: Plan, dice: Random) -> Boat | None:
    late = {boat: days_late(problem, plan, boat) for boat in problem.going_in}
    weighs = [
        (days * (1 if boat.ink is None else INK_COUNTS)) ** 0.7 for boat, days in late.items()
    ]
    return dice.choices(list(late), weighs)[0] if any(weighs) else None
