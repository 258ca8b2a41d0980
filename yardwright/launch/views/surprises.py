"""A surprise is told: the form that takes it, whose service keeps it, and what was understood."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from django.forms import BaseForm
from django.http import QueryDict
from django.urls import reverse

from yardwright.season import surprises
from yardwright.season.lifts import carries_nothing
from yardwright.season.model import Right
from yardwright.work.forms.parts import LaterForm
from yardwright.work.part_services import keep_part
from yardwright.yard import clock, queries
from yardwright.yard.forms.gear import HeldForm
from yardwright.yard.forms.longer import LiftLongerForm, StayForm
from yardwright.yard.forms.people import AwayForm
from yardwright.yard.models import Person
from yardwright.yard.rights import may
from yardwright.yard.services import (
    MANAGES,
    add_away,
    add_days_off,
    hold_lift,
    open_longer,
    stay_longer,
)


class Understood(NamedTuple):
    """What was understood, and the page on which it is put right."""

    says: str
    link: str
    where: str


@dataclass(frozen=True, slots=True)
class Surprise:
    """One kind of it, as one person tells it."""

    what: str
    title: str
    hint: str
    does: str
    known_on: tuple[str, str]  # the page of all that is known of its kind, and its link's words
    form: BaseForm
    take: Callable[[], Understood]


def _away(me: Person, typed: QueryDict | None) -> Surprise:
    form = AwayForm(typed, prefix="away")

    def take() -> Understood:
        given = form.cleaned_data
        if one := form.hours:
            person = add_away(me, given["person"], one)
            says = surprises.away(queries.person(person), one, _of_the_season())
        else:
            person = add_days_off(me, given["person"], form.days)
            span = given["first"], given["last"]
            says = surprises.days_off(queries.person(person), *span, _of_the_season())
        return Understood(says, reverse("person", args=[person.pk]), f"{person}'s days off")

    title, hint, does = (
        "Somebody is sick or away",
        "some hours, today, or for some days",
        "Away then",
    )
    return Surprise("away", title, hint, does, ("people", "All people"), form, take)


def _late(me: Person, typed: QueryDict | None) -> Surprise:
    form = LaterForm(typed, prefix="late")

    def take() -> Understood:
        one, arrives = form.cleaned_data["part"], form.cleaned_data["arrives"]
        part = keep_part(me, one.part, one.part.name, arrives)
        says = surprises.comes(part.name, arrives, one.boats, _of_the_season())
        return Understood(says, reverse("part", args=[part.pk]), f"when the {part} comes")

    title, hint, does = "A part comes late", "its new day, or not known", "It comes then"
    return Surprise("late", title, hint, does, ("parts", "All parts"), form, take)


def _held(me: Person, typed: QueryDict | None) -> Surprise:
    form = HeldForm(typed, prefix="held")

    def take() -> Understood:
        lift = hold_lift(me, form.cleaned_data["lift"], form.hold)
        says = carries_nothing(queries.lift(lift), form.hold, clock.zone())
        return Understood(says, reverse("lift", args=[lift.pk]), f"the {lift}'s times")

    title, hint, does = "The lift carries nothing", "wind, a repair", "It is held then"
    return Surprise("held", title, hint, does, ("yard", "All lifts"), form, take)


def _longer(me: Person, typed: QueryDict | None) -> Surprise:
    form = LiftLongerForm(typed, prefix="longer")

    def take() -> Understood:
        row = open_longer(me, form.cleaned_data["lift"], form.hours)
        lift, people, zone = queries.lift(row), queries.people(), clock.zone()
        says = surprises.open_longer(lift, people, form.hours, zone, _of_the_season())
        return Understood(says, reverse("lift", args=[row.pk]), f"the {row}'s times")

    title, hint, does = (
        "The lift stays open longer",
        "on one day, for a tide",
        "It is open then too",
    )
    return Surprise("longer", title, hint, does, ("yard", "All lifts"), form, take)


def _stays(me: Person, typed: QueryDict | None) -> Surprise:
    form = StayForm(typed, prefix="stays")

    def take() -> Understood:
        person = stay_longer(me, form.cleaned_data["person"], form.hours)
        says = surprises.stays(queries.person(person), form.hours, _of_the_season())
        return Understood(says, reverse("person", args=[person.pk]), f"{person}'s hours")

    title, hint, does = "Somebody stays longer", "on one day", "So they do"
    return Surprise("stays", title, hint, does, ("people", "All people"), form, take)


def _of_the_season() -> date:
    return clock.the_yard().last_day


KINDS = {
    "away": (MANAGES, _away),
    "late": (Right.PROVE, _late),
    "held": (MANAGES, _held),
    "longer": (MANAGES, _longer),
    "stays": (MANAGES, _stays),
}


def told(me: Person, what: str, typed: QueryDict | None) -> Surprise | None:
    """One that is told, or just opened; None: there is no such kind."""
    if what not in KINDS:
        return None
    _, of_its_kind = KINDS[what]
    return of_its_kind(me, typed)


def to_tell(me: Person, one: Surprise | None = None) -> Iterator[Surprise]:
    """Those that somebody may tell, one of them as it is filled in; of parts, while any is awaited."""
    for what, (right, of_its_kind) in KINDS.items():
        if one and one.what == what:
            yield one
        elif may(me, right) and _asks((other := of_its_kind(me, None)).form):
            yield other


def _asks(form: BaseForm) -> bool:
    return not isinstance(form, LaterForm) or bool(form.to_come)
