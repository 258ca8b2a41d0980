"""What people do at a boat. One function each: check, then add the facts, all or nothing."""

from collections.abc import Sequence
from uuid import UUID

from django.db import transaction

from yardwright import refdata
from yardwright.fleet import services as fleet
from yardwright.fleet.models import Boat, Part, WayIn
from yardwright.procedures.findings import Came, Finding
from yardwright.procedures.hose_run import HoseRun
from yardwright.procedures.minors import LOCAL_LAW, keeps_a_minor_off
from yardwright.procedures.put_backs import Proof
from yardwright.procedures.readings import Reading
from yardwright.procedures.start_check import NeedCode
from yardwright.procedures.step import PutBackKind, Step
from yardwright.procedures.steps import book
from yardwright.procedures.under_wrap import WRAP, Mark, cuts_the_wrap
from yardwright.procedures.verdict import Judgement
from yardwright.procedures.ways_in import OPENINGS, Barrier, Disturbance
from yardwright.season.model import Limit, Right, Work
from yardwright.work import facts, own_steps, put_backs, queries, under_wrap, verdicts, words
from yardwright.work.facts import Aside, Entry, Photo
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused
from yardwright.yard.rights import may, need
from yardwright.yard.services import MANAGES


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
def find_undone(entry: Entry, boat: Boat, kind: PutBackKind, lies: str, fitting: str) -> Fact:
    """Somebody finds undone what nobody wrote down; what is on her list is not written twice."""
    for one in put_backs.left_undone(boat):
        is_it = (one.thing.what, one.thing.fitting) == (kind.what, fitting)
        if is_it and one.uuid != entry.uuid:
            raise Refused(
                f"{kind.what} is on her list already, by {one.thing.by}.", "Prove that one back."
            )
    return undo(entry, boat, kind, lies, fitting)


@transaction.atomic
def put_back(entry: Entry, undone: Fact, proof: Proof) -> Fact:
    """Prove one undone thing back; a second story of a closed one is kept beside the first."""
    need(entry.by, Right.PROVE)
    _refuse_struck_out(undone)
    asked = Proof(undone.body["proof"])
    if proof.rank < asked.rank:
        raise Refused(f"{proof.capitalize()} is not enough here.", f"It asks for: {asked}.")
    step = put_backs.proving_step(_boat(undone), put_backs.left(undone).thing)
    if step is not None:
        _refuse_minor(entry, step)
    _refuse_unwatched(entry, learns=step is not None and step.watch_learner)
    if undone.body["second"]:
        _refuse_own_second(entry, undone)
    if undone.what == book().kinds[WRAP].what:
        _refuse_unread(entry, _boat(undone), anybody=True)
    return facts.add_put_back(entry, undone, proof)


def _boat(fact: Fact) -> Boat:
    assert fact.boat is not None  # noqa: S101  # every fact but a published plan is a boat's
    return fact.boat


def _refuse_struck_out(fact: Fact) -> None:
    struck = Fact.objects.filter(kind=Kind.STRUCK_OUT, of=fact).first()
    if struck is not None:
        raise Refused(f"{struck.by} struck this out: {struck.body['reason']}", "Enter it anew.")


def _refuse_unwatched(entry: Entry, *, learns: bool) -> None:
    """A learner is watched by someone who knows it."""
    if learns and entry.by.learner and entry.second is None:
        raise Refused("You are learning this.", "Say who watched you.")
    if entry.second is not None and (entry.second == entry.by or entry.second.learner):
        raise Refused(f"{entry.second} can't watch this.", "Someone who knows the step watches.")


def _refuse_minor(entry: Entry, step: Step) -> None:
    """A minor does no step whose hazards the yard keeps from minors, watched or not."""
    until = entry.by.of_age_on
    if until is None or entry.done_at.astimezone(clock.zone()).date() >= until:
        return
    if hazards := keeps_a_minor_off(step):
        raise Refused(
            f"{entry.by} is under age, and this has to do with {' and '.join(hazards)}.",
            f"Someone of age does it. {LOCAL_LAW}",
        )


def _refuse_unread(entry: Entry, boat: Boat, *, anybody: bool = False) -> None:
    """Nobody cuts the wrap who has not read what lies under it; ``anybody``: who says it is off."""
    card = under_wrap.card(boat, until=entry.done_at)
    is_read = bool(card.readings) if anybody else card.read_by(entry.by) is not None
    if is_read or _held(entry):
        return
    raise Refused(
        f"{'Nobody has' if anybody else 'You have not'} read {boat}'s under-wrap card.",
        "Read it before the first cut." if card.is_drawn else under_wrap.NOT_DRAWN,
    )


def _refuse_own_second(entry: Entry, undone: Fact) -> None:
    left = put_backs.left(undone)
    if left.waits_for_second and left.proven_by(entry.by) and not _held(entry):
        raise Refused(
            "You proved this yourself; it needs a second person.",
            "Ask someone else to look and confirm.",
        )


@transaction.atomic
def does_not_hold(entry: Entry, undone: Fact, words: str) -> Fact:
    """Someone tried it and it does not hold: it stays open, or is open again, with both stories."""
    need(entry.by, Right.PROVE)
    _refuse_struck_out(undone)
    if not words.strip():
        raise Refused("What did you see?", "A few words: drips, loose, missing.")
    at_what = undone.body["fitting"] or undone.what
    return facts.add_looked(entry, _boat(undone), at_what, holds=False, words=words, of=undone)


@transaction.atomic
def sign_off(entry: Entry, undone: Fact, how: str) -> Fact:
    """Let a fitting stay open with a name to it: capped, or tagged shut."""
    need(entry.by, Right.CLEAR)
    _refuse_struck_out(undone)
    if not undone.body["fitting"]:
        raise Refused(
            f"{undone.what}: no cap and no tag makes that safe.", "It must be proven back."
        )
    if not how.strip():
        raise Refused("How is it made safe?", "Say it: capped, or tagged shut, and where.")
    return facts.add_signed_off(entry, undone, how)


@transaction.atomic
def look(entry: Entry, boat: Boat, at_what: str, *, holds: bool, words: str = "") -> Fact:
    """Someone looked, and it was so or not so; after a stop it is said what was found."""
    need(entry.by, Right.PROVE)
    if not holds and not words.strip():
        raise Refused("What did you see?", "A few words: drips, loose, missing.")
    if at_what == NeedCode.WATER_PATH and not words.strip():
        raise Refused("What was found?", "A few words: muffs had slipped, impeller torn.")
    return facts.add_looked(entry, boat, at_what, holds=holds, words=words)


@transaction.atomic
def disturb(entry: Entry, boat: Boat, by_what: Disturbance, fitting: str = "") -> Fact:
    """Frost, work, somebody aboard: what was proven before lapses."""
    need(entry.by, Right.PROVE)
    if by_what == Disturbance.WORK and not fitting:
        raise Refused("Work at which fitting?", "Choose it among her ways in.")
    return facts.add_disturbed(entry, boat, by_what, fitting)


@transaction.atomic
def keep_way_in(
    entry: Entry, boat: Boat, row: WayIn | None, given: Barrier, after: WayIn | None
) -> None:
    """A way in more, or another look of one: her openings are to be counted again."""
    if _held(entry):
        return
    fleet.keep_way_in(entry.by, boat, row, given, after=after, open_at=_open_at(boat))
    _count_lapses(entry, boat, given.name)


@transaction.atomic
def remove_way_in(entry: Entry, way: WayIn) -> None:
    """She has this opening no more: they are to be counted again."""
    boat, name = way.boat, way.name
    fleet.remove_way_in(entry.by, way, _open_at(boat))
    _count_lapses(entry, boat, name)


@transaction.atomic
def keep_fitting(entry: Entry, boat: Boat, aboard: str, barriers: Sequence[Barrier]) -> None:
    """She has a fitting: its ways in come last in the walk. It proves nothing of them."""
    repeat = _held(entry)
    names = ", ".join(barrier.name for barrier in barriers)
    look(entry, boat, aboard, holds=True, words=names)  # refuses another one by the same entry
    if repeat:
        return
    for barrier in barriers:
        last = WayIn.objects.filter(boat=boat).last()
        fleet.keep_way_in(entry.by, boat, None, barrier, after=last, open_at=())
    part = Entry(_part_of(entry, "count"), entry.by, entry.done_at)
    _count_lapses(part, boat, barriers[0].name)


@transaction.atomic
def drop_fitting(entry: Entry, boat: Boat, aboard: str, ways: Sequence[WayIn]) -> None:
    """She hasn't a fitting, or has it no more: its ways in leave her list."""
    if _held(entry):
        return
    still = list(WayIn.objects.filter(pk__in=[way.pk for way in ways]))  # another may be quicker
    words = ", ".join(way.name for way in still)
    look(
        entry, boat, aboard, holds=False, words=f"taken off: {words}" if still else "she hasn't it"
    )
    open_at = _open_at(boat)
    for way in still:
        fleet.remove_way_in(entry.by, way, open_at)
    if still:
        part = Entry(_part_of(entry, "count"), entry.by, entry.done_at)
        _count_lapses(part, boat, still[0].name)


def _open_at(boat: Boat) -> set[str]:
    """The fittings that open put-backs name."""
    return {fact.body["fitting"] for fact in put_backs.open_undone().filter(boat=boat)}


def _count_lapses(entry: Entry, boat: Boat, name: str) -> None:
    """If her openings were ever counted, that count is older than the change."""
    if queries.standing().filter(boat=boat, kind=Kind.LOOKED, what=OPENINGS).exists():
        disturb(entry, boat, Disturbance.HULL, name)


@transaction.atomic
def do_step(
    entry: Entry,
    boat: Boat,
    step: Step,
    lies: dict[str, str],
    fittings: dict[str, str],
    took_min: int | None = None,
) -> Fact:
    """A step is done: in fall it opens its put-backs, in spring it proves them back.

    ``lies`` and ``fittings`` are by put-back kind: where the part lies, and what stands open.
    """
    need(entry.by, Right.PROVE)
    _refuse_unwatched(entry, learns=step.watch_learner)
    if (before := _done_before(entry, boat, step.code)) is not None:
        return before
    _refuse_minor(entry, step)
    if cuts_the_wrap(step):
        _refuse_unread(entry, boat)
    by_words = own_steps.as_of(step, entry.done_at)
    facts.add_wording(entry, by_words)
    done = facts.add_done(entry, boat, step.code, "step", by_words, took_min=took_min)
    kinds = book().kinds
    left = put_backs.left_undone(boat)
    still_open = {(one.thing.what, one.thing.fitting) for one in left}
    for code in step.opens:
        kind, fitting = kinds[code], fittings.get(code, "")
        if (kind.what, fitting) not in still_open:
            opened = Entry(_part_of(entry, code), entry.by, entry.done_at, entry.second)
            undo(opened, boat, kind, lies.get(code, ""), fitting)
    proves = {kinds[code].what.casefold() for code in step.proves}
    for one in left:
        if one.thing.what.casefold() in proves and not one.proven_by(entry.by):
            part = _part_of(entry, str(one.uuid))
            proven = Entry(part, entry.by, entry.done_at, entry.second)
            facts.add_put_back(proven, one.fact, one.thing.proof)
    return done


def _done_before(entry: Entry, boat: Boat, what: str) -> Fact | None:
    """A repeat of what was taken already: its words and usual minutes may be others now."""
    before = Fact.objects.filter(pk=entry.uuid).first()
    if before is not None and (before.kind, before.boat, before.what) != (Kind.DONE, boat, what):
        raise Refused(facts.USED, "Make a new entry.")
    return before


def _held(entry: Entry) -> bool:
    """A repeat of what was taken already."""
    return Fact.objects.filter(pk=entry.uuid).exists()


def _part_of(entry: Entry, what: str) -> UUID:
    return facts.part_of(entry.uuid, what)


@transaction.atomic
def read(entry: Entry, boat: Boat, reading: Reading, typed: str) -> tuple[Fact, Judgement]:
    """A reading is taken; the verdict on it is kept with the limit and the rules of its day.

    The twin that was read before it today could not be judged beside it: it is judged anew.
    """
    need(entry.by, Right.PROVE)
    taken = facts.add_reading(entry, boat, reading, typed)
    judgement = judge(entry, taken)
    twin = verdicts.twin_reading(taken)
    if twin is not None:
        judge(entry, twin)
    return taken, judgement


@transaction.atomic
def judge_again(entry: Entry, taken: Fact) -> Judgement:
    """Somebody wants it judged by what is on file now; an earlier verdict stays as it was."""
    need(entry.by, Right.PROVE)
    return judge(entry, taken)


def judge(entry: Entry, taken: Fact) -> Judgement:
    """What a reading says by what is on file now is kept beside it: part of another deed."""
    judgement = verdicts.judgement(_boat(taken), queries.reading(taken))
    _keep_judged(entry, [(taken, judgement)])
    return judgement


def _keep_judged(entry: Entry, said: Sequence[tuple[Fact, Judgement]]) -> None:
    """Each verdict is kept once: a repeat, maybe after a new limit, changes nothing."""
    uuids = {taken.pk: _part_of(entry, f"judged {taken.pk}") for taken, _ in said}
    held = set(Fact.objects.filter(pk__in=uuids.values()).values_list("pk", flat=True))
    with facts.together():
        for taken, judgement in said:
            if uuids[taken.pk] not in held:
                facts.add_judged(Entry(uuids[taken.pk], entry.by, clock.now()), taken, judgement)


@transaction.atomic
def file_limit(uuid: UUID, by: Person, filed: Limit) -> int:
    """File a limit, and judge anew what it is for; earlier verdicts stay as they were.

    Returns how many readings were judged.
    """
    fleet.file_limit(uuid, by, filed)
    said = verdicts.judged_by(filed)
    _keep_judged(Entry(uuid, by, clock.now()), said)
    return len(said)


@transaction.atomic
def repair(entry: Entry, taken: Fact, how: str) -> Fact:
    """What a Stop asked for is mended; now somebody else reads it anew."""
    need(entry.by, Right.PROVE)
    if not how.strip():
        raise Refused("What was done?", "Say it in a few words: new seal, hose replaced.")
    return facts.add_repaired(entry, taken, how)


@transaction.atomic
def choose(entry: Entry, what: str, row: str, reason: str) -> Fact:
    """Of sources that conflict, the yard goes by this one from now on."""
    need(entry.by, MANAGES)
    table, _, key = what.partition("/")
    rivals = refdata.rivals(table, key)
    if len(rivals) == 1 or row not in rivals:
        raise Refused(
            f"{row} is none of the sources for {what}.", f"Choose of: {', '.join(rivals)}."
        )
    if not reason.strip():
        raise Refused("No reason is given.", "Say why the yard goes by this source.")
    return facts.add_chosen(entry, what, row, reason)


@transaction.atomic
def clear(entry: Entry, taken: Fact, reason: str) -> Fact:
    """Let a boat go on in spite of a reading; not where only a repair and a new reading clear it."""
    need(entry.by, Right.CLEAR)
    if _held(entry):
        return facts.add_cleared(entry, taken, reason)
    held = verdicts.judged(queries.story([_boat(taken)])[_boat(taken).pk])
    mine = next((one for one in held if one.reading.pk == taken.pk), None)
    if mine is None or not mine.holds:
        raise Refused("This reading holds nothing.", "A newer one stands in its place.")
    if mine.only_repair:
        raise Refused(
            f"{mine.quantity.name}: nobody talks a Stop away here.",
            "Repair it, then let another person take a new reading.",
        )
    if not reason.strip():
        raise Refused("Why may she go on?", "Say the reason; it stays with the reading.")
    return facts.add_cleared(entry, taken, reason)


@transaction.atomic
def finish_work(entry: Entry, boat: Boat, what: str, took_min: int | None = None) -> Fact:
    """A piece of work beyond the steps is done."""
    need(entry.by, Right.PROVE)
    if (before := _done_before(entry, boat, what)) is not None:
        return before
    planned = boat.work.filter(what=what).first()
    return facts.add_done(entry, boat, what, "work", took_min=took_min, planned=planned)


@transaction.atomic
def note(entry: Entry, boat: Boat, said: str, about: str = "") -> Fact:
    """Somebody writes down what no other form asks for."""
    need(entry.by, Right.PROVE)
    if not said.strip():
        raise Refused("Nothing is written.", "Write what the next one must know.")
    return facts.add_note(entry, boat, said.strip(), about)


@transaction.atomic
def hose_run(entry: Entry, boat: Boat, run: HoseRun, sheet: dict[str, str]) -> Fact:
    """Her engine ran with its water watched. A learner does not stand there alone."""
    need(entry.by, Right.PROVE)
    if entry.by.learner and entry.second is None:
        raise Refused("A learner does not watch a hose run alone.", "Name who stood beside you.")
    return facts.add_hose_run(entry, boat, run, sheet)


@transaction.atomic
def save_from_frost(entry: Entry, boat: Boat, where: str) -> Fact:
    """One place in a boat is saved for the night."""
    need(entry.by, Right.PROVE)
    return facts.add_saved(entry, boat, where)


@transaction.atomic
def find(entry: Entry, boat: Boat, what: Finding, *, there: bool, words: str = "") -> Fact:
    """Something nobody ordered is found on her, or was looked for and is not there."""
    need(entry.by, Right.PROVE)
    held = Fact.objects.filter(pk=entry.uuid, kind=Kind.FOUND, boat=boat).first()
    if held is not None and (held.what, held.body["words"]) == (what, words):
        return held  # her engine may be named otherwise by now
    return facts.add_found(entry, boat, what, there=there, words=words)


@transaction.atomic
def come_of(entry: Entry, finding: Fact, way: Came, says: str, work: Work | None) -> Fact:
    """A finding becomes work that she waits for, is left to a step of hers, or stays as it is.

    Work that is not in her order waits for her owner's yes.
    """
    need(entry.by, Right.PROVE)
    _refuse_struck_out(finding)
    if not finding.body["there"]:
        raise Refused("That was looked for and is not there.", "Nothing can come of it.")
    boat, repeat = _boat(finding), _held(entry)
    step = says if way == Came.STEP else ""
    words_of = _title_of(step) if step else says
    came = facts.add_came(entry, finding, way, words_of, step, work.minutes if work else None)
    if work is not None and not repeat:
        if work.part and not Part.objects.filter(name=work.part).exists():
            fleet.keep_part(entry.by, None, work.part, None)
        fleet.keep_work(entry.by, boat, None, work)
    return came


def _title_of(code: str) -> str:
    return next((step.title for step in book().steps if step.code == code), code)


@transaction.atomic
def mark_under_wrap(entry: Entry, boat: Boat, mark: Mark) -> Fact:
    """What lies under the wrap, or where a cut is safe, is drawn on her card."""
    need(entry.by, Right.PROVE)
    return facts.add_under_wrap(entry, boat, mark)


@transaction.atomic
def read_card(entry: Entry, boat: Boat) -> Fact:
    """Whoever will cut the wrap has read the card as it stands, or that nobody drew it."""
    need(entry.by, Right.PROVE)
    return facts.add_card_read(entry, boat)


@transaction.atomic
def add_photo(entry: Entry, boat: Boat, photo: Photo, of: Fact | None) -> Fact:
    """A photo beside an entry. Beside one's own that was kept aside it is kept as that was."""
    is_aside = of is not None and of.kind == Kind.ASIDE and of.by == entry.by
    if not is_aside:
        need(entry.by, Right.PROVE)
    return facts.add_photo(entry, boat, words.named(of) if of else boat.name, photo, of)


@transaction.atomic
def strike_out(entry: Entry, fact: Fact, reason: str) -> Fact:
    """Correct by a new fact; the old one stays, struck out, with the reason."""
    if fact.kind == Kind.STRUCK_OUT:
        raise Refused("A strike-out stays.", "Enter anew what was struck out by mistake.")
    if fact.kind == Kind.PUBLISHED:
        raise Refused(
            "Struck out, it would leave its days in Pencil.",
            "Take it back on the Spring plan page.",
        )
    if fact.kind in (Kind.STEP, Kind.WORDING):
        raise Refused("What was done by it stays done by it.", "Change the step once more.")
    if queries.standing().filter(kind=Kind.ENTERED, of=fact).exists():
        raise Refused("This was entered after all.", "Strike out what was entered by it.")
    if Fact.objects.filter(kind=Kind.STRUCK_OUT, of=fact).exclude(pk=entry.uuid).exists():
        raise Refused("This is struck out already.", "Nothing more to do.")
    right = Right.INK if fact.kind in (Kind.PROMISED, Kind.TOLD) else Right.CLEAR
    if fact.by != entry.by and not may(entry.by, right):
        raise Refused(
            f"{fact.by} made this entry.", f"They, or someone who may {right}, strike it out."
        )
    if not reason.strip():
        raise Refused("Why is it struck out?", "Say the reason; the old entry stays readable.")
    return facts.add_struck_out(entry, fact, reason)


@transaction.atomic
def keep_aside(entry: Entry, boat: Boat | None, words: str, kept: Aside) -> Fact:
    """What a phone sent and the yard does not take is not lost; anybody's may be kept."""
    return facts.add_aside(entry, boat, words, kept)


@transaction.atomic
def enter(entry: Entry, aside: Fact) -> Fact:
    """Someone who may clear decides that what was kept aside is entered after all."""
    need(entry.by, Right.CLEAR)
    _refuse_struck_out(aside)
    entered = queries.standing().filter(kind=Kind.ENTERED, of=aside).first()
    if entered is not None and entered.pk != entry.uuid:
        raise Refused(f"{entered.by} entered this already.", "Nothing more to do.")
    return facts.add_entered(entry, aside)
