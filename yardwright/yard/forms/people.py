"""The door to people: hours, rights, log-ins."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from django import forms
from django.contrib.auth.forms import PasswordChangeForm

from yardwright.procedures.step import Trade
from yardwright.season import model as season
from yardwright.season.day_hours import with_overtime
from yardwright.season.faults import (
    person_faults,
)
from yardwright.season.model import Right
from yardwright.season.zone import said_day
from yardwright.yard import clock, queries
from yardwright.yard.forms.fields import (
    DayHours,
    Hours,
    SaysBack,
    YardForm,
    a_day,
    a_time,
    of_this_season,
    on_days,
    parts,
    passed,
    weekdays_field,
    weekdays_of,
)
from yardwright.yard.models import Person

MOST_OFF = 366  # days in one part
_TO = re.compile(r"\s+(?:to|-|–)\s+")


class PersonForm(SaysBack):
    name = forms.CharField(label="Name", max_length=80)
    trades = forms.CharField(
        label="Trades",
        required=False,
        max_length=200,
        help_text=f"With commas between: {', '.join(Trade)}.",
    )
    hours = Hours(label="Hours of a working day", help_text="Such as 07:00-12:00, 12:30-15:30.")
    overtime = Hours(
        label="Overtime of a working day",
        help_text="Hours outside these that a plan may use when a day is late otherwise: "
        "15:30-17:30.",
    )
    weekdays = weekdays_field()
    off = forms.CharField(
        label="Days off",
        required=False,
        max_length=4000,
        help_text="Such as 2031-05-07, 2031-05-11 to 2031-05-15.",
    )
    away = DayHours(
        label="Away for some hours",
        help_text="One a line, with its reason: 2031-05-07 08:00 to 10:00 dentist.",
    )
    longer = DayHours(
        label="Stays longer on single days",
        help_text="One a line: 2031-05-06 15:30 to 17:30. A plan counts these as hours of a working day.",
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
    learns = forms.CharField(
        label="Learns the trades",
        required=False,
        max_length=200,
        help_text="A plan gives them such work while somebody of the trade watches.",
    )
    may_watch = forms.IntegerField(
        label="Learners they can watch at once", min_value=0, max_value=20, required=False
    )
    of_age_on = a_day(
        "Under age until",
        required=False,
        help_text="The day they come of age. Until then no step that minors don't do here is theirs.",
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
        return tuple(parts(self.cleaned_data["trades"]))

    def clean_learns(self) -> tuple[str, ...]:
        return tuple(parts(self.cleaned_data["learns"]))

    def clean_may_watch(self) -> int:
        given = self.cleaned_data["may_watch"]
        return 1 if given is None else given

    def clean_off(self) -> tuple[date, ...]:
        off = _all_days(self.cleaned_data["off"])
        for day in sorted(off - _all_days(self.initial.get("off", ""))):
            of_this_season(day)
        return tuple(sorted(off))

    def clean_away(self) -> tuple[season.OnDay, ...]:
        return on_days(self, "away")

    def clean_longer(self) -> tuple[season.OnDay, ...]:
        return on_days(self, "longer")

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
            weekdays=weekdays_of(given["weekdays"]),
            off=given["off"],
            rights=frozenset(Right(right) for right in given["rights"]),
            learner=given["learner"],
            overtime=given["overtime"],
            learns=given["learns"],
            may_watch=given["may_watch"],
            of_age_on=given["of_age_on"],
            away=given["away"],
            longer=given["longer"],
        )


def person_initial(row: Person | None) -> dict[str, object]:
    if row is None:
        return {"weekdays": ["0", "1", "2", "3", "4"], "works_here": True, "may_watch": 1}
    shut = row.works_here and row.user is not None and not row.user.is_active
    return {
        "name": row.name,
        "trades": ", ".join(row.trades),
        "hours": row.hours,
        "overtime": row.overtime,
        "weekdays": [str(day) for day in row.weekdays],
        "off": ", ".join(_said(map(date.fromisoformat, row.off))),
        "away": row.away,
        "longer": row.longer,
        "rights": row.rights,
        "learner": row.learner,
        "learns": ", ".join(row.learns),
        "may_watch": row.may_watch,
        "of_age_on": row.of_age_on,
        "works_here": row.works_here,
        "log_in": row.user.username if row.user and not shut else "",
    }


class AwayForm(YardForm):
    """A surprise: somebody is off on days more than is known, or away for some hours of one."""

    person = forms.ModelChoiceField(
        Person.objects.filter(works_here=True), label="Who", empty_label="Choose a name"
    )
    first = a_day("From", initial=clock.today, validators=[of_this_season])
    last = a_day(
        "To",
        required=False,
        help_text="The last day off. Empty: that one day.",
        validators=[of_this_season],
    )
    starts = a_time("From the hour", required=False, help_text="Of that one day. Empty: all day.")
    ends = a_time("Until the hour", required=False)

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if self.errors:
            return given
        person, first, last = given["person"], given["first"], given["last"] or given["first"]
        if last < first:
            says = f"{said_day(last)} is before {said_day(first)}. Which is the last day off?"
            self.add_error("last", says)
        elif last < clock.today():
            says = f"{said_day(last)} is over. Give today or a day to come."
            self.add_error("last" if given["last"] else "first", says)
        elif not any(day.weekday() in person.weekdays for day in _each(first, last)):
            span = said_day(first) if first == last else f"{said_day(first)} to {said_day(last)}"
            says = f"{person} does not work then anyway: {span}. Look at the days again."
            self.add_error("first", says)
        elif given["starts"] or given["ends"]:
            self._some_hours(first, last)
        return given | {"last": last}

    def _some_hours(self, day: date, last: date) -> None:
        given = self.cleaned_data
        person = replace(queries.person(given["person"]), away=())  # told again, it is as before
        starts, ends = given["starts"], given["ends"]
        if last != day:
            self.add_error("starts", "Hours are of one day. Empty To, or the hours.")
        elif not (starts and ends):
            self.add_error("ends" if starts else "starts", "Give both hours, or none for all day.")
        elif ends <= starts:
            self.add_error("ends", "That is not after the hour above. Until when?")
        elif over := passed(day, ends):
            self.add_error("ends", over)
        elif not any(a < ends and starts < b for a, b in with_overtime(person, day)):
            span = f"{said_day(day)} {starts:%H:%M} to {ends:%H:%M}"
            says = f"{person.name} does not work then anyway: {span}. Look at the hours again."
            self.add_error("starts", says)

    @property
    def hours(self) -> season.OnDay | None:
        """The hours of one day; None: whole days."""
        given = self.cleaned_data
        if not given["starts"]:
            return None
        return season.OnDay(given["first"], given["starts"], given["ends"])

    @property
    def days(self) -> list[date]:
        return _each(self.cleaned_data["first"], self.cleaned_data["last"])


class OwnPasswordForm(YardForm, PasswordChangeForm):
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


def _all_days(text: str) -> set[date]:
    return {day for part in parts(text) for day in _days(part)}


def _days(text: str) -> list[date]:
    """The days of ``2031-05-07``, or of ``2031-05-11 to 2031-05-15`` with both ends."""
    first, *rest = (_day(part) for part in _TO.split(text, maxsplit=1))
    last = rest[0] if rest else first
    if last < first:
        raise forms.ValidationError(f"{text!r} ends before it begins; write its first day first.")
    if (last - first).days > MOST_OFF:
        raise forms.ValidationError(f"{text!r} is longer than a year; write it in shorter parts.")
    return _each(first, last)


def _each(first: date, last: date) -> list[date]:
    """Each day from one to another, both in."""
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def _said(days: Iterable[date]) -> Iterator[str]:
    """Days as they are typed, those in a row as one."""
    spans: list[tuple[date, date]] = []
    for day in sorted(days):
        if spans and day - spans[-1][1] <= timedelta(days=1):
            spans[-1] = spans[-1][0], day
        else:
            spans.append((day, day))
    return (f"{a}" if a == b else f"{a} to {b}" for a, b in spans)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise forms.ValidationError(
            f"{text!r} is no day; write it as 2031-05-07, or 2031-05-11 to 2031-05-15."
        ) from None
