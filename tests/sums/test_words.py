"""How sums say a temperature: in both units, and nothing is never below nothing."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.sums.words import pressure, temperature


@pytest.mark.parametrize(
    ("celsius", "decimals", "says"),
    # By definition: 0 °C is 32 °F, 100 °C is 212 °F, both scales meet at -40.
    [
        (0, 1, "0.0 °C (32 °F)"),
        (100, 0, "100 °C (212 °F)"),
        (-40, 1, "-40.0 °C (-40 °F)"),
        (-0.04, 1, "0.0 °C (32 °F)"),
        (-0.4, 0, "0 °C (31 °F)"),
        (-0.06, 1, "-0.1 °C (32 °F)"),
        (-17.8, 1, "-17.8 °C (0 °F)"),
    ],
)
def test_a_temperature_in_both_units(celsius: float, decimals: int, says: str) -> None:
    assert temperature(celsius, decimals) == says


@given(celsius=st.floats(-60, 60), decimals=st.integers(0, 2))
def test_what_rounds_to_nothing_has_no_sign(celsius: float, decimals: int) -> None:
    said, fahrenheit = temperature(celsius, decimals).removesuffix(" °F)").split(" °C (")
    for number in (said, fahrenheit):
        assert number.startswith("-") is (float(number) < 0)


def test_a_pressure_in_both_units() -> None:
    # By definition: an atmosphere is 101.325 kPa, 14.7 psi.
    assert pressure(101.325) == "101 kPa (14.7 psi)"
