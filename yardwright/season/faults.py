"""What can't be so in a season: all of it at once, not the first alone."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import time
from itertools import pairwise

from yardwright import refdata
from yardwright.procedures.going_in import State
from yardwright.procedures.own import book_with
from yardwright.procedures.steps import Book
from yardwright.season.boat_faults import MOST_WORK_MIN, boat_faults, measured
from yardwright.season.fault import Fault as Fault  # forms ask for faults and take them from here
from yardwright.season.fault import measures, not_among, on_day_faults
from yardwright.season.lift_faults import lift_faults
from yardwright.season.lines import Path
from yardwright.season.model import (
    OWNER,
    History,
    Instrument,
    Looks,
    Person,
    Place,
    Season,
    Yard,
)
from yardwright.season.water import FAR_KM, station_km, water_of
from yardwright.season.zone import YEARS
from yardwright.tides.stations import nearest

LONGEST_SEASON_DAYS = 400
MOST_JOBS = 1_000_000


def faults(season: Season) -> tuple[Fault, ...]:
    """Say everything that can't be so in a season.

    Parameters
    ----------
    season : Season
        From a file, a form, or a database.

    Returns
    -------
    tuple of Fault
        In the order of the file; empty when the season holds together.
    """
    rules: Iterable[Callable[[Season], Iterator[Fault]]] = (
        _yard,
        water_faults,
        _lifts,
        _places,
        _people,
        _names_once,
        _berths,
        _limits,
        _chosen,
        _steps,
        _history,
        _boats,
    )
    return tuple(fault for rule in rules for fault in rule(season))


def _yard(season: Season) -> Iterator[Fault]:
    yield from yard_faults(season.yard, ("yard",))
    if season.looks:
        yield from looks_faults(season.looks, ("looks",))


def looks_faults(looks: Looks, path: Path = ()) -> Iterator[Fault]:
    """Say what can't be so about looks after boats new in the water."""
    if not 1 <= looks.minutes <= 1440:
        yield Fault((*path, "minutes"), f"{looks.minutes} minutes; give 1 to 1440.")
    if not 1 <= looks.at_once <= 100:
        yield Fault((*path, "at_once"), f"{looks.at_once} boats; give 1 to 100.")
    yield from _hours((*path, "hours"), looks.hours)


def yard_faults(yard: Yard, path: Path = ()) -> Iterator[Fault]:
    """Say what can't be so about the yard itself."""
    for key, day in (("first_day", yard.first_day), ("last_day", yard.last_day)):
        if day.year not in YEARS:
            says = f"is in {day.year:04}; give a year from {YEARS[0]} to {YEARS[-1]}, such as 2031."
            yield Fault((*path, key), says)
    days = (yard.last_day - yard.first_day).days + 1
    if not 1 <= days <= LONGEST_SEASON_DAYS:
        yield Fault(
            (*path, "last_day"),
            f"the season has {days} days from {yard.first_day}; end it 1 to {LONGEST_SEASON_DAYS} days on.",
        )
    frost = yard.last_frost
    if frost and not yard.first_day.year <= frost.year <= yard.last_day.year:
        says = (
            f"{frost} is in no year of the season, which begins {yard.first_day}; give the last "
            "frost of this season, or leave it out: then it is not known."
        )
        yield Fault((*path, "last_frost"), says)
    for key, value, most in (
        ("sling_bight_m", yard.sling_bight_m, 2.0),
        ("margin_m", yard.margin_m, 2.0),
    ):
        if not 0 <= value <= most:
            yield Fault((*path, key), f"{value:g} m; give 0 to {most:g} m.")
    if not 1 <= yard.hands <= 20:
        yield Fault((*path, "hands"), f"{yard.hands} jobs at once on a boat; give 1 to 20.")
    for key, degrees, most in (("latitude", yard.latitude, 90), ("longitude", yard.longitude, 180)):
        if degrees is not None and not -most <= degrees <= most:
            yield Fault(
                (*path, key), f"{degrees:g}°; give -{most} to {most}, north and east above 0."
            )


def water_faults(season: Season) -> Iterator[Fault]:
    """Say what can't be so about the water, at this yard and over this sill."""
    water = season.water
    if bool(water.station) == bool(water.table):
        has = "both a station and a table" if water.station else "neither a station nor a table"
        yield Fault(("water",), f"there is {has}; give one of them.")
        return
    try:
        water_of(season)
        far_km = station_km(season)
    except ValueError as error:
        yield from (Fault(("water",), line) for line in str(error).splitlines())
        return
    if far_km is not None and far_km > FAR_KM:
        yield Fault(
            ("water", "station"),
            f"{water.station} is {far_km:.0f} km from the yard; {_nearer(season)}",
        )


def _nearer(season: Season) -> str:
    latitude, longitude = season.yard.latitude or 0.0, season.yard.longitude or 0.0
    found = [
        f"{s.id} {s.name} ({km:.0f} km)"
        for km, s in nearest(latitude, longitude, 3)
        if km <= FAR_KM
    ]
    return f"choose a nearer one: {', '.join(found)}." if found else "type a printed table instead."


def _lifts(season: Season) -> Iterator[Fault]:
    people = [person.name for person in season.people]
    for place, lift in enumerate(season.lifts):
        path: Path = ("lifts", place)
        yield from lift_faults(lift, path)
        for number, name in enumerate(lift.run_by):
            yield from not_among((*path, "run_by", number), "person", name, people)


def _places(season: Season) -> Iterator[Fault]:
    for number, place in enumerate(season.places):
        yield from place_faults(place, ("places", number))


def place_faults(place: Place, path: Path = ()) -> Iterator[Fault]:
    """Say what can't be so about one place."""
    sizes = (
        ("length_m", place.length_m, 60.0),
        ("bears_kg", place.bears_kg, 500_000.0),
        ("headroom_m", place.headroom_m, 100.0),
    )
    yield from measures(path, sizes)
    if place.firm_from is not None and not place.soft:
        says = "is for ground that goes soft; say that it does, or leave the day out."
        yield Fault((*path, "firm_from"), says)


def _people(season: Season) -> Iterator[Fault]:
    for place, person in enumerate(season.people):
        yield from person_faults(person, ("people", place))


def person_faults(person: Person, path: Path = ()) -> Iterator[Fault]:
    """Say what can't be so about one person's hours and trades."""
    yield from _hours((*path, "hours"), person.hours)
    yield from _hours((*path, "overtime"), person.overtime)
    if not [*_hours(path, person.hours), *_hours(path, person.overtime)]:
        yield from _overlap((*path, "overtime"), (*person.hours, *person.overtime))
    for trade in sorted({*person.trades} & {*person.learns}):
        yield Fault((*path, "learns"), f"{trade} is among the trades; keep one of the two.")
    if not 0 <= person.may_watch <= 20:
        yield Fault((*path, "may_watch"), f"{person.may_watch} at once; give 0 to 20.")
    yield from on_day_faults(person.away, (*path, "away"))
    yield from on_day_faults(person.longer, (*path, "longer"))


def _hours(path: Path, hours: Sequence[tuple[time, time]]) -> Iterator[Fault]:
    for number, (start, end) in enumerate(hours):
        if start >= end:
            yield Fault(
                (*path, number),
                f"{start:%H:%M} to {end:%H:%M} goes backwards; end it later on the same day.",
            )
    yield from _overlap(path, hours)


def _overlap(path: Path, hours: Sequence[tuple[time, time]]) -> Iterator[Fault]:
    for (_, end), (start, _) in pairwise(sorted(hours)):
        if start < end:
            yield Fault(
                path, f"{start} begins before {end} is over; let the hours follow each other."
            )


def _names_once(season: Season) -> Iterator[Fault]:
    for key in ("lifts", "people", "places", "parts", "boats"):
        yield from _once(key, "name", [one.name for one in getattr(season, key)])
    yield from _once("boats", "hull_number", [boat.hull_number for boat in season.boats])
    yield from _once("boats", "tag", [boat.tag for boat in season.boats])
    yield from _once("instruments", "name", [f"{i.name} ({i.unit})" for i in season.instruments])


def _once(key: str, field: str, given: Sequence[str]) -> Iterator[Fault]:
    counted = Counter(given)
    for place, one in enumerate(given):
        if field == "name" and not one.strip():
            yield Fault((key, place, field), "is empty; give a name.")
        elif one and counted[one] > 1 and given.index(one) < place:
            yield Fault(
                (key, place, field),
                f"{one!r} is there already; give each its own, such as {one + ' II'!r}.",
            )


def _berths(season: Season) -> Iterator[Fault]:
    berths = {place.name: place.berths for place in season.places}
    taken: dict[tuple[str, int], str] = {}
    for place, boat in enumerate(season.boats):
        path = ("boats", place, "berth")
        if boat.berth is None:
            continue
        if not boat.place:
            yield Fault(path, f'berth {boat.berth} of which place? Add place = "…".')
            continue
        most = berths.get(boat.place)
        if most is not None and not 1 <= boat.berth <= most:
            yield Fault(path, f"{boat.place} has berths 1 to {most}, not {boat.berth}.")
        other = taken.setdefault((boat.place, boat.berth), boat.name)
        if other != boat.name:
            yield Fault(
                path, f"{boat.place}, berth {boat.berth} is {other}'s already; give another."
            )


def _limits(season: Season) -> Iterator[Fault]:
    boats = [boat.name for boat in season.boats]
    for place, limit in enumerate(season.limits):
        path = ("limits", place)
        yield from measured(path, limit.quantity, limit.unit)
        if limit.boat:
            yield from not_among((*path, "boat"), "boat", limit.boat, boats)
        if {limit.lower, limit.upper, limit.lowest_over_highest, limit.thin} == {None}:
            says = "says nothing; give lower, upper, lowest_over_highest or thin."
            yield Fault(path, says)
        if not limit.page.strip():
            yield Fault((*path, "page"), "is empty; give the page, so that anyone can look it up.")
    for place, instrument in enumerate(season.instruments):
        yield from instrument_faults(instrument, ("instruments", place))


def instrument_faults(instrument: Instrument, path: Path = ()) -> Iterator[Fault]:
    """Say what can't be so about one instrument."""
    if instrument.quantity:
        yield from measured(path, instrument.quantity, instrument.unit)
    if instrument.u is not None and instrument.u <= 0:
        says = f"{instrument.u:g} {instrument.unit}; no instrument is exact, give its uncertainty."
        yield Fault((*path, "u"), says)


def _boats(season: Season) -> Iterator[Fault]:
    places = [place.name for place in season.places]
    parts = [part.name for part in season.parts]
    trades = sorted({trade for person in season.people for trade in person.trades} | {OWNER})
    lifts = [lift.name for lift in season.lifts]
    for number, boat in enumerate(season.boats):
        path: Path = ("boats", number)
        if boat.place:
            yield from not_among((*path, "place"), "place", boat.place, places)
        if boat.lift:
            yield from not_among((*path, "lift"), "lift", boat.lift, lifts)
        if boat.lifted:
            yield from not_among((*path, "lifted", "lift"), "lift", boat.lifted.lift, lifts)
            if boat.state not in (State.IN_THE_SLINGS, State.IN_THE_WATER):
                says = (
                    f"is of a boat in the slings or watched, and she is {boat.state}; leave it out."
                )
                yield Fault((*path, "lifted"), says)
        if boat.owner:
            yield from _hours((*path, "owner", "hours"), boat.owner.hours)
        yield from boat_faults(boat, path)
        for at, work in enumerate(boat.work):
            yield from not_among(
                (*path, "work", at, "trade"), "person with the trade", work.trade, trades
            )
            if work.part:
                yield from not_among((*path, "work", at, "part"), "part", work.part, parts)


def the_book(season: Season) -> Book:
    """The steps that the yard goes by; a ValueError says why its own would leave a boat undone."""
    return book_with({one.code: one.row for one in season.steps})


def _steps(season: Season) -> Iterator[Fault]:
    try:
        the_book(season)
    except ValueError as error:
        yield from (Fault(("steps",), says) for says in str(error).splitlines())


def _history(season: Season) -> Iterator[Fault]:
    try:
        codes = [step.code for step in the_book(season).steps]
    except ValueError:  # said of the steps themselves
        return
    seen = set[tuple[str, str]]()
    for place, one in enumerate(season.history):
        path: Path = ("history", place)
        if not one.trade:
            yield from not_among((*path, "what"), "step", one.what, codes)
        if (one.what, one.trade) in seen:
            yield Fault((*path, "what"), f"{one.what!r} is there already; put the two together.")
        seen.add((one.what, one.trade))
        yield from _history_faults(one, path)


def _history_faults(one: History, path: Path) -> Iterator[Fault]:
    if not 1 <= one.jobs <= MOST_JOBS:
        yield Fault((*path, "jobs"), f"{one.jobs} jobs; give 1 to {MOST_JOBS}.")
    for number, (took, planned) in enumerate(one.took_min):
        if not (1 <= took <= MOST_WORK_MIN and 1 <= planned <= MOST_WORK_MIN):
            says = f"{took} min taken, {planned} planned; give 1 to {MOST_WORK_MIN} of each."
            yield Fault((*path, "took_min", number), says)
    for number, minutes in enumerate(one.found_min):
        if not 1 <= minutes <= MOST_WORK_MIN:
            says = f"{minutes} min; give 1 to {MOST_WORK_MIN}."
            yield Fault((*path, "found_min", number), says)
    for key, told in (("took_min", one.took_min), ("found_min", one.found_min)):
        if len(told) > one.jobs:
            yield Fault((*path, key), f"tells of {len(told)} jobs, but there were {one.jobs}.")


def _chosen(season: Season) -> Iterator[Fault]:
    for place, choice in enumerate(season.chosen):
        path = ("chosen", place)
        table, _, key = choice.what.partition("/")
        try:
            rivals = refdata.rivals(table, key)
        except (FileNotFoundError, ValueError) as error:
            yield Fault((*path, "what"), str(error))
            continue
        yield from not_among((*path, "row"), "source", choice.row, list(rivals))
        if not choice.reason.strip():
            yield Fault((*path, "reason"), "is empty; say why the yard goes by this source.")
