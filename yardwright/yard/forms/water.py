"""The door to the water: a tide station or a typed table, and the sill."""

import re
from collections.abc import Iterable
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms

from yardwright.calc import units
from yardwright.season import model as season
from yardwright.season.zone import moment
from yardwright.tides.sill import Sill
from yardwright.tides.stations import station
from yardwright.tides.water import Extreme, Turn
from yardwright.yard.forms.fields import Measure, SaysBack, a_day
from yardwright.yard.models import Tide, Yard

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
