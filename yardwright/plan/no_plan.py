"""Why there is no plan at all: one boat that can't go in, or the fewest boats that clash, in words."""

from collections.abc import Iterator, Sequence
from itertools import combinations

from yardwright.calc.counting import hours, listed
from yardwright.plan.alone import earliest_launch, gone_from_her_place, launch_begins, never_in
from yardwright.plan.days import Interval
from yardwright.plan.hours import Stretches, within
from yardwright.plan.problem import Boat, Problem


def why_no_plan(problem: Problem) -> list[str]:
    """Say what makes every plan impossible: one boat by herself, or the fewest that clash."""
    if never := never_in(problem):
        return [f"{problem.boat[key].name}: {why}." for key, why in never.items()]
    together = [*_row_clash(problem), *_lift_clash(problem), *_hours_clash(problem)]
    return together[:1] or [_too_much(problem)]


def _too_much(problem: Problem) -> str:
    """What is left to say where nothing that clashes was found."""
    names = [boat.name for boat in problem.boats if boat.goes_in or problem.jobs[boat.id]]
    some = f"Together the {len(names)} boats need" if len(names) > 1 else f"{names[0]} needs"
    return (
        f"{some} more water, lift or working hours than the season has. Add lift hours, people or "
        f"days, or leave {'boats' if len(names) > 1 else 'her'} out."
    )


def _span(problem: Problem, boat: Boat) -> Interval:
    """From when to when a launch of hers can have the lift, as far as she alone shows."""
    launch = earliest_launch(problem, boat) or 0
    last = launch_begins(problem, boat)[-1][1] - 1
    return launch - boat.carry_min, last + boat.launch_min


def _row_clash(problem: Problem) -> Iterator[str]:
    for row in problem.rows:
        for front, behind in combinations((problem.boat[key] for key in row), 2):
            if front.goes_in and behind.goes_in and front.aside_min is None:
                gone = gone_from_her_place(problem, front)
                last = _span(problem, behind)[1] - behind.launch_min - behind.carry_min
                if last < gone:
                    clock = problem.days.clock
                    yield (
                        f"{behind.name} must leave her place by {clock(last)} to have water, and "
                        f"{front.name}, who stands in front of her and can't be moved aside, is gone "
                        f"{clock(gone)} at the soonest. Say how {front.name} is moved, or leave one "
                        "of them out."
                    )


def _lift_clash(problem: Problem) -> Iterator[str]:
    """The fewest boats that need a kind of lift for longer than it is open for them."""
    for lift in problem.lifts:
        boats = [(b, *_span(problem, b)) for b in problem.going_in if b.lift == lift.id]
        boats.sort(key=lambda one: one[0].carry_min + one[0].launch_min, reverse=True)
        found: list[tuple[list[Boat], Interval, int]] = []
        for begin in {begin for _, begin, _ in boats}:
            for end in {end for _, _, end in boats if end > begin}:
                room = lift.count * _minutes(within(lift.opens, begin, end))
                inside = [boat for boat, a, b in boats if begin <= a and b <= end]
                if some := _more_than(inside, room):
                    found.append((some, (begin, end), room))
        if found:
            some, (begin, end), room = min(found, key=lambda one: (len(one[0]), one[1]))
            needs = sum(boat.carry_min + boat.launch_min for boat in some)
            yield (
                f"{listed([boat.name for boat in some])} need the lift ({lift.name}) for "
                f"{hours(needs)} between {problem.days.clock(begin)} and "
                f"{problem.days.clock(end)}, and it is open for {hours(room) or 'no time'} then. Open it "
                "longer, or leave one of them out."
            )


def _more_than(boats: Sequence[Boat], room: int) -> list[Boat]:
    """The first of these that need more than there is; none when all of them fit."""
    needs = 0
    for count, boat in enumerate(boats, 1):
        needs += boat.carry_min + boat.launch_min
        if needs > room:
            return list(boats[:count])
    return []


def _hours_clash(problem: Problem) -> Iterator[str]:
    """Work of a trade that is to be done by a minute, and more than its people have until then."""
    due = {b.id: _span(problem, b)[1] - b.launch_min - b.carry_min for b in problem.going_in}
    for trade in sorted({task.trade for task in problem.tasks}):
        able = [p for p in problem.people if trade in p.trades or trade in p.learns]
        for end in sorted(set(due.values())):
            boats = [boat for boat in problem.going_in if due[boat.id] <= end]
            work = sum(t.minutes for b in boats for t in problem.ashore(b.id) if t.trade == trade)
            there = sum(person.on.long.worked_by(end) for person in able)
            if work > there:
                yield (
                    f"{listed([boat.name for boat in boats])} must be ready by "
                    f"{problem.days.clock(end)} and need {hours(work)} of a {trade}; "
                    f"{listed([person.name for person in able])} {'works' if len(able) == 1 else 'work'} "
                    f"{hours(there) or 'no time'} until then. "
                    "Find more hours, or leave one of them out."
                )
                break


def _minutes(stretches: Stretches) -> int:
    return sum(end - start for start, end in stretches)
