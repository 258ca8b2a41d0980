"""Story A5 by way of its season: a kit due Thursday, one working day, any tide."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from math import sqrt
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from yardwright.plan.chance import NOTHING, Spread
from yardwright.plan.planner import plan
from yardwright.season.holds import breaks
from yardwright.season.model import Part, Person, Promise, Season, Work
from yardwright.season.published import Published, published
from yardwright.season.read import read_file
from yardwright.season.spring import problem_of
from yardwright.season.uncertain import Usual, phone_answers, uncertain
from yardwright.season.yard_time import Aside

DOCS = Path(__file__).parents[2] / "docs"
ZONE = ZoneInfo("America/New_York")
MONDAY = datetime(2031, 5, 5, 5, tzinfo=ZONE)
AS_PLANNED = Usual(
    part_on_day=1, away=0, wind=0, spread=Spread(0, 0), found_on_step=NOTHING, found_on_work=NOTHING
)
A5 = replace(AS_PLANNED, part_on_day=0.85, away=0.06, away_days=None)
SEASONS = 10_000


@pytest.fixture(scope="module")
def season() -> Season:
    three_days = read_file(DOCS / "three-days.toml")
    plover = next(boat for boat in three_days.boats if boat.name == "Plover")
    boat = replace(
        plover,
        draft_m=0.05,
        watch_min=0,
        berth=None,
        promise=Promise(),
        undone=(),
        has=frozenset(),
        work=(Work("fit the kit", "mechanic", 480, part="kit"),),
    )
    lift = replace(three_days.lifts[0], opens=time(0), closes=time(23, 59), carry_min=0)
    table = tuple(
        replace(one, at=one.at + timedelta(days=day))
        for day in range(13)
        for one in three_days.water.table[:4]
    )
    return replace(
        three_days,
        water=replace(three_days.water, table=table),
        yard=replace(three_days.yard, last_day=date(2031, 5, 16)),
        lifts=(lift,),
        looks=None,
        people=(Person("Ines", ("mechanic",), ((time(8), time(16)),)),),
        parts=(Part("kit", datetime(2031, 5, 8, 17, tzinfo=ZONE)),),
        boats=(boat,),
    )


@pytest.fixture(scope="module")
def told(season: Season) -> Published:
    problem = problem_of(season, begins=MONDAY)
    return published(season, problem, plan(problem, time_limit_s=3, workers=1), begins=MONDAY)


def answers(season: Season, told: Published, seasons: int = SEASONS) -> dict[str, Any]:
    return phone_answers(season, told, MONDAY, seasons=seasons, usual=A5)


def test_the_odds_of_story_a5(season: Season, told: Published) -> None:
    hers = answers(season, told)["boats"]["Plover"]
    friday, tuesday = hers["days"]
    assert (friday["day"], tuesday["day"]) == ("2031-05-09", "2031-05-13")
    for found, expected in ((friday, 0.799), (tuesday, 0.85 * (1 - 0.06**3) + 0.15 * 0.94)):
        assert abs(found["odds"] - expected) <= 3 * sqrt(expected * (1 - expected) / SEASONS)
    assert hers["sentence"] == (
        "Fri 9 May, 75 % sure; by Tue 13 May, better than 95 %. "
        "She waits for the kit due Thu 8 May."
    )


def test_without_records_more_may_go_wrong(season: Season, told: Published) -> None:
    usual = phone_answers(season, told, MONDAY)["boats"]["Plover"]["days"][0]  # type: ignore[index]
    assert usual["day"] > "2031-05-09" or usual["odds"] < 0.78


def kit_came(season: Season) -> Season:
    (kit,) = season.parts
    return replace(season, parts=(replace(kit, came=kit.arrives),))


def test_a_part_may_come_late_until_somebody_says_that_it_came(season: Season) -> None:
    assert uncertain(season, problem_of(season), MONDAY).arrivals
    here = kit_came(season)
    assert not uncertain(here, problem_of(here), MONDAY).arrivals


def test_a_part_that_was_due_and_nobody_said_came_is_no_day(
    season: Season, told: Published
) -> None:
    # Due Thursday 17:00. A minute before it may still come; from then on nobody knows.
    thursday = datetime(2031, 5, 8, 16, 59, tzinfo=ZONE)
    assert phone_answers(season, told, thursday, seasons=1000)["boats"]
    assert not breaks(season, told, thursday)
    due = thursday + timedelta(minutes=1)
    found: Any = phone_answers(season, told, due, seasons=1000)
    why = (
        "the kit was due Thu 8 May 17:00 and nobody said that it came; say so, or give the new day"
    )
    assert not found["boats"]
    assert found["unknown"] == {"Plover": why}
    assert [one.words for one in breaks(season, told, due)] == [
        f"Plover is in the plan, but now she can't be planned: {why}."
    ]
    here = kit_came(season)
    assert phone_answers(here, told, due, seasons=1000)["boats"]
    assert not breaks(here, told, due)


def test_a_part_due_before_the_lift_opens_again_is_not_here_yet(season: Season) -> None:
    """Asked at night: the kit is due at 06:00, the lift is shut until 09:00."""
    lift = replace(season.lifts[0], opens=time(9), closes=time(23, 59))
    kit = Part("kit", datetime(2031, 5, 5, 6, tzinfo=ZONE))
    early = replace(season, lifts=(lift,), parts=(kit,))
    assert uncertain(early, problem_of(early, begins=MONDAY), MONDAY).arrivals


def behind_dunlin(season: Season, aside_min: int | None) -> tuple[Season, Published]:
    """Plover stands behind Dunlin, who needs an hour's work; planned, then Dunlin needs more."""
    (plover,) = season.boats
    hour = Work("mend the rail", "mechanic", 60)
    dunlin = replace(plover, name="Dunlin", tag="", hull_number="", work=(hour,))
    lift = replace(season.lifts[0], aside_min=aside_min)
    stand = [
        replace(boat, place="North row", berth=n) for n, boat in enumerate((dunlin, plover), 1)
    ]
    row = replace(season, lifts=(lift,), boats=tuple(stand))
    problem = problem_of(row, begins=MONDAY)
    told = published(row, problem, plan(problem, time_limit_s=3, workers=1), begins=MONDAY)
    more = replace(stand[0], work=(hour, Work("new hose", "mechanic", 60)))
    return replace(row, boats=(more, row.boats[1])), told


def test_behind_one_whose_work_is_not_planned_no_day_is_told(season: Season) -> None:
    found = answers(*behind_dunlin(season, None), 1000)
    assert not found["boats"]
    assert found["unknown"] == {
        "Dunlin": "work on her is not in the published plan (new hose); plan again",
        "Plover": "she stands behind Dunlin, whose work isn't planned yet, and can't be moved aside; "
        "plan again, or say how that one is moved",
    }


def test_where_that_one_can_be_moved_it_is_said_how_it_is_counted(season: Season) -> None:
    found = answers(*behind_dunlin(season, 30), 1000)
    plover = found["boats"]["Plover"]
    assert plover["in_front"] == (
        "In front of her stands Dunlin, not planned to leave; counted as if she were moved aside a "
        "day after she is ready."
    )
    # By hand: her kit comes Thursday 17:00 and takes Friday, so without Dunlin she is in on Friday
    # evening; a day more is Saturday, and the lift works Monday to Friday.
    assert plover["days"][0]["day"] > "2031-05-09"
    assert answers(season, behind_dunlin(season, 30)[1], 1000)["boats"]["Plover"]["in_front"] == ""
    row, told = behind_dunlin(season, 30)
    friday = datetime(2031, 5, 9, 10, tzinfo=ZONE)
    aside = Aside("Plover", friday, friday + timedelta(minutes=30))
    told = replace(told, plan=replace(told.plan, asides=(aside,)))
    assert answers(row, told, 1000)["boats"]["Plover"]["in_front"] == (
        "In front of her stands Dunlin, not planned to leave; counted as if she were moved aside a "
        "day after the plan moves Plover aside."
    )


def test_where_one_in_front_leaves_days_later_it_is_said_how_that_is_counted(
    season: Season,
) -> None:
    """Plover's hour is done on Monday; Dunlin before her waits for a kit until Thursday 17:00."""
    (plover,) = season.boats
    hour = Work("mend the rail", "mechanic", 60)
    dunlin = replace(plover, name="Dunlin", tag="", hull_number="", place="North row", berth=1)
    plover = replace(plover, place="North row", berth=2, work=(hour,))
    lift = replace(season.lifts[0], aside_min=30)
    row = replace(season, lifts=(lift,), boats=(dunlin, plover))
    problem = problem_of(row, begins=MONDAY)
    told = published(row, problem, plan(problem, time_limit_s=3, workers=1), begins=MONDAY)
    assert not told.plan.asides
    hers = answers(row, told, 1000)["boats"]["Plover"]
    # By hand: Ines fits the kit on Friday until 16:00.
    assert hers["in_front"] == (
        "By the plan Dunlin stands in front of her until Fri 9 May; counted as if Dunlin were moved "
        "aside a day after she is ready, which is not planned."
    )
    assert hers["days"][0]["day"] < "2031-05-09" <= told.told["Plover"].handed_over.isoformat()


def test_new_work_and_an_unknown_part_are_no_day(season: Season, told: Published) -> None:
    (boat,) = season.boats
    more = replace(boat, work=(*boat.work, Work("mend the rail", "mechanic", 60)))
    found = answers(replace(season, boats=(more,)), told, 1000)
    assert not found["boats"]
    assert "not in the published plan" in found["unknown"]["Plover"]
    found = answers(replace(season, parts=(Part("kit"),)), told, 1000)
    assert found["unknown"]["Plover"].startswith("nobody knows when the kit comes")


def test_a_job_under_way_has_its_rest_to_do(season: Season, told: Published) -> None:
    # Eight hours on Friday from 8 to 16, nothing strays: at noon four are left, and she goes in.
    (job,) = told.plan.jobs
    assert (job.starts.hour, job.ends.hour) == (8, 16)
    for hours in (-1, 4, 7.75):
        now = job.starts + timedelta(hours=hours)
        found: Any = phone_answers(kit_came(season), told, now, seasons=1000, usual=AS_PLANNED)
        (day, *_) = found["boats"]["Plover"]["days"]
        assert (day["day"], day["odds"]) == ("2031-05-09", 1.0)


def test_a_late_part_s_days_are_the_yard_s(season: Season, told: Published) -> None:
    # Due Friday 20:30 in New York, which is Saturday in UTC; two working days on is Tuesday.
    utc = replace(season, parts=(Part("kit", datetime(2031, 5, 10, 0, 30, tzinfo=UTC)),))
    problem = problem_of(utc, begins=MONDAY)
    (arrival,) = uncertain(utc, problem, MONDAY).arrivals.values()
    assert str(problem.days.at(arrival.minutes[1])) == "2031-05-13 20:30:00-04:00"
    assert told.plan.jobs


def test_a_kit_may_come_late_though_the_frost_holds_its_work_back_longer(season: Season) -> None:
    # Due Tuesday 7:30, the last frost ends with Tuesday: two working days late is Thursday 7:30.
    boats = tuple(
        replace(boat, work=tuple(replace(work, after_frost=bool(work.part)) for work in boat.work))
        for boat in season.boats
    )
    kit = Part("kit", datetime(2031, 5, 6, 7, 30, tzinfo=ZONE))
    yard = replace(season.yard, last_frost=date(2031, 5, 7))
    frost = replace(season, yard=yard, boats=boats, parts=(kit,))
    problem = problem_of(frost, begins=MONDAY)
    (arrival,) = uncertain(frost, problem, MONDAY).arrivals.values()
    shown = [str(problem.days.at(minute)) for minute in arrival.minutes]
    assert shown == ["2031-05-07 00:00:00-04:00", "2031-05-08 07:30:00-04:00"]
