"""Fittings that water could come in by, as templates: what a boat should have, never that she has it.

The texts stand in ``fittings.toml``. A template only makes barriers: confirmed, they are hers like
any other, and nothing of them is proven yet.
"""

import re
import tomllib
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from functools import cache
from importlib.resources import files

from yardwright.procedures.step import Has
from yardwright.procedures.ways_in import GOALS, SEA, SOURCES, Barrier, BarrierKind, Look

ENDS = (*SOURCES, *GOALS)
BORE_TRUST = "from memory"  # each usual bore; a measured one stands on the boat's own list


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One barrier of a fitting.

    ``needs`` is what she must have for it, ``unless`` what she must not have; ``opened_by`` are the
    put-back kinds that open it, ``usual_bore_mm`` what to expect, as a hint beside the field; None where nothing is usual.
    """

    name: str
    kind: BarrierKind
    outside: str
    inside: str
    proof: str
    needs: frozenset[Has] = frozenset()
    unless: frozenset[Has] = frozenset()
    opened_by: tuple[str, ...] = ()
    usual_bore_mm: tuple[float, float] | None = None

    @property
    def in_the_sea(self) -> bool:
        """One side of it is the sea: a hole in the hull, with a depth."""
        return SEA in (self.outside, self.inside)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """One fitting, and why it matters; ``for_any`` is what a boat has that suggests it."""

    code: str
    title: str
    why: str
    if_forgotten: str
    rests_on: str
    parts: tuple[Part, ...]
    for_any: frozenset[Has] = frozenset()
    every_boat: bool = False

    @property
    def aboard(self) -> str:
        """What a look at whether she has it is a look at."""
        return f"{self.title} aboard"

    @property
    def spaces(self) -> frozenset[str]:
        """The places inside it, between two barriers."""
        return frozenset(
            place for part in self.parts for place in (part.outside, part.inside)
        ) - set(ENDS)


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


def read_fittings(text: str) -> tuple[Fitting, ...]:
    """Read templates from TOML.

    Raises
    ------
    ValueError
        An unknown word, a text left out, two parts of one name, or water that can't pass from
        outside to inside by some part; the message names fitting and part.
    """
    found = []
    for code, row in tomllib.loads(text).items():
        try:
            found.append(_fitting(code, row))
        except (KeyError, TypeError, ValueError) as error:
            raise ValueError(f"[{code}]: {error}") from error
    names = [part.name for one in found for part in one.parts]
    if twice := {name for name in names if names.count(name) > 1}:
        raise ValueError(f"{', '.join(sorted(twice))}: in two places; give each its own name.")
    return tuple(found)


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


# --- from TOML ---------------------------------------------------------------


def _fitting(code: str, row: dict[str, object]) -> Fitting:
    rows = row["barriers"]
    if not isinstance(rows, list) or not rows:
        raise ValueError("no barriers; give at least one.")
    one = Fitting(
        code=code,
        parts=tuple(_part(part) for part in rows),
        for_any=_has(row.get("for_any", [])),
        every_boat=row.get("every_boat") is True,
        **{name: _text(row[name]) for name in ("title", "why", "if_forgotten", "rests_on")},
    )
    _leads_in(one)
    return one


def _part(row: dict[str, object]) -> Part:
    bore = row.get("usual_bore_mm")
    opened = row.get("opened_by", [])
    if not isinstance(opened, list):
        raise TypeError(f"opened_by is {opened!r}; give a list.")
    return Part(
        name=_text(row["name"]),
        kind=BarrierKind(_text(row["kind"])),
        outside=_text(row["from"]),
        inside=_text(row["to"]),
        proof=_text(row["proof"]),
        needs=_has(row.get("needs", [])),
        unless=_has(row.get("unless", [])),
        opened_by=tuple(_text(code) for code in opened),
        usual_bore_mm=_range(bore) if bore is not None else None,
    )


def _leads_in(one: Fitting) -> None:
    """Each space in it is reached from outside, and leads on to where water does harm."""
    outside, inside = {p.outside for p in one.parts}, {p.inside for p in one.parts}
    if lost := (outside - inside - set(SOURCES)) | (inside - outside - set(GOALS)):
        raise ValueError(f"{', '.join(sorted(lost))}: no way on; from sea or rain to {GOALS}.")


def _range(value: object) -> tuple[float, float]:
    if not isinstance(value, list) or len(value) != 2 or not 0 < value[0] <= value[1] <= 500:
        raise ValueError(f"usual_bore_mm is {value!r}; give least and most, up to 500.")
    return float(value[0]), float(value[1])


def _has(value: object) -> frozenset[Has]:
    if not isinstance(value, list):
        raise TypeError(f"{value!r} should be a list of what she has.")
    return frozenset(Has(word) for word in value)


def _text(value: object) -> str:
    if not isinstance(value, str) or not value.strip():
        raise ValueError(f"{value!r} should be a text.")
    return value
