"""The Day Sheet: the paper twin of a working screen, a sentence and sections with tables."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from yardwright.papers.drawing import Drawing, on_paper
from yardwright.papers.marks import mark
from yardwright.papers.paper import Paper, printed, square_code


class Kind(StrEnum):
    """What a column holds."""

    WORDS = "words"
    NAME = "name"
    NUMBER = "number"
    MARK = "mark"
    TICK = "tick"
    WRITE = "write"


HOLDS_NOTHING = (Kind.TICK, Kind.WRITE)


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its title, what it holds, its share of the width (0: as wide as its words)."""

    title: str
    kind: Kind = Kind.WORDS
    wide: float = 0


PUT_BACKS = (
    Column("", Kind.TICK),
    Column("what", Kind.NAME, 1.7),
    Column("where it lies", wide=1.3),
    Column("if forgotten", wide=1),
    Column("proof", wide=0.9),
    Column("who", Kind.WRITE, 0.7),
    Column("time", Kind.WRITE, 0.6),
    Column("value, unit", Kind.WRITE, 0.9),
)


@dataclass(frozen=True, slots=True)
class Section:
    """A part of a sheet: a drawing, a table, or both.

    A row has one text for each column that is printed, none for those to tick or to write in.
    A mark column holds a verdict's or a check's word; its shape is drawn before it. A part that
    has a page of its own on screen has a square code to its address; ``own_page`` begins a sheet
    that is handed out by itself.
    """

    title: str
    note: str = ""
    columns: tuple[Column, ...] = ()
    rows: tuple[tuple[str, ...], ...] = ()
    empty: str = "Nothing."
    drawing: Drawing | None = None
    address: str = ""
    own_page: bool = False

    def __post_init__(self) -> None:
        printed_columns = sum(column.kind not in HOLDS_NOTHING for column in self.columns)
        for row in self.rows:
            if len(row) != printed_columns:
                raise ValueError(
                    f"{self.title}: a row has {len(row)} texts for {printed_columns} columns;"
                    " give one for each column that is not ticked or written in."
                )


@dataclass(frozen=True, slots=True)
class DaySheet:
    """A sheet: who, what, which day, its sentence, its sections, and the screen that it is of.

    `cautions` are printed after a red "Do not", so they go on from there: "start her on land …".
    """

    yard: str
    title: str
    day: date
    say: str
    sections: tuple[Section, ...]
    address: str
    cautions: tuple[str, ...] = ()


def day_sheet(sheet: DaySheet, paper: Paper) -> bytes:
    """Print the sheet as PDF, on as many pages as it needs; a table's head is repeated.

    Raises
    ------
    MissingLetterError
        A text has a letter that none of the faces has.
    ValueError
        A mark column holds a word that is no verdict and no check's answer.
    """
    day = f"{sheet.day:%A} {sheet.day.day} {sheet.day:%B %Y}"
    content = {
        "title": sheet.title,
        "yard": sheet.yard,
        "footer": f"{sheet.yard}, {day}",
        "under": f"{day} · {sheet.yard}",
        "say": sheet.say,
        "sections": [_section(section) for section in sheet.sections],
        "cautions": sheet.cautions,
        "code": square_code(sheet.address),
        "address": sheet.address,
    }
    return printed("day_sheet.typ", content, sheet.day, paper)


def _section(section: Section) -> dict[str, object]:
    drawing = section.drawing
    return {
        "title": section.title,
        "note": section.note or None,
        "columns": [{"title": c.title, "kind": c.kind, "wide": c.wide} for c in section.columns],
        "rows": [_row(section.columns, row) for row in section.rows],
        "empty": section.empty,
        "address": section.address,
        "own_page": section.own_page,
        "code": square_code(section.address) if section.address else None,
        "drawing": drawing and {"svg": on_paper(drawing.svg), "sentence": drawing.sentence},
    }


def _row(columns: tuple[Column, ...], row: tuple[str, ...]) -> list[dict[str, str]]:
    texts = iter(row)
    return [_cell(c.kind, "" if c.kind in HOLDS_NOTHING else next(texts)) for c in columns]


def _cell(kind: Kind, word: str) -> dict[str, str]:
    svg = on_paper(mark(word).svg) if kind is Kind.MARK and word else ""
    return {"word": word, "svg": svg}
