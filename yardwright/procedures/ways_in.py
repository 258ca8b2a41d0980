"""Ways in: every path that water can take into a boat, and what is known of each barrier in it."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from enum import StrEnum

from yardwright.procedures.put_backs import Undone

SEA = "sea"
RAIN = "rain"
BILGE = "bilge"
CYLINDERS = "cylinders"
SOURCES = (SEA, RAIN)
GOALS = (BILGE, CYLINDERS)

GOING_IN_PROOF = timedelta(hours=24)  # what can sink is proven again within a day of going in


class BarrierKind(StrEnum):
    """What keeps the water out: a drain does it by being clear, a loop by being vented."""

    VALVE = "valve"
    PLUG = "plug"
    BLANK = "blank"
    JOINT = "joint"
    SEAL = "seal"
    LOOP = "loop"
    DRAIN = "drain"


@dataclass(frozen=True, slots=True)
class Barrier:
    """One thing that keeps two places apart: water passes unless it is proven to hold.

    ``bore_m`` and ``depth_m`` are the opening's inner diameter and its depth under water at the
    worst trim; None is *not known*.
    """

    name: str
    kind: BarrierKind
    outside: str
    inside: str
    bore_m: float | None = None
    depth_m: float | None = None

    def __post_init__(self) -> None:
        if self.outside == self.inside:
            raise ValueError(f"{self.name} joins {self.inside} to itself; name both its sides.")
        if self.bore_m is not None and not 0 < self.bore_m <= 0.5:
            raise ValueError(f"{self.name}: bore is {self.bore_m} m; give 0 to 0.5 m.")
        if self.depth_m is not None and not 0 <= self.depth_m <= 10:
            raise ValueError(f"{self.name}: depth is {self.depth_m} m; give 0 to 10 m.")


@dataclass(frozen=True, slots=True)
class Look:
    """Someone looked (or felt, or measured) and it was so, or was not so."""

    at_what: str
    holds: bool
    at: datetime
    by: str
    words: str = ""

    def __post_init__(self) -> None:
        if not self.by.strip():
            raise ValueError(f"Nobody is named for the look at {self.at_what}; say who looked.")


class Disturbance(StrEnum):
    """What makes an earlier proof lapse."""

    FROST = "frost while wet"
    WORK = "work at it"
    ABOARD = "somebody aboard"
    ROAD = "a move on the road"
    HULL = "work through the hull"


@dataclass(frozen=True, slots=True)
class Disturbed:
    """Something happened that makes proofs lapse; ``fitting`` empty means the whole boat."""

    by_what: Disturbance
    at: datetime
    fitting: str = ""


OPENINGS = "all openings counted"


@dataclass(frozen=True, slots=True)
class WaysIn:
    """All that is known of one boat's barriers."""

    barriers: tuple[Barrier, ...]
    looks: tuple[Look, ...] = ()
    disturbed: tuple[Disturbed, ...] = ()
    undone: frozenset[str] = frozenset()  # barriers standing open now: an open put-back names them
    unlisted: tuple[str, ...] = ()  # fittings standing open that are not among the barriers

    def __post_init__(self) -> None:
        names = [barrier.name for barrier in self.barriers]
        if twice := {name for name in names if names.count(name) > 1}:
            raise ValueError(f"{', '.join(sorted(twice))}: listed twice; give each its own name.")
        if odd := self.undone - set(names):
            raise ValueError(
                f"{', '.join(sorted(odd))}: undone, but not among her ways in; add the fitting."
            )


class Standing(StrEnum):
    """What is known of a barrier."""

    HOLDS = "holds"
    OPEN = "open"
    NOT_KNOWN = "not known"


@dataclass(frozen=True, slots=True)
class Known:
    """A barrier's standing and the sentence it rests on."""

    standing: Standing
    because: str
    look: Look | None = None


def known(what: str, ways: WaysIn, at: datetime, going_in: datetime | None = None) -> Known:
    """What is known of one barrier, or of anything else that is looked at on this boat.

    Parameters
    ----------
    what : str
        A barrier's name, ``OPENINGS``, or what another look was at.
    ways : WaysIn
        All that is known of her; what comes after ``at`` is left out.
    at : datetime
        The time asked about, with its zone.
    going_in : datetime, optional
        When she is to go in: a proof older than ``GOING_IN_PROOF`` by then has lapsed as well.

    Returns
    -------
    Known
        Open while a put-back for it is open, or if the last look says so; holds if the last look
        does and has not lapsed; else not known. Of two looks at the same moment the worse counts.
    """
    looks = [look for look in ways.looks if look.at_what == what and look.at <= at]
    look = max(looks, key=lambda look: (look.at, not look.holds), default=None)
    if what in ways.undone:
        return Known(Standing.OPEN, "open, not put back yet", look)
    if look is None:
        return Known(Standing.NOT_KNOWN, "never looked at")
    if not look.holds:
        because = look.words or "does not hold"
        return Known(Standing.OPEN, f"looked at {_day(look.at)} by {look.by}: {because}", look)
    proven = f"proven {_day(look.at)} by {look.by}"
    if lapse := _lapse(look, ways, at, going_in):
        return Known(Standing.NOT_KNOWN, f"{proven}, but {lapse}", look)
    return Known(Standing.HOLDS, proven, look)


def good_to_go_in_until(now: Known) -> datetime | None:
    """Until when a boat may go in on a proof, if nothing disturbs it; None where nothing is proven."""
    if now.standing != Standing.HOLDS or now.look is None:
        return None
    return now.look.at + GOING_IN_PROOF


def after_put_backs(ways: WaysIn, undone: Iterable[Undone]) -> WaysIn:
    """Her ways in with what her put-backs say of them.

    Parameters
    ----------
    ways : WaysIn
        Her barriers and the looks at them.
    undone : iterable of Undone
        Everything ever undone on her, open or put back.

    Returns
    -------
    WaysIn
        An open put-back leaves its fitting standing open; a closed one's proof counts as a look.

    Raises
    ------
    ValueError
        A fitting left open is not among her barriers; the message names it.
    """
    fitted = [thing for thing in undone if thing.fitting]
    proofs = [
        Look(thing.fitting, True, thing.put_back.at, thing.put_back.by, f"{thing.what}: put back")
        for thing in fitted
        if thing.put_back and not thing.is_open
    ]
    still = {thing.fitting for thing in fitted if thing.is_open}
    return replace(ways, looks=(*ways.looks, *proofs), undone=ways.undone | still)


def _lapse(look: Look, ways: WaysIn, at: datetime, going_in: datetime | None) -> str:
    """Why a proof no longer counts, or nothing."""
    for thing in sorted(ways.disturbed, key=lambda thing: thing.at):
        if look.at <= thing.at <= at and _touches(thing, look.at_what):
            what = thing.by_what + " or a change in her list" * (look.at_what == OPENINGS)
            return f"{what} since ({_day(thing.at)})"
    if going_in and look.at_what != OPENINGS and going_in - look.at > GOING_IN_PROOF:
        return "what can sink is proven again within 24 h of going in"
    return ""


def _touches(thing: Disturbed, what: str) -> bool:
    """The count of openings lapses by work through the hull alone."""
    if what == OPENINGS:
        return thing.by_what == Disturbance.HULL
    return thing.fitting in ("", what)


def _day(at: datetime) -> str:
    return f"{at.day} {at:%b}"
