"""Practice boats: what a teacher can leave undone on one, and how well it was found."""

from collections import defaultdict
from collections.abc import Collection
from dataclasses import dataclass
from random import Random

from yardwright.procedures.put_backs import Harm, Proof
from yardwright.procedures.step import Has, Hazard, PutBackKind, Season, System
from yardwright.procedures.steps import book, steps_for


@dataclass(frozen=True, slots=True)
class Score:
    """What somebody named on a practice boat, against what was planted there; codes of kinds."""

    found: tuple[str, ...]
    missed: tuple[str, ...]
    though_sound: tuple[str, ...]

    @property
    def sentence(self) -> str:
        """2 of 3 found; 1 named that is as it should be."""
        asked = len(self.found) + len(self.missed)
        sound = f"; {len(self.though_sound)} named though sound" if self.though_sound else ""
        return f"{len(self.found)} of {asked} found{sound}"


def can_be_planted(has: frozenset[Has]) -> tuple[PutBackKind, ...]:
    """All that can be left undone on a boat with this, nastiest first."""
    codes = {code for season in Season for step in steps_for(has, season) for code in step.opens}
    kinds = (kind for kind in book().kinds.values() if kind.code in codes)
    return tuple(sorted(kinds, key=lambda kind: (kind.harm.rank, kind.what)))


DANGERS = frozenset(
    {
        Hazard.LIFTING,
        Hazard.OVERHEAD,
        Hazard.GAS,
        Hazard.SHORE_POWER,
        Hazard.PETROL,
        Hazard.SPRAY,
        Hazard.CARBON_MONOXIDE,
    }
)


def drawn_from(has: frozenset[Has]) -> tuple[PutBackKind, ...]:
    """What the dice may leave undone: nothing that hurts who looks, nothing only a run would show."""
    steps = [step for season in Season for step in steps_for(has, season)]
    hurts = {
        code
        for step in steps
        if not DANGERS.isdisjoint(step.hazards)
        for code in (*step.opens, *step.proves)
    }
    return tuple(
        kind
        for kind in can_be_planted(has)
        if kind.code not in hurts and kind.proof != Proof.RUN and kind.system != System.RIG
    )


def drawn(has: frozenset[Has], count: int, seed: int) -> tuple[str, ...]:
    """Draw what to plant: one that sinks her, then from one part of the boat after the other.

    Parameters
    ----------
    has : frozenset of Has
        What the practice boat has.
    count : int
        How many faults.
    seed : int
        Same seed, same faults.

    Returns
    -------
    tuple of str
        Codes of put-back kinds.

    Raises
    ------
    ValueError
        Less than one, or more than there are.
    """
    kinds = drawn_from(has)
    if not 1 <= count <= len(kinds):
        raise ValueError(f"{count} faults; on such a boat the dice may draw 1 to {len(kinds)}.")
    dice = Random(seed)  # noqa: S311 - no secret
    sinks = [kind.code for kind in kinds if kind.harm == Harm.SINKS]
    some = [dice.choice(sinks)] if sinks else []
    parts: defaultdict[System, list[str]] = defaultdict(list)
    for kind in kinds:
        if kind.code not in some:
            parts[kind.system].append(kind.code)
    while len(some) < count:
        for system in dice.sample(sorted(parts), len(parts)):
            if parts[system] and len(some) < count:
                some.append(parts[system].pop(dice.randrange(len(parts[system]))))
    return tuple(some)


def score(planted: Collection[str], named: Collection[str]) -> Score:
    """What was found of what was planted.

    Parameters
    ----------
    planted : collection of str
        Codes of what the teacher left undone.
    named : collection of str
        Codes of what somebody says is undone.
    """
    return Score(
        tuple(code for code in planted if code in named),
        tuple(code for code in planted if code not in named),
        tuple(code for code in dict.fromkeys(named) if code not in planted),
    )
