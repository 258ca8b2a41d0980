"""Inflow against published figures, and against what must hold for any opening."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.flooding import inflow_l_min, minutes_to_fill

IN_M, FT_M, FT3_L, US_GAL_L = 0.0254, 0.3048, 28.316846592, 3.785411784

bores_m = st.floats(0.001, 0.2)
heads_m = st.floats(0.01, 4)


def test_two_inch_hole_one_foot_down() -> None:
    # "Voyaging Tips, June 2021: Flooding Rate Table": 47 US gallons a minute, a whole number.
    low, _ = inflow_l_min(2 * IN_M, 1 * FT_M)
    assert low / US_GAL_L == pytest.approx(47, abs=0.5)


def test_ideal_inflow_is_what_a_yacht_club_table_gives() -> None:
    # W. H. Seward Yacht Club, "Boat Flooding Rates in Gallons per Minute", 4 in at 4 ft: 628.4,
    # 2 in at 4 ft: 157.1; a table without contraction of the jet, so ours over each coefficient.
    for bore_in, gpm in ((4, 628.4), (2, 157.1)):
        low, high = inflow_l_min(bore_in * IN_M, 4 * FT_M)
        assert low / 0.6 / US_GAL_L == pytest.approx(gpm, rel=1e-3)
        assert high / 0.8 / US_GAL_L == pytest.approx(gpm, rel=1e-3)


def test_a_drain_hole_under_an_open_boat() -> None:
    # By hand: 5.067 cm2 x sqrt(2 x 9.80665 x 0.30) = 2.4257 m/s is 73.75 L/min; times 0.6, 0.8.
    assert inflow_l_min(0.0254, 0.30) == pytest.approx((44.25, 59.00), abs=0.01)


@pytest.mark.parametrize(
    ("head_ft", "coefficient"), [(1, 0.620), (4, 0.608), (10, 0.605), (20, 0.603)]
)
def test_measured_sharp_edged_holes_lie_in_the_range(head_ft: float, coefficient: float) -> None:
    # Encyclopaedia Britannica, 11th ed., vol. 14, "Hydraulics", section 20: measured coefficients
    # of a round sharp-edged orifice of 0.196 square inch, reduced with g of Montreal, 32.176 ft/s2.
    measured_ft3_s = coefficient * (0.196 / 144) * (2 * 32.176 * head_ft) ** 0.5
    bore_m = (4 * 0.196 / 3.14159265) ** 0.5 * IN_M
    low, high = inflow_l_min(bore_m, head_ft * FT_M)
    assert low <= measured_ft3_s * FT3_L * 60 <= high


def test_no_head_no_inflow() -> None:
    assert inflow_l_min(0.05, 0) == (0, 0)


@given(bore_m=bores_m, head_m=heads_m)
def test_twice_the_bore_four_times_the_water(bore_m: float, head_m: float) -> None:
    four_times = [4 * each for each in inflow_l_min(bore_m, head_m)]
    assert inflow_l_min(2 * bore_m, head_m) == pytest.approx(four_times)


@given(bore_m=bores_m, head_m=heads_m)
def test_four_times_the_depth_twice_the_water(bore_m: float, head_m: float) -> None:
    low, high = inflow_l_min(bore_m, head_m / 4)
    assert low < high
    assert inflow_l_min(bore_m, head_m) == pytest.approx((2 * low, 2 * high))


@pytest.mark.parametrize(
    ("bore_m", "head_m", "told"),
    [
        (0, 1, "bore"),
        (0.501, 1, "bore"),
        (0.04, 10.01, "head"),
        (38, 1, "metres"),
        (0.04, -0.1, "head"),
        (0.04, 11, "head"),
        (float("nan"), 1, "bore"),
        (0.04, float("nan"), "head"),
    ],
)
def test_out_of_range_is_refused_with_what_to_give(bore_m: float, head_m: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        inflow_l_min(bore_m, head_m)


def test_how_long_she_has() -> None:
    # By hand: 60 cubic feet are 448.8 US gallons; 47.13 a minute come in and a pump proven at
    # 1,000 an hour takes 16.67 out: 448.8 / 30.46 = 14.7 min.
    low, _ = inflow_l_min(2 * IN_M, 1 * FT_M)
    pumped_l_min = 1000 * US_GAL_L / 60
    assert minutes_to_fill(60 * FT3_L, low - pumped_l_min) == pytest.approx(14.7, abs=0.05)


@pytest.mark.parametrize(
    ("volume_l", "inflow", "told"),
    [
        (0, 5, "volume"),
        (float("inf"), 5, "volume"),
        (100, 0, "inflow"),
        (100, -3, "inflow"),
        (100, float("inf"), "inflow"),
    ],
)
def test_nothing_fills_from_nothing(volume_l: float, inflow: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        minutes_to_fill(volume_l, inflow)


def test_the_ends_of_the_ranges_belong_to_them() -> None:
    # By hand: pi / 16 m2 x sqrt(2 x 9.80665 x 10) m/s x 60,000 L min/m3 s = 164,989 L/min, times 0.6.
    low, _ = inflow_l_min(0.5, 10)
    assert low == pytest.approx(98_993, abs=1)
    assert minutes_to_fill(0.5, 0.25) == 2
