"""What the Boat Page shows: where she is, what is left undone, does she float, may she start."""

from dataclasses import dataclass
from datetime import datetime

from yardwright.fleet.models import Boat
from yardwright.launch.calls import Heard, heard_of
from yardwright.procedures import fittings
from yardwright.procedures.float_check import FloatCheck
from yardwright.procedures.going_in import State
from yardwright.procedures.land_check import LandCheck
from yardwright.procedures.put_backs import Undone, left_undone
from yardwright.procedures.start_check import StartCheck
from yardwright.procedures.step import Season, Step
from yardwright.procedures.steps import book, not_covered, steps_for
from yardwright.procedures.water_order import EngineKind, Supply
from yardwright.season import checks
from yardwright.season import model as season
from yardwright.season.going_in import her_water, kind_of
from yardwright.season.put_backs import filled_too_soon
from yardwright.work import exchange, photos, verdicts
from yardwright.work import queries as work
from yardwright.work.models import Fact, Kind
from yardwright.work.photos import Noted
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard.refused import Refused

ON_LAND_SUPPLY = {EngineKind.OUTBOARD: Supply.MUFFS, EngineKind.STERNDRIVE: Supply.MUFFS}
WET = (State.AFLOAT, State.IN_THE_WATER, State.HANDED_OVER)
HER_KEY = "key"


@dataclass(frozen=True, slots=True)
class ToDo:
    """One thing that would make her float: its put-back, the fitting to look at, or to add."""

    name: str
    words: str
    undone: Fact | None
    add: bool = False


@dataclass(frozen=True, slots=True)
class BoatPage:
    row: Boat
    boat: season.Boat
    at: datetime
    floats: FloatCheck
    land: LandCheck | None  # None: she is not on land
    start: StartCheck | None  # None: no engine, or several
    supply: Supply | None
    undone: list[tuple[Fact, Undone]]
    key: str
    readings: list[verdicts.Judged]
    holds: tuple[str, ...]
    frost: str  # that one can still come to what was filled with water
    water: str
    next_step: Step | None
    not_covered: tuple[str, ...]
    promises: list[Fact]
    heard: Heard | None  # what her owner was told last
    kept_aside: int
    notes: list[Noted]
    photos: list[Fact]

    @property
    def to_do(self) -> list[ToDo]:
        """The fewest things to do, each with where to do it."""
        by_fitting = {thing.fitting: fact for fact, thing in self.undone if thing.fitting}
        add = [
            ToDo(name, f"Write {name} down among her ways in", None, add=True)
            for name in self.floats.unlisted
        ]
        return add + [
            ToDo(thing.names[0], _capital(thing.words), by_fitting.get(thing.names[0]))
            for thing in self.floats.to_do
        ]

    @property
    def to_answer(self) -> list[str]:
        """Fittings she should have, by her equipment, that nobody has answered at the boat."""
        hers = fittings.hers(self.boat.has, self.boat.ways_in, self.boat.looks)
        asked = (p for p in hers if p.because and p.aboard is fittings.Aboard.NOT_SAID)
        return [p.fitting.title for p in asked]

    @property
    def sinks(self) -> int:
        return sum(thing.harm.rank == 0 for _, thing in self.undone)


def boat_page(row: Boat, at: datetime) -> BoatPage:
    facts = work.story([row])[row.pk]
    boat = work.value(row, facts)
    supply = supply_of(boat)
    on_land = boat.state not in WET
    return BoatPage(
        row=row,
        boat=boat,
        at=at,
        floats=checks.float_check(boat, at, going_in=at if boat.state == State.READY else None),
        land=checks.land_check(boat, at) if on_land else None,
        start=checks.start_check(boat, supply, at) if supply else None,
        supply=supply,
        undone=_open(facts, boat),
        key=key_line(boat),
        readings=verdicts.judged(facts),
        holds=verdicts.holds(facts),
        frost=frost_words(boat, at),
        water=_water(boat, at),
        next_step=_next_step(boat, facts),
        not_covered=not_covered(boat.has),
        promises=[fact for fact in facts if fact.kind in (Kind.PROMISED, Kind.TOLD)],
        heard=heard_of(row),
        kept_aside=len(work.aside_in(facts)),
        notes=photos.notes(facts),
        photos=photos.photos(facts),
    )


def supply_of(boat: season.Boat) -> Supply | None:
    """Where her engine's water comes from as she stands; None: no engine, or several."""
    kind = kind_of(boat)
    if kind is None:
        return None
    if boat.state in WET:
        return Supply.AFLOAT
    return ON_LAND_SUPPLY.get(kind, Supply.BUCKET)


def _open(facts: list[Fact], boat: season.Boat) -> list[tuple[Fact, Undone]]:
    """Each open put-back with its fact, nastiest first."""
    undone = [fact for fact in facts if fact.kind == Kind.UNDONE]
    paired = list(zip(undone, boat.undone, strict=True))
    order = {id(thing): place for place, thing in enumerate(left_undone(boat.undone))}
    still = [pair for pair in paired if id(pair[1]) in order]
    return sorted(still, key=lambda pair: order[id(pair[1])])


def key_line(boat: season.Boat) -> str:
    """Where is her key? One line."""
    ashore = book().kinds[HER_KEY].what
    hers = [thing for thing in boat.undone if thing.what == ashore]
    if not hers:
        return "Her key: nobody has said where it is."
    last = max(hers, key=lambda thing: thing.at)
    if last.put_back is not None:
        return f"Her key was given back {last.put_back.at:%d %b} by {last.put_back.by}."
    return f"Her key: {last.lies or 'with ' + last.by}."


def frost_words(boat: season.Boat, at: datetime) -> str:
    """That a frost can still come to what was filled with water; empty where none can."""
    return filled_too_soon(boat, yard.yard(clock.the_yard()), at.astimezone(clock.zone()).date())


def _water(boat: season.Boat, at: datetime) -> str:
    try:
        return her_water(exchange.yard_and_water(), boat, at)
    except Refused as refused:
        return f"Her water is not known. {refused}"


def _next_step(boat: season.Boat, facts: list[Fact]) -> Step | None:
    done = work.steps_done(facts)
    spring = boat.state not in (State.COMING_OUT, State.BLOCKED_UP, State.AFLOAT)
    steps = steps_for(boat.has, Season.SPRING if spring else Season.FALL)
    return next((step for step in steps if step.code not in done), None)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
