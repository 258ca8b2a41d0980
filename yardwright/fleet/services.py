"""What people do to the yard's boats. One function each: check, then write, all or nothing."""

from collections.abc import Collection, Iterable, Mapping
from datetime import datetime
from typing import Any
from uuid import UUID

from django.db import transaction
from django.db.models import ProtectedError, QuerySet

from yardwright.fleet import queries
from yardwright.fleet.models import Boat, Import, Limit, Owner, Part, Visit, WayIn, Work
from yardwright.procedures.going_in import State
from yardwright.procedures.ways_in import Barrier
from yardwright.season import model as season
from yardwright.season.boat_faults import boat_faults
from yardwright.season.model import Right
from yardwright.season.sheet import Sheet, read_sheet
from yardwright.yard import clock
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused
from yardwright.yard.rights import need
from yardwright.yard.services import MANAGES, hours_kept, refuse


@transaction.atomic
def file_limit(uuid: UUID, by: Person, filed: season.Limit) -> Limit:
    """File a limit with its source and page; one filed before stays, and stands behind it."""
    need(by, Right.CLEAR)
    if not filed.page.strip():
        raise Refused("On which page?", "Give the page, so that anyone can lay it beside this.")
    held = Limit.objects.select_related("boat").filter(pk=uuid).first()
    if held is not None:
        if queries.limit(held) != filed:
            raise Refused("This page filed another limit already.", "File this one beside it.")
        return held
    boat = Boat.objects.get(name=filed.boat) if filed.boat else None
    values = queries.limit_values(filed)
    limit = Limit(
        uuid=uuid,
        quantity=filed.quantity,
        engine=filed.engine,
        boat=boat,
        values=values,
        filed_by=by,
        filed_at=clock.now(),
    )
    limit.save()
    return limit


@transaction.atomic
def keep_boat(by: Person, row: Boat | None, given: season.Boat) -> Boat:
    """A new boat, or other particulars of one. Where she stands and what was done are facts."""
    need(by, Right.PROVE)
    refuse(boat_faults(given))
    if row is None and (same := _as_typed(given)):
        return same
    others = Boat.objects.exclude(pk=row.pk if row else 0)
    tag = given.tag or queries.free_tag(given.name, set(others.values_list("tag", flat=True)))
    _her_own(others.filter(name__iexact=given.name), f"name {given.name!r}")
    _her_own(others.filter(tag=tag), f"tag {tag}")
    if given.hull_number:
        _her_own(others.filter(hull_number=given.hull_number), f"hull number {given.hull_number}")
    boat = row or Boat()
    for name, value in particulars(given).items():
        setattr(boat, name, value)
    boat.tag, boat.owner = tag, _owner(given.owner, boat.owner)
    boat.save()
    return boat


def _as_typed(given: season.Boat) -> Boat | None:
    """The boat that this form made already: the same in all that was typed."""
    one = Boat.objects.select_related("owner").filter(**particulars(given)).first()
    owner = queries.owner(one.owner) if one else None
    same = one is not None and owner == given.owner and given.tag in ("", one.tag)
    return one if same else None


def particulars(given: season.Boat) -> dict[str, Any]:
    """What is kept of a boat beside her tag, her owner, her ways in and her work."""
    aft_m, forward_m = given.slings_m or (None, None)
    return {
        "name": given.name,
        "hull_number": given.hull_number,
        "has": sorted(given.has),
        "engine": given.engine,
        "draft_m": given.draft_m,
        "length_m": given.length_m,
        "beam_m": given.beam_m,
        "height_m": given.height_m,
        "weight_kg": given.weight_kg,
        "weight_within": given.weight_within,
        "centre_m": given.centre_m,
        "centre_within_m": given.centre_within_m,
        "sling_aft_m": aft_m,
        "sling_forward_m": forward_m,
        "late_days": [*given.late_days],
        "watch_min": given.watch_min,
        "lift": given.lift,
        "hands": given.hands,
        "insured_from": given.insured_from,
        "paid_from": given.paid_from,
    }


def owner_values(given: season.Owner) -> dict[str, Any]:
    """What is kept of an owner beside their name."""
    hours, weekdays = hours_kept(given.hours), [*given.weekdays]
    return {"phone": given.phone, "email": given.email, "hours": hours, "weekdays": weekdays}


def work_values(given: season.Work) -> dict[str, Any]:
    """What is kept of a piece of work beside its part."""
    return {
        "what": given.what,
        "trade": given.trade,
        "minutes": given.minutes,
        "after": [*given.after],
        **{name: getattr(given, name) for name in queries.PIECE},
    }


def _her_own(others: QuerySet[Boat], what: str) -> None:
    other = others.first()
    if other is not None:
        raise Refused(f"The {what} is {other.name}'s ({other.tag}).", "Give this boat her own.")


def _owner(given: season.Owner | None, before: Owner | None) -> Owner | None:
    """Of an owner who was not hers so far only what was typed is changed: an empty field says nothing."""
    if given is None:
        return None
    typed = owner_values(given)
    if before is None or before.name != given.name:
        typed = {name: value for name, value in typed.items() if value}
        if not given.hours:
            del typed["weekdays"]
    owner, _ = Owner.objects.update_or_create(name=given.name, defaults=typed)
    return owner


@transaction.atomic
def keep_way_in(
    by: Person,
    boat: Boat,
    row: WayIn | None,
    given: Barrier,
    *,
    after: WayIn | None,
    open_at: Collection[str],
) -> WayIn:
    """A barrier more, or another look of one; ``open_at`` are the fittings of open put-backs."""
    need(by, Right.PROVE)
    walk = [way for way in boat.ways_in.all() if row is None or way.pk != row.pk]
    if given.name in [way.name for way in walk]:
        raise Refused(f"{boat} has {given.name!r} already.", "Give each way in a name of its own.")
    if row is not None and row.name != given.name:
        _no_put_back_names(row, open_at)
    way = row or WayIn(boat=boat)
    way.name, way.kind = given.name, given.kind
    way.outside, way.inside = given.outside, given.inside
    way.bore_m, way.depth_m = given.bore_m, given.depth_m
    walk.insert(walk.index(after) + 1 if after in walk else 0, way)
    for place, one in enumerate(walk):
        one.place_in_list = place
        one.save()
    return way


@transaction.atomic
def remove_way_in(by: Person, way: WayIn, open_at: Collection[str]) -> None:
    """She has this opening no more."""
    need(by, Right.PROVE)
    _no_put_back_names(way, open_at)
    way.delete()


def _no_put_back_names(way: WayIn, open_at: Collection[str]) -> None:
    if way.name in open_at:
        raise Refused(
            f"{way.name} stands open: a put-back that is not closed names it.",
            "Put it back and prove it first, or strike out the put-back.",
        )


@transaction.atomic
def keep_work(by: Person, boat: Boat, row: Work | None, given: season.Work) -> Work:
    """A piece of work that she waits for; its words stay, since *done* speaks of it by them."""
    need(by, Right.PROVE)
    pieces = queries.work_left(boat, set())
    if row is None and given.what in [one.what for one in pieces]:
        raise Refused(f"{boat} waits for {given.what!r} already.", "Change that one instead.")
    others = [one for one in pieces if row is None or one.what != row.what]
    whole = season.Boat(boat.name, State.LAID_UP, work=(*others, given))
    refuse(boat_faults(whole))
    piece = row or Work(boat=boat, place_in_list=len(pieces))
    for name, value in work_values(given).items():
        setattr(piece, name, value)
    piece.part = Part.objects.get(name=given.part) if given.part else None
    piece.save()
    return piece


@transaction.atomic
def remove_work(by: Person, piece: Work) -> None:
    need(by, Right.PROVE)
    waits = [one.what for one in piece.boat.work.all() if piece.what in one.after]
    if waits:
        raise Refused(f"{', '.join(waits)} waits for it.", "Let that wait for something else.")
    piece.delete()


@transaction.atomic
def keep_part(by: Person, row: Part | None, name: str, arrives: datetime | None) -> Part:
    """Something ordered, and when it comes; None is *not known*."""
    need(by, Right.PROVE)
    if Part.objects.filter(name__iexact=name).exclude(pk=row.pk if row else 0).exists():
        raise Refused(f"There is a part {name!r} already.", "Change that one instead.")
    part = row or Part()
    part.name, part.arrives = name, arrives
    part.save()
    return part


@transaction.atomic
def look_at_sheet(by: Person, uuid: UUID, name: str, content: bytes) -> Import:
    """Keep a spreadsheet to be looked at; nothing of it is a boat yet."""
    need(by, MANAGES)
    held = Import.objects.filter(pk=uuid).first()
    if held is not None:
        return held
    return Import.objects.create(uuid=uuid, name=name[:160], by=by, at=clock.now(), content=content)


def sheet_of(row: Import, told: Mapping[str, str]) -> Sheet:
    """What the kept file says, held against the boats that are here now."""
    return read_sheet(bytes(row.content), row.name, queries.known(), told)


@transaction.atomic
def bring_in(by: Person, row: Import, told: Mapping[str, str]) -> Import:
    """All its good rows become boats; a repeat changes nothing."""
    need(by, MANAGES)
    row = Import.objects.select_for_update().get(pk=row.pk)
    if row.brought_in_at is not None:
        return row
    made = _add_boats(sheet_of(row, told).boats)
    row.boats, row.brought_in_at, row.content = [boat.pk for boat in made], clock.now(), b""
    row.save()
    return row


def _add_boats(given: Collection[season.Boat]) -> list[Boat]:
    owners = _owners(boat.owner for boat in given if boat.owner)
    taken = set(Boat.objects.values_list("tag", flat=True)) | {boat.tag for boat in given}
    tags = queries.free_tags([boat.name for boat in given if not boat.tag], taken)
    return Boat.objects.bulk_create(
        Boat(
            **particulars(boat),
            tag=boat.tag or next(tags),
            owner=owners[boat.owner.name] if boat.owner else None,
        )
        for boat in given
    )


def _owners(given: Iterable[season.Owner]) -> dict[str, Owner]:
    """Who is known stays as known; the others are new, the first mention counts."""
    known = {owner.name: owner for owner in Owner.objects.all()}
    new: dict[str, Owner] = {}
    for one in given:
        if one.name not in known:
            new.setdefault(one.name, Owner(name=one.name, phone=one.phone, email=one.email))
    Owner.objects.bulk_create(new.values())
    return {owner.name: owner for owner in Owner.objects.all()}


@transaction.atomic
def take_back(by: Person, row: Import) -> list[Boat]:
    """Take out again what a spreadsheet brought, but boats that somebody has worked at since.

    Returns
    -------
    list of Boat
        Those that stay: they have facts, limits, ways in or work by now.
    """
    need(by, MANAGES)
    row = Import.objects.select_for_update().get(pk=row.pk)
    if row.brought_in_at is None:
        raise Refused(f"Nothing of {row.name} was brought in.", "There is nothing to take back.")
    brought = Boat.objects.filter(pk__in=row.boats)
    touched = set(brought.exclude(ways_in=None, work=None).values_list("pk", flat=True))
    free = brought.exclude(pk__in=touched)
    owners = set(free.exclude(owner=None).values_list("owner", flat=True))
    try:
        free.delete()
    except ProtectedError as protected:
        touched |= {one.boat_id for one in protected.protected_objects}  # type: ignore[attr-defined]
        free = brought.exclude(pk__in=touched)
        free.delete()
    Owner.objects.filter(pk__in=owners, boat=None).delete()
    row.taken_back_at = clock.now()
    row.save()
    return list(Boat.objects.filter(pk__in=touched))


def visit(by: Person, boat: Boat, on: str, now: datetime) -> None:
    """Somebody has her page open."""
    Visit.objects.update_or_create({"at": now, "on": on}, person=by, boat=boat)


def star(by: Person, boat: Boat, *, starred: bool) -> None:
    """Each person stars their own; whoever works here may."""
    Visit.objects.update_or_create({"starred": starred}, person=by, boat=boat)


@transaction.atomic
def end_calendar(by: Person, boat: Boat, edition: int) -> None:
    """The address of her calendar ends; asked for again with the same number, nothing more."""
    need(by, MANAGES)
    hers = Boat.objects.filter(pk=boat.pk, calendar_edition=edition)
    hers.update(calendar_edition=edition + 1)
