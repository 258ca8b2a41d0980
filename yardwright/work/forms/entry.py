"""What every entry carries: who watches, and when it was done."""

from datetime import datetime
from typing import Any

from django import forms

from yardwright.calc import units
from yardwright.season.boat_faults import MOST_WORK_MIN
from yardwright.work.facts import Entry
from yardwright.yard import clock
from yardwright.yard.forms.fields import Moment, OnceForm
from yardwright.yard.models import Person

LONGEST = 160


class EntryForm(OnceForm):
    """A deed that may have been watched, and may have been done earlier."""

    second = forms.ModelChoiceField(
        Person.objects.filter(works_here=True, learner=False),
        label="Who is watching you",
        required=False,
        empty_label="nobody yet",
    )
    made_at = Moment(widget=forms.HiddenInput, required=False)  # by a phone that kept the entry
    done_at = Moment(label="Done earlier? When", required=False)

    def clean_done_at(self) -> datetime | None:
        """Typed by hand it counts; else when the phone made the entry."""
        done_at: datetime | None = self.cleaned_data["done_at"] or self.cleaned_data.get("made_at")
        return done_at

    def entry(self, by: Person) -> Entry:
        given = self.cleaned_data
        done_at = given.get("done_at") or clock.now()
        return Entry(given["uuid"], by, done_at, given.get("second"))


class Took(forms.CharField):
    """How long a job took, where somebody knows: whole minutes, typed with or without their unit."""

    def __init__(self) -> None:
        attrs = {"inputmode": "decimal", "autocomplete": "off"}
        super().__init__(
            label="It took about, in minutes",
            required=False,
            max_length=20,
            help_text="If you know; 1.5 h is taken too.",
            widget=forms.TextInput(attrs=attrs),
        )

    def clean(self, value: Any) -> int | None:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            minutes = round(units.read(typed, "min", beside="min").value)
        except ValueError as error:
            raise forms.ValidationError(f"How long it took: {error}") from error
        if not 1 <= minutes <= MOST_WORK_MIN:
            raise forms.ValidationError(
                f"It took {minutes} min? Give 1 to {MOST_WORK_MIN} min, or leave it empty."
            )
        return minutes


def some_words(label: str, *, required: bool = False, help_text: str = "") -> forms.CharField:
    return forms.CharField(
        label=label, max_length=LONGEST, required=required, help_text=help_text, strip=True
    )


class ReasonForm(OnceForm):
    """A correction, a clearing or a repair: its reason stays readable."""

    CLEAR, REPAIR, JUDGE = "clear", "repair", "judge"
    deed = forms.ChoiceField(choices=[(o, o) for o in (CLEAR, REPAIR, JUDGE)], required=False)
    reason = some_words("Reason")
    made_at = Moment(widget=forms.HiddenInput, required=False)  # by a phone that kept the entry
    done_at = Moment(label="Done earlier? When", required=False)

    def entry(self, by: Person) -> Entry:
        given = self.cleaned_data
        done_at = given.get("done_at") or given.get("made_at") or clock.now()
        return Entry(given["uuid"], by, done_at)


class AsideForm(OnceForm):
    """What becomes of an entry that was kept aside."""

    ENTER, STRIKE = "enter", "strike"
    deed = forms.ChoiceField(
        choices=[(one, one) for one in (ENTER, STRIKE)],
        error_messages={"required": "Which button? Load the page again and tap one."},
    )
    reason = some_words("Why is it struck out?")

    def entry(self, by: Person) -> Entry:
        return Entry(self.cleaned_data["uuid"], by, clock.now())
