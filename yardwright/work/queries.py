"""Questions about facts. Nothing here writes; what is struck out is never seen."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Before, Harm, Proof, PutBack, SignOff, Undone
from yardwright.procedures.quantities import Quantity, quantity
from yardwright.procedures.readings import Instrument, Reading
from yardwright.procedures.verdict import Verdict
from yardwright.procedures.ways_in import Disturbance, Disturbed, Look
from yardwright.season import model as season
from yardwright.work.models import Fact, Kind


def standing() -> QuerySet[Fact]:
    """All facts but those struck out, and the strike-outs themselves."""
    struck = Fact.objects.filter(kind=Kind.STRUCK_OUT, of=OuterRef("pk"))
    return Fact.objects.exclude(kind=Kind.STRUCK_OUT).exclude(Exists(struck))


def story(boats: Iterable[Boat]) -> dict[int, list[Fact]]:
    """Every standing fact of some boats, in the order of the deeds: one query."""
    facts: dict[int, list[Fact]] = defaultdict(list)
    wanted = standing().filter(boat__in=list(boats)).select_related("by", "second")
    for fact in wanted.order_by("done_at", "received_at"):
        facts[fact.boat_id or 0].append(fact)
    return facts


def value(boat: Boat, facts: Iterable[Fact]) -> season.Boat:
    """One boat as the core knows her: her particulars and all that was done."""
    by_kind: dict[str, list[Fact]] = defaultdict(list)
    for fact in facts:
        by_kind[fact.kind].append(fact)
    moves = sorted(by_kind[Kind.MOVED] + by_kind[Kind.LIFTED], key=lambda f: f.done_at)
    where = moves[-1] if moves else None
    return fleet.value(
        boat,
        state=State(where.what) if where else State.LAID_UP,
        place=where.body["place"] if where else "",
        berth=where.body["berth"] if where else None,
        promise=promise(by_kind[Kind.PROMISED]),
        undone=undone(by_kind),
        looks=tuple(look(fact) for fact in by_kind[Kind.LOOKED]),
        disturbed=tuple(disturbed(fact) for fact in by_kind[Kind.DISTURBED]),
        readings=tuple(reading(fact) for fact in by_kind[Kind.READING]),
        finished={fact.what for fact in by_kind[Kind.DONE] if fact.body["of_kind"] == "work"},
    )


def values(boats: Iterable[Boat]) -> list[season.Boat]:
    boats = list(boats)
    facts = story(boats)
    return [value(boat, facts[boat.pk]) for boat in boats]


def promise(facts: Iterable[Fact]) -> season.Promise:
    """The newest day of each kind."""
    day = {fact.what: date.fromisoformat(fact.body["day"]) for fact in facts}
    return season.Promise(day.get("wished"), day.get("pencil"), day.get("ink"))


def undone(by_kind: dict[str, list[Fact]]) -> tuple[Undone, ...]:
    put_backs: dict[UUID | None, list[Fact]] = defaultdict(list)
    for fact in by_kind[Kind.PUT_BACK]:
        put_backs[fact.of_id].append(fact)
    signed = {fact.of_id: fact for fact in by_kind[Kind.SIGNED_OFF]}
    return tuple(
        undone_value(fact, put_backs[fact.pk], signed.get(fact.pk)) for fact in by_kind[Kind.UNDONE]
    )


def undone_value(fact: Fact, put_backs: Sequence[Fact], signed: Fact | None) -> Undone:
    body = fact.body
    return Undone(
        what=fact.what,
        harm=Harm(body["harm"]),
        if_forgotten=body["if_forgotten"],
        before=Before(body["before"]),
        proof=Proof(body["proof"]),
        at=fact.done_at,
        by=fact.by.name,
        lies=body["lies"],
        fitting=body["fitting"],
        second=body["second"],
        also_before=Before(body["also_before"]) if body["also_before"] else None,
        put_back=put_back(put_backs),
        signed_off=SignOff(signed.done_at, signed.by.name, signed.body["how"]) if signed else None,
    )


def put_back(put_backs: Sequence[Fact]) -> PutBack | None:
    """The first proof, and the first person beside the prover who proved it too."""
    if not put_backs:
        return None
    first = put_backs[0]
    others = [fact.by.name for fact in put_backs if fact.by_id != first.by_id]
    return PutBack(
        first.done_at, first.by.name, Proof(first.body["proof"]), others[0] if others else ""
    )


def look(fact: Fact) -> Look:
    body = fact.body
    return Look(fact.what, body["holds"], fact.done_at, fact.by.name, body["words"])


def disturbed(fact: Fact) -> Disturbed:
    return Disturbed(Disturbance(fact.what), fact.done_at, fact.body["fitting"])


def reading(fact: Fact) -> Reading:
    body = fact.body
    return Reading(
        quantity=fact.what,
        values=tuple(body["values"]),
        unit=body["unit"],
        at=fact.done_at,
        by=fact.by.name,
        instrument=instrument(body["instrument"]),
        conditions=body["conditions"],
        where=body["where"],
    )


def instrument(kept: dict[str, Any] | None) -> Instrument | None:
    if kept is None:
        return None
    until = kept["checked_until"]
    return Instrument(**kept | {"checked_until": date.fromisoformat(until) if until else None})


@dataclass(frozen=True, slots=True)
class Judged:
    """A reading with the verdict that holds for it now, and who cleared it, if somebody did."""

    reading: Fact
    quantity: Quantity
    verdict: Verdict
    judged: Fact
    cleared: Fact | None

    @property
    def holds(self) -> bool:
        """Whether she waits for it."""
        held = self.verdict.rank <= Verdict.LOOK_AGAIN.rank or (
            self.verdict == Verdict.NO_LIMIT and self.quantity.grave
        )
        return held and self.cleared is None


def judged(facts: Iterable[Fact]) -> list[Judged]:
    """The newest reading of each quantity at each place, with its newest verdict."""
    newest: dict[tuple[str, str], Fact] = {}
    verdicts: dict[UUID | None, Fact] = {}
    cleared: dict[UUID | None, Fact] = {}
    for fact in facts:
        match fact.kind:
            case Kind.READING:
                newest[fact.what, fact.body["where"]] = fact
            case Kind.JUDGED:
                verdicts[fact.of_id] = fact
            case Kind.CLEARED:
                cleared[fact.of_id] = fact
            case _:
                pass
    return [
        Judged(
            fact,
            quantity(code),
            Verdict(verdicts[fact.pk].what),
            verdicts[fact.pk],
            cleared.get(fact.pk),
        )
        for (code, _), fact in newest.items()
        if fact.pk in verdicts
    ]


def holds(facts: Iterable[Fact]) -> tuple[str, ...]:
    """What holds a boat beside her put-backs and ways in: everyone asks here."""
    return tuple(
        f"{one.quantity.name}{', ' + where if (where := one.reading.body['where']) else ''}: "
        f"{one.verdict}. {one.judged.body['reasons'][0]['words']}"
        for one in judged(facts)
        if one.holds
    )


def open_undone() -> QuerySet[Fact]:
    """Every open put-back of the yard, on any boat."""
    closed = Fact.objects.filter(kind=Kind.PUT_BACK, of=OuterRef("pk")).exclude(
        Exists(Fact.objects.filter(kind=Kind.STRUCK_OUT, of=OuterRef("pk")))
    )
    return standing().filter(kind=Kind.UNDONE).exclude(Exists(closed)).select_related("boat", "by")


def last_published(before: datetime | None = None) -> Fact | None:
    """The plan that holds now."""
    plans = standing().filter(kind=Kind.PUBLISHED)
    if before is not None:
        plans = plans.filter(Q(received_at__lt=before))
    return plans.order_by("received_at").last()


@dataclass(frozen=True, slots=True)
class Where:
    """Where a boat is, and in which state."""

    state: State
    place: str
    berth: int | None


def where_all() -> dict[int, Where]:
    """Where every boat is: one query. A boat nobody has moved is *Laid up*, nowhere."""
    moves = standing().filter(kind__in=(Kind.MOVED, Kind.LIFTED)).order_by("done_at", "received_at")
    return {
        boat_id: Where(State(what), body["place"], body["berth"])
        for boat_id, what, body in moves.values_list("boat_id", "what", "body")
    }


NOWHERE = Where(State.LAID_UP, "", None)
