"""The lifts on a strip of water: when each is open, held, or has nobody to run it."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from yardwright.papers.drawing import (
    INK,
    PAPER,
    SOFT,
    WASH,
    crossed,
    day_name,
    text_over,
    text_width,
    wrapped,
)
from yardwright.papers.strip_scale import EDGE, LINE, SIZE, SMALL, Scale, Span

ROW, WORDS = 14.0, 15.0


@dataclass(frozen=True, slots=True)
class Held:
    """A time in which a lift carries nothing, and why: wind, a repair."""

    span: Span
    why: str = ""

    def words(self, view: Span) -> str:
        """When and why, in words for what is seen of it."""
        starts, ends = view.start <= self.span.start, self.span.end <= view.end
        begin, end = (
            f"{day_name(at)} {at:%H:%M}" if view.long else f"{at:%H:%M}"
            for at in (self.span.start, self.span.end)
        )
        if starts and ends:
            one_day = self.span.start.date() == self.span.end.date()
            when = f"{begin}–{self.span.end:%H:%M}" if one_day else f"{begin} to {end}"
        else:
            when = f"from {begin}" if starts else f"until {end}" if ends else "all that time"
        return f"held {when}: {self.why}" if self.why else f"held {when}"


@dataclass(frozen=True, slots=True)
class LiftHours:
    """When a lift, or several that are open alike, is open; held; without anybody to run it.

    ``away`` has those of its hours in which nobody is in who may run it, a day or a lunch. What is
    none of the three is outside its hours.
    """

    name: str
    opens: tuple[Span, ...]
    held: tuple[Held, ...] = ()
    away: tuple[Span, ...] = ()

    def words(self, view: Span) -> str:
        """The same in words, for what is seen of it."""
        held = [one.words(view) for one in self.held if one.span.within(view)]
        return "; ".join(filter(None, (self._open(view), *held, self._nobody(view))))

    def _open(self, view: Span) -> str:
        spans = [span for span in self.opens if span.within(view)]
        if not view.long:
            return f"open {', '.join(map(str, spans))}" if spans else "not open"
        return ", ".join(
            f"open {_from_to(days)} {words}" if words else f"not open {_from_to(days)}"
            for words, days in _by_day(spans, view)
        )

    def _nobody(self, view: Span) -> str:
        spans = [span for span in self.away if span.within(view)]
        when = ", ".join(map(str, spans))
        if view.long:
            runs = ((words, days) for words, days in _by_day(spans, view) if words)
            when = ", ".join(f"{_from_to(days)} {words}" for words, days in runs)
        return f"nobody in to run it {when}" if when else ""

    def marks(self, view: Span) -> Iterator[tuple[Span, str]]:
        """What is seen of it with a word for each stretch, those that need their word most first."""
        held, away = [one.span for one in self.held], list(self.away)
        for one in self.held:
            if seen := one.span.within(view):
                yield seen, one.why or "held"
        yield from ((seen, "open") for one in self.opens if (seen := one.within(view)))
        yield from ((seen, "nobody in") for one in away if (seen := one.within(view)))
        yield from ((one, "shut") for one in _gaps([*self.opens, *held, *away], view))


def none_open(lifts: Sequence[LiftHours], view: Span) -> list[Span]:
    """When no lift is open; nothing where no lift is shown."""
    return _gaps([span for lift in lifts for span in lift.opens], view) if lifts else []


def key(lifts: Sequence[LiftHours], view: Span) -> str:
    """What the marks of the lifts mean, those that are on the drawing."""
    if not lifts:
        return ""
    held = any(one.span.within(view) for lift in lifts for one in lift.held)
    away = any(span.within(view) for lift in lifts for span in lift.away)
    many = len(lifts) > 1
    said = (
        f"{'Each lift' if many else 'The lift'} under the tide: a box while it is open, a thick line while "
        f"it is not; grey ground while {'none is' if many else 'it is not'} open",
        "crossed while it is held, with the reason under it" if held else "",
        "dashed where nobody is in who may run it" if away else "",
    )
    return f"{'; '.join(filter(None, said))}."


def drawn(lifts: Iterable[LiftHours], scale: Scale, top: float) -> tuple[str, float]:
    """A row for each lift with its words under it; and where the last one ends."""
    body = []
    for lift in lifts:
        body.append(_row(lift, scale, top))
        body += _words_under(lift, scale, top + ROW + WORDS - 2)
        top += ROW + WORDS + 3
        for line in wrapped(f"{lift.name}: {lift.words(scale.view)}", SIZE, scale.width - EDGE):
            body.append(text_over(EDGE, top + SIZE - 2, line))
            top += LINE
        top += 8
    return "".join(body), top


def bands(lifts: Sequence[LiftHours], scale: Scale, top: float, bottom: float) -> Iterator[str]:
    """Quiet ground with dashed edges while no lift is open."""
    for span in none_open(lifts, scale.view):
        yield f'<path d="{scale.box(span, top, bottom - top)}" fill="{WASH}"/>'
        for at in (span.start, span.end):
            if scale.view.start < at < scale.view.end:
                line = f"M{scale.x(at):.1f} {top:.1f}V{bottom:.1f}"
                yield f'<path d="{line}" stroke="{SOFT}" stroke-dasharray="6 4"/>'


def _row(lift: LiftHours, scale: Scale, top: float) -> str:
    middle = top + ROW / 2
    parts = [
        f'<path d="M{scale.x(one.start):.1f} {middle:.1f}H{scale.x(one.end):.1f}" stroke="{SOFT}" stroke-width="5"/>'
        for one in _gaps(lift.opens, scale.view)
    ]
    boxes = (
        *((span, "") for span in lift.opens),
        *((span, ' stroke-dasharray="4 3"') for span in lift.away),
    )
    parts += [
        f'<path d="{scale.box(seen, top, ROW)}" fill="{PAPER}" stroke="{INK}" stroke-width="1.5"{dash}/>'
        for span, dash in boxes
        if (seen := scale.seen(span))
    ]
    for one in lift.held:
        if seen := scale.seen(one.span):
            left, wide = scale.x(seen.start), scale.x(seen.end) - scale.x(seen.start)
            parts.append(
                f'<path d="{scale.box(seen, top, ROW)}" fill="{PAPER}" stroke="{INK}"/>'
                f'<path d="{crossed(left, top, wide, ROW, 7)}" stroke="{INK}" stroke-width="1.2"/>'
            )
    return "".join(parts)


def _words_under(lift: LiftHours, scale: Scale, y: float) -> Iterator[str]:
    """A word under each stretch where there is room; all of them stand in the line below too."""
    taken: list[tuple[float, float]] = []
    for span, words in lift.marks(scale.view):
        room = text_width(words, SMALL)
        middle = (scale.x(span.start) + scale.x(span.end)) / 2
        left = min(max(middle - room / 2, 0), scale.width - room)
        if left < 0 or any(left < right + 4 and start < left + room + 4 for start, right in taken):
            continue
        taken.append((left, left + room))
        quiet = words in ("open", "shut")
        colour, bold = (SOFT, "") if quiet else (INK, ' font-weight="600"')
        more = f'text-anchor="middle" font-size="{SMALL:g}" fill="{colour}"{bold}'
        yield text_over(left + room / 2, y, words, more)


def _gaps(spans: Iterable[Span], view: Span) -> list[Span]:
    """What of the view is in none of some spans."""
    edge, gaps = view.start, []
    for span in sorted(spans, key=lambda one: one.start):
        if edge < span.start:
            gaps.append(Span(edge, min(span.start, view.end)))
        edge = max(edge, span.end)
        if edge >= view.end:
            return gaps
    return [*gaps, Span(edge, view.end)]


def _by_day(spans: Sequence[Span], view: Span) -> list[tuple[str, list[date]]]:
    """The hours of each day in words, days in a row with the same together; "" where there are none."""
    hours = {day: [span for span in spans if span.start.date() == day] for day in _days(view)}
    said = [(day, ", ".join(map(str, of_day))) for day, of_day in hours.items()]
    return [(words, [day for day, _ in run]) for words, run in groupby(said, lambda one: one[1])]


def _days(view: Span) -> list[date]:
    last = (view.end - timedelta(microseconds=1)).date()
    return [view.start.date() + timedelta(n) for n in range((last - view.start.date()).days + 1)]


def _from_to(days: Sequence[date]) -> str:
    if len(days) == 1:
        return day_name(days[0])
    return f"{day_name(days[0])} to {day_name(days[-1])}"
