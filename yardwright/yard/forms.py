"""The door to the yard's settings: what was typed becomes values, or a sentence beside the field."""

import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo, available_timezones

from django import forms
from django.contrib.auth.forms import PasswordChangeForm

from yardwright.calc import units
from yardwright.procedures.quantities import quantities
from yardwright.procedures.step import Trade
from yardwright.season import model as season
from yardwright.season.faults import (
    Fault,
    instrument_faults,
    lift_faults,
    person_faults,
    yard_faults,
)
from yardwright.season.model import Right, Weekday
from yardwright.season.zone import moment
from yardwright.tides.sill import Sill
from yardwright.tides.stations import station
from yardwright.tides.water import Extreme, Turn
from yardwright.yard.models import Instrument, Lift, Person, Place, Tide, Yard

DAYS = [(str(int(day)), day.name.title()) for day in Weekday]
LIFT_KINDS = ("travel lift", "crane", "forklift", "hydraulic trailer", "ramp")
PLACE_KINDS = ("row", "berth on land", "rack hole", "shed bay", "trailer line", "lift well", "ramp")


class Words(forms.TextInput):
    """A text field that offers the usual words, and takes any other."""

    template_name = "_words.html"

    def __init__(self, words: Iterable[str] = ()) -> None:
        super().__init__()
        self.words = list(words)

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        own = context["widget"]["attrs"]
        own["list"] = f"{own['id']}_words"
        return context | {"words": self.words}


def a_day(label: str, **kwargs: Any) -> forms.DateField:
    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    return forms.DateField(label=label, widget=widget, **kwargs)


def _a_time(label: str) -> forms.TimeField:
    return forms.TimeField(
        label=label, widget=forms.TimeInput(format="%H:%M", attrs={"type": "time"})
    )


class Measure(forms.CharField):
    """A number with its unit, as people type it; inside in one unit, shown with the other beside."""

    def __init__(
        self,
        unit: str,
        us: str = "",
        plausible: units.Plausible | None = None,
        **kwargs: Any,
    ) -> None:
        self.unit, self.us, self.plausible = unit, us, plausible
        super().__init__(**{"required": False, "max_length": 40} | kwargs)

    def clean(self, value: Any) -> float | None:
        typed = super().clean(value)
        if not typed:
            return None
        try:
            return units.read(typed, self.unit, plausible=self.plausible).value
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error

    def prepare_value(self, value: Any) -> Any:
        return units.say(value, self.unit, 6) if isinstance(value, float | int) else value

    def both(self, value: float) -> str:
        """The value in both worlds' units."""
        us = f" ({units.say(units.convert(value, self.unit, self.us), self.us)})" if self.us else ""
        return f"{units.say(value, self.unit, 6)}{us}"


class SaysBack(forms.Form):
    """A form that says beside each measured field what is on file, in both worlds' units."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            known = self.initial.get(name)
            if isinstance(field, Measure) and isinstance(known, float | int):
                field.help_text = " ".join(
                    filter(None, (str(field.help_text), f"On file: {field.both(known)}."))
                )

    def faulty(self, found: Iterable[Fault]) -> None:
        """Put each fault of the season beside its field."""
        for fault in found:
            name = str(fault.path[0]) if fault.path else ""
            self.add_error(name if name in self.fields else None, fault.says)


def _weekdays() -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(
        label="Weekdays", choices=DAYS, widget=forms.CheckboxSelectMultiple, required=False
    )


def _days(chosen: Sequence[str]) -> tuple[Weekday, ...]:
    return tuple(Weekday(int(day)) for day in chosen)


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


def settings_initial(row: Yard) -> dict[str, object]:
    return {name: getattr(row, name) for name in SettingsForm.base_fields}


_LINE = re.compile(
    r"(\d{4}-\d\d-\d\d)[ T]+(\d\d?:\d\d(?::\d\d)?(?:[+-]\d\d:\d\d)?)\s+(HW|LW)\s+(.+)"
)


def read_tides(text: str, zone: ZoneInfo) -> tuple[Extreme, ...]:
    """One high or low water a line, such as ``2031-05-05 06:50 HW 1.45``; metres unless said.

    Raises
    ------
    forms.ValidationError
        Every line that can't be read, by its number, with what to write instead.
    """
    turns: list[Extreme] = []
    wrong: list[str] = []
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            continue
        try:
            turns.append(_turn(line.strip(), zone))
        except ValueError as error:
            wrong.append(f"Line {number}: {error}")
    if wrong:
        raise forms.ValidationError(wrong)
    return tuple(turns)


def _turn(line: str, zone: ZoneInfo) -> Extreme:
    match = _LINE.fullmatch(line.upper())
    if match is None:
        raise ValueError(f"{line[:40]!r}; write it as 2031-05-05 06:50 HW 1.45.")
    day, clock_time, turn, level = match.groups()
    at = moment(datetime.fromisoformat(f"{day} {clock_time:0>5}"), zone)
    return Extreme(at, units.read(level, "m", beside="m").value, Turn(turn))


def written_tides(rows: Iterable[Tide], zone: ZoneInfo) -> str:
    """The same lines again; on the night the clock goes back with the offset."""
    return "\n".join(f"{_wall(row.at, zone)} {row.turn} {row.level_m:g}" for row in rows)


def _wall(at: datetime, zone: ZoneInfo) -> str:
    wall = at.astimezone(zone).replace(tzinfo=None, fold=0)
    try:
        moment(wall, zone)
    except ValueError:
        return at.astimezone(zone).isoformat(sep=" ")
    return f"{wall:%Y-%m-%d %H:%M}"


class WaterForm(SaysBack):
    """A station's constants or a typed table, never both; and the sill with all that proves it."""

    station = forms.CharField(
        label="Tide station's number", required=False, max_length=12, help_text="Found above."
    )
    table = forms.CharField(
        label="Or: high and low waters, one a line",
        required=False,
        widget=forms.Textarea(attrs={"rows": 12, "spellcheck": "false"}),
        help_text="Such as 2031-05-05 06:50 HW 1.45, in the yard's time, metres above the datum.",
    )
    tide_source = forms.CharField(label="Who printed the table", required=False, max_length=160)
    datum = forms.CharField(
        label="Datum of the table",
        required=False,
        max_length=12,
        help_text="A station says its own.",
    )
    epoch = forms.CharField(
        label="Years or edition of that datum",
        required=False,
        max_length=20,
        help_text="Such as 1983-2001, or table of 2031.",
    )
    sill_height_m = Measure(
        "m", "ft", label="Height of the sill", help_text="Above its datum; below it with a minus."
    )
    sill_datum = forms.CharField(label="Measured from which datum", required=False, max_length=12)
    sill_epoch = forms.CharField(label="Of which years", required=False, max_length=20)
    sill_measured_on = a_day("Measured on", required=False)
    sill_measured_by = forms.CharField(label="Measured by", required=False, max_length=80)

    def __init__(self, zone: ZoneInfo, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.zone = zone

    def clean_table(self) -> tuple[Extreme, ...]:
        return read_tides(self.cleaned_data["table"], self.zone)

    def clean_station(self) -> str:
        number: str = self.cleaned_data["station"].strip()
        if number:
            try:
                station(number)
            except ValueError as error:
                raise forms.ValidationError(str(error)) from error
        return number

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if given.get("station"):
            water = station(given["station"]).water()
            given["datum"], given["epoch"] = water.datum, water.epoch or ""
        self._sill_whole()
        return given

    def _sill_whole(self) -> None:
        """A bare height is no sill: its datum, the datum's years, the day and the person go with it."""
        given = self.cleaned_data
        names = [name for name in self.fields if name.startswith("sill_")]
        if any(name in self.errors for name in names):
            return
        missing = [name for name in names if given.get(name) in (None, "")]
        if 0 < len(missing) < len(names):
            for name in missing:
                self.add_error(name, "A height means nothing without it; fill it in.")

    @property
    def sill_known(self) -> bool:
        return self.cleaned_data["sill_height_m"] is not None

    def water(self) -> season.Water:
        """Without a measured sill, one that fits the water stands in for it, so that all else is checked."""
        given = self.cleaned_data
        sill = Sill(0.0, given["datum"] or "-", given["epoch"] or "-", date.min, "-")
        if self.sill_known:
            sill = Sill(
                given["sill_height_m"],
                given["sill_datum"],
                given["sill_epoch"],
                given["sill_measured_on"],
                given["sill_measured_by"],
            )
        return season.Water(
            given["datum"],
            given["epoch"],
            sill,
            given["station"],
            "" if given["station"] else given["tide_source"],
            given["table"],
        )


def water_initial(row: Yard, zone: ZoneInfo) -> dict[str, object]:
    own = {name: getattr(row, name) for name in WaterForm.base_fields if name != "table"}
    return own | {"table": written_tides(Tide.objects.all(), zone)}


class LiftForm(SaysBack):
    name = forms.CharField(label="Name", max_length=60)
    kind = forms.CharField(label="Kind", max_length=40, widget=Words(LIFT_KINDS))
    rating_kg = Measure("kg", "lb", label="Lifts at most", required=True)
    sling_rating_kg = Measure("kg", "lb", label="Each sling holds at most", required=True)
    opens = _a_time("Opens")
    closes = _a_time("Closes")
    launch_min = forms.IntegerField(
        label="Minutes for a launch",
        min_value=1,
        help_text="With the hang in the slings and the way back out.",
    )
    aside_min = forms.IntegerField(
        label="Minutes to move a boat aside",
        min_value=1,
        required=False,
        help_text="Empty: it can't move a boat aside.",
    )
    weekdays = _weekdays()

    def clean(self) -> dict[str, Any]:
        if not self.errors:
            self.faulty(lift_faults(self.lift()))
        return self.cleaned_data

    def lift(self) -> season.Lift:
        return season.Lift(**self.cleaned_data | {"weekdays": _days(self.cleaned_data["weekdays"])})


def lift_initial(row: Lift | None) -> dict[str, object]:
    if row is None:
        return {"weekdays": ["0", "1", "2", "3", "4"], "launch_min": 30}
    own = {name: getattr(row, name) for name in LiftForm.base_fields}
    return own | {"weekdays": [str(day) for day in row.weekdays]}


class PlaceForm(forms.Form):
    name = forms.CharField(label="Name", max_length=60)
    kind = forms.CharField(label="Kind", max_length=40, widget=Words(PLACE_KINDS))
    berths = forms.IntegerField(
        label="Berths", min_value=1, max_value=2000, help_text="Berth 1 stands at the aisle."
    )

    def place(self) -> season.Place:
        return season.Place(**self.cleaned_data)


def place_initial(row: Place | None) -> dict[str, object]:
    return {name: getattr(row, name) for name in PlaceForm.base_fields} if row else {}


def _quantities() -> list[tuple[str, str]]:
    return [("", "anything in its unit"), *((code, q.name) for code, q in quantities().items())]


class InstrumentForm(SaysBack):
    name = forms.CharField(label="Name", max_length=60)
    quantity = forms.ChoiceField(label="Measures", choices=_quantities, required=False)
    unit = forms.CharField(
        label="Unit it shows", max_length=12, help_text="As on its face: V, psi, °C, in."
    )
    u = forms.FloatField(
        label="Standard uncertainty",
        required=False,
        help_text="From its certificate, in its unit. Leave empty if there is none.",
    )
    within = forms.FloatField(
        label="Or: right within",
        required=False,
        help_text="The maker's word, up or down, in its unit.",
    )
    within_share = forms.FloatField(
        label="and within this share of the reading",
        required=False,
        min_value=0,
        max_value=1,
        help_text="Such as 0.01 for 1 %.",
    )
    resolution = forms.FloatField(
        label="Smallest step it shows", required=False, min_value=0, help_text="In its unit."
    )
    checked_until = a_day(
        "Checked until", required=False, help_text="Empty: not known, so nothing is Good by it."
    )

    def clean_unit(self) -> str:
        unit: str = self.cleaned_data["unit"].strip()
        try:
            units.kind_of(unit)
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error
        return unit

    def clean(self) -> dict[str, Any]:
        try:
            if not self.errors:
                self.faulty(instrument_faults(self.instrument()))
        except ValueError as error:
            self.add_error(None, str(error))
        return self.cleaned_data

    def instrument(self) -> season.Instrument:
        given = self.cleaned_data
        shares = {name: given[name] or 0.0 for name in ("within_share", "resolution")}
        return season.Instrument(**given | shares)


def instrument_initial(row: Instrument | None) -> dict[str, object]:
    if row is None:
        return {}
    return {"name": row.name, "quantity": row.quantity, **row.values}


_SPAN = re.compile(r"(\d\d?):?(\d\d)?\s*(?:-|–|to)\s*(\d\d?):?(\d\d)?")


class PersonForm(SaysBack):
    name = forms.CharField(label="Name", max_length=80)
    trades = forms.CharField(
        label="Trades",
        required=False,
        max_length=200,
        help_text=f"With commas between: {', '.join(Trade)}.",
    )
    hours = forms.CharField(
        label="Hours of a working day",
        required=False,
        max_length=120,
        help_text="Such as 07:00-12:00, 12:30-15:30.",
    )
    weekdays = _weekdays()
    off = forms.CharField(
        label="Days off",
        required=False,
        max_length=4000,
        help_text="Such as 2031-05-07, 2031-05-08.",
    )
    rights = forms.MultipleChoiceField(
        label="May",
        choices=[(str(right), str(right).capitalize()) for right in Right],
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="Who may ink also settles the yard: this page, lifts, water, people.",
    )
    learner = forms.BooleanField(
        label="Is learning", required=False, help_text="Someone who knows the step watches."
    )
    works_here = forms.BooleanField(
        label="Works here",
        required=False,
        help_text="Off: can't log in, is planned nowhere, and stays on everything they did.",
    )
    log_in = forms.CharField(
        label="Name to log in with",
        required=False,
        max_length=150,
        help_text="Empty: can't log in.",
    )
    password = forms.CharField(
        label="New password",
        required=False,
        max_length=128,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text="At least 8 characters. Empty: stays as it is.",
    )

    def clean_trades(self) -> tuple[str, ...]:
        return tuple(_parts(self.cleaned_data["trades"]))

    def clean_hours(self) -> tuple[tuple[time, time], ...]:
        return tuple(_span(part) for part in _parts(self.cleaned_data["hours"]))

    def clean_off(self) -> tuple[date, ...]:
        return tuple(_day(part) for part in _parts(self.cleaned_data["off"]))

    def clean(self) -> dict[str, Any]:
        if self.cleaned_data.get("password") and not self.cleaned_data.get("log_in"):
            self.add_error("log_in", "A password for which name? Type the name to log in with.")
        if not self.errors:
            self.faulty(person_faults(self.person()))
        return self.cleaned_data

    def person(self) -> season.Person:
        given = self.cleaned_data
        return season.Person(
            name=given["name"].strip(),
            trades=given["trades"],
            hours=given["hours"],
            weekdays=_days(given["weekdays"]),
            off=given["off"],
            rights=frozenset(Right(right) for right in given["rights"]),
            learner=given["learner"],
        )


def person_initial(row: Person | None) -> dict[str, object]:
    if row is None:
        return {"weekdays": ["0", "1", "2", "3", "4"], "works_here": True}
    shut = row.works_here and row.user is not None and not row.user.is_active
    return {
        "name": row.name,
        "trades": ", ".join(row.trades),
        "hours": ", ".join("-".join(span) for span in row.hours),
        "weekdays": [str(day) for day in row.weekdays],
        "off": ", ".join(row.off),
        "rights": row.rights,
        "learner": row.learner,
        "works_here": row.works_here,
        "log_in": row.user.username if row.user and not shut else "",
    }


class OwnPasswordForm(PasswordChangeForm):
    """Everybody changes their own; the manager need not know it."""

    error_messages = PasswordChangeForm.error_messages | {
        "password_incorrect": "That is not your password now. It minds capitals.",
        "password_mismatch": "The two new ones differ. Type the new one twice.",
    }

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, label, help_text in (
            ("old_password", "Your password now", ""),
            ("new_password1", "New password", "At least 8 characters, none in common use."),
            ("new_password2", "The new one once more", ""),
        ):
            self.fields[name].label, self.fields[name].help_text = label, help_text


def _parts(text: str) -> list[str]:
    return [part.strip() for part in re.split(r"[,;\n]", text) if part.strip()]


def _span(text: str) -> tuple[time, time]:
    match = _SPAN.fullmatch(text)
    try:
        if match is None:
            raise ValueError
        from_h, from_min, to_h, to_min = (int(part or 0) for part in match.groups())
        return time(from_h, from_min), time(to_h, to_min)
    except ValueError:
        raise forms.ValidationError(f"{text!r} are no hours; write 07:00-12:00.") from None


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise forms.ValidationError(f"{text!r} is no day; write it as 2031-05-07.") from None
