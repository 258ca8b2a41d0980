"""What the sums about wiring say to a mechanic, and where they say no."""

import pytest

from yardwright.sums import sums, wiring
from yardwright.sums.sum import Answer

PUMP = {"current_a": "10 A", "length_m": "21 ft", "volts_v": "12 V"}
LAID = {"insulation": "105", "engine": "no"}
BATTERY = {"size": "14", "insulation": "60", "engine": "no", "volts_v": "12 V"}
AWG = "copper_area_awg"


def ask(name: str, **typed: str) -> Answer:
    return sums()[name].answer(typed)


@pytest.mark.parametrize("name", [one.name for one in wiring.SUMS])
def test_each_warns_answers_its_example_and_draws(name: str) -> None:
    one = sums()[name]
    assert "Shore power (120 or 240 V) kills" in one.caution
    assert "negative off first" in one.caution
    assert one.answer(one.example()).says
    assert one.rows()
    assert "<path" in one.picture(one.values(one.example())).svg


def test_a_pump_s_wire_by_both_tables_of_copper() -> None:
    # A supplier's sheet: 12 AWG is the correct choice, with SAE wire 10 must be used. 1.5 x 60 A.
    told = ask("wire", **PUMP, loss="3", **LAID)
    assert told.says.startswith("10 AWG (4.7 mm² of copper), fuse at most 90.0 A")
    (other,) = sums()["wire"].by_the_others({**PUMP, "loss": "3", **LAID}).values()
    assert isinstance(other, Answer)
    assert other.says.startswith("12 AWG (3.3 mm² of copper), fuse at most 67.5 A")
    # The catalogue of another: at 10 % 16 AWG.
    assert ask("wire", **PUMP, loss="10", **LAID, by=AWG).says.startswith("16 AWG")


def test_amps_decide_where_the_wire_is_short() -> None:
    # A refrigeration maker's page: 24 V, 100 A, 10 ft takes 6 AWG; in an engine space 6 carries 102 A.
    short = {"current_a": "100 A", "length_m": "10 ft", "volts_v": "24 V", "loss": "3", "by": AWG}
    assert ask("wire", **short, **LAID).says.startswith("6 AWG")
    hot = ask("wire", **short, insulation="105", engine="yes")
    assert hot.says.startswith("6 AWG")
    assert hot["allowed_a"] == pytest.approx(102)
    tight = {**short, "current_a": "103 A"}
    assert ask("wire", **tight, insulation="105", engine="yes").says.startswith("4 AWG")


def test_a_bundle_counts_on_shore_power_only() -> None:
    # 33 CFR 183.435(b): five wires at 120 V carry 0.60 of 35 A (14 AWG, 105 °C), fuse 21 A.
    at_120 = ask("ampacity", size="14", **LAID, volts_v="120 V", bundled="5")
    assert at_120["allowed_a"] == pytest.approx(21)
    assert ask("ampacity", size="14", **LAID, volts_v="12 V", bundled="5")["allowed_a"] == 35
    assert ask("ampacity", size="14", **LAID, volts_v="120 V")["allowed_a"] == 35
    with pytest.raises(ValueError, match="give a whole number"):
        ask("ampacity", size="14", **LAID, volts_v="120 V", bundled="2.5")


def test_ampacity_says_where() -> None:
    # 33 CFR 183.425: 45 A x 0.85.
    hot = ask("ampacity", size="12", insulation="105", engine="yes", volts_v="12 V")
    assert hot.says == "12 AWG, 105 °C, may carry 38.2 A in an engine space."
    assert hot["allowed_a"] == pytest.approx(38.25)
    cool = ask("ampacity", size="12", **LAID, volts_v="12 V")
    assert cool.says == "12 AWG, 105 °C, may carry 45.0 A outside engine spaces."


def test_a_loss_within_and_beyond() -> None:
    # By hand: 10.75 x 10 x 21 / 6530 = 0.346 V, 2.9 %; SAE 5833: 0.387 V, 3.2 %.
    full = ask("wire-drop", size="12", **PUMP, loss="3", by=AWG)
    assert full.may is True
    assert full.says == "0.35 V is lost, 2.9 %: within 3 %, with 11.65 V left."
    sae = ask("wire-drop", size="12", **PUMP, loss="3")
    assert sae.may is False
    assert "3.2 %: more than 3 %" in sae.says
    assert ask("wire-drop", size="12", **PUMP, loss="10").may is True
    assert (sae["lost_v"] + sae["left_v"]) == pytest.approx(12)


def test_a_wire_that_can_t_carry_it_so_far() -> None:
    with pytest.raises(ValueError, match=r"16 AWG can't carry 100 A so far.* take a larger"):
        ask("wire-drop", size="16", current_a="100 A", length_m="100 ft", volts_v="12 V", loss="3")
    with pytest.raises(ValueError, match="at most 600 V"):
        ask("wire-drop", size="16", current_a="1 A", length_m="1 m", volts_v="0 V", loss="3")


@pytest.mark.parametrize(
    ("from_m", "sheathed", "may"),
    [
        ("7 in", "no", True),
        ("8 in", "no", False),
        ("36 in", "no", False),
        ("36 in", "yes", True),
        ("41 in", "yes", False),
    ],
)
def test_where_a_fuse_may_sit(from_m: str, sheathed: str, may: bool) -> None:
    # 33 CFR 183.455: 14 AWG, 60 °C: 20 A, 150 % is 30 A; 7 in., in a sheath 40 in.
    told = ask("fuse", **BATTERY, from_m=from_m, sheathed=sheathed)
    assert told.may is may
    assert told["fuse_a"] == pytest.approx(30)
    assert told.says.startswith("Fuse at most 30.0 A")
    assert ("178 mm (7 in.)" in told.says) is (sheathed == "no")
    assert ("1016 mm (40 in.)" in told.says) is (sheathed == "yes")
    assert ("too far along the wire" in told.says) is not may


def test_a_fuse_on_shore_power() -> None:
    shore = {**BATTERY, "volts_v": "120 V"}
    told = ask("fuse", **shore, from_m="0 in", sheathed="no")
    assert told["fuse_a"] == 20
    assert any("next standard size" in each for each in told.besides)
    low = ask("fuse", **BATTERY, from_m="0 in", sheathed="no")
    assert not any("next standard size" in each for each in low.besides)


def test_the_fuse_is_drawn_to_scale() -> None:
    one = sums()["fuse"]

    def place(from_m: str) -> float:
        typed = {**BATTERY, "from_m": from_m, "sheathed": "yes"}
        svg = one.picture(one.values(typed)).svg
        return float(svg.split('<circle cx="')[1].split('"')[0])

    # Twice as far from the source is drawn twice as far from it.
    source = place("0 in")
    assert place("20 in") - source == pytest.approx(2 * (place("10 in") - source), abs=0.2)


def test_no_wire_is_said_so() -> None:
    with pytest.raises(ValueError, match="no wire up to 4/0 will do"):
        ask("wire", current_a="400 A", length_m="100 ft", volts_v="12 V", loss="3", **LAID)
