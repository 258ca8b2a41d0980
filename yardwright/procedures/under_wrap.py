"""The under-wrap card: what lies under the wrap, on which part of the boat, and where a cut is safe."""

from dataclasses import dataclass
from enum import StrEnum
from typing import NamedTuple

from yardwright.procedures.step import Step

WRAP, BENEATH = "wrap_on", "under_wrap"  # put-back kinds: the film itself, what was set under it
LOOKED_UNDER = "under_wrap_read"  # the step that reads the card from inside


class Zone(StrEnum):
    """A part of a boat seen from above, for whoever does not tap on the sketch."""

    BOW_PORT = "bow, port"
    BOW_STARBOARD = "bow, starboard"
    MIDSHIPS_PORT = "midships, port"
    MIDSHIPS_STARBOARD = "midships, starboard"
    STERN_PORT = "stern, port"
    STERN_STARBOARD = "stern, starboard"
    HELM = "helm"
    TOP = "top"

    @property
    def middle(self) -> "Spot":
        """Where a thing is drawn of which no more than its zone is known."""
        return _MIDDLES[self]


class Spot(NamedTuple):
    """A point of a boat seen from above: 0 at the bow to 1 at the stern, −1 port to 1 starboard."""

    along: float
    across: float


_MIDDLES = {
    Zone.BOW_PORT: Spot(0.22, -0.45),
    Zone.BOW_STARBOARD: Spot(0.22, 0.45),
    Zone.MIDSHIPS_PORT: Spot(0.5, -0.7),
    Zone.MIDSHIPS_STARBOARD: Spot(0.5, 0.7),
    Zone.STERN_PORT: Spot(0.84, -0.6),
    Zone.STERN_STARBOARD: Spot(0.84, 0.6),
    Zone.HELM: Spot(0.6, 0.0),
    Zone.TOP: Spot(0.42, 0.0),
}


class Sort(StrEnum):
    """What a thing under the wrap does to a blade, a hand or the film."""

    SHARP = "hard or sharp"  # rail, rod holder, aerial, windscreen: stops the blade, cuts the film
    SOFT = "soft"  # canvas, top, cushion, hose, wire: the blade goes through
    VENT = "vent"  # of the wrap, of fuel, of the exhaust
    LEFT = "left inside"  # absorber, bait, heater: counted out in spring
    STRAP = "strap, pole or buckle"  # counted off in spring
    CUT = "cut here"  # where a cut is safe

    @property
    def is_counted(self) -> bool:
        """Each of these is to be found again when the wrap is off."""
        return self in (Sort.VENT, Sort.LEFT, Sort.STRAP)


@dataclass(frozen=True, slots=True)
class Mark:
    """One thing on the card. ``spot`` is None where only its zone was said."""

    number: int
    what: str
    sort: Sort
    zone: Zone
    spot: Spot | None = None
    goes: str = ""  # where it goes once the wrap is off

    def __post_init__(self) -> None:
        if self.spot is None:
            return
        along, across = self.spot
        if not (0 <= along <= 1 and -1 <= across <= 1):
            raise ValueError(
                f"{self.what} is at {along:g}, {across:g}; tap on the boat: 0 to 1 from bow to"
                " stern, −1 to 1 from port to starboard."
            )


def cuts_the_wrap(step: Step) -> bool:
    """Whoever proves the wrap off has cut it."""
    return WRAP in step.proves


def draws_the_card(step: Step) -> bool:
    """What is set under the wrap is drawn on the card."""
    return BENEATH in step.opens
