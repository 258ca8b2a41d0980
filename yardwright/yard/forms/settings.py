"""The door to the season and the margins of the yard."""

from typing import Any
from zoneinfo import available_timezones

from django import forms

from yardwright.season import model as season
from yardwright.season.faults import (
    looks_faults,
    yard_faults,
)
from yardwright.yard.forms.fields import (
    Hours,
    Measure,
    SaysBack,
    a_day,
    weekdays_field,
    weekdays_of,
)
from yardwright.yard.models import Yard


class SettingsForm(SaysBack):
    name = forms.CharField(label="Name of the yard", max_length=80)
    zone = forms.CharField(
        label="Time zone", max_length=60, help_text="Its IANA name, such as America/New_York."
    )
    first_day = a_day("First day of the season")
    last_day = a_day("Last day of the season")
    sling_bight_m = Measure(
        "m", "ft", label="Sling bight", required=True, help_text="What the slings hang below her."
    )
    margin_m = Measure(
        "m",
        "ft",
        label="Water kept under a keel",
        required=True,
        help_text="For wind that holds the water below the table: 0.20 m is not reached about "
        "1 hour in 20, 0.30 m about 1 in 100.",
    )
    latitude = forms.FloatField(required=False, help_text="In degrees, north above 0: 43.66.")
    longitude = forms.FloatField(required=False, help_text="In degrees, east above 0: -70.24.")
    photo_place = forms.BooleanField(
        label="Photos keep where they were taken",
        required=False,
        help_text="Else a photo's place is taken off, on the phone already. Either way all else that "
        "the camera wrote into it goes.",
    )

    hands = forms.IntegerField(
        label="Jobs at once on a boat", min_value=1, max_value=20, required=False
    )
    last_frost = a_day(
        "No frost from",
        required=False,
        help_text="What must not freeze is refilled from this day on. Empty: not known.",
    )

    def clean_hands(self) -> int:
        return self.cleaned_data["hands"] or 1

    def clean_zone(self) -> str:
        zone: str = self.cleaned_data["zone"].strip()
        if zone not in available_timezones():
            raise forms.ValidationError(
                f"{zone!r} is no time zone; write its IANA name, such as America/New_York."
            )
        return zone

    def clean(self) -> dict[str, Any]:
        if not self.errors:
            self.faulty(yard_faults(self.yard()))
        return self.cleaned_data

    def yard(self) -> season.Yard:
        return season.Yard(**self.cleaned_data)


class LooksForm(SaysBack):
    """All empty: a plan does not count the looks."""

    minutes = forms.IntegerField(
        label="Minutes of looks a boat",
        min_value=1,
        required=False,
        help_text="From slings off: so long somebody comes by and looks. Empty: not counted.",
    )
    at_once = forms.IntegerField(label="Boats looked at by one round", min_value=1, required=False)
    hours = Hours(label="Hours of looks", help_text="Such as 06:00-20:00: outside, nobody looks.")
    weekdays = weekdays_field()

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if not self.errors and given["minutes"]:
            for name, asks in (
                ("at_once", "How many boats at once? Give 1 or more."),
                ("hours", "At which hours? Write them like 06:00-20:00."),
            ):
                if not given[name]:
                    self.add_error(name, asks)
        looks = None if self.errors else self.looks()
        if looks:
            self.faulty(looks_faults(looks))
        return given

    def looks(self) -> season.Looks | None:
        given = self.cleaned_data
        if not given["minutes"]:
            return None
        return season.Looks(
            given["minutes"], given["at_once"], given["hours"], weekdays_of(given["weekdays"])
        )


def looks_initial(row: Yard) -> dict[str, object]:
    if row.looks is None:
        return {"weekdays": [str(int(day)) for day in season.Weekday]}
    days = [str(day) for day in row.looks["weekdays"]]
    return {**row.looks, "weekdays": days}


def settings_initial(row: Yard) -> dict[str, object]:
    return {name: getattr(row, name) for name in SettingsForm.base_fields}
