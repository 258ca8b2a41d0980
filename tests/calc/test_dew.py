"""Dew point and the painter's window against printed tables and coating manuals' examples."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.dew import dew_point_c, paint_check

# A paint maker's information sheet 1650 (June 2013), dew point in °C by air and humidity; its rows
# under 0 °C are over ice and left out.
HUMIDITY = (50, 55, 60, 65, 70, 75, 80, 85, 90)
SHEET = {
    10: (0.1, 1.3, 2.6, 3.7, 4.7, 5.7, 6.7, 7.6, 8.4),
    12: (1.9, 3.2, 4.5, 5.6, 6.6, 7.7, 8.6, 9.6, 10.4),
    15: (4.7, 6.1, 7.3, 8.5, 9.5, 10.6, 11.5, 12.5, 13.4),
    20: (9.3, 10.7, 12.0, 13.3),
    25: (13.8, 15.3, 16.7),
    30: (18.4, 20.0, 21.4),
}
GOOD = {
    "air_c": 20.0,
    "humidity_percent": 60.0,
    "surface_c": 16.0,
    "coldest_c": 5.0,
    "warmest_c": 35.0,
}


def _f(celsius: float) -> float:
    return celsius * 1.8 + 32


@pytest.mark.parametrize(
    ("air_c", "humidity", "dew_c"),
    [
        (air, humidity, dew)
        for air, row in SHEET.items()
        for humidity, dew in zip(HUMIDITY, row, strict=False)
    ],
)
def test_a_paint_makers_table(air_c: float, humidity: float, dew_c: float) -> None:
    assert dew_point_c(air_c, humidity) == pytest.approx(dew_c, abs=0.15)


def test_charts_in_whole_degrees() -> None:
    # A dew point calculation chart, worked: 70 °F, 65 %: 57 °F. A coating glossary: 30 °C, 55 %:
    # 20 °C.
    assert _f(dew_point_c((70 - 32) / 1.8, 65)) == pytest.approx(57, abs=1)
    assert dew_point_c(30, 55) == pytest.approx(20, abs=0.5)


@pytest.mark.parametrize(
    ("air_c", "humidity", "dew_c"),
    # WMO No. 8, annex 4.B, constants 6.112, 17.62, 243.12, by a pocket calculator.
    [(20, 50, 9.26), (25, 65, 17.96), (12, 72, 7.10), (5, 90, 3.50)],
)
def test_the_meteorologists_formula(air_c: float, humidity: float, dew_c: float) -> None:
    assert dew_point_c(air_c, humidity) == pytest.approx(dew_c, abs=0.006)


@given(air=st.floats(-45, 60), low=st.floats(1, 100), high=st.floats(1, 100))
def test_damper_air_has_its_dew_sooner(air: float, low: float, high: float) -> None:
    low, high = sorted((low, high))
    assert dew_point_c(air, low) <= dew_point_c(air, high) + 1e-9 <= air + 1e-6


@given(air=st.floats(-45, 60))
def test_saturated_air_is_at_its_dew_point(air: float) -> None:
    assert dew_point_c(air, 100) == pytest.approx(air, abs=1e-9)


@pytest.mark.parametrize(
    ("air", "humidity", "told"),
    [
        (-45.1, 50, "air is -45.1"),
        (60.1, 50, "air is 60.1"),
        (float("nan"), 50, "air is nan"),
        (20, 0.9, "humidity is 0.9"),
        (20, 100.1, "humidity is 100.1"),
        (20, float("nan"), "humidity is nan"),
    ],
)
def test_no_such_air(air: float, humidity: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        dew_point_c(air, humidity)


def test_a_coating_manuals_two_examples() -> None:
    # Coating manual, section 2: air 16 °C, 71 %, steel 13 °C: dew point 11, margin 2: not suitable.
    bad = paint_check(16, 71, 13, 5, 35)
    assert (bad.dew_point_c, bad.above_c) == pytest.approx((11, 2), abs=0.5)
    assert not bad.may_paint
    assert "2.3 °C above the dew point; 3 °C (5.4 °F) is the least" in bad.refusals[0]
    # And dry bulb 21, wet bulb 17 (67 % in the psychrometer's tables), steel 19 °C: dew point 15,
    # margin 4: suitable.
    good = paint_check(21, 67.5, 19, 5, 35)
    assert (good.dew_point_c, good.above_c) == pytest.approx((15, 4), abs=0.5)
    assert good.may_paint


def test_three_degrees_are_enough_and_a_hair_less_is_not() -> None:
    dew = dew_point_c(20, 60)
    assert paint_check(20, 60, dew + 3, 5, 35).may_paint
    assert not paint_check(20, 60, dew + 2.999, 5, 35).may_paint


def test_from_85_percent_nobody_paints() -> None:
    damp = paint_check(15, 85, 30, 5, 35)
    assert damp.refusals == ("Humidity is 85 %; it must be under 85 %.",)
    assert not damp.may_paint
    assert paint_check(15, 84.9, 30, 5, 35).may_paint


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"air_c": 4.9, "surface_c": 10.0}, "The air is 4.9 °C, colder than the paint's 5 °C."),
        ({"air_c": 35.1, "surface_c": 34.0}, "The air is 35.1 °C, warmer than the paint's 35 °C."),
        ({"surface_c": 35.1}, "The surface is 35.1 °C, warmer than the paint's 35 °C."),
        ({"surface_c": 16.0, "coldest_c": 16.1}, "The surface is 16 °C, colder than the paint's"),
    ],
)
def test_the_paints_own_window(changed: dict[str, float], told: str) -> None:
    found = paint_check(**{**GOOD, **changed})
    assert any(words.startswith(told) for words in found.refusals)
    assert not found.may_paint


def test_the_ends_of_the_window_are_within_it() -> None:
    assert paint_check(**{**GOOD, "coldest_c": 16.0}).may_paint
    assert paint_check(**{**GOOD, "warmest_c": 20.0}).may_paint


def test_a_window_nobody_read_is_no_yes() -> None:
    found = paint_check(20, 60, 16, None, None)
    assert found.refusals == ()
    assert found.not_known == (
        "the paint's coldest °C: read its sheet.",
        "the paint's warmest °C: read its sheet.",
    )
    assert not found.may_paint
    assert paint_check(20, 60, 16, 5, None).not_known == (found.not_known[1],)


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"surface_c": -45.1}, "the surface is -45.1"),
        ({"surface_c": 60.1}, "the surface is 60.1"),
        ({"surface_c": float("nan")}, "the surface is nan"),
        ({"coldest_c": 35.0}, "window is 35 to 35"),
    ],
)
def test_no_such_surface_or_window(changed: dict[str, float], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        paint_check(**{**GOOD, **changed})


def test_the_coldest_and_the_warmest_surface_are_answered() -> None:
    assert not paint_check(20, 60, -45, 5, 35).may_paint
    assert not paint_check(20, 60, 60, 5, 35).may_paint


@pytest.mark.parametrize("window", [(float("nan"), 30), (5, float("inf"))])
def test_a_window_that_is_no_number_lets_nobody_paint(window: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="window ends at"):
        paint_check(20, 50, 20, *window)
