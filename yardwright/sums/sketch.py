"""Two drawings that are no chart: a number in boxes, and marks along a line."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from yardwright.papers.drawing import (
    BLUE,
    HAIR,
    INK,
    RED,
    SOFT,
    Drawing,
    hatch,
    svg,
    text,
    text_width,
    wrapped,
)
from yardwright.sums.words import day_words

WIDTH = 560.0
EDGE = 24.0
SMALL = 13.0
BOX = 34.0


@dataclass(frozen=True, slots=True)
class Group:
    """Letters that belong together, and what they are."""

    letters: str
    words: str


def boxes(ident: str, groups: Sequence[Group], wrong: Iterable[int], sentence: str) -> Drawing:
    """A number with each letter in a box, by groups.

    Parameters
    ----------
    ident : str
        Its name on the page.
    groups : sequence of Group
        In their order.
    wrong : iterable of int
        Places that break the rule, the first letter being 1: red and hatched.
    sentence : str
        What it shows, in words.

    Returns
    -------
    Drawing
        As SVG.
    """
    bad, place, x, body = set(wrong), 0, EDGE, []
    for group in groups:
        start = x
        for letter in group.letters:
            place += 1
            colour = RED if place in bad else INK
            if place in bad:
                body.append(f'<path d="{hatch(x, 20, BOX, BOX, 8)}" stroke="{RED}" fill="none"/>')
            body.append(
                f'<rect x="{x:.1f}" y="20" width="{BOX:g}" height="{BOX:g}" fill="none"'
                f' stroke="{colour}" stroke-width="{3 if place in bad else 1.5}"/>'
            )
            ground = 'stroke="var(--paper, #fff)" stroke-width="4" paint-order="stroke"'
            middle = x + (BOX - text_width(letter, 20)) / 2
            body.append(text(middle, 44, letter, f'font-size="20" font-weight="700" {ground}'))
            body.append(text(x + 2, 68, str(place), f'font-size="13" fill="{SOFT}"'))
            x += BOX + 2
        room = max(x - start, BOX * 2)
        for line, words in enumerate(wrapped(group.words, SMALL, room)):
            body.append(text(start, 88 + 15 * line, words, f'font-size="{SMALL:g}"'))
        x = max(x, start + BOX * 2) + 8
    return Drawing(svg(ident, max(WIDTH, x + EDGE), 140, sentence, "img", "".join(body)), sentence)


@dataclass(frozen=True, slots=True)
class Mark:
    """A place along the line, and its words."""

    at: float
    words: str


def along(ident: str, marks: Sequence[Mark], here: Mark, sentence: str) -> Drawing:
    """Marks along a line, true to scale, and a ring where we are.

    Parameters
    ----------
    ident : str
        Its name on the page.
    marks : sequence of Mark
        One or more bounds.
    here : Mark
        What was asked about.
    sentence : str
        What it shows, in words.

    Returns
    -------
    Drawing
        As SVG.
    """
    places = [*(mark.at for mark in marks), here.at]
    low, high = min(places), max(places)
    span = (high - low) or 1.0

    def x(at: float) -> float:
        return EDGE + (at - low) / span * (WIDTH - 2 * EDGE)

    def words(at: float, y: float, said: str, more: str) -> str:
        share = (at - low) / span  # anchored, so that no font runs over the edge
        anchor = "start" if share < 1 / 3 else "end" if share > 2 / 3 else "middle"
        return text(x(at), y, said, f'font-size="{SMALL:g}" text-anchor="{anchor}" {more}')

    body = [f'<path d="M{EDGE:g} 60H{WIDTH - EDGE:g}" stroke="{INK}" stroke-width="2"/>']
    for row, mark in enumerate(marks):
        y = 92.0 + 22 * row
        body.append(f'<path d="M{x(mark.at):.1f} 50V{y - 14:.1f}" stroke="{HAIR}" fill="none"/>')
        body.append(f'<path d="M{x(mark.at):.1f} 50V70" stroke="{INK}" stroke-width="2"/>')
        body.append(words(mark.at, y, mark.words, ""))
    body.append(
        f'<circle cx="{x(here.at):.1f}" cy="60" r="7" fill="none" stroke="{BLUE}" stroke-width="3"/>'
    )
    body.append(words(here.at, 36, here.words, f'font-weight="700" fill="{BLUE}"'))
    height = 100.0 + 22 * len(marks)
    return Drawing(svg(ident, WIDTH, height, sentence, "img", "".join(body)), sentence)


def until(begins: tuple[date, str], ends: date, on: date, sentence: str) -> Drawing:
    """From a first day to the last, and the day that counts.

    Parameters
    ----------
    begins : (date, str)
        The first day, and what is said of it.
    ends, on : date
        The last day, and the one that counts.
    sentence : str
        What it shows, in words.

    Returns
    -------
    Drawing
        As SVG.
    """
    first, words = begins
    marks = [
        Mark(first.toordinal(), words),
        Mark(ends.toordinal(), f"last day {day_words(ends)}"),
    ]
    return along("picture", marks, Mark(on.toordinal(), day_words(on)), sentence)
