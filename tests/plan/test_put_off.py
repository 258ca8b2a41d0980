"""All put off to the last day that serves: what comes of it by hand, and on busy yards."""

from dataclasses import replace

import pytest

from bench.yards import yard as made_up
from tests.plan.test_rules import EVENING, A, B, boat, job, person, yard
from tests.plan.yards import at, spring
from yardwright.plan import checker
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.problem import Job, PersonId, Plan, Problem, TaskId, days_late, score
from yardwright.plan.put_off import out_of_overtime, put_off

MECHANIC = PersonId("mechanic")
X, Y = TaskId("x"), TaskId("y")
MONDAY, TUESDAY = (Job(MECHANIC, at(day, "07:00"), at(day, "12:00")) for day in (0, 1))
LONGER = Job(MECHANIC, at(0, "12:30"), at(0, "13:30"), overtime=True)


def with_overtime() -> tuple[Problem, Plan]:
    """B's job is done on Monday, A's on Monday after hours, though B has until Tuesday."""
    asked = yard(
        [boat(A, 0, water=EVENING), boat(B, 1, water=EVENING)],
        [job(X, A, minutes=60), job(Y, B, minutes=300)],
        [replace(person("mechanic", 0, 1), overtime=((at(0, "12:30"), at(0, "13:30")),))],
    )
    plan = Plan({X: LONGER, Y: MONDAY}, {A: at(0, "14:00"), B: at(0, "14:30")}, {})
    return asked, plan


def test_who_can_wait_leaves_her_hours_to_others() -> None:
    asked, plan = with_overtime()
    assert not checker.broken(plan, asked)
    # By hand: B's five hours go to Tuesday, her launch to Tuesday afternoon, A's hour to the last
    # of Monday. On the way back A's goes to the first of Monday, B's next to it until Tuesday.
    assert put_off(asked, plan).jobs == {
        Y: TUESDAY,
        X: Job(MECHANIC, at(0, "11:00"), at(0, "12:00")),
    }
    less = out_of_overtime(asked, plan)
    assert not checker.broken(less, asked)
    assert less.jobs[X] == Job(MECHANIC, at(0, "07:00"), at(0, "08:00"))
    assert less.jobs[Y] == Job(MECHANIC, at(0, "08:00"), at(1, "08:00"))
    assert score(asked, less) == (0, 0, 0, 0, 0)


def test_a_launch_that_keeps_its_published_minute_stays() -> None:
    asked, plan = with_overtime()
    boats = tuple(replace(one, published=plan.launches[one.id]) for one in asked.boats)
    held = replace(asked, boats=boats)
    assert put_off(held, plan) == plan


def test_what_dries_meets_the_water_in_time() -> None:
    asked, plan = with_overtime()
    paint = replace(asked.task[Y], within_min=1440)  # Tuesday noon is less, Monday noon more
    wet = replace(asked, tasks=(asked.task[X], paint))
    assert put_off(wet, plan).jobs[Y] == TUESDAY
    # By hand: dry 12 h after noon she can't go in that day, and by the next noon it is too old.
    late = replace(wet.task[Y], dry_min=12 * 60)
    for within_min, stays in ((13 * 60, True), (None, False)):
        asks = replace(asked, tasks=(asked.task[X], replace(late, within_min=within_min)))
        assert (put_off(asks, plan).launches[B] == plan.launches[B]) is stays


@pytest.mark.parametrize("seed", range(1, 9))
def test_each_rule_is_kept_and_no_boat_is_later_than_her_day(seed: int) -> None:
    asked = spring(40, seed)
    plan = list_plan(asked, by_promise(asked))
    off, less = put_off(asked, plan), out_of_overtime(asked, plan)
    for one in (off, less):
        assert checker.broken(one, asked) == []
        for boat_ in asked.going_in:
            assert days_late(asked, one, boat_) <= days_late(asked, plan, boat_)
    assert score(asked, less) <= score(asked, plan)
    assert all(off.launches[key] >= at for key, at in plan.launches.items())
    assert any(off.jobs[key].start > was.start for key, was in plan.jobs.items())


def test_overtime_is_won_back_on_busy_yards() -> None:
    before, after = 0, 0
    for seed in range(1, 6):
        asked = made_up(30, seed)
        plan = list_plan(asked, by_promise(asked), early_days=dict.fromkeys(asked.boat, 15.0))
        before += score(asked, plan).overtime_min
        after += score(asked, out_of_overtime(asked, plan)).overtime_min
    assert before > 0
    assert after < before / 2
