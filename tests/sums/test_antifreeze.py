"""What the sums about antifreeze say to a mechanic, and what they never call proven."""

import pytest

from yardwright.sums import sums
from yardwright.sums.sum import Answer

NIGHT = {"low_c": "-15 °C", "percent": "30 %", "glycol": "propylene"}
READ = {
    "reading_c": "-20.6 °C",
    "scale": "propylene",
    "fluid": "propylene",
    "sample_c": "15 °C",
    "taken": "outlet",
    "low_c": "-15 °C",
}


def ask(name: str, **typed: str) -> Answer:
    return sums()[name].answer(typed)


def test_mix_shows_both_sources_and_promises_the_warmer() -> None:
    # Lange's Handbook, p. 5.85: -7.8 °C halfway between 20 and 25 %. CoolProp 8.0.0 (APG): -8.61.
    mixed = ask("mix", water_l="3 L", fluid_l="9 L", percent="30 %")
    assert (mixed["handbook_c"], mixed["coolprop_c"]) == pytest.approx((-7.8, -8.61), abs=0.01)
    assert mixed["freezes_at_c"] == mixed["handbook_c"]
    assert mixed.says == "22.5 %, freezing near -7.8 °C."
    assert mixed.besides == (
        "Handbook -7.8 °C, CoolProp -8.6 °C: the warmer is promised.",
        "The refractometer at the outlet decides, not this sum.",
    )


def test_mix_of_a_trace_or_of_a_strong_fluid_has_one_source() -> None:
    trace = ask("mix", water_l="9 L", fluid_l="1 L", percent="50 %")
    assert trace["freezes_at_c"] == pytest.approx(-1.1)  # Lange, 5 %
    assert "By the handbook alone, -1.1 °C" in trace.besides[0]
    strong = ask("mix", water_l="1 L", fluid_l="9 L", percent="60 %")
    assert "By CoolProp alone" in strong.besides[0]
    ethylene = ask("mix", water_l="1 L", fluid_l="1 L", percent="100 %", glycol="ethylene")
    assert ethylene["freezes_at_c"] == pytest.approx(-37, abs=0.5)  # half and half, the trade's
    assert "an engine manual prints -35.0 °C" in ethylene.besides[0]  # its table, p. 48


@pytest.mark.parametrize(("low", "may"), [("-7.8 °C", True), ("-7.7 °C", True), ("-7.9 °C", False)])
def test_it_holds_to_the_margin_and_no_further(low: str, may: bool) -> None:
    # Lange: 30 % freezes at -12.8 °C; with 5 °C of margin that holds for -7.8 °C.
    told = ask("freeze-point", **{**NIGHT, "low_c": low}, where="engine")
    assert told.may is may
    assert ("does not hold" in told.says) is not may


def test_fifty_below_on_a_jug_is_never_fifty_below_in_a_block() -> None:
    # A jug says -50 (°F), the night is -15 °C: 30 % freezes at -12.8 °C (Lange), 9 °F.
    block = ask("freeze-point", **NIGHT, where="engine", burst_c="-50 °F")
    assert block.may is False
    assert "freezes at -12.8 °C (9 °F)" in block.says
    assert "no burst rating helps it" in " ".join(block.besides)
    assert "-45.6 °C (-50 °F) on the jug" in " ".join(block.besides)
    hoses = ask("freeze-point", **NIGHT, where="hoses", burst_c="-50 °F")
    assert hoses.may is None
    assert "must agree in writing" in " ".join(hoses.besides)


def test_ethylene_glycol_is_never_for_drinking_water() -> None:
    # It is poison, however well it holds: -37 °C at half and half.
    half = {"glycol": "ethylene", "percent": "50 %", "low_c": "-15 °C"}
    hoses = ask("freeze-point", **half, where="hoses")
    assert hoses.may is False
    assert hoses.says.startswith("Never ethylene glycol in drinking water")
    engine = ask("freeze-point", **half, where="engine")
    assert engine.may is True
    assert "Never" not in engine.says


def test_a_burst_rating_too_warm_helps_no_hose() -> None:
    assert ask("freeze-point", **NIGHT, where="hoses", burst_c="-19.9 °C").may is False
    assert ask("freeze-point", **NIGHT, where="hoses", burst_c="-20 °C").may is None
    assert ask("freeze-point", **NIGHT, where="hoses").may is False
    warm = ask("freeze-point", **{**NIGHT, "low_c": "-5 °C"}, where="hoses", burst_c="-50 °F")
    assert warm.may is True


def test_one_to_three_thinned_is_not_what_the_jug_says() -> None:
    # Story of the trade: a -50 jug (30 %), one part in three of water, is 7.5 %: near -1.6 °C.
    thinned = ask("mix", water_l="3 L", fluid_l="1 L", percent="30 %")
    assert thinned["percent"] == 7.5
    assert thinned["freezes_at_c"] == pytest.approx((-1.1 - 2.2) / 2)  # Lange, 5 and 10 %


def test_push_in_says_litres_and_gallons() -> None:
    # By hand: 3 x 30 / 20 = 4.5 L; a US gallon is 3.785 L.
    pushed = ask("push-in", water_l="3 L", percent="50 %", want_percent="30 %")
    assert pushed.says.startswith("Push in 4.50 L (1.19 gal) of 50 % to make 30 %")
    with pytest.raises(ValueError, match="No amount of 30 % fluid"):
        ask("push-in", water_l="3 L", percent="30 %", want_percent="30 %")


def test_need_takes_the_margin_of_the_yard() -> None:
    # Lange: 40 % freezes at -20.6 °C, 45 % at -26.7 °C.
    assert ask("antifreeze-need", low_c="-20.6 °C", margin="0")["percent"] == pytest.approx(40.0)
    assert ask("antifreeze-need", low_c="-16.7 °C", margin="10")["percent"] == pytest.approx(45.0)
    usual = ask("antifreeze-need", low_c="-20 °C")
    assert usual["percent"] == ask("antifreeze-need", low_c="-20 °C", margin="5")["percent"]
    assert usual.says.startswith("43.6 % propylene glycol")
    for margin in ("-1", "31"):
        with pytest.raises(ValueError, match="0 to 30"):
            ask("antifreeze-need", low_c="-20 °C", margin=margin)
        with pytest.raises(ValueError, match="0 to 30"):
            ask("freeze-point", **NIGHT, where="engine", margin=margin)


def test_a_good_reading_proves() -> None:
    good = ask("refractometer", **READ)
    assert good.may is True
    assert good["percent"] == pytest.approx(40.0)  # Lange: -20.6 °C
    assert good["must_c"] == -20
    assert ask("refractometer", **{**READ, "reading_c": "-20 °C"}).may is True
    weak = ask("refractometer", **{**READ, "reading_c": "-19.9 °C"})
    assert weak.may is False
    assert "not good for a night" in weak.says


@pytest.mark.parametrize(
    ("wrong", "told"),
    [
        ({"scale": "ethylene"}, "the fluid is propylene glycol and the scale that of ethylene"),
        ({"fluid": "ethanol"}, "a blend with ethanol can't be read"),
        ({"fluid": "unknown"}, "nobody knows what the fluid is made from"),
        ({"sample_c": "9 °C"}, "outside 10 to 30 °C"),
        ({"sample_c": "31 °C"}, "outside 10 to 30 °C"),
        ({"taken": "elsewhere"}, "poured, not proven"),
    ],
)
def test_a_doubtful_reading_is_not_proven(wrong: dict[str, str], told: str) -> None:
    doubtful = ask("refractometer", **{**READ, **wrong})
    assert (doubtful.may, doubtful.not_known) == (None, True)
    assert doubtful.says.startswith("Not proven")
    assert told in doubtful.says


def test_the_ends_of_its_range_are_within_it() -> None:
    for sample in ("10 °C", "30 °C"):
        assert ask("refractometer", **{**READ, "sample_c": sample}).may is True


def test_too_weak_is_no_whatever_else_is_doubtful() -> None:
    weak = ask("refractometer", **{**READ, "reading_c": "-10 °C", "taken": "elsewhere"})
    assert (weak.may, weak.not_known) == (False, False)
    assert "too weak even if the reading is right" in " ".join(weak.besides)
    both = ask("refractometer", **{**READ, "fluid": "ethanol", "taken": "elsewhere"})
    assert both.may is None
    assert any(words.startswith("Also, the sample was not taken") for words in both.besides)


@pytest.mark.parametrize(
    "name", ["mix", "freeze-point", "push-in", "antifreeze-need", "refractometer"]
)
def test_each_has_a_picture_a_caution_and_its_sources(name: str) -> None:
    one = sums()[name]
    assert "<svg" in one.picture(one.values(one.example())).svg
    assert "poisons people" in one.caution
    assert one.rows()


def test_a_weak_ethylene_reading_is_under_ten_percent_and_no_more_is_known() -> None:
    # CoolProp's ethylene glycol begins at 10 %, which freezes at -3.62 °C.
    engine = {**READ, "scale": "ethylene", "fluid": "ethylene"}
    for reading in ("-0.1 °C", "-3.6 °C"):
        weak = ask("refractometer", **{**engine, "reading_c": reading})
        assert [told.key for told in weak.numbers] == ["must_c"]
        assert weak.besides == ("By that scale under 10 % glycol: how much is not known.",)
        assert weak.may is False
    known = ask("refractometer", **{**engine, "reading_c": "-3.65 °C"})
    assert known["percent"] == pytest.approx(10.1, abs=0.1)
    assert known.besides == ()
    # Lange, Table 5.13: propylene glycol of 5 % freezes at -1.1 °C, so that is known.
    assert ask("refractometer", **{**READ, "reading_c": "-1.1 °C"})["percent"] == pytest.approx(5)


def test_plain_water_at_the_outlet_is_told_not_refused() -> None:
    water = ask("refractometer", **{**READ, "reading_c": "32 °F"})
    assert water.may is False
    assert water["percent"] == 0
    assert water.says.startswith("Freezes at 0.0 °C (32 °F): not good for a night of -15.0 °C")
