"""The sketch of the under-wrap card: a boat from above, and what lies under her wrap."""

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from yardwright.papers.drawing import (
    BLUE,
    HAIR,
    INK,
    PAPER,
    RED,
    SOFT,
    Drawing,
    hatch,
    svg,
    text,
    text_over,
)

LONG, ROUND = 560.0, 30.0  # px: her length on the drawing, the margin around her
USUAL_SHARE = 0.36  # of beam to length, where one is not known
NARROWEST, WIDEST = 0.3, 0.5  # so that numbers fit beside each other, and the sketch on a phone
MARK, BESIDE = 13.0, 30.0
ENGINE = 26.0

Point = tuple[float, float]
Turn = Callable[[float, float], Point]


@dataclass(frozen=True, slots=True)
class Hull:
    """What the sketch is drawn from; a measure that is None is not known, and the sketch says so."""

    name: str
    length_m: float | None
    beam_m: float | None
    pointed_stern: bool = False  # a sailing hull: full amidships, drawn in aft
    outboard: bool = False

    @property
    def share(self) -> float:
        """Beam by length as it is drawn."""
        if self.length_m is None or self.beam_m is None:
            return USUAL_SHARE
        return min(max(self.beam_m / self.length_m, NARROWEST), WIDEST)

    @property
    def true(self) -> bool:
        """Drawn as long and wide as she is."""
        return self.length_m is not None and self.beam_m is not None


@dataclass(frozen=True, slots=True)
class Drawn:
    """A numbered thing: its shape, and where it lies (0 bow to 1 stern, −1 port to 1 starboard)."""

    number: int
    shape: str
    along: float
    across: float
    words: str


SHAPES = {
    "hard or sharp": "triangle",
    "soft": "disc",
    "vent": "square",
    "left inside": "diamond",
    "strap, pole or buckle": "bar",
    "cut here": "cut",
}


def sketch(ident: str, hull: Hull, things: Sequence[Drawn], *, bow_up: bool = True) -> Drawing:
    """Draw her from above.

    Parameters
    ----------
    ident : str
        Name of this drawing, its own on the page.
    hull : Hull
        Her measures and kind.
    things : sequence of Drawn
        What lies under the wrap. Those at one point are drawn beside each other.
    bow_up : bool
        Bow up, for a screen; else bow to the left, for paper.

    Returns
    -------
    Drawing
        Each thing with its number in its sort's shape, so that none rests on a colour alone. The
        drawing carries ``data-long``, ``data-half`` and ``data-round`` in its own units, by which
        a tap is read.
    """
    half = LONG * hull.share / 2
    width, height = 2 * (half + ROUND) + 20, LONG + 2 * ROUND
    turn = _upright(half) if bow_up else _lying(half)
    if not bow_up:
        width, height = height, width
    words = [
        _outline(hull, half, turn),
        _sides(half, turn, bow_up=bow_up),
        *(_thing(one, turn(*_px(one, half))) for one in _spread(things, half)),
    ]
    drawing = svg(ident, width, height, _sentence(hull, things), "img", "".join(words))
    reads = f'<svg data-long="{LONG:g}" data-half="{half:.1f}" data-round="{ROUND:g}"'
    return Drawing(drawing.replace("<svg", reads, 1), _sentence(hull, things))


def _upright(half: float) -> Turn:
    return lambda along, across: (half + ROUND + 10 + across, ROUND + along)


def _lying(half: float) -> Turn:
    """Bow to the left: starboard is up."""
    return lambda along, across: (ROUND + along, half + ROUND + 10 - across)


def _px(one: Drawn, half: float) -> Point:
    return one.along * LONG, one.across * half


def _spread(things: Iterable[Drawn], half: float) -> Iterable[Drawn]:
    """Things at one point stand in rows of three around it, so that each number is read."""
    met: Counter[Point] = Counter()
    for one in things:
        place = met[one.along, one.across]
        met[one.along, one.across] += 1
        row, column = divmod(place, 3)
        aside = (0.0, BESIDE, -BESIDE)[column] / half
        yield Drawn(
            one.number,
            one.shape,
            min(one.along + row * BESIDE / LONG, 1.0),
            one.across + (aside if one.across <= 0 else -aside),
            one.words,
        )


def _outline(hull: Hull, half: float, turn: Turn) -> str:
    aft = half * (0.62 if hull.pointed_stern else 0.92)
    shoulder = LONG * (0.45 if hull.pointed_stern else 0.34)

    def at(along: float, across: float) -> str:
        x, y = turn(along, across)
        return f"{x:.1f} {y:.1f}"

    side = "".join(
        (
            f"M{at(0, 0)}",
            f"C{at(LONG * 0.05, -half * 0.55)} {at(shoulder * 0.6, -half)} {at(shoulder, -half)}",
            f"C{at(LONG * 0.7, -half)} {at(LONG * 0.9, -aft)} {at(LONG, -aft)}",
            f"L{at(LONG, aft)}",
            f"C{at(LONG * 0.9, aft)} {at(LONG * 0.7, half)} {at(shoulder, half)}",
            f"C{at(shoulder * 0.6, half)} {at(LONG * 0.05, half * 0.55)} {at(0, 0)}Z",
        )
    )
    dashes = "" if hull.true else ' stroke-dasharray="9 5"'
    parts = [
        f'<path d="{side}" fill="none" stroke="{INK}" stroke-width="2.5"{dashes}/>',
        f'<path d="M{at(LONG * 0.06, 0)}L{at(LONG * 0.97, 0)}" stroke="{HAIR}" stroke-dasharray="2 6"/>',
    ]
    if hull.outboard:
        wide, long = ENGINE * 0.6, ENGINE * 0.85
        engine = (
            f"M{at(LONG, -wide)}L{at(LONG + long, -wide)}L{at(LONG + long, wide)}L{at(LONG, wide)}Z"
        )
        parts.append(f'<path d="{engine}" fill="{PAPER}" stroke="{INK}" stroke-width="1.5"/>')
    return "".join(parts)


def _sides(half: float, turn: Turn, *, bow_up: bool) -> str:
    """Bow, port and starboard, said where the bow leaves room; never on their side."""
    grey = f'fill="{SOFT}" font-size="14"'
    (bow_x, bow_y), (port_x, port_y), (star_x, star_y) = turn(0, 0), turn(0, -half), turn(0, half)
    if bow_up:
        return (
            text(bow_x, bow_y - 10, "bow", f'text-anchor="middle" {grey}')
            + text(port_x - 10, port_y + 14, "port", grey)
            + text(star_x + 10, star_y + 14, "starboard", f'text-anchor="end" {grey}')
        )
    return (
        text(bow_x - 3, bow_y + 5, "bow", f'text-anchor="end" {grey}')
        + text(port_x, port_y, "port", grey)
        + text(star_x, star_y + 14, "starboard", grey)
    )


def _thing(one: Drawn, point: Point) -> str:
    x, y = point
    return _shape(one.shape, x, y) + text_over(
        x, y + 5, str(one.number), 'text-anchor="middle" font-weight="700"'
    )


def _shape(shape: str, x: float, y: float) -> str:
    r = MARK
    line = f'fill="{PAPER}" stroke="{INK}" stroke-width="2"'
    match shape:
        case "triangle":
            return f'<path d="M{x:.1f} {y - r - 6:.1f}l{r + 4} {2 * r + 2}h{-2 * (r + 4)}z" fill="{PAPER}" stroke="{RED}" stroke-width="3"/>'
        case "disc":
            return f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{r}" {line}/>'
        case "square":
            return f'<path d="M{x - r:.1f} {y - r:.1f}h{2 * r}v{2 * r}h{-2 * r}z" {line}/>'
        case "diamond":
            return f'<path d="M{x:.1f} {y - r - 4:.1f}l{r + 4} {r + 4}l{-r - 4} {r + 4}l{-r - 4} {-r - 4}z" {line}/>'
        case "bar":
            filled = hatch(x - r - 4, y - r + 2, 2 * r + 8, 2 * r - 4, 6)
            return f'<path d="M{x - r - 4:.1f} {y - r + 2:.1f}h{2 * r + 8}v{2 * r - 4}h{-2 * r - 8}z" {line}/><path d="{filled}" stroke="{SOFT}"/>'
        case _:
            return f'<path d="M{x - 34:.1f} {y:.1f}h68" stroke="{BLUE}" stroke-width="4" stroke-dasharray="9 5"/><circle cx="{x:.1f}" cy="{y:.1f}" r="{r}" fill="{PAPER}" stroke="{BLUE}" stroke-width="3"/>'


def _sentence(hull: Hull, things: Sequence[Drawn]) -> str:
    scale = "" if hull.true else " Her length or beam is not known: her outline is a usual one."
    if not things:
        return f"{hull.name} from above. Nothing is marked.{scale}"
    told = "; ".join(one.words for one in things)
    return f"{hull.name} from above. {told}.{scale}"
