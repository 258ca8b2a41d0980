"""Her work put in anew: every rule is kept, she is no later, and it always ends."""

from dataclasses import replace

import pytest

from tests.plan.test_rules import EVENING, A, B, yard
from tests.plan.test_rules import boat as boat_of
from tests.plan.yards import CURLEW, TUE, at, spring, story_a1
from yardwright.plan import checker, planner
from yardwright.plan.change import changed
from yardwright.plan.hours import either
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.near import near
from yardwright.plan.problem import BoatId, Plan, Problem, days_late


@pytest.fixture(scope="module")
def busy() -> tuple[Problem, Plan]:
    asked = spring(40, 3)
    return asked, list_plan(asked, by_promise(asked))


def test_each_of_forty_boats_comes_first_and_no_rule_is_broken(busy: tuple[Problem, Plan]) -> None:
    """Those in front of others too: a boat behind one put in anew waits for her, not for ever."""
    asked, stands = busy
    assert any(len(row) > 1 for row in asked.rows)
    found = [(boat, near(asked, stands, boat.id)) for boat in asked.going_in]
    plans = [(boat, plan) for boat, plan in found if plan is not None]
    assert len(plans) > 30
    for boat, plan in plans:
        assert checker.broken(plan, asked) == []
        assert days_late(asked, plan, boat) <= days_late(asked, stands, boat)


def test_others_win_back_most_of_the_days_they_lose_and_she_stays(
    busy: tuple[Problem, Plan], monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, stands = busy
    boats = [asked.boat[BoatId(f"boat {number}")] for number in ("01", "16", "17")]
    plans = [near(asked, stands, boat.id) for boat in boats]
    monkeypatch.setattr("yardwright.plan.near.TURNS", 0)
    for boat, plan in zip(boats, plans, strict=True):
        before = near(asked, stands, boat.id)
        assert plan is not None
        assert before is not None
        assert plan.launches[boat.id] == before.launches[boat.id]
        assert all(plan.jobs[t.id] == before.jobs[t.id] for t in asked.jobs[boat.id])
        lost, was = (changed(asked, stands, one).ink_days for one in (plan, before))
        assert was > 100
        assert lost < was / 3
        assert checker.broken(plan, asked) == []


def test_what_has_begun_stays_in_the_past(busy: tuple[Problem, Plan]) -> None:
    asked, stands = busy
    now = 21 * 1440
    later = [
        b for b in asked.going_in if all(stands.jobs[t.id].start > now for t in asked.jobs[b.id])
    ]
    for boat in later[:5]:
        plan = near(asked, stands, boat.id, now)
        assert plan is not None
        assert all(plan.jobs[task.id].start >= now for task in asked.jobs[boat.id])


def test_her_job_that_is_under_way_goes_on(busy: tuple[Problem, Plan]) -> None:
    asked, stands = busy
    now, tried = 21 * 1440 + 600, 0
    for boat in asked.going_in:
        hers = {t.id: stands.jobs[t.id] for t in asked.jobs[boat.id]}
        begun = {key: job for key, job in hers.items() if job.start < now}
        under_way = any(now < job.end for job in begun.values())
        plan = near(asked, stands, boat.id, now) if under_way and len(begun) < len(hers) else None
        if plan is not None:
            tried += 1
            assert {key: plan.jobs[key] for key in begun} == begun
            assert all(plan.jobs[key].start >= now for key in hers.keys() - begun.keys())
    assert tried > 3


def test_her_launch_that_has_begun_goes_on() -> None:
    # By hand: fetched on Monday at 8:00, she meets the water at 8:30; put in anew, a minute later.
    her = replace(boat_of(A, 1), carry_min=30)
    asked, stands = yard([her], [], []), Plan({}, {A: at(0, "08:30")}, {})
    assert not checker.broken(stands, asked)
    plan = near(asked, stands, A, at(0, "08:01"))
    assert plan is not None
    assert plan.launches[A] == at(0, "08:30")


def test_the_evening_lift_of_story_a1_takes_curlew_at_five_past_six() -> None:
    """The story says 18:05, worked out by hand."""
    asked = story_a1()
    stands = planner.plan(asked, workers=1).plan
    assert stands is not None
    (lift,) = asked.lifts
    evening = at(TUE, "18:05"), at(TUE, "22:05")
    longer = replace(asked, lifts=(replace(lift, opens=either([*lift.opens, evening])),))
    plan = near(longer, stands, CURLEW)
    assert plan is not None
    assert plan.launches[CURLEW] == at(TUE, "18:05")


def test_in_a_small_yard_too_nothing_is_put_in_the_past() -> None:
    # By hand: it is Tuesday six o'clock; her water was on Monday, and comes again on Wednesday.
    water = tuple((at(day, "07:00"), at(day, "16:00")) for day in (0, 2))
    asked = yard([boat_of(A, 1, water=water), boat_of(B, 2, water=EVENING)], [], [])
    stands = Plan({}, {A: at(2, "07:00"), B: at(2, "09:00")}, {})
    assert not checker.broken(stands, asked)
    plan = near(asked, stands, A, at(1, "06:00"))
    assert plan is not None
    assert plan.launches[A] >= at(2, "07:00")
