"""Lay-up and commissioning as data: which steps a boat gets, and in which order.

The texts stand in the TOML files beside this module: ``put_back_kinds.toml`` says what can be
left undone, each ``steps_*.toml`` holds the steps of one subject.
"""

import tomllib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from contextvars import ContextVar, Token
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from graphlib import CycleError, TopologicalSorter
from importlib.resources import files
from typing import TypeVar

from yardwright.procedures.put_backs import Before, Harm, Proof
from yardwright.procedures.step import Has, Hazard, PutBackKind, Season, Stage, Step, System, Trade
from yardwright.procedures.ways_in import BarrierKind

KINDS = "put_back_kinds.toml"
ENGINES = {Has.OUTBOARD, Has.STERNDRIVE, Has.INBOARD_PETROL, Has.INBOARD_DIESEL}
WITH_RAW_WATER = {Has.STERNDRIVE, Has.INBOARD_PETROL, Has.INBOARD_DIESEL}
DEED_AT = {Before.START: Stage.RUN, Before.WATER: Stage.LAUNCH}


Row = Mapping[str, object]
"""A step or kind as its table says it."""


@dataclass(frozen=True, slots=True, eq=False)
class Book:
    """All put-back kinds by code, and all steps in the order that matters."""

    kinds: Mapping[str, PutBackKind]
    steps: tuple[Step, ...]


def read_book(texts: Mapping[str, str]) -> Book:
    """Read kinds and steps, and refuse what would leave a boat undone.

    Parameters
    ----------
    texts : mapping of str to str
        File name to TOML text: ``put_back_kinds.toml`` and any number of ``steps_*.toml``.

    Returns
    -------
    Book
        With the steps in order: by stage, inside a stage by ``after``.

    Raises
    ------
    ValueError
        All faults at once, each with file and code: an unknown field, word or code; a code
        twice; a step after one of a later stage; a put-back that no
        spring step proves on every boat that opens it, or proves only after the deed it must
        precede; a spring step proving what nothing opens. A ring in ``after`` is told alone, once
        the rest is sound.
    """
    return made({name: tomllib.loads(text) for name, text in texts.items()})


def made(tables: Mapping[str, Mapping[str, Row]], own_things: frozenset[str] = frozenset()) -> Book:
    """The same from tables that are read already, by file and code.

    A thing of the yard's own may wait for the step that opens it; opened, it must be proven.
    """
    faults: list[str] = []
    kinds: dict[str, PutBackKind] = {}
    steps: dict[str, Step] = {}
    file_of: dict[str, str] = {}
    for name, rows in tables.items():
        for code, row in rows.items():
            where = f"{name}, [{code}]"
            try:
                if name == KINDS:
                    kinds[code] = PutBackKind(code=code, **_fields(row))  # type: ignore[arg-type]
                elif code in steps:
                    faults.append(f"{where}: is in {file_of[code]} too; give it its own code.")
                else:
                    steps[code] = step_from(code, row)
                    file_of[code] = name
            except (TypeError, ValueError) as error:
                faults.append(f"{where}: {error}")
    for step in steps.values():
        found = _faults(step, kinds, steps, own_things)
        faults += [f"{file_of[step.code]}, [{step.code}]: {fault}" for fault in found]
    opened = own_things.union(*(step.opens for step in steps.values()))
    faults += [f"{KINDS}, [{code}]: no step opens it." for code in kinds if code not in opened]
    if faults:
        raise ValueError("\n".join(faults))
    return Book(kinds, _in_order(steps, file_of))


def step_from(code: str, row: Row) -> Step:
    """One step as its table says it, whatever stands beside it; a ValueError says what is wrong."""
    return Step(code=code, **_fields(row))  # type: ignore[arg-type]


@cache
def shipped_tables() -> Mapping[str, Mapping[str, Row]]:
    """The tables that Yardwright comes with, by file and code."""
    found = sorted(files(__package__).iterdir(), key=lambda path: path.name)
    return {
        path.name: tomllib.loads(path.read_text(encoding="utf-8"))
        for path in found
        if path.name == KINDS or path.name.startswith("steps_")
    }


@cache
def shipped() -> Book:
    """The steps and kinds that Yardwright comes with."""
    return made(shipped_tables())


_GOES_BY: ContextVar[Callable[[], Book]] = ContextVar("goes by", default=shipped)


def book() -> Book:
    """The book that the yard goes by: what it changed, and for the rest what Yardwright comes with."""
    return _GOES_BY.get()()


def go_by(the_yards: Callable[[], Book]) -> Token[Callable[[], Book]]:
    """From now on, in this context."""
    return _GOES_BY.set(the_yards)


@contextmanager
def going_by(the_yards: Callable[[], Book]) -> Iterator[None]:
    """Within, the yard's own book holds; it is asked for when somebody needs it."""
    token = go_by(the_yards)
    try:
        yield
    finally:
        _GOES_BY.reset(token)


def steps_for(has: frozenset[Has], season: Season) -> tuple[Step, ...]:
    """A boat's steps from what she has, in the order that matters.

    Parameters
    ----------
    has : frozenset of Has
        What she has. Ask ``not_covered`` too: it says what is missing.
    season : Season
        Fall, winter or spring.

    Returns
    -------
    tuple of Step
        Each step that suits her, with the minutes for as many engines as she has.
    """
    return tuple(s.on(has) for s in book().steps if s.season == season and s.suits(has))


def not_covered(has: frozenset[Has]) -> tuple[str, ...]:
    """Why a boat's set of steps is not known to be whole, in sentences; none if it is."""
    written = frozenset[Has]().union(*(step.named for step in book().steps))
    told = [
        f"No steps are written yet for what she has: {thing}." for thing in sorted(has - written)
    ]
    if not has & ENGINES:
        told.append("No engine is named; if she has one, say which kind.")
    if Has.OUTBOARD in has and not has & {Has.FOUR_STROKE, Has.TWO_STROKE}:
        told.append("Four stroke or two stroke? Without it her outboard's oil steps are missing.")
    inboards = sorted(has & WITH_RAW_WATER)
    if len(inboards) > 1:
        told.append(
            f"{' and '.join(inboards)}: no steps are written for more than one of these in a boat;"
            " sterndrive stands for a petrol one."
        )
    if has & {Has.INBOARD_DIESEL, Has.INBOARD_PETROL} and not has & {Has.SHAFT, Has.SAIL_DRIVE}:
        told.append(
            "What does her engine turn? With a shaft or a sail drive, say so: gland, leg and"
            " propeller are missing."
        )
    if Has.INBOARD_DIESEL in has and Has.CLOSED_COOLING not in has:
        told.append(
            "Has her diesel closed cooling? If raw water runs through her block, no steps are"
            " written for its drains, and frost splits it."
        )
    if inboards and Has.RAW_WATER_PUMP not in has:
        told.append("Has her raw-water pump a rubber impeller? Without it its steps are missing.")
    if Has.BATTERY in has and not has & {Has.FLOODED, Has.SEALED, Has.LITHIUM}:
        told.append(
            "Flooded, AGM or gel, or lithium batteries? Each is kept through the winter otherwise."
        )
    return tuple(told)


def proven_by(kind: str, has: frozenset[Has]) -> tuple[Step, ...]:
    """A boat's spring steps that prove one kind of put-back back."""
    return tuple(step for step in steps_for(has, Season.SPRING) if kind in step.proves)


def _faults(
    step: Step,
    kinds: Mapping[str, PutBackKind],
    steps: Mapping[str, Step],
    own_things: frozenset[str],
) -> Iterator[str]:
    """Yield what is wrong with a step beside all the others."""
    if step.opens and step.season == Season.SPRING:
        yield "a spring step opens nothing; put what it undoes into fall or winter."
    if step.proves and step.season != Season.SPRING:
        yield "only a spring step proves; leave out what it proves."
    for earlier in step.after:
        if earlier not in steps:
            yield f"no step {earlier} to come after."
        elif steps[earlier].stage.place > step.stage.place:
            yield f"comes after {earlier}, which is of a later stage."
    for kind in (*step.opens, *step.proves):
        if kind not in kinds:
            yield f"no put-back kind {kind}; add it to {KINDS}."
        else:
            yield from _unpaired(step, kinds[kind], steps, waits=kind in own_things)


def _unpaired(
    step: Step, kind: PutBackKind, steps: Mapping[str, Step], *, waits: bool
) -> Iterator[str]:
    """Yield where a put-back would stay open for ever, be proven for nothing, or too late."""
    proving = [other for other in steps.values() if kind.code in other.proves]
    opening = [other for other in steps.values() if kind.code in other.opens]
    if kind.code in step.opens and not _on_same_boats(step, proving):
        yield f"opens {kind.code}, but no spring step proves it on every boat that has this step."
    if kind.code in step.proves:
        if not _on_same_boats(step, opening) and not waits:
            yield f"proves {kind.code}, but no step opens it on every boat that has this step."
        for deed in (kind.before, kind.also_before):
            if deed in DEED_AT and step.stage.place >= DEED_AT[deed].place:
                yield f"proves {kind.code} too late: it is needed before {deed}."


def _on_same_boats(step: Step, others: Sequence[Step]) -> bool:
    """Whichever boat gets the step gets one of the others too."""
    least = [step.needs | {one} for one in step.for_any] or [step.needs]
    return all(any(o.suits(has) and o.unless <= step.unless for o in others) for has in least)


def _in_order(steps: Mapping[str, Step], file_of: Mapping[str, str]) -> tuple[Step, ...]:
    """Order once for all boats: what one boat has not, can't upset the order of the rest."""
    graph = TopologicalSorter({code: step.after for code, step in steps.items()})
    try:
        order = tuple(graph.static_order())
    except CycleError as error:
        ring = error.args[1]
        told = " after ".join(reversed(ring))
        raise ValueError(f"{file_of[ring[0]]}, [{ring[0]}]: a ring, {told}.") from error
    return tuple(sorted((steps[code] for code in order), key=lambda step: step.stage.place))


# --- from TOML ---------------------------------------------------------------

Word = TypeVar("Word", bound=StrEnum)


def _word(words: type[Word], value: object) -> Word:
    if value not in list(words):
        raise ValueError(f"{value!r} is not known; write one of {', '.join(words)}.")
    return words(str(value))


def _words(words: type[Word], value: object) -> tuple[Word, ...]:
    return tuple(_word(words, item) for item in _texts(value))


def _text(value: object) -> str:
    if not isinstance(value, str):
        raise TypeError(f"{value!r} should be text in quotes.")
    return value


def _texts(value: object) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise TypeError(f"{value!r} should be a list of texts.")
    return tuple(_text(item) for item in value)


def _flag(value: object) -> bool:
    if not isinstance(value, bool):
        raise TypeError(f"{value!r} should be true or false.")
    return value


def _whole(value: object) -> int:
    if not isinstance(value, int) or isinstance(value, bool):
        raise TypeError(f"{value!r} should be a whole number.")
    return value


_FIELDS: Mapping[str, Callable[[object], object]] = {
    "stage": lambda value: _word(Stage, value),
    "trade": lambda value: _word(Trade, value),
    "minutes": _whole,
    "how": _texts,
    "needs": lambda value: frozenset(_words(Has, value)),
    "for_any": lambda value: frozenset(_words(Has, value)),
    "unless": lambda value: frozenset(_words(Has, value)),
    "hazards": lambda value: _words(Hazard, value),
    "opens": _texts,
    "proves": _texts,
    "after": _texts,
    "watch_learner": _flag,
    "once": _flag,
    "refills": _flag,
    "harm": lambda value: _word(Harm, value),
    "before": lambda value: _word(Before, value),
    "also_before": lambda value: _word(Before, value),
    "proof": lambda value: _word(Proof, value),
    "system": lambda value: _word(System, value),
    "barrier": lambda value: _word(BarrierKind, value),
    "second": _flag,
    "covers": _texts,
}


def _fields(row: object) -> dict[str, object]:
    if not isinstance(row, dict):
        raise TypeError("stands outside a table; give it a [code] of its own.")
    return {key: _FIELDS.get(key, _text)(value) for key, value in row.items()}
