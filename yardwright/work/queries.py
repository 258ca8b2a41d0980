"""Questions about facts. Nothing here writes; what is struck out is never seen."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import cache
from itertools import pairwise
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.fields.json import KT

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.procedures import verdict as verdicts
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Before, Harm, Proof, PutBack, SignOff, Undone
from yardwright.procedures.quantities import Quantity, quantity
from yardwright.procedures.readings import Instrument, Reading
from yardwright.procedures.step import Has, PutBackKind, Season, Step
from yardwright.procedures.steps import book, proven_by
from yardwright.procedures.verdict import Clearing, Judgement, Verdict
from yardwright.procedures.ways_in import Disturbance, Disturbed, Look
from yardwright.season import checks, fact_book
from yardwright.season import model as season
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Person


def standing() -> QuerySet[Fact]:
    """All facts but those struck out, and the strike-outs themselves."""
    struck = Fact.objects.filter(kind=Kind.STRUCK_OUT, of=OuterRef("pk"))
    return Fact.objects.exclude(kind=Kind.STRUCK_OUT).exclude(Exists(struck))


def kept_aside() -> QuerySet[Fact]:
    """What phones sent and the yard did not take, until somebody decides; it counts for nothing."""
    entered = standing().filter(kind=Kind.ENTERED, of=OuterRef("pk"))
    return standing().filter(kind=Kind.ASIDE).exclude(Exists(entered))


def aside_in(facts: Iterable[Fact]) -> list[Fact]:
    """The same, of a boat's story."""
    facts = list(facts)
    entered = {fact.of_id for fact in facts if fact.kind == Kind.ENTERED}
    return [fact for fact in facts if fact.kind == Kind.ASIDE and fact.pk not in entered]


def story(boats: Iterable[Boat], without: Iterable[Kind] = ()) -> dict[int, list[Fact]]:
    """Every standing fact of some boats, in the order of the deeds, by the yard's own clock.

    Of the kinds in ``without`` only what speaks of another fact is there: a repair lifts a Stop.
    """
    zone = clock.zone()
    facts: dict[int, list[Fact]] = defaultdict(list)
    wanted = standing().filter(boat__in=list(boats)).exclude(kind__in=without, of=None)
    wanted = wanted.order_by("done_at", "received_at")
    for fact in with_people(wanted):
        fact.done_at = fact.done_at.astimezone(zone)  # what is said of it names hours and days
        facts[fact.boat_id or 0].append(fact)
    return facts


def with_people(facts: Iterable[Fact]) -> Iterator[Fact]:
    """Facts with who did them: each person is read once, not once a fact as a join would."""
    people = {person.pk: person for person in Person.objects.all()}
    for fact in facts:
        fact.by = people[fact.by_id]
        if fact.second_id is not None:
            fact.second = people[fact.second_id]
        yield fact


def value(boat: Boat, facts: Iterable[Fact]) -> season.Boat:
    """One boat as the core knows her: her particulars and all that was done."""
    by_kind: dict[str, list[Fact]] = defaultdict(list)
    for fact in facts:
        by_kind[fact.kind].append(fact)
    moves = sorted(by_kind[Kind.MOVED] + by_kind[Kind.LIFTED], key=lambda f: f.done_at)
    where = moves[-1] if moves else None
    began = season_began(moves)
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
        done=frozenset(
            fact.what
            for fact in by_kind[Kind.DONE]
            if fact.body["of_kind"] == "step" and fact.done_at >= began
        ),
        finished={fact.what for fact in by_kind[Kind.DONE] if fact.body["of_kind"] == "work"},
    )


def values(boats: Iterable[Boat]) -> list[season.Boat]:
    boats = list(boats)
    facts = story(boats)
    return [value(boat, facts[boat.pk]) for boat in boats]


def with_holds(
    boats: Iterable[Boat], without: Iterable[Kind] = ()
) -> list[tuple[season.Boat, tuple[str, ...]]]:
    """Each boat, and the sentences on what holds her beside put-backs and ways in."""
    rows = list(boats)
    facts = story(rows, without)
    return [(value(row, facts[row.pk]), holds(facts[row.pk])) for row in rows]


def promise(facts: Iterable[Fact]) -> season.Promise:
    """The newest day of each kind."""
    day = {fact.what: date.fromisoformat(fact.body["day"]) for fact in facts}
    return season.Promise(day.get("wished"), day.get("pencil"), day.get("ink"))


def undone(by_kind: dict[str, list[Fact]]) -> tuple[Undone, ...]:
    proofs = still_proven(by_kind)
    signed = {fact.of_id: fact for fact in by_kind[Kind.SIGNED_OFF]}
    return tuple(
        undone_value(fact, proofs[fact.pk], signed.get(fact.pk)) for fact in by_kind[Kind.UNDONE]
    )


def still_proven(by_kind: dict[str, list[Fact]]) -> dict[UUID | None, list[Fact]]:
    """The proofs of each put-back that nobody has contradicted since: two stories, and it is open."""
    contradicted = {
        fact.of_id: fact.done_at for fact in by_kind[Kind.LOOKED] if not fact.body["holds"]
    }
    proofs: dict[UUID | None, list[Fact]] = defaultdict(list)
    for fact in by_kind[Kind.PUT_BACK]:
        doubt = contradicted.get(fact.of_id)
        if doubt is None or fact.done_at > doubt:
            proofs[fact.of_id].append(fact)
    return proofs


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
        put_back=put_back(put_backs, Proof(body["proof"])),
        signed_off=SignOff(signed.done_at, signed.by.name, signed.body["how"]) if signed else None,
    )


def put_back(put_backs: Sequence[Fact], asked: Proof) -> PutBack | None:
    """The first proof that is enough, and the first person beside the prover who proved it too."""
    if not put_backs:
        return None
    enough = [fact for fact in put_backs if Proof(fact.body["proof"]).rank >= asked.rank]
    first = (enough or put_backs)[0]
    others = [fact.by.name for fact in enough if fact.by_id != first.by_id]
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
        at=fact.done_at.astimezone(clock.zone()),  # of one day, of one year: by the yard's own
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
        return self.cleared is None and verdicts.holds(self.verdict, self.quantity)

    @property
    def only_repair(self) -> bool:
        """Nobody may talk it away: only a repair and a new reading by another person clears it."""
        return verdicts.who_may_clear(self.verdict, self.quantity) == Clearing.REPAIR


def judged(facts: Iterable[Fact]) -> list[Judged]:
    """What holds now of each quantity at each place: its newest reading with its newest verdict.

    A Stop that nobody may talk away stays until it was repaired and somebody else read it anew.
    """
    facts = list(facts)
    groups: dict[tuple[str, str], list[Judged]] = defaultdict(list)
    for one in all_judged(facts):
        groups[one.reading.what, one.reading.body["where"]].append(one)
    repairs = [fact for fact in facts if fact.kind == Kind.DONE and fact.of_id]
    return [_standing_one(group, repairs) for group in groups.values()]


def all_judged(facts: Iterable[Fact]) -> list[Judged]:
    """Every reading with its newest verdict, oldest first."""
    about: dict[UUID | None, list[Fact]] = defaultdict(list)
    taken: list[Fact] = []
    for fact in facts:
        if fact.kind == Kind.READING:
            taken.append(fact)
        else:
            about[fact.of_id].append(fact)
    each = (_judged(fact, about[fact.pk]) for fact in taken)
    return [one for one in each if one is not None]


def _judged(taken: Fact, about: Iterable[Fact]) -> Judged | None:
    """A reading with its newest verdict; a worse verdict than the cleared one is not cleared."""
    verdict: Fact | None = None
    cleared: Fact | None = None
    for fact in about:
        if fact.kind == Kind.JUDGED:
            if verdict and Verdict(fact.what).rank < Verdict(verdict.what).rank:
                cleared = None
            verdict = fact
        elif fact.kind == Kind.CLEARED:
            cleared = fact
    if verdict is None:
        return None
    return Judged(taken, quantity(taken.what), Verdict(verdict.what), verdict, cleared)


def _standing_one(group: Sequence[Judged], repairs: Sequence[Fact]) -> Judged:
    stop: Judged | None = None
    for one in group:
        if one.only_repair:
            stop = one
        elif stop is not None and _lifts(one, stop.reading, repairs):
            stop = None
    return stop or group[-1]


def _lifts(new: Judged, stopped: Fact, repairs: Iterable[Fact]) -> bool:
    """Repaired after the Stop and before this reading, by somebody else."""
    return any(
        not verdicts.cleared_by_repair(
            new.quantity, fact.done_at, fact.by.name, reading(new.reading), new.verdict
        )
        for fact in repairs
        if fact.of_id == stopped.pk
    )


def holds(facts: Iterable[Fact]) -> tuple[str, ...]:
    """What holds a boat beside her put-backs and ways in: everyone asks here."""
    return tuple(
        f"{one.quantity.name}{', ' + where if (where := one.reading.body['where']) else ''}: "
        f"{one.verdict}. {one.judged.body['reasons'][0]['words']}"
        for one in judged(facts)
        if one.holds
    )


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


def last_published(before: datetime | None = None) -> Fact | None:
    """The plan that holds now."""
    plans = standing().filter(kind=Kind.PUBLISHED)
    if before is not None:
        plans = plans.filter(Q(received_at__lt=before))
    return plans.order_by("received_at").last()


@dataclass(frozen=True, slots=True)
class Where:
    """Where a boat is, and in which state."""

    state: State = State.LAID_UP
    place: str = ""
    berth: int | None = None


def where_all() -> dict[int, Where]:
    """Where every boat is that was ever moved, by her id, in one query; the others: ``NOWHERE``."""
    moves = standing().filter(kind__in=(Kind.MOVED, Kind.LIFTED)).order_by("done_at", "received_at")
    return {
        boat or 0: Where(State(what), body["place"], body["berth"])
        for boat, what, body in moves.values_list("boat", "what", "body")
    }


NOWHERE = Where()


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


SEASON_ENDS = (State.AFLOAT, State.HANDED_OVER)


def season_began(moves: Sequence[Fact]) -> datetime:
    """When she last came out of the water after a season: what was done before is last season's."""
    out = [
        now
        for last, now in pairwise(moves)
        if last.what in SEASON_ENDS and now.what not in SEASON_ENDS
    ]
    return out[-1].done_at if out else datetime.min.replace(tzinfo=UTC)


def steps_done(facts: Iterable[Fact]) -> dict[str, Fact]:
    """Her steps done this season, by code.

    It begins where she was last handed over; what was done between there and her coming out again
    counts only for fall, else a spring step that was caught up late would be done next spring.
    """
    done: dict[str, Fact] = {}
    ended = False
    for fact in facts:
        if fact.kind in (Kind.MOVED, Kind.LIFTED):
            ends = fact.what in SEASON_ENDS
            if ends:
                done = {}
            elif ended:
                done = {code: last for code, last in done.items() if code in _of_fall()}
            ended = ends
        elif fact.kind == Kind.DONE and fact.body["of_kind"] == "step":
            done[fact.what] = fact
    return done


@cache
def _of_fall() -> frozenset[str]:
    return frozenset(step.code for step in book().steps if step.season == Season.FALL)


def work_done(facts: Iterable[Fact]) -> dict[str, Fact]:
    """Her work beyond the steps that somebody said is done, by its words."""
    said = (fact for fact in facts if fact.kind == Kind.DONE and fact.body["of_kind"] == "work")
    return {fact.what: fact for fact in said}


def judgement(boat: Boat, taken: Reading) -> Judgement:
    """What a reading says by what is on file now; nothing is kept."""
    facts = story([boat])[boat.pk]
    return checks.judged(fleet.limits(), value(fleet.boats().get(pk=boat.pk), facts), taken)


def chosen() -> dict[str, season.Chosen]:
    """Where sources conflict, the one the yard goes by, the latest choice of each."""
    facts = standing().filter(kind=Kind.CHOSEN).select_related("by")
    choices = (
        season.Chosen(fact.what, fact.body["row"], fact.body["reason"], fact.by.name, fact.done_at)
        for fact in facts
    )
    return {choice.what: choice for choice in choices if fact_book.stands(choice)}


def judged_by(filed: season.Limit) -> list[tuple[Fact, Judgement]]:
    """The readings that a new limit is for, of each boat and place the newest; what each says now."""
    taken = standing().filter(kind=Kind.READING, what=filed.quantity)
    if filed.boat:
        taken = taken.filter(boat__name=filed.boat)
    elif filed.engine:
        taken = taken.filter(boat__engine=filed.engine)
    read: dict[int, list[Fact]] = defaultdict(list)
    for fact in with_people(taken.order_by("done_at", "received_at")):
        read[fact.boat_id or 0].append(fact)
    limits, said = fleet.limits(), []
    for row in fleet.boats().filter(pk__in=read):
        boat = value(row, read[row.pk])
        newest = {fact.body["where"]: fact for fact in read[row.pk]}
        for fact in newest.values():
            fact.boat = row
            said.append((fact, checks.judged(limits, boat, reading(fact))))
    return said


def twin_reading(taken: Fact) -> Fact | None:
    """The newest reading at her one other place that day: what a new one there is judged beside."""
    day = taken.done_at.astimezone(clock.zone()).date()
    readings = standing().filter(kind=Kind.READING, what=taken.what, boat=taken.boat)
    others = {
        fact.body["where"]: fact
        for fact in readings.select_related("boat", "by").order_by("done_at", "received_at")
        if "" not in (fact.body["where"], taken.body["where"])
        and fact.body["where"] != taken.body["where"]
        and fact.done_at.astimezone(clock.zone()).date() == day
        and len(fact.body["values"]) == len(taken.body["values"])
    }
    return next(iter(others.values())) if len(others) == 1 else None


def engines() -> list[str]:
    """The yard's words for its boats' engines."""
    named = Boat.objects.exclude(engine="").order_by("engine")
    return list(named.values_list("engine", flat=True).distinct())
