"""Questions about boats. Nothing here writes."""

from collections.abc import Iterable, Iterator, Set
from dataclasses import asdict, dataclass, replace
from datetime import datetime, timedelta
from itertools import chain, combinations, product
from string import ascii_uppercase

from django.db.models import Prefetch, Q, QuerySet

from yardwright.fleet.models import Boat, Limit, Owner, Visit, WayIn, Work
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Undone
from yardwright.procedures.readings import Reading
from yardwright.procedures.step import Has
from yardwright.procedures.ways_in import Barrier, BarrierKind, Disturbed, Look
from yardwright.season import model as season
from yardwright.season.sheet import Known
from yardwright.yard import queries as yard
from yardwright.yard.models import Person

# What a piece of work keeps beside its words, its order and its part.
PIECE = ("afloat", "dry_hours", "within_days", "second_look", "after_frost", "needs_yes")


def owner(row: Owner | None) -> season.Owner | None:
    if row is None:
        return None
    weekdays = tuple(season.Weekday(day) for day in row.weekdays)
    return season.Owner(row.name, row.phone, row.email, yard.hours(row.hours), weekdays)


def boats() -> QuerySet[Boat]:
    """All boats with what a check needs, in three queries however many there are."""
    return Boat.objects.select_related("owner").prefetch_related(
        "ways_in", Prefetch("work", Work.objects.select_related("part"))
    )


def barrier(way: WayIn) -> Barrier:
    return Barrier(
        way.name, BarrierKind(way.kind), way.outside, way.inside, way.bore_m, way.depth_m
    )


def work_left(boat: Boat, finished: Set[str]) -> tuple[season.Work, ...]:
    """What is still to be done on her; work that is finished holds up nothing behind it."""
    return tuple(
        season.Work(
            piece.what,
            piece.trade,
            piece.minutes,
            tuple(before for before in piece.after if before not in finished),
            piece.part.name if piece.part else "",
            **{name: getattr(piece, name) for name in PIECE},
        )
        for piece in boat.work.all()
        if piece.what not in finished
    )


def value(
    boat: Boat,
    *,
    state: State,
    place: str,
    berth: int | None,
    promise: season.Promise,
    undone: tuple[Undone, ...],
    looks: tuple[Look, ...],
    disturbed: tuple[Disturbed, ...],
    readings: tuple[Reading, ...],
    done: frozenset[str],
    finished: Set[str],
    lifted: season.Lifted | None,
) -> season.Boat:
    """One boat as the core knows her; what changes by the day is passed in."""
    return replace(
        measured(boat, state),
        owner=owner(boat.owner),
        place=place,
        berth=berth,
        promise=promise,
        ways_in=tuple(barrier(way) for way in boat.ways_in.all()),
        work=work_left(boat, finished),
        undone=undone,
        looks=looks,
        disturbed=disturbed,
        readings=readings,
        done=done,
        lifted=lifted,
    )


def measured(boat: Boat, state: State) -> season.Boat:
    """One boat as far as her own row tells: her measures, what she has, which lift is named for her."""
    slings = (boat.sling_aft_m, boat.sling_forward_m)
    return season.Boat(
        name=boat.name,
        state=state,
        hull_number=boat.hull_number,
        tag=boat.tag,
        has=frozenset(Has(tag) for tag in boat.has),
        engine=boat.engine,
        draft_m=boat.draft_m,
        length_m=boat.length_m,
        beam_m=boat.beam_m,
        height_m=boat.height_m,
        weight_kg=boat.weight_kg,
        weight_within=boat.weight_within,
        centre_m=boat.centre_m,
        centre_within_m=boat.centre_within_m,
        slings_m=None if slings[0] is None or slings[1] is None else (slings[0], slings[1]),
        late_days=tuple(boat.late_days),
        watch_min=boat.watch_min,
        lift=boat.lift,
        hands=boat.hands,
        insured_from=boat.insured_from,
        paid_from=boat.paid_from,
    )


def limits() -> tuple[season.Limit, ...]:
    """The limits that hold now: of each quantity for each kind or boat, the newest."""
    newest = {
        (row.quantity, row.engine, row.boat_id): row
        for row in Limit.objects.select_related("boat")  # oldest first
    }
    return tuple(limit(row) for row in newest.values())


def limit(row: Limit) -> season.Limit:
    boat = row.boat.name if row.boat else ""
    return season.Limit(quantity=row.quantity, engine=row.engine, boat=boat, **row.values)


def limit_values(filed: season.Limit) -> dict[str, object]:
    """What is kept of a limit beyond what it is filed under."""
    values = asdict(filed)
    del values["quantity"], values["engine"], values["boat"]
    return values


def free_tag(name: str, taken: set[str]) -> str:
    """Three letters that no other boat carries, from the boat's name where they can be."""
    return next(free_tags([name], taken))


def free_tags(names: Iterable[str], taken: set[str]) -> Iterator[str]:
    """A free tag for each name in turn; ``taken`` grows with them."""
    every = product(ascii_uppercase, repeat=3)
    for name in names:
        letters = [letter for letter in name.upper() if letter in ascii_uppercase]
        from_name = combinations(letters, 3)
        tag = next(t for three in chain(from_name, every) if (t := "".join(three)) not in taken)
        taken.add(tag)
        yield tag


def known() -> Known:
    """The names, hull numbers and tags that are taken."""
    rows = list(Boat.objects.select_related("owner"))
    return Known(
        boats={
            row.name.casefold(): (row.hull_number, row.owner.name if row.owner else "")
            for row in rows
        },
        hull_numbers={row.hull_number: row.name for row in rows if row.hull_number},
        tags={row.tag: row.name for row in rows},
    )


def found(asked: str, also: Iterable[int] = ()) -> QuerySet[Boat]:
    """Boats whose name, tag, hull number or owner holds this; ``also`` are ids found elsewhere."""
    rows = Boat.objects.select_related("owner")
    if not asked:
        return rows
    return rows.filter(
        Q(name__icontains=asked)
        | Q(tag__iexact=asked)
        | Q(hull_number__icontains=asked)
        | Q(owner__name__icontains=asked)
        | Q(pk__in=list(also))
    )


HERE_FOR, LATELY = timedelta(minutes=3), timedelta(days=7)


def last_visits(since: datetime, until: datetime) -> list[Visit]:
    """Where each person was last in this time, in one query; the latest first."""
    made = Visit.objects.filter(at__gt=since, at__lte=until, person__works_here=True)
    each: dict[int, Visit] = {}
    for visit in made.select_related("person", "boat").order_by("-at", "-pk"):
        each.setdefault(visit.person_id, visit)
    return list(each.values())


@dataclass(frozen=True, slots=True)
class AtHer:
    """How a person's open page of a boat begins: who else is there, and whether she is theirs."""

    others: str
    starred: bool
    last_at: datetime | None  # when their visit was last written


def at_her(boat: Boat, person: Person, now: datetime) -> AtHer:
    since = now - HERE_FOR
    theirs = Q(person=person, boat=boat)
    rows = Visit.objects.filter(theirs | Q(at__gt=since, at__lte=now, person__works_here=True))
    visits = list(rows.select_related("person").order_by("-at", "-pk"))
    last: dict[int, Visit] = {}
    for one in visits:
        if one.at and since < one.at <= now:
            last.setdefault(one.person_id, one)
    there = [one for one in last.values() if one.boat_id == boat.pk and one.person_id != person.pk]
    named = ", ".join(sorted(f"{one.person} ({one.on})" for one in there))
    own = next(
        (one for one in visits if (one.person_id, one.boat_id) == (person.pk, boat.pk)), None
    )
    return AtHer(
        others=f"At her now: {named}." if named else "Nobody else is at her now.",
        starred=own is not None and own.starred,
        last_at=own.at if own else None,
    )


def hers(person: Person, now: datetime) -> list[Visit]:
    """The boats that somebody starred, then those opened lately, the latest first."""
    theirs = Visit.objects.filter(Q(starred=True) | Q(at__gt=now - LATELY), person=person)
    return list(theirs.select_related("boat").order_by("-starred", "-at", "boat__name"))
