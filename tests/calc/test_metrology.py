"""How sure a reading is, against the guides' examples, normal tables and worked cases."""

from math import prod, sqrt
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.stats import theilslopes

from yardwright.calc.metrology import (
    chance_ratio_at_least,
    chance_within,
    combined_u,
    deciding_u,
    deciding_u_for_ratio,
    resolution_u,
    robust_slope,
)

values = st.floats(-50, 50)
us = st.floats(0.01, 10)
chances = st.floats(0.6, 0.995)


def test_a_load_test_close_to_its_limit() -> None:
    # By hand: (9.38 - 9.346) / 0.03 = 1.133, normal table 0.871; 0.034 / 1.6449 = 0.0207.
    assert chance_within(9.38, 0.03, 9.346, None) == pytest.approx(0.871, abs=5e-4)
    assert deciding_u(9.38, 9.346, None, 0.95) == pytest.approx(0.0207, abs=5e-5)


def test_uncertainty_of_meter_and_thermometer_together() -> None:
    # By hand: a meter of 0.048 V, and 2 °C on a limit of 0.036 V/°C: sqrt(0.048² + 0.072²).
    assert combined_u(0.048, 2 * 0.036) == pytest.approx(0.0865, abs=5e-5)
    # JCGM 100:2008, F.2.2.1: a digital display counts 0.29 of its step.
    assert resolution_u(1) == pytest.approx(0.29, abs=0.005)


@pytest.mark.parametrize(
    ("chance", "one_sided", "two_sided"), [(0.95, 1.6449, 1.9600), (0.99, 2.3263, 2.5758)]
)
def test_deciding_against_the_normal_table(
    chance: float, one_sided: float, two_sided: float
) -> None:
    assert 1 / deciding_u(11, 10, None, chance) == pytest.approx(one_sided, abs=5e-5)
    assert 1 / deciding_u(9, None, 10, chance) == pytest.approx(one_sided, abs=5e-5)
    assert 1 / deciding_u(10, 9, 11, chance) == pytest.approx(two_sided, abs=5e-5)


def test_a_reading_outside_is_decided_too() -> None:
    # By hand: 0.1 V below the limit, 0.1 / 1.6449 = 0.0608: then p is 0.05.
    u = deciding_u(9.2, 9.3, None, 0.95)
    assert u == pytest.approx(0.0608, abs=5e-5)
    assert chance_within(9.2, u, 9.3, None) == pytest.approx(0.05)
    # 1 above two limits: the far one counts nothing, so again 1 / 1.6449.
    assert deciding_u(26, 18, 25, 0.95) == pytest.approx(0.6080, abs=5e-5)


def test_on_the_limit_no_instrument_decides() -> None:
    assert chance_within(9.3, 0.05, 9.3, None) == 0.5
    assert deciding_u(9.3, 9.3, None, 0.95) == 0
    assert deciding_u(25, 18, 25, 0.95) == 0


@pytest.mark.parametrize("margin", [5e-324, 1e-323, 1e-300])
def test_a_hair_from_the_limit_still_ends(margin: float) -> None:
    assert 0 <= deciding_u(0, -margin, 60, 0.95) <= margin


@given(value=values, lower=values, width=st.floats(0.1, 60), chance=chances)
def test_the_deciding_u_decides(value: float, lower: float, width: float, chance: float) -> None:
    upper = lower + width
    u = deciding_u(value, lower, upper, chance)
    assume(u > 1e-6)
    p = chance_within(value, u, lower, upper)
    if lower <= value <= upper:
        assert p == pytest.approx(chance, abs=1e-6)
        assert chance_within(value, 1.1 * u, lower, upper) < chance
    else:
        assert p <= 1 - chance + 1e-9


@given(value=values, u=us, lower=values, width=st.floats(0.1, 60))
def test_chances_add_up(value: float, u: float, lower: float, width: float) -> None:
    upper = lower + width
    below, above = chance_within(value, u, None, lower), chance_within(value, u, upper, None)
    assert below + chance_within(value, u, lower, upper) + above == pytest.approx(1)


@given(value=values, u=us, limit=values)
def test_further_inside_is_surer(value: float, u: float, limit: float) -> None:
    p = chance_within(value, u, limit, None)
    assert chance_within(value + u, u, limit, None) >= p
    assert chance_within(-value, u, None, -limit) == pytest.approx(p)


# Expected: worked out apart from this code, rounded to 0.005; the integral beside it needs no draws:
# the highest is x, and each other lies between 0.90 x and x.
@pytest.mark.parametrize(
    ("readings", "chance"), [([150, 148, 151, 134], 0.145), ([75, 75, 80, 78], 0.745)]
)
def test_lowest_cylinder_over_highest(readings: list[float], chance: float) -> None:
    each = [NormalDist(reading, 2) for reading in readings]

    def highest_at(x: float) -> float:
        between = [one.cdf(x) - one.cdf(0.90 * x) for one in each]
        return sum(one.pdf(x) * prod(between[:i] + between[i + 1 :]) for i, one in enumerate(each))

    exact, _ = quad(highest_at, max(readings) - 20, max(readings) + 20)
    p = chance_ratio_at_least(readings, 2, 0.90)
    assert p == pytest.approx(chance, abs=0.005)
    assert p == pytest.approx(exact, abs=1e-5)


@pytest.mark.parametrize(
    ("readings", "u", "ratio"),
    [
        ([150, 148, 151, 134], 2, 0.90),
        ([75, 75, 80, 78], 2, 0.90),
        ([100, 90, 95, 94, 97, 99], 6, 0.70),
        ([100, 50, 95], 10, 0.50),
        ([80, 80], 16, 1),
    ],
)
def test_lowest_over_highest_by_draws(readings: list[float], u: float, ratio: float) -> None:
    # JCGM 101:2008, propagation by draws: 400,000 of them are good to 0.0008 (one standard error).
    drawn = np.array(readings) + u * np.random.default_rng(7).standard_normal(
        (400_000, len(readings))
    )
    by_draws = np.mean(drawn.min(axis=1) >= ratio * drawn.max(axis=1))
    assert chance_ratio_at_least(readings, u, ratio) == pytest.approx(by_draws, abs=0.003)


def test_even_cylinders_are_even() -> None:
    # 78 / 80 with 0.5 each: 6 of 80 in hand, over eight times its uncertainty.
    assert chance_ratio_at_least([78, 79, 80, 79], 0.5, 0.90) == 1


@given(low=st.floats(80, 120), more=st.floats(0, 40), u=st.floats(0.5, 5))
@settings(max_examples=25)
def test_two_readings_have_a_formula(low: float, more: float, u: float) -> None:
    # Exact for two: low - r high is normal with u sqrt(1 + r²); here the second is far the higher.
    high = low + more + 8 * u
    exact = NormalDist().cdf((low - 0.85 * high) / (u * sqrt(1 + 0.85**2)))
    assert chance_ratio_at_least([low, high], u, 0.85) == pytest.approx(exact, abs=0.005)


def test_a_ratio_that_finer_gauges_would_decide() -> None:
    # Holds: the draws themselves must say 0.95 at that u, and less at a coarser one.
    u = deciding_u_for_ratio([75, 75, 80, 78], 0.90, 0.95)
    assert chance_ratio_at_least([75, 75, 80, 78], u, 0.90) == pytest.approx(0.95, abs=1e-5)
    assert chance_ratio_at_least([75, 75, 80, 78], 1.1 * u, 0.90) < 0.95
    # Does not: by hand (0.9 x 151 - 134) / (1.6449 sqrt(1 + 0.81)) = 1.9 / 2.2130 = 0.8586.
    u = deciding_u_for_ratio([150, 148, 151, 134], 0.90, 0.95)
    assert u == pytest.approx(0.8586, abs=1e-4)
    assert chance_ratio_at_least([150, 148, 151, 134], u, 0.90) <= 0.05


def test_two_far_readings_are_decided_by_formula_too() -> None:
    # By hand: (104 - 0.80 x 121) / (1.6449 sqrt(1.64)) = 7.2 / 2.1065 = 3.418.
    assert deciding_u_for_ratio([104, 121], 0.80, 0.95) == pytest.approx(3.418, abs=0.03)
    assert deciding_u_for_ratio([90, 100], 0.90, 0.95) == 0


# --- the slope of some years ---------------------------------------------------------------------

tenths = st.integers(-99, 99).map(lambda n: n / 10)  # many alike, as on a gauge
points = st.lists(
    st.tuples(st.integers(1990, 2031), tenths), min_size=3, max_size=14, unique_by=lambda p: p[0]
)


@given(points)
def test_slope_and_its_interval_as_scipy_has_them(years: list[tuple[int, float]]) -> None:
    x, y = [p[0] for p in years], [p[1] for p in years]
    if len(set(y)) == 1:
        assert robust_slope(x, y).middle == 0
        return
    slope, theirs = robust_slope(x, y), theilslopes(y, x, 0.95)
    assert slope.middle == pytest.approx(theirs.slope, abs=1e-12)
    assert slope.low == pytest.approx(theirs.low_slope, abs=1e-12)
    assert slope.high == pytest.approx(theirs.high_slope, abs=1e-12)
    assert slope.sure == (len(years) >= 5)


def test_years_that_read_alike_make_the_interval_narrower() -> None:
    # Of theilslopes in scipy: -0.7 to 0.7143; without the correction for three pairs alike it
    # would reach one pair of years further.
    slope = robust_slope([2018, 2020, 2024, 2025, 2032, 2034], [76, 81, 83, 81, 83, 76])
    assert slope.middle == 0
    assert slope.low == pytest.approx(-0.7)
    assert slope.high == pytest.approx(0.7142857, abs=1e-6)


def test_one_odd_year_does_not_move_the_slope() -> None:
    # By hand: 0.1 lost each year; the fourth of seven years is a misreading. Of 21 pairs 15 say
    # -0.1, 3 less, 3 more; the interval leaves out 3 at either end: (21 -+ 1.96 x 6.66) / 2.
    slope = robust_slope(range(7), [10.6, 10.5, 10.4, 2.0, 10.2, 10.1, 10.0])
    assert slope.middle == pytest.approx(-0.1)
    assert slope.low == pytest.approx(-0.1)
    assert slope.high == pytest.approx(-0.1)
    # Three points: no interval but all three pairs.
    three = robust_slope([0, 1, 2], [10, 9, 6])
    assert (three.low, three.middle, three.high, three.sure) == (-3, -2, -1, False)


@given(points, st.floats(-3, 3), st.floats(-50, 50))
def test_a_steeper_line_is_steeper_by_as_much(
    years: list[tuple[int, float]], tilt: float, shift: float
) -> None:
    x, y = [p[0] for p in years], [p[1] for p in years]
    flat, tilted = robust_slope(x, y), robust_slope(x, [v + shift + tilt * t for t, v in years])
    assert tilted.middle == pytest.approx(flat.middle + tilt, abs=1e-6)
    assert flat.low <= flat.middle <= flat.high


@pytest.mark.parametrize(("x", "y"), [([1], [2]), ([1, 2], [3]), ([1, 1, 2], [3, 4, 5]), ([], [])])
def test_no_slope_of_these(x: list[float], y: list[float]) -> None:
    with pytest.raises(ValueError, match="no two x alike"):
        robust_slope(x, y)


@pytest.mark.parametrize(
    ("value", "u", "lower", "upper", "told"),
    [
        (9.4, 0.05, None, None, "No limit"),
        (9.4, 0, 9.3, None, "no reading is exact"),
        (9.4, -1, 9.3, None, "no reading is exact"),
        (float("nan"), 0.05, 9.3, None, "no reading and no limit"),
        (9.4, 0.05, 9.3, float("inf"), "no reading and no limit"),
        (9.4, 0.05, 9.3, 9.3, "lower one first"),
    ],
)
def test_no_chance_without_limits_and_uncertainty(
    value: float, u: float, lower: float | None, upper: float | None, told: str
) -> None:
    with pytest.raises(ValueError, match=told):
        chance_within(value, u, lower, upper)


@pytest.mark.parametrize("chance", [0.5, 1, 95, float("nan")])
def test_a_chance_that_decides_nothing(chance: float) -> None:
    with pytest.raises(ValueError, match=r"such as 0\.95"):
        deciding_u(9.4, 9.3, None, chance)
    with pytest.raises(ValueError, match=r"such as 0\.95"):
        deciding_u_for_ratio([75, 80], 0.9, chance)


@pytest.mark.parametrize(
    ("readings", "u", "ratio", "told"),
    [
        ([80], 2, 0.9, "two or more"),
        ([80, 0], 2, 0.9, "reading is 0"),
        ([80, 78], 0, 0.9, "no reading is exact"),
        ([80, 78], 20, 0.9, "too coarse a gauge"),
        ([80, 78], 2, 90, "such as 0.90"),
        ([80, 78], 2, 0, "such as 0.90"),
    ],
)
def test_no_ratio_of_these(readings: list[float], u: float, ratio: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        chance_ratio_at_least(readings, u, ratio)


def test_unknown_uncertainty_is_not_nought() -> None:
    for parts in ((), (0.1, -0.1), (float("nan"),)):
        with pytest.raises(ValueError, match="give"):
            combined_u(*parts)
    with pytest.raises(ValueError, match="step"):
        resolution_u(0)
