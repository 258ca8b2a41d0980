"""Openings and blowers against the table of the law and two schools' worked examples."""

from math import log

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.air import blower, openings

FT3_M3 = 0.3048**3
IN2_CM2 = 6.4516
CFM = FT3_M3 * 1000  # L/min


@pytest.mark.parametrize(
    ("room_ft3", "rated", "output"),
    [
        # 33 CFR 183.610, table: under 34: 50 and 20; 34 to 100: 1.5 V and 0.6 V; over 100:
        # V/2 + 100 and 0.2 V + 40. At 100 both agree.
        (30, 50, 20),
        (33.9, 50, 20),
        (34, 51, 20.4),
        (60, 90, 36),
        (100, 150, 60),
        (150, 175, 70),
        # A yacht-design school's bulletin no. 21, p. 14: 319.7 ft³: 259.8 and 103.9 cfm.
        (319.7, 259.85, 103.94),
        # A boat-systems handbook, ch. 16: 290 ft³: rated 245, output 98 cfm.
        (290, 245, 98),
    ],
)
def test_blower(room_ft3: float, rated: float, output: float) -> None:
    need = blower(room_ft3 * FT3_M3)
    assert need.rated_l_min / CFM == pytest.approx(rated)
    assert need.output_l_min / CFM == pytest.approx(output)


@given(room=st.floats(0.01, 99), more=st.floats(0, 1))
def test_a_larger_room_never_needs_less_air(room: float, more: float) -> None:
    small, large = blower(room), blower(room + more)
    assert large.rated_l_min >= small.rated_l_min - 1e-9
    assert large.output_l_min >= small.output_l_min - 1e-9
    assert small.output_l_min >= 0.4 * small.rated_l_min - 1e-6  # the boat builders' handbook: 40 %
    assert openings(room + more).each_cm2 >= openings(room).each_cm2 - 1e-9


@pytest.mark.parametrize(
    ("room_ft3", "each_in2"),
    # 33 CFR 183.630(d): A = 5 ln(V/5), by a pocket calculator: ln 8 = 2.0794, ln 24 = 3.1781.
    [(40, 10.397), (120, 15.890), (5 * 2.718281828, 5)],
)
def test_openings_by_the_formula(room_ft3: float, each_in2: float) -> None:
    assert openings(room_ft3 * FT3_M3).each_cm2 / IN2_CM2 == pytest.approx(each_in2, abs=0.001)


@pytest.mark.parametrize("room_ft3", [9, 5, 1])
def test_a_small_room_still_needs_three_square_inches(room_ft3: float) -> None:
    # 183.630(e): each must exceed 3.0 in²; 9 ft³ alone would give 2.94.
    found = openings(room_ft3 * FT3_M3)
    assert found.each_cm2 / IN2_CM2 == pytest.approx(3)
    assert not found.enough(3.0 * IN2_CM2)
    assert found.enough(3.001 * IN2_CM2)


def test_enough_is_the_printed_area_itself() -> None:
    found = openings(40 * FT3_M3)
    assert found.enough(5 * log(8) * IN2_CM2)
    assert not found.enough(10.39 * IN2_CM2)
    assert found.enough(11 * IN2_CM2)


def test_open_to_the_atmosphere() -> None:
    # 183.605: 15 in² for each cubic foot: 40 ft³ take 600 in².
    assert openings(40 * FT3_M3).open_cm2 / IN2_CM2 == pytest.approx(600)


@pytest.mark.parametrize("room_m3", [0, -1, 100.1, float("nan")])
def test_no_such_room(room_m3: float) -> None:
    with pytest.raises(ValueError, match="the room is"):
        blower(room_m3)
    with pytest.raises(ValueError, match="the room is"):
        openings(room_m3)


def test_the_largest_room_is_answered() -> None:
    assert blower(100).rated_l_min > 0
