"""The shipped stations, against NOAA's own numbers where these are at hand."""

from datetime import UTC, datetime, timedelta
from itertools import pairwise
from math import cos, radians

import pytest

from tests.tides import official
from tests.tides.official import misses, rounded_days
from yardwright.tides.stations import named, nearest, station
from yardwright.tides.subordinate import Subordinate
from yardwright.tides.water import wind_decides

SPRING = (datetime(2031, 4, 1, tzinfo=UTC), datetime(2031, 5, 31, tzinfo=UTC))


def test_constants_and_datums_are_noaas() -> None:
    # The eight official records in tests/data/tides carry their own constants and datums.
    for record in official.stations():
        shipped = station(record.id)
        assert {k: tuple(v) for k, v in shipped.constants.items()} == {
            k: tuple(v) for k, v in record.constants.items()
        }
        assert shipped.datums_m.items() >= record.datums_m.items()
        assert shipped.epoch == "1983-2001"


def test_shipped_stations_give_the_printed_tables() -> None:
    for record in official.stations():
        for printed in record.weeks:
            found = station(record.id).water().extremes(*rounded_days(printed, 7))
            off_min, off_m = misses(found, printed)
            assert off_min <= 1, record.name
            assert off_m <= 0.004, record.name


def test_offsets_are_noaas() -> None:
    for record in official.subordinates():
        assert station(record.id).offsets == record.offsets


def test_portland_is_there() -> None:
    # NOAA station page 8418150: mean range 2.781 m, MSL 4.113, MLLW 2.607 above station datum.
    portland = station(" 8418150 ")
    assert (portland.name, portland.epoch, portland.vintage) == ("Portland", "1983-2001", "2026-09")
    water = portland.water()
    assert (water.datum, water.epoch) == ("MLLW", "1983-2001")
    assert "8418150 Portland" in water.source
    highs = [turn.level_m for turn in water.extremes(*SPRING) if turn.turn == "HW"]
    lows = [turn.level_m for turn in water.extremes(*SPRING) if turn.turn == "LW"]
    mean_range_m = sum(highs) / len(highs) - sum(lows) / len(lows)
    assert mean_range_m == pytest.approx(2.781, abs=0.15)  # two months of a 19-year mean


def test_epochs_differ_between_stations() -> None:
    # Grand Isle sinks: NOAA reckons its datums from the five years 2012-2016.
    assert station("8761724").epoch == "2012-2016"


def test_a_subordinate_holds_its_own_datum_alone() -> None:
    cape_porpoise = station("8418772")
    assert cape_porpoise.reference == "8418150"
    assert not cape_porpoise.datums_m
    water = cape_porpoise.water()
    assert isinstance(water, Subordinate)
    assert (water.datum, water.epoch, dict(water.datums_m)) == ("MLLW", "1983-2001", {})
    assert "half-cosine" in water.source
    assert water.less_sure.startswith("Less sure between high and low water")
    assert station("8418150").water().less_sure == ""


def test_the_whole_us_table_ships() -> None:
    # NOAA's list as of September 2026: every subordinate's reference is in it; Anchorage alone
    # has more constituents than the 37 of the sum, and is refused.
    every = nearest(43.66, -70.25, 10_000)
    subordinates = [one for _, one in every if one.reference]
    assert (len(every), len(subordinates)) == (3486, 2241)
    refused = set()
    for _, one in every:
        try:
            assert bool(one.water().less_sure) == bool(one.reference)
        except ValueError:
            refused.add(one.name)
    assert refused == {"Anchorage"}


def test_subordinate_water_between_its_turns() -> None:
    water = station("8418772").water()
    turns = water.extremes(*SPRING)
    assert water.level_m([t.at for t in turns]) == pytest.approx([t.level_m for t in turns])
    top = max(turns, key=lambda turn: turn.level_m)
    (window,) = water.windows(*SPRING, top.level_m - 0.001)
    assert window.start < top.at < window.end
    assert water.level_m([window.start, window.end]) == pytest.approx(top.level_m - 0.001)
    assert water.level_m([]).size == 0


def test_a_pair_that_would_change_places_is_left_out() -> None:
    # Santo Domingo follows Galveston with offsets hours apart; its turns stay in order all the same.
    turns = station("TEC4723").water().extremes(*SPRING)
    assert all(a.at < b.at and a.turn != b.turn for a, b in pairwise(turns))


def test_unknown_station_says_what_to_do() -> None:
    with pytest.raises(ValueError, match=r"No tide station 'Portland'. Give NOAA's number"):
        station("Portland")


def test_distance() -> None:
    # A degree of latitude on a sphere of 6,371 km is 111.195 km; four of them are past 400 km.
    portland = station("8418150")
    assert portland.distance_km(portland.lat, portland.lon) == 0
    assert portland.distance_km(portland.lat - 1, portland.lon) == pytest.approx(111.195, abs=0.001)
    assert portland.distance_km(portland.lat - 4, portland.lon) == pytest.approx(444.78, abs=0.01)
    # Across the date line it is the short way round: Wake Island, a degree of longitude further on.
    wake = station("1890000")
    east, west = wake.distance_km(wake.lat, 179.9), wake.distance_km(wake.lat, -179.9)
    assert west - east == pytest.approx(0.2 * 111.195 * cos(radians(wake.lat)), rel=0.02)
    with pytest.raises(ValueError, match="give degrees"):
        portland.distance_km(4366, -7024)


def test_nearest_first() -> None:
    found = nearest(43.66, -70.25)
    assert found[0][1].id == "8418150"
    assert [km for km, _ in found] == sorted(km for km, _ in found)
    assert len(found) == 5


def test_wind_decides_where_the_tide_is_small() -> None:
    # NOAA datum sheets: Pensacola's great diurnal range is 0.383 m, Portland's 3.019 m.
    assert wind_decides(station("8729840").water(), *SPRING)
    assert not wind_decides(station("8418150").water(), *SPRING)
    with pytest.raises(ValueError, match="ask about a few days"):
        wind_decides(station("8418150").water(), SPRING[0], SPRING[0] + timedelta(hours=1))


def test_a_station_is_found_by_words_of_its_name_in_any_case() -> None:
    # NOAA's station list: 8418150 is Portland, Maine
    assert "8418150" in [one.id for one in named("PORTLAND")]
    assert [one.id for one in named("8418150")] == ["8418150"]
    assert named("  ") == ()
