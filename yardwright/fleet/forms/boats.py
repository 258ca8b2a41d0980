"""The door to a boat's particulars, with their units."""

import re
from collections.abc import Iterable, Iterator
from typing import Any

from django import forms

from yardwright.calc import units
from yardwright.fleet.models import Boat
from yardwright.procedures.going_in import WATCH_MIN, State
from yardwright.procedures.step import Has
from yardwright.season import model as season
from yardwright.season.boat_faults import boat_faults, in_feet
from yardwright.season.odd import DEEP_SHARE
from yardwright.season.sheet_columns import MEASURED
from yardwright.yard.forms.fields import (
    Hours,
    Measure,
    SaysBack,
    a_day,
    weekdays_field,
    weekdays_of,
)
from yardwright.yard.models import Lift

_HULL = (
    Has.STERN_DRAIN,
    Has.SPLASH_WELL,
    Has.LIVEWELL,
    Has.SPEED_SENSOR,
    Has.ANODES,
    Has.TRIM_TABS,
    Has.SWIM_LADDER,
    Has.MAST,
    Has.CANVAS,
    Has.COVER,
    Has.TRAILER,
    Has.TENDER,
    Has.TENDER_OUTBOARD,
)


_POWER = (
    Has.BATTERY,
    Has.FLOODED,
    Has.SEALED,
    Has.LITHIUM,
    Has.BILGE_PUMP,
    Has.ELECTRONICS,
    Has.SHORE_POWER,
    Has.GENERATOR,
)


_ABOARD = (
    Has.FRESH_WATER,
    Has.WATER_HEATER,
    Has.HEAD,
    Has.HOLDING_TANK,
    Has.SHOWER_SUMP,
    Has.WASHDOWN,
    Has.COOKING_GAS,
    Has.AIR_CONDITIONING,
)


_DRIVE = tuple(one for one in Has if one not in (*_HULL, *_POWER, *_ABOARD))


def _has(label: str, group: Iterable[Has]) -> forms.MultipleChoiceField:
    choices = [(str(one), str(one)[0].upper() + str(one)[1:]) for one in group]
    return forms.MultipleChoiceField(
        label=label, choices=choices, widget=forms.CheckboxSelectMultiple, required=False
    )


class BoatForm(SaysBack):
    """Her particulars. A length or weight is typed with its unit; what is not known stays empty."""

    name = forms.CharField(label="Name", max_length=80)
    tag = forms.RegexField(
        r"[A-Za-z]{3}",
        label="Tag",
        required=False,
        max_length=3,
        help_text="Three letters, on her and in her square code. Empty: she gets one.",
        error_messages={"invalid": "Three letters, such as TEA."},
    )
    hull_number = forms.CharField(label="Hull number", max_length=20, required=False)
    owner = forms.CharField(label="Owner", max_length=120, required=False)
    phone = forms.CharField(label="Owner's phone", max_length=40, required=False)
    email = forms.EmailField(label="Owner's e-mail", max_length=120, required=False)
    engine = forms.CharField(
        label="Kind of engine",
        max_length=60,
        required=False,
        help_text="The yard's own word for it: limits are filed under it.",
    )
    draft_m = Measure(
        "m",
        "ft",
        MEASURED["draft_m"],
        label="Draft",
        help_text="As she is lifted: 1.45 m, or 4 ft 9 in. Her water is reckoned from it.",
    )
    length_m = Measure("m", "ft", MEASURED["length_m"], label="Length")
    beam_m = Measure("m", "ft", MEASURED["beam_m"], label="Beam")
    height_m = Measure(
        "m",
        "ft",
        label="Height as she stands",
        help_text="From the ground to her highest point, mast and all.",
    )
    weight_kg = Measure("kg", "lb", MEASURED["weight_kg"], label="Weight")
    weight_within = Measure(
        "%", label="Weight is known within", help_text="Up or down, such as 10 %."
    )
    centre_m = Measure(
        "m", "ft", label="Centre of gravity", help_text="From the transom, going forward."
    )
    centre_within_m = Measure("m", "ft", label="Centre is known within")
    sling_aft_m = Measure("m", "ft", label="Aft sling", help_text="From the transom.")
    sling_forward_m = Measure("m", "ft", label="Forward sling", help_text="From the transom.")
    watch_min = forms.IntegerField(
        label="Minutes watched in the water",
        min_value=0,
        max_value=7 * 1440,
        required=False,
        help_text="Before she is handed over; 1440 is a day, to the last look of the watch.",
    )
    lift = forms.CharField(
        label="Lift",
        max_length=60,
        required=False,
        help_text="Which carries her. Empty: the smallest that may.",
    )
    hands = forms.IntegerField(
        label="Jobs at once on her",
        min_value=1,
        max_value=20,
        required=False,
        help_text="Empty: as many as the yard says.",
    )
    insured_from = a_day(
        "Insured afloat from", required=False, help_text="She does not go in before."
    )
    paid_from = a_day("Paid from", required=False, help_text="She is not handed over before.")
    owner_hours = Hours(
        label="Hours in which the owner works on her",
        help_text="Such as 09:00-12:00. Empty: not known.",
    )
    owner_weekdays = weekdays_field()
    late_days = forms.RegexField(
        r"-?\d{1,3}(\s*[,; ]\s*-?\d{1,3})*",
        label="Days late in past years",
        required=False,
        max_length=60,
        help_text="From the day wished for to the day she went in, a number a year: 12, 0, -3.",
        error_messages={"invalid": "Whole days with commas between, such as 12, 0, -3."},
    )
    has_drive = _has("Engine, drive and fuel", _DRIVE)
    has_hull = _has("Hull", _HULL)
    has_power = _has("Battery and electrics", _POWER)
    has_aboard = _has("Water aboard", _ABOARD)
    sure = forms.BooleanField(
        label="It is right as typed", required=False, widget=forms.HiddenInput
    )

    def clean(self) -> dict[str, Any]:
        if self.errors:
            return self.cleaned_data
        given = self.cleaned_data
        if (given["sling_aft_m"] is None) != (given["sling_forward_m"] is None):
            missing = "sling_aft_m" if given["sling_aft_m"] is None else "sling_forward_m"
            self.add_error(missing, "One sling alone lifts nothing; give both, or neither.")
            return given
        if given["phone"] and not given["owner"]:
            self.add_error("owner", "Whose phone is it? Write the owner's name.")
            return given
        self.faulty(boat_faults(self.boat()))
        if not self.errors and not given["sure"]:
            self._ask()
        return given

    def _ask(self) -> None:
        for name, says in _odd(self.boat()):
            self.add_error(name, f"{says} If it is right, say so at the end.")
            self.fields["sure"].widget = forms.CheckboxInput()

    def boat(self) -> season.Boat:
        given = self.cleaned_data
        slings = (given["sling_aft_m"], given["sling_forward_m"])
        within = given["weight_within"]
        groups = ("has_drive", "has_hull", "has_power", "has_aboard")
        weekdays = weekdays_of(given["owner_weekdays"]) or season.WEEKEND
        hours = given["owner_hours"]
        owner = season.Owner(given["owner"], given["phone"], given["email"], hours, weekdays)
        return season.Boat(
            name=given["name"],
            state=State.LAID_UP,
            hull_number=given["hull_number"],
            tag=given["tag"].upper(),
            owner=owner if given["owner"] else None,
            has=frozenset(Has(one) for group in groups for one in given[group]),
            engine=given["engine"],
            draft_m=given["draft_m"],
            length_m=given["length_m"],
            beam_m=given["beam_m"],
            height_m=given["height_m"],
            late_days=tuple(map(int, re.findall(r"-?\d+", given["late_days"]))),
            weight_kg=given["weight_kg"],
            weight_within=None if within is None else within / 100,
            centre_m=given["centre_m"],
            centre_within_m=given["centre_within_m"],
            slings_m=None if None in slings else slings,
            watch_min=WATCH_MIN if given["watch_min"] is None else given["watch_min"],
            lift=given["lift"],
            hands=given["hands"],
            insured_from=given["insured_from"],
            paid_from=given["paid_from"],
        )

    def clean_lift(self) -> str:
        lift: str = self.cleaned_data["lift"].strip()
        there = [*Lift.objects.values_list("name", flat=True)]
        if lift and lift not in there:
            raise forms.ValidationError(
                f"There is no lift {lift!r}; there are: {', '.join(there)}."
            )
        return lift


def _odd(boat: season.Boat) -> Iterator[tuple[str, str]]:
    """What may be so, but is odd: asked about once."""
    if boat.draft_m and boat.length_m and boat.draft_m > DEEP_SHARE * boat.length_m:
        deep = f"{boat.draft_m:g} m is deep for {boat.length_m:g} m of length."
        yield "draft_m", f"{deep} {in_feet(boat.draft_m)}"
    most_kg = max(Lift.objects.values_list("rating_kg", flat=True), default=None)
    if boat.weight_kg and most_kg and boat.weight_kg > most_kg:
        in_lb = units.say(units.convert(boat.weight_kg, "lb", "kg"), "kg")
        heavy = f"{boat.weight_kg:,.0f} kg is more than any lift here carries, {most_kg:,.0f} kg."
        yield "weight_kg", f"{heavy} If pounds were meant, that is {in_lb}."


def boat_initial(row: Boat | None) -> dict[str, object]:
    if row is None:
        return {"watch_min": WATCH_MIN}
    own = {name: getattr(row, name) for name in BoatForm.base_fields if hasattr(row, name)}
    owner = row.owner
    own["late_days"] = ", ".join(map(str, row.late_days))
    groups = {"has_drive": _DRIVE, "has_hull": _HULL, "has_power": _POWER, "has_aboard": _ABOARD}
    return own | {
        "owner": owner.name if owner else "",
        "phone": owner.phone if owner else "",
        "email": owner.email if owner else "",
        "owner_hours": owner.hours if owner else [],
        "owner_weekdays": [str(day) for day in (owner.weekdays if owner else season.WEEKEND)],
        "weight_within": None if row.weight_within is None else row.weight_within * 100,
        **{name: [one for one in row.has if one in group] for name, group in groups.items()},
    }
