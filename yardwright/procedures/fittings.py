"""Fittings that water could come in by, as templates: what a boat should have, never that she has it.

The texts stand in ``fittings.toml``. A template only makes barriers: confirmed, they are hers like
any other, and nothing of them is proven yet.
"""

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from importlib.resources import files

from yardwright.procedures.fitting import ENDS, Fitting, Part, read_fittings
from yardwright.procedures.step import Has
from yardwright.procedures.ways_in import GOALS, Barrier, Look


class Aboard(StrEnum):
    """Whether she has a fitting."""

    HAS = "she has it"
    HASNT = "she hasn't it"
    NOT_SAID = "not said yet"


@dataclass(frozen=True, slots=True)
class Proposal:
    """A fitting with what is known of it on this boat.

    ``because`` says what suggests it, empty for nothing; ``listed`` are its ways in on her list,
    ``missing`` the parts usual beside those; ``look`` is who said whether she has it.
    """

    fitting: Fitting
    because: str
    aboard: Aboard
    listed: tuple[str, ...] = ()
    missing: tuple[Part, ...] = ()
    look: Look | None = None


@cache
def fittings() -> tuple[Fitting, ...]:
    """The templates that Yardwright comes with, in the order of a walk round."""
    return read_fittings(files(__package__).joinpath("fittings.toml").read_text(encoding="utf-8"))


def fitting(code: str) -> Fitting:
    """Find a template by its code.

    Raises
    ------
    ValueError
        There is none; lists those there are.
    """
    for one in fittings():
        if one.code == code:
            return one
    raise ValueError(f"no fitting {code!r}; give one of {', '.join(f.code for f in fittings())}.")


def hers(
    has: frozenset[Has], barriers: Iterable[Barrier], looks: Iterable[Look]
) -> tuple[Proposal, ...]:
    """Which fittings she should have by her equipment, and which she is known to have or not.

    Parameters
    ----------
    has : frozenset of Has
        Her equipment.
    barriers : iterable of Barrier
        The ways in on her list; a fitting is found again by their names, or by the spaces in it.
    looks : iterable of Look
        Looks at ``Fitting.aboard``; others are left out. The last one counts.

    Returns
    -------
    tuple of Proposal
        Every template. What stands on her list she has, whatever was said; of the rest, what was
        said counts, unless it was said to be there and has left the list since.
    """
    barriers, looks = tuple(barriers), tuple(looks)
    return tuple(_proposal(one, has, barriers, looks) for one in fittings())


def parts_of(one: Fitting, has: frozenset[Has]) -> tuple[Part, ...]:
    """The parts of a fitting that a boat with this equipment has."""
    return tuple(p for p in one.parts if p.needs <= has and not p.unless & has)


def barriers_of(
    one: Fitting, has: frozenset[Has], before: Collection[Barrier]
) -> tuple[Barrier, ...]:
    """A fitting's barriers for a boat, bore and depth not known.

    Parameters
    ----------
    one : Fitting
        The template.
    has : frozenset of Has
        Her equipment: a part she has nothing for is left out.
    before : collection of Barrier
        Her list: a second fitting of one kind gets names and spaces of its own.

    Returns
    -------
    tuple of Barrier
        From the sea inwards.
    """
    taken = {text for b in before for text in (b.name, b.outside, b.inside)} - set(ENDS)
    parts = parts_of(one, has)
    own = {part.name for part in parts} | one.spaces
    number = next(n for n in range(1, len(before) + 2) if not taken & {_nth(w, n) for w in own})
    return tuple(
        Barrier(
            _nth(part.name, number),
            part.kind,
            _nth(part.outside, number),
            _nth(part.inside, number),
        )
        for part in parts
    )


def without(barriers: Iterable[Barrier], left_off: Collection[str]) -> tuple[Barrier, ...]:
    """A fitting's barriers where she has not all of them.

    Parameters
    ----------
    barriers : iterable of Barrier
        As the template has them.
    left_off : collection of str
        Names of those she hasn't.

    Returns
    -------
    tuple of Barrier
        The others. Where nothing stands before a space in the fitting, a hose without a seacock,
        water is there already: what lies behind it starts where the missing one did.
    """
    kept, gone = [], {}
    for barrier in barriers:
        if barrier.name not in left_off:
            kept.append(barrier)
        elif barrier.inside not in GOALS:
            gone[barrier.inside] = barrier.outside

    def from_outside(place: str) -> str:
        while place in gone:
            place = gone[place]
        return place

    return tuple(replace(barrier, outside=from_outside(barrier.outside)) for barrier in kept)


def opened_by(kind: str) -> tuple[tuple[Fitting, Part], ...]:
    """The parts that a kind of put-back leaves open, each with its fitting."""
    return tuple((one, part) for one in fittings() for part in one.parts if kind in part.opened_by)


def stands_open(kind: str, barriers: Iterable[Barrier]) -> str:
    """Which of her barriers a kind of put-back leaves open, where just one is known for it.

    Parameters
    ----------
    kind : str
        Code of the put-back kind.
    barriers : iterable of Barrier
        Her list.

    Returns
    -------
    str
        Its name; empty where none or several of hers bear a usual name for it.
    """
    usual = {part.name for _, part in opened_by(kind)}
    found = [b.name for b in barriers if _first(b.name) in usual]
    return found[0] if len(found) == 1 else ""


def _proposal(
    one: Fitting, has: frozenset[Has], barriers: Sequence[Barrier], looks: Sequence[Look]
) -> Proposal:
    said = [look for look in looks if look.at_what == one.aboard]
    look = max(said, key=lambda look: (look.at, not look.holds), default=None)
    listed = _listed(one, barriers)
    words = sorted(one.for_any & has)
    because = f"she has: {', '.join(words)}" if words else "every boat" if one.every_boat else ""
    return Proposal(one, because, _aboard(listed, look), listed, _missing(one, has, listed), look)


def _aboard(listed: Sequence[str], look: Look | None) -> Aboard:
    if listed:
        return Aboard.HAS
    return Aboard.HASNT if look and not look.holds else Aboard.NOT_SAID


def _missing(one: Fitting, has: frozenset[Has], listed: Sequence[str]) -> tuple[Part, ...]:
    if not listed:
        return ()
    there = {_first(name) for name in listed}
    return tuple(part for part in parts_of(one, has) if part.name not in there)


def _listed(one: Fitting, barriers: Sequence[Barrier]) -> tuple[str, ...]:
    names, spaces = {part.name for part in one.parts}, one.spaces
    return tuple(
        b.name
        for b in barriers
        if _first(b.name) in names or spaces & {_first(b.outside), _first(b.inside)}
    )


def _nth(word: str, number: int) -> str:
    return word if number == 1 or word in ENDS else f"{word} {number}"


def _first(word: str) -> str:
    return re.sub(r" \d+$", "", word)
