"""In which order boats come out in fall: on the tide, innermost first, before the frost."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations, permutations

Minute = int
Interval = tuple[Minute, Minute]


@dataclass(frozen=True, slots=True)
class Boat:
    """A boat to come out: her water at the sill, her minutes on the lift, and where she will stand.

    ``water`` None: her draft is not known, and no tide is right for her. ``holds_water``: frost
    would split something aboard, or nobody knows. ``row`` empty: she stands behind nobody.
    """

    name: str
    water: tuple[Interval, ...] | None
    lift_min: int
    holds_water: bool = False
    row: str = ""
    berth: int = 1

    def __post_init__(self) -> None:
        if not 1 <= self.lift_min <= 1440:
            raise ValueError(f"{self.name} takes {self.lift_min} minutes; give 1 to 1440.")


@dataclass(frozen=True, slots=True)
class Out:
    """One boat's turn: from when she is lifted, and why then."""

    boat: str
    start: Minute
    end: Minute
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HaulOut:
    """The order, and who finds no turn, with the reason."""

    turns: tuple[Out, ...]
    left: Mapping[str, str]


def haul_out(boats: Sequence[Boat], lift: Sequence[Interval], frost: Minute | None) -> HaulOut:
    """List who comes out when.

    Parameters
    ----------
    boats : sequence of Boat
        Those afloat that are to come out, each name once.
    lift : sequence of (int, int)
        When the lift works. [min]
    frost : int or None
        The minute by which all should be out. [min] None: not known.

    Returns
    -------
    HaulOut
        Turns by time. One that must wait for a boat without a turn has none either.

    Notes
    -----
    Always the one next whose turn can begin first; of those that can begin alike the ones that
    hold water, and whoever keeps such a one waiting; then the one with the least water left. A
    list, no proof that none is better; ``faults`` says each rule once more.
    """
    waits = {boat.name: boat for boat in boats}
    if len(waits) < len(boats):
        raise ValueError("Two boats have the same name; give each her own.")
    left = {
        name: "Her draft is not known: measure it." for name, b in waits.items() if b.water is None
    }
    turns: list[Out] = []
    now = 0
    while True:
        open_ = [b for b in waits.values() if b.name not in left]
        ready = [b for b in open_ if not any(_behind(other, b) for other in waits.values())]
        starts = {b.name: start for b in ready if (start := _start(b, lift, now)) is not None}
        if not starts:
            break
        boat = min((waits[name] for name in starts), key=lambda b: _urgency(b, starts, open_, now))
        start = starts[boat.name]
        now = start + boat.lift_min
        turns.append(Out(boat.name, start, now, tuple(_because(boat, open_, frost, now))))
        del waits[boat.name]
    for boat in waits.values():
        before = [other.name for other in waits.values() if _behind(other, boat)]
        shut = f"{' and '.join(before)} must stand behind her first." if before else ""
        left.setdefault(boat.name, shut or "No water and lift hours together are left for her.")
    return HaulOut(tuple(turns), left)


def _behind(other: Boat, boat: Boat) -> bool:
    """The other stands further in: she must be there first."""
    return bool(boat.row) and other.row == boat.row and other.berth > boat.berth


def _start(boat: Boat, lift: Sequence[Interval], now: Minute) -> Minute | None:
    for opens, closes in lift:
        for rises, falls in boat.water or ():
            start = max(opens, rises, now)
            if start + boat.lift_min <= min(closes, falls):
                return start
    return None


def _urgency(
    boat: Boat, starts: Mapping[str, Minute], waits: Sequence[Boat], now: Minute
) -> tuple[int, bool, int, str]:
    wet = boat.holds_water or any(_behind(boat, other) and other.holds_water for other in waits)
    water_left = sum(max(0, falls - max(rises, now)) for rises, falls in boat.water or ())
    return starts[boat.name], not wet, water_left, boat.name


def _because(boat: Boat, waits: Iterable[Boat], frost: Minute | None, end: Minute) -> Iterator[str]:
    if boat.holds_water:
        yield "frost would find water in her"
    if shut := [other.name for other in waits if _behind(boat, other)]:
        yield f"stands behind {', '.join(shut)}"
    if frost is not None and end > frost:
        yield "after the day on which frost is expected"


def faults(
    given: HaulOut, boats: Sequence[Boat], lift: Sequence[Interval], frost: Minute | None
) -> Iterator[str]:
    """Say what is wrong with an order: each rule once more, each two boats against each other."""
    known = {boat.name: boat for boat in boats}
    named = sorted([turn.boat for turn in given.turns] + [*given.left])
    if named != sorted(known):
        yield "Not every boat has one turn, or one reason why she has none."
        return
    for turn in given.turns:
        boat = known[turn.boat]
        if turn.end - turn.start != boat.lift_min:
            yield f"{boat.name} has {turn.end - turn.start} minutes on the lift, not {boat.lift_min}."
        if not _inside(turn, boat.water or ()):
            yield f"{boat.name} has no water for all of her minutes."
        if not _inside(turn, lift):
            yield f"{boat.name} is lifted outside the lift's hours."
    yield from _late_ones_told(given, frost)
    for one, next_ in combinations(given.turns, 2):
        if one.start < next_.end and next_.start < one.end:
            yield f"{one.boat} and {next_.boat} are on the lift at once."
    yield from _before_those_behind(given, boats)


def _late_ones_told(given: HaulOut, frost: Minute | None) -> Iterator[str]:
    for turn in given.turns:
        late = frost is not None and turn.end > frost
        if late != any("frost is expected" in why for why in turn.because):
            yield f"{turn.boat} is not told to be after the frost as she is."


def _before_those_behind(given: HaulOut, boats: Sequence[Boat]) -> Iterator[str]:
    out = {turn.boat: turn.start for turn in given.turns}
    for boat, other in permutations(boats, 2):
        further_in = bool(boat.row) and other.row == boat.row and other.berth > boat.berth
        if further_in and boat.name in out and out.get(other.name, 1 << 40) > out[boat.name]:
            yield f"{boat.name} would stand in front of {other.name} before she is in."


def _inside(turn: Out, stretches: Iterable[Interval]) -> bool:
    return any(begins <= turn.start and turn.end <= ends for begins, ends in stretches)
