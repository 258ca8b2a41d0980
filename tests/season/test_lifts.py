"""What is said of a lift that can't be had: now, soon, or while a boat is to be lifted."""

from dataclasses import replace
from datetime import datetime, time
from zoneinfo import ZoneInfo

from yardwright.calc.units import convert
from yardwright.procedures.going_in import State
from yardwright.season.lifts import (
    Lifts,
    by_plan,
    held_now,
    held_soon,
    kind_named,
    none_can,
    opens_within,
    shut_while,
)
from yardwright.season.model import Boat, Hold, Lift, WindLimit
from yardwright.season.wind import not_told, too_windy

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


def test_a_plan_s_name_for_a_pair_means_both_of_it_and_no_other() -> None:
    pair = (LIFT, replace(LIFT, name="B"))
    yard = (*pair, replace(LIFT, name="Crane", kind="crane"))
    named = kind_named(pair)
    assert by_plan(yard, named) == pair
    assert by_plan(yard, "Crane") == (yard[2],)
    assert by_plan(yard, "Ramp") == by_plan((), named) == ()
    by_itself = replace(LIFT, name=named)  # somebody may well name one so
    assert by_plan((*yard, by_itself), named) == (by_itself,)
    held = replace(pair[0], holds=WINDY.holds)  # no longer alike, and still of that pair
    assert by_plan((held, *yard[1:]), named) == (held, pair[1])


def test_a_pair_is_shut_only_when_both_are() -> None:
    other, span = replace(LIFT, name="B"), (at("07:45"), at("08:15"))
    assert none_can((WINDY, other), (), *span, ZONE) == ()
    assert none_can((WINDY, replace(other, holds=WINDY.holds)), (), *span, ZONE) == (
        "The Travel lift carries nothing Tue 6 May 08:00 to 12:00: wind.",
        "The B carries nothing Tue 6 May 08:00 to 12:00: wind.",
    )
    assert none_can((), (), *span, ZONE) == ()


def test_which_lifts_may_carry_her_where_that_is_known() -> None:
    narrow = replace(LIFT, name="B", beam_m=3.0)
    lifts, boat = Lifts((LIFT, narrow)), Boat("Teal", State.READY, weight_kg=5000.0)
    assert lifts.that_may_carry(boat) == (LIFT,)
    assert lifts.that_may_carry(replace(boat, beam_m=2.5)) == (LIFT, narrow)
    assert lifts.that_may_carry(replace(boat, beam_m=3.5)) == (LIFT,)
    assert lifts.that_may_carry(replace(boat, beam_m=2.5, lift="B")) == (narrow,)
    unknown = replace(boat, weight_kg=None)
    assert lifts.that_may_carry(unknown) == ()
    assert lifts.that_may_carry(replace(unknown, lift="B")) == (narrow,)  # hers whatever she weighs
    assert lifts.that_may_carry(replace(unknown, beam_m=3.5)) == (LIFT,)  # no other is left


def limited(m_s: float) -> Lift:
    return replace(LIFT, wind_limit=WindLimit(m_s, "lift manual", "17"))


def test_a_wind_just_above_the_limit_is_said_in_so_many_digits_that_they_differ() -> None:
    limit = "The Travel lift lifts in wind up to 12 m/s ({} mph): lift manual, page 17."
    # A mile an hour is 0.44704 m/s: 12.04 are 26.933, 12 are 26.843.
    assert too_windy(limited(12.0), 12.04) == (
        f"The wind is 12.04 m/s (26.93 mph). {limit.format('26.84')} Wait for less.",
    )
    (told,) = too_windy(limited(12.0), 12.000004)
    assert "The wind is 12.000004 m/s" in told


def test_the_limit_itself_is_no_more_than_the_limit_in_any_unit() -> None:
    in_knots = limited(convert(25, "kn", "m/s"))
    assert too_windy(in_knots, convert(25, "kn", "m/s")) == ()
    assert too_windy(in_knots, convert(46.3, "km/h", "m/s")) == ()  # 25 x 1.852
    assert too_windy(in_knots, convert(25.0001, "kn", "m/s")) != ()


def test_a_wind_nobody_told_refuses_a_lift_with_a_limit_alone() -> None:
    assert not_told(LIFT) == ()
    (says,) = not_told(limited(12.0))
    assert says.startswith("Not known: the wind. The Travel lift lifts in wind up to 12 m/s")
