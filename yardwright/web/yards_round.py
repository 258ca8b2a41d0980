"""The yard's round: the looks after boats new in the water, which nobody has by name."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from yardwright.papers.day_sheet import Column, Kind, Section
from yardwright.procedures.going_in import State
from yardwright.season import model as season
from yardwright.season.going_in import kind_of
from yardwright.season.new_in_water import OneLook, due_on, planned_on, stays_until
from yardwright.season.published import Published
from yardwright.season.spring import ON_LAND
from yardwright.season.yard_time import Launch
from yardwright.season.zone import shown
from yardwright.web.at_boat import NOT_ON_FILE, stands
from yardwright.yard import clock
from yardwright.yard import queries as yard

A_DAY = timedelta(days=1)
TO_COME = ON_LAND | {State.IN_THE_SLINGS}
NOTE = "nobody has it by name: whoever goes round. Water in her: lift her back first"
COLUMNS = (
    Column("", Kind.TICK),
    Column("when", wide=1.8),
    Column("boat", Kind.NAME, 0.8),
    Column("she is", wide=1.5),
    Column("what to know", wide=2),
    Column("dry? who, time", Kind.WRITE, 1),
)


@dataclass(frozen=True, slots=True)
class NewInWater:
    """A boat new in the water, or by the plan soon: her looks of a day."""

    boat: str
    value: season.Boat | None  # None: no longer on file
    looks: tuple[OneLook, ...]
    more: str

    @property
    def when(self) -> str:
        return ", ".join(look.words for look in self.looks)

    @property
    def where(self) -> str:
        """Where she is now, and that she is afloat by then where she is not in yet."""
        if self.value is None:
            return NOT_ON_FILE
        planned = self.looks[0].standing is None
        return f"afloat by then, now {stands(self.value)}" if planned else stands(self.value)

    @property
    def to_know(self) -> str:
        last = "The last look of her watch." if self.looks[-1].last else ""
        return " ".join(filter(None, (self.more, last)))


def launches_near(plan: Published | None, day: date) -> dict[str, Launch]:
    """Those whose looks may fall on a day: of that day and of the one before."""
    goes = plan.plan.launches if plan else ()
    days = day, day - A_DAY
    return {go.boat: go for go in goes if shown(go.starts, clock.zone()).date() in days}


def the_round(
    day: date,
    goes: Mapping[str, Launch],
    boats: Mapping[str, season.Boat],
    in_water: Mapping[str, datetime],
) -> list[NewInWater]:
    """Who is looked at on a day: those in the water since then, the others by the plan."""
    hours = yard.looks(clock.the_yard())
    found = [_since_in(day, boats[name], at, hours) for name, at in in_water.items()]
    for name, go in goes.items():
        boat = boats.get(name)
        if name not in in_water and (boat is None or boat.state in TO_COME):
            found.append(_by_plan(day, go, boat, hours))
    return sorted((one for one in found if one.looks), key=_first)


def _first(one: NewInWater) -> tuple[datetime, str]:
    return one.looks[0].due_at, one.boat


def _since_in(day: date, boat: season.Boat, at: datetime, hours: season.Looks | None) -> NewInWater:
    at = shown(at, clock.zone())
    looks = due_on(day, at, boat.looks, clock.now(), hours, clock.zone())
    return NewInWater(boat.name, boat, looks, f"In the water since {at:%a} {at.day} {at:%b %H:%M}.")


def _by_plan(
    day: date, go: Launch, boat: season.Boat | None, hours: season.Looks | None
) -> NewInWater:
    looks = planned_on(day, go, kind_of(boat) if boat else None, hours, clock.zone())
    return NewInWater(go.boat, boat, looks, " ".join(_planned(go, hours)))


def _planned(go: Launch, hours: season.Looks | None) -> Iterator[str]:
    starts = shown(go.starts, clock.zone())
    yield f"By the plan she goes in {starts:%a} {starts:%H:%M}."
    if until := stays_until(go, hours):
        yield f"Looked after until {shown(until, clock.zone()):%H:%M}."
    if go.starts < clock.now():
        yield "Nobody wrote that she is in."


def section(new: list[NewInWater]) -> list[Section]:
    """The round on paper."""
    rows = tuple((one.when, one.boat, one.where, one.to_know) for one in new)
    return [Section("The yard's round", NOTE, COLUMNS, rows)] if new else []
