"""What the sums about water coming in say; a pump is never proven by its box."""

import pytest

from yardwright.sums import sums
from yardwright.sums.sum import Answer

HOLE = {"bore_m": "2 in", "head_m": "1 ft"}
PUMP = {"printed_l_min": "1000 gal/h", "lift_m": "3 ft"}


def ask(name: str, **typed: str) -> Answer:
    return sums()[name].answer(typed)


def test_inflow_counts_on_the_high_end() -> None:
    # Voyaging magazine: 47 gal/min for a bare hole; a fitting 0.8 / 0.6 of that.
    found = ask("inflow", **HOLE)
    assert found.says == (
        "Between 178 L/min (47.1 gal/min) and 238 L/min (62.8 gal/min); "
        "count on 238 L/min (62.8 gal/min)."
    )
    assert found["high_l_min"] == pytest.approx(found["low_l_min"] * 8 / 6)
    assert found["high_gal_min"] == pytest.approx(47.13 * 8 / 6, abs=0.01)


def test_minutes_by_the_high_end_and_at_best() -> None:
    # By hand: 448.8 gal; 62.84 gal/min less 16.67 are 46.17: 9.72 min; at best 14.7.
    found = ask("minutes", room_l="448.8 gal", **HOLE, out_l_min="1000 gal/h")
    assert (found["minutes"], found["minutes_long"]) == pytest.approx((9.72, 14.73), abs=0.01)
    assert "9.7 min until she is full" in found.says
    assert "at best 14.7 min" in found.says
    assert "proven by a bucket" in found.besides[0]


def test_no_pump_is_no_pump() -> None:
    unknown = ask("minutes", room_l="448.8 gal", **HOLE)
    none = ask("minutes", room_l="448.8 gal", **HOLE, out_l_min="0")
    assert unknown["minutes"] == none["minutes"] == pytest.approx(448.8 / 62.84, abs=0.01)
    assert "No pump was counted" in unknown.besides[0]
    assert "The pump counts with 0 L/min" in none.besides[0]


def test_a_pump_that_keeps_up_is_still_no_promise() -> None:
    strong = ask("minutes", room_l="448.8 gal", **HOLE, out_l_min="300 L/min")
    assert strong.says.startswith("The pump keeps up, for as long as its battery lasts")
    assert strong.numbers == ()
    assert strong.may is None
    between = ask("minutes", room_l="448.8 gal", **HOLE, out_l_min="200 L/min")
    assert [told.key for told in between.numbers] == ["minutes"]
    assert "at best" not in between.says
    with pytest.raises(ValueError, match="give 0 or more"):
        ask("minutes", room_l="448.8 gal", **HOLE, out_l_min="-1")


def test_the_least_rule_is_taken_unless_the_yard_chooses() -> None:
    # The cruising teacher: 5 gal/min with corrugated hose, 8.5 with smooth.
    found = ask("pump", **PUMP)
    assert (
        found.says == "Of 63.1 L/min (16.7 gal/min) printed it moves about 18.9 L/min (5 gal/min)."
    )
    assert found.may is None
    others = sums()["pump"].by_the_others(PUMP)
    assert len(others) == 3
    assert any("not known" in told for told in others.values() if isinstance(told, str))


def test_the_curve_of_a_pump_is_its_most() -> None:
    # By hand: 1000 gal/h x sqrt(1 - 3 / 12) = 866 gal/h = 14.4 gal/min, in no hose at all.
    curve = ask("pump", **PUMP, shutoff_m="12 ft", by="pump_by_shutoff_head")
    assert curve["real_gal_min"] == pytest.approx(14.43, abs=0.01)
    assert "at most, without hose, bends and low volts, 54.6 L/min" in curve.says
    assert "moves about" in ask("pump", **PUMP).says


@pytest.mark.parametrize(("inflow", "may"), [("5 gal/min", False), ("4.9 gal/min", None)])
def test_a_rule_can_say_no_and_never_yes(inflow: str, may: bool | None) -> None:
    found = ask("pump", **{**PUMP, "inflow_l_min": inflow})
    assert found.may is may
    assert ("she fills" in found.says) is (may is False)
    assert ("That is more than" in found.says) is (may is None)


@pytest.mark.parametrize(
    ("inflow", "may"), [("18.75 gal/min", False), ("18.7 gal/min", True), ("", None)]
)
def test_a_bucket_says_both(inflow: str, may: bool | None) -> None:
    # By hand: 5 gal in 16 s are 18.75 a minute, 1,125 an hour.
    found = ask("bucket-test", bucket_l="5 gal", bucket_s="16 s", inflow_l_min=inflow)
    assert found.may is may
    assert found["real_gal_h"] == pytest.approx(1125)
    assert found["real_gal_min"] == pytest.approx(18.75)
    assert found.says.startswith("It moves 71 L/min (18.8 gal/min).")


@pytest.mark.parametrize(
    ("name", "given"), [("pump", PUMP), ("bucket-test", {"bucket_l": "5 gal", "bucket_s": "16 s"})]
)
def test_no_water_comes_in_below_nothing(name: str, given: dict[str, str]) -> None:
    with pytest.raises(ValueError, match=r"^-1 L/min come in; give 0 or more\.$"):
        ask(name, **given, inflow_l_min="-1 L/min")
    assert "coming in" in ask(name, **given, inflow_l_min="0 L/min").says


@pytest.mark.parametrize("name", ["inflow", "minutes", "pump", "bucket-test"])
def test_each_has_a_picture_and_a_caution(name: str) -> None:
    one = sums()[name]
    assert "<svg" in one.picture(one.values(one.example())).svg
    assert "stopped at the hole first" in one.caution
