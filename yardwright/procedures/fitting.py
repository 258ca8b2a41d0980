"""One fitting and its parts: their shape, and how they are read from ``fittings.toml``."""

import tomllib
from dataclasses import dataclass

from yardwright.procedures.step import Has
from yardwright.procedures.ways_in import GOALS, SEA, SOURCES, BarrierKind

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
