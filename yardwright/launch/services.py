"""What people do with the plan, and with a boat on her way to the water: deeds now, not of the past."""

from collections.abc import Collection, Sequence
from dataclasses import replace
from datetime import date
from uuid import UUID, uuid5

from django.db import transaction

from yardwright.fleet.models import Boat
from yardwright.launch import on_her_way, queries
from yardwright.procedures.going_in import BILGE_DRY, BILGE_PUMP, State, from_inside
from yardwright.season.going_in import lifting
from yardwright.season.holds import breaks
from yardwright.season.lifts import Lifts
from yardwright.season.model import Promise, Right
from yardwright.season.published import InkMoved, Published, as_json
from yardwright.season.under_way import AT_THE_LIFT
from yardwright.season.water import water_of
from yardwright.season.zone import said_day
from yardwright.work import facts
from yardwright.work import queries as work
from yardwright.work import services as work_services
from yardwright.work.exchange import to_plan
from yardwright.work.facts import Entry
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock, jobs
from yardwright.yard import queries as yard
from yardwright.yard.models import Job, Lift, Person, Place
from yardwright.yard.refused import Refused
from yardwright.yard.rights import need

BY_LIFT = frozenset({State.IN_THE_SLINGS, State.IN_THE_WATER, State.HANDED_OVER})
UNSAID = {BILGE_PUMP: "it does not run", BILGE_DRY: "water in the bilge"}  # of a look that says no


# --- the plan -------------------------------------------------------------------


def plan_the_spring(by: Person, time_limit_s: float = 30) -> Job:
    """Ask for a plan of what is left of the season; it is worked on in the background."""
    need(by, Right.INK)
    _refuse_no_plan()
    return jobs.ask(queries.PLAN, {"time_limit_s": time_limit_s}, by)


def _refuse_no_plan() -> None:
    season = to_plan()
    try:
        Lifts(season.lifts)
        water_of(season)
    except ValueError as error:
        raise Refused(f"No plan can be made: {error}", "Mend that on The yard.") from error


def stop(job: Job, by: Person) -> None:
    """End the work on it, with the best it has by then."""
    need(by, Right.INK)
    jobs.stop(job)


def plan_again(by: Person) -> Job:
    """Ask for the smallest change to the plan that holds; it is worked on in the background."""
    need(by, Right.INK)
    fact = work.last_published()
    if fact is None:
        raise Refused("No plan is published.", "Plan the spring and publish it first.")
    _refuse_no_plan()
    return jobs.ask(queries.AGAIN, {"plan": str(fact.pk)}, by)


def publish(entry: Entry, job: Job, agreed: Collection[Boat] = frozenset()) -> Fact:
    """Let a plan hold from now on: each boat gets her day in Pencil. It is checked once more first.

    A day in Ink moves only where somebody says yes to it.
    """
    return _published(entry, job, queries.answer_of(job), agreed)


def publish_change(
    entry: Entry, job: Job, choice: int, agreed: Collection[Boat] = frozenset()
) -> Fact:
    """Let one answer of a replan hold, as ``publish`` does."""
    choices = () if job.state in jobs.OPEN else queries.choices_in(job)
    if not 0 <= choice < len(choices):
        raise Refused("There is no such plan to publish.", "Load the page again.")
    return _published(entry, job, choices[choice].plan, agreed)


@transaction.atomic
def _published(entry: Entry, job: Job, plan: Published | None, agreed: Collection[Boat]) -> Fact:
    need(entry.by, Right.INK)
    again = queries.held(entry.uuid)
    if again is not None and again.kind == Kind.PUBLISHED:
        return again
    if plan is None or not plan.plan.launches:
        raise Refused("There is no plan to publish.", "Plan the spring first.")
    _refuse_published(job, plan)
    _refuse_broken("The plan", plan, "Plan again.")
    return _let_hold(entry, plan, agreed, {"job": str(job.pk)})


@transaction.atomic
def take_back(
    entry: Entry, plan: UUID | None, reason: str, agreed: Collection[Boat] = frozenset()
) -> Fact:
    """The plan that holds was published by mistake: the one before it holds again, if it still may.

    The Pencil days told by it follow; Ink made since stays.
    """
    need(entry.by, Right.INK)
    again = queries.held(entry.uuid)
    if again is not None and again.kind == Kind.PUBLISHED:
        return again
    mistaken = work.last_published()
    if mistaken is None:
        raise Refused("No plan is published.", "Nothing to do.")
    if mistaken.pk != plan:
        raise Refused(
            f"{mistaken.by} published another plan at {_clock(mistaken)}.",
            "Load the page again: that one holds now.",
        )
    before = queries.plan_of(work.last_published(before=mistaken.received_at))
    if before is None:
        raise Refused("No plan was published before this one.", "Plan the spring again.")
    if not reason.strip():
        raise Refused("Why is it taken back?", "Say the reason; both plans stay readable.")
    _refuse_broken("The plan before this one", before, "Replan instead.")
    why = reason.strip()
    told = _let_hold(entry, before, agreed, {"reason": why}, mistaken)
    for day in queries.days_told_by(mistaken).exclude(boat__name__in=before.told):
        facts.add_struck_out(replace(entry.now(), uuid=_part_of(entry, str(day.pk))), day, why)
    return told


def _refuse_broken(which: str, plan: Published, do: str) -> None:
    if broken := breaks(to_plan(), plan, clock.now()):
        said = f"{' '.join(map(str, broken[:5]))}{_and_more(len(broken) - 5)}"
        raise Refused(f"{which} no longer holds: {said}", do)


def _let_hold(
    entry: Entry,
    plan: Published,
    agreed: Collection[Boat],
    how: dict[str, str],
    instead: Fact | None = None,
) -> Fact:
    moves = queries.ink_moved(plan)
    _refuse_unagreed(moves, agreed)
    now, moved = entry.now(), [one.boat for one in moves]
    body = {**how, "plan": as_json(plan), "agreed": moved}
    told = facts.add_published(now, body, instead)
    rows = {row.name: row for row in Boat.objects.filter(name__in=plan.told)}
    for name, one in plan.told.items():
        pencil = replace(now, uuid=_part_of(entry, name))
        moved_by = entry.by.name if name in moved else ""
        facts.add_promised(pencil, rows[name], "pencil", one.handed_over, told, moved_by=moved_by)
    work_out_odds(entry.by)
    return told


def _refuse_unagreed(moves: Sequence[InkMoved], agreed: Collection[Boat]) -> None:
    named = {boat.name for boat in agreed}
    missing = [moved.words for moved in moves if moved.boat not in named]
    if missing:
        raise Refused(
            f"A day in Ink moves by this plan: {' '.join(missing)}",
            "Tick each boat whose owner you will call, or take another plan.",
        )


def _and_more(count: int) -> str:
    return f" And {count} more." if count > 0 else ""


def _refuse_published(job: Job, plan: Published) -> None:
    mine = queries.published_from(job)
    if mine is not None:
        raise Refused(
            f"{mine.by} published this plan already, at {_clock(mine)}.",
            "Load the page again: the plan that holds stands on it.",
        )
    newer = queries.published_since(plan.asked_at)
    if newer is not None:
        anew = queries.told_anew(newer)
        raise Refused(
            f"{newer.by} published another plan at {_clock(newer)}, after this one was asked for. "
            f"{' '.join(anew[:5]) or 'It hands over every boat on the day known.'}"
            f"{_and_more(len(anew) - 5)}",
            "Plan again, so that it knows of that one.",
        )


def _clock(fact: Fact) -> str:
    return f"{fact.received_at.astimezone(clock.zone()):%H:%M}"


def count_capacity(by: Person, until: date, like: str, tolerance_days: int) -> Job:
    """Ask how many more boats can be promised by a day; it is worked on in the background."""
    need(by, Right.INK)
    if until < clock.today():
        raise Refused(
            f"{said_day(until)} {until.year} has passed.", "Ask for today or a later day."
        )
    last = clock.the_yard().last_day
    if until > last:
        raise Refused(
            f"{said_day(until)} is after the season's last day, {said_day(last)}.",
            "Ask for a day until then, or end the season later in the yard's settings.",
        )
    _refuse_no_plan()
    question = {"by": until.isoformat(), "like": like, "tolerance_days": tolerance_days}
    return jobs.ask(queries.CAPACITY, question, by)


def work_out_odds(by: Person) -> Job:
    """Ask what owners can be told now, by the plan that holds; worked on in the background."""
    need(by, Right.INK)
    return jobs.ask(queries.ODDS, {"plan": _the_plan_that_holds()}, by)


def look_for_savers(by: Person, boat: Boat | None = None) -> Job:
    """Ask what would save every Ink in danger, or one boat's promise; worked on in the background."""
    need(by, Right.INK)
    plan = _the_plan_that_holds()
    if boat is not None and queries.promises(boat) == Promise():
        raise Refused(f"{boat} has no day promised.", "There is nothing to save.")
    return jobs.ask(queries.SAVERS, {"plan": plan, "boat": boat.name if boat else ""}, by)


def _the_plan_that_holds() -> str:
    fact = work.last_published()
    if fact is None:
        raise Refused("No plan is published.", "Plan the spring and publish it, then ask again.")
    return str(fact.pk)


# --- going in -------------------------------------------------------------------


@transaction.atomic
def set_state(
    entry: Entry, boat: Boat, state: State, place: Place | None = None, berth: int | None = None
) -> Fact:
    """She is in another state on land (or comes out, in fall), maybe somewhere else.

    Of a boat that nobody has moved yet it is the first word: it is taken as it is.
    """
    need(entry.by, Right.PROVE)
    if again := _again(entry, boat, state):
        return again
    going = on_her_way.going(boat, clock.now())
    is_out = (going.boat.state, state) == (State.COMING_OUT, State.BLOCKED_UP)
    if is_out or state in BY_LIFT or going.boat.state in AT_THE_LIFT:
        raise Refused(
            f"She is {going.boat.state}, and {state} goes by way of the slings.",
            f"Use the steps on her {State.COMING_OUT if is_out else 'Going in'} page.",
        )
    if boat.pk in work.where_all():
        _refuse(going.refusals(state))
    place, berth = _where(boat, going, place, berth)
    return facts.add_moved(entry.now(), boat, state, place, berth)


def ready(entry: Entry, boat: Boat) -> Fact:
    """She is ready to go in."""
    return set_state(entry, boat, State.READY)


@transaction.atomic
def move(entry: Entry, boat: Boat, place: Place, berth: int | None = None) -> Fact:
    """She stands somewhere else on land."""
    need(entry.by, Right.PROVE)
    going = on_her_way.going(boat, clock.now())
    if again := _again(entry, boat, going.boat.state):
        return again
    if going.boat.state in (*BY_LIFT, State.AFLOAT):
        raise Refused(f"She is {going.boat.state}.", "Lift her onto land first.")
    place_at, berth_at = _where(boat, going, place, berth)
    return facts.add_moved(entry.now(), boat, going.boat.state, place_at, berth_at)


def _where(
    boat: Boat, going: on_her_way.Going, place: Place | None, berth: int | None
) -> tuple[Place | None, int | None]:
    """A free berth at a place; without one, where she stands."""
    if place is None:
        here = Place.objects.filter(name=going.boat.place).first()
        return here, going.boat.berth if here else None
    if berth is not None and not 1 <= berth <= place.berths:
        raise Refused(f"{place} has no berth {berth}.", f"Give 1 to {place.berths}.")
    other = queries.who_stands_in(place.name, berth)
    if other is not None and other != boat.name:
        raise Refused(f"{other} stands at {place}, berth {berth}.", "Give a free berth.")
    return place, berth


@transaction.atomic
def into_slings(
    entry: Entry,
    boat: Boat,
    lift: Lift,
    angle_deg: float | None = None,
    wind_m_s: float | None = None,
) -> Fact:
    """She hangs in the slings, her keel in the water; the wind that was told is kept with it."""
    need(entry.by, Right.WATER)
    if again := _again(entry, boat, State.IN_THE_SLINGS):
        return again
    _carried(boat, State.IN_THE_SLINGS, lift, angle_deg, wind_m_s)
    return facts.add_moved(entry.now(), boat, State.IN_THE_SLINGS, lift=lift, wind_m_s=wind_m_s)


@transaction.atomic
def blocked_up(
    entry: Entry,
    boat: Boat,
    lift: Lift,
    angle_deg: float | None = None,
    wind_m_s: float | None = None,
    place: Place | None = None,
    berth: int | None = None,
) -> Fact:
    """A lift brought her out, and she stands; the wind that was told is kept with it."""
    need(entry.by, Right.PROVE)
    if again := _again(entry, boat, State.BLOCKED_UP):
        return again
    going = _carried(boat, State.BLOCKED_UP, lift, angle_deg, wind_m_s)
    place, berth = _where(boat, going, place, berth)
    return facts.add_moved(entry.now(), boat, State.BLOCKED_UP, place, berth, lift, wind_m_s)


def _carried(
    boat: Boat, to: State, lift: Lift, angle_deg: float | None, wind_m_s: float | None
) -> on_her_way.Going:
    """A lift carries her on, unless something refuses it."""
    going = on_her_way.going(boat, clock.now(), lift.name)
    carries = next(one for one in yard.lifts() if one.name == lift.name)
    lifts_her = lifting(going.boat, carries, angle_deg, going.here, wind_m_s)
    _refuse(going.refusals(to, lifts_her))
    return going


def look(entry: Entry, boat: Boat, at_what: str, *, holds: bool | None, words: str = "") -> Fact:
    """A look at the lift, or of the watch: now, and dry or not."""
    openings = [way.name for way in boat.ways_in.all()]
    if at_what not in (BILGE_DRY, BILGE_PUMP, *map(from_inside, openings)):
        raise Refused(f"{at_what or 'That'} is not looked at here.", "Load the page again.")
    if holds is None:
        raise Refused("Is it so, or not?", "Tap one of the two.")
    said = words.strip() or ("" if holds else UNSAID.get(at_what, "water comes in"))
    return work_services.look(entry.now(), boat, at_what, holds=holds, words=said)


@transaction.atomic
def slings_off(entry: Entry, boat: Boat) -> Fact:
    """The slings come off: she floats by herself, and is watched."""
    return _lifted(entry, boat, State.IN_THE_WATER)


@transaction.atomic
def lift_back(entry: Entry, boat: Boat) -> Fact:
    """Out of the water into the slings, or out of the slings onto land. Nobody is refused."""
    held = queries.held(entry.uuid)
    if held is not None and held.boat == boat:
        return held
    going = on_her_way.going(boat, clock.now())
    match going.boat.state:
        case State.IN_THE_WATER:
            return facts.add_moved(entry.now(), boat, State.IN_THE_SLINGS, lift=_lift_of(going))
        case State.IN_THE_SLINGS:
            place = Place.objects.filter(name=going.last_place).first()
            taken = queries.who_stands_in(going.last_place, going.last_berth)
            berth = going.last_berth if taken in (None, boat.name) else None
            return facts.add_moved(
                entry.now(), boat, State.FITTING_OUT, place, berth, _lift_of(going)
            )
        case other:
            raise Refused(f"She is {other}: there is nothing to lift back.", "Look at her page.")


@transaction.atomic
def hand_over(entry: Entry, boat: Boat) -> Fact:
    """She is her owner's again; a day in Ink is now kept or missed."""
    fact = _lifted(entry, boat, State.HANDED_OVER)
    ink, day = queries.promises(boat).ink, fact.done_at.astimezone(clock.zone()).date()
    if ink is not None:
        stage = "kept" if day <= ink else "missed"
        facts.add_promised(replace(entry.now(), uuid=_part_of(entry, stage)), boat, stage, day)
    return fact


def _lifted(entry: Entry, boat: Boat, to: State) -> Fact:
    need(entry.by, Right.WATER)
    if again := _again(entry, boat, to):
        return again
    going = on_her_way.going(boat, clock.now())
    _refuse(going.refusals(to))
    return facts.add_moved(entry.now(), boat, to, lift=_lift_of(going))


def _lift_of(going: on_her_way.Going) -> Lift:
    if going.lift is None:
        raise Refused("There is no lift in this yard.", "Enter one on The yard.")
    return Lift.objects.get(name=going.lift.name)


def _refuse(refusals: tuple[str, ...]) -> None:
    if refusals:
        raise Refused(" ".join(refusals), "Do that first, then try again.")


def _again(entry: Entry, boat: Boat, state: State) -> Fact | None:
    """The same entry once more changes nothing; for something else it is refused."""
    held = queries.held(entry.uuid)
    if held is None:
        return None
    if (held.boat, held.what) != (boat, state):
        raise Refused("This entry was already used for something else.", "Load the page again.")
    return held


def _part_of(entry: Entry, what: str) -> UUID:
    return uuid5(entry.uuid, what)
