"""A season file becomes a season, or every fault in it a sentence with its line."""

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from pathlib import Path as File
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from yardwright.season.fault import Fault
from yardwright.season.faults import faults
from yardwright.season.lines import Path, line_of, lines_of
from yardwright.season.model import VERSION, Season
from yardwright.season.shape import Bad, Reader
from yardwright.season.still_to_come import still_to_come

_COMMA = re.compile(r"^\s*(\w+)\s*=\s*(-?\d+),(\d+)\s*(?:#.*)?$")
_CLOCK = re.compile(r"(?<![\d:])(\d\d:\d\d)(?![\d:])")
_AT = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$")


class BadSeason(ValueError):  # noqa: N818  # said aloud it is what it is
    """A season file with faults; ``sentences`` has one for each, with file, line and field."""

    def __init__(self, sentences: Iterable[str]) -> None:
        self.sentences = tuple(sentences)
        super().__init__("\n".join(self.sentences))


def read_file(file: File, now: datetime | None = None) -> Season:
    """Read a season from a file; see ``read``.

    Raises
    ------
    BadSeason
        As ``read``; also where there is no such file, or it is not UTF-8 text.
    """
    return read(text_of(file), file.name, now)


def text_of(file: File) -> str:
    """The text of a season file."""
    try:
        return file.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise BadSeason([f"{file.name} is not UTF-8 text; save it as UTF-8."]) from error
    except OSError as error:
        raise BadSeason([f"{file} can't be read ({error.strerror}); check the name."]) from error


def read(text: str, name: str = "season file", now: datetime | None = None) -> Season:
    """Read a season.

    Parameters
    ----------
    text : str
        TOML, as ``docs/season-file.md`` describes it.
    name : str
        The file's name, for the sentences.
    now : datetime, optional
        For a yard that goes by what is done: then what was done later is a fault. Aware.

    Returns
    -------
    Season
        Without a fault; ask ``odd.questions`` for what is odd.

    Raises
    ------
    BadSeason
        All its faults at once, in the order of their lines. A text that is no TOML is read no
        further than that.
    """
    found = _syntax(text)
    if isinstance(found, list):
        raise BadSeason(f"{name}, line {line}: {says}" for line, says in found)
    season = _season(found, now)
    if isinstance(season, list):
        raise BadSeason(sentences(season, text, name))
    return season


def sentences(found: Iterable[Fault], text: str, name: str) -> list[str]:
    """Say where in a file each fault stands: file, line, field."""
    lines, document = lines_of(text), tomllib.loads(text)
    placed = sorted(
        ((line_of(fault.path, lines), fault) for fault in dict.fromkeys(found)),
        key=lambda pair: pair[0],
    )
    return [f"{name}, line {line}: {_field(f.path, document)}{f.says}" for line, f in placed]


def _syntax(text: str) -> Mapping[str, object] | list[tuple[int, str]]:
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        commas = list(_commas(text))
        return commas or [_unreadable(text, str(error))]


def _commas(text: str) -> Iterator[tuple[int, str]]:
    for number, line in enumerate(text.split("\n"), 1):
        if comma := _COMMA.match(line):
            key, whole, rest = comma.groups()
            or_whole = (
                f", or {key} = {whole}{rest} if thousands are meant" if len(rest) == 3 else ""
            )
            yield (
                number,
                f"{key}: {whole},{rest} has a comma; write {key} = {whole}.{rest}{or_whole}.",
            )


def _unreadable(text: str, says: str) -> tuple[int, str]:
    where, lines = _AT.search(says), text.split("\n")
    number = int(where[1]) if where and where[1] else len(lines)
    line = lines[number - 1] if lines else ""
    if clock := _CLOCK.search(line):
        return number, f"{clock[1]} lacks its seconds; write {clock[1]}:00."
    if "overwrite" in says or "twice" in says:
        return number, f"{line.strip()!r} stands there already; keep one of the two."
    return number, f"{_AT.sub('', says)}: {line.strip()!r}; write key = value, text in quotes."


def _season(document: Mapping[str, object], now: datetime | None) -> Season | list[Fault]:
    version, zone = _version(document.get("version")), _zone(document)
    if "newer" in version:  # what else is in it nobody here can judge
        return [Fault(("version",), version)]
    reader = Reader(zone if isinstance(zone, ZoneInfo) else ZoneInfo("UTC"), [])
    first = [Fault(("version",), version)] if version else []
    first += [] if isinstance(zone, ZoneInfo) else [Fault(("yard", "zone"), zone)]
    try:
        season = reader.table(Season, document, ())
    except Bad:
        told = {fault.path for fault in first}
        return [*first, *(fault for fault in reader.faults if fault.path not in told)]
    if first:
        return first
    return [*faults(season), *(still_to_come(season, now) if now else ())] or season


def _version(version: object) -> str:
    if version == VERSION and type(version) is int:
        return ""
    if type(version) is int and version > VERSION:
        return f"{version} is newer than this Yardwright reads, {VERSION}; install the newer Yardwright."
    return f"is {'missing' if version is None else repr(version)}; write version = {VERSION} on the first line."


def _zone(document: Mapping[str, object]) -> ZoneInfo | str:
    yard = document.get("yard")
    name = yard.get("zone") if isinstance(yard, dict) else None
    if not isinstance(name, str):
        return 'is missing; write the yard\'s time zone, such as zone = "America/New_York".'
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return f"{name!r} is no time zone; write its IANA name, such as America/New_York."


def _field(path: Path, document: object) -> str:
    """The words for a path: a boat's or a person's own name where there is one."""
    words: list[str] = []
    for step in path:
        if isinstance(step, int):
            document = (
                document[step] if isinstance(document, list) and step < len(document) else None
            )
            words[-1:] = [_own_name(document) or f"{words[-1]} {step + 1}"] if words else []
        else:
            words.append(step)
            document = document.get(step) if isinstance(document, dict) else None
    return f"{', '.join(words)}: " if words else ""


def _own_name(entry: object) -> str:
    named = entry if isinstance(entry, dict) else {}
    name = next((named[key] for key in ("name", "what") if key in named), "")
    return name.strip() if isinstance(name, str) else ""
