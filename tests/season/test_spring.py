"""Story A1 from its season file, through the planner and back into the yard's own time."""

from dataclasses import replace
from datetime import date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from yardwright.plan.planner import Answer, Status, plan
from yardwright.plan.problem import BoatId, PersonId, TaskId
from yardwright.procedures.going_in import State
from yardwright.procedures.step import Has, Stage, Trade
from yardwright.procedures.step import Season as StepSeason
from yardwright.procedures.steps import steps_for
from yardwright.season.model import Part, Person, Promise, Season, Weekday
from yardwright.season.put_backs import put_back_jobs
from yardwright.season.read import read_file
from yardwright.season.spring import asked_of, not_planned, problem_of
from yardwright.season.water import needed_m, season_span, water_of, windows
from yardwright.season.yard_time import SpringPlan, in_yard_time

DOCS = Path(__file__).parents[2] / "docs"
ZONE = ZoneInfo("America/New_York")


@pytest.fixture(scope="module")
def three_days() -> Season:
    return read_file(DOCS / "three-days.toml")


def at(day: int, clock: str, month: int = 5) -> datetime:
    hour, minute = map(int, clock.split(":"))
    return datetime(2031, month, day, hour, minute, tzinfo=ZONE)


def planned(season: Season) -> tuple[Answer, SpringPlan]:
    problem = problem_of(season)
    answer = plan(problem, time_limit_s=15)
    assert answer.plan is not None
    return answer, in_yard_time(problem, answer.plan)


def with_boat(season: Season, name: str, **changes: object) -> Season:
    boats = tuple(
        replace(boat, **changes) if boat.name == name else boat  # type: ignore[arg-type]
        for boat in season.boats
    )
    return replace(season, boats=boats)


def test_windows_are_those_worked_out_by_hand(three_days: Season) -> None:
    # Story A1, by hand from half-cosines: each within a minute.
    span = season_span(three_days)
    by_hand = {
        "Dunlin": [(at(6, "04:41"), at(6, "10:45"))],
        "Curlew": [
            (at(6, "05:38"), at(6, "09:45")),
            (at(6, "18:05"), at(6, "22:05")),
            (at(7, "06:38"), at(7, "10:35")),
        ],
        "Avocet": [(at(7, "07:18"), at(7, "09:55"))],
    }
    for boat in three_days.boats:
        found = windows(three_days, boat, span.start, span.end)
        for start, end in by_hand.get(boat.name, []):
            assert any(
                abs(one.start - start) <= timedelta(minutes=1)
                and abs(one.end - end) <= timedelta(minutes=1)
                for one in found
            ), (boat.name, start)


def test_the_level_a_boat_needs(three_days: Season) -> None:
    dunlin = three_days.boats[1]
    # Story A1: level ≥ draft + 0.35 − 1.00.
    assert needed_m(three_days, water_of(three_days), dunlin) == pytest.approx(1.45 + 0.35 - 1.00)


def test_the_best_plan_is_one_day_late_with_one_move_aside(three_days: Season) -> None:
    answer, told = planned(three_days)
    assert answer.status == Status.BEST
    assert answer.score is not None
    assert (answer.score.ink_days, answer.score.moves_aside) == (1, 1)
    assert answer.bound.ink_days == 1
    late = [one for one in told.launches if one.days_late]
    assert [(one.boat, one.starts.date(), one.promised) for one in late] == [
        ("Curlew", date(2031, 5, 7), date(2031, 5, 6))
    ]
    assert [one.boat for one in told.asides] == ["Curlew"]
    assert all(one.in_ink and one.starts.tzinfo == ZONE for one in told.launches)
    engine = next(job for job in told.jobs if (job.boat, job.what) == ("Curlew", "engine"))
    assert engine.starts >= at(6, "07:30")
    assert engine.person == "Ines"


def test_with_no_way_to_move_aside_it_is_two_days(three_days: Season) -> None:
    lift = replace(three_days.lifts[0], aside_min=None)
    answer, _ = planned(replace(three_days, lifts=(lift,)))
    assert answer.score is not None
    assert answer.score.ink_days == 2


def test_the_lift_kept_open_on_tuesday_evening_saves_it(three_days: Season) -> None:
    lift = replace(three_days.lifts[0], closes=time(18, 35))
    answer, told = planned(replace(three_days, lifts=(lift,)))
    assert answer.score is not None
    assert answer.score.ink_days == 0
    curlew = next(one for one in told.launches if one.boat == "Curlew")
    assert (curlew.starts, curlew.ends) == (at(6, "18:05"), at(6, "18:35"))


def test_the_kit_a_quarter_of_an_hour_earlier_saves_it(three_days: Season) -> None:
    answer, _ = planned(replace(three_days, parts=(Part("kit", at(6, "07:15")),)))
    assert answer.score is not None
    assert answer.score.ink_days == 0


def test_what_the_planner_is_asked(three_days: Season) -> None:
    problem = problem_of(three_days, published={"Teal": at(6, "07:30")})
    teal = problem.boat[BoatId("Teal")]
    assert (teal.ink, teal.launch_min, teal.aside_min) == (1, 30, 30)
    assert teal.published == 1440 + 7 * 60 + 30
    assert problem.rows == (("Curlew", "Dunlin"),)
    assert problem.task[TaskId("Curlew: engine")].not_before == 1440 + 7 * 60 + 30
    assert problem.lifts[0].opens[0] == (6 * 60, 16 * 60)
    assert problem.person[PersonId("Ines")].works[:2] == ((420, 720), (750, 930))


def test_hours_pass_truly_over_the_night_the_clock_goes_forward(three_days: Season) -> None:
    # 9 March 2031 has 23 hours in New York: Monday 07:00 comes 24 + 23 + 7 hours after Saturday's
    # first midnight.
    yard = replace(three_days.yard, first_day=date(2031, 3, 8), last_day=date(2031, 3, 10))
    mara = Person(
        "Mara", ("mechanic",), ((time(7), time(12)),), tuple(Weekday), (date(2031, 3, 8),)
    )
    hands = tuple(person for person in three_days.people if "yard hand" in person.trades)
    problem = problem_of(replace(three_days, yard=yard, people=(mara, *hands)))
    works = problem.person[PersonId("Mara")].works
    assert problem.days.end == (24 + 23 + 24) * 60
    assert works[-1] == ((24 + 23 + 7) * 60, (24 + 23 + 12) * 60)
    assert works[0] == ((24 + 6) * 60, (24 + 11) * 60)  # Sunday 07:00; Saturday she is off
    assert problem.days.at(works[-1][0]) == at(10, "07:00", month=3)
    assert problem.lifts[0].opens == (
        ((24 + 23 + 6) * 60, (24 + 23 + 16) * 60),
    )  # shut on the weekend


@pytest.mark.parametrize(
    ("changes", "because"),
    [
        ({"draft_m": None}, "her draft is not known; measure it"),
        (
            {"draft_m": 3.0},
            "in what is left of the season the water never stands high enough for 3 m of draft for "
            "30 minutes",
        ),
        ({"state": State.NOT_GOING_IN}, "she is not going in this season"),
        (
            {"promise": Promise(wished=date(2031, 5, 8))},
            "in what is left of the season the water never stands high enough for 1.45 m of draft "
            "for 30 minutes after her wished day",
        ),
    ],
)
def test_a_boat_that_cant_be_planned_is_said_and_the_others_are_planned(
    three_days: Season, changes: dict[str, object], because: str
) -> None:
    season = with_boat(three_days, "Dunlin", **changes)
    (left_out,) = not_planned(season)
    assert (left_out.boat, left_out.because) == ("Dunlin", because)
    problem = problem_of(season)
    assert [boat.id for boat in problem.going_in] == ["Plover", "Curlew", "Teal", "Avocet"]
    assert "Dunlin: hull" not in problem.task
    assert problem.rows == (("Curlew", "Dunlin"),)  # she still stands there


def test_the_steps_still_to_do_are_planned_by_trade(three_days: Season) -> None:
    season = with_boat(three_days, "Teal", has=frozenset({Has.STERN_DRAIN}))
    teal = next(boat for boat in season.boats if boat.name == "Teal")
    plug = next(
        step
        for step in steps_for(teal.has, StepSeason.SPRING)
        if Has.STERN_DRAIN in step.needs and step.stage.place < Stage.LAUNCH.place
    )
    with_it = put_back_jobs(teal, season.yard)
    without = put_back_jobs(replace(teal, done=frozenset({plug.code})), season.yard)
    hers = f"put back, {plug.trade}"
    assert [step for step in with_it[hers] if step not in without.get(hers, [])] == [plug]
    tasks = problem_of(season).jobs[BoatId("Teal")]
    asked = {task.text: task.minutes for task in tasks}
    for what, steps in with_it.items():
        minutes = sum(step.minutes for step in steps)
        assert 0 <= asked[what] - minutes < 30  # work is planned by the half hour
        assert asked[what] % 30 == 0
    assert not put_back_jobs(three_days.boats[0], season.yard)  # nobody said what she has
    # Put back is after the repairs of that trade: no engine is run before its kit is in.
    (mechanics,) = [task for task in tasks if task.text == f"put back, {Trade.MECHANIC}"]
    repairs = {
        task.id
        for task in tasks
        if task.text in {w.what for w in teal.work} and task.trade == Trade.MECHANIC
    }
    assert repairs
    assert set(mechanics.after) == repairs


def test_nothing_is_planned_before_now(three_days: Season) -> None:
    now = at(6, "09:00")
    problem = problem_of(three_days, begins=now)
    soonest = 1440 + 9 * 60 + 1  # the first whole minute after
    assert problem.lifts[0].opens[0] == (soonest, 1440 + 16 * 60)
    assert problem.person[PersonId("Ines")].works[0][0] == soonest
    assert all(start >= soonest for boat in problem.boats for start, _ in boat.water)
    too_late = not_planned(three_days, begins=at(7, "20:40"))  # the table ends at 21:00
    assert len(too_late) == 5


def test_a_part_whose_day_nobody_knows_is_never_guessed(three_days: Season) -> None:
    season = replace(three_days, parts=(Part("kit"),))
    (left_out,) = not_planned(season)
    assert left_out.because == "nobody knows when the kit comes; ask, and write the day"


FIRST, LAST = datetime(2031, 5, 5), datetime(2031, 5, 6, 20)  # noqa: DTZ001  # by the yard's clock
minutes = st.integers(0, (LAST - FIRST) // timedelta(minutes=1))
moments = minutes.map(lambda past: (FIRST + timedelta(minutes=past)).replace(tzinfo=ZONE))


@settings(max_examples=60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(due=st.none() | moments, came=st.none() | moments, now=moments)
def test_a_part_is_here_or_ahead_or_nobody_knows(
    three_days: Season, due: datetime | None, came: datetime | None, now: datetime
) -> None:
    season = replace(three_days, parts=(Part("kit", due, came),))
    problem, left_out = asked_of(season, begins=at(5, "00:00"), now=now)
    curlews = problem.task.get(TaskId("Curlew: engine"))
    why = {one.boat: one.because for one in left_out}.get("Curlew", "")
    if came:
        assert curlews
        assert curlews.not_before == 0  # whenever it was due, and however long ago it came
    elif due is None:
        assert why.startswith("nobody knows when the kit comes")
    elif due > now:
        assert curlews
        assert curlews.not_before == problem.days.minute(due)
    else:
        assert f"the kit was due {due:%a} {due.day} May {due:%H:%M} and nobody said" in why
    assert bool(curlews) != bool(why)


def test_a_part_due_before_the_season_is_asked_about_too(three_days: Season) -> None:
    season = replace(three_days, parts=(Part("kit", datetime(2031, 5, 1, 8, tzinfo=ZONE)),))
    (left_out,) = not_planned(season)
    assert left_out.because.startswith("the kit was due Thu 1 May 08:00 and nobody said")
    assert not not_planned(replace(season, parts=(replace(season.parts[0], came=at(5, "00:00")),)))


def test_not_before_the_owner_wishes(three_days: Season) -> None:
    season = with_boat(three_days, "Dunlin", promise=Promise(wished=date(2031, 5, 7)))
    dunlin = problem_of(season).boat[BoatId("Dunlin")]
    assert min(start for start, _ in dunlin.water) >= 2 * 1440
    assert dunlin.pencil == 2  # no day of ours: the wish is what she is held against
    # Plover floats from the table's first minute to its last, 21:00 on the third day.
    season = with_boat(three_days, "Plover", promise=Promise(wished=date(2031, 5, 6)))
    assert problem_of(season).boat[BoatId("Plover")].water == ((1440, 2 * 1440 + 21 * 60),)


def test_a_day_of_ours_after_the_wish_is_late(three_days: Season) -> None:
    """A plan that came late wrote it: made anew, her owner's day still counts, until one is told."""
    may = [date(2031, 5, day) for day in range(5, 8)]
    for promise, held in (
        (Promise(wished=may[0], pencil=may[2]), 0),
        (Promise(pencil=may[2]), 2),
        (Promise(wished=may[0], pencil=may[1], ink=may[2]), 2),
    ):
        season = with_boat(three_days, "Dunlin", promise=promise)
        assert problem_of(season).boat[BoatId("Dunlin")].promised == held


def test_a_boat_afloat_stands_in_no_row(three_days: Season) -> None:
    problem = problem_of(with_boat(three_days, "Curlew", state=State.AFLOAT))
    assert "Curlew" not in problem.boat
    assert problem.rows == (("Dunlin",),)


def test_without_a_lift_nothing_is_planned(three_days: Season) -> None:
    with pytest.raises(ValueError, match="no lift, so nothing can be launched"):
        problem_of(replace(three_days, lifts=()))


def test_who_stands_in_a_row_without_a_berth_may_be_in_anybody_s_way(three_days: Season) -> None:
    season = with_boat(three_days, "Curlew", berth=None)
    (row,) = problem_of(season).rows
    assert row == ("Curlew", "Dunlin")
