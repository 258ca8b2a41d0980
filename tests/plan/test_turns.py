"""Boats taken out of a plan and put in again: what comes of it by hand, and on busy yards."""

from dataclasses import replace
from functools import partial
from random import Random

import pytest

from bench.yards import yard as made_up
from tests.plan.test_put_off import with_overtime
from tests.plan.test_rules import A, B
from tests.plan.yards import spring
from yardwright.plan import checker, rounds
from yardwright.plan.change import changed
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.placing import Placing
from yardwright.plan.problem import score
from yardwright.plan.turns import Turns, put_in_again


def test_a_turn_takes_back_overtime_that_serves_nobody() -> None:
    asked, plan = with_overtime()
    turns = Turns(asked, plan, Random(1))  # noqa: S311 - no secret
    assert [turns.turn() for _ in range(20)].count(True)
    assert not checker.broken(turns.plan, asked)
    assert score(asked, turns.plan) == (0, 0, 0, 0, 0)


def test_no_turn_moves_a_launch_from_its_published_minute() -> None:
    asked, plan = with_overtime()
    told = replace(asked.boat[B], published=plan.launches[B])
    asked = replace(asked, boats=(asked.boat[A], told))
    turns = Turns(asked, plan, Random(1))  # noqa: S311 - no secret
    for _ in range(20):
        turns.turn()
    assert turns.plan.launches[B] == plan.launches[B]


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_no_turn_breaks_a_rule_or_costs_more(seed: int) -> None:
    asked = made_up(30, seed)
    plan = list_plan(asked, by_promise(asked), early_days=dict.fromkeys(asked.boat, 15.0))
    turns = Turns(asked, plan, Random(seed))  # noqa: S311 - no secret
    costs = [score(asked, plan)]
    for _ in range(40):
        turns.turn()
        assert checker.broken(turns.plan, asked) == []
        costs.append(score(asked, turns.plan))
    assert costs == sorted(costs, reverse=True)
    assert costs[-1] < costs[0]
    for boat in asked.boats:
        if boat.id not in turns.touched:
            assert turns.plan.launches[boat.id] == plan.launches[boat.id]


def test_a_turn_is_left_early_only_where_its_end_would_be_dearer() -> None:
    asked, dice = spring(30, 3), Random(3)  # noqa: S311 - no secret
    placing = Placing(asked, frozenset(), {}, dict.fromkeys(asked.boat, 0))
    placing.keep(list_plan(asked, by_promise(asked)))
    published, ends = placing.plan, list[bool]()
    for _ in range(60):
        some = dice.sample(sorted(asked.boat), dice.randint(1, 5))
        cost = partial(changed, asked, published)
        whole = put_in_again(placing, some, lambda _plan, _some: ())
        kept = put_in_again(placing, some, cost)
        dearer = whole is not None and cost(whole[0].plan, whole[1]) > cost(published, whole[1])
        assert (kept is None) == (whole is None or dearer)
        if kept and whole:
            assert (kept[0].plan, kept[1]) == (whole[0].plan, whole[1])
        ends.append(kept is None)
    assert 5 < sum(ends) < 55


def test_a_round_of_turns_says_what_it_touched() -> None:
    asked = spring(40, 3)
    place = rounds.Yard.of(asked)
    order = rounds.placed(place, *rounds.first_orders(place)[0])
    assert order.plan is not None
    done = rounds.played(place, rounds.Round(1, order, order.plan, turns=60, exact=True))
    assert done.plan is not None
    assert done.part is not None
    both = rounds.merged(order.plan, done.plan, done.part)
    assert both == done.plan
    assert score(asked, both) < order.score
