"""The registry of sums: fields read what is typed, faults are gathered, every sum keeps its promises."""

import re
from datetime import date
from types import SimpleNamespace

import pytest

from yardwright import cli, refdata
from yardwright.papers.chart import Line, chart
from yardwright.papers.drawing import Drawing
from yardwright.papers.paper import MissingLetterError, Paper
from yardwright.papers.sum_sheet import SumSheet, sum_sheet
from yardwright.procedures.quantities import quantities
from yardwright.refdata import Datum
from yardwright.sums import _FOR_A_READING, sums, sums_for
from yardwright.sums.field import (
    Choice,
    Day,
    Field,
    Number,
    Numbers,
    sources,
    within_a_sentence,
)
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told

LITRES = Number(key="litres", label="Litres", example="3 L", unit="L")
TIMES = Number(key="times", label="How often", example="2", unit="", otherwise="2")
ALL = [*sums().values()]


def _work(litres: float, times: float, by: str = "book") -> Answer:
    if litres > 100:
        raise ValueError(f"{litres:g} L; give 0 to 100.")
    whole = litres * times * (1 if by == "book" else 2)
    return Answer(says=f"{whole:g} L.", numbers=(Told("whole", "Whole", whole, "L"),))


def a_sum(*fields: Field, rests_on: tuple[str, ...] = ()) -> Sum:
    return Sum(
        name="pour",
        subject=Subject.WATER,
        title="Pour",
        question="How much in all?",
        fields=(LITRES, TIMES, *fields),
        work=_work,
        picture=swept(_work, LITRES, 0.0, 50.0, "whole"),
        formula="litres × times",
        holds="Up to 100 L.",
        rests_on=rests_on,
    )


BOTH = Choice(
    key="by",
    label="Whose",
    example="book",
    otherwise="book",
    options={"book": "A book (read)", "other": "Another (from memory)"},
    of="made_up/book",
)


def test_a_number_is_read_in_any_unit() -> None:
    # A US gallon is 231 cubic inches of 25.4 mm: 3.785411784 L
    assert LITRES.value("2 gal") == pytest.approx(7.570823568, abs=1e-9)
    assert LITRES.value("5,5") == 5.5
    assert LITRES.understood("2 gal")[1] == "2 gal = 7.57 L"


def test_what_is_not_known_is_neither_yes_nor_no() -> None:
    assert Answer(says="Not known.", not_known=True).may is None
    for may in (True, False):
        with pytest.raises(ValueError, match="say one of them"):
            Answer(says="Both.", may=may, not_known=True)


def test_a_pure_number_may_be_a_share() -> None:
    assert TIMES.value("10 %") == pytest.approx(0.1)
    assert TIMES.value("1,265") == pytest.approx(1.265)
    assert TIMES.value("−3") == -3
    with pytest.raises(ValueError, match=r"'ten' is no number; type it such as 1\.265"):
        TIMES.value("ten")
    for endless in ("inf", "-inf", "1e400", "nan"):
        with pytest.raises(ValueError, match=f"'{endless}' is no number"):
            TIMES.value(endless)


def test_what_is_taken_where_nothing_is_typed() -> None:
    assert TIMES.value("  ") == 2
    with pytest.raises(ValueError, match="Litres: nothing is typed; give it such as 3 L"):
        LITRES.value("")
    empty = Number(key="x", label="X", example="3 L", unit="L", may_be_empty=True)
    assert empty.value("") is None


def test_several_numbers_share_the_unit_behind_the_last() -> None:
    row = Numbers(key="row", label="Row", example="150 148 psi", unit="psi")
    assert row.value("150 148; 151") == (150, 148, 151)
    # 1 bar is 14.5038 psi
    assert row.value("10 11 bar") == pytest.approx((145.038, 159.542), abs=0.001)
    assert row.understood("10 11 bar")[1].count("bar = ") == 2
    for nothing in ("psi", "; ;"):
        with pytest.raises(ValueError, match=f"Row: '{nothing}' has no number"):
            row.value(nothing)


def test_a_choice_takes_one_of_its_options_and_nothing_else() -> None:
    assert BOTH.value("other") == "other"
    assert BOTH.value("") == "book"
    assert BOTH.understood("other")[1] == "Another (from memory)"
    with pytest.raises(ValueError, match="Whose: 'them' is none of book, other"):
        BOTH.value("them")


def test_a_day_is_read_as_the_calendar_writes_it() -> None:
    day = Day(key="day", label="Day", example="2031-05-06")
    assert day.value("2031-05-06") == date(2031, 5, 6)
    assert day.understood("2031-05-06")[1] == "6 May 2031"
    with pytest.raises(ValueError, match="Day: '6 May' is no day; write it as 2031-05-06"):
        day.value("6 May")
    assert day.value("1900-01-01") == date(1900, 1, 1)
    assert day.value("2200-12-31") == date(2200, 12, 31)
    for far in ("1899-12-31", "2201-01-01"):
        with pytest.raises(ValueError, match=rf"Day: {far} is far off; give a year from 1900 to"):
            day.value(far)


def test_all_faults_are_told_at_once_each_by_its_field() -> None:
    one = a_sum(BOTH)
    values, faults = one.read({"litres": "3 kg", "times": "x", "by": "book"})
    assert [*faults] == ["litres", "times"]
    assert values == {"by": "book"}
    with pytest.raises(ValueError, match=r"(?s)kg is a weight.*\n'x' is no number"):
        one.values({"litres": "3 kg", "times": "x"})


def test_an_answer_from_what_was_typed() -> None:
    answer = a_sum(BOTH).answer({"litres": "3.1", "times": "4"})
    assert answer["whole"] == pytest.approx(12.4)
    assert answer.numbers[0].words == "12.4 L"
    with pytest.raises(KeyError):
        answer["half"]
    with pytest.raises(ValueError, match="101 L; give 0 to 100"):
        a_sum().answer({"litres": "101"})


def test_the_other_sources_answer_or_say_why_not() -> None:
    assert {
        whose: told.says if isinstance(told, Answer) else told
        for whose, told in a_sum(BOTH).by_the_others({"litres": "3"}).items()
    } == {"Another (from memory)": "12 L."}
    told = a_sum(BOTH).by_the_others({"litres": "101"})
    assert told == {"Another (from memory)": "101 L; give 0 to 100."}
    assert a_sum().by_the_others({"litres": "3"}) == {}


def test_what_rests_on_memory_says_so_by_the_source_taken(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    def row(trust: refdata.Trust, instead_of: str = "") -> Datum:
        return Datum(
            value=1,
            unit="L",
            source="A book",
            page="7",
            seen=date(2026, 11, 25),
            trust=trust,
            tells="what a pail holds",
            instead_of=instead_of,
        )

    book = {"book": row("read"), "other": row("from memory", "book")}
    monkeypatch.setattr(refdata, "rows", lambda name: book)
    one = a_sum(BOTH, rests_on=("made_up/book",))
    assert one.from_memory({"by": "book"}) == ""
    told = "From memory, nobody has read the page yet: what a pail holds."
    assert one.from_memory({"by": "other"}) == told
    assert [*one.rows()] == ["made_up/book", "made_up/other"]


def test_sources_that_conflict_become_a_choice() -> None:
    field = sources("Freezing of antifreeze", "antifreeze", "ethylene_glycol_freezes")
    assert (field.key, field.otherwise) == ("by", "ethylene_glycol_freezes")
    assert field.of == "antifreeze/ethylene_glycol_freezes"
    assert [*field.options] == [*refdata.rivals("antifreeze", "ethylene_glycol_freezes")]
    assert field.options[field.otherwise].endswith("(read)")


@pytest.mark.parametrize(
    ("label", "said"),
    [("Her weight", "her weight"), ("AWG", "AWG"), ("°C of the air", "°C of the air"), ("", "")],
)
def test_a_label_within_a_sentence(label: str, said: str) -> None:
    assert within_a_sentence(label) == said


def test_two_sums_of_one_name_are_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    twice = (SimpleNamespace(SUMS=(a_sum(),)), SimpleNamespace(SUMS=(a_sum(),)))
    monkeypatch.setattr("yardwright.sums.SUBJECTS", twice)
    with pytest.raises(ValueError, match="Two sums are called pour"):
        sums.__wrapped__()


def test_a_picture_runs_one_field_and_marks_what_was_asked() -> None:
    drawn = a_sum().picture({"litres": 20.0, "times": 2.0})
    assert drawn.sentence.startswith("Whole, against litres; at 20 L: 40")
    (ring,) = re.findall(r'<circle cx="([\d.]+)" cy="([\d.]+)"', drawn.svg)
    # By hand: 20 of 0 to 50 L is two fifths of the way from x = 64 to 396, 40 of 0 to 100 L
    # two fifths of the way up from y = 218 to 34.
    assert [float(n) for n in ring] == pytest.approx([196.8, 144.4], abs=0.06)


def test_where_a_sum_refuses_its_picture_has_no_line() -> None:
    one = a_sum()
    wide = swept(one.work, LITRES, 0.0, 200.0, "whole")({"litres": 20.0, "times": 2.0})
    path = re.findall(r'<path d="(M[^"]+)"[^>]*stroke="currentColor" stroke-width="2"', wide.svg)[0]
    ends = [float(n) for n in re.findall(r"[ML]([\d.]+)", path)]
    # Half of the way from x = 64 to 396 is where 100 of 200 L lie, and there it ends.
    assert max(ends) == pytest.approx(230, abs=0.06)
    with pytest.raises(ValueError, match="101 L"):
        one.picture({"litres": 101.0, "times": 2.0})


def test_a_chart_breaks_its_line_where_nothing_is_known() -> None:
    line = Line((0, 1, 2, 3, 4), (0, 1, None, 3, 4))
    drawn = chart("c", [line], ("x", "y"), [], "A line.")
    (path,) = re.findall(r'<path d="(M[^"]+)"[^>]*stroke-width="2"', drawn.svg)
    assert path.count("M") == 2
    with pytest.raises(ValueError, match="y has no number anywhere from 0 to 1"):
        chart("c", [Line((0, 1), (None, None))], ("x", "y"), [], "")
    with pytest.raises(ValueError, match="1 x and 1 y"):
        Line((0,), (0,))


def test_a_long_title_takes_two_lines_and_the_drawing_grows() -> None:
    line = Line((0, 1), (0, 1))
    short = chart("c", [line], ("x", "y"), [], "")
    long = chart("c", [line], ("x", " ".join(["a long title"] * 8)), [], "")
    heights = [
        float(re.findall(r'viewBox="0 0 420 ([\d.]+)"', one.svg)[0]) for one in (short, long)
    ]
    assert heights[1] - heights[0] in (17, 34)
    assert long.svg.count("<text") - short.svg.count("<text") in (1, 2)


def test_a_level_line_has_an_axis_all_the_same() -> None:
    drawn = chart("c", [Line((0, 1), (5, 5))], ("x", "y"), [(0.5, 5)], "Level.")
    assert "nan" not in drawn.svg
    assert ">5<" in drawn.svg


def test_what_helps_with_a_reading_is_a_sum_and_a_quantity() -> None:
    assert [one.name for one in sums_for("compression")] == ["compression", "compression-height"]
    assert sums_for("oil_level") == ()
    known = quantities()
    for quantity in _FOR_A_READING:
        assert quantity in known
        assert sums_for(quantity)


@pytest.mark.parametrize("one", ALL, ids=[one.name for one in ALL])
def test_every_sum_is_whole(one: Sum) -> None:
    assert re.fullmatch(r"[a-z][a-z0-9-]*", one.name)
    assert one.question.endswith("?")
    assert one.formula
    assert one.holds
    assert len({field.key for field in one.fields}) == len(one.fields)
    assert one.rows().keys() >= set(one.rests_on)
    for field in one.fields:
        field.value(field.example)  # what the page suggests can be read
    if one.by is not None:
        assert one.by.of in one.rests_on, "its choice is of a row that it rests on"


@pytest.mark.parametrize("one", ALL, ids=[one.name for one in ALL])
def test_every_sum_answers_its_example(one: Sum) -> None:
    answer = one.answer(one.example())
    assert answer.says.strip()
    assert "nan" not in answer.says.casefold().split()
    for told in answer.numbers:
        assert told.words
    drawn = one.picture(one.values(one.example()))
    assert drawn.svg.startswith("<svg")
    assert drawn.sentence


@pytest.mark.parametrize("one", ALL, ids=[one.name for one in ALL])
def test_every_sum_is_a_command_that_says_the_same(
    one: Sum, capsys: pytest.CaptureFixture[str]
) -> None:
    example = one.example()
    options = [f"--{key.replace('_', '-')}={value}" for key, value in example.items() if value]
    code = cli.main([one.name, *options])
    out = capsys.readouterr().out
    answer = one.answer(example)
    assert out.startswith(answer.says)
    assert code == (1 if answer.may is False else 0)


def sheet(**more: object) -> SumSheet:
    fields: dict[str, object] = {
        "yard": "Heron Slip",
        "title": "Pour",
        "question": "How much in all?",
        "day": date(2031, 5, 6),
        "say": "12 L.",
        "besides": ("Pour slowly.",),
        "caution": "Wear gloves.",
        "asked": (("Litres", "3 L"),),
        "numbers": (("Whole", "12 L"),),
        "others": (),
        "drawing": Drawing(chart("c", [Line((0, 1), (0, 1))], ("x", "y"), [], "").svg, "A line."),
        "formula": "litres × times",
        "holds": "Up to 100 L.",
        "sources": (("What a pail holds", "A book, page 7. Read November 2026."),),
        "address": "http://heron-slip.local/sums/pour/?litres=3",
    }
    return SumSheet(**fields | more)  # type: ignore[arg-type]  # its fields, by name


@pytest.mark.parametrize("paper", Paper)
def test_a_sum_on_one_page(paper: Paper) -> None:
    printed = sum_sheet(sheet(), paper)
    assert re.findall(rb"/Count (\d+)", printed)[0] == b"1"
    assert printed == sum_sheet(sheet(), paper)
    assert printed != sum_sheet(sheet(say="13 L."), paper)


def test_a_sum_without_picture_or_sources_prints_too() -> None:
    bare = sheet(drawing=None, sources=(), numbers=(), caution="", example=True)
    assert sum_sheet(bare, Paper.A4).startswith(b"%PDF")


def test_a_letter_that_no_face_has_is_named() -> None:
    with pytest.raises(MissingLetterError, match="No typeface here has the letter"):
        sum_sheet(sheet(say="水"), Paper.A4)
