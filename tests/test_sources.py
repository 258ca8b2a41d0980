"""docs/sources.md says what the checks say, and no sum goes unchecked."""

from docs.make_sources import BY_HAND, PAGE, by_hand_alone, checks, page, unchecked
from yardwright.sums import sums


def test_the_page_is_as_the_checks_are() -> None:
    assert PAGE.read_text(encoding="utf-8") == page(), "Write it anew: ./dev sources"


def test_every_sum_is_checked() -> None:
    assert unchecked() == set()


def test_a_row_says_whose_answer_it_is_and_how_far_ours_is_off() -> None:
    # Lange's Handbook, 15th ed., table 5.13, p. 5.85: half of -6.7 and -8.9 °C is -7.8 °C.
    (row,) = [row for row in page().splitlines() if "Lange" in row and "9 L" in row]
    asked, source, theirs, _, off, rounding = [cell.strip() for cell in row.strip("|").split("|")]
    assert asked.endswith("?")
    assert source.endswith("p. 5.85")
    assert (theirs, off, rounding) == ("-7.8 °C", "0", "0.05")


def test_every_check_is_of_a_sum_and_within_a_rounding() -> None:
    for check in checks():
        assert check.sum in sums()
        assert check.within >= 0
        assert check.source.strip()


def test_what_is_worked_by_hand_says_so_first() -> None:
    by_hand = [one.source for one in checks() if "by hand" in one.source.lower()]
    # A printed table read between its rows is the printer's answer, not the sum's own formula.
    assert [one for one in by_hand if not one.startswith((BY_HAND, "Lange's Handbook"))] == []
    count = sum(one.startswith(BY_HAND) for one in by_hand)
    assert f"{count} of the {len(checks())} rows of the sums are *by hand*" in page()


def test_no_more_sums_are_checked_by_hand_alone() -> None:
    # Nobody was found who prints these: a bucket, a calendar, a pushed-in litre, a cooled housing.
    assert by_hand_alone() == {"bucket-test", "fuel-age", "gear-test", "push-in"}
    for name in by_hand_alone():
        assert f"`{name}`" in page().partition("## ")[0]
