"""What the sums about lifting and standing say, and when they say no."""

import pytest

from yardwright.sums import sums
from yardwright.sums.sum import Answer

WIND = {
    "kg": "5000 lb",
    "half_stance_m": "3.5 ft",
    "area_m2": "168 ft²",
    "height_m": "6.5 ft",
    "wind_m_s": "60 mph",
}


def ask(name: str, **typed: str) -> Answer:
    return sums()[name].answer(typed)


def test_a_leg_pulls_in_both_units() -> None:
    # Rigging charts: a leg at 60° pulls 1.155 times: 1,000 lb on a sling, 577 lb a leg.
    leg = ask("sling-angle", share_kg="1000 lb", angle="60")
    assert leg.says == "Each leg pulls 261.9 kg (577.4 lb), 1.15 times a straight one."
    assert leg.may is None
    assert "without a tag, no lift" in leg.besides[0]
    assert ask("sling-angle", share_kg="0 kg", angle="30°")["factor"] == pytest.approx(2)


@pytest.mark.parametrize(("angle", "may"), [("30", None), ("29.9", False)])
def test_under_thirty_degrees_is_no_lift(angle: str, may: bool | None) -> None:
    # ASME B30.9 as a crane school quotes it.
    leg = ask("sling-angle", share_kg="1000 kg", angle=angle)
    assert leg.may is may
    assert leg.says.startswith("No lift: 29.9° is flatter than 30°.") is (may is False)


def test_two_scales() -> None:
    # By hand: 3,900 lb at 15.5 ft, 400 lb at 0: 14.06 ft, 4,300 lb.
    found = ask("scales", first_kg="3900 lb", first_m="15.5 ft", second_kg="400 lb", second_m="0")
    assert found.says.startswith("Her centre of gravity is 4.285 m (14.06 ft) from the mark")
    assert "(4300 lb)" in found.says
    assert found["total_kg"] == pytest.approx(1950.4, abs=0.1)


def test_weight_in_the_slings_counts_the_rain() -> None:
    # By hand: 3,000 lb x 1.1 and 1.2 are 3,300 and 3,600; rain 520 lb; 100 gal of petrol 610
    # lb, or 617.6 lb at 0.74 kg/L: the most counts the heavier.
    found = ask(
        "lift-weight", dry_kg="3000 lb", petrol_l="100 gal", cover_m2="100 ft²", rain_mm="1 in"
    )
    assert found["high_kg"] / 0.45359237 == pytest.approx(4737.6, abs=1)
    assert found["low_kg"] / 0.45359237 == pytest.approx(4430, abs=1)
    assert "let it off first" in found.besides[0]
    dry = ask("lift-weight", dry_kg="3000 lb")
    assert "rain" not in " ".join(dry.besides)
    assert ask("lift-weight", dry_kg="3000 lb", diesel_l="10 gal", gear_kg="20 lb")[
        "low_kg"
    ] / 0.45359237 == pytest.approx(3390)
    with pytest.raises(ValueError, match="give 0 or more"):
        ask("lift-weight", dry_kg="3000 lb", cover_m2="-1 m²", rain_mm="1 in")
    with pytest.raises(ValueError, match="give 0 or more"):
        ask("lift-weight", dry_kg="3000 lb", cover_m2="1 m²", rain_mm="-1 mm")


def test_stands_by_both_sources() -> None:
    # A supplier: every 8 ft, so three spaces in 22 ft are 4 stands; the magazine: 10 ft, also 4.
    found = ask("stands", length_m="28 ft", held_m="22 ft")
    assert found.says.startswith("At least 4 stands on each side")
    assert "4 × 4 × 18 in (102 × 102 × 457 mm) in 2 places" in found.says
    near, wide = (
        ask("stands", length_m="34 ft", held_m="28 ft", by=by)
        for by in ("stands_apart", "stands_apart_wide")
    )
    assert (near["stands"], wide["stands"]) == (5, 4)
    assert near["block_mm"] == pytest.approx(152.4)
    assert "not more than 2 high" in " ".join(near.besides)
    others = sums()["stands"].by_the_others({"length_m": "34 ft", "held_m": "28 ft"})
    assert [str(getattr(one, "says", one))[:10] for one in others.values()] == ["At least 4"]


@pytest.mark.parametrize(("length", "told"), [("40 ft", False), ("40.1 ft", True)])
def test_a_long_keel_has_its_blocks_five_feet_apart(length: str, told: bool) -> None:
    # The magazine: 40 feet or longer, 8 x 8 x 18, not more than 5 feet apart.
    found = ask("stands", length_m=length, held_m="20 ft")
    assert ("Blocks not more than 1.52 m (5 ft) apart." in found.besides) is told


def test_wind_that_tips_her() -> None:
    # By hand: 17,500 / 13,083 = 1.34; 60 mph x √(1.3376 / 1.5) = 56.66 mph leaves 1.5.
    found = ask("stand-wind", **WIND)
    assert found.may is False
    assert found.says == (
        "Her weight holds her 1.34 times against this gust. "
        "Tie her down or move her: 1.5 times is the least."
    )
    assert found["holds_m_s"] / 0.44704 == pytest.approx(56.66, abs=0.01)
    assert found["force_lb"] == pytest.approx(2013, abs=0.5)
    assert found["force_kn"] == pytest.approx(2013 * 4.44822 / 1000, abs=0.003)
    assert found["pressure_kpa"] == pytest.approx(0.613 * 26.8224**2 / 1000, rel=1e-3)


@pytest.mark.parametrize(("mph", "may"), [("56.6 mph", None), ("56.7 mph", False)])
def test_one_and_a_half_is_the_least_and_never_a_yes(mph: str, may: bool | None) -> None:
    found = ask("stand-wind", **{**WIND, "wind_m_s": mph})
    assert found.may is may
    assert ("Tie her down" in found.says) is (may is False)
    assert "Not known: the ground" in found.besides[1]


def test_kz_kd_and_drag_each_count() -> None:
    plain = ask("stand-wind", **WIND)["ratio"]
    assert ask("stand-wind", **WIND, kz="0.85")["ratio"] == pytest.approx(plain / 0.85)
    assert ask("stand-wind", **WIND, kd="0.85")["ratio"] == pytest.approx(plain / 0.85)
    assert ask("stand-wind", **WIND, drag="2.6")["ratio"] == pytest.approx(plain / 2)
    assert ask("stand-wind", **WIND, drag="1.3")["ratio"] == pytest.approx(plain)


@pytest.mark.parametrize(
    "wrong", [{"area_m2": "0"}, {"area_m2": "501"}, {"drag": "0"}, {"drag": "3.1"}]
)
def test_no_such_side(wrong: dict[str, str]) -> None:
    with pytest.raises(ValueError, match="give a side of up to 500"):
        ask("stand-wind", **{**WIND, **wrong})


def test_the_largest_side_is_answered() -> None:
    assert ask("stand-wind", **{**WIND, "area_m2": "500", "drag": "3"}).may is False


@pytest.mark.parametrize("name", ["sling-angle", "scales", "lift-weight", "stands", "stand-wind"])
def test_each_has_a_picture_a_caution_and_its_sources(name: str) -> None:
    one = sums()[name]
    assert "<svg" in one.picture(one.values(one.example())).svg
    assert "under her" in one.caution
    assert one.rows()


SLINGS = {
    "kg": "5200 kg",
    "within": "0",
    "centre_m": "2.6 m",
    "centre_within_m": "0.3 m",
    "aft_m": "1.2 m",
    "forward_m": "5.2 m",
    "sling_kg": "4500 kg",
    "lift_kg": "10000 kg",
    "angle": "90",
}


def test_two_slings_share_her() -> None:
    # Statics by hand: forward 5200 x 1.4 / 4 = 1820, 1430 to 2210; aft the rest of 5200.
    found = ask("sling", **SLINGS)
    assert found.says == (
        "Forward 1,820 kg (1,430 to 2,210), 4,012 lb (3,153 to 4,872). "
        "Aft 3,380 kg (2,990 to 3,770), 7,452 lb (6,592 to 8,311)."  # 1 lb is 0.45359237 kg
    )
    assert found.may is True
    assert "may be lifted so" in found.besides[0]


def test_a_weak_sling_or_an_unknown_one_is_no_yes() -> None:
    weak = ask("sling", **{**SLINGS, "sling_kg": "3700 kg"})
    assert weak.may is False
    assert weak.besides[0].startswith("Not so: The aft sling may have to carry 3,770 kg (8,311 lb)")
    unknown = ask("sling", **{**SLINGS, "sling_kg": ""})
    assert (unknown.may, unknown.not_known) == (None, True)
    refused = ask("sling", **{**SLINGS, "sling_kg": "3700 kg", "angle": ""})
    assert (refused.may, refused.not_known) == (False, False)
    assert unknown.besides[0].startswith("Not known: What a sling is rated")


@pytest.mark.parametrize(("lift", "may"), [("7540 kg", True), ("7539 kg", None)])
def test_one_sling_over_half_the_lift_s_plate_is_not_known(lift: str, may: bool | None) -> None:
    # By hand: the aft sling may bear 3,770 kg, half of 7,540; a lift has a pair of hoists a sling.
    found = ask("sling", **{**SLINGS, "lift_kg": lift})
    assert (found.may, found.not_known) == (may, may is None)
    assert any("more than half its plate" in each for each in found.besides) is (may is None)
    assert any("may be lifted so" in each for each in found.besides) is (may is True)


@pytest.mark.parametrize("within", ["10", "100 %", "-1 %"])
def test_a_share_that_is_none_is_asked_about(within: str) -> None:
    with pytest.raises(ValueError, match="give a share, such as 10 %"):
        ask("sling", **{**SLINGS, "within": within})


@pytest.mark.parametrize("forward", ["1.2 m", "1.1 m"])
def test_the_forward_sling_is_ahead_of_the_aft_one(forward: str) -> None:
    with pytest.raises(ValueError, match="give the forward one's as the larger"):
        ask("sling", **{**SLINGS, "forward_m": forward})


def test_a_sling_s_angle_is_read_with_its_sign_or_without() -> None:
    field = next(field for field in sums()["sling"].fields if field.key == "angle")
    assert field.value("80°") == field.value("80") == field.value("80 deg") == 80
