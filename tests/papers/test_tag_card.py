"""Cards to hang on boats."""

from datetime import date

import pytest

from yardwright.papers.paper import MissingLetterError, Paper
from yardwright.papers.tag_card import TagCard, tag_cards

DAY = date(2031, 5, 6)


def cards(many: int) -> list[TagCard]:
    return [TagCard(f"Boat {n}", "TEA", f"http://heron.local/{n}/") for n in range(many)]


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize(("many", "pages"), [(1, 1), (8, 1), (9, 2), (17, 3)])
def test_eight_to_a_page(paper: Paper, many: int, pages: int) -> None:
    pdf = tag_cards("Heron Slip", cards(many), DAY, paper)
    assert f"<xmpTPg:NPages>{pages}<".encode() in pdf
    assert pdf.count(b"Square code: opens http://heron.local/") == many


def test_a_long_name_stays_on_its_card() -> None:
    long = TagCard("The Honourable Member for Heron Slip", "HON", "http://heron.local/hon/")
    pdf = tag_cards("Heron Slip", [long, *cards(7)], DAY, Paper.LETTER)
    assert b"<xmpTPg:NPages>1<" in pdf


def test_no_card_is_no_paper() -> None:
    with pytest.raises(ValueError, match="at least one boat"):
        tag_cards("Heron Slip", [], DAY, Paper.A4)


def test_a_letter_that_no_face_has_is_refused() -> None:
    with pytest.raises(MissingLetterError, match="海"):
        tag_cards("Heron Slip", [TagCard("海", "SEA", "http://heron.local/")], DAY, Paper.A4)
