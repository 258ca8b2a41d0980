"""What people do with an owner's day: make it Ink, tell it with its odds, write down what was said."""

from datetime import date

from django.db import transaction

from yardwright.fleet.models import Boat
from yardwright.launch import on_her_way, queries
from yardwright.launch.calls import CALLED, KNOWS
from yardwright.launch.watched import watches
from yardwright.procedures.going_in import State
from yardwright.season.holds import breaks
from yardwright.season.model import Right
from yardwright.season.new_in_water import Watch
from yardwright.season.published import Told
from yardwright.season.zone import said_day
from yardwright.work import facts
from yardwright.work import queries as work
from yardwright.work.exchange import to_plan
from yardwright.work.facts import Entry
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.refused import Refused
from yardwright.yard.rights import need


@transaction.atomic
def make_ink(
    entry: Entry, boat: Boat, day: date, owner_agreed: str = "", *, although: bool = False
) -> Fact:
    """Tell the owner a day: from now on it is kept or missed.

    One that nobody can say is as likely as not is told only where somebody ticks it, ``although``.
    """
    need(entry.by, Right.INK)
    again = queries.held(entry.uuid)
    if again is not None and (again.kind, again.boat) == (Kind.PROMISED, boat):
        return again
    published = work.last_published()
    plan = queries.plan_of(published)
    told = plan.told.get(boat.name) if plan else None
    watch = watches().get(boat.name)
    if watch:
        _refuse_watched(boat, day, watch, told)
    elif told is None:
        raise Refused(
            f"No published plan has {boat} in it, so no day can be kept.",
            "Plan the spring and publish it, then tell the owner.",
        )
    elif day < told.handed_over:
        raise Refused(
            f"The plan hands {boat} over {said_day(told.handed_over)}.",
            "Ink that day or later, or plan again.",
        )
    _refuse_day(day, "Ink")
    broken = breaks(to_plan(), plan, clock.now()) if plan and not watch else ()
    if hers := [one.words for one in broken if boat.name in one.boats]:
        raise Refused(
            f"The plan no longer holds for her: {' '.join(hers[:3])}",
            "Plan again and publish it, then tell the owner.",
        )
    ink = queries.promises(boat).ink
    if ink == day:
        raise Refused(
            f"{boat} is promised {said_day(day, clock.today())} in Ink already.", "Nothing to do."
        )
    if ink is not None and not owner_agreed.strip():
        raise Refused(
            f"Her owner was told {said_day(ink, clock.today())}.",
            f"Call first; then say who of them agreed to {said_day(day)}.",
        )
    doubt = queries.doubt(boat, day, watch)
    if doubt and not although:
        raise Refused(doubt, "Work it out first, or tick that the day is told all the same.")
    return facts.add_promised(
        entry.now(), boat, "ink", day, published, owner_agreed.strip(), although=doubt
    )


def _refuse_watched(boat: Boat, day: date, watch: Watch, told: Told | None) -> None:
    """Of a boat in the water no day before the last look of her watch is told."""
    over = watch.handed_over(told.handed_over if told else None)
    if over is None:
        raise Refused(f"{boat} is in the water, {watch.words}.", "Only then can a day be told.")
    if day < over:
        raise Refused(
            f"{boat} is in the water, {watch.words}; she is handed over {said_day(over)}.",
            "Ink that day or later.",
        )


def _refuse_day(day: date, deed: str) -> None:
    """A day that has passed, or that no plan of this season reaches, is told nobody."""
    last = clock.the_yard().last_day
    if day < clock.today():
        raise Refused(f"{said_day(day)} {day.year} has passed.", f"{deed} today or a later day.")
    if day > last:
        raise Refused(
            f"{said_day(day)} {day.year} is after the season, which ends {said_day(last)}.",
            f"{deed} a day of the season, or set its last day on The yard.",
        )


@transaction.atomic
def tell_owner(entry: Entry, boat: Boat, day: date, odds: float) -> Fact:
    """Write down what an owner was told on the phone: a day and how sure it is, for the review.

    What was said is never refused for its odds; that they were old or not known is marked.
    """
    need(entry.by, Right.INK)
    again = queries.held(entry.uuid)
    if again is not None and (again.kind, again.boat) == (Kind.TOLD, boat):
        return again
    if not 0 < odds < 1:
        raise Refused(
            f"No day is {odds:.0%} sure.",
            "Give how sure you said it is: more than 0, less than 100 %.",
        )
    _refuse_day(day, "Tell")
    return facts.add_told(
        entry.now(), boat, day, odds, work.last_published(), queries.how_old(boat)
    )


@transaction.atomic
def write_call(entry: Entry, boat: Boat, said: str, *, knows: bool = False) -> Fact:
    """Write down what an owner said on the phone, or that nobody answered: a note, and no day.

    Who ``knows`` that the boat does not go in is not to be called any more.
    """
    need(entry.by, Right.INK)
    if not said.strip():
        raise Refused("Nothing is written.", "Write what they said, or that nobody answered.")
    state = on_her_way.where(boat).state
    if knows and state != State.NOT_GOING_IN:
        raise Refused(f"{boat} is {state}.", "Tell her owner a day, or write only what they said.")
    return facts.add_note(entry.now(), boat, said.strip(), KNOWS if knows else CALLED)
