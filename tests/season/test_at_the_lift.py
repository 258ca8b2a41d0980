"""A boat in the slings has the lift, and one that is watched a place for looks."""

from dataclasses import replace
from datetime import datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from yardwright.plan.checker import broken
from yardwright.plan.hours import within
from yardwright.plan.planner import plan
from yardwright.plan.problem import BoatId, Person, PersonId, Problem
from yardwright.procedures.going_in import BILGE_DRY, State, look_times
from yardwright.procedures.ways_in import Look
from yardwright.season.again import again
from yardwright.season.asked import asked_now
from yardwright.season.choices import Choice
from yardwright.season.faults import faults
from yardwright.season.holds import breaks
from yardwright.season.model import OWNER, Boat, Lifted, Looks, Owner, Season, Weekday, Work
from yardwright.season.published import Published, as_json, from_json, published
from yardwright.season.read import read, read_file
from yardwright.season.spring import problem_of
from yardwright.season.under_way import UnderWay, under_way
from yardwright.season.write import write
from yardwright.season.yard_time import Job, Launch

DOCS = Path(__file__).parents[2] / "docs"
ZONE = ZoneInfo("America/New_York")
TUESDAY = datetime(2031, 5, 6, tzinfo=ZONE)
LIFT = "Travel lift"


def at(clock: str) -> datetime:
    return TUESDAY.replace(hour=int(clock[:2]), minute=int(clock[3:]))


def minute(clock: str) -> int:
    return 1440 + int(clock[:2]) * 60 + int(clock[3:])


@pytest.fixture(scope="module")
def three_days() -> Season:
    """With the kit come, so that all of the boats can be planned at any time."""
    season = read_file(DOCS / "three-days.toml")
    parts = tuple(replace(part, came=part.arrives) for part in season.parts)
    return replace(season, parts=parts)


def with_one(season: Season, state: State, lifted: Lifted | None, count: int = 1) -> Season:
    """The three days with a boat at the lift, and as many lifts alike."""
    skua = Boat("Skua", state, draft_m=1.0, weight_kg=2000.0, lifted=lifted)
    lifts = tuple(replace(season.lifts[0], name=LIFT + " two" * n) for n in range(count))
    return replace(season, boats=(*season.boats, skua), lifts=lifts)


def test_in_the_slings_she_has_the_lift_until_her_launch_is_over(three_days: Season) -> None:
    # By hand: in the slings 09:20, a launch is 30 minutes.
    season = with_one(three_days, State.IN_THE_SLINGS, Lifted(at("09:20"), LIFT))
    assert faults(season) == ()
    (lift,) = problem_of(season, begins=at("09:00"), now=at("09:25")).lifts
    assert lift.taken == ((minute("09:20"), minute("09:50")),)
    # At 10:15 she still hangs: what is left of it is not known, and all is counted anew.
    (late,) = problem_of(season, begins=at("10:30"), now=at("10:15")).lifts
    assert late.taken == ((minute("09:20"), minute("10:46")),)


def test_where_nobody_knows_since_when_it_begins_now(three_days: Season) -> None:
    season = with_one(three_days, State.IN_THE_SLINGS, None)
    (lift,) = problem_of(season, begins=at("09:00")).lifts
    assert lift.taken == ((minute("09:01"), minute("09:31")),)


def test_two_in_one_lift_take_one_lift(three_days: Season) -> None:
    season = with_one(three_days, State.IN_THE_SLINGS, Lifted(at("09:20"), LIFT))
    other = replace(season.boats[-1], name="Tern", lifted=Lifted(at("09:30"), LIFT))
    season = replace(season, boats=(*season.boats, other))
    (lift,) = problem_of(season, begins=at("09:00")).lifts
    assert lift.taken == ((minute("09:20"), minute("10:00")),)


def test_the_plan_waits_for_the_lift(three_days: Season) -> None:
    """All of Tuesday's water of the two deep boats is gone while she hangs: neither goes in then."""
    free = problem_of(three_days, begins=at("05:00"))
    first = plan(free, time_limit_s=10).plan
    assert first is not None
    soonest = min(first.launches.values())
    at_lift = free.days.at(soonest - 10)
    season = with_one(three_days, State.IN_THE_SLINGS, Lifted(at_lift, LIFT))
    problem = problem_of(season, begins=at("05:00"), now=at_lift)
    found = plan(problem, time_limit_s=10).plan
    assert found is not None
    assert not broken(found, problem)
    assert any("the boat in the slings" in says for says in broken(first, problem))
    for launch in found.launches.values():
        assert launch >= soonest + 20 or launch + 30 <= soonest - 10


def test_two_lifts_and_one_of_them_is_taken(three_days: Season) -> None:
    season = with_one(three_days, State.IN_THE_SLINGS, Lifted(at("09:20"), LIFT), count=2)
    (lift,) = problem_of(season, begins=at("05:00"), now=at("09:25")).lifts
    assert (lift.count, len(lift.taken)) == (2, 1)
    problem = problem_of(season, begins=at("05:00"), now=at("09:25"))
    (boat, *_) = problem.going_in
    assert problem.lift_opens(boat) == lift.opens  # the other one is free


def looked_after(season: Season, state: State, lifted: Lifted | None) -> Season:
    looks = Looks(120, 1, ((time(6), time(20)),))
    return replace(with_one(season, state, lifted), looks=looks)


def test_one_that_is_watched_takes_a_place_for_looks(three_days: Season) -> None:
    season = looked_after(three_days, State.IN_THE_WATER, Lifted(at("08:00"), LIFT))
    problem = problem_of(season, begins=at("05:00"))
    assert problem.looks is not None
    assert problem.looks.taken == ((minute("08:00"), minute("10:00")),)
    found = plan(problem, time_limit_s=10).plan
    assert found is not None
    assert not broken(found, problem)
    for key, launch in found.launches.items():
        over = launch + problem.boat[key].launch_min
        assert over >= minute("10:00") or over + 120 <= minute("08:00")
    nobody = replace(problem, looks=replace(problem.looks, taken=((0, problem.days.end),)))
    assert any("a boat that is in" in says for says in broken(found, nobody))


def test_a_plan_holds_while_she_goes_in_by_it(three_days: Season) -> None:
    """On her own day she hangs some minutes longer than planned: that is no breach, and a replan sees it."""
    problem = problem_of(three_days, begins=at("05:00"))
    old = published(three_days, problem, plan(problem, time_limit_s=10), begins=at("05:00"))
    go = old.plan.launches[0]
    lifted = Lifted(go.starts, LIFT)
    season = at_lift(three_days, go.boat, lifted)
    assert not [one for one in breaks(season, old, go.starts) if "slings" in one.words]
    asked, _ = asked_now(season, old, go.starts, go.starts)
    begun = asked.days.minute(go.starts)
    assert asked.lifts[0].taken == ((begun, begun + 30),)
    assert BoatId(go.boat) not in asked.boat


AFLOAT = Work("mast stepped", "yard hand", 60, afloat=True)


@pytest.fixture(scope="module")
def afloat(three_days: Season) -> tuple[Season, Published]:
    """On each boat the mast is stepped afloat too; and the plan for it."""
    boats = tuple(replace(boat, work=(*boat.work, AFLOAT)) for boat in three_days.boats)
    season = replace(three_days, boats=boats)
    return season, planned(season)


@pytest.mark.parametrize("state", [State.IN_THE_SLINGS, State.IN_THE_WATER])
def test_a_change_keeps_who_is_at_the_lift_and_her_work_afloat(
    afloat: tuple[Season, Published], state: State
) -> None:
    """Her launch, her owner's day and who steps her mast stand in the plan that is changed."""
    season, old = afloat
    go, steps = first_launch(old)
    now = go.starts + timedelta(minutes=5)
    on_her = at_lift(done_by(season, old, now), go.boat, Lifted(go.starts, LIFT), state)
    (first, *_) = changed(on_her, old, now)
    assert first.plan.launch(go.boat) == go
    assert first.plan.told[go.boat] == old.told[go.boat]
    assert steps in first.plan.plan.jobs
    assert first.changes == ()
    assert breaks(on_her, first.plan, now) == []
    asked, _ = asked_now(on_her, old, now, now)
    (who,) = (person for person in asked.people if person.name == steps.person)
    busy = asked.days.minute(steps.starts), asked.days.minute(steps.ends)
    assert not within(who.works, *busy)


def test_work_afloat_that_nobody_is_there_for_is_said(afloat: tuple[Season, Published]) -> None:
    season = replace(afloat[0], boats=(afloat[0].boats[0], afloat[0].boats[-1]))
    old = planned(season)
    go, steps = first_launch(old)
    now = go.starts + timedelta(minutes=5)
    people = tuple(
        replace(one, off=(*one.off, steps.starts.date())) if one.name == steps.person else one
        for one in season.people
    )
    sick = replace(done_by(season, old, now), people=people)
    sick = at_lift(sick, go.boat, Lifted(go.starts, LIFT), State.IN_THE_WATER)
    says = f"{go.boat}: {AFLOAT.what} is still to be done, and nobody does it by this plan: "
    assert any(one.words.startswith(says) for one in breaks(sick, old, now))
    (first, *_) = changed(sick, old, now)
    assert steps not in first.plan.plan.jobs
    (said,) = (one.words for one in first.changes if one.boat == go.boat)
    assert said[0].startswith(f"{says}{steps.person} is not there for it")
    # The plan says it from then on, and holds.
    assert [one.words for one in first.plan.by_nobody] == [said[0]]
    assert from_json(as_json(first.plan)) == first.plan
    assert breaks(sick, first.plan, now) == []
    assert under_way(sick, first.plan, now).nobody == first.plan.by_nobody


def test_an_owner_s_own_work_afloat_goes_on(three_days: Season) -> None:
    plover = replace(
        three_days.boats[0],
        owner=Owner("Pat", hours=((time(7), time(20)),), weekdays=tuple(Weekday)),
        work=(*three_days.boats[0].work, Work("sails bent on", OWNER, 60, afloat=True)),
    )
    season = replace(three_days, boats=(plover,))
    old = planned(season)
    (go,) = old.plan.launches
    now = go.starts + timedelta(minutes=5)
    goes = under_way(at_lift(season, "Plover", Lifted(go.starts, LIFT)), old, now)
    assert [(job.what, job.person) for job in goes.jobs] == [("sails bent on", "Pat (owner)")]
    assert goes.nobody == ()


def test_who_went_a_day_late_is_late_in_the_plan_too(three_days: Season) -> None:
    # By hand: told Monday in Ink, lifted on Tuesday: handed over Tuesday, one day late.
    old = planned(three_days)
    go = old.plan.launches[0]
    assert (go.boat, go.days_late, go.in_ink) == ("Plover", 0, True)
    late = go.starts + timedelta(days=1)
    goes = under_way(at_lift(three_days, go.boat, Lifted(late, LIFT)), old, late)
    (begun,) = goes.launches
    assert (begun.starts, begun.days_late) == (late, 1)
    assert goes.told["Plover"].handed_over == old.told["Plover"].handed_over + timedelta(days=1)
    assert goes.kept_in(old).ink_days == old.ink_days + 1


def test_her_watch_says_when_she_is_handed_over_and_a_missed_look_moves_it(
    three_days: Season,
) -> None:
    # By hand: told Monday and in on Monday, so watched until Tuesday; with a look missed for a day
    # from now, Wednesday.
    watched = replace(three_days, boats=tuple(replace(b, watch_min=1440) for b in three_days.boats))
    old = planned(three_days)
    go = old.plan.launches[0]
    assert (go.boat, go.promised) == ("Plover", go.starts.date())
    now = go.starts + timedelta(hours=23)
    afloat = at_lift(watched, go.boat, Lifted(go.starts, LIFT), State.IN_THE_WATER)
    times = look_times(go.starts)[:-1]
    for looks, days in ((times, 1), (times[:1], 2)):
        made = tuple(Look(BILGE_DRY, True, time, "Ines", "") for time in looks)
        seen = tuple(replace(b, looks=made) if b.name == go.boat else b for b in afloat.boats)
        goes = under_way(replace(afloat, boats=seen), old, now)
        assert goes.told["Plover"].handed_over == go.starts.date() + timedelta(days=days)
        assert goes.launches[0].days_late == days


def test_who_watches_one_alone_has_no_hours_for_others_and_who_has_none_left_is_no_fault(
    afloat: tuple[Season, Published],
) -> None:
    season, old = afloat
    _, steps = first_launch(old)
    watched = replace(steps, watcher="Ines")
    goes = UnderWay((), {}, (watched,), ())
    problem = problem_of(season, begins=at("05:00") - timedelta(days=1))
    hers = problem.days.minute(steps.starts), problem.days.minute(steps.ends)

    def ines(asked: Problem) -> Person:
        return asked.person[PersonId("Ines")]

    assert not within(ines(goes.beside(problem)).works, *hers)
    many = replace(problem, people=tuple(replace(p, may_watch=2) for p in problem.people))
    assert ines(goes.beside(many)).works == ines(many).works
    over = problem_of(season, begins=problem.days.at(problem.days.end - 1))
    assert ines(goes.beside(over)).works == ()


def test_who_went_sooner_is_in_the_plan_from_then(three_days: Season) -> None:
    old = planned(three_days)
    go = old.plan.launches[-1]
    sooner = go.starts - timedelta(days=1)
    hangs = at_lift(three_days, go.boat, Lifted(sooner, LIFT))
    (begun,) = under_way(hangs, old, sooner).launches
    assert (begun.starts, begun.ends) == (sooner, sooner + (go.ends - go.starts))


def planned(season: Season) -> Published:
    problem = problem_of(season, begins=at("05:00") - timedelta(days=1))
    found = plan(problem, time_limit_s=10)
    return published(season, problem, found, begins=at("05:00") - timedelta(days=1))


def changed(season: Season, old: Published, now: datetime) -> tuple[Choice, ...]:
    begins = now + timedelta(minutes=15)
    return again(season, old, asked_at=now, begins=begins, time_limit_s=3)


def first_launch(old: Published) -> tuple[Launch, Job]:
    """The first of a plan, and who steps her mast after it."""
    go = old.plan.launches[0]
    (steps,) = (job for job in old.plan.jobs if (job.boat, job.what) == (go.boat, AFLOAT.what))
    return go, steps


def done_by(season: Season, old: Published, now: datetime) -> Season:
    """What a plan has as over by then is done."""
    over = {(job.boat, job.what) for job in old.plan.jobs if job.ends <= now}
    boats = tuple(
        replace(boat, work=tuple(w for w in boat.work if (boat.name, w.what) not in over))
        for boat in season.boats
    )
    return replace(season, boats=boats)


def at_lift(
    season: Season, name: str, lifted: Lifted, state: State = State.IN_THE_SLINGS
) -> Season:
    boats = tuple(
        replace(boat, state=state, place="", berth=None, lifted=lifted)
        if boat.name == name
        else boat
        for boat in season.boats
    )
    return replace(season, boats=boats)


def test_it_is_written_and_read_and_refused_of_one_on_land(three_days: Season) -> None:
    season = with_one(three_days, State.IN_THE_WATER, Lifted(at("08:00"), LIFT))
    assert read(write(season)) == season
    (fault,) = faults(with_one(three_days, State.LAID_UP, Lifted(at("08:00"), LIFT)))
    assert "she is Laid up" in fault.says
