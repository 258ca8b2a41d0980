"""What a yard's own history does to its odds, and how it is told to whoever plans."""

from dataclasses import replace
from datetime import datetime, time
from math import exp, log
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from yardwright.plan.chance import NOTHING, Found, Spread, found_on_any
from yardwright.plan.planner import plan
from yardwright.procedures.step import Season as StepSeason
from yardwright.procedures.steps import shipped
from yardwright.season.learned import FAR, FEWEST, Kind, Lessons, ratios, told
from yardwright.season.model import History, Part, Person, Promise, Season, Work
from yardwright.season.published import Published, published
from yardwright.season.put_backs import steps_to_do
from yardwright.season.read import read_file
from yardwright.season.spring import problem_of
from yardwright.season.uncertain import USUAL, phone_answers, uncertain

DOCS = Path(__file__).parents[2] / "docs"
ZONE = ZoneInfo("America/New_York")
MONDAY = datetime(2031, 5, 5, 5, tzinfo=ZONE)
BY_MONDAY = Promise(ink=MONDAY.date())
GELCOAT = Work("gelcoat repair", "yard hand", 300)
TWICE = History("Gelcoat repair", 12, "yard hand", ((600, 300), (240, 120), (250, 125)) * 4)
PLAIN = Kind(Spread(0, 0.3), Found(0.1, 60))


@pytest.fixture(scope="module")
def season() -> Season:
    """Plover waits for a gelcoat repair of five hours, and is promised for Monday."""
    three_days = read_file(DOCS / "three-days.toml")
    plover = next(boat for boat in three_days.boats if boat.name == "Plover")
    boat = replace(
        plover,
        berth=None,
        promise=BY_MONDAY,
        undone=(),
        has=frozenset(),
        work=(GELCOAT,),
    )
    return replace(
        three_days,
        people=(Person("Tomas", ("yard hand",), ((time(8), time(16)),)),),
        parts=(Part("kit"),),
        boats=(boat,),
    )


@pytest.fixture(scope="module")
def holds(season: Season) -> Published:
    problem = problem_of(season, begins=MONDAY)
    return published(season, problem, plan(problem, time_limit_s=3, workers=1), begins=MONDAY)


def kept(season: Season, holds: Published) -> float:
    found: Any = phone_answers(season, holds, MONDAY, seasons=2000)
    return float(found["boats"]["Plover"]["odds"])


def test_where_such_jobs_took_twice_as_long_the_promise_is_less_sure(
    season: Season, holds: Published
) -> None:
    as_usual = kept(season, holds)
    as_learned = kept(replace(season, history=(TWICE,)), holds)
    assert as_learned < as_usual - 0.3
    as_planned = replace(TWICE, took_min=((120, 120),) * 12)
    assert kept(replace(season, history=(as_planned,)), holds) >= as_usual


def test_a_history_changes_odds_and_no_plan(season: Season) -> None:
    with_it = replace(season, history=(TWICE,))
    assert problem_of(with_it, begins=MONDAY) == problem_of(season, begins=MONDAY)


def test_each_task_goes_by_the_history_of_its_kind(season: Season) -> None:
    def spread(*history: History) -> Spread:
        asked = replace(season, history=history)
        found = uncertain(asked, problem_of(asked, begins=MONDAY), MONDAY)
        (only,) = found.spreads.values()
        return only

    # By hand: twelve jobs at twice, five's worth of the usual; the others of its trade draw less.
    assert spread(TWICE).log_mean == pytest.approx(12 * log(2) / 17)
    assert spread(replace(TWICE, trade="mechanic")) == Spread()
    of_its_trade = replace(TWICE, what="keel faired")
    assert spread(of_its_trade).log_mean == pytest.approx(12 * log(2) / 17)
    title = replace(TWICE, jobs=1, took_min=((120, 120),))
    drawn = spread(of_its_trade, title).log_mean
    assert drawn == pytest.approx((0 + 5 * 12 * log(2) / 17) / 6)


def test_minutes_far_from_any_such_job_teach_nothing() -> None:
    """Seven times is still counted, as the page and the paper say; a minute more is not."""
    assert ratios([History("keel", 1, "rigger", ((FAR * 100, 100),))]) == [FAR]
    ok, far = (100, 100), (FAR * 100 + 1, 100)
    lessons = Lessons(
        (History("keel", 4, "rigger", (ok, far, (100, FAR * 100 + 1))),), PLAIN, PLAIN
    )
    assert lessons.work("keel", "rigger").spread.log_mean == 0.0
    (row,) = told(lessons, ())
    assert (row.said, row.not_counted) == (3, 2)


def test_put_backs_are_as_their_steps_are(season: Season) -> None:
    teal = read_file(DOCS / "teal.toml").boats[0]
    step, *others = [one for one in steps_to_do(teal) if one.trade == "mechanic"]
    assert others
    slow = History(step.code, 40, "", ((step.minutes * 3, step.minutes),) * 40)
    plain, slower = Lessons((), PLAIN, PLAIN), Lessons((slow,), PLAIN, PLAIN)
    assert plain.put_backs([step, *others]).spread == PLAIN.spread
    whole = sum(one.minutes for one in (step, *others))
    times = exp(40 * log(3) / 45)
    assert slower.put_backs([step, *others]).times == pytest.approx(
        (whole - step.minutes + times * step.minutes) / whole
    )
    each = [plain.step(one.code).found for one in (step, *others)]
    assert plain.put_backs([step, *others]).found == found_on_any(each)


@pytest.mark.parametrize(("asked_min", "planned_min"), [(38, 60), (60, 60), (1, 30)])
def test_a_job_strays_around_what_was_asked_not_the_half_hours_it_is_planned_as(
    season: Season, asked_min: int, planned_min: int
) -> None:
    (plover,) = season.boats
    short = replace(season, boats=(replace(plover, work=(replace(GELCOAT, minutes=asked_min),)),))
    problem = problem_of(short, begins=MONDAY)
    (task,) = problem.tasks
    assert task.minutes == planned_min
    spread = uncertain(short, problem, MONDAY).spreads[task.id]
    assert task.minutes * exp(spread.log_mean) == pytest.approx(asked_min)
    assert spread.log_sd == Spread().log_sd


def test_put_backs_stray_around_their_steps_minutes(season: Season) -> None:
    """The job of each trade, by hand from its steps; they add up to no whole half hours."""
    teal = read_file(DOCS / "teal.toml").boats[0]
    hers = replace(season.boats[0], has=teal.has, work=())
    crew = tuple(
        Person(trade, (trade,), ((time(8), time(16)),)) for trade in ("mechanic", "yard hand")
    )
    filled = replace(season, boats=(hers,), people=crew)
    problem = problem_of(filled, begins=MONDAY)
    spreads = uncertain(filled, problem, MONDAY).spreads
    steps = steps_to_do(hers)
    assert sum(step.minutes for step in steps) == pytest.approx(
        sum(task.minutes * exp(spreads[task.id].log_mean) for task in problem.tasks)
    )
    assert sum(task.minutes for task in problem.tasks) > sum(step.minutes for step in steps)


def test_a_second_look_finds_no_more_work(season: Season) -> None:
    (plover,) = season.boats
    boat = replace(plover, work=(replace(GELCOAT, second_look=True),))
    crew = (*season.people, replace(season.people[0], name="Ines"))
    looked = replace(season, boats=(boat,), people=crew, history=(TWICE,))
    found = uncertain(looked, problem_of(looked, begins=MONDAY), MONDAY)
    assert {key.split(": ")[1] for key in found.found} == {"gelcoat repair"}
    assert found.spreads[next(key for key in found.spreads if "second look" in key)] == Spread()


def test_people_are_away_for_days_at_a_time(season: Season) -> None:
    problem = problem_of(season, begins=MONDAY)
    (away,) = uncertain(season, problem, MONDAY).away.values()
    assert away.spell_days == USUAL.away_days
    assert away.stays > away.share


def test_one_job_is_nobodys_speed_told() -> None:
    """Of fewer than three no minutes are shown: whose they are would be plain."""
    pairs = ((50, 40),) * FEWEST
    few = History("keel", FEWEST, "rigger", pairs[1:])
    enough = History("seals", FEWEST, "mechanic", pairs, (30,))
    fall = next(one for one in shipped().steps if one.season == StepSeason.FALL)
    later = History(fall.code, FEWEST, "", pairs)
    silent = History("mast", 9, "rigger")
    rows = told(Lessons((few, enough, later, silent), PLAIN, PLAIN), shipped().steps)
    by_name = {row.what: row for row in rows}
    assert by_name.keys() == {"keel", "seals", fall.title}
    assert by_name["keel"].taken_min is None
    assert (by_name["seals"].planned_min, by_name["seals"].taken_min) == (40, 50)
    assert by_name["seals"].found == 1
    assert by_name[fall.title].kind is None
    assert rows[0].what == "seals"


def test_without_history_all_is_as_usual() -> None:
    lessons = Lessons((), PLAIN, Kind(Spread(), NOTHING))
    assert lessons.step("key_in") == PLAIN
    assert lessons.work("keel", "rigger") == Kind(Spread(), NOTHING)
