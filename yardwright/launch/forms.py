"""The door: what is typed or tapped becomes typed values, once."""

from datetime import date
from typing import Any

from django import forms
from django.db.models import Q, QuerySet

from yardwright.fleet.models import Boat
from yardwright.launch.queries import AGAIN, CAPACITY, ODDS, SAVERS
from yardwright.launch.queries import PLAN as PLAN_JOB
from yardwright.launch.services import BY_LIFT
from yardwright.procedures.going_in import State
from yardwright.season.zone import YEARS
from yardwright.work.forms.notes import LONGEST_NOTE
from yardwright.yard.forms.fields import Measure, OnceForm, YardForm
from yardwright.yard.jobs import OPEN
from yardwright.yard.models import Job, Lift, Place

SAID_BY_HAND = tuple(state for state in State if state not in BY_LIFT)


def _jobs(what: str) -> QuerySet[Job]:
    """Those of a kind; and any that is not done, for it may be stopped where another waits for it."""
    return Job.objects.filter(Q(what=what) | Q(state__in=OPEN))


class Agreed(OnceForm):
    """The boats to the move of whose Ink somebody says yes."""

    agreed = forms.ModelMultipleChoiceField(
        Boat.objects.all(), to_field_name="name", required=False
    )


class SpringForm(Agreed):
    """Plan, stop planning, publish what was planned, or take back the plan that holds."""

    PLAN, STOP, PUBLISH, TAKE_BACK = "plan", "stop", "publish", "take back"
    deed = forms.ChoiceField(choices=[(one, one) for one in (PLAN, STOP, PUBLISH, TAKE_BACK)])
    job = forms.ModelChoiceField(_jobs(PLAN_JOB), required=False)
    plan = forms.UUIDField(required=False)  # that is taken back
    reason = forms.CharField(max_length=160, required=False)


class AgainForm(Agreed):
    """Plan again with the smallest change, stop, or publish one of the answers."""

    ASK, STOP, PUBLISH = "ask", "stop", "publish"
    deed = forms.ChoiceField(choices=[(one, one) for one in (ASK, STOP, PUBLISH)])
    job = forms.ModelChoiceField(_jobs(AGAIN), required=False)
    choice = forms.IntegerField(min_value=0, max_value=1, required=False)

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if given.get("deed") == self.PUBLISH and None in (given.get("job"), given.get("choice")):
            self.add_error("choice", "Which of the plans?")
        return given


class InkForm(OnceForm):
    day = forms.DateField(
        label="Day told to the owner",
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    owner_agreed = forms.CharField(
        label="The owner was told and agreed", max_length=80, required=False
    )
    although = forms.BooleanField(required=False)


class ToldForm(OnceForm):
    """What an owner was told on the phone."""

    day = forms.DateField(
        label="Day told",
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    percent = forms.FloatField(
        label="How sure, in %",
        min_value=1,
        max_value=99,
        error_messages=dict.fromkeys(
            ("min_value", "max_value"),
            "No day is certain, and none that is told is hopeless; give 1 to 99 %%, as you said it.",
        ),
    )


class CallForm(OnceForm):
    """What an owner said on the phone."""

    said = forms.CharField(
        label="Called: what they said",
        help_text="Or that nobody answered.",
        max_length=LONGEST_NOTE,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": "Nothing is written. Write what they said, or: no answer."},
    )
    knows = forms.BooleanField(
        label="They know that she does not go in: off the list of owners to call", required=False
    )


class AnswerForm(OnceForm):
    """What owners can be told now; or stop working it out."""

    ASK, STOP = "ask", "stop"
    deed = forms.ChoiceField(choices=[(one, one) for one in (ASK, STOP)])
    job = forms.ModelChoiceField(_jobs(ODDS), required=False)


class SaversForm(AnswerForm):
    """What would save every Ink in danger, or one boat's promise."""

    job = forms.ModelChoiceField(_jobs(SAVERS), required=False)
    boat = forms.ModelChoiceField(
        Boat.objects.order_by("name"),
        to_field_name="tag",
        label="For",
        required=False,
        empty_label="every Ink in danger",
        error_messages={"invalid_choice": "No such boat here. Choose one of the list."},
    )


class CapacityForm(OnceForm):
    """How many more boats by a day; or stop counting."""

    ASK, STOP = "ask", "stop"
    deed = forms.ChoiceField(choices=[(one, one) for one in (ASK, STOP)])
    job = forms.ModelChoiceField(_jobs(CAPACITY), required=False)
    by = forms.DateField(
        label="To be handed over by",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    like = forms.ModelChoiceField(
        Boat.objects.order_by("name"), label="Boats like", required=False, empty_label="most here"
    )
    tolerance_days = forms.IntegerField(
        label="Days of Pencil lateness that may be added, in all",
        required=False,
        min_value=0,
        max_value=1000,
    )

    def clean(self) -> dict[str, Any]:
        cleaned: dict[str, Any] = super().clean() or self.cleaned_data
        if cleaned.get("deed") == self.ASK and not cleaned.get("by") and "by" not in self.errors:
            self.add_error("by", "By which day? Give one of this season.")
        return cleaned


class DayForm(YardForm):
    """Which days of water; what can't be read is today."""

    day = forms.DateField(required=False)
    days = forms.IntegerField(required=False, min_value=1, max_value=7)

    def clean_day(self) -> date | None:
        day: date | None = self.cleaned_data["day"]
        return day if day and day.year in YEARS else None


class GoingInForm(OnceForm):
    """One tap at the lift: a look, or what is true from now on."""

    LOOK = "look"
    OUT, READY, INTO, OFF, BACK, OVER = (
        "blocked up",
        "ready",
        "into slings",
        "slings off",
        "lift back",
        "hand over",
    )
    deed = forms.ChoiceField(
        choices=[(one, one) for one in (LOOK, OUT, READY, INTO, OFF, BACK, OVER)],
        error_messages={"invalid_choice": "Which step? Load the page again and tap one."},
    )
    lift = forms.ModelChoiceField(
        Lift.objects.all(), to_field_name="name", required=False, empty_label=None
    )
    angle_deg = forms.FloatField(
        label="Slings' angle, measured as they hang [° from the horizontal]",
        min_value=1,
        max_value=90,
        required=False,
    )
    wind = Measure("m/s", "mph")
    place = forms.ModelChoiceField(Place.objects.all(), to_field_name="name", required=False)
    berth = forms.IntegerField(min_value=1, required=False)
    at_what = forms.CharField(max_length=120, required=False)
    holds = forms.TypedChoiceField(
        choices=[("yes", "yes"), ("no", "no")],
        coerce=lambda typed: typed == "yes",
        required=False,
        empty_value=None,
    )
    words = forms.CharField(max_length=160, required=False)

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if given.get("deed") in (self.OUT, self.INTO) and not self.errors and given["lift"] is None:
            self.add_error("lift", "Which lift? Choose it.")
        if (given.get("wind") or 0) < 0:
            self.add_error("wind", "Wind is never less than none; give it as measured.")
        return given


class StandsForm(YardForm):
    """Where a boat stands; by an address, where she was to be brought."""

    place = forms.ModelChoiceField(
        Place.objects.all(),
        to_field_name="name",
        label="She stands at",
        required=False,
        empty_label="where she stands now",
    )
    berth = forms.IntegerField(label="Berth, counted from the aisle", min_value=1, required=False)


class MoveForm(OnceForm, StandsForm):
    state = forms.ChoiceField(
        label="She is", choices=[(one.value, one.value) for one in SAID_BY_HAND]
    )
