"""Gauges on an engine against the standard atmosphere, manuals, a homework's answer, printed torques."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.compression import (
    SEA_LEVEL_KPA,
    air_kpa,
    air_ratio,
    cooled_kpa,
    evenness,
    leak_percent,
    plug_torque_lb_ft,
)

FT_M = 0.3048
PRESSURE, DENSITY, THUMB = "height_by_pressure", "height_by_density", "height_by_rule_of_thumb"


@pytest.mark.parametrize(
    ("feet", "psia"),
    [
        (-1000, 15.236),
        (0, 14.696),
        (500, 14.430),
        (1000, 14.175),
        (2000, 13.664),
        (3000, 13.173),
        (5000, 12.230),
        (8000, 10.914),
        (10000, 10.108),
        (15000, 8.296),
    ],
)
def test_standard_atmosphere(feet: float, psia: float) -> None:
    # An engineering site's table of the U.S. Standard Atmosphere, in psia, three digits behind
    # the point (its row of 4,000 ft disagrees with its own formula, and is left out).
    assert air_ratio(feet * FT_M, PRESSURE) * 14.696 == pytest.approx(psia, abs=0.003)
    assert air_kpa(feet * FT_M) / 6.894757 == pytest.approx(psia, abs=0.003)


@pytest.mark.parametrize(("by", "psi"), [(PRESSURE, 99.85), (DENSITY, 103.4), (THUMB, 96.0)])
def test_120_psi_at_5000_feet(by: str, psi: float) -> None:
    # A magazine: 120 psi is approximately 100 at 5,000 ft; workshop books' density table 0.8617;
    # a rule of thumb, 1 % each 250 ft, 96.
    assert 120 * air_ratio(5000 * FT_M, by) == pytest.approx(psi, abs=0.05)


def test_gauge_and_absolute_give_the_same() -> None:
    # By hand through absolute pressure: (120 + 14.696) 0.8320 - 12.228 = 99.85 psi.
    ratio = air_ratio(1524, PRESSURE)
    assert (120 + 14.696) * ratio - 14.696 * ratio == pytest.approx(120 * ratio)
    assert ratio == pytest.approx(0.8320, abs=0.0001)


@given(
    low=st.floats(-500, 5999),
    more=st.floats(0.1, 500),
    by=st.sampled_from([PRESSURE, DENSITY, THUMB]),
)
def test_higher_is_less(low: float, more: float, by: str) -> None:
    assert air_ratio(min(low + more, 6000), by) < air_ratio(low, by)
    assert air_ratio(0, by) == 1


def test_heights_out_of_range() -> None:
    for height in (-500.1, 6000.1, float("nan")):
        with pytest.raises(ValueError, match="give -500 to 6000"):
            air_ratio(height, PRESSURE)
    assert air_ratio(-500, PRESSURE) > 1 > air_ratio(6000, PRESSURE)
    with pytest.raises(ValueError, match="no rule 'guess'"):
        air_ratio(0, "guess")
    assert SEA_LEVEL_KPA == 101.325  # by definition


def test_the_manuals_example_of_evenness() -> None:
    # Vehicle workshop manuals: highest 150 psi x 70 % = 105 psi, the least (1035 and 725 kPa).
    even = evenness([1000, 1035, 725, 1020])
    assert even.ratio == pytest.approx(0.70, abs=0.0005)
    assert (even.lowest_cylinder, even.highest_cylinder) == (3, 2)
    assert (even.lowest_kpa, even.highest_kpa) == (725, 1035)


def test_of_equals_the_first() -> None:
    even = evenness([800, 700, 800, 700])
    assert (even.lowest_cylinder, even.highest_cylinder) == (2, 1)
    assert evenness([900, 900]).ratio == 1


@given(readings=st.lists(st.floats(50, 8000), min_size=2, max_size=12))
def test_the_lowest_is_never_more(readings: list[float]) -> None:
    even = evenness(readings)
    assert 0 < even.ratio <= 1
    assert readings[even.lowest_cylinder - 1] == even.lowest_kpa
    assert readings[even.highest_cylinder - 1] == even.highest_kpa


def test_readings_out_of_range() -> None:
    with pytest.raises(ValueError, match="1 reading; give one for each"):
        evenness([900])
    for wrong in (49.9, 8000.1, float("nan")):
        with pytest.raises(ValueError, match="50 to 8000"):
            evenness([900, wrong])
    assert evenness([50, 8000]).ratio == 50 / 8000


def test_leak_down_of_the_circular() -> None:
    # FAA AC 43.13-1B: 60 left of 80 psi is the limit, 25 %; 62 and 58 by hand 22.5 and 27.5 %.
    psi = 6.894757
    for held, leak in ((80, 0), (62, 22.5), (60, 25), (58, 27.5), (0, 100)):
        assert leak_percent(80 * psi, held * psi) == pytest.approx(leak)


def test_leak_down_out_of_range() -> None:
    for supply in (99.9, 1400.1):
        with pytest.raises(ValueError, match="give 100 to 1400"):
            leak_percent(supply, 50)
    for held in (-0.1, 552.1):
        with pytest.raises(ValueError, match="0 up to the supply"):
            leak_percent(552, held)
    assert leak_percent(100, 50) == leak_percent(1400, 700) == 50


def test_a_tyre_in_the_sun() -> None:
    # A homework page: 658 kPa (gauge) at 20 °C, at 60 °C 761.66 kPa (with 0 °C as 273 K).
    assert cooled_kpa(658, 20, 60, 101.3) == pytest.approx(761.66, abs=0.1)


def test_a_textbook_s_bicycle() -> None:
    # A chemistry textbook's exercise: 50.0 psi at 60.0 °F, 104 °F later, air 14.7 psi; by hand
    # 64.7 x 563.67 / 519.67 - 14.7 = 55.5 psi.
    psi = 6.894757
    warm = cooled_kpa(50 * psi, (60 - 32) / 1.8, (104 - 32) / 1.8, 14.7 * psi)
    assert warm / psi == pytest.approx(55.48, abs=0.01)


def test_ten_degrees_cost_a_pound() -> None:
    # By hand: 15 psi in 14.7 psi of air, 20 to 10 °C: 29.7 x 10 / 293.15 = 1.01 psi.
    psi = 6.894757
    assert 15 - cooled_kpa(15 * psi, 20, 10, 14.7 * psi) / psi == pytest.approx(1.01, abs=0.005)


@given(start=st.floats(-90, 1000), celsius=st.floats(-40, 120))
def test_same_temperature_same_pressure(start: float, celsius: float) -> None:
    assert cooled_kpa(start, celsius, celsius, 101.3) == pytest.approx(start, abs=1e-9)


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ((-90.1, 20, 20, 101), "-90 to 1000"),
        ((1000.1, 20, 20, 101), "-90 to 1000"),
        ((100, -40.1, 20, 101), "-40 to 120"),
        ((100, 20, 120.1, 101), "-40 to 120"),
        ((100, 20, 20, 44.9), "45 to 110"),
        ((100, 20, 20, 110.1), "45 to 110"),
    ],
)
def test_housing_out_of_range(values: tuple[float, float, float, float], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        cooled_kpa(*values)


def test_housing_at_the_ends_of_its_range() -> None:
    for start, celsius, air in ((-90.0, -40.0, 91.0), (-44.9, 0.0, 45.0), (1000.0, 120.0, 110.0)):
        assert cooled_kpa(start, celsius, celsius, air) == pytest.approx(start)


@pytest.mark.parametrize(
    ("plug", "printed", "chart"),
    [
        ((10, "gasket", "iron"), (7, 11), (7.2, 10.8)),
        ((10, "gasket", "aluminium"), (7, 11), (7.2, 8.7)),
        ((12, "gasket", "iron"), (11, 19), (10.8, 18.0)),
        ((12, "gasket", "aluminium"), (11, 19), (10.8, 14.5)),
        ((14, "gasket", "iron"), (26, 29), (18.0, 25.3)),
        ((14, "gasket", "aluminium"), (15, 22), (18.0, 21.6)),
        ((18, "gasket", "iron"), (32, 38), (25.3, 32.5)),
        ((18, "gasket", "aluminium"), (28, 34), (25.3, 32.5)),
        ((14, "taper", "iron"), (7, 15), (10.8, 18.0)),
        ((14, "taper", "aluminium"), (7, 15), (7.2, 14.5)),
        ((18, "taper", "iron"), (15, 20), (14.5, 21.6)),
        ((18, "taper", "aluminium"), (15, 20), (14.5, 21.6)),
    ],
)
def test_torque_as_printed(
    plug: tuple[int, str, str], printed: tuple[float, float], chart: tuple[float, float]
) -> None:
    # Louisiana State University AgCenter, 2006, and a spark-plug maker's chart; lb ft.
    assert plug_torque_lb_ft(*plug, "plug_torque") == printed
    assert plug_torque_lb_ft(*plug, "plug_torque_by_a_chart") == chart


def test_no_such_plug() -> None:
    with pytest.raises(ValueError, match="no plug '10 mm taper, iron'"):
        plug_torque_lb_ft(10, "taper", "iron", "plug_torque")


@pytest.mark.parametrize(("start", "air"), [(-45.0, 45.0), (-90.0, 60.0)])
def test_no_vacuum_is_deeper_than_the_air(start: float, air: float) -> None:
    with pytest.raises(ValueError, match="no vacuum deeper than the air"):
        cooled_kpa(start, 20, 10, air)


def test_a_torque_table_that_is_no_table_is_refused() -> None:
    with pytest.raises(ValueError, match="'emissivity' is no source here"):
        plug_torque_lb_ft(14, "taper", "iron", "emissivity")
