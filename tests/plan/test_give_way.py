"""Boats that can wait give way: what comes of it by hand, and on busy yards."""

from itertools import count
from math import inf

import pytest

from tests.plan.test_replan import NOW, away
from tests.plan.test_rules import EVENING, A, B, boat, job, person, yard
from tests.plan.yards import at, spring
from yardwright.plan import checker
from yardwright.plan.change import changed
from yardwright.plan.give_way import GivingWay
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.problem import Job, PersonId, Plan, TaskId
from yardwright.plan.repair import hit, repaired

MECHANIC = PersonId("mechanic")
X, Y = TaskId("x"), TaskId("y")


def test_who_can_wait_gives_way_to_who_is_late() -> None:
    # By hand: one mechanic, five hours of work a day. A's Ink is Tuesday, and her job was lost on
    # Monday; on Tuesday he works on B, who has until Wednesday. They change places.
    asked = yard(
        [boat(A, 1, water=EVENING), boat(B, 2, water=EVENING)],
        [job(X, A, minutes=300), job(Y, B, minutes=300)],
        [person("mechanic", 1, 2)],
    )
    monday, tuesday, wednesday = (
        Job(MECHANIC, at(day, "07:00"), at(day, "12:00")) for day in range(3)
    )
    published = Plan({X: monday, Y: tuesday}, {A: at(1, "07:00"), B: at(1, "13:00")}, {})
    late = Plan({X: wednesday, Y: tuesday}, {A: at(2, "13:00"), B: at(1, "13:00")}, {})
    assert not checker.broken(late, asked)
    giving = GivingWay(asked, published, late, 0, seed=1)
    for _ in range(20):
        giving.turn(A)
    assert giving.holds()
    assert giving.plan.jobs == {X: tuesday, Y: wednesday}
    assert changed(asked, published, giving.plan).ink_days == 0
    assert changed(asked, published, late).ink_days == 1


@pytest.mark.parametrize("seed", [1, 3, 5])
def test_each_turn_keeps_every_rule_and_the_past_and_costs_no_more(seed: int) -> None:
    asked = spring(40, seed)
    published = list_plan(asked, by_promise(asked))
    ill = max((job.person for job in published.jobs.values()), key=lambda one: (one[-1], one))
    sick = away(asked, ill, NOW, 3)
    plan = repaired(sick, published, hit(sick, published), NOW)
    costs = changed(sick, published, plan)
    giving = GivingWay(sick, published, plan, NOW, seed)
    for turn in range(60):
        giving.turn(asked.boats[turn % len(asked.boats)].id)
        assert checker.broken(giving.plan, sick) == []
        assert changed(sick, published, giving.plan) <= costs
        costs = changed(sick, published, giving.plan)
    for key, was in published.jobs.items():
        assert giving.plan.jobs[key] == was or giving.plan.jobs[key].start >= max(NOW, was.start)


def test_what_some_boats_cost_adds_up_to_what_all_cost() -> None:
    asked = spring(40, 3)
    published = list_plan(asked, by_promise(asked))
    other = list_plan(asked, {key: -rank for key, rank in by_promise(asked).items()})
    each = [changed(asked, published, other, [one.id]) for one in asked.boats]
    assert tuple(map(sum, zip(*each, strict=True))) == changed(asked, published, other)


def test_ink_that_a_repair_alone_loses_is_kept() -> None:
    asked = spring(40, 3)
    published = list_plan(asked, by_promise(asked))
    sick = away(asked, PersonId("person 3"), NOW, 3)
    plan = repaired(sick, published, hit(sick, published), NOW)
    assert changed(sick, published, plan).ink_days > 10
    giving = GivingWay(sick, published, plan, NOW, seed=1)
    turns = count()
    giving.go_on(inf, stop=lambda: next(turns) == 100)
    assert not checker.broken(giving.plan, sick)
    assert changed(sick, published, giving.plan).ink_days < changed(sick, published, plan).ink_days
