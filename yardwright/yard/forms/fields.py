"""What every form is made of: fields that take what people type, and say back what is on file."""

import re
from collections.abc import Iterable, Sequence
from datetime import date, datetime, time, timedelta
from typing import Any
from uuid import uuid4

from django import forms
from django.http import QueryDict

from yardwright.calc import units
from yardwright.season.faults import (
    Fault,
)
from yardwright.season.model import OnDay, Weekday
from yardwright.season.zone import moment, said_day
from yardwright.yard import clock

FAR = timedelta(days=200)  # from the season, for a day that is typed now
DAYS = [(str(int(day)), day.name.title()) for day in Weekday]


WORDS = {
    "required": "Fill this in.",
    "invalid_choice": "%(value)s is not on the list; choose from it.",
    "invalid_list": "That is not on the list; choose from it.",
    "invalid_pk_value": "That is not on the list; choose from it.",
    "missing": "No file came; choose it again.",
    "empty": "The file is empty; choose another.",
}
UNREADABLE = {
    forms.DateField: "That is no day; write it like 2031-05-07.",
    forms.TimeField: "That is no time; write it like 07:30.",
    forms.FloatField: "That is no number; write it like 2.5.",
    forms.DecimalField: "That is no number; write it like 2.5.",
    forms.IntegerField: "That is no whole number; write it like 3.",
    forms.EmailField: "That is no e-mail address; write it like name@example.org.",
    forms.UUIDField: "The page is an old one; load it again.",
    forms.FileField: "No file came; choose it again.",
}
BEYOND = {
    "min_value": "%(show_value)s is too little; give %(limit_value)s or more.",
    "max_value": "%(show_value)s is too much; give %(limit_value)s or less.",
    "min_length": "That has %(show_value)d letters; give %(limit_value)d or more.",
    "max_length": "That has %(show_value)d letters; %(limit_value)d are the most.",
}


class YardForm(forms.Form):
    """It says what is wrong in the yard's words, wherever a field has none of its own."""

    def full_clean(self) -> None:
        for field in self.fields.values():
            kinds = type(field).__mro__
            stock: dict[str, Any] = {}
            for kind in reversed(kinds):
                stock |= getattr(kind, "default_error_messages", {})
            unreadable = next((UNREADABLE[kind] for kind in kinds if kind in UNREADABLE), None)
            for code, words in (WORDS | ({"invalid": unreadable} if unreadable else {})).items():
                if field.error_messages.get(code) == stock.get(code):
                    field.error_messages[code] = words
            for code, words in BEYOND.items():
                field.error_messages.setdefault(code, words)
        super().full_clean()


class OnceForm(YardForm):
    """Its uuid is made with the page, so that a second tap changes nothing."""

    uuid = forms.UUIDField(widget=forms.HiddenInput, initial=uuid4)

    def renew(self) -> None:
        """It was not taken: what is sent next from its page is an entry of its own."""
        if isinstance(self.data, QueryDict):
            self.data = self.data.copy()
            self.data["uuid"] = str(uuid4())


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


class Upload(forms.FileField):
    """A file of at most so many bytes; one that is larger is never read."""

    def __init__(self, largest_bytes: int, accept: str, **kwargs: Any) -> None:
        self.largest_bytes = largest_bytes
        super().__init__(widget=forms.FileInput(attrs={"accept": accept}), **kwargs)

    def clean(self, value: Any, initial: Any = None) -> Any:
        sent = super().clean(value, initial)
        if sent and sent.size > self.largest_bytes:
            raise forms.ValidationError(
                f"{sent.name} has {sent.size / 1e6:.0f} MB; "
                f"send at most {self.largest_bytes / 1e6:.0f} MB."
            )
        return sent


def a_day(label: str, **kwargs: Any) -> forms.DateField:
    widget = forms.DateInput(format="%Y-%m-%d", attrs={"type": "date"})
    return forms.DateField(label=label, widget=widget, **kwargs)


def of_this_season(day: date) -> None:
    """Refuse a day so far off that its year is mistyped.

    Raises
    ------
    forms.ValidationError
        It lies more than ``FAR`` before today or after the season's end.
    """
    today, last = clock.today(), clock.the_yard().last_day
    if not today - FAR <= day <= max(today, last) + FAR:
        raise forms.ValidationError(
            f"{day} is far from this season, which ends {last}. Is the year right?"
        )


def a_time(label: str, **kwargs: Any) -> forms.TimeField:
    widget = forms.TimeInput(format="%H:%M", attrs={"type": "time"})
    return forms.TimeField(label=label, widget=widget, **kwargs)


class Moment(forms.Field):
    """A time by the yard's own clock; one that comes twice or never is asked about."""

    widget = forms.DateTimeInput(attrs={"type": "datetime-local"}, format="%Y-%m-%dT%H:%M")

    def to_python(self, value: Any) -> datetime | None:
        if not value:
            return None
        try:
            wall = datetime.fromisoformat(str(value))
        except ValueError:
            raise forms.ValidationError(
                f"{str(value)[:30]!r} is no time; write it as 2031-05-06 07:40."
            ) from None
        try:
            return moment(wall, clock.zone())
        except ValueError as error:
            raise forms.ValidationError(str(error)) from error


def passed(day: date, ends: time) -> str:
    """Why hours of a day can't be told any more; empty where they are still to come."""
    if (day, ends) > (clock.today(), clock.now().time()):
        return ""
    return f"{said_day(day)} {ends:%H:%M} has passed. Until when?"


_ON_DAY = re.compile(r"(\d{4}-\d\d-\d\d) (\d\d:\d\d) to (\d\d:\d\d) *(.*)")


class DayHours(forms.CharField):
    """Hours of single days, one a line, as people type them: 2031-05-06 18:05 to 18:35 the tide."""

    widget = forms.Textarea(attrs={"rows": 3})

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"required": False, "max_length": 4000} | kwargs)

    def clean(self, value: Any) -> tuple[OnDay, ...]:
        lines = super().clean(value).splitlines()
        return tuple(_on_day(line.strip()) for line in lines if line.strip())

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, list):
            return value
        return "\n".join(f"{day} {a} to {b} {why}".strip() for day, a, b, why in value)


def _on_day(line: str) -> OnDay:
    match = _ON_DAY.fullmatch(line)
    try:
        if match is None:
            raise ValueError
        starts, ends = map(time.fromisoformat, match.groups()[1:3])
        return OnDay(date.fromisoformat(match[1]), starts, ends, match[4])
    except ValueError:
        raise forms.ValidationError(
            f"{line!r} are no hours of one day; write 2031-05-06 18:05 to 18:35."
        ) from None


def on_days(form: forms.Form, name: str) -> tuple[OnDay, ...]:
    """What was typed of single days; one that is not on file is of this season."""
    given: tuple[OnDay, ...] = form.cleaned_data[name]
    known = {day for day, *_ in form.initial.get(name, [])}
    for one in given:
        if one.day.isoformat() not in known:
            of_this_season(one.day)
    return given


_SPAN = re.compile(r"(\d\d?):?(\d\d)?\s*(?:-|–|to)\s*(\d\d?):?(\d\d)?")


class Hours(forms.CharField):
    """Hours of a day, as people type them: 07:00-12:00, 12:30-15:30."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(**{"required": False, "max_length": 120} | kwargs)

    def clean(self, value: Any) -> tuple[tuple[time, time], ...]:
        return tuple(_span(part) for part in parts(super().clean(value)))

    def prepare_value(self, value: Any) -> Any:
        return ", ".join("-".join(span) for span in value) if isinstance(value, list) else value


def parts(text: str) -> list[str]:
    """What stands between commas, semicolons or line ends."""
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
        self.on_file: float | None = None
        super().__init__(**{"required": False, "max_length": 40} | kwargs)

    def clean(self, value: Any) -> float | None:
        typed = super().clean(value)
        if not typed:
            return None
        if self.on_file is not None and typed == self.prepare_value(self.on_file):
            return self.on_file  # nobody touched it: what it was rounded to be shown is not kept
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


class SaysBack(YardForm):
    """A form that says beside each measured field what is on file, in both worlds' units."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            known = self.initial.get(name)
            if isinstance(field, Measure) and isinstance(known, float | int):
                field.on_file = float(known)
                field.help_text = " ".join(
                    filter(None, (str(field.help_text), f"On file: {field.both(known)}."))
                )

    def faulty(self, found: Iterable[Fault]) -> None:
        """Put each fault of the season beside its field."""
        for fault in found:
            name = str(fault.path[0]) if fault.path else ""
            self.add_error(name if name in self.fields else None, fault.says)


def weekdays_field() -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(
        label="Weekdays", choices=DAYS, widget=forms.CheckboxSelectMultiple, required=False
    )


def weekdays_of(chosen: Sequence[str]) -> tuple[Weekday, ...]:
    return tuple(Weekday(int(day)) for day in chosen)
