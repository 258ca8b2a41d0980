"""The yard's own steps: the book it goes by, its earlier words, and whom a change touches. Nothing here writes."""

import logging
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Q, QuerySet

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.procedures.own import HARM, book_with, written
from yardwright.procedures.step import Has, Step
from yardwright.procedures.steps import Book, Row, book, shipped, step_from
from yardwright.season import model as season
from yardwright.work.models import Fact, Kind
from yardwright.work.queries import standing, steps_done

log = logging.getLogger("yardwright.steps")
CALLED = {
    "title": "Title",
    "stage": "When",
    "trade": "Whose work",
    "minutes": "Minutes",
    "once": "Once for all her engines",
    "why": "Why",
    "how": "How",
    "goes_wrong": "What can go wrong",
    "caution": "Mind",
    "proof_words": "Done when",
    "reading": "Reading it asks for",
    "watch_learner": "Who is learning it is watched",
    "refills": "It leaves water aboard",
    "needs": "For boats that have all of",
    "for_any": "For boats that have one of",
    "unless": "Not for boats that have",
    "opens": "It leaves undone",
    "proves": "It proves back",
    "after": "It comes after",
}


def versions(code: str) -> list[Fact]:
    """How the yard did a step, the latest first."""
    of_it = Fact.objects.filter(kind=Kind.STEP, what=code).select_related("by")
    return list(of_it.order_by("-received_at"))


def kept() -> Iterator[season.OwnStep]:
    """The yard's own steps for a season file."""
    latest = {fact.what: fact for fact in _all().select_related("by")}
    for code, fact in latest.items():
        told = {name: _listed(value) for name, value in (fact.body["row"] or {}).items()}
        yield season.OwnStep(
            code=code, reason=fact.body["reason"], by=fact.by.name, at=fact.done_at, **told
        )


def _listed(value: Any) -> Any:
    return tuple(value) if isinstance(value, list) else value


def _all() -> QuerySet[Fact]:
    return Fact.objects.filter(kind=Kind.STEP).order_by("received_at")


def own() -> dict[str, Row | None]:
    """The yard's own steps as they are now, by code; None is one that it leaves out."""
    return {fact.what: fact.body["row"] for fact in _all()}


def code_of(entry: UUID) -> str:
    """Which step an entry changed; empty for one that is new."""
    kept = Fact.objects.filter(pk=entry, kind=Kind.STEP).first()
    return kept.what if kept else ""


def the_yards_book() -> Book:
    """What the yard goes by. Own steps that no longer fit what Yardwright comes with wait."""
    return _read(tuple(_all().values_list("pk", flat=True)))


@lru_cache(maxsize=4)
def _read(versions: tuple[UUID, ...]) -> Book:
    if not versions:
        return shipped()
    try:
        return book_with(own())
    except ValueError as error:
        log.error("the yard's own steps do not hold: %s", error)
        return shipped()


def amiss() -> str:
    """Why the yard's own steps do not hold now; empty where they do."""
    try:
        book_with(own())
    except ValueError as error:
        return str(error)
    return ""


def with_change(code: str, row: Row | None) -> Book:
    """The book after a change; a ValueError says why it would be none."""
    return book_with(own() | {code: row})


class Change(NamedTuple):
    """One thing about a step that is other than before."""

    what: str
    was: str
    now: str


def changes(before: Step | None, after: Step) -> Iterator[Change]:
    """What is other; nothing of a step that is new."""
    if before is None:
        return
    was, now = written(before), written(after)
    for name, called in CALLED.items():
        if was.get(name) != now.get(name):
            yield Change(called, _in_words(was.get(name)), _in_words(now.get(name)))


def _in_words(value: object) -> str:
    """Things by their names."""
    if isinstance(value, list):
        return " · ".join(_name(one) for one in value) or "none"
    return "none" if value is None else "yes" if value is True else str(value)


def _name(code: str) -> str:
    step, kind = _shipped().get(code), book().kinds.get(code)
    return step.title if step else kind.what if kind else code


def step_of(book: Book, code: str) -> Step | None:
    return next((step for step in book.steps if step.code == code), None)


def is_own(step: Step) -> bool:
    """The words are the yard's, not those that Yardwright comes with."""
    came_with = _shipped().get(step.code)
    return came_with is None or came_with.edition != step.edition


def is_own_thing(code: str) -> bool:
    """It does not come with Yardwright."""
    return code not in shipped().kinds


def thing(code: str) -> Row | None:
    """A thing of the yard's own in its latest words; None: the yard never had it."""
    rows = (fact.body["row"] for fact in versions(code))
    return next((row for row in rows if row is not None and HARM in row), None)


@lru_cache(maxsize=1)
def _shipped() -> dict[str, Step]:
    return {step.code: step for step in shipped().steps}


def as_of(step: Step, at: datetime) -> Step:
    """The step in the words of that time: an entry may come in after they were changed."""
    kept = versions(step.code)
    if not kept or kept[0].received_at <= at:
        return step
    earlier = next((fact for fact in kept if fact.received_at <= at), None)
    if earlier is None:
        return _shipped().get(step.code, step)
    return _step(step.code, earlier.body["row"]) or step


def done_by(fact: Fact) -> Step | None:
    """The words that a step was done by; None where nobody kept them."""
    edition = fact.body.get("edition", "")
    came_with = _shipped().get(fact.what)
    if came_with is not None and came_with.edition == edition:
        return came_with
    kept = Fact.objects.filter(kind=Kind.WORDING, what=fact.what, body__edition=edition).first()
    return _step(fact.what, kept.body["row"]) if kept else None


def _step(code: str, row: Row | None) -> Step | None:
    return step_from(code, row) if row else None


@dataclass(frozen=True, slots=True)
class Version:
    """A step as the yard did it from then on, and what was other before."""

    fact: Fact
    step: Step | None  # None: left out
    changes: tuple[Change, ...]


def history(code: str) -> list[Version]:
    """The latest first."""
    before, found = _shipped().get(code), []
    for fact in reversed(versions(code)):
        step = _step(code, fact.body["row"])
        found.append(Version(fact, step, tuple(changes(before, step)) if step else ()))
        before = step or before
    return found[::-1]


def version(code: str, named: str) -> Step | None:
    """Its words of one version, by the entry that made it, or as it came with the book."""
    if named == "book":
        return _shipped().get(code)
    return next((one.step for one in history(code) if str(one.fact.pk) == named), None)


@dataclass(frozen=True, slots=True)
class Touched:
    """A boat that a change of a step means something to."""

    boat: Boat
    says: str


def touched(code: str, before: Step | None, after: Step | None) -> Iterator[Touched]:
    """Each boat that gets the step, loses it, or has it to do in other words; what is done stays."""
    done = {fact.boat_id: fact for fact in _done(code)}
    for boat in fleet.boats().order_by("name"):
        had, gets = (step is not None and step.suits(_has(boat)) for step in (before, after))
        if fact := done.get(boat.pk):
            yield Touched(boat, f"done {fact.done_at.date():%d %b %Y} by {fact.by}: that stays")
        elif had or gets:
            says = "has it to do, by the new words" if had else "gets it"
            yield Touched(boat, says if gets else "no longer gets it")


def to_do_on(step: Step) -> list[Boat]:
    """The boats that have a step still to do this season."""
    hers = [boat for boat in fleet.boats().order_by("name") if step.suits(_has(boat))]
    moved = Q(kind__in=(Kind.MOVED, Kind.LIFTED))
    facts = standing().filter(moved | Q(kind=Kind.DONE, what=step.code), boat__in=hers)
    told: dict[int | None, list[Fact]] = {boat.pk: [] for boat in hers}
    for fact in facts:
        told[fact.boat_id].append(fact)
    return [boat for boat in hers if step.code not in steps_done(told[boat.pk])]


def _has(boat: Boat) -> frozenset[Has]:
    return frozenset(Has(word) for word in boat.has)


def _done(code: str) -> QuerySet[Fact]:
    done = standing().filter(kind=Kind.DONE, what=code, body__of_kind="step")
    return done.select_related("by").order_by("done_at")
