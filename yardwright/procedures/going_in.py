"""Going in: from state to state, by way of the slings, and watched for a day."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum
from itertools import zip_longest

from yardwright import refdata
from yardwright.procedures.float_check import CAPPED, FloatCheck, Floats, float_check
from yardwright.procedures.put_backs import Before, Undone, holds_back
from yardwright.procedures.water_order import EngineKind
from yardwright.procedures.ways_in import SEA, Look, Standing, WaysIn, known

BILGE_PUMP = "bilge pump run from its own switch"
BILGE_DRY = "bilge dry"
LIFT_HER_BACK = "Lift her back."
WATCH_MIN = round(refdata.table("going_in")["watch_look_5_min"].value)  # to her last look


class State(StrEnum):
    """Where a boat is in the year."""

    AFLOAT = "Afloat"
    COMING_OUT = "Coming out"
    BLOCKED_UP = "Blocked up"
    LAID_UP = "Laid up"
    FITTING_OUT = "Fitting out"
    OWNERS_TURN = "Owner's turn"
    READY = "Ready to go in"
    IN_THE_SLINGS = "In the slings"
    IN_THE_WATER = "In the water (watched)"
    HANDED_OVER = "Handed over"
    NOT_GOING_IN = "Not going in"


MOVES: dict[State, tuple[State, ...]] = {
    State.AFLOAT: (State.COMING_OUT,),
    State.COMING_OUT: (State.BLOCKED_UP,),
    State.BLOCKED_UP: (State.LAID_UP, State.FITTING_OUT, State.NOT_GOING_IN),
    State.LAID_UP: (State.FITTING_OUT, State.OWNERS_TURN, State.NOT_GOING_IN),
    State.FITTING_OUT: (State.LAID_UP, State.OWNERS_TURN, State.READY, State.NOT_GOING_IN),
    State.OWNERS_TURN: (State.FITTING_OUT, State.READY, State.NOT_GOING_IN),
    State.READY: (State.FITTING_OUT, State.OWNERS_TURN, State.IN_THE_SLINGS, State.NOT_GOING_IN),
    State.IN_THE_SLINGS: (State.IN_THE_WATER, State.FITTING_OUT, State.READY),
    State.IN_THE_WATER: (State.HANDED_OVER, State.IN_THE_SLINGS),
    State.HANDED_OVER: (State.AFLOAT, State.COMING_OUT),
    State.NOT_GOING_IN: (State.LAID_UP, State.FITTING_OUT),
}


IN_WATER_TILL_FALL = frozenset({State.AFLOAT, State.HANDED_OVER, State.COMING_OUT})


class Due(StrEnum):
    """How a look of the watch stands."""

    DONE = "done"
    DONE_LATE = "done late"
    WET = "wet"
    MISSED = "missed"
    LATE = "late"
    DUE = "due"
    NOT_YET = "not yet"


@dataclass(frozen=True, slots=True)
class WatchLook:
    """One look of the watch: when it is due, how it stands, and the look that did it."""

    due_at: datetime
    standing: Due
    look: Look | None = None


@dataclass(frozen=True, slots=True)
class GoingIn:
    """All that decides whether a boat may go on towards the water.

    ``ways`` carries her looks, those at ``BILGE_PUMP``, ``BILGE_DRY`` and `from_inside` too, and
    must already know her put-backs (`after_put_backs`). ``holds`` are sentences on what else
    holds her. ``kind`` None is a boat without an engine.
    """

    ways: WaysIn
    undone: tuple[Undone, ...] = ()
    holds: tuple[str, ...] = ()
    kind: EngineKind | None = None
    has_bilge_pump: bool = True
    water: tuple[datetime, datetime] | None = None  # from, until; None is not known
    way_back: timedelta = timedelta(0)  # from the slings back onto land
    in_slings_at: datetime | None = None
    in_water_at: datetime | None = None


def from_inside(opening: str) -> str:
    """What a look at an opening from inside the boat, while she hangs, is a look at."""
    return f"{opening}, dry from inside"


def hang(kind: EngineKind | None) -> timedelta:
    """How long she hangs in the slings: 10 min with an outboard, else 15 min."""
    outboard = kind == EngineKind.OUTBOARD
    row = "hang_outboard_min" if outboard else "hang_other_min"
    return timedelta(minutes=refdata.table("going_in")[row].value)


def may_go(boat: GoingIn, now_is: State, to: State, at: datetime) -> tuple[str, ...]:
    """What refuses a move from one state to the next.

    Parameters
    ----------
    boat : GoingIn
        All that is known of her.
    now_is, to : State
        The state she is in, and the one meant.
    at : datetime
        When she is to be moved, with its zone.

    Returns
    -------
    tuple of str
        Every refusal in a sentence; empty if she may go. Lifting her back is never refused.
    """
    if to not in MOVES[now_is]:
        onward = ", ".join(MOVES[now_is])
        return (f"From {now_is} she does not go to {to}; she goes to {onward}.",)
    if to == State.READY:
        return tuple(_ready(boat, at))
    if (now_is, to) == (State.READY, State.IN_THE_SLINGS):
        return (*_into_water(boat, at), *_water_holds(boat, at, hang(boat.kind) + boat.way_back))
    if to == State.IN_THE_WATER:
        return (*_into_water(boat, at), *_hung(boat, at), *_water_holds(boat, at, boat.way_back))
    if to == State.HANDED_OVER:
        return tuple(_handover(boat, at))
    return ()


def looks_due(in_water_at: datetime, looks: Iterable[Look], now: datetime) -> tuple[WatchLook, ...]:
    """How the looks of the watch stand.

    Parameters
    ----------
    in_water_at : datetime
        When the slings came off.
    looks : iterable of Look
        Her looks; those at ``BILGE_DRY`` since then count.
    now : datetime
        The time asked about; later looks are left out.

    Returns
    -------
    tuple of WatchLook
        One each at 0, 10, 30 min, 2 h and 24 h. A look counts for the time that was last due by
        then and for no other: five at once are one. Where a time passed without a look, the watch
        starts again with the next look.
    """
    made = [look for look in _bilge_looks(looks, now) if look.at >= in_water_at]
    watch = tuple(_watch(in_water_at, made, now))
    missed = next((one.due_at for one in watch if one.standing == Due.MISSED), None)
    again = next((look.at for look in made if missed and look.at > missed), None)
    return looks_due(again, made, now) if again else watch


def look_times(since: datetime) -> list[datetime]:
    """When a boat is looked at whose slings came off then, the last look a day later."""
    table = refdata.table("going_in")
    rows = (row for name, row in table.items() if name.startswith("watch_look_"))
    return [since + timedelta(minutes=row.value) for row in rows]


def _watch(since: datetime, made: Sequence[Look], now: datetime) -> Iterator[WatchLook]:
    """Each time with the first look before the next time; of several a wet one counts."""
    times = look_times(since)
    for due_at, next_at in zip_longest(times, times[1:]):
        mine = [look for look in made if due_at <= look.at and (not next_at or look.at < next_at)]
        look = min(mine, key=lambda look: (look.holds, look.at), default=None)
        yield WatchLook(due_at, _due(due_at, next_at, look, now), look)


def _due(due_at: datetime, next_at: datetime | None, look: Look | None, now: datetime) -> Due:
    late_at = due_at + timedelta(minutes=refdata.table("going_in")["watch_late_after_min"].value)
    if look:
        in_time = Due.DONE if look.at <= late_at else Due.DONE_LATE
        return in_time if look.holds else Due.WET
    if next_at and now >= next_at:
        return Due.MISSED
    return Due.NOT_YET if now < due_at else Due.DUE if now <= late_at else Due.LATE


def _ready(boat: GoingIn, at: datetime) -> Iterator[str]:
    """Nothing is known to hold her; what is not known yet is asked at the lift, within the day."""
    check = float_check(boat.ways, at, going_in=at)
    if check.answer is Floats.NO:
        yield check.sentence
    yield from _held(boat, Before.WATER)


def _held(boat: GoingIn, before: Before) -> Iterator[str]:
    """What must be put back by then and is not, and what else holds her."""
    for thing in holds_back(boat.undone, before):
        yield f"{thing.what}: not put back ({thing.harm})."
    yield from boat.holds


def _into_water(boat: GoingIn, at: datetime) -> Iterator[str]:
    """Rules that hold before the slings lift her and again before they come off."""
    yield from _would_float(boat, float_check(boat.ways, at, going_in=at))
    yield from _held(boat, Before.WATER)
    if boat.has_bilge_pump:
        pump = known(BILGE_PUMP, boat.ways, at, at)
        if pump.standing != Standing.HOLDS:
            yield f"Run the bilge pump from its own switch first ({pump.because})."


def _would_float(boat: GoingIn, check: FloatCheck) -> Iterator[str]:
    """She floats, and what stands open behind a single valve is made safe by name."""
    if check.answer not in (Floats.YES, Floats.ON_ONE_VALVE):
        yield check.sentence
    yield from _behind_one_valve(check, boat.undone)


def _behind_one_valve(check: FloatCheck, undone: Iterable[Undone]) -> Iterator[str]:
    """What stands open behind a single valve is capped or tagged shut by name, or she stays."""
    safe = {thing.fitting for thing in undone if thing.is_open and thing.signed_off}
    for way in check.behind_one_valve:
        behind = [name for name in way.through if name not in check.one_valve]
        if not safe.intersection(behind):
            what = ", ".join(behind) or "nothing"
            yield (
                f"She would float on one valve, with {what} behind it: {way.words}. Put it back,"
                f" or have it {CAPPED}."
            )


def _water_holds(boat: GoingIn, at: datetime, needed: timedelta) -> Iterator[str]:
    """The water must hold for the hang and the way back out."""
    minutes = f"{needed / timedelta(minutes=1):.0f} min"
    if boat.water is None:
        yield f"The water for the next {minutes} is not known; look at the tide."
        return
    since, until = boat.water
    if not since <= at <= at + needed <= until:
        day = "" if since.date() <= at.astimezone(since.tzinfo).date() else f"{_day(since)} "
        ends = "" if until.date() == since.date() else f"{_day(until)} "
        holds = f"it holds from {day}{since:%H:%M} to {ends}{until:%H:%M}"
        yield f"She needs the water for {minutes}; {holds}."


def _hung(boat: GoingIn, at: datetime) -> Iterator[str]:
    """Hung long enough, each opening looked at from inside, bilge dry twice."""
    if boat.in_slings_at is None:
        yield "When she came into the slings is not known."
        return
    since, needed = boat.in_slings_at, hang(boat.kind)
    minutes = f"{needed / timedelta(minutes=1):.0f} min"
    bilge = [look for look in _bilge_looks(boat.ways.looks, at) if look.at >= since]
    yield from _wet(bilge)
    if not bilge or bilge[-1].at - bilge[0].at < needed:
        yield f"Look twice that the bilge is dry, {minutes} apart, while she hangs."
    for barrier in boat.ways.barriers:
        if SEA in (barrier.outside, barrier.inside):
            yield from _seen_inside(barrier.name, boat.ways, since, at)


def _seen_inside(opening: str, ways: WaysIn, since: datetime, at: datetime) -> Iterator[str]:
    what = from_inside(opening)
    looks = [look for look in ways.looks if look.at_what == what and since <= look.at <= at]
    if not looks:
        yield f"Look at {opening} from inside while she hangs."
    yield from _wet(looks)


def _handover(boat: GoingIn, at: datetime) -> Iterator[str]:
    """All put back, nothing opened since, nothing else holding her, the watch done and dry."""
    yield from _would_float(boat, float_check(boat.ways, at))
    yield from _held(boat, Before.HANDOVER)
    if boat.in_water_at is None:
        yield "When the slings came off is not known."
        return
    since = boat.in_water_at
    yield from _wet(look for look in _bilge_looks(boat.ways.looks, at) if look.at >= since)
    watch = looks_due(since, boat.ways.looks, at)
    began = watch[0].due_at
    again = f" One was missed, so the watch began again {_when(began)}." if began > since else ""
    for look in watch:
        if look.standing not in (Due.DONE, Due.DONE_LATE, Due.WET):
            yield f"The look of {_when(look.due_at)} is {look.standing}.{again}"


def _when(at: datetime) -> str:
    return f"{at.day} {at:%b %H:%M}"


def _day(at: datetime) -> str:
    return f"{at:%a} {at.day} {at:%b}"


def _wet(looks: Iterable[Look]) -> Iterator[str]:
    """One wet look is enough."""
    for look in looks:
        if not look.holds:
            words = look.words or "water comes in"
            asked = look.at_what[:1].upper() + look.at_what[1:]
            yield f"{LIFT_HER_BACK} {asked}? No: {words} ({look.by}, {look.at:%H:%M})."


def _bilge_looks(looks: Iterable[Look], at: datetime) -> Sequence[Look]:
    mine = (look for look in looks if look.at_what == BILGE_DRY and look.at <= at)
    return sorted(mine, key=lambda look: look.at)
