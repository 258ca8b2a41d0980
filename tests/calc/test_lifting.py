"""Sling shares against statics by hand; the range decides, and each *no* is told in words."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.lifting import Slings, Weight, leg_tension_kg, sling_loads

KNOWN = Weight(kg=5200, off_kg=0, centre_m=2.6, centre_off_m=0.3)
ABOUT = replace(KNOWN, off_kg=520)
SLINGS = Slings(forward_m=5.2, aft_m=1.2, sling_rating_kg=4500, lift_rating_kg=10_000, angle_deg=90)


def test_shares_and_their_range() -> None:
    # By hand: forward 5200 x 1.4 / 4 = 1820, with the centre 0.3 m off 5200 x 1.1 / 4 = 1430 and
    # 5200 x 1.7 / 4 = 2210; aft is the rest of 5200.
    loads = sling_loads(KNOWN, SLINGS)
    forward, aft = loads.forward, loads.aft
    assert (forward.kg, forward.low_kg, forward.high_kg) == pytest.approx((1820, 1430, 2210))
    assert (aft.kg, aft.low_kg, aft.high_kg) == pytest.approx((3380, 2990, 3770))
    assert loads.may_lift


def test_the_weight_known_to_a_tenth_as_well() -> None:
    # By hand: 4680 x 1.1 / 4 = 1287, 5720 x 1.7 / 4 = 2431; 4680 x 2.3 / 4 = 2691,
    # 5720 x 2.9 / 4 = 4147.
    loads = sling_loads(ABOUT, SLINGS)
    assert (loads.forward.low_kg, loads.forward.high_kg) == pytest.approx((1287, 2431))
    assert (loads.aft.low_kg, loads.aft.high_kg) == pytest.approx((2691, 4147))


def test_the_range_decides_not_the_mean() -> None:
    rated = replace(SLINGS, sling_rating_kg=4000)
    assert sling_loads(KNOWN, rated).may_lift
    loads = sling_loads(ABOUT, rated)
    assert loads.aft.kg < 4000
    assert not loads.may_lift
    (why,) = loads.refusals
    assert "aft sling may have to carry 4,147 kg" in why
    assert "rated 4,000 kg" in why


def test_the_lifts_own_rating() -> None:
    assert sling_loads(ABOUT, replace(SLINGS, lift_rating_kg=5720)).may_lift
    (why,) = sling_loads(ABOUT, replace(SLINGS, lift_rating_kg=5500)).refusals
    assert why == "She may weigh 5,720 kg (12,610 lb); the lift is rated 5,500 kg (12,125 lb)."


def test_a_flat_sling_is_refused() -> None:
    strong = replace(SLINGS, sling_rating_kg=20_000)
    assert sling_loads(KNOWN, replace(strong, angle_deg=30)).may_lift
    (why,) = sling_loads(KNOWN, replace(strong, angle_deg=29.9)).refusals
    assert "29.9°" in why


def test_a_slanting_leg_pulls_harder() -> None:
    # Rigging charts: at 60° from the horizontal 1.155 times. 3,770 x 1.155 = 4,353 kg.
    assert sling_loads(KNOWN, replace(SLINGS, sling_rating_kg=4360, angle_deg=60)).may_lift
    (why,) = sling_loads(KNOWN, replace(SLINGS, sling_rating_kg=4350, angle_deg=60)).refusals
    assert "4,353 kg" in why


@pytest.mark.parametrize("centre_m", [1.4, 0.9, 5.0, 6.0])
def test_a_centre_that_may_lie_outside_the_slings(centre_m: float) -> None:
    strong = replace(SLINGS, sling_rating_kg=20_000)
    (why,) = sling_loads(replace(KNOWN, centre_m=centre_m), strong).refusals
    assert "she would tip" in why


def test_not_known_is_no_yes() -> None:
    unknown = replace(SLINGS, sling_rating_kg=None, lift_rating_kg=None, angle_deg=None)
    loads = sling_loads(KNOWN, unknown)
    assert loads.refusals == ()
    assert len(loads.not_known) == 3
    assert not loads.may_lift


def test_too_much_is_too_much_at_any_angle() -> None:
    loads = sling_loads(KNOWN, replace(SLINGS, sling_rating_kg=3000, angle_deg=None))
    assert "aft sling may have to carry 3,770 kg" in loads.refusals[0]


@given(
    kg=st.floats(100, 80_000),
    off=st.floats(0, 0.5),
    centre_m=st.floats(-5, 20),
    centre_off_m=st.floats(0, 2),
)
def test_the_slings_carry_her_and_no_more(
    kg: float, off: float, centre_m: float, centre_off_m: float
) -> None:
    loads = sling_loads(Weight(kg, off * kg, centre_m, centre_off_m), SLINGS)
    assert loads.forward.kg + loads.aft.kg == pytest.approx(kg)
    for share in (loads.forward, loads.aft):
        assert share.low_kg <= share.kg + 1e-6
        assert share.kg <= share.high_kg + 1e-6
        assert share.low_kg >= -1e-6 or "tip" in loads.refusals[0]


@given(kg=st.floats(100, 80_000), centre_m=st.floats(1.3, 5.1))
def test_measured_from_the_bow_it_is_the_same(kg: float, centre_m: float) -> None:
    length_m = 9.0
    from_stern = sling_loads(Weight(kg, 0, centre_m, 0.05), SLINGS)
    turned = replace(SLINGS, forward_m=length_m - SLINGS.forward_m, aft_m=length_m - SLINGS.aft_m)
    from_bow = sling_loads(Weight(kg, 0, length_m - centre_m, 0.05), turned)
    assert from_bow.forward.high_kg == pytest.approx(from_stern.forward.high_kg)
    assert from_bow.aft.kg == pytest.approx(from_stern.aft.kg)


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("kg", 0, "weight is 0"),
        ("kg", float("inf"), "weight is inf"),
        ("off_kg", -1, "off by -1"),
        ("off_kg", 5200, "off by 5200"),
        ("centre_m", float("nan"), "centre"),
        ("centre_off_m", -0.1, "off by -0.1"),
        ("centre_off_m", float("inf"), "off by inf"),
    ],
)
def test_a_weight_that_cannot_be(field: str, value: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        replace(KNOWN, **{field: value})


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("aft_m", 5.2, "two places"),
        ("aft_m", float("nan"), "metres"),
        ("forward_m", float("inf"), "metres"),
        ("sling_rating_kg", 0, "sling is rated 0"),
        ("sling_rating_kg", float("inf"), "sling is rated inf"),
        ("lift_rating_kg", -5, "lift is rated -5"),
        ("angle_deg", 0, "angle is 0"),
        ("angle_deg", 90.5, "angle is 90.5"),
    ],
)
def test_slings_that_cannot_be(field: str, value: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        replace(SLINGS, **{field: value})


@pytest.mark.parametrize(
    ("share_kg", "angle_deg"), [(-1, 60), (float("inf"), 60), (100, 0), (100, 90.5)]
)
def test_no_leg_pulls_so(share_kg: float, angle_deg: float) -> None:
    with pytest.raises(ValueError, match="give"):
        leg_tension_kg(share_kg, angle_deg)


def test_what_is_small_is_no_fault() -> None:
    assert replace(KNOWN, kg=0.5).heaviest_kg == 0.5
    assert replace(SLINGS, sling_rating_kg=0.5, lift_rating_kg=0.5, angle_deg=0.5).angle_deg == 0.5
    assert leg_tension_kg(0, 0.5) == 0


@pytest.mark.parametrize(
    ("centre_m", "off_m", "tips"),
    [(2.5, 0, False), (2.5, 1, False), (2.5, 1.5, True), (4.5, 0.5, True)],
)
def test_a_centre_on_a_sling_is_not_between_them(centre_m: float, off_m: float, tips: bool) -> None:
    slings = replace(SLINGS, aft_m=1, forward_m=5, sling_rating_kg=20_000)
    loads = sling_loads(Weight(5200, 0, centre_m, off_m), slings)
    assert loads.may_lift != tips


def test_a_sling_that_would_hang_slack_is_told_as_tipping_alone() -> None:
    # By hand: centre 2 m forward of the forward sling, 4 m apart: aft would carry -2000 kg.
    slings = replace(SLINGS, aft_m=1, forward_m=5, sling_rating_kg=20_000)
    loads = sling_loads(Weight(4000, 0, 7, 0), slings)
    assert loads.aft.kg == -2000
    (why,) = loads.refusals
    assert "she would tip" in why


def test_a_sling_may_carry_all_that_it_is_rated_for() -> None:
    # By hand: in the middle, half of 4000 kg each.
    slings = replace(SLINGS, aft_m=1, forward_m=5, sling_rating_kg=2000)
    assert sling_loads(Weight(4000, 0, 3, 0), slings).may_lift
