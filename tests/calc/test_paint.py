"""Bottom and paint against makers' guides and sheets."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.paint import bottom_m2, spread_m2_l, wet_um

FT_M, FT2_M2, US_GAL_L, MIL_UM = 0.3048, 0.09290304, 3.785411784, 25.4
WATERLINE, FULL = "bottom_by_waterline", "bottom_full_bodied"


def test_length_beam_and_085() -> None:
    # A how-to site: 30 ft x 10 ft x 0.85 = 255 ft². By hand: 24 x 8.5 x 0.85 = 173.4 ft².
    assert bottom_m2(30 * FT_M, 10 * FT_M) / FT2_M2 == pytest.approx(255)
    assert bottom_m2(24 * FT_M, 8.5 * FT_M) / FT2_M2 == pytest.approx(173.4)


def test_the_paint_makers_rules_by_waterline() -> None:
    # One maker: motor boat, waterline x (beam + draft) x 0.85; another: full bodied, without 0.85.
    assert bottom_m2(7.3, 2.6, 6.6, 0.45, WATERLINE) == pytest.approx(6.6 * 3.05 * 0.85)
    assert bottom_m2(7.3, 2.6, 6.6, 0.45, FULL) == pytest.approx(6.6 * 3.05)
    assert bottom_m2(7.3, 2.6, 7.3, 5, FULL) == pytest.approx(7.3 * 7.6)


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ((0, 2, None, None, "bottom_by_length"), "length is 0"),
        ((30.1, 2, None, None, "bottom_by_length"), "length is 30.1"),
        ((8, 0, None, None, "bottom_by_length"), "beam is 0"),
        ((8, 10.1, None, None, "bottom_by_length"), "beam is 10.1"),
        ((float("nan"), 2, None, None, "bottom_by_length"), "length is nan"),
        ((8, 2, None, 0.5, WATERLINE), "give both"),
        ((8, 2, 7, None, WATERLINE), "give both"),
        ((8, 2, 8.1, 0.5, WATERLINE), "waterline 8.1"),
        ((8, 2, 0, 0.5, WATERLINE), "waterline 0"),
        ((8, 2, 7, 0, WATERLINE), "draft 0"),
        ((8, 2, 7, 5.1, WATERLINE), "draft 5.1"),
        ((8, 2, 7, 0.5, "paint_lost"), "no source here"),
    ],
)
def test_no_such_bottom(
    given: tuple[float, float, float | None, float | None, str], told: str
) -> None:
    with pytest.raises(ValueError, match=told):
        bottom_m2(*given)


def test_the_largest_bottom_is_answered() -> None:
    assert bottom_m2(30, 10) == pytest.approx(255)


def test_spreading_rate() -> None:
    # A coating maker's sheet: 65 % at 5.0 mil: 208.52 ft²/gal; at 125 µm: 5.2 m²/L.
    per_gal = spread_m2_l(65, 5 * MIL_UM) * US_GAL_L / FT2_M2
    assert per_gal == pytest.approx(208.52, abs=0.05)
    assert spread_m2_l(65, 125) == pytest.approx(5.2)
    # A painters' site, October 2003: 52 %, 1.5 mil, 30 % transfer: 167 ft² a gallon.
    assert spread_m2_l(52, 1.5 * MIL_UM, 0.7) * US_GAL_L / FT2_M2 == pytest.approx(167, abs=0.5)
    # By hand: 55 % at 50 µm are 11 m²/L, 8.8 with a fifth lost; 50 / 0.55 = 91 µm wet.
    assert spread_m2_l(55, 50, 0.2) == pytest.approx(8.8)
    assert wet_um(55, 50) == pytest.approx(91, abs=0.5)


@given(solids=st.floats(10, 100), dry=st.floats(5, 2000))
def test_what_goes_on_wet_is_what_was_in_the_can(solids: float, dry: float) -> None:
    # A litre at wet thickness covers 1000 m² per micron.
    assert spread_m2_l(solids, dry) * wet_um(solids, dry) == pytest.approx(1000)
    assert wet_um(solids, dry) >= dry - 1e-9


@pytest.mark.parametrize(
    ("solids", "dry", "lost", "told"),
    [
        (0, 50, 0, "solids are 0"),
        (100.1, 50, 0, "solids are 100.1"),
        (float("nan"), 50, 0, "solids are nan"),
        (50, 4.9, 0, "dry coat is 4.9"),
        (50, 2001, 0, "dry coat is 2001"),
        (50, 50, -0.1, "lost is -0.1"),
        (50, 50, 0.91, "lost is 0.91"),
    ],
)
def test_no_such_coat(solids: float, dry: float, lost: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        spread_m2_l(solids, dry, lost)
    if lost == 0:
        with pytest.raises(ValueError, match=told):
            wet_um(solids, dry)


def test_the_ends_of_a_coat() -> None:
    assert spread_m2_l(100, 5, 0.9) == pytest.approx(20)
    assert spread_m2_l(100, 2000, 0) == pytest.approx(0.5)
