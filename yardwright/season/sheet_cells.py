"""The cells of a spreadsheet, whichever program wrote it."""

import csv
import io
import zipfile
from collections.abc import Iterator
from datetime import date, time
from itertools import islice, zip_longest
from zipfile import BadZipFile

from yardwright.season.sheet_columns import HEADING_WITHIN, BadSheet, Cell, Cells, found_headings

LARGEST_BYTES = 10_000_000
LARGEST_UNPACKED_BYTES = 200_000_000
MOST_ROWS, MOST_COLUMNS = 20_000, 60
NEVER_WORKED_OUT = "#never worked out"


def rows_of(content: bytes, name: str) -> Iterator[tuple[int, Cells]]:
    """Every row of a file by its number, from 1.

    Raises
    ------
    BadSheet
        Too large, too long, or nothing that a spreadsheet program wrote.
    """
    if len(content) > LARGEST_BYTES:
        raise BadSheet(
            f"{name} has {len(content) / 1e6:.0f} MB; send at most {LARGEST_BYTES / 1e6:.0f} MB: "
            "only the sheet of boats, without pictures."
        )
    if content[:2] == b"PK":
        rows = _from_xlsx(content, name)
    elif content[:4] == b"\xd0\xcf\x11\xe0":
        raise BadSheet(f"{name} is an old .xls file; save it as .xlsx or .csv.")
    else:
        rows = _from_csv(content, name)
    for number, cells in enumerate(rows, 1):
        if number > MOST_ROWS:
            raise BadSheet(f"{name} has more than {MOST_ROWS:,} rows; cut it in two.")
        yield number, cells


def _from_csv(content: bytes, name: str) -> Iterator[Cells]:
    text = _decoded(content, name)
    first = "\n".join(text.splitlines()[:HEADING_WITHIN])
    comma = max(",;\t", key=first.count)
    try:
        for row in csv.reader(io.StringIO(text), delimiter=comma):
            yield tuple(cell.strip() for cell in row[:MOST_COLUMNS])
    except csv.Error as error:
        raise BadSheet(f"{name} can't be read as csv ({error}); save it as xlsx.") from error


def _decoded(content: bytes, name: str) -> str:
    if b"\0" in content and not content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise BadSheet(f"{name} is no spreadsheet; send .xlsx or .csv.")
    encodings = ("utf-16",) if content.startswith((b"\xff\xfe", b"\xfe\xff")) else ("utf-8-sig",)
    try:
        return content.decode(encodings[0])
    except UnicodeDecodeError:
        return content.decode("cp1252", errors="replace")


def _from_xlsx(content: bytes, name: str) -> Iterator[Cells]:
    """Values as the spreadsheet program last showed them; a formula it never worked out is told."""
    from openpyxl import load_workbook  # it takes long to load: only for who asks
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        with zipfile.ZipFile(io.BytesIO(content)) as packed:
            if sum(one.file_size for one in packed.infolist()) > LARGEST_UNPACKED_BYTES:
                raise BadSheet(f"{name} unpacks to too much; save the sheet of boats alone.")
        shown, formulas = (
            load_workbook(io.BytesIO(content), read_only=True, data_only=only)
            for only in (True, False)
        )
    except (BadZipFile, InvalidFileException, KeyError, ValueError, EOFError) as error:
        if isinstance(error, BadSheet):
            raise
        raise BadSheet(f"{name} can't be opened as xlsx; save it again, or as csv.") from error
    sheets = [[_values(book[title]) for book in (shown, formulas)] for title in shown.sheetnames]
    for values, behind in sheets:
        rows = [
            tuple(_cell(value, formula) for value, formula in zip_longest(one, other))
            for one, other in zip_longest(values, behind, fillvalue=())
        ]
        if found_headings(rows):
            yield from rows
            return
    yield from ()


def _values(sheet: object) -> list[tuple[object, ...]]:
    reset, rows = getattr(sheet, "reset_dimensions", None), getattr(sheet, "iter_rows", None)
    if reset is None or rows is None:  # a sheet that is a chart alone
        return []
    reset()
    return list(islice(rows(values_only=True, max_col=MOST_COLUMNS), MOST_ROWS + 1))


def _cell(value: object, formula: object) -> Cell:
    if value is None:
        never = isinstance(formula, str) and formula.startswith("=")
        return NEVER_WORKED_OUT if never else ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, int | float):
        return f"{value:.10g}" if abs(value) < 1e10 else f"{value:.0f}"
    if isinstance(value, date | time):
        return value
    return " ".join(str(value).split())
