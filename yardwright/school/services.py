"""What teachers and learners do. Each asks for the right, checks, then writes."""

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, datetime
from random import SystemRandom
from uuid import UUID

from django.db import transaction

from yardwright.fleet.models import Boat
from yardwright.procedures.practice import drawn
from yardwright.procedures.questions import Question
from yardwright.procedures.steps import book
from yardwright.school import queries
from yardwright.school.models import (
    Answered,
    ClassGroup,
    Finished,
    Meeting,
    Named,
    PracticeBoat,
    Round,
)
from yardwright.season.model import Right
from yardwright.yard import clock
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused
from yardwright.yard.rights import need


@transaction.atomic
def make_class(
    by: Person, name: str, learners: Collection[Person], begins: date, ends: date
) -> ClassGroup:
    """A class of those who learn together, taught by whoever makes it."""
    need(by, Right.TEACH)
    name = name.strip()
    if ends < begins:
        raise Refused(f"The term ends {ends:%d %b}, before it begins.", "Give the days in order.")
    if ClassGroup.objects.filter(name=name).exists():
        raise Refused(f"There is a class {name} already.", "Give it another name.")
    if not learners:
        raise Refused("Nobody is in it.", "Tick who learns.")
    group = ClassGroup.objects.create(name=name, teacher=by, begins=begins, ends=ends)
    group.learners.set(learners)
    return group


@transaction.atomic
def make_boat(by: Person, name: str, like: Boat) -> PracticeBoat:
    """A practice boat that has what a boat of the yard has, and nothing else of hers."""
    need(by, Right.TEACH)
    name = name.strip()
    if PracticeBoat.objects.filter(name=name).exists():
        raise Refused(f"There is a practice boat {name} already.", "Give her another name.")
    if Boat.objects.filter(name=name).exists():
        raise Refused(f"{name} is a real boat of this yard.", "Give her another name.")
    return PracticeBoat.objects.create(name=name, has=like.has)


@dataclass(frozen=True, slots=True)
class Date:
    """A date of a class as it is typed."""

    uuid: UUID
    starts: datetime
    minutes: int
    what: str
    where: str = ""
    step: str = ""
    boat: PracticeBoat | None = None


@transaction.atomic
def set_date(by: Person, group: ClassGroup, given: Date) -> Meeting:
    """The class meets."""
    need(by, Right.TEACH)
    if held := Meeting.objects.filter(pk=given.uuid).first():
        return held
    day = given.starts.astimezone(clock.zone()).date()
    if not group.begins <= day <= group.ends:
        term = f"{group.begins:%d %b %Y} to {group.ends:%d %b %Y}"
        raise Refused(f"The term is {term}.", "Give a day in it.")
    if given.step and given.step not in {step.code for step in book().steps}:
        raise Refused(f"There is no step {given.step}.", "Choose one of the list.")
    return Meeting.objects.create(
        pk=given.uuid,
        group=group,
        starts=given.starts,
        minutes=given.minutes,
        what=given.what.strip(),
        where=given.where.strip(),
        step=given.step,
        boat=given.boat,
    )


def end_calendar(by: Person, group: ClassGroup, edition: int) -> None:
    """The address of the class's calendar ends; a second tap ends no second one."""
    need(by, Right.TEACH)
    here = ClassGroup.objects.filter(pk=group.pk, calendar_edition=edition)
    here.update(calendar_edition=edition + 1)


def call_off(by: Person, meeting: Meeting) -> None:
    """It does not take place; it stays on the list, struck."""
    need(by, Right.TEACH)
    Meeting.objects.filter(pk=meeting.pk, off_at=None).update(off_at=clock.now())


@transaction.atomic
def plant(
    by: Person,
    uuid: UUID,
    boat: PracticeBoat,
    group: ClassGroup,
    codes: Collection[str] = (),
    by_dice: int = 0,
) -> Round:
    """A round begins: what is planted is left undone on her, by hand or as the dice fall."""
    need(by, Right.TEACH)
    if held := Round.objects.filter(pk=uuid).first():
        return held
    if open_round := boat.rounds.filter(ended_at=None).first():
        raise Refused(
            f"{open_round.group} looks over {boat} since {_clock(open_round.began_at)}.",
            "End that round first.",
        )
    there = {kind.code for kind in queries.things_on(boat)}
    if strange := sorted(set(codes) - there):
        raise Refused(f"{boat} has no {', '.join(strange)}.", "Tick what she has.")
    if not codes:
        try:
            codes = drawn(queries.has(boat), by_dice, SystemRandom().getrandbits(32))
        except ValueError as error:
            raise Refused(
                str(error), "Tick faults, or say how many the dice shall draw."
            ) from error
    return Round.objects.create(
        pk=uuid, boat=boat, group=group, by=by, planted=[*codes], began_at=clock.now()
    )


def _clock(at: datetime) -> str:
    return f"{at.astimezone(clock.zone()):%a %H:%M}"


@transaction.atomic
def name(
    by: Person, uuid: UUID, one: Round, code: str, words: str = "", *, there: bool = True
) -> Named:
    """A learner says what is undone on her, or takes it back."""
    if held := Named.objects.filter(pk=uuid).first():
        return held
    _refuse_who_does_not_look(by, one)
    if code not in {kind.code for kind in queries.things_on(one.boat)}:
        raise Refused("She has no such thing.", "Choose one of the list.")
    return Named.objects.create(
        pk=uuid, round=one, by=by, kind=code, words=words.strip(), there=there, at=clock.now()
    )


@transaction.atomic
def done(by: Person, uuid: UUID, one: Round) -> Finished:
    """A learner has looked at everything: from now on nothing more is named, and the score is seen."""
    if held := one.finished.filter(by=by).first():
        return held
    _refuse_who_does_not_look(by, one)
    return Finished.objects.create(pk=uuid, round=one, by=by, at=clock.now())


def _refuse_who_does_not_look(by: Person, one: Round) -> None:
    if not queries.in_group(by, one.group):
        raise Refused(f"{by} is not in {one.group}.", "Ask the teacher.")
    if one.ended_at is not None:
        raise Refused("This round is over.", "Ask the teacher for another.")
    if one.finished.filter(by=by).exists():
        raise Refused("You said that you are done.", "Look at your score.")


def reset(by: Person, one: Round) -> None:
    """The round is over, and the boat is free for the next; what was planted is put back by hand."""
    need(by, Right.TEACH)
    Round.objects.filter(pk=one.pk, ended_at=None).update(ended_at=clock.now())


def answer(
    by: Person, uuid: UUID, of_set: int, about: str, question: Question, chosen: int
) -> bool:
    """Keep somebody's first answer to a question of a set; whether what they chose is right."""
    right = chosen == question.right
    Answered.objects.get_or_create(
        by=by,
        of_set=of_set,
        about=about,
        key=question.key,
        defaults={"id": uuid, "right": right, "at": clock.now()},
    )
    return right
