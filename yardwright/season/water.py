"""The water at the yard's sill, and when a boat floats over it."""

from collections.abc import Iterable
from datetime import UTC, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo

from yardwright.season.model import Boat, Season
from yardwright.tides.sill import needed_level_m, sill_above_datum_m
from yardwright.tides.stations import station
from yardwright.tides.typed import TypedTable
from yardwright.tides.water import Interval, Water, whole_minutes

FAR_KM = 100.0


def water_of(season: Season) -> Water:
    """The water a season goes by.

    Parameters
    ----------
    season : Season
        Its station or its typed table, datum and epoch, and its sill.

    Returns
    -------
    Water
        Heights above the datum that the season names.

    Raises
    ------
    ValueError
        A faulty table, an unknown station, or a datum or epoch that is not the station's or the
        sill's: heights of different datums are never mixed.
    """
    given = season.water
    if not given.station:
        source = given.source or "typed from a printed table"
        water: Water = TypedTable(given.table, given.datum, given.epoch, source)
    else:
        water = _at_station(given.station)
        if (given.datum, given.epoch) != (water.datum, water.epoch):
            raise ValueError(
                f"the water is said to be above {given.datum} of {given.epoch}, but station "
                f"{given.station} is reckoned from {water.datum} of {water.epoch}; write those, and "
                "make sure the sill was measured from them."
            )
    sill_above_datum_m(given.sill, water)
    return water


def known_part(water: Water, start: datetime, end: datetime) -> Interval:
    """The part of a time for which the water is known.

    Raises
    ------
    ValueError
        It is known for none of it.
    """
    begin, stop = max(start, water.span.start), min(end, water.span.end)
    if begin >= stop:
        raise ValueError(
            f"This water is known from {water.span.start:%d %b %Y} to {water.span.end:%d %b %Y}; "
            f"{start:%d %b %Y} is outside. Enter its high and low waters, or ask for another day."
        )
    return Interval(begin, stop)


@cache
def _at_station(number: str) -> Water:
    """A station's water keeps the year that it has reckoned, so ask the same one again."""
    return station(number).water()


def station_km(season: Season) -> float | None:
    """How far the tide station is from the yard; None where either place is not known."""
    yard = season.yard
    if not season.water.station or yard.latitude is None or yard.longitude is None:
        return None
    return station(season.water.station).distance_km(yard.latitude, yard.longitude)


def needed_m(season: Season, water: Water, boat: Boat) -> float:
    """Level above the water's datum at which a boat floats over the sill, slings under her [m].

    Raises
    ------
    ValueError
        Her draft is not known.
    """
    return _needed_m(season, water, _draft_m(boat))


def _draft_m(boat: Boat) -> float:
    if boat.draft_m is None:
        raise ValueError(f"{boat.name}'s draft is not known; measure it and write draft_m.")
    return boat.draft_m


def _needed_m(season: Season, water: Water, draft_m: float) -> float:
    yard = season.yard
    return needed_level_m(season.water.sill, water, draft_m, yard.sling_bight_m, yard.margin_m)


def windows(season: Season, boat: Boat, start: datetime, end: datetime) -> tuple[Interval, ...]:
    """When a boat floats over the sill, in whole minutes.

    Parameters
    ----------
    season : Season
        Yard and water.
    boat : Boat
        With her draft.
    start, end : datetime
        The time asked about, aware. Where the water is not known (before a typed table begins,
        after it ends) there is no window: nothing is launched on a guess.

    Returns
    -------
    tuple of Interval
        In order, in UTC, rounded inwards.

    Raises
    ------
    ValueError
        Her draft is not known, or the water is at fault (see ``water_of``).
    """
    draft_m = _draft_m(boat)
    return windows_by_draft(season, [draft_m], start, end)[draft_m]


def windows_by_draft(
    season: Season, drafts_m: Iterable[float], start: datetime, end: datetime
) -> dict[float, tuple[Interval, ...]]:
    """The same for many boats at once, by their drafts: the water is reckoned once."""
    water = water_of(season)
    start, end = max(start, water.span.start), min(end, water.span.end)
    levels = {draft_m: _needed_m(season, water, draft_m) for draft_m in drafts_m}
    return {
        draft_m: whole_minutes(water.windows(start, end, need_m)) if start < end else ()
        for draft_m, need_m in levels.items()
    }


def season_span(season: Season) -> Interval:
    """From the first midnight of the season to the one after its last day."""
    yard, zone = season.yard, ZoneInfo(season.yard.zone)
    first = datetime.combine(yard.first_day, time(), zone)
    after = datetime.combine(yard.last_day + timedelta(days=1), time(), zone)
    return Interval(first.astimezone(UTC), after.astimezone(UTC))
