"""The yard as the core knows it. Nothing here writes."""

from collections.abc import Iterable, Mapping
from dataclasses import asdict
from datetime import date, datetime, time
from typing import Any

from yardwright.procedures.step import Has
from yardwright.season import model as season
from yardwright.tides.sill import Sill
from yardwright.tides.water import Extreme, Turn
from yardwright.yard.models import Instrument, Lift, Person, Place, Tide, Yard
from yardwright.yard.refused import Refused


def yard(row: Yard) -> season.Yard:
    return season.Yard(
        name=row.name,
        zone=row.zone,
        first_day=row.first_day,
        last_day=row.last_day,
        sling_bight_m=row.sling_bight_m,
        margin_m=row.margin_m,
        latitude=row.latitude,
        longitude=row.longitude,
        hands=row.hands,
        last_frost=row.last_frost,
        photo_place=row.photo_place,
    )


def looks(row: Yard) -> season.Looks | None:
    if row.looks is None:
        return None
    minutes, at_once = row.looks["minutes"], row.looks["at_once"]
    return season.Looks(minutes, at_once, hours(row.looks["hours"]), _days(row.looks["weekdays"]))


def hours(kept: Iterable[tuple[str, str]]) -> tuple[tuple[time, time], ...]:
    """Hours of a day as they are kept: pairs from and to."""
    return tuple((time.fromisoformat(a), time.fromisoformat(b)) for a, b in kept)


def on_days(kept: Iterable[tuple[str, str, str, str]]) -> tuple[season.OnDay, ...]:
    """Hours of single days as they are kept: the day, from, until, and why."""
    return tuple(
        season.OnDay(date.fromisoformat(day), time.fromisoformat(a), time.fromisoformat(b), why)
        for day, a, b, why in kept
    )


def _days(kept: Iterable[int]) -> tuple[season.Weekday, ...]:
    return tuple(season.Weekday(day) for day in kept)


def water(row: Yard) -> season.Water:
    """Where the level comes from, and our sill.

    Raises
    ------
    Refused
        The sill was never measured, or there is neither a station nor a table: not known.
    """
    if row.sill_height_m is None or row.sill_measured_on is None:
        raise Refused("The sill was never measured.", "Enter its height and datum on The yard.")
    sill = Sill(
        row.sill_height_m,
        row.sill_datum,
        row.sill_epoch,
        row.sill_measured_on,
        row.sill_measured_by,
    )
    typed = Tide.objects.none() if row.station else Tide.objects.all()
    table = tuple(Extreme(t.at, t.level_m, Turn(t.turn)) for t in typed)
    if not row.station and not table:
        raise Refused("No tide station and no tide table.", "Enter one on The yard.")
    return season.Water(row.datum, row.epoch, sill, row.station, row.tide_source, table)


def lifts() -> tuple[season.Lift, ...]:
    return tuple(lift(row) for row in Lift.objects.all())


def lift(row: Lift) -> season.Lift:
    return season.Lift(
        name=row.name,
        kind=row.kind,
        rating_kg=row.rating_kg,
        sling_rating_kg=row.sling_rating_kg,
        opens=row.opens,
        closes=row.closes,
        launch_min=row.launch_min,
        aside_min=row.aside_min,
        weekdays=_days(row.weekdays),
        carry_min=row.carry_min,
        holds=tuple(
            season.Hold(datetime.fromisoformat(a), datetime.fromisoformat(b), why)
            for a, b, why in row.holds
        ),
        beam_m=row.beam_m,
        draft_m=row.draft_m,
        firm_ground=row.firm_ground,
        by_kind=tuple(season.LiftMinutes(Has(has), *minutes) for has, *minutes in row.by_kind),
        run_by=tuple(row.run_by),
        wind_limit=season.WindLimit(**row.wind_limit) if row.wind_limit else None,
        longer=on_days(row.longer),
    )


def person(row: Person) -> season.Person:
    return season.Person(
        name=row.name,
        trades=tuple(row.trades),
        hours=hours(row.hours),
        weekdays=_days(row.weekdays),
        off=tuple(date.fromisoformat(day) for day in row.off),
        rights=frozenset(season.Right(right) for right in row.rights),
        learner=row.learner,
        overtime=hours(row.overtime),
        learns=tuple(row.learns),
        may_watch=row.may_watch,
        of_age_on=row.of_age_on,
        away=on_days(row.away),
        longer=on_days(row.longer),
    )


def people() -> tuple[season.Person, ...]:
    return tuple(person(row) for row in Person.objects.filter(works_here=True))


def places() -> tuple[season.Place, ...]:
    return tuple(place(row) for row in Place.objects.all())


def place(row: Place) -> season.Place:
    return season.Place(
        name=row.name,
        kind=row.kind,
        berths=row.berths,
        length_m=row.length_m,
        bears_kg=row.bears_kg,
        headroom_m=row.headroom_m,
        soft=row.soft,
        firm_from=row.firm_from,
    )


def instruments() -> tuple[season.Instrument, ...]:
    return tuple(
        instrument(row.values, name=row.name, quantity=row.quantity)
        for row in Instrument.objects.all()
    )


def instrument(values: Mapping[str, Any], *, name: str, quantity: str) -> season.Instrument:
    """From the values kept of it."""
    until = values["checked_until"]
    checked_until = date.fromisoformat(until) if until else None
    kept = dict(values) | {"checked_until": checked_until}
    return season.Instrument(name=name, quantity=quantity, **kept)


def instrument_values(one: season.Instrument) -> dict[str, Any]:
    """What is kept of an instrument beyond its name and quantity."""
    values = asdict(one)
    del values["name"], values["quantity"]
    until = one.checked_until
    return values | {"checked_until": until.isoformat() if until else None}
