"""Put-backs: whatever was undone stays open until someone proves it back."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from functools import cached_property


class Harm(StrEnum):
    """What comes of it if it is forgotten; nastiest first."""

    SINKS = "sinks"
    HURTS = "hurts"
    BURNS = "burns"
    RUINS = "ruins"
    SHOCKS = "shocks"
    NO_START = "no start"
    ANNOYS = "annoys"

    @cached_property
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

    @cached_property
    def rank(self) -> int:
        """0 for the weakest."""
        return list(Proof).index(self)


@dataclass(frozen=True, slots=True)
class PutBack:
    """Someone proved it back."""

    at: datetime
    by: str
    proof: Proof
    seen_by: str = ""  # the second person, where one was asked for

    def __post_init__(self) -> None:
        if not self.by.strip():
            raise ValueError("Nobody is named for the put-back; say who proved it.")


@dataclass(frozen=True, slots=True)
class SignOff:
    """Someone with a name lets it stay open: capped, or tagged shut."""

    at: datetime
    by: str
    how: str

    def __post_init__(self) -> None:
        if not (self.by.strip() and self.how.strip()):
            raise ValueError("A sign-off needs a name, and how it was made safe (capped, tagged).")


@dataclass(frozen=True, slots=True)
class Undone:
    """One thing undone on a boat, and, once proven, its put-back.

    Notes
    -----
    ``fitting`` names the barrier among the boat's ways in that stands open meanwhile; ``second``
    asks for a proof seen by another person than the one who gives it; ``also_before`` is a second
    deed that waits for it (batteries ashore hold back the water and the start).
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
    also_before: Before | None = None

    @property
    def is_open(self) -> bool:
        """Not proven back as it asks for: kind of proof, second person. No sign-off closes it."""
        if self.put_back is None:
            return True
        alone = self.put_back.seen_by.strip() in ("", self.put_back.by)
        return self.put_back.proof.rank < self.proof.rank or (self.second and alone)


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
        A start waits for what a start needs; the water for what the water needs, unless that is a
        fitting capped or tagged shut with a named sign-off; handover waits for everything.

    Returns
    -------
    tuple of Undone
        The open ones that hold the deed back, nastiest first.
    """
    return tuple(
        thing
        for thing in left_undone(undone)
        if deed == Before.HANDOVER
        or (
            deed in (thing.before, thing.also_before)
            and not (deed == Before.WATER and thing.fitting and thing.signed_off)
        )
    )
