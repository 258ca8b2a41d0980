"""What a sum asks for: each field reads what somebody typed, or refuses it in a sentence."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from math import isfinite, nan

from yardwright import refdata
from yardwright.calc.units import degrees, read

YEARS = range(1900, 2201)

Value = float | str | date | tuple[float, ...] | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One thing that is asked. ``otherwise`` is taken where nothing is typed, shown beside the box.

    ``key`` is the argument of the sum's function and the option of its command; ``example`` what
    could be typed, and what its page shows at first. With ``may_be_empty`` nothing typed is *not
    known*, None to the function.
    """

    key: str
    label: str
    example: str
    otherwise: str = ""
    hint: str = ""
    may_be_empty: bool = False

    def value(self, typed: str) -> Value:
        """Read what was typed; a ValueError with a sentence where it can't be."""
        said = " ".join(typed.split()) or self.otherwise
        if said:
            return self.understood(said)[0]
        if self.may_be_empty:
            return None
        raise ValueError(f"{self.label}: nothing is typed; give it such as {self.example}.")

    def understood(self, said: str) -> tuple[Value, str]:
        """The value, and the words to read back."""
        return said, said


@dataclass(frozen=True, slots=True, kw_only=True)
class Number(Field):
    """A number. ``unit`` is the one the function takes, and of a bare number.

    Without a unit it is a pure number; 10 % is then 0.10.
    """

    unit: str

    def understood(self, said: str) -> tuple[Value, str]:
        """Read it in any unit of its kind."""
        return _number(said, self.unit)


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbers(Field):
    """Several numbers of one unit, each apart from the next by a blank: ``150 148 151 134 psi``."""

    unit: str

    def understood(self, said: str) -> tuple[Value, str]:
        """Read each; a unit behind the last is everyone's."""
        words = said.replace(";", " ").split()
        unit = words.pop() if words and not words[-1][-1].isdigit() else ""
        if not words:
            raise ValueError(f"{self.label}: {said!r} has no number; give them as {self.example}.")
        each = [_number(f"{word} {unit}".strip(), self.unit) for word in words]
        return tuple(value for value, _ in each), ", ".join(echo for _, echo in each)


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice(Field):
    """One of a few: what is kept, and its words. ``of`` is the row that sources conflict about."""

    options: Mapping[str, str] = field(default_factory=dict)
    of: str = ""

    def understood(self, said: str) -> tuple[str, str]:
        """Take one of the options, and nothing else."""
        if said not in self.options:
            raise ValueError(f"{self.label}: {said!r} is none of {', '.join(self.options)}.")
        return said, self.options[said]


@dataclass(frozen=True, slots=True, kw_only=True)
class Day(Field):
    """A day of the calendar."""

    def understood(self, said: str) -> tuple[date, str]:
        """Read it as 2031-05-06."""
        try:
            day = date.fromisoformat(said)
        except ValueError:
            raise ValueError(
                f"{self.label}: {said!r} is no day; write it as {self.example}."
            ) from None
        if day.year not in YEARS:
            raise ValueError(
                f"{self.label}: {said} is far off; give a year from {YEARS[0]} to {YEARS[-1]}."
            )
        return day, f"{day.day} {day:%b %Y}"


def sources(label: str, table: str, row: str) -> Choice:
    """A choice between sources that conflict: the one the yard chose, unless another is typed.

    Parameters
    ----------
    label : str
        What it is a source of, such as ``Chart of charge``.
    table, row : str
        The reference table and the row that is used unless the yard chooses.

    Returns
    -------
    Choice
        Its key is ``by``; each option is a row's name, its words source and trust.
    """
    rows = refdata.rivals(table, row)
    told = {key: degrees(f"{one.source} ({one.trust})") for key, one in rows.items()}
    what = f"{table}/{row}"
    return Choice(key="by", label=label, example=row, otherwise=row, options=told, of=what)


def within_a_sentence(label: str) -> str:
    """A label as it stands in a sentence: its first letter small, but for US, AWG, °C."""
    return label if label[1:2].isupper() or label[:1] == "°" else label[:1].lower() + label[1:]


def _number(said: str, unit: str) -> tuple[float, str]:
    if unit:
        typed = read(said, unit, beside=unit)
        return typed.value, typed.echo
    bare = said.replace(",", ".").replace("−", "-").removesuffix("%")
    try:
        number = float(bare)
    except ValueError:
        number = nan
    if not isfinite(number):
        raise ValueError(f"{said!r} is no number; type it such as 1.265.")
    return (number / 100, f"{said} = {number / 100:g}") if "%" in said else (number, said)
