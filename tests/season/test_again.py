"""The plan that holds, changed after a surprise: what is kept, what moves, and the words for it."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from time import monotonic
from typing import Any

import pytest

from yardwright.plan.change import changed as cost
from yardwright.plan.change import different
from yardwright.plan.planner import plan
from yardwright.plan.problem import BoatId, Plan, Problem
from yardwright.plan.replan import Option, Replanned, replan
from yardwright.season.again import again
from yardwright.season.asked import asked_now
from yardwright.season.choices import Choice, choices_json, choices_of
from yardwright.season.holds import breaks
from yardwright.season.model import Hold, Promise, Season
from yardwright.season.published import Published, ink_moved, published
from yardwright.season.read import read_file
from yardwright.season.spring import problem_of
from yardwright.season.why_moved import why_job, why_launch

THREE_DAYS = Path(__file__).parents[2] / "docs/three-days.toml"
SUNDAY = datetime.fromisoformat("2031-05-04T18:00-04:00")
MONDAY = datetime.fromisoformat("2031-05-05T06:00-04:00")


@pytest.fixture(scope="module")
def season() -> Season:
    return read_file(THREE_DAYS)


@pytest.fixture(scope="module")
def old(season: Season) -> Published:
    problem = problem_of(season, begins=SUNDAY)
    return published(season, problem, plan(problem, time_limit_s=5), begins=SUNDAY)


def changed(season: Season, old: Published, at: datetime = MONDAY) -> tuple[Choice, ...]:
    begins = at + timedelta(minutes=15)
    return again(season, old, asked_at=at, begins=begins, time_limit_s=3)


def late_kit(season: Season, comes: str) -> Season:
    arrives = datetime.fromisoformat(comes)
    return replace(season, parts=tuple(replace(one, arrives=arrives) for one in season.parts))


def test_where_nothing_happened_nothing_changes(season: Season, old: Published) -> None:
    first = changed(season, old)[0]
    assert (first.ink_days, first.launches, first.jobs, first.changes) == (0, 0, 0, ())
    assert first.plan.plan == old.plan
    assert first.sentence.startswith("No day in Ink is lost by it; 0 launches and 0 jobs move")


def test_a_kit_an_hour_late_moves_its_job_and_says_why(season: Season, old: Published) -> None:
    # Story A1 has Curlew's kit Tuesday 07:30 and her launch on Wednesday's water, from 06:38: at
    # 08:30 with two hours of work she is ready on Tuesday still, and nobody else need move.
    was = next(job for job in old.plan.jobs if job.boat == "Curlew" and job.person == "Ines")
    later = late_kit(season, (was.starts + timedelta(hours=1)).isoformat())
    assert breaks(later, old, MONDAY)
    first = changed(later, old)[0]
    assert (first.ink_days, first.launches) == (0, 0)
    words = " ".join(words for one in first.changes for words in one.words)
    assert f"her kit comes Tue 6 May {was.starts + timedelta(hours=1):%H:%M}" in words
    assert not breaks(later, first.plan, MONDAY)


def test_who_falls_out_of_the_plan_loses_her_ink(season: Season, old: Published) -> None:
    # Nobody knows any more when Curlew's kit comes: she can't be planned, and that is said first.
    parts = tuple(replace(part, arrives=None) for part in season.parts)
    first = changed(replace(season, parts=parts), old)[0]
    assert first.sentence.startswith("Told in Ink and not planned: Curlew; ")
    assert first.plan.sentence == "Told in Ink and not planned: Curlew."
    inks = {boat.name: boat.promise.ink for boat in season.boats if boat.promise.ink}
    (lost,) = [one for one in ink_moved(inks, old, first.plan) if one.boat == "Curlew"]
    assert lost.words == "Curlew was told Tue 6 May, and is not planned any more."


def test_somebody_is_away_and_the_ink_that_moves_is_named(season: Season, old: Published) -> None:
    # Story A1's mechanic is the only one: away on Monday, Plover, told Monday, can't be handed over
    # that day by any plan.
    (ines,) = (one for one in season.people if "mechanic" in one.trades)
    away = replace(ines, off=(*ines.off, date(2031, 5, 5)))
    people = tuple(away if one is ines else one for one in season.people)
    sick = replace(season, people=people)
    first = changed(sick, old)[0]
    inks = {boat.name: boat.promise.ink for boat in sick.boats if boat.promise.ink}
    moved = {one.boat: one for one in ink_moved(inks, old, first.plan)}
    assert moved["Plover"].told == date(2031, 5, 5)
    over = moved["Plover"].handed_over
    assert over
    assert over > date(2031, 5, 5)
    assert first.ink_days >= 1
    words = " ".join(words for one in first.changes for words in one.words)
    assert "Plover goes in Tue 6 May" in words
    assert "Ines is not there then" in words
    assert not breaks(sick, first.plan, MONDAY)
    boats = [one.boat for one in first.changes]
    assert set(boats[: len(moved)]) == set(moved)  # they come first: their owners are to be called


def test_who_moves_for_others_says_what_is_in_the_way(season: Season, old: Published) -> None:
    problem, known = asked_now(season, old, MONDAY, MONDAY)
    minute = problem.days.minute
    engine, hull = (
        next(task for task in problem.jobs[BoatId("Avocet")] if task.text == text)
        for text in ("engine", "hull")
    )
    dunlins = next(task for task in problem.jobs[BoatId("Dunlin")] if task.text == "engine")
    nine = minute(datetime.fromisoformat("2031-05-06T09:00-04:00"))
    ten = minute(datetime.fromisoformat("2031-05-06T10:00-04:00"))
    was = known.jobs[engine.id]
    assert why_job(problem, known, engine, was) == ""
    busy = replace(known.jobs[dunlins.id], start=nine, end=ten)
    plan_busy = replace(known, jobs={**known.jobs, dunlins.id: busy})
    assert why_job(problem, plan_busy, engine, was) == "Ines works on Dunlin then"
    longer = replace(was, end=known.jobs[hull.id].start + 1)
    one_after_other = replace(hull, after=(engine.id,))
    plan_longer = replace(known, jobs={**known.jobs, engine.id: longer})
    assert why_job(problem, plan_longer, one_after_other, known.jobs[hull.id]) == (
        f"“engine” ends {problem.days.clock(longer.end)}"
    )


def test_a_launch_that_moves_for_others_says_what_is_in_the_way(
    season: Season, old: Published
) -> None:
    problem, known = asked_now(season, old, MONDAY, MONDAY)
    boat = {one.name: one for one in problem.boats}
    teal, dunlin, curlew = boat["Teal"], boat["Dunlin"], boat["Curlew"]
    at = {key: known.launches[key] for key in known.launches}
    assert why_launch(problem, known, teal, at[teal.id]) == ""
    together = replace(known, launches={**at, dunlin.id: at[teal.id]})
    assert why_launch(problem, together, teal, at[teal.id]) == "the Travel lift has Dunlin then"
    in_front = replace(known, asides={})
    assert curlew in problem.in_front[dunlin.id]
    assert why_launch(problem, in_front, dunlin, at[dunlin.id]) == (
        "Curlew stands in front of her then"
    )
    engine, hull = (
        next(task.id for task in problem.jobs[teal.id] if task.text == text)
        for text in ("engine", "hull")
    )
    late = {
        engine: replace(known.jobs[engine], end=at[teal.id] + 30),
        hull: replace(known.jobs[hull], end=at[teal.id] + 60),  # the last of her work is named
    }
    worked_on = replace(known, jobs={**known.jobs, **late})
    assert why_launch(problem, worked_on, teal, at[teal.id]) == "“hull” ends Tue 6 May 08:30"


def test_who_moves_without_a_known_reason_makes_room(
    season: Season, old: Published, monkeypatch: pytest.MonkeyPatch
) -> None:
    # One surprise, and a boat that it does not hit moves too: said so, once, at her end.
    def moves_avocet(problem: Problem, known: Plan, **more: Any) -> Replanned:
        del more
        hers = next(t for t in problem.jobs[BoatId("Avocet")] if t.text == "hull")
        job = known.jobs[hers.id]
        jobs = {**known.jobs, hers.id: replace(job, start=job.start + 5, end=job.end + 5)}
        found = replace(known, jobs=jobs)
        option = Option(found, cost(problem, known, found), different(known, found))
        return Replanned(option, option, None)

    monkeypatch.setattr("yardwright.season.again.replan", moves_avocet)
    (hers,) = changed(season, old)[0].changes
    assert hers.boat == "Avocet"
    assert hers.words[1:] == ("To make room for others.",)


def test_who_was_late_in_pencil_before_is_no_later_now(season: Season) -> None:
    """Made anew a plan goes by the wish; a change of one that is known by the Pencil that it gave."""
    promise = Promise(wished=date(2031, 5, 5))
    boats = tuple(replace(b, promise=promise) if b.name == "Teal" else b for b in season.boats)
    problem = problem_of(replace(season, boats=boats), begins=SUNDAY)
    first = published(season, problem, plan(problem, time_limit_s=5), begins=SUNDAY)
    day = first.told["Teal"].handed_over + timedelta(days=1)
    pencilled = tuple(
        replace(b, promise=replace(promise, pencil=day)) if b.name == "Teal" else b for b in boats
    )
    season = replace(season, boats=pencilled)
    begins = MONDAY + timedelta(minutes=15)
    asked, _ = asked_now(season, first, MONDAY, begins)
    assert asked.boat[BoatId("Teal")].pencil == problem.days.day_of(day)
    assert problem_of(season, begins=begins).boat[BoatId("Teal")].pencil == 0


def test_who_is_at_work_goes_on(season: Season, old: Published) -> None:
    # By hand: at 07:20 whoever began at 07:00 is on the job; it ends when it was to end.
    at = datetime.fromisoformat("2031-05-05T07:20-04:00")
    on = [job for job in old.plan.jobs if job.starts <= at < job.ends]
    assert on
    first = changed(late_kit(season, "2031-05-06T08:30-04:00"), old, at)[0]
    for job in on:
        assert job in first.plan.plan.jobs


def test_what_was_to_be_over_and_is_not_waits(season: Season, old: Published) -> None:
    # Work of Monday that nobody said is done can't have been done by Tuesday noon.
    at = datetime.fromisoformat("2031-05-06T11:00-04:00")
    problem, known = asked_now(season, old, at, at + timedelta(minutes=15))
    since = problem.days.minute(at + timedelta(minutes=15)) + 1
    over = [t for t in problem.tasks if known.jobs[t.id].end <= problem.days.minute(at)]
    assert over
    assert all(task.not_before == since for task in over)
    found = changed(season, old, at)
    for choice in found:
        assert not breaks(season, choice.plan, at)
        for job in choice.plan.plan.jobs:
            assert job.ends > at


def test_of_many_better_answers_the_newest_is_put_into_words(
    season: Season, old: Published, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The first at once; of those that come at the same moment only the last, when next asked."""
    said: list[int] = []
    counted: list[int] = []

    def finds_many(
        *asked: Any, told: Callable[[Option], None], stop: Callable[[], bool], **more: Any
    ) -> Replanned:
        found = replan(*asked, **more)
        assert found.better
        for days in range(5):
            told(replace(found.better, change=found.better.change._replace(pencil_days=days)))
        assert not stop()
        counted.append(len(said))
        monkeypatch.setattr("yardwright.season.again.monotonic", lambda: monotonic() + 60)
        for _ in range(2):
            assert not stop()
        return found

    monkeypatch.setattr("yardwright.season.again.replan", finds_many)
    begins = MONDAY + timedelta(minutes=15)
    again(
        season, old, asked_at=MONDAY, begins=begins, time_limit_s=3,
        told=lambda choice: said.append(choice.pencil_days),
    )  # fmt: skip
    assert counted == [1]
    assert said == [0, 4]


def test_the_answers_come_back_from_json(season: Season, old: Published) -> None:
    found = changed(late_kit(season, "2031-05-06T09:30-04:00"), old)
    assert found
    assert choices_of(choices_json(found)) == found


def test_a_move_aside_that_nobody_made_is_planned_anew(season: Season, old: Published) -> None:
    # Story A1: Curlew is to be moved aside for Dunlin; an hour later she stands in front still.
    (aside,) = old.plan.asides
    at = aside.ends + timedelta(hours=1)
    _, known = asked_now(season, old, at, at + timedelta(minutes=15))
    assert not known.asides
    for choice in changed(season, old, at):
        assert all(one.starts > at for one in choice.plan.plan.asides)


@pytest.mark.parametrize("clock", ["05:50", "06:10"])
def test_who_is_shut_in_is_not_under_way_by_the_clock(
    season: Season, old: Published, clock: str
) -> None:
    """Dunlin was to be fetched at 06:00, and Curlew stands in front of her: first Curlew is moved."""
    (aside,), dunlin = old.plan.asides, old.launch("Dunlin")
    assert dunlin
    assert aside.boat == "Curlew"
    assert f"{dunlin.fetched:%d %H:%M}" == "06 06:00"
    boats = (
        boat if boat.name == "Curlew" else replace(boat, work=(), undone=())
        for boat in season.boats
        if boat.name != "Plover"
    )
    at = datetime.fromisoformat(f"2031-05-06T{clock}-04:00")
    found = changed(replace(season, boats=tuple(boats)), old, at)
    assert found
    for choice in found:
        (moved,), goes = choice.plan.plan.asides, choice.plan.launch("Dunlin")
        assert goes
        assert at + timedelta(minutes=15) < moved.starts
        assert moved.ends <= (goes.fetched or goes.starts)


def test_who_is_shut_in_is_not_being_moved_aside(season: Season, old: Published) -> None:
    """Three in a row: Curlew was not moved aside, so Dunlin's move after hers is not under way."""
    (aside,) = old.plan.asides
    begins = aside.ends
    move = replace(aside, boat="Dunlin", starts=begins, ends=begins + timedelta(minutes=30))
    both = replace(old, plan=replace(old.plan, asides=(aside, move)))
    _, on_time = asked_now(season, both, aside.starts, aside.starts + timedelta(minutes=15))
    assert {*on_time.asides} == {"Curlew", "Dunlin"}
    late = begins + timedelta(minutes=5)
    _, known = asked_now(season, both, late, late + timedelta(minutes=15))
    assert not known.asides


def test_a_launch_moved_by_wind_says_so(season: Season, old: Published) -> None:
    go = min(old.plan.launches, key=lambda one: one.starts)
    wind = Hold(go.starts - timedelta(hours=1), go.starts + timedelta(hours=1), "wind")
    lifts = tuple(replace(one, holds=(wind,)) for one in season.lifts)
    first = changed(replace(season, lifts=lifts), old)[0]
    (hers,) = [one for one in first.changes if one.boat == go.boat]
    assert hers.words[0].startswith(f"{go.boat} goes in ")
    assert hers.words[0].endswith(": the Travel lift carries nothing then.")
