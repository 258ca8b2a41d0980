"""The Water Strip of a season: the tide at its sill, and each boat's water and launch under it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from yardwright.papers import strip_lifts
from yardwright.papers.drawing import Drawing
from yardwright.papers.strip_lifts import Held, LiftHours
from yardwright.papers.strip_scale import Span
from yardwright.papers.water_strip import BoatWater, Turn, water_strip
from yardwright.plan.days import Days
from yardwright.plan.hours import Stretches, both, outside
from yardwright.season.hours import lift_hours
from yardwright.season.model import Boat, Lift, Person, Season
from yardwright.season.water import known_part, water_of, windows_by_draft
from yardwright.season.zone import midnight
from yardwright.tides import water as tides
from yardwright.tides.sill import sill_above_datum_m
from yardwright.tides.water import Interval

STEP = timedelta(minutes=10)


@dataclass(frozen=True, slots=True)
class Strip:
    """Some days of water: its turns, and each boat under it, in the yard's own time."""

    title: str
    source: str
    less_sure: str
    datum: str
    sill_m: float  # above that datum
    turns: tuple[Turn, ...]
    lifts: tuple[LiftHours, ...]  # whose hours are shown
    boats: tuple[BoatWater, ...]
    curve: tuple[tuple[datetime, float], ...]
    wind_decides: bool  # so small a tide that a gauge must be read, whatever the curve says

    def drawn(self, ident: str, width: float) -> Drawing:
        """Draw it, its letters true at this width [px]."""
        return water_strip(ident, self.title, self.curve, self.turns, self.boats, width, self.lifts)

    @property
    def view(self) -> Span:
        """From the first to the last moment that is shown."""
        return Span(self.curve[0][0], self.curve[-1][0])

    @property
    def lift_words(self) -> list[tuple[str, str]]:
        """Each lift, or those that are open alike, with its hours in words."""
        return [(one.name, one.words(self.view)) for one in self.lifts]

    @property
    def lift_key(self) -> str:
        """What the marks of the lifts mean."""
        return strip_lifts.key(self.lifts, self.view)

    @property
    def key(self) -> str:
        """What all the marks mean."""
        return (
            f"{self.lift_key} Bars: when each boat floats with the yard's margin to spare. Filled blue: her "
            "launch. Hatched: not possible."
        ).lstrip()

    @property
    def over_sill(self) -> str:
        """How much water that is over the sill, of the highest that is shown."""
        high = max((turn.height_m for turn in self.turns), default=None)
        if high is None:
            return ""
        return f"at {high:.2f} m there are {high - self.sill_m:.2f} m of water over our sill"

    def high_after(self, at: datetime) -> Turn | None:
        """The first high water at or after a time."""
        return next((turn for turn in self.turns if turn.high and turn.at >= at), None)


def strip(
    season: Season,
    first: date,
    days: int,
    launches: Mapping[str, tuple[datetime, datetime]],
    refused: Mapping[str, tuple[datetime, datetime]],
    notes: Mapping[str, str],
) -> Strip:
    """Reckon some days of water at the sill.

    Parameters
    ----------
    season : Season
        Yard, water, and the boats to hang under the curve.
        Its lifts are those whose hours are shown, its people those who may run them.
    first : date
        First day, in the yard's zone.
    days : int
        How many, 1 to 7.
    launches : mapping of str to (datetime, datetime)
        When boats are to go in, by name.
    refused : mapping of str to (datetime, datetime)
        When they would have gone in, but can't; their notes say why.
    notes : mapping of str to str
        What there is to say of a boat, by name.

    Raises
    ------
    ValueError
        The water is at fault, or does not reach these days.
    """
    zone, water = ZoneInfo(season.yard.zone), water_of(season)
    start, end = midnight(first, zone), midnight(first + timedelta(days=days), zone)
    asked = known_part(water, start, end)
    times = [asked.start, *_between(asked), asked.end]
    levels = water.level_m(times)
    drafts = [boat.draft_m for boat in season.boats if boat.draft_m is not None]
    floats = windows_by_draft(season, drafts, asked.start, asked.end)
    return Strip(
        title=f"Water at our sill, {_days(first, days)}",
        source=water.source,
        less_sure=water.less_sure,
        datum=water.datum,
        sill_m=sill_above_datum_m(season.water.sill, water),
        turns=tuple(
            Turn(turn.at.astimezone(zone), turn.level_m, turn.turn == tides.Turn.HW)
            for turn in water.extremes(asked.start, asked.end)
        ),
        lifts=_lifts(season, Days(first, days, zone)),
        boats=tuple(
            replace(
                _boat(boat, floats, zone, notes.get(boat.name, "")),
                launch=_seen(launches.get(boat.name), asked),
                refused=_seen(refused.get(boat.name), asked),
            )
            for boat in season.boats
        ),
        curve=tuple((at.astimezone(zone), float(m)) for at, m in zip(times, levels, strict=True)),
        wind_decides=_wind_decides(water, asked),
    )


def _wind_decides(water: tides.Water, asked: Interval) -> bool:
    """Where no whole tide is known in these days it is not known: the gauge is asked for too."""
    try:
        return tides.wind_decides(water, asked.start, asked.end)
    except ValueError:
        return True


def _lifts(season: Season, days: Days) -> tuple[LiftHours, ...]:
    """The hours of each lift; those that are open alike together."""
    alike: dict[LiftHours, list[str]] = {}
    for lift in season.lifts:
        alike.setdefault(_lift(lift, season.people, days), []).append(lift.name)
    return tuple(replace(hours, name=" and ".join(names)) for hours, names in alike.items())


def _lift(lift: Lift, people: tuple[Person, ...], days: Days) -> LiftHours:
    opens = lift_hours(days, lift, people).opens
    with_crew = lift_hours(days, replace(lift, run_by=()), people).opens
    held = sorted(lift.holds, key=lambda one: one.starts)
    return LiftHours(
        name="",
        opens=_spans(opens, days),
        held=tuple(
            Held(Span(one.starts.astimezone(days.zone), one.ends.astimezone(days.zone)), one.why)
            for one in held
            if one.starts < days.at(days.end) and days.at(0) < one.ends
        ),
        away=_spans(both(with_crew, outside(opens, days.end)), days),
    )


def open_hours(season: Season, first: date, days: int) -> dict[Lift, tuple[Span, ...]]:
    """When each lift of a season is open on some days."""
    shown = Days(first, days, ZoneInfo(season.yard.zone))
    return {
        lift: _spans(lift_hours(shown, lift, season.people).opens, shown) for lift in season.lifts
    }


def _spans(stretches: Stretches, days: Days) -> tuple[Span, ...]:
    return tuple(Span(days.at(start), days.at(end)) for start, end in stretches)


def _between(span: Interval) -> Iterable[datetime]:
    at = span.start + STEP
    while at < span.end:
        yield at
        at += STEP


def _boat(
    boat: Boat,
    floats: Mapping[float, tuple[Interval, ...]],
    zone: ZoneInfo,
    note: str,
) -> BoatWater:
    if boat.draft_m is None:
        note = note or "her draft is not known: measure it"
    found = () if boat.draft_m is None else floats[boat.draft_m]
    return BoatWater(
        name=boat.name,
        floats=tuple(Span(w.start.astimezone(zone), w.end.astimezone(zone)) for w in found),
        note=note,
    )


def _seen(launch: tuple[datetime, datetime] | None, asked: Interval) -> Span | None:
    if launch is None or not asked.start <= launch[0].astimezone(UTC) < asked.end:
        return None
    return Span(*launch)


def _days(first: date, days: int) -> str:
    last = first + timedelta(days=days - 1)
    whole = f"{first:%A} {first.day} {first:%B}"
    return whole if days == 1 else f"{whole} to {last:%A} {last.day} {last:%B}"
