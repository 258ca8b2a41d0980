"""The water's way on a boat's pages: the checks' answers as gates to be drawn."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime

from yardwright.papers.drawing import Drawing, day_name
from yardwright.papers.ways_in import Gate, in_parts, ways_in_drawing
from yardwright.procedures.land_check import LandCheck, RainOut, Seen
from yardwright.procedures.ways_in import (
    Barrier,
    BarrierKind,
    Known,
    Standing,
    good_to_go_in_until,
)
from yardwright.web.boat_page import BoatPage

DESK_PX, PHONE_PX, PAPER_PX = 560, 340, 720
A_PAGE = 9  # gates that a page has room for, beside its head
LAPSES = "Each proof also lapses with frost while wet, work at it, somebody aboard or a move on the road."
KEY = (
    "Solid: keeps water out. Hatched: not known. Two posts apart: open."
    " Blue: water comes so far; blue dashes: it may."
)
GOOD_BLUE = "Here blue is good: it is how rain gets out."
PASSES = {Standing.HOLDS: False, Standing.OPEN: True, Standing.NOT_KNOWN: None}
GETS_OUT = {RainOut.YES: True, RainOut.NO: False, RainOut.NOT_KNOWN: None}
RAIN_WORDS = {
    RainOut.YES: "lets rain out",
    RainOut.NO: "keeps rain in",
    RainOut.NOT_KNOWN: "not known",
}
COVER_WORDS = {
    RainOut.YES: "keeps rain off",
    RainOut.NO: "holds rain",
    RainOut.NOT_KNOWN: "not known",
}


def float_gates(page: BoatPage) -> tuple[Gate, ...]:
    """Her ways in, each with its proof and when that lapses."""
    return tuple(_gate(w, page.floats.standings[w.name], page.at) for w in page.boat.ways_in)


def _gate(way: Barrier, now: Known, at: datetime) -> Gate:
    lines = (now.because, *_until(now, at))
    return Gate(way.name, way.outside, way.inside, now.standing, PASSES[now.standing], lines)


def _until(now: Known, at: datetime) -> Iterator[str]:
    until = good_to_go_in_until(now)
    if until is not None:
        fresh = f"good for going in until {day_name(until)} {until:%H:%M}"
        yield fresh if until > at else "to be proven again within 24 h of going in"


def land_gates(check: LandCheck) -> tuple[Gate, ...]:
    """Where rain goes on land: off the cover, out by the drains, out of the hull by its plugs."""
    return tuple(_land_gate(one) for one in check.seen)


def _land_gate(one: Seen) -> Gate:
    if one.kind is None:
        passes = {True: False, False: True, None: None}[GETS_OUT[one.answer]]
        return Gate("her cover", "rain", "deck", COVER_WORDS[one.answer], passes, (one.evidence,))
    place = "bilge" if one.kind == BarrierKind.PLUG else "deck"
    word, passes = RAIN_WORDS[one.answer], GETS_OUT[one.answer]
    return Gate(one.name, place, "ground", word, passes, (one.evidence,))


@dataclass(frozen=True, slots=True)
class WaterWay:
    """A drawing for desk and phone, and the same in a list."""

    desk: Drawing
    phone: Drawing
    gates: tuple[Gate, ...]


def water_way(page: BoatPage) -> WaterWay:
    """From sea and rain to her bilge and cylinders."""
    gates = float_gates(page)
    desk, phone = (
        ways_in_drawing(ident, gates, width=px)
        for ident, px in (("way-desk", DESK_PX), ("way-phone", PHONE_PX))
    )
    return WaterWay(desk, phone, gates)


def land_way(page: BoatPage) -> WaterWay | None:
    """From rain and melt to the ground; None: she is not on land."""
    if page.land is None:
        return None
    gates = land_gates(page.land)
    desk, phone = (
        _land_drawing(ident, gates, px, page.land.sentence)
        for ident, px in (("land-desk", DESK_PX), ("land-phone", PHONE_PX))
    )
    return WaterWay(desk, phone, gates)


def on_paper(page: BoatPage) -> Iterator[tuple[str, str, Drawing]]:
    """The same drawings in parts that fit a page, each with its title and a note."""
    parts = in_parts(float_gates(page), A_PAGE)
    for number, gates in enumerate(parts, 1):
        of_so_many = f", {number} of {len(parts)}" if len(parts) > 1 else ""
        yield (
            f"The water's way{of_so_many}",
            KEY if number == 1 else "",
            ways_in_drawing(f"way-{number}", gates, width=PAPER_PX),
        )
    if page.land is not None:
        gates = land_gates(page.land)
        drawing = _land_drawing("land", gates, PAPER_PX, page.land.sentence)
        yield "Rain and melt", GOOD_BLUE, drawing


def _land_drawing(ident: str, gates: tuple[Gate, ...], width: float, sentence: str) -> Drawing:
    return ways_in_drawing(
        ident,
        gates,
        sources=("rain", "deck", "bilge"),
        goals=("ground",),
        width=width,
        sentence=sentence,
    )
