"""Entries from phones: each is taken once, and what the yard does not take is kept aside."""

import logging
from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from enum import StrEnum
from uuid import UUID, uuid5

from django.contrib.auth.decorators import login_required
from django.db import OperationalError, transaction
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_POST

from yardwright.fleet.models import Boat
from yardwright.web import sent
from yardwright.web.kept import is_ours
from yardwright.web.replay import NotTaken, replay
from yardwright.web.sent import MOST_BYTES, MOST_ROWS, PhoneClock, Row
from yardwright.work import facts, services, words
from yardwright.work.facts import Arrival, Aside, Entry
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.asked import WRONG, who
from yardwright.yard.models import Person

log = logging.getLogger("yardwright.phone")
SPACE = UUID(
    "a3f1c0b2-64d7-4e0e-9a39-5d5b7c1e8f42"
)  # what is kept aside: the same row, the same UUID
TOO_MUCH, NOT_OURS = 413, 403


class Word(StrEnum):
    HELD = "held"
    HELD_BEFORE = "held before"
    DIFFERS = "differs"  # kept aside: its UUID holds something else
    MARKED = "marked"  # kept aside: the yard says no
    NOT_YOURS = "not yours"  # the phone keeps it


@dataclass(frozen=True, slots=True)
class Answer:
    word: Word
    says: str


@dataclass(frozen=True, slots=True)
class Brought:
    """Who brought the entries, how, and by which clock."""

    request: HttpRequest
    by: Person
    phone: PhoneClock


@csrf_exempt  # a page kept since the morning has an old token; another site's is refused below
@login_required
@require_POST
def entries(request: HttpRequest) -> HttpResponse:
    received_at = timezone.now()
    if not is_ours(request) or request.content_type != "application/json":
        return _says("Only the yard's own pages send entries, as JSON.", NOT_OURS)
    if int(request.META.get("CONTENT_LENGTH") or 0) > MOST_BYTES:
        return _says("That is over 1 MB; send fewer entries at once.", TOO_MUCH)
    try:
        given = sent.envelope(request.body)
    except ValueError as error:
        return _says(str(error), WRONG)
    if len(given.rows) > MOST_ROWS:
        return _says(f"Send at most {MOST_ROWS} entries at once.", TOO_MUCH)
    slow = received_at - given.sent_at
    ahead = timedelta(seconds=clock.the_yard().clock_ahead_s)
    brought = Brought(request, who(request), PhoneClock(slow, ahead))
    return JsonResponse(
        {
            "received_at": clock.now().isoformat(),
            "skew_s": round(slow.total_seconds(), 1),
            "answers": _answers(brought, given.rows),
        }
    )


def _says(says: str, status: int) -> JsonResponse:
    return JsonResponse({"says": says}, status=status)


def _answers(brought: Brought, rows: list[object]) -> dict[str, dict[str, str]]:
    """Each is held for good before it is named; what is not named is sent again."""
    answers = {}
    for raw in rows:
        try:
            one = take(brought, raw)
        except OperationalError:
            log.warning("the database is busy: the rest of the entries is asked for again")
            break
        if name := sent.word(raw, "uuid"):
            answers[name] = {"word": one.word, "says": one.says}
    return answers


def take(brought: Brought, raw: object) -> Answer:
    try:
        row = sent.row(raw)
    except ValueError as error:
        return _keep_aside(brought, raw, None, str(error))
    person = brought.by
    if row.person != person.pk:
        found = Person.objects.filter(pk=row.person).select_related("user").first()
        if found is None:
            return _keep_aside(brought, raw, None, f"Nobody here has the number {row.person}.")
        if found.works_here and found.user and found.user.is_active:
            return Answer(Word.NOT_YOURS, f"Log in as {found} to send this.")
        return _keep_aside(brought, raw, (row, found), f"{found} can't log in any more.")
    return _aside_before(raw) or _enter(brought, raw, row)


def _enter(brought: Brought, raw: object, row: Row) -> Answer:
    said = _try(lambda: _held(brought, row, sent.digest(raw)))
    if isinstance(said, Answer):
        return said
    return _keep_aside(brought, raw, (row, brought.by), said)


def _try(deed: Callable[[], Answer]) -> Answer | str:
    """The answer, or why the entry is kept aside instead."""
    try:
        with transaction.atomic():
            return deed()
    except NotTaken as no:
        return str(no)
    except OperationalError:
        raise
    except Exception:  # one entry that breaks a page never holds up the others
        log.exception("a page broke over an entry")
        return "The page broke over this entry. Enter it by hand, then strike this out."


def _held(brought: Brought, row: Row, digest: str) -> Answer:
    before = Fact.objects.filter(pk=row.uuid).select_related("boat").first()
    if before is not None and before.sent:
        if before.sent != digest:
            raise NotTaken(facts.USED)
        return Answer(Word.HELD_BEFORE, told(before))
    made_at = brought.phone.at_the_yard(row.made_at)
    also = {"uuid": str(row.uuid), "made_at": made_at.isoformat()}
    by_hand = dict(row.fields).get("done_at")  # the phone's clock had no say in it
    with facts.arriving(Arrival(digest, "" if by_hand else brought.phone.mark)):
        fact = replay(brought.request, row, brought.by, also=also)
    says = told(fact)
    if before is not None:  # it came by the page itself: a repeat changes nothing
        transaction.set_rollback(True)
        return Answer(Word.HELD_BEFORE, says)
    return Answer(Word.HELD, says)


def told(fact: Fact) -> str:
    """What is held, with the verdict on a reading, and what is odd about it."""
    judged = Fact.objects.filter(of=fact, kind=Kind.JUDGED).last()
    verdict = f" {judged.what}." if judged else ""
    mark = f" {fact.mark[:1].upper()}{fact.mark[1:]}." if fact.mark else ""
    return f"{words.full_stop(words.told(fact))}{verdict}{mark}"


def _aside_uuid(raw: object) -> UUID:
    return uuid5(SPACE, sent.digest(raw))


def _aside_before(raw: object) -> Answer | None:
    before = Fact.objects.filter(pk=_aside_uuid(raw)).first()
    return Answer(Word(before.body["word"]), before.body["says"]) if before else None


def _keep_aside(
    brought: Brought, raw: object, whose: tuple[Row, Person] | None, says: str
) -> Answer:
    if before := _aside_before(raw):
        return before
    word = Word.DIFFERS if says.startswith(facts.USED) else Word.MARKED
    by = whose[1] if whose else brought.by
    done_at = brought.phone.at_the_yard(whose[0].made_at) if whose else clock.now()
    entry = Entry(_aside_uuid(raw), by, done_at, None if by == brought.by else brought.by)
    kept = Aside(row=sent.text(raw), word=word, says=says)
    with facts.arriving(Arrival(sent.digest(raw), brought.phone.mark)):
        services.keep_aside(entry, _boat(raw), _in_words(raw), kept)
    return Answer(word, says)


def _boat(raw: object) -> Boat | None:
    """By the page's address, else by the tag that the phone gives."""
    match sent.word(raw, "to").split("/"):
        case ["", "boats", tag, *_]:
            pass
        case _:
            tag = sent.word(raw, "boat")
    return Boat.objects.filter(tag=tag.upper()).first()


def _in_words(raw: object) -> str:
    return sent.word(raw, "words") or sent.word(raw, "to") or "an entry nobody can read"
