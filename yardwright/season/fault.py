"""One fault: where in a season it stands, and the sentence that says what to write instead."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches

from yardwright.season.lines import Path
from yardwright.season.model import OnDay


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong or odd: where it stands in the season, and a sentence."""

    path: Path
    says: str


def not_among(path: Path, kind: str, name: str, known: Sequence[str]) -> Iterator[Fault]:
    """A fault if a name is not among those there are; says the nearest."""
    if name in known:
        return
    close = get_close_matches(name, known, 1, 0.6)
    there = f"did you mean {close[0]!r}?" if close else f"there are: {', '.join(known) or 'none'}."
    yield Fault(path, f"no {kind} {name!r}; {there}")


def measures(path: Path, given: Iterable[tuple[str, float | None, float]]) -> Iterator[Fault]:
    """Of each size that is known: more than nothing, and no more than can be."""
    for key, value, most in given:
        if value is not None and not 0 < value <= most:
            yield Fault(
                (*path, key), f"{value:g}; give more than 0, up to {most:g}, or leave it out."
            )


def on_day_faults(given: Iterable[OnDay], path: Path) -> Iterator[Fault]:
    """Hours of single days that go backwards."""
    for number, one in enumerate(given):
        if one.starts >= one.ends:
            says = (
                f"{one.day} {one.starts:%H:%M} to {one.ends:%H:%M} goes backwards; end it later on "
                "the same day."
            )
            yield Fault((*path, number), says)
