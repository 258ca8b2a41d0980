"""Questions about the plan and the promises. Nothing here writes."""

from collections.abc import Iterable, Iterator, Mapping, Set
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from hashlib import sha256
from typing import Any, NamedTuple
from uuid import UUID

from django.db.models import Count, Max, Q, QuerySet

from yardwright.fleet.models import Boat, Owner, Part, Work
from yardwright.plan.spoken import spoken
from yardwright.procedures.going_in import State
from yardwright.season import model as season
from yardwright.season.causes import Broken
from yardwright.season.choices import Choice, choices_of
from yardwright.season.holds import breaks
from yardwright.season.new_in_water import Watch
from yardwright.season.published import (
    InkMoved,
    Published,
    Told,
    from_json,
)
from yardwright.season.published import ink_moved as moved_by
from yardwright.season.spring import ON_LAND
from yardwright.season.yard_time import Aside, Launch
from yardwright.season.yard_time import Job as Planned
from yardwright.season.zone import said_day
from yardwright.work import queries as work
from yardwright.work.exchange import to_plan
from yardwright.work.models import Fact, Kind
from yardwright.work.parts import asked_about
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard.models import Job, Lift, Person, Place, Tide, Yard
from yardwright.yard.refused import Refused

PLAN, AGAIN, CAPACITY, ODDS, SAVERS = "plan", "again", "capacity", "odds", "savers"
ASKED_FROM = (Yard, Tide, Lift, Place, Person, Part, Work, Boat, Owner)  # beside the facts
NOT_ASKED = {"clock_ahead_s", "calendar_edition", "user_id", "phone", "email", "wind_limit"}
MOVES = (Kind.MOVED, Kind.LIFTED)
WORDS = (Kind.TOLD, Kind.NOTE)  # no plan goes by them, and no odds
GOES_IN = (*ON_LAND - {State.NOT_GOING_IN}, State.IN_THE_SLINGS)


def plan_of(fact: Fact | None) -> Published | None:
    return _read(fact) if fact else None


@lru_cache(maxsize=4)
def _read(fact: Fact) -> Published:
    """A fact stays as it is: a page that asks for its plan again and again reads it once."""
    return from_json(fact.body["plan"])


class _AskedOf(NamedTuple):
    """All that decides whether a plan holds: as long as it is the same, so is the answer."""

    plan: UUID
    stood: str
    facts: int  # they only grow
    newest: datetime | None
    today: date
    over: int  # of the plan's launches, moves and jobs
    due: int  # parts whose time has come
    hang: datetime | None  # this minute, while a boat hangs in the slings


def plan_broken() -> tuple[Broken, ...]:
    """Why the plan that holds no longer fits the yard, a line a cause; empty where it does, or none is.

    The yard is asked anew only after something was entered or changed, or a time of the plan passed;
    while a boat hangs in the slings each minute, since she hangs ever longer.
    """
    fact = work.last_published()
    return _broken_by_now(fact, as_it_stands()) if fact else ()


def _broken_by_now(fact: Fact, stood: str) -> tuple[Broken, ...]:
    plan, now = _read(fact), clock.now()
    times: Iterable[Launch | Aside | Planned]
    times = (*plan.plan.launches, *plan.plan.asides, *plan.plan.jobs)
    facts = Fact.objects.exclude(kind__in=WORDS).aggregate(
        many=Count("pk"), last=Max("received_at")
    )
    over = sum(one.ends <= now for one in times)
    due = Part.objects.filter(arrives__lte=now).count()
    hangs = any(at.state == State.IN_THE_SLINGS for at in work.where_all().values())
    hang = now.replace(second=0, microsecond=0) if hangs else None
    return _broken(
        _AskedOf(fact.pk, stood, facts["many"], facts["last"], now.date(), over, due, hang)
    )


def plan_broken_for(boat: Boat) -> tuple[Broken, ...]:
    """The same, what touches one boat first."""
    return tuple(sorted(plan_broken(), key=lambda one: boat.name not in one.boats))


@lru_cache(maxsize=4)
def _broken(_asked: _AskedOf) -> tuple[Broken, ...]:
    plan = plan_of(work.last_published())
    assert plan is not None  # noqa: S101  # asked before
    try:
        return tuple(breaks(to_plan(), plan, clock.now()))
    except (Refused, ValueError) as error:
        return (Broken(str(error)),)


def published_times() -> dict[str, datetime]:
    """The launches that were told, by boat."""
    plan = plan_of(work.last_published())
    return {go.boat: go.starts for go in plan.plan.launches} if plan else {}


def newest_job(what: str = PLAN) -> Job | None:
    return Job.objects.filter(what=what).select_related("asked_by").order_by("asked_at").last()


def savers_of_all() -> Job | None:
    """The newest look for what saves every Ink in danger that came to its end."""
    done = Job.objects.filter(what=SAVERS, state=Job.State.DONE, question__boat="")
    return done.order_by("asked_at").last()


def as_it_stands() -> str:
    """A digest of what a plan is asked from and that is no fact: parts, people, lifts, work."""
    digest = sha256()
    for table in ASKED_FROM:
        names = [one.attname for one in table._meta.concrete_fields]
        rows = table._default_manager.order_by("pk")
        asked = rows.values_list(*(name for name in names if name not in NOT_ASKED))
        digest.update(repr([*asked]).encode())
    return digest.hexdigest()


def out_of_date(found: Mapping[str, Any]) -> str:
    """Why what was worked out no longer holds; empty while it does. It went by a plan, or by none."""
    return next(_changed(found, work.last_published(), _entered(found)), "")


def _entered(found: Mapping[str, Any]) -> QuerySet[Fact]:
    """What was entered or struck out since, but for what plans and odds do not go by."""
    since = Fact.objects.filter(received_at__gt=datetime.fromisoformat(found["asked_at"]))
    words_struck = Q(kind=Kind.STRUCK_OUT, of__kind__in=WORDS)
    return since.exclude(kind__in=WORDS).exclude(words_struck)


def _changed(found: Mapping[str, Any], plan: Fact | None, entered: QuerySet[Fact]) -> Iterator[str]:
    asked_at = datetime.fromisoformat(found["asked_at"])
    if (str(plan.pk) if plan else None) != found.get("plan"):
        yield "Another plan holds since this was worked out."
    if entered.exists():
        yield f"Something was entered since {asked_at.astimezone(clock.zone()):%a %H:%M}."
    if found.get("stood") != as_it_stands():
        yield "Parts, people, lifts, places, boats or work were changed since this was worked out."
    for one in asked_about():
        if one.overdue and not one.value.overdue(asked_at):
            yield f"The {one.part}: {one.words}."


class Aged(NamedTuple):
    """Why odds that were worked out no longer hold: of every boat, and who was told in Ink since."""

    every: str
    inked: Set[str]

    def of(self, boat: str) -> str:
        if self.every or boat not in self.inked:
            return self.every
        return f"{boat} was told a day in Ink since this was worked out."


def aged(found: Mapping[str, Any]) -> Aged:
    """The same of how sure days are, which also counts for nothing once the plan no longer holds.

    A day in Ink that the plan keeps changes nothing in it: it makes nobody else's odds old.
    """
    plan, entered = work.last_published(), _entered(found)
    kept = _inks_kept(entered, plan)
    every = next(_changed(found, plan, entered.exclude(pk__in=kept)), "")
    if not every and plan and _broken_by_now(plan, found["stood"]):
        every = "The plan no longer holds."
    return Aged(every, {*kept.values()})


def _inks_kept(entered: QuerySet[Fact], fact: Fact | None) -> dict[UUID, str]:
    """Of the days in Ink among some facts those that the plan keeps, with the boat."""
    inks = [*entered.filter(kind=Kind.PROMISED, what="ink").select_related("boat")]
    plan = plan_of(fact) if inks else None
    over = {boat: one.handed_over for boat, one in plan.told.items()} if plan else {}
    return {
        ink.pk: ink.boat.name
        for ink in inks
        if ink.boat and over.get(ink.boat.name, date.max) <= date.fromisoformat(ink.body["day"])
    }


@dataclass(frozen=True, slots=True)
class Sure:
    """How sure a boat's days are, by the plan that holds, as last worked out."""

    sentence: str  # for the phone
    promised: float | None  # the odds of the day promised, 0 to 1
    days: tuple[tuple[date, str], ...]  # from each of these on
    asked_at: datetime
    old: str  # why it no longer holds
    in_front: str  # who stands in front of her unplanned
    likely: date | None  # the first day that is as likely as not

    def by(self, day: date) -> str:
        """How sure she is handed over by a day, in words; empty once that no longer holds."""
        if self.old:
            return ""
        return next((words for since, words in reversed(self.days) if since <= day), spoken(0))


def odds_found() -> dict[str, Any]:
    """What was last worked out of how sure days are; empty where nothing was."""
    done = Job.objects.filter(what=ODDS, state=Job.State.DONE).order_by("asked_at").last()
    found: dict[str, Any] = (done.answer if done else None) or {}
    return {} if "refused" in found else found


def sures() -> dict[str, Sure]:
    """Of each boat that it is known of; nobody worked it out for the plan that holds: of none."""
    plan, found = work.last_published(), odds_found()
    if plan is None or found.get("plan") != str(plan.pk):
        return {}
    old, at = aged(found), datetime.fromisoformat(found["asked_at"]).astimezone(clock.zone())
    return {
        boat: Sure(
            hers["sentence"],
            None if boat in old.inked else hers.get("odds"),  # they are of the day before
            tuple((date.fromisoformat(day), words) for day, words in hers["sure_by"]),
            at,
            old.of(boat),
            hers.get("in_front", ""),
            next((date.fromisoformat(one["day"]) for one in hers["days"]), None),
        )
        for boat, hers in found.get("boats", {}).items()
        if "sure_by" in hers
    }


def sure_of(boat: Boat) -> Sure | None:
    """None: not known yet; nobody worked it out for the plan that holds, or there is no answer."""
    return sures().get(boat.name)


def doubt(boat: Boat, day: date, watch: Watch | None) -> str:
    """Why nobody can say that a day is as likely as not to be kept; empty where it is."""
    sure, unknown = sure_of(boat), f"How sure {said_day(day)} is, is not known"
    if watch:
        return f"{unknown}: she is in the water, {watch.words}."
    if sure is None:
        return f"{unknown}."
    if sure.old or (sure.likely and sure.likely <= day):
        return sure.old
    return f"{said_day(day)} is {sure.by(day)}: it is likelier missed than kept."


def how_old(boat: Boat) -> str:
    """What is to be marked beside the odds that an owner was told; empty where they hold."""
    sure = sure_of(boat)
    if sure and not sure.old:
        return ""
    return "odds were old" if odds_found() else "odds were not known"


def ink_told(boat: Boat) -> Fact | None:
    """The last day in Ink that stands."""
    told = work.standing().filter(kind=Kind.PROMISED, what="ink", boat=boat)
    return told.select_related("by").order_by("done_at", "received_at").last()


def told_by_phone(boat: Boat) -> Fact | None:
    """The last day told with its odds that stands."""
    told = work.standing().filter(kind=Kind.TOLD, boat=boat)
    return told.select_related("by").order_by("done_at", "received_at").last()


def days_struck_out(boat: Boat) -> QuerySet[Fact]:
    """The strike-outs of days in Ink or told by phone, each with the day that was never meant."""
    struck = Fact.objects.filter(kind=Kind.STRUCK_OUT, boat=boat)
    days = struck.filter(of__kind__in=(Kind.PROMISED, Kind.TOLD), of__what__in=("ink", "odds"))
    return days.select_related("of", "by").order_by("received_at")


def answer_of(job: Job) -> Published | None:
    """What a finished job found."""
    return from_json(job.answer) if job.state == Job.State.DONE and job.answer else None


def offered(job: Job | None) -> Published | None:
    """What a job found, while it can be published: no plan was published since it was asked."""
    found = answer_of(job) if job else None
    return None if found is None or published_since(found.asked_at) else found


def ink_moved(plan: Published) -> tuple[InkMoved, ...]:
    """Whose day in Ink a plan would move, by what owners are told now and the plan that holds."""
    return moved_by(inks(), plan_of(work.last_published()), plan)


def choices_in(job: Job) -> tuple[Choice, ...]:
    """What a replan found by now, the smallest change first."""
    return choices_of(job.answer.get("choices", ())) if job.answer else ()


def published_from(job: Job) -> Fact | None:
    """The fact by which this job's plan was published."""
    told = work.standing().filter(kind=Kind.PUBLISHED, body__job=str(job.pk))
    return told.select_related("by").first()


def told_anew(fact: Fact) -> list[str]:
    """What a published plan told anew, boat by boat, beside the plan that held before it."""
    new, old = plan_of(fact), plan_of(work.last_published(before=fact.received_at))
    was = old.told if old else {}
    return [
        f"{boat} is handed over {said_day(one.handed_over)}"
        + (f" instead of {said_day(was[boat].handed_over)}." if boat in was else ".")
        for boat, one in (new.told if new else {}).items()
        if boat not in was or was[boat].handed_over != one.handed_over
    ]


def published_since(at: datetime) -> Fact | None:
    told = work.standing().filter(kind=Kind.PUBLISHED, received_at__gt=at)
    return told.select_related("by").last()


def plans_published() -> int:
    """How many there ever were; the number only grows."""
    return Fact.objects.filter(kind=Kind.PUBLISHED).count()


def tags() -> dict[str, str]:
    return dict(Boat.objects.values_list("name", "tag"))


def span(start: datetime, end: datetime, *, with_day: bool) -> str:
    """From and to; with the day, and always with it where the end is on another."""
    day = f"{start:%a} " if with_day else ""
    other = "" if start.date() == end.date() else f"{end:%a} "
    return f"{day}{start:%H:%M}–{other}{end:%H:%M}"


def allowed(told: Told, sure: Sure | None) -> str:
    """Which later day nothing of her own rules out, and how sure it is, where that is known."""
    return told.allowed(sure.by(told.allows) if sure and told.allows else "")


def her_water(told: Told, day: date) -> str:
    """Her water on the day of her launch; an end on another day has its day."""
    start, end = told.floats_from, told.floats_until
    if start.date() < day and end.date() > day:
        return "at any hour"
    ends = (f"{at:%H:%M}" if at.date() == day else f"{at:%a %H:%M}" for at in (start, end))
    return "–".join(ends)


def held(uuid: UUID) -> Fact | None:
    """An entry that is here already."""
    return Fact.objects.filter(pk=uuid).first()


def promises(boat: Boat) -> season.Promise:
    told = work.standing().filter(kind=Kind.PROMISED, boat=boat)
    return work.promise(told.order_by("done_at", "received_at"))


def days_told_by(plan: Fact) -> QuerySet[Fact]:
    """The days in Pencil that stand by a published plan."""
    told = work.standing().filter(kind=Kind.PROMISED, what="pencil", of=plan)
    return told.select_related("boat")


def inks() -> dict[str, date]:
    """The days told to the owners this season, by boat."""
    return days_in("ink")


def days_in(stage: str) -> dict[str, date]:
    """The newest day of this season wished for, in Pencil or in Ink, by boat."""
    told = work.standing().filter(kind=Kind.PROMISED, what=stage)
    days = told.order_by("done_at", "received_at").values_list("boat__name", "body__day")
    promised = ((boat, date.fromisoformat(day)) for boat, day in days)
    return {boat: day for boat, day in promised if work.is_of_season(day)}


def our_season(boats: Iterable[season.Boat] = ()) -> season.Season:
    """Yard and water, with only those boats that a page is about.

    Raises
    ------
    Refused
        The sill or the water is not known.
    """
    row = clock.the_yard()
    return season.Season(
        version=season.VERSION,
        yard=yard.yard(row),
        water=yard.water(row),
        boats=tuple(boats),
    )


def who_stands_at(place: str) -> dict[str, int | None]:
    """The boats that stand at a place, each with her berth where one was written."""
    here = {pk: one for pk, one in work.where_all().items() if place and one.place == place}
    names = Boat.objects.in_bulk(here)
    return {names[pk].name: one.berth for pk, one in here.items()}


def who_stands_in(place: str, berth: int | None) -> str | None:
    """The boat in a berth; None where it is free, and where no berth is asked about."""
    here = who_stands_at(place) if berth is not None else {}
    return next((name for name, at in here.items() if at == berth), None)
