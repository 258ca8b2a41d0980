"""The door to lifts, places and instruments."""

import re
from collections.abc import Iterable, Iterator
from datetime import datetime
from difflib import get_close_matches
from typing import Any

from django import forms

from yardwright.calc import units
from yardwright.procedures.quantities import quantities
from yardwright.procedures.step import Has
from yardwright.season import model as season
from yardwright.season.fault import Fault
from yardwright.season.faults import instrument_faults, place_faults
from yardwright.season.lift_faults import lift_faults
from yardwright.season.lifts import opens_within
from yardwright.season.zone import moment, said_day
from yardwright.yard import clock, queries
from yardwright.yard.forms.fields import (
    DayHours,
    Measure,
    Moment,
    SaysBack,
    Words,
    YardForm,
    a_day,
    a_time,
    of_this_season,
    on_days,
    weekdays_field,
    weekdays_of,
)
from yardwright.yard.models import Instrument, Lift, Person, Place

LIFT_KINDS = ("travel lift", "crane", "forklift", "hydraulic trailer", "slipway cradle", "ramp")


WIND = ("wind_m_s", "wind_source", "wind_page")
HELD_BY = ("wind", "repair", "inspection", "ice on the ground")


PLACE_KINDS = ("row", "berth on land", "rack hole", "shed bay", "trailer line", "lift well", "ramp")


def _people() -> list[tuple[str, str]]:
    names = Person.objects.filter(works_here=True).values_list("name", flat=True)
    return [(name, name) for name in names]


class LiftForm(SaysBack):
    name = forms.CharField(label="Name", max_length=60)
    kind = forms.CharField(label="Kind", max_length=40, widget=Words(LIFT_KINDS))
    rating_kg = Measure("kg", "lb", label="Lifts at most", required=True)
    sling_rating_kg = Measure("kg", "lb", label="Each sling holds at most", required=True)
    beam_m = Measure(
        "m",
        "ft",
        label="Widest boat it takes",
        help_text="Between its legs, or in its cradle. Empty: no limit on file, which is said each time.",
    )
    draft_m = Measure(
        "m",
        "ft",
        label="Deepest boat it takes",
        help_text="In its slings or its cradle. Empty: no limit on file, which is said each time.",
    )
    wind_m_s = Measure(
        "m/s",
        "mph",
        label="Lifts in wind up to",
        help_text="As its maker gives it, such as 12 m/s or 25 kn. Empty: no limit on file, which is "
        "said each time.",
    )
    wind_source = forms.CharField(
        label="Which book or plate says so",
        max_length=160,
        required=False,
        help_text="Such as: lift maker's manual.",
    )
    wind_page = forms.CharField(
        label="Its page", max_length=40, required=False, help_text="Of a plate: where it hangs."
    )
    firm_ground = forms.BooleanField(
        label="Goes on firm ground alone",
        required=False,
        help_text="Then it fetches no boat from a place that is soft, nor from one nobody has looked at.",
    )
    opens = a_time("Opens")
    closes = a_time("Closes")
    launch_min = forms.IntegerField(
        label="Minutes for a launch",
        min_value=1,
        help_text="All of which need her water: the hang, slings off, and the way back out.",
    )
    carry_min = forms.IntegerField(
        label="Minutes before it",
        min_value=0,
        required=False,
        help_text="Into the slings and to the well, before she meets the water. Empty: not counted.",
    )
    by_kind = forms.CharField(
        label="Other minutes by kind of boat",
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="What she has, one a line: mast 20 before, 45 launch. Of several the longest; of a "
        "boat that nobody wrote it of, the longest of all.",
    )
    aside_min = forms.IntegerField(
        label="Minutes to move a boat aside",
        min_value=1,
        required=False,
        help_text="Empty: it can't move a boat aside.",
    )
    weekdays = weekdays_field()
    run_by = forms.MultipleChoiceField(
        label="Who may run it",
        choices=_people,
        widget=forms.CheckboxSelectMultiple,
        required=False,
        help_text="It is open only while one of them is at work. A plan takes no time for it from "
        "their other jobs: tick those whose job it is, or leave them hours for it. None ticked: it "
        "has a crew of its own, and is open at its hours.",
    )
    holds = forms.CharField(
        label="Carries nothing",
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="One a line, with its reason: 2031-05-07 08:00 to 2031-05-07 12:00 wind.",
    )
    longer = DayHours(
        label="Open longer on single days",
        help_text="One a line, with its reason: 2031-05-06 18:05 to 18:35 the evening tide.",
    )

    def clean_carry_min(self) -> int:
        return self.cleaned_data["carry_min"] or 0

    def clean_by_kind(self) -> tuple[season.LiftMinutes, ...]:
        lines = self.cleaned_data["by_kind"].splitlines()
        return tuple(_minutes(line.strip()) for line in lines if line.strip())

    def clean_run_by(self) -> tuple[str, ...]:
        return tuple(self.cleaned_data["run_by"])

    def clean_holds(self) -> tuple[season.Hold, ...]:
        holds = _holds(self.cleaned_data["holds"])
        known = {*_holds(self.initial.get("holds", ""))}
        for hold in holds:
            if hold not in known:
                for at in (hold.starts, hold.ends):
                    _of_this_season(at)
        return holds

    def clean_longer(self) -> tuple[season.OnDay, ...]:
        return on_days(self, "longer")

    def clean(self) -> dict[str, Any]:
        given = self.cleaned_data
        if "wind_m_s" in given and given["wind_m_s"] is None and self._wind_from(given):
            self.add_error(
                "wind_m_s", "Give the wind that stands there, or empty its book and page."
            )
        if not self.errors:
            self.faulty(_beside_fields(lift_faults(self.lift())))
        return given

    def _wind_from(self, given: dict[str, Any]) -> bool:
        return bool(given.get("wind_source") or given.get("wind_page"))

    def lift(self) -> season.Lift:
        given = dict(self.cleaned_data)
        wind = [given.pop(name) for name in WIND]
        limit = None if wind[0] is None else season.WindLimit(*wind)
        given["weekdays"] = weekdays_of(given["weekdays"])
        return season.Lift(**given, wind_limit=limit)


def _beside_fields(found: Iterable[Fault]) -> Iterator[Fault]:
    """A fault of the wind limit stands beside its own field."""
    for fault in found:
        if fault.path[:1] == ("wind_limit",):
            yield Fault((f"wind_{fault.path[1]}",), fault.says)
        else:
            yield fault


def lift_initial(row: Lift | None) -> dict[str, object]:
    if row is None:
        return {"weekdays": ["0", "1", "2", "3", "4"], "launch_min": 30}
    own = {name: getattr(row, name) for name in LiftForm.base_fields if name not in WIND}
    limit = row.wind_limit or {}
    holds = "\n".join(_shown(*hold) for hold in row.holds)
    kinds = (f"{has} {carry} before, {launch} launch" for has, launch, carry in row.by_kind)
    shown = {"holds": holds, "by_kind": "\n".join(kinds)}
    wind = {name: limit.get(name.removeprefix("wind_")) for name in WIND}
    return own | {"weekdays": [str(day) for day in row.weekdays]} | shown | wind


_MINUTES = re.compile(r"(.+?):? +(\d{1,4}) before, *(\d{1,4}) launch")


def _minutes(line: str) -> season.LiftMinutes:
    match = _MINUTES.fullmatch(line)
    if match is None:
        raise forms.ValidationError(
            f"{line!r} is no kind with its minutes; write mast 20 before, 45 launch."
        )
    if match[1] not in list(Has):
        near = get_close_matches(match[1].casefold(), list(Has), n=2, cutoff=0.4)
        meant = f"Is it {' or '.join(near)}?" if near else f"One of: {', '.join(Has)}."
        raise forms.ValidationError(f"Boats have no “{match[1]}” here. {meant}")
    return season.LiftMinutes(Has(match[1]), int(match[3]), int(match[2]))


_HOLD = re.compile(r"(\d{4}-\d\d-\d\d \d\d:\d\d) to (\d{4}-\d\d-\d\d \d\d:\d\d) *(.*)")


def _holds(text: str) -> tuple[season.Hold, ...]:
    """One a line: a reason may have commas."""
    return tuple(_hold(line.strip()) for line in text.splitlines() if line.strip())


def _hold(line: str) -> season.Hold:
    match = _HOLD.fullmatch(line)
    if match is None:
        raise forms.ValidationError(
            f"{line!r} is no time; write 2031-05-07 08:00 to 2031-05-07 12:00 wind."
        )
    try:
        starts, ends = (
            moment(datetime.fromisoformat(at), clock.zone()) for at in match.groups()[:2]
        )
    except ValueError as error:
        raise forms.ValidationError(f"{line!r}: {error}") from error
    return season.Hold(starts, ends, match[3])


def _shown(starts: str, ends: str, why: str) -> str:
    begin, end = (datetime.fromisoformat(at).astimezone(clock.zone()) for at in (starts, ends))
    return f"{begin:%Y-%m-%d %H:%M} to {end:%Y-%m-%d %H:%M} {why}".strip()


def _of_this_season(at: datetime) -> None:
    of_this_season(at.astimezone(clock.zone()).date())


class HeldForm(YardForm):
    """A surprise: a lift carries nothing for a time."""

    lift = forms.ModelChoiceField(Lift.objects.all(), label="Which lift", empty_label="Choose one")
    starts = Moment(label="From", initial=clock.now, validators=[_of_this_season])
    ends = Moment(
        label="Until", help_text="As far as anybody can say now.", validators=[_of_this_season]
    )
    why = forms.CharField(label="Why", max_length=60, widget=Words(HELD_BY))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        lifts = list(Lift.objects.all()[:2])
        if len(lifts) == 1:  # nobody has to choose
            self.initial["lift"] = lifts[0]

    def clean(self) -> dict[str, Any]:
        if self.errors:
            return self.cleaned_data
        zone, hold = clock.zone(), self.hold
        lift, ends = queries.lift(self.cleaned_data["lift"]), hold.ends.astimezone(zone)
        if ends <= clock.now():
            says = f"{said_day(ends.date())} {ends:%H:%M} has passed. Until when is it held?"
            self.add_error("ends", says)
        elif ends <= hold.starts:
            self.add_error("ends", "That is not after From. Until when is it held?")
        elif not opens_within(lift, hold.starts, ends, zone):
            self.add_error(
                "starts",
                f"The {lift.name} is shut all that time anyway: it is open {lift.opens:%H:%M} to "
                f"{lift.closes:%H:%M}. Look at day and time again.",
            )
        return self.cleaned_data

    @property
    def hold(self) -> season.Hold:
        given = self.cleaned_data
        return season.Hold(given["starts"], given["ends"], given["why"])


class PlaceForm(SaysBack):
    name = forms.CharField(label="Name", max_length=60)
    kind = forms.CharField(label="Kind", max_length=40, widget=Words(PLACE_KINDS))
    berths = forms.IntegerField(
        label="Berths", min_value=1, max_value=2000, help_text="Berth 1 stands at the aisle."
    )
    length_m = Measure("m", "ft", label="Longest boat", help_text="Empty: not known.")
    bears_kg = Measure("kg", "lb", label="One berth's ground bears", help_text="Empty: not known.")
    headroom_m = Measure(
        "m", "ft", label="Headroom", help_text="Under roof or wires. Empty: not known."
    )
    soft = forms.TypedChoiceField(
        label="Its ground",
        choices=[("", "not known"), ("False", "bears a lift all year"), ("True", "goes soft")],
        coerce=lambda given: given == "True",
        empty_value=None,
        required=False,
        help_text="In thaw or wet. Some lifts go on firm ground alone.",
    )
    firm_from = a_day(
        "Where it goes soft: firm from",
        required=False,
        help_text="The day of this season from which it bears a lift. Empty: not known.",
    )

    def clean(self) -> dict[str, Any]:
        if not self.errors:
            self.faulty(place_faults(self.place()))
        return self.cleaned_data

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
