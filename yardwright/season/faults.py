"""What can't be so in a season, and what is odd about it: all of it at once, not the first alone."""

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from graphlib import CycleError, TopologicalSorter
from itertools import pairwise
from math import inf
from zoneinfo import ZoneInfo

from yardwright.calc.units import kind_of
from yardwright.procedures.quantities import quantities
from yardwright.season.lines import Path
from yardwright.season.model import Boat, Instrument, Lift, Person, Season, Yard
from yardwright.season.water import FAR_KM, station_km, water_of
from yardwright.tides.stations import nearest

FT_M = 0.3048  # exact, by definition
LB_KG = 0.45359237  # exact, by definition
DEEPEST_M = 5.0
DEEP_SHARE = 0.3  # of her length: no hull we lift draws more
LONGEST_SEASON_DAYS = 400


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing that is wrong or odd: where it stands in the season, and a sentence."""

    path: Path
    says: str


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
        _people,
        _names_once,
        _berths,
        _limits,
        _boats,
    )
    return tuple(fault for rule in rules for fault in rule(season))


def questions(season: Season) -> tuple[Fault, ...]:
    """Ask about everything that may be so, but is odd: it is planned as it stands."""
    rules = (_days_without_water, _feet_or_pounds, _promised_before_the_part)
    return tuple(fault for rule in rules for fault in rule(season))


def _feet_or_pounds(season: Season) -> Iterator[Fault]:
    most_kg = max((lift.rating_kg for lift in season.lifts), default=inf)
    for place, boat in enumerate(season.boats):
        if boat.draft_m and boat.length_m and boat.draft_m > DEEP_SHARE * boat.length_m:
            says = f"{boat.draft_m:g} m is deep for {boat.length_m:g} m of length."
            yield Fault(("boats", place, "draft_m"), f"{says} {_feet(boat.draft_m)}")
        if boat.weight_kg and boat.weight_kg > most_kg:
            says = (
                f"{boat.weight_kg:,.0f} kg is more than any lift here carries, {most_kg:,.0f} kg."
            )
            in_kg = f"If it is in pounds, write {boat.weight_kg * LB_KG:.0f}."
            yield Fault(("boats", place, "weight_kg"), f"{says} {in_kg}")


def _promised_before_the_part(season: Season) -> Iterator[Fault]:
    zone = ZoneInfo(season.yard.zone)
    comes = {p.name: p.arrives.astimezone(zone).date() for p in season.parts if p.arrives}
    for place, boat in enumerate(season.boats):
        due = boat.promise.ink or boat.promise.pencil
        for part in {work.part: None for work in boat.work if work.part in comes}:
            if due and comes[part] > due:
                says = f"{due:%d %b} is promised, but the {part} comes {comes[part]:%d %b}."
                yield Fault(("boats", place, "promise"), says)


def _days_without_water(season: Season) -> Iterator[Fault]:
    known, zone = water_of(season).span, ZoneInfo(season.yard.zone)
    first, last = (at.astimezone(zone).date() for at in (known.start, known.end))
    if first > season.yard.first_day or last < season.yard.last_day:
        says = f"is known from {first:%d %b} to {last:%d %b}; on other days of the season nothing is launched."
        yield Fault(("water", "table"), says)


def _yard(season: Season) -> Iterator[Fault]:
    yield from yard_faults(season.yard, ("yard",))


def yard_faults(yard: Yard, path: Path = ()) -> Iterator[Fault]:
    """Say what can't be so about the yard itself."""
    days = (yard.last_day - yard.first_day).days + 1
    if not 1 <= days <= LONGEST_SEASON_DAYS:
        yield Fault(
            (*path, "last_day"),
            f"the season has {days} days from {yard.first_day}; end it 1 to {LONGEST_SEASON_DAYS} days on.",
        )
    for key, value, most in (
        ("sling_bight_m", yard.sling_bight_m, 2.0),
        ("margin_m", yard.margin_m, 2.0),
    ):
        if not 0 <= value <= most:
            yield Fault((*path, key), f"{value:g} m; give 0 to {most:g} m.")
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
    for place, lift in enumerate(season.lifts):
        yield from lift_faults(lift, ("lifts", place))


def lift_faults(lift: Lift, path: Path = ()) -> Iterator[Fault]:
    """Say what can't be so about one lift."""
    if lift.opens >= lift.closes:
        yield Fault((*path, "closes"), f"{lift.closes} is not after {lift.opens}; end it later.")
    for key, rating in (
        ("rating_kg", lift.rating_kg),
        ("sling_rating_kg", lift.sling_rating_kg),
    ):
        if rating <= 0:
            yield Fault((*path, key), f"{rating:g} kg; read the plate and give more than 0.")
    for key, minutes in (("launch_min", lift.launch_min), ("aside_min", lift.aside_min)):
        if minutes is not None and not 1 <= minutes <= 1440:
            yield Fault((*path, key), f"{minutes} minutes; give 1 to 1440.")


def _people(season: Season) -> Iterator[Fault]:
    for place, person in enumerate(season.people):
        yield from person_faults(person, ("people", place))


def person_faults(person: Person, path: Path = ()) -> Iterator[Fault]:
    """Say what can't be so about one person's hours."""
    for number, (start, end) in enumerate(person.hours):
        if start >= end:
            yield Fault(
                (*path, "hours", number),
                f"{start} to {end} goes backwards; end it later on the same day.",
            )
    yield from _overlap((*path, "hours"), person)


def _overlap(path: Path, person: Person) -> Iterator[Fault]:
    ordered = sorted(person.hours)
    for (_, end), (start, _) in pairwise(ordered):
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
        yield from _measured(path, limit.quantity, limit.unit)
        if limit.boat:
            yield from _known((*path, "boat"), "boat", limit.boat, boats)
        if limit.lower is None and limit.upper is None and limit.lowest_over_highest is None:
            says = "has no limit; give lower, upper, or both."
            yield Fault(path, says)
        if not limit.page.strip():
            yield Fault((*path, "page"), "is empty; give the page, so that anyone can look it up.")
    for place, instrument in enumerate(season.instruments):
        yield from instrument_faults(instrument, ("instruments", place))


def instrument_faults(instrument: Instrument, path: Path = ()) -> Iterator[Fault]:
    """Say what can't be so about one instrument."""
    if instrument.quantity:
        yield from _measured(path, instrument.quantity, instrument.unit)
    if instrument.u is not None and instrument.u <= 0:
        says = f"{instrument.u:g} {instrument.unit}; no instrument is exact, give its uncertainty."
        yield Fault((*path, "u"), says)


def _measured(path: Path, code: str, unit: str) -> Iterator[Fault]:
    """A quantity is one of ours, and the unit measures it."""
    if code not in quantities():
        yield from _known((*path, "quantity"), "quantity", code, list(quantities()))
        return
    ours = quantities()[code].unit
    try:
        fits = kind_of(unit) == kind_of(ours)
    except ValueError as error:
        yield Fault((*path, "unit"), str(error))
        return
    if not fits:
        yield Fault(
            (*path, "unit"),
            f"{unit} does not measure {code}; write {ours}, or another of its kind.",
        )


def _boats(season: Season) -> Iterator[Fault]:
    places = [place.name for place in season.places]
    parts = [part.name for part in season.parts]
    trades = sorted({trade for person in season.people for trade in person.trades})
    for number, boat in enumerate(season.boats):
        path: Path = ("boats", number)
        if boat.place:
            yield from _known((*path, "place"), "place", boat.place, places)
        yield from boat_faults(boat, path)
        for at, work in enumerate(boat.work):
            yield from _known(
                (*path, "work", at, "trade"), "person with the trade", work.trade, trades
            )
            if work.part:
                yield from _known((*path, "work", at, "part"), "part", work.part, parts)


def boat_faults(boat: Boat, path: Path = ()) -> Iterator[Fault]:
    """Say what can't be so about one boat, whatever the rest of the yard is."""
    if boat.draft_m is not None and not 0 < boat.draft_m <= DEEPEST_M:
        what = _feet(boat.draft_m) if boat.draft_m > 0 else "Measure it, or leave the line out."
        yield Fault(
            (*path, "draft_m"),
            f"{boat.draft_m:g} m is no draft; give up to {DEEPEST_M:g} m. {what}",
        )
    for key, value, most in (
        ("length_m", boat.length_m, 60.0),
        ("beam_m", boat.beam_m, 15.0),
        ("weight_kg", boat.weight_kg, 500_000.0),
        ("centre_m", boat.centre_m, 60.0),
    ):
        if value is not None and not 0 < value <= most:
            yield Fault(
                (*path, key), f"{value:g}; give more than 0, up to {most:g}, or leave the line out."
            )
    if boat.weight_within is not None and not 0 <= boat.weight_within < 1:
        yield Fault(
            (*path, "weight_within"), f"{boat.weight_within:g}; give a share, such as 0.1 for 10 %."
        )
    if boat.centre_within_m is not None and boat.centre_within_m < 0:
        yield Fault((*path, "centre_within_m"), f"{boat.centre_within_m:g} m; give 0 or more.")
    if boat.slings_m is not None and boat.slings_m[0] >= boat.slings_m[1]:
        yield Fault(
            (*path, "slings_m"), "give the aft sling first, then the forward, from the transom."
        )
    if not 0 <= boat.watch_min <= 7 * 1440:
        yield Fault((*path, "watch_min"), f"{boat.watch_min} minutes; give 0 to {7 * 1440}.")
    for place, reading in enumerate(boat.readings):
        yield from _measured((*path, "readings", place), reading.quantity, reading.unit)
    yield from _fittings(boat, path)
    yield from _work(boat, path)


def _fittings(boat: Boat, path: Path) -> Iterator[Fault]:
    names = [barrier.name for barrier in boat.ways_in]
    for place, name in enumerate(names):
        if name in names[:place]:
            yield Fault(
                (*path, "ways_in", place, "name"), f"{name!r} is there already; give each its own."
            )
    for place, thing in enumerate(boat.undone):
        if thing.fitting and thing.is_open:  # what was closed may name a fitting taken out since
            yield from _known((*path, "undone", place, "fitting"), "way in", thing.fitting, names)


def _work(boat: Boat, path: Path) -> Iterator[Fault]:
    names = [work.what for work in boat.work]
    for place, work in enumerate(boat.work):
        if work.what in names[:place]:
            yield Fault(
                (*path, "work", place, "what"),
                f"{work.what!r} is there already; give each its own.",
            )
        if not 1 <= work.minutes <= 100_000:
            yield Fault(
                (*path, "work", place, "minutes"), f"{work.minutes}; give 1 to 100000 minutes."
            )
        for before in work.after:
            yield from _known((*path, "work", place, "after"), "work on her", before, names)
    try:
        TopologicalSorter({work.what: work.after for work in boat.work}).prepare()
    except CycleError as ring:
        says = f"{' waits for '.join(reversed(ring.args[1]))}: a ring; let one begin."
        yield Fault((*path, "work"), says)


def _known(path: Path, kind: str, name: str, known: Sequence[str]) -> Iterator[Fault]:
    if name in known:
        return
    close = get_close_matches(name, known, 1, 0.6)
    there = f"did you mean {close[0]!r}?" if close else f"there are: {', '.join(known) or 'none'}."
    yield Fault(path, f"no {kind} {name!r}; {there}")


def _feet(draft_m: float) -> str:
    return f"If it is in feet, write {draft_m * FT_M:.2f}."
