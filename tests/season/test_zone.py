"""The two nights a year on which a wall clock is not enough."""

from datetime import UTC, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.season.zone import moment, shown

NEW_YORK = ZoneInfo("America/New_York")
EDT, EST = timezone(timedelta(hours=-4)), timezone(timedelta(hours=-5))


def wall(text: str) -> datetime:
    return datetime.fromisoformat(text)


def test_an_ordinary_wall_time_is_one_moment() -> None:
    # 6 May is summer time in New York, 4 hours behind UTC; 4 November is winter time.
    assert moment(wall("2031-05-06 07:30"), NEW_YORK) == datetime(2031, 5, 6, 11, 30, tzinfo=UTC)
    assert moment(wall("2031-11-04 07:30"), NEW_YORK) == datetime(2031, 11, 4, 12, 30, tzinfo=UTC)


def test_a_time_with_its_offset_is_that_moment() -> None:
    at = datetime(2031, 11, 2, 1, 30, tzinfo=EST)
    assert moment(at, NEW_YORK) == at == datetime(2031, 11, 2, 6, 30, tzinfo=UTC)
    assert moment(datetime(2031, 5, 6, 11, 30, tzinfo=UTC), NEW_YORK).hour == 7


def test_the_hour_that_is_jumped_over_is_refused() -> None:
    with pytest.raises(ValueError, match=r"02:30 does not exist.*write 03:30"):
        moment(wall("2031-03-09 02:30"), NEW_YORK)


def test_the_hour_that_comes_twice_is_asked_about() -> None:
    with pytest.raises(ValueError, match=r"01:30:00-04:00 for the first or .*01:30:00-05:00"):
        moment(wall("2031-11-02 01:30"), NEW_YORK)


@pytest.mark.parametrize("text", ["0001-01-01 00:00", "9999-12-31 23:59", "0231-05-06 07:30"])
def test_a_year_that_is_a_slip_of_the_pen_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match=rf"the year is {text[:4]}; give one from 1900 to 2199"):
        moment(wall(text), NEW_YORK)


def test_minutes_between_two_moments_are_true_minutes() -> None:
    # 00:30 to 02:30 by the wall is three hours on the night the clock goes back.
    before = moment(wall("2031-11-02 00:30"), NEW_YORK)
    after = moment(wall("2031-11-02 02:30"), NEW_YORK)
    assert after - before == timedelta(hours=3)


@given(st.integers(0, 366 * 24 * 60))
def test_what_is_shown_is_the_same_moment(minutes: int) -> None:
    at = datetime(2031, 1, 1, tzinfo=UTC) + timedelta(minutes=minutes)
    local = shown(at, NEW_YORK)
    assert local == at
    assert local.replace(tzinfo=None) == at.astimezone(NEW_YORK).replace(tzinfo=None, fold=0)
