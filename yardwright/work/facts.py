"""The only writer of facts. Each UUID is taken once; a repeat changes nothing."""

import json
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import asdict, dataclass, replace
from datetime import date, datetime, timedelta
from textwrap import shorten
from typing import TypedDict
from uuid import UUID, uuid5

from yardwright.fleet.models import Boat, Part, Work
from yardwright.procedures.findings import Came, Finding
from yardwright.procedures.hose_run import HoseRun, followed, lines_of
from yardwright.procedures.own import written
from yardwright.procedures.put_backs import Proof, Undone
from yardwright.procedures.readings import Instrument, Reading
from yardwright.procedures.step import Has, Step
from yardwright.procedures.under_wrap import Mark
from yardwright.procedures.verdict import Judgement
from yardwright.season.model import History
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Lift, Person, Place
from yardwright.yard.refused import Refused

WORDINGS = UUID("0b9c57a4-7a0e-4c6d-9d1b-6a54f2a7d3e8")  # of steps, by their editions
CLOCK_SLACK = timedelta(minutes=5)  # a phone's clock may run a little off without a word about it

LONGEST_MARK, LONGEST_WHAT = 160, 120
USED = "This entry was already used for something else."

Body = Mapping[str, object]


@dataclass(frozen=True, slots=True)
class Entry:
    """What every fact carries: its UUID from where it was made, who, and when it was done."""

    uuid: UUID
    by: Person
    done_at: datetime
    second: Person | None = None

    def now(self) -> "Entry":
        """The same, done now by the yard's own clock, whatever the phone's says."""
        return replace(self, done_at=clock.now())


@dataclass(frozen=True, slots=True)
class Arrival:
    """How entries came in from a phone: said beside every fact that is written meanwhile."""

    sent: str = ""  # digest of what was sent
    mark: str = ""
    second: Person | None = None  # who decided that it is entered, or whose phone brought it


PLAIN = Arrival()
_ARRIVAL: ContextVar[Arrival] = ContextVar("arrival", default=PLAIN)


@contextmanager
def arriving(arrival: Arrival) -> Iterator[None]:
    token = _ARRIVAL.set(arrival)
    try:
        yield
    finally:
        _ARRIVAL.reset(token)


_TOGETHER: ContextVar[dict[UUID, Fact] | None] = ContextVar("together", default=None)


@contextmanager
def together() -> Iterator[None]:
    """Facts added within are written at its end, all at once: a whole yard has ten thousands.

    No query sees them before; a UUID that is held already is refused by the database.
    """
    held: dict[UUID, Fact] = {}
    token = _TOGETHER.set(held)
    try:
        yield
    finally:
        _TOGETHER.reset(token)
    Fact.objects.bulk_create(held.values(), batch_size=500)


def _add(
    entry: Entry, kind: Kind, boat: Boat | None, what: str, body: Body, of: Fact | None = None
) -> Fact:
    waiting = _TOGETHER.get()
    if waiting is None:
        held = Fact.objects.filter(pk=entry.uuid).first()
    else:
        held = waiting.get(entry.uuid)
    if held is not None:
        same = (held.kind, held.boat, held.what, held.body, held.of_id) == (
            kind,
            boat,
            what,
            dict(body),
            of.pk if of else None,
        )
        if same:
            return held
        raise Refused(USED, "Make a new entry.")
    arrival = _ARRIVAL.get()
    received_at = clock.now()
    fact = Fact(
        uuid=entry.uuid,
        kind=kind,
        boat=boat,
        by=entry.by,
        second=entry.second or arrival.second,
        of=of,
        what=what,
        body=dict(body),
        done_at=entry.done_at,
        received_at=received_at,
        mark=_marks(arrival.mark, _mark(entry, of, received_at)),
        sent=arrival.sent,
    )
    if waiting is None:
        fact.save()
    else:
        waiting[fact.pk] = fact
    return fact


def _marks(*marks: str) -> str:
    return shorten("; ".join(filter(None, marks)), LONGEST_MARK, placeholder=" …")


def _mark(entry: Entry, of: Fact | None, received_at: datetime) -> str:
    """A wrong clock never loses a fact; it is said beside it."""
    if entry.done_at > received_at + CLOCK_SLACK:
        return f"done {_long(entry.done_at - received_at)} after it was received: a clock is wrong"
    if of is not None and entry.done_at < of.done_at:
        return f"done before what it speaks of ({of.what})"
    if not entry.by.works_here:
        return f"{entry.by} no longer works here"
    return ""


def _long(time: timedelta) -> str:
    return f"{time // timedelta(minutes=1)} min" if time.days < 1 else f"{time.days} days"


def add_undone(entry: Entry, boat: Boat, thing: Undone) -> Fact:
    """Who and when are the entry's own."""
    body = {
        "harm": thing.harm,
        "if_forgotten": thing.if_forgotten,
        "before": thing.before,
        "also_before": thing.also_before,
        "proof": thing.proof,
        "second": thing.second,
        "lies": thing.lies,
        "fitting": thing.fitting,
    }
    return _add(entry, Kind.UNDONE, boat, thing.what, body)


def add_put_back(entry: Entry, undone: Fact, proof: Proof) -> Fact:
    return _add(entry, Kind.PUT_BACK, undone.boat, undone.what, {"proof": proof}, undone)


def add_signed_off(entry: Entry, undone: Fact, how: str) -> Fact:
    return _add(entry, Kind.SIGNED_OFF, undone.boat, undone.what, {"how": how}, undone)


def add_looked(
    entry: Entry,
    boat: Boat,
    at_what: str,
    *,
    holds: bool,
    words: str = "",
    of: Fact | None = None,
) -> Fact:
    """With ``of``, it speaks about that put-back: one that does not hold keeps it open."""
    return _add(entry, Kind.LOOKED, boat, at_what, {"holds": holds, "words": words}, of)


def add_disturbed(entry: Entry, boat: Boat, by_what: str, fitting: str = "") -> Fact:
    return _add(entry, Kind.DISTURBED, boat, by_what, {"fitting": fitting})


def add_reading(entry: Entry, boat: Boat, reading: Reading, typed: str = "") -> Fact:
    """The instrument is kept as it was that day; ``typed`` is what was typed."""
    body = {
        "values": list(reading.values),
        "unit": reading.unit,
        "where": reading.where,
        "conditions": dict(reading.conditions),
        "instrument": _instrument(reading.instrument),
        "typed": typed,
    }
    return _add(entry, Kind.READING, boat, reading.quantity, body)


def _instrument(one: Instrument | None) -> dict[str, object] | None:
    if one is None:
        return None
    until = one.checked_until
    return asdict(one) | {"checked_until": until.isoformat() if until else None}


def add_judged(entry: Entry, reading: Fact, judgement: Judgement) -> Fact:
    """The verdict with the limit, the uncertainty and the rules it was judged by."""
    body = json.loads(json.dumps(judgement.record()))
    return _add(entry, Kind.JUDGED, reading.boat, judgement.verdict, body, reading)


def add_cleared(entry: Entry, reading: Fact, reason: str) -> Fact:
    return _add(entry, Kind.CLEARED, reading.boat, reading.what, {"reason": reason}, reading)


def add_promised(
    entry: Entry,
    boat: Boat,
    stage: str,
    day: date,
    plan: Fact | None = None,
    owner_agreed: str = "",
    moved_by: str = "",
    although: str = "",
) -> Fact:
    """A day; ``owner_agreed`` says how the owner took a day that moved, ``moved_by`` who let it.

    ``although`` is what spoke against the day as it was told.
    """
    body: dict[str, object] = {"day": day.isoformat()}
    if owner_agreed:
        body["owner_agreed"] = owner_agreed
    if moved_by:
        body["ink_moved_by"] = moved_by
    if although:
        body["although"] = although
    return _add(entry, Kind.PROMISED, boat, stage, body, plan)


def add_told(
    entry: Entry, boat: Boat, day: date, odds: float, of: Fact | None, mark: str = ""
) -> Fact:
    """What an owner was told on the phone: a day, with its odds by the plan that holds."""
    body = {"day": day.isoformat(), "odds": odds}
    with arriving(replace(_ARRIVAL.get(), mark=mark)):
        return _add(entry, Kind.TOLD, boat, "odds", body, of)


def add_published(entry: Entry, plan: Body, instead: Fact | None = None) -> Fact:
    """With ``instead``, the plan that is taken back by it."""
    return _add(entry, Kind.PUBLISHED, None, "plan", plan, instead)


def add_moved(
    entry: Entry,
    boat: Boat,
    state: str,
    place: Place | None = None,
    berth: int | None = None,
    lift: Lift | None = None,
    wind_m_s: float | None = None,
) -> Fact:
    """She is somewhere else, or in another state; with ``lift``, a lift did it, in a wind if told."""
    body: dict[str, object] = {"place": place.name if place else "", "berth": berth}
    if lift is None:
        return _add(entry, Kind.MOVED, boat, state, body)
    body |= {"lift": lift.name} | ({} if wind_m_s is None else {"wind_m_s": wind_m_s})
    return _add(entry, Kind.LIFTED, boat, state, body)


def add_repaired(entry: Entry, reading: Fact, how: str) -> Fact:
    """What a Stop asked for is mended; a new reading by somebody else lifts it."""
    body = {"of_kind": "repair", "how": how}
    return _add(entry, Kind.DONE, reading.boat, reading.what, body, reading)


def add_done(
    entry: Entry,
    boat: Boat,
    what: str,
    of_kind: str,
    by_words: Step | None = None,
    *,
    took_min: int | None = None,
    planned: Work | None = None,
) -> Fact:
    """A step (by its code, and the words it was done by) or a piece of work is done.

    Work is kept with its trade and what it was planned at; ``took_min`` is where somebody said.
    Beside it a step keeps the minutes planned for this boat, and the book's for one engine.
    """
    body: dict[str, object] = {"of_kind": of_kind, "edition": by_words.edition if by_words else ""}
    if by_words:
        body["title"] = by_words.title
    if planned is not None:
        body |= {"trade": planned.trade, "planned_min": planned.minutes}
    if took_min is not None:
        body["took_min"] = took_min
        if by_words:
            hers = by_words.on(frozenset(Has(word) for word in boat.has))
            body |= {"planned_min": hers.minutes, "usual_min": by_words.minutes}
    return _add(entry, Kind.DONE, boat, what, body)


def add_history(entry: Entry, kind: History, usual_min: int | None) -> Fact:
    """What a kind of job was like before the yard's own records begin.

    ``usual_min`` is what the book says of a step by now; None for other work.
    """
    body = {name: value for name, value in asdict(kind).items() if name != "what"}
    if usual_min is not None:
        body["usual_min"] = usual_min
    return _add(entry, Kind.HISTORY, None, kind.what, json.loads(json.dumps(body)))


def add_chosen(entry: Entry, what: str, row: str, reason: str) -> Fact:
    """Of sources that conflict, the one the yard goes by; the latest counts."""
    return _add(entry, Kind.CHOSEN, None, what, {"row": row, "reason": reason})


def add_step(
    entry: Entry, code: str, row: Mapping[str, object] | None, title: str, reason: str
) -> Fact:
    """How the yard does a step from now on; without a row it does not do it."""
    body = {"row": row, "title": title, "reason": reason}
    return _add(entry, Kind.STEP, None, code, json.loads(json.dumps(body)))


def add_wording(entry: Entry, step: Step) -> Fact:
    """The words that a step is done by, kept once."""
    code, edition = step.code, step.edition
    kept = Entry(uuid5(WORDINGS, f"{code} {edition}"), entry.by, entry.done_at)
    body = {"edition": edition, "row": written(replace(step, minutes=1, once=False))}
    return _add(kept, Kind.WORDING, None, code, json.loads(json.dumps(body)))


def add_struck_out(entry: Entry, fact: Fact, reason: str) -> Fact:
    return _add(entry, Kind.STRUCK_OUT, fact.boat, fact.what, {"reason": reason}, fact)


def add_arrived(entry: Entry, part: Part) -> Fact:
    """A part came, whenever it was due; its name may be another by now."""
    return _add(entry, Kind.ARRIVED, None, part.name, {"part": part.pk})


class Aside(TypedDict):
    """A phone's entry as it came, and why it was not taken."""

    row: str  # JSON, as it was sent
    word: str  # what the phone was answered
    says: str


def add_aside(entry: Entry, boat: Boat | None, words: str, kept: Aside) -> Fact:
    return _add(entry, Kind.ASIDE, boat, shorten(words, LONGEST_WHAT, placeholder=" …"), {**kept})


def add_note(entry: Entry, boat: Boat, words: str, about: str = "") -> Fact:
    """``about`` names the thing that the words are about, where that is not the whole boat."""
    return _add(entry, Kind.NOTE, boat, about, {"words": words})


def add_found(entry: Entry, boat: Boat, what: Finding, *, there: bool, words: str) -> Fact:
    """Her kind of engine is kept as it was that day: the same on another such engine is noticed."""
    body = {"there": there, "words": words, "engine": boat.engine}
    return _add(entry, Kind.FOUND, boat, what, body)


def add_came(
    entry: Entry, finding: Fact, way: Came, words: str, step: str = "", minutes: int | None = None
) -> Fact:
    """``minutes`` are those of the work that it becomes."""
    body: dict[str, object] = {"words": words, "step": step}
    if minutes is not None:
        body["minutes"] = minutes
    return _add(entry, Kind.CAME, finding.boat, way, body, finding)


def add_hose_run(entry: Entry, boat: Boat, run: HoseRun, sheet: dict[str, str]) -> Fact:
    """The run line for line, what the watch says of it, and what was seen beside it."""
    says = followed(run)
    body = {"run": [*lines_of(run)], "words": says.words, "sheet": sheet}
    return _add(entry, Kind.HOSE_RUN, boat, says.verdict, body)


def add_saved(entry: Entry, boat: Boat, where: str) -> Fact:
    """A place in her that frost finds no water in tonight: drained, or kept warm."""
    return _add(entry, Kind.SAVED, boat, where, {})


def add_under_wrap(entry: Entry, boat: Boat, mark: Mark) -> Fact:
    """A thing on her under-wrap card; its number is its place among them."""
    body = {
        "sort": mark.sort,
        "zone": mark.zone,
        "spot": list(mark.spot) if mark.spot else None,
        "goes": mark.goes,
    }
    return _add(entry, Kind.UNDER_WRAP, boat, mark.what, body)


def add_card_read(entry: Entry, boat: Boat) -> Fact:
    return _add(entry, Kind.CARD_READ, boat, "under-wrap card", {})


class Photo(TypedDict):
    """A picture in the yard's folder, and the entry beside which it was taken."""

    sha256: str
    width: int  # px
    height: int  # px
    entry: str  # a UUID; what it names may come later


def add_photo(entry: Entry, boat: Boat, of_what: str, photo: Photo, of: Fact | None) -> Fact:
    what = shorten(of_what, LONGEST_WHAT, placeholder=" …")
    return _add(entry, Kind.PHOTO, boat, what, {**photo}, of)


def part_of(whole: UUID, what: str) -> UUID:
    """A fact that comes with another has its UUID by it: a repeat gives the same facts."""
    return uuid5(whole, what)


def add_entered(entry: Entry, aside: Fact) -> Fact:
    return _add(entry, Kind.ENTERED, aside.boat, aside.what, {}, aside)
