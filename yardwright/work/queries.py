"""Questions about facts. Nothing here writes; what is struck out is never seen."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime
from functools import lru_cache
from itertools import pairwise
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Count, Exists, Max, OuterRef, Q, QuerySet

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.procedures.going_in import State
from yardwright.procedures.hose_run import read_run
from yardwright.procedures.hose_watch import Course
from yardwright.procedures.put_backs import Before, Harm, Proof, PutBack, SignOff, Undone
from yardwright.procedures.readings import Instrument, Reading
from yardwright.procedures.start_check import NeedCode
from yardwright.procedures.step import Season
from yardwright.procedures.steps import Book, book
from yardwright.procedures.verdict import Verdict
from yardwright.procedures.ways_in import Disturbance, Disturbed, Look
from yardwright.season import fact_book
from yardwright.season import model as season
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Person

BEGUN_COLD_C = 40.0
KEPT_RUNS, KEPT_EVERY_S = 12, 30.0  # hose runs that a new one is compared with, and their readings


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


def story(
    boats: Iterable[Boat], without: Iterable[Kind] = (), only: Collection[Kind] = ()
) -> dict[int, list[Fact]]:
    """Every standing fact of some boats, in the order of the deeds, by the yard's own clock.

    Of the kinds in ``without`` only what speaks of another fact is there: a repair lifts a Stop.
    Where ``only`` names kinds, no other is there.
    """
    zone = clock.zone()
    facts: dict[int, list[Fact]] = defaultdict(list)
    wanted = standing().filter(boat__in=list(boats)).exclude(kind__in=without, of=None)
    if only:
        wanted = wanted.filter(kind__in=only)
    wanted = wanted.order_by("done_at", "received_at")
    for fact in with_people(wanted):
        fact.done_at = fact.done_at.astimezone(zone)  # what is said of it names hours and days
        facts[fact.boat_id or 0].append(fact)
    return facts


class Written(NamedTuple):
    """How much was ever written about a boat; facts only grow, so other facts are another pair."""

    many: int = 0
    last: datetime | None = None  # when it came to the yard


def written(boats: Iterable[Boat]) -> dict[int, Written]:
    """Of each boat; of one that nothing was written about, nothing."""
    each = Fact.objects.filter(boat__in=list(boats)).order_by().values("boat")
    told = each.annotate(many=Count("pk"), last=Max("received_at"))
    return {one["boat"]: Written(one["many"], one["last"]) for one in told}


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
    done = [fact for fact in by_kind[Kind.DONE] if fact.done_at >= began]
    return fleet.value(
        boat,
        state=State(where.what) if where else State.LAID_UP,
        place=where.body["place"] if where else "",
        berth=where.body["berth"] if where else None,
        promise=promise(by_kind[Kind.PROMISED]),
        undone=undone(by_kind),
        looks=(*map(look, by_kind[Kind.LOOKED]), *stops(by_kind[Kind.HOSE_RUN])),
        disturbed=tuple(disturbed(fact) for fact in by_kind[Kind.DISTURBED]),
        readings=tuple(reading(fact) for fact in by_kind[Kind.READING]),
        done=frozenset(fact.what for fact in done if fact.body["of_kind"] == "step"),
        finished={fact.what for fact in done if fact.body["of_kind"] == "work"},
        lifted=_lifted(where),
    )


def _lifted(where: Fact | None) -> season.Lifted | None:
    """When and by which lift she came into the slings, or to be watched."""
    at_the_lift = (State.IN_THE_SLINGS, State.IN_THE_WATER)
    if where is None or where.kind != Kind.LIFTED or where.what not in at_the_lift:
        return None
    return season.Lifted(where.done_at, where.body["lift"])


def values(boats: Iterable[Boat], only: Collection[Kind] = ()) -> list[season.Boat]:
    """Boats as the core knows them, by all that was done; or by facts of some kinds alone."""
    boats = list(boats)
    facts = story(boats, only=only)
    return [value(boat, facts[boat.pk]) for boat in boats]


def promise(facts: Iterable[Fact]) -> season.Promise:
    """The newest day of each kind, of this season."""
    told = ((fact.what, date.fromisoformat(fact.body["day"])) for fact in facts)
    day = {what: day for what, day in told if is_of_season(day)}
    return season.Promise(day.get("wished"), day.get("pencil"), day.get("ink"))


def is_of_season(day: date) -> bool:
    """Whether a day that was promised counts: one before the season's first day was an earlier season's."""
    return day >= clock.the_yard().first_day


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


def stops(runs: Iterable[Fact]) -> Iterator[Look]:
    """A run that was stopped is a look at the water path: it was not in order."""
    for fact in runs:
        if fact.what == Verdict.STOP:
            at_what = NeedCode.WATER_PATH.value
            yield Look(at_what, False, fact.done_at, fact.by.name, "a hose run said stop")


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
                done = {code: last for code, last in done.items() if code in _of_fall(book())}
            ended = ends
        elif fact.kind == Kind.DONE and fact.body["of_kind"] == "step":
            done[fact.what] = fact
    return done


@lru_cache(maxsize=2)
def _of_fall(book: Book) -> frozenset[str]:
    return frozenset(step.code for step in book.steps if step.season == Season.FALL)


def work_done(facts: Iterable[Fact]) -> dict[str, Fact]:
    """Her work beyond the steps that somebody said is done this season, by its words."""
    facts = list(facts)
    began = season_began([fact for fact in facts if fact.kind in (Kind.MOVED, Kind.LIFTED)])
    said = (fact for fact in facts if fact.kind == Kind.DONE and fact.body["of_kind"] == "work")
    return {fact.what: fact for fact in said if fact.done_at >= began}


def kept_courses(engine: str) -> dict[str, tuple[Course, ...]]:
    """The newest runs of such an engine that went well, by the sort of point, thinned."""
    if not engine:
        return {}
    runs = standing().filter(kind=Kind.HOSE_RUN, what=Verdict.GOOD, boat__engine=engine)
    found: dict[str, list[Course]] = defaultdict(list)
    for fact in runs.order_by("-done_at")[:KEPT_RUNS]:
        for sort, courses in read_run("\n".join(fact.body["run"])).courses().items():
            if courses[0][0][1] > BEGUN_COLD_C:
                continue  # a warm restart is no warm-up
            found[sort].append(_thinned(courses[0]))  # one of each run: runs are counted
    return {sort: tuple(courses) for sort, courses in found.items()}


def _thinned(course: Course) -> Course:
    kept = list(course[:1])
    for at_s, temp_c in course:
        if at_s - kept[-1][0] >= KEPT_EVERY_S:
            kept.append((at_s, temp_c))
    return tuple(kept)


def chosen() -> dict[str, season.Chosen]:
    """Where sources conflict, the one the yard goes by, the latest choice of each."""
    facts = standing().filter(kind=Kind.CHOSEN).select_related("by")
    choices = (
        season.Chosen(fact.what, fact.body["row"], fact.body["reason"], fact.by.name, fact.done_at)
        for fact in facts
    )
    return {choice.what: choice for choice in choices if fact_book.stands(choice)}


def engines() -> list[str]:
    """The yard's words for its boats' engines."""
    named = Boat.objects.exclude(engine="").order_by("engine")
    return list(named.values_list("engine", flat=True).distinct())
