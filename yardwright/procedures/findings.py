"""What a yard finds on a boat that nobody ordered: the usual kinds, and what can come of one."""

from enum import StrEnum


class Finding(StrEnum):
    """Kinds of findings, so that the same one on another boat is noticed."""

    SPLIT_HOSE = "split hose"
    MILKY_OIL = "milky oil"
    WATER_IN_FUEL = "water in the fuel"
    WORN_IMPELLER = "impeller worn or blades missing"
    LEAK = "oil, fuel or water leaks"
    CORROSION = "corroded"
    CRACKED = "cracked"
    LOOSE = "loose or worn out"
    BURNT = "burnt or melted"
    DEAD_BATTERY = "battery holds no charge"
    SEIZED = "seized"
    MICE = "mice or nests"
    WET = "wet where it should be dry"
    OTHER = "something else"

    @property
    def is_noticed(self) -> bool:
        """Two of *something else* are not the same."""
        return self != Finding.OTHER


class Came(StrEnum):
    """What comes of a finding."""

    OFFER = "her owner is asked first"
    ORDERED = "it is in her order"
    STEP = "a step of hers sees to it"
    NOTHING = "it stays as it is"

    @property
    def is_work(self) -> bool:
        """It becomes a piece of work that she waits for."""
        return self in (Came.OFFER, Came.ORDERED)
