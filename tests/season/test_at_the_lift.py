"""A boat in the slings has the lift, and one that is watched a place for looks."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from yardwright.plan.checker import broken
from yardwright.plan.planner import plan
from yardwright.plan.problem import BoatId
from yardwright.procedures.going_in import State
from yardwright.season.faults import faults
from yardwright.season.holds import breaks
from yardwright.season.model import Boat, Lifted, Looks, Season
from yardwright.season.published import asked_now, published
from yardwright.season.read import read, read_file
from yardwright.season.spring import problem_of
from yardwright.season.write import write

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
    hangs = tuple(_hangs(three_days, go.boat, lifted))
    season = replace(three_days, boats=hangs)
    assert not [one for one in breaks(season, old, go.starts) if "slings" in one.words]
    asked, _ = asked_now(season, old, go.starts, go.starts)
    begun = asked.days.minute(go.starts)
    assert asked.lifts[0].taken == ((begun, begun + 30),)
    assert BoatId(go.boat) not in asked.boat


def _hangs(season: Season, name: str, lifted: Lifted) -> Iterator[Boat]:
    for boat in season.boats:
        if boat.name == name:
            yield replace(boat, state=State.IN_THE_SLINGS, place="", berth=None, lifted=lifted)
        else:
            yield boat


def test_it_is_written_and_read_and_refused_of_one_on_land(three_days: Season) -> None:
    season = with_one(three_days, State.IN_THE_WATER, Lifted(at("08:00"), LIFT))
    assert read(write(season)) == season
    (fault,) = faults(with_one(three_days, State.LAID_UP, Lifted(at("08:00"), LIFT)))
    assert "she is Laid up" in fault.says
