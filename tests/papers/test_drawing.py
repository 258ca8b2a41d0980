from xml.etree import ElementTree

import pytest

from yardwright.papers.drawing import hatch, metres, on_paper, text_width, wrapped
from yardwright.papers.marks import SHAPE_OF, Shape, mark

VERDICTS = ("Good", "Thin", "Look again", "Stop", "Can't say", "No limit on file")


def test_the_six_verdicts_have_six_shapes() -> None:
    assert {SHAPE_OF[word] for word in VERDICTS} == set(Shape)


@pytest.mark.parametrize("word", SHAPE_OF)
def test_a_mark_is_a_drawing_hidden_from_a_reader(word: str) -> None:
    root = ElementTree.fromstring(mark(word).svg)  # noqa: S314
    assert root.get("aria-hidden") == "true"
    assert mark(word).sentence == word


def test_only_what_says_do_not_is_red() -> None:
    red = {word for word in SHAPE_OF if "--red" in mark(word).svg}
    assert red == {"Stop", "Would take water", "Must not start", "Rain can't get out"}


def test_unknown_is_hatched() -> None:
    assert SHAPE_OF["Not known"] is SHAPE_OF["Can't say"] is Shape.HATCHED


def test_a_word_without_a_shape_is_refused() -> None:
    with pytest.raises(ValueError, match="no shape for “Fine”; give one of: Good, "):
        mark("Fine")


def test_hatch_lines_slant_half_way_and_stay_inside() -> None:
    # A 10 by 10 square, lines 10 apart: corner to corner lies at 10, so those at 5 and 15 are drawn.
    assert hatch(0, 0, 10, 10, 10) == "M0.0 5.0L5.0 0.0M5.0 10.0L10.0 5.0"


def test_on_paper_a_colour_is_its_printed_one() -> None:
    assert on_paper('fill="var(--blue, #0a3f8f)"') == 'fill="#0a3f8f"'


def test_width_of_a_word_from_the_face() -> None:
    # Advance widths of the published bold face: T 607, e 563, a 552, l 318.
    assert text_width("Teal", 1000) == pytest.approx(607 + 563 + 552 + 318)


def test_lines_break_between_words() -> None:
    assert wrapped("Teal Teal Teal", 10, 45) == ["Teal Teal", "Teal"]


def test_below_datum_has_a_true_minus() -> None:
    assert metres(-0.05) == "−0.05 m"
