"""Why a boat's promise can't be kept: the fewest facts that clash, each with the change that would do."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from yardwright.calc.counting import hours
from yardwright.plan.alone import (
    by_herself,
    by_the_clock,
    earliest_handed_over,
    gone_from_her_place,
    launch_begins,
    may_stay_open,
    meets_water_alone,
    ready_alone,
    why_never_in,
    with_somebody_in,
)
from yardwright.plan.days import Day, Minute
from yardwright.plan.hours import Stretches, both, first, outside, within
from yardwright.plan.problem import Boat, BoatId, Lift, Problem, Task


@dataclass(frozen=True, slots=True)
class Fact:
    """One of the facts that clash; ``change`` is how far it would have to move, the rest as it is.

    ``change`` is empty where no change of this fact alone would do.
    """

    says: str
    change: str


@dataclass(frozen=True, slots=True)
class _Her:
    """A boat by herself: her own part of the problem, from when she can leave her place, her day."""

    problem: Problem
    out_from: Minute
    promised: Day

    @property
    def boat(self) -> Boat:
        return self.problem.boats[0]

    @property
    def launch(self) -> Minute | None:
        wet = meets_water_alone(self.problem, self.boat)
        if wet is None:
            return None
        soonest = max(wet, self.out_from + self.boat.carry_min)
        return first(launch_begins(self.problem, self.boat), soonest)

    @property
    def handed_over(self) -> Minute | None:
        launch = self.launch
        return None if launch is None else earliest_handed_over(self.problem, self.boat, launch)

    @property
    def kept(self) -> bool:
        over = self.handed_over
        return over is not None and self.problem.days.day(over) <= self.promised

    def but(self, **change: object) -> "_Her":
        """The same with another boat's water, hours to be free, and so on."""
        boat = replace(self.boat, **change)  # type: ignore[arg-type]
        return replace(self, problem=replace(self.problem, boats=(boat,)))

    def with_tasks(self, change: Callable[[Task], Task]) -> "_Her":
        tasks = tuple(change(task) for task in self.problem.tasks)
        return replace(self, problem=replace(self.problem, tasks=tasks))


@dataclass(frozen=True, slots=True)
class _Held:
    """A fact as it can be tried: said, left out, and moved as far as is needed."""

    says: Callable[[_Her], str]
    left_out: Callable[[_Her], _Her]
    change: Callable[[_Her], str]


def why_promise_not_kept(problem: Problem, key: BoatId) -> list[str]:
    """Say why a boat's promise can't be kept even if all were there for her alone.

    Parameters
    ----------
    problem : Problem
        What is asked.
    key : BoatId
        A boat that goes in.

    Returns
    -------
    list of str
        The facts that clash, none of which could be left out of the sentence, and which changes
        would do; empty when she has no promise, or hers can be kept as far as she alone shows.
    """
    facts = promise_clash(problem, key)
    if not facts:
        return []
    said = "; ".join(fact.says for fact in facts)
    do = [fact.change for fact in facts if fact.change]
    if not do:
        return [f"{said}.", "No one change of these alone would do."]
    would = "Any one of these would do" if len(do) > 1 else "This would do"
    return [f"{said}.", f"{would}, with everybody there for her alone: {'; '.join(do)}."]


def allows(problem: Problem, key: BoatId) -> Day | None:
    """The first day that her work, the water and the lift would allow, were all there for her alone.

    No promise: others are there too. None where that is the day promised or sooner, or none is known.
    """
    boat = problem.boat[key]
    if boat.promised is None or why_never_in(problem, boat):
        return None
    her = _alone(problem, boat, boat.promised)
    over = her.handed_over
    return None if her.kept or over is None else problem.days.day(over)


def promise_clash(problem: Problem, key: BoatId) -> tuple[Fact, ...]:
    """The facts by which a boat's promise can't be kept: leave any one out, and it could be."""
    boat = problem.boat[key]
    if boat.promised is None:
        return ()
    if why := why_never_in(problem, boat):
        return (Fact(f"{boat.name} can't be planned: {why}", ""),)
    her = _alone(problem, boat, boat.promised)
    if her.kept:
        return ()
    found = _smallest(her, list(_facts(problem, her)))
    return tuple(Fact(one.says(her), one.change(her)) for one in found)


def _alone(problem: Problem, boat: Boat, promised: Day) -> _Her:
    walls = (gone_from_her_place(problem, front) for front in _walls(problem, boat))
    return _Her(by_herself(problem, boat), max(walls, default=0), promised)


def _smallest(her: _Her, facts: list[_Held]) -> list[_Held]:
    """Drop one fact after the other as long as the rest can't hold together."""
    held = list(facts)
    for one in facts:
        others = [fact for fact in held if fact is not one]
        if not _only(her, facts, others).kept:
            held = others
    return held[::-1]


def _only(her: _Her, facts: Sequence[_Held], held: Sequence[_Held]) -> _Her:
    for fact in facts:
        if not any(fact is one for one in held):
            her = fact.left_out(her)
    return her


def _facts(problem: Problem, her: _Her) -> Iterator[_Held]:
    """Those first that are left out of the sentence if they can be; it begins with the last."""
    for trade in sorted({task.trade for task in her.problem.tasks}):
        yield _hours_of(trade)
    yield from (_work(task) for task in her.problem.tasks if not task.not_before)
    yield from (_dries(task) for task in her.problem.tasks if task.dry_min)
    if her.problem.looks and her.boat.looks_min:
        yield _Held(_says_looks, _no_looks, lambda _: "")
    yield from (_stands(front, problem) for front in _walls(problem, her.boat))
    if her.boat.ground_from:
        yield _Held(_says_ground, lambda one: one.but(ground_from=0), _ground_sooner)
    yield _Held(_says_lift, _lift_ever_open, _lift_longer)
    yield _Held(_says_water, _water_ever, _more_water)
    yield from (_work(task) for task in her.problem.tasks if task.not_before)
    if her.boat.free_from:
        yield _Held(_says_paid, lambda one: one.but(free_from=0), _paid_sooner)
    comes = {task.comes_with: task for task in her.problem.tasks if task.not_before}
    yield from map(_comes, comes.values())
    yield _Held(_says_promise, lambda one: replace(one, promised=10**6), lambda _: "")


# --- her promise ------------------------------------------------------------------


def _says_promise(her: _Her) -> str:
    stage = "day" if her.boat.ink is None else "Ink"
    watch = f" and she is watched {hours(her.boat.watch_min)} first" * (her.boat.watch_min > 0)
    return f"{her.boat.name}'s {stage} is {_day(her, her.promised)}{watch}"


def _day(her: _Her, day: Day) -> str:
    return her.problem.days.said(day)


def _says_paid(her: _Her) -> str:
    return f"her bill is paid {_day(her, her.problem.days.day(her.boat.free_from))}"


def _paid_sooner(her: _Her) -> str:
    paid = _most(0, her.boat.free_from, lambda minute: her.but(free_from=minute).kept)
    return "" if paid is None else f"her bill paid by {_day(her, her.problem.days.day(paid))}"


# --- her work ---------------------------------------------------------------------


def _comes(task: Task) -> _Held:
    """What a job waits for, and with it all others of hers that wait for the same."""

    def moved(her: _Her, minute: Minute) -> _Her:
        def sooner(one: Task) -> Task:
            waits = one.comes_with == task.comes_with
            return one.with_it_by(minute) if waits else one

        return her.with_tasks(sooner)

    def says(her: _Her) -> str:
        at = her.problem.days.clock(task.not_before)
        if not task.waits_for:
            return f"{task.text} is not begun before {at}"
        return f"her {task.waits_for} comes {at}"

    def sooner(her: _Her) -> str:
        if not task.waits_for_part:
            return ""
        comes = _most(0, task.not_before, lambda minute: moved(her, minute).kept)
        return "" if comes is None else f"her {task.waits_for} by {her.problem.days.clock(comes)}"

    return _Held(says, lambda her: moved(her, 0), sooner)


def _work(task: Task) -> _Held:
    def takes(her: _Her, minutes: int) -> _Her:
        return her.with_tasks(lambda t: replace(t, minutes=minutes) if t.id == task.id else t)

    def says(her: _Her) -> str:
        ready = ready_alone(her.problem, her.boat)
        makes = " is done afloat"
        if not task.afloat and ready is not None:
            makes = f" makes her ready {her.problem.days.clock(ready)} at the soonest"
        return f"{hours(task.minutes)} of work ({task.text}){makes}"

    def less(her: _Her) -> str:
        minutes = _most(1, task.minutes, lambda minutes: takes(her, minutes).kept)
        return "" if minutes is None else f"{hours(minutes)} of work for that ({task.text})"

    return _Held(says, lambda her: takes(her, 1), less)


def _dries(task: Task) -> _Held:
    def gone(her: _Her) -> _Her:
        return her.with_tasks(lambda t: replace(t, dry_min=0) if t.id == task.id else t)

    return _Held(lambda _: f"{task.text} dries for {hours(task.dry_min)}", gone, lambda _: "")


def _hours_of(trade: str) -> _Held:
    """Who has the trade works when they work; left out, they work day and night."""

    def ever(her: _Her) -> _Her:
        always = ((0, her.problem.days.end),)
        people = tuple(
            replace(person, works=always, overtime=()) if trade in person.trades else person
            for person in her.problem.people
        )
        return replace(her, problem=replace(her.problem, people=people))

    def says(her: _Her) -> str:
        able = [person for person in her.problem.people if trade in person.trades]
        end = her.problem.days.midnight(her.promised + 1)
        minutes = max(person.on.long.worked_by(end) for person in able)
        names = " or ".join(person.name for person in able)
        return f"{names} ({trade}) works {hours(minutes) or 'no time'} at most until then"

    return _Held(says, ever, lambda her: f"more hours of a {trade}" * ever(her).kept)


# --- water, lift, row -------------------------------------------------------------


def _says_water(her: _Her) -> str:
    needs = f"a launch needs {her.boat.launch_min} min"
    needs += f" and {her.boat.carry_min} min before it" if her.boat.carry_min else ""
    until = her.problem.days.midnight(her.promised + 1)
    lifted = both(her.boat.water, her.problem.lift_opens(her.boat))
    left = [end for start, end in lifted if start < until]
    leaves = f"her water leaves {her.problem.days.clock(_end_of(her, left[-1]))}" if left else ""
    return f"{leaves or 'she has no water with the lift open until then'} and {needs}"


def _end_of(her: _Her, minute: Minute) -> Minute:
    """The end of the water that a minute lies in, or ends."""
    return next(end for start, end in her.boat.water if start < minute <= end)


def _water_ever(her: _Her) -> _Her:
    return her.but(water=((0, her.problem.days.end),))


def _more_water(her: _Her) -> str:
    until = her.problem.days.midnight(her.promised + 1)
    for start, end in reversed([water for water in her.boat.water if water[0] < until]):

        def longer(minutes: int, start: Minute = start, end: Minute = end) -> bool:
            return her.but(water=((start, min(her.problem.days.end, end + minutes)),)).kept

        if (minutes := _least(1, 12 * 60, longer)) is not None:
            return f"her water until {her.problem.days.clock(end + minutes)}"
    return ""


def _says_lift(her: _Her) -> str:
    until = her.problem.days.midnight(her.promised + 1)
    lift = her.problem.lift[her.boat.lift]
    if on := _somebody_in(her):
        return f"nobody who may run the {lift.name} is in on {on}"
    missed = [w for w in her.boat.water if w[0] < until and not both((w,), lift.opens)]
    if not missed:
        return "the lift is shut then"
    start, end = (her.problem.days.clock(minute) for minute in missed[-1])
    return f"she has water {start} to {end} too, but the lift is shut then"


def _lift_ever_open(her: _Her) -> _Her:
    return _lifts_open(her, lambda lift: outside(lift.held, her.problem.days.end))


def _lifts_open(her: _Her, opens: Callable[[Lift], Stretches]) -> _Her:
    lifts = tuple(replace(lift, opens=opens(lift), away=()) for lift in her.problem.lifts)
    return replace(her, problem=replace(her.problem, lifts=lifts))


def _somebody_in(her: _Her) -> str:
    """The day on which somebody who may run the lift would have to be in, for her day to be kept."""
    one = replace(her, problem=with_somebody_in(her.problem))
    away = her.problem.lift[her.boat.lift].away
    if one.launch is None or not one.kept or not within(away, one.launch, one.launch + 1):
        return ""
    return _day(her, her.problem.days.day(one.launch))


def _lift_longer(her: _Her) -> str:
    """Other hours for the lift that keep her day: on any day, and as near its own as can be.

    Or somebody in who may run it.
    """
    if on := _somebody_in(her):
        return f"somebody in on {on} who may run the {her.problem.lift[her.boat.lift].name}"
    one = _lifts_open(her, partial(may_stay_open, her.problem))
    low, high = by_the_clock(her.problem, her.problem.lift[her.boat.lift])
    soonest, days = one.launch, her.problem.days
    if soonest is None or not one.kept:
        return ""
    carry_min, launch_min = her.boat.carry_min, her.boat.launch_min
    would_do = []
    for begin, end in within(launch_begins(one.problem, one.boat), soonest, days.end):
        for day in range(days.day(begin), min(days.day(end - 1), her.promised) + 1):
            opens = days.by_clock(day, low) + carry_min, days.by_clock(day, high) - launch_min
            at = max(begin, min(end - 1, max(soonest, opens[0])))
            off_min = max(0, opens[0] - at, at - opens[1])
            if one.but(water=((at, at + launch_min),)).kept:
                would_do.append((off_min, at))
    if not would_do:
        return ""
    _, at = min(would_do)
    return f"the lift open {days.clock(at - carry_min)} to {days.clock(at + launch_min)}"


def _says_ground(her: _Her) -> str:
    lift, firm = her.problem.lift[her.boat.lift].name, her.boat.ground_from
    return f"the ground where she stands bears the {lift} from {her.problem.days.clock(firm)} on"


def _ground_sooner(her: _Her) -> str:
    firm = _most(0, her.boat.ground_from, lambda minute: her.but(ground_from=minute).kept)
    return "" if firm is None else f"a lift that goes there by {her.problem.days.clock(firm)}"


def _says_looks(her: _Her) -> str:
    return f"somebody looks after her for {her.boat.looks_min} min when she is in"


def _no_looks(her: _Her) -> _Her:
    return her.but(looks_min=0)


def _walls(problem: Problem, boat: Boat) -> Iterator[Boat]:
    """The boats in front of her that can't be moved aside and go in first."""
    for front in problem.in_front[boat.id]:
        if front.aside_min is None and front.goes_in:
            yield front


def _stands(front: Boat, problem: Problem) -> _Held:
    gone = gone_from_her_place(problem, front)

    def says(her: _Her) -> str:
        at = her.problem.days.clock(gone)
        return f"{front.name} stands in front of her, can't be moved aside and is gone {at} at the soonest"

    def left_out(her: _Her) -> _Her:
        return replace(her, out_from=0)

    return _Held(
        says, left_out, lambda her: f"{front.name} moved aside" if left_out(her).kept else ""
    )


def _most(low: int, high: int, does: Callable[[int], bool]) -> int | None:
    """The largest number that does, where smaller ones do too; None: not even the smallest."""
    if not does(low):
        return None
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if does(middle) else (low, middle - 1)
    return low


def _least(low: int, high: int, does: Callable[[int], bool]) -> int | None:
    """The smallest number that does, where larger ones do too; None: not even the largest."""
    most = _most(-high, -low, lambda number: does(-number))
    return None if most is None else -most
