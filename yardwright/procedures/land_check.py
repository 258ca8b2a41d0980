"""Land check: can rain and melt get out of a boat standing on land."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from yardwright.procedures.ways_in import BILGE, SEA, Barrier, BarrierKind, Standing, WaysIn, known

COVER = "cover sheds rain, or none is on"  # what a look at her cover is a look at


class RainOut(StrEnum):
    """The answer, best first."""

    YES = "Rain gets out"
    NOT_KNOWN = "Not known"
    NO = "Rain can't get out"


@dataclass(frozen=True, slots=True)
class Seen:
    """One plug, one drain or the cover (kind None): what it does for the water's way out.

    ``words`` is the reason against, empty where rain gets out by it; ``evidence`` what it rests on.
    """

    name: str
    kind: BarrierKind | None
    answer: RainOut
    words: str
    evidence: str


@dataclass(frozen=True, slots=True)
class LandCheck:
    """The answer, what keeps the water in or is not known, and all that was asked."""

    answer: RainOut
    sentence: str
    because: tuple[str, ...]
    seen: tuple[Seen, ...]


def land_check(ways: WaysIn, at: datetime) -> LandCheck:
    """Answer whether rain and melt get out of her where she stands.

    Parameters
    ----------
    ways : WaysIn
        All that is known of her barriers, and the looks at her ``COVER``.
    at : datetime
        The time asked about, with its zone.

    Returns
    -------
    LandCheck
        *Rain gets out* if each drain plug is left undone, each drain proven clear and the
        cover seen to shed rain; *Rain can't get out* if one is seen to be otherwise; else *Not known*.
    """
    seen = tuple(_seen(ways, at))
    no = tuple(one.words for one in seen if one.answer == RainOut.NO)
    not_known = tuple(one.words for one in seen if one.answer == RainOut.NOT_KNOWN)
    answer = RainOut.NO if no else RainOut.NOT_KNOWN if not_known else RainOut.YES
    because = no + not_known
    sentence = f"{': '.join([answer.value, *filter(None, ['; '.join(because)])])}."
    return LandCheck(answer, sentence, because, seen)


def _seen(ways: WaysIn, at: datetime) -> Iterator[Seen]:
    """What each plug, each drain and the cover does for the water's way out."""
    plugs = [barrier for barrier in ways.barriers if _drains_hull(barrier)]
    if not plugs:
        words = "no drain plug is on her list"
        yield Seen("drain plug", BarrierKind.PLUG, RainOut.NOT_KNOWN, words, words)
    yield from (_plug_out(plug.name, ways, at) for plug in plugs)
    for barrier in ways.barriers:
        if barrier.kind == BarrierKind.DRAIN:
            blocked = f"{barrier.name} is blocked"
            yield _lets_out(barrier.name, barrier.kind, blocked, ways, at)
    yield _lets_out(COVER, None, "rain lies in her cover", ways, at)


def _lets_out(
    name: str, kind: BarrierKind | None, otherwise: str, ways: WaysIn, at: datetime
) -> Seen:
    now = known(name, ways, at)
    answer, words = {
        Standing.HOLDS: (RainOut.YES, ""),
        Standing.OPEN: (RainOut.NO, f"{otherwise}, {now.because}"),
        Standing.NOT_KNOWN: (RainOut.NOT_KNOWN, f"{name}, {now.because}"),
    }[now.standing]
    return Seen(name, kind, answer, words, now.because)


def _plug_out(plug: str, ways: WaysIn, at: datetime) -> Seen:
    """Only an open put-back says that a plug is out: one that was seen to leak may still be in."""
    now = known(plug, ways, at)
    leaks = now.look is not None and not now.look.holds
    if plug in ways.undone and not leaks:
        return Seen(plug, BarrierKind.PLUG, RainOut.YES, "", "out, not put back yet")
    answer, words = {
        Standing.OPEN: (RainOut.NOT_KNOWN, f"{plug} may leak, yet be in, {now.because}"),
        Standing.HOLDS: (RainOut.NO, f"{plug} is plugged, {now.because}"),
        Standing.NOT_KNOWN: (RainOut.NOT_KNOWN, f"{plug}, {now.because}"),
    }[now.standing]
    return Seen(plug, BarrierKind.PLUG, answer, words, now.because)


def _drains_hull(barrier: Barrier) -> bool:
    return barrier.kind == BarrierKind.PLUG and {barrier.outside, barrier.inside} == {SEA, BILGE}
