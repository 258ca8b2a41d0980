"""What is left undone: on one boat, in the whole yard, and what people said of it. Nothing here writes."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import NamedTuple
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.fields.json import KT

from yardwright.fleet.models import Boat
from yardwright.procedures.put_backs import Before, Harm, Proof, Undone
from yardwright.procedures.step import Has, PutBackKind, Step
from yardwright.procedures.steps import book, proven_by
from yardwright.work.models import Fact, Kind
from yardwright.work.queries import standing, still_proven, undone, with_people
from yardwright.yard.models import Person

SPEAKS = (Kind.PUT_BACK, Kind.SIGNED_OFF, Kind.LOOKED)


def open_undone() -> QuerySet[Fact]:
    """Every put-back of the yard that may be open, on any boat; `Undone.is_open` has the last word."""
    proofs = standing().filter(kind=Kind.PUT_BACK, of=OuterRef("pk"))
    doubts = standing().filter(kind=Kind.LOOKED, of=OuterRef("pk"))
    by_another = standing().filter(kind=Kind.PUT_BACK, of=OuterRef("of")).exclude(by=OuterRef("by"))
    enough = Q()
    for asked in Proof:
        as_good = [proof for proof in Proof if proof.rank >= asked.rank]
        enough |= Q(Exists(proofs.filter(body__proof__in=as_good)), body__proof=asked)
    by_two = Exists(proofs.filter(Exists(by_another)))
    closed = enough & (Q(body__second=False) | by_two) & ~Exists(doubts)
    undone = standing().filter(kind=Kind.UNDONE)
    return undone.exclude(closed)


@dataclass(frozen=True, slots=True)
class Left:
    """One thing left undone, the boat it is on, and what people said of it so far."""

    fact: Fact
    boat: Boat
    thing: Undone
    proofs: tuple[Fact, ...]  # those that nobody has contradicted since
    said: tuple[Fact, ...]  # every proof, doubt and sign-off, in the order of the deeds

    @property
    def uuid(self) -> UUID:
        return self.fact.uuid

    @property
    def doubts(self) -> tuple[Fact, ...]:
        return tuple(fact for fact in self.said if fact.kind == Kind.LOOKED)

    @property
    def holds_back(self) -> tuple[Before, ...]:
        """The deeds that wait for it; handover waits for everything."""
        deeds = (self.thing.before, self.thing.also_before, Before.HANDOVER)
        return tuple(deed for deed in Before if deed in deeds)

    def proven_by(self, person: Person) -> bool:
        return any(fact.by_id == person.pk for fact in self.proofs)

    @property
    def two_stories(self) -> bool:
        """One says it holds, the other that it does not."""
        return bool(self.doubts) and any(fact.kind == Kind.PUT_BACK for fact in self.said)

    @property
    def waits_for_second(self) -> bool:
        return bool(self.proofs) and self.thing.second and self.thing.is_open


def left_undone(boat: Boat) -> list[Left]:
    """What is left undone on one boat, nastiest first."""
    facts = open_undone().filter(boat=boat).select_related("boat", "by").order_by("done_at")
    return _nastiest_first(_left(list(facts)))


def left_in(boat: Boat, facts: Iterable[Fact]) -> list[Left]:
    """The same from her story, where that was read anyway."""
    by_kind: dict[str, list[Fact]] = defaultdict(list)
    said: dict[UUID | None, list[Fact]] = defaultdict(list)
    for fact in facts:
        by_kind[fact.kind].append(fact)
        if fact.kind in SPEAKS:
            said[fact.of_id].append(fact)
    proofs = still_proven(by_kind)
    each = [
        Left(fact, boat, thing, tuple(proofs[fact.pk]), tuple(said[fact.pk]))
        for fact, thing in zip(by_kind[Kind.UNDONE], undone(by_kind), strict=True)
    ]
    return _nastiest_first(each)


def _nastiest_first(each: Iterable[Left]) -> list[Left]:
    still = [one for one in each if one.thing.is_open]
    return sorted(still, key=lambda one: (one.thing.harm.rank, one.thing.at, one.thing.what))


class LeftLine(NamedTuple):
    """One thing left undone in the yard's list, in the list's order: enough to count and to sort."""

    rank: int
    at: datetime
    what: str
    uuid: UUID
    boat_id: int

    @property
    def harm(self) -> Harm:
        return NASTIEST_FIRST[self.rank]


NASTIEST_FIRST = tuple(Harm)


def left_lines() -> list[LeftLine]:
    """What is left undone in the whole yard, nastiest first.

    A thing that nobody spoke of since is open; only for the others must the proofs be read.
    """
    speaks = standing().filter(of=OuterRef("pk"), kind__in=SPEAKS)
    rows = open_undone().annotate(spoken=Exists(speaks))
    told = list(rows.values_list("pk", "boat_id", KT("body__harm"), "done_at", "what", "spoken"))
    spoken = {one.uuid for one in lefts(row[0] for row in told if row[5]) if one.thing.is_open}
    rank = {harm.value: harm.rank for harm in Harm}
    return sorted(
        LeftLine(rank[harm], at, what, pk, boat_id)
        for pk, boat_id, harm, at, what, is_spoken in told
        if pk in spoken or not is_spoken
    )


def lefts(uuids: Iterable[UUID]) -> list[Left]:
    """Some things undone with all that is known of them, in the order given."""
    wanted = list(uuids)
    facts = Fact.objects.select_related("boat", "by").in_bulk(wanted)
    return list(_left([facts[uuid] for uuid in wanted]))


def left(undone_fact: Fact) -> Left:
    """One thing undone, open or closed."""
    return next(iter(_left([undone_fact])))


def _left(facts: Sequence[Fact]) -> Iterator[Left]:
    by_kind: dict[str, list[Fact]] = defaultdict(list)
    said: dict[UUID | None, list[Fact]] = defaultdict(list)
    speaks = standing().filter(kind__in=SPEAKS)
    about = speaks.filter(of__in=[fact.pk for fact in facts]).order_by("done_at", "received_at")
    for fact in with_people(about):
        by_kind[fact.kind].append(fact)
        said[fact.of_id].append(fact)
    by_kind[Kind.UNDONE] = [*facts]
    proofs = still_proven(by_kind)
    for fact, thing in zip(facts, undone(by_kind), strict=True):
        assert fact.boat is not None  # noqa: S101  # a put-back is a boat's
        yield Left(fact, fact.boat, thing, tuple(proofs[fact.pk]), tuple(said[fact.pk]))


def kind_of(what: str) -> PutBackKind | None:
    """The kind of a put-back by its words; None: it is in nobody's book."""
    words = what.casefold()
    return next((k for k in book().kinds.values() if k.what.casefold() == words), None)


def proving_step(boat: Boat, thing: Undone) -> Step | None:
    """The first of her spring steps that proves a thing back."""
    kind = kind_of(thing.what)
    if kind is None:
        return None
    return next(iter(proven_by(kind.code, frozenset(Has(word) for word in boat.has))), None)
