"""What the sums about batteries say to a mechanic, and what they never call proven."""

import pytest

from yardwright.sums import batteries, charge, sums
from yardwright.sums.sum import Answer

REST = {"volts_v": "12.45 V", "within_v": "0 V", "temp_c": "80 °F", "rested_h": "8 h"}
FROST = {"temp_c": "80 °F", "night_c": "-20 °C"}
STOOD = {"kind": "flooded", "percent": "100 %", "temp_c": "20 °C"}


def ask(name: str, **typed: str) -> Answer:
    return sums()[name].answer(typed)


@pytest.mark.parametrize("name", [one.name for one in (*charge.SUMS, *batteries.SUMS)])
def test_each_warns_answers_its_example_and_draws(name: str) -> None:
    one = sums()[name]
    assert "Battery acid burns" in one.caution
    assert one.answer(one.example()).says
    assert one.rows()
    assert "<path" in one.picture(one.values(one.example())).svg


def test_charge_names_what_another_chart_says() -> None:
    # The trade's chart has 50 % at 1.190, US Army TM 5-1185 has 25 %.
    typed = {"sg": "1.190", "temp_c": "80 °F"}
    told = ask("charge", **typed)
    assert told.says == (
        "50 % charged by its chart: 1.190 at 80 °F (26.7 °C). "
        "By any chart 25 to 50 %; count on 25 % unless its chart is known."
    )
    assert (told["percent_low"], told["percent_high"]) == pytest.approx((25, 50))
    (other,) = sums()["charge"].by_the_others(typed).values()
    assert isinstance(other, Answer)
    assert other["percent"] == pytest.approx(25)


def test_charge_takes_a_decimal_comma() -> None:
    assert ask("charge", sg="1,190", temp_c="80 F")["percent"] == pytest.approx(50)


def test_rest_volts_count_on_the_lowest_and_never_round_it_up() -> None:
    # Trade association 75 %, the other chart 70 + 10 x 0.09 / 0.10 = 79 %; both by hand.
    assert ask("rest-volts", kind="flooded", **REST).says == "75 to 79 % charged; count on 75 %."
    told = ask("rest-volts", kind="flooded", **{**REST, "volts_v": "12.32 V"})
    # 50 + 25 x 0.08 / 0.21 = 59.5 and 60 + 10 x 0.04 / 0.08 = 65 %; at 12.30 V with a meter that
    # may be 0.05 V off 50 + 25 x 0.01 / 0.21 = 51.2 %.
    assert told.says.startswith("59 to 65 % charged")
    usual = ask("rest-volts", kind="flooded", **{**REST, "volts_v": "12.30 V", "within_v": ""})
    assert usual["percent"] == pytest.approx(51.19, abs=0.01)
    low = ask("rest-volts", kind="flooded", **{**REST, "volts_v": "12.449 V"})
    assert "count on 74 %" in low.says  # 74.9 %


@pytest.mark.parametrize(("rested", "proven"), [("8 h", True), ("7.9 h", False), ("0 h", False)])
def test_an_unrested_battery_proves_nothing(rested: str, proven: bool) -> None:
    told = " ".join(ask("rest-volts", kind="flooded", **{**REST, "rested_h": rested}).besides)
    assert ("Not proven" not in told) is proven


def test_lithium_s_volts_are_not_proven_where_they_are_flat() -> None:
    flat = ask("rest-volts", kind="lifepo4", **{**REST, "volts_v": "13.2 V"})
    assert flat.may is None
    assert flat.says == "40 to 70 % charged by its volts, not proven."  # two public charts
    assert flat.besides[0].startswith("Not proven: from 12.9 to 13.3 V")
    low = ask("rest-volts", kind="lifepo4", **{**REST, "volts_v": "12.8 V"})
    assert not any("Not proven" in each for each in low.besides)
    assert low.besides == (
        "One of its two charts is from memory: nobody has read the page yet.",
        "Not known: what its temperature does to the volts; it is not corrected for.",
    )


@pytest.mark.parametrize("kind", ["flooded", "agm", "lifepo4"])
def test_what_is_not_rested_is_not_counted_on(kind: str) -> None:
    # Lithium just off the charger stands at 14 V and settles to about 13.6; lead keeps a surface charge.
    volts = "13.6 V" if kind == "lifepo4" else "12.6 V"
    fresh = ask("rest-volts", kind=kind, **{**REST, "volts_v": volts, "rested_h": "0 h"})
    assert fresh.says.endswith("by its volts, not proven.")
    assert fresh.besides[0].startswith("Not proven: rested 0 h")
    assert ("of 8 h" in fresh.besides[0]) is (kind != "lifepo4")  # that row is of lead-acid
    rested = ask("rest-volts", kind=kind, **{**REST, "volts_v": volts})
    assert "; count on " in rested.says


def test_a_mild_night_makes_no_flat_battery_fine() -> None:
    # OD1002: 1.100 freezes at 19 °F and 1.050 at 27 °F by the other table; the trade's flat is 1.120.
    told = ask("battery-freezes", sg="1.225", temp_c="80 °F", night_c="20 °F")
    assert "below flat on this chart" in told.says
    assert any("charge it" in each for each in told.besides)
    cold = ask("battery-freezes", sg="1.225", temp_c="80 °F", night_c="-20 °C")
    assert "37 % charged" in cold.says
    assert not any("run right down" in each for each in cold.besides)


def test_a_battery_that_may_be_frozen_is_not_charged() -> None:
    lead = {"kind": "flooded", "sheet_v": "14.4 V", "nominal": "12"}
    assert ask("charge-volts", temp_c="-0.1 °C", **lead).besides[0].startswith("A frozen battery")
    assert not ask("charge-volts", temp_c="0 °C", **lead).besides[0].startswith("A frozen battery")
    assert "frozen battery is never charged" in sums()["charge-volts"].caution


def test_a_flooded_battery_rested_has_no_doubts() -> None:
    assert ask("rest-volts", kind="flooded", **REST).besides == ()
    assert len(ask("rest-volts", kind="agm", **REST).besides) == 1


@pytest.mark.parametrize(
    ("sg", "may", "says"),
    [
        ("1.265", True, "it survives -20.0 °C (-4 °F)"),
        ("1.120", False, "it freezes in -20.0 °C (-4 °F)"),
        # OD1002: -20 °C is 1.1714; a hydrometer 0.005 off decides up to 1.1764.
        ("1.171", False, "it freezes in"),
        ("1.172", None, "it may freeze in"),
        ("1.176", None, "it may freeze in"),
        ("1.177", True, "it survives"),
    ],
)
def test_what_a_night_does(sg: str, may: bool | None, says: str) -> None:
    told = ask("battery-freezes", sg=sg, **FROST)
    assert (told.may, told.not_known) == (may, may is None)
    assert says in told.says
    assert "needs 1.171, 37 % charged" in told.says
    assert any("that decides" in each for each in told.besides) is (may is None)
    assert "never charged or cranked" in told.besides[-1]


def test_a_night_at_the_very_point_freezes_it() -> None:
    # OD1002: 1.200 freezes at -16 °F; the charge that just survives is another matter.
    assert ask("battery-freezes", sg="1.200", temp_c="80 °F", night_c="-16 °F").may is False


def test_plain_water_freezes_and_is_weighed_no_lighter() -> None:
    assert ask("battery-freezes", sg="1.000", temp_c="80 °F", night_c="0 °C").may is False


def test_standing_says_the_range_and_the_next_charge() -> None:
    # By hand: 4 to 6 % a month: 70 to 80 % after five; 25 points at 6 are 4.2 months.
    stood = ask("self-discharge", months="5", **STOOD)
    assert stood.says == (
        "70 to 80 % left after 5 months at 20.0 °C (68 °F); charge it again within 4.2 months."
    )
    assert stood.may is False
    assert ask("self-discharge", months="4", **STOOD).may is True
    assert ask("self-discharge", months="5", keep_percent="60 %", **STOOD).may is True


def test_standing_till_it_may_be_flat() -> None:
    # 20 % a month for five months is all; 3 % leaves 85 %.
    flat = ask("self-discharge", **{**STOOD, "kind": "unknown"}, months="5.5")
    assert flat.says.startswith("It may be flat before 5.5 months are over")
    assert flat.may is False
    assert [told.key for told in flat.numbers] == ["percent_high", "again_months"]
    just = ask("self-discharge", **{**STOOD, "kind": "unknown"}, months="5")
    assert just["percent"] == 0
    assert just.says.startswith("It may be flat")
    dead = ask("self-discharge", **{**STOOD, "kind": "unknown"}, months="40")
    assert [told.key for told in dead.numbers] == ["again_months"]


def test_charging_volts_say_how_far_from_the_sheet() -> None:
    # By hand: 3 mV x 6 x 20 = 0.36 V; 3 cells 0.18 V, 12 cells 0.72 V.
    cold = {"kind": "agm", "temp_c": "5 °C"}
    told = ask("charge-volts", sheet_v="14.4 V", nominal="12", **cold)
    assert told.says == "Charge at 14.76 V at 5.0 °C (41 °F), +0.36 V from its sheet."
    six = ask("charge-volts", sheet_v="7.2 V", nominal="6", **cold)
    assert six["volts_v"] == pytest.approx(7.38)
    day = ask("charge-volts", sheet_v="28.8 V", nominal="24", **cold)
    assert day["volts_v"] == pytest.approx(29.52)


def test_cold_lithium_is_never_charged() -> None:
    lithium = {"kind": "lifepo4", "sheet_v": "14.4 V", "nominal": "12"}
    cold = ask("charge-volts", temp_c="-2 °C", **lithium)
    assert cold.may is False
    assert cold.says.startswith("Do not charge it: its cells are at -2.0 °C (28 °F)")
    assert not cold.numbers
    warm = ask("charge-volts", temp_c="0 °C", **lithium)
    assert warm.may is True
    assert warm["volts_v"] == 14.4


def test_load_limit_says_volts_and_load() -> None:
    # Workshop manuals: 9.3 V at 40 °F, 9.4 V at 50 °F; half of 600 A.
    told = ask("load-limit", temp_c="45 °F", cca_a="600 A")
    assert told.says == "At least 9.35 V with 300 A on for 15 s, at 7.2 °C (45 °F)."
    assert told["limit_6_v"] == pytest.approx(4.675)
    bare = ask("load-limit", temp_c="45 °F")
    assert "half its cold-cranking amps" in bare.says
    assert [one.key for one in bare.numbers] == ["limit_v", "limit_6_v"]
    with pytest.raises(ValueError, match="warm it first"):
        ask("load-limit", temp_c="-1 °F")


@pytest.mark.parametrize(
    ("by", "may"),
    [
        ("cell_spread_most", False),
        ("cell_spread_most_outboard", True),
        ("cell_spread_most_turf", True),
    ],
)
def test_cells_by_three_sources(by: str, may: bool) -> None:
    # 0.028 apart: too far for the Army, not for the other two.
    told = ask("cells", gravities="1.265 1.260 1.237", by=by)
    assert told.may is may
    assert "0.028 apart" in told.says
    assert "cell 3 is lowest, 1.237" in told.says
    assert any("replace it" in each for each in told.besides) is not may


def test_cells_at_the_very_limit_are_within() -> None:
    assert ask("cells", gravities="1.265 1.240").may is True
    assert ask("cells", gravities="1.265 1.239").may is False


def test_cranking_against_what_the_starter_takes() -> None:
    # 750 / 1.3 = 577 A at 0 °F.
    cold = {"rated_a": "750 A", "rating": "mca", "temp_c": "0 °F"}
    unknown = ask("cranking", **cold)
    assert unknown.may is None
    assert unknown.besides[0].startswith("Not known: what the starter takes")
    assert ask("cranking", **cold, need_a="576 A").may is True
    less = ask("cranking", **cold, need_a="578 A")
    assert less.may is False
    assert less.says == (
        "577 A for 30 s at -17.8 °C (0 °F), less than the 578 A it takes; 577 A cold (CCA)."
    )
    plate = ask("cranking", rated_a="750 A", rating="cca", temp_c="0 °F")
    assert plate["cca_a"] == 750


def test_a_pull_that_nobody_measured_is_not_known() -> None:
    # 33 CFR 183.420(a): 32 lb is pulled with 64 lb, 29 kg.
    pulled = ask("battery-pull", kg="32 lb")
    assert pulled.says.startswith("Pull 29.0 kg (64 lb), a minute each way")
    assert pulled.may is None
    assert pulled.besides[0].startswith("Not known: how far it moved")
    assert ask("battery-pull", kg="32 lb", moved_m="1 in").may is True
    moved = ask("battery-pull", kg="32 lb", moved_m="1.2 in")
    assert moved.may is False
    assert moved.besides[0] == "It moved 30 mm (1.20 in.): more than 1 in."


@pytest.mark.parametrize(
    ("name", "typed", "told"),
    [
        ("charge", {"sg": "1265", "temp_c": "80 F"}, r"give it as 1\.265"),
        ("charge", {"sg": "", "temp_c": "80 F"}, "nothing is typed"),
        ("rest-volts", {"kind": "gel", **REST}, "none of flooded, agm, lifepo4"),
        ("rest-volts", {"kind": "unknown", **REST}, "none of flooded"),
        ("cells", {"gravities": "1.265"}, "give each cell"),
    ],
)
def test_what_can_t_be_answered_says_what_to_give(
    name: str, typed: dict[str, str], told: str
) -> None:
    with pytest.raises(ValueError, match=told):
        ask(name, **typed)


def test_a_cold_plate_promises_no_more_than_every_source_makes_of_it() -> None:
    # 600 A cold at 32 °F: 600 x 1.3 = 780 by one source, x 1.2 = 720 by another.
    plate = {"rated_a": "600 A", "rating": "cca", "temp_c": "32 °F"}
    assert ask("cranking", **plate, need_a="719 A").may is True
    between = ask("cranking", **plate, need_a="750 A")
    assert between.may is None
    assert "780 A for 30 s" in between.says
    assert "or 720 A by another source: not surely the 750 A it takes" in between.says
    assert not any(each.startswith("Not known: what the starter") for each in between.besides)
    assert ask("cranking", **plate, need_a="781 A").may is False
    # A marine plate is its amps at 32 °F, whatever the source.
    assert ask("cranking", **{**plate, "rating": "mca"}, need_a="600 A").may is True


@pytest.mark.parametrize("sheet", ["-5 V", "11.9 V", "16.3 V", "28.8 V"])
def test_lifepo4_is_not_charged_at_any_volts(sheet: str) -> None:
    with pytest.raises(ValueError, match="LiFePO4 in their place"):
        ask("charge-volts", kind="lifepo4", sheet_v=sheet, nominal="12", temp_c="20 °C")
