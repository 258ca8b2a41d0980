"""The Row Map: who stands where in the yard, who shuts whom in, who leaves next."""

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import quoteattr

from yardwright.papers.drawing import (
    BLUE,
    HAIR,
    INK,
    PAPER,
    SOFT,
    Drawing,
    hatch,
    svg,
    text,
    text_over,
    text_width,
    wrapped,
)
from yardwright.papers.marks import Shape, drawn

SIZE, SMALL, LINE = 15.0, 13.0, 17.0
PX_PER_M = 11.0
GAP = 16.0
WIDEST_LABEL = 120.0


@dataclass(frozen=True, slots=True)
class StandingBoat:
    """A boat on land, to scale, with the word of her state and its shape.

    `leaves` is her number in the order of leaving, from 1; None when no plan says when. Where she
    no longer `stands` in her berth, her outline is dashed and she shuts nobody in.
    """

    name: str
    length_m: float
    beam_m: float
    state: str
    shape: Shape
    href: str
    leaves: int | None = None
    stands: bool = True

    def __post_init__(self) -> None:
        for word, size_m, most_m in (("long", self.length_m, 60), ("wide", self.beam_m, 15)):
            if not 0 < size_m <= most_m:
                raise ValueError(
                    f"{self.name} is {size_m} m {word}; give more than 0, up to {most_m}."
                )


@dataclass(frozen=True, slots=True)
class Row:
    """One row, its boats from the way out inwards."""

    name: str
    boats: tuple[StandingBoat, ...]


@dataclass(frozen=True, slots=True)
class _Cell:
    """A boat with the lines of words under her, and the room they take together."""

    boat: StandingBoat
    next_out: bool
    state: tuple[str, ...]
    notes: tuple[str, ...]
    says: str
    width: float

    @property
    def hull_px(self) -> tuple[float, float]:
        """Her length and beam on the drawing."""
        return self.boat.length_m * PX_PER_M, self.boat.beam_m * PX_PER_M

    @property
    def height(self) -> float:
        """Hull, name and lines."""
        return self.hull_px[1] + 8 + LINE * (1 + len(self.state) + len(self.notes))


def shut_in_by(row: Row, boat: StandingBoat) -> tuple[StandingBoat, ...]:
    """The boats in front of this one that do not leave before her: they are moved aside or wait."""
    if not boat.stands:
        return ()
    front = row.boats[: row.boats.index(boat)]
    return tuple(other for other in front if other.stands and not _leaves_before(other, boat))


def _leaves_before(one: StandingBoat, other: StandingBoat) -> bool:
    if one.leaves is None:
        return False
    return other.leaves is None or one.leaves < other.leaves


def row_map(
    ident: str, rows: Sequence[Row], width: float = 1180, next_out: int | None = None
) -> Drawing:
    """Draw the rows, the way out on the left, each boat a link to her page.

    Parameters
    ----------
    ident : str
        Name of this drawing, its own on the page.
    rows : sequence of Row
        Rows with their boats from the way out inwards. A row too long for the width goes on below.
    width : float
        Width in px at which the letters have their true size: 1180 for a desk, 760 for paper,
        380 for a phone. At least 320.
    next_out : int, optional
        The number of the next to leave, where other rows are drawn elsewhere.

    Returns
    -------
    Drawing
        Hulls to one scale, bow to the way out; under each her name, her state as word and shape,
        and who shuts her in. The number in the hull is her place in the order of leaving; the next
        to leave has a thick outline and says so.

    Raises
    ------
    ValueError
        Too narrow, or a boat's measure out of range.
    """
    if width < 320:
        raise ValueError(f"a map {width:g} px wide has no room for its words; give 320 or more.")
    numbers = [boat.leaves for row in rows for boat in row.boats if boat.leaves is not None]
    first = next_out or min(numbers, default=None)
    body, y = [], 0.0
    for row in rows:
        cells = [_cell(row, boat, first, width) for boat in row.boats]
        part, y = _row(row, cells, y, width)
        body.append(part)
    sentence = " ".join(filter(None, [*map(_row_sentence, rows), _next_sentence(rows, first)]))
    return Drawing(svg(ident, width, max(y, 1), sentence, "group", "".join(body)), sentence)


def _cell(row: Row, boat: StandingBoat, first: int | None, width: float) -> _Cell:
    next_out = boat.leaves is not None and boat.leaves == first
    says = [words for words in (_shut_in(row, boat), "next to leave" if next_out else "") if words]
    length_px = boat.length_m * PX_PER_M
    most = min(max(WIDEST_LABEL, length_px), width)
    state = tuple(wrapped(boat.state, SMALL, most - SMALL - 5))
    notes = tuple(line for words in says for line in wrapped(words, SMALL, most))
    room = max(
        length_px,
        text_width(boat.name, SIZE),
        *(text_width(line, SMALL) + SMALL + 5 for line in state),
        *(text_width(line, SMALL) for line in notes),
    )
    return _Cell(boat, next_out, state, notes, ", ".join([boat.state, *says]), room)


def _row(row: Row, cells: Sequence[_Cell], y: float, width: float) -> tuple[str, float]:
    """One row and where the next begins."""
    stand = sum(cell.boat.stands for cell in cells)
    count = f"{stand} boat{'' if stand == 1 else 's'}" if stand else "empty"
    parts = [
        f'<path d="M0 {y + 1:.1f}H{width:g}" stroke="{INK}"/>',
        text(0, y + 22, row.name, 'font-weight="700"'),
        text(text_width(row.name, SIZE) + 14, y + 22, count, f'fill="{SOFT}"'),
    ]
    y += 36
    for number, line in enumerate(_lines(cells, width)):
        parts.append(_way_out(y, "way out" if number == 0 else "in front: the line above"))
        x = 2.0
        y += LINE + 4
        beam_px = max(cell.hull_px[1] for cell in line)
        for cell in line:
            parts.append(_boat(cell, x, y + (beam_px - cell.hull_px[1]) / 2, y + beam_px))
            x += cell.width + GAP
        y += beam_px + max(cell.height - cell.hull_px[1] for cell in line) + 10
    return "".join(parts), y


def _lines(cells: Sequence[_Cell], width: float) -> list[list[_Cell]]:
    """Cells in lines that fit the width; a row too long goes on below."""
    lines: list[list[_Cell]] = []
    x = width + 1
    for cell in cells:
        if x + cell.width > width:
            lines.append([])
            x = 2.0
        lines[-1].append(cell)
        x += cell.width + GAP
    return lines


def _way_out(y: float, words: str) -> str:
    """An arrow to the left, and where it leads."""
    arrow = f'<path d="M34 {y + 5:.1f}H2m6 -5l-6 5 6 5" fill="none" stroke="{SOFT}" stroke-width="1.5"/>'
    return arrow + text(42, y + 10, words, f'font-size="{SMALL:g}" fill="{SOFT}"')


def _boat(cell: _Cell, x: float, top: float, words_top: float) -> str:
    boat = cell.boat
    length, beam = cell.hull_px
    bow = min(length * 0.35, beam)
    hull = (
        f"M{x:.1f} {top + beam / 2:.1f}q{bow / 3:.1f} {-beam / 2:.1f} {bow:.1f} {-beam / 2:.1f}"
        f"H{x + length:.1f}v{beam:.1f}H{x + bow:.1f}q{-2 * bow / 3:.1f} 0 {-bow:.1f} {-beam / 2:.1f}z"
    )
    look = f'fill="{PAPER}" stroke="{INK}" stroke-linejoin="round" stroke-width="{4 if cell.next_out else 1.5}"'
    look += "" if boat.stands else ' stroke-dasharray="5 5"'
    parts = [f'<path d="{hull}" {look}/>']
    if boat.shape is Shape.HATCHED:
        lines = hatch(x + bow, top, length - bow, beam, 9)
        parts.append(f'<path d="{lines}" fill="none" stroke="{HAIR}"/>')
    if boat.leaves is not None:
        middle, more = x + (length + bow / 2) / 2, 'text-anchor="middle" font-weight="700"'
        parts.append(text_over(middle, top + beam / 2 + 5, str(boat.leaves), more))
    parts.append(_words(cell, x, words_top + 8 + LINE))
    label = quoteattr(_boat_sentence(cell))
    order = f' data-leaves="{boat.leaves}"' if boat.leaves is not None else ""
    return f"<a href={quoteattr(boat.href)} aria-label={label}{order}>{''.join(parts)}</a>"


def _words(cell: _Cell, x: float, y: float) -> str:
    more = f'font-weight="700" fill="{BLUE}" text-decoration="underline"'
    parts = [text(x, y - 3, cell.boat.name, more)]
    y += LINE
    parts.append(drawn(cell.boat.shape, x, y - SMALL + 1, SMALL))
    for indent, lines in ((SMALL + 5, cell.state), (0.0, cell.notes)):
        for line in lines:
            bold = ' font-weight="700"' if line == "next to leave" else ""
            parts.append(text(x + indent, y, line, f'font-size="{SMALL:g}"{bold}'))
            y += LINE
    return "".join(parts)


def _names(boats: Sequence[StandingBoat]) -> str:
    *firsts, last = (boat.name for boat in boats)
    return f"{', '.join(firsts)} and {last}" if firsts else last


def _shut_in(row: Row, boat: StandingBoat) -> str:
    """Who shuts her in: by name up to two, the nearest and a number above; empty for nobody."""
    blockers = shut_in_by(row, boat)
    if len(blockers) > 2:
        return f"shut in by {blockers[-1].name} and {len(blockers) - 1} more in front"
    return f"shut in by {_names(blockers)}" if blockers else ""


def _boat_sentence(cell: _Cell) -> str:
    boat = cell.boat
    order = [f"leaves as number {boat.leaves}"] if boat.leaves is not None else []
    return ", ".join([boat.name, cell.says, *order])


def _row_sentence(row: Row) -> str:
    if not row.boats:
        return f"{row.name} is empty."
    boats = ", ".join(f"{boat.name} ({boat.state})" for boat in row.boats)
    shut = [f" {boat.name} is {why}." for boat in row.boats if (why := _shut_in(row, boat))]
    return f"{row.name}, from the way out: {boats}.{''.join(shut)}"


def _next_sentence(rows: Sequence[Row], first: int | None) -> str:
    if first is None:
        return "No plan says who leaves next."
    nexts = [boat for row in rows for boat in row.boats if boat.leaves == first]
    return f"Next to leave: {_names(nexts)}." if nexts else ""
