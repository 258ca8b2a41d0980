"""Windows of the harmonic water against a look every minute, and what must hold near their edges."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from tests.tides import official
from yardwright.tides.harmonic import Harmonic
from yardwright.tides.stations import station
from yardwright.tides.water import Interval, Turn, Water

MINUTE = timedelta(minutes=1)


def inside(
    windows: tuple[Interval, ...], start: datetime, minutes: int
) -> np.ndarray[tuple[int], np.dtype[np.bool_]]:
    """Which whole minutes after start lie in a window."""
    held = np.zeros(minutes, dtype=bool)
    for window in windows:
        first = -((start - window.start) // MINUTE)
        held[first : (window.end - start) // MINUTE + 1] = True
    return held


PERIODS = [
    pytest.param("2026-04-01", "2026-05-31", id="spring"),
    pytest.param("2026-12-28", "2027-01-04", id="New Year"),
    pytest.param("2026-03-07", "2026-03-10", id="clock goes forward"),
    pytest.param("2026-10-31", "2026-11-03", id="clock goes back"),
]


@pytest.mark.parametrize(("first", "last"), PERIODS)
@pytest.mark.parametrize("name", ["Boston", "Seattle", "Pensacola"])
def test_windows_equal_a_look_every_minute(name: str, first: str, last: str) -> None:
    water = next(one for one in official.stations() if one.name == name).water()
    zone = ZoneInfo("America/New_York")
    start, end = (datetime.fromisoformat(day).replace(tzinfo=zone) for day in (first, last))
    level_m = water.series_m(start, end, 1)
    for needed_m in np.linspace(level_m.min() - 0.1, level_m.max() + 0.1, 41):
        windows = water.windows(start, end, needed_m)
        seen = level_m >= needed_m
        held = inside(windows, start.astimezone(UTC), seen.size)
        assert (seen == held).all(), (name, needed_m)


def test_edges_stand_at_the_level() -> None:
    start, end = datetime(2026, 4, 1, tzinfo=UTC), datetime(2026, 5, 31, tzinfo=UTC)
    for one in official.stations():
        water = one.water()
        needed_m = float(np.median(water.series_m(start, end, 60)))
        edges = [t for w in water.windows(start, end, needed_m) for t in (w.start, w.end)]
        cut = [t for t in edges if start < t < end]
        assert water.level_m(cut) == pytest.approx(needed_m, abs=1e-6)
        assert len(cut) > 50


def test_a_window_of_seconds_is_not_missed() -> None:
    start, end = datetime(2026, 4, 1, tzinfo=UTC), datetime(2026, 5, 31, tzinfo=UTC)
    for one in official.stations():
        water = one.water()
        highest = max(water.extremes(start, end), key=lambda turn: turn.level_m)
        (window,) = water.windows(start, end, highest.level_m - 1e-7)
        assert window.start <= highest.at <= window.end
        assert window.length_min < 1


def test_step_at_new_year_does_not_split_or_stretch_a_window() -> None:
    # Seattle's sum steps by centimetres at New Year 2027, 00:00 UTC: the tables do, so we do.
    water = next(one for one in official.stations() if one.name == "Seattle").water()
    new_year = datetime(2027, 1, 1, tzinfo=UTC)
    before_m, after_m = water.level_m([new_year - timedelta(seconds=1e-3), new_year])
    assert abs(after_m - before_m) > 0.05
    day = timedelta(days=1)
    within = water.windows(new_year - day, new_year + day, min(before_m, after_m) - 0.01)
    assert sum(w.start < new_year < w.end for w in within) == 1
    between = water.windows(new_year - day, new_year + day, (before_m + after_m) / 2)
    assert [new_year in (w.start, w.end) for w in between].count(True) == 1


def test_a_cut_of_the_time_cuts_the_windows() -> None:
    # Seven minutes are less than the quarter hours between the sum's own nodes.
    water = station("8418150").water()
    start, piece = datetime(2031, 5, 6, tzinfo=UTC), timedelta(minutes=7)
    whole = water.windows(start, start + 200 * piece, 1.5)
    pieces = [water.windows(start + n * piece, start + (n + 1) * piece, 1.5) for n in range(200)]
    cut_min = sum(window.length_min for one in pieces for window in one)
    assert cut_min == pytest.approx(sum(window.length_min for window in whole), abs=0.001)
    assert len(whole) == 2


def test_high_and_low_alternate_over_every_new_year() -> None:
    water = station("8418150").water()
    for year in range(2027, 2047):
        new_year = datetime(year, 1, 1, tzinfo=UTC)
        day = timedelta(days=1)
        turns = water.extremes(new_year - day, new_year + day)
        assert 7 <= len(turns) <= 9
        assert all(before.turn != after.turn for before, after in pairwise(turns))


def test_high_and_low_alternate_also_where_the_step_turns_the_tide() -> None:
    # At Village Cove the level rises until New Year 2037, 00:00 UTC, and falls from there.
    new_year = datetime(2037, 1, 1, tzinfo=UTC)
    day = timedelta(days=1)
    turns = station("9464212").water().extremes(new_year - day, new_year + day)
    assert any(turn.at == new_year and turn.turn == Turn.HW for turn in turns)
    assert all(before.turn != after.turn for before, after in pairwise(turns))


def test_pieces_make_the_year() -> None:
    # Friday Harbor 2025: every third hour cut through, also between the two of a near-flat pair.
    water = official.friday_harbor()[0]
    start, piece = datetime(2025, 1, 1, 8, tzinfo=UTC), timedelta(hours=3)
    pieces = [water.extremes(start + n * piece, start + (n + 1) * piece) for n in range(8 * 365)]
    one_by_one = [(turn.at.replace(microsecond=0), turn.turn) for one in pieces for turn in one]
    year = water.extremes(start, start + 8 * 365 * piece)
    assert one_by_one == [(turn.at.replace(microsecond=0), turn.turn) for turn in year]


def test_clock_change_counts_real_minutes() -> None:
    # Boston, 8 March 2026: from 00:01 to 05:21 on the wall clock, 260 minutes pass, not 320.
    zone = ZoneInfo("America/New_York")
    window = Interval(
        datetime(2026, 3, 8, 0, 1, tzinfo=zone), datetime(2026, 3, 8, 5, 21, tzinfo=zone)
    )
    assert window.length_min == 260


@pytest.mark.parametrize("station_id", ["8418150", "1613077"])
def test_any_zone_in_utc_out(station_id: str) -> None:
    water: Water = station(station_id).water()
    zone = ZoneInfo("America/New_York")
    local = (datetime(2026, 11, 1, tzinfo=zone), datetime(2026, 11, 2, tzinfo=zone))
    in_utc = (local[0].astimezone(UTC), local[1].astimezone(UTC))
    assert water.windows(*local, 0.4) == water.windows(*in_utc, 0.4)
    assert water.extremes(*local) == water.extremes(*in_utc)
    assert all(turn.at.tzinfo is UTC for turn in water.extremes(*local))


def test_level_one_by_one_equals_the_even_series_also_over_new_year() -> None:
    water = station("9447130").water()
    assert isinstance(water, Harmonic)
    start, end = datetime(2026, 12, 31, 12, tzinfo=UTC), datetime(2027, 1, 1, 12, tzinfo=UTC)
    times = [start + timedelta(minutes=6 * step) for step in range(241)]
    backwards = water.level_m(times[::-1])[::-1]
    assert water.series_m(start, end, 6) == pytest.approx(backwards, abs=1e-9)


def test_the_last_instant_of_a_year_belongs_to_it() -> None:
    water = station("9447130").water()
    new_year = datetime(2027, 1, 1, tzinfo=UTC)
    last_m = water.level_m([new_year - timedelta(microseconds=n) for n in (1, 10, 1000, 10**6)])
    assert last_m == pytest.approx(last_m[-1], abs=0.001)
    assert abs(last_m[0] - water.level_m([new_year])[0]) > 0.05


def test_years_far_from_the_constants_are_refused() -> None:
    water = station("8418150").water()
    for year in (2005, 2047):
        start = datetime(year, 6, 1, tzinfo=UTC)
        with pytest.raises(ValueError, match="known from 2006-01-01 00:00 to 2047-01-01 00:00"):
            water.windows(start, start + timedelta(days=1), 1.0)
        with pytest.raises(ValueError, match="type the printed high and low waters"):
            water.level_m([start])
        with pytest.raises(ValueError, match="type the printed high and low waters"):
            water.extremes(start, start + timedelta(days=1))


def test_end_before_start_is_refused() -> None:
    start = datetime(2031, 5, 6, tzinfo=UTC)
    with pytest.raises(ValueError, match="not after the start"):
        station("8418150").water().windows(start, start - MINUTE, 1.0)


def test_unknown_constituent_is_refused() -> None:
    with pytest.raises(ValueError, match="type the place's printed high and low waters"):
        station("9455920").water()
