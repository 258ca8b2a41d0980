"""The door to the yard's own steps: everything by its name, nothing by a code."""

from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from enum import StrEnum
from typing import Any

from django import forms
from django.http import QueryDict
from django.utils.text import slugify

from yardwright.procedures.own import written
from yardwright.procedures.put_backs import Before, Harm, Proof
from yardwright.procedures.quantities import quantities
from yardwright.procedures.step import Has, Stage, Step, System, Trade
from yardwright.procedures.steps import Book, Row, shipped
from yardwright.procedures.ways_in import BarrierKind
from yardwright.work.facts import Entry
from yardwright.work.forms.entry import some_words
from yardwright.yard import clock
from yardwright.yard.forms.fields import OnceForm
from yardwright.yard.models import Person

CHOOSE = ("", "choose one")
LONG, LINES = 400, 2000
NAMES = ("needs", "for_any", "unless", "opens", "proves", "after")
TEXTS = ("title", "why", "goes_wrong", "caution", "proof_words", "stage", "trade", "reading")
FLAGS = ("watch_learner", "once", "refills")


def _choices(words: type[StrEnum]) -> list[tuple[str, str]]:
    return [(str(one), str(one)) for one in words]


class OneALine(forms.CharField):
    """Several texts, one a line."""

    widget = forms.Textarea(attrs={"rows": 4})

    def clean(self, value: Any) -> list[str]:
        lines = str(super().clean(value) or "").splitlines()
        return [line for line in (" ".join(one.split()) for one in lines) if line]

    def prepare_value(self, value: Any) -> Any:
        return "\n".join(value) if isinstance(value, list | tuple) else value


class Named(OneALine):
    """Things by their names, one a line; inside by their codes."""

    def __init__(self, names: Mapping[str, str], label: str, help_text: str = "") -> None:
        super().__init__(label=label, help_text=help_text, required=False, max_length=LINES)
        self.names = names  # by code
        self.codes = {name.casefold(): code for code, name in names.items()}

    def clean(self, value: Any) -> list[str]:
        lines = super().clean(value)
        if unknown := [line for line in lines if line.casefold() not in self.codes]:
            raise forms.ValidationError([self._says(line) for line in unknown])
        return [self.codes[line.casefold()] for line in lines]

    def _says(self, line: str) -> str:
        near = get_close_matches(line.casefold(), self.codes, n=2, cutoff=0.4)
        meant = " or ".join(f"“{self.names[self.codes[one]]}”" for one in near)
        return f"“{line}” is not known. {f'Is it {meant}?' if meant else 'See the list of steps.'}"

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, list | tuple):
            value = [self.names.get(one, one) for one in value]
        return super().prepare_value(value)


class OwnStepForm(OnceForm):
    """A step in the yard's own words. What can hurt is warned of as before: that list is not the yard's to shorten."""

    title = some_words("Title", required=True)
    stage = forms.ChoiceField(label="When", choices=_choices(Stage))
    trade = forms.ChoiceField(label="Whose work", choices=_choices(Trade))
    minutes = forms.IntegerField(label="Minutes, usually", min_value=1, max_value=480)
    once = forms.BooleanField(label="Once for all her engines", required=False)
    why = forms.CharField(label="Why", max_length=LONG, widget=forms.Textarea(attrs={"rows": 2}))
    how = OneALine(label="How", max_length=LINES, help_text="One sentence a line.")
    goes_wrong = forms.CharField(
        label="What can go wrong", max_length=LONG, widget=forms.Textarea(attrs={"rows": 2})
    )
    caution = forms.CharField(
        label="Mind", max_length=LONG, widget=forms.Textarea(attrs={"rows": 3})
    )
    proof_words = some_words("What the button says", required=True, help_text="What is true then.")
    reading = forms.ChoiceField(label="Reading it asks for", required=False)
    watch_learner = forms.BooleanField(label="Who is learning it is watched", required=False)
    refills = forms.BooleanField(
        label="It leaves water aboard, which frost finds",
        help_text="Then it waits for the last frost, and Freeze Tonight counts it.",
        required=False,
    )
    reason = some_words("Why it is changed", required=True, help_text="In your name.")

    def __init__(
        self, book: Book, base: Step, changes: str, typed: QueryDict | None = None
    ) -> None:
        given = {name: getattr(base, name) for name in (*TEXTS, *FLAGS, "minutes", "how")}
        named = {name: sorted(getattr(base, name)) for name in NAMES}
        super().__init__(typed, initial={**given, **named})
        self.base = base
        has = {str(one): str(one) for one in Has}
        kinds = {code: kind.what for code, kind in book.kinds.items()}
        steps = {step.code: step.title for step in book.steps if step.code != changes}
        words = f"One a line, of: {', '.join(Has)}."
        self.fields |= {
            "needs": Named(has, "For boats that have all of these", words),
            "for_any": Named(has, "For boats that have one of these", "One a line, as above."),
            "unless": Named(has, "Not for boats that have", "One a line, as above."),
            "opens": Named(kinds, "It leaves undone", "One a line, as Left Undone calls it."),
            "proves": Named(kinds, "It proves back", "One a line, as Left Undone calls it."),
            "after": Named(steps, "It comes after", "Steps by their titles, one a line."),
        }
        self.fields["refills"].disabled = base.code in _refills()
        choices = [("", "none"), *((of.code, of.name) for of in quantities().values())]
        self.fields["reading"].choices = choices  # type: ignore[attr-defined]  # a choice
        self.order_fields([*(one for one in self.fields if one != "reason"), "reason"])

    @property
    def row(self) -> Row:
        """The step as it is kept; it warns of what it warned of."""
        given = self.cleaned_data
        row = {name: given[name] for name in (*TEXTS, *FLAGS, *NAMES, "minutes", "how")}
        hazards = [str(one) for one in self.base.hazards]
        kept = {name: value for name, value in (row | {"hazards": hazards}).items() if value}
        same = {name: value for name, value in kept.items() if name not in ("minutes", "reason")}
        rests_on = {
            name: value for name, value in written(self.base).items() if name in ("source", "trust")
        }
        return kept | rests_on if same == _plain(self.base) else kept

    def entry(self, by: Person) -> Entry:
        return Entry(self.cleaned_data["uuid"], by, clock.now())


def _refills() -> set[str]:
    """What fills a boat with water by the book does so in other words too."""
    return {step.code for step in shipped().steps if step.refills}


def _plain(step: Step) -> Row:
    left = ("minutes", "source", "trust")
    return {name: value for name, value in written(step).items() if name not in left}


def code_for(title: str, taken: Iterable[str]) -> str:
    """A code of its own for a step that is new to the book."""
    base = slugify(title).replace("-", "_")[:40] or "step"
    codes = {base, *(f"{base}_{n}" for n in range(2, 100))} - set(taken)
    return min(codes, key=lambda code: (len(code), code))


class ThingForm(OnceForm):
    """Something of the yard's own that can be left undone."""

    what = some_words(
        "What is undone", required=True, help_text="As it is to be called: Bow thruster fuse out."
    )
    if_forgotten = some_words("Forgotten", required=True, help_text="What happens then.")
    harm = forms.ChoiceField(label="How bad that is", choices=[CHOOSE, *_choices(Harm)])
    before = forms.ChoiceField(label="It must be back before", choices=[CHOOSE, *_choices(Before)])
    also_before = forms.ChoiceField(
        label="And before", choices=[("", "nothing else"), *_choices(Before)], required=False
    )
    proof = forms.ChoiceField(label="Proven back by what is", choices=[CHOOSE, *_choices(Proof)])
    second = forms.BooleanField(label="By two people", required=False)
    system = forms.ChoiceField(label="Part of the boat", choices=[CHOOSE, *_choices(System)])
    barrier = forms.ChoiceField(
        label="Way in that stands open meanwhile",
        choices=[("", "none: no water comes in by it"), *_choices(BarrierKind)],
        required=False,
    )
    lies_hint = some_words(
        "Where it lies",
        required=True,
        help_text="What is to be written down: In a bag on the wheel.",
    )
    reason = some_words("Why", required=True, help_text="In your name.")

    @property
    def row(self) -> Row:
        left = ("uuid", "reason")
        return {
            name: value for name, value in self.cleaned_data.items() if value and name not in left
        }

    def entry(self, by: Person) -> Entry:
        return Entry(self.cleaned_data["uuid"], by, clock.now())


class TakeOutForm(OnceForm):
    """The yard does this step no more."""

    reason = some_words("Why", required=True, help_text="In your name; it stands beside the step.")

    def entry(self, by: Person) -> Entry:
        return Entry(self.cleaned_data["uuid"], by, clock.now())
