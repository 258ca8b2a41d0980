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
class LandCheck:
    """The answer, and what keeps the water in or is not known."""

    answer: RainOut
    sentence: str
    because: tuple[str, ...]


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
    seen = list(_seen(ways, at))
    no = tuple(words for answer, words in seen if answer == RainOut.NO)
    not_known = tuple(words for answer, words in seen if answer == RainOut.NOT_KNOWN)
    answer = RainOut.NO if no else RainOut.NOT_KNOWN if not_known else RainOut.YES
    because = no + not_known
    return LandCheck(
        answer, f"{': '.join([answer.value, *filter(None, ['; '.join(because)])])}.", because
    )


def _seen(ways: WaysIn, at: datetime) -> Iterator[tuple[RainOut, str]]:
    """What each plug, each drain and the cover does for the water's way out."""
    plugs = [barrier for barrier in ways.barriers if _drains_hull(barrier)]
    if not plugs:
        yield RainOut.NOT_KNOWN, "no drain plug is on her list"
    yield from (_plug_out(plug.name, ways, at) for plug in plugs)
    drains = [b.name for b in ways.barriers if b.kind == BarrierKind.DRAIN]
    for name, otherwise in [
        *((drain, f"{drain} is blocked") for drain in drains),
        (COVER, "rain lies in her cover"),
    ]:
        now = known(name, ways, at)
        yield {
            Standing.HOLDS: (RainOut.YES, ""),
            Standing.OPEN: (RainOut.NO, f"{otherwise}, {now.because}"),
            Standing.NOT_KNOWN: (RainOut.NOT_KNOWN, f"{name}, {now.because}"),
        }[now.standing]


def _plug_out(plug: str, ways: WaysIn, at: datetime) -> tuple[RainOut, str]:
    """Only an open put-back says that a plug is out: one that was seen to leak may still be in."""
    now = known(plug, ways, at)
    leaks = now.look is not None and not now.look.holds
    if plug in ways.undone and not leaks:
        return RainOut.YES, ""
    return {
        Standing.OPEN: (RainOut.NOT_KNOWN, f"{plug} may leak, yet be in, {now.because}"),
        Standing.HOLDS: (RainOut.NO, f"{plug} is plugged, {now.because}"),
        Standing.NOT_KNOWN: (RainOut.NOT_KNOWN, f"{plug}, {now.because}"),
    }[now.standing]


def _drains_hull(barrier: Barrier) -> bool:
    return barrier.kind == BarrierKind.PLUG and {barrier.outside, barrier.inside} == {SEA, BILGE}
