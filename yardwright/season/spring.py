"""The season as the planner asks for it, in minutes; and its plan back in the yard's own time."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from zoneinfo import ZoneInfo

from yardwright.plan.alone import never_in
from yardwright.plan.changes import OWNERS
from yardwright.plan.days import Days, Interval, Minute
from yardwright.plan.hours import both, starts
from yardwright.plan.problem import (
    LAST_FROST,
    BoatId,
    LiftId,
    Problem,
    Task,
    TaskId,
)
from yardwright.plan.problem import Boat as PlanBoat
from yardwright.plan.problem import Lift as PlanLift
from yardwright.plan.problem import Looks as PlanLooks
from yardwright.plan.slots import SLOT_MIN
from yardwright.procedures.going_in import State
from yardwright.season.day_hours import weekly
from yardwright.season.hours import by_the_clock, lift_hours, midnight, owners_of, person_of
from yardwright.season.lifts import Lifts, firm_from, her_minutes, kind_named
from yardwright.season.model import OWNER, Boat, Lift, Season, Work
from yardwright.season.put_backs import PUT_BACK, REFILL, frost_to_come, put_back_jobs
from yardwright.season.taken import lift_taken, looks_taken
from yardwright.season.water import season_span, windows_by_draft
from yardwright.season.yard_time import Job
from yardwright.season.zone import said_day

SECOND_LOOK_MIN = 15  # for somebody else's look at work that is done
SECOND_LOOK = "second look, "  # then the work
ON_LAND = frozenset(
    {
        State.BLOCKED_UP,
        State.LAID_UP,
        State.FITTING_OUT,
        State.OWNERS_TURN,
        State.READY,
        State.NOT_GOING_IN,
    }
)


@dataclass(frozen=True, slots=True)
class NotPlanned:
    """A boat on land that no plan launches, why, and the day in Ink that is missed by it."""

    boat: str
    because: str
    ink: date | None = None


def days_of(season: Season) -> Days:
    """The days of a season in the yard's own zone."""
    yard = season.yard
    count = (yard.last_day - yard.first_day).days + 1
    return Days(yard.first_day, count, ZoneInfo(yard.zone))


def problem_of(
    season: Season,
    *,
    published: Mapping[str, datetime] | None = None,
    begins: datetime | None = None,
    now: datetime | None = None,
) -> Problem:
    """What is asked of the planner.

    Parameters
    ----------
    season : Season
        Without faults. Its boats on land stand in their rows; those in ``not_planned`` are not
        launched.
    published : mapping of str to datetime, optional
        The launches that were published, by boat's name: moving one costs.
    begins : datetime, optional
        Nothing is planned before the next whole minute after it; aware. Left out, the whole
        season is planned.
    now : datetime, optional
        When it is asked; aware. Boats that hang in the slings hang then, and a part that was due by
        then and of which nobody said that it came is *not known*. Left out, when it begins.

    Returns
    -------
    Problem
        In minutes that really pass since the season's first midnight. A boat's id is her name, a
        task's ``boat: what``.

    Raises
    ------
    ValueError
        No lift; water at fault.
    """
    return asked_of(season, published=published, begins=begins, now=now)[0]


def not_planned(
    season: Season, *, begins: datetime | None = None, now: datetime | None = None
) -> tuple[NotPlanned, ...]:
    """The boats on land that can't be planned, each with its reason; unknown is never guessed."""
    return asked_of(season, begins=begins, now=now)[1]


def asked_of(
    season: Season,
    *,
    published: Mapping[str, datetime] | None = None,
    begins: datetime | None = None,
    now: datetime | None = None,
) -> tuple[Problem, tuple[NotPlanned, ...]]:
    """What is asked of the planner, and what is not: ``problem_of`` with ``not_planned``."""
    asked = _ask(season, begins, now)
    because = {boat.name: why for boat in asked.boats if (why := _because(asked, boat))}
    problem = _problem(asked, because, published or {})
    if never := never_in(problem):  # left out too, so that they do not stop the others
        because |= {str(boat): why for boat, why in never.items()}
        problem = _problem(asked, because, published or {})
    return problem, tuple(
        NotPlanned(boat.name, because[boat.name], boat.promise.ink)
        for boat in asked.boats
        if boat.name in because
    )


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is left of a season, to plan in; ``water`` has each boat's minutes, by her name."""

    season: Season
    days: Days
    lifts: Lifts
    left: tuple[Interval, ...]
    now: Minute
    boats: tuple[Boat, ...]
    water: Mapping[str, tuple[Interval, ...]]


def _ask(season: Season, begins: datetime | None, now: datetime | None) -> _Asked:
    days = days_of(season)
    since = 0 if begins is None else max(0, days.minute(begins) + 1)
    hang_at = since if now is None else max(0, days.minute(now) + 1)
    left = ((since, days.end),) if since < days.end else ()
    boats = tuple(boat for boat in season.boats if boat.state in ON_LAND)
    floats = _floats(season, boats, days)
    water = {
        boat.name: both(_wished(boat, floats[boat.draft_m], days), left)
        for boat in boats
        if boat.draft_m is not None
    }
    return _Asked(season, days, Lifts(season.lifts), left, hang_at, boats, water)


def _floats(season: Season, boats: Iterable[Boat], days: Days) -> dict[float, tuple[Interval, ...]]:
    """Each draft's minutes of water."""
    span = season_span(season)
    drafts = [boat.draft_m for boat in boats if boat.draft_m is not None]
    return {
        draft_m: tuple((days.minute(one.start), days.minute(one.end)) for one in found)
        for draft_m, found in windows_by_draft(season, drafts, span.start, span.end).items()
    }


def _wished(boat: Boat, floats: tuple[Interval, ...], days: Days) -> tuple[Interval, ...]:
    """Not handed over before her owner wants her in, nor afloat before she is insured."""
    since = 0
    if boat.promise.wished is not None:
        since = midnight(boat.promise.wished, days) - boat.watch_min
    if boat.insured_from is not None:
        since = max(since, midnight(boat.insured_from, days))
    return tuple((max(start, since), end) for start, end in floats if end > since)


def _problem(
    asked: _Asked, left_out: Collection[str], published: Mapping[str, datetime]
) -> Problem:
    season, days = asked.season, asked.days
    going = [boat for boat in asked.boats if boat.name not in left_out]
    people = [person_of(person, days, asked.left) for person in season.people]
    return Problem(
        days=days,
        boats=tuple(
            _boat(asked, boat, published.get(boat.name), goes_in=boat.name not in left_out)
            for boat in asked.boats
        ),
        tasks=tuple(task for boat in going for task in tasks_of(season, boat, days)),
        people=(*people, *owners_of(going, days, asked.left)),
        lifts=tuple(_lift(asked, lifts) for lifts in asked.lifts.alike),
        rows=tuple(_rows(asked.boats)),
        looks=_looks(asked),
    )


def _because(asked: _Asked, boat: Boat) -> str:
    if boat.state == State.NOT_GOING_IN:
        return "she is not going in this season"
    if boat.draft_m is None:
        return "her draft is not known; measure it"
    lift = asked.lifts.that_carries(boat)
    if isinstance(lift, str):
        return lift
    firm = firm_from(lift, boat, asked.season.places, asked.season.yard.first_day)
    if isinstance(firm, str):
        return firm
    if why := next(_not_known(asked, boat), "") or _frost_too_late(asked.season, boat):
        return why
    launch_min = her_minutes(lift, boat).launch
    if not starts(asked.water[boat.name], launch_min):
        return (
            f"in what is left of the season the water never stands high enough for "
            f"{boat.draft_m:g} m of draft for {launch_min} minutes"
            f"{' after her wished day' if boat.promise.wished else ''}"
            f"{' after the day she is insured from' if boat.insured_from else ''}"
        )
    return ""


def _not_known(asked: _Asked, boat: Boat) -> Iterator[str]:
    """What her work waits for without anybody knowing how long."""
    season, asked_at = asked.season, asked.days.at(asked.now - 1)
    parts = {part.name: part for part in season.parts if not part.came}
    for work in boat.work:
        part = parts.get(work.part)
        if part and part.arrives is None:
            yield f"nobody knows when the {part.name} comes; ask, and write the day"
        if part and part.arrives and part.overdue(asked_at):
            due = asked.days.clock(asked.days.minute(part.arrives))
            yield (
                f"the {part.name} was due {due} and nobody said that it came; "
                "say so, or give the new day"
            )
        if work.needs_yes:
            yield f"her owner has not agreed to the price of this yet: {work.what}; ask"
        if work.after_frost and season.yard.last_frost is None:
            yield (
                f"nobody has said when the last frost is, and this waits for it: {work.what}; "
                "write the yard's last frost"
            )
        if work.trade == OWNER and not (boat.owner and boat.owner.hours):
            yield f"nobody knows when her owner can come for this: {work.what}; ask"


def _frost_too_late(season: Season, boat: Boat) -> str:
    """That the season ends before the last frost, where work of hers waits for that."""
    last, yard = frost_to_come(season.yard), season.yard
    if last is None or last <= yard.last_day:
        return ""
    waits = [work.what for work in boat.work if work.after_frost]
    waits += [what for what in put_back_jobs(boat, yard) if what.startswith(REFILL)]
    if not waits:
        return ""
    return (
        f"no frost is expected from {said_day(last, yard.last_day)} on, after the season's last day, "
        f"and this waits for it: {waits[0]}"
    )


def _boat(asked: _Asked, boat: Boat, published: datetime | None, *, goes_in: bool) -> PlanBoat:
    days, promise, looks = asked.days, boat.promise, asked.season.looks
    lift = asked.lifts.that_carries(boat)
    by = asked.season.lifts[0] if isinstance(lift, str) else lift  # one left out takes no lift
    pencil = promise.wished or promise.pencil  # our own day may have come of a late plan
    takes = her_minutes(by, boat)
    return PlanBoat(
        id=BoatId(boat.name),
        name=boat.name,
        lift=LiftId(asked.lifts.kind_of(by)),
        water=asked.water[boat.name] if goes_in else (),
        launch_min=takes.launch,
        carry_min=takes.carry,
        aside_min=None if isinstance(lift, str) else by.aside_min,
        looks_min=looks.minutes if looks else 0,
        watch_min=boat.watch_min,
        free_from=max(0, midnight(boat.paid_from, days)) if boat.paid_from else 0,
        ground_from=_firm(asked, by, boat),
        hands=boat.hands or asked.season.yard.hands,
        ink=days.day_of(promise.ink) if promise.ink else None,
        pencil=days.day_of(pencil) if pencil else None,
        published=days.minute(published) if published else None,
        goes_in=goes_in,
    )


def _firm(asked: _Asked, lift: Lift, boat: Boat) -> Minute:
    """When the ground where she stands bears her lift; not this season where nobody knows."""
    season, days = asked.season, asked.days
    firm = firm_from(lift, boat, season.places, season.yard.first_day)
    return days.end if isinstance(firm, str) else min(days.end, midnight(firm, days))


def tasks_of(season: Season, boat: Boat, days: Days) -> Iterator[Task]:
    """The work that is still to be done on a boat, with the second looks at it and the put-backs."""
    arrives = {part.name: part.arrives for part in season.parts if not part.came}
    for work in boat.work:
        comes, frost = arrives.get(work.part), season.yard.last_frost if work.after_frost else None
        waits = {work.part or "part": days.minute(comes) if comes else 0}
        waits |= {LAST_FROST: midnight(frost, days)} if frost else {}
        waits_for = max(waits, key=lambda one: waits[one])
        yield Task(
            id=_task_id(boat, work.what),
            boat=BoatId(boat.name),
            trade=_trade(boat, work),
            minutes=half_hours(work.minutes),
            text=work.what,
            after=tuple(_task_id(boat, before) for before in work.after),
            not_before=max(0, waits[waits_for]),
            waits_for=waits_for,
            frost_until=midnight(frost, days) if frost else 0,
            dry_min=round(60 * work.dry_hours),
            within_min=None if work.within_days is None else work.within_days * 1440,
            afloat=work.afloat,
        )
        if work.second_look:
            yield _second_look(boat, work)
    yield from _put_backs(season, boat, days)


def parts_of(season: Season) -> dict[TaskId, str]:
    """The part that each piece of work waits for, also where the last frost comes after it."""
    return {
        _task_id(boat, work.what): work.part
        for boat in season.boats
        for work in boat.work
        if work.part
    }


def _put_backs(season: Season, boat: Boat, days: Days) -> Iterator[Task]:
    """Nothing is closed up, filled or started before the repairs of that trade are done."""
    frost = frost_to_come(season.yard)
    jobs = put_back_jobs(boat, season.yard)
    for what, steps in jobs.items():
        trade, fills = steps[0].trade, what.startswith(REFILL)
        before = [one.what for one in boat.work if one.trade == trade and not one.afloat]
        if fills and (closed := f"{PUT_BACK}{trade}") in jobs:
            before.append(closed)
        yield Task(
            id=_task_id(boat, what),
            boat=BoatId(boat.name),
            trade=trade,
            minutes=half_hours(sum(step.minutes for step in steps)),
            text=what,
            after=tuple(_task_id(boat, one) for one in before),
            not_before=midnight(frost, days) if fills and frost else 0,
            waits_for=LAST_FROST if fills else "part",
        )


def half_hours(minutes: int) -> int:
    """Work is planned by the half hour; what is left of one is no time for another boat."""
    return -(-minutes // SLOT_MIN) * SLOT_MIN


def _trade(boat: Boat, work: Work) -> str:
    return f"{OWNERS}{boat.owner.name}" if work.trade == OWNER and boat.owner else work.trade


def _second_look(boat: Boat, work: Work) -> Task:
    """Somebody else of the trade looks at what was done."""
    done, what = _task_id(boat, work.what), f"{SECOND_LOOK}{work.what}"
    return Task(
        _task_id(boat, what),
        BoatId(boat.name),
        work.trade,
        SECOND_LOOK_MIN,
        what,
        after=(done,),
        not_by=(done,),
        afloat=work.afloat,
    )


def task_of(job: Job) -> TaskId:
    """The task that a job of a plan does."""
    return _id(job.boat, job.what)


def _task_id(boat: Boat, what: str) -> TaskId:
    return _id(boat.name, what)


def _id(boat: str, what: str) -> TaskId:
    return TaskId(f"{boat}: {what}")


def _lift(asked: _Asked, alike: tuple[Lift, ...]) -> PlanLift:
    """Lifts that are alike in all but name, as one kind with their number."""
    days, one = asked.days, alike[0]
    hours = lift_hours(days, one, asked.season.people)
    free = both(hours.opens, asked.left)
    name = kind_named(alike)
    taken = lift_taken(asked.season, alike, days, asked.now)
    return PlanLift(
        LiftId(one.name),
        name,
        free,
        len(alike),
        hours.held,
        taken,
        hours.away,
        hours.run_by,
        hours.longer,
    )


def _looks(asked: _Asked) -> PlanLooks | None:
    looks, days = asked.season.looks, asked.days
    if looks is None:
        return None
    opens = both(by_the_clock(days, weekly(looks.hours, looks.weekdays)), asked.left)
    return PlanLooks(looks.at_once, opens, looks_taken(asked.season, looks, days, asked.now))


def _rows(boats: Iterable[Boat]) -> Iterator[tuple[BoatId, ...]]:
    """Each row's boats from the aisle inwards.

    Of whom nobody wrote the berth counts as standing at the aisle: she may be in anybody's way.
    """
    standing = [boat for boat in boats if boat.place]
    for place in dict.fromkeys(boat.place for boat in standing if boat.berth is not None):
        row = sorted((b.berth or 0, b.name) for b in standing if b.place == place)
        yield tuple(BoatId(name) for _, name in row)
