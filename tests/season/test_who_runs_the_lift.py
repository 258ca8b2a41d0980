"""A lift that only some may run: it is shut while none of them is at work, and that is said."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from yardwright.plan import checker
from yardwright.plan.changes import changes
from yardwright.plan.clash import why_promise_not_kept
from yardwright.plan.planner import plan
from yardwright.plan.problem import BoatId, PersonId, Problem
from yardwright.plan.why import why_not_earlier
from yardwright.procedures.going_in import State
from yardwright.season.again import again
from yardwright.season.asked import as_asked
from yardwright.season.faults import faults
from yardwright.season.haul_out import order
from yardwright.season.holds import breaks
from yardwright.season.lifts import nobody_in, shut_while
from yardwright.season.model import Lift, Person, Season, Weekday
from yardwright.season.published import Published, published
from yardwright.season.read import read, read_file
from yardwright.season.spring import asked_of, problem_of
from yardwright.season.write import write

DOCS = Path(__file__).parents[2] / "docs"
ZONE = ZoneInfo("America/New_York")
SUNDAY = datetime(2031, 5, 4, 18, tzinfo=ZONE)
TUESDAY = date(2031, 5, 6)
DUNLIN = BoatId("Dunlin")
RUNA = Person("Runa", hours=((time(6), time(11)), (time(11, 30), time(16))))
SANDER = Person("Sander", hours=((time(6), time(11, 30)), (time(12), time(16))))
SICK = replace(RUNA, off=(TUESDAY,))


def run_by(*people: Person, **changes: object) -> Season:
    """The three days, their lift run by these people alone."""
    season = read_file(DOCS / "three-days.toml")
    names = tuple(person.name for person in people)
    lift = replace(season.lifts[0], run_by=names, **changes)  # type: ignore[arg-type]
    return replace(season, lifts=(lift,), people=(*season.people, *people))


def clock(problem: Problem, opens: Sequence[tuple[int, int]]) -> list[str]:
    at = problem.days.clock
    return [f"{at(start)} to {at(end)[-5:]}" for start, end in opens]


def planned(season: Season) -> Published:
    problem = problem_of(season, begins=SUNDAY)
    return published(season, problem, plan(problem, time_limit_s=5), begins=SUNDAY)


@pytest.fixture(scope="module")
def old() -> Published:
    """Planned while Runa, who alone runs the lift, is well."""
    return planned(run_by(RUNA))


def test_it_is_open_while_one_of_them_is_at_work() -> None:
    # By hand, of the lift's own hours 6:00 to 16:00.
    one = problem_of(run_by(RUNA))
    assert clock(one, one.lifts[0].opens[:2]) == [
        "Mon 5 May 06:00 to 11:00",
        "Mon 5 May 11:30 to 16:00",
    ]
    two = problem_of(run_by(RUNA, SANDER))
    assert two.lifts[0].opens == problem_of(read_file(DOCS / "three-days.toml")).lifts[0].opens
    late = replace(RUNA, hours=((time(14), time(20)),), overtime=((time(12), time(14)),))
    some = problem_of(run_by(late))
    assert clock(some, some.lifts[0].opens[:1]) == ["Mon 5 May 14:00 to 16:00"]


@pytest.mark.parametrize(
    "away", [SICK, replace(RUNA, weekdays=(Weekday.MON, Weekday.WED))], ids=["off", "weekday"]
)
def test_with_none_of_them_in_it_is_shut_for_the_day(away: Person) -> None:
    (lift,) = (asked := problem_of(run_by(away))).lifts
    assert {said[:3] for said in clock(asked, lift.opens)} == {"Mon", "Wed"}
    assert lift.away == ((1440, 2 * 1440),)


def test_her_launch_is_on_another_day() -> None:
    season = run_by(SICK)
    before = {go.boat: go.starts.date() for go in planned(run_by(RUNA)).plan.launches}
    after = {go.boat: go.starts.date() for go in planned(season).plan.launches}
    assert before["Dunlin"] == TUESDAY
    assert after.keys() == before.keys()
    assert TUESDAY not in after.values()


def test_a_launch_while_all_who_may_run_it_have_other_work_is_said() -> None:
    season = run_by(RUNA)
    problem = problem_of(season, begins=SUNDAY)
    answer = plan(problem, time_limit_s=5)
    stands = answer.plan
    assert stands
    none = published(season, problem, answer).not_known  # she has no work but the lift
    assert not [said for said in none if "who runs it" in said]
    goes_in = stands.launches[DUNLIN]
    other, job = next((key, job) for key, job in stands.jobs.items() if "Dunlin" not in key)

    def said(of: Problem, start: int, minutes: int) -> list[str]:
        hers = replace(job, person=PersonId("Runa"), start=start, end=start + minutes)
        busy = replace(stands, jobs={**stands.jobs, other: hers})
        told = published(season, of, replace(answer, plan=busy)).not_known
        return [words for words in told if "who runs it" in words]

    (once,) = said(problem, goes_in + 29, 30)
    assert once == (
        "Once everybody who may run the Travel lift has other work by this plan while it is needed, "
        f"for Dunlin, {problem.days.clock(goes_in)}: who runs it then is not known."
    )
    assert said(problem, goes_in + 30, 30) == []  # her launch takes 30 minutes
    day_long = replace(SANDER, hours=((time(6), time(16)),))
    assert said(problem_of(run_by(RUNA, day_long), begins=SUNDAY), goes_in, 30) == []
    (often,) = said(problem, 0, problem.days.end)
    assert often.startswith(f"{len(stands.launches) + len(stands.asides)} times everybody")


def test_a_launch_kept_on_that_day_breaks_a_rule(old: Published) -> None:
    sick = run_by(SICK)
    asked = problem_of(sick, begins=SUNDAY)
    (go,) = (one for one in old.plan.launches if one.boat == DUNLIN)
    says = f"Dunlin needs the lift at {go.starts:%a} 6 May {go.starts:%H:%M}, when nobody who may run it is in."
    assert says in [*checker.lift_open(as_asked(old, asked), asked)]
    (line,) = (one for one in breaks(sick, old, SUNDAY) if "who may run" in one.words)
    assert line.words.startswith("Nobody who may run the Travel lift is in Tue 6 May when it")
    assert DUNLIN in line.boats


def test_of_two_one_is_sick_and_nothing_changes() -> None:
    old = planned(run_by(RUNA, SANDER))
    day_long = replace(SANDER, hours=((time(6), time(16)),))
    assert not breaks(run_by(SICK, day_long), old, SUNDAY)
    assert breaks(run_by(SICK, replace(SANDER, off=(TUESDAY,))), old, SUNDAY)


def test_replan_says_why(old: Published) -> None:
    monday = SUNDAY + timedelta(hours=12)
    first = again(run_by(SICK), old, asked_at=monday, begins=monday, time_limit_s=3)[0]
    (dunlin,) = (one for one in first.changes if one.boat == "Dunlin")
    assert dunlin.words[0].endswith(": nobody who may run the Travel lift is in then.")
    assert not breaks(run_by(SICK), first.plan, monday)


def test_why_she_goes_no_earlier_and_why_her_promise_is_not_kept() -> None:
    # Dunlin alone: by hand, three hours of Ines make her ready on Monday at 10:00, when the morning's
    # water leaves; on Tuesday, the day of her Ink, nobody is in, and on Wednesday she goes.
    season = run_by(SICK)
    (dunlin,) = (replace(one, place="") for one in season.boats if one.name == "Dunlin")
    season = replace(season, boats=(replace(dunlin, berth=None),))
    asked = problem_of(season, begins=SUNDAY)
    answer = plan(asked, time_limit_s=5).plan
    assert answer is not None
    assert why_not_earlier(asked, answer, DUNLIN) == [
        "There is water for Dunlin Tue 6 May 04:41 to 10:45, but nobody who may run the Travel lift "
        "is in; a launch needs 30 min.",
        "There is water for Dunlin Tue 6 May 17:02 to 23:08, but not with the lift open; a launch "
        "needs 30 min.",
    ]
    facts, change = why_promise_not_kept(asked, DUNLIN)
    assert "nobody who may run the Travel lift is in on Tue 6 May" in facts
    assert "somebody in on Tue 6 May who may run the Travel lift" in change
    well = problem_of(replace(run_by(RUNA), boats=season.boats), begins=SUNDAY)
    assert why_promise_not_kept(well, DUNLIN) == []


def test_who_is_not_in_is_not_asked_to_stay_longer() -> None:
    # Tuesday evening's water is a saver of Curlew's Ink while Runa is in (story A1).
    for season, kept_open in ((run_by(RUNA), True), (run_by(SICK), False)):
        asked = problem_of(season, begins=SUNDAY)
        answer = plan(asked, time_limit_s=5).plan
        assert answer is not None
        words = [one.words for one in changes(asked, answer, BoatId("Curlew"))]
        assert any("keep the travel lift open Tue 6 May" in one for one in words) == kept_open


def test_nobody_is_hauled_out_that_day() -> None:
    def days(season: Season) -> list[date]:
        avocet = replace(season.boats[0], state=State.AFLOAT, place="", berth=None)
        found = order(replace(season, boats=(avocet,)), SUNDAY + timedelta(hours=30), 2, None)
        return [turn.starts.date() for turn in found.turns]

    assert days(run_by(RUNA)) == [TUESDAY]
    assert days(run_by(SICK)) == [date(2031, 5, 7)]


def test_nobody_in_today() -> None:
    lift: Lift = run_by(SICK).lifts[0]
    assert nobody_in(lift, [SICK], TUESDAY)
    assert not nobody_in(lift, [SICK], date(2031, 5, 7))
    assert not nobody_in(lift, [SICK], date(2031, 5, 4))  # on Sundays it is shut anyway
    assert not nobody_in(replace(lift, run_by=()), [SICK], TUESDAY)


@pytest.mark.parametrize(
    ("start", "end", "had"),
    [("10:30", "11:00", True), ("10:45", "11:15", False), ("11:30", "12:00", True)],
)
def test_nobody_in_for_all_of_a_launch(start: str, end: str, had: bool) -> None:
    # By hand: Runa's break is 11:00 to 11:30; Sander is there then.
    (lift,) = run_by(RUNA, SANDER).lifts
    begins, ends = (datetime.fromisoformat(f"2031-05-06T{at}-04:00") for at in (start, end))
    alone = ["Nobody who may run the Travel lift is in for all of that time."]
    assert [*shut_while(lift, [RUNA], begins, ends, ZONE)] == ([] if had else alone)
    assert not shut_while(lift, [RUNA, SANDER], begins, ends, ZONE)
    assert [*shut_while(lift, [SICK], begins, ends, ZONE)] == alone


def test_it_is_written_and_read_and_a_stranger_is_refused() -> None:
    season = run_by(RUNA, SANDER)
    assert 'run_by = ["Runa", "Sander"]' in write(season)
    assert read(write(season)) == season
    (fault,) = faults(replace(season, people=season.people[:-1]))
    assert fault.path == ("lifts", 0, "run_by", 1)
    assert fault.says.startswith("no person 'Sander'; ")


def test_who_is_in_but_never_at_the_lift_s_hours_runs_nothing() -> None:
    evenings = replace(RUNA, hours=((time(17), time(20)),))
    season = run_by(evenings)
    (lift,) = problem_of(season, begins=SUNDAY).lifts
    assert lift.opens == ()
    assert lift.away == ((0, 3 * 1440),)
    assert nobody_in(season.lifts[0], season.people, TUESDAY)


def test_with_none_of_them_in_to_the_end_the_reason_is_that() -> None:
    gone = replace(RUNA, off=tuple(TUESDAY + timedelta(days=day) for day in (-1, 0, 1)))
    _, left_out = asked_of(run_by(gone), begins=SUNDAY)
    assert left_out
    assert all("nobody who may run the Travel lift is in" in one.because for one in left_out)
