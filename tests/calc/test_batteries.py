"""The load-test limit against printed tables, and its refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.batteries import load_test_limit_v, load_test_slope_v_per_c

temps_c = st.floats(-17.7, 37.7)


@pytest.mark.parametrize(
    ("temp_c", "volts"),
    [(25, 9.6), (16, 9.5), (10, 9.4), (4, 9.3), (-1, 9.1), (-7, 8.9), (-12, 8.7)],
)
def test_a_celsius_printing_of_the_table(temp_c: float, volts: float) -> None:
    # A 2009 workshop manual prints it in whole °C, and "20 °C and above" for 9.6 V. Half a degree
    # is at most 0.02 V.
    assert load_test_limit_v(temp_c) == pytest.approx(volts, abs=0.02)


def test_between_the_rows_on_a_spring_morning() -> None:
    # By hand: 7 °C is 44.6 °F; 9.3 V at 40 °F, 9.4 V at 50 °F: 9.346 V, 0.010 V/°F = 0.018 V/°C.
    assert load_test_limit_v(7) == pytest.approx(9.346, abs=1e-6)
    assert load_test_slope_v_per_c(7) == pytest.approx(0.018, abs=1e-6)


def test_the_limit_is_twice_as_steep_in_the_cold() -> None:
    # By hand: 8.9 V at 20 °F, 9.1 V at 30 °F: 0.020 V/°F = 0.036 V/°C. At 40 °F, where both
    # meet, the steeper counts; above 70 °F the limit stands still.
    assert load_test_slope_v_per_c(-4) == pytest.approx(0.036)
    assert load_test_slope_v_per_c((40 - 32) / 1.8) == pytest.approx(0.036)
    assert load_test_slope_v_per_c(22) == 0
    assert load_test_slope_v_per_c((70 - 32) / 1.8) == pytest.approx(0.018)


def test_the_ends_of_the_table_belong_to_it() -> None:
    # A gauge at 0 °F or at 70 °F reads the printed rows, whatever the sum to °C leaves over.
    assert load_test_limit_v((0 - 32) / 1.8) == pytest.approx(8.5)
    assert load_test_limit_v((70 - 32) / 1.8) == pytest.approx(9.6)
    assert load_test_limit_v((100 - 32) / 1.8) == pytest.approx(9.6)


@given(one=temps_c, other=temps_c)
def test_a_warmer_battery_must_hold_more(one: float, other: float) -> None:
    colder, warmer = sorted((one, other))
    assert load_test_limit_v(colder) <= load_test_limit_v(warmer) + 1e-9


@given(temp_c=temps_c, step_c=st.floats(0.01, 0.5))
def test_no_step_is_steeper_than_the_slope(temp_c: float, step_c: float) -> None:
    rise_v = load_test_limit_v(min(temp_c + step_c, 37.7)) - load_test_limit_v(temp_c)
    steepest = max(load_test_slope_v_per_c(temp_c), 0.036)  # the steepest anywhere, V/°C
    assert rise_v <= steepest * step_c + 1e-6


@pytest.mark.parametrize("answer", [load_test_limit_v, load_test_slope_v_per_c])
@pytest.mark.parametrize(
    ("temp_c", "told"),
    [(-18, "warm it first"), (74, "let it cool"), (float("nan"), "cool"), (float("-inf"), "warm")],
)
def test_off_the_table_is_refused(answer: object, temp_c: float, told: str) -> None:
    assert callable(answer)
    with pytest.raises(ValueError, match=told):
        answer(temp_c)
