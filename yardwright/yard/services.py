"""What the manager settles about the yard. Each asks for the right, checks, then writes."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date, time
from typing import Any

from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction

from yardwright.season import faults
from yardwright.season import model as season
from yardwright.season.lift_faults import lift_faults
from yardwright.season.model import Right
from yardwright.tides.water import Extreme
from yardwright.yard import clock, queries
from yardwright.yard.models import Instrument, Lift, Person, Place, Tide, Yard
from yardwright.yard.refused import Refused
from yardwright.yard.rights import may, need

MANAGES = Right.INK  # who gives a day to an owner also settles the yard


def refuse(found: Iterable[faults.Fault]) -> None:
    """Say all that is wrong at once."""
    says = [" ".join((*map(str, fault.path[:1]), fault.says)) for fault in found]
    if says:
        raise Refused(" ".join(says), "Nothing was changed.")


@transaction.atomic
def keep_settings(by: Person, given: season.Yard) -> None:
    need(by, MANAGES)
    refuse(faults.yard_faults(given))
    row = _yard_now()
    _save(row, asdict(given))


@transaction.atomic
def keep_looks(by: Person, given: season.Looks | None) -> None:
    """How boats new in the water are looked at; None: a plan does not count it."""
    need(by, MANAGES)
    refuse(faults.looks_faults(given) if given else ())
    _save(_yard_now(), {"looks": looks_values(given)})


@transaction.atomic
def keep_water(by: Person, given: season.Water, *, sill_known: bool) -> None:
    """The tide station or the typed table, and the sill; with its sill not known, none is kept."""
    need(by, MANAGES)
    row = _yard_now()
    refuse(faults.water_faults(season.Season(season.VERSION, queries.yard(row), given)))
    _save(row, water_values(given, sill_known=sill_known))
    keep_table(given.table)


def water_values(given: season.Water, *, sill_known: bool = True) -> dict[str, Any]:
    """What is kept of the water in the yard's own row."""
    names = ("height_m", "datum", "epoch", "measured_on", "measured_by")
    unknown = (None, "", "", None, "")
    known = tuple(getattr(given.sill, name) for name in names)
    sill = zip(names, known if sill_known else unknown, strict=True)
    return {
        "datum": given.datum,
        "epoch": given.epoch,
        "station": given.station,
        "tide_source": given.source,
        **{f"sill_{name}": value for name, value in sill},
    }


def keep_table(table: Iterable[Extreme]) -> None:
    """These high and low waters in the place of those before."""
    Tide.objects.all().delete()
    Tide.objects.bulk_create(Tide(at=t.at, level_m=t.level_m, turn=t.turn) for t in table)


def _yard_now() -> Yard:
    """The yard as it stands in the database, not as this request remembers it."""
    return Yard.objects.select_for_update().get()


def _save(row: Yard, values: Mapping[str, Any]) -> None:
    for name, value in values.items():
        setattr(row, name, value)
    row.save()
    clock.remember(row)


@transaction.atomic
def keep_lift(by: Person, row: Lift | None, given: season.Lift) -> Lift:
    """A new lift, or other numbers for one; its name stays, since facts speak by it."""
    need(by, MANAGES)
    refuse(lift_faults(given))
    if row is not None:
        Lift.objects.filter(pk=row.pk).update(**lift_values(given) | {"name": row.name})
        return Lift.objects.get(pk=row.pk)
    _once("lift", given.name, Lift.objects.filter(name__iexact=given.name).exists())
    return Lift.objects.create(**lift_values(given))


@transaction.atomic
def hold_lift(by: Person, row: Lift, hold: season.Hold) -> Lift:
    """A time more in which a lift carries nothing; those on file stay, a repeat changes nothing."""
    need(by, MANAGES)
    now = Lift.objects.select_for_update().get(pk=row.pk)
    given = queries.lift(now)
    if hold in given.holds:
        return now
    return keep_lift(by, now, replace(given, holds=(*given.holds, hold)))


@transaction.atomic
def open_longer(by: Person, row: Lift, one: season.OnDay) -> Lift:
    """Hours of one day more in which a lift is open; those on file stay, a repeat changes nothing."""
    need(by, MANAGES)
    now = Lift.objects.select_for_update().get(pk=row.pk)
    given = queries.lift(now)
    if one in given.longer:
        return now
    return keep_lift(by, now, replace(given, longer=(*given.longer, one)))


def lift_values(given: season.Lift) -> dict[str, Any]:
    holds = [[h.starts.isoformat(), h.ends.isoformat(), h.why] for h in given.holds]
    by_kind = [[one.has, one.launch_min, one.carry_min] for one in given.by_kind]
    lists = {"weekdays": [*given.weekdays], "run_by": [*given.run_by]}
    longer = on_days_kept(given.longer)
    return asdict(given) | lists | {"holds": holds, "by_kind": by_kind, "longer": longer}


def looks_values(given: season.Looks | None) -> dict[str, Any] | None:
    if given is None:
        return None
    kept = {"hours": hours_kept(given.hours), "weekdays": [*given.weekdays]}
    return {"minutes": given.minutes, "at_once": given.at_once, **kept}


def hours_kept(hours: Iterable[tuple[time, time]]) -> list[list[str]]:
    return [_span_kept(start, end) for start, end in hours]


def _span_kept(start: time, end: time) -> list[str]:
    return [start.isoformat("minutes"), end.isoformat("minutes")]


def on_days_kept(given: Iterable[season.OnDay]) -> list[list[str]]:
    return [[one.day.isoformat(), *_span_kept(one.starts, one.ends), one.why] for one in given]


@transaction.atomic
def keep_place(by: Person, row: Place | None, given: season.Place) -> Place:
    """A new place, or more or fewer berths; its name stays, since facts speak by it."""
    need(by, MANAGES)
    refuse(faults.place_faults(given))
    if row is not None:
        Place.objects.filter(pk=row.pk).update(**asdict(given) | {"name": row.name})
        return Place.objects.get(pk=row.pk)
    _once("place", given.name, Place.objects.filter(name__iexact=given.name).exists())
    return Place.objects.create(**asdict(given))


@transaction.atomic
def keep_instrument(by: Person, row: Instrument | None, given: season.Instrument) -> Instrument:
    """A reading keeps its instrument as it was that day, so a change touches no reading."""
    need(by, MANAGES)
    refuse(faults.instrument_faults(given))
    same = Instrument.objects.filter(name__iexact=given.name, values__unit=given.unit)
    _once("instrument", given.name, same.exclude(pk=row.pk if row else 0).exists())
    row = row or Instrument()
    row.name, row.quantity = given.name, given.quantity
    row.values = queries.instrument_values(given)
    row.save()
    return row


def _once(kind: str, name: str, taken: bool) -> None:
    if taken:
        raise Refused(f"There is a {kind} {name!r} already.", "Give this one a name of its own.")


@dataclass(frozen=True, slots=True)
class LogIn:
    """Name and password to log in with; an empty password leaves the old one. None: can't log in."""

    name: str
    password: str = ""


@transaction.atomic
def keep_person(
    by: Person, row: Person | None, given: season.Person, log_in: LogIn | None, *, works_here: bool
) -> Person:
    """Someone new, or new hours and rights. Who left stays on every fact that names them."""
    need(by, MANAGES)
    refuse(faults.person_faults(given))
    same = Person.objects.filter(name__iexact=given.name).exclude(pk=row.pk if row else 0)
    _once("person", given.name, same.exists())
    person = row or Person()
    was = person.name
    for name, value in person_values(given).items():
        setattr(person, name, value)
    person.works_here = works_here
    person.save()
    _keep_log_in(person, log_in)
    _someone_still_manages()
    _someone_still_runs(was, person)
    return person


@transaction.atomic
def add_days_off(by: Person, row: Person, days: Iterable[date]) -> Person:
    """Days more on which somebody is off; those on file stay, and so does all else of theirs."""
    return _keep_more(by, row, lambda now: replace(now, off=tuple(sorted({*now.off, *days}))))


@transaction.atomic
def add_away(by: Person, row: Person, one: season.OnDay) -> Person:
    """Hours of one day more for which somebody is away; a repeat changes nothing."""
    return _keep_more(by, row, lambda now: replace(now, away=_with(now.away, one)))


@transaction.atomic
def stay_longer(by: Person, row: Person, one: season.OnDay) -> Person:
    """Hours of one day more that somebody works; a repeat changes nothing."""
    return _keep_more(by, row, lambda now: replace(now, longer=_with(now.longer, one)))


def _with(some: tuple[season.OnDay, ...], one: season.OnDay) -> tuple[season.OnDay, ...]:
    return some if one in some else (*some, one)


def _keep_more(by: Person, row: Person, told: Callable[[season.Person], season.Person]) -> Person:
    """Something more of somebody as they stand in the database, not as the page remembers them."""
    need(by, MANAGES)
    now = Person.objects.select_for_update().select_related("user").get(pk=row.pk)
    user = now.user
    log_in = LogIn(user.username) if user and user.is_active else None
    return keep_person(by, now, told(queries.person(now)), log_in, works_here=now.works_here)


@transaction.atomic
def end_calendar(by: Person, row: Person, edition: int) -> None:
    """The address of somebody's calendar ends; asked for again with the same number, nothing more."""
    need(by, MANAGES)
    ours = Person.objects.filter(pk=row.pk, calendar_edition=edition)
    ours.update(calendar_edition=edition + 1)


def person_values(given: season.Person) -> dict[str, Any]:
    return {
        "name": given.name,
        "trades": [*given.trades],
        "hours": hours_kept(given.hours),
        "weekdays": [*given.weekdays],
        "off": [day.isoformat() for day in given.off],
        "away": on_days_kept(given.away),
        "longer": on_days_kept(given.longer),
        "rights": sorted(given.rights),
        "learner": given.learner,
        "overtime": hours_kept(given.overtime),
        "learns": [*given.learns],
        "may_watch": given.may_watch,
        "of_age_on": given.of_age_on,
    }


def _someone_still_manages() -> None:
    if not any(may(one, MANAGES) for one in Person.objects.filter(user__is_active=True)):
        raise Refused(
            f"Nobody else may {MANAGES}, so nobody could settle the yard any more.",
            "Give that right to somebody who can log in first.",
        )


def _someone_still_runs(was: str, person: Person) -> None:
    """Lifts know who runs them by the new name; who left runs none."""
    now = [person.name] if person.works_here else []
    for lift in [one for one in Lift.objects.select_for_update() if was in one.run_by]:
        lift.run_by = [name for one in lift.run_by for name in (now if one == was else [one])]
        if not lift.run_by:
            raise Refused(
                f"Nobody but {was} may run the {lift.name}.",
                "Name somebody else on its page first, or nobody: then it has a crew of its own.",
            )
        lift.save()


def _keep_log_in(person: Person, log_in: LogIn | None) -> None:
    user = person.user
    if user is None and log_in is None:
        return
    if user is None:
        user = User()
    if log_in is not None:
        same = User.objects.filter(username__iexact=log_in.name).exclude(pk=user.pk)
        _once("log-in", log_in.name, same.exists())
        user.username = log_in.name
    _set_password(user, log_in.password if log_in else "")
    user.is_active = person.works_here and log_in is not None
    user.save()
    person.user = user
    person.save()


def _set_password(user: User, password: str) -> None:
    if not password:
        if user.pk is None:
            raise Refused("A new log-in has no password.", "Type one, and tell it to them.")
        return
    try:
        validate_password(password, user)
    except ValidationError as error:
        raise Refused(" ".join(error.messages), "Choose another password.") from error
    user.set_password(password)
