"""The door: what is typed or ticked becomes typed values, once."""

from datetime import datetime
from typing import Any

from django import forms

from yardwright.fleet.models import Boat
from yardwright.procedures.questions import About
from yardwright.procedures.step import PutBackKind
from yardwright.procedures.steps import book
from yardwright.school.models import ClassGroup, Meeting, PracticeBoat
from yardwright.season.zone import moment
from yardwright.yard import clock
from yardwright.yard.forms.fields import OnceForm, YardForm, a_day, a_time
from yardwright.yard.models import Person

LONGEST_MIN = 600
SETS = 1 << 31


class ClassForm(OnceForm):
    name = forms.CharField(label="Name of the class", max_length=60)
    begins = a_day("Term begins")
    ends = a_day("Term ends")
    learners = forms.ModelMultipleChoiceField(
        Person.objects.filter(works_here=True).order_by("name"),
        label="Who is in it",
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": "Nobody is in it. Tick who learns."},
    )


class PracticeBoatForm(OnceForm):
    name = forms.CharField(label="Her name", max_length=60, help_text="None of a real boat here.")
    like = forms.ModelChoiceField(
        Boat.objects.order_by("name"),
        label="She has what this boat has",
        help_text="What is aboard decides what can be left undone. Nothing else is taken.",
    )


class DateForm(OnceForm):
    day = a_day("Day")
    begins = a_time("From")
    minutes = forms.IntegerField(label="Minutes", min_value=1, max_value=LONGEST_MIN, initial=90)
    what = forms.CharField(label="What is learnt", max_length=160)
    where = forms.CharField(label="Where", max_length=80, required=False)
    step = forms.ChoiceField(label="Its lesson", required=False)
    boat = forms.ModelChoiceField(
        PracticeBoat.objects.all(), label="On the practice boat", required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        steps = [(step.code, step.title) for step in book().steps]
        self.fields["step"].choices = [("", "none"), *steps]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if given.get("day") and given.get("begins"):
            try:
                wall = datetime.combine(given["day"], given["begins"])
                given["starts"] = moment(wall, clock.zone())
            except ValueError as error:
                self.add_error("begins", str(error))
        return given


class CallOffForm(YardForm):
    meeting = forms.ModelChoiceField(Meeting.objects.all())


class PlantForm(OnceForm):
    """What is left undone on a practice boat: ticked, or so many by the dice."""

    group = forms.ModelChoiceField(ClassGroup.objects.all(), label="Which class looks")
    by_dice = forms.IntegerField(
        label="How many the dice draw, where nothing is ticked",
        min_value=1,
        max_value=12,
        initial=5,
        required=False,
    )
    planted = forms.MultipleChoiceField(
        label="Left undone by you", widget=forms.CheckboxSelectMultiple, required=False
    )

    def __init__(self, kinds: tuple[PutBackKind, ...], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        choices = [(kind.code, f"{kind.what} ({kind.harm})") for kind in kinds]
        self.fields["planted"].choices = choices  # type: ignore[attr-defined]


class NameForm(OnceForm):
    """What is undone here; or it is taken back; or all was looked at."""

    NAME, BACK, DONE, RESET = "name", "back", "done", "reset"
    deed = forms.ChoiceField(
        choices=[(one, one) for one in (NAME, BACK, DONE, RESET)], widget=forms.HiddenInput
    )
    kind = forms.ChoiceField(
        label="What is undone or wrong",
        required=False,
        error_messages={"invalid_choice": "Choose one of the list."},
    )
    words = forms.CharField(label="What you saw", max_length=160, required=False)

    def __init__(self, kinds: tuple[PutBackKind, ...], *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        parts: dict[str, list[tuple[str, str]]] = {}
        for kind in sorted(kinds, key=lambda kind: kind.what):
            parts.setdefault(kind.system.capitalize(), []).append((kind.code, kind.what))
        self.fields["kind"].choices = [("", "choose"), *sorted(parts.items())]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if given.get("deed") in (self.NAME, self.BACK) and not given.get("kind"):
            self.add_error("kind", "Choose what is undone.")
        return given


class SetForm(YardForm):
    """Which set of questions, and which of it."""

    of_set = forms.IntegerField(min_value=1, max_value=SETS, required=False)
    about = forms.ChoiceField(
        choices=[("", "of all sorts"), *((one.value, one.value) for one in About)], required=False
    )
    n = forms.IntegerField(min_value=1, max_value=100, required=False)


class ChosenForm(OnceForm):
    chosen = forms.IntegerField(
        min_value=0, max_value=9, error_messages={"required": "Choose an answer first."}
    )
