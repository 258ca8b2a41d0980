"""Ways in: every path that water can take into a boat, and what is known of each barrier in it."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import StrEnum

SEA = "sea"
RAIN = "rain"
BILGE = "bilge"
CYLINDERS = "cylinders"
SOURCES = (SEA, RAIN)
GOALS = (BILGE, CYLINDERS)

GOING_IN_PROOF = timedelta(hours=24)  # what can sink is proven again within a day of going in


class BarrierKind(StrEnum):
    """What keeps the water out."""

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
