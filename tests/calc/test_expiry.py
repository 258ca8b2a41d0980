"""Last days against the Coast Guard's message, the law's 42 months, and the calendar."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.expiry import (
    battery_leaves_by,
    end_of_month,
    extinguisher_ends,
    flare_ends_at_latest,
)

MESSAGE = "extinguisher_life_end_of_year"


def test_extinguishers_by_the_coast_guards_message() -> None:
    # ACN 002/22: out of service on 31 December of the 12th year: made 2013, 31 December 2025.
    assert extinguisher_ends(2013) == date(2025, 12, 31)
    assert extinguisher_ends(2014, by=MESSAGE) == date(2026, 12, 31)
    assert extinguisher_ends(2013, date(2013, 3, 4), MESSAGE) == date(2025, 12, 31)


def test_a_full_date_is_stricter_by_the_label() -> None:
    # The label: within 12 years after the date of manufacture.
    assert extinguisher_ends(2013, date(2013, 3, 4)) == date(2025, 3, 4)
    assert extinguisher_ends(2012, date(2012, 2, 29)) == date(2024, 2, 29)


@given(made=st.dates(date(1980, 1, 1), date(2080, 12, 31)))
def test_the_label_is_never_later_than_the_message(made: date) -> None:
    by_label, by_message = (
        extinguisher_ends(made.year, made, by) for by in ("extinguisher_life", MESSAGE)
    )
    assert by_label <= by_message
    assert (by_message.year, by_label.year) == (made.year + 12, made.year + 12)


@pytest.mark.parametrize(
    ("year", "month", "ends"),
    [
        # 46 CFR 160.036-5(b): not more than 42 months: June 2023 and 42 months are December 2026.
        (2023, 6, date(2026, 12, 31)),
        (2023, 7, date(2027, 1, 31)),
        (2023, 1, date(2026, 7, 31)),
        (2022, 8, date(2026, 2, 28)),
        (2024, 8, date(2028, 2, 29)),
        (2023, 12, date(2027, 6, 30)),
    ],
)
def test_flares(year: int, month: int, ends: date) -> None:
    assert flare_ends_at_latest(year, month) == ends


def test_spent_batteries_leave_within_the_year() -> None:
    # 40 CFR 273.15(a): no longer than one year from the date it became waste.
    assert battery_leaves_by(date(2025, 11, 3)) == date(2026, 11, 3)
    assert battery_leaves_by(date(2024, 2, 29)) == date(2025, 2, 28)
    assert battery_leaves_by(date(2025, 12, 31)) == date(2026, 12, 31)


@given(day=st.dates(date(1980, 1, 1), date(2080, 12, 31)))
def test_a_year_is_365_or_366_days(day: date) -> None:
    assert (battery_leaves_by(day) - day).days in (365, 366)


def test_the_ends_of_the_calendar() -> None:
    assert extinguisher_ends(1980).year == 1992
    assert extinguisher_ends(2100).year == 2112
    assert end_of_month(2024, 2) == date(2024, 2, 29)


@pytest.mark.parametrize("year", [1979, 2101])
def test_no_such_year(year: int) -> None:
    with pytest.raises(ValueError, match=f"year is {year}"):
        extinguisher_ends(year)
    with pytest.raises(ValueError, match=f"year is {year}"):
        flare_ends_at_latest(year, 5)


@pytest.mark.parametrize("month", [0, 13])
def test_no_such_month(month: int) -> None:
    with pytest.raises(ValueError, match=f"month is {month}"):
        flare_ends_at_latest(2024, month)
    with pytest.raises(ValueError, match=f"month is {month}"):
        end_of_month(2024, month)


def test_a_date_of_another_year() -> None:
    with pytest.raises(ValueError, match="made 2013-03-04, but the year is 2014"):
        extinguisher_ends(2014, date(2013, 3, 4))


def test_another_row_says_nothing_about_extinguishers() -> None:
    with pytest.raises(ValueError, match="no source here"):
        extinguisher_ends(2014, by="flare_life")
