"""Savers of a whole season. With nothing uncertain story A1 says which there are."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from yardwright.plan.chance import NOTHING, Spread
from yardwright.plan.changes import Kind, changes
from yardwright.plan.checker import broken
from yardwright.plan.hours import within
from yardwright.plan.near import near
from yardwright.plan.planner import plan
from yardwright.plan.problem import BoatId
from yardwright.plan.replan import Replanned
from yardwright.procedures.going_in import State
from yardwright.season.asked import asked_now
from yardwright.season.holds import breaks
from yardwright.season.model import Lifted, Promise, Season
from yardwright.season.published import TO_PUBLISH, Published, published
from yardwright.season.read import read_file
from yardwright.season.savers import Asked, fitting, lines, promises_saved
from yardwright.season.spring import problem_of
from yardwright.season.uncertain import USUAL, Usual, standing

DOCS = Path(__file__).parents[2] / "docs"
BEGINS = datetime(2031, 5, 5, tzinfo=ZoneInfo("America/New_York"))
AS_PLANNED = Usual(
    part_on_day=1, away=0, wind=0, spread=Spread(0, 0), found_on_step=NOTHING, found_on_work=NOTHING
)


@pytest.fixture(scope="module")
def season() -> Season:
    return read_file(DOCS / "three-days.toml")


@pytest.fixture(scope="module")
def told(season: Season) -> Published:
    problem = problem_of(season)
    return published(season, problem, plan(problem, time_limit_s=5, workers=1))


def saved(
    season: Season,
    published: Published,
    boat: str = "",
    usual: Usual = AS_PLANNED,
    now: datetime = BEGINS,
    **more: Any,
) -> dict[str, Any]:
    return promises_saved(standing(season, published, now, usual), boat, Asked(1000, **more))


@pytest.fixture(scope="module")
def a1(season: Season, told: Published) -> dict[str, Any]:
    return saved(season, told)


def test_only_curlew_is_in_danger_where_all_comes_as_planned(a1: dict[str, Any]) -> None:
    (hers,) = a1["boats"]
    assert (hers["boat"], hers["promised"], hers["in_ink"]) == ("Curlew", "2031-05-06", True)
    assert a1["promises"][0]["boat"] == "Curlew"
    assert a1["promises"][0]["odds"] == 0
    assert [one["odds"] for one in a1["promises"][1:]] == [1.0] * 4
    assert (a1["missed"], a1["not_reached"]) == ([], [])


def test_the_one_worth_doing_is_the_evening_lift(a1: dict[str, Any]) -> None:
    """The kit would be cheaper, but leaves half a minute of water: the story says that first."""
    (hers,) = a1["boats"]
    by_kind = {one["kind"]: one for one in hers["savers"]}
    lift, kit = by_kind["lift"], by_kind["fetched"]
    assert lift["words"] == "Keep the travel lift open Tue 6 May 18:05 to Tue 6 May 19:00"
    assert (lift["odds"], lift["slack_min"]) == (1.0, 210)
    assert kit["words"] == "With only 0 min of water to spare: have her kit by Tue 6 May 07:15"
    assert hers["savers"][hers["worth"]] == lift
    assert a1["worth"] == "Curlew"
    assert not {"longer", "borrowed"} & by_kind.keys()  # more hours for the mechanic do not help


def test_a_kit_that_is_here_is_not_fetched(season: Season, told: Published) -> None:
    """It came at ten; at noon her work waits for the hour alone, and no hour is brought back."""
    came = replace(season, parts=(replace(season.parts[0], came=BEGINS + timedelta(hours=10)),))
    stands = standing(came, told, BEGINS + timedelta(hours=12), AS_PLANNED)
    found = [*changes(stands.problem, stands.plan, BoatId("Curlew"), stands.since)]
    assert found
    assert not [one.words for one in found if one.kind is Kind.FETCHED]


def test_as_said_the_one_worth_doing_comes_first(a1: dict[str, Any]) -> None:
    said = lines(a1)
    assert said[0] == "Curlew, Ink Tue 6 May: less than 5 % sure by this plan."
    assert said[1] == (
        "  Worth doing. Keep the travel lift open Tue 6 May 18:05 to Tue 6 May 19:00. Better than "
        "95 %. Asks for 0.9 h of lift and crew; 3 h of water to spare; hurts no other promise."
    )
    assert "  With only 0 min of water to spare: have her kit by Tue 6 May 07:15. Bet" in " ".join(
        said
    )


def test_what_the_time_does_not_reach_is_named(season: Season, told: Published) -> None:
    """As usual all five Ink are in danger; Plover's is the soonest."""
    found = saved(season, told, usual=USUAL, time_limit_s=0.0)
    assert [one["boat"] for one in found["boats"]] == ["Plover"]
    assert set(found["not_reached"]) <= {"Avocet", "Curlew", "Dunlin", "Teal"}
    assert "Curlew: not looked at, it ended before; ask for her alone." in lines(found)


def test_what_of_one_boat_was_not_reached_is_said_in_words(season: Season, told: Published) -> None:
    """No time at all: nothing was tried, and that is not said as if nothing helped."""
    found = saved(season, told, "Curlew", time_limit_s=0.0)
    (hers,) = found["boats"]
    assert hers["stopped"] is True
    assert any("18:05" in words for words in hers["not_reached"])  # the story's evening lift
    (not_known, listed) = lines(found)[1:3]
    assert not_known == "  Not known: it ended too soon."
    assert listed.startswith("  Not reached: plan her work anew")
    assert "keep the travel lift open Tue 6 May 18:05" in listed


def test_stopped_by_hand_it_answers_with_what_it_has(season: Season, told: Published) -> None:
    said: list[str] = []
    found = saved(
        season, told, "Curlew",
        told=lambda _share, words: said.append(words),
        stop=lambda: sum("Trying" in words for words in said) >= 2,
    )  # fmt: skip
    (hers,) = found["boats"]
    assert hers["stopped"] is True
    assert hers["savers"]  # of the two that were tried
    assert sum("Trying" in words for words in said) == 2


def test_all_reached_is_not_called_stopped(a1: dict[str, Any]) -> None:
    (hers,) = a1["boats"]
    assert (hers["stopped"], hers["not_reached"]) == (False, [])


def test_how_far_it_is_is_told_and_only_grows(season: Season, told: Published) -> None:
    shares: list[float] = []
    saved(season, told, told=lambda share, _said: shares.append(share))
    assert len(shares) > 3
    assert shares == sorted(shares)
    assert 0 <= shares[0] <= shares[-1] <= 1


def test_a_day_that_has_passed_is_not_saved(season: Season, told: Published) -> None:
    wednesday = BEGINS + timedelta(days=2)
    found = saved(season, told, now=wednesday)
    assert set(found["missed"]) == {"Plover", "Curlew", "Dunlin", "Teal"}
    assert "Curlew: her day has passed; call her owner." in lines(found)
    with pytest.raises(ValueError, match="Tue 6 May, has passed; call her owner"):
        saved(season, told, "Curlew", now=wednesday)


def test_who_can_not_be_asked_about(season: Season, told: Published) -> None:
    boats = tuple(replace(b, promise=Promise()) if b.name == "Curlew" else b for b in season.boats)
    with pytest.raises(ValueError, match="no day promised"):
        saved(replace(season, boats=boats), told, "Curlew")
    boats = tuple(replace(b, draft_m=None) if b.name == "Curlew" else b for b in season.boats)
    unmeasured = replace(season, boats=boats)
    with pytest.raises(ValueError, match="her draft is not known; measure it"):
        saved(unmeasured, told, "Curlew")
    said = "Curlew: her Ink can't be judged, her draft is not known; measure it."
    assert said in lines(saved(unmeasured, told))


def test_a_pencil_is_looked_at_when_asked_for(season: Season, told: Published) -> None:
    boats = tuple(
        replace(b, promise=Promise(pencil=date(2031, 5, 6))) if b.name == "Curlew" else b
        for b in season.boats
    )
    pencil = replace(season, boats=boats)
    assert saved(pencil, told)["boats"] == []
    assert lines(saved(pencil, told)) == ["Every Ink still to come is 90 % sure or better."]
    (hers,) = saved(pencil, told, "Curlew")["boats"]
    assert hers["in_ink"] is False
    assert hers["savers"]


def test_it_goes_by_the_plan_as_long_as_that_holds(season: Season, told: Published) -> None:
    assert breaks(season, told, BEGINS) == []
    assert not fitting(season, told, BEGINS).mended


def test_it_is_asked_as_a_replan_is(season: Season, told: Published) -> None:
    """Plover's launch was missed: neither puts her in before a change can be published."""
    plover = told.launch("Plover")
    assert plover
    now = plover.ends + timedelta(minutes=1)
    assert any("Plover was to go in" in one.words for one in breaks(season, told, now))
    stands = fitting(season, told, now)
    asked, _ = asked_now(season, told, now, now + TO_PUBLISH)
    assert stands.mended
    mine, theirs, days = stands.problem.boat, asked.boat, stands.problem.days
    since = days.minute(now)
    assert {key: boat.water for key, boat in mine.items()} == {
        key: within(boat.water, since + boat.carry_min, days.end) for key, boat in theirs.items()
    }
    assert days.at(stands.plan.launches[theirs["Plover"].id]) > now + TO_PUBLISH  # type: ignore[index]


def test_the_water_that_is_over_saves_nobody(season: Season, told: Published) -> None:
    """Tuesday noon: her work is done, she waits for her launch; Monday's waters are no way out."""
    (curlew,) = (boat for boat in season.boats if boat.name == "Curlew")
    done = (replace(curlew, work=(), undone=(), berth=None, place=""),)
    tuesday = datetime(2031, 5, 6, 14, tzinfo=ZoneInfo("America/New_York"))
    stands = fitting(replace(season, boats=done), told, tuesday)
    now = stands.problem.days.minute(tuesday)
    for boat in stands.problem.going_in:
        if stands.plan.launches[boat.id] - boat.carry_min >= now:
            assert boat.water[0][0] >= now + boat.carry_min
    found = promises_saved(stands, "Curlew", Asked(seasons=1000))
    assert not any("Mon 5 May" in line for line in lines(found))
    assert not any("better than 95 % by this plan" in line for line in lines(found))


def test_who_is_being_moved_aside_stands_in_front_of_nobody(
    season: Season, told: Published
) -> None:
    """Monday 15:45: Curlew is on the lift since 15:30, so that Dunlin gets out on Tuesday."""
    (aside,) = told.plan.asides
    assert aside.boat == "Curlew"
    boats = (replace(boat, work=(), undone=()) for boat in season.boats if boat.name != "Plover")
    done = replace(season, boats=tuple(boats))
    now = aside.starts + timedelta(minutes=15)
    stands = standing(done, told, now, AS_PLANNED)
    assert [*broken(stands.plan, stands.problem)] == []
    assert near(stands.problem, stands.plan, BoatId("Teal"), stands.since)


@pytest.fixture(scope="module")
def hangs_late(season: Season, told: Published) -> tuple[Season, datetime]:
    """Wednesday 07:00: Curlew hangs since 06:55, and has the lift until 07:25; Avocet's is 07:18."""
    avocet, at = told.launch("Avocet"), datetime.fromisoformat("2031-05-07T06:55-04:00")
    assert avocet
    assert at < avocet.starts < at + timedelta(minutes=30)
    by = Lifted(at, season.lifts[0].name)
    gone = dict.fromkeys(("Plover", "Dunlin", "Teal"), State.HANDED_OVER)
    states = gone | {"Curlew": State.IN_THE_SLINGS, "Avocet": State.READY}
    boats = tuple(
        replace(
            boat,
            state=states[boat.name],
            work=(),
            undone=(),
            place="",
            berth=None,
            lifted=by if boat.name == "Curlew" else None,
        )
        for boat in season.boats
    )
    return replace(season, boats=boats), at + timedelta(minutes=5)


def test_what_is_left_of_the_plan_keeps_every_rule(
    told: Published, hangs_late: tuple[Season, datetime]
) -> None:
    season, now = hangs_late
    assert breaks(season, told, now) == []  # it is her own time by the plan
    stands = standing(season, told, now, AS_PLANNED)
    assert [*broken(stands.plan, stands.problem)]
    fits = fitting(season, told, now, AS_PLANNED)
    assert fits.mended
    assert [*broken(fits.plan, fits.problem)] == []


def test_where_there_is_no_plan_it_is_not_said_that_nothing_helps(
    told: Published, hangs_late: tuple[Season, datetime], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(
        "yardwright.season.savers.replan", lambda *_asked, **_more: Replanned(None, None, None)
    )
    with pytest.raises(ValueError, match="No plan was found"):
        fitting(hangs_late[0], told, hangs_late[1], AS_PLANNED)
