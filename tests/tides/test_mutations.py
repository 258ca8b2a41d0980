"""Eight ways to go wrong that look right: each makes us leave the official tables."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from types import MappingProxyType

import pytest

from tests.tides import official
from yardwright.tides import astronomy, harmonic, stations
from yardwright.tides.astronomy import Argument

Factors = dict[str, tuple[float, float]]
Fault = Callable[[pytest.MonkeyPatch], None]
ROUNDING_M = 0.004  # the tables are printed to the millimetre, or a hundredth of a foot


def furthest_off_m() -> float:
    """From every hourly height printed for the eight stations."""
    off = 0.0
    for one in official.stations():
        water = stations.station(one.id).water()
        for start, printed_m in one.hourly:
            times = [start.replace(tzinfo=UTC) + timedelta(hours=h) for h in range(len(printed_m))]
            off = max(off, *abs(water.level_m(times) - printed_m))
    return off


def monthly_factors(patch: pytest.MonkeyPatch) -> None:
    """F and u of the month, not of the year's middle: the weeks compared are all in August."""
    patch.setattr(harmonic, "node_factors", lambda hour: astronomy.node_factors(hour + 45 * 24))


def m1_without_perigee(patch: pytest.MonkeyPatch) -> None:
    def argument(name: str, start_h: float, factors: Factors) -> Argument:
        right = astronomy.argument(name, start_h, factors)
        perigee_deg_h = float(astronomy.longitudes(start_h)[1][2])
        return right._replace(speed_deg_h=right.speed_deg_h - perigee_deg_h * (name == "M1"))

    patch.setattr(harmonic, "argument", argument)


def sa_from_perihelion(patch: pytest.MonkeyPatch) -> None:
    patch.setitem(astronomy.SIMPLE, "SA", astronomy.SIMPLE["SA"]._replace(p1=-1))


def s1_turned(patch: pytest.MonkeyPatch) -> None:
    patch.setitem(astronomy.SIMPLE, "S1", astronomy.SIMPLE["S1"]._replace(phase_deg=180))


def k1_u_of_the_other_sign(patch: pytest.MonkeyPatch) -> None:
    def factors(hour: float) -> Factors:
        right = astronomy.node_factors(hour)
        f, u_deg = right["K1"]
        return right | {"K1": (f, -u_deg)}

    patch.setattr(harmonic, "node_factors", factors)


def l2_r_of_the_other_sign(patch: pytest.MonkeyPatch) -> None:
    def factors(hour: float) -> Factors:
        right = astronomy.node_factors(hour)
        f, u_deg = right["L2"]
        return right | {"L2": (f, 2 * right["M2"][1] - u_deg)}  # u of L2 is u of M2, less R

    patch.setattr(harmonic, "node_factors", factors)


def msl_taken_for_mllw(patch: pytest.MonkeyPatch) -> None:
    right = stations.station

    def station(number: str) -> stations.Station:
        found = right(number)
        return replace(found, datums_m=_same(found.datums_m))

    patch.setattr(stations, "station", station)


def _same(datums_m: Mapping[str, float]) -> Mapping[str, float]:
    return MappingProxyType({**datums_m, "MLLW": datums_m["MSL"]})


FAULTS = [
    pytest.param(monthly_factors, 0.010, id="f and u of the month"),
    pytest.param(m1_without_perigee, 0.010, id="M1 at its Doodson speed"),
    pytest.param(sa_from_perihelion, 0.050, id="SA from perihelion"),
    pytest.param(s1_turned, 0.030, id="S1 turned round"),
    pytest.param(k1_u_of_the_other_sign, 0.050, id="sign of K1's u"),
    pytest.param(l2_r_of_the_other_sign, 0.030, id="sign of L2's R"),
    pytest.param(msl_taken_for_mllw, 1.0, id="MSL taken for MLLW"),
]


def test_without_a_fault_the_tables_are_met() -> None:
    assert furthest_off_m() <= ROUNDING_M


@pytest.mark.parametrize(("fault", "at_least_m"), FAULTS)
def test_a_fault_leaves_the_tables(
    monkeypatch: pytest.MonkeyPatch, fault: Fault, at_least_m: float
) -> None:
    fault(monkeypatch)
    assert furthest_off_m() > at_least_m > ROUNDING_M


def test_the_first_of_two_equal_times_is_an_hour_off() -> None:
    # Friday Harbor prints 01:47 on 2 November 2025, the night the clock goes back: the second one.
    water, printed = official.friday_harbor()
    (second,) = [turn for turn in printed if turn.at == datetime(2025, 11, 2, 9, 47, tzinfo=UTC)]
    first = replace(second, at=second.at - timedelta(hours=1))
    day = (datetime(2025, 11, 2, 4, tzinfo=UTC), datetime(2025, 11, 2, 14, tzinfo=UTC))
    near = tuple(turn for turn in water.extremes(*day) if turn.turn == second.turn)
    found = min(near, key=lambda turn: abs(turn.at - second.at))
    assert official.misses((found,), (second,))[0] <= 1
    assert official.misses((found,), (first,))[0] > 59
