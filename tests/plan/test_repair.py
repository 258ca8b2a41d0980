"""A plan set right at once: what gives way, to where, and when there is no room."""

from dataclasses import replace

import pytest

from tests.plan.test_rules import A, B, C, boat, job, person, yard
from tests.plan.yards import at, daily
from yardwright.plan import checker
from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import both, outside
from yardwright.plan.problem import Boat, BoatId, Job, Looks, PersonId, Plan, Problem
from yardwright.plan.problem import TaskId as T
from yardwright.plan.repair import NoRoom, hit, repaired
from yardwright.plan.replan import replan

EVER = daily(3, "00:00-23:59")
MECHANIC = PersonId("mechanic")


def movable(key: BoatId, *, goes_in: bool = True) -> Boat:
    return replace(boat(key, 2, water=EVER), aside_min=60, goes_in=goes_in)


def does(key: str, start: Minute) -> dict[T, Job]:
    return {T(key): Job(MECHANIC, start, start + 300)}


def set_right(asked: Problem, published: Plan, now: Minute = 0) -> Plan:
    """Both ways of putting in again keep every rule; the one in the published order."""
    kept, sooner = (
        repaired(asked, published, hit(asked, published), now, soonest=soonest)
        for soonest in (False, True)
    )
    for plan in (kept, sooner):
        assert checker.broken(plan, asked) == []
    return kept


def held(asked: Problem, *held: Interval) -> Problem:
    """The lift carries nothing then: wind."""
    (lift,) = asked.lifts
    opens = both(lift.opens, outside(held, asked.days.end))
    return replace(asked, lifts=(replace(lift, opens=opens, held=held),))


# A is moved aside on Monday at three; B, behind her, goes in on Tuesday at eight, A on Wednesday.
ROW = yard([movable(A), movable(B)], [], [], (A, B))
PLAN = Plan({}, {A: at(2, "09:00"), B: at(1, "08:00")}, {A: at(0, "15:00")})


def test_a_move_aside_that_wind_forbids_is_made_later_and_those_behind_wait_for_it() -> None:
    assert not any(hit(ROW, PLAN))
    assert set_right(ROW, PLAN) == PLAN
    windy = held(ROW, (at(0, "15:30"), at(1, "12:00")))
    assert hit(windy, PLAN).boats == {A, B}
    made = set_right(windy, PLAN)
    assert made.asides == {A: at(1, "12:00")}
    assert made.launches == {A: at(2, "09:00"), B: at(1, "13:00")}
    answer = replan(windy, PLAN, time_limit_s=2, workers=1)
    assert answer.at_once is not None
    assert answer.better is not None
    assert checker.broken(answer.better.plan, windy) == []


def test_one_who_leaves_too_late_for_those_behind_is_moved_aside_anew() -> None:
    """On Tuesday at seven A's move aside is late, and no part of the plan any more."""
    late = Plan({}, PLAN.launches, {})
    assert checker.broken(late, ROW)
    made = set_right(ROW, late, at(1, "07:00"))
    assert made.asides == {A: at(1, "07:00")}
    assert made.launches == PLAN.launches


def test_who_can_not_be_moved_aside_any_more_goes_in_first() -> None:
    boats = (replace(ROW.boat[A], aside_min=None), ROW.boat[B])
    made = set_right(replace(ROW, boats=boats), PLAN)
    assert made.asides == {}
    assert made.launches == {A: at(2, "09:00"), B: at(2, "09:30")}


def test_who_goes_in_later_holds_up_a_move_aside_behind_her() -> None:
    # A's work is done on Tuesday at noon instead of Monday: B can be moved and C get out after.
    plan = Plan(
        does("j", at(0, "07:00")),
        {A: at(0, "12:00"), B: at(2, "09:00"), C: at(1, "08:00")},
        {B: at(1, "07:00")},
    )
    asked = yard(
        [movable(A), movable(B), movable(C)], [job("j", A)], [person("mechanic", 0, 1)], (A, B, C)
    )
    assert set_right(asked, plan) == plan
    late = replace(asked, tasks=(replace(asked.tasks[0], not_before=at(1, "07:00")),))
    made = set_right(late, plan)
    assert made.launches == {A: at(1, "12:00"), B: at(2, "09:00"), C: at(1, "13:30")}
    assert made.asides == {B: at(1, "12:30")}


def test_her_own_move_aside_comes_before_her_launch_whoever_is_planned_anew() -> None:
    for key, at_the_soonest in ((A, at(0, "16:00")), (B, at(0, "16:00"))):
        left = {other: start for other, start in PLAN.launches.items() if other != key}
        made = set_right(ROW, replace(PLAN, launches=left))
        assert made.launches[key] >= at_the_soonest
        assert made.asides == PLAN.asides


def test_nobody_is_moved_aside_under_who_works_on_her() -> None:
    # On Tuesday, when the wind is gone, the mechanic is on A from seven to noon.
    asked = yard([movable(A), movable(B)], [job("j", A)], [person("mechanic", 1)], (A, B))
    plan = replace(
        PLAN, jobs=does("j", at(1, "07:00")), launches={**PLAN.launches, B: at(1, "14:00")}
    )
    made = set_right(held(asked, (at(0, "15:30"), at(1, "00:00"))), plan)
    assert made.asides == {A: at(1, "12:00")}


def test_one_that_does_not_go_in_any_more_is_moved_aside_for_those_behind() -> None:
    told = Plan({}, {A: at(1, "07:00"), B: at(2, "09:00")}, {})
    stays = replace(ROW, boats=(movable(A, goes_in=False), ROW.boat[B]))
    left = replace(told, launches={B: at(2, "09:00")})
    assert set_right(stays, left) == replace(left, asides={A: at(1, "09:00")})
    answer = replan(stays, left, now=at(1, "12:30"), time_limit_s=2, workers=1).better
    assert answer is not None
    assert answer.plan == replace(left, asides={A: at(1, "12:30")})
    assert answer.change.moves == 1
    # Half an hour before, it is too late for that; B waits until she is out of the way.
    made = set_right(stays, left, now=at(2, "08:30"))
    assert (made.asides, made.launches) == ({A: at(2, "09:30")}, {B: at(2, "10:30")})


def test_behind_one_that_stays_there_is_no_room() -> None:
    never = replace(movable(A, goes_in=False), aside_min=None)
    asked = replace(ROW, boats=(never, ROW.boat[B]))
    with pytest.raises(NoRoom):
        set_right(asked, Plan({}, {}, {}))
    assert replan(asked, Plan({}, {}, {}), time_limit_s=2, workers=1).better is None


# Painted on Monday; in within a day and a half of it.
PAINTED = yard(
    [movable(A)],
    [job("paint", A, within_min=36 * 60), job("kit", A, "hand")],
    [person("mechanic", 0, 1, 2), person("hand", 0, 1, 2)],
)
HAND = {T("kit"): Job(PersonId("hand"), at(1, "07:00"), at(1, "12:00"))}
FRESH = Plan(does("paint", at(0, "07:00")) | HAND, {A: at(1, "12:00")}, {})


def test_paint_is_put_on_later_where_she_can_not_go_in_before_it_is_too_old() -> None:
    assert set_right(PAINTED, FRESH) == FRESH
    tasks = (PAINTED.tasks[0], replace(PAINTED.tasks[1], not_before=at(2, "08:00")))
    people = (
        PAINTED.people[0],
        replace(PAINTED.people[1], works=((at(2, "08:00"), at(2, "13:00")),)),
    )
    late = replace(PAINTED, tasks=tasks, people=people)
    with pytest.raises(NoRoom):  # begun on Monday, and it would be too old on Wednesday at one
        set_right(late, FRESH, now=at(0, "08:00"))
    made = set_right(late, FRESH)
    assert made.launches == {A: at(2, "13:00")}
    assert made.jobs[T("paint")].start == at(1, "07:00")


def test_one_lift_less_is_answered_too() -> None:
    # Nothing is hit by itself: the two that go in together are too many.
    two = replace(yard([boat(A), boat(B)], [], []), lifts=(replace(ROW.lifts[0], count=2),))
    plan = Plan({}, {A: at(0, "08:00"), B: at(0, "08:00")}, {})
    one = replace(two, lifts=ROW.lifts)
    assert not checker.broken(plan, two)
    assert not any(hit(one, plan))
    answer = replan(one, plan, time_limit_s=2, workers=1)
    assert answer.better is not None
    assert answer.better.change.moves == 3


def test_who_looks_after_two_no_longer_is_answered_too() -> None:
    looks = Looks(2, EVER)
    two = yard([replace(boat(key), looks_min=120) for key in (A, B)], [], [], looks=looks)
    plan = Plan({}, {A: at(0, "08:00"), B: at(0, "08:30")}, {})
    one = replace(two, looks=replace(looks, at_once=1))
    answer = replan(one, plan, time_limit_s=2, workers=1)
    assert not checker.broken(plan, two)
    assert answer.better is not None
    assert not checker.broken(answer.better.plan, one)


def test_a_job_whose_watcher_has_the_trade_no_longer_can_not_stay() -> None:
    works = daily(3, "08:00-12:00")
    lea = replace(person("lea"), trades=frozenset(), learns=frozenset({"mechanic"}), works=works)
    two = [replace(person(name), trades=frozenset({"mechanic"}), works=works) for name in "io"]
    asked = yard([boat(A)], [job("a", A, minutes=60)], [lea, *two])
    watched = Job(lea.id, at(0, "08:00"), at(0, "09:00"), two[0].id)
    plan = Plan({T("a"): watched}, {A: at(0, "09:00")}, {})
    assert not checker.broken(plan, asked)
    assert not any(hit(asked, plan))
    rigs = replace(two[0], trades=frozenset({"rigger"}))
    changed = replace(asked, people=(lea, rigs, two[1]))
    assert hit(changed, plan).tasks == {T("a")}
    assert set_right(changed, plan).jobs[T("a")].person == two[1].id
