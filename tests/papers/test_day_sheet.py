from dataclasses import replace
from datetime import date
from re import findall, search

import pytest

from yardwright.papers.day_sheet import PUT_BACKS, Column, DaySheet, Kind, Section, day_sheet
from yardwright.papers.drawing import Drawing
from yardwright.papers.marks import Shape
from yardwright.papers.paper import MissingLetterError, Paper
from yardwright.papers.row_map import Row, StandingBoat, row_map

READINGS = (
    Column("what", Kind.NAME, 2),
    Column("value", Kind.NUMBER),
    Column("verdict", Kind.MARK, 1),
)
SHEET = DaySheet(
    yard="Heron Slip",
    title="Left Undone: Teal",
    day=date(2031, 5, 6),
    say="Two things are left undone on Teal.",
    sections=(
        Section(
            "Before the water",
            "could sink her",
            PUT_BACKS,
            (("Drain plug", "bin 14", "sinks", "felt"),),
        ),
        Section("Readings", columns=READINGS, rows=(("Battery 1", "9.38 V", "Can't say"),)),
        Section("Before handover", columns=PUT_BACKS),
    ),
    address="http://heron-slip.local/boat/teal/left-undone/",
    cautions=("start her on land without water at the muffs, seen.",),
)


def map_of(name: str) -> Drawing:
    boat = StandingBoat(name, 8, 2.5, "Laid up", Shape.RING, "/boat/1/")
    return row_map("map", (Row("Row A", (boat,)),), 760)


@pytest.mark.parametrize("paper", Paper)
def test_one_page_the_same_bytes_each_time(paper: Paper) -> None:
    pdf = day_sheet(SHEET, paper)
    assert pdf.startswith(b"%PDF")
    assert b"<xmpTPg:NPages>1<" in pdf
    assert pdf == day_sheet(SHEET, paper)


def test_a_drawing_is_on_it_with_its_sentence() -> None:
    drawing = map_of("Teal")
    pdf = day_sheet(replace(SHEET, sections=(Section("Row Map", drawing=drawing),)), Paper.A4)
    assert b"/Alt(Row A, from the way out: Teal" in pdf


def test_a_missing_letter_in_a_drawing_is_refused_too() -> None:
    with pytest.raises(MissingLetterError, match="“海”"):
        day_sheet(replace(SHEET, sections=(Section("Map", drawing=map_of("海")),)), Paper.A4)


def test_a_long_table_goes_on_over_pages() -> None:
    rows = tuple((f"Thing {n}", "bin 14", "annoys", "looked") for n in range(120))
    long = replace(SHEET, sections=(Section("Before handover", columns=PUT_BACKS, rows=rows),))
    found = search(rb"<xmpTPg:NPages>(\d+)<", day_sheet(long, Paper.LETTER))
    assert found
    assert int(found[1]) > 2


def test_its_faces_are_the_shipped_ones() -> None:
    fonts = set(findall(rb"/BaseFont/\w{6}\+([\w-]+)", day_sheet(SHEET, Paper.A4)))
    assert {font.split(b"-Identity")[0] for font in fonts} == {
        b"AtkinsonHyperlegibleNext-Regular",
        b"AtkinsonHyperlegibleNext-Bold",
    }


def test_a_row_of_the_wrong_length_is_refused() -> None:
    with pytest.raises(ValueError, match="Before the water: a row has 1 texts for 4 columns"):
        Section("Before the water", columns=PUT_BACKS, rows=(("Drain plug",),))


def test_a_word_that_is_no_verdict_is_refused() -> None:
    bad = Section("Readings", columns=READINGS, rows=(("Battery 1", "9.38 V", "Fine"),))
    with pytest.raises(ValueError, match="no shape for “Fine”"):
        day_sheet(replace(SHEET, sections=(bad,)), Paper.A4)


def pages(*rows: tuple[str, ...]) -> int:
    sheet = replace(SHEET, sections=(Section("Before handover", columns=PUT_BACKS, rows=rows),))
    found = search(rb"<xmpTPg:NPages>(\d+)<", day_sheet(sheet, Paper.A4))
    assert found
    return int(found[1])


def test_a_row_stays_on_one_page_with_its_name() -> None:
    tall = ("Drain plug", "bin 14", "sinks", "felt in its seat " * 35)  # more than half a page
    assert pages(tall) == 1
    assert pages(tall, tall, tall) == 3


def test_a_row_longer_than_a_page_goes_on_over_it() -> None:
    assert pages(("Drain plug", "bin 14", "sinks", "felt in its seat " * 300)) > 2
