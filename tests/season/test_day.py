"""Jobs of a plan cut to the hours that people work: what story A1's mechanic would read out."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

from hypothesis import given, settings
from hypothesis import strategies as st

from yardwright.season.day import Stint, does_or_watches, on, stints
from yardwright.season.model import OnDay, Person
from yardwright.season.yard_time import Job, SpringPlan

ZONE = ZoneInfo("America/New_York")
# Story A1: 07:00-12:00 and 12:30-15:30, Monday to Friday.
INES = Person("Ines", ("mechanic",), ((time(7), time(12)), (time(12, 30), time(15, 30))))


def at(clock: str, day: int = 6, month: int = 5) -> datetime:
    hour, minute = map(int, clock.split(":"))
    return datetime(2031, month, day, hour, minute, tzinfo=ZONE)


def job(starts: datetime, ends: datetime, *, overtime: bool = False) -> Job:
    return Job("Teal", "engine", "Ines", starts, ends, overtime=overtime)


def hours(found: tuple[Stint, ...]) -> list[tuple[date, str]]:
    return [(one.day, one.hours) for one in found]


def test_a_break_parts_it() -> None:
    found = stints(job(at("11:00"), at("13:30")), INES, ZONE)
    assert hours(found) == [(date(2031, 5, 6), "11:00–12:00, 12:30–13:30")]
    assert (found[0].part, found[0].parts) == (1, 1)
    assert (found[0].starts, found[0].ends) == (at("11:00"), at("13:30"))


def test_two_breaks_and_an_end_at_one() -> None:
    early = ((time(7), time(9)), (time(9, 30), time(12)), (time(12, 30), time(15, 30)))
    (one,) = stints(job(at("08:00"), at("13:00")), Person("Ines", (), early), ZONE)
    assert one.hours == "08:00–09:00, 09:30–12:00, 12:30–13:00"
    assert one.ends == at("13:00")
    (one,) = stints(job(at("08:00"), at("12:30")), Person("Ines", (), early), ZONE)
    assert one.hours == "08:00–09:00, 09:30–12:00"


def test_overtime_written_within_the_hours_takes_nothing_from_them() -> None:
    odd = Person("Ines", (), INES.hours, overtime=((time(8), time(9)),))
    (one,) = stints(job(at("07:00"), at("10:00"), overtime=True), odd, ZONE)
    assert one.hours == "07:00–10:00"


def test_a_night_makes_two_days_of_it() -> None:
    found = stints(job(at("15:00"), at("08:30", day=7)), INES, ZONE)
    assert hours(found) == [
        (date(2031, 5, 6), "15:00–15:30"),
        (date(2031, 5, 7), "07:00–08:30"),
    ]
    assert [(one.part, one.parts) for one in found] == [(1, 2), (2, 2)]


def test_nobody_works_on_the_weekend_between() -> None:
    # Friday 9 May to Monday 12 May 2031.
    found = stints(job(at("15:00", day=9), at("07:30", day=12)), INES, ZONE)
    assert [one.day.day for one in found] == [9, 12]


def test_overtime_goes_on_from_the_hours_without_a_gap() -> None:
    late = Person("Ines", (), INES.hours, overtime=((time(15, 30), time(17)),))
    (one,) = stints(job(at("15:00"), at("16:15"), overtime=True), late, ZONE)
    assert one.hours == "15:00–16:15"
    plain = stints(job(at("15:00"), at("07:30", day=7)), late, ZONE)
    assert [one.hours for one in plain] == ["15:00–15:30", "07:00–07:30"]  # it asks for none


def test_where_hours_are_not_known_the_plan_stands() -> None:
    assert hours(stints(job(at("05:00"), at("06:00")), INES, ZONE)) == [
        (date(2031, 5, 6), "05:00–06:00")
    ]
    assert hours(stints(job(at("11:00"), at("13:30")), None, ZONE)) == [
        (date(2031, 5, 6), "11:00–13:30")
    ]


def test_a_day_of_the_plan_is_in_order_and_only_that_day() -> None:
    plan = SpringPlan(
        (),
        (),
        (
            Job("Teal", "engine", "Ines", at("15:00"), at("08:30", day=7)),
            Job("Plover", "hull", "Ole", at("07:00"), at("08:00"), watcher="Ines"),
            Job("Avocet", "hull", "Ole", at("09:00"), at("10:00")),
            Job("Curlew", "hull", "Ole", at("09:00", day=8), at("10:00", day=8)),
        ),
    )
    found = on(plan, date(2031, 5, 6), {"Ines": INES}, ZONE)
    assert [one.job.boat for one in found] == ["Plover", "Avocet", "Teal"]
    assert [one.job.boat for one in does_or_watches(found, "Ines")] == ["Plover", "Teal"]
    (tomorrow,) = on(plan, date(2031, 5, 7), {"Ines": INES}, ZONE)
    assert (tomorrow.part, tomorrow.hours) == (2, "07:00–08:30")


MONDAY = datetime(2031, 10, 27, tzinfo=ZONE)  # the clock goes back on Sunday 2 November 2031
minutes = st.integers(0, 10 * 24 * 60)
clock = st.times(max_value=time(23, 59)).map(lambda at: at.replace(second=0, microsecond=0))
spans = st.lists(st.tuples(clock, clock).filter(lambda span: span[0] < span[1]), max_size=3)
days_off = st.lists(st.dates(date(2031, 10, 27), date(2031, 11, 6)), max_size=3)
a_day = st.dates(date(2031, 10, 27), date(2031, 11, 6)).filter(lambda day: day.weekday() < 6)
of_one_day = st.builds(OnDay, a_day, clock, clock).filter(lambda one: one.starts < one.ends)
on_days = st.lists(of_one_day, max_size=3)


def later(minute: int) -> datetime:
    """So many minutes that really pass after that Monday's midnight."""
    return (MONDAY.astimezone(UTC) + timedelta(minutes=minute)).astimezone(ZONE)


@given(minutes, minutes, spans, spans, days_off, on_days, on_days, st.booleans())
@settings(max_examples=60)
def test_nothing_is_added_and_nothing_is_lost(
    one: int,
    other: int,
    hours: list[tuple[time, time]],
    more: list[tuple[time, time]],
    off: list[date],
    away: list[OnDay],
    longer: list[OnDay],
    overtime: bool,
) -> None:
    """The stints hold exactly those minutes of the job that are working hours, asked one by one."""
    start, end = sorted((one, other))
    ole = Person("Ole", (), tuple(hours), off=tuple(off), overtime=tuple(more))
    ole = replace(ole, away=tuple(away), longer=tuple(longer))
    works = [*hours, *(more if overtime else [])]

    def at_work(minute: int) -> bool:
        wall = later(minute)
        usual = wall.weekday() < 5 and any(a <= wall.time() < b for a, b in works)
        stays, gone = (
            any(one.day == wall.date() and one.starts <= wall.time() < one.ends for one in some)
            for some in (longer, away)
        )
        return (usual or stays) and not gone and wall.date() not in off

    worked = sum(map(at_work, range(start, end)))
    found = stints(job(later(start), later(end), overtime=overtime), ole, ZONE)
    if worked:
        spells = [spell for stint in found for spell in stint.spells]
        assert sum((b - a for a, b in spells), timedelta()) == timedelta(minutes=worked)
        assert all(a < b for a, b in spells)
        assert all(a[1] < b[0] for a, b in pairwise(spells))
        assert [one.part for one in found] == [*range(1, len(found) + 1)]
        assert all(one.parts == len(found) for one in found)
