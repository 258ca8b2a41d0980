"""The yard as the core knows it. Nothing here writes."""

from datetime import UTC, date, time

from yardwright.season import model as season
from yardwright.tides.sill import Sill
from yardwright.tides.water import Extreme
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
    )


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
    table = tuple(Extreme(t.at.astimezone(UTC), t.height_m, t.high) for t in Tide.objects.all())
    if not row.station and not table:
        raise Refused("No tide station and no tide table.", "Enter one on The yard.")
    return season.Water(row.datum, row.epoch, sill, row.station, row.tide_source, table)


def lifts() -> tuple[season.Lift, ...]:
    return tuple(
        season.Lift(
            name=row.name,
            kind=row.kind,
            rating_kg=row.rating_kg,
            sling_rating_kg=row.sling_rating_kg,
            opens=row.opens,
            closes=row.closes,
            launch_min=row.launch_min,
            aside_min=row.aside_min,
            weekdays=tuple(season.Weekday(day) for day in row.weekdays),
        )
        for row in Lift.objects.all()
    )


def person(row: Person) -> season.Person:
    return season.Person(
        name=row.name,
        trades=tuple(row.trades),
        hours=tuple((time.fromisoformat(a), time.fromisoformat(b)) for a, b in row.hours),
        weekdays=tuple(season.Weekday(day) for day in row.weekdays),
        off=tuple(date.fromisoformat(day) for day in row.off),
        rights=frozenset(season.Right(right) for right in row.rights),
        learner=row.learner,
    )


def people() -> tuple[season.Person, ...]:
    return tuple(person(row) for row in Person.objects.filter(works_here=True))


def places() -> tuple[season.Place, ...]:
    return tuple(season.Place(row.name, row.kind, row.berths) for row in Place.objects.all())


def instruments() -> tuple[season.Instrument, ...]:
    return tuple(
        season.Instrument(row.name, row.quantity, row.u, row.unit, row.checked_until)
        for row in Instrument.objects.all()
    )
