"""What fills a boat with water waits for the last frost; where nobody knows it, that is said."""

from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from yardwright.plan.checker import broken
from yardwright.plan.planner import plan
from yardwright.plan.problem import TaskId
from yardwright.procedures.going_in import State
from yardwright.procedures.own import book_with, written
from yardwright.procedures.step import Has
from yardwright.procedures.steps import book
from yardwright.season.asked import no_less_work
from yardwright.season.capacity import usual
from yardwright.season.holds import breaks
from yardwright.season.model import Boat, Person, Season, Work
from yardwright.season.published import as_json, from_json, published
from yardwright.season.put_backs import (
    PUT_BACK,
    REFILL,
    filled_too_soon,
    frost_not_known,
    put_back_jobs,
    steps_to_do,
)
from yardwright.season.read import read_file
from yardwright.season.spring import not_planned, problem_of

DOCS = Path(__file__).parents[2] / "docs"
HAS = frozenset({Has.INBOARD_DIESEL, Has.SHAFT, Has.SEA_STRAINER, Has.FRESH_WATER})
DRY, WET = TaskId("Teal: put back, mechanic"), TaskId("Teal: fill with water, mechanic")


TUESDAY, WEDNESDAY = 1440, 2880  # the season begins on a Monday


@pytest.fixture(scope="module")
def teal() -> Season:
    """Teal with a diesel and fresh water, and nothing else to do on her."""
    return with_boat(read_file(DOCS / "three-days.toml"), has=HAS, work=())


def with_boat(season: Season, **changes: object) -> Season:
    boats = (
        replace(boat, **changes) if boat.name == "Teal" else boat  # type: ignore[arg-type]
        for boat in season.boats
    )
    return replace(season, boats=tuple(boats))


def boat_of(season: Season) -> Boat:
    return next(boat for boat in season.boats if boat.name == "Teal")


def because(season: Season) -> dict[str, str]:
    return {one.boat: one.because for one in not_planned(season)}


def with_frost(season: Season, day: int | None) -> Season:
    last = None if day is None else date(2031, 5, day)
    return replace(season, yard=replace(season.yard, last_frost=last))


def test_what_fills_her_waits_for_the_last_frost(teal: Season) -> None:
    season = with_frost(teal, 6)
    problem = problem_of(season)
    dry, wet = problem.task[DRY], problem.task[WET]
    assert (dry.not_before, wet.not_before, wet.waits_for) == (0, TUESDAY, "last frost")
    assert dry.id in wet.after
    yard = replace(season.yard, last_frost=None)
    (once,) = (
        steps for what, steps in put_back_jobs(boat_of(season), yard).items() if what == DRY[6:]
    )
    assert dry.minutes + wet.minutes == sum(step.minutes for step in once)


def test_the_plan_keeps_to_it_and_the_checker_says_where_one_does_not(teal: Season) -> None:
    problem = problem_of(with_frost(teal, 7))
    found = plan(problem, time_limit_s=10).plan
    assert found is not None
    assert not broken(found, problem)
    assert found.jobs[WET].start >= WEDNESDAY
    # The same with nothing to wait for is planned on the first day, and breaks the rule.
    sooner = replace(problem, tasks=tuple(replace(task, not_before=0) for task in problem.tasks))
    early = plan(sooner, time_limit_s=10).plan
    assert early is not None
    assert early.jobs[WET].start < WEDNESDAY
    assert any("last frost" in says for says in broken(early, problem))


@pytest.mark.parametrize("day", [None, 5])
def test_one_job_where_no_frost_is_to_come_or_nobody_knows(teal: Season, day: int | None) -> None:
    jobs = put_back_jobs(boat_of(teal), with_frost(teal, day).yard)
    assert jobs
    assert not any(what.startswith(REFILL) for what in jobs)


def test_a_frost_after_the_season_is_said(teal: Season) -> None:
    season = with_frost(teal, 8)
    assert "no frost is expected from Thu 8 May on" in because(season)["Teal"]
    dry = replace(boat_of(season), has=frozenset({Has.ANODES}))
    assert "Teal" not in because(replace(season, boats=(dry,)))


def test_not_known_is_said_once_and_nothing_is_held_for_it(teal: Season) -> None:
    problem = problem_of(teal)
    answer = plan(problem, time_limit_s=10)
    told = published(teal, problem, answer)
    says = "Nobody has said when the last frost is. This plan fills Teal with water"
    assert told.not_known[0].startswith(says)
    assert told.launch("Teal") is not None
    assert from_json(as_json(told)) == told
    assert frost_not_known(with_frost(teal, 6), ["Teal"]) == ""
    assert frost_not_known(teal, ["Heron"]) == ""  # nobody wrote what she has


def test_what_comes_after_a_fill_waits_with_it(teal: Season) -> None:
    """By hand: the propeller goes on after the look at the diesel, which comes after its run."""
    jobs = put_back_jobs(boat_of(teal), with_frost(teal, 6).yard)
    wet = {step.code for what, steps in jobs.items() if what.startswith(REFILL) for step in steps}
    assert {"diesel_first_start", "charge_read", "diesel_looked_again", "shaft_propeller_on"} <= wet
    assert {"strainer_closed", "sink_seacock_closed", "fresh_water_rinsed"} <= wet
    dry = {step.code for what, steps in jobs.items() if what.startswith(PUT_BACK) for step in steps}
    assert {"cooler_hoses_on", "raw_water_hose_on", "diesel_bled"} <= dry
    assert not dry & wet
    hers = {step.code for step in steps_to_do(boat_of(teal))}
    assert dry | wet == hers


def test_filled_before_the_last_frost_is_said_at_the_boat(teal: Season) -> None:
    yard = with_frost(teal, 7).yard
    boat = boat_of(teal)
    assert filled_too_soon(boat, yard, date(2031, 5, 6)) == ""
    filled = replace(boat, done=frozenset({"fresh_water_rinsed"}))
    says = filled_too_soon(filled, yard, date(2031, 5, 6))
    assert says.startswith(
        "A frost can still come until Wed 7 May: drain her again, or keep her warm."
    )
    assert "Fresh water rinsed" in says
    assert filled_too_soon(filled, yard, date(2031, 5, 7)) == ""
    assert "Nobody has said" in filled_too_soon(filled, teal.yard, date(2031, 5, 6))
    gone = replace(filled, state=State.HANDED_OVER)
    assert filled_too_soon(gone, yard, date(2031, 5, 6)) == ""


def test_filled_outside_the_season_a_frost_finds_it_too(teal: Season) -> None:
    """The season is 5 to 7 May."""
    filled = replace(boat_of(teal), done=frozenset({"fresh_water_rinsed"}))
    yard = with_frost(teal, 9).yard
    for day in (date(2031, 4, 14), date(2031, 5, 8)):
        assert "until Fri 9 May" in filled_too_soon(filled, yard, day)
    assert "Nobody has said" in filled_too_soon(filled, teal.yard, date(2031, 4, 14))
    assert filled_too_soon(filled, teal.yard, date(2031, 5, 8)) == ""


def test_repairs_of_her_trade_come_before_both(teal: Season) -> None:
    season = with_boat(teal, work=(Work("engine", "mechanic", 60),))
    problem = problem_of(with_frost(season, 6))
    assert TaskId("Teal: engine") in problem.task[DRY].after
    assert TaskId("Teal: engine") in problem.task[WET].after


def test_in_the_yards_own_words_it_fills_her_too() -> None:
    step = next(one for one in book().steps if one.code == "heater_full")
    row = {name: value for name, value in written(step).items() if name != "refills"}
    own = book_with({"heater_full": {**row, "why": "The element burns out dry."}})
    changed = next(one for one in own.steps if one.code == "heater_full")
    assert changed.refills
    assert changed.why == "The element burns out dry."


def test_a_last_frost_written_since_asks_for_the_fill_alone(teal: Season) -> None:
    """The plan that holds has all put-backs in one job: its minutes are not asked for twice."""
    problem = problem_of(teal)
    old = published(teal, problem, plan(problem, time_limit_s=10))
    season = with_frost(teal, 6)
    asked = problem_of(season)
    kept = no_less_work(old, asked)
    assert kept.task[DRY].minutes == asked.task[DRY].minutes
    assert kept.task[DRY].minutes + kept.task[WET].minutes == problem.task[DRY].minutes
    says = " ".join(map(str, breaks(season, old, problem.days.at(0))))
    assert "Teal needs work that is not in this plan: fill with water, mechanic." in says


def test_a_boat_like_most_waits_for_the_frost_too(teal: Season) -> None:
    """All five have what Teal has: most of the work of a boat to come is filled after the frost."""
    boats = tuple(replace(boat, has=HAS, work=()) for boat in teal.boats)
    season = with_frost(replace(teal, boats=boats, people=two_mechanics(teal)), 6)
    asked = problem_of(season)
    like = {task.text: task for task in usual(season).like.tasks}
    wet = like["mechanic's work after the last frost"]
    assert (wet.minutes, wet.not_before) == (asked.task[WET].minutes, TUESDAY)
    assert like["mechanic's work"].minutes == asked.task[DRY].minutes
    assert like["mechanic's work"].not_before == 0


def two_mechanics(season: Season) -> tuple[Person, ...]:
    """Hands enough for five diesels."""
    more = [replace(one, name=f"{one.name} {n}") for one in season.people for n in range(4)]
    return (*season.people, *more)
