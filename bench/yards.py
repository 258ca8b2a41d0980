"""Made-up yards of any size for the planner: seeded, all invented, as busy as a real spring."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from random import Random
from zoneinfo import ZoneInfo

import numpy as np

from yardwright.plan.days import Days, Interval
from yardwright.plan.hours import Stretches, both
from yardwright.plan.problem import (
    Boat,
    BoatId,
    Lift,
    LiftId,
    Looks,
    Person,
    PersonId,
    Problem,
    Task,
    TaskId,
)

WEEKS, TAIL_WEEKS = 10, 2  # wishes lie in the first, late boats may need the second
DAYS = 7 * (WEEKS + TAIL_WEEKS)
HOURS = ((7 * 60, 12 * 60), (12 * 60 + 30, 15 * 60 + 30))
OVERTIME = ((15 * 60 + 30, 17 * 60 + 30),)
DRAFTS_M = (0.5, 0.6, 0.8, 1.0, 1.2, 1.4, 1.6, 1.8)
UNDER_KEEL_M = 0.3
MECHANIC, ELECTRICIAN, RIGGER, HULL, HAND = "mechanic", "electrician", "rigger", "hull", "hand"
TRADES = (MECHANIC, ELECTRICIAN, RIGGER, HULL, HAND)
LIFT = LiftId("travel lift")


@dataclass(frozen=True, slots=True)
class Size:
    """How many work there, on which share of days, and the usual half hours of a job."""

    trades: tuple[str, ...]
    share: float
    half_hours: float
    lifts: int = 1


def size(boats: int) -> Size:
    """As the yard grows so do its crew and lifts; small yards run part-timers."""
    eight = (MECHANIC, MECHANIC, ELECTRICIAN, RIGGER, HULL, HULL, HAND, HAND)
    if boats <= 30:
        return Size(eight, 0.45, 8.5)
    if boats <= 100:
        return Size((*eight, MECHANIC, HAND), 0.8, 5.2)
    fourteen = (*eight, MECHANIC, MECHANIC, ELECTRICIAN, RIGGER, HULL, HAND)
    crews = max(1, round(boats / 300))
    return Size(fourteen * crews, 1.0, 3.3, 2 * crews)


def yard(boats: int, seed: int, *, aside_min: int | None = None) -> Problem:
    """One made-up spring.

    Parameters
    ----------
    boats : int
        30, 100, 300 or a multiple of 300; others in between.
    seed : int
        Same seed, same yard. Every fifth is tight: a tenth more work for the same people.
    aside_min : int, optional
        Minutes to move a boat aside; not given, nobody is moved aside.

    Returns
    -------
    Problem
        Rows of six stood by a guess of the wish that is 7 days off; 60 % of boats in Ink 0 to 5
        days after the wish; not before 14 days before it; 6 % of jobs wait for a kit; paint 1 to
        60 days dry; 40 % tried afloat; looks for two hours after the launch.
    """
    dice, about = Random(1000 * boats + seed), size(boats)  # noqa: S311 - no secret
    days = Days(date(2031, 3, 31), DAYS, ZoneInfo("America/New_York"))
    workdays = [day for day in range(DAYS) if day % 7 < 6]
    wishes = [int(dice.triangular(20, 64, 38)) for _ in range(boats)]
    rows = _rows(dice, wishes)
    half_hours = about.half_hours * (1.1 if seed % 5 == 0 else 1.0)
    made = [_boat(dice, key, wish, aside_min) for key, wish in enumerate(wishes)]
    tasks = [
        task
        for boat, wish in zip(made, wishes, strict=True)
        for task in _tasks(dice, boat.id, wish, half_hours)
    ]
    people = tuple(
        _person(dice, number, trade, workdays, about.share)
        for number, trade in enumerate(about.trades)
    )
    open_hours = _on(workdays, *HOURS, *OVERTIME)
    return Problem(
        days=days,
        boats=tuple(made),
        tasks=tuple(tasks),
        people=people,
        lifts=(Lift(LIFT, "Travel lift", open_hours, about.lifts),),
        rows=rows,
        looks=Looks(3 * about.lifts, _on(workdays, (7 * 60, 17 * 60 + 30))),
    )


def _on(workdays: list[int], *hours: Interval) -> Stretches:
    """These hours on each of these days, joined where one ends as the next begins."""
    found: list[Interval] = []
    for day in workdays:
        for start, end in hours:
            span = day * 1440 + start, day * 1440 + end
            if found and found[-1][1] == span[0]:
                span = found.pop()[0], span[1]
            found.append(span)
    return tuple(found)


def _rows(dice: Random, wishes: list[int]) -> tuple[tuple[BoatId, ...], ...]:
    guessed = sorted(range(len(wishes)), key=lambda boat: wishes[boat] + dice.gauss(0, 7))
    count = -(-len(wishes) // 6)
    return tuple(tuple(_id(boat) for boat in guessed[row::count]) for row in range(count))


def _id(boat: int) -> BoatId:
    return BoatId(f"boat {boat:04}")


def _floats() -> dict[float, Stretches]:
    """When each draft floats: a made-up tide of a lunar and a solar wave."""
    minute = np.arange(DAYS * 1440)
    hours = minute / 60
    level_m = (
        2.0 + 0.85 * np.cos(2 * np.pi * hours / 12.4206) + 0.30 * np.cos(np.pi * hours / 6 - 0.6)
    )
    found = {}
    for draft_m in DRAFTS_M:
        wet = np.concatenate([[False], level_m >= draft_m + UNDER_KEEL_M, [False]])
        edges = np.flatnonzero(wet[1:] != wet[:-1]).tolist()
        found[draft_m] = tuple(zip(edges[::2], edges[1::2], strict=True))
    return found


FLOATS = _floats()


def _boat(dice: Random, number: int, wish: int, aside_min: int | None) -> Boat:
    key = _id(number)
    soonest = max(7, wish - 14) * 1440
    return Boat(
        id=key,
        name=f"Boat {number:04}",
        lift=LIFT,
        water=both(FLOATS[dice.choice(DRAFTS_M)], ((soonest, DAYS * 1440),)),
        launch_min=20,
        carry_min=10,
        aside_min=aside_min,
        looks_min=120,
        watch_min=120,
        hands=3,
        ink=wish + dice.randint(0, 5) if dice.random() < 0.6 else None,
        pencil=wish,
    )


def _tasks(dice: Random, boat: BoatId, wish: int, half_hours: float) -> Iterator[Task]:
    def minutes(low: int = 1, high: int = 12) -> int:
        return 30 * max(low, min(high, round(dice.expovariate(1 / half_hours) + 0.5)))

    def key(what: object) -> TaskId:
        return TaskId(f"{boat}: {what}")

    count = dice.randint(4, 12)
    tried = count > 5 and dice.random() < 0.4
    yield Task(key("cover off"), boat, HAND, minutes(1, 4), "cover off")
    works: list[TaskId] = []
    for number in range(count - 3 - tried):
        after = dice.choice(works[-3:]) if works and dice.random() < 0.5 else key("cover off")
        comes = max(0, wish - dice.randint(0, 25)) if dice.random() < 0.06 else 0
        trade = dice.choices(TRADES, (35, 18, 17, 15, 15))[0]
        works.append(key(number))
        yield Task(
            works[-1], boat, trade, minutes(), f"work {number}", (after,),
            not_before=comes * 1440 and comes * 1440 + 7 * 60, waits_for="kit",
        )  # fmt: skip
    yield Task(
        key("paint"), boat, HULL, minutes(2, 10), "paint", (key("cover off"),),
        dry_min=1440, within_min=60 * 1440,
    )  # fmt: skip
    last = dice.choice((MECHANIC, MECHANIC, HAND))
    yield Task(key("last look"), boat, last, minutes(1, 3), "last look", (*works, key("paint")))
    if tried:
        trade = dice.choice((MECHANIC, ELECTRICIAN, RIGGER))
        yield Task(key("trial"), boat, trade, minutes(1, 4), "trial", afloat=True)


def _person(dice: Random, number: int, trade: str, workdays: list[int], share: float) -> Person:
    trades = {trade}
    trades |= {dice.choice(TRADES)} if dice.random() < 0.6 else set()
    trades |= {dice.choice(TRADES)} if dice.random() < 0.25 else set()
    away = dice.randrange(WEEKS * 7)
    here = [
        day
        for day in workdays
        if day % 7 != number % 6 and not away <= day < away + 3 and dice.random() < share
    ]
    return Person(
        PersonId(f"person {number:02}"),
        f"Person {number:02}",
        frozenset(trades),
        _on(here, *HOURS),
        overtime=_on(here, *OVERTIME),
    )


def load(problem: Problem) -> float:
    """Work over the working hours of all people until the last wish."""
    until = (WEEKS * 7) * 1440
    hours = sum(person.on.plain.worked_by(until) for person in problem.people)
    return sum(task.minutes for task in problem.tasks) / hours
