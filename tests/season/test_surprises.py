"""What was understood of a surprise, in a sentence."""

from datetime import date, datetime

from yardwright.season.model import Person
from yardwright.season.surprises import comes, days_off

INES = Person("Ines")  # Monday to Friday
LAST = date(2031, 5, 30)  # of the season


def test_days_off_say_how_many_and_how_many_of_them_are_working_days() -> None:
    # The 5th of May 2031 is a Monday.
    assert days_off(INES, date(2031, 5, 5), date(2031, 5, 5), LAST) == "Ines is off Mon 5 May."
    assert (
        days_off(INES, date(2031, 5, 5), date(2031, 5, 7), LAST)
        == "Ines is off Mon 5 May to Wed 7 May: 3 days."
    )
    assert (
        days_off(INES, date(2031, 5, 8), date(2031, 5, 13), LAST)
        == "Ines is off Thu 8 May to Tue 13 May: 6 days, 4 of them working days."
    )


def test_a_part_says_when_it_comes_and_who_waits() -> None:
    at = datetime.fromisoformat("2031-05-07T07:30-04:00")
    assert (
        comes("kit", at, ["Curlew"], LAST) == "The kit comes Wed 7 May 07:30; Curlew waits for it."
    )
    next_year = datetime.fromisoformat("2032-01-07T07:30-05:00")
    assert "comes Wed 7 Jan 2032 07:30" in comes("kit", next_year, ["Curlew"], LAST)
    assert (
        comes("kit", None, ["Curlew", "Teal"], LAST)
        == "Nobody knows when the kit comes; Curlew, Teal wait for it."
    )
