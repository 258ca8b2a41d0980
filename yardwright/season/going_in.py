"""One boat on her way to the water: what holds her on land, in the slings, and how long her water lasts."""

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from yardwright.calc.lifting import SlingLoads
from yardwright.procedures.going_in import GoingIn, State, hang, may_go
from yardwright.procedures.step import Has
from yardwright.procedures.water_order import EngineKind
from yardwright.season import slings
from yardwright.season.checks import engine_kind, ways_in
from yardwright.season.lifts import (
    SLINGS,
    WEIGHT,
    breaches,
    her_minutes,
    to_measure,
)
from yardwright.season.model import Boat, Lift, Season
from yardwright.season.spring import ON_LAND
from yardwright.season.water import water_of, windows
from yardwright.season.wind import not_told, too_windy
from yardwright.tides.water import Interval

LOOKS_AHEAD = timedelta(days=8)
BY_SLINGS = {(State.READY, State.IN_THE_SLINGS), (State.COMING_OUT, State.BLOCKED_UP)}
A_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Lifting:
    """What each sling carries, None if it is not known, and what refuses the lift in sentences.

    ``asks_wind`` refuses it too, at the slings alone: what the wind is then, nobody can tell before.
    """

    loads: SlingLoads | None
    refusals: tuple[str, ...]
    asks_wind: tuple[str, ...] = ()


def lifting(
    boat: Boat,
    lift: Lift,
    angle_deg: float | None = None,
    ground: tuple[str, ...] = (),
    wind_m_s: float | None = None,
) -> Lifting:
    """Whether a lift may carry a boat.

    Parameters
    ----------
    boat : Boat
        Her weight, centre and sling marks; what is not known refuses.
    lift : Lift
        With its plate and its slings' tags.
    angle_deg : float, optional
        A sling leg's angle from the horizontal [°], measured. A travel lift's is known.
    ground : tuple of str
        What of the ground where she stands refuses this lift.
    wind_m_s : float, optional
        The wind that somebody told [m/s]. Left out, it is not known: with a limit on file for the
        lift, the slings are refused until it is told.

    Returns
    -------
    Lifting
        Refusals in sentences; empty if she may be lifted so.
    """
    asks_wind = not_told(lift) if wind_m_s is None else ()
    weigh = () if boat.weight_kg is not None else ("her weight",)
    unknown = dict.fromkeys((*weigh, *slings.not_known(boat), *to_measure(lift, boat)))
    refuses = (
        *ground,
        *too_windy(lift, wind_m_s),
        *(_sentence(says) for one, says in breaches(lift, boat) if one not in (WEIGHT, SLINGS)),
    )
    if unknown:
        measure = f"Not known: {', '.join(unknown)}. Measure and write it down."
        return Lifting(None, (measure, *refuses), asks_wind)
    loads = slings.loads(boat, lift, angle_deg)
    not_known = (f"Not known: {one}" for one in loads.not_known)
    return Lifting(loads, (*loads.refusals, *not_known, *refuses), asks_wind)


def _sentence(says: str) -> str:
    return f"{says[:1].upper()}{says[1:]}."


def kind_of(boat: Boat) -> EngineKind | None:
    """What drives her; None without an engine, or with several: she then hangs the longer time."""
    try:
        return engine_kind(boat)
    except ValueError:
        return None


def going_in(
    boat: Boat,
    lift: Lift | None,
    *,
    holds: tuple[str, ...],
    water: Interval | None,
    zone: ZoneInfo,
    in_slings_at: datetime | None,
    in_water_at: datetime | None,
) -> GoingIn:
    """All that decides whether a boat may go on towards the water.

    Parameters
    ----------
    boat : Boat
        As she stands.
    lift : Lift or None
        The lift that carries her; its launch minutes hold the hang and the way back out.
    holds : tuple of str
        What else holds her.
    water : Interval or None
        Her water now, or the next; None is not known.
    zone : ZoneInfo
        The yard's own.
    in_slings_at, in_water_at : datetime or None
        When she last came into the slings, and when the slings last came off.
    """
    kind = kind_of(boat)
    launch = timedelta(minutes=her_minutes(lift, boat).launch if lift else 0)
    return GoingIn(
        ways=ways_in(boat),
        undone=boat.undone,
        holds=holds,
        kind=kind,
        has_bilge_pump=Has.BILGE_PUMP in boat.has,
        water=(water.start.astimezone(zone), water.end.astimezone(zone)) if water else None,
        way_back=max(timedelta(0), launch - hang(kind)),
        in_slings_at=in_slings_at,
        in_water_at=in_water_at,
    )


def water_now(
    season: Season, boat: Boat, at: datetime, needs: timedelta = timedelta(0)
) -> Interval | None:
    """Her water at this time, or the next within eight days, that lasts as long from then on.

    None is not known, or none.

    Raises
    ------
    ValueError
        Her draft is not known, or the water is at fault.
    """
    found = windows(season, boat, at - timedelta(days=1), at + LOOKS_AHEAD)
    now = at.astimezone(UTC)
    lasts = (one for one in found if one.end > now and one.end - max(one.start, now) >= needs)
    return next(lasts, None)


def less_sure(season: Season) -> bool:
    """Whether her water begins and ends between high and low waters that alone are known.

    Raises
    ------
    ValueError
        The water is at fault.
    """
    return bool(water_of(season).less_sure)


def her_water(season: Season, boat: Boat, at: datetime, needs: timedelta = timedelta(0)) -> str:
    """Where her water is, in a sentence for the phone; where it is too short, when it is back."""
    if boat.draft_m is None:
        return f"{boat.name}'s draft is not known. Measure it; her water follows from it."
    try:
        water = water_now(season, boat, at)
    except ValueError as error:
        return f"Her water is not known: {error}"
    zone = ZoneInfo(season.yard.zone)
    sure = (
        " Less sure: only high and low water are known. Read the gauge."
        if less_sure(season)
        else ""
    )
    if water is None:
        return (
            f"{boat.name} has no water at our sill in the next 8 days, as far as the table goes."
            f"{sure}"
        )
    sure = f"{_back(season, boat, at, needs, water)}{sure}"
    start, end = water.start.astimezone(zone), water.end.astimezone(zone)
    if water.start <= at.astimezone(UTC):
        left = (water.end - at.astimezone(UTC)) // timedelta(minutes=1)
        return (
            f"{boat.name} floats at our sill until {_clock(end, at)}, {_long(left)} from now.{sure}"
        )
    return f"{boat.name} next floats at our sill {_clock(start, at)} to {_clock(end, start)}.{sure}"


def _back(season: Season, boat: Boat, at: datetime, needs: timedelta, water: Interval) -> str:
    """When she next has the water for as long as she needs it, where that is not this one."""
    if water.end - max(water.start, at.astimezone(UTC)) >= needs:
        return ""
    zone, long = ZoneInfo(season.yard.zone), water_now(season, boat, at, needs)
    asks = f" She needs it for {needs // timedelta(minutes=1)} min:"
    if long is None:
        return f"{asks} no water of the next 8 days is so long, as far as the table goes."
    start, end = long.start.astimezone(zone), long.end.astimezone(zone)
    return f"{asks} the next so long is {_clock(start, at)} to {_clock(end, start)}."


def _long(minutes: int) -> str:
    """Minutes, counted out where they are few enough to hurry."""
    return f"{minutes} min" if minutes < 120 else f"{minutes // 60} h {minutes % 60} min"


def _clock(at: datetime, beside: datetime) -> str:
    """The time, and its day where that is another than the one beside it."""
    if at.date() == beside.date():
        return f"{at:%H:%M}"
    return f"{at:%a} {at.day} {at:%b %H:%M}"


def refused(
    boat: Boat, going: GoingIn, to: State, at: datetime, lifts_her: Lifting
) -> tuple[str, ...]:
    """What refuses the next step; where slings carry her also her weight, her slings and the wind."""
    against = may_go(going, boat.state, to, at)
    if (boat.state, to) in BY_SLINGS:
        return (*against, *lifts_her.refusals, *lifts_her.asks_wind)
    return against


@dataclass(frozen=True, slots=True)
class Kept:
    """What keeps a boat on land: what is known to hold her, and what the slings ask for beside it."""

    held: tuple[str, ...] = ()
    asked: tuple[str, ...] = ()

    @property
    def word(self) -> str:
        """Which of the two ``why`` begins with."""
        return "Held" if self.held else "Before the slings"

    @property
    def why(self) -> str:
        """One reason, what is known first, and how many more; empty where none was found."""
        every = (*self.held, *self.asked)
        more = f" And {len(every) - 1} more." if len(every) > 1 else ""
        return f"{every[0]}{more}" if every else ""

    @property
    def said(self) -> str:
        """The same with its word before it."""
        return f"{self.word}: {self.why}" if self.why else ""


NOTHING_FOUND = Kept()
NOT_GOING_IN = Kept((f"She is set to {State.NOT_GOING_IN}.",))


def kept(boat: Boat, holds: tuple[str, ...], at: datetime) -> Kept:
    """What would refuse her the slings as she stands, beside her lift, the wind and the water.

    Parameters
    ----------
    boat : Boat
        As she stands; what would not let her be *Ready to go in* is known to hold her.
    holds : tuple of str
        What holds her beside put-backs and ways in.
    at : datetime
        When she is to go in; what can sink is to be proven within the day before.

    Returns
    -------
    Kept
        Empty of a boat that is in the water.
    """
    if boat.state == State.NOT_GOING_IN:
        return NOT_GOING_IN
    if boat.state not in ON_LAND | {State.IN_THE_SLINGS}:
        return NOTHING_FOUND
    wet = GoingIn(
        ways=ways_in(boat),
        undone=boat.undone,
        holds=holds,
        kind=kind_of(boat),
        has_bilge_pump=Has.BILGE_PUMP in boat.has,
        water=(at, at + A_DAY),
    )
    held = may_go(wet, State.FITTING_OUT, State.READY, at)
    asked = may_go(wet, State.READY, State.IN_THE_SLINGS, at)
    there = boat.state in (State.READY, State.IN_THE_SLINGS)
    not_ready = () if there else (f"She is {boat.state}, not {State.READY}.",)
    return Kept(held, (*not_ready, *(words for words in asked if words not in held)))
