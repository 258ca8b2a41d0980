"""Whose day is what, by the plan that holds: the work of each person, and what the lift does."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from yardwright.calc.counting import count
from yardwright.fleet.models import Boat, Owner
from yardwright.launch import queries as launch
from yardwright.plan.problem import TaskId
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Undone
from yardwright.procedures.step import Step, Trade
from yardwright.season import model as season
from yardwright.season.day import Stint, does_or_watches, not_as_usual, on
from yardwright.season.going_in import NOTHING_FOUND, Kept
from yardwright.season.lifts import Lifts, by_plan, none_can
from yardwright.season.published import Published
from yardwright.season.put_backs import PUT_BACK, REFILL, put_back_jobs
from yardwright.season.spring import SECOND_LOOK, task_of
from yardwright.season.yard_time import Aside, Job, Launch
from yardwright.season.zone import shown
from yardwright.web.at_boat import NOT_ON_FILE, AtBoat, ToDo, at_boats
from yardwright.web.yards_round import NewInWater, launches_near, the_round
from yardwright.work import queries as work
from yardwright.work.models import Fact
from yardwright.work.parts import Ordered, ordered
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard.models import Person

TITLED = 4  # steps named where they are not listed


@dataclass(frozen=True, slots=True)
class Item:
    """Some work of a day, with what its person needs to know before they walk to the boat."""

    stint: Stint
    boat: AtBoat | None  # None: no longer on file
    beside: str  # who watches, or whose work is looked at
    steps: list[Step]
    part: str
    done: str
    goes_in: Launch | None  # on this day
    listed_on: date  # whose sheet has its steps: the first of its days that is not past

    @property
    def job(self) -> Job:
        return self.stint.job

    @property
    def where(self) -> str:
        return self.boat.stands if self.boat else NOT_ON_FILE

    @property
    def holds(self) -> tuple[str, ...]:
        return self.boat.holds if self.boat else ()

    @property
    def to_do(self) -> list[ToDo]:
        """Its steps, each with what goes back with it; listed on one of its days."""
        listed = self.boat and self.listed_on == self.stint.day
        return [self.boat.to_do(step) for step in self.steps] if self.boat and listed else []

    @property
    def goes_on(self) -> str:
        """What is left of steps that are listed on another of its days."""
        if not self.steps or self.to_do:
            return ""
        titles = [step.title for step in self.steps]
        more = f"; and {len(titles) - TITLED} more" if len(titles) > TITLED else ""
        day = f"{self.listed_on:%a} {self.listed_on.day} {self.listed_on:%b}"
        return (
            f"Goes on with what is left: {'; '.join(titles[:TITLED])}{more}. "
            f"Each is on the sheet of {day}."
        )

    @property
    def mind(self) -> str:
        """What can hurt at its steps, in a word each."""
        return ", ".join(dict.fromkeys(hazard for one in self.steps for hazard in one.hazards))

    @property
    def goes_back(self) -> list[Undone]:
        return list(dict.fromkeys(thing for one in self.to_do for thing in one.goes_back))

    @property
    def spread(self) -> str:
        """Over which of several days it goes."""
        if self.stint.parts == 1:
            return ""
        last = self.stint.part == self.stint.parts
        return f"day {self.stint.part} of {self.stint.parts}, {'its last' if last else 'goes on'}"


@dataclass(frozen=True, slots=True)
class Lifting:
    """One thing that the lift does: a boat goes in, or is moved aside."""

    boat: str
    at: AtBoat | None
    of: Launch | Aside
    fetched: datetime
    water: str = ""
    why: str = ""
    measure: str = ""  # what her lift has a limit for and nobody knows
    shut: tuple[str, ...] = ()  # why her lift can't be had then
    held: Kept = NOTHING_FOUND  # what keeps her on land as she stands

    @property
    def aside(self) -> bool:
        return isinstance(self.of, Aside)

    @property
    def where(self) -> str:
        return self.at.stands if self.at else NOT_ON_FILE

    @property
    def what(self) -> str:
        return "is moved aside" if self.aside else "goes in"

    @property
    def hours(self) -> str:
        return f"{self.of.starts:%H:%M}–{self.of.ends:%H:%M}"

    @property
    def fetch(self) -> str:
        """When her lift leaves for her, where that is before the water."""
        return f"{self.fetched:%H:%M}" if self.fetched < self.of.starts else ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One person's day; ``lifts`` and the boats ``new`` in the water are there for the lift's crew."""

    name: str
    person: Person | None  # None: an owner, or somebody who has left
    items: list[Item]
    lifts: list[Lifting]
    new: list[NewInWater]
    unusual: str = ""  # away, or stays

    @property
    def sentence(self) -> str:
        said = []
        if self.items:
            first, last = self.items[0].stint.starts, max(one.stint.ends for one in self.items)
            boats = len({one.job.boat for one in self.items})
            on_boats = f"{count(len(self.items), 'job')} on {count(boats, 'boat')}"
            said.append(f"{on_boats}, {first:%H:%M} to {last:%H:%M}.")
        if self.lifts:
            said.append(lift_sentence(self.lifts))
        if self.new:
            said.append(round_sentence(self.new))
        return " ".join(said) or f"The plan has no work for {self.name} on this day."


@dataclass(frozen=True, slots=True)
class Day:
    """A whole day of the plan that holds, by person in the order of the yard's list."""

    day: date
    told: Fact
    sheets: list[Sheet]
    lifts: list[Lifting]
    new: list[NewInWater]

    @property
    def sentence(self) -> str:
        working = [one for one in self.sheets if one.items]
        said = [lift_sentence(self.lifts)] if working or self.lifts else []
        if working:
            boats = len({item.job.boat for one in working for item in one.items})
            works = "works" if len(working) == 1 else "work"
            people = count(len(working), "person", "people")
            said.insert(0, f"{people} {works} on {count(boats, 'boat')}.")
        if self.new:
            said.append(round_sentence(self.new))
        return " ".join(said) or "The plan has nothing on this day."

    def of(self, person: Person) -> Sheet:
        """Somebody's sheet, also where the plan has nothing for them."""
        mine = (one for one in self.sheets if one.person and one.person.pk == person.pk)
        return next(mine, Sheet(person.name, person, [], [], []))


def lift_sentence(lifts: list[Lifting]) -> str:
    """What the lift does in all."""
    aside = sum(one.aside for one in lifts)
    goes = len(lifts) - aside
    said = f"{count(goes, 'boat goes', 'boats go')} in" if goes else "No boat goes in"
    return f"{said}, {aside} {'is' if aside == 1 else 'are'} moved aside." if aside else f"{said}."


def round_sentence(new: list[NewInWater]) -> str:
    """How many boats new in the water are looked at."""
    are = "is" if len(new) == 1 else "are"
    return f"{count(len(new), 'boat')} new in the water {are} looked at."


def crew_of_lift(person: Person, lifts: Iterable[season.Lift]) -> bool:
    """Whether the lift's day is theirs: by trade, or by name as one who may run a lift."""
    return Trade.LIFT in person.trades or any(person.name in one.run_by for one in lifts)


def hours_by_name(people: Iterable[Person]) -> dict[str, season.Person]:
    """How the plan names those who work: the yard's own, and owners on their own boats."""
    own = {one.name: yard.person(one) for one in people}
    for row in Owner.objects.all():
        name = f"{row.name} (owner)"
        own[name] = season.Person(name, hours=yard.hours(row.hours), weekdays=tuple(row.weekdays))
    return own


def day_of(day: date, only: Person | None = None) -> Day | None:
    """What the plan that holds has on a day, for all or for one; None: no plan is published."""
    fact = work.last_published()
    plan = launch.plan_of(fact)
    if fact is None or plan is None:
        return None
    people, zone, lifts = list(Person.objects.all()), clock.zone(), yard.lifts()
    hours = hours_by_name(people)
    stints = on(plan.plan, day, hours, zone)
    if only:
        stints = [*does_or_watches(stints, only.name)]
    goes = {one.boat: one for one in plan.plan.launches if shown(one.starts, zone).date() == day}
    asides = [one for one in plan.plan.asides if shown(one.starts, zone).date() == day]
    at_lift = {*goes, *(one.boat for one in asides)}
    near, watched = launches_near(plan, day), _watched()
    if only and not crew_of_lift(only, lifts):
        at_lift, near, watched = set(), {}, set()
    boats = at_boats({one.job.boat for one in stints} | at_lift | {*near}, watched)
    in_water = {name: _came_in(one) for name, one in boats.items() if one.row.pk in watched}
    new = the_round(day, near, {name: one.value for name, one in boats.items()}, in_water)
    turns = _lifts(plan, goes, asides, boats, lifts, hours.values())
    lifted = sorted(turns, key=lambda one: (one.fetched, one.boat))
    crew = {one.name for one in people if one.works_here and crew_of_lift(one, lifts)}
    done_by = {task_of(job): job.person for job in plan.plan.jobs}
    pieces = (piece for at in boats.values() for piece in at.row.work.all())
    parts = {one.part.pk: one for one in ordered(piece.part for piece in pieces if piece.part)}
    items = [
        _item(one, boats.get(one.job.boat), goes.get(one.job.boat), done_by, parts)
        for one in stints
    ]
    unusual = {one.name: not_as_usual(hours[one.name], day) for one in people}
    sheets = list(_sheets(people, crew, items, lifted, new, unusual))
    return Day(day, fact, sheets, lifted, new)


def _watched() -> set[int]:
    """The boats in the water and watched, by id."""
    return {pk for pk, at in work.where_all().items() if at.state is State.IN_THE_WATER}


def _came_in(boat: AtBoat) -> datetime:
    return max(fact.done_at for fact in boat.facts if fact.what == State.IN_THE_WATER)


def _lifts(
    plan: Published,
    goes: Mapping[str, Launch],
    asides: Iterable[Aside],
    boats: Mapping[str, AtBoat],
    lifts: tuple[season.Lift, ...],
    people: Collection[season.Person],
) -> Iterator[Lifting]:
    zone = clock.zone()
    for go in goes.values():
        told, at = plan.told[go.boat], boats.get(go.boat)
        water, fetched = launch.her_water(told, go.starts.date()), go.fetched or go.starts
        asks = Lifts(lifts).asks(at.value) if at and lifts else ""
        shut = none_can(_hers(lifts, go.lift, at), people, fetched, go.ends, zone)
        held = at.kept(go.starts) if at else NOTHING_FOUND
        yield Lifting(go.boat, at, go, fetched, water=water, measure=asks, shut=shut, held=held)
    for one in asides:
        why, at = plan.why_aside(one.boat), boats.get(one.boat)
        shut = none_can(_hers(lifts, "", at), people, one.starts, one.ends, zone)
        yield Lifting(one.boat, at, one, one.starts, why=why, shut=shut)


def _hers(lifts: tuple[season.Lift, ...], named: str, at: AtBoat | None) -> tuple[season.Lift, ...]:
    """The lifts that the plan names, else the one that carries her."""
    hers = by_plan(lifts, named)
    if not hers and at and lifts:
        carries = Lifts(lifts).that_carries(at.value)
        hers = () if isinstance(carries, str) else (carries,)
    return hers


def _sheets(
    people: list[Person],
    crew: set[str],
    items: list[Item],
    lifts: list[Lifting],
    new: list[NewInWater],
    unusual: Mapping[str, str],
) -> Iterator[Sheet]:
    """Of each with work on this day: the yard's own first, then owners and those who have left."""
    known = {one.name: one for one in people}
    named = dict.fromkeys(
        name for item in items for name in (item.job.person, item.job.watcher) if name
    )
    crew = crew if lifts or new else set()
    order = [name for name in known if name in named or name in crew]
    for name in (*order, *(name for name in named if name not in known)):
        theirs = {id(one) for one in does_or_watches((item.stint for item in items), name)}
        yield Sheet(
            name,
            known.get(name),
            [item for item in items if id(item.stint) in theirs],
            lifts if name in crew else [],
            new if name in crew else [],
            unusual.get(name, ""),
        )


def _item(
    stint: Stint,
    at: AtBoat | None,
    goes_in: Launch | None,
    done_by: Mapping[TaskId, str],
    parts: Mapping[int, Ordered],
) -> Item:
    job, today = stint.job, clock.today()
    listed_on = next((day for day in stint.days if day >= today), stint.days[0])
    if at is None:
        return Item(stint, None, _beside(job, done_by), [], "", "", goes_in, listed_on)
    steps = _steps(job, at.value)
    return Item(
        stint=stint,
        boat=at,
        beside=_beside(job, done_by),
        steps=steps,
        part=_part(job, at.row, parts),
        done=_done(job, at, steps),
        goes_in=goes_in,
        listed_on=listed_on,
    )


def _beside(job: Job, done_by: Mapping[TaskId, str]) -> str:
    if job.watcher:
        return f"{job.person} is learning this: {job.watcher} watches."
    if job.what.startswith(SECOND_LOOK):
        looked_at = replace(job, what=job.what.removeprefix(SECOND_LOOK))
        first = done_by.get(task_of(looked_at))
        return f"{first} did it: look for yourself." if first else ""
    return ""


def _steps(job: Job, boat: season.Boat) -> list[Step]:
    """The steps of her that a job stands for."""
    if not job.what.startswith((PUT_BACK, REFILL)):
        return []
    return put_back_jobs(boat, yard.yard(clock.the_yard())).get(job.what, [])


def _part(job: Job, row: Boat, parts: Mapping[int, Ordered]) -> str:
    part = next((piece.part for piece in row.work.all() if piece.what == job.what), None)
    return f"{part.name}, {parts[part.pk].words}" if part else ""


def _done(job: Job, at: AtBoat, steps: list[Step]) -> str:
    """That it is done, where somebody said so."""
    if job.what.startswith((PUT_BACK, REFILL)):
        return "" if steps else "None of these steps is left."
    fact = work.work_done(at.facts).get(job.what)
    return (
        f"Done {fact.done_at:%a} {fact.done_at.day} {fact.done_at:%b %H:%M} by {fact.by}."
        if fact
        else ""
    )
