"""The answers to a surprise: each with its plan, what it costs, and what changes, in words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import cast

from yardwright.calc.counting import count
from yardwright.season.published import Json, Published, as_json, from_json


@dataclass(frozen=True, slots=True)
class Changed:
    """All that changes for one boat, her launch first."""

    boat: str
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer: its plan, what it costs those who know the one that holds, and what changes.

    Days late count beyond the plan that holds, or beyond the promise where that is later. No change
    can do with fewer launches moved than ``least_launches``.
    """

    plan: Published
    ink_days: int
    launches: int
    jobs: int
    pencil_days: int
    handed_on: int
    overtime_min: int
    changes: tuple[Changed, ...]
    least_launches: int = 0

    @property
    def sentence(self) -> str:
        """What it costs, the Ink first."""
        lost = [one.boat for one in self.plan.not_planned if one.ink]
        kept = f"No {'other ' * bool(lost)}day in Ink is lost by it"
        said = [
            *([f"Told in Ink and not planned: {', '.join(lost)}"] if lost else []),
            f"Ink {_days(self.ink_days)} later" if self.ink_days else kept,
            f"{self._launches} and {count(self.jobs, 'job')} move",
            f"Pencil {_days(self.pencil_days)} later" if self.pencil_days else "no Pencil is lost",
        ]
        if self.handed_on:
            said.append(f"{count(self.handed_on, 'job')} change hands")
        return "; ".join(said) + "."

    @property
    def _launches(self) -> str:
        least = f" (no change can do with fewer than {self.least_launches})"
        return f"{count(self.launches, 'launch', 'launches')}{least * (self.least_launches > 0)}"

    @property
    def overtime_h(self) -> float:
        """Hours of overtime in the whole plan."""
        return round(self.overtime_min / 60, 1)


def _days(days: int) -> str:
    return count(days, "boat-day")


def choices_json(choices: Sequence[Choice]) -> list[dict[str, object]]:
    """The answers as plain JSON."""
    return [
        {
            "plan": as_json(one.plan),
            **{name: getattr(one, name) for name in COUNTS},
            "changes": [[changed.boat, list(changed.words)] for changed in one.changes],
        }
        for one in choices
    ]


COUNTS = (
    "ink_days",
    "launches",
    "jobs",
    "pencil_days",
    "handed_on",
    "overtime_min",
    "least_launches",
)


def choices_of(kept: Sequence[Json]) -> tuple[Choice, ...]:
    """Read what ``choices_json`` wrote."""
    return tuple(_choice_of(one) for one in kept)


def _choice_of(kept: Json) -> Choice:
    changes = cast("Sequence[tuple[str, Sequence[str]]]", kept["changes"])
    counts = cast("Mapping[str, int]", {name: kept.get(name, 0) for name in COUNTS})
    return Choice(
        plan=from_json(cast("Json", kept["plan"])),
        **counts,
        changes=tuple(Changed(boat, tuple(words)) for boat, words in changes),
    )
