"""A battery under load, its cells, cranking and hold-down against printed tables; refusals."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.batteries import (
    cell_spread,
    cold_cranking_a,
    cranking_a,
    cranking_power_percent,
    load_test_a,
    load_test_limit_v,
    load_test_slope_v_per_c,
    most_cell_spread,
    moves_too_far,
    pull_n,
    rated_a,
)

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


def test_the_slope_is_that_of_the_printing_asked_for() -> None:
    # By hand: the 2005 printing has 8.0 V at 0 °F, 8.8 V at 15 °F: 0.8 / 15 V/°F = 0.096 V/°C;
    # the others 8.5 V and 8.7 V, 10 °F apart.
    assert load_test_slope_v_per_c(-15, "load_test_minimum_2005") == pytest.approx(0.096)
    assert load_test_slope_v_per_c(-15) == pytest.approx(0.036)
    with pytest.raises(ValueError, match="no source here"):
        load_test_slope_v_per_c(-15, "charge_by_sg")


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


@pytest.mark.parametrize(
    ("temp_f", "volts"), [(0, 8.0), (15, 8.8), (30, 9.1), (50, 9.4), (70, 9.6), (100, 9.6)]
)
def test_an_early_printing_is_softer_in_the_cold(temp_f: float, volts: float) -> None:
    # A workshop manual's 2005 printing.
    limit_v = load_test_limit_v((temp_f - 32) / 1.8, "load_test_minimum_2005")
    assert limit_v == pytest.approx(volts)
    assert limit_v <= load_test_limit_v((temp_f - 32) / 1.8) + 1e-9


def test_only_a_load_test_s_table_is_taken() -> None:
    with pytest.raises(ValueError, match="there are load_test_minimum, load_test_minimum_2005"):
        load_test_limit_v(10, "cranking_power")


def test_the_load_is_half_the_cold_amps() -> None:
    # Three workshop manuals, 2004 to 2009.
    assert load_test_a(600) == 300
    assert load_test_a(3000) == 1500


@pytest.mark.parametrize(
    ("by", "cca_a"),
    [("mca_per_cca", 577), ("mca_per_cca_school", 600), ("mca_per_cca_glossary", 625)],
)
def test_cold_amps_of_a_marine_plate(by: str, cca_a: float) -> None:
    # By hand: 750 / 1.3, 750 / 1.25, 750 / 1.2.
    assert cold_cranking_a(750, by) == pytest.approx(cca_a, abs=0.5)


def test_a_training_page_s_two_batteries() -> None:
    # A marine mechanic's training page: 500 CCA x 1.3 = 650 MCA; 650 MCA x 0.77 = 500 CCA.
    assert cranking_a(500, 0) == pytest.approx(650)
    assert cold_cranking_a(650) == pytest.approx(500, abs=1)


def test_cranking_amps_between_the_two_ratings() -> None:
    # By hand: 16 °F is half-way, 1.15 times; above 32 °F no more than the marine rating.
    assert cranking_a(500, (0 - 32) / 1.8) == pytest.approx(500)
    assert cranking_a(500, (16 - 32) / 1.8) == pytest.approx(575)
    assert cranking_a(500, (80 - 32) / 1.8) == pytest.approx(650)
    assert cranking_a(500, 0, "mca_per_cca_school") == pytest.approx(625)


@pytest.mark.parametrize(("temp_f", "percent"), [(80, 100), (30, 65), (0, 40), (55, 82.5)])
def test_cranking_power_fades_in_the_cold(temp_f: float, percent: float) -> None:
    # US Army TM 5-1185; 55 °F is half-way from 30 to 80 °F.
    assert cranking_power_percent((temp_f - 32) / 1.8) == pytest.approx(percent)


@given(cca_a=st.floats(1, 3000), one=st.floats(-17.7, 26.6), other=st.floats(-17.7, 26.6))
def test_a_warmer_battery_cranks_no_less(cca_a: float, one: float, other: float) -> None:
    colder, warmer = sorted((one, other))
    assert cranking_a(cca_a, colder) <= cranking_a(cca_a, warmer) * (1 + 1e-9)
    assert cranking_power_percent(colder) <= cranking_power_percent(warmer) + 1e-9


@pytest.mark.parametrize("amps", [0, -1, 3000.1, float("nan")])
def test_a_plate_that_no_battery_has(amps: float) -> None:
    for refused in (load_test_a, cold_cranking_a, rated_a, lambda a: cranking_a(a, 0)):
        with pytest.raises(ValueError, match="up to 3000 A"):
            refused(amps)
    assert rated_a(3000) == 3000


@pytest.mark.parametrize("temp_c", [-17.8, 26.7, float("nan")])
def test_cranking_off_the_table_is_refused(temp_c: float) -> None:
    for refused in (cranking_power_percent, lambda c: cranking_a(500, c)):
        with pytest.raises(ValueError, match="from 0 to 80 °F"):
            refused(temp_c)


def test_cells_apart() -> None:
    # US Army TM 9-6140-200-14, para 4-7: 0.025; an outboard manual 0.030; a turf manual 0.050.
    assert cell_spread((1.265, 1.240)) == 0.025
    assert cell_spread((1.237, 1.260, 1.265)) == 0.028
    assert cell_spread((1.250, 1.250)) == 0
    assert most_cell_spread() == 0.025
    assert most_cell_spread("cell_spread_most_outboard") == 0.030
    assert most_cell_spread("cell_spread_most_turf") == 0.050
    with pytest.raises(ValueError, match="no source here"):
        most_cell_spread("hydrometer_step")


@given(cells=st.lists(st.floats(1, 1.3), min_size=2, max_size=12))
def test_the_order_of_cells_does_not_matter(cells: list[float]) -> None:
    assert cell_spread(cells) == cell_spread(cells[::-1]) >= 0


@pytest.mark.parametrize(
    ("cells", "told"),
    [
        ((1.25,), "1 cells; give"),
        ((), "0 cells"),
        ((1.25, 0.999), "1.000 to 1.300"),
        ((1.25, 1.3001), "1.000 to 1.300"),
        ((1.25, float("nan")), "1.000 to 1.300"),
    ],
)
def test_cells_that_are_none(cells: tuple[float, ...], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        cell_spread(cells)


@pytest.mark.parametrize(
    ("pounds", "pull_lb"), [(32, 64), (45, 90), (44.9, 89.8), (60, 90), (1, 2)]
)
def test_the_pull_on_a_battery(pounds: float, pull_lb: float) -> None:
    # 33 CFR 183.420(a): 90 lb or twice its weight; a pound of force is 4.4482 N.
    assert pull_n(pounds * 0.45359237) == pytest.approx(pull_lb * 4.4482216, rel=1e-6)


@pytest.mark.parametrize(
    ("inches", "too_far"), [(0, False), (0.9, False), (1, False), (1.01, True), (1.2, True)]
)
def test_how_far_a_battery_may_move(inches: float, too_far: bool) -> None:
    # 33 CFR 183.420(a): not more than 1 in.
    assert moves_too_far(inches * 0.0254) is too_far


@pytest.mark.parametrize("kg", [0, -1, 500.1, float("nan")])
def test_a_battery_s_weight_is_refused_outside(kg: float) -> None:
    with pytest.raises(ValueError, match="up to 500 kg"):
        pull_n(kg)
    assert pull_n(500) == pytest.approx(90 * 4.4482216)


@pytest.mark.parametrize("moved_m", [-0.001, 1.001, float("nan")])
def test_a_move_is_refused_outside(moved_m: float) -> None:
    with pytest.raises(ValueError, match="0 to 1 m"):
        moves_too_far(moved_m)
    assert moves_too_far(1)
