"""What the sums about papers and waste say: yes, no, and ask."""

from datetime import date

import pytest

from yardwright.sums import sums
from yardwright.sums.sum import Answer


def ask(name: str, **typed: str) -> Answer:
    return sums()[name].answer(typed)


def drawn(name: str, **typed: str) -> str:
    one = sums()[name]
    return one.picture(one.values({**one.example(), **typed})).svg


def test_a_hull_number_that_reads_well() -> None:
    # 33 CFR 181.25: January of a year ending in 6, model year 26.
    found = ask("hull-number", number="ABC12345A626")
    assert found.may is True
    assert found.says == ("Reads well: maker ABC, serial 12345, begun 2026-01, model year 2026.")
    assert (found["month"], found["year"], found["model_year"], found["faults"]) == (
        1,
        2026,
        2026,
        0,
    )
    assert "It has the present form." in found.besides
    assert found.besides[-1] == "The hidden second number must say the same."


def test_a_letter_is_shown_and_never_mended() -> None:
    found = ask("hull-number", number="US-ABCI2345A626")
    assert found.may is False
    assert found.says == "ABCI2345A626 is no hull number as it stands."
    assert found.besides[0] == "Place 4: I is never used here; it looks like 1."
    assert "Country in front: US." in found.besides
    assert [told.key for told in found.numbers] == ["faults"]
    assert found["faults"] == 1


def test_what_cannot_be_decided_is_asked() -> None:
    found = ask("hull-number", number="ABC12345A126")
    assert found.may is None
    assert found.says == "ABC12345A126: this can't be decided from the number alone."
    assert "year" not in [told.key for told in found.numbers]
    assert found["model_year"] == 2026


def test_an_old_form_has_no_model_year_to_tell() -> None:
    # A boat magazine's reprint: 1272 is December 1972.
    found = ask("hull-number", number="ABC123451272")
    assert found.says == "Reads well: maker ABC, serial 12345, begun 1972-12."


def test_the_drawing_has_a_box_for_each_place_and_hatches_the_wrong_one() -> None:
    good, bad = drawn("hull-number"), drawn("hull-number", number="ABCI2345A626")
    assert good.count("<rect") == bad.count("<rect") == 12
    assert good.count("--red") == 0
    assert bad.count("--red") == 2  # its frame and its hatching
    for words in ("maker", "serial", "month", ">year<", "model"):
        assert words in good
    old = drawn("hull-number", number="ABC12345M80K")
    assert old.index("model year") < old.index(">month<")
    four = drawn("hull-number", number="ABC123451272")
    assert four.index(">month<") < four.index(">year<")
    assert drawn("hull-number", number="ABC1234").count("<rect") == 7
    assert drawn("state-number", number="NH 1234 BO").count("--red") == 2


def test_state_number() -> None:
    # 33 CFR 174.23: NH 1234 BD; never I, O, Q at the end.
    assert ask("state-number", number="nh-1234-bd").says == "Reads well: NH 1234 BD."
    assert ask("state-number", number="NH 1234 BD").may is True
    wrong = ask("state-number", number="NH 1234 BO")
    assert wrong.may is False
    assert wrong.says == "NH 1234 BO is no state number as it stands."
    assert wrong.besides[0].startswith("Place 8: O is never used here")


@pytest.mark.parametrize(
    ("made", "on", "by", "may"),
    [
        # ACN 002/22: made 2013 is usable to 31 December 2025.
        ("2013", "2025-12-31", "", True),
        ("2013", "2026-01-01", "", False),
        ("13", "2025-12-31", "", True),
        # The label is stricter with a whole date; the yard may choose the message.
        ("2013-03-04", "2025-03-04", "", True),
        ("2013-03-04", "2025-03-05", "", False),
        ("2013-03-04", "2025-03-05", "extinguisher_life_end_of_year", True),
    ],
)
def test_extinguisher(made: str, on: str, by: str, may: bool) -> None:
    found = ask("extinguisher", made=made, on=on, by=by)
    assert found.may is may
    assert found.says.startswith("Good until" if may else "Out since")
    assert (found["days_left"] >= 0) is may


@pytest.mark.parametrize("made", ["soon", "201", "2013-13-01"])
def test_an_extinguisher_of_no_year(made: str) -> None:
    with pytest.raises(ValueError, match="is no year; write it as 2014"):
        ask("extinguisher", made=made, on="2026-01-01")


@pytest.mark.parametrize(
    ("marked", "on", "may", "told"),
    [
        # 46 CFR 160.036-5(b): at most 42 months: June 2023 gives December 2026.
        ("2026-12", "2026-12-31", True, "It counts until 31 Dec 2026."),
        ("2026-12", "2027-01-01", False, "It no longer counts after 31 Dec 2026"),
        ("2026-09", "2026-10-01", False, "It no longer counts after 30 Sep 2026"),
        ("", "2026-12-31", None, "Ask: no mark was read. By its age it can't count after 31 Dec"),
        ("", "2027-05-01", False, "It no longer counts after 31 Dec 2026"),
        ("2027-01", "2026-12-31", True, "It counts until 31 Dec 2026."),
    ],
)
def test_flares(marked: str, on: str, may: bool | None, told: str) -> None:
    found = ask("flares", made="2023-06", marked=marked, on=on)
    assert found.may is may
    assert found.says.startswith(told)
    assert ("later than the law allows" in " ".join(found.besides)) is (marked == "2027-01")


@pytest.mark.parametrize("made", ["2023", "June 2023", "2023-6-1"])
def test_a_flare_of_no_month(made: str) -> None:
    with pytest.raises(ValueError, match="is no month; write it as 2023-06"):
        ask("flares", made=made, on="2026-01-01")


def test_dates_are_drawn() -> None:
    assert "made 2014" in drawn("extinguisher")
    assert "last day 31 Dec 2026" in drawn("extinguisher")
    assert "made 2013-03-04" in drawn("extinguisher", made="2013-03-04")
    assert "last day 30 Sep 2026" in drawn("flares", marked="2026-09")
    assert "last day 31 Dec 2026" in drawn("flares", marked="")
    assert "set aside 3 Nov 2025" in drawn("battery-waste")


def test_a_drum_of_bad_petrol_makes_a_small_generator() -> None:
    # By hand: 55 gal = 208.2 L at 0.74 kg/L, heavier than 6.1 lb a gallon: 154.1 kg, over 100 kg.
    found = ask("waste", kg="0 kg", petrol_l="55 gal")
    assert found.says == "154 kg (340 lb) this month: small quantity generator."
    assert found["left_kg"] == pytest.approx(1000 - 154.06, abs=0.05)
    assert "Gone within 180 days, 270 if over 200 miles." in found.besides
    assert "It may hold 6000 kg" in found.besides[0]
    # 30 gal are 84 kg: still very small.
    assert "very small" in ask("waste", kg="0 kg", petrol_l="30 gal").says


@pytest.mark.parametrize(("held", "may"), [("1000 kg", None), ("1000.1 kg", False), ("", None)])
def test_what_is_held(held: str, may: bool | None) -> None:
    found = ask("waste", kg="60 kg", held_kg=held)
    assert found.may is may
    assert ("too much: have it fetched" in " ".join(found.besides)) is (may is False)
    assert found["left_kg"] == 40
    assert "Gone within" not in " ".join(found.besides)


def test_a_large_generator_counts_days() -> None:
    found = ask("waste", kg="1000 kg", held_kg="9000 kg")
    assert "Gone within 90 days." in found.besides
    assert "left_kg" not in [told.key for told in found.numbers]
    assert found.may is None
    assert "large quantity generator" in ask("waste", kg="5 kg", acute_kg="1.1 kg").says
    for wrong in ({"petrol_l": "-1"}, {"held_kg": "-1"}):
        with pytest.raises(ValueError, match="give 0 or more"):
            ask("waste", kg="1 kg", **wrong)


@pytest.mark.parametrize(
    ("drums", "tanks", "may"),
    # 40 CFR 112.1(d): 24 x 55 = 1,320 is exempt, 25 are not; under 55 does not count.
    [
        ("24", "", None),
        ("25", "", False),
        ("24", "54 30 gal", None),
        ("24", "55 gal", False),
        ("0", "275 500 gal", None),
    ],
)
def test_oil(drums: str, tanks: str, may: bool | None) -> None:
    found = ask("oil-storage", drums=drums, tanks_l=tanks)
    assert found.may is may
    assert ("a spill plan is needed" in found.says) is (may is False)
    assert found["left_gal"] == pytest.approx(1320 - found["oil_gal"])


@pytest.mark.parametrize("drums", ["-1", "1.5", "1001"])
def test_drums_are_whole(drums: str) -> None:
    with pytest.raises(ValueError, match="give a whole number, 0 to 1000"):
        ask("oil-storage", drums=drums)


@pytest.mark.parametrize(("on", "may"), [("2026-11-03", True), ("2026-11-04", False)])
def test_a_spent_battery_leaves_within_the_year(on: str, may: bool) -> None:
    # 40 CFR 273.15(a).
    found = ask("battery-waste", aside="2025-11-03", on=on)
    assert found.may is may
    assert found.says.startswith("It must leave by 3 Nov 2026.")
    assert ("That day is past" in found.says) is not may
    assert date(*(int(found[part]) for part in ("year", "month", "day"))) == date(2026, 11, 3)


@pytest.mark.parametrize(
    "name",
    [
        "hull-number",
        "state-number",
        "extinguisher",
        "flares",
        "waste",
        "oil-storage",
        "battery-waste",
    ],
)
def test_each_has_a_picture_its_sources_and_is_no_lawyer(name: str) -> None:
    one = sums()[name]
    assert "<svg" in drawn(name)
    assert one.rows()
    assert "No legal advice" in one.holds


def test_a_two_figure_year_is_not_taken_for_one_to_come() -> None:
    # Read as 2095 an extinguisher of 1995 would count until 2107.
    with pytest.raises(ValueError, match="made 95 would be 2095, after 1 Jan 2026; give all four"):
        ask("extinguisher", made="95", on="2026-01-01")
    assert ask("extinguisher", made="1995", on="2026-01-01").may is False
    assert ask("extinguisher", made="26", on="2026-01-01").may is True


@pytest.mark.parametrize("made", ["2026-02", "2033-06"])
def test_a_flare_made_after_the_day_that_counts_is_asked_about(made: str) -> None:
    with pytest.raises(ValueError, match="after 31 Jan 2026"):
        ask("flares", made=made, marked="2026-12", on="2026-01-31")
