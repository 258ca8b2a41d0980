"""What pumps really move, against what people who measured and taught it print."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.pumping import CURVE, bucket_l_min, installed_l_min

US_GAL_L, FT_M = 3.785411784, 0.3048
GPH = US_GAL_L / 60  # L/min
SMOOTH, BENDS = "pump_smooth_hose", "pump_with_bends"


def test_a_thousand_gallon_pump() -> None:
    # A cruising teacher's note: 1,000 gph are 17 gal/min, 8.5 with smooth hose and lift, about 5
    # with corrugated hose. The trade-school writer: 40 to 50 percent of what is embossed.
    printed, lift = 1000 * GPH, 3 * FT_M
    assert installed_l_min(printed, lift, by=SMOOTH) / US_GAL_L == pytest.approx(8.5, abs=0.2)
    assert installed_l_min(printed, lift) / US_GAL_L == pytest.approx(5, abs=0.05)
    assert installed_l_min(printed, 0, by=BENDS) / GPH == pytest.approx(400)


def test_the_curve_between_free_flow_and_shut_off() -> None:
    # By hand: half the shut-off lift leaves √(1/2): 2,000 gph at 6 of 12 ft are 1,414.
    half = installed_l_min(2000 * GPH, 6 * FT_M, 12 * FT_M, CURVE)
    assert half / GPH == pytest.approx(1414, abs=0.5)
    assert installed_l_min(100, 0, 3, CURVE) == 100
    assert installed_l_min(100, 3, 3, CURVE) == 0
    assert installed_l_min(100, 4, 3, CURVE) == 0


def test_above_its_shut_off_lift_no_rule_moves_water() -> None:
    assert installed_l_min(100, 0.5, 0.5) == 0
    assert installed_l_min(100, 0.49, 0.5) == pytest.approx(30)


@given(printed=st.floats(1, 500), a=st.floats(0, 4), b=st.floats(0, 4))
def test_more_lift_never_more_water(printed: float, a: float, b: float) -> None:
    low, high = sorted((a, b))
    least = installed_l_min(printed, high, 4.5, CURVE)
    assert 0 < least <= installed_l_min(printed, low, 4.5, CURVE) <= printed


def test_a_share_is_no_promise_above_three_feet() -> None:
    assert installed_l_min(100, 3 * FT_M, by=SMOOTH) == pytest.approx(50)
    with pytest.raises(ValueError, match="bucket test"):
        installed_l_min(100, 3.01 * FT_M, by=SMOOTH)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ((0, 0, None, SMOOTH), "printed rate is 0"),
        ((float("inf"), 0, None, SMOOTH), "printed rate is inf"),
        ((100, -0.1, None, SMOOTH), "lift is -0.1"),
        ((100, float("nan"), None, SMOOTH), "lift is nan"),
        ((100, 0, 0, SMOOTH), "shut-off lift is 0"),
        ((100, 0, float("inf"), SMOOTH), "shut-off lift is inf"),
        ((100, 0, None, CURVE), "not known"),
        ((100, 0, None, "pump_bend"), "no source here"),
    ],
)
def test_what_no_pump_is(given: tuple[float, float, float | None, str], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        installed_l_min(*given)


def test_bucket_and_stop_watch() -> None:
    # By hand: 5 gal in 16 s are 18.75 a minute, 1,125 an hour.
    assert bucket_l_min(5 * US_GAL_L, 16) / GPH == pytest.approx(1125)
    for litres, seconds in ((0, 16), (5, 0), (float("inf"), 1), (1, float("inf"))):
        with pytest.raises(ValueError, match="give more than 0"):
            bucket_l_min(litres, seconds)
