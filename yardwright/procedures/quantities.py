"""What is measured: each quantity's unit, what it can do when bad, and what must be so to count."""

import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import cache
from importlib.resources import files

from yardwright.calc.units import Plausible, kind_of, say
from yardwright.procedures.put_backs import Harm
from yardwright.refdata import Datum, Evidence

Answer = bool | float | str
Answers = Mapping[str, Answer]

GRAVE = frozenset({Harm.SINKS, Harm.BURNS, Harm.HURTS, Harm.SHOCKS})  # a shock hurts


class Values(StrEnum):
    """How many values one reading has."""

    ONE = "one"
    CYLINDERS = "cylinders"
    CELLS = "cells"
    POINTS = "points"


class Area(StrEnum):
    """Where it belongs; the first four are the strict ones."""

    WAYS_IN = "ways in"
    FUEL = "fuel"
    LIFTING = "lifting"
    STEERING = "steering"
    OTHER = "other"


class Table(StrEnum):
    """Where a limit comes from when none is on file; the dew point counts beside one on file too."""

    LOAD_TEST = "load test"
    DEW_POINT = "dew point"


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual(Evidence):
    """What a reading can well be in one state of the thing: the engine hot, or cold.

    ``condition`` is the one that tells the state, ``answer`` the state.
    """

    condition: str
    answer: bool | str
    low: float
    high: float
    unit: str

    def __post_init__(self) -> None:
        Evidence.__post_init__(self)
        if self.low >= self.high:
            raise ValueError(f"usual is {self.low:g} to {self.high:g}; give the lower one first.")


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves(Evidence):
    """How a limit moves with a temperature: ``shift`` for each ``each`` above ``at``, in ``unit``.

    ``condition`` tells the temperature, ``thermometer`` how far off it can be, up or down.
    """

    condition: str
    thermometer: str
    at: float
    each: float
    shift: float
    unit: str


@dataclass(frozen=True, slots=True)
class Condition:
    """One thing that must be so, as it is asked: yes or no, a number with a unit, or a choice.

    ``otherwise`` is taken where the number is not told. With ``from_limit`` the least comes with
    the limit on file, since only its source knows. A ``difference`` is how far apart two values
    may be: 2 °F of it are 1.11 °C. ``otherwise_words`` say what follows from a choice that is not
    among them, or from a no.
    """

    code: str
    question: str
    unit: str = ""
    least: Datum | None = None
    most: Datum | None = None
    otherwise: Datum | None = None
    choices: tuple[str, ...] = ()
    otherwise_words: str = ""
    from_limit: bool = False
    difference: bool = False
    plausible: Plausible | None = None

    def answer(self, answers: Answers) -> Answer | None:
        """Return what was told, or what holds where nothing was; None is *not known*."""
        if self.code in answers:
            return answers[self.code]
        return None if self.otherwise is None else self.otherwise.value

    def number(self, answers: Answers) -> float:
        """Return the number that was told; a ValueError where there is none."""
        told = answers.get(self.code)
        if type(told) is float:
            return told
        told = self.answer(answers)
        if isinstance(told, bool) or not isinstance(told, int | float):
            raise ValueError(f"{self.question} Told was {told!r}; give a number in {self.unit}.")
        return float(told)

    def lacks(self, answers: Answers, needs: Mapping[str, float] | None) -> str:
        """Say in words what is missing; empty if nothing is.

        Parameters
        ----------
        answers : mapping of str to bool, float or str
            What was told with the reading, by code; numbers in the condition's own unit.
        needs : mapping of str to float, or None
            The least that the limit's source asks for, by code; None where there is no limit.

        Returns
        -------
        str
            A sentence, or nothing.

        Raises
        ------
        ValueError
            An answer of the wrong kind: a word where a number belongs.
        """
        if answers.get(self.code) is True and not self.unit and not self.choices:
            return ""
        if self.answer(answers) is None:
            return f"Not told: {self.question}"
        if self.unit:
            return self._lacks_number(self.number(answers), needs)
        if self.choices:
            told = str(answers[self.code])
            return "" if told in self.choices else f"It is {told}: {self.otherwise_words}."
        return (
            ""
            if answers[self.code] is True
            else f"{self.question} No. {self.otherwise_words}".strip()
        )

    def _lacks_number(self, told: float, needs: Mapping[str, float] | None) -> str:
        if self.from_limit and needs is not None and self.code not in needs:
            return f"{self.question} {say(told, self.unit)}; the limit on file doesn't say how many it asks for."
        least = (needs or {}).get(self.code, self.least.value if self.least else told)
        most = self.most.value if self.most else told
        if least <= told <= most:
            return ""
        asked = say(least if told < least else most, self.unit)
        return f"{self.question} {say(told, self.unit)}; {asked} is asked for."


@dataclass(frozen=True, slots=True)
class Quantity:
    """One thing that is measured. ``unit`` is the one it is kept in."""

    code: str
    name: str
    unit: str
    tool: str
    plausible: Plausible
    can: tuple[Harm, ...]
    conditions: tuple[Condition, ...]
    values: Values = Values.ONE
    area: Area = Area.OTHER
    table: Table | None = None
    even: bool = False  # judged also by lowest over highest
    twin: Datum | None = None
    others: Datum | None = None
    spread: Datum | None = None
    years: Datum | None = None
    method_u: Datum | None = None
    moves: Moves | None = None
    usual: tuple[Usual, ...] = ()

    def __post_init__(self) -> None:
        codes = {condition.code for condition in self.conditions}
        told = {self.moves.condition, self.moves.thermometer} if self.moves else set()
        if missing := told.union(one.condition for one in self.usual) - codes:
            raise ValueError(f"{self.code}: nothing asks for {', '.join(sorted(missing))}.")
        for datum in (self.twin, self.others, self.spread, self.years, self.method_u, *self.usual):
            if datum is not None and kind_of(datum.unit) != kind_of(self.unit):
                raise ValueError(f"{self.code}: {datum.unit} beside {self.unit}; give one kind.")

    @property
    def grave(self) -> bool:
        """Can sink, burn or hurt."""
        return not GRAVE.isdisjoint(self.can)

    @property
    def strict(self) -> bool:
        """Ways in, fuel, lifting and steering: nobody may talk a bad reading away."""
        return self.area != Area.OTHER

    def lacking(self, answers: Answers, needs: Mapping[str, float] | None) -> Iterator[str]:
        """Say what is missing for a reading to count, one sentence each; see `Condition.lacks`."""
        return filter(None, (condition.lacks(answers, needs) for condition in self.conditions))

    def plausible_when(self, answers: Answers) -> Plausible:
        """Return what it can well be in the state that was told; else what it can be at all."""
        for one in self.usual:
            if answers.get(one.condition) == one.answer:
                return Plausible(one.low, one.high, one.unit)
        return self.plausible

    def condition(self, code: str) -> Condition:
        """Return the condition of that code; a KeyError if it has none."""
        for condition in self.conditions:
            if condition.code == code:
                return condition
        raise KeyError(code)

    def place(self, number: int) -> str:
        """Name one of several values, counted from 1; empty where there is only one."""
        return "" if self.values == Values.ONE else f"{_PLACES[self.values]} {number}"


_PLACES = {Values.CYLINDERS: "Cylinder", Values.CELLS: "Cell", Values.POINTS: "Point"}


def quantity(code: str) -> Quantity:
    """Find a quantity.

    Parameters
    ----------
    code : str
        Such as ``battery_under_load``.

    Returns
    -------
    Quantity
        As ``quantities.toml`` has it.

    Raises
    ------
    ValueError
        No such quantity; the message lists those there are.
    """
    if code not in quantities():
        raise ValueError(f"No quantity {code!r}. There are: {', '.join(quantities())}.")
    return quantities()[code]


@cache
def quantities() -> Mapping[str, Quantity]:
    """All quantities by code, in the file's order.

    Returns
    -------
    mapping of str to Quantity
        As ``quantities.toml`` has them.

    Raises
    ------
    ValueError
        A row is wrong; names it.
    """
    text = files(__package__).joinpath("quantities.toml").read_text(encoding="utf-8")
    return {code: _quantity(code, row) for code, row in tomllib.loads(text).items()}


def _quantity(code: str, row: Mapping[str, object]) -> Quantity:
    fields = {"conditions": [], **row}
    try:
        return Quantity(code, **_fields(fields, str(row["unit"])))  # type: ignore[arg-type]  # see below
    except (KeyError, TypeError, ValueError) as error:
        raise ValueError(f"quantities.toml, [{code}]: {error}") from error


def _condition(row: Mapping[str, object]) -> Condition:
    return Condition(**_fields(row, str(row.get("unit", ""))))  # type: ignore[arg-type]


def _fields(row: Mapping[str, object], unit: str) -> dict[str, object]:
    # What has the wrong kind or name is refused by the dataclasses and enums themselves.
    return {key: _field(key, told, unit) for key, told in row.items()}


def _field(key: str, told: object, unit: str) -> object:
    match key, told:
        case "plausible", [int() | float() as low, int() | float() as high]:
            return Plausible(low, high, unit)
        case "can", [*harms]:
            return tuple(Harm(str(harm)) for harm in harms)
        case "choices", [*choices]:
            return tuple(choices)
        case "conditions", [*rows]:
            return tuple(_condition(row) for row in rows)  # type: ignore[arg-type]
        case "usual", [*rows]:
            return tuple(Usual(**row) for row in rows)  # type: ignore[arg-type]
        case _, {"shift": _}:
            return Moves(**told)  # type: ignore[arg-type]
        case (("values" | "area" | "table"), str(word)):
            return {"values": Values, "area": Area, "table": Table}[key](word)
        case _, {"value": _}:
            return Datum(**told)  # type: ignore[arg-type]
        case _:
            return told
