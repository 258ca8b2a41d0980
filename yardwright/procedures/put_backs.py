"""Put-backs: whatever was undone stays open until someone proves it back."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Harm(StrEnum):
    """What comes of it if it is forgotten; nastiest first."""

    SINKS = "sinks"
    HURTS = "hurts"
    BURNS = "burns"
    RUINS = "ruins"
    SHOCKS = "shocks"
    NO_START = "no start"
    ANNOYS = "annoys"

    @property
    def rank(self) -> int:
        """0 for the nastiest."""
        return list(Harm).index(self)


class Before(StrEnum):
    """The deed that must wait for a put-back."""

    START = "start"
    WATER = "in the water"
    HANDOVER = "handover"


class Proof(StrEnum):
    """What closes a put-back; a later one is worth no less than an earlier."""

    LOOKED = "looked"
    FELT = "felt"
    MEASURED = "measured"
    RUN = "run"


@dataclass(frozen=True, slots=True)
class PutBack:
    """Someone proved it back."""

    at: datetime
    by: str
    proof: Proof
    seen_by: str = ""  # the second person, where one was asked for


@dataclass(frozen=True, slots=True)
class SignOff:
    """Someone with a name lets it stay open: capped, or tagged shut."""

    at: datetime
    by: str
    how: str


@dataclass(frozen=True, slots=True)
class Undone:
    """One thing undone on a boat, and, once proven, its put-back.

    Notes
    -----
    ``fitting`` names the barrier among the boat's ways in that stands open meanwhile; ``second``
    asks for a proof seen by another person than the one who gives it.
    """

    what: str
    harm: Harm
    if_forgotten: str
    before: Before
    proof: Proof
    at: datetime
    by: str
    lies: str = ""
    fitting: str = ""
    second: bool = False
    put_back: PutBack | None = None
    signed_off: SignOff | None = None

    @property
    def is_open(self) -> bool:
        """Not proven back yet; a sign-off does not close it."""
        return self.put_back is None


def left_undone(undone: Iterable[Undone]) -> tuple[Undone, ...]:
    """What is still open, nastiest harm first, then the longest open.

    Parameters
    ----------
    undone : iterable of Undone
        Everything ever undone on the boat (or on all boats).

    Returns
    -------
    tuple of Undone
        The open ones.
    """
    still = (thing for thing in undone if thing.is_open)
    return tuple(sorted(still, key=lambda thing: (thing.harm.rank, thing.at, thing.what)))


def holds_back(undone: Iterable[Undone], deed: Before) -> tuple[Undone, ...]:
    """What must be proven back before a deed.

    Parameters
    ----------
    undone : iterable of Undone
        Everything ever undone on the boat.
    deed : Before
        A start waits for what a start needs; the water for what the water needs, unless that is
        capped or tagged shut with a named sign-off; handover waits for everything.

    Returns
    -------
    tuple of Undone
        The open ones that hold the deed back, nastiest first.
    """
    return tuple(
        thing
        for thing in left_undone(undone)
        if deed == Before.HANDOVER
        or (thing.before == deed and not (deed == Before.WATER and thing.signed_off))
    )
