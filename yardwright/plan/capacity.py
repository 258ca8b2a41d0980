"""How many more boats can be promised by a date: surely, at most, and what is short first."""

from collections.abc import Callable, Iterator, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import NamedTuple

from yardwright.plan import checker
from yardwright.plan.bound import Relaxed
from yardwright.plan.days import Day, Days
from yardwright.plan.list_plan import list_plan
from yardwright.plan.placing import Stuck
from yardwright.plan.planner import WHOLE, Status
from yardwright.plan.planner import plan as planned
from yardwright.plan.problem import (
    Boat,
    BoatId,
    Person,
    PersonId,
    Plan,
    Problem,
    Task,
    TaskId,
    handed_over,
    score,
)
from yardwright.plan.repair import NoRoom, hit, repaired
from yardwright.plan.replan import replan

MOST = 200  # more boats than these nobody asks for
TRIES = 4  # plans looked for with more boats
THE_LIFT, WATER = "the lift", "water"
BOUND_S = 10.0  # for one look at what no plan can beat
NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


@dataclass(frozen=True, slots=True)
class Like:
    """A boat to come: her water, her lift and her work. She comes by road and shuts nobody in."""

    boat: Boat
    tasks: tuple[Task, ...]

    def __post_init__(self) -> None:
        if not self.boat.goes_in:
            raise ValueError(f"{self.boat.name} does not go in; take one that does.")
        if others := sorted(t.id for t in self.tasks if t.boat != self.boat.id):
            raise ValueError(f"{', '.join(others)}: work of another boat than {self.boat.name}.")

    def number(self, number: int, by: Day) -> tuple[Boat, tuple[Task, ...]]:
        """One of several, under a name of her own, promised in Ink."""

        def called(task: TaskId) -> TaskId:
            return TaskId(f"{task} (to come {number})")

        key = BoatId(f"{self.boat.id} (to come {number})")
        name = f"{self.boat.name} (to come {number})"
        boat = replace(self.boat, id=key, name=name, ink=by, pencil=None, published=None)
        tasks = (
            replace(
                task,
                id=called(task.id),
                boat=key,
                after=tuple(map(called, task.after)),
                not_by=tuple(map(called, task.not_by)),
            )
            for task in self.tasks
        )
        return boat, tuple(tasks)


@dataclass(frozen=True, slots=True)
class Short:
    """Something that is short: had the yard ``more`` of it, so many boats could be promised."""

    what: str
    more: str
    at_least: int
    at_most: int

    @property
    def ends(self) -> bool:
        """Whether it was found where it ends."""
        return self.at_most < MOST


@dataclass(frozen=True, slots=True)
class Capacity:
    """How many more boats by a day: a checked plan with ``at_least``, none beyond ``at_most``.

    ``at_most`` of ``MOST`` means that no end was found. ``short`` has what would raise it, the
    shortest first.
    """

    like: str
    by: Day
    at_least: int
    at_most: int
    short: tuple[Short, ...]
    problem: Problem
    plan: Plan
    stopped: bool = False  # before all was looked at that may be short

    @property
    def ends(self) -> bool:
        """Whether it was found where it ends."""
        return self.at_most < MOST

    def sentence(self, days: Days) -> str:
        """What can be told on the phone to somebody who asks for a place."""
        boats = f"boat{'s' if self.at_least != 1 else ''} like {self.like} by {days.said(self.by)}"
        said = f"{_number(self.at_least)} more {boats}"
        return f"{said[:1].upper()}{said[1:]}{self._no_more()}{self._short_first()}."

    def _no_more(self) -> str:
        if not self.ends:
            return " surely; where it ends is not known"
        over = f"; {_number(self.at_most + 1)} can't"
        if self.at_least < self.at_most:
            return f" surely, {_number(self.at_most)} perhaps{over}"
        return over if self.at_least else ""

    def _short_first(self) -> str:
        if self.stopped:
            return ": what is short first is not known, it was stopped"
        if not self.short:
            return ": no single thing is short, more than one would have to grow" * self.ends
        first, *more = (one.what for one in self.short)
        are = "is" if first in (THE_LIFT, WATER) else "are"
        return f": {first} {are} short first{f', then {more[0]}' if more else ''}"


class _Limit(NamedTuple):
    what: str
    more: str
    lifted: Callable[["_Asked"], "_Asked"]


class _Asked(NamedTuple):
    """A yard as it stands, the boat to come, and what the others may lose by her."""

    problem: Problem
    plan: Plan
    like: Like
    by: Day
    pencil_at_most: int
    one_more_of: tuple[Person, ...]


def capacity(
    problem: Problem,
    plan: Plan,
    like: Like,
    by: Day,
    *,
    tolerance_days: int = 0,
    one_more_of: tuple[Person, ...] = (),
    time_limit_s: float = 20.0,
    workers: int = 2,
    told: Callable[[float, str], None] = lambda _share, _said: None,
    stop: Callable[[], bool] = lambda: False,
) -> Capacity:
    """Count how many more boats of a kind can be handed over by a day.

    No boat that is promised in Ink is handed over later than in the plan that stands, or than
    promised; days late in Pencil grow by no more than ``tolerance_days`` in all.

    Parameters
    ----------
    problem : Problem
        What is asked now.
    plan : Plan
        The plan that stands; it keeps every rule.
    like : Like
        What each of the boats to come is like.
    by : Day
        Of the season: the last day on which they may be handed over.
    tolerance_days : int
        Days of Pencil lateness that may be added, in all.
    one_more_of : tuple of Person
        Whose hours one more would have, where those of ``problem`` are busy with what it leaves out.
    time_limit_s : float
        For looking for plans with more boats, beside what the bounds take. [s]
    workers : int
        Threads of the solver.
    told, stop
        As for ``planner.plan``; stopped, what is found so far is the answer.

    Returns
    -------
    Capacity
        Its plan has passed ``checker.broken``.

    Raises
    ------
    ValueError
        The day lies outside the season; the tolerance is below 0; a job asks for a trade that
        nobody has.
    """
    asked = _asked(problem, plan, like, by, tolerance_days, one_more_of or problem.people)
    told(0.0, "Looking for what no plan can beat.")
    bound = _at_most(asked)
    told(0.1, "Looking for a plan.")
    least, best = _quickly(asked, bound)
    least, best, most = _longer(asked, (least, best, bound), time_limit_s, workers, told, stop)
    short = []
    limits = list(_limits(asked))
    stopped = False
    for number, limit in enumerate(limits):
        if stopped := stop():
            break
        told(0.6 + 0.4 * number / len(limits), f"What if there were {limit.more}?")
        more = limit.lifted(asked)
        if (grown := _at_most(more)) > bound:
            short.append(Short(limit.what, limit.more, max(least, _quickly(more, grown)[0]), grown))
    short.sort(key=lambda one: (-one.at_most, -one.at_least))
    widened = _with(asked, least)
    return Capacity(like.boat.name, by, least, most, tuple(short), widened, best, stopped)


def _asked(
    problem: Problem,
    plan: Plan,
    like: Like,
    by: Day,
    tolerance_days: int,
    one_more_of: tuple[Person, ...],
) -> _Asked:
    if not 0 <= by < problem.days.count:
        first, last = problem.days.said(0), problem.days.said(problem.days.count - 1)
        raise ValueError(
            f"{problem.days.said(by)} is not in the season, {first} to {last}; ask for a day of it, "
            "or change the season's first or last day."
        )
    if tolerance_days < 0:
        raise ValueError(f"{tolerance_days} days of Pencil; give 0 or more.")
    trades = {trade for person in problem.people for trade in person.trades}
    if nobody := sorted({task.trade for task in like.tasks} - trades):
        raise ValueError(f"Nobody here is a {' or a '.join(nobody)}; give somebody the trade.")
    held = replace(problem, boats=tuple(_held(problem, plan, boat) for boat in problem.boats))
    late = score(held, plan).pencil_days + tolerance_days
    return _Asked(held, plan, like, by, late, one_more_of)


def _held(problem: Problem, plan: Plan, boat: Boat) -> Boat:
    """With a day in Ink that the standing plan keeps: the one promised, or hers in it."""
    if boat.ink is None or not boat.goes_in:
        return boat
    return replace(boat, ink=max(boat.ink, problem.days.day(handed_over(problem, plan, boat))))


def _with(asked: _Asked, count: int) -> Problem:
    """The yard with so many boats more."""
    new = [asked.like.number(number, asked.by) for number in range(1, count + 1)]
    return replace(
        asked.problem,
        boats=(*asked.problem.boats, *(boat for boat, _ in new)),
        tasks=(*asked.problem.tasks, *(task for _, tasks in new for task in tasks)),
    )


def _serves(asked: _Asked, problem: Problem, plan: Plan) -> bool:
    """All in Ink, old and new, are kept, Pencil is not too late, and no rule is broken."""
    found = score(problem, plan)
    late = found.ink_days > 0 or found.pencil_days > asked.pencil_at_most
    return not late and not checker.broken(plan, problem)


def _at_most(asked: _Asked) -> int:
    """More than so many no plan can take: all of them as one that stands for ``MOST``."""
    one = _with(asked, 1)
    key = one.boats[-1].id
    share = Relaxed(one, {key: MOST}).share_kept(key, asked.pencil_at_most, BOUND_S)
    return int(MOST * share + 1e-4)


def _quickly(asked: _Asked, most: int) -> tuple[int, Plan]:
    """The most boats for which a list or a repair finds a plan, and that plan."""
    found, plan, over = 0, asked.plan, most + 1
    tried = min(most, 1)
    while found + 1 < over:
        problem = _with(asked, tried)
        better = next((p for p in _drafts(asked, problem) if _serves(asked, problem, p)), None)
        if better is None:
            over = tried
        else:
            found, plan = tried, better
        tried = (found + over) // 2 if over <= most else min(2 * found, most)
    return found, plan


def _drafts(asked: _Asked, problem: Problem) -> Iterator[Plan]:
    """Where they find room beside the plan that stands; else all placed anew, by their days."""
    for soonest in (True, False):
        with suppress(NoRoom):
            yield repaired(problem, asked.plan, hit(problem, asked.plan), 0, soonest=soonest)
    for ranks in (_as_it_stands(problem, asked.plan), _by_day(problem)):
        for asides in ((), [b.id for b in problem.boats if b.aside_min is not None]):
            with suppress(Stuck):
                yield list_plan(problem, ranks, asides)


def _as_it_stands(problem: Problem, plan: Plan) -> Mapping[BoatId, float]:
    """In the order of the standing plan, the new ones at their day."""
    return {
        boat.id: plan.launches.get(boat.id, problem.days.midnight(boat.promised or 0))
        for boat in problem.boats
    }


def _by_day(problem: Problem) -> Mapping[BoatId, float]:
    return {
        boat.id: float(problem.days.count if boat.promised is None else boat.promised)
        for boat in problem.boats
    }


def _longer(
    asked: _Asked,
    so_far: tuple[int, Plan, int],
    time_limit_s: float,
    workers: int,
    told: Callable[[float, str], None],
    stop: Callable[[], bool],
) -> tuple[int, Plan, int]:
    """The planner tries one boat more, and one more, while there is time; it may prove the end."""
    least, best, most = so_far
    step = 1
    for tries in range(TRIES):
        if least >= most or stop():
            break
        count = min(least + step, most)
        told(0.1 + 0.5 * tries / TRIES, f"Looking for a plan with {_number(count)} more.")
        problem = _with(asked, count)
        limit_s = time_limit_s / TRIES
        better, ends = _looked_for(asked, problem, limit_s, workers, stop)
        if better is not None:
            least, best, step = count, better, 2 * step
        elif ends:
            most, step = count - 1, 1
        else:
            step = max(1, step // 2)
    return least, best, most


def _looked_for(
    asked: _Asked, problem: Problem, limit_s: float, workers: int, stop: Callable[[], bool]
) -> tuple[Plan | None, bool]:
    """A plan that serves; or whether it is proven that there is none, in a yard small enough."""
    if len(problem.going_in) > WHOLE:
        near = replan(problem, asked.plan, time_limit_s=limit_s, workers=workers, stop=stop)
        plans = [one.plan for one in (near.better, near.other, near.at_once) if one]
        return next((one for one in plans if _serves(asked, problem, one)), None), False
    answer = planned(problem, time_limit_s=limit_s, workers=workers, stop=stop)
    if answer.plan is not None and _serves(asked, problem, answer.plan):
        return answer.plan, False
    return None, answer.status in (Status.BEST, Status.NO_PLAN)


def _limits(asked: _Asked) -> Iterator[_Limit]:
    """What may be short: people by trade, lift, water, looks, rows."""
    problem, like = asked.problem, asked.like
    hers = {task.trade for task in like.tasks}
    for trade in sorted({t for p in problem.people if p.trades & hers for t in p.trades}):
        yield _Limit(f"{trade}s", f"one more {trade}", _one_more(trade))
    lift = problem.lift[like.boat.lift].name
    yield _Limit(THE_LIFT, f"one more {lift.lower()}", _another_lift)
    yield _Limit(WATER, "water for her at every hour", _always_water)
    if problem.looks and like.boat.looks_min:
        yield _Limit("looks after a launch", "one more boat looked after at once", _more_looks)
    if problem.rows:
        yield _Limit("rows", "nobody shut in", lambda asked: _changed(asked, rows=()))


def _changed(asked: _Asked, **changes: object) -> _Asked:
    return asked._replace(problem=replace(asked.problem, **changes))  # type: ignore[arg-type]


def _one_more(trade: str) -> Callable[[_Asked], _Asked]:
    def lifted(asked: _Asked) -> _Asked:
        longest = max(
            (person for person in asked.one_more_of if trade in person.trades),
            key=lambda person: person.on.plain.worked[-1],
        )
        return _changed(asked, people=(*asked.problem.people, _only(longest, trade)))

    return lifted


def _only(person: Person, trade: str) -> Person:
    """Somebody with the same hours and this trade alone."""
    key, name = PersonId(f"one more {trade}"), f"one more {trade}"
    return replace(
        person, id=key, name=name, trades=frozenset({trade}), learns=frozenset(), overtime=()
    )


def _another_lift(asked: _Asked) -> _Asked:
    lifts = (
        replace(lift, count=lift.count + 1) if lift.id == asked.like.boat.lift else lift
        for lift in asked.problem.lifts
    )
    return _changed(asked, lifts=tuple(lifts))


def _always_water(asked: _Asked) -> _Asked:
    boat = replace(asked.like.boat, water=((0, asked.problem.days.end),))
    return asked._replace(like=replace(asked.like, boat=boat))


def _more_looks(asked: _Asked) -> _Asked:
    looks = asked.problem.looks
    assert looks is not None  # noqa: S101  # asked for before
    return _changed(asked, looks=replace(looks, at_once=looks.at_once + 1))


def _number(count: int) -> str:
    return NUMBERS[count] if count < len(NUMBERS) else f"{count}"
