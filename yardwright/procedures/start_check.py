"""Start check: has the engine all it needs to run here, and may people stand by it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

from yardwright import refdata
from yardwright.procedures.put_backs import Before, Harm, Undone, holds_back
from yardwright.procedures.water_order import INBOARDS, EngineKind, Supply, order_of_water
from yardwright.procedures.ways_in import Known, Look, Standing

PETROL_INSIDE = (EngineKind.STERNDRIVE, EngineKind.INBOARD_PETROL)


class MayStart(StrEnum):
    """The answer, best first."""

    YES = "May start"
    NOT_KNOWN = "Not known"
    NO = "Must not start"


class NeedCode(StrEnum):
    """What a start needs; a look at it carries this as what was looked at."""

    ENGINE_OIL = "engine oil"
    GEAR_OIL = "gear oil"
    DRAINS = "drains and screws"
    AIR = "air and exhaust"
    COVER = "wrap and doors"
    FUEL = "fuel"
    STOP = "diesel stop"
    NOBODY_UNDER = "nobody under"
    LADDER = "ladder"
    PROPELLER = "propeller"
    EXTINGUISHER = "extinguisher"
    BATTERY = "battery"
    NEUTRAL = "neutral"
    LANYARD = "lanyard"
    BLOWER = "blower"
    SNIFF = "looked and sniffed"
    WATER = "water"
    WATER_PATH = "water path"


@dataclass(frozen=True, slots=True)
class Need:
    """One thing a start needs, as it is asked; ``just_before`` must be looked at on the spot.

    ``after_stop`` is asked once a run was stopped, which counts as a look that it is not so; the
    look that lets her run again says what was found, and counts until the next stop.
    """

    code: NeedCode
    question: str
    what_if_not: str
    caution: str = ""
    just_before: bool = False
    after_stop: bool = False


@dataclass(frozen=True, slots=True)
class NeedKnown:
    """A need, and what is known of it."""

    need: Need
    known: Known


@dataclass(frozen=True, slots=True)
class StartCheck:
    """The answer, each reason against, each thing not known, and every need with its evidence."""

    answer: MayStart
    sentence: str
    must_not: tuple[str, ...]
    not_known: tuple[str, ...]
    needs: tuple[NeedKnown, ...]


def needs(kind: EngineKind, supply: Supply) -> tuple[Need, ...]:
    """What a start of this engine on this water needs, in the order it is looked at.

    Parameters
    ----------
    kind : EngineKind
        Her engine.
    supply : Supply
        Where its water comes from.

    Returns
    -------
    tuple of Need
        Battery on after all dry work, blower and nose after the battery, water last.

    Raises
    ------
    ValueError
        This engine does not run on this water; the message says why and what to use.
    """
    order_of_water(kind, supply)
    fits = {
        NeedCode.STOP: kind == EngineKind.INBOARD_DIESEL,
        NeedCode.BLOWER: kind in PETROL_INSIDE,
    }
    every = (*_dry_needs(), *_last_needs(kind, supply))
    return tuple(need for need in every if fits.get(need.code, True))


def start_check(
    kind: EngineKind,
    supply: Supply,
    undone: Iterable[Undone],
    looks: Iterable[Look],
    at: datetime,
    *,
    good_for: timedelta | None = None,
) -> StartCheck:
    """Answer whether the engine may be started.

    Parameters
    ----------
    kind, supply : EngineKind, Supply
        Her engine and where its water comes from.
    undone : iterable of Undone
        Everything ever undone on her, open or put back.
    looks : iterable of Look
        Looks at her needs; ``at_what`` is a `NeedCode`. Other looks are left out.
    at : datetime
        The time asked about, with its zone.
    good_for : timedelta, optional
        How long a look counts, the yard's own setting; 12 h if not given. What can change while
        one turns away counts half an hour at most.

    Returns
    -------
    StartCheck
        *Must not start* if a put-back is open that a start waits for, or a need is seen not to
        be met; *Not known* if a need was not looked at lately; else *May start*.

    Raises
    ------
    ValueError
        This engine does not run on this water.
    """
    undone, looks = tuple(undone), tuple(looks)
    asked = [NeedKnown(n, _known(n, looks, at, good_for)) for n in needs(kind, supply)]
    battery = next(n.known.look for n in asked if n.need.code == NeedCode.BATTERY)
    must_not = (
        *(f"{thing.what}: not put back" for thing in holds_back(undone, Before.START)),
        *(battery_stays_off(undone) if battery and battery.holds else ()),
        *(_words(n, n.need.what_if_not) for n in asked if n.known.standing == Standing.OPEN),
    )
    not_known = tuple(
        _words(n, n.need.question) for n in asked if n.known.standing == Standing.NOT_KNOWN
    )
    answer = MayStart.NO if must_not else MayStart.NOT_KNOWN if not_known else MayStart.YES
    return StartCheck(
        answer, _sentence(answer, must_not, not_known), must_not, not_known, tuple(asked)
    )


def battery_stays_off(undone: Iterable[Undone]) -> tuple[str, ...]:
    """The battery goes on after the fuel, and all else that burns, is put back, never before.

    Parameters
    ----------
    undone : iterable of Undone
        Everything ever undone on her, open or put back.

    Returns
    -------
    tuple of str
        What keeps the battery off, each in a sentence; empty if it may go on.
    """
    return tuple(
        f"{thing.what}: the battery stays off until that is put back"
        for thing in holds_back(undone, Before.START)
        if thing.harm == Harm.BURNS
    )


def _known(need: Need, looks: Sequence[Look], at: datetime, good_for: timedelta | None) -> Known:
    """The latest look counts, if it is fresh; a bad look stays bad until a later good one."""
    mine = [look for look in looks if look.at_what == need.code and look.at <= at]
    look = max(mine, key=lambda look: (look.at, not look.holds), default=None)
    if look is None and need.after_stop:
        return Known(Standing.HOLDS, "no run was stopped")
    if look is None:
        return Known(Standing.NOT_KNOWN, "not looked at")
    seen = f"looked at {look.at.day} {look.at:%b %H:%M} by {look.by}"
    if not look.holds:
        return Known(Standing.OPEN, ": ".join(filter(None, [seen, look.words])), look)
    if at - look.at > _good_for(need, good_for):
        return Known(Standing.NOT_KNOWN, f"{seen}, too long ago", look)
    return Known(Standing.HOLDS, seen, look)


def good_for_min(need: Need) -> float:
    """How long a look at it counts, where the yard said nothing else. [min].

    Parameters
    ----------
    need : Need
        One thing a start needs.

    Returns
    -------
    float
        Half an hour for what can change while one turns away, until the next stop what a stop
        asks for, else half a day.
    """
    return _good_for(need, None) / timedelta(minutes=1)


def _good_for(need: Need, good_for: timedelta | None) -> timedelta:
    if need.after_stop:
        return timedelta.max
    starting = refdata.table("starting")
    same_day = good_for or timedelta(hours=starting["look_good_for_h"].value)
    just_before = timedelta(minutes=starting["look_just_before_good_for_min"].value)
    return min(same_day, just_before) if need.just_before else same_day


def _words(asked: NeedKnown, what: str) -> str:
    return f"{what} ({asked.known.because})"


def _sentence(answer: MayStart, must_not: Sequence[str], not_known: Sequence[str]) -> str:
    reasons = must_not or not_known
    return f"{': '.join([answer.value, *filter(None, ['; '.join(reasons)])])}."


def _dry_needs() -> Iterator[Need]:
    """What is done before the battery goes on."""
    yield Need(
        NeedCode.ENGINE_OIL,
        "Is the engine oil in, to the mark and not over it?",
        "Engine oil is missing, low or overfull",
        "Without oil she seizes in seconds; overfull oil froths or blows out.",
    )
    yield Need(
        NeedCode.GEAR_OIL,
        "Is the gear oil in, clear, to the mark and not over it?",
        "Gear oil is missing, milky, low or overfull",
        "Gears run dry seize; milky oil means water behind a seal.",
    )
    yield Need(
        NeedCode.DRAINS,
        "Are all drains and screws shut, and their bag counted empty?",
        "A drain or screw is open",
        "An open drain lets cooling water or oil into the boat.",
    )
    yield Need(
        NeedCode.WATER_PATH,
        "After a stop: is the water path looked at from end to end, and in order?",
        "A run was stopped, and the water path is not in order",
        "Cold, key off: supply and hose, intake or seacock, strainer, impeller, outlet. Write what"
        " was found. Nothing found: a mechanic looks before the next key.",
        after_stop=True,
    )
    yield Need(
        NeedCode.AIR,
        "Are air intake and exhaust open, every rag, tape and bag off?",
        "Air or exhaust is stopped up",
        "A stopped exhaust sends carbon monoxide into the boat.",
    )
    yield Need(
        NeedCode.COVER,
        "Is the wrap off, and are the doors open?",
        "The wrap is on or the doors are shut",
        "Exhaust under a wrap or in a shut shed kills: carbon monoxide has no smell.",
    )
    yield Need(
        NeedCode.EXTINGUISHER,
        "Is a fire extinguisher in date and at hand?",
        "No extinguisher at hand",
    )
    yield Need(
        NeedCode.FUEL,
        "Is the fuel closed up, primed, and no drip to be seen?",
        "Fuel is not primed, or drips",
        "No sparks and no switches while fuel is open.",
    )
    yield Need(
        NeedCode.STOP,
        "Is the diesel's stop proven before the first start?",
        "The diesel can't be stopped",
        "A diesel runs on without current; know how to shut its air.",
    )


def _last_needs(kind: EngineKind, supply: Supply) -> Iterator[Need]:
    """Battery, then what is looked at on the way to the key."""
    yield Need(
        NeedCode.BATTERY,
        "Is the battery on, last of the dry work, negative last?",
        "The battery is not on",
        "Fuel closed and sniffed first. Eyes and rings: a battery gasses and burns.",
    )
    yield Need(
        NeedCode.LANYARD,
        "Is the stop-switch lanyard fitted, in the hand of who stands there?"
        if kind not in INBOARDS
        else "Is the stop-switch lanyard fitted, or the key stop known if she has no such switch?",
        "The lanyard is not fitted",
        "That it stops her is proven in the first minute.",
    )
    yield Need(
        NeedCode.NEUTRAL,
        "Is the control in neutral?",
        "The control is not in neutral",
        just_before=True,
    )
    yield Need(
        NeedCode.NOBODY_UNDER,
        "Is nobody in the water near her?" if supply == Supply.AFLOAT else "Is nobody under her?",
        "Somebody is under her or near the propeller",
        just_before=True,
    )
    yield Need(
        NeedCode.LADDER, "Is the ladder away?", "The ladder stands against her", just_before=True
    )
    yield Need(
        NeedCode.PROPELLER,
        "Is the propeller off, or clear all round?",
        "The propeller is not clear",
        "In gear on a hose only by the maker's manual; without one, propeller off or no gear.",
        just_before=True,
    )
    minutes = refdata.table("starting")["blower_min"].value
    yield Need(
        NeedCode.BLOWER,
        f"Has the blower run for {minutes:.0f} minutes?",
        f"The blower has not run for {minutes:.0f} minutes",
        "Gasoline vapors can explode. Before starting engine operate blower for 4 minutes and"
        " check engine compartment bilge for gasoline vapors (33 CFR 183.610(f)).",
        just_before=True,
    )
    yield Need(
        NeedCode.SNIFF,
        "Is the engine space looked at and sniffed: no fuel, no drip?",
        "Fuel is smelled or seen",
        "Don't touch a switch, not even to turn it off. People away, air in.",
        just_before=True,
    )
    yield _water_need(kind, supply)


def _water_need(kind: EngineKind, supply: Supply) -> Need:
    question, if_not, caution = {
        Supply.MUFFS: (
            "Is the water on, and seen running at the muffs?",
            "No water at the muffs",
            "See it at the telltale or exhaust within 30 s of the start, else stop the engine.",
        ),
        Supply.BUCKET: (
            "Is the water at hand, not under pressure, and shut until she fires?",
            "No water at hand, or it is on already",
            "Shut while she is cranked; open it the moment she fires, shut it with the stop. What"
            " is pumped before she fires waits in the exhaust and reaches the cylinders.",
        ),
        Supply.AFLOAT: (
            "Is the lower unit in the water, or the raw-water seacock open?",
            "No water to the pump",
            "See it at the telltale or exhaust within 30 s of the start, else stop the engine.",
        ),
    }[supply]
    if supply == Supply.AFLOAT and kind in INBOARDS:
        caution += (
            " Short cranks, and between them the seacock shut: what is pumped while she doesn't"
            " fire waits in the exhaust and reaches the cylinders."
        )
    return Need(NeedCode.WATER, question, if_not, caution, just_before=True)
