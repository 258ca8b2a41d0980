"""A lift's hours are those of the clock on the wall, also on the two days on which it changes."""

from dataclasses import replace
from datetime import date, datetime

import pytest

from tests.plan.yards import LIFT, ZONE, story_a1
from yardwright.plan.alone import by_the_clock, may_stay_open, with_somebody_in
from yardwright.plan.days import Days
from yardwright.plan.problem import Lift, Problem

YEAR = Days(date(2031, 1, 1), 365, ZONE)  # 9 March has 23 hours there, 2 November has 25
CHANGES = [date(2031, 3, 9), date(2031, 11, 2)]


def shown(day: date, hour: int) -> int:
    return YEAR.minute(datetime(day.year, day.month, day.day, hour, tzinfo=ZONE))


@pytest.fixture
def all_year() -> Problem:
    """A lift that is open from 6:00 to 16:00 on each day."""
    days = [YEAR.date_of(day) for day in range(YEAR.count)]
    opens = tuple((shown(day, 6), shown(day, 16)) for day in days)
    return replace(story_a1(), days=YEAR, lifts=(Lift(LIFT, "Travel lift", opens),))


def test_its_hours_are_those_of_every_day(all_year: Problem) -> None:
    assert by_the_clock(all_year, all_year.lift[LIFT]) == (6 * 60, 16 * 60)


@pytest.mark.parametrize("day", CHANGES)
def test_it_may_stay_open_three_hours_by_the_clock(all_year: Problem, day: date) -> None:
    assert (shown(day, 3), shown(day, 19)) in may_stay_open(all_year, all_year.lift[LIFT])


@pytest.mark.parametrize("day", CHANGES)
def test_with_somebody_in_it_is_open_at_its_hours(all_year: Problem, day: date) -> None:
    lift = all_year.lift[LIFT]
    nobody = (shown(day, 0), shown(day, 23))
    opens = tuple(span for span in lift.opens if not nobody[0] <= span[0] < nobody[1])
    alone = replace(all_year, lifts=(replace(lift, opens=opens, away=(nobody,)),))
    (staffed,) = with_somebody_in(alone).lifts
    assert (shown(day, 6), shown(day, 16)) in staffed.opens
