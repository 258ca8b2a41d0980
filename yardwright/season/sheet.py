"""A spreadsheet of boats and owners becomes boats; each bad row gets a sentence with its mend."""

import csv
import io
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, time
from difflib import get_close_matches

from yardwright.calc import units
from yardwright.procedures.going_in import State
from yardwright.procedures.step import Has
from yardwright.season.boat_faults import boat_faults
from yardwright.season.model import Boat, Owner
from yardwright.season.sheet_cells import NEVER_WORKED_OUT, rows_of
from yardwright.season.sheet_columns import (
    MEASURED,
    Cell,
    Cells,
    Column,
    columns_of,
    headings_of,
    shown,
    understood,
)

_LONGEST = {"name": 80, "hull_number": 20, "owner": 120, "phone": 40, "email": 120, "engine": 60}
_BARE = re.compile(r"[+-]?[\d.,\s]+")
_FORMULA_WENT_WRONG = re.compile(r"#(REF!|N/A|VALUE!|DIV/0!|NAME\?|NUM!|NULL!)")
TEMPLATE = (
    "name,hull number,owner,phone,email,engine,draft (m),length (m),beam (m),weight (kg),has\n"
)


@dataclass(frozen=True, slots=True)
class Bad:
    """One cell that can't be taken: where it stands, what is in it, and its mend."""

    row: int
    column: str
    typed: str
    says: str


@dataclass(frozen=True, slots=True)
class Known:
    """The boats that the yard has: by name in small letters, her hull number and owner."""

    boats: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    hull_numbers: Mapping[str, str] = field(default_factory=dict)  # to the boat's name
    tags: Mapping[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Sheet:
    """What a spreadsheet says: the good rows as boats, the bad ones with their mends."""

    headings: tuple[str, ...]
    columns: tuple[Column, ...]
    left_out: tuple[str, ...]
    boats: tuple[Boat, ...]
    bad: tuple[Bad, ...]
    bad_rows: tuple[tuple[int, Cells], ...]
    here_already: int

    @property
    def understood(self) -> tuple[str, ...]:
        """Which column was taken for what, and in which unit."""
        return tuple(understood(column) for column in self.columns)

    @property
    def without_unit(self) -> tuple[Column, ...]:
        """Columns of numbers whose heading does not say the unit."""
        return tuple(c for c in self.columns if c.field in MEASURED and not c.unit)


def read_sheet(
    content: bytes, name: str, known: Known, told: Mapping[str, str] | None = None
) -> Sheet:
    """Read a spreadsheet of boats.

    Parameters
    ----------
    content : bytes
        The file: xlsx, or csv with commas, semicolons or tabs. At most 10 MB.
    name : str
        Its name, for the sentences and for its kind.
    known : Known
        What the yard has already.
    told : mapping of str to str, optional
        The unit of a column whose heading names none, by field: ``{"draft_m": "ft"}``.

    Returns
    -------
    Sheet
        Good rows as boats. A bad row has a sentence for each cell at fault and loses no other.

    Raises
    ------
    BadSheet
        Too large, not a spreadsheet, or no row of headings with a boat's name.
    """
    rows = list(rows_of(content, name))
    heading_row, headings = headings_of(rows)
    columns = tuple(columns_of(headings, told or {}))
    taken = {column.place for column in columns}
    left_out = tuple(h for place, h in enumerate(headings) if h and place not in taken)
    reader = _Reader(columns, known)
    for number, cells in rows:
        if number > heading_row and any(cells):
            reader.row(number, cells)
    return Sheet(
        headings,
        columns,
        left_out,
        tuple(reader.boats),
        tuple(reader.bad),
        tuple(reader.bad_rows),
        reader.here_already,
    )


def written_bad(sheet: Sheet) -> str:
    """The bad rows alone, as csv, with what to mend beside each."""
    out = io.StringIO()
    pen = csv.writer(out)
    pen.writerow([*sheet.headings, "row", "to mend"])
    for number, cells in sheet.bad_rows:
        mends = " ".join(f"{bad.column}: {bad.says}" for bad in sheet.bad if bad.row == number)
        padded = [*map(shown, cells), *[""] * (len(sheet.headings) - len(cells))]
        pen.writerow([*map(_plain, padded[: len(sheet.headings)]), number, mends])
    return out.getvalue()


def _plain(text: str) -> str:
    """No cell begins as a formula would: another's spreadsheet program runs it."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@") and not _BARE.fullmatch(text) else text


class _Wrong(Exception):  # noqa: N818  # never leaves this module
    """A cell at fault."""


class _Reader:
    """Goes down the rows, and remembers which names, hull numbers and tags are taken."""

    def __init__(self, columns: Sequence[Column], known: Known) -> None:
        self.columns, self.known = columns, known
        self.boats: list[Boat] = []
        self.bad: list[Bad] = []
        self.bad_rows: list[tuple[int, Cells]] = []
        self.here_already = 0
        self._rows: dict[tuple[str, str], int] = {}  # (field, value): the row that has it

    def row(self, number: int, cells: Cells) -> None:
        before = len(self.bad)
        given: dict[str, str | float | frozenset[Has] | None] = {}
        for column in self.columns:
            cell = cells[column.place] if column.place < len(cells) else ""
            try:
                given[column.field] = _value(column, cell)
            except _Wrong as wrong:
                self.bad.append(Bad(number, column.heading, shown(cell), str(wrong)))
        if len(self.bad) == before:
            if self._is_here(given):
                self.here_already += 1
                return
            self._twice(number, given)
        if len(self.bad) == before:
            self._take(number, _boat(given))
        if len(self.bad) > before:
            self.bad_rows.append((number, cells))

    def _is_here(self, given: Mapping[str, object]) -> bool:
        """The same boat of the same owner is in the yard's list: a sheet brought twice."""
        held = self.known.boats.get(str(given["name"]).casefold())
        if held is None:
            return False
        hull, owner = str(given.get("hull_number") or ""), str(given.get("owner") or "")
        return hull == held[0] and owner in ("", held[1])

    def _twice(self, number: int, given: Mapping[str, object]) -> None:
        in_yard = {
            "name": {name: name for name in self.known.boats},
            "hull_number": self.known.hull_numbers,
            "tag": self.known.tags,
        }
        for column in self.columns:
            value = str(given.get(column.field) or "")
            if column.field not in in_yard or not value:
                continue
            same = value.casefold() if column.field == "name" else value
            earlier = self._rows.setdefault((column.field, same), number)
            if earlier != number:
                says = f"{value} stands in row {earlier} too; {_own(column.field, value)}"
                self.bad.append(Bad(number, column.heading, value, says))
            elif same in in_yard[column.field]:
                whose = in_yard[column.field][same]
                has = "is in the yard already" if column.field == "name" else f"is {whose}'s"
                says = f"{value} {has}; {_own(column.field, value)}"
                self.bad.append(Bad(number, column.heading, value, says))

    def _take(self, number: int, boat: Boat) -> None:
        heading = {column.field: column.heading for column in self.columns}
        found = list(boat_faults(boat))
        for fault in found:
            key = str(fault.path[0]) if fault.path else ""
            column = heading.get(key, key)
            self.bad.append(Bad(number, column, str(getattr(boat, key, "")), fault.says))
        if not found:
            self.boats.append(boat)


def _own(column: str, value: str) -> str:
    if column == "name":
        return f"give this one a name of her own, such as {value} II."
    if column == "tag":
        return "leave the tag empty and she gets one."
    return "check which of the two is right."


def _value(column: Column, cell: Cell) -> str | float | frozenset[Has] | None:
    if not isinstance(cell, str):
        raise _Wrong(_made_a_date(column, cell))
    if cell == NEVER_WORKED_OUT:
        raise _Wrong("a formula that was never worked out; open the file, save it, send it again.")
    if _FORMULA_WENT_WRONG.fullmatch(cell):
        raise _Wrong("a formula that went wrong; write the value itself.")
    if column.field in MEASURED:
        return _measured(column, cell)
    if column.field == "has":
        return _has(cell)
    return _text(column, cell)


def _made_a_date(column: Column, cell: date | time) -> str:
    if column.field in MEASURED and isinstance(cell, date):
        guess = f"{cell.day}.{cell.month} or {cell.month}.{cell.day}"
        return f"the spreadsheet made a date of it; write the number as text, perhaps {guess}."
    return "the spreadsheet made a date of it; set the cell to text and write it again."


def _measured(column: Column, cell: str) -> float | None:
    if not cell:
        return None
    plausible = MEASURED[column.field]
    typed = f"{cell} {column.unit}" if _BARE.fullmatch(cell) and column.unit else cell
    try:
        return units.read(typed, plausible.unit, plausible=plausible).value
    except ValueError as error:
        raise _Wrong(str(error)) from error


def _has(cell: str) -> frozenset[Has]:
    words = [word.strip().casefold() for word in re.split(r"[,;/]", cell) if word.strip()]
    for word in words:
        if word not in list(Has):
            near = get_close_matches(word, list(Has), 1) or [f"one of {', '.join(Has)}"]
            raise _Wrong(f"{word!r} is not known here; write {near[0]}.")
    return frozenset(Has(word) for word in words)


def _text(column: Column, cell: str) -> str:
    longest = _LONGEST.get(column.field, 3)
    if column.field == "name" and not cell:
        raise _Wrong("is empty; write her name, or take the row out.")
    if column.field == "tag" and cell and not re.fullmatch(r"[A-Za-z]{3}", cell):
        raise _Wrong(f"{cell!r} is no tag; write three letters, or leave it empty.")
    if len(cell) > longest:
        raise _Wrong(f"has {len(cell)} letters; write at most {longest}.")
    return cell.upper() if column.field == "tag" else cell


def _boat(given: dict[str, str | float | frozenset[Has] | None]) -> Boat:
    def text(key: str) -> str:
        value = given.get(key)
        return value if isinstance(value, str) else ""

    def number(key: str) -> float | None:
        value = given.get(key)
        return value if isinstance(value, float) else None

    has = given.get("has")
    owner = Owner(text("owner"), text("phone"), text("email")) if text("owner") else None
    return Boat(
        name=text("name"),
        state=State.LAID_UP,
        hull_number=text("hull_number"),
        tag=text("tag"),
        owner=owner,
        has=has if isinstance(has, frozenset) else frozenset(),
        engine=text("engine"),
        draft_m=number("draft_m"),
        length_m=number("length_m"),
        beam_m=number("beam_m"),
        weight_kg=number("weight_kg"),
    )
