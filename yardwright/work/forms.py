"""The door: what is typed or tapped becomes typed values, once."""

from collections.abc import Iterator
from datetime import datetime
from typing import Any
from uuid import uuid4

from django import forms

from yardwright.calc.units import Typed, kind_of, read, units_like
from yardwright.papers.paper import Paper
from yardwright.procedures.put_backs import Harm
from yardwright.procedures.quantities import Answer, Condition, Quantity, Values
from yardwright.procedures.readings import Reading
from yardwright.procedures.step import PutBackKind, Step
from yardwright.procedures.steps import book
from yardwright.procedures.ways_in import Barrier, Disturbance
from yardwright.season import model as season
from yardwright.season.zone import moment
from yardwright.work import queries
from yardwright.work.facts import Entry
from yardwright.yard import clock
from yardwright.yard.models import Instrument, Person

MOST_PLACES = 12
USUAL_PLACES = 4
SOMETHING_ELSE = "something else"
LONGEST = 160


class Moment(forms.Field):
    """A time by the yard's own clock; one that comes twice or never is asked about."""

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")

    def to_python(self, value: Any) -> datetime | None:
        if not value:
            return None
        try:
            wall = datetime.fromisoformat(str(value))
        except ValueError:
            raise forms.ValidationError(
                f"{str(value)[:30]!r} is no time; write it as 2031-05-06 07:40."
            ) from None
        try:
            return moment(wall, clock.zone())
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error


class EntryForm(forms.Form):
    """Its uuid is made with the page, so that a second tap changes nothing."""

    uuid = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    second = forms.ModelChoiceField(
        Person.objects.filter(works_here=True, learner=False),
        label="Who is watching you",
        required=False,
        empty_label="nobody yet",
    )
    done_at = Moment(label="Done earlier? When", required=False)

    def entry(self, by: Person) -> Entry:
        given = self.cleaned_data
        done_at = given.get("done_at") or clock.now()
        return Entry(given["uuid"], by, done_at, given.get("second"))


def some_words(label: str, *, required: bool = False, help_text: str = "") -> forms.CharField:
    return forms.CharField(
        label=label, max_length=LONGEST, required=required, help_text=help_text, strip=True
    )


class UndoneForm(EntryForm):
    """It holds, it does not, or it stays open with a name to it."""

    HOLDS, DOES_NOT, SIGN_OFF = "holds", "does not hold", "sign off"
    deed = forms.ChoiceField(
        choices=[(one, one) for one in (HOLDS, DOES_NOT, SIGN_OFF)],
        error_messages={
            "invalid_choice": "Which button? Load the page again and tap one.",
            "required": "Which button? Load the page again and tap one.",
        },
    )
    words = some_words("What did you see?")
    how = some_words("How is it made safe?")


class LeftForm(forms.Form):
    """Which of the things left undone; what is not on the list is left aside."""

    harm = forms.ChoiceField(choices=[(one.value, one.value) for one in Harm], required=False)
    by = forms.ChoiceField(choices=[("thing", "thing"), ("boat", "boat")], required=False)
    page = forms.IntegerField(min_value=1, required=False)


class PaperForm(forms.Form):
    paper = forms.ChoiceField(
        choices=[("A4", "A4"), ("Letter", "Letter")],
        required=False,
        error_messages={"invalid_choice": "Paper is A4 or Letter."},
    )

    def clean_paper(self) -> Paper:
        return Paper.LETTER if self.cleaned_data["paper"] == "Letter" else Paper.A4


class StepForm(EntryForm):
    """A step done; in fall it asks where each part lies, and which way in it opens."""

    def __init__(self, step: Step, ways: tuple[Barrier, ...], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.kinds = [book().kinds[code] for code in step.opens]
        for kind in self.kinds:
            self.fields[f"lies_{kind.code}"] = some_words(
                f"{kind.what}: where does it lie?", help_text=kind.lies_hint
            )
            if kind.barrier:
                self.fields[f"fitting_{kind.code}"] = _fitting(kind, ways)
        if not step.watch_learner:
            del self.fields["second"]

    @property
    def lies(self) -> dict[str, str]:
        return {kind.code: self.cleaned_data[f"lies_{kind.code}"] for kind in self.kinds}

    @property
    def fittings(self) -> dict[str, str]:
        return {k.code: self.cleaned_data[f"fitting_{k.code}"] for k in self.kinds if k.barrier}


def _fitting(kind: PutBackKind, ways: tuple[Barrier, ...]) -> forms.ChoiceField:
    """Her ways in of that kind, all of them where she has none such; one alone is taken."""
    of_kind = [way.name for way in ways if way.kind == kind.barrier]
    names = of_kind or [way.name for way in ways]
    choices = [(name, name) for name in names]
    return forms.ChoiceField(
        label=f"{kind.what}: which way in stands open?",
        choices=choices if len(of_kind) == 1 else [("", "choose one of hers"), *choices],
        error_messages={"required": "Choose it: water can come in there."},
    )


class WorkForm(EntryForm):
    """A piece of work that she waited for is done."""

    def __init__(self, pieces: list[str], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["second"]
        self.fields["what"] = forms.ChoiceField(
            choices=[(what, what) for what in pieces],
            error_messages={
                "required": "Which piece of work? Tap its button.",
                "invalid_choice": "%(value)s is not among her work.",
            },
        )


class LookForm(EntryForm):
    holds = forms.TypedChoiceField(
        choices=[("yes", "It holds"), ("no", "It does not")], coerce=lambda typed: typed == "yes"
    )
    words = some_words("What did you see?")


class SinceForm(EntryForm):
    """What happened to her since she was last looked at."""

    field_order = ("uuid", "by_what", "fitting", "done_at")
    by_what = forms.ChoiceField(
        label="What happened?",
        choices=[(one.value, str(one).capitalize()) for one in Disturbance],
        widget=forms.RadioSelect,
        error_messages={"required": "Choose what happened."},
    )

    def __init__(self, ways: tuple[Barrier, ...], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["second"]
        choices = [("", "the whole boat"), *((way.name, way.name) for way in ways)]
        self.fields["fitting"] = forms.ChoiceField(
            label="Where?", choices=choices, required=False, help_text="Work: at which fitting."
        )
        self.fields["done_at"].label = "When? Empty: now"
        self.order_fields(self.field_order)


class ReasonForm(forms.Form):
    """A correction, a clearing or a repair: its reason stays readable."""

    CLEAR, REPAIR, JUDGE = "clear", "repair", "judge"
    uuid = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)
    deed = forms.ChoiceField(choices=[(o, o) for o in (CLEAR, REPAIR, JUDGE)], required=False)
    reason = some_words("Reason")

    def entry(self, by: Person) -> Entry:
        return Entry(self.cleaned_data["uuid"], by, clock.now())


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
        self.questions: list[tuple[int, str]] = []

    @property
    def sure(self) -> set[int]:
        """The places that were asked about and answered: yes, it is really so."""
        return {n for n in range(1, self.places + 1) if self.data.get(f"sure_{n}")}

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
        for number, typed in enumerate(given, 1):
            self._read(number, typed)
        self.answers = dict(self._answers())
        return self.cleaned_data

    def _read(self, number: int, typed: str) -> None:
        """Take one value; where it is unlikely, ask."""
        beside = self.unit if self.cleaned_data.get("instrument") else ""
        plausible = self.of.plausible
        try:
            really = read(typed, self.unit, beside=beside, sure=True)
        except ValueError as error:
            self.add_error(f"value_{number}", str(error))
            return
        try:
            read(typed, self.unit, beside=beside, plausible=plausible, sure=number in self.sure)
        except ValueError as question:
            self.questions.append((number, f"Yes, it is really {really.echo}"))
            self.add_error(f"value_{number}", str(question))
            return
        if number in self.sure:
            self.questions.append((number, f"Yes, it is really {really.echo}"))
        self.typed.append(really)

    def _answers(self) -> Iterator[tuple[str, Answer]]:
        for one in self.of.conditions:
            told = self.cleaned_data.get(f"c_{one.code}")
            if told in (None, ""):
                continue
            if not one.unit:
                yield one.code, told
                continue
            try:
                yield one.code, read(str(told), one.unit, beside=one.unit).value
            except ValueError as error:
                self.add_error(f"c_{one.code}", str(error))

    @property
    def echo(self) -> str:
        """What was understood, read back."""
        return "; ".join(one.echo for one in self.typed)

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


def _example(of: Quantity) -> str:
    examples = {"V": "9.38 V", "°C": "74 F or 23.5 C", "kPa": "95 psi or 6.5 bar", "A": "2.4 A"}
    return f"With its unit, such as {examples.get(of.unit, '18 N m or 13 lb ft')}."


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


class LimitForm(forms.Form):
    """The manual's value and its page, for one boat, for her kind of engine, or for all."""

    BOAT, ENGINE, ALL = "boat", "engine", "all"
    uuid = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)

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
