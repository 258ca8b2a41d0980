"""What the sums about fuel say, and that what is not known is never fit."""

import pytest

from yardwright import refdata
from yardwright.sums import sums
from yardwright.sums.sum import Answer

TANK = {"fuel_l": "25 gal", "warm_c": "60 °F", "cold_c": "20 °F"}
OLD = {"filled": "2030-09-20", "today": "2031-04-10", "kind": "e10", "stabilised": "no"}


def ask(name: str, **typed: str) -> Answer:
    return sums()[name].answer(typed)


def test_a_tank_over_a_cold_night() -> None:
    # Trade articles on the EPA memo: 70 teaspoons of 95 stay in 25 gallons at 20 °F.
    told = ask("fuel-water", **TANK)
    assert told.says == "95 L (25 gal) of E10 hold 0.345 L (11.7 fl oz) of water at -7 °C (20 °F)."
    assert told["freed_l"] == pytest.approx(0.123, abs=0.0005)
    assert "frees 0.123 L" in told.besides[0]
    assert told.may is None
    assert "draw a sample from the lowest point" in told.besides[1]


def test_more_than_the_settled_share_is_drained() -> None:
    # A filter maker's 0.3 % of 94.6 L is 0.284 L.
    little = ask("fuel-water", **TANK, found_l="0.283 L")
    assert little.may is None  # less than the bound may still lie in a layer
    assert "clear sample" in little.besides[1]
    much = ask("fuel-water", **TANK, found_l="0.285 L")
    assert much.may is False
    assert "drain it" in much.besides[1]
    with pytest.raises(ValueError, match="water found is -1"):
        ask("fuel-water", **TANK, found_l="-1 L")


def test_a_source_without_temperature_says_so() -> None:
    flat = ask("fuel-water", **TANK, by="e10_separates_at")
    assert "one number for all temperatures" in flat.besides[0]
    assert flat["held_l"] == pytest.approx(0.2839, abs=0.0001)
    others = sums()["fuel-water"].by_the_others(TANK)
    assert len(others) == 2


@pytest.mark.parametrize(
    ("changed", "may", "told"),
    [
        ({"today": "2030-11-19"}, True, "60 days old: fit"),
        ({"today": "2030-11-20"}, None, "61 days old: the owner decides"),
        ({"today": "2030-12-20"}, False, "91 days old: drain it"),
        ({"stabilised": "yes"}, True, "202 days old: fit"),
        ({"kind": "e0", "today": "2031-03-22"}, True, "183 days old: fit"),
        ({"kind": "e0"}, False, "202 days old: drain it"),
        ({"kind": "diesel"}, None, "202 days old: the owner decides"),
    ],
)
def test_age(changed: dict[str, str], may: bool | None, told: str) -> None:
    # A yard quoted in a forum (60 to 90 days); the trade (six months, twelve when stabilised).
    answer = ask("fuel-age", **{**OLD, **changed})
    assert answer.may is may
    assert answer.says.startswith(told)


def test_not_known_is_taken_for_the_worse() -> None:
    unknown = ask("fuel-age", **{**OLD, "kind": "unknown", "stabilised": "unknown"})
    assert unknown.may is False
    assert unknown.besides[:2] == (
        "Which petrol is not known: judged as with ethanol.",
        "Stabiliser is not known: judged as without.",
    )
    assert "water and growth" in ask("fuel-age", **{**OLD, "kind": "diesel"}).besides[0]


def test_weight_says_from_where_to_where() -> None:
    # By hand: 55 gallons at 6.1 lb are 335.5 lb, 152 kg; at 0.74 kg/L 154 kg.
    drum = ask("fuel-weight", fuel_l="55 gal", kind="petrol")
    assert drum["low_lb"] == pytest.approx(335.5)
    assert drum.says == "208 L (55 gal) of petrol weigh 152 to 154 kg (336 to 340 lb)."
    diesel = ask("fuel-weight", fuel_l="1 gal", kind="diesel")
    assert (diesel["low_lb"], diesel["lb"]) == pytest.approx((7.0, 7.1))
    assert diesel["kg"] > diesel["low_kg"]


def test_where_vapour_burns_stands_once_and_the_lowest_is_used() -> None:
    # A medical page 1.1 %, a fire journal of 1965 1.3 %, NIOSH's guide 1.4 %.
    found = refdata.rivals("fuel", "petrol_vapour_burns_from").values()
    figures = [row.value for row in found if isinstance(row, refdata.Datum)]
    assert figures == [1.1, 1.3, 1.4]
    assert not [key for key in refdata.rows("air") if "vapour" in key]


@pytest.mark.parametrize("name", ["fuel-water", "fuel-age", "fuel-weight"])
def test_each_has_a_picture_a_caution_and_its_sources(name: str) -> None:
    one = sums()[name]
    assert "<svg" in one.picture(one.values(one.example())).svg
    assert "explodes from 1.1 %" in one.caution  # the lowest of three sources: a medical page
    assert one.rows()


def test_a_picture_of_fuel_of_any_age() -> None:
    age = sums()["fuel-age"]
    drawn = age.picture(age.values({**OLD, "today": "2033-04-10"}))
    assert drawn.sentence == "933 days old: drain it."
    fit = age.picture(age.values({**OLD, "today": "2030-09-21"}))
    assert fit.sentence.startswith("1 days old: fit")


def test_a_source_without_temperature_says_nothing_of_cooling() -> None:
    one = {"fuel_l": "25 gal", "warm_c": "60 °F", "cold_c": "20 °F"}
    assert ask("fuel-water", **one)["freed_l"] > 0
    without = ask("fuel-water", **one, by="e10_holds_water_measured")
    assert "freed_l" not in [told.key for told in without.numbers]


def test_as_much_water_as_is_taken_for_separated_is_too_much() -> None:
    # 0.3 % of 1000 L.
    tank = {"fuel_l": "1000 L", "warm_c": "60 °F", "cold_c": "20 °F"}
    assert ask("fuel-water", **tank, found_l="3 L").may is False
    assert ask("fuel-water", **tank, found_l="2.999 L").may is None
