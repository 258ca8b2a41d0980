"""The door to what is said of a part."""

from datetime import datetime
from typing import Any

from django import forms

from yardwright.season.zone import moment, said_day
from yardwright.work.facts import Entry
from yardwright.work.parts import Ordered, waited_for
from yardwright.yard import clock
from yardwright.yard.forms.fields import Moment, OnceForm, YardForm, a_day, a_time, of_this_season
from yardwright.yard.models import Person


class CameInForm(OnceForm):
    """It came: now, or earlier."""

    made_at = Moment(widget=forms.HiddenInput, required=False)  # by a phone that kept the entry
    done_at = Moment(label="When", required=False, help_text="Empty: now.")

    def entry(self, by: Person) -> Entry:
        given = self.cleaned_data
        done_at = given["done_at"] or given.get("made_at") or clock.now()
        return Entry(given["uuid"], by, done_at)


class LaterForm(YardForm):
    """A surprise: a part that work waits for comes at another time, or nobody knows when."""

    part = forms.ChoiceField(
        label="Which part",
        error_messages={
            "invalid_choice": "It is here by now, or no work waits for it. Choose from the list."
        },
    )
    day = a_day("Comes on", required=False, validators=[of_this_season])
    at = a_time("At", required=False, help_text="The latest hour that was said.")
    not_known = forms.BooleanField(label="Nobody knows when", required=False)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.to_come = {str(one.part.pk): one for one in waited_for()}
        field = self.fields["part"]
        assert isinstance(field, forms.ChoiceField)  # noqa: S101  # for the type alone
        listed = [
            (pk, f"{one.part}, {one.words}: {', '.join(one.boats)}")
            for pk, one in self.to_come.items()
        ]
        field.choices = listed if len(listed) == 1 else [("", "Choose one"), *listed]

    def clean_part(self) -> Ordered:
        return self.to_come[self.cleaned_data["part"]]

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if self.errors:
            return given
        if given["not_known"]:
            if given["day"] or given["at"]:
                self.add_error(
                    "not_known", "A day or hour stands above. Empty it, or take this off."
                )
            return given | {"arrives": None}
        if not given["day"]:
            self.add_error("day", "Which day? If nobody knows, tick that below.")
        elif not given["at"]:
            self.add_error("at", "At what hour? Give the latest that was said.")
        else:
            return given | {"arrives": self._arrives()}
        return given

    def _arrives(self) -> datetime | None:
        """By the clock on the wall; an hour that it shows twice or never is asked about."""
        wall = datetime.combine(self.cleaned_data["day"], self.cleaned_data["at"])
        try:
            arrives = moment(wall, clock.zone())
        except ValueError:
            self.add_error(
                "at",
                f"The clock changes that night, {wall:%H:%M} is not one hour. Give a later one.",
            )
            return None
        if arrives <= clock.now():
            says = (
                f"{said_day(wall.date())} {wall:%H:%M} has passed. If it is here, say so on Parts."
            )
            self.add_error("day", says)
        return arrives
