"""Two scales and the weight in the slings, against worked examples and statics by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.weighing import centre_m, lift_weight_kg, water_kg

FT_M, IN_M, LB_KG, US_GAL_L, FT2_M2 = 0.3048, 0.0254, 0.45359237, 3.785411784, 0.09290304


def test_a_trailer_on_two_scales() -> None:
    # A boat-owner's site on trailer balance: tongue 280 lb, axle 2,820 lb, 180 in from ball to
    # axle: the centre is about 164 in behind the ball.
    at = centre_m(2820 * LB_KG, 180 * IN_M, 280 * LB_KG, 0)
    assert at / IN_M == pytest.approx(164, abs=0.5)
    # Statics by hand: 3,900 lb at 15.5 ft and 400 lb at the coupler, 60,450 / 4,300 = 14.06 ft.
    assert centre_m(3900, 15.5 * FT_M, 400, 0) / FT_M == pytest.approx(14.06, abs=0.005)


@given(
    first=st.floats(0.1, 1e5),
    second=st.floats(0.1, 1e5),
    at=st.floats(-30, 30),
    d=st.floats(0.1, 30),
)
def test_the_centre_is_between_the_scales_and_balances(
    first: float, second: float, at: float, d: float
) -> None:
    centre = centre_m(first, at, second, at + d)
    assert at - 1e-9 <= centre <= at + d + 1e-9
    assert first * (centre - at) == pytest.approx(second * (at + d - centre), abs=1e-3, rel=1e-6)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ((-1, 0, 5, 1), "shows -1"),
        ((5, 0, -1, 1), "shows -1"),
        ((float("inf"), 0, 5, 1), "shows inf"),
        ((5, 1, 5, 1), "two places"),
        ((5, float("nan"), 5, 1), "two places"),
        ((5, 0, 5, float("nan")), "two places"),
        ((0, 0, 0, 1), "both scales show 0"),
    ],
)
def test_scales_that_cannot_be(given: tuple[float, float, float, float], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        centre_m(*given)


def test_one_empty_scale_is_a_reading() -> None:
    assert centre_m(0, 0, 100, 4) == 4
    assert centre_m(100, 1, 0, 4) == 1


def test_water_by_the_gallon() -> None:
    # Boat-weight pages: fresh water 8.34 lb a US gallon.
    assert water_kg(2 * US_GAL_L) / LB_KG == pytest.approx(16.68)


def test_an_inch_of_rain_on_a_cover() -> None:
    # US Geological Survey: an inch of rain on an acre is 27,154 US gallons; 100 ft² are 1/435.6
    # of an acre. At 62.4 lb/ft³ by hand: 100 / 12 x 62.4 = 520 lb.
    low, _ = lift_weight_kg(1000, water_l=100 * FT2_M2 * 25.4)
    pounds = (low - 1100) / LB_KG
    assert pounds == pytest.approx(27_154 / 435.6 * 8.34, rel=1e-3)
    assert pounds == pytest.approx(520, abs=0.5)


def test_each_load_counts_at_both_ends() -> None:
    # By hand: 2,000 lb dry are 2,200 to 2,400; 20 gal of water 166.8, gear 50; 10 of diesel 70 to
    # 71; 100 of petrol 610, and at 0.74 kg/L 280.12 kg or 617.6 lb.
    low, high = lift_weight_kg(
        2000 * LB_KG, 100 * US_GAL_L, 10 * US_GAL_L, 20 * US_GAL_L, 50 * LB_KG
    )
    assert (low / LB_KG, high / LB_KG) == pytest.approx((3096.8, 3305.4), abs=0.05)
    assert lift_weight_kg(1000) == pytest.approx((1100, 1200))


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ((0, 0, 0, 0, 0), "dry weight is 0"),
        ((float("inf"), 0, 0, 0, 0), "dry weight"),
        ((1, -1, 0, 0, 0), "petrol is -1"),
        ((1, 0, -1, 0, 0), "diesel is -1"),
        ((1, 0, 0, -1, 0), "water is -1"),
        ((1, 0, 0, 0, -1), "gear is -1"),
        ((1, 0, 0, float("nan"), 0), "water is nan"),
    ],
)
def test_loads_that_cannot_be(given: tuple[float, ...], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        lift_weight_kg(*given)
