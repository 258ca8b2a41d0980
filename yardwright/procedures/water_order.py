"""Cooling water and the start: which comes first by kind of engine, and when to stop again."""

from collections.abc import Sequence
from enum import StrEnum


class EngineKind(StrEnum):
    """What drives her; an inboard here has a raw-water pump and a wet exhaust."""

    OUTBOARD = "outboard"
    STERNDRIVE = "sterndrive"
    INBOARD_PETROL = "inboard petrol"
    INBOARD_DIESEL = "inboard diesel"


class Supply(StrEnum):
    """Where the cooling water comes from."""

    MUFFS = "muffs"
    BUCKET = "bucket or unpressurised tee"
    AFLOAT = "afloat"


class WaterStep(StrEnum):
    """One step in the order of water."""

    WATER_ON = "water on"
    READY = "water at hand, and shut"
    THERE = "lower unit in the water, or raw-water seacock open"
    SEEN_BEFORE = "water seen before the start"
    START = "start"
    START_WITH_WATER = "start, and open the water the moment she fires"
    SEEN_AFTER = "water seen at the telltale or exhaust within 30 s"
    STOP = "stop"
    STOP_WITH_WATER = "stop, and shut the water with it"
    WATER_OFF = "water off"


_ORDER = {
    Supply.MUFFS: (
        WaterStep.WATER_ON,
        WaterStep.SEEN_BEFORE,
        WaterStep.START,
        WaterStep.SEEN_AFTER,
        WaterStep.STOP,
        WaterStep.WATER_OFF,
    ),
    Supply.BUCKET: (
        WaterStep.READY,
        WaterStep.START_WITH_WATER,
        WaterStep.SEEN_AFTER,
        WaterStep.STOP_WITH_WATER,
    ),
    Supply.AFLOAT: (WaterStep.THERE, WaterStep.START, WaterStep.SEEN_AFTER, WaterStep.STOP),
}
_SUITS = {
    EngineKind.OUTBOARD: (Supply.MUFFS, Supply.AFLOAT),
    EngineKind.STERNDRIVE: tuple(Supply),
    EngineKind.INBOARD_PETROL: (Supply.BUCKET, Supply.AFLOAT),
    EngineKind.INBOARD_DIESEL: (Supply.BUCKET, Supply.AFLOAT),
}
WAITING_WATER = (
    "water that is on before she fires waits in the wet exhaust and reaches the cylinders:"
    " shut while she is cranked, open it the moment she fires, shut it with the stop"
)
AT_THE_KEY = {
    Supply.MUFFS: "Water is on and seen at the muffs",
    Supply.BUCKET: "Somebody stands at the water: shut now, open the moment she fires",
    Supply.AFLOAT: "Her lower unit is in the water, or her raw-water seacock is open",
}  # what somebody says of the water, last before the key


def order_of_water(kind: EngineKind, supply: Supply) -> tuple[WaterStep, ...]:
    """The order of water for this engine on this supply.

    Parameters
    ----------
    kind : EngineKind
        Her engine.
    supply : Supply
        Where its water comes from.

    Returns
    -------
    tuple of WaterStep
        On muffs water first, seen, then the start; from a bucket or tee the moment she fires.

    Raises
    ------
    ValueError
        This engine does not run on this water; the message says why and what to use.
    """
    if supply not in _SUITS[kind]:
        use = " or ".join(_SUITS[kind])
        why = WAITING_WATER if supply == Supply.MUFFS else "its pump lies in the lower unit"
        raise ValueError(f"{kind} on {supply}: {why}. Use {use}.")
    return _ORDER[supply]


INBOARDS = (EngineKind.INBOARD_PETROL, EngineKind.INBOARD_DIESEL)
TRIES_TO_DRAIN = 3  # cranked so often, a water-lift muffler is full as far as anybody knows
_SHUT = {
    Supply.MUFFS: "Tap off first, and the key off.",
    Supply.BUCKET: "Hose or tee shut first, and the key off.",
    Supply.AFLOAT: "Key off.",
}
_AGAIN = {
    Supply.MUFFS: "Next try: tap on, water seen at the muffs, then crank.",
    Supply.BUCKET: "Next try: the water stays shut while you crank; open it the moment she fires.",
    Supply.AFLOAT: "Next try: short cranks; each one pumps water into her exhaust.",
}


def did_not_fire(kind: EngineKind, supply: Supply) -> tuple[str, ...]:
    """What to do when she was cranked and did not fire, in this order.

    Parameters
    ----------
    kind : EngineKind
        Her engine.
    supply : Supply
        Where its water comes from.

    Returns
    -------
    tuple of str
        The water first: what is pumped while she doesn't fire waits in a wet exhaust and reaches
        the cylinders. Then the starter, then the nose.

    Raises
    ------
    ValueError
        This engine does not run on this water.
    """
    order_of_water(kind, supply)
    inboard = kind in INBOARDS
    shut = "Raw-water seacock shut first, and the key off." if inboard else _SHUT[Supply.AFLOAT]
    words = [
        shut if supply == Supply.AFLOAT else _SHUT[supply],
        "The starter rests as long as its maker says.",
    ]
    if kind in (EngineKind.STERNDRIVE, EngineKind.INBOARD_PETROL):
        words.append("Look and sniff; blower for four minutes again before the next try.")
    elif kind == EngineKind.OUTBOARD:
        words.append("Look and sniff: no fuel in the air or on the ground.")
    if inboard:
        words.append(f"After {TRIES_TO_DRAIN} tries: drain the water-lift muffler before the next.")
    words.append(_AGAIN[supply])
    return tuple(words)


def wrong_order(kind: EngineKind, supply: Supply, steps: Sequence[WaterStep]) -> str:
    """Why an order of water is refused; empty if it is the right one.

    Parameters
    ----------
    kind, supply : EngineKind, Supply
        Her engine and where its water comes from.
    steps : sequence of WaterStep
        The order meant.

    Returns
    -------
    str
        What is wrong with it and the right order.
    """
    try:
        right = order_of_water(kind, supply)
    except ValueError as refused:
        return str(refused)
    if tuple(steps) == right:
        return ""
    early = supply == Supply.BUCKET and WaterStep.WATER_ON in steps
    why = WAITING_WATER if early else "the order is wrong"
    return f"{kind} on {supply}: {why}. The order is: {'; '.join(right)}."


def in_gear_on_a_hose(maker_allows: bool | None, *, propeller_off: bool) -> str:
    """Why she must not be put in gear on a hose; empty if she may.

    Parameters
    ----------
    maker_allows : bool or None
        What the maker's manual on file says; None is *no manual on file*.
    propeller_off : bool
        Whether the propeller is off the shaft.

    Returns
    -------
    str
        The manual goes first; without one, propeller off or no gear.
    """
    if maker_allows is None and not propeller_off:
        return "No maker's manual on file: propeller off, or no gear."
    if maker_allows is False:
        return "The maker's manual says no gear on a hose."
    return ""
