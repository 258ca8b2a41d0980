"""A typed table: story A1's windows, what must hold for any table, and what is refused."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.tides import official
from yardwright.tides.sill import Sill, needed_level_m
from yardwright.tides.typed import TypedTable
from yardwright.tides.water import Extreme, Interval, Turn, whole_minutes

ZONE = ZoneInfo("America/New_York")
MINUTE = timedelta(minutes=1)
unhurried = settings(deadline=None)  # a busy machine is no fault of the water


def at(day: int, clock: str) -> datetime:
    """A time in May 2031 at the yard."""
    hour, minute = clock.split(":")
    return datetime(2031, 5, day, int(hour), int(minute), tzinfo=ZONE)


def table(*rows: tuple[int, str, float, str]) -> TypedTable:
    turns = tuple(Extreme(at(day, clock), level, Turn(kind)) for day, clock, level, kind in rows)
    return TypedTable(turns, "chart datum", "2031 tables", "Heron Slip, tables for 2031")


HERON_SLIP = [
    (5, "00:40", 0.10, "LW"), (5, "06:50", 1.45, "HW"),
    (5, "13:00", 0.15, "LW"), (5, "19:15", 1.40, "HW"),
    (6, "01:30", 0.12, "LW"), (6, "07:40", 1.42, "HW"),
    (6, "13:50", 0.18, "LW"), (6, "20:05", 1.38, "HW"),
    (7, "02:25", 0.15, "LW"), (7, "08:35", 1.38, "HW"),
    (7, "14:45", 0.22, "LW"), (7, "21:00", 1.35, "HW"),
]  # fmt: skip

# Acceptance story "Three days of water": worked out by hand, each to a minute.
A1 = [
    ("Dunlin", 1.45, 6, "04:41", "10:45"),
    ("Curlew", 1.75, 6, "05:38", "09:45"),
    ("Curlew", 1.75, 6, "18:05", "22:05"),
    ("Curlew", 1.75, 7, "06:38", "10:35"),
    ("Avocet", 1.90, 7, "07:18", "09:55"),
]


@pytest.mark.parametrize(("boat", "draft_m", "day", "start", "end"), A1)
def test_story_a1_windows(boat: str, draft_m: float, day: int, start: str, end: str) -> None:
    water = table(*HERON_SLIP)
    sill = Sill(-1.00, "chart datum", "2031 tables", date(2030, 9, 4), "the yard")
    needed_m = needed_level_m(sill, water, draft_m, sling_bight_m=0.10, margin_m=0.25)
    windows = whole_minutes(water.windows(water.span.start, water.span.end, needed_m))
    window = min(windows, key=lambda one: abs(one.start - at(day, start)))
    assert abs(window.start - at(day, start)) <= MINUTE, boat
    assert abs(window.end - at(day, end)) <= MINUTE, boat


@st.composite
def tables(draw: st.DrawFn) -> TypedTable:
    count = draw(st.integers(2, 9))
    gaps = draw(st.lists(st.integers(240, 500), min_size=count, max_size=count))
    lows = draw(st.lists(st.integers(-200, 100), min_size=count, max_size=count))
    ranges = draw(st.lists(st.integers(1, 600), min_size=count, max_size=count))
    when, high, turns = datetime(2031, 4, 1, tzinfo=UTC), draw(st.booleans()), []
    for gap, low, rise in zip(gaps, lows, ranges, strict=True):
        level_m = (101 + rise if high else low) / 100  # any high water above any low water
        turns.append(Extreme(when, level_m, Turn.HW if high else Turn.LW))
        when, high = when + gap * MINUTE, not high
    return TypedTable(tuple(turns), "chart datum", "2031", "drawn")


levels = st.floats(-3, 9)


@unhurried
@given(tables())
def test_level_meets_each_turn_and_stays_between_neighbours(water: TypedTable) -> None:
    turns = water.turns
    assert water.level_m([turn.at for turn in turns]) == pytest.approx(
        [t.level_m for t in turns], abs=1e-6
    )
    for before, after in pairwise(turns):
        share = (after.at - before.at) / 20
        level_m = water.level_m([before.at + n * share for n in range(21)])
        steps = np.diff(level_m) * (1 if after.turn == Turn.HW else -1)
        assert (steps > 0).all()
        assert level_m[10] == pytest.approx((before.level_m + after.level_m) / 2, abs=1e-6)


@unhurried
@given(tables(), levels)
def test_typed_windows_equal_a_look_every_minute(water: TypedTable, needed_m: float) -> None:
    span = water.span
    times = [span.start + n * MINUTE for n in range(int(span.length_min) + 1)]
    windows = water.windows(span.start, span.end, needed_m)
    level_m = water.level_m(times)
    for when, level in zip(times, level_m, strict=True):
        if abs(level - needed_m) > 1e-6:
            held = any(window.start <= when <= window.end for window in windows)
            assert held == (level > needed_m), when


@unhurried
@given(tables(), levels, levels)
def test_deeper_boats_have_shorter_windows(water: TypedTable, a: float, b: float) -> None:
    span = water.span
    wide = water.windows(span.start, span.end, min(a, b))
    for window in water.windows(span.start, span.end, max(a, b)):
        assert any(w.start <= window.start and window.end <= w.end for w in wide)


@unhurried
@given(tables(), levels)
def test_whole_minutes_lie_inside_and_lose_less_than_a_minute_a_side(
    water: TypedTable, needed_m: float
) -> None:
    span = water.span
    exact = water.windows(span.start, span.end, needed_m)
    rounded = whole_minutes(exact)
    for window in rounded:
        assert window.start.second == window.start.microsecond == 0
        (around,) = [w for w in exact if w.start <= window.start and window.end <= w.end]
        assert window.start - around.start < MINUTE
        assert around.end - window.end < MINUTE
    assert len(rounded) >= sum(w.length_min >= 2 for w in exact)


@unhurried
@given(tables(), levels)
def test_a_cut_of_the_time_cuts_the_windows(water: TypedTable, needed_m: float) -> None:
    span = water.span
    middle = span.start + (span.end - span.start) / 2
    parts = water.windows(span.start, middle, needed_m) + water.windows(middle, span.end, needed_m)
    whole = water.windows(span.start, span.end, needed_m)
    assert sum(w.length_min for w in parts) == pytest.approx(
        sum(w.length_min for w in whole), abs=1e-3
    )


def test_a_real_printed_year_is_taken() -> None:
    # Friday Harbor 2025, NOAA's own table: mixed tide, uneven gaps, the night of two 01:47s.
    printed = official.friday_harbor()[1]
    water = TypedTable(printed, "MLLW", "1983-2001", "NOAA CO-OPS, Friday Harbor 2025")
    assert water.extremes(water.span.start, water.span.end) == printed[:-1]


REFUSED = [
    pytest.param([], "The table has 0 rows", id="nothing"),
    pytest.param(HERON_SLIP[:1], "The table has 1 rows", id="one row"),
    pytest.param([HERON_SLIP[1], HERON_SLIP[0]], "Row 2 .* is not after", id="order"),
    pytest.param(HERON_SLIP[:2] + HERON_SLIP[3:], "Row 3 .* follows another HW", id="one missing"),
    pytest.param(
        HERON_SLIP[:4] + HERON_SLIP[6:], "Row 5 .* 18.6 h after .* type the ones", id="pair missing"
    ),
    pytest.param(
        [(5, "00:40", 1.45, "LW"), (5, "06:50", 0.10, "HW")], "wrong side", id="heights swapped"
    ),
]


@pytest.mark.parametrize(("rows", "sentence"), REFUSED)
def test_a_bad_table_is_refused(rows: list[tuple[int, str, float, str]], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        table(*rows)


def test_all_faults_are_said_at_once() -> None:
    rows = [HERON_SLIP[0], HERON_SLIP[2], HERON_SLIP[1]]
    with pytest.raises(ValueError, match=r"Row 2 (.|\n)*Row 3 "):
        table(*rows)


@pytest.mark.parametrize("word", ["datum", "epoch", "source"])
def test_a_table_without_its_words_is_refused(word: str) -> None:
    words = {"datum": "chart datum", "epoch": "2031", "source": "a table"} | {word: " "}
    with pytest.raises(ValueError, match=f"{word} is missing"):
        TypedTable(table(*HERON_SLIP).turns, **words)


def test_outside_the_table_is_refused() -> None:
    water = table(*HERON_SLIP)
    with pytest.raises(ValueError, match="known from 2031-05-05 04:40"):
        water.windows(at(5, "00:00"), at(6, "00:00"), 1.0)
    with pytest.raises(ValueError, match="ask within"):
        water.level_m([at(8, "00:00")])
    with pytest.raises(ValueError, match="ask within"):
        water.extremes(at(5, "00:00"), at(6, "00:00"))


def test_times_without_a_zone_or_skipped_by_the_clock_are_refused() -> None:
    with pytest.raises(ValueError, match="no time zone"):
        Extreme(datetime(2031, 5, 5, 0, 40), 0.1, Turn.LW)  # noqa: DTZ001 (that is the point)
    with pytest.raises(ValueError, match="does not exist"):
        Extreme(datetime(2031, 3, 9, 2, 30, tzinfo=ZONE), 0.1, Turn.LW)
    with pytest.raises(ValueError, match="height is nan"):
        Extreme(at(5, "00:40"), float("nan"), Turn.LW)


def test_an_empty_interval_is_refused() -> None:
    with pytest.raises(ValueError, match="not after the start"):
        Interval(at(5, "06:50"), at(5, "06:50"))
