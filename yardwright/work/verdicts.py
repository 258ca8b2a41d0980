"""Readings with the verdicts that hold now, and what they hold a boat for. Nothing here writes."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from uuid import UUID

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.procedures import verdict as verdicts
from yardwright.procedures.quantities import Quantity, quantity
from yardwright.procedures.readings import Reading
from yardwright.procedures.verdict import Clearing, Judgement, Verdict
from yardwright.season import checks
from yardwright.season import model as season
from yardwright.work.models import Fact, Kind
from yardwright.work.queries import reading, standing, story, value, with_people
from yardwright.yard import clock

RUN_READS = "head_temperature"  # what the run of an engine reads
TO_HOLD = (Kind.READING, Kind.JUDGED, Kind.CLEARED, Kind.DONE, Kind.HOSE_RUN)


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


@dataclass(frozen=True, slots=True)
class Hold:
    """What holds a boat, why, and the quantity whose new reading would clear it."""

    what: str
    why: str
    read: str
    repair: bool = False  # first, and then by somebody else

    @property
    def words(self) -> str:
        return f"{self.what}. {self.why}"


def holding(facts: Iterable[Fact]) -> tuple[Hold, ...]:
    """What holds a boat beside her put-backs and ways in: everyone asks here."""
    facts = list(facts)
    return (*_by_readings(facts), *by_hose_run(facts))


def holds(facts: Iterable[Fact]) -> tuple[str, ...]:
    """The same, in sentences."""
    return tuple(one.words for one in holding(facts))


def by_hose_run(facts: list[Fact]) -> Iterator[Hold]:
    """A run said stop: she waits until one ran warm and steady."""
    runs = sorted((f for f in facts if f.kind == Kind.HOSE_RUN), key=lambda fact: fact.done_at)
    steady = [n for n, one in enumerate(runs) if one.what in (Verdict.GOOD, Verdict.NO_LIMIT)]
    since = runs[steady[-1] + 1 :] if steady else runs
    last = next((one for one in reversed(since) if one.what == Verdict.STOP), None)
    if last is not None:
        yield Hold(f"Hose run: {last.what}", last.body["words"], RUN_READS)


def _by_readings(facts: list[Fact]) -> Iterator[Hold]:
    for one in judged(facts):
        if one.holds:
            where = one.reading.body["where"]
            yield Hold(
                f"{one.quantity.name}{', ' + where if where else ''}: {one.verdict}",
                one.judged.body["reasons"][0]["words"],
                one.quantity.code,
                one.only_repair,
            )


def held(boats: Iterable[Boat]) -> dict[str, tuple[Hold, ...]]:
    """What holds each of some boats, by name; only the facts that can hold are read."""
    rows = list(boats)
    facts = story(rows, without=(Kind.DONE,), only=TO_HOLD) if rows else {}
    found = ((row.name, holding(facts.get(row.pk, ()))) for row in rows)
    return {name: holds for name, holds in found if holds}


def with_holds(
    boats: Iterable[Boat], without: Iterable[Kind] = ()
) -> list[tuple[season.Boat, tuple[str, ...]]]:
    """Each boat, and the sentences on what holds her beside put-backs and ways in."""
    rows = list(boats)
    facts = story(rows, without)
    return [(value(row, facts[row.pk]), holds(facts[row.pk])) for row in rows]


def judgement(boat: Boat, taken: Reading) -> Judgement:
    """What a reading says by what is on file now; nothing is kept."""
    facts = story([boat])[boat.pk]
    return checks.judged(fleet.limits(), value(fleet.boats().get(pk=boat.pk), facts), taken)


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
