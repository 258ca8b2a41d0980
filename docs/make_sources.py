"""Write docs/sources.md anew: ``./dev sources``.

Its rows are `tests/data/outside_checks` and `how_sure.toml`, worked out as the sums stand: what is asked, who
printed which answer, what ours is, and by how much it is off.
"""

import sys
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import ceil, log10
from pathlib import Path

from tests.calc import test_how_sure as how_sure
from yardwright.sums import sums
from yardwright.sums.sum import Subject, Sum, Told

PAGE = Path(__file__).parent / "sources.md"
CHECKS = Path(__file__).parents[1] / "tests" / "data" / "outside_checks"
NO_PAGE = "-"
BY_HAND = "by hand: "
HEAD = """# Where the sums are checked

Each sum of Yardwright is held against answers that somebody else printed: a standard, a handbook's
table, a worked example, another program, or the same sum by hand. `tests/sums` works out every row
below again and fails where ours is further off than *their rounding*; `./dev sources` writes this
page. Where sources conflict, each is checked as the one that the yard chose.

{by_hand} of the {all} rows of the sums are *by hand*: the sum's own formula with pencil and paper, which
finds a slip in the program and no fault of the formula. {alone}
"""
COLUMNS = """| asked | who says so | theirs | ours | off by | their rounding |
|---|---|--:|--:|--:|--:|
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Check:
    """One answer from outside, as `tests/data/outside_checks` has it. ``sum`` names the sum."""

    sum: str
    given: Mapping[str, str]
    answer: str
    theirs: float
    within: float
    source: str
    page: str


def checks() -> tuple[Check, ...]:
    """All checks, file by file."""
    texts = (file.read_text(encoding="utf-8") for file in sorted(CHECKS.glob("*.toml")))
    return tuple(Check(**row) for text in texts for row in tomllib.loads(text)["check"])


def page() -> str:
    """The whole page."""
    return "\n".join([_head(checks()), *_subjects(checks()), *_how_sure()])


def _head(found: tuple[Check, ...]) -> str:
    alone = sorted(by_hand_alone())
    told = f"By hand alone: {', '.join(f'`{name}`' for name in alone)}." if alone else ""
    return HEAD.format(by_hand=sum(map(_by_hand, found)), all=len(found), alone=told)


def by_hand_alone() -> set[str]:
    """Sums whose every row is worked by hand."""
    found = checks()
    return {check.sum for check in found} - {c.sum for c in found if not _by_hand(c)}


def _by_hand(check: Check) -> bool:
    return check.source.startswith(BY_HAND)


def _subjects(found: tuple[Check, ...]) -> Iterator[str]:
    for subject in Subject:
        told = [one for one in sums().values() if one.subject == subject]
        if told:
            yield f"## {subject}\n"
        for one in told:
            mine = [check for check in found if check.sum == one.name]
            rows = "\n".join(_row(one, check) for check in mine)
            yield f"### {one.title}\n\n`yardwright {one.name}`: {one.formula}\n\n{COLUMNS}{rows}\n"


def _how_sure() -> Iterator[str]:
    yield f"## How sure a reading is\n\n{COLUMNS.rstrip()}"
    for name, rows in how_sure.VECTORS.items():
        for row in rows:
            ours, theirs, within = (
                how_sure.BY_NAME[name](**row["input"]),
                row["expected"],
                row["tol"],
            )
            asked = ", ".join(f"{key} = {value:g}" for key, value in row["input"].items())
            numbers = (_number(value, within) for value in (theirs, ours, ours - theirs))
            yield f"| {name}: {asked} | {row['source']} | {' | '.join(numbers)} | {within:g} |"
    yield ""


def _row(one: Sum, check: Check) -> str:
    answer = one.answer(check.given)
    told = next(told for told in answer.numbers if told.key == check.answer)
    labels = {field.key: field.label for field in one.fields}
    asked = "; ".join(f"{labels[key]}: {typed}" for key, typed in check.given.items())
    page = f"p. {check.page}" if check.page[0].isdigit() else check.page
    source = check.source if check.page == NO_PAGE else f"{check.source}, {page}"
    cells = (
        f"{asked}. {told.label}?",
        source,
        _number(check.theirs, check.within, told),
        _number(told.value, check.within, told),
        _number(told.value - check.theirs, check.within),
        f"{check.within:g}",
    )
    return f"| {' | '.join(cell.replace('|', '/') for cell in cells)} |"


def _number(value: float, within: float, told: Told | None = None) -> str:
    """As exact as shows whether it is within the rounding."""
    decimals = min(6, max(0, ceil(-log10(within)) + 1)) if within else 3
    said = f"{round(value, decimals) + 0.0:.{decimals}f}"  # + 0.0: no -0.00
    return f"{said.rstrip('0').rstrip('.') if '.' in said else said}{_unit(told)}"


def _unit(told: Told | None) -> str:
    return f" {told.unit}" if told and told.unit else ""


def unchecked() -> set[str]:
    """Sums without a row."""
    return sums().keys() - {check.sum for check in checks()}


def main() -> None:
    """Write the page; tell what has no row."""
    PAGE.write_text(page(), encoding="utf-8")
    if missing := sorted(unchecked()):
        sys.exit(f"No check: {', '.join(missing)}.")


if __name__ == "__main__":
    main()
