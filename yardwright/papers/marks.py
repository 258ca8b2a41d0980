"""A state is a word, then a shape: the six verdicts and the answers of the checks."""

from enum import StrEnum

from yardwright.papers.drawing import INK, RED, Drawing, hatch


class Shape(StrEnum):
    """Shapes that tell states apart without colour."""

    DISC = "solid disc"
    HALF = "half disc"
    DIAMOND = "open diamond"
    SQUARE = "solid square"
    HATCHED = "hatched square"
    RING = "dashed ring"


SHAPE_OF = {
    "Good": Shape.DISC,
    "Thin": Shape.HALF,
    "Look again": Shape.DIAMOND,
    "Stop": Shape.SQUARE,
    "Can't say": Shape.HATCHED,
    "No limit on file": Shape.RING,
    "Floats": Shape.DISC,
    "Floats on one valve": Shape.HALF,
    "Would take water": Shape.SQUARE,
    "May start": Shape.DISC,
    "Must not start": Shape.SQUARE,
    "Rain gets out": Shape.DISC,
    "Rain can't get out": Shape.SQUARE,
    "Not known": Shape.HATCHED,
}

_OUTLINE = f'fill="none" stroke="{INK}"'
_DRAWN = {
    Shape.DISC: f'<circle cx="8" cy="8" r="6.5" fill="{INK}"/>',
    Shape.HALF: f'<circle cx="8" cy="8" r="6" {_OUTLINE} stroke-width="2"/>'
    f'<path d="M8 2a6 6 0 0 1 0 12z" fill="{INK}"/>',
    Shape.DIAMOND: f'<path d="M8 1.5L14.5 8 8 14.5 1.5 8z" {_OUTLINE} stroke-width="2"/>',
    Shape.SQUARE: f'<path d="M2 2h12v12H2z" fill="{RED}"/>',
    Shape.HATCHED: f'<path d="M2 2h12v12H2z{hatch(2, 2, 12, 12, 4)}" {_OUTLINE} stroke-width="1.5"/>',
    Shape.RING: f'<circle cx="8" cy="8" r="6" {_OUTLINE} stroke-width="2" stroke-dasharray="3 2.2"/>',
}


def shape_of(word: str) -> Shape:
    """The shape that goes with a verdict or a check's answer.

    Raises
    ------
    ValueError
        The word is none of them; a state without a shape of its own must not be drawn as fine.
    """
    if word not in SHAPE_OF:
        raise ValueError(f"no shape for “{word}”; give one of: {', '.join(SHAPE_OF)}.")
    return SHAPE_OF[word]


def drawn(shape: Shape, x: float, y: float, size: float) -> str:
    """The shape as part of another drawing, its upper left corner at x, y."""
    return f'<g transform="translate({x:.1f} {y:.1f}) scale({size / 16:.4g})">{_DRAWN[shape]}</g>'


def mark(word: str) -> Drawing:
    """The shape that stands beside a verdict's or an answer's word.

    The word itself is not in it: print it beside. So the shape is hidden from a reader.
    """
    shape = _DRAWN[shape_of(word)]
    return Drawing(
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16" width="16" height="16"'
        f' aria-hidden="true">{shape}</svg>',
        word,
    )
