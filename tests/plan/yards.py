"""Yards to plan: story A1, tiny ones, and a made-up spring of any size. Seeded, all invented."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date
from itertools import pairwise
from math import acos, cos, pi
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from yardwright.plan.days import Days, Interval
from yardwright.plan.hours import both, either, outside
from yardwright.plan.problem import (
    Boat,
    BoatId,
    Job,
    Lift,
    LiftId,
    Looks,
    Person,
    PersonId,
    Plan,
    Problem,
    Task,
    TaskId,
)

ZONE = ZoneInfo("America/New_York")
LIFT = LiftId("travel lift")
MON, TUE, WED = 0, 1, 2
PLOVER, DUNLIN, CURLEW, TEAL, AVOCET = (
    BoatId(name) for name in ("Plover", "Dunlin", "Curlew", "Teal", "Avocet")
)


def lifts(*opens: Interval, count: int = 1) -> tuple[Lift, ...]:
    """The yard's one kind of lift."""
    return (Lift(LIFT, "Travel lift", opens, count),)


def at(day: int, clock: str) -> int:
    hour, minute = clock.split(":")
    return day * 1440 + int(hour) * 60 + int(minute)


def daily(days: int, *spans: str) -> tuple[Interval, ...]:
    """Stretches such as "07:00-12:00" on each of the first days."""
    return tuple(
        (at(day, start), at(day, end))
        for day in range(days)
        for start, end in (span.split("-") for span in spans)
    )


# Story A1: high and low waters above chart datum, and a half-cosine between them.
TIDES = [
    (at(day, clock), level)
    for day, clock, level in [
        (MON, "00:40", 0.10), (MON, "06:50", 1.45), (MON, "13:00", 0.15), (MON, "19:15", 1.40),
        (TUE, "01:30", 0.12), (TUE, "07:40", 1.42), (TUE, "13:50", 0.18), (TUE, "20:05", 1.38),
        (WED, "02:25", 0.15), (WED, "08:35", 1.38), (WED, "14:45", 0.22), (WED, "21:00", 1.35),
    ]
]  # fmt: skip
SILL_BELOW_DATUM_M, BIGHT_AND_MARGIN_M = 1.00, 0.35


def level_m(minute: int) -> float:
    for (start, low), (end, high) in pairwise(TIDES):
        if start <= minute <= end:
            return (low + high) / 2 + (low - high) / 2 * cos(pi * (minute - start) / (end - start))
    return -9.0  # outside the table nothing floats


def water(draft_m: float, days: int = 3) -> tuple[Interval, ...]:
    need_m = draft_m + BIGHT_AND_MARGIN_M - SILL_BELOW_DATUM_M
    wet = [m for m in range(days * 1440) if level_m(m) >= need_m]
    ends = [a for a, b in pairwise([*wet, 10**9]) if b > a + 1]
    begins = [b for a, b in pairwise([-9, *wet]) if b > a + 1]
    return tuple((a, b) for a, b in zip(begins, ends, strict=True) if a < b)


def story_a1(
    *,
    kit: str = "07:30",
    lift: tuple[Interval, ...] = daily(3, "06:00-16:00"),
    mechanic: tuple[Interval, ...] = daily(3, "07:00-12:00", "12:30-15:30"),
    aside_min: int | None = 30,
) -> Problem:
    asked = {  # draft, mechanic's minutes, yard hand's, Ink
        PLOVER: (0.60, 120, 60, MON),
        DUNLIN: (1.45, 180, 120, TUE),
        CURLEW: (1.75, 120, 120, TUE),
        TEAL: (1.20, 150, 60, TUE),
        AVOCET: (1.90, 120, 180, WED),
    }
    boats, tasks = [], []
    for boat, (draft_m, by_mechanic, by_hand, ink) in asked.items():
        boats.append(Boat(boat, boat, LIFT, water(draft_m), aside_min=aside_min, ink=ink))
        comes = at(TUE, kit) if boat == CURLEW else 0
        tasks.append(
            Task(
                TaskId(f"{boat}-mechanic"),
                boat,
                "mechanic",
                by_mechanic,
                "fit the impeller kit" if boat == CURLEW else "engine",
                not_before=comes,
                waits_for="kit",
            )
        )
        tasks.append(Task(TaskId(f"{boat}-hand"), boat, "yard hand", by_hand, "hull"))
    works = daily(3, "07:00-12:00", "12:30-15:30")
    return Problem(
        days=Days(date(2031, 5, 5), 3, ZONE),
        boats=tuple(boats),
        tasks=tuple(tasks),
        people=(
            Person(PersonId("ines"), "Ines", frozenset({"mechanic"}), mechanic),
            Person(PersonId("ole"), "Ole", frozenset({"yard hand"}), works),
        ),
        lifts=lifts(*lift),
        rows=((CURLEW, DUNLIN),),
    )


def spring(count: int, seed: int, *, weeks: int = 8) -> Problem:
    """A made-up spring: rows stood by a noisy guess in fall, late kits, sick days, tides."""
    dice = Random(1000 * count + seed)  # noqa: S311 - no secret
    days = Days(date(2031, 3, 31), 7 * weeks, ZONE)
    wished = [int(dice.triangular(10, 7 * weeks - 14, 3.5 * weeks)) for _ in range(count)]
    guessed = sorted(range(count), key=lambda boat: wished[boat] + dice.gauss(0, 7))
    deep = -(-count // 6)  # so many rows, six deep
    rows = tuple(tuple(_boat_id(boat) for boat in guessed[row::deep]) for row in range(deep))
    boats = tuple(_made_up_boat(dice, days, number, day) for number, day in enumerate(wished))
    tasks = [
        task for boat, day in zip(boats, wished, strict=True) for task in _jobs(dice, boat, day)
    ]
    minutes = sum(task.minutes for task in tasks)
    hands = max(2, round(minutes / ((weeks - 1) * 5 * 480 * 0.7)))
    people = tuple(_person(dice, days, number) for number in range(hands))
    lift = tuple(span for day in _workdays(days) for span in _shift(day, "06:00-16:00"))
    return Problem(days, boats, tuple(tasks), people, lifts(*lift), rows)


def _boat_id(number: int) -> BoatId:
    return BoatId(f"boat {number:02}")


def _workdays(days: Days) -> list[int]:
    return [day for day in range(days.count) if day % 7 < 6]  # the season begins on a Monday


def _shift(day: int, *spans: str) -> tuple[Interval, ...]:
    return tuple((at(day, a), at(day, b)) for a, b in (span.split("-") for span in spans))


def _made_up_boat(dice: Random, days: Days, number: int, wished: int) -> Boat:
    draft_m = dice.choice((0.5, 0.6, 0.8, 1.0, 1.2, 1.4, 1.6, 1.8))
    half_min = int(372.6 / pi * acos(max(-1.0, min(1.0, (draft_m - 1.05) / 0.9))))
    highs = (int(410 + 745.2 * tide) for tide in range(2 * days.count))
    floats = ((high - half_min, high + half_min) for high in highs)
    inked = dice.random() < 0.6
    name = _boat_id(number)
    return Boat(
        name,
        name,
        LIFT,
        both(either(floats), (((wished - 10) * 1440, days.end),))
        if wished > 10
        else both(either(floats), ((0, days.end),)),
        watch_min=dice.choice((0, 120)),
        ink=wished + dice.randint(0, 4) if inked else None,
        pencil=wished,
    )


def _jobs(dice: Random, boat: Boat, wished: int) -> list[Task]:
    jobs: list[Task] = []
    for number in range(dice.randint(3, 9)):
        trade = dice.choices(("mechanic", "yard hand", "rigger", "painter"), (4, 3, 1, 1))[0]
        after = (dice.choice(jobs).id,) if jobs and dice.random() < 0.6 else ()
        comes = max(0, wished - dice.randint(0, 14)) * 1440 + 600 if dice.random() < 0.06 else 0
        name = TaskId(f"{boat.id} job {number}")
        jobs.append(Task(name, boat.id, trade, 15 * dice.randint(2, 40), "work", after, comes))
    return jobs


def _person(dice: Random, days: Days, number: int) -> Person:
    main = ("mechanic", "yard hand", "mechanic", "yard hand", "rigger", "painter")[number % 6]
    trades = {main, dice.choice(("mechanic", "yard hand")), "rigger" if number % 2 else "painter"}
    sick = dice.randrange(days.count)
    works = [day for day in _workdays(days) if day % 7 != number % 6 and not sick <= day < sick + 3]
    hours = ("07:00-12:00", "12:30-15:30")
    return Person(
        PersonId(f"person {number}"),
        f"person {number}",
        frozenset(trades),
        tuple(span for day in works for span in _shift(day, *hours)),
    )


def tiny(seed: int, *, boats: int = 3, jobs: int = 2) -> Problem:
    """A yard of three days in whole hours, small enough to try every order."""
    dice = Random(seed)  # noqa: S311 - no secret
    days = Days(date(2031, 5, 5), 3, ZONE)
    keys = [_boat_id(number) for number in range(boats)]
    made, tasks = [], list[Task]()
    for key in keys:
        tide = dice.randint(5, 14)
        spans = (f"{tide + day:02}:00-{tide + day + dice.randint(1, 4):02}:00" for day in range(3))
        water = tuple(span for day, text in enumerate(spans) for span in _shift(day, text))
        promised = dice.randint(0, 1)
        inked = dice.random() < 0.7
        aside_min = dice.choice((60, 60, None))
        goes_in = dice.random() < 0.9
        ink, pencil = (promised, None) if inked else (None, promised)
        boat = Boat(
            key, key, LIFT, water, 60, 0, aside_min, ink=ink, pencil=pencil, goes_in=goes_in
        )
        made.append(boat)
        for number in range(dice.randint(0, jobs)):
            after = (tasks[-1].id,) if number and dice.random() < 0.5 else ()
            comes = at(1, f"{dice.randint(8, 12):02}:00") if dice.random() < 0.2 else 0
            trade = dice.choice(("mechanic", "yard hand"))
            name = TaskId(f"{key} {number}")
            tasks.append(Task(name, key, trade, 60 * dice.randint(1, 5), "work", after, comes))
    both_trades = frozenset({"mechanic", "yard hand"})
    people = [
        Person(PersonId("ines"), "Ines", both_trades, daily(3, "07:00-10:00", "11:00-13:00")),
        Person(PersonId("ole"), "Ole", frozenset({"yard hand"}), daily(2, "08:00-12:00")),
    ]
    lift = daily(3, "06:00-11:00", "12:00-15:00")
    rows = (tuple(keys[:-1]), (keys[-1],))
    return Problem(days, tuple(made), tuple(tasks), tuple(people), lifts(*lift), rows)


CRANE = LiftId("crane")
INES, OLE, NILS, BEA = (PersonId(name) for name in ("ines", "ole", "nils", "bea"))


def whole(seed: int) -> Problem:
    """A yard of nine weeks in which every rule counts: five boats in two rows, two kinds of lift."""
    dice = Random(seed)  # noqa: S311 - no secret
    days = Days(date(2031, 4, 7), 63, ZONE)  # a Monday
    workdays = [day for day in range(63) if day % 7 < 5]
    hours = tuple(span for day in workdays for span in _shift(day, "07:00-12:00", "12:30-15:30"))
    late = tuple(span for day in workdays for span in _shift(day, "15:30-18:00"))
    short = tuple(span for span in hours if span[0] // 1440 % 7 < 4)
    people = (
        Person(INES, "Ines", frozenset({"mechanic"}), hours, late, may_watch=1),
        Person(OLE, "Ole", frozenset({"mechanic", "rigger"}), short, may_watch=2),
        Person(NILS, "Nils", frozenset({"rigger"}), hours, late, frozenset({"mechanic"})),
        Person(BEA, "Bea", frozenset({"painter", "yard hand"}), hours),
    )
    keys = [_boat_id(number) for number in range(5)]
    boats = tuple(_whole_boat(dice, key) for key in keys)
    tasks = tuple(task for key in keys for task in _whole_jobs(dice, key))
    open_ = tuple(span for day in workdays for span in _shift(day, "06:00-16:00"))
    kinds = (Lift(LIFT, "Travel lift", open_, 2), Lift(CRANE, "Crane", open_))
    rows = (tuple(keys[:3]), tuple(keys[3:]))
    looks = Looks(2, tuple(span for day in workdays for span in _shift(day, "06:00-18:00")))
    return Problem(days, boats, tasks, people, kinds, rows, looks)


def nobody_runs_it(problem: Problem, plan: Plan) -> Problem:
    """The same with nobody in to run a lift on the days on which a plan has it launch a boat."""
    days = problem.days

    def away(lift: Lift) -> Lift:
        gone = {days.day(plan.launches[b.id]) for b in problem.going_in if b.lift == lift.id}
        spans = either((days.midnight(day), days.midnight(day + 1)) for day in gone)
        return replace(lift, opens=both(lift.opens, outside(spans, days.end)), away=spans)

    return replace(problem, lifts=tuple(away(lift) for lift in problem.lifts))


def _whole_boat(dice: Random, key: BoatId) -> Boat:
    tide = dice.randint(6, 8)
    return Boat(
        key,
        f"{key}",
        LIFT if key < _boat_id(3) else CRANE,
        daily(63, f"{tide:02}:00-{tide + dice.randint(6, 8):02}:00"),
        launch_min=dice.randint(30, 60),
        carry_min=dice.randint(10, 30),
        aside_min=dice.randint(20, 40),
        looks_min=dice.randint(60, 120),
        watch_min=dice.choice((0, 1440)),
        hands=1,
        ink=dice.randint(10, 30),
        ground_from=at(2, "09:00"),
    )


def _whole_jobs(dice: Random, key: BoatId) -> Iterator[Task]:
    def job(name: str, trade: str, **more: Any) -> Task:
        return Task(TaskId(f"{key} {name}"), key, trade, dice.randint(60, 400), name, **more)

    engine, hull = TaskId(f"{key} engine"), TaskId(f"{key} hull")
    comes = dice.randint(1, 9) * 1440 + 600
    yield job("engine", "mechanic", not_before=comes, waits_for="kit")
    yield job("second look", "mechanic", after=(engine,), not_by=(engine,))
    yield job("hull", "yard hand")
    dry_min = dice.randint(6, 30) * 60
    yield job("paint", "painter", after=(hull,), dry_min=dry_min, within_min=20 * 1440)
    yield job("mast", "rigger")
    yield job("hose run afloat", "mechanic", after=(engine,), afloat=True)


def in_turn(problem: Problem) -> Plan:
    """Of a whole yard, by hand's own means: one thing after the other, each at its first minute.

    The first of each row is moved aside and goes in last of it.
    """
    jobs: dict[TaskId, Job] = {}
    launches: dict[BoatId, int] = {}
    asides: dict[BoatId, int] = {}
    now = 0
    for row in problem.rows:
        front = problem.boat[row[0]]
        asides[row[0]] = _begin(problem.lift[front.lift].opens, max(now, front.ground_from), 60)
        now = asides[row[0]] + 60
        for key in (*row[1:], row[0]):
            boat = problem.boat[key]
            for task in problem.ashore(key):
                jobs[task.id] = _by_hand(problem, task, now)
                now = jobs[task.id].end
            launches[key] = _launch_by_hand(problem, boat, now)
            now = launches[key] + boat.launch_min
            for task in problem.afloat(key):
                jobs[task.id] = _by_hand(problem, task, now)
                now = jobs[task.id].end
    return Plan(jobs, launches, asides)


def _by_hand(problem: Problem, task: Task, now: int) -> Job:
    """Engines are Nils's, watched by Ines and into overtime; Ole looks at them."""
    who = {"engine": NILS, "second look": OLE, "mast": NILS}.get(task.text, BEA)
    who = INES if task.afloat else who
    overtime = task.text == "engine"
    clock = problem.person[who].hours(overtime=overtime)
    begin = clock.worked_by(max(now, task.not_before))
    start, end = clock.minute_of(begin), clock.minute_of(begin + task.minutes - 1) + 1
    return Job(who, start, end, INES if task.text == "engine" else None, overtime)


def _launch_by_hand(problem: Problem, boat: Boat, now: int) -> int:
    """By trying minute after minute."""
    lift, looks = problem.lift[boat.lift].opens, problem.looks
    assert looks is not None
    paint = TaskId(f"{boat.id} paint")
    jobs = {task.id: task for task in problem.tasks}
    dry = now + jobs[paint].dry_min  # later than it need be
    start = max(now + boat.carry_min, dry, boat.ground_from + boat.carry_min)
    while not (
        _covers(lift, start - boat.carry_min, start + boat.launch_min)
        and _covers(boat.water, start, start + boat.launch_min)
        and _covers(looks.opens, start + boat.launch_min, start + boat.launch_min + boat.looks_min)
    ):
        start += 1
    return start


def _covers(stretches: tuple[Interval, ...], start: int, end: int) -> bool:
    return any(a <= start and end <= b for a, b in stretches)


def _begin(stretches: tuple[Interval, ...], now: int, minutes: int) -> int:
    return next(max(a, now) for a, b in stretches if max(a, now) + minutes <= b)


def tiny_more(seed: int) -> Problem:
    """A tiny yard with what else can be asked: carrying, paint, looks, learners, work afloat."""
    dice = Random(seed)  # noqa: S311 - no secret
    thaw = Random(seed)  # noqa: S311 - no secret
    asked = tiny(seed, boats=2)
    boats = tuple(
        replace(
            boat,
            carry_min=dice.choice((0, 60)),
            looks_min=dice.choice((0, 60, 120)),
            hands=dice.choice((1, 1, 2)),
            free_from=dice.choice((0, 0, 1440)),
            ground_from=thaw.choice((0, 0, at(0, "13:00"), at(1, "08:00"))),
        )
        for boat in asked.boats
    )
    tasks = [replace(t, dry_min=dice.choice((0, 0, 120, 720))) for t in asked.tasks]
    for boat in boats:
        theirs = [task for task in tasks if task.boat == boat.id]
        if theirs and dice.random() < 0.4:
            look = TaskId(f"{boat.id} look")
            done = (theirs[0].id,)
            tasks.append(Task(look, boat.id, theirs[0].trade, 60, "look", done, not_by=done))
        if boat.goes_in and dice.random() < 0.4:
            name = TaskId(f"{boat.id} afloat")
            tasks.append(Task(name, boat.id, "mechanic", 60, "run", afloat=True))
    late = daily(3, "13:00-15:00")
    ines = replace(asked.people[0], overtime=late, may_watch=dice.choice((0, 1)))
    ole = replace(asked.people[1], learns=frozenset({"mechanic"}), works=daily(3, "08:00-12:00"))
    looks = Looks(dice.choice((1, 2)), daily(3, "06:00-17:00"))
    return replace(
        asked,
        boats=boats,
        tasks=tuple(tasks),
        rows=(tuple(boat.id for boat in boats),),
        people=(ines, ole),
        lifts=lifts(*daily(3, "06:00-11:00", "12:00-15:00"), count=dice.choice((1, 2))),
        looks=dice.choice((None, looks)),
    )
