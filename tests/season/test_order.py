"""The order of leaving, played: who has left or was moved aside by the evening of a day."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from yardwright.season.order import Evening, evenings, gone
from yardwright.season.yard_time import Aside, Launch, SpringPlan

ZONE = ZoneInfo("America/New_York")
TUE, WED, FRI = (date(2031, 5, day) for day in (6, 7, 9))


def at(day: date, hour: int) -> datetime:
    return datetime(day.year, day.month, day.day, hour, tzinfo=ZONE)


def launch(boat: str, day: date, hour: int) -> Launch:
    return Launch(boat, at(day, hour), at(day, hour + 1), day, in_ink=True, days_late=0)


# Story A1's row: Curlew is moved aside for Dunlin on Tuesday, and goes in on Wednesday.
PLAN = SpringPlan(
    (
        launch("Plover", TUE, 5),
        launch("Dunlin", TUE, 9),
        launch("Curlew", WED, 8),
        launch("Teal", FRI, 8),
    ),
    (Aside("Curlew", at(TUE, 8), at(TUE, 9)),),
    (),
)


def test_each_day_on_which_a_boat_moves() -> None:
    assert evenings(PLAN, at(TUE, 7), ZONE) == (
        Evening(TUE, ("Dunlin",), ("Curlew",)),  # Plover was to go in before: facts say whether
        Evening(WED, ("Curlew",), ()),
        Evening(FRI, ("Teal",), ()),
    )


def test_at_her_very_minute_she_is_still_to_come() -> None:
    assert evenings(PLAN, at(TUE, 9), ZONE)[0] == Evening(TUE, ("Dunlin",), ())


def test_who_has_left_by_then() -> None:
    each = evenings(PLAN, at(TUE, 7), ZONE)
    assert gone(each[:0]) == {}
    assert gone(each[:1]) == {"Dunlin": (TUE, True), "Curlew": (TUE, False)}
    assert gone(each[:2]) == {"Dunlin": (TUE, True), "Curlew": (WED, True)}


def test_aside_and_in_on_one_day_she_has_left() -> None:
    plan = SpringPlan((launch("Curlew", TUE, 10),), PLAN.asides, ())
    assert gone(evenings(plan, at(TUE, 7), ZONE)) == {"Curlew": (TUE, True)}


def test_a_day_is_the_yards_own() -> None:
    """00:30 in UTC on Wednesday is still Tuesday evening in New York."""
    late = datetime.fromisoformat("2031-05-07T00:30+00:00")
    plan = SpringPlan((Launch("Teal", late, late, TUE, True, 0),), (), ())
    assert [one.day for one in evenings(plan, at(TUE, 7), ZONE)] == [TUE]
