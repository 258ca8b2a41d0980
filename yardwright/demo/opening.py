"""Open Heron Slip: fill an empty folder with the demo yard, and plan its spring.

The log-ins here are known to everybody. They are made together with a yard that is marked as the
demo, and only where there is nothing yet; `web.serve.open_home` serves no such yard as a real one.
"""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from uuid import uuid4

from django.contrib.auth.hashers import make_password
from django.contrib.auth.models import User
from django.db import transaction
from django.utils import timezone

from yardwright.demo import heron_slip
from yardwright.demo.heron_slip import LEARNER, LIFT_HAND, MANAGER, MECHANIC, NOW, YARD_HAND
from yardwright.demo.stories import Story, stories
from yardwright.demo.winter import FLOATS_AFTER_MIN, LIFTED_OUT
from yardwright.fleet.models import Boat
from yardwright.launch import services, worker
from yardwright.procedures.going_in import State
from yardwright.procedures.step import Has
from yardwright.school import services as school
from yardwright.season import model as season_model
from yardwright.season.model import Season
from yardwright.work import exchange, facts
from yardwright.work.facts import Entry
from yardwright.work.models import Fact
from yardwright.yard import clock, jobs
from yardwright.yard.models import Lift, Person, Place, Yard
from yardwright.yard.refused import Refused

PASSWORD = "heron"  # noqa: S105  # the demo's, and meant to be known
LOG_INS = {
    MANAGER: "manager",
    MECHANIC: "mechanic",
    YARD_HAND: "yard hand",
    LIFT_HAND: "lift",
    LEARNER: "learner",
}
PLAN_S = 10.0
PRACTICE_BOAT = "Dabchick"


@dataclass(frozen=True, slots=True)
class Move:
    """She came into another state, by hand or by lift."""

    at: datetime
    to: State
    by_lift: bool = False


@transaction.atomic
def load() -> str:
    """Fill an empty folder with Heron Slip.

    Returns
    -------
    str
        Who can log in, and how.

    Raises
    ------
    Refused
        There is a yard, a boat or a log-in here already.
    """
    if Yard.objects.exists() or Boat.objects.exists() or User.objects.exists():
        raise Refused("Something is here already.", "Make the demo in an empty folder: --home.")
    season = heron_slip.season()
    Yard.objects.create(
        name=season.yard.name,
        zone=season.yard.zone,
        first_day=season.yard.first_day,
        last_day=season.yard.last_day,
        sling_bight_m=season.yard.sling_bight_m,
        margin_m=season.yard.margin_m,
        datum=season.water.datum,
        is_demo=True,
        clock_ahead_s=(NOW - timezone.now()).total_seconds(),
    )
    exchange.take_in(_on_the_first_day(season), by=MANAGER)
    _what_was_done()
    _give_log_ins()
    _open_the_school()
    return log_ins()


def log_ins() -> str:
    """The sentence that everybody may read."""
    names = [f"{name} ({what})" for name, what in LOG_INS.items()]
    told = f"{', '.join(names[:-1])} or {names[-1]}"
    return f"Log in as {told}; the password is {PASSWORD} for all."


def plan_and_publish(time_limit_s: float = PLAN_S) -> Fact:
    """Plan what is left of the spring, as the manager would, and let the plan hold.

    Raises
    ------
    Refused
        No plan was found, with what the planner says.
    """
    manager = Person.objects.get(name=MANAGER)
    job = services.plan_the_spring(manager, time_limit_s)

    jobs.work_one(uuid4(), worker.command)
    job.refresh_from_db()
    return services.publish(Entry(uuid4(), manager, clock.now()), job)


def _on_the_first_day(season: Season) -> Season:
    """The yard as it was when the season began; what came after is told by facts."""
    return replace(season, boats=tuple(map(_boat_on_the_first_day, season.boats)))


def _boat_on_the_first_day(boat: season_model.Boat) -> season_model.Boat:
    state = next(_moves(stories()[boat.name])).to
    if state == State.AFLOAT:
        return replace(boat, state=state, place="", berth=None, done=frozenset())
    return replace(boat, state=state, done=frozenset())


def _moves(story: Story) -> Iterator[Move]:
    """Her states of this spring, in order; the first is that of the first day."""
    if story.state == State.BLOCKED_UP:
        yield Move(NOW, State.AFLOAT)
        yield Move(LIFTED_OUT, State.COMING_OUT)
        yield Move(LIFTED_OUT + timedelta(minutes=30), State.BLOCKED_UP, by_lift=True)
        return
    if story.began is None:
        yield Move(NOW, story.state)
        return
    began = datetime.combine(story.began, NOW.time(), NOW.tzinfo)
    yield Move(began, State.LAID_UP)
    yield Move(began, State.FITTING_OUT)
    if story.state == State.READY:
        yield Move(NOW - timedelta(hours=15), State.READY)
    if story.in_slings:
        floats = story.in_slings + timedelta(minutes=FLOATS_AFTER_MIN)
        yield Move(story.in_slings - timedelta(hours=17), State.READY)
        yield Move(story.in_slings, State.IN_THE_SLINGS, by_lift=True)
        yield Move(floats, State.IN_THE_WATER, by_lift=True)
        if story.state == State.HANDED_OVER:
            yield Move(floats + timedelta(hours=25), State.HANDED_OVER, by_lift=True)


def _what_was_done() -> None:
    """Her moves and her steps, written as people wrote them."""
    people = {person.name: person for person in Person.objects.all()}
    places = {place.name: place for place in Place.objects.all()}
    values = {boat.name: boat for boat in heron_slip.season().boats}
    lift, told = Lift.objects.get(), stories()
    for row in Boat.objects.all():
        boat, story = values[row.name], told[row.name]
        done = heron_slip.winter_of(row.name, story)
        for deed in (*done.fall, *done.spring):
            entry = Entry(uuid4(), people[deed.by], deed.at)
            facts.add_done(entry, row, deed.step.code, "step", deed.step)
        for move in list(_moves(story))[1:]:
            entry = Entry(uuid4(), people[LIFT_HAND if move.by_lift else YARD_HAND], move.at)
            by = lift if move.by_lift else None
            facts.add_moved(entry, row, move.to, places.get(boat.place), boat.berth, by)
            if move.to == State.HANDED_OVER:
                day = move.at.date()
                facts.add_promised(replace(entry, uuid=uuid4()), row, "kept", day)


def _give_log_ins() -> None:
    hashed = make_password(PASSWORD)
    for name in LOG_INS:
        user = User.objects.create(username=name, password=hashed)
        Person.objects.filter(name=name).update(user=user)


def _open_the_school() -> None:
    """A class with two dates, and a practice boat on which a round goes on."""
    teacher = Person.objects.get(name=MANAGER)
    learners = list(Person.objects.filter(learner=True))
    begins, ends = (NOW - timedelta(days=15)).date(), (NOW + timedelta(days=31)).date()
    group = school.make_class(teacher, "Spring class", learners, begins, ends)
    like = next(row for row in Boat.objects.all() if Has.OUTBOARD in row.has)
    boat = school.make_boat(teacher, PRACTICE_BOAT, like)
    for days, what, on in (
        (1, "Hull openings, walked and counted", None),
        (8, "A boat looked over", boat),
    ):
        starts = NOW.replace(hour=13, minute=0) + timedelta(days=days)
        school.set_date(teacher, group, school.Date(uuid4(), starts, 90, what, "Shed", boat=on))
    school.plant(teacher, uuid4(), boat, group, by_dice=5)
