"""Film against a film maker's worked example and by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.cover import film_kg, film_m2, roll_m2, vents

FT_M, FT2_M2, LB_KG, MIL_UM = 0.3048, 0.09290304, 0.45359237, 25.4


def test_a_film_makers_example() -> None:
    # "How to calculate PE film weight", June 2026: 300 m x 0.5 m at 17 micron and 920 kg/m³ weigh
    # 2.346 kg.
    assert film_kg(300 * 0.5, 17) == pytest.approx(2.346, abs=0.0005)


def test_a_film_chart_of_a_square_metre() -> None:
    # A film maker's yield chart: linear low-density, 0.92, 1 mil: 23.4 g/m², 42.7 m²/kg.
    assert film_kg(1, MIL_UM) * 1000 == pytest.approx(23.4, abs=0.05)
    assert 1 / film_kg(1, MIL_UM) == pytest.approx(42.7, abs=0.1)


def test_film_for_a_24_foot_boat() -> None:
    # By hand: (24 + 3) x (8.5 + 2 x 3) = 391.5 ft²; at 7 mil 0.0335 lb/ft² that is 13.1 lb.
    area = film_m2(24 * FT_M, 8.5 * FT_M, 3 * FT_M)
    assert area / FT2_M2 == pytest.approx(391.5)
    assert film_kg(area, 7 * MIL_UM) / LB_KG == pytest.approx(13.1, abs=0.05)


def test_a_roll() -> None:
    # 20 x 149 ft = 2,980 ft², by hand 99.8 lb at 7 mil.
    assert roll_m2() / FT2_M2 == pytest.approx(2980)
    assert film_kg(roll_m2(), 7 * MIL_UM) / LB_KG == pytest.approx(99.8, abs=0.1)


@pytest.mark.parametrize(
    ("length_ft", "count"),
    # Common practice: two up to 25 ft, one more for each 10 ft begun beyond.
    [(10, 2), (25, 2), (25.1, 3), (35, 3), (35.1, 4), (60, 6)],
)
def test_vents(length_ft: float, count: int) -> None:
    assert vents(length_ft * FT_M) == count


@given(length=st.floats(0.1, 60), beam=st.floats(0.1, 15), drop=st.floats(0, 10))
def test_film_covers_her_from_above(length: float, beam: float, drop: float) -> None:
    assert film_m2(length, beam, drop) > length * (beam + 2 * drop) >= length * beam


@pytest.mark.parametrize(
    ("length", "beam", "drop", "told"),
    [
        (0, 2, 1, "length is 0"),
        (60.1, 2, 1, "length is 60.1"),
        (float("nan"), 2, 1, "length is nan"),
        (8, 0, 1, "beam is 0"),
        (8, 15.1, 1, "beam is 15.1"),
        (8, 2, -0.1, "drop is -0.1"),
        (8, 2, 10.1, "drop is 10.1"),
    ],
)
def test_no_such_boat(length: float, beam: float, drop: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        film_m2(length, beam, drop)


@pytest.mark.parametrize(
    ("area", "thick", "told"),
    [(0, 50, "film is 0"), (float("inf"), 50, "film is inf"), (1, 9, "9 µm"), (1, 501, "501 µm")],
)
def test_no_such_film(area: float, thick: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        film_kg(area, thick)


def test_the_ends_of_the_ranges() -> None:
    assert film_kg(1, 10) == pytest.approx(0.0092)
    assert film_kg(1, 500) == pytest.approx(0.46)
    assert film_m2(60, 15, 10) == pytest.approx((60 + 3 * FT_M) * 35)
    assert vents(60) == 2 + 18  # 196.9 ft: 17.2 times 10 ft beyond 25


@pytest.mark.parametrize("length", [0, 60.1, float("nan")])
def test_no_such_cover(length: float) -> None:
    with pytest.raises(ValueError, match="length is"):
        vents(length)
