"""A feed read back by another's reader (the icalendar library), and held to RFC 5545's own words."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from uuid import NAMESPACE_URL, uuid5
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from tests.read_back import read_back
from yardwright.season.feed import Event, feed

ZONE = ZoneInfo("America/New_York")
SAID = datetime(2031, 5, 5, 6, 50, tzinfo=ZONE)
NINE = datetime(2031, 5, 6, 9, tzinfo=ZONE)
TEN = NINE + timedelta(hours=1)


def event(title: str = "Teal: engine", notes: str = "", where: str = "") -> Event:
    return Event(("Heron Slip", "Teal", "engine", "Ines", "1"), NINE, TEN, title, notes, where)


def test_another_reader_finds_it_all() -> None:
    text = feed("Ines, Heron Slip", [event(where="North row, berth 2")], SAID, 3)
    for name in ("NAME", "X-WR-CALNAME"):
        assert f"\r\n{name}:Ines\\, Heron Slip\r\n" in text  # RFC 5545, 3.3.11: a comma is escaped
    (found,) = read_back(text)
    # New York is four hours behind in May: 09:00 there is 13:00 UTC.
    assert found.starts == datetime(2031, 5, 6, 13, tzinfo=UTC)
    assert found.ends == datetime(2031, 5, 6, 14, tzinfo=UTC)
    assert found.said_at == found.changed_at == SAID
    assert found.edition == 3
    assert (found.title, found.where) == ("Teal: engine", "North row, berth 2")


def test_a_whole_day() -> None:
    (found,) = read_back(feed("x", [Event(("a",), NINE, None, "Nothing")], SAID, 0))
    # RFC 5545, 3.6.1: the end is the first day that it is no more.
    assert (found.starts, found.ends) == (date(2031, 5, 6), date(2031, 5, 7))
    text = feed("x", [Event(("a",), NINE, None, "Nothing")], SAID, 0)
    assert "\r\nDTEND;VALUE=DATE:20310507\r\n" in text
    assert "\r\nTRANSP:TRANSPARENT\r\n" in text  # 3.8.2.7: whoever has it is not busy


def uid(one: Event) -> str:
    (found,) = read_back(feed("x", [one], SAID, 0))
    return found.uid


def test_moved_it_is_the_same_entry() -> None:
    moved = Event(event().of, TEN, TEN + timedelta(hours=2), "Teal: engine, later")
    assert uid(moved) == uid(event())
    # RFC 9562, 5.5, by Python's own: every phone would show all twice if it were ever another.
    assert uid(moved) == str(uuid5(NAMESPACE_URL, "Heron Slip\nTeal\nengine\nInes\n1"))
    other = Event((*event().of[:3], "Ole", "1"), NINE, TEN, "Teal: engine")
    assert uid(other) != uid(event())


WORDS = st.text(
    st.characters(exclude_categories=["Cs", "Cc", "Cf", "Zl", "Zp", "Zs", "Cn", "Co"])
    | st.just(" "),
    max_size=300,
)


@given(WORDS, WORDS, WORDS)
def test_any_words_come_back_in_lines_that_fit(title: str, notes: str, where: str) -> None:
    """RFC 5545, 3.1: at most 75 octets without the break; CR LF ends each; no letter is parted."""
    text = feed(f"x{title}", [event(f"t{title}", f"n{notes}", f"w{where}")], SAID, 0)
    assert text.endswith("END:VCALENDAR\r\n")
    lines = text.split("\r\n")[:-1]
    assert not any("\n" in line or "\r" in line for line in lines)
    assert max(len(line.encode()) for line in lines) <= 75
    (found,) = read_back(text)
    assert (found.title, found.notes, found.where) == (f"t{title}", f"n{notes}", f"w{where}")


def test_a_line_is_parted_no_earlier_than_it_must() -> None:
    """RFC 5545, 3.1: 75 octets, and behind a break one of them is the space."""
    text = feed("x", [event("T" * 67), event("T" * 68), event("T" * (67 + 75))], SAID, 0)
    full = "SUMMARY:" + "T" * 67
    assert len(full) == 75
    found = re.findall(r"^SUMMARY.*?(?=\r\n[A-Z])", text, re.MULTILINE | re.DOTALL)
    assert found == [full, f"{full}\r\n T", f"{full}\r\n {'T' * 74}\r\n T"]


def test_its_page() -> None:
    text = feed("x", [replace(event(), address="http://yard/day/?day=2031-05-06")], SAID, 0)
    assert "\r\nURL:http://yard/day/?day=2031-05-06\r\n" in text
    assert "URL" not in feed("x", [event()], SAID, 0)


def test_what_could_end_a_line_cannot_add_one() -> None:
    text = feed(
        "x", [event("Teal\r\nATTENDEE:mailto:x@example.org\x00\x7f", "a;b,c\\n\nd")], SAID, 0
    )
    assert not re.search(r"^ATTENDEE", text, re.MULTILINE)
    (found,) = read_back(text)
    assert found.title == "Teal\nATTENDEE:mailto:x@example.org"
    assert found.notes == "a;b,c\\n\nd"
