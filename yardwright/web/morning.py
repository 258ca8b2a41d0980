"""What the Morning Sheet shows: what must happen today, and which promises are in danger."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from yardwright.calc.counting import spelled
from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.launch import on_her_way, strip
from yardwright.launch import queries as launch
from yardwright.launch.on_her_way import Going
from yardwright.plan.savers import ENOUGH
from yardwright.plan.spoken import percent
from yardwright.procedures.float_check import Floats
from yardwright.procedures.going_in import Due, State
from yardwright.procedures.put_backs import Before, Harm, Undone, holds_back, left_undone
from yardwright.procedures.ways_in import OPENINGS, Standing
from yardwright.season import checks
from yardwright.season import model as season
from yardwright.season.causes import Broken
from yardwright.season.lifts import held_now, held_soon, nobody_in
from yardwright.season.new_in_water import watch_of
from yardwright.season.published import Published, week_of
from yardwright.season.saver_words import hurts, slack
from yardwright.season.yard_time import Aside, Job
from yardwright.season.zone import said_day, shown
from yardwright.web.goes_in import GoesIn, goes_in
from yardwright.web.yards_round import NewInWater, launches_near, the_round
from yardwright.work import queries as work
from yardwright.work.parts import Ordered, asked_about
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard.models import Person

SOON = timedelta(days=3)
LIFTS_AHEAD = timedelta(days=7)
TOMORROW = timedelta(days=1)
LEARNS = "learning: goes with somebody who knows the step"
IN_TIME = "Nothing open; by the plan she is in time, but little must go wrong."
NO_PLAN_FOR_HER = "The plan no longer holds for her: plan the smallest change."


@dataclass(frozen=True, slots=True)
class Danger:
    """A promise that the plan, or what is open on the boat, puts at risk."""

    boat: season.Boat
    told: date
    planned: str
    waits_for: tuple[str, ...]
    sure: str  # in words; empty: not known


@dataclass(frozen=True, slots=True)
class OneSaver:
    """The one saver worth doing, in words."""

    boat: str
    tag: str
    day: date
    words: str
    before: str
    then: str
    asks_for: str


@dataclass(frozen=True, slots=True)
class Looked:
    """The last look for savers: what was worth doing, and why it is old."""

    at: datetime
    old: str
    saver: OneSaver | None


@dataclass(frozen=True, slots=True)
class CouldSink:
    """What is open on a boat that goes in soon, and could sink her."""

    boat: season.Boat
    what: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FirstJob:
    """What somebody does first; without a job of their own they learn."""

    person: str
    pk: int
    job: Job | None

    @property
    def what(self) -> str:
        return f"{self.job.boat}: {self.job.what}" if self.job else LEARNS

    @property
    def starts(self) -> str:
        return f"{self.job.starts:%H:%M}" if self.job else ""


@dataclass(frozen=True, slots=True)
class LateLook:
    """A boat that is watched in the water, and the first look of hers that nobody made in time."""

    boat: Boat
    due_at: datetime

    @property
    def words(self) -> str:
        return f"{self.boat}: her look of {self.due_at:%a %H:%M} is late. Look now."


@dataclass(frozen=True, slots=True)
class Morning:
    today: date
    wet: list[Boat]  # in the slings or the water, and water came in
    late: list[LateLook]
    goes_in: list[GoesIn]
    dangers: list[Danger]
    missed_later: int  # days in Ink beyond those three that the plan does not keep
    could_sink: list[CouldSink]
    first_jobs: list[FirstJob]
    lifts_held: list[str]  # now, or with nobody in today to run them, in sentences
    lifts_soon: list[str]  # the same from later on, within a week
    asides: list[Aside]  # of today
    asked: list[Ordered]  # did it come?
    new: list[NewInWater]
    plan: Published | None
    broken: tuple[Broken, ...]  # why the plan no longer holds
    looked: Looked | None
    boats: list[season.Boat]  # to go in by tomorrow, and those in danger

    @property
    def sentence(self) -> str:
        wet = [f"{boat}: water comes in. Lift her back first." for boat in self.wet]
        first = [*wet, *(one.words for one in self.late)]
        if wet:
            return " ".join(first)
        if self.plan is None:
            return " ".join((*first, "No plan is published yet. Plan the spring first."))
        today = [one for one in self.goes_in if not one.slipped]
        going = f"{spelled(len(today), 'boat goes', 'boats go')} in today."
        names = ", ".join(one.launch.boat for one in self.goes_in if one.slipped)
        slipped = f"Planned before today and not in the water yet: {names}." if names else ""
        names = ", ".join(one.launch.boat for one in today if one.kept.held)
        held = f" Held, and not lifted before that is cleared: {names}." if names else ""
        wind = " ".join(self.lifts_held)
        more = "more " if self.dangers else ""
        later = f"; the plan misses {self.missed_later} {more}later" if self.missed_later else ""
        promises = spelled(len(self.dangers), "promise is", "promises are")
        danger = f"{promises} in danger within three days{later}."
        broken = "The plan no longer holds; what follows goes by it." if self.broken else ""
        said = (*first, broken, wind, f"{going}{held}", slipped, danger)
        return " ".join(words for words in said if words)

    @property
    def why_asides(self) -> list[str]:
        """Each move aside of today: when, and for whom."""
        return [self.plan.why_aside(one.boat) for one in self.asides] if self.plan else []


def morning(now: datetime) -> Morning:
    plan = launch.plan_of(work.last_published())
    today = now.date()
    pressing = strip.pressing(today, SOON, plan)
    boats = [boat for boat, _ in pressing]
    jobs = [job for job in plan.plan.jobs if _on(job, today)] if plan else []
    looked = _looked()
    asked = asked_about()
    overdue = {one.part.name: f"Her {one.part.name}: {one.words}." for one in asked if one.overdue}
    broken = launch.plan_broken()
    hit = frozenset[str]().union(*(one.boats for one in broken))
    dangers = list(_dangers(pressing, plan, launch.sures(), overdue, hit, now))
    where = work.where_all()
    lifts, at_lift = yard.lifts(), _at_the_lift(where, now)
    run = yard.people() if any(lift.run_by for lift in lifts) else ()
    on_land = {b.name: (b, holds) for b, holds in pressing if b.state != State.IN_THE_WATER}
    states = _states(where)
    going = list(goes_in(plan, on_land, states, lifts, run, now))
    soon = _soon(boats, dangers, plan, going, today)
    return Morning(
        today=today,
        wet=[row for row, going in at_lift if going.wet],
        late=list(_late(at_lift)),
        goes_in=going,
        dangers=dangers,
        missed_later=_missed_later(plan, states, today) if plan else 0,
        could_sink=list(_could_sink(soon, now)),
        first_jobs=_first_jobs(jobs),
        lifts_held=list(_lifts_held(lifts, run, now)),
        lifts_soon=list(_lifts_soon(lifts, run, now)),
        asides=_asides(plan, today),
        asked=asked,
        new=_new(today, plan, boats, [going for _, going in at_lift]),
        plan=plan,
        broken=broken,
        looked=looked,
        boats=soon,
    )


def _lifts_held(
    lifts: Iterable[season.Lift], people: Sequence[season.Person], now: datetime
) -> Iterator[str]:
    for lift in lifts:
        yield from held_now(lift, now, clock.zone())
        if nobody_in(lift, people, now.date()):
            yield f"Nobody who may run the {lift.name} is in today."


def _lifts_soon(
    lifts: Iterable[season.Lift], people: Sequence[season.Person], now: datetime
) -> Iterator[str]:
    week = [now.date() + timedelta(days=n) for n in range(1, LIFTS_AHEAD.days + 1)]
    for lift in lifts:
        yield from held_soon(lift, now, now + LIFTS_AHEAD, clock.zone())
        if away := [f"{day:%a} {day.day} {day:%b}" for day in week if nobody_in(lift, people, day)]:
            yield f"Nobody who may run the {lift.name} is in on {', '.join(away)}."


def _states(where: Mapping[int, work.Where]) -> dict[str, State]:
    """The state of every boat on file, by her name."""
    names = Boat.objects.values_list("pk", "name")
    return {name: where.get(pk, work.NOWHERE).state for pk, name in names}


def _asides(plan: Published | None, today: date) -> list[Aside]:
    todays = [one for one in plan.plan.asides if one.starts.date() == today] if plan else []
    return sorted(todays, key=lambda one: one.starts)


def _at_the_lift(where: Mapping[int, work.Where], now: datetime) -> list[tuple[Boat, Going]]:
    """Boats in the slings, and those watched in the water."""
    there = (State.IN_THE_SLINGS, State.IN_THE_WATER)
    rows = fleet.boats().filter(pk__in=[pk for pk, at in where.items() if at.state in there])
    return [(row, on_her_way.going(row, now)) for row in rows]


def _late(at_lift: Iterable[tuple[Boat, Going]]) -> Iterator[LateLook]:
    """A look whose time passed is late too, until somebody looks: the watch then begins again."""
    for row, going in at_lift:
        if going.watched and not going.wet:
            over = (one for one in going.watch if one.standing in (Due.MISSED, Due.LATE))
            if first := next(over, None):
                yield LateLook(row, shown(first.due_at, clock.zone()))


def _new(
    today: date, plan: Published | None, boats: Iterable[season.Boat], goings: Iterable[Going]
) -> list[NewInWater]:
    """Boats new in the water: in it, or by the plan today or yesterday."""
    there = {one.boat.name: one for one in goings}
    known = {boat.name: boat for boat in boats} | {name: one.boat for name, one in there.items()}
    in_water = {
        name: one.going.in_water_at
        for name, one in there.items()
        if one.watched and one.going.in_water_at
    }
    goes = {name: go for name, go in launches_near(plan, today).items() if name in known}
    return the_round(today, goes, known, in_water)


def _soon(
    boats: Iterable[season.Boat],
    dangers: Iterable[Danger],
    plan: Published | None,
    going: Iterable[GoesIn],
    today: date,
) -> list[season.Boat]:
    """By the plan tomorrow or before; without one, by what the owners were told."""
    in_danger = {one.boat.name for one in dangers}
    tomorrow = today + TOMORROW
    if plan is None:
        near = {b.name for b in boats if b.promise.ink and b.promise.ink <= tomorrow}
    else:
        near = week_of(plan.plan, tomorrow, days=1) | {one.launch.boat for one in going}
    to_go_in = (boat for boat in boats if boat.state != State.IN_THE_WATER)
    return [boat for boat in to_go_in if boat.name in in_danger | near]


def _on(job: Job, day: date) -> bool:
    return job.starts.date() <= day <= job.ends.date()


def _looked() -> Looked | None:
    job = launch.savers_of_all()
    found = job.answer if job else None
    if not found or "refused" in found:
        return None
    at = datetime.fromisoformat(found["asked_at"]).astimezone(clock.zone())
    return Looked(at, _old(found, at), _one_saver(found))


def _old(found: Mapping[str, Any], at: datetime) -> str:
    return launch.out_of_date(found) or (
        "" if at.date() == clock.today() else "It was worked out on another day."
    )


def _one_saver(found: Mapping[str, Any]) -> OneSaver | None:
    hers = next((one for one in found["boats"] if one["boat"] == found["worth"]), None)
    if hers is None:
        return None
    saver = hers["savers"][hers["worth"]]
    return OneSaver(
        hers["boat"],
        launch.tags().get(hers["boat"], ""),
        date.fromisoformat(hers["promised"]),
        saver["words"],
        saver["spoken_before"],
        saver["spoken"],
        f"{saver['cost']}; {slack(saver)}; {hurts(saver)}",
    )


def _dangers(
    pressing: Iterable[tuple[season.Boat, tuple[str, ...]]],
    plan: Published | None,
    sures: Mapping[str, launch.Sure],
    overdue: Mapping[str, str],
    hit: frozenset[str],
    now: datetime,
) -> Iterator[Danger]:
    """Ink within three days that the plan or her watch misses, that something open stands against, or unsure.

    Of each part in ``overdue`` it is said that nobody knows where it is. For the boats in ``hit`` the
    plan no longer holds, so it keeps no promise of theirs.
    """
    for boat, holds in pressing:
        ink = boat.promise.ink
        if ink is None or ink > now.date() + SOON:
            continue
        told = plan.told.get(boat.name) if plan else None
        day, watch = told.handed_over if told else None, watch_of(boat, now, clock.zone())
        if watch:
            day = watch.handed_over(day)
        late = day is None or day > ink
        parts = (words for part, words in overdue.items() if part in {w.part for w in boat.work})
        open_soon = _waits_for(boat, now) if ink <= now.date() + TOMORROW else ()
        no_plan = (NO_PLAN_FOR_HER,) if boat.name in hit and not watch else ()
        waits = (*holds, *parts, *open_soon, *no_plan)
        sure = sures.get(boat.name)
        # Also where it is old: that is no reason to be calm. Of boats in the water there are none.
        odds = sure.promised if sure and not watch else None
        if late or waits or (odds is not None and percent(odds) < ENOUGH):
            planned = said_day(day) if day else "not known" if watch else "not in the plan"
            why = told.why if told and late else ()
            if watch:
                why = (f"In the water, {watch.words}.",)
            open_now = (*why, *waits) or (IN_TIME,)
            yield Danger(boat, ink, planned, open_now, sure.by(ink) if sure else "")


def _missed_later(plan: Published, states: Mapping[str, State], today: date) -> int:
    """How many boats still to go in were told a day in Ink, beyond those soon, that the plan misses."""
    return sum(
        ink > today + SOON
        and states[boat] in launch.GOES_IN
        and (boat not in plan.told or plan.told[boat].handed_over > ink)
        for boat, ink in launch.inks().items()
    )


def _waits_for(boat: season.Boat, now: datetime) -> tuple[str, ...]:
    """What must be closed before she goes in, counted; and her openings, if nobody knows them.

    Of a boat in the water, before she is handed over.
    """
    watched = boat.state == State.IN_THE_WATER
    open_now = holds_back(boat.undone, Before.HANDOVER if watched else Before.WATER)
    check = checks.float_check(boat, now)
    words = []
    if open_now:
        words.append(f"Left undone: {_some([thing.what for thing in open_now])}.")
    if check.answer in (Floats.NO, Floats.NOT_KNOWN) and not open_now:
        words.append(check.sentence)
    return tuple(words)


def _some(names: list[str]) -> str:
    rest = len(names) - 3
    return ", ".join(names[:3]) + (f" and {rest} more" if rest > 0 else "")


def _could_sink(boats: Iterable[season.Boat], now: datetime) -> Iterator[CouldSink]:
    for boat in boats:
        things = left_undone(boat.undone)
        what = [f"{one.what}{_lies(one)}" for one in things if one.harm == Harm.SINKS]
        check = checks.float_check(boat, now)
        if check.counted.standing != Standing.HOLDS:
            what.append(f"{OPENINGS}: {check.counted.because}; walk round her")
        open_now = {one.fitting for one in things}
        what += [
            f"{name}: {known.because}"
            for name, known in check.standings.items()
            if known.standing != Standing.HOLDS and name not in open_now
        ]
        if what:
            yield CouldSink(boat, tuple(what))


def _lies(thing: Undone) -> str:
    return f" (lies: {thing.lies})" if thing.lies else " (nobody wrote where it lies)"


def _first_jobs(jobs: Iterable[Job]) -> list[FirstJob]:
    first: dict[str, Job] = {}
    for job in sorted(jobs, key=lambda job: job.starts):
        first.setdefault(job.person, job)
    people = Person.objects.filter(works_here=True)
    return [
        FirstJob(person.name, person.pk, first.get(person.name))
        for person in people
        if person.name in first or person.learner
    ]
