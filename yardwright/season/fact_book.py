"""The fact book: every reference row in words, those that conflict beside each other."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from yardwright import refdata
from yardwright.calc.units import degrees
from yardwright.refdata import Curve, Datum, Grid, Row, Saying
from yardwright.season.model import Chosen

_UNITS = {"deg": "°", "m2": "m²", "m/s2": "m/s²", "1": ""}


@dataclass(frozen=True, slots=True)
class Fact:
    """One row of the book. ``stands`` is empty where no source conflicts with it."""

    topic: str
    key: str
    row: Row
    stands: str = ""
    why: str = ""

    @property
    def what(self) -> str:
        """Its address in the book: ``flooding/standard_gravity``."""
        return f"{self.topic}/{self.key}"

    @property
    def tells(self) -> str:
        """What it is, as a mechanic would ask for it."""
        return degrees(self.row.tells) or self.key.replace("_", " ").capitalize()

    @property
    def value(self) -> str:
        """The number with its unit, the printed column, or the rule."""
        return "; ".join(self.lines)

    @property
    def lines(self) -> tuple[str, ...]:
        """The same, a printed table's rows each by itself."""
        return tuple(degrees(line) for line in _said(self.row))

    @property
    def table(self) -> tuple[tuple[str, ...], ...]:
        """A printed column or table: its head, then its rows; empty for the rest."""
        return tuple(_table(self.row))

    @property
    def evidence(self) -> str:
        """Who says so, where, and how far to trust it."""
        row = self.row
        page = row.page if row.page not in ("", refdata.NO_PAGE) else ""
        where = f", {_page(page)}" if page and page not in row.source else ""
        if row.trust == "common practice" and row.source.startswith("Common practice"):
            return degrees(f"{row.source}{where}.")
        return degrees(f"{row.source}{where}. {trusted(row)}")


@dataclass(frozen=True, slots=True)
class Group:
    """Rows that answer the same question, the one used first; mostly one row alone."""

    topic: str
    key: str  # of the row that is used unless the yard chooses
    facts: tuple[Fact, ...]

    @property
    def what(self) -> str:
        """What a choice between its rows is filed under."""
        return f"{self.topic}/{self.key}"

    @property
    def conflicts(self) -> bool:
        """Sources give different answers."""
        return len(self.facts) > 1


def trusted(row: Row) -> str:
    """How far to trust a row, in words."""
    if row.trust == "read":
        return f"Read {row.seen:%B %Y}."
    if row.trust == "from memory":
        return "From memory: nobody has read the page yet."
    return "Common practice of the trade, no single source."


def title(topic: str) -> str:
    """A topic as a heading: ``Hull number``."""
    return topic.replace("_", " ").capitalize()


def topic_named(words: str) -> str | None:
    """The topic that somebody means by these words, if they are one's name."""
    name = "_".join(words.casefold().replace("-", " ").split())
    return name if name in refdata.names() else None


def topic(name: str, chosen: Mapping[str, Chosen] | None = None) -> tuple[Group, ...]:
    """All rows of one table.

    Parameters
    ----------
    name : str
        The table's name, such as ``flooding``.
    chosen : mapping of str to Chosen
        The yard's choices between sources, by what they are about.

    Returns
    -------
    tuple of Group
        In the order of the file, each row beside those it conflicts with.

    Raises
    ------
    FileNotFoundError
        No such table; the message lists those there are.
    """
    rows = refdata.rows(name)
    heads = (key for key, row in rows.items() if not row.instead_of)
    return tuple(_group(name, key, (chosen or {}).get(f"{name}/{key}")) for key in heads)


def found(words: str, chosen: Mapping[str, Chosen] | None = None) -> tuple[Group, ...]:
    """The rows of all tables in which every one of these words stands, with what they conflict with."""
    asked = words.casefold().split()
    groups = (group for name in refdata.names() for group in topic(name, chosen))
    return tuple(
        group
        for group in groups
        if any(all(word in _text(fact) for word in asked) for fact in group.facts)
    )


def stands(choice: Chosen) -> bool:
    """The rows that it speaks of are still in the book; a newer book may name them otherwise."""
    name, _, key = choice.what.partition("/")
    rows = refdata.rows(name) if name in refdata.names() else {}
    return key in rows and choice.row in refdata.rivals(name, key)


def _text(fact: Fact) -> str:
    parts = (title(fact.topic), fact.key, fact.tells, fact.value, fact.evidence)
    return " ".join(parts).casefold()


def _group(name: str, key: str, choice: Chosen | None) -> Group:
    rows = refdata.rivals(name, key)
    if len(rows) == 1:
        return Group(name, key, (Fact(name, key, rows[key]),))
    chosen = choice if choice and stands(choice) else None
    used = chosen.row if chosen else key
    why = f"{chosen.reason} ({chosen.by})" if chosen else degrees(rows[key].why)
    first = Fact(name, used, rows[used], "chosen by the yard" if chosen else "used", why)
    rest = (
        Fact(name, k, row, "not used", degrees(row.why)) for k, row in rows.items() if k != used
    )
    return Group(name, key, (first, *rest))


def unit(printed: str) -> str:
    """A unit as the page shows it: the file writes ``degC``."""
    return _UNITS.get(printed, degrees(printed))


def _said(row: Row) -> Iterator[str]:
    match row:
        case Datum():
            yield f"{row.value:g} {unit(row.unit)}".strip()
        case Curve():
            pairs = ", ".join(f"{y:g} at {x:g}" for x, y in zip(row.x, row.y, strict=True))
            yield f"{pairs} ({_axes(row.y_unit, row.x_unit)})"
        case Grid():
            across = ", ".join(f"{x:g}" for x in row.across)
            yield f"{row.down_is} against {across} {unit(row.across_unit)}".strip()
            for name, numbers in row.down.items():
                yield f"{name}: {', '.join(f'{n:g}' for n in numbers)} {unit(row.unit)}".strip()
        case Saying():
            yield row.says


def _table(row: Row) -> Iterator[tuple[str, ...]]:
    match row:
        case Curve():
            yield (unit(row.x_unit), *(f"{x:g}" for x in row.x))
            yield (unit(row.y_unit), *(f"{y:g}" for y in row.y))
        case Grid():
            of = f" ({unit(row.unit)})" if unit(row.unit) else ""
            across = (f"{x:g} {unit(row.across_unit)}".strip() for x in row.across)
            yield (f"{row.down_is}{of}", *across)
            for name, numbers in row.down.items():
                yield (name, *(f"{number:g}" for number in numbers))
        case Datum() | Saying():
            return


def _axes(y_unit: str, x_unit: str) -> str:
    return f"{unit(y_unit) or 'a pure number'} at {unit(x_unit) or 'a pure number'}"


def _page(page: str) -> str:
    return f"page {page}" if page[0].isdigit() and " " not in page else page
