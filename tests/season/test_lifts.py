"""What is said of a lift that can't be had: now, soon, or while a boat is to be lifted."""

from dataclasses import replace
from datetime import datetime, time
from zoneinfo import ZoneInfo

from yardwright.season.lifts import Lifts, held_now, held_soon, opens_within, shut_while
from yardwright.season.model import Hold, Lift, WindLimit

ZONE = ZoneInfo("America/New_York")


def at(clock: str, day: int = 6) -> datetime:
    """In May 2031; the 6th is a Tuesday."""
    return datetime.fromisoformat(f"2031-05-{day:02}T{clock}-04:00")


LIFT = Lift("Travel lift", "travel lift", 15000, 4000, time(7), time(15), 30)
WINDY = replace(LIFT, holds=(Hold(at("08:00"), at("12:00"), "wind"),))
REPAIR = replace(LIFT, holds=(Hold(at("10:00", 8), at("09:00", 9), "new cable"),))


def test_it_is_held_from_its_first_minute_and_not_at_its_last() -> None:
    says = ("The Travel lift carries nothing until 12:00: wind.",)
    assert held_now(WINDY, at("07:59"), ZONE) == ()
    assert held_now(WINDY, at("08:00"), ZONE) == says
    assert held_now(WINDY, at("11:59"), ZONE) == says
    assert held_now(WINDY, at("12:00"), ZONE) == ()


def test_what_is_to_come_says_from_when_and_what_has_begun_is_said_elsewhere() -> None:
    soon = ("The Travel lift carries nothing Thu 8 May 10:00 to Fri 9 May 09:00: new cable.",)
    assert held_soon(REPAIR, at("06:50"), at("06:50", 13), ZONE) == soon
    assert held_soon(REPAIR, at("06:50"), at("10:00", 8), ZONE) == ()
    assert held_soon(REPAIR, at("10:00", 8), at("10:00", 15), ZONE) == ()
    nameless = replace(LIFT, holds=(Hold(at("08:00"), at("12:00")),))
    assert held_soon(nameless, at("07:00"), at("09:00"), ZONE) == (
        "The Travel lift carries nothing Tue 6 May 08:00 to 12:00.",
    )


def test_while_a_boat_is_lifted_hours_days_and_holds_are_against_it() -> None:
    assert shut_while(LIFT, (), at("07:00"), at("07:30"), ZONE) == ()
    assert shut_while(LIFT, (), at("14:30"), at("15:00"), ZONE) == ()
    hours = ("The Travel lift is open 07:00 to 15:00 only.",)
    assert shut_while(LIFT, (), at("06:59"), at("07:30"), ZONE) == hours
    assert shut_while(LIFT, (), at("14:31"), at("15:01"), ZONE) == hours
    assert shut_while(LIFT, (), at("10:00", 10), at("10:30", 10), ZONE) == (
        "The Travel lift is shut on a Saturday.",
    )
    assert shut_while(WINDY, (), at("07:30"), at("08:00"), ZONE) == ()
    assert shut_while(WINDY, (), at("07:30"), at("08:01"), ZONE) == (
        "The Travel lift carries nothing Tue 6 May 08:00 to 12:00: wind.",
    )


def test_lifts_that_differ_in_their_wind_limit_alone_work_side_by_side() -> None:
    two = (replace(LIFT, wind_limit=WindLimit(12.0, "lift manual", "17")), replace(LIFT, name="B"))
    assert Lifts(two).alike == (two,)
    other = replace(two[1], carry_min=5)
    assert Lifts((two[0], other)).alike == ((two[0],), (other,))


def test_a_time_is_within_its_hours_where_it_is_open_for_some_of_it() -> None:
    assert opens_within(LIFT, at("14:59"), at("23:00"), ZONE)
    assert opens_within(LIFT, at("03:00"), at("07:01"), ZONE)
    assert opens_within(LIFT, at("15:00"), at("08:00", 7), ZONE)  # over the night
    assert not opens_within(LIFT, at("15:00"), at("07:00", 7), ZONE)
    assert not opens_within(LIFT, at("15:00", 9), at("07:00", 12), ZONE)  # over the weekend
    assert opens_within(LIFT, at("15:00", 9), at("07:01", 12), ZONE)
