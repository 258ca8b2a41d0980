"""Questions about the school. Nothing here writes."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db.models import Count, Q

from yardwright.calc.counting import listed
from yardwright.procedures.practice import Score, can_be_planted, score
from yardwright.procedures.step import Has, PutBackKind
from yardwright.procedures.steps import book
from yardwright.school.models import Answered, ClassGroup, Meeting, PracticeBoat, Round
from yardwright.season.day_hours import on_day
from yardwright.season.model import Right
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard.models import Person
from yardwright.yard.rights import may


def teaches(person: Person) -> bool:
    return may(person, Right.TEACH)


def groups_of(person: Person) -> list[ClassGroup]:
    """The classes that somebody is in; who teaches sees all."""
    groups = ClassGroup.objects.select_related("teacher").prefetch_related("learners")
    return list(groups if teaches(person) else groups.filter(learners=person))


def in_group(person: Person, group: ClassGroup) -> bool:
    return group.learners.filter(pk=person.pk).exists()


def has(boat: PracticeBoat) -> frozenset[Has]:
    return frozenset(Has(one) for one in boat.has)


def things_on(boat: PracticeBoat) -> tuple[PutBackKind, ...]:
    """What may be undone on her, nastiest first."""
    return can_be_planted(has(boat))


def open_rounds(groups: Iterable[ClassGroup]) -> list[Round]:
    rounds = Round.objects.filter(group__in=list(groups), ended_at=None)
    return list(rounds.select_related("boat", "group"))


@dataclass(frozen=True, slots=True)
class Seat:
    """How one learner stands in a round; no minutes: not done yet."""

    person: Person
    score: Score
    minutes: int | None
    named: tuple[PutBackKind, ...]

    @property
    def missed(self) -> list[str]:
        return [what(code) for code in self.score.missed]

    @property
    def though_sound(self) -> list[str]:
        return [what(code) for code in self.score.though_sound]


def what(code: str) -> str:
    """A thing in words; its code where the book has it no more."""
    kind = book().kinds.get(code)
    return kind.what if kind else code


def named_by(one: Round, person: Person) -> list[str]:
    """What somebody names there, without what they took back."""
    said: dict[str, bool] = {}
    for named in one.named.filter(by=person).order_by("at"):
        said[named.kind] = named.there
    return [code for code, there in said.items() if there]


def seat(one: Round, person: Person) -> Seat:
    """How somebody stands."""
    codes = named_by(one, person)
    done = one.finished.filter(by=person).first()
    minutes = round((done.at - one.began_at).total_seconds() / 60) if done else None
    kinds = tuple(book().kinds[code] for code in codes if code in book().kinds)
    return Seat(person, score(one.planted, codes), minutes, kinds)


def is_told(one: Round) -> bool:
    """What was missed is told once nobody looks any more."""
    return one.ended_at is not None or one.finished.count() >= one.group.learners.count()


def seats(one: Round) -> list[Seat]:
    """The whole class, by found without those named though sound; of the same number the quicker."""
    some = [seat(one, person) for person in one.group.learners.order_by("name")]
    return sorted(some, key=_place)


def _place(one: Seat) -> tuple[int, int, str]:
    late = 1_000_000 if one.minutes is None else one.minutes
    worth = len(one.score.found) - len(one.score.though_sound)
    return -worth, late, one.person.name


@dataclass(frozen=True, slots=True)
class DateOf:
    """A date of a class, and who is away."""

    meeting: Meeting
    ends: datetime
    away: tuple[str, ...]


def dates_of(group: ClassGroup) -> list[DateOf]:
    """The term, in the order of time."""
    learners, zone = list(group.learners.order_by("name")), clock.zone()
    found = []
    for meeting in group.meetings.select_related("boat"):
        meeting.starts = meeting.starts.astimezone(zone)
        ends = meeting.starts + timedelta(minutes=meeting.minutes)
        away = tuple(said for one in learners if (said := _away(one, meeting.starts, ends)))
        found.append(DateOf(meeting, ends, away))
    return found


def _away(person: Person, starts: datetime, ends: datetime) -> str:
    """Who is not there that day, or not for hours that touch a date; empty where they are."""
    if not person.works_here or starts.date().isoformat() in person.off:
        return person.name
    gone = on_day(yard.on_days(person.away), starts.date())
    hours = [f"{a:%H:%M} to {b:%H:%M}" for a, b in gone if a < ends.time() and starts.time() < b]
    return f"{person.name} ({listed(hours)})" if hours else ""


def answers(people: Iterable[Person]) -> dict[int, tuple[int, int]]:
    """Of each person: how many questions right, of how many answered."""
    told = Answered.objects.filter(by__in=list(people)).values("by")
    each = told.annotate(many=Count("pk"), right=Count("pk", filter=Q(right=True)))
    return {one["by"]: (one["right"], one["many"]) for one in each}
