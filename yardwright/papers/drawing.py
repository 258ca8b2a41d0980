"""What every drawing shares: the pair it returns, its colours, how wide its words are.

A drawing names its colours as the page does, with the printed colour as the fallback, so that the
same text serves a light screen, a dark one and paper. Hatching is drawn line by line: a drawing
holds no pattern and so no name that could clash with another drawing on the page.
"""

import re
from datetime import date, datetime, timezone
from typing import NamedTuple
from xml.sax.saxutils import escape, quoteattr

INK = "currentColor"
BLUE = "var(--blue, #0a3f8f)"
RED = "var(--red, #b3001b)"
SOFT = "var(--soft, #4a4a4a)"
HAIR = "var(--hair, #b9b9b4)"
PAPER = "var(--paper, #fff)"
WASH = "var(--wash, #ecebe6)"

FAMILY = "Atkinson Hyperlegible Next"

# Advance widths of the bold face from space to tilde, in thousandths of the size; figures as in tables.
_WIDTHS = (
    312,
    303,
    390,
    765,
    610,
    969,
    725,
    210,
    335,
    335,
    485,
    595,
    271,
    373,
    272,
    440,
    632,
    632,
    632,
    632,
    632,
    632,
    632,
    632,
    632,
    632,
    272,
    272,
    569,
    612,
    569,
    547,
    781,
    678,
    643,
    658,
    688,
    597,
    566,
    718,
    701,
    424,
    561,
    663,
    552,
    858,
    717,
    746,
    629,
    756,
    650,
    610,
    607,
    686,
    644,
    886,
    685,
    650,
    618,
    340,
    440,
    344,
    582,
    400,
    288,
    552,
    596,
    510,
    596,
    563,
    365,
    593,
    571,
    300,
    259,
    555,
    318,
    882,
    571,
    576,
    596,
    599,
    376,
    508,
    376,
    567,
    530,
    740,
    539,
    521,
    505,
    381,
    254,
    381,
    537,
)
_DASH, _OTHER = 0.6, 1.05


class Drawing(NamedTuple):
    """A drawing as SVG, and the same in a sentence: its accessible name and its caption."""

    svg: str
    sentence: str

    @property
    def height(self) -> float:
        """Of its frame, in the unit of its width."""
        frame = re.search(r'viewBox="0 0 [\d.]+ ([\d.]+)"', self.svg)
        return float(frame[1]) if frame else 0.0


def text_width(text: str, size: float) -> float:
    """Room that a text takes at this size, in the unit of the size: never less than it needs."""
    return size * sum(map(_letter_width, text))


def _letter_width(letter: str) -> float:
    place = ord(letter) - ord(" ")
    if 0 <= place < len(_WIDTHS):
        return _WIDTHS[place] / 1000
    return _DASH if letter in "–·−°’“”" else _OTHER


def wrapped(text: str, size: float, width: float) -> list[str]:
    """The text in lines no wider than `width`; a longer word stands on a line of its own."""
    lines: list[str] = []
    for word in text.split():
        if lines and text_width(f"{lines[-1]} {word}", size) <= width:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def hatch(x: float, y: float, width: float, height: float, gap: float) -> str:
    """Path of slanting lines that just fill a rectangle."""
    lines = []
    at = gap / 2
    while at < width + height:
        left, right = max(0.0, at - height), min(width, at)
        lines.append(f"M{x + left:.1f} {y + at - left:.1f}L{x + right:.1f} {y + at - right:.1f}")
        at += gap
    return "".join(lines)


def crossed(x: float, y: float, width: float, height: float, gap: float) -> str:
    """Path of lines slanting both ways that just fill a rectangle."""
    lines, at = [hatch(x, y, width, height, gap)], gap / 2
    while at < width + height:
        left, right = max(0.0, at - height), min(width, at)
        start, end = (x + width - left, y + at - left), (x + width - right, y + at - right)
        lines.append(f"M{start[0]:.1f} {start[1]:.1f}L{end[0]:.1f} {end[1]:.1f}")
        at += gap
    return "".join(lines)


def text(x: float, y: float, words: str, more: str = "") -> str:
    """A text with its base line at y."""
    return f'<text x="{x:.1f}" y="{y:.1f}" {more}>{escape(words)}</text>'


def text_over(x: float, y: float, words: str, more: str = "") -> str:
    """A text on a ground of paper, so that a line behind it never runs through its letters."""
    ground = f'stroke="{PAPER}" stroke-width="4" stroke-linejoin="round" paint-order="stroke"'
    return text(x, y, words, f"{ground} {more}")


def svg(ident: str, width: float, height: float, sentence: str, role: str, body: str) -> str:
    """The drawing's frame, with its sentence as its accessible name."""
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}"'
        f' role="{role}" aria-labelledby={quoteattr(ident + "-title")}'
        f' font-family="{FAMILY}, sans-serif" font-size="15" fill="{INK}">'
        f"<title id={quoteattr(ident + '-title')}>{escape(sentence)}</title>{body}</svg>"
    )


def on_paper(drawing: str) -> str:
    """The same drawing with each colour of the page replaced by its printed one."""
    return re.sub(r"var\(--[a-z]+, (#[0-9a-f]+)\)", r"\1", drawing)


def day_name(when: date) -> str:
    """Tue 6 May."""
    return f"{when:%a} {when.day} {when:%b}"


def metres(value_m: float) -> str:
    """Metres with two places and a true minus: −0.05 m."""
    return f"{value_m:.2f} m".replace("-", "−")


def by_offset(at: datetime) -> datetime:
    """The same moment with its offset written out.

    Two times of one zone are compared and subtracted by their clock faces, an hour wrong in the
    night when the clock changes; with their offsets they are compared as moments.
    """
    offset = at.utcoffset()
    if offset is None:
        raise ValueError(f"{at} has no time zone; give the yard's.")
    return at.replace(tzinfo=timezone(offset), fold=0)
