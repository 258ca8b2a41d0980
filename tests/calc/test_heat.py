"""Infrared readings against tables of black-body radiation, Stefan-Boltzmann by hand, and Kirchhoff."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.heat import black_body_share, reads_c, true_c

WHOLE, BAND = "pyrometer_whole", "pyrometer_band"
KELVIN = 273.15

shares = st.floats(0.2, 1)
warm = st.floats(0, 150)


@pytest.mark.parametrize(
    ("wavelength_um_k", "printed"),
    [(2000, 0.066728), (3000, 0.273232), (5000, 0.633747), (10000, 0.914199)],
)
def test_share_of_a_black_body(wavelength_um_k: float, printed: float) -> None:
    # Blackbody radiation functions, F(0 to λT), as heat-transfer textbooks print them (made with
    # an older radiation constant, 4 in the fifth digit).
    for kelvin in (300.0, 1000.0):
        wavelength_um = wavelength_um_k / kelvin
        assert black_body_share(wavelength_um, kelvin - KELVIN) == pytest.approx(printed, abs=5e-5)


def test_bare_aluminium_under_a_gun_set_to_black() -> None:
    # By hand, Stefan-Boltzmann: T⁴ = 293.15⁴ + (0.30 / 0.95) (343.15⁴ - 293.15⁴), 38.5 °C. In the
    # band of 8 to 14 µm, by Planck's law integrated elsewhere: 38.1 °C.
    by_hand = (293.15**4 + 0.30 / 0.95 * (343.15**4 - 293.15**4)) ** 0.25 - KELVIN
    assert by_hand == pytest.approx(38.5, abs=0.05)
    assert reads_c(70, 0.30, 0.95, 20, WHOLE) == pytest.approx(by_hand, abs=1e-6)
    assert reads_c(70, 0.30, 0.95, 20, BAND) == pytest.approx(38.1, abs=0.05)


@pytest.mark.parametrize(("emissivity", "printed_c"), [(0.25, 77.8), (0.30, 70.0), (0.35, 64.1)])
def test_what_the_reading_means(emissivity: float, printed_c: float) -> None:
    # The same law backwards, by hand: T⁴ = 293.15⁴ + (0.95 / ε) (311.65⁴ - 293.15⁴).
    by_hand = (293.15**4 + 0.95 / emissivity * (311.65**4 - 293.15**4)) ** 0.25 - KELVIN
    assert true_c(38.5, emissivity, 0.95, 20, WHOLE) == pytest.approx(by_hand, abs=1e-6)
    assert by_hand == pytest.approx(printed_c, abs=0.1)


def test_the_band_against_an_integral_of_planck_s_law() -> None:
    # scipy integrates Planck's law from 8 to 14 µm; the reading must receive what the surface sends.
    from numpy import expm1
    from scipy.integrate import quad

    def received(celsius: float) -> float:
        hot = 14387.768775 / (celsius + KELVIN)
        value, _ = quad(lambda um: um**-5 / expm1(hot / um), 8, 14)
        return float(value)

    for true, emissivity in ((70.0, 0.30), (120.0, 0.6), (-5.0, 0.9)):
        reads = reads_c(true, emissivity, 0.95, 20, BAND)
        sent = emissivity * received(true) + (1 - emissivity) * received(20)
        seen = 0.95 * received(reads) + 0.05 * received(20)
        assert seen == pytest.approx(sent, rel=1e-6)


@given(
    around=st.floats(-20, 60), emissivity=shares, set_to=shares, by=st.sampled_from([WHOLE, BAND])
)
def test_in_surroundings_as_warm_everything_reads_right(
    around: float, emissivity: float, set_to: float, by: str
) -> None:
    # Kirchhoff: a cavity of one temperature is black, whatever its walls.
    assert reads_c(around, emissivity, set_to, around, by) == pytest.approx(around, abs=1e-6)


@given(true=warm, emissivity=shares, by=st.sampled_from([WHOLE, BAND]))
def test_there_and_back(true: float, emissivity: float, by: str) -> None:
    reads = reads_c(true, emissivity, 0.95, 20, by)
    assert true_c(reads, emissivity, 0.95, 20, by) == pytest.approx(true, abs=1e-5)
    assert true_c(reads, 0.95, 0.95, 20, by) == pytest.approx(reads, abs=1e-6)


@given(reading=st.floats(25, 120), less=st.floats(0.2, 0.9))
def test_shinier_is_hotter_than_it_reads(reading: float, less: float) -> None:
    assert true_c(reading, less, 0.95, 20, WHOLE) > reading
    assert true_c(reading, less, 0.95, 20, WHOLE) > true_c(reading, less + 0.05, 0.95, 20, WHOLE)


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ((70, 0, 0.95, 20, WHOLE), "emissivity is 0"),
        ((70, 1.01, 0.95, 20, WHOLE), "at most 1"),
        ((70, 0.3, 0, 20, WHOLE), "emissivity is 0"),
        ((-60.1, 0.3, 0.95, 20, WHOLE), "give -60 to 1500"),
        ((1500.1, 0.3, 0.95, 20, WHOLE), "give -60 to 1500"),
        ((float("nan"), 0.3, 0.95, 20, WHOLE), "give -60 to 1500"),
        ((70, 0.3, 0.95, -61, WHOLE), "surroundings are at -61"),
        ((70, 0.3, 0.95, 101, WHOLE), "surroundings are at 101"),
        ((70, 0.3, 0.95, 20, "linear"), "no formula 'linear'"),
    ],
)
def test_out_of_range(values: tuple[float, float, float, float, str], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        true_c(*values)


def test_a_reading_that_surface_can_not_give() -> None:
    # Colder than its mirror image: a surface of 0.05 in a room of 20 °C never reads 0 °C.
    with pytest.raises(ValueError, match="tape or paint the spot"):
        true_c(0, 0.05, 0.95, 20, WHOLE)
    with pytest.raises(ValueError, match="tape or paint the spot"):
        true_c(1000, 0.05, 0.95, 20, WHOLE)


def test_the_ends_of_the_range_are_within_it() -> None:
    for end in (-60, 1500):
        assert true_c(end, 0.95, 0.95, 20, WHOLE) == pytest.approx(end, abs=1e-3)
    for around in (-60, 100):
        assert true_c(50, 1, 1, around, WHOLE) == pytest.approx(50, abs=1e-6)
    for wavelength in (0.99, 100.1):
        with pytest.raises(ValueError, match="give 1 to 100"):
            black_body_share(wavelength, 20)
    assert 0 <= black_body_share(1, 20) < black_body_share(100, 20) < 1
    with pytest.raises(ValueError, match="black body is -61"):
        black_body_share(10, -61)
