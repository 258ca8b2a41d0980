"""Kits against the beta-binomial worked out by other ways."""

from math import nextafter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.kits import chance_enough, expected_kits, kits_to_cover

counts = st.tuples(st.integers(0, 60), st.integers(0, 60), st.integers(0, 60)).map(
    lambda n: (n[0] + n[1], n[1], n[2])
)


def test_fourteen_of_a_hundred_and_twenty() -> None:
    # By hand: 85 x 14.5 / 121 = 10.186. The two chances by independent enumeration; the next test
    # comes to them by draws.
    assert expected_kits(120, 14, 85) == pytest.approx(10.2, abs=0.05)
    assert kits_to_cover(0.80, 120, 14, 85) == 13
    assert kits_to_cover(0.95, 120, 14, 85) == 17
    assert chance_enough(13, 120, 14, 85) == pytest.approx(0.809, abs=5e-4)
    assert chance_enough(17, 120, 14, 85) == pytest.approx(0.959, abs=5e-4)


def test_the_same_by_draws() -> None:
    # Another way: draw the share from Beta(14.5, 106.5), then the count; 400,000 times.
    rng = np.random.default_rng(14)
    drawn = rng.binomial(85, rng.beta(14.5, 106.5, size=400_000))
    for kits in (5, 10, 13, 17):
        assert chance_enough(kits, 120, 14, 85) == pytest.approx((drawn <= kits).mean(), abs=0.003)


def test_nothing_seen_yet() -> None:
    # By hand, from the arcsine law (Jeffreys): of two boats none, one, both with 3/8, 1/4, 3/8.
    assert chance_enough(0, 0, 0, 2) == pytest.approx(3 / 8)
    assert chance_enough(1, 0, 0, 2) == pytest.approx(5 / 8)
    assert expected_kits(0, 0, 2) == pytest.approx(1)


def test_no_boat_to_come_no_kit() -> None:
    assert expected_kits(120, 14, 0) == 0
    assert kits_to_cover(0.99, 120, 14, 0) == 0


@given(counts=counts, chance=st.floats(0.01, 0.999))
def test_the_fewest_that_cover(counts: tuple[int, int, int], chance: float) -> None:
    kits = kits_to_cover(chance, *counts)
    assert 0 <= kits <= counts[2]
    assert chance_enough(kits, *counts) >= chance - 1e-9
    assert kits == 0 or chance_enough(kits - 1, *counts) < chance + 1e-9


@given(counts=counts)
def test_a_kit_for_each_is_enough_however_sure(counts: tuple[int, int, int]) -> None:
    assert kits_to_cover(nextafter(1, 0), *counts) <= counts[2]


@pytest.mark.parametrize(
    ("counts", "told"),
    [((10, 11, 5), "11 of 10"), ((10, -1, 5), "-1 of 10"), ((10, 1, -1), "to come are -1")],
)
def test_counts_that_cannot_be(counts: tuple[int, int, int], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        expected_kits(*counts)
    with pytest.raises(ValueError, match=told):
        kits_to_cover(0.9, *counts)


def test_bad_chance_and_bad_kits() -> None:
    for chance in (0, 1, 95, float("nan")):
        with pytest.raises(ValueError, match=r"such as 0\.95"):
            kits_to_cover(chance, 120, 14, 85)
    with pytest.raises(ValueError, match="kits are -1"):
        chance_enough(-1, 120, 14, 85)
