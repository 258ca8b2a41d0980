"""Made-up yards of any size for the planner's bench: seeded, all invented, no real yard's figures."""

from collections.abc import Iterator
from dataclasses import dataclass, field
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

WEEKS = 10
DAY_MIN, SLOT_MIN = 1440, 30
LIFT = LiftId("lift")
TRADES = ("mechanic", "electrician", "rigger", "painter", "yard hand", "carpenter")
ASKED = (35, 17, 16, 13, 14, 5)  # of a hundred works, by trade
CREW = "mmmmeerrpphhhc"  # first trades of fourteen people
FEW = {30: "mmerpphc", 100: "mmmeerpphc"}
DAYS_IN_TEN = {30: 4.5, 100: 8.0}  # small yards have part-timers
HALF_HOURS = {30: 8.5, 100: 5.2}  # of a work, in the mean
DRAFTS_M = (0.5, 0.6, 0.8, 1.0, 1.2, 1.4, 1.6, 1.8)
UNDER_KEEL_M = 0.3
HOURS, LATE, OPEN = (("07:00-12:00", "12:30-15:30"), ("15:30-17:30",), ("07:00-17:30",))


def yard(count: int, seed: int) -> Problem:
    """A spring of ten weeks; every fourth seed is a tight one.

    Rows of six were stood in fall by a guess of the wished day that is a week off.
    """
    dice = Random(1000 * seed + count)  # noqa: S311 - no secret
    days = Days(date(2031, 3, 31), 7 * WEEKS, ZoneInfo("America/New_York"))  # a Monday
    people = tuple(_people(dice, count))
    wished = [int(dice.triangular(20, 64, 38)) for _ in range(count)]
    guessed = sorted(range(count), key=lambda boat: wished[boat] + dice.gauss(0, 7))
    deep = -(-count // 6)
    rows = tuple(tuple(_boat_id(boat) for boat in guessed[row::deep]) for row in range(deep))
    floats = {draft_m: floating(draft_m) for draft_m in DRAFTS_M}
    mean = HALF_HOURS.get(count, 3.3) * (1.15 if seed % 4 == 0 else 1.0)
    made = [_Made(dice, number, day, mean, floats) for number, day in enumerate(wished)]
    boats = tuple(one.boat() for one in made)
    tasks = tuple(task for one in made for task in one.tasks())
    lifts = 1 + min(count // 200, 3)
    open_ = tuple(_shifts(range(7 * WEEKS), OPEN))
    kinds = (Lift(LIFT, "Travel lift", open_, lifts),)
    return Problem(days, boats, tasks, people, kinds, rows, Looks(3 * lifts, open_))


def loads(problem: Problem) -> dict[str, float]:
    """The share of regular hours that is asked: of each trade's people, and of all."""
    shares = {}
    for trade in TRADES:
        asked = sum(task.minutes for task in problem.tasks if task.trade == trade)
        there = (p.on.plain.worked[-1] for p in problem.people if trade in p.trades)
        shares[trade] = asked / sum(there)
    worked = sum(p.on.plain.worked[-1] for p in problem.people)
    return shares | {"all": sum(task.minutes for task in problem.tasks) / worked}


def floating(draft_m: float) -> Stretches:
    """When a draft floats at the well, by a moon's and a sun's half-day tide."""
    hours = np.arange(7 * WEEKS * DAY_MIN) / 60
    level_m = 2.0 + 0.85 * np.cos(2 * np.pi * hours / 12.4206)
    level_m += 0.30 * np.cos(2 * np.pi * hours / 12.0 - 0.6)
    wet = np.concatenate(([False], level_m >= draft_m + UNDER_KEEL_M, [False]))
    edges = np.flatnonzero(wet[1:] != wet[:-1])
    return tuple((int(a), int(b)) for a, b in edges.reshape(-1, 2))


def _people(dice: Random, count: int) -> Iterator[Person]:
    firsts = FEW.get(count, CREW * -(-count // 300))[: max(14, round(14 * count / 300))]
    by_letter = {"m": 0, "e": 1, "r": 2, "p": 3, "h": 4, "c": 5}
    for number, letter in enumerate(firsts):
        trades = {TRADES[by_letter[letter]]}
        for chance in (0.6, 0.25):
            if dice.random() < chance:
                trades.add(dice.choice(TRADES[:5]))
        off, away = number % 6, dice.randrange(7 * WEEKS)
        there = [
            day
            for day in range(7 * WEEKS)
            if day % 7 != off
            and not away <= day < away + 3
            and dice.random() < DAYS_IN_TEN.get(count, 10) / 10
        ]
        works, late = tuple(_shifts(there, HOURS)), tuple(_shifts(there, LATE))
        name = f"person {number}"
        yield Person(PersonId(name), name, frozenset(trades), works, late)


def _shifts(days: range | list[int], spans: tuple[str, ...]) -> Iterator[Interval]:
    """Those spans on each of the days but Sundays."""
    for day in days:
        for span in spans if day % 7 < 6 else ():
            start, end = (int(clock[:2]) * 60 + int(clock[3:]) for clock in span.split("-"))
            yield day * DAY_MIN + start, day * DAY_MIN + end


def _boat_id(number: int) -> BoatId:
    return BoatId(f"boat {number:03}")


@dataclass
class _Made:
    """A boat as she is made up."""

    dice: Random
    number: int
    wished: int
    mean: float
    floats: dict[float, Stretches]
    made: list[Task] = field(default_factory=list)

    def boat(self) -> Boat:
        inked = self.dice.random() < 0.6
        floats = self.floats[self.dice.choice(DRAFTS_M)]
        return Boat(
            _boat_id(self.number),
            _boat_id(self.number),
            LIFT,
            both(floats, (((self.wished - 14) * DAY_MIN, 7 * WEEKS * DAY_MIN),)),
            launch_min=20,
            carry_min=10,
            aside_min=None,
            looks_min=120,
            watch_min=120,
            hands=2,
            ink=self.wished + self.dice.randint(0, 5) if inked else None,
            pencil=self.wished,
        )

    def tasks(self) -> list[Task]:
        """Cover off, a tree of works, paint, a last look; for some a test afloat."""
        count = self.dice.randint(6, 14) - 2
        afloat = count > 5 and self.dice.random() < 0.4
        cover = self._add("cover", "yard hand", (1, 4))
        works: list[Task] = []
        for _ in range(count - afloat - 3):
            after = self.dice.choice(works[-3:]) if works and self.dice.random() < 0.5 else cover
            (trade,) = self.dice.choices(TRADES, ASKED)
            comes = max(0, self.wished - self.dice.randint(0, 25)) * DAY_MIN + 420
            comes *= self.dice.random() < 0.06
            works.append(self._add("work", trade, (1, 12), (after,), comes))
        paint = self._add("paint", "painter", (2, 10), (cover,))
        last = self.dice.choice(("mechanic", "mechanic", "yard hand"))
        self._add("last look", last, (1, 3), (*works, paint))
        if afloat:
            trade = self.dice.choice(("mechanic", "electrician", "rigger"))
            self._add("test afloat", trade, (1, 4))
        return self.made

    def _add(
        self,
        text: str,
        trade: str,
        half_hours: tuple[int, int],
        after: tuple[Task, ...] = (),
        comes: int = 0,
    ) -> Task:
        low, high = half_hours
        long = max(low, min(high, round(self.dice.expovariate(1 / self.mean) + 0.5)))
        task = Task(
            TaskId(f"{_boat_id(self.number)} {len(self.made)}"),
            _boat_id(self.number),
            trade,
            SLOT_MIN * long,
            text,
            tuple(before.id for before in after),
            comes,
            "kit",
            dry_min=DAY_MIN if text == "paint" else 0,
            within_min=60 * DAY_MIN if text == "paint" else None,
            afloat=text == "test afloat",
        )
        self.made.append(task)
        return task
