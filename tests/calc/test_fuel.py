"""Fuel against trade sheets on phase separation, a forum's yard, and what a gallon weighs."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.fuel import (
    Kind,
    Verdict,
    age_days,
    aged,
    doubtful_water_l,
    water_freed_l,
    water_held_l,
    weight_kg,
)

GAL_L = 3.785411784
LB_KG = 0.45359237
TSP_L = GAL_L / 768
CURVE = "e10_holds_water"
WARM_C, COLD_C = (60 - 32) / 1.8, (20 - 32) / 1.8


def test_teaspoons_a_gallon() -> None:
    # Trade articles on the EPA memo: 3.8 teaspoons at 60 °F, 2.8 at 20 °F; between them by line.
    assert water_held_l(GAL_L, WARM_C, CURVE) / TSP_L == pytest.approx(3.8)
    assert water_held_l(GAL_L, COLD_C, CURVE) / TSP_L == pytest.approx(2.8)
    assert water_held_l(GAL_L, (40 - 32) / 1.8, CURVE) / TSP_L == pytest.approx(3.3)


def test_half_a_percent_not_a_twentieth() -> None:
    # Both articles print '.05 %' beside 3.8 teaspoons; 3.8 / 768 is 0.495 %.
    assert 100 * water_held_l(100, WARM_C, CURVE) / 100 == pytest.approx(0.495, abs=0.001)


def test_a_tank_over_a_cold_night() -> None:
    # By hand: 25 gallons, 95 teaspoons = 0.468 L warm, 70 = 0.345 L cold, 0.123 L let go.
    assert water_held_l(25 * GAL_L, WARM_C, CURVE) == pytest.approx(0.468, abs=0.0005)
    assert water_freed_l(25 * GAL_L, WARM_C, COLD_C, CURVE) == pytest.approx(0.123, abs=0.0005)


def test_the_other_sources() -> None:
    # University of Nebraska: 3.06 teaspoons a gallon; a filter maker: 18 gallons in 6,000.
    assert water_held_l(GAL_L, 0, "e10_holds_water_measured") / TSP_L == pytest.approx(3.06)
    assert water_held_l(6000, 0, "e10_separates_at") == pytest.approx(18)
    assert water_freed_l(6000, 10, 0, "e10_separates_at") == 0
    assert doubtful_water_l(6000) == pytest.approx(18)


@given(fuel_l=st.floats(0, 100_000), cold=st.floats(-6.6, 15.5), more=st.floats(0, 5))
def test_colder_holds_less(fuel_l: float, cold: float, more: float) -> None:
    warm = min(cold + more, 15.5)
    assert water_freed_l(fuel_l, warm, cold, CURVE) >= 0
    assert water_held_l(fuel_l, cold, CURVE) <= fuel_l * 0.005


def test_water_out_of_range() -> None:
    for celsius in (-6.8, 15.7):
        with pytest.raises(ValueError, match="outside what is known, 20 to 60 °F"):
            water_held_l(100, celsius, CURVE)
    rounded = water_held_l(100, 15.58, CURVE)  # 60.04 °F, typed in °C with one digit
    assert rounded == pytest.approx(water_held_l(100, WARM_C, CURVE))
    for litres in (-0.1, 100_000.1, float("nan")):
        with pytest.raises(ValueError, match="give 0 to 100 000"):
            water_held_l(litres, 10, CURVE)
        with pytest.raises(ValueError, match="give 0 to 100 000"):
            doubtful_water_l(litres)
        with pytest.raises(ValueError, match="give 0 to 100 000"):
            weight_kg(litres, diesel=False)
    with pytest.raises(ValueError, match="no source 'hearsay'"):
        water_held_l(100, 10, "hearsay")
    with pytest.raises(ValueError, match="give the colder one last"):
        water_freed_l(100, 0, 10, CURVE)


@pytest.mark.parametrize(
    ("kind", "days", "stabilised", "verdict"),
    [
        # A yard quoted in a forum: untreated E10 60 to 90 days.
        (Kind.E10, 0, False, Verdict.FIT),
        (Kind.E10, 60, False, Verdict.FIT),
        (Kind.E10, 61, False, Verdict.OWNER),
        (Kind.E10, 90, False, Verdict.OWNER),
        (Kind.E10, 91, False, Verdict.DRAIN),
        # The trade: six months without ethanol, twelve when stabilised.
        (Kind.E0, 183, False, Verdict.FIT),
        (Kind.E0, 184, False, Verdict.DRAIN),
        (Kind.E10, 365, True, Verdict.FIT),
        (Kind.E10, 366, True, Verdict.DRAIN),
        (Kind.E0, 365, True, Verdict.FIT),
        (Kind.DIESEL, 10, False, Verdict.OWNER),
        (Kind.DIESEL, 1000, True, Verdict.OWNER),
    ],
)
def test_age(kind: Kind, days: int, stabilised: bool, verdict: Verdict) -> None:
    assert aged(kind, days, stabilised) is verdict


def test_days_by_the_calendar() -> None:
    # 20 September to 10 April: 10 + 31 + 30 + 31 + 31 + 28 + 31 + 10 days.
    assert age_days(date(2030, 9, 20), date(2031, 4, 10)) == 202
    with pytest.raises(ValueError, match="3 days ahead"):
        aged(Kind.E10, -3, False)


def test_what_a_drum_weighs() -> None:
    # By hand: 55 gallons at 6.1 lb are 335.5 lb, 152 kg; at 0.74 kg/L 154 kg. Diesel 7.0 to 7.1 lb.
    drum = weight_kg(55 * GAL_L, diesel=False)
    assert drum.low_kg == pytest.approx(335.5 * LB_KG)
    assert drum.high_kg == pytest.approx(154.1, abs=0.05)
    diesel = weight_kg(GAL_L, diesel=True)
    assert (diesel.low_kg / LB_KG, diesel.high_kg / LB_KG) == pytest.approx((7.0, 7.1))
    assert weight_kg(0, diesel=True).high_kg == 0
    assert doubtful_water_l(100_000) == pytest.approx(300)


@pytest.mark.parametrize(
    ("celsius", "teaspoons"),
    [(-6.7, 2.8), (15.6, 3.8)],  # the memo's 20 and 60 °F as a °C thermometer shows them
)
def test_the_ends_count_in_celsius_too(celsius: float, teaspoons: float) -> None:
    assert water_held_l(768, celsius, "e10_holds_water") == pytest.approx(teaspoons)
