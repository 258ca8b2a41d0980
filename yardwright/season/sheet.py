"""A spreadsheet of boats and owners becomes boats; each bad row gets a sentence with its mend."""

import csv
import io
import re
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from difflib import get_close_matches
from itertools import islice, zip_longest
from zipfile import BadZipFile

from openpyxl import load_workbook
from openpyxl.utils.exceptions import InvalidFileException

from yardwright.calc import units
from yardwright.procedures.going_in import State
from yardwright.procedures.step import Has
from yardwright.season.boat_faults import DEEPEST_M, boat_faults
from yardwright.season.model import Boat, Owner

LARGEST_BYTES = 10_000_000
LARGEST_UNPACKED_BYTES = 200_000_000
MOST_ROWS, MOST_COLUMNS, HEADING_WITHIN = 20_000, 60, 15

Cell = str | date | time
Cells = tuple[Cell, ...]

_HEADINGS: Mapping[str, tuple[str, ...]] = {
    "name": ("name", "boat", "boat name", "name of boat", "vessel", "vessel name"),
    "tag": ("tag",),
    "hull_number": ("hull number", "hull no", "hull no.", "hin", "hull id", "hull"),
    "owner": ("owner", "owner name", "owner's name", "customer", "customer name"),
    "phone": ("phone", "telephone", "tel", "owner phone", "mobile", "cell"),
    "email": ("email", "e-mail", "mail", "owner email"),
    "engine": ("engine", "engine kind", "kind of engine"),
    "has": ("has", "equipment", "what she has"),
    "draft_m": ("draft", "draught"),
    "length_m": ("length", "loa", "length overall", "length over all"),
    "beam_m": ("beam", "width"),
    "weight_kg": ("weight", "displacement", "wt"),
}
MEASURED: Mapping[str, units.Plausible] = {
    "draft_m": units.Plausible(0, DEEPEST_M, "m"),
    "length_m": units.Plausible(0, 60, "m"),
    "beam_m": units.Plausible(0, 15, "m"),
    "weight_kg": units.Plausible(0, 500_000, "kg"),
}
_LONGEST = {"name": 80, "hull_number": 20, "owner": 120, "phone": 40, "email": 120, "engine": 60}
_FIELD = {spelling: key for key, spellings in _HEADINGS.items() for spelling in spellings}
_UNIT_AT_END = re.compile(r"(.+?)\s*(?:[(\[,]\s*(?:in )?([^)\]]+?)\s*[)\]]?|\s(?:in )?(\S+))")
_BARE = re.compile(r"[+-]?[\d.,\s]+")
_FORMULA_WENT_WRONG = re.compile(r"#(REF!|N/A|VALUE!|DIV/0!|NAME\?|NUM!|NULL!)")
TEMPLATE = (
    "name,hull number,owner,phone,email,engine,draft (m),length (m),beam (m),weight (kg),has\n"
)


class BadSheet(ValueError):  # noqa: N818  # said aloud it is what it is
    """A file of which no row can be read; says what to do."""


@dataclass(frozen=True, slots=True)
class Bad:
    """One cell that can't be taken: where it stands, what is in it, and its mend."""

    row: int
    column: str
    typed: str
    says: str


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is understood; ``unit`` empty where its heading names none."""

    place: int
    heading: str
    field: str
    unit: str = ""


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
        return tuple(_understood(column) for column in self.columns)

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
    rows = list(_rows(content, name))
    heading_row, headings = _headings(rows)
    columns = tuple(_columns(headings, told or {}))
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
        padded = [*map(_shown, cells), *[""] * (len(sheet.headings) - len(cells))]
        pen.writerow([*map(_plain, padded[: len(sheet.headings)]), number, mends])
    return out.getvalue()


def _plain(text: str) -> str:
    """No cell begins as a formula would: another's spreadsheet program runs it."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@") and not _BARE.fullmatch(text) else text


def _rows(content: bytes, name: str) -> Iterator[tuple[int, Cells]]:
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
        if _found(rows):
            yield from rows
            return
    yield from ()


def _values(sheet: object) -> list[tuple[object, ...]]:
    reset, rows = getattr(sheet, "reset_dimensions", None), getattr(sheet, "iter_rows", None)
    if reset is None or rows is None:  # a sheet that is a chart alone
        return []
    reset()
    return list(islice(rows(values_only=True, max_col=MOST_COLUMNS), MOST_ROWS + 1))


NEVER_WORKED_OUT = "#never worked out"


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


def _found(rows: Sequence[Cells]) -> tuple[int, tuple[str, ...]] | None:
    """The row of headings: the one with the most that are known, her name among them.

    A heading merged over two rows stands in the upper of them.
    """
    best: tuple[int, int, tuple[str, ...]] | None = None
    above: Cells = ()
    for number, cells in enumerate(rows[:HEADING_WITHIN], 1):
        own = [_shown(cell) for cell in cells]
        joined = tuple(h or _shown(a) for h, a in zip_longest(own, above, fillvalue=""))
        fields = {column.field for column in _columns(joined, {})}
        if "name" in fields and any(own) and (best is None or len(fields) > best[0]):
            best = len(fields), number, joined
        above = cells
    return best[1:] if best else None


def _headings(rows: Sequence[tuple[int, Cells]]) -> tuple[int, tuple[str, ...]]:
    found = _found([cells for _, cells in rows])
    if found is None:
        raise BadSheet(
            "No row of headings was found. Let one of the first rows say what stands in each "
            "column: name, hull number, owner, draft (ft), length (ft), weight (lb)."
        )
    return found


def _columns(headings: Iterable[str], told: Mapping[str, str]) -> Iterator[Column]:
    """The columns that are understood; of two for the same thing the first."""
    seen: set[str] = set()
    for place, heading in enumerate(headings):
        column = _column(place, heading, told)
        if column is not None and column.field not in seen:
            seen.add(column.field)
            yield column


def _column(place: int, heading: str, told: Mapping[str, str]) -> Column | None:
    plain = " ".join(heading.casefold().replace("_", " ").rstrip(":*").split())
    if plain in _FIELD:
        key = _FIELD[plain]
        return Column(place, heading, key, told.get(key, ""))
    if split := _UNIT_AT_END.fullmatch(plain):
        key, spelled = _FIELD.get(split[1], ""), split[2] or split[3]
        if key in MEASURED and _measures(spelled, key):
            return Column(place, heading, key, spelled)
    return None


def _measures(spelled: str, key: str) -> bool:
    try:
        units.read(f"1 {spelled}", MEASURED[key].unit)
    except ValueError:
        return False
    return True


def _understood(column: Column) -> str:
    meant = column.field.removesuffix("_m").removesuffix("_kg").replace("_", " ")
    if column.field not in MEASURED:
        return (
            f"“{column.heading}” is her {meant}"
            if meant != "name"
            else (f"“{column.heading}” is her name")
        )
    unit = MEASURED[column.field].unit
    if not column.unit:
        return f"“{column.heading}” is her {meant}; the unit is not said"
    echo = units.read(f"1 {column.unit}", unit).echo
    return (
        f"“{column.heading}” is her {meant} in {column.unit}{f' ({echo})' if '=' in echo else ''}"
    )


def _shown(cell: Cell) -> str:
    if isinstance(cell, datetime):
        return f"{cell:%Y-%m-%d}"
    return cell if isinstance(cell, str) else cell.isoformat()


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
                self.bad.append(Bad(number, column.heading, _shown(cell), str(wrong)))
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
