"""The door to readings: values as they are typed, each with its unit."""

from collections.abc import Iterator
from typing import Any

from django import forms

from yardwright.calc.units import Plausible, Typed, kind_of, read, units_like
from yardwright.procedures.quantities import Answer, Condition, Quantity, Values
from yardwright.procedures.readings import Reading
from yardwright.work import queries
from yardwright.work.forms.entry import EntryForm, some_words
from yardwright.yard import clock
from yardwright.yard.forms.fields import Moment
from yardwright.yard.models import Instrument, Person

MOST_PLACES = 12
USUAL_PLACES = 4
SOMETHING_ELSE = "something else"


class ReadingForm(EntryForm):
    """Values as they are typed, each with its unit; the instrument's own unit where none is."""

    def __init__(self, of: Quantity, places: int, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["second"], self.fields["done_at"]
        self.of, self.places = of, 1 if of.values == Values.ONE else places
        for number in range(1, self.places + 1):
            self.fields[f"value_{number}"] = some_words(
                of.place(number) or of.name, help_text=_example(of) if number == 1 else ""
            )
        self.fields["instrument"] = forms.ModelChoiceField(
            _shelf(of),
            label=f"Which {of.tool}",
            required=False,
            empty_label="not named",
            help_text="A number without a unit is taken in its unit.",
        )
        self.fields["where"] = some_words(
            "Which one", help_text="Where she has two: port, starboard, battery 1. Else empty."
        )
        for one in of.conditions:
            self.fields[f"c_{one.code}"] = _condition(one)
        self.fields["done_at"] = Moment(label="Read earlier? When", required=False)
        self.typed: list[Typed] = []
        self.told: list[tuple[str, str]] = []  # numbers among the conditions, read back
        self.questions: list[tuple[str, str]] = []

    @property
    def sure(self) -> set[str]:
        """The fields that were asked about and answered: yes, it is really so."""
        return {name for name in self.fields if self.data.get(f"sure_{name}")}

    @property
    def unit(self) -> str:
        row: Instrument | None = self.cleaned_data.get("instrument")
        return str(row.values["unit"]) if row else self.of.unit

    def clean(self) -> dict[str, Any]:
        given = [str(self.cleaned_data.get(f"value_{n}", "")) for n in range(1, self.places + 1)]
        while given and not given[-1]:
            given.pop()
        if not given:
            self.add_error("value_1", "What did it show? A number and its unit.")
        self.answers = dict(self._answers())
        beside = self.unit if self.cleaned_data.get("instrument") else ""
        usual = self.of.plausible_when(self.answers)
        each = [
            self._read(f"value_{number}", typed, self.unit, beside, usual)
            for number, typed in enumerate(given, 1)
        ]
        self.typed = [one for one in each if one is not None]
        return self.cleaned_data

    def _read(
        self,
        name: str,
        typed: str,
        unit: str,
        beside: str,
        usual: Plausible | None,
        *,
        difference: bool = False,
    ) -> Typed | None:
        """Take one number; where it is unlikely, ask."""
        try:
            really = read(typed, unit, beside=beside, sure=True, difference=difference)
            if difference and really.value < 0:
                raise ValueError(f"{really.echo} is no distance; give 0 or more.")
        except ValueError as error:
            self.add_error(name, str(error))
            return None
        try:
            read(typed, unit, beside=beside, plausible=usual)
        except ValueError as question:
            self.questions.append((name, f"Yes, it is really {really.echo}"))
            if name not in self.sure:
                self.add_error(name, str(question))
                return None
        return really

    def _answers(self) -> Iterator[tuple[str, Answer]]:
        for one in self.of.conditions:
            name = f"c_{one.code}"
            told = self.cleaned_data.get(name)
            if told in (None, ""):
                continue
            if not one.unit:
                yield one.code, told
                continue
            taken = self._read(
                name, str(told), one.unit, one.unit, one.plausible, difference=one.difference
            )
            if taken is not None:
                self.told.append((one.question, taken.echo))
                yield one.code, taken.value

    @property
    def echo(self) -> str:
        """What was understood of the reading itself."""
        return "; ".join(one.echo for one in self.typed)

    @property
    def all_told(self) -> str:
        """All numbers as they were understood: a change of any is read back anew."""
        return "; ".join((self.echo, *(echo for _, echo in self.told)))

    def reading(self, by: Person) -> Reading:
        given = self.cleaned_data
        row: Instrument | None = given["instrument"]
        kept = {"name": row.name} | dict(row.values) if row else None
        return Reading(
            quantity=self.of.code,
            values=tuple(one.value for one in self.typed),
            unit=self.unit,
            at=given["done_at"] or clock.now(),
            by=by.name,
            instrument=queries.instrument(kept),
            conditions=self.answers,
            where=given["where"].casefold(),
        )


_EXAMPLES = {
    "voltage": "12.6 V",
    "temperature": "74 F or 23.5 C",
    "pressure": "95 psi or 6.5 bar",
    "current": "2.4 A",
    "torque": "18 N m or 13 lb ft",
    "volume": "0.6 L or 20 fl oz",
    "weight": "11400 lb or 5.2 t",
    "share": "15 %",
    "specific gravity": "1.265 SG or 1265 points",
    "resistance": "0.4 ohm",
    "rate": "3 drops",
    "length": "120 µm or 5 mils",
}


def _example(of: Quantity) -> str:
    example = "2 megohm" if of.unit == "MΩ" else _EXAMPLES[kind_of(of.unit)]
    return f"With its unit, such as {example}."


def _shelf(of: Quantity) -> Any:
    """The yard's instruments that show a unit of this kind."""
    like = units_like(of.unit)
    return Instrument.objects.filter(quantity__in=("", of.code), values__unit__in=like)


def _condition(one: Condition) -> forms.Field:
    if one.choices:
        choices = [*one.choices, SOMETHING_ELSE]
        told = [("", "not told"), *((choice, choice) for choice in choices)]
        return forms.ChoiceField(label=one.question, choices=told, required=False)
    if one.unit:
        taken = one.otherwise and f"Empty: {one.otherwise.value:g} {one.otherwise.unit} is taken."
        return some_words(one.question, help_text=taken or f"In {one.unit} where no unit is typed.")
    return forms.TypedChoiceField(
        label=one.question,
        choices=[("", "not told"), ("yes", "Yes"), ("no", "No")],
        coerce=lambda told: told == "yes",
        empty_value=None,
        required=False,
    )
