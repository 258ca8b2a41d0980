"""The whole yard as season values, and season values into the yard."""

from collections.abc import Collection, Iterator
from dataclasses import asdict, dataclass, replace
from datetime import datetime, time
from uuid import UUID, uuid5
from zoneinfo import ZoneInfo

from django.db import transaction

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat, Limit, Owner, Part, WayIn, Work
from yardwright.fleet.services import owner_values, particulars, work_values
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Undone
from yardwright.season import checks
from yardwright.season import model as season
from yardwright.season.faults import the_book
from yardwright.season.read import BadSeason, read
from yardwright.work import facts, history, own_steps, parts, queries
from yardwright.work.facts import Entry
from yardwright.work.models import Kind
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard import services as settled
from yardwright.yard.models import Instrument, Lift, Person, Place, Yard
from yardwright.yard.refused import Refused
from yardwright.yard.rights import need

SPACE = UUID(
    "6f0c5f4e-3a55-4f8a-9d6c-5a1d3f1f2b10"
)  # facts from a file keep their UUID on a repeat
PLANNED_BY = (Kind.MOVED, Kind.LIFTED, Kind.PROMISED, Kind.DONE)


def the_season() -> season.Season:
    """Everything that the core can be asked about, as it stands now."""
    return replace(_season(), history=history.history())


def to_plan() -> season.Season:
    """Enough to plan, and to ask whether a plan holds, read sooner.

    Of each boat where she is, what is promised and what is done: nothing that was undone, seen or
    read on her, but the looks where she is watched in the water. No history: only odds go by how
    long jobs took.
    """
    found = _season(PLANNED_BY)
    watched = [boat.name for boat in found.boats if boat.state == State.IN_THE_WATER]
    if not watched:
        return found
    seen = queries.values(fleet.boats().filter(name__in=watched), (Kind.LOOKED,))
    looks = {boat.name: boat.looks for boat in seen}
    return replace(
        found, boats=tuple(replace(b, looks=looks.get(b.name, b.looks)) for b in found.boats)
    )


def _season(kinds: Collection[Kind] = ()) -> season.Season:
    """As it stands now, the boats by facts of some kinds or, with none named, of all."""
    return replace(
        yard_and_water(),
        lifts=yard.lifts(),
        people=yard.people(),
        places=yard.places(),
        parts=tuple(one.value for one in parts.ordered(Part.objects.all())),
        limits=fleet.limits(),
        chosen=tuple(queries.chosen().values()),
        steps=tuple(own_steps.kept()),
        instruments=yard.instruments(),
        boats=tuple(queries.values(fleet.boats().order_by("pk"), kinds)),
        looks=yard.looks(clock.the_yard()),
    )


def yard_and_water() -> season.Season:
    """Enough to ask when one boat floats.

    Raises
    ------
    Refused
        The water at the sill is not known: never measured, or no station and no table.
    """
    row = clock.the_yard()
    return season.Season(season.VERSION, yard.yard(row), yard.water(row))


@transaction.atomic
def take_in(given: season.Season, by: str) -> None:
    """Fill an empty yard from a season file; ``by`` names the person who brings it.

    Raises
    ------
    Refused
        There are boats already: a season file is a whole yard, not an addition.
    """
    if Boat.objects.exists():
        raise Refused(
            "This yard has boats already.", "Bring a season file into an empty yard only."
        )
    _take_yard(given)
    people = _take_people(given)
    bringer = people.setdefault(by, people.get(by) or Person.objects.create(name=by))
    _take_fleet(given, bringer)
    rows = {row.name: row for row in Boat.objects.all()}
    places = {place.name: place for place in Place.objects.all()}
    pens = [(boat, _Pen(rows[boat.name], people, places)) for boat in given.boats]
    limits = fleet.limits()
    with facts.together():
        for choice in given.chosen:
            who = _someone(people, choice.by)
            about = (choice.what, choice.at.isoformat(), choice.by)
            made = Entry(uuid5(SPACE, "|".join(about)), who, choice.at)
            facts.add_chosen(made, choice.what, choice.row, choice.reason)
        for part, came in _came(given):
            made = Entry(uuid5(SPACE, f"{part.name}|{came.isoformat()}|came"), bringer, came)
            facts.add_arrived(made, part)
        for step in given.steps:
            made = Entry(
                uuid5(SPACE, f"{step.code}|{step.at.isoformat()}|{step.by}"),
                _someone(people, step.by),
                step.at,
            )
            facts.add_step(
                made, step.code, step.row, step.title or step.what or step.code, step.reason
            )
        usual = {step.code: step.minutes for step in the_book(given).steps}
        for kind in given.history:
            named = "|".join(("history", kind.what, kind.trade))
            begins = datetime.combine(given.yard.first_day, time(), ZoneInfo(given.yard.zone))
            usual_min = None if kind.trade else usual[kind.what]
            facts.add_history(Entry(uuid5(SPACE, named), bringer, begins), kind, usual_min)
        for boat, pen in pens:
            _take_facts(given, boat, pen, bringer.name)
            _take_readings(boat, pen, limits)


@transaction.atomic
def bring(by: Person, name: str, content: bytes) -> None:
    """Fill an empty yard from a file that somebody sends; it takes no right from them.

    Raises
    ------
    BadSeason
        Not UTF-8, or what stands in it is no season: all of it at once.
    Refused
        They may not, or there are boats already.
    """
    need(by, settled.MANAGES)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise BadSeason([f"{name} is not UTF-8 text; save it as UTF-8."]) from error
    rights = [*by.rights]
    take_in(read(text, name, clock.now()), by.name)
    Person.objects.filter(pk=by.pk).update(rights=rights)


def _take_yard(given: season.Season) -> None:
    values = asdict(given.yard) | settled.water_values(given.water)
    values |= {"looks": settled.looks_values(given.looks)}
    row, _ = Yard.objects.update_or_create(pk=_yard_pk(), defaults=values)
    clock.remember(row)
    settled.keep_table(given.water.table)
    Lift.objects.bulk_create(Lift(**settled.lift_values(lift)) for lift in given.lifts)
    Place.objects.bulk_create(Place(**asdict(place)) for place in given.places)
    Instrument.objects.bulk_create(
        Instrument(name=one.name, quantity=one.quantity, values=yard.instrument_values(one))
        for one in given.instruments
    )


def _yard_pk() -> int:
    first = Yard.objects.first()
    return first.pk if first else 1


def _take_people(given: season.Season) -> dict[str, Person]:
    for person in given.people:
        Person.objects.update_or_create(name=person.name, defaults=settled.person_values(person))
    return {person.name: person for person in Person.objects.all()}


def _take_fleet(given: season.Season, bringer: Person) -> None:
    Part.objects.bulk_create(Part(name=part.name, arrives=part.arrives) for part in given.parts)
    parts = {part.name: part for part in Part.objects.all()}
    owners = {
        boat.owner.name: Owner(name=boat.owner.name, **owner_values(boat.owner))
        for boat in given.boats
        if boat.owner
    }
    Owner.objects.bulk_create(owners.values())
    owners = {owner.name: owner for owner in Owner.objects.all()}
    tags = {boat.tag for boat in given.boats}
    for boat in given.boats:
        tag = boat.tag or fleet.free_tag(boat.name, tags)
        tags.add(tag)
        row = Boat.objects.create(
            **particulars(boat),
            tag=tag,
            owner=owners[boat.owner.name] if boat.owner else None,
        )
        WayIn.objects.bulk_create(
            WayIn(
                boat=row,
                place_in_list=place,
                name=way.name,
                kind=way.kind,
                outside=way.outside,
                inside=way.inside,
                bore_m=way.bore_m,
                depth_m=way.depth_m,
            )
            for place, way in enumerate(boat.ways_in)
        )
        Work.objects.bulk_create(
            Work(
                boat=row,
                place_in_list=place,
                **work_values(piece),
                part=parts[piece.part] if piece.part else None,
            )
            for place, piece in enumerate(boat.work)
        )
    boats = {boat.name: boat for boat in Boat.objects.all()}
    for limit in given.limits:
        Limit.objects.create(
            quantity=limit.quantity,
            engine=limit.engine,
            boat=boats[limit.boat] if limit.boat else None,
            values=fleet.limit_values(limit),
            filed_by=bringer,
            filed_at=clock.now(),
        )


def _came(given: season.Season) -> Iterator[tuple[Part, datetime]]:
    rows = {row.name: row for row in Part.objects.all()}
    yield from ((rows[part.name], part.came) for part in given.parts if part.came)


def _someone(people: dict[str, Person], name: str) -> Person:
    """Whoever a fact names; one who is on no list worked here once."""
    if name not in people:
        people[name] = Person.objects.create(name=name, works_here=False)
    return people[name]


@dataclass
class _Pen:
    """Writes one boat's facts with UUIDs made of what they say: the same file, the same facts."""

    boat: Boat
    people: dict[str, Person]
    places: dict[str, Place]

    def entry(self, by: str, at: datetime, *about: str) -> Entry:
        who = _someone(self.people, by)
        uuid = uuid5(SPACE, "|".join((self.boat.name, at.isoformat(), by, *about)))
        return Entry(uuid, who, at)


def _take_facts(given: season.Season, boat: season.Boat, pen: _Pen, bringer: str) -> None:
    begins = datetime.combine(given.yard.first_day, time(), ZoneInfo(given.yard.zone))
    place = pen.places[boat.place] if boat.place else None
    by = Lift.objects.get(name=boat.lifted.lift) if boat.lifted else None
    moved = pen.entry(bringer, boat.lifted.at if boat.lifted else begins, "moved")
    facts.add_moved(moved, pen.boat, boat.state, place, boat.berth, by)
    days = {stage: getattr(boat.promise, stage) for stage in ("wished", "pencil", "ink")}
    for stage, day in days.items():
        if day is not None:
            facts.add_promised(pen.entry(bringer, begins, stage), pen.boat, stage, day)
    for code in sorted(boat.done):
        facts.add_done(pen.entry(bringer, begins, "done", code), pen.boat, code, "step")
    for thing in boat.undone:
        _take_undone(thing, pen)
    for look in boat.looks:
        made = pen.entry(look.by, look.at, "looked", look.at_what)
        facts.add_looked(made, pen.boat, look.at_what, holds=look.holds, words=look.words)
    for one in boat.disturbed:
        made = pen.entry(bringer, one.at, "disturbed", one.by_what, one.fitting)
        facts.add_disturbed(made, pen.boat, one.by_what, one.fitting)


def _take_readings(boat: season.Boat, pen: _Pen, limits: tuple[season.Limit, ...]) -> None:
    """Each is judged anew, by what is on file and what else was read."""
    for reading in boat.readings:
        about = (reading.quantity, reading.where)
        made = pen.entry(reading.by, reading.at, "reading", *about)
        taken = facts.add_reading(made, pen.boat, reading)
        judged = replace(pen.entry(reading.by, reading.at, "judged", *about), done_at=clock.now())
        facts.add_judged(judged, taken, checks.judged(limits, boat, reading))


def _take_undone(thing: Undone, pen: _Pen) -> None:
    undone = facts.add_undone(pen.entry(thing.by, thing.at, "undone", thing.what), pen.boat, thing)
    back, signed = thing.put_back, thing.signed_off
    if back is not None:
        for by in filter(None, (back.by, back.seen_by)):
            made = pen.entry(by, back.at, "put back", thing.what)
            facts.add_put_back(made, undone, back.proof)
    if signed is not None:
        made = pen.entry(signed.by, signed.at, "signed off", thing.what)
        facts.add_signed_off(made, undone, signed.how)
