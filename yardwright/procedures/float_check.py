"""Float check: can water reach the bilge or the cylinders by any way that is not proven shut."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from itertools import islice

from yardwright.calc.flooding import inflow_l_min
from yardwright.procedures.water_graph import (
    INSIDE,
    OUTSIDE,
    Path,
    fewest,
    merged,
    net_of,
    paths,
    reached,
)
from yardwright.procedures.ways_in import (
    GOALS,
    OPENINGS,
    SEA,
    SOURCES,
    Barrier,
    BarrierKind,
    Known,
    Standing,
    WaysIn,
    known,
)

CAPPED = "capped, or tagged shut with a named sign-off"
WAYS_TOLD = 50  # a boat has a handful; a muddled list must not fill the page

Standings = Mapping[str, Known]


class Floats(StrEnum):
    """The answer, best first."""

    YES = "Floats"
    ON_ONE_VALVE = "Floats on one valve"
    NOT_KNOWN = "Not known"
    NO = "Would take water"


@dataclass(frozen=True, slots=True)
class Way:
    """One way for water, barrier by barrier, in words; open all along, or in part not known.

    ``inflow_l_min`` is the range, low and high [L/min]; None is *not known*.
    """

    through: tuple[str, ...]
    words: str
    inflow_l_min: tuple[float, float] | None
    open_all_along: bool


@dataclass(frozen=True, slots=True)
class ToDo:
    """One thing to do: the first named, or any of the others in its stead."""

    names: tuple[str, ...]
    words: str


@dataclass(frozen=True, slots=True)
class FloatCheck:
    """The answer and all it rests on.

    ``holds_her_up`` are the barriers proven to hold on whose failure alone water would come in,
    ``rests_on`` the blanks among them; ``one_valve`` are the valves with something open or
    unproven behind, ``behind_one_valve`` the ways that open when such a valve fails; ``unlisted``
    are fittings that stand open and must be written down among her ways in first.
    """

    answer: Floats
    sentence: str
    ways: tuple[Way, ...]
    to_do: tuple[ToDo, ...]
    holds_her_up: tuple[str, ...]
    rests_on: tuple[str, ...]
    one_valve: tuple[str, ...]
    behind_one_valve: tuple[Way, ...]
    counted: Known
    unlisted: tuple[str, ...]
    standings: Standings


def float_check(ways: WaysIn, at: datetime, *, going_in: datetime | None = None) -> FloatCheck:
    """Answer whether she would float.

    Parameters
    ----------
    ways : WaysIn
        All that is known of her barriers.
    at : datetime
        The time asked about, with its zone.
    going_in : datetime, optional
        When she is to go in; then every proof must be at most 24 h old by that time.

    Returns
    -------
    FloatCheck
        *Not known* while her openings are not counted, whatever else is known. Counted: *Would
        take water* if a way is open all along, *Not known* if one may be or something stands open
        that is not on her list, *Floats on one valve* if something stands open or unproven behind
        a single proven valve, else *Floats*.

    Notes
    -----
    Water passes both ways through whatever is not proven to hold. An unproven joint behind a
    valve counts like an open one, and an empty list of openings like one not counted: not known
    is never taken as fine.
    """
    standings = {b.name: known(b.name, ways, at, going_in) for b in ways.barriers}
    loose = [b for b in ways.barriers if standings[b.name].standing != Standing.HOLDS]
    counted, told, holding = _counted(ways, at), _ways(loose, standings), _holding(ways, standings)
    valves = () if told else tuple(b for b in holding if b.kind == BarrierKind.VALVE)
    to_do, blanks = _to_do(loose, standings), [b for b in holding if b.kind == BarrierKind.BLANK]
    answer = _answer(counted, told, valves, ways.unlisted)
    return FloatCheck(
        answer=answer,
        sentence=_sentence(
            answer, counted, told, to_do, _names(valves), _names(blanks), ways.unlisted
        ),
        ways=told,
        to_do=to_do,
        holds_her_up=_names(holding),
        rests_on=_names(blanks),
        one_valve=_names(valves),
        behind_one_valve=tuple(w for v in valves for w in _ways([*loose, v], standings)),
        counted=counted,
        unlisted=ways.unlisted,
        standings=standings,
    )


def _counted(ways: WaysIn, at: datetime) -> Known:
    """A list nobody counted, or with nothing on it, is not known to be complete."""
    if not ways.barriers:
        return Known(Standing.NOT_KNOWN, "no opening is on her list")
    return known(OPENINGS, ways, at)


def _answer(
    counted: Known, told: Sequence[Way], valves: Sequence[Barrier], unlisted: Sequence[str]
) -> Floats:
    if counted.standing != Standing.HOLDS:
        return Floats.NOT_KNOWN
    if any(way.open_all_along for way in told):
        return Floats.NO
    if told or unlisted:
        return Floats.NOT_KNOWN
    return Floats.ON_ONE_VALVE if valves else Floats.YES


def _holding(ways: WaysIn, standings: Standings) -> tuple[Barrier, ...]:
    """Proven barriers that alone stand between where water can be and where it does harm."""
    loose = net_of(b for b in ways.barriers if standings[b.name].standing != Standing.HOLDS)
    wet, leads_in = reached(loose, OUTSIDE) - {INSIDE}, reached(loose, INSIDE) - {OUTSIDE}
    return tuple(
        b
        for b in ways.barriers
        if standings[b.name].standing == Standing.HOLDS
        for one, other in [(merged(b.outside), merged(b.inside))]
        if (one in wet and other in leads_in) or (other in wet and one in leads_in)
    )


def _ways(loose: Iterable[Barrier], standings: Standings) -> tuple[Way, ...]:
    """The ways through these barriers: open ones first, then the shortest."""
    loose = list(loose)
    open_now = [b for b in loose if standings[b.name].standing == Standing.OPEN]
    certain = [_way(path, standings) for path in islice(paths(net_of(open_now)), WAYS_TOLD)]
    all_told = [_way(path, standings) for path in islice(paths(net_of(loose)), WAYS_TOLD)]
    perhaps = [way for way in all_told if not way.open_all_along]
    return tuple(sorted([*certain, *perhaps], key=lambda w: (not w.open_all_along, len(w.through))))


def _way(path: Path, standings: Standings) -> Way:
    source = next(p for p in (path[0].outside, path[0].inside) if p in SOURCES)
    goal = next(p for p in (path[-1].inside, path[-1].outside) if p in GOALS)
    inflow = _inflow(path) if source == SEA else None
    chain = [_barrier_words(b, standings[b.name], b is path[0] and source == SEA) for b in path]
    words = " → ".join([source, *chain, goal])
    if source == SEA:
        words += f", {_litres(*inflow)}" if inflow else ", inflow not known"
    return Way(
        through=_names(path),
        words=words,
        inflow_l_min=inflow,
        open_all_along=all(standings[b.name].standing == Standing.OPEN for b in path),
    )


def _inflow(path: Path) -> tuple[float, float] | None:
    """Through the narrowest bore at the depth nearest the sea; at the waterline nobody knows."""
    bores_m = [b.bore_m for b in path if b.bore_m is not None]
    if len(bores_m) < len(path) or not path[0].depth_m:
        return None
    return inflow_l_min(min(bores_m), path[0].depth_m)


def _litres(low: float, high: float) -> str:
    places = 0 if low >= 10 else 1
    return f"{low:.{places}f} to {high:.{places}f} L/min"


def _barrier_words(barrier: Barrier, known_of: Known, in_the_sea: bool) -> str:
    words = barrier.name
    if barrier.bore_m is not None:
        words += f", {barrier.bore_m * 1000:.0f} mm"
    elif in_the_sea:
        words += ", bore not known"
    if in_the_sea:
        depth_m = barrier.depth_m
        words += ", depth not known" if depth_m is None else f", {depth_m:.2f} m deep"
    return words + (f" ({known_of.because})" if known_of.standing == Standing.NOT_KNOWN else "")


MEND = {
    BarrierKind.VALVE: ("shut the {} and prove it", "prove the {} shut"),
    BarrierKind.PLUG: ("fit the {}", "prove the {} in"),
    BarrierKind.BLANK: ("fit the {}", "prove the {} fitted"),
    BarrierKind.JOINT: ("put the {} back", "prove the {} tight"),
    BarrierKind.SEAL: ("make the {} tight", "prove the {} tight"),
    BarrierKind.LOOP: ("mend the {} so that it vents", "prove that the {} vents"),
    BarrierKind.DRAIN: ("clear the {}", "prove the {} clear"),
}


def _to_do(loose: list[Barrier], standings: Standings) -> tuple[ToDo, ...]:
    """The fewest things, what stands open first; each with what would do in its stead."""
    cut = fewest(net_of(loose))
    first_open = sorted(cut, key=lambda b: standings[b.name].standing != Standing.OPEN)
    return tuple(
        _one_thing(b, [o for o in cut if o is not b], loose, standings) for b in first_open
    )


def _one_thing(
    chosen: Barrier, done: list[Barrier], loose: list[Barrier], standings: Standings
) -> ToDo:
    """One thing, if all the others are done."""
    by_name = {b.name for b in done}
    left = [b for b in loose if b.name not in by_name]
    way = next(paths(net_of(left)))
    instead = [
        b
        for b in way
        if b is not chosen and INSIDE not in reached(net_of(o for o in left if o is not b), OUTSIDE)
    ]
    things = [chosen, *instead]
    words = [
        MEND[b.kind][standings[b.name].standing == Standing.NOT_KNOWN].format(b.name)
        for b in things
    ]
    return ToDo(_names(things), ", or ".join(words))


def _sentence(
    answer: Floats,
    counted: Known,
    told: Sequence[Way],
    to_do: Sequence[ToDo],
    valves: Sequence[str],
    blanks: Sequence[str],
    unlisted: Sequence[str],
) -> str:
    sentences = [answer.value]
    if counted.standing != Standing.HOLDS:
        sentences[0] += f": her openings are not counted ({counted.because})"
        sentences.append("Walk round the bare hull and count them")
        if told:
            sentences.append("Known so far: " + "; ".join(way.words for way in told))
    elif told:
        sentences[0] += ": " + "; ".join(way.words for way in told)
    elif valves:
        sentences[0] += ": " + ", ".join(valves)
    if unlisted:
        names = " and ".join(unlisted)
        sentences.append(
            f"Open, and not on her list, so nobody knows where it leads: {names}. Write it down"
            " among her ways in"
        )
    if to_do:
        things = "One thing" if len(to_do) == 1 else f"{len(to_do)} things"
        sentences.append(f"{things} to do: " + "; ".join(thing.words for thing in to_do))
    if blanks:
        sentences.append("Resting also on " + ", ".join(blanks))
    if valves:
        sentences.append(f"What is open behind it: {CAPPED}, else she does not go in")
    return ". ".join(sentences) + "."


def _names(barriers: Iterable[Barrier]) -> tuple[str, ...]:
    return tuple(barrier.name for barrier in barriers)
