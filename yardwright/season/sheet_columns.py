"""What the headings of a spreadsheet mean, and in which unit."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time
from itertools import zip_longest

from yardwright.calc import units
from yardwright.season.boat_faults import DEEPEST_M

HEADING_WITHIN = 15

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
_FIELD = {spelling: key for key, spellings in _HEADINGS.items() for spelling in spellings}
_UNIT_AT_END = re.compile(r"(.+?)\s*(?:[(\[,]\s*(?:in )?([^)\]]+?)\s*[)\]]?|\s(?:in )?(\S+))")


class BadSheet(ValueError):  # noqa: N818  # said aloud it is what it is
    """A file of which no row can be read; says what to do."""


@dataclass(frozen=True, slots=True)
class Column:
    """One column that is understood; ``unit`` empty where its heading names none."""

    place: int
    heading: str
    field: str
    unit: str = ""


def headings_of(rows: Sequence[tuple[int, Cells]]) -> tuple[int, tuple[str, ...]]:
    """The number and the words of the row of headings.

    Raises
    ------
    BadSheet
        No row names a column for the boats' names.
    """
    found = found_headings([cells for _, cells in rows])
    if found is None:
        raise BadSheet(
            "No row of headings was found. Let one of the first rows say what stands in each "
            "column: name, hull number, owner, draft (ft), length (ft), weight (lb)."
        )
    return found


def found_headings(rows: Sequence[Cells]) -> tuple[int, tuple[str, ...]] | None:
    """The row of headings: the one with the most that are known, her name among them.

    A heading merged over two rows stands in the upper of them.
    """
    best: tuple[int, int, tuple[str, ...]] | None = None
    above: Cells = ()
    for number, cells in enumerate(rows[:HEADING_WITHIN], 1):
        own = [shown(cell) for cell in cells]
        joined = tuple(h or shown(a) for h, a in zip_longest(own, above, fillvalue=""))
        fields = {column.field for column in columns_of(joined, {})}
        if "name" in fields and any(own) and (best is None or len(fields) > best[0]):
            best = len(fields), number, joined
        above = cells
    return best[1:] if best else None


def columns_of(headings: Iterable[str], told: Mapping[str, str]) -> Iterator[Column]:
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


def understood(column: Column) -> str:
    """What a column was taken for, in words."""
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


def shown(cell: Cell) -> str:
    """A cell as it is shown again; a date in the order of the calendar."""
    if isinstance(cell, datetime):
        return f"{cell:%Y-%m-%d}"
    return cell if isinstance(cell, str) else cell.isoformat()
