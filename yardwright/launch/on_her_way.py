"""One boat on her way to the water, at one moment: what her page and her card say. Nothing here writes."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import ceil

from yardwright.fleet.models import Boat
from yardwright.launch import queries
from yardwright.papers.lift_card import LiftCard
from yardwright.procedures.float_check import FloatCheck, float_check
from yardwright.procedures.going_in import (
    BILGE_DRY,
    BILGE_PUMP,
    IN_WATER_TILL_FALL,
    LIFT_HER_BACK,
    Due,
    GoingIn,
    State,
    WatchLook,
    from_inside,
    hang,
    looks_due,
)
from yardwright.procedures.ways_in import SEA, Look
from yardwright.season import lift_card as cards
from yardwright.season import model as season
from yardwright.season import slings
from yardwright.season.going_in import (
    Lifting,
    going_in,
    her_water,
    kind_of,
    less_sure,
    lifting,
    refused,
    water_now,
)
from yardwright.season.lifts import (
    Lifts,
    held_now,
    her_minutes,
    no_limit,
    on_this_ground,
)
from yardwright.season.under_way import AT_THE_LIFT
from yardwright.season.wind import wind, wind_limit
from yardwright.tides.water import Interval
from yardwright.work import queries as work
from yardwright.work import verdicts
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard.refused import Refused


@dataclass(frozen=True, slots=True)
class Opening:
    """One opening to the sea, and the look at it from inside while she hangs."""

    name: str
    look: Look | None

    @property
    def at_what(self) -> str:
        return from_inside(self.name)


def in_words(seconds: int) -> str:
    """As it is counted down: the nearer, the finer."""
    minutes, rest = divmod(seconds, 60)
    if minutes >= 60:
        return f"{minutes // 60} h {minutes % 60} min"
    return f"{minutes} min {rest} s" if minutes else f"{rest} s"


@dataclass(frozen=True, slots=True)
class Step:
    """The next step towards the water: what will be true, and what refuses it now."""

    deed: str
    says: str
    refusals: tuple[str, ...]


NO_LIFT = Lifting(None, ("There is no lift. Enter one.",))
NEXT = {
    State.COMING_OUT: (State.BLOCKED_UP, "blocked up", "She is out, and blocked up"),
    State.FITTING_OUT: (State.READY, "ready", "She is ready to go in"),
    State.OWNERS_TURN: (State.READY, "ready", "She is ready to go in"),
    State.READY: (State.IN_THE_SLINGS, "into slings", "In the slings now"),
    State.IN_THE_SLINGS: (State.IN_THE_WATER, "slings off", "Slings off: she floats"),
    State.IN_THE_WATER: (State.HANDED_OVER, "hand over", "Hand her over"),
}


@dataclass(frozen=True, slots=True)
class Going:
    """One boat on her way to the water, at one moment; all that her page says."""

    boat: season.Boat
    lift: season.Lift | None
    lifts: tuple[season.Lift, ...]
    going: GoingIn
    lifting: Lifting | None
    here: tuple[str, ...]  # what refuses the lift here and now: who is in front, wind, the ground
    held: Mapping[str, tuple[str, ...]]  # what holds a lift now, by its name: wind, a repair
    water_words: str
    less_sure: bool
    wind_told: str  # with which she was lifted; empty is not known
    at: datetime
    last_place: str
    last_berth: int | None
    handed_over_at: datetime | None
    wet_looks: tuple[Fact, ...]  # since she came there, each to be struck out if it was not so

    def refusals(self, to: State, lifts_her: Lifting | None = None) -> tuple[str, ...]:
        """What refuses a step now."""
        lifts_her = lifts_her or self.lifting or NO_LIFT
        return refused(self.boat, self.going, to, self.at, lifts_her)

    @property
    def next_step(self) -> Step | None:
        if self.boat.state not in NEXT:
            return None
        to, deed, says = NEXT[self.boat.state]
        return Step(deed, says, self.refusals(to))

    @property
    def at_the_lift(self) -> tuple[str, ...]:
        """What else would stop her at the lift, were she sent there as she is, with water enough."""
        if self.boat.state not in NEXT or NEXT[self.boat.state][0] != State.READY:
            return ()
        wet = replace(self.going, water=(self.at, self.at + timedelta(days=1)))
        there = replace(self.boat, state=State.READY)
        lifts_her = replace(self.lifting or NO_LIFT, asks_wind=())  # she is not there yet
        stops = refused(there, wet, State.IN_THE_SLINGS, self.at, lifts_her)
        now = self.refusals(State.READY)
        return tuple(words for words in stops if words not in now)

    @property
    def no_limit(self) -> str:
        """What her lift has no limit on file for, while she is to be lifted."""
        return no_limit(self.lift) if self.lift and self.on_land else ""

    @property
    def wind_limits(self) -> list[str]:
        """What the makers of the lifts say of wind: of the one she hangs in, of each she may go by."""
        hers = [self.lift] if self.lift and not self.before_slings else self.free_lifts
        return [wind_limit(one) for one in hers]

    @property
    def asks_wind(self) -> bool:
        """Whether one of the lifts that she may go by is refused until the wind is told."""
        return any(one.wind_limit for one in self.free_lifts)

    @property
    def free_lifts(self) -> list[season.Lift]:
        """Those that nothing holds now: only into their slings may she be lifted."""
        return [one for one in self.lifts if not self.held[one.name]]

    @property
    def all_held(self) -> list[str]:
        """What holds every lift now; empty where one is free, or there is none."""
        return [] if self.free_lifts else [words for some in self.held.values() for words in some]

    @property
    def held_over_her(self) -> tuple[str, ...]:
        """What holds her lift now, while she hangs in it or would be lifted back by it."""
        return () if self.on_land or self.lift is None else self.held[self.lift.name]

    @property
    def asks_angle(self) -> bool:
        """Whether the slings' angle must be measured: a travel lift's is known."""
        return self.lift is not None and slings.asks_angle(self.lift)

    @property
    def check(self) -> FloatCheck | None:
        """The float check, where it is what refuses the next step."""
        check = float_check(self.going.ways, self.at, going_in=self.at)
        step = self.next_step
        return check if step and check.sentence in step.refusals else None

    @property
    def to_do(self) -> list[str]:
        """What refuses the next step, beside the float check."""
        step, check = self.next_step, self.check
        words = step.refusals if step else ()
        return [one for one in words if check is None or one != check.sentence]

    @property
    def hangs(self) -> bool:
        return self.boat.state == State.IN_THE_SLINGS

    @property
    def watched(self) -> bool:
        return self.boat.state == State.IN_THE_WATER

    @property
    def comes_out(self) -> bool:
        return self.boat.state == State.COMING_OUT

    @property
    def before_slings(self) -> bool:
        return self.comes_out or self.boat.state == State.READY

    @property
    def on_land(self) -> bool:
        return not (self.hangs or self.watched)

    @property
    def clear(self) -> bool:
        """Nothing refuses the next step, nor would at the lift, nor holds the lift over her."""
        step = self.next_step
        stops = self.at_the_lift or self.held_over_her
        return step is not None and not step.refusals and not stops

    @property
    def seconds_left(self) -> int:
        """Until the second look at the bilge counts."""
        return self._seconds_to(self.second_look_at)

    @property
    def left_words(self) -> str:
        return in_words(self.seconds_left)

    @property
    def look_seconds_left(self) -> int:
        """Until the next look of the watch is due."""
        return self._seconds_to(self.next_look.due_at if self.next_look else None)

    @property
    def look_left_words(self) -> str:
        return in_words(self.look_seconds_left)

    def _seconds_to(self, then: datetime | None) -> int:
        return max(0, ceil((then - self.at).total_seconds())) if then else 0

    @property
    def wet(self) -> bool:
        """Water came in: lift her back before anything else."""
        step = self.next_step
        return step is not None and any(LIFT_HER_BACK in words for words in step.refusals)

    @property
    def sentence(self) -> str:
        """Where she is and what comes next."""
        step = self.next_step
        if self.wet:
            in_bilge = all(fact.what == BILGE_DRY for fact in self.wet_looks)
            return f"{'Water in the bilge' if in_bilge else 'Water comes in'}. {LIFT_HER_BACK}"
        if step is None:
            return f"{self.boat.state}."
        if self.hangs and self.held_over_her:
            return "In the slings, and the lift is held."
        count = len(step.refusals)
        if not count:
            stops = len(self.at_the_lift)
            if not stops:
                return f"{self.boat.state}. Nothing refuses the next step."
            return f"{self.boat.state}. {stops} thing{'s' if stops > 1 else ''} would stop her at the lift."
        things = "One thing" if count == 1 else f"{count} things"
        if self.hangs:
            return f"In the slings. {things} to do before they come off."
        if self.watched:
            return f"Afloat and watched. {things} to do before she is handed over."
        keep = "keeps" if count == 1 else "keep"
        return f"{self.boat.state}. {things} {keep} her {'in the water' if self.comes_out else 'on land'}."

    @property
    def bilge_looks(self) -> list[Look]:
        """The looks at the bilge since she hangs."""
        return self._since(BILGE_DRY, self.going.in_slings_at)

    @property
    def second_look_at(self) -> datetime | None:
        """From when the second look at the bilge counts."""
        looks = self.bilge_looks
        return looks[0].at + hang(self.going.kind) if looks else None

    @property
    def openings(self) -> list[Opening]:
        return [
            Opening(one.name, looks[-1] if looks else None)
            for one in self.boat.ways_in
            if SEA in (one.outside, one.inside)
            for looks in [self._since(from_inside(one.name), self.going.in_slings_at)]
        ]

    @property
    def pump_look(self) -> Look | None:
        looks = [look for look in self.boat.looks if look.at_what == BILGE_PUMP]
        return looks[-1] if looks else None

    @property
    def watch(self) -> tuple[WatchLook, ...]:
        if self.going.in_water_at is None:
            return ()
        return looks_due(self.going.in_water_at, self.boat.looks, self.at)

    @property
    def next_look(self) -> WatchLook | None:
        """The look of the watch that comes next, or is due."""
        waiting = (Due.LATE, Due.DUE, Due.NOT_YET)
        return next((one for one in self.watch if one.standing in waiting), None)

    def _since(self, at_what: str, since: datetime | None) -> list[Look]:
        if since is None:
            return []
        return [one for one in self.boat.looks if one.at_what == at_what and one.at >= since]


def going(row: Boat, at: datetime, lift_name: str = "") -> Going:
    """Where a boat is on her way, from all that was done on her."""
    facts = work.story([row])[row.pk]
    boat = work.value(row, facts)
    moves = [fact for fact in facts if fact.kind in queries.MOVES]
    by_lift = [fact.body["lift"] for fact in moves if fact.kind == Kind.LIFTED]
    lifts = yard.lifts()
    name = lift_name or (by_lift[-1] if by_lift else "")
    lift = next((one for one in lifts if one.name == name), _hers(lifts, boat))
    water, words, unsure = _water(boat, at, lift)
    on_land = [fact for fact in moves if fact.body["place"]]
    held = {one.name: held_now(one, at, clock.zone()) for one in lifts}
    here = held[lift.name] if lift else ()
    if boat.state not in IN_WATER_TILL_FALL:
        here = (*_in_front(boat), *here, *(_ground(boat, lift, at) if lift else ()))
    return Going(
        boat=boat,
        lift=lift,
        lifts=lifts,
        going=going_in(
            boat,
            lift,
            holds=verdicts.holds(facts),
            water=water,
            zone=clock.zone(),
            in_slings_at=_last(moves, State.IN_THE_SLINGS),
            in_water_at=_last(moves, State.IN_THE_WATER),
        ),
        lifting=lifting(boat, lift, ground=here) if lift else None,
        here=here,
        held=held,
        water_words=words,
        less_sure=unsure,
        wind_told=_wind_told(moves),
        at=at,
        last_place=on_land[-1].body["place"] if on_land else "",
        last_berth=on_land[-1].body["berth"] if on_land else None,
        handed_over_at=_last(moves, State.HANDED_OVER),
        wet_looks=_wet_looks(boat, moves, facts),
    )


def _hers(lifts: tuple[season.Lift, ...], boat: season.Boat) -> season.Lift | None:
    """The lift that carries her by all that is known; else the first, which then says why not."""
    carries = Lifts(lifts).that_carries(boat) if lifts else None
    return lifts[0] if isinstance(carries, str) else carries


def _ground(boat: season.Boat, lift: season.Lift, at: datetime) -> tuple[str, ...]:
    """What of the ground where she stands refuses the lift now."""
    if not lift.firm_ground:
        return ()
    day, first = at.astimezone(clock.zone()).date(), clock.the_yard().first_day
    return on_this_ground(lift, boat, yard.places(), first, day)


def _in_front(boat: season.Boat) -> Iterator[str]:
    """Who stands between her and the aisle, or may: of a row, who has no berth written.

    A place at which nobody has one is no row, as the plan has it.
    """
    standing = queries.who_stands_at(boat.place)
    if all(berth is None for berth in standing.values()):
        return
    for name, berth in sorted(standing.items()):
        if name == boat.name:
            continue
        if berth is None or boat.berth is None:
            whose = boat.name if boat.berth is None else name
            yield (
                f"Not known whether {name} stands in front of her, {boat.place}: no berth of {whose} "
                "is written. Look, and write it first."
            )
        elif berth < boat.berth:
            yield (
                f"{name} stands in front of her, {boat.place}, berth {berth}. Move {name} aside "
                "first, and write where she stands now."
            )


def _last(moves: Iterable[Fact], state: State) -> datetime | None:
    return max((fact.done_at for fact in moves if fact.what == state), default=None)


def _wet_looks(boat: season.Boat, moves: Iterable[Fact], facts: Iterable[Fact]) -> tuple[Fact, ...]:
    """Who saw water in her since she came into the slings, or since they came off."""
    since = _last(moves, boat.state) if boat.state in AT_THE_LIFT else None
    asked = {BILGE_DRY, *(from_inside(one.name) for one in boat.ways_in)}
    looks = (fact for fact in facts if fact.kind == Kind.LOOKED and fact.what in asked)
    return tuple(one for one in looks if since and one.done_at >= since and not one.body["holds"])


def _wind_told(moves: Iterable[Fact]) -> str:
    """The wind that was told as she last came into the slings."""
    into = [fact for fact in moves if fact.what == State.IN_THE_SLINGS]
    m_s = into[-1].body.get("wind_m_s") if into else None
    if m_s is None:
        return ""
    fact = into[-1]
    return f"{wind(m_s)}, {fact.by.name} {fact.done_at.astimezone(clock.zone()):%H:%M}"


def _water(
    boat: season.Boat, at: datetime, lift: season.Lift | None
) -> tuple[Interval | None, str, bool]:
    """Her water now or next, where it is in words, and whether it is less sure."""
    needs = timedelta(0)
    if lift is not None and boat.state not in (State.IN_THE_SLINGS, State.IN_THE_WATER):
        needs = max(timedelta(minutes=her_minutes(lift, boat).launch), hang(kind_of(boat)))
    try:
        ours = queries.our_season()
    except Refused as error:
        return None, f"Her water is not known. {error}", False
    words = her_water(ours, boat, at, needs)
    try:
        return water_now(ours, boat, at), words, less_sure(ours)
    except ValueError:
        return None, words, False


def where(row: Boat) -> work.Where:
    return work.where_all().get(row.pk, work.NOWHERE)


def lift_card(row: Boat, address: str) -> LiftCard:
    """Her Lift Card for her launch in the plan; without one, for her water now or next.

    While she hangs in the slings it is of now, with what holds the lift over her.

    Raises
    ------
    Refused
        There is no lift.
    """
    now = clock.now()
    hangs = where(row).state == State.IN_THE_SLINGS
    told = now if hangs else queries.published_times().get(row.name, now)
    planned = told.astimezone(clock.zone())
    found = going(row, max(now, planned))
    if found.going.water and planned <= now and not hangs:
        found = going(row, max(now, found.going.water[0]))
    if found.lift is None or found.lifting is None:
        raise Refused("There is no lift in this yard.", "Enter one on The yard.")
    yard_name = clock.the_yard().name
    return cards.lift_card(
        yard_name,
        found.boat,
        found.lift,
        found.going,
        found.lifting,
        found.at,
        address,
        less_sure=found.less_sure,
        wind_told=found.wind_told if hangs else "",
    )
