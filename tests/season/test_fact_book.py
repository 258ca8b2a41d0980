"""The fact book in words: what a row tells, who says so, and what the yard goes by."""

from datetime import UTC, date, datetime
from json import loads

import pytest

from yardwright import cli, refdata
from yardwright.refdata import Curve, Datum, Grid, Row, Saying, Trust
from yardwright.season import fact_book
from yardwright.season.fact_book import Fact, trusted
from yardwright.season.model import Chosen

SEEN = date(2026, 11, 25)


def datum(trust: Trust = "common practice", page: str = "-", **more: str) -> Datum:
    return Datum(value=4, unit="min", source="A book", page=page, seen=SEEN, trust=trust, **more)


def fact(row: Row) -> Fact:
    return Fact("starting", "blower_min", row)


@pytest.fixture
def conflict(monkeypatch: pytest.MonkeyPatch) -> None:
    """A book of one topic where two sources conflict, and one row alone."""
    book = {
        "alone": datum(),
        "blower": datum(tells="How long the blower runs", why="the longer of the two"),
        "blower_short": datum(tells="The same, by another", instead_of="blower"),
    }
    monkeypatch.setattr(refdata, "names", lambda: ["made_up"])
    monkeypatch.setattr(refdata, "rows", lambda name: book)


def choice(row: str) -> dict[str, Chosen]:
    at = datetime(2031, 2, 3, 8, tzinfo=UTC)
    return {"made_up/blower": Chosen("made_up/blower", row, "our boats are small", "Ines", at)}


def test_trust_is_said_in_words() -> None:
    assert trusted(datum("read", "7")) == "Read November 2026."
    assert trusted(datum("from memory")) == "From memory: nobody has read the page yet."
    assert trusted(datum()) == "Common practice of the trade, no single source."


def test_a_row_says_source_page_and_trust() -> None:
    assert fact(datum("read", "54")).evidence == "A book, page 54. Read November 2026."
    assert fact(datum("read", "table 3")).evidence == "A book, table 3. Read November 2026."
    assert fact(datum()).evidence == "A book. Common practice of the trade, no single source."


def test_common_practice_is_said_once() -> None:
    row = Saying(
        says="look",
        source="Common practice of the yard",
        page="-",
        seen=SEEN,
        trust="common practice",
    )
    assert fact(row).evidence == "Common practice of the yard."


def test_a_page_that_the_source_names_is_not_said_twice() -> None:
    row = datum("read", "book")
    assert fact(row).evidence == "A book. Read November 2026."


def test_each_shape_says_its_value() -> None:
    curve = Curve(
        x=(0, 10),
        x_unit="degF",
        y=(8.5, 8.7),
        y_unit="V",
        source="A book",
        page="1",
        seen=SEEN,
        trust="read",
    )
    grid = Grid(
        across=(20, 25),
        across_unit="degC",
        down={"50 %": (9.3, 13.9)},
        down_is="humidity",
        unit="degC",
        source="A book",
        page="1",
        seen=SEEN,
        trust="read",
    )
    rule = Saying(says="below 0 degF", source="A book", page="1", seen=SEEN, trust="read")
    assert fact(datum()).value == "4 min"
    assert fact(datum()).table == ()
    assert fact(curve).value == "8.5 at 0, 8.7 at 10 (V at °F)"
    assert fact(curve).table == (("°F", "0", "10"), ("V", "8.5", "8.7"))
    assert fact(grid).table == (("humidity (°C)", "20 °C", "25 °C"), ("50 %", "9.3", "13.9"))
    assert "50 %: 9.3, 13.9 °C" in fact(grid).value
    assert fact(rule).value == "below 0 °F"


def test_without_words_of_its_own_a_row_is_told_by_its_name() -> None:
    assert fact(datum()).tells == "Blower min"


@pytest.mark.usefixtures("conflict")
def test_conflicting_rows_stand_together_the_one_used_first() -> None:
    alone, group = fact_book.topic("made_up")
    assert [one.stands for one in alone.facts] == [""]
    assert not alone.conflicts
    assert group.conflicts
    assert [(one.key, one.stands) for one in group.facts] == [
        ("blower", "used"),
        ("blower_short", "not used"),
    ]
    assert group.facts[0].why == "the longer of the two"


@pytest.mark.usefixtures("conflict")
def test_the_yard_s_choice_comes_first_with_its_reason_and_both_stay() -> None:
    group = fact_book.topic("made_up", choice("blower_short"))[1]
    assert [(one.key, one.stands) for one in group.facts] == [
        ("blower_short", "chosen by the yard"),
        ("blower", "not used"),
    ]
    assert group.facts[0].why == "our boats are small (Ines)"
    assert group.what == "made_up/blower"


@pytest.mark.usefixtures("conflict")
def test_a_choice_of_a_row_that_is_gone_counts_no_more() -> None:
    group = fact_book.topic("made_up", choice("blower_long"))[1]
    assert [one.stands for one in group.facts] == ["used", "not used"]


@pytest.mark.usefixtures("conflict")
def test_words_are_found_with_what_conflicts() -> None:
    (group,) = fact_book.found("BLOWER long")
    assert [one.key for one in group.facts] == ["blower", "blower_short"]
    assert fact_book.found("anchor") == ()


@pytest.mark.parametrize("name", refdata.names())
def test_every_row_of_the_book_can_be_said(name: str) -> None:
    facts = [one for group in fact_book.topic(name) for one in group.facts]
    assert {one.key for one in facts} == set(refdata.rows(name))
    for one in facts:
        assert one.value, one.what
        assert one.row.source.partition("deg")[0] in one.evidence, one.what
        assert ("From memory" in one.evidence) == (one.row.trust == "from memory"), one.what


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    return cli.main(["facts", *words]), capsys.readouterr().out


def test_the_command_tells_a_topic(capsys: pytest.CaptureFixture[str]) -> None:
    code, out = said(capsys, "Starting")
    # 33 CFR 183.610(f): the label says to run the blower for four minutes.
    assert code == 0
    assert "4 min\n    33 CFR 183.610(f)" in out


def test_the_command_finds_words_and_says_in_which_topic(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, out = said(capsys, "standard", "gravity")
    assert code == 0
    assert out.startswith("Flooding: ")
    # 3rd CGPM (1901): 980.665 cm/s2
    assert "9.80665 m/s²" in out or "9.81 m/s²" in out


def test_the_command_says_no_where_no_row_speaks_of_it(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, out = said(capsys, "xyzzy")
    assert code == 1
    assert "No row speaks of xyzzy. Topics: " in out


def test_the_command_as_json(capsys: pytest.CaptureFixture[str]) -> None:
    _, out = said(capsys, "starting", "--json")
    row = next(one for one in loads(out) if one["key"] == "blower_min")
    assert (row["value"], row["unit"], row["trust"], row["used"]) == (4, "min", "read", True)
    assert row["seen"] == "2026-11-25"


def test_without_a_topic_all_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    code, out = said(capsys)
    assert code == 0
    assert [line.partition(":")[0] for line in out.splitlines()] == refdata.names()
