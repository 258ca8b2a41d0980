"""Haul-out: in which order the boats still afloat come out, on the tide and before the frost."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from yardwright.plan import haul_out as plan
from yardwright.plan import standing as places
from yardwright.plan.days import Days
from yardwright.plan.hours import within
from yardwright.season import standing
from yardwright.season.freeze import Water, water_in
from yardwright.season.hours import lift_hours
from yardwright.season.lifts import breaches, firm_from, her_minutes, the_lift, to_measure
from yardwright.season.model import Boat, Lift, Season
from yardwright.season.water import windows
from yardwright.season.zone import midnight

MINUTE = timedelta(minutes=1)


@dataclass(frozen=True, slots=True)
class Turn:
    """One boat's turn in the yard's own time, where she will stand, and why then."""

    boat: Boat
    starts: datetime
    ends: datetime
    place: str
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Order:
    """Who comes out when; and who finds no turn, with the reason."""

    turns: tuple[Turn, ...]
    left: tuple[tuple[Boat, str], ...]


def order(season: Season, begins: datetime, days: int, frost: date | None, lift: str = "") -> Order:
    """List who comes out when.

    Parameters
    ----------
    season : Season
        Its boats afloat or coming out are listed; those on land stand where they stand.
    begins : datetime
        From when, aware.
    days : int
        How many, 1 to 120.
    frost : date or None
        The day on which frost is expected: those out later are told so. None: not known.
    lift : str
        Which lift; may be left out where there is one.

    Raises
    ------
    ValueError
        Days outside their range, no lift, or water at fault; or the list broke a rule of its own
        check, which then is never shown.
    """
    if not 1 <= days <= 120:
        raise ValueError(f"{days} days; give 1 to 120.")
    zone = ZoneInfo(season.yard.zone)
    begins = _next_minute(begins)
    ends = begins + timedelta(days=days)
    hauls = the_lift(season, lift)
    to_come = [boat for boat in season.boats if boat.state in standing.TO_COME]
    refused = [(boat, f"{says}.") for boat in to_come for _, says in breaches(hauls, boat)]
    comes = [boat for boat in to_come if not any(boat is one for one, _ in refused)]
    stands = standing.already(season.boats, season.places)
    stood = places.stand(
        [
            standing.one(season.yard, b)
            for b in season.boats
            if b.state in standing.TO_COME or b.name in stands
        ],
        standing.rows_of(season.places),
        stands,
    )
    calendar = Days(begins.astimezone(zone).date(), days + 1, zone)
    span = begins, ends
    boats = [_boat(season, b, hauls, calendar, span, stood.get(b.name)) for b in comes]
    opens = lift_hours(calendar, hauls, season.people).opens
    hours = within(opens, calendar.minute(begins), calendar.minute(ends))
    last = calendar.minute(midnight(frost, zone)) if frost else None
    found = plan.haul_out(boats, hours, last)
    if faults := [*plan.faults(found, boats, hours, last)]:
        raise ValueError(" ".join(faults))
    named = {boat.name: boat for boat in comes}
    turns = tuple(
        Turn(
            named[turn.boat],
            calendar.at(turn.start),
            calendar.at(turn.end),
            _words(stood.get(turn.boat)),
            (*turn.because, *_asks(season, hauls, named[turn.boat], stood.get(turn.boat))),
        )
        for turn in found.turns
    )
    left = [(named[name], why) for name, why in found.left.items()]
    return Order(turns, (*refused, *left))


def _asks(season: Season, lift: Lift, boat: Boat, place: places.Place | None) -> Iterator[str]:
    """What is to be known of her, and of the ground she is brought to, before the lift takes her."""
    if unknown := to_measure(lift, boat):
        yield f"{', '.join(unknown)}: not known; measure before she is lifted"
    if place:
        there = replace(boat, place=place.row)
        firm = firm_from(lift, there, season.places, season.yard.first_day)
        if isinstance(firm, str):
            yield firm


def _boat(
    season: Season,
    boat: Boat,
    lift: Lift,
    calendar: Days,
    span: tuple[datetime, datetime],
    place: places.Place | None,
) -> plan.Boat:
    water = None
    if boat.draft_m is not None:
        found = windows(season, boat, *span)
        water = tuple((calendar.minute(w.start), calendar.minute(w.end)) for w in found)
    held = water_in(boat, limits=season.limits)
    wet = not held or any(one.water is not Water.DRAINED for one in held)
    row, berth = (place.row, place.berth) if place else ("", 1)
    return plan.Boat(boat.name, water, her_minutes(lift, boat).launch, wet, row, berth)


def _next_minute(at: datetime) -> datetime:
    """In UTC, since two times of one zone subtract by the wall clock."""
    whole = at.astimezone(UTC).replace(second=0, microsecond=0)
    return whole if whole == at else whole + MINUTE


def _words(place: places.Place | None) -> str:
    return f"{place.row}, berth {place.berth}" if place else "no place found"
