"""Stands and wind against what magazine, insurer, supplier and standard print."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.standing import (
    keel_block_m,
    overturning_ratio,
    stands_a_side,
    wind_pressure_pa,
)

FT_M, IN_M, LB_KG, MPH_M_S = 0.3048, 0.0254, 0.45359237, 0.44704
PSF_PA = LB_KG * 9.80665 / FT_M**2
WIDE = "stands_apart_wide"


@pytest.mark.parametrize(
    ("length_ft", "held_ft", "stands"),
    [
        # A magazine quoting the ABYC: no more than 10 ft apart; an insurer: three a side over 26 ft.
        (28, 22, 4),
        (28, 20, 3),
        (28, 8, 3),
        (24, 14, 3),
        (24, 10, 2),
        (26, 10, 2),
        (26.1, 10, 3),
        (24, 10.1, 3),
    ],
)
def test_stands_ten_feet_apart(length_ft: float, held_ft: float, stands: int) -> None:
    assert stands_a_side(length_ft * FT_M, held_ft * FT_M, WIDE) == stands


@pytest.mark.parametrize(
    ("held_ft", "stands"),
    # A supplier: a pair every 8 ft, at least two on each side.
    [(8, 2), (8.1, 3), (16, 3), (16.1, 4), (1, 2)],
)
def test_stands_eight_feet_apart_unless_the_yard_chooses(held_ft: float, stands: int) -> None:
    assert stands_a_side(24 * FT_M, held_ft * FT_M) == stands


@given(length=st.floats(1, 30), share=st.floats(0.05, 1))
def test_no_space_is_wider_than_the_rule(length: float, share: float) -> None:
    held = length * share
    near, wide = stands_a_side(length, held), stands_a_side(length, held, WIDE)
    assert held / (near - 1) <= 8 * FT_M + 1e-6
    assert held / (wide - 1) <= 10 * FT_M + 1e-6
    assert near >= wide >= 2


@pytest.mark.parametrize(
    ("length_ft", "side_in"),
    # The magazine: 30 feet or less 4 x 4, 31 to 40 feet 6 x 6, longer 8 x 8, each 18 in long.
    [(20, 4), (30, 4), (30.1, 6), (34, 6), (40, 6), (40.1, 8), (60, 8)],
)
def test_keel_blocks(length_ft: float, side_in: float) -> None:
    assert keel_block_m(length_ft * FT_M) == pytest.approx((side_in * IN_M, 18 * IN_M))


@pytest.mark.parametrize("length_m", [0, -1, 30.01, float("nan")])
def test_a_boat_that_is_not_ours_to_block(length_m: float) -> None:
    with pytest.raises(ValueError, match="length is"):
        stands_a_side(length_m, 1)
    with pytest.raises(ValueError, match="length is"):
        keel_block_m(length_m)


@pytest.mark.parametrize("held_m", [0, 8.01, float("nan")])
def test_stands_reach_no_further_than_she_does(held_m: float) -> None:
    with pytest.raises(ValueError, match="stands reach over"):
        stands_a_side(8, held_m)


def test_the_longest_boat_and_stands_from_end_to_end() -> None:
    assert stands_a_side(30, 30, WIDE) == 11  # 98.4 ft are ten spaces
    assert keel_block_m(30)[0] == pytest.approx(8 * IN_M)


def test_another_row_says_nothing_about_stands() -> None:
    with pytest.raises(ValueError, match="no source here"):
        stands_a_side(8, 6, "long_boat")


@pytest.mark.parametrize(
    ("mph", "kz", "kd", "psf"),
    [
        # Calculator pages after ASCE 7, section 26.10: 115 mph, Kz 0.85, Kd 0.85: 24.461; exposure
        # D, Kz 1.03: 29.64; Kz 1.16: 33.38; 100 mph with Kz 0.90 and Kd 0.85: 19.58.
        (115, 0.85, 0.85, 24.461),
        (115, 1.03, 0.85, 29.64),
        (115, 1.16, 0.85, 33.38),
        (100, 0.90, 0.85, 19.58),
        # By hand: 0.00256 x 60² = 9.216, 0.00256 x 120² = 36.864.
        (60, 1, 1, 9.216),
        (120, 1, 1, 36.864),
    ],
)
def test_pressure_of_a_gust(mph: float, kz: float, kd: float, psf: float) -> None:
    assert wind_pressure_pa(mph * MPH_M_S, kz, kd) / PSF_PA == pytest.approx(psf, abs=0.005)


def test_pressure_in_metric() -> None:
    # The metric form of the same standard: 0.613 V², N/m² and m/s.
    assert wind_pressure_pa(40) == pytest.approx(0.613 * 1600, rel=1e-3)
    assert wind_pressure_pa(0) == 0
    assert wind_pressure_pa(100) == pytest.approx(6130, rel=1e-3)


@pytest.mark.parametrize(
    ("speed", "kz", "kd", "told"),
    [
        (-1, 1, 1, "wind is -1"),
        (101, 1, 1, "wind is 101"),
        (float("nan"), 1, 1, "wind is nan"),
        (10, 0, 1, "Kz is 0"),
        (10, 2.1, 1, "Kz is 2.1"),
        (10, 1, 0, "Kd is 0"),
        (10, 1, 2.1, "Kd is 2.1"),
    ],
)
def test_no_such_wind(speed: float, kz: float, kd: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        wind_pressure_pa(speed, kz, kd)


def test_kz_and_kd_up_to_two() -> None:
    assert wind_pressure_pa(10, 2, 2) == pytest.approx(4 * wind_pressure_pa(10))


def test_a_boat_that_sixty_miles_an_hour_nearly_tip() -> None:
    # By hand: 0.00256 x 60² x 1.3 x 168 ft² = 2,013 lb at 6.5 ft are 13,083 lb ft; 5,000 lb on
    # half a stance of 3.5 ft hold 17,500: 1.34.
    force_n = wind_pressure_pa(60 * MPH_M_S) * 1.3 * 168 * FT_M**2
    ratio = overturning_ratio(5000 * LB_KG, 3.5 * FT_M, force_n, 6.5 * FT_M)
    assert ratio == pytest.approx(17_500 / 13_083, abs=0.001)


@given(kg=st.floats(100, 50_000), b=st.floats(0.2, 5), f=st.floats(10, 1e5), h=st.floats(0.2, 10))
def test_twice_the_wind_speed_is_a_quarter_of_the_hold(
    kg: float, b: float, f: float, h: float
) -> None:
    ratio = overturning_ratio(kg, b, f, h)
    assert overturning_ratio(kg, b, 4 * f, h) == pytest.approx(ratio / 4)
    assert overturning_ratio(2 * kg, b, f, 2 * h) == pytest.approx(ratio)
    assert overturning_ratio(kg, 2 * b, f, h) == pytest.approx(2 * ratio)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ((0, 1, 1, 1), "weight is 0"),
        ((1, 0, 1, 1), "half the stance is 0"),
        ((1, 1, 0, 1), "the wind's push is 0"),
        ((1, 1, 1, 0), "its height is 0"),
        ((float("inf"), 1, 1, 1), "weight is inf"),
    ],
)
def test_nothing_overturns_so(given: tuple[float, float, float, float], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        overturning_ratio(*given)
