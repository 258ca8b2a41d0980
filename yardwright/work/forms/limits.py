"""The door to limits: the manual's value and its page."""

from collections.abc import Iterator
from typing import Any

from django import forms

from yardwright.calc.units import kind_of, read, units_like
from yardwright.procedures.quantities import Quantity
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

    def clean(self) -> dict[str, Any]:
        self.numbers = {name: self._number(name) for name in ("lower", "upper", "thin")}
        given = self.cleaned_data
        told = [self.numbers["lower"], self.numbers["upper"], given.get("lowest_over_highest")]
        if self.of.table:  # its limit comes by a table; a margin alone is enough
            told.append(self.numbers["thin"])
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
            told = read(typed, unit, beside=unit)
        except ValueError as error:
            self.add_error(name, str(error))
            return None
        if name == "thin" and kind_of(unit) == "temperature" and " = " in told.echo:
            self.add_error(name, f"Give this difference in {unit}.")
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
            thin=self.numbers["thin"],
            needs=needs,
            boat=self.boat if whose == self.BOAT else "",
            engine=whose.removeprefix("engine ") if whose.startswith("engine ") else "",
        )


def _whose(boat: str, engine: str, engines: list[str]) -> Iterator[tuple[str, str]]:
    if boat:
        yield LimitForm.BOAT, f"{boat} alone"
    for kind in [engine] if boat and engine else [] if boat else engines:
        yield f"{LimitForm.ENGINE} {kind}", f"Every boat with the engine {kind}"
    yield LimitForm.ALL, "All boats"
