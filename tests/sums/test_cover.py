"""What the sums about paint and cover say, and when the brush stays dry."""

import pytest

from yardwright.sums import sums
from yardwright.sums.sum import Answer

AIR = {"air_c": "20 °C", "humidity": "60 %", "coldest_c": "5 °C", "warmest_c": "35 °C"}
BOAT = {"length_m": "24 ft", "beam_m": "8.5 ft"}
PAINT = {**BOAT, "coats": "2", "solids": "55 %", "dry_um": "50 µm"}


def ask(name: str, **typed: str) -> Answer:
    return sums()[name].answer(typed)


def test_dew_point_in_both_units() -> None:
    # A paint maker's sheet 1650: 20 °C, 60 %: 12.0 °C.
    found = ask("dew-point", air_c="20 °C", humidity="60 %")
    assert (
        found.says == "Dew at 12.0 °C (54 °F); paint wants the hull at 15.0 °C (59 °F) or warmer."
    )
    assert found["least_c"] - found["dew_point_c"] == pytest.approx(3)
    assert found["dew_point_f"] == pytest.approx(found["dew_point_c"] * 1.8 + 32)
    assert found.besides == ()
    assert "hoar frost" in ask("dew-point", air_c="2 °C", humidity="60 %").besides[0]


@pytest.mark.parametrize(
    ("surface", "may", "head"),
    # Dew at 12.0 °C: 14.5 is 2.5 above, 15.2 is 3.2 above.
    [("14.5 °C", False, "No paint now."), ("15.2 °C", True, "Paint may go on.")],
)
def test_paint_now(surface: str, may: bool, head: str) -> None:
    found = ask("paint-window", **AIR, surface_c=surface)
    assert found.may is may
    assert found.says.startswith(head)
    assert "above the dew point of 12.0 °C (54 °F)" in found.says
    assert found["above_c"] == pytest.approx(float(surface[:4]) - 12.0, abs=0.05)
    assert f"({found['above_c'] * 1.8:.1f} °F)" in found.says


def test_a_sheet_nobody_read_is_no_yes() -> None:
    found = ask("paint-window", air_c="20 °C", humidity="60 %", surface_c="16 °C")
    assert (found.may, found.not_known) == (None, True)
    assert found.says.startswith("Not known yet.")
    damp = ask("paint-window", air_c="20 °C", humidity="60 %", surface_c="14 °C")
    assert (damp.may, damp.not_known) == (False, False)
    assert found.says.startswith("Not known yet.")
    assert "Not known: the paint's coldest °C: read its sheet." in found.besides


def test_paint_for_a_bottom_in_cans() -> None:
    # By hand: 173.4 ft² are 16.1 m²; two coats at 8.8 m² a litre are 3.66 L; 91 µm wet.
    found = ask("paint", **PAINT)
    assert found.says.startswith(
        "3.66 L (0.967 gal) for 2 coats on 16.1 m² (173 ft²); each goes on"
    )
    assert found["wet_um"] == pytest.approx(90.9, abs=0.05)
    assert found["spread_m2_l"] == pytest.approx(8.8)
    assert ask("paint", **{**PAINT, "coats": "3"})["litres"] == pytest.approx(found["litres"] * 1.5)
    assert "rounding up" in found.besides[0]


def test_the_other_rules_need_a_waterline() -> None:
    others = sums()["paint"].by_the_others(PAINT)
    assert all("give both" in str(told) for told in others.values())
    assert len(others) == 2
    wide = {**PAINT, "waterline_m": "21.5 ft", "draft_m": "1.5 ft", "by": "bottom_by_waterline"}
    assert ask("paint", **wide)["area_ft2"] == pytest.approx(21.5 * 10 * 0.85)


@pytest.mark.parametrize("coats", ["0", "11", "1.5"])
def test_coats_are_whole(coats: str) -> None:
    with pytest.raises(ValueError, match="give a whole number, 1 to 10"):
        ask("paint", **{**PAINT, "coats": coats})


def test_one_and_ten_coats_are_answered() -> None:
    one, ten = (ask("paint", **{**PAINT, "coats": n})["litres"] for n in ("1", "10"))
    assert ten == pytest.approx(10 * one)


def test_film_its_weight_and_its_vents() -> None:
    # By hand: 27 x 14.5 = 391.5 ft², 13.1 lb at 7 mil, of a roll of 2,980 ft² 13 %.
    found = ask("cover", **BOAT, drop_m="3 ft")
    assert found.says.startswith("36.4 m² (391 ft²) of film, 5.95 kg (13.1 lb): 13 % of a roll")
    assert found.says.endswith("and 2 vents or more.")
    assert found["rolls"] == pytest.approx(391.5 / 2980)
    assert found["area_ft2"] == pytest.approx(391.5)
    assert "goes to the recycler" in found.besides[0]


@pytest.mark.parametrize("name", ["dew-point", "paint-window", "paint", "cover"])
def test_each_has_a_picture_and_its_sources(name: str) -> None:
    one = sums()[name]
    assert "<svg" in one.picture(one.values(one.example())).svg
    assert one.rows()
    assert name == "dew-point" or one.caution
