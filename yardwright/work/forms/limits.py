"""The door to limits: the manual's value and its page."""

from collections.abc import Iterator
from typing import Any

from django import forms

from yardwright.calc.units import read, say, units_like
from yardwright.procedures.quantities import Quantity, Values
from yardwright.season import model as season
from yardwright.work.forms.entry import some_words
from yardwright.yard.forms.fields import OnceForm


class LimitForm(OnceForm):
    """The manual's value and its page, for one boat, for her kind of engine, or for all."""

    BOAT, ENGINE, ALL = "boat", "engine", "all"

    def __init__(
        self, of: Quantity, boat: str, engine: str, engines: list[str], *args: Any, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.of, self.boat, self.engine = of, boat, engine
        shown = [(unit, unit) for unit in units_like(of.unit)]
        self.fields["unit"] = forms.ChoiceField(
            label="Unit the manual uses", choices=shown, initial=of.unit
        )
        self.fields["lower"] = some_words("At least", help_text="Empty: no lower limit.")
        self.fields["upper"] = some_words("At most", help_text="Empty: no upper limit.")
        if of.even:
            self.fields["lowest_over_highest"] = forms.FloatField(
                label="Lowest over highest, at least",
                required=False,
                min_value=0.01,
                max_value=1,
                help_text="Such as 0.90.",
            )
        self.fields["thin"] = some_words(
            "Call it thin when nearer to the limit than", help_text="A number in the same unit."
        )
        for one in of.conditions:
            if one.from_limit:
                self.fields[f"needs_{one.code}"] = forms.FloatField(
                    label=f"The manual asks for at least how many {one.unit}?",
                    required=False,
                    min_value=0,
                    help_text=one.question,
                )
        self.fields["source"] = some_words(
            "Which book or paper", required=True, help_text="Such as: maker's workshop manual."
        )
        self.fields["page"] = some_words("Page", required=True)
        whose = list(_whose(boat, engine, engines))
        self.fields["whose"] = forms.ChoiceField(
            label="For", choices=whose, initial=whose[0][0], widget=forms.RadioSelect
        )
        self.fields["u"] = some_words(
            "How unsure is the limit itself?",
            help_text="A standard uncertainty in the same unit. Empty: taken as exact.",
        )
        for name, label in _bounds(of):
            self.fields[name] = some_words(label, help_text=_starting_value(of, name))
        self.differences = ("thin", "u", *(name for name, _ in _bounds(of)))

    def clean(self) -> dict[str, Any]:
        self.numbers = {name: self._number(name) for name in ("lower", "upper", *self.differences)}
        given = self.cleaned_data
        told = [self.numbers["lower"], self.numbers["upper"], given.get("lowest_over_highest")]
        if self.of.table:  # its limit comes by a table; a margin or a bound alone is enough
            told.extend(self.numbers[name] for name in self.differences)
        if not self.errors and all(value is None for value in told):
            self.add_error("lower", "Give a value: at least, at most, or both.")
        if not self.errors:
            try:
                self.filed()
            except ValueError as error:
                self.add_error(None, str(error))
        return given

    def _number(self, name: str) -> float | None:
        typed, unit = self.cleaned_data.get(name, ""), self.cleaned_data.get("unit", self.of.unit)
        if not typed:
            return None
        try:
            told = read(typed, unit, beside=unit, difference=name in self.differences)
        except ValueError as error:
            self.add_error(name, str(error))
            return None
        return told.value

    def filed(self) -> season.Limit:
        given = self.cleaned_data
        needs = {
            one.code: given[f"needs_{one.code}"]
            for one in self.of.conditions
            if given.get(f"needs_{one.code}") is not None
        }
        whose = given["whose"]
        return season.Limit(
            quantity=self.of.code,
            unit=given["unit"],
            source=given["source"],
            page=given["page"],
            lower=self.numbers["lower"],
            upper=self.numbers["upper"],
            lowest_over_highest=given.get("lowest_over_highest"),
            **{name: self.numbers[name] for name in self.differences if name != "u"},
            u=self.numbers["u"] or 0.0,
            needs=needs,
            boat=self.boat if whose == self.BOAT else "",
            engine=whose.removeprefix("engine ") if whose.startswith("engine ") else "",
        )


def _bounds(of: Quantity) -> list[tuple[str, str]]:
    """The differences that make one look again, where this quantity has them."""
    others = {
        "others": "Look again when further from the middle of the others than",
        "spread": "Look again when the lowest is under the highest by more than",
    }
    return [
        ("twin", "Look again when further from its twin than"),
        *(() if of.values == Values.ONE else others.items()),
        ("years", "Look again when further from the middle of its last years than"),
    ]


def _starting_value(of: Quantity, name: str) -> str:
    own = getattr(of, name)
    empty = (
        f"Empty: {say(own.value, own.unit)}, {own.source[0].lower()}{own.source[1:]}."
        if own
        else ""
    )
    return f"A difference in the same unit. {empty or 'Empty: not compared.'}"


def _whose(boat: str, engine: str, engines: list[str]) -> Iterator[tuple[str, str]]:
    if boat:
        yield LimitForm.BOAT, f"{boat} alone"
    for kind in [engine] if boat and engine else [] if boat else engines:
        yield f"{LimitForm.ENGINE} {kind}", f"Every boat with the engine {kind}"
    yield LimitForm.ALL, "All boats"
