"""The yard's own steps and things left undone, beside those that Yardwright comes with."""

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import MISSING, fields
from enum import StrEnum

from yardwright.procedures import order
from yardwright.procedures.put_backs import Harm, Proof
from yardwright.procedures.step import Season, Step
from yardwright.procedures.steps import KINDS, Book, Row, going_by, made, shipped, shipped_tables

OWN, HARM = "the yard's own", "harm"


def book_with(own: Mapping[str, Row | None]) -> Book:
    """The book with the yard's own steps.

    Parameters
    ----------
    own : mapping of str to Row or None
        By code: a step as ``written`` says it, None where the yard leaves the step out; or a
        thing of its own that can be left undone, which is known by its ``harm``.

    Returns
    -------
    Book
        With the steps in their order.

    Raises
    ------
    ValueError
        Why that is no sound book, a sentence a line: something undone that nothing proves back,
        a put-back proven too late or with a spark about, a caution that falls silent.
    """
    rows = shipped_tables()
    shipped_codes = {code for name in rows for code in rows[name]}
    added = {c: row for c, row in own.items() if row is not None and c not in shipped_codes}
    things = {code: row for code, row in added.items() if HARM in row}
    tables = {name: _in_place(rows[name], own) for name in rows if name != KINDS}
    tables[KINDS] = {**rows[KINDS], **things}
    tables[OWN] = {code: row for code, row in added.items() if code not in things}
    try:
        book = made(tables, frozenset(things))
    except ValueError as error:
        raise ValueError(_in_words(str(error), tables)) from error
    if faults := [*_silent(book), *_wrong_order(book), *_unseen(book, things)]:
        raise ValueError("\n".join(faults))
    return book


def _in_place(rows: Mapping[str, Row], own: Mapping[str, Row | None]) -> Mapping[str, Row]:
    """What the yard changed stands where it stood: inside a stage that is its place.

    What fills a boat with water does so in other words too.
    """
    changed = {code: own.get(code, row) for code, row in rows.items()}
    return {
        code: {**row, "refills": True} if rows[code].get("refills") else row
        for code, row in changed.items()
        if row is not None
    }


def _in_words(faults: str, tables: Mapping[str, Mapping[str, Row]]) -> str:
    """Faults by what a step or a thing undone is called, in place of files and codes."""
    names = {
        code: f"“{row.get('title') or row.get('what') or code}”"
        for rows in (shipped_tables()[KINDS], *shipped_tables().values(), *tables.values())
        for code, row in rows.items()
    }
    told = re.sub(
        r"^[^\n,]+, \[(\w+)\]:", lambda at: f"{names.get(at[1], at[1])}:", faults, flags=re.M
    )
    return re.sub(r"\b[a-z]+(?:_[a-z0-9]+)+\b", lambda at: names.get(at[0], at[0]), told)


def written(step: Step) -> Row:
    """A step as plain values, to keep and to read again."""
    return {
        field.name: _plain(value)
        for field in fields(step)
        if field.name != "code"
        and (value := getattr(step, field.name)) != field.default
        and not (field.default is not MISSING and not value)
    }


def _plain(value: object) -> object:
    match value:
        case StrEnum():
            return str(value)
        case frozenset():
            return sorted(map(str, value))
        case tuple():
            return [_plain(one) for one in value]
        case _:
            return value


def _silent(book: Book) -> Iterator[str]:
    """A danger that a step warned of is still warned of."""
    named = {step.code: step for step in book.steps}
    for before in shipped().steps:
        step = named.get(before.code, before)
        if gone := set(before.hazards) - set(step.hazards):
            yield f"{step.title} no longer warns of {', '.join(sorted(gone))}."


def _unseen(book: Book, things: Iterable[str]) -> Iterator[str]:
    """What sinks, burns or ruins is seen by two, or measured; one name is one thing."""
    names = Counter(kind.what.casefold() for kind in book.kinds.values())
    for kind in (book.kinds[code] for code in things):
        by_two = kind.second or kind.proof in (Proof.MEASURED, Proof.RUN)
        if kind.harm in (Harm.SINKS, Harm.BURNS, Harm.RUINS) and not by_two:
            yield f"{kind.what}: forgotten, it {kind.harm}; two people prove it back, or it is measured."
        if names[kind.what.casefold()] > 1:
            yield f"{kind.what} is on the list already; give it a name of its own."


def _wrong_order(book: Book) -> Iterator[str]:
    with going_by(lambda: book):
        for season in Season:
            yield from order.refused([step for step in book.steps if step.season == season])
