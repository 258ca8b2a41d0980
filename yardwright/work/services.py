"""What people do at a boat. One function each: check, then add the facts, all or nothing."""

from uuid import UUID, uuid5

from django.db import transaction

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.procedures.put_backs import Proof
from yardwright.procedures.readings import Reading
from yardwright.procedures.step import PutBackKind, Step
from yardwright.procedures.steps import book
from yardwright.procedures.verdict import Judgement, Verdict
from yardwright.procedures.ways_in import Disturbance
from yardwright.season import checks
from yardwright.season.model import Right
from yardwright.work import facts, queries
from yardwright.work.facts import Entry
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.refused import Refused
from yardwright.yard.rights import may, need


@transaction.atomic
def undo(entry: Entry, boat: Boat, kind: PutBackKind, lies: str, fitting: str = "") -> Fact:
    """Something is undone on a boat: a put-back opens."""
    need(entry.by, Right.PROVE)
    if kind.barrier and not fitting:
        raise Refused(f"Which fitting does {kind.what} open?", "Choose it among her ways in.")
    return facts.add_undone(
        entry, boat, kind.undone(entry.done_at, entry.by.name, lies=lies, fitting=fitting)
    )


@transaction.atomic
def put_back(entry: Entry, undone: Fact, proof: Proof) -> Fact:
    """Prove one undone thing back. Sending the same UUID again changes nothing."""
    need(entry.by, Right.PROVE)
    asked = Proof(undone.body["proof"])
    if proof.rank < asked.rank:
        raise Refused(f"{proof.capitalize()} is not enough here.", f"It asks for: {asked}.")
    if undone.body["second"]:
        _refuse_own_second(entry, undone)
    return facts.add_put_back(entry, undone, proof)


def _refuse_own_second(entry: Entry, undone: Fact) -> None:
    earlier = queries.standing().filter(kind=Kind.PUT_BACK, of=undone).exclude(pk=entry.uuid)
    if earlier.filter(by=entry.by).exists():
        raise Refused(
            "You proved this yourself; it waits for a second pair of eyes.",
            "Ask someone else to look and confirm.",
        )


@transaction.atomic
def sign_off(entry: Entry, undone: Fact, how: str) -> Fact:
    """Let it stay open with a name to it: capped, or tagged shut."""
    need(entry.by, Right.CLEAR)
    if not how.strip():
        raise Refused("How is it made safe?", "Say it: capped, or tagged shut, and where.")
    return facts.add_signed_off(entry, undone, how)


@transaction.atomic
def look(entry: Entry, boat: Boat, at_what: str, *, holds: bool, words: str = "") -> Fact:
    """Someone looked, and it was so or not so."""
    need(entry.by, Right.PROVE)
    if not holds and not words.strip():
        raise Refused("What did you see?", "A few words: drips, loose, missing.")
    return facts.add_looked(entry, boat, at_what, holds=holds, words=words)


@transaction.atomic
def disturb(entry: Entry, boat: Boat, by_what: Disturbance, fitting: str = "") -> Fact:
    """Frost, work, somebody aboard: what was proven before lapses."""
    need(entry.by, Right.PROVE)
    if by_what == Disturbance.WORK and not fitting:
        raise Refused("Work at which fitting?", "Choose it among her ways in.")
    return facts.add_disturbed(entry, boat, by_what, fitting)


@transaction.atomic
def do_step(
    entry: Entry, boat: Boat, step: Step, lies: dict[str, str], fittings: dict[str, str]
) -> Fact:
    """A step is done: in fall it opens its put-backs, in spring it proves them back.

    ``lies`` and ``fittings`` are by put-back kind: where the part lies, and what stands open.
    """
    need(entry.by, Right.PROVE)
    if step.watch_learner and entry.by.learner and entry.second is None:
        raise Refused("You are learning this step.", "Say who watched you.")
    if entry.second is not None and (entry.second == entry.by or entry.second.learner):
        raise Refused(f"{entry.second} can't watch this.", "Someone who knows the step watches.")
    done = facts.add_done(entry, boat, step.code, "step", step.edition)
    kinds = book().kinds
    for code in step.opens:
        opened = Entry(_part_of(entry, code), entry.by, entry.done_at)
        undo(opened, boat, kinds[code], lies.get(code, ""), fittings.get(code, ""))
    proves = [kinds[code].what for code in step.proves]
    for undone in queries.open_undone().filter(boat=boat, what__in=proves):
        proven = Entry(_part_of(entry, str(undone.pk)), entry.by, entry.done_at)
        put_back(proven, undone, Proof(undone.body["proof"]))
    return done


def _part_of(entry: Entry, what: str) -> UUID:
    """A repeat of the same entry gives the same facts."""
    return uuid5(entry.uuid, what)


@transaction.atomic
def read(entry: Entry, boat: Boat, reading: Reading, typed: str) -> tuple[Fact, Judgement]:
    """A reading is taken; the verdict on it is kept with the limit and the rules of its day."""
    need(entry.by, Right.PROVE)
    taken = facts.add_reading(entry, boat, reading, typed)
    judgement = judge_again(entry, taken)
    return taken, judgement


def judge_again(entry: Entry, taken: Fact) -> Judgement:
    """Judge by what is on file now; an earlier verdict stays as it was."""
    assert taken.boat is not None  # noqa: S101  # a reading is a boat's
    facts_of_hers = queries.story([taken.boat])[taken.boat.pk]
    boat = queries.value(fleet.boats().get(pk=taken.boat.pk), facts_of_hers)
    judgement = checks.judged(fleet.limits(), boat, queries.reading(taken))
    judged_at = Entry(_part_of(entry, "judged"), entry.by, clock.now())
    facts.add_judged(judged_at, taken, judgement)
    return judgement


@transaction.atomic
def clear(entry: Entry, taken: Fact, reason: str) -> Fact:
    """Let a boat go on in spite of a reading; not where only a repair and a new reading clear it."""
    need(entry.by, Right.CLEAR)
    assert taken.boat is not None  # noqa: S101  # a reading is a boat's
    held = queries.judged(queries.story([taken.boat])[taken.boat.pk])
    mine = next((one for one in held if one.reading.pk == taken.pk), None)
    if mine is None or not mine.holds:
        raise Refused("This reading holds nothing.", "A newer one stands in its place.")
    if mine.verdict == Verdict.STOP and mine.quantity.strict:
        raise Refused(
            f"{mine.quantity.name}: nobody talks a Stop away here.",
            "Repair it, then let another person take a new reading.",
        )
    if not reason.strip():
        raise Refused("Why may she go on?", "Say the reason; it stays with the reading.")
    return facts.add_cleared(entry, taken, reason)


@transaction.atomic
def finish_work(entry: Entry, boat: Boat, what: str) -> Fact:
    """A piece of work beyond the steps is done."""
    need(entry.by, Right.PROVE)
    return facts.add_done(entry, boat, what, "work")


@transaction.atomic
def strike_out(entry: Entry, fact: Fact, reason: str) -> Fact:
    """Correct by a new fact; the old one stays, struck out, with the reason."""
    if fact.by != entry.by and not may(entry.by, Right.CLEAR):
        raise Refused(
            f"{fact.by} made this entry.", "They, or someone who may clear, strike it out."
        )
    if not reason.strip():
        raise Refused("Why is it struck out?", "Say the reason; the old entry stays readable.")
    return facts.add_struck_out(entry, fact, reason)
