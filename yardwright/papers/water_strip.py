"""The Water Strip: the tide curve at the sill, with each boat's water and her launch hung on it."""

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo
from itertools import pairwise

from yardwright.papers import strip_lifts
from yardwright.papers.drawing import (
    BLUE,
    HAIR,
    INK,
    SOFT,
    Drawing,
    by_offset,
    day_name,
    hatch,
    metres,
    svg,
    text_over,
    text_width,
    wrapped,
)
from yardwright.papers.strip_lifts import LiftHours
from yardwright.papers.strip_scale import (
    BAR,
    CURVE_HEIGHT,
    EDGE,
    HOUR,
    LINE,
    SIZE,
    SMALL,
    Scale,
    Span,
)

AFTER, BEFORE = 10.0, 24.0  # px a name keeps from the bar it follows, and from the next


@dataclass(frozen=True, slots=True)
class Turn:
    """A high or a low water, its height [m] above chart datum."""

    at: datetime
    height_m: float
    high: bool

    def __post_init__(self) -> None:
        object.__setattr__(self, "at", by_offset(self.at))

    def __str__(self) -> str:
        return f"{'high' if self.high else 'low'} {self.at:%H:%M} · {metres(self.height_m)}"


@dataclass(frozen=True, slots=True)
class BoatWater:
    """When one boat floats, when she is to go in, and in words what there is to say of it.

    `refused` is when she would have gone in, but can't: it is hatched, and `note` must say why.
    """

    name: str
    floats: tuple[Span, ...]
    launch: Span | None = None
    refused: Span | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.refused and not self.note:
            raise ValueError(f"{self.name} can't go in at {self.refused}; say why in the note.")


@dataclass(frozen=True, slots=True)
class _Lane:
    """One boat's place under the curve: label lines with their places, and room they take."""

    boat: BoatWater
    top: float
    labels: tuple[tuple[float, float, str], ...]
    height: float


def water_strip(
    ident: str,
    title: str,
    curve: Sequence[tuple[datetime, float]],
    turns: Sequence[Turn],
    boats: Sequence[BoatWater],
    width: float = 1180,
    lifts: Sequence[LiftHours] = (),
) -> Drawing:
    """Draw a day, or up to eight, of water at the sill.

    Parameters
    ----------
    ident : str
        Name of this drawing, its own on the page; its title's id begins with it.
    title : str
        What is drawn: "Water at our sill, Tuesday 6 May".
    curve : sequence of (datetime, float)
        Aware times in the yard's zone, rising; height above chart datum. [m] Two points or more;
        the drawing begins with the first and ends with the last.
    turns : sequence of Turn
        High and low waters; those outside the curve are left out.
    boats : sequence of BoatWater
        One lane each, in this order.
    width : float
        Width in px at which the letters have their true size: about 1180 for a desk, 760
        for paper, 380 for a phone. At least 320.
    lifts : sequence of LiftHours
        A row each, between the tide and the boats.

    Returns
    -------
    Drawing
        Bar: she floats, with an end mark where that end is on the drawing. Blue: her launch.
        Hatched: not possible. The sentence says the same.

    Raises
    ------
    ValueError
        Too few points, times not rising or without zone, more than eight days, too narrow.
    """
    zone = curve[0][0].tzinfo if curve else None
    curve = [(by_offset(at), height_m) for at, height_m in curve]
    view = _view(curve, width)
    labels_top = 30.0
    heights = [height for _, height in curve]
    scale = Scale(view, width, min(heights), max(heights), labels_top)
    rows = 2 if scale.long else 1
    curve_top = labels_top + rows * LINE + 2
    scale = replace(scale, top=curve_top)
    base = curve_top + CURVE_HEIGHT + rows * LINE + 8
    lift_rows, lanes_top = strip_lifts.drawn(lifts, scale, base + 8)
    lanes = list(_lanes(boats, scale, lanes_top))
    bottom = lanes[-1].top + lanes[-1].height if lanes else lanes_top
    body = [
        *strip_lifts.bands(lifts, scale, labels_top + 2, bottom),
        *_hours(scale, zone, labels_top - 4, base),
        _curve(curve, scale, base),
        *_launch_lines(lanes, curve, scale),
        lift_rows,
        *_turn_labels(turns, scale, rows, labels_top + LINE - 5, curve_top + CURVE_HEIGHT + LINE),
        *(_bar(lane, scale) for lane in lanes),
    ]
    sentence = _sentence(title, turns, lifts, boats, scale)
    return Drawing(svg(ident, width, bottom + 4, sentence, "img", "".join(body)), sentence)


def _view(curve: Sequence[tuple[datetime, float]], width: float) -> Span:
    if width < 320:
        raise ValueError(f"a strip {width:g} px wide has no room for its words; give 320 or more.")
    if len(curve) < 2:
        raise ValueError(f"the curve has {len(curve)} points; give two or more.")
    view = Span(curve[0][0], curve[-1][0])
    if view.end - view.start > timedelta(days=8):
        raise ValueError(f"the curve is {view.end - view.start} long; give eight days at most.")
    for (before, _), (after, _) in pairwise(curve):
        if not before < after:
            raise ValueError(f"the curve goes back from {before} to {after}; give rising times.")
    return view


def _hours(scale: Scale, zone: tzinfo | None, y: float, base: float) -> Iterator[str]:
    """Hour lines with their hours; over more than a day and a half, days instead."""
    if scale.long:
        yield from _days(scale, zone, y, base)
        return
    room_px = (scale.width - 2 * EDGE) * (HOUR / (scale.view.end - scale.view.start))
    step = next((step for step in (1, 2, 3, 6) if step * room_px >= 34), 12)
    for at in _full_hours(scale.view, zone):
        if at.hour % step == 0:
            x = scale.x(at)
            yield f'<path d="M{x:.1f} {y + 6:.1f}V{base:.1f}" stroke="{HAIR}"/>'
            yield text_over(x, y - 6, f"{at:%H}", f'text-anchor="middle" fill="{SOFT}"')


def _days(scale: Scale, zone: tzinfo | None, y: float, base: float) -> Iterator[str]:
    midnights = [at for at in _full_hours(scale.view, zone) if at.hour == 0]
    for at in midnights:
        yield f'<path d="M{scale.x(at):.1f} 4V{base:.1f}" stroke="{HAIR}"/>'
    edges = sorted({scale.view.start, *midnights, scale.view.end})
    for start, end in pairwise(edges):
        name = day_name(start)
        room_px = scale.x(end) - scale.x(start)
        for words in (name, f"{start.day}"):
            if text_width(words, SIZE) + 6 <= room_px:
                middle = (scale.x(start) + scale.x(end)) / 2
                yield text_over(middle, y - 6, words, f'text-anchor="middle" fill="{SOFT}"')
                break


def _full_hours(view: Span, zone: tzinfo | None) -> Iterator[datetime]:
    """Full hours by the yard's clock, also in the night when it changes."""
    at = view.start.astimezone(UTC)
    over = timedelta(minutes=view.start.minute, seconds=view.start.second)
    at += (HOUR - over) if over else timedelta(0)
    while at <= view.end.astimezone(UTC):
        yield at.astimezone(zone)
        at += HOUR


def _curve(curve: Sequence[tuple[datetime, float]], scale: Scale, base: float) -> str:
    points = " ".join(f"{scale.x(at):.1f},{scale.y(height):.1f}" for at, height in curve)
    return (
        f'<polyline points="{points}" fill="none" stroke="{BLUE}" stroke-width="3"/>'
        f'<path d="M{EDGE:g} {base:.1f}H{scale.width - EDGE:g}" stroke="{INK}" stroke-width="2"/>'
    )


def _turn_labels(
    turns: Sequence[Turn], scale: Scale, rows: int, high_y: float, low_y: float
) -> Iterator[str]:
    """High waters above the curve, low ones under it, each kind in a band of its own."""
    for high, y in ((True, high_y), (False, low_y)):
        reached = 0.0
        for turn in turns:
            if turn.high is not high or not scale.view.start <= turn.at <= scale.view.end:
                continue
            lines = [str(turn)] if rows == 1 else [f"{turn.at:%H:%M}", metres(turn.height_m)]
            room = max(text_width(line, SMALL) for line in lines)
            left = min(max(scale.x(turn.at) - room / 2, 0), scale.width - room)
            if left < reached:
                continue
            reached = left + room + 6
            for row, line in enumerate(lines):
                more = f'text-anchor="middle" font-size="{SMALL:g}" fill="{BLUE}"'
                yield text_over(left + room / 2, y + row * (LINE - 3), line, more)


def _lanes(boats: Sequence[BoatWater], scale: Scale, top: float) -> Iterator[_Lane]:
    """Each boat's bar, and her label where it fits: right of it, left, in a gap, or under it."""
    for boat in boats:
        label = _label(boat, scale)
        room = text_width(label, SIZE)
        spot = next((left for left, right in _gaps(boat, scale) if right - left >= room), None)
        if spot is not None:
            lane = _Lane(boat, top, ((spot, top + BAR / 2 + 5, label),), BAR + 6)
        else:
            lines = wrapped(label, SIZE, scale.width)
            left = max(0.0, min(_begins(boat, scale), scale.width - room))
            labels = tuple(
                (left, top + BAR + 15 + row * LINE, line) for row, line in enumerate(lines)
            )
            lane = _Lane(boat, top, labels, BAR + 15 + len(lines) * LINE)
        yield lane
        top += lane.height


def _seen(boat: BoatWater, scale: Scale) -> list[Span]:
    drawn = (*boat.floats, boat.launch, boat.refused)
    spans = [seen for span in drawn if span and (seen := scale.seen(span))]
    return sorted(spans, key=lambda span: span.start)


def _begins(boat: BoatWater, scale: Scale) -> float:
    return min((scale.x(span.start) for span in _seen(boat, scale)), default=0.0)


def _gaps(boat: BoatWater, scale: Scale) -> list[tuple[float, float]]:
    """Free stretches of her lane: right of what is drawn, between, then left of it."""
    reach, gaps = 0.0, []
    for span in _seen(boat, scale):
        gaps.append((reach, scale.x(span.start) - BEFORE))
        reach = max(reach, scale.x(span.end) + AFTER)
    gaps.append((reach, scale.width))
    return sorted(gaps, key=lambda gap: (gap[0] == 0 and len(gaps) > 1, gap[0]))


def _bar(lane: _Lane, scale: Scale) -> str:
    middle = lane.top + BAR / 2
    parts = [
        _floats(span, seen, middle, scale)
        for span in lane.boat.floats
        if (seen := scale.seen(span))
    ]
    if lane.boat.launch and (seen := scale.seen(lane.boat.launch)):
        parts.append(f'<path d="{scale.box(seen, lane.top, BAR)}" fill="{BLUE}"/>')
    if lane.boat.refused and (seen := scale.seen(lane.boat.refused)):
        lines = hatch(
            scale.x(seen.start), lane.top, scale.x(seen.end) - scale.x(seen.start), BAR, 8
        )
        box = scale.box(seen, lane.top, BAR)
        parts.append(f'<path d="{box}{lines}" fill="none" stroke="{INK}" stroke-width="1.2"/>')
    parts += [text_over(x, y, words, 'font-weight="600"') for x, y, words in lane.labels]
    return "".join(parts)


def _floats(span: Span, seen: Span, y: float, scale: Scale) -> str:
    """Her bar: an end on the drawing gets an end mark, one beyond it runs out."""
    start, end = scale.x(seen.start), scale.x(seen.end)
    ends = [
        x
        for x, own, cut in ((start, span.start, seen.start), (end, span.end, seen.end))
        if own == cut
    ]
    marks = "".join(f"M{x:.1f} {y - 7:.1f}v14" for x in ends)
    return f'<path d="M{start:.1f} {y:.1f}H{end:.1f}{marks}" stroke="{INK}" stroke-width="2"/>'


def _launch_lines(
    lanes: Sequence[_Lane], curve: Sequence[tuple[datetime, float]], scale: Scale
) -> Iterator[str]:
    """A dotted line from the middle of each launch up to the water she goes in on."""
    for lane in lanes:
        if lane.boat.launch and (seen := scale.seen(lane.boat.launch)):
            at = seen.start + (seen.end - seen.start) / 2
            x, y = scale.x(at), scale.y(_height_at(at, curve))
            yield f'<path d="M{x:.1f} {lane.top:.1f}V{y:.1f}" stroke="{BLUE}" stroke-dasharray="2 3"/>'


def _height_at(at: datetime, curve: Sequence[tuple[datetime, float]]) -> float:
    place = bisect_left(curve, at, lo=1, key=lambda point: point[0])
    if place == len(curve) or at < curve[0][0]:
        raise ValueError(f"{at} is not on the curve.")
    (before, low), (after, high) = curve[place - 1], curve[place]
    return low + (high - low) * ((at - before) / (after - before))


def _label(boat: BoatWater, scale: Scale) -> str:
    """What stands beside her bar: never her name alone where there is no bar."""
    says = [scale.says(boat.launch)] if boat.launch else []
    if boat.note:
        says.append(boat.note)
    elif not any(map(scale.seen, boat.floats)):
        says.append("does not float in these hours")
    return f"{boat.name} {', '.join(says)}".rstrip()


def _sentence(
    title: str,
    turns: Sequence[Turn],
    lifts: Sequence[LiftHours],
    boats: Sequence[BoatWater],
    scale: Scale,
) -> str:
    """The day's waters, the lifts' hours and each boat's water; over several days no waters.

    Nobody could listen to a week of them.
    """
    seen = [str(turn) for turn in turns if scale.view.start <= turn.at <= scale.view.end]
    waters = f": {', '.join(seen)}" if seen and not scale.long else ""
    hours = (f"{lift.name}: {lift.words(scale.view)}." for lift in lifts)
    return " ".join([f"{title}{waters}.", *hours, *(_boat_sentence(boat, scale) for boat in boats)])


def _boat_sentence(boat: BoatWater, scale: Scale) -> str:
    spans = ", ".join(scale.says(span) for span in boat.floats if scale.seen(span))
    parts = [
        f"{boat.name} floats {spans}" if spans else f"{boat.name} does not float in these hours"
    ]
    if boat.launch:
        parts.append(f"goes in {scale.says(boat.launch)}")
    return "; ".join([*parts, *([boat.note] if boat.note else [])]).rstrip(".") + "."
