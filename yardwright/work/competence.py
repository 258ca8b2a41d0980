"""How far each learner is: which steps they did, how often, and who watched. Nothing here writes."""

from collections import Counter, defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from django.db.models import QuerySet

from yardwright.procedures.minors import keeps_a_minor_off
from yardwright.procedures.step import Step
from yardwright.procedures.steps import book
from yardwright.work.models import Fact, Kind
from yardwright.work.queries import standing, with_people
from yardwright.yard import clock
from yardwright.yard.models import Person


@dataclass(slots=True)
class Practised:
    """One step, as one person did it."""

    step: Step
    times: int = 0
    watched: Counter[str] = field(default_factory=Counter)  # by name
    last: datetime | None = None  # None: never done

    @property
    def watchers(self) -> str:
        """Ines 3 times, Tomas once."""
        told = (f"{name} {_times(n)}" for name, n in self.watched.most_common())
        return ", ".join(told) or ("nobody" if self.times else "–")


def _times(n: int) -> str:
    return "once" if n == 1 else "twice" if n == 2 else f"{n} times"


@dataclass(frozen=True, slots=True)
class Learned:
    """How far one person is with the steps of the trades that they learn or have."""

    person: Person
    steps: tuple[Practised, ...]
    is_minor: bool

    @property
    def watched_steps(self) -> list[Practised]:
        """Those that a learner does only while somebody watches."""
        return [one for one in self.steps if one.step.watch_learner]

    @property
    def sentence(self) -> str:
        asked = self.watched_steps
        done = [one for one in asked if one.times]
        watched = sum((one.watched for one in self.steps), Counter[str]())
        if not any(one.times for one in self.steps):
            return "No step was done yet."
        by = ", ".join(f"{name} {_times(n)}" for name, n in watched.most_common())
        tail = f" Watched by {by}." if by else " Nobody is named as watching."
        return f"{len(done)} of {len(asked)} steps that are watched were done at least once.{tail}"

    @property
    def kept_off(self) -> list[Step]:
        """What they must not do yet, being under age."""
        return [one.step for one in self.steps if self.is_minor and keeps_a_minor_off(one.step)]


def learned(people: Iterable[Person]) -> list[Learned]:
    """How far some people are, in one query for all."""
    people = list(people)
    done: dict[int, dict[str, Practised]] = {person.pk: {} for person in people}
    steps = {step.code: step for step in book().steps}
    for fact in with_people(_steps_done().filter(by__in=people)):
        if fact.what not in steps:
            continue
        one = done[fact.by_id].setdefault(fact.what, Practised(steps[fact.what]))
        one.times += 1
        one.last = fact.done_at
        if fact.second is not None:
            one.watched[fact.second.name] += 1
    return [_learned(person, done[person.pk]) for person in people]


def _steps_done() -> QuerySet[Fact]:
    facts = standing().filter(kind=Kind.DONE, body__of_kind="step")
    return facts.order_by("done_at", "received_at")


def _learned(person: Person, done: dict[str, Practised]) -> Learned:
    trades = {*person.trades, *person.learns}
    hers = [s for s in book().steps if s.code in done or s.trade in trades or not trades]
    each = tuple(done.get(step.code) or Practised(step) for step in hers)
    return Learned(person, each, is_minor(person))


def is_minor(person: Person) -> bool:
    """Not known is not said to be of age: for whoever learns, the page says that it is not known."""
    return person.of_age_on is not None and clock.today() < person.of_age_on


@dataclass(frozen=True, slots=True)
class TooMany:
    """Somebody was named as watching more learners at once than they may."""

    watcher: Person
    at: datetime
    learners: tuple[str, ...]


def too_many_at_once() -> list[TooMany]:
    """By the steps' usual minutes, so a sign to ask about, and no proof; the newest first."""
    steps = {step.code: step for step in book().steps}
    watched: dict[Person, list[Fact]] = defaultdict(list)
    for fact in with_people(_steps_done().filter(by__learner=True).exclude(second=None)):
        if fact.what in steps and fact.second is not None:
            watched[fact.second].append(fact)
    found = []
    for watcher, facts in watched.items():
        for fact in facts:
            begins = fact.done_at - timedelta(minutes=steps[fact.what].minutes)
            meanwhile = {one.by.name for one in facts if begins < one.done_at <= fact.done_at}
            if len(meanwhile) > watcher.may_watch:
                found.append(TooMany(watcher, fact.done_at, tuple(sorted(meanwhile))))
    return sorted(found, key=lambda one: one.at, reverse=True)
