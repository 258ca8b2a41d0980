"""What standing costs and how a battery is charged, against printed rates; refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.charge import Kind, Span
from yardwright.calc.charging import (
    charging_v,
    lifepo4_may_be_charged,
    lost_percent,
    months_until,
    rate_percent,
)


def test_what_standing_costs() -> None:
    # By hand: 5 % a month at 20 °C is 1.25 at 0 °C, 10 at 30 °C: 6.25 in five months, 30 in three.
    assert lost_percent(5, 0, 5) == pytest.approx(6.25)
    assert lost_percent(5, 30, 3) == pytest.approx(30)
    assert lost_percent(5, 20, 1) == pytest.approx(5)
    assert lost_percent(5, 20, 0) == 0


@given(rate=st.floats(0.1, 20), temp_c=st.floats(-20, 40), months=st.floats(0, 60))
def test_ten_degrees_double_it(rate: float, temp_c: float, months: float) -> None:
    once = lost_percent(rate, temp_c, months)
    assert lost_percent(rate, temp_c + 10, months) == pytest.approx(2 * once)


@given(rate=st.floats(0.1, 100), temp_c=st.floats(-20, 50), keep=st.floats(0, 100))
def test_after_those_months_it_has_lost_that_much(rate: float, temp_c: float, keep: float) -> None:
    months = months_until(100, keep, rate, temp_c)
    if months <= 60:
        assert lost_percent(rate, temp_c, months) == pytest.approx(100 - keep, abs=1e-9)


def test_what_is_already_lost_waits_no_longer() -> None:
    assert months_until(70, 75, 5, 20) == 0
    assert months_until(75, 75, 5, 20) == 0
    assert months_until(100, 75, 5, 20) == pytest.approx(5)  # 25 points at 5 a month


def test_rates_of_each_kind() -> None:
    # An engineering glossary: 4 to 6 %; a battery maker's note: 3 to 20 % by build and age.
    assert rate_percent(Kind.FLOODED) == Span(4, 6)
    assert rate_percent(Kind.UNKNOWN) == Span(3, 20)
    # A power-supply page: AGM 2 to 3 %; the glossary: lithium 2 to 3 %.
    assert rate_percent(Kind.AGM) == rate_percent(Kind.LIFEPO4) == Span(2, 3)


@pytest.mark.parametrize(
    ("rate", "temp_c", "months", "told"),
    [
        (-0.1, 20, 1, "0 to 100"),
        (100.1, 20, 1, "0 to 100"),
        (5, -20.1, 1, "-20 to 50 °C"),
        (5, 50.1, 1, "-20 to 50 °C"),
        (5, float("nan"), 1, "warm it or let it cool"),
        (5, 20, -0.1, "0 to 60"),
        (5, 20, 60.1, "0 to 60"),
    ],
)
def test_standing_is_refused_outside(rate: float, temp_c: float, months: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        lost_percent(rate, temp_c, months)


def test_the_ends_of_standing() -> None:
    assert lost_percent(100, 20, 60) == pytest.approx(6000)
    assert lost_percent(8, 50, 1) == pytest.approx(64)
    assert lost_percent(16, -20, 1) == pytest.approx(1)
    assert lost_percent(0, 20, 1) == 0


@pytest.mark.parametrize(
    ("percent", "keep", "rate", "told"),
    [
        (100.1, 75, 5, "charge is 100.1 %"),
        (-0.1, 75, 5, "charge is -0.1 %"),
        (100, 100.1, 5, "charge is 100.1 %"),
        (100, -0.1, 5, "charge is -0.1 %"),
        (100, 75, 0, "more than 0"),
    ],
)
def test_months_are_refused_outside(percent: float, keep: float, rate: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        months_until(percent, keep, rate, 20)


def test_charging_volts_in_the_cold_and_the_heat() -> None:
    # A battery-education text: 2.30 V at 25 °C, 2.27 at 35 °C, 2.33 at 15 °C, six cells each.
    assert charging_v(13.80, 6, 25) == pytest.approx(13.80)
    assert charging_v(13.80, 6, 35) == pytest.approx(6 * 2.27)
    assert charging_v(13.80, 6, 15) == pytest.approx(6 * 2.33)
    # A deep-cycle user's guide: 5 mV a cell; 14.4 V is 15.0 V at 5 °C. In between 14.88 V.
    assert charging_v(14.4, 6, 5, "charge_volts_per_degc_5") == pytest.approx(15.0)
    assert charging_v(14.4, 6, 5, "charge_volts_per_degc_4") == pytest.approx(14.88)
    assert charging_v(7.2, 3, 5) == pytest.approx(7.38)


def test_charging_volts_at_the_ends() -> None:
    assert charging_v(2.0, 1, -20) == pytest.approx(2.135)
    assert charging_v(2.7, 1, 50) == pytest.approx(2.625)


@pytest.mark.parametrize(
    ("volts_v", "cells", "temp_c", "by", "told"),
    [
        (11.99, 6, 25, "charge_volts_per_degc", "2.0 to 2.7 a cell"),
        (16.21, 6, 25, "charge_volts_per_degc", "2.0 to 2.7 a cell"),
        (2.3, 0, 25, "charge_volts_per_degc", "for 0 cells"),
        (float("nan"), 6, 25, "charge_volts_per_degc", "a cell"),
        (14.4, 6, -20.1, "charge_volts_per_degc", "-20 to 50 °C"),
        (14.4, 6, 50.1, "charge_volts_per_degc", "-20 to 50 °C"),
        (14.4, 6, 25, "charge_volts_base", "no source here"),
    ],
)
def test_charging_is_refused_outside(
    volts_v: float, cells: int, temp_c: float, by: str, told: str
) -> None:
    with pytest.raises(ValueError, match=told):
        charging_v(volts_v, cells, temp_c, by)


@pytest.mark.parametrize(
    ("temp_c", "may"), [(-2, False), (-0.1, False), (0, True), (20, True), (50, True), (-60, False)]
)
def test_lithium_is_not_charged_below_freezing(temp_c: float, may: bool) -> None:
    # Cell makers agree: none below 0 °C.
    assert lifepo4_may_be_charged(temp_c) is may


@pytest.mark.parametrize("temp_c", [-60.1, 50.1, float("nan")])
def test_lithium_off_every_sheet_is_refused(temp_c: float) -> None:
    with pytest.raises(ValueError, match="-60 to 50 °C"):
        lifepo4_may_be_charged(temp_c)
