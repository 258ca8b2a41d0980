"""What the sums about air below say: enough, too little, not known."""

import pytest

from yardwright.sums import sums
from yardwright.sums.sum import Answer


def ask(name: str, **typed: str) -> Answer:
    return sums()[name].answer(typed)


@pytest.mark.parametrize(
    ("opening", "may", "told"),
    # 33 CFR 183.630(d): 10.397 in² for 40 ft³.
    [
        ("10.4 in²", True, "10.4 in²), will do."),
        ("10.39 in²", False, "10.4 in²), is too small."),
        ("", None, "each."),
    ],
)
def test_openings(opening: str, may: bool | None, told: str) -> None:
    found = ask("ventilation", net_m3="40 ft³", opening_cm2=opening)
    assert found.says.startswith("Supply and exhaust need at least 67.1 cm² (10.4 in²) each.")
    assert found.may is may
    assert found.says.endswith(told)
    assert "(600 in²)" in found.besides[1]


def test_a_small_room_needs_more_than_three() -> None:
    # 183.630(e): must exceed 3.0 square inches.
    found = ask("ventilation", net_m3="9 ft³", opening_cm2="3 in²")
    assert "more than 19.4 cm² (3 in²) each" in found.says
    assert found.may is False
    assert ask("ventilation", net_m3="9 ft³", opening_cm2="3.1 in²").may is True


@pytest.mark.parametrize(
    ("rated", "output", "may", "told"),
    # 33 CFR 183.610: 40 ft³ need 60 rated and 24 moved.
    [
        ("60 cfm", "24 cfm", True, ""),
        ("59.9 cfm", "24 cfm", False, "Too little: its rating."),
        ("60 cfm", "23.9 cfm", False, "Too little: what it moves."),
        ("60 cfm", "", None, "Not known: what it moves."),
        ("", "24 cfm", None, "Not known: its rating."),
        ("59 cfm", "", False, "Too little: its rating."),
    ],
)
def test_blower(rated: str, output: str, may: bool | None, told: str) -> None:
    found = ask("blower", net_m3="40 ft³", rated_l_min=rated, output_l_min=output)
    assert (found.may, found.not_known) == (may, may is None)
    assert (found["rated_cfm"], found["output_cfm"]) == pytest.approx((60, 24))
    assert told in " ".join(found.besides)
    assert ("Too little" in " ".join(found.besides)) is (may is False)


def test_four_minutes_and_a_sniff() -> None:
    # 33 CFR 183.610(f): operate blower for 4 minutes and check for gasoline vapors.
    found = ask("blower", net_m3="20 ft³")
    assert found["minutes"] == 4
    assert "Rated 1420 L/min (50 cfm) or more, moving 566 L/min (20 cfm) or more." in found.says
    assert "4 minutes of blower and a sniff in the bilge before cranking" in found.says


@pytest.mark.parametrize("name", ["ventilation", "blower"])
def test_each_has_a_picture_a_caution_and_is_no_lawyer(name: str) -> None:
    one = sums()[name]
    assert "<svg" in one.picture(one.values(one.example())).svg
    assert "sniff low in the bilge" in one.caution
    assert "No legal advice" in one.holds
