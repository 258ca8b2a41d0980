"""The shape of the season file: its tables are the dataclasses, its keys are their fields.

A key is named as its field, but for the few in ``RENAMED``. Reading gathers every fault.
"""

import types
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import MISSING, dataclass, fields, is_dataclass
from datetime import date, datetime, time
from difflib import get_close_matches
from enum import IntEnum, StrEnum
from math import isfinite
from typing import TypeVar, Union, get_args, get_origin, get_type_hints
from zoneinfo import ZoneInfo

from yardwright.procedures.ways_in import Barrier
from yardwright.season.boat_faults import boat_faults
from yardwright.season.fault import Fault
from yardwright.season.lines import Path
from yardwright.season.model import Boat
from yardwright.season.zone import moment

Table = TypeVar("Table")

RENAMED: Mapping[tuple[type, str], tuple[str, float]] = {
    (Barrier, "outside"): ("from", 1.0),
    (Barrier, "inside"): ("to", 1.0),
    (Barrier, "bore_m"): ("bore_mm", 1000.0),
}


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table; ``scale`` turns the field's unit into the file's."""

    name: str
    field: str
    kind: object
    needed: bool
    default: object
    scale: float


WHOLE_BELOW = 1e9  # 15000 kg, not 15000.0 kg

_KEYS: dict[type, tuple[Key, ...]] = {}


def keys_of(table: type) -> tuple[Key, ...]:
    """List the keys of the table that a dataclass is written as."""
    if table not in _KEYS:
        hints: dict[str, object] = get_type_hints(table)
        _KEYS[table] = tuple(_keys(table, hints))
    return _KEYS[table]


def _keys(table: type, hints: Mapping[str, object]) -> Iterator[Key]:
    own = vars(table)["__annotations__"]  # what a table adds to its base stands first
    for one in sorted(fields(table), key=lambda one: one.name not in own):
        name, scale = RENAMED.get((table, one.name), (one.name, 1.0))
        default = one.default if one.default_factory is MISSING else one.default_factory()
        needed = default is MISSING and type(None) not in get_args(hints[one.name])
        yield Key(name, one.name, hints[one.name], needed, default, scale)


def tables_in(table: type, path: tuple[str, ...] = ()) -> Iterator[tuple[tuple[str, ...], type]]:
    """Walk every table of the file: its path without list places, and its dataclass."""
    yield path, table
    for key in keys_of(table):
        for kind in (_known(key.kind), *get_args(_known(key.kind))):
            if isinstance(kind, type) and is_dataclass(kind):
                yield from tables_in(kind, (*path, key.name))


class Bad(Exception):  # noqa: N818  # it never leaves the reader
    """A value that was put on the list of faults."""


@dataclass(frozen=True, slots=True)
class Reader:
    """Turns plain TOML values into dataclasses; what is wrong goes on ``faults``."""

    zone: ZoneInfo
    faults: list[Fault]

    def bad(self, path: Path, says: str) -> Bad:
        """Note a fault."""
        self.faults.append(Fault(path, says))
        return Bad()

    def table(self, kind: type[Table], raw: object, path: Path) -> Table:
        """Read one table as its dataclass."""
        if not isinstance(raw, dict):
            raise self.bad(path, f"{raw!r} stands where a table is expected.")
        known = {key.name: key for key in keys_of(kind)}
        before = len(self.faults)
        for name in (name for name in raw if name not in known):
            self.bad((*path, name), _unknown(name, list(known)))
        values = dict(self._fields(known, raw, path))
        if len(self.faults) > before:
            raise Bad
        build: Callable[..., Table] = kind
        try:
            built = build(**values)
        except ValueError as error:
            raise self.bad(path, str(error)) from error
        if isinstance(built, Boat):
            self.faults.extend(boat_faults(built, path))
        return built

    def _fields(
        self, known: Mapping[str, Key], raw: Mapping[str, object], path: Path
    ) -> Iterator[tuple[str, object]]:
        for name, key in known.items():
            if name not in raw:
                if key.needed:
                    self.bad((*path, name), f"is missing; add {_line(name, key.kind)}.")
                elif key.default is MISSING:
                    yield key.field, None
                continue
            try:
                value = self.value(key.kind, raw[name], (*path, name))
            except Bad:
                continue
            yield key.field, _scaled(value, 1 / key.scale) if key.scale != 1 else value

    def value(self, kind: object, raw: object, path: Path) -> object:
        """Read one value of a kind."""
        kind = _known(kind)
        origin = get_origin(kind)
        if origin in (tuple, frozenset):
            return self._many(kind, raw, path)
        if origin is Mapping:
            return self._mapping(kind, raw, path)
        if isinstance(kind, type) and is_dataclass(kind):
            return self.table(kind, raw, path)
        if isinstance(kind, type) and issubclass(kind, StrEnum | IntEnum):
            return self._word(kind, raw, path)
        return self._plain(kind, raw, path)

    def _many(self, kind: object, raw: object, path: Path) -> object:
        wanted = get_args(kind)
        endless = get_origin(kind) is frozenset or wanted[-1] is Ellipsis
        if not isinstance(raw, list) or not (endless or len(raw) == len(wanted)):
            raise self.bad(path, f"{_said(raw)}; write {example(kind)}.")
        read = []
        for place, one in enumerate(raw):
            try:
                read.append(
                    self.value(wanted[0] if endless else wanted[place], one, (*path, place))
                )
            except Bad:
                continue
        if len(read) < len(raw):
            raise Bad
        return frozenset(read) if get_origin(kind) is frozenset else tuple(read)

    def _mapping(self, kind: object, raw: object, path: Path) -> dict[str, object]:
        if not isinstance(raw, dict):
            raise self.bad(path, f"{_said(raw)}; write a table of name = value.")
        _, wanted = get_args(kind)
        return {name: self.value(wanted, one, (*path, name)) for name, one in raw.items()}

    def _word(self, kind: type[StrEnum | IntEnum], raw: object, path: Path) -> object:
        words = {_written_word(word): word for word in kind}
        if isinstance(raw, str) and raw in words:
            return words[raw]
        raise self.bad(path, f"{raw!r} is not known here; {_nearest(str(raw), list(words))}")

    def _plain(self, kind: object, raw: object, path: Path) -> object:
        if kind is datetime and isinstance(raw, datetime):
            try:
                return moment(raw, self.zone)
            except ValueError as error:
                raise self.bad(path, str(error)) from error
        kinds = get_args(kind) or (kind,)
        if float in kinds and type(raw) is int:
            raw = float(raw)
        if type(raw) not in kinds:
            raise self.bad(path, f"{_said(raw)}; write {_mend(kind, raw)}.")
        if isinstance(raw, float) and not isfinite(raw):
            raise self.bad(path, f"{raw} is no number; leave the line out if it is not known.")
        return raw


def plain(value: object, zone: ZoneInfo) -> object:
    """Turn a dataclass and all in it into plain TOML values; what is not known is left out."""
    if isinstance(value, datetime):
        return _wall(value, zone)
    if isinstance(value, float) and value.is_integer() and abs(value) < WHOLE_BELOW:
        return int(value)
    if isinstance(value, StrEnum | IntEnum):
        return _written_word(value)
    if isinstance(value, frozenset):
        return sorted(plain(one, zone) for one in value)  # type: ignore[type-var]  # words only
    if isinstance(value, tuple):
        return [plain(one, zone) for one in value]
    if isinstance(value, Mapping):
        return {name: plain(one, zone) for name, one in value.items()}
    if is_dataclass(value) and not isinstance(value, type):
        return dict(_written(value, zone))
    return value


def _written_word(word: StrEnum | IntEnum) -> str:
    """The word of a closed list; a weekday by its short name."""
    return str(word) if isinstance(word, StrEnum) else word.name.title()


def _written(table: object, zone: ZoneInfo) -> Iterator[tuple[str, object]]:
    for key in keys_of(type(table)):
        value: object = getattr(table, key.field)
        if value is not None and value != key.default:
            yield (
                key.name,
                plain(_scaled(value, key.scale), zone) if key.scale != 1 else plain(value, zone),
            )


def _wall(at: datetime, zone: ZoneInfo) -> datetime:
    """The wall's time where it says which moment; with its offset on the night it does not."""
    local = at.astimezone(zone)
    wall = local.replace(tzinfo=None, fold=0)
    try:
        moment(wall, zone)
    except ValueError:
        return local
    return wall


def _known(kind: object) -> object:
    """The kind without *not known*."""
    known = tuple(one for one in get_args(kind) if one is not type(None))
    return known[0] if get_origin(kind) in (Union, types.UnionType) and len(known) == 1 else kind


def _scaled(value: object, scale: float) -> object:
    """The same length in another unit; rounded, so that 25.4 mm comes back as 25.4 mm."""
    return round(value * scale, 9) if isinstance(value, float) else value


_EXAMPLES: dict[object, str] = {
    str: '"text"',
    int: "1",
    float: "1.5",
    bool: "true or false",
    date: "2031-05-06",
    time: "07:30:00",
    datetime: "2031-05-06 07:30:00",
}


def example(kind: object) -> str:
    """Show how a value of a kind is written."""
    kind = _known(kind)
    if kind in _EXAMPLES:
        return _EXAMPLES[kind]
    if get_origin(kind) in (Union, types.UnionType):
        return " or ".join(example(one) for one in get_args(kind))
    if get_origin(kind) in (tuple, frozenset):
        wanted = [one for one in get_args(kind) if one is not Ellipsis]
        return f"[{', '.join(example(one) for one in wanted)}]"
    if isinstance(kind, type) and issubclass(kind, StrEnum | IntEnum):
        words: list[StrEnum | IntEnum] = list(kind)
        return f'"{_written_word(words[0])}"'
    return "a table"


def _line(name: str, kind: object) -> str:
    """How a key is written with its value."""
    if isinstance(kind, type) and is_dataclass(kind):
        return f"the table [{name}]"
    return f"{name} = {example(kind)}"


def _mend(kind: object, raw: object) -> str:
    """What to write instead: the value itself if it is only in the wrong clothes."""
    if kind is float and isinstance(raw, str):
        try:
            return f"{float(raw.replace(',', '.'))}, without quotes and with a point"
        except ValueError:
            return f"{example(kind)}, or leave the line out if it is not known"
    return example(kind)


def _said(raw: object) -> str:
    names = {
        str: "text",
        bool: "yes or no",
        int: "a whole number",
        float: "a number",
        dict: "a table",
        list: "a list",
        date: "a day",
        time: "an hour",
        datetime: "a date and a time",
    }
    shown = raw if isinstance(raw, date | time) else repr(raw)
    return f"{shown} is {names[type(raw)]}"


def _unknown(name: str, known: Sequence[str]) -> str:
    return f"is not a key of this table; {_nearest(name, known)}"


def _nearest(word: str, known: Sequence[str]) -> str:
    close = get_close_matches(word, known, 1, 0.6)
    return f"did you mean {close[0]}?" if close else f"write one of: {', '.join(known)}."
