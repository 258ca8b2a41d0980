"""The season as the planner asks for it, in minutes; and its plan back in the yard's own time."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from yardwright.plan.alone import never_in
from yardwright.plan.days import Days, Interval
from yardwright.plan.hours import both, either, starts
from yardwright.plan.problem import Boat as PlanBoat
from yardwright.plan.problem import BoatId, PersonId, Plan, Problem, Task, TaskId, days_late
from yardwright.plan.problem import Person as PlanPerson
from yardwright.procedures.going_in import State
from yardwright.procedures.step import Season as StepSeason
from yardwright.procedures.step import Stage, Trade
from yardwright.procedures.steps import steps_for
from yardwright.season.model import Boat, Lift, Person, Season
from yardwright.season.water import season_span, windows_by_draft

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


def the_lift(season: Season, name: str = "") -> Lift:
    """The lift that a plan is made for.

    Raises
    ------
    ValueError
        There is none, or several and none was named: a plan counts one lift.
    """
    named = [lift for lift in season.lifts if name in ("", lift.name)]
    if len(named) == 1:
        return named[0]
    there = ", ".join(lift.name for lift in season.lifts) or "none"
    raise ValueError(f"A plan is made for one lift at a time; name it. There are: {there}.")


def problem_of(
    season: Season,
    *,
    lift: str = "",
    published: Mapping[str, datetime] | None = None,
    begins: datetime | None = None,
) -> Problem:
    """What is asked of the planner.

    Parameters
    ----------
    season : Season
        Without faults. Its boats on land stand in their rows; those in ``not_planned`` are not
        launched.
    lift : str
        Which lift; may be left out where there is one.
    published : mapping of str to datetime, optional
        The launches that were published, by boat's name: moving one costs.
    begins : datetime, optional
        Nothing is planned before the next whole minute after it; aware. Left out, the whole
        season is planned.

    Returns
    -------
    Problem
        In minutes that really pass since the season's first midnight. A boat's id is her name, a
        task's ``boat: what``.

    Raises
    ------
    ValueError
        No lift, or several and none named; water at fault.
    """
    asked = _ask(season, lift, begins)
    return _problem(asked, _left_out(asked), published or {})


def not_planned(
    season: Season, *, lift: str = "", begins: datetime | None = None
) -> tuple[NotPlanned, ...]:
    """The boats on land that can't be planned, each with its reason; unknown is never guessed."""
    asked = _ask(season, lift, begins)
    because = _left_out(asked)
    return tuple(
        NotPlanned(boat.name, because[boat.name], boat.promise.ink)
        for boat in asked.boats
        if boat.name in because
    )


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is left of a season, to plan in; ``water`` has each boat's minutes, by her name."""

    season: Season
    days: Days
    lift: Lift
    left: tuple[Interval, ...]
    boats: tuple[Boat, ...]
    water: Mapping[str, tuple[Interval, ...]]


def _ask(season: Season, lift: str, begins: datetime | None) -> _Asked:
    days, by = days_of(season), the_lift(season, lift)
    since = 0 if begins is None else max(0, days.minute(begins) + 1)
    left = ((since, days.end),) if since < days.end else ()
    boats = tuple(boat for boat in season.boats if boat.state in ON_LAND)
    floats = _floats(season, boats, days)
    water = {
        boat.name: both(_wished(boat, floats[boat.draft_m], days), left)
        for boat in boats
        if boat.draft_m is not None
    }
    return _Asked(season, days, by, left, boats, water)


def _floats(season: Season, boats: Iterable[Boat], days: Days) -> dict[float, tuple[Interval, ...]]:
    """Each draft's minutes of water."""
    span = season_span(season)
    drafts = [boat.draft_m for boat in boats if boat.draft_m is not None]
    return {
        draft_m: tuple((days.minute(one.start), days.minute(one.end)) for one in found)
        for draft_m, found in windows_by_draft(season, drafts, span.start, span.end).items()
    }


def _wished(boat: Boat, floats: tuple[Interval, ...], days: Days) -> tuple[Interval, ...]:
    """Not before her owner wants her in."""
    if boat.promise.wished is None:
        return floats
    wished = days.minute(_at(boat.promise.wished, time(), days.zone)) - boat.watch_min
    return tuple((max(start, wished), end) for start, end in floats if end > wished)


def _left_out(asked: _Asked) -> dict[str, str]:
    """Why boats are left out, so that one that can't be planned does not stop the others."""
    found = {boat.name: why for boat in asked.boats if (why := _because(asked, boat))}
    never = never_in(_problem(asked, found, {}))
    return {**found, **{str(boat): why for boat, why in never.items()}}


def _problem(
    asked: _Asked, left_out: Collection[str], published: Mapping[str, datetime]
) -> Problem:
    season, days, by = asked.season, asked.days, asked.lift
    going = [boat for boat in asked.boats if boat.name not in left_out]
    return Problem(
        days=days,
        boats=tuple(
            _boat(asked, boat, published.get(boat.name), goes_in=boat.name not in left_out)
            for boat in asked.boats
        ),
        tasks=tuple(task for boat in going for task in _tasks(season, boat, days)),
        people=tuple(_person(person, days, asked.left) for person in season.people),
        lift=both(_hours(days, [(by.opens, by.closes)], by.weekdays), asked.left),
        rows=tuple(_rows(asked.boats)),
    )


def _because(asked: _Asked, boat: Boat) -> str:
    if boat.state == State.NOT_GOING_IN:
        return "she is not going in this season"
    if boat.draft_m is None:
        return "her draft is not known; measure it"
    unknown = {part.name for part in asked.season.parts if part.arrives is None}
    for work in boat.work:
        if work.part in unknown:
            return f"nobody knows when the {work.part} comes; ask, and write the day"
    if not starts(asked.water[boat.name], asked.lift.launch_min):
        return (
            f"in what is left of the season the water never stands high enough for "
            f"{boat.draft_m:g} m of draft for {asked.lift.launch_min} minutes"
            f"{' after her wished day' if boat.promise.wished else ''}"
        )
    return ""


def _boat(asked: _Asked, boat: Boat, published: datetime | None, *, goes_in: bool) -> PlanBoat:
    days, lift, promise = asked.days, asked.lift, boat.promise
    pencil = promise.pencil or promise.wished
    return PlanBoat(
        id=BoatId(boat.name),
        name=boat.name,
        water=asked.water[boat.name] if goes_in else (),
        launch_min=lift.launch_min,
        aside_min=lift.aside_min,
        watch_min=boat.watch_min,
        ink=days.day_of(promise.ink) if promise.ink else None,
        pencil=days.day_of(pencil) if pencil else None,
        published=days.minute(published) if published else None,
        goes_in=goes_in,
    )


def _tasks(season: Season, boat: Boat, days: Days) -> Iterator[Task]:
    arrives = {part.name: part.arrives for part in season.parts}
    for work in boat.work:
        comes = arrives.get(work.part)
        yield Task(
            id=_task_id(boat, work.what),
            boat=BoatId(boat.name),
            trade=work.trade,
            minutes=work.minutes,
            text=work.what,
            after=tuple(_task_id(boat, before) for before in work.after),
            not_before=max(0, days.minute(comes)) if comes else 0,
            waits_for=work.part or "part",
        )
    for trade, minutes in steps_left(boat).items():
        what = f"put back, {trade}"
        yield Task(_task_id(boat, what), BoatId(boat.name), trade, minutes, what)


def steps_left(boat: Boat) -> dict[str, int]:
    """The minutes of her spring steps that are still to be done before the lift, by trade.

    Without a word on what she has there are none: then her work alone is planned.
    """
    left: dict[str, int] = {}
    if not boat.has:
        return left
    for step in steps_for(boat.has, StepSeason.SPRING):
        dry = step.stage.place < Stage.LAUNCH.place and step.trade != Trade.LIFT
        if dry and step.code not in boat.done:
            left[step.trade] = left.get(step.trade, 0) + step.minutes
    return left


def _task_id(boat: Boat, what: str) -> TaskId:
    return TaskId(f"{boat.name}: {what}")


def _person(person: Person, days: Days, left: tuple[Interval, ...]) -> PlanPerson:
    works = both(_hours(days, person.hours, person.weekdays, person.off), left)
    return PlanPerson(PersonId(person.name), person.name, frozenset(person.trades), works)


def _hours(
    days: Days,
    hours: Iterable[tuple[time, time]],
    weekdays: Collection[int],
    off: Collection[date] = (),
) -> tuple[Interval, ...]:
    """Hours by the clock on the wall as minutes that pass; on the night it changes they differ."""
    calendar = [days.first + timedelta(days=day) for day in range(days.count)]
    found = [
        (days.minute(_at(day, start, days.zone)), days.minute(_at(day, end, days.zone)))
        for day in calendar
        if day.weekday() in weekdays and day not in off
        for start, end in hours
    ]
    return either([(start, end) for start, end in found if start < end])


def _at(day: date, clock: time, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, clock, zone)


def _rows(boats: Iterable[Boat]) -> Iterator[tuple[BoatId, ...]]:
    """Each place's boats from the aisle inwards; a boat without a berth blocks nobody."""
    standing = [boat for boat in boats if boat.place and boat.berth is not None]
    for place in dict.fromkeys(boat.place for boat in standing):
        row = sorted((b.berth or 0, b.name) for b in standing if b.place == place)
        yield tuple(BoatId(name) for _, name in row)


@dataclass(frozen=True, slots=True)
class Launch:
    """When a boat goes in, against the day that was promised."""

    boat: str
    starts: datetime
    ends: datetime
    promised: date | None
    in_ink: bool
    days_late: int


@dataclass(frozen=True, slots=True)
class Aside:
    """When a boat is moved aside, to let one behind her out."""

    boat: str
    starts: datetime
    ends: datetime


@dataclass(frozen=True, slots=True)
class Job:
    """Who does which work on a boat, and when."""

    boat: str
    what: str
    person: str
    starts: datetime
    ends: datetime


@dataclass(frozen=True, slots=True)
class SpringPlan:
    """A plan in the yard's own time, each list in the order of its times."""

    launches: tuple[Launch, ...]
    asides: tuple[Aside, ...]
    jobs: tuple[Job, ...]


def in_yard_time(problem: Problem, plan: Plan) -> SpringPlan:
    """Turn a plan's minutes back into the yard's days and hours."""
    at = problem.days.at
    asides = (
        Aside(key, at(start), at(start + (problem.boat[key].aside_min or 0)))
        for key, start in plan.asides.items()
    )
    jobs = (
        Job(task.boat, task.text, job.person, at(job.start), at(job.end))
        for task in problem.tasks
        for job in [plan.jobs[task.id]]
    )
    launches = (_launch(problem, boat, plan.launches[boat.id]) for boat in problem.going_in)
    return SpringPlan(
        tuple(sorted(launches, key=lambda one: (one.starts.astimezone(UTC), one.boat))),
        tuple(sorted(asides, key=lambda one: (one.starts.astimezone(UTC), one.boat))),
        tuple(sorted(jobs, key=lambda one: (one.starts.astimezone(UTC), one.boat))),
    )


def _launch(problem: Problem, boat: PlanBoat, start: int) -> Launch:
    days, day = problem.days, boat.pencil if boat.ink is None else boat.ink
    return Launch(
        boat=boat.id,
        starts=days.at(start),
        ends=days.at(start + boat.launch_min),
        promised=None if day is None else days.first + timedelta(days=day),
        in_ink=boat.ink is not None,
        days_late=days_late(problem, boat, start),
    )
