"""What may come otherwise than the published plan says, and what each owner can be told by it."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from yardwright import refdata
from yardwright.plan.chance import Arrival, Away, Found, Spread, Uncertain
from yardwright.plan.changes import OWNERS
from yardwright.plan.days import Days, Minute
from yardwright.plan.hours import EVER, within
from yardwright.plan.odds import Map, Odds, odds
from yardwright.plan.problem import Boat, BoatId, Job, Plan, Problem, TaskId
from yardwright.plan.seasons import WAITS_MIN
from yardwright.plan.spoken import percent, phone_sentence, sure_by, to_tell
from yardwright.season.asked import asked_now
from yardwright.season.learned import Kind, Lessons, kinds_of
from yardwright.season.model import WORKING_WEEK, History, Season
from yardwright.season.published import Published
from yardwright.season.put_backs import PUT_BACK, REFILL
from yardwright.season.spring import not_planned, parts_of

_ROWS = refdata.table("promises")
_FOUND_MIN = round(_ROWS["found_min"].value)
_ON_STEP = Found(_ROWS["found_on_step"].value / 100, _FOUND_MIN)
_ON_WORK = Found(_ROWS["found_on_work"].value / 100, _FOUND_MIN)


@dataclass(frozen=True, slots=True)
class Usual:
    """What is usual where a yard has no records of its own: the rows of ``refdata/promises.toml``.

    A part comes on its day with ``part_on_day``, else ``late_working_days`` later. Each person is
    away on a share of days, ``away_days`` at a time in the mean; None is each day by itself.
    ``wind`` is the share of days without a lift. ``spread`` is how jobs stray, and what is found
    on a step and on other work, until the yard's own history says so.
    """

    part_on_day: float = _ROWS["part_on_day"].value / 100
    late_working_days: int = round(_ROWS["part_late"].value)
    away: float = _ROWS["away"].value / 100
    away_days: float | None = _ROWS["away_for"].value
    wind: float = _ROWS["no_lift"].value / 100
    spread: Spread = field(default_factory=Spread)
    found_on_step: Found = _ON_STEP
    found_on_work: Found = _ON_WORK

    def lessons(self, history: tuple[History, ...]) -> Lessons:
        """What each kind of job is like, by that history and this."""
        step, work = Kind(self.spread, self.found_on_step), Kind(self.spread, self.found_on_work)
        return Lessons(history, step, work)


USUAL = Usual()


@dataclass(frozen=True, slots=True)
class Standing:
    """What is left of a plan, and what may come otherwise; why there is no day for the others."""

    season: Season
    problem: Problem
    plan: Plan
    uncertain: Uncertain
    now: datetime
    unknown: Mapping[str, str]
    mended: bool = False  # it goes by the smallest change of a plan that no longer fits

    @property
    def since(self) -> Minute:
        """Now, in the minutes of the problem."""
        return self.problem.days.minute(self.now)


def standing(season: Season, told: Published, now: datetime, usual: Usual = USUAL) -> Standing:
    """What is left of a plan from now on.

    Parameters
    ----------
    season : Season
        As it stands now.
    told : Published
        The plan that holds.
    now : datetime
        Aware.
    usual : Usual
        What is taken where the season says nothing.
    """
    asked, before = asked_now(season, told, now, now)
    left_out = not_planned(season, begins=told.begins, now=now)
    since = asked.days.minute(now)
    problem, plan = _still_planned(asked, before)
    problem = from_now(problem, plan, since)
    unknown = {boat.name: _unplanned(asked, before, boat) for boat in asked.boats}
    unknown |= {
        asked.boat[boat].name: f"she stands behind {front.name}, {_not_planned(before, front)}, "
        "and can't be moved aside; plan again, or say how that one is moved"
        for boat, front in _shut_in(asked, _goes(asked, before))
    }
    unknown |= {one.boat: one.because for one in left_out}
    known = {boat.name for boat in problem.going_in}
    return Standing(
        season,
        problem,
        plan,
        uncertain(season, problem, now, usual),
        now,
        {name: why for name, why in unknown.items() if name not in known},
    )


def from_now(problem: Problem, plan: Plan, now: Minute) -> Problem:
    """The hours that are over are no hours left: what has not begun by now begins now or later.

    So it is with launches: the water that is over is no water left for a boat not yet fetched.
    """
    tasks = (task.from_then(min(now, plan.jobs[task.id].start)) for task in problem.tasks)
    boats = (_water_left(boat, plan.launches.get(boat.id), now) for boat in problem.boats)
    return replace(problem, tasks=tuple(tasks), boats=tuple(boats))


def _water_left(boat: Boat, launch: Minute | None, now: Minute) -> Boat:
    soonest = now + boat.carry_min
    if launch is not None and launch < soonest:
        return boat
    return replace(boat, water=within(boat.water, soonest, EVER))


def uncertain(season: Season, problem: Problem, now: datetime, usual: Usual = USUAL) -> Uncertain:
    """What may come otherwise in a season.

    Parameters
    ----------
    season : Season
        Whose parts have their days, and whose history says how long jobs take.
    problem : Problem
        What is asked of it now, as ``problem_of`` says it.
    now : datetime
        Aware.
    usual : Usual
        What is taken where the season says nothing.

    Returns
    -------
    Uncertain
        A part that came is here, and nothing waits for it. One whose day has passed, and of which
        nobody said that it came, has no odds: what waits for it is *not known*, and so is no part
        of the problem.
    """
    arrives = {
        part.name: part.arrives
        for part in season.parts
        if part.arrives and not part.came and not part.overdue(now)
    }
    arrivals, firsts = dict[TaskId, Arrival](), dict[str, TaskId]()
    part = parts_of(season)
    for task in problem.tasks:
        name = part.get(task.id, "")
        comes = arrives.get(name)
        if comes is not None:
            late = problem.days.minute(
                _working_days_later(comes.astimezone(problem.days.zone), usual.late_working_days)
            )
            on_day = usual.part_on_day
            first = firsts.setdefault(name, task.id)  # one part comes once for all
            minutes, chances = (task.not_before, max(task.not_before, late)), (on_day, 1 - on_day)
            arrivals[task.id] = Arrival(minutes, chances, first)
    kinds = kinds_of(season, problem, usual.lessons(season.history))
    return Uncertain(
        arrivals=arrivals,
        spreads={key: kind.spread for key, kind in kinds.items()},
        found={key: kind.found for key, kind in kinds.items() if kind.found.chance},
        away={person.id: Away(usual.away, usual.away_days) for person in problem.people},
        wind=usual.wind,
    )


def _working_days_later(at: datetime, days: int) -> datetime:
    """The same time by the clock, so many working days later; ``at`` in the yard's zone."""
    while days:
        at += timedelta(days=1)
        days -= at.weekday() in WORKING_WEEK
    return at


def phone_answers(
    season: Season,
    told: Published,
    now: datetime,
    *,
    seasons: int = 2000,
    seed: int = 1,
    blocks: Map = map,
    usual: Usual = USUAL,
) -> dict[str, object]:
    """What each owner can be told now, as plain JSON.

    Parameters
    ----------
    season : Season
        As it stands now.
    told : Published
        The plan that holds; what is left of it is lived through from now on.
    now : datetime
        Aware.
    seasons : int
        How many are lived through, in thousands.
    seed, blocks
        As for ``odds``.
    usual : Usual
        What is taken where the season says nothing.

    Returns
    -------
    dict
        ``asked_at``, ``seasons``, ``boats`` with each boat's sentence and days, and ``unknown``:
        why there is no answer for the others.
    """
    stands = standing(season, told, now, usual)
    found = odds(
        stands.problem, stands.plan, stands.uncertain, seasons=seasons, seed=seed, blocks=blocks
    )
    return {
        "asked_at": now.isoformat(),
        "seasons": seasons,
        "boats": {boat.name: _answer(stands, found, boat) for boat in stands.problem.going_in},
        "unknown": stands.unknown,
    }


def _still_planned(problem: Problem, plan: Plan) -> tuple[Problem, Plan]:
    """What of a plan can still be lived through: the boats with all of their work in it.

    Left out are also those shut in behind one that is not: whose work nobody has planned may
    stand there for any time.
    """
    here = _here(problem, plan)
    goes = _goes(problem, plan)
    goes -= {boat for boat, _ in _shut_in(problem, goes)}
    boats = tuple(replace(boat, goes_in=boat.id in goes) for boat in problem.boats)
    tasks = tuple(task for task in problem.tasks if task.boat in goes)
    kept = Plan(
        {task.id: here[task.id] for task in tasks},
        {boat: start for boat, start in plan.launches.items() if boat in goes},
        {b: start for b, start in plan.asides.items() if b in problem.boat},
    )
    return replace(problem, boats=boats, tasks=tasks), kept


def _here(problem: Problem, plan: Plan) -> dict[TaskId, Job]:
    """The jobs of a plan whose people still work here."""
    people = {person.id for person in problem.people}
    return {
        key: job
        for key, job in plan.jobs.items()
        if job.person in people and (job.watcher is None or job.watcher in people)
    }


def _goes(problem: Problem, plan: Plan) -> set[BoatId]:
    """The boats that a plan launches and all of whose work is in it."""
    here = _here(problem, plan)
    lacks = {task.boat for task in problem.tasks if task.id not in here}
    return {b.id for b in problem.going_in if b.id in plan.launches and b.id not in lacks}


def _unplanned(problem: Problem, plan: Plan, boat: Boat) -> str:
    here = _here(problem, plan)
    lacks = [task.text for task in problem.jobs[boat.id] if task.id not in here]
    if lacks and boat.id in plan.launches:
        return f"work on her is not in the published plan ({', '.join(lacks)}); plan again"
    return "she is not in the published plan as she stands"


def _shut_in(problem: Problem, goes: Collection[BoatId]) -> Iterator[tuple[BoatId, Boat]]:
    """Who of those that go stands behind one that does not and can't be moved aside, and that one."""
    for row in problem.rows:
        fronts = (problem.boat[key] for key in row if key not in goes)
        wall = next((front for front in fronts if front.aside_min is None), None)
        if wall:
            yield from ((key, wall) for key in row[row.index(wall.id) :] if key in goes)


def _not_planned(plan: Plan, boat: Boat) -> str:
    return "whose work isn't planned yet" if boat.id in plan.launches else "who isn't planned yet"


def _in_front(stands: Standing, boat: Boat) -> str:
    """Who in front of her nobody has planned, and how that is counted; empty where none is."""
    fronts = stands.problem.in_front[boat.id]
    moved = boat.id in stands.plan.asides
    stay = [f.name for f in fronts if not f.goes_in and f.id not in stands.plan.asides]
    if not stay:
        return "" if moved else _leaves_later(stands, boat)
    are = ("stands", "she were") if len(stay) == 1 else ("stand", "they were")
    since = f"the plan moves {boat.name} aside" if moved else "she is ready"
    return (
        f"In front of her {are[0]} {' and '.join(stay)}, not planned to leave; counted as if "
        f"{are[1]} moved aside a day after {since}."
    )


def _leaves_later(stands: Standing, boat: Boat) -> str:
    """Who in front of her leaves by the plan only long after she is ready, and how that is counted."""
    plan, days = stands.plan, stands.problem.days
    over = (plan.jobs[t.id].end + t.dry_min for t in stands.problem.ashore(boat.id))
    ready = max(over, default=stands.since)
    fronts = [f for f in stands.problem.in_front[boat.id] if f.goes_in and f.id not in plan.asides]
    last = max(fronts, key=lambda front: plan.launches[front.id], default=None)
    if last is None or last.aside_min is None:
        return ""
    leaves = plan.launches[last.id]
    if leaves <= ready + WAITS_MIN:
        return ""
    return (
        f"By the plan {last.name} stands in front of her until {days.said(days.day(leaves))}; "
        f"counted as if {last.name} were moved aside a day after she is ready, which is not planned."
    )


def _answer(stands: Standing, found: Odds, boat: Boat) -> Mapping[str, object]:
    waits_for = _waits_for(stands.problem, stands.plan, boat.id, stands.since)
    days = stands.problem.days
    return {
        **promise(found, days, boat),
        "sentence": phone_sentence(days, found, boat.id, waits_for, boat.ink),
        "waits_for": waits_for,
        "in_front": _in_front(stands, boat),
        "sure_by": [
            [days.date_of(day).isoformat(), words] for day, words in sure_by(days, found, boat.id)
        ],
        "days": [
            {
                "day": days.date_of(day).isoformat(),
                "odds": found.by(boat.id, day),
                "between": found.between(boat.id, day),
                "percent": percent(found.by(boat.id, day)),
            }
            for day in to_tell(days, found, boat.id)
        ],
    }


def promise(found: Odds, days: Days, boat: Boat) -> Mapping[str, object]:
    """How sure the day is that her owner was told, or ours; None without one."""
    if boat.promised is None:
        return {"promised": None}
    return {
        "promised": days.date_of(boat.promised).isoformat(),
        "in_ink": boat.ink is not None,
        "odds": found.by(boat.id, boat.promised),
        "between": found.between(boat.id, boat.promised),
    }


def _waits_for(problem: Problem, plan: Plan, boat: BoatId, since: Minute) -> str:
    """What comes last before her launch: a part or the frost, else the last job ashore."""
    ashore, days = list(problem.ashore(boat)), problem.days
    if not ashore:
        return ""
    last = max(ashore, key=lambda task: task.not_before)
    if last.waits_for and last.not_before > since:
        return f"the {last.waits_for} due {days.said(days.day(last.not_before))}"
    work = max(ashore, key=lambda task: plan.jobs[task.id].end)
    job = plan.jobs[work.id]
    what = "put-backs" if work.text.startswith((PUT_BACK, REFILL)) else work.text
    whose = "her owner" if work.trade.startswith(OWNERS) else f"the {work.trade}"
    return f"{whose} ({what}): {job.person}, {days.said(days.day(job.start))}"
