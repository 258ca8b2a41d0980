"""Boats that went to the lift before a plan was asked take the lift, and places for looks."""

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace

import numpy as np
import pytest

from tests.plan.yards import LIFT, PLOVER, TEAL, at, daily, story_a1, tiny
from yardwright.plan import checker, model, solver
from yardwright.plan.booked import Carried
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.placing import Stuck
from yardwright.plan.problem import Lift, Looks, Plan, Problem

SIX, SEVEN, NINE = at(0, "06:00"), at(0, "07:00"), at(0, "09:00")


def two_boats(count: int, *taken: tuple[int, int], looks: Looks | None = None) -> Problem:
    """Plover and Teal, nothing to be done on them, both promised for Monday with water 7 to 9."""
    a1 = story_a1()
    water = daily(3, "07:00-09:00")
    boats = tuple(
        replace(boat, water=water, launch_min=60, looks_min=60 if looks else 0, ink=0)
        for boat in a1.boats
        if boat.id in (PLOVER, TEAL)
    )
    lift = Lift(LIFT, "Travel lift", daily(3, "06:00-16:00"), count, taken=taken)
    return replace(a1, boats=boats, tasks=(), lifts=(lift,), rows=(), looks=looks)


def plans(problem: Problem) -> Iterator[Plan]:
    with suppress(Stuck):
        yield list_plan(problem, by_promise(problem))
    found = solver.solve(problem, time_limit_s=5)
    assert found.plan is not None
    yield found.plan


def test_the_one_lift_is_taken() -> None:
    # By hand: one lift and two hours of water take both on Monday; with the first hour taken, one.
    for plan in plans(two_boats(1)):
        assert sorted(plan.launches.values()) == [SEVEN, at(0, "08:00")]
    asked = two_boats(1, (SIX, at(0, "08:00")))
    for plan in plans(asked):
        assert checker.broken(plan, asked) == []
        assert sorted(plan.launches.values()) == [at(0, "08:00"), at(1, "07:00")]


def test_one_of_two_lifts_is_taken() -> None:
    asked = two_boats(2, (SIX, NINE))
    for plan in plans(asked):
        assert checker.broken(plan, asked) == []
        first, second = sorted(plan.launches.values())
        assert second >= first + 60
    both = Plan({}, {PLOVER: SEVEN, TEAL: SEVEN}, {})
    assert any("the boat in the slings" in says for says in checker.broken(both, asked))
    assert not checker.broken(both, two_boats(2))


def test_a_place_for_looks_is_taken() -> None:
    looks = Looks(1, daily(3, "06:00-18:00"), ((SIX, at(0, "09:00")),))
    asked = two_boats(2, looks=looks)
    for plan in plans(asked):
        assert checker.broken(plan, asked) == []
        assert all(start + 60 >= NINE for start in plan.launches.values())
    early = Plan({}, {PLOVER: SEVEN, TEAL: at(1, "07:00")}, {})
    assert any("a boat that is in" in says for says in checker.broken(early, asked))


def test_without_it_the_model_s_twin_complains(monkeypatch: pytest.MonkeyPatch) -> None:
    lift = two_boats(2, (SIX, NINE))
    looks = two_boats(2, looks=Looks(1, daily(3, "06:00-18:00"), ((SIX, NINE),)))
    monkeypatch.setattr(model, "_taken", lambda *_: [])
    for asked, says in ((lift, "the boat in the slings"), (looks, "a boat that is in")):
        found = solver.solve(asked, time_limit_s=5).plan
        assert found is not None
        assert any(says in one for one in checker.broken(found, asked))


@pytest.mark.parametrize("seed", range(6))
def test_every_producer_keeps_clear_of_it(seed: int) -> None:
    asked = tiny(seed, boats=4)
    taken = ((at(0, "06:00"), at(0, "10:00")), (at(1, "07:00"), at(1, "09:00")))
    lifts = tuple(replace(lift, taken=taken) for lift in asked.lifts)
    asked = replace(asked, lifts=lifts)
    made = [*plans(asked)]
    assert made
    for plan in made:
        assert checker.broken(plan, asked) == []


def test_more_than_there_are_is_refused() -> None:
    with pytest.raises(ValueError, match="more than 1 from 360 to 540"):
        Lift(LIFT, "Travel lift", daily(3, "06:00-16:00"), 1, taken=((300, 540), (360, 600)))
    with pytest.raises(ValueError, match="Boats looked after already: more than 1"):
        Looks(1, daily(3, "06:00-18:00"), ((300, 540), (360, 600)))


def test_odds_count_it_in_every_season() -> None:
    lifts = Carried(1, 2, 3, ((SIX, NINE),))
    start = np.array([SEVEN, NINE, SIX - 30])
    assert lifts.busy_until(start, start + 30, np.arange(3)).tolist() == [NINE, 0, 0]
