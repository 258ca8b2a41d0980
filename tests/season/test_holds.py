"""Where a plan no longer holds: said once a cause, with all the boats that it touches."""

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

import pytest

from tests.plan.planted import PLANTED, good_plan
from yardwright.plan import checker
from yardwright.plan.planner import plan
from yardwright.procedures.going_in import State
from yardwright.season.asked import asked_now
from yardwright.season.causes import NAMED, Broken, Hit, broken_rules, broken_since, said_once
from yardwright.season.holds import breaks
from yardwright.season.model import Hold, Lifted, Season, Work
from yardwright.season.published import Published, published
from yardwright.season.read import read_file
from yardwright.season.spring import problem_of
from yardwright.season.yard_time import Launch

DOCS = Path(__file__).parents[2] / "docs"
ZONE = ZoneInfo("America/New_York")
BEGINS = datetime(2031, 5, 5, 5, tzinfo=ZONE)
MON, TUE = date(2031, 5, 5), date(2031, 5, 6)


@pytest.fixture(scope="module")
def season() -> Season:
    """Story A1's three days, with a second boat that waits for the kit."""
    given = read_file(DOCS / "three-days.toml")
    return replace(
        given,
        boats=tuple(
            replace(b, work=(*b.work, Work("anodes", "mechanic", 30, part=given.parts[0].name)))
            if b.name == "Avocet"
            else b
            for b in given.boats
        ),
    )


@pytest.fixture(scope="module")
def told(season: Season) -> Published:
    problem = problem_of(season, begins=BEGINS)
    return published(season, problem, plan(problem, time_limit_s=5), begins=BEGINS)


def words(lines: Iterable[Broken]) -> list[str]:
    return [line.words for line in lines]


def with_ines_off(season: Season, *days: date) -> Season:
    people = (replace(p, off=days) if p.name == "Ines" else p for p in season.people)
    return replace(season, people=tuple(people))


def on_monday(told: Published, person: str) -> list[tuple[str, str]]:
    jobs = (job for job in told.plan.jobs if job.starts.date() <= MON <= job.ends.date())
    return [(job.boat, job.what) for job in jobs if person in (job.person, job.watcher)]


def test_one_who_is_off_is_one_line_with_her_jobs_and_boats(
    season: Season, told: Published
) -> None:
    assert breaks(season, told, BEGINS) == []
    jobs = on_monday(told, "Ines")
    boats = list(dict.fromkeys(boat for boat, _ in jobs))
    assert len(boats) > 1
    (line,) = breaks(with_ines_off(season, MON), told, BEGINS)
    assert line.boats == set(boats)
    cause, on = line.words.removesuffix(".").split(" jobs on ")
    assert cause == f"Ines is off Mon 5 May: {len(jobs)}"
    assert set(re.split(", | and ", on)) == set(boats)


def test_days_off_in_a_row_are_one_line(season: Season, told: Published) -> None:
    hired = with_ines_off(season, MON, TUE)
    (ines,) = (person for person in hired.people if person.name == "Ines")
    more = replace(hired, people=(*hired.people, replace(ines, name="Sam", off=())))
    (line,) = breaks(more, told, BEGINS)
    assert line.words.startswith("Ines is off from Mon 5 May to Tue 6 May: ")


def test_days_off_go_over_a_weekend_and_no_further(season: Season, told: Published) -> None:
    friday, monday = MON - timedelta(days=3), MON + timedelta(days=14)
    (line,) = breaks(with_ines_off(season, friday, MON, monday), told, BEGINS)
    assert line.words.startswith("Ines is off from Fri 2 May to Mon 5 May: ")


def test_a_kit_that_comes_later_is_one_line(season: Season, told: Published) -> None:
    kit = ("Avocet", "Curlew")
    begin = [
        max(job.starts for job in told.plan.jobs if (job.boat, job.person) == (boat, "Ines"))
        for boat in kit
    ]
    later = max(begin) + timedelta(minutes=30)
    late = replace(season, parts=tuple(replace(p, arrives=later) for p in season.parts))
    lines = breaks(late, told, BEGINS)
    (line,) = [one for one in lines if "kit" in one.words]
    said = f"{later:%a} {later.day} May {later:%H:%M}"
    assert line.words.startswith(f"The kit does not come before {said}: 2 jobs on ")
    assert line.boats == {"Avocet", "Curlew"}
    # Nobody knows when it comes: both can't be planned, and why is said once.
    unknown = replace(season, parts=tuple(replace(p, arrives=None) for p in season.parts))
    (line,) = breaks(unknown, told, BEGINS)
    assert line.words == (
        "In the plan, but now not to be planned (nobody knows when the kit comes; ask, and write "
        "the day): Avocet and Curlew."
    )
    assert line.boats == {"Avocet", "Curlew"}


def test_wind_is_one_line_a_day(season: Season, told: Published) -> None:
    hold = Hold(datetime(2031, 5, 6, tzinfo=ZONE), datetime(2031, 5, 7, tzinfo=ZONE), "wind")
    windy = replace(season, lifts=(replace(season.lifts[0], holds=(hold,)),))
    goes = {go.boat for go in told.plan.launches if go.starts.date() == TUE}
    assert len(goes) > 1
    (line,) = breaks(windy, told, BEGINS)
    assert line.words.startswith("The Travel lift is held Tue 6 May when it should carry: ")
    assert line.boats == goes


def test_a_boat_that_cant_be_planned_hides_no_other_break(season: Season, told: Published) -> None:
    hold = Hold(datetime(2031, 5, 6, tzinfo=ZONE), datetime(2031, 5, 7, tzinfo=ZONE), "wind")
    windy = replace(season, lifts=(replace(season.lifts[0], holds=(hold,)),))
    unknown = replace(windy, parts=tuple(replace(p, arrives=None) for p in season.parts))
    goes = {go.boat for go in told.plan.launches if go.starts.date() == TUE}
    lines = breaks(unknown, told, BEGINS)
    assert lines[0].words.startswith("In the plan, but now not to be planned (nobody knows when ")
    assert lines[0].boats == {"Avocet", "Curlew"}
    (held,) = [one for one in lines if "is held Tue 6 May" in one.words]
    assert held.boats == goes - lines[0].boats != set()


def test_what_is_overdue_is_one_line_a_kind(season: Season, told: Published) -> None:
    here = replace(season, parts=tuple(replace(p, came=p.arrives) for p in season.parts))
    end = datetime(2031, 5, 7, 23, tzinfo=ZONE)
    lines = {one.words.split(":")[0]: one for one in breaks(here, told, end)}
    goes = lines["Their time to go in has passed"]
    done = lines["To be done by now, and nobody has said that it is"]
    assert goes.boats == {go.boat for go in told.plan.launches}
    assert done.boats == {job.boat for job in told.plan.jobs}
    assert f": {len(told.plan.jobs)} jobs on " in done.words
    assert len(lines) == 2 + len(told.plan.asides)


def test_one_boat_keeps_her_sentence_and_many_are_not_all_named() -> None:
    def hits(count: int) -> list[Hit]:
        return [Hit("Cause", f"Boat {n}", f"Boat {n} is hit.") for n in range(count)]

    (one,) = said_once(hits(1))
    assert (one.words, one.boats) == ("Boat 0 is hit.", frozenset({"Boat 0"}))
    assert words(said_once(hits(2))) == ["Cause: Boat 0 and Boat 1."]
    (line,) = said_once(hits(NAMED + 3))
    assert line.words.endswith(f"Boat {NAMED - 1} and 3 more.")
    assert len(line.boats) == NAMED + 3  # also those that are not named


def test_since_a_time_are_the_causes_that_are_new_or_touch_more_boats() -> None:
    def line(cause: str, *boats: str) -> Broken:
        (one,) = said_once(
            Hit(cause, boat, f"{cause}: engine on {boat}.", is_job=True) for boat in boats
        )
        return one

    sick, more_sick = line("Ines is off Mon 5 May", "Plover"), line("Ines is off Mon 5 May", "Teal")
    late = line("The kit does not come before Wed 7 May 07:30", "Plover")
    later = line("The kit does not come before Wed 7 May 07:45", "Plover")
    assert broken_since([sick, late], [sick]) == [late]
    assert broken_since([sick], [line("Ines is off Mon 5 May", "Plover", "Teal"), late]) == []
    assert broken_since([more_sick, later], [sick, late]) == [more_sick, later]


def test_a_second_part_that_comes_late_for_the_same_boat_is_new(
    season: Season, told: Published
) -> None:
    # Curlew alone waits, for the kit and for a pump; the kit was late before.
    here = BEGINS + timedelta(hours=1)
    later = max(job.starts for job in told.plan.jobs if job.boat == "Curlew") + timedelta(hours=1)

    def waits(kit: datetime, pump: datetime) -> list[Broken]:
        parts = {"engine": "kit", "hull": "pump"}
        boats = (
            replace(
                boat,
                work=tuple(
                    replace(one, part=parts.get(one.what, "") if boat.name == "Curlew" else "")
                    for one in boat.work
                ),
            )
            for boat in season.boats
        )
        (one,) = season.parts
        both = (replace(one, arrives=kit), replace(one, name="pump", arrives=pump))
        return breaks(replace(season, boats=tuple(boats), parts=both), told, BEGINS)

    assert waits(here, here) == []
    (before,) = waits(later, here)
    lines = waits(later, later)
    (new,) = broken_since(lines, [before])
    assert "pump" in new.words
    assert "kit" in before.words
    assert broken_since(lines, lines) == []


def test_more_of_one_cause_on_the_same_boat_is_new(season: Season, told: Published) -> None:
    here = replace(season, parts=tuple(replace(p, came=p.arrives) for p in season.parts))
    hers = [job for job in told.plan.jobs if job.boat == "Avocet"]
    one = replace(told, plan=replace(told.plan, jobs=tuple(hers)))
    _, second, third = sorted(job.ends for job in hers)
    (new,) = (
        line
        for line in broken_since(breaks(here, one, third), breaks(here, one, second))
        if line.boats == {"Avocet"}
    )
    assert new.words.endswith(": 3 jobs on Avocet.")


@pytest.mark.parametrize("name", PLANTED)
def test_nothing_that_the_checker_finds_is_lost(season: Season, name: str) -> None:
    for seed in range(3):
        problem, good = good_plan(seed)
        assert broken_rules(season, good, problem) == []
        bad = PLANTED[name][1](good, problem, Random(seed))  # noqa: S311 - no secret
        said, lines = checker.broken(bad, problem), broken_rules(season, bad, problem)
        assert bool(lines) == bool(said)
        names = {boat.name for boat in problem.boats}
        by_checker = {boat for boat in names if any(boat in one for one in said)}
        assert by_checker <= {boat for one in lines for boat in one.boats}


# --- in the slings -----------------------------------------------------------------


def hangs(season: Season, boat: str, since: datetime | None) -> Season:
    by = season.lifts[0].name
    lifted = Lifted(since, by) if since else None
    boats = (
        replace(b, state=State.IN_THE_SLINGS, place="", berth=None, lifted=lifted)
        if b.name == boat
        else b
        for b in season.boats
    )
    here = (replace(part, came=part.arrives) for part in season.parts)
    return replace(season, boats=tuple(boats), parts=tuple(here))


def next_after(told: Published, go: Launch) -> Launch:
    return next(one for one in told.plan.launches if one.starts > go.starts)


def in_the_slings(season: Season, told: Published, now: datetime) -> list[Broken]:
    return [one for one in breaks(season, told, now) if "in the slings" in one.words]


def test_one_who_hangs_over_her_time_is_said_as_replan_sees_it(
    season: Season, told: Published
) -> None:
    go = told.plan.launches[0]
    after = next_after(told, go)
    season = hangs(season, go.boat, go.starts)
    over = go.ends
    assert in_the_slings(season, told, go.starts) == []
    assert in_the_slings(season, told, over) == []  # over her time, and nobody waits for the lift
    late = (after.fetched or after.starts) - timedelta(minutes=10)
    (line,) = in_the_slings(season, told, late)
    fetched = after.fetched or after.starts
    assert line.words.startswith(
        f"{go.boat} hangs in the slings when the Travel lift should carry "
    )
    assert f"{after.boat} {fetched:%a} {fetched.day} {fetched:%b %H:%M}" in line.words
    assert after.boat in line.boats
    asked, known = asked_now(season, told, late, late)
    assert list(checker.lifts_enough(known, asked))  # so does a replan


def test_one_who_hangs_in_time_has_no_other_s_lift(season: Season, told: Published) -> None:
    """Minutes late into the slings is no breach until her own time is over."""
    go = told.plan.launches[0]
    late = go.starts + timedelta(minutes=10)
    assert in_the_slings(hangs(season, go.boat, late), told, go.ends - timedelta(minutes=1)) == []


def test_one_who_hangs_in_another_s_time_is_said(season: Season, told: Published) -> None:
    """The last of her day hangs when the first of that day should be carried."""
    days = {go.starts.date() for go in told.plan.launches}
    day, goes = next(
        (day, goes)
        for day in sorted(days)
        if len(goes := [go for go in told.plan.launches if go.starts.date() == day]) > 1
    )
    first, last = goes[0], goes[-1]
    assert day == first.starts.date()
    (line,) = in_the_slings(hangs(season, last.boat, first.starts), told, first.starts)
    assert line.boats == {first.boat}
