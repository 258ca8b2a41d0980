"""A sum: what it asks, its function, and all that its command, its page and its paper show."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum

from yardwright import refdata
from yardwright.calc.units import say
from yardwright.papers.drawing import Drawing
from yardwright.sums.field import Choice, Field, Value, within_a_sentence


class Subject(StrEnum):
    """What the sums are sorted by."""

    BATTERIES = "Batteries"
    WIRING = "Wiring"
    ANTIFREEZE = "Antifreeze"
    ENGINE = "Engine and fuel"
    FROST = "Frost"
    LIFTING = "Lifting and standing"
    WATER = "Water coming in"
    AIR = "Air below"
    COVER = "Cover and paint"
    PAPERS = "Papers and waste"


@dataclass(frozen=True, slots=True)
class Told:
    """One number of an answer. ``unit`` is empty where it has none."""

    key: str
    label: str
    value: float
    unit: str = ""

    @property
    def words(self) -> str:
        """The number as it is said: ``22.5 %``, ``-7.8 °C``."""
        return say(self.value, self.unit) if self.unit else f"{self.value:.4g}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What a sum says: a sentence first, then its numbers, then what else must be known.

    ``may`` is False where the answer is no (she may not be lifted so), None where it is neither;
    ``not_known`` is True where it is neither because something is not known: that is no yes.
    """

    says: str
    numbers: tuple[Told, ...] = ()
    besides: tuple[str, ...] = ()
    may: bool | None = None
    not_known: bool = False

    def __post_init__(self) -> None:
        """Refuse an answer that is yes or no, and not known as well."""
        if self.not_known and self.may is not None:
            raise ValueError(f"{self.says!r} is yes or no, and not known; say one of them.")

    def __getitem__(self, key: str) -> float:
        """The number of that key; a KeyError names it."""
        for told in self.numbers:
            if told.key == key:
                return told.value
        raise KeyError(key)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """One sum of the book.

    ``work`` takes the fields' values by key and refuses what lies outside its range. ``formula``
    is as a mechanic would write it; ``holds`` says where it holds and what it leaves out;
    ``rests_on`` names reference rows as ``table/row``; ``caution`` is what can hurt.
    """

    name: str
    subject: Subject
    title: str
    question: str
    fields: tuple[Field, ...]
    work: Callable[..., Answer]
    picture: Callable[[Mapping[str, Value]], Drawing]
    formula: str
    holds: str
    rests_on: tuple[str, ...] = ()
    caution: str = ""

    def values(self, typed: Mapping[str, str]) -> dict[str, Value]:
        """Read every field; one ValueError tells all faults, each in a line of its own.

        Parameters
        ----------
        typed : mapping of str to str
            By field; what is missing is taken as not typed.

        Returns
        -------
        dict of str to value
            By field, in the units that ``work`` takes.

        Raises
        ------
        ValueError
            A field that can't be read.
        """
        values, faults = self.read(typed)
        if faults:
            raise ValueError("\n".join(faults.values()))
        return values

    def read(self, typed: Mapping[str, str]) -> tuple[dict[str, Value], dict[str, str]]:
        """Read every field: its value by key, or the sentence that says why it has none."""
        values: dict[str, Value] = {}
        faults: dict[str, str] = {}
        for field in self.fields:
            try:
                values[field.key] = field.value(typed.get(field.key, ""))
            except ValueError as fault:
                faults[field.key] = str(fault)
        return values, faults

    def answer(self, typed: Mapping[str, str]) -> Answer:
        """Work it out from what was typed; a ValueError where it can't be, see `values`."""
        return self.work(**self.values(typed))

    def by_the_others(self, typed: Mapping[str, str]) -> dict[str, Answer | str]:
        """The same by each source that conflicts with the one taken: its answer, or why it has none."""
        found: dict[str, Answer | str] = {}
        values = self.values(typed)
        for row, words in (self.by.options if self.by else {}).items():
            if row == values["by"]:
                continue
            try:
                found[words] = self.work(**{**values, "by": row})
            except ValueError as fault:
                found[words] = str(fault)
        return found

    @property
    def by(self) -> Choice | None:
        """The field that says which of conflicting sources is taken."""
        return next((f for f in self.fields if f.key == "by" and isinstance(f, Choice)), None)

    def from_memory(self, values: Mapping[str, Value]) -> str:
        """What the answer rests on and nobody has read yet, in a sentence; empty where all was."""
        taken = {address: address for address in self.rests_on}
        if self.by is not None and self.by.of in taken:
            taken[self.by.of] = f"{self.by.of.partition('/')[0]}/{values['by']}"
        rows = self.rows()
        unread = [
            within_a_sentence(rows[row].tells or row.partition("/")[2].replace("_", " "))
            for row in taken.values()
            if rows[row].trust == "from memory"
        ]
        return f"From memory, nobody has read the page yet: {'; '.join(unread)}." if unread else ""

    def example(self) -> dict[str, str]:
        """What its page shows at first, and what the docs are held to."""
        return {field.key: field.example for field in self.fields}

    def rows(self) -> dict[str, refdata.Row]:
        """The reference rows it rests on, by ``table/row``, with those that conflict."""
        found: dict[str, refdata.Row] = {}
        for address in self.rests_on:
            table, row = address.split("/")
            found |= {f"{table}/{key}": one for key, one in refdata.rivals(table, row).items()}
        return found
