"""The photos and notes of a boat, each beside what it is of. Nothing here writes."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import NamedTuple
from uuid import UUID

from django.db.models import Q

from yardwright.fleet.models import Boat
from yardwright.procedures.steps import book
from yardwright.work.facts import part_of
from yardwright.work.models import Fact, Kind
from yardwright.work.put_backs import Left
from yardwright.work.queries import standing, story

Beside = Mapping[UUID, list[Fact]]


def beside(facts: Iterable[Fact]) -> Beside:
    """The photos in a story by the facts that they show.

    A photo taken while a step was done shows each thing that this step undid; one beside an entry
    that was kept aside shows what was entered after all.
    """
    facts = list(facts)
    by_uuid = {fact.pk: fact for fact in facts}
    found: dict[UUID, list[Fact]] = defaultdict(list)
    for photo in facts:
        if photo.kind == Kind.PHOTO:
            for uuid in dict.fromkeys(_shown_by(photo, by_uuid)):
                found[uuid].append(photo)
    return found


def _shown_by(photo: Fact, by_uuid: Mapping[UUID, Fact]) -> Iterator[UUID]:
    entries = [UUID(photo.body["entry"])]
    if photo.of_id is not None:
        entries += [photo.of_id, part_of(photo.of_id, "entered")]
    for entry in entries:
        yield entry
        of = by_uuid.get(entry)
        if of is not None and of.kind == Kind.DONE and of.body["of_kind"] == "step":
            yield from (part_of(entry, code) for code in _opens().get(of.what, ()))


def _opens() -> Mapping[str, Iterable[str]]:
    return {step.code: step.opens for step in book().steps}


def of_left(left: Left, found: Beside) -> list[Fact]:
    """Where a thing lies and how it looked: beside its undoing, and beside all that was said since."""
    return [photo for fact in (left.fact, *left.said) for photo in found.get(fact.pk, ())]


class Noted(NamedTuple):
    """A note, and the photos taken with it."""

    fact: Fact
    photos: list[Fact]


def notes(facts: Iterable[Fact]) -> list[Noted]:
    """The notes in a story, newest first."""
    facts = list(facts)
    found = beside(facts)
    written = [fact for fact in facts if fact.kind == Kind.NOTE]
    return [Noted(fact, found.get(fact.pk, [])) for fact in reversed(written)]


def photos(facts: Iterable[Fact]) -> list[Fact]:
    """The photos in a story, newest first."""
    return [fact for fact in facts if fact.kind == Kind.PHOTO][::-1]


def of_entry(fact: Fact) -> list[Fact]:
    """The photos beside one entry; a photo is its own."""
    is_its = Q(of=fact) | Q(body__entry=str(fact.pk)) | Q(pk=fact.pk)
    return list(standing().filter(is_its, kind=Kind.PHOTO).select_related("by").order_by("done_at"))


def seen(
    boat: Boat, lefts: Iterable[Left]
) -> tuple[list[tuple[Left, list[Fact], list[Noted]]], list[Noted]]:
    """Each thing left undone on a boat with its photos and notes; then the other notes on her."""
    facts = story([boat])[boat.pk]
    found, written = beside(facts), notes(facts)
    each = [
        (left, of_left(left, found), [one for one in written if one.fact.what == left.thing.what])
        for left in lefts
    ]
    things = {left.thing.what for left, _, _ in each}
    return each, [one for one in written if one.fact.what not in things]
