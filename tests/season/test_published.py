"""A plan as it is told: how late, how much better it could be, and who is not in it."""

from dataclasses import replace
from datetime import date, time, timedelta
from pathlib import Path

import pytest

from yardwright.plan import checker
from yardwright.plan.planner import plan
from yardwright.procedures.going_in import State
from yardwright.season.holds import breaks
from yardwright.season.model import Person, Season, Work
from yardwright.season.published import Published, as_json, from_json, published
from yardwright.season.read import read_file
from yardwright.season.spring import not_planned, problem_of

THREE_DAYS = Path(__file__).parents[2] / "docs/three-days.toml"


@pytest.fixture
def three_days() -> Season:
    return read_file(THREE_DAYS)


def told(season: Season) -> Published:
    problem = problem_of(season)
    answer = plan(problem)
    assert answer.plan is not None
    assert checker.broken(answer.plan, problem) == []
    return published(season, problem, answer)


def with_work(season: Season, name: str, *work: Work) -> Season:
    boats = (replace(b, work=work) if b.name == name else b for b in season.boats)
    return replace(season, boats=tuple(boats))


def test_the_story_in_a_sentence(three_days: Season) -> None:
    # Story A1: one boat-day, proven; without moving aside it is two.
    assert told(three_days).sentence == "Ink late by 1 boat-day; no plan can do better."
    lift = replace(three_days.lifts[0], aside_min=None)
    stuck = told(replace(three_days, lifts=(lift,)))
    assert stuck.sentence == "Ink late by 2 boat-days; no plan can do better."
    better = replace(stuck, least_ink_days=1).sentence
    assert better.endswith("no plan can do better than 1 boat-day.")
    kept = replace(stuck, ink_days=0).sentence
    assert kept == "Every day in Ink is kept by this plan."


def test_a_move_aside_says_what_room_it_takes(three_days: Season) -> None:
    # Story A1: Curlew stands in front of Dunlin; no place for boats moved aside is on file.
    [why] = told(three_days).asides_told
    row = next(boat.place for boat in three_days.boats if boat.name == "Curlew")
    assert row
    assert why.endswith(f"That needs room for one boat beside {row}.")


def test_it_comes_back_from_json_as_it_was(three_days: Season) -> None:
    one = told(with_work(three_days, "Avocet", Work("all of her", "mechanic", 30 * 60)))
    assert from_json(as_json(one)) == one


def test_a_boat_whose_work_cant_fit_is_left_out_and_the_others_are_planned(
    three_days: Season,
) -> None:
    # By hand: Ines works eight hours a day on three days; thirty hours do not fit.
    season = with_work(three_days, "Avocet", Work("all of her", "mechanic", 30 * 60))
    one = told(season)
    assert [go.boat for go in one.plan.launches] == ["Plover", "Dunlin", "Teal", "Curlew"]
    (left_out,) = one.not_planned
    assert (left_out.boat, left_out.ink) == ("Avocet", date(2031, 5, 7))
    assert left_out.because.startswith("her work does not fit into the season even if all were")
    assert one.sentence.startswith("Told in Ink and not planned: Avocet. Ink late by ")
    assert not any(job.boat == "Avocet" for job in one.plan.jobs)


def test_a_boat_ready_too_late_for_her_water_is_left_out(three_days: Season) -> None:
    # By hand: 18 hours of Ines's end Wed 09:00 with her breaks; Avocet's water leaves 09:55, so one
    # launch fits; one hour more and none does.
    fits = with_work(three_days, "Avocet", Work("much", "mechanic", 18 * 60))
    assert not_planned(fits) == ()
    (left_out,) = not_planned(with_work(three_days, "Avocet", Work("much", "mechanic", 19 * 60)))
    assert left_out.because.startswith("she can be ready Wed 7 May 10:00, but after that")


def test_who_is_shut_in_by_one_left_out_is_left_out_too(three_days: Season) -> None:
    lift = replace(three_days.lifts[0], aside_min=None)
    season = with_work(three_days, "Curlew", Work("all of her", "mechanic", 30 * 60))
    because = {one.boat: one.because for one in not_planned(replace(season, lifts=(lift,)))}
    assert because.keys() == {"Curlew", "Dunlin"}
    assert because["Dunlin"].startswith("she is shut in behind Curlew, who stays")
    assert [one.boat for one in not_planned(season)] == ["Curlew"]  # she can be moved aside


def test_where_nobody_can_do_the_work_the_others_go_in(three_days: Season) -> None:
    season = with_work(three_days, "Teal", Work("mast", "rigger", 60))
    (left_out,) = not_planned(season)
    assert left_out.because == (
        "her work needs a rigger, and nobody here is one; give somebody the trade"
    )
    rig = Person("Rig", ("rigger",), ((time(7), time(8)),))
    assert not_planned(replace(season, people=(*season.people, rig))) == ()


def test_a_yard_where_no_boat_goes_in_says_so(three_days: Season) -> None:
    assert told(replace(three_days, boats=())).sentence == "No boat goes in by this plan."


def test_a_boat_at_the_lift_on_her_day_is_what_the_plan_wanted(three_days: Season) -> None:
    one = told(three_days)
    plover = one.launch("Plover")
    assert plover is not None

    def stands(state: State) -> Season:
        boats = (replace(b, state=state) if b.name == "Plover" else b for b in three_days.boats)
        return replace(three_days, boats=tuple(boats))

    for state in (State.IN_THE_SLINGS, State.IN_THE_WATER):
        assert not any("Plover" in said.words for said in breaks(stands(state), one, plover.starts))
        (said,) = breaks(stands(state), one, plover.starts - timedelta(days=1))
        assert said.words == "Plover is in the plan, but no longer stands on land."
    said, *_overdue = breaks(stands(State.NOT_GOING_IN), one, plover.starts)
    assert said.words == (
        "Plover is in the plan, but now she can't be planned: she is not going in this season."
    )


def test_who_was_moved_aside_is_over_and_who_stands_there_still_is_not(three_days: Season) -> None:
    # Story A1: Curlew is moved aside for Dunlin, who stands behind her.
    one = told(three_days)
    (aside,) = one.plan.asides
    after = aside.ends + timedelta(minutes=1)
    said = "Curlew was to be moved aside"
    assert any(line.words.startswith(said) for line in breaks(three_days, one, after))
    boats = (
        replace(b, place="", berth=None) if b.name == "Curlew" else b for b in three_days.boats
    )
    moved = replace(three_days, boats=tuple(boats))
    assert not any(line.words.startswith(said) for line in breaks(moved, one, after))
