"""A sum worked out, on one page: the same words as its screen, and the square code back to it."""

from dataclasses import dataclass
from datetime import date

from yardwright.papers.drawing import Drawing, on_paper
from yardwright.papers.paper import Paper, printed, square_code

Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SumSheet:
    """What a sum says: its answer first, then what it was made from, and who says so.

    ``others`` are answers and whose they are; ``sources`` what a row tells and who says so.
    """

    yard: str
    title: str
    question: str
    day: date
    say: str
    besides: tuple[str, ...]
    caution: str
    asked: Pairs
    numbers: Pairs
    others: Pairs
    drawing: Drawing | None
    formula: str
    holds: str
    sources: Pairs
    address: str
    example: bool = False


def sum_sheet(sheet: SumSheet, paper: Paper) -> bytes:
    """Print it as PDF.

    Raises
    ------
    MissingLetterError
        A text has a letter that none of the faces has.
    """
    drawing = sheet.drawing
    day = f"{sheet.day:%A} {sheet.day.day} {sheet.day:%B %Y}"
    content = {
        "title": sheet.title,
        "question": sheet.question,
        "yard": sheet.yard,
        "footer": f"{sheet.yard}, {day}",
        "under": f"{day} · {sheet.yard}",
        "say": sheet.say,
        "besides": sheet.besides,
        "caution": sheet.caution,
        "asked": sheet.asked,
        "numbers": sheet.numbers,
        "others": sheet.others,
        "drawing": drawing and {"svg": on_paper(drawing.svg), "sentence": drawing.sentence},
        "formula": sheet.formula,
        "holds": sheet.holds,
        "sources": sheet.sources,
        "example": sheet.example,
        "code": square_code(sheet.address),
        "address": sheet.address,
    }
    return printed("sum_sheet.typ", content, sheet.day, paper)
