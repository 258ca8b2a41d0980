"""Season Review: how put-backs were caught, which were late, where minutes differ. Nothing here writes."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from statistics import median
from uuid import UUID

from yardwright.fleet.models import Boat
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Before
from yardwright.procedures.step import Has, Stage, Step
from yardwright.procedures.steps import book
from yardwright.work.findings import A_WINTER
from yardwright.work.models import Fact, Kind
from yardwright.work.queries import standing, with_people
from yardwright.yard import clock

WET = (State.IN_THE_SLINGS, State.IN_THE_WATER, State.HANDED_OVER, State.AFLOAT)
SPEAKS = (Kind.UNDONE, Kind.PUT_BACK, Kind.LOOKED, Kind.MOVED, Kind.LIFTED, Kind.DONE)
ONE_GO = timedelta(hours=4)  # between two entries of one person: a longer gap is a break
FEWEST = 3  # times that a step was done, before its minutes are spoken of
SLOWER, QUICKER = 1.5, 0.5  # of its usual minutes


@dataclass(frozen=True, slots=True)
class Late:
    """A thing proven back, or still open, only after the deed that had to wait for it."""

    undone: Fact
    deed: Before
    deed_at: datetime
    closed_at: datetime | None  # None: open to this day


@dataclass(frozen=True, slots=True)
class Took:
    """A step's minutes as they were, by the time between entries."""

    step: Step
    times: int
    minutes: float

    @property
    def sentence(self) -> str:
        way = "longer" if self.minutes > self.step.minutes else "shorter"
        return (
            f"{self.step.title}: about {self.minutes:.0f} min, {way} than its usual"
            f" {self.step.minutes} ({self.times} times)."
        )


@dataclass(frozen=True, slots=True)
class Review:
    """What one season's facts say of its put-backs and minutes."""

    since: datetime
    undone: int
    still_open: int
    by_proof: Sequence[tuple[str, int]]
    by_second: int  # proven by a second person too
    doubts: Sequence[Fact]  # tried, and did not hold
    late: Sequence[Late]
    lapsed: Sequence[tuple[str, int]]  # what made good looks lapse, and on how many boats
    took: Sequence[Took]

    @property
    def sentence(self) -> str:
        if not self.undone:
            return "Nothing was undone in this time."
        caught = f"{len(self.doubts)} did not hold when somebody tried" if self.doubts else ""
        late = f"{len(self.late)} late" if self.late else ""
        told = [f"{self.undone} things undone, {self.still_open} still open", caught, late]
        return "; ".join(filter(None, told)) + "."

    @property
    def to_change(self) -> list[str]:
        """What a foreman would change for next year, by what happened most."""
        told = []
        failed = Counter(doubt.of.what for doubt in self.doubts if doubt.of)
        for what, n in failed.most_common(3):
            told.append(f"{what}: it did not hold {_times(n)}. Ask for a stronger proof.")
        late = Counter((one.undone.what, one.deed) for one in self.late)
        for (what, deed), n in late.most_common(3):
            told.append(f"{what}: {_times(n)} late for {DEEDS[deed]}. Put its step earlier.")
        told += [f"Change the usual minutes? {one.sentence}" for one in self.took[:3]]
        return told


DEEDS = {Before.START: "the start", Before.WATER: "the water", Before.HANDOVER: "handover"}


def _times(n: int) -> str:
    return "once" if n == 1 else f"{n} times"


def review(now: datetime | None = None) -> Review:
    since = (now or clock.now()) - A_WINTER
    facts = list(_facts(since))
    undone = {fact.pk: fact for fact in facts if fact.kind == Kind.UNDONE}
    closing = _closing(facts, undone)
    doubts = [f for f in facts if f.kind == Kind.LOOKED and f.of_id and not f.body["holds"]]
    return Review(
        since=since,
        undone=len(undone),
        still_open=len(undone.keys() - closing.keys()),
        by_proof=Counter(proofs[0].body["proof"] for proofs in closing.values()).most_common(),
        by_second=sum(len({proof.by_id for proof in proofs}) > 1 for proofs in closing.values()),
        doubts=doubts,
        late=sorted(_late(facts, undone, closing), key=lambda one: one.deed_at, reverse=True),
        lapsed=_lapsed(since),
        took=_took(facts),
    )


def _facts(since: datetime) -> Iterator[Fact]:
    wanted = standing().filter(kind__in=SPEAKS, done_at__gte=since).select_related("of")
    boats = Boat.objects.in_bulk()
    for fact in with_people(wanted.order_by("done_at", "received_at")):
        if fact.boat_id is not None:
            fact.boat = boats[fact.boat_id]
        yield fact


def _closing(facts: Iterable[Fact], undone: Mapping[UUID, Fact]) -> dict[UUID, list[Fact]]:
    """The proofs of each put-back that nobody contradicted since, where it asks for no more."""
    proofs: dict[UUID, list[Fact]] = defaultdict(list)
    for fact in facts:
        if fact.of_id is None:
            continue
        if fact.kind == Kind.LOOKED and not fact.body["holds"]:
            proofs.pop(fact.of_id, None)
        elif fact.kind == Kind.PUT_BACK and fact.of_id in undone:
            proofs[fact.of_id].append(fact)
    return {
        pk: said
        for pk, said in proofs.items()
        if not undone[pk].body["second"] or len({one.by_id for one in said}) > 1
    }


def _late(
    facts: Sequence[Fact], undone: Mapping[UUID, Fact], closing: Mapping[UUID, list[Fact]]
) -> Iterator[Late]:
    deeds: dict[tuple[int | None, Before], list[datetime]] = defaultdict(list)
    runs = {step.code for step in book().steps if step.stage == Stage.RUN}
    for fact in facts:
        for deed in _deeds(fact, runs):
            deeds[fact.boat_id, deed].append(fact.done_at)
    for pk, fact in undone.items():
        deed = Before(fact.body["before"])
        at = next((at for at in deeds[fact.boat_id, deed] if at > fact.done_at), None)
        closed_at = closing[pk][-1].done_at if pk in closing else None
        if at is not None and (closed_at is None or closed_at > at):
            yield Late(fact, deed, at, closed_at)


def _deeds(fact: Fact, runs: set[str]) -> Iterator[Before]:
    """Which deeds this fact is: a run of her engine, into the water, handed over."""
    if fact.kind == Kind.DONE and fact.what in runs:
        yield Before.START
    if fact.kind in (Kind.MOVED, Kind.LIFTED) and fact.what in WET:
        yield Before.WATER
        if fact.what == State.HANDED_OVER:
            yield Before.HANDOVER


def _lapsed(since: datetime) -> list[tuple[str, int]]:
    """Frost, work, somebody aboard: on how many boats after a look that held."""
    facts = standing().filter(kind__in=(Kind.LOOKED, Kind.DISTURBED), done_at__gte=since)
    looked: set[int | None] = set()
    lapsed: dict[str, set[int | None]] = defaultdict(set)
    for fact in facts.order_by("done_at", "received_at"):
        if fact.kind == Kind.DISTURBED:
            if fact.boat_id in looked:
                lapsed[fact.what].add(fact.boat_id)
        elif fact.body["holds"]:
            looked.add(fact.boat_id)
    return sorted(((what, len(boats)) for what, boats in lapsed.items()), key=lambda one: -one[1])


def _took(facts: Iterable[Fact]) -> list[Took]:
    """Steps whose minutes differ, as somebody said; else by the time since their last entry there."""
    steps = {step.code: step for step in book().steps}
    minutes: dict[str, list[float]] = defaultdict(list)
    entries = sorted(facts, key=lambda f: (f.by_id, f.done_at))
    for before, fact in pairwise([None, *entries]):
        if fact is None or fact.boat is None or fact.kind != Kind.DONE or fact.what not in steps:
            continue
        engines = _engines(steps[fact.what], fact.boat)
        if (said := fact.body.get("took_min")) is not None:
            minutes[fact.what].append(said / engines)
        elif before and (before.by_id, before.boat_id) == (fact.by_id, fact.boat_id):
            gap = fact.done_at - before.done_at
            if timedelta(0) < gap <= ONE_GO:
                minutes[fact.what].append(gap / timedelta(minutes=1) / engines)
    each = [Took(steps[code], len(all_), median(all_)) for code, all_ in minutes.items()]
    differ = [one for one in each if one.times >= FEWEST and _differs(one)]
    return sorted(differ, key=lambda one: -abs(one.minutes - one.step.minutes))


def _engines(step: Step, boat: Boat) -> float:
    """How many times the step's usual minutes are planned for this boat: once an engine."""
    return step.on(frozenset(Has(word) for word in boat.has)).minutes / step.minutes


def _differs(one: Took) -> bool:
    return not QUICKER < one.minutes / one.step.minutes < SLOWER
