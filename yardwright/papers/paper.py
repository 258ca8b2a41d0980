"""One press for every paper: a Typst template and plain content in, PDF bytes out."""

import json
import re
from collections.abc import Mapping
from datetime import date
from enum import StrEnum
from functools import cache
from io import BytesIO
from pathlib import Path
from threading import Lock

import segno
import typst

from yardwright.papers.drawing import FAMILY

HERE = Path(__file__).parent
_ONE_AT_A_TIME = Lock()


class Paper(StrEnum):
    """The two papers a yard may have in its printer."""

    A4 = "a4"
    LETTER = "us-letter"


class MissingLetterError(ValueError):
    """A letter that no face on board has: it would come out as an empty box."""


@cache
def _press() -> typst.Compiler:
    return typst.Compiler(root=HERE, font_paths=[HERE / "fonts"], ignore_system_fonts=True)


def printed(template: str, content: Mapping[str, object], day: date, paper: Paper) -> bytes:
    """Set one paper as PDF (PDF/A-2a and PDF/UA-1), the same bytes for the same content.

    Parameters
    ----------
    template : str
        Name of a template beside this module, such as ``lift_card.typ``.
    content : mapping
        What the template prints; anything that JSON can hold.
    day : date
        The paper's day, also its date of making.
    paper : Paper
        A4 or Letter.

    Returns
    -------
    bytes
        The PDF.

    Raises
    ------
    MissingLetterError
        The content has a letter that none of the faces has. The sentence names it.
    """
    made = {"year": day.year, "month": day.month, "day": day.day}
    everything = {**content, "made": made, "paper": paper.value, "family": FAMILY}
    source = HERE / template
    try:
        with _ONE_AT_A_TIME:
            pdf = _press().compile(
                input=source,
                format="pdf",
                sys_inputs={"content": json.dumps(everything)},
                pdf_standards=["a-2a", "ua-1"],
            )
    except typst.TypstError as error:
        if missing := _missing_letter(error.message):
            raise MissingLetterError(
                f"No typeface here has the letter “{missing}”, so the paper would show an empty box."
                " Write that name or note in Latin, Greek or Cyrillic letters, then print again."
            ) from error
        raise
    if not isinstance(pdf, bytes):
        raise TypeError(f"{template} gave {type(pdf).__name__}, not one PDF.")
    return pdf


def _missing_letter(message: str) -> str | None:
    found = re.search(r'text `"(.+?)"` could not be displayed', message)
    return found[1] if found else None


def square_code(address: str) -> str:
    """The square code that opens an address, as SVG for a template."""
    out = BytesIO()
    segno.make(address, error="m", micro=False).save(out, kind="svg", xmldecl=False, border=0)
    return out.getvalue().decode()
