"""A chart: one or more lines over one axis, and the point that was asked about."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import floor, log10

from yardwright.papers.drawing import (
    BLUE,
    HAIR,
    INK,
    SOFT,
    Drawing,
    svg,
    text,
    text_over,
    text_width,
    wrapped,
)

WIDTH, HEIGHT = 420.0, 270.0
LEFT, RIGHT, TOP, BOTTOM = 64.0, 24.0, 34.0, 52.0
SMALL, LINE = 14.5, 17.0
MOST_TICKS = 6


@dataclass(frozen=True, slots=True)
class Line:
    """y against x; None where there is no answer. The first line of a chart is the main one."""

    x: tuple[float, ...]
    y: tuple[float | None, ...]

    def __post_init__(self) -> None:
        if len(self.x) != len(self.y) or len(self.x) < 2:
            raise ValueError(f"{len(self.x)} x and {len(self.y)} y; give two or more of each.")


def chart(
    ident: str,
    lines: Sequence[Line],
    titles: tuple[str, str],
    points: Iterable[tuple[float, float]],
    sentence: str,
) -> Drawing:
    """Draw a chart.

    Parameters
    ----------
    ident : str
        Its name on the page.
    lines : sequence of Line
        The first is drawn in ink, the others dashed; all against the same axes.
    titles : tuple of str
        What x and y are, each with its unit.
    points : iterable of (x, y)
        What was asked about: a ring, with lines to both axes.
    sentence : str
        What it shows, in words.

    Returns
    -------
    Drawing
        As SVG.

    Raises
    ------
    ValueError
        No line has a number.
    """
    marked = list(points)
    xs = [x for line in lines for x in line.x] + [x for x, _ in marked]
    ys = [y for line in lines for y in line.y if y is not None] + [y for _, y in marked]
    if not ys:
        raise ValueError(f"{titles[1]} has no number anywhere from {min(xs):g} to {max(xs):g}.")
    below, above = (wrapped(title, SMALL, WIDTH - RIGHT - 8) for title in titles)
    top = TOP + LINE * (len(above) - 1)
    floor_y = top + HEIGHT - TOP - BOTTOM
    across, up = _Axis.over(xs, LEFT, WIDTH - RIGHT), _Axis.over(ys, floor_y, top)
    body = [*_frame(across, up), *_titles(below, above, floor_y)]
    for place, line in enumerate(lines):
        dash = "" if place == 0 else 'stroke-dasharray="7 5" '
        body.append(
            f'<path d="{_path(line, across, up)}" fill="none" {dash}stroke="{INK}" stroke-width="2"/>'
        )
    for x, y in marked:
        at_x, at_y = across.at(x), up.at(y)
        body.append(
            f'<path d="M{LEFT:.1f} {at_y:.1f}H{at_x:.1f}V{floor_y:.1f}" fill="none"'
            f' stroke="{BLUE}" stroke-width="1.5" stroke-dasharray="2 4"/>'
            f'<circle cx="{at_x:.1f}" cy="{at_y:.1f}" r="6" fill="none" stroke="{BLUE}"'
            ' stroke-width="3"/>'
        )
    height = floor_y + BOTTOM + LINE * (len(below) - 1)
    return Drawing(svg(ident, WIDTH, height, sentence, "img", "".join(body)), sentence)


@dataclass(frozen=True, slots=True)
class _Axis:
    """From round number to round number, and where each lies on the drawing."""

    ticks: tuple[float, ...]
    start: float
    end: float

    @classmethod
    def over(cls, numbers: Sequence[float], start: float, end: float) -> "_Axis":
        low, high = min(numbers), max(numbers)
        if high == low:
            low, high = low - (abs(low) or 1) / 2, high + (abs(high) or 1) / 2
        step = _round_step((high - low) / (MOST_TICKS - 1))
        first, last = floor(low / step + 1e-9), -floor(-high / step + 1e-9)
        return cls(tuple(n * step for n in range(first, last + 1)), start, end)

    def at(self, number: float) -> float:
        low, high = self.ticks[0], self.ticks[-1]
        return self.start + (number - low) / (high - low) * (self.end - self.start)


def _round_step(least: float) -> float:
    ten = 10.0 ** floor(log10(least))
    return next(step * ten for step in (1, 2, 5, 10) if step * ten >= least * (1 - 1e-9))


def _frame(across: _Axis, up: _Axis) -> Iterable[str]:
    floor_y, top, right = up.start, up.end, WIDTH - RIGHT
    for tick in across.ticks:
        x, words = across.at(tick), _words(tick)
        yield f'<path d="M{x:.1f} {top:.1f}V{floor_y:.1f}" stroke="{HAIR}" fill="none"/>'
        yield text(x - text_width(words, SMALL) / 2, floor_y + 18, words, _small())
    for tick in up.ticks:
        y, words = up.at(tick), _words(tick)
        yield f'<path d="M{LEFT:.1f} {y:.1f}H{right:.1f}" stroke="{HAIR}" fill="none"/>'
        yield text(LEFT - 8 - text_width(words, SMALL), y + 4.5, words, _small())


def _titles(below: Sequence[str], above: Sequence[str], floor_y: float) -> Iterable[str]:
    bold = f'font-weight="700" font-size="{SMALL:g}"'
    for place, words in enumerate(above):
        yield text_over(4, TOP - 16 + LINE * place, words, bold)
    for place, words in enumerate(below):
        end = WIDTH - RIGHT - text_width(words, SMALL)
        yield text(end, floor_y + BOTTOM - 10 + LINE * place, words, bold)


def _path(line: Line, across: _Axis, up: _Axis) -> str:
    parts = []
    known = zip(line.x, line.y, strict=True)
    for there, run in groupby(known, key=lambda point: point[1] is not None):
        if there:
            spots = [f"{across.at(x):.1f} {up.at(y):.1f}" for x, y in run if y is not None]
            parts.append("M" + "L".join(spots))
    return "".join(parts)


def _words(tick: float) -> str:
    return f"{round(tick, 10):g}".replace("-", "−")


def _small() -> str:
    return f'font-size="{SMALL:g}" fill="{SOFT}"'
