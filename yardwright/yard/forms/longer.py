"""The door to hours of one day more: a lift is open longer, or somebody stays."""

from typing import Any

from django import forms

from yardwright.season import model as season
from yardwright.season.day_hours import Hours, hours_of, open_on
from yardwright.season.zone import said_day
from yardwright.yard import clock, queries
from yardwright.yard.forms.fields import Words, YardForm, a_day, a_time, of_this_season, passed
from yardwright.yard.models import Lift, Person

LONGER_FOR = ("the evening tide", "the morning tide", "a promise")


class LongerForm(YardForm):
    """Some hours of one day alone, to come."""

    day = a_day("On", initial=clock.today, validators=[of_this_season])
    starts = a_time("From")
    ends = a_time("Until")
    why = forms.CharField(label="Why", max_length=60, widget=Words(LONGER_FOR))

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if self.errors:
            return given
        day, ends = given["day"], given["ends"]
        if ends <= given["starts"]:
            self.add_error("ends", "That is not after From. Until when, on the same day?")
        elif over := passed(day, ends):
            self.add_error("ends", over)
        return given

    @property
    def hours(self) -> season.OnDay:
        given = self.cleaned_data
        return season.OnDay(given["day"], given["starts"], given["ends"], given["why"])

    def _add(self, known: Hours) -> bool:
        """Whether there is more in these hours than is known without them."""
        given = self.cleaned_data
        return not any(a <= given["starts"] and given["ends"] <= b for a, b in known)


class LiftLongerForm(LongerForm):
    """A lift is open longer on one day."""

    lift = forms.ModelChoiceField(Lift.objects.all(), label="Which lift", empty_label="Choose one")
    field_order = ("lift",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lifts = list(Lift.objects.all()[:2])
        if len(lifts) == 1:  # nobody has to choose
            self.initial["lift"] = lifts[0]

    def clean(self) -> dict[str, Any]:
        given = super().clean()
        if self.errors:
            return given
        lift = queries.lift(given["lift"])
        if self.hours not in lift.longer and not self._add(open_on(lift, given["day"])):
            self.add_error(
                "starts", f"The {lift.name} is open then anyway. Look at the hours again."
            )
        return given


class StayForm(LongerForm):
    """Somebody stays longer on one day."""

    person = forms.ModelChoiceField(
        Person.objects.filter(works_here=True), label="Who", empty_label="Choose a name"
    )
    field_order = ("person",)

    def clean(self) -> dict[str, Any]:
        given = super().clean()
        if self.errors:
            return given
        person, day = queries.person(given["person"]), given["day"]
        if day in person.off:
            says = f"{person.name} is off {said_day(day)}. Take that out of the days off first."
            self.add_error("day", says)
        elif self.hours not in person.longer and not self._add(hours_of(person, day)):
            self.add_error("starts", f"{person.name} works then anyway. Look at the hours again.")
        return given
