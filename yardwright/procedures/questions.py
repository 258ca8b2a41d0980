"""Questions made from the book of steps and from the facts, each with its answer and its source."""

import re
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from enum import StrEnum
from functools import partial
from math import inf
from random import Random

from yardwright import refdata
from yardwright.calc.units import say
from yardwright.procedures.put_backs import Before, Proof
from yardwright.procedures.step import PutBackKind, Step
from yardwright.procedures.steps import book
from yardwright.refdata import Datum, rivals

WRONG = 3  # answers beside the right one, where there are so many
ALIKE = 0.6  # answers that share so much of their letters are not offered beside each other
FOR_SUMS = ("metrology", "hose_run", "promises", "papers", "going_in")  # nobody asks a hand about
MOST = {"%": 100.0, "": 1.0}  # an answer beyond these can't be
TIMES = (0.25, 0.4, 0.5, 0.65, 1.5, 2.0, 2.5, 4.0)  # a wrong number is so many times the right one


class About(StrEnum):
    """What a question is about."""

    FIRST = "what comes first"
    FORGOTTEN = "if it is forgotten"
    PROOF = "what proves it"
    CAUTION = "cautions"
    NUMBER = "numbers"


PROOFS: Mapping[Proof, str] = {
    Proof.LOOKED: "A look",
    Proof.FELT: "A hand or a spanner on it",
    Proof.MEASURED: "A reading",
    Proof.RUN: "She runs with it",
}


@dataclass(frozen=True, slots=True)
class Question:
    """One question; exactly one of its choices is right.

    ``key`` names what it was made from; ``step`` is the lesson where more of it stands, if it is
    of a step.
    """

    key: str
    about: About
    asks: str
    choices: tuple[str, ...]
    right: int
    why: str
    source: str
    step: str = ""


def question_set(seed: int, count: int = 10, about: About | None = None) -> tuple[Question, ...]:
    """A set of questions by the book that the yard goes by.

    Parameters
    ----------
    seed : int
        Same seed and book, same set.
    count : int
        How many, as far as there are.
    about : About, optional
        Only of this sort; else one sort after the other.
    """
    dice = Random(seed)  # noqa: S311 - no secret
    sorts = [about] if about else list(About)
    waiting = {sort: _shuffled(dice, MAKES[sort](dice)) for sort in sorts}
    some: list[Question] = []
    while len(some) < count and waiting:
        for sort in list(waiting):
            made = next(waiting[sort], None)
            if made is None:
                del waiting[sort]
            elif len(some) < count:
                some.append(made)
    return tuple(some)


Maker = Callable[[], Question | None]


def _shuffled(dice: Random, makers: Iterator[Maker]) -> Iterator[Question]:
    some = list(makers)
    dice.shuffle(some)
    return (question for make in some if (question := make()) is not None)


def _asked(
    dice: Random,
    key: str,
    about: About,
    asks: str,
    right: str,
    wrong: Sequence[str],
    told: tuple[str, str, str],
) -> Question | None:
    """The choices in any order; None where nothing plausible is wrong."""
    others: list[str] = []
    for one in dice.sample(list(wrong), len(wrong)):
        if len(others) < WRONG and all(not _alike(one, other) for other in (right, *others)):
            others.append(one)
    if not others:
        return None
    choices = dice.sample([right, *others], len(others) + 1)
    why, source, step = told
    return Question(key, about, asks, tuple(choices), choices.index(right), why, source, step)


def _alike(one: str, other: str) -> bool:
    return one == other or SequenceMatcher(None, one.lower(), other.lower()).ratio() > ALIKE


def _from_step(step: Step) -> str:
    return f"{step.source or f'The step: {step.title}'} ({step.trust})"


def _first(dice: Random) -> Iterator[Maker]:
    """Of steps that wait for one another the first."""
    steps = {step.code: step for step in book().steps}
    behind: defaultdict[str, set[str]] = defaultdict(set)
    for step in steps.values():
        for before in step.after:
            behind[before].add(step.code)

    def question(step: Step) -> Question | None:
        later = [steps[code] for code in sorted(_all_behind(behind, step.code))]
        next_one = steps[min(behind[step.code])]
        why = f"{next_one.title} waits for it. {step.why}"
        told = why, _from_step(step), step.code
        asks = "Which of these comes first?"
        titles = [one.title for one in later]
        return _asked(dice, f"first {step.code}", About.FIRST, asks, step.title, titles, told)

    for code in sorted(behind):
        yield partial(question, steps[code])


def _all_behind(behind: Mapping[str, set[str]], code: str) -> set[str]:
    found: set[str] = set()
    waiting = [code]
    while waiting:
        for one in behind.get(waiting.pop(), ()):
            if one not in found:
                found.add(one)
                waiting.append(one)
    return found


def _forgotten(dice: Random) -> Iterator[Maker]:
    """What comes of it; wrong is what comes of things that do another harm."""
    kinds = sorted(book().kinds.values(), key=lambda kind: kind.code)

    def question(kind: PutBackKind) -> Question | None:
        wrong = [other.if_forgotten for other in kinds if other.harm != kind.harm]
        asks = f"{kind.what}: what comes of it if that is forgotten?"
        why = f"The harm: {kind.harm}. It is put back before {_before(kind)}."
        told = why, f"What can be left undone: {kind.what} (common practice)", ""
        key = f"forgotten {kind.code}"
        return _asked(dice, key, About.FORGOTTEN, asks, kind.if_forgotten, wrong, told)

    for kind in kinds:
        yield partial(question, kind)


def _before(kind: PutBackKind) -> str:
    return {
        Before.START: "the start",
        Before.WATER: "she goes in",
        Before.HANDOVER: "she is handed over",
    }[kind.before]


def _proof(dice: Random) -> Iterator[Maker]:
    """The least that closes a put-back."""
    kinds = sorted(book().kinds.values(), key=lambda kind: kind.code)

    def question(kind: PutBackKind) -> Question | None:
        wrong = [words for proof, words in PROOFS.items() if proof != kind.proof]
        right = f"{PROOFS[kind.proof]}{', and a second person' if kind.second else ''}"
        why = f"If it is forgotten: {kind.if_forgotten}."
        told = why, f"What can be left undone: {kind.what} (common practice)", ""
        asks = f"{kind.what}: what is the least that proves it put back?"
        return _asked(dice, f"proof {kind.code}", About.PROOF, asks, right, wrong, told)

    for kind in kinds:
        yield partial(question, kind)


def _caution(dice: Random) -> Iterator[Maker]:
    """The caution of a step; wrong are cautions that speak of none of its hazards."""
    steps = [step for step in book().steps if step.hazards]

    def question(step: Step) -> Question | None:
        wrong = [
            other.caution
            for other in steps
            if not set(other.hazards) & set(step.hazards) and not _speaks(other.caution, step)
        ]
        told = f"The others are true, of other steps. {step.why}", _from_step(step), step.code
        asks = f"{step.title}: which caution stands in this step?"
        return _asked(dice, f"caution {step.code}", About.CAUTION, asks, step.caution, wrong, told)

    for step in sorted(steps, key=lambda step: step.code):
        yield partial(question, step)


def _speaks(caution: str, step: Step) -> bool:
    return any(re.search(rf"\b{hazard}", caution.lower()) for hazard in step.hazards)


def _number(dice: Random) -> Iterator[Maker]:
    """The value of a fact; wrong are other values in its unit."""
    rows = {
        f"{name}/{code}": row
        for name in refdata.names()
        if name not in FOR_SUMS
        for code, row in refdata.table(name).items()
        if row.tells and not row.instead_of and row.value and len(rivals(name, code)) == 1
    }

    def question(key: str, row: Datum) -> Question | None:
        right = say(row.value, row.unit)
        wrong = {say(row.value * times, row.unit): row.value * times for times in TIMES}
        wrong.pop(right, None)
        most = MOST.get(row.unit, inf) if row.value <= MOST.get(row.unit, inf) else inf
        wrong = {said: value for said, value in wrong.items() if value <= most}
        values = dict(dice.sample(sorted(wrong.items()), min(WRONG, len(wrong)))) | {
            right: row.value
        }
        choices = tuple(sorted(values, key=lambda one: values[one]))
        page = "" if row.page == refdata.NO_PAGE else f", {row.page}"
        return Question(
            key,
            About.NUMBER,
            f"{row.tells}?",
            choices,
            choices.index(right),
            row.why or f"It is {right}.",
            f"{row.source}{page} ({row.trust})",
        )

    for key, row in sorted(rows.items()):
        yield partial(question, key, row)


MAKES: Mapping[About, Callable[[Random], Iterator[Maker]]] = {
    About.FIRST: _first,
    About.FORGOTTEN: _forgotten,
    About.PROOF: _proof,
    About.CAUTION: _caution,
    About.NUMBER: _number,
}
