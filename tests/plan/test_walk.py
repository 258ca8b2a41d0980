"""The shortest walk: every order tried, a circle whose answer is known, and a big round."""

from itertools import permutations
from math import cos, pi, sin
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yardwright.plan.model_walk import Point, length_m, walk

POINT = st.tuples(st.integers(0, 90), st.integers(0, 90))


@given(st.lists(POINT, min_size=1, max_size=7))
@settings(max_examples=30)
def test_nothing_is_shorter(points: list[Point]) -> None:
    order, proven = walk(points)
    best = min(length_m(points, other) for other in permutations(range(1, len(points))))
    assert proven
    assert sorted(order) == [*range(1, len(points))]
    assert length_m(points, order) == pytest.approx(best, abs=0.01 * len(points))


def test_round_a_circle() -> None:
    # Twenty stops evenly on a circle of 50 m: the polygon, 20 * 2 * 50 * sin(pi / 20).
    stops = [(50 * cos(2 * pi * n / 20), 50 * sin(2 * pi * n / 20)) for n in range(20)]
    Random(1).shuffle(stops)  # noqa: S311 - no secret
    order, proven = walk(stops)
    assert proven
    assert length_m(stops, order) == pytest.approx(2000 * sin(pi / 20), abs=0.2)


def test_sixty_boats_in_rows() -> None:
    # Rows 12 m apart, ten berths each 9 m: no walk is shorter than 59 steps between neighbours.
    rows = [(12.0 * row, 9.0 * berth) for row in range(6) for berth in range(10)]
    order, _ = walk(rows)
    assert sorted(order) == [*range(1, 60)]
    assert 60 * 9 <= length_m(rows, order) <= 1.05 * (54 * 9 + 6 * 12 + 12 * 5)
