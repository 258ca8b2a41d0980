import json
from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import combinations
from math import erf, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.procedures.quantities import Answer, quantity
from yardwright.procedures.readings import Instrument, Limit, Reading
from yardwright.procedures.verdict import (
    Clearing,
    Judgement,
    Rule,
    Verdict,
    cleared_by_repair,
    holds,
    judge,
    who_may_clear,
)

AT = datetime(2031, 5, 2, 10, 0, tzinfo=UTC)
CHECKED = date(2031, 12, 31)

LOAD = quantity("battery_under_load")
HEAD = quantity("head_temperature")
COMPRESSION = quantity("compression")
DROP = quantity("start_cable_drop")
FUEL = quantity("fuel_pressure")
NUT = quantity("propeller_nut_torque")
GEAR = quantity("gear_case_pressure")

Answers = Mapping[str, Answer]
# The scenario gives its uncertainty in all, so the thermometer adds nothing here.
TESTED: Answers = {
    "charged": True,
    "rested": True,
    "half_cca": True,
    "seconds": 15,
    "battery_temp_c": 7.0,
    "thermometer_within_c": 0.0,
}
RAN: Answers = {"warm": True, "dull_spots": True}
CRANKED: Answers = {"warm": True, "plugs_out": True, "throttle_open": True, "cranked": True}
DRY: Answers = {"sniffed": True, "no_drip": True}
LOCKED: Answers = {"washers": True, "locked": True}


def read(
    code: str, values: tuple[float, ...], unit: str, u: float, conditions: Answers, **more: object
) -> Reading:
    tool = Instrument("No. 4", unit, CHECKED, u=u)
    reading = Reading(code, values, unit, AT, "Ines", tool, conditions)
    return replace(reading, **more)  # type: ignore[arg-type]


def rules(judgement: Judgement) -> set[Rule]:
    return {reason.rule for reason in judgement.reasons}


# --- the scenario's rows: figures worked by hand there, from JCGM 106 and by draws --------------

LOAD_THIN = Limit("V", "The yard's own", "-", thin=0.45)


def load_test(volts: float, conditions: Answers = TESTED, u: float = 0.03) -> Judgement:
    return judge(LOAD, read(LOAD.code, (volts,), "V", u, conditions), LOAD_THIN)


def test_load_test_not_sure_enough() -> None:
    judgement = load_test(9.38)
    assert judgement.verdict == Verdict.CANT_SAY
    assert judgement.limit is not None
    assert judgement.limit.lower == pytest.approx(9.346, abs=1e-6)
    assert judgement.p == pytest.approx(0.871, abs=0.0006)
    assert judgement.deciding_u == pytest.approx(0.0207, abs=0.00005)
    words = next(r.words for r in judgement.reasons if r.rule == Rule.NOT_SURE)
    assert words == (
        "9.38 V. The limit is at least 9.346 V. Not sure enough: needs a meter good to 0.02 V."
    )


@pytest.mark.parametrize(
    ("volts", "verdict"),
    [(10.10, Verdict.GOOD), (9.70, Verdict.THIN), (8.90, Verdict.STOP)],
)
def test_load_test(volts: float, verdict: Verdict) -> None:
    assert load_test(volts).verdict == verdict


@pytest.mark.parametrize("missing", ["charged", "rested", "half_cca", "seconds", "battery_temp_c"])
def test_load_test_with_something_not_entered(missing: str) -> None:
    judgement = load_test(10.10, {k: v for k, v in TESTED.items() if k != missing})
    assert judgement.verdict == Verdict.CANT_SAY
    question = LOAD.condition(missing).question
    assert [reason.words for reason in judgement.reasons] == [f"Not told: {question}"]


PORT, STARBOARD = (64.0, 66.0, 65.0, 74.0), (64.0, 65.0, 66.0, 65.0)
HEAD_LIMIT = Limit("°C", "Manual of the scenario's engine", "12", upper=80)


def test_head_temperatures_of_twins() -> None:
    port = read(HEAD.code, PORT, "°C", 1.5, RAN, where="port")
    starboard = read(HEAD.code, STARBOARD, "°C", 1.5, RAN, where="starboard")
    judgement = judge(HEAD, port, HEAD_LIMIT, twin=starboard)
    assert judgement.verdict == Verdict.LOOK_AGAIN
    told = [r.words for r in judgement.reasons]
    assert "Point 4, port: 74 °C, 9 °C over its twin; 6 °C is the most." in told
    assert all(words.startswith("Point 4, port") for words in told)
    # It is the port side that strays: the starboard engine is not to be blamed for it.
    assert judge(HEAD, starboard, HEAD_LIMIT, twin=port).verdict == Verdict.GOOD


def compression(psi: tuple[float, ...], u: float, lower: float | None = None) -> Judgement:
    limit = Limit("psi", "Manual", "31", lower=lower, lowest_over_highest=0.90)
    return judge(COMPRESSION, read(COMPRESSION.code, psi, "psi", u, CRANKED), limit)


def test_compression_uneven_but_not_sure() -> None:
    judgement = compression((150, 148, 151, 134), 2)
    assert judgement.verdict == Verdict.CANT_SAY
    even = next(r for r in judgement.reasons if r.about == "even")
    assert even.p == pytest.approx(0.145, abs=0.005)
    assert even.words.startswith(
        "Cylinder 4: 134 psi, 0.887 of the highest, 151 psi; 0.90 is the least. "
        "Not sure enough: needs a gauge good to"
    )


def test_compression_old_engine() -> None:
    judgement = compression((75, 75, 80, 78), 2)
    assert judgement.about("even") == Verdict.CANT_SAY
    assert judgement.p == pytest.approx(0.745, abs=0.005)
    assert judgement.about("pressure") == Verdict.NO_LIMIT
    assert judgement.verdict == Verdict.CANT_SAY


def test_compression_even_without_a_pressure_limit_is_never_green() -> None:
    judgement = compression((78, 79, 80, 79), 0.5)
    assert judgement.about("even") == Verdict.GOOD
    assert judgement.about("pressure") == Verdict.NO_LIMIT
    assert judgement.verdict == Verdict.NO_LIMIT


def test_compression_under_its_limit() -> None:
    judgement = compression((78, 79, 80, 79), 0.5, lower=100)
    assert judgement.verdict == Verdict.STOP
    assert judgement.about("even") == Verdict.GOOD


# --- rule by rule ---------------------------------------------------------------------------------


def chance(z: float) -> float:
    """Normal distribution, by the error function: not by the code under test."""
    return (1 + erf(z / sqrt(2))) / 2


# JCGM 106:2012, 7.3.3, examples 1 and 2; the third is its 7.4 with 12.5 to 16.3.
@pytest.mark.parametrize(
    ("value", "u", "lower", "upper", "p"),
    [
        (-5.47, 0.05, None, -5.40, 0.919),
        (509.7, 8.6, 490, None, 0.989),
        (13.6, 1.8, 12.5, 16.3, 0.663),
    ],
)
def test_chance_within(
    value: float, u: float, lower: float | None, upper: float | None, p: float
) -> None:
    limit = Limit("V", "JCGM 106:2012", "7.3", lower=lower, upper=upper)
    judgement = judge(DROP, read(DROP.code, (value,), "V", u, {"cranking": True}), limit)
    assert judgement.p == pytest.approx(p, abs=0.001)


def test_what_can_hurt_must_be_surer() -> None:
    # 18 to 25 N m, 24.0 read, u 0.6: 0.952 by JCGM 106:2012, 7.4. Enough for 0.95, not for 0.99.
    torque = Limit("N m", "Manual", "8", lower=18, upper=25)
    nut = judge(NUT, read(NUT.code, (24.0,), "N m", 0.6, LOCKED), torque)
    assert nut.p == pytest.approx(0.952, abs=0.002)
    assert nut.verdict == Verdict.CANT_SAY
    drop = Limit("V", "Manual", "8", lower=18, upper=25)
    assert (
        judge(DROP, read(DROP.code, (24.0,), "V", 0.6, {"cranking": True}), drop).verdict
        == Verdict.GOOD
    )


def test_battery_temperature_is_a_part_of_the_uncertainty() -> None:
    # Between 30 and 20 °F the table moves 0.036 V a °C: 2 °C of standard uncertainty are 0.072 V,
    # with a meter of 0.048 V 0.087 V in all (root of the sum of squares).
    cold = {**TESTED, "battery_temp_c": -4.0, "thermometer_within_c": 2 * sqrt(3)}
    judgement = load_test(10.0, cold, u=0.048)
    assert judgement.u is not None
    assert judgement.u[0] == pytest.approx(0.087, abs=0.0006)


def test_a_limit_too_blurred_is_not_blamed_on_the_meter() -> None:
    blurred = {**TESTED, "battery_temp_c": -4.0, "thermometer_within_c": 5.0}
    # By hand: 5 / √3 °C times 0.036 V a degree are 0.104 V.
    words = load_test(9.1, blurred, u=0.001).reasons[0].words
    assert words.endswith(
        "the limit itself is known to 0.1 V only. Measure the temperature closer."
    )


def test_battery_too_cold_for_the_table() -> None:
    judgement = load_test(10.0, {**TESTED, "battery_temp_c": -25.0})
    assert judgement.verdict == Verdict.CANT_SAY
    assert "warm it first" in judgement.reasons[0].words


@pytest.mark.parametrize(("lower", "verdict"), [(9.0, Verdict.GOOD), (10.0, Verdict.STOP)])
def test_limit_on_file_goes_before_the_table(lower: float, verdict: Verdict) -> None:
    # 9.6 V at 7 °C passes the table's 9.346 V by 0.254 V.
    own = Limit("V", "Sheet of this battery", "2", lower=lower)
    assert judge(LOAD, read(LOAD.code, (9.6,), "V", 0.03, TESTED), own).verdict == verdict


@pytest.mark.parametrize(
    ("tool", "says"),
    [
        (None, "which meter was it read with"),
        (Instrument("No. 4", "V", date(2031, 5, 1), u=0.03), "past its check"),
        (Instrument("No. 4", "V", None, u=0.03), "until when does the check of No. 4 hold"),
        (Instrument("No. 4", "V", CHECKED), "how far off can No. 4 be"),
    ],
)
def test_instrument_that_proves_nothing(tool: Instrument | None, says: str) -> None:
    reading = read(LOAD.code, (10.10,), "V", 0.03, TESTED, instrument=tool)
    judgement = judge(LOAD, reading, LOAD_THIN)
    assert judgement.verdict == Verdict.CANT_SAY
    assert any(says in reason.words for reason in judgement.reasons)


def test_instrument_on_the_last_day_of_its_check() -> None:
    tool = Instrument("No. 4", "V", AT.date(), u=0.03)
    reading = read(LOAD.code, (10.10,), "V", 0.03, TESTED, instrument=tool)
    assert judge(LOAD, reading, LOAD_THIN).verdict == Verdict.GOOD


def test_meter_by_its_maker() -> None:
    # 0.5 % and two digits of 0.01 V at 12.60 V: within 0.083 V, 0.048 V as a rectangle (/√3).
    meter = Instrument("No. 4", "V", CHECKED, within=0.02, within_share=0.005, resolution=0.01)
    assert meter.u_at(12.60) == pytest.approx(0.048, abs=0.0005)


def test_a_stop_stays_one_when_a_condition_is_missing() -> None:
    judgement = load_test(8.90, {k: v for k, v in TESTED.items() if k != "charged"})
    assert judgement.verdict == Verdict.STOP
    assert rules(judgement) == {Rule.COUNTS, Rule.OUTSIDE}  # all rules ran, all reasons are shown


def test_look_again_also_without_a_limit() -> None:
    judgement = judge(HEAD, read(HEAD.code, PORT, "°C", 1.5, RAN), None)
    assert judgement.verdict == Verdict.LOOK_AGAIN
    assert rules(judgement) == {Rule.BOUNDS, Rule.NO_LIMIT}


@pytest.mark.parametrize(("twin", "verdict"), [(70.0, Verdict.GOOD), (71.1, Verdict.LOOK_AGAIN)])
def test_single_twin(twin: float, verdict: Verdict) -> None:
    one, other = (read(HEAD.code, (t,), "°C", 1.0, RAN) for t in (65.0, twin))
    assert judge(HEAD, one, HEAD_LIMIT, twin=other).verdict == verdict


def test_bound_on_file_goes_first() -> None:
    reading = read(HEAD.code, PORT, "°C", 1.0, RAN)
    assert judge(HEAD, reading, replace(HEAD_LIMIT, others=9.0)).verdict == Verdict.GOOD
    assert judge(HEAD, reading, replace(HEAD_LIMIT, others=8.9)).verdict == Verdict.LOOK_AGAIN


def years(*values: float, code: str = HEAD.code, unit: str = "°C") -> list[Reading]:
    """One reading a year, the last of them a year ago."""
    answers = RAN if code == HEAD.code else TESTED
    return [
        read(code, (v,), unit, 0.03, answers, at=AT.replace(year=AT.year - back))
        for back, v in zip(range(len(values), 0, -1), values, strict=True)
    ]


def test_out_of_its_last_years() -> None:
    reading = read(HEAD.code, (70.0,), "°C", 1.0, RAN)
    assert (
        judge(HEAD, reading, HEAD_LIMIT, last_years=years(64, 63.9)).verdict == Verdict.LOOK_AGAIN
    )
    # One odd year does not move the middle of them.
    assert judge(HEAD, reading, HEAD_LIMIT, last_years=years(66, 65, 20)).verdict == Verdict.GOOD


@pytest.mark.parametrize(
    ("before", "verdict"),
    [
        # Limit 9.346 V, 9.9 V now, by hand: 0.6 V a year lost is through it next year, 0.5 is not.
        ((11.1, 10.5), Verdict.THIN),
        ((10.9, 10.4), Verdict.GOOD),
        ((10.5,), Verdict.GOOD),  # two points are no trend
        ((8.7, 9.3), Verdict.GOOD),  # on the way up
    ],
)
def test_trend(before: tuple[float, ...], verdict: Verdict) -> None:
    reading = read(LOAD.code, (9.9,), "V", 0.03, TESTED)
    judgement = judge(LOAD, reading, None, last_years=years(*before, code=LOAD.code, unit="V"))
    assert judgement.verdict == verdict


def trend(*before: float, now: float, lower: float | None = None) -> Judgement:
    """Start-cable drops: at most 0.5 V, or at least ``lower``."""
    limit = Limit("V", "Manual", "3", lower=lower, upper=None if lower else 0.5)
    told = {"cranking": True}
    earlier = [
        read(DROP.code, (v,), "V", 0.01, told, at=AT.replace(year=AT.year - back))
        for back, v in zip(range(len(before), 0, -1), before, strict=True)
    ]
    return judge(DROP, read(DROP.code, (now,), "V", 0.01, told), limit, last_years=earlier)


def test_the_trend_tells_how_sure_it_is() -> None:
    # By hand: of three years all pairs say 0.1 to 0.16, their middle is 0.13.
    [few] = trend(0.18, 0.28, now=0.44).reasons
    assert (few.rule, few.verdict) == (Rule.THIN, Verdict.THIN)
    assert few.words == (
        "0.44 V, 0.13 V more each year (from one pair of years to another: +0.1 V to +0.16 V): "
        "through the limit within a season."
    )
    # Five years, by hand: the ten pairs say 0.06, 0.08 twice, 0.0867 twice, 0.09 and 0.1 four
    # times; the middle is 0.0883, and 95 % sure is the first to the last (1.96 x 4.08 = 8 of 10).
    [five] = trend(0.07, 0.17, 0.23, 0.33, now=0.43).reasons
    assert "0.0883 V more each year (95 % sure: +0.06 V to +0.1 V)" in five.words


@pytest.mark.parametrize(
    ("before", "now", "verdict"),
    [
        # Limit 0.5 V. Five years, steps 0.03, 0.03, 0.03, 0.07: the middle 0.035 leads to 0.475,
        # the steep end 0.07 to 0.51. All pairs rise: the decline is proven, its worst counts.
        ((0.28, 0.31, 0.34, 0.37), 0.44, Verdict.THIN),
        # The same with one year down: the interval has both signs, the middle counts.
        ((0.38, 0.35, 0.34, 0.37), 0.44, Verdict.GOOD),
        # The same steps in only four years: no interval is 95 % sure, the middle counts.
        ((0.31, 0.34, 0.37), 0.44, Verdict.GOOD),
        # Proven, and on its way to safety.
        ((0.45, 0.44, 0.43, 0.42), 0.41, Verdict.GOOD),
    ],
)
def test_a_proven_decline_is_taken_at_its_worst(
    before: tuple[float, ...], now: float, verdict: Verdict
) -> None:
    assert trend(*before, now=now).verdict == verdict


def test_a_proven_decline_towards_a_lower_limit() -> None:
    assert trend(0.72, 0.69, 0.66, 0.63, now=0.56, lower=0.5).verdict == Verdict.THIN
    assert trend(0.72, 0.69, 0.66, 0.63, now=0.60, lower=0.5).verdict == Verdict.GOOD


@given(st.lists(st.integers(0, 60), min_size=2, max_size=8), st.integers(0, 40))
def test_no_line_through_its_years_crosses_where_none_may(steps: list[int], now: int) -> None:
    """The cheap look at neighbouring years never misses what the slopes of all pairs would say."""
    judgement = trend(*(n / 100 for n in steps), now=now / 100)
    years = [*(n / 100 for n in steps), now / 100]
    slopes = [(b[1] - a[1]) / (b[0] - a[0]) for a, b in combinations(enumerate(years), 2)]
    if now / 100 + max(slopes) < 0.4999:
        assert Rule.THIN not in rules(judgement)
    if now / 100 + min(slopes) > 0.5001:
        assert Rule.THIN in rules(judgement)


def test_readings_of_this_year_make_no_trend() -> None:
    earlier = [
        read(LOAD.code, (v,), "V", 0.03, TESTED, at=AT - timedelta(days=d))
        for v, d in ((10.4, 366), (10.1, 2), (10.0, 1))
    ]
    reading = read(LOAD.code, (9.9,), "V", 0.03, TESTED)
    assert judge(LOAD, reading, None, last_years=earlier).verdict == Verdict.GOOD


def test_gear_case_needs_the_minutes_its_book_asks_for() -> None:
    held = {"minutes": 5, "steady": True, "shafts_turned": True}
    reading = read(GEAR.code, (12.0,), "psi", 0.3, held)
    silent = Limit("psi", "Drive's book", "44", lower=10)
    assert judge(GEAR, reading, silent).verdict == Verdict.CANT_SAY
    assert judge(GEAR, reading, replace(silent, needs={"minutes": 10})).verdict == Verdict.CANT_SAY
    judgement = judge(GEAR, reading, replace(silent, needs={"minutes": 5}))
    assert judgement.verdict == Verdict.GOOD
    # The way of measuring adds its part: 0.3 and 0.06 psi, root of the sum of squares.
    assert judgement.u is not None
    assert judgement.u[0] == pytest.approx(0.30594, abs=1e-4)
    assert judge(GEAR, reading, None).verdict == Verdict.NO_LIMIT


def test_units_may_differ_between_reading_limit_and_instrument() -> None:
    psi = compression((150, 148, 151, 134), 2, lower=130)
    kpa = 6.894757  # NIST SP 811
    reading = read(COMPRESSION.code, (150, 148, 151, 134), "psi", 2, CRANKED)
    gauge = Instrument("No. 4", "kPa", CHECKED, u=2 * kpa)
    limit = Limit("bar", "Manual", "31", lower=1.3 * kpa, lowest_over_highest=0.9)
    mixed = judge(COMPRESSION, replace(reading, instrument=gauge), limit)
    assert mixed.verdict == psi.verdict
    assert mixed.p == pytest.approx(psi.p, abs=1e-4)


def test_bounds_between_temperatures_are_differences() -> None:
    fahrenheit = read(HEAD.code, (149.0, 149.0, 159.0), "°F", 2, RAN)  # 10 °F are 5.6 °C
    limit = Limit("°F", "Manual", "12", upper=176)
    assert judge(HEAD, fahrenheit, limit).verdict == Verdict.GOOD
    hotter = replace(fahrenheit, values=(149.0, 149.0, 160.0))  # 11 °F are 6.1 °C
    assert judge(HEAD, hotter, limit).verdict == Verdict.LOOK_AGAIN


def test_limit_in_fahrenheit_for_a_reading_in_celsius() -> None:
    limit = Limit("°F", "Manual", "12", upper=149)  # 65 °C
    for temp_c, verdict in ((60.0, Verdict.GOOD), (70.0, Verdict.STOP)):
        assert judge(HEAD, read(HEAD.code, (temp_c,), "°C", 1, RAN), limit).verdict == verdict


def test_compression_limit_without_an_evenness_limit_is_never_green() -> None:
    limit = Limit("psi", "Manual", "31", lower=100)
    judgement = judge(
        COMPRESSION, read(COMPRESSION.code, (150, 151, 149), "psi", 2, CRANKED), limit
    )
    assert judgement.about("pressure") == Verdict.GOOD
    assert judgement.about("even") == judgement.verdict == Verdict.NO_LIMIT
    single = judge(COMPRESSION, read(COMPRESSION.code, (150,), "psi", 2, CRANKED), limit)
    assert single.verdict == Verdict.GOOD  # one cylinder is even with itself


def test_dead_cylinder_stops_without_a_pressure_limit() -> None:
    assert compression((150, 148, 0, 149), 2).verdict == Verdict.STOP


@pytest.mark.parametrize(
    ("high", "p", "verdict"),
    # 9 psi is under five times 2: of the pair alone, (9 - 0.9 high) / (2 x 1.3454), normal table.
    [(15.0, 0.0472, Verdict.STOP), (14.9, None, Verdict.CANT_SAY)],
)
def test_almost_dead_cylinder_beside_one_hardly_better(
    high: float, p: float | None, verdict: Verdict
) -> None:
    judgement = compression((9, high), 2)
    assert judgement.about("even") == verdict
    assert judgement.p == (p if p is None else pytest.approx(p, abs=5e-4))


def test_gauge_that_barely_moved_compares_nothing() -> None:
    judgement = compression((4, 4, 4, 4), 2)
    assert judgement.verdict == Verdict.CANT_SAY
    assert "too little for this gauge" in judgement.reasons[0].words


def test_on_the_limit_itself() -> None:
    limit = Limit("V", "Manual", "3", upper=0.5)
    judgement = judge(DROP, read(DROP.code, (0.5,), "V", 0.01, {"cranking": True}), limit)
    assert judgement.verdict == Verdict.CANT_SAY
    assert "no meter decides that" in judgement.reasons[0].words


SURFACE = quantity("surface_temperature")


def surface(hull_c: float, air_c: float, humidity: float, filed: Limit | None = None) -> Judgement:
    told: Answers = {
        "touched": True,
        "air_temp_c": air_c,
        "air_within_c": 0.0,
        "humidity": humidity,
        "humidity_within": 0.0,
    }
    return judge(SURFACE, read(SURFACE.code, (hull_c,), "°C", 0.05, told), filed)


@pytest.mark.parametrize(
    ("hull_c", "air_c", "humidity", "verdict"),
    [
        # WMO No. 8: 20 °C and 60 % have their dew point at 12.00 °C; ISO 8502-4: 3 °C above it.
        (14.5, 20, 60, Verdict.STOP),
        (15.2, 20, 60, Verdict.GOOD),
        (30.0, 15, 85, Verdict.CANT_SAY),  # not under 85 %: no, whatever the hull
        (30.0, 15, 84.9, Verdict.GOOD),
    ],
)
def test_paint_waits_for_the_dew_point(
    hull_c: float, air_c: float, humidity: float, verdict: Verdict
) -> None:
    assert surface(hull_c, air_c, humidity).verdict == verdict


def test_the_paint_s_own_sheet_and_the_dew_point_both_count() -> None:
    sheet = Limit("°C", "The paint's sheet", "2", lower=18, upper=35)
    assert surface(16, 20, 60, sheet).verdict == Verdict.STOP  # by the sheet
    assert surface(16, 20, 84, replace(sheet, lower=5)).verdict == Verdict.STOP  # by the dew point
    judgement = surface(25, 20, 60, sheet)
    assert judgement.verdict == Verdict.GOOD
    assert judgement.limit == sheet
    crossed = surface(25, 20, 60, Limit("°C", "The paint's sheet", "2", upper=14))
    assert crossed.verdict == Verdict.STOP  # over its 14 °C, and the dew point leaves no room
    assert "Too damp: 15 °C is the least, 14 °C the most." in [r.words for r in crossed.reasons]


def test_the_hygrometer_blurs_the_dew_point() -> None:
    # Magnus by hand: at 20 °C 60 % 12.00 °C, 65 % 13.23 °C: 1.23 / √3 = 0.71 °C, with 0.05 0.71.
    told: Answers = {
        "touched": True,
        "air_temp_c": 20.0,
        "air_within_c": 0.0,
        "humidity": 60.0,
        "humidity_within": 5.0,
    }
    judgement = judge(SURFACE, read(SURFACE.code, (15.2,), "°C", 0.05, told), None)
    assert judgement.u is not None
    assert judgement.u[0] == pytest.approx(0.71, abs=0.01)
    assert judgement.verdict == Verdict.CANT_SAY


def test_a_good_one_names_the_value_nearest_to_its_limit() -> None:
    """All chances are 1 here; the hottest point is the one to be told."""
    [reason] = judge(HEAD, read(HEAD.code, (64, 62, 66, 65), "°C", 0.5, RAN), HEAD_LIMIT).reasons
    assert reason.words == "Point 3: 66 °C. The limit is at most 80 °C."


def test_the_air_s_thermometer_blurs_the_dew_point_too() -> None:
    # Magnus by hand: 60 % has its dew point at 12.00 °C in air of 20 °C, at 12.94 °C in 21 °C:
    # 0.94 / √3 = 0.54 °C.
    told: Answers = {
        "touched": True,
        "air_temp_c": 20.0,
        "air_within_c": 1.0,
        "humidity": 60.0,
        "humidity_within": 0.0,
    }
    judgement = judge(SURFACE, read(SURFACE.code, (18,), "°C", 0.05, told), None)
    assert judgement.u is not None
    assert judgement.u[0] == pytest.approx(0.545, abs=0.006)


def test_the_least_chance_is_kept() -> None:
    """Pressure 101 of 100 psi, u 2: 0.691 by the normal table; evenness is sure."""
    judgement = compression((101, 102, 103), 2, lower=100)
    assert judgement.p == pytest.approx(0.6915, abs=5e-4)
    assert judgement.about("even") == Verdict.GOOD


def test_the_side_that_strays_is_told_by_the_middle_of_its_own_others() -> None:
    """Port's third point lies 8 °C under its others, starboard's at its: port is to look at."""
    port = read(HEAD.code, (70, 70, 62, 70), "°C", 1, RAN, where="port")
    starboard = read(HEAD.code, (71, 71, 71, 71), "°C", 1, RAN, where="starboard")
    assert judge(HEAD, port, HEAD_LIMIT, twin=starboard).verdict == Verdict.LOOK_AGAIN
    assert judge(HEAD, starboard, HEAD_LIMIT, twin=port).verdict == Verdict.GOOD


def test_the_worst_speaks_first() -> None:
    """Where only one sentence has room, it is the one that the verdict stands on."""
    judgement = load_test(8.90, {k: v for k, v in TESTED.items() if k != "charged"})
    assert [r.verdict for r in judgement.reasons] == [Verdict.STOP, Verdict.CANT_SAY]
    assert judgement.reasons[0].words == "8.9 V. The limit is at least 9.346 V."


def test_what_would_decide_is_told_even_without_an_instrument() -> None:
    reading = read(LOAD.code, (9.38,), "V", 0.03, TESTED, instrument=None)
    judgement = judge(LOAD, reading, LOAD_THIN)
    assert judgement.verdict == Verdict.CANT_SAY
    assert judgement.deciding_u == pytest.approx(0.0207, abs=0.00005)
    assert any(r.words.endswith("needs a meter good to 0.02 V.") for r in judgement.reasons)


GRAVITY = quantity("specific_gravity")


def gravity(cells: tuple[float, ...], temp_c: float, **more: object) -> Judgement:
    told: Answers = {
        **dict.fromkeys(("charged", "mixed", "uncorrected"), True),
        "acid_temp_c": temp_c,
        "thermometer_within_c": 0.0,
    }
    limit = Limit("SG", "Sheet of this battery", "2", lower=1.234, **more)  # type: ignore[arg-type]
    return judge(GRAVITY, read(GRAVITY.code, cells, "SG", 0.003, told), limit)


@pytest.mark.parametrize(
    ("temp_f", "lower"),
    # US Army TM 5-1185, table IV: 0.004 for each 10 °F from 80 °F. 1.250 read at 40 °F is 1.234
    # at 80 °F; the other way 1.245 at 100 °F is 1.253, so 1.234 is read there as 1.226.
    [(40, 1.250), (80, 1.234), (100, 1.226)],
)
def test_gravity_of_cold_acid_reads_high(temp_f: float, lower: float) -> None:
    judgement = gravity((1.270, 1.275), (temp_f - 32) / 1.8)
    assert judgement.limit is not None
    assert judgement.limit.lower == pytest.approx(lower, abs=1e-9)
    assert judgement.verdict == Verdict.GOOD
    assert gravity((lower - 0.006, lower), (temp_f - 32) / 1.8).verdict == Verdict.STOP


def test_the_thermometer_blurs_the_limit_of_gravity() -> None:
    # By hand: 0.0004 a °F, 9 °F off as a rectangle: 0.0036 / √3 = 0.00208, with 0.003 in all 0.00365.
    told: Answers = {"acid_temp_c": 20.0, "thermometer_within_c": 5.0}
    limit = Limit("points", "Sheet of this battery", "2", lower=1234)
    judgement = judge(GRAVITY, read(GRAVITY.code, (1.27,), "SG", 0.003, told), limit)
    assert judgement.u is not None
    assert judgement.u[0] == pytest.approx(0.00365, abs=5e-6)


def test_a_limit_stays_where_it_is_while_the_temperature_is_not_told() -> None:
    judgement = judge(
        GRAVITY,
        read(GRAVITY.code, (1.27,), "SG", 0.003, {}),
        Limit("SG", "Sheet", "2", lower=1.234),
    )
    assert (judgement.limit and judgement.limit.lower) == 1.234
    assert "Not told: How warm is the acid?" in [reason.words for reason in judgement.reasons]


@pytest.mark.parametrize(
    ("low", "own", "verdict"),
    # US Army TM 9-6140-200-14, para. 4-7: not more than 0.025 between cells; an outboard manual
    # allows 0.030: 0.028 fails the one and passes the other.
    [(1.247, None, Verdict.LOOK_AGAIN), (1.250, None, Verdict.GOOD), (1.247, 0.030, Verdict.GOOD)],
)
def test_spread_of_a_battery_s_cells(low: float, own: float | None, verdict: Verdict) -> None:
    judgement = gravity((1.270, 1.275, low, 1.265, 1.272, 1.268), 80 / 1.8 - 32 / 1.8, spread=own)
    assert judgement.verdict == verdict
    if verdict == Verdict.LOOK_AGAIN:
        [reason] = judgement.reasons
        assert reason.words == "Cell 3: 1.247 SG, 0.028 SG under the highest; 0.025 SG is the most."


# --- who waits, who clears -----------------------------------------------------------------------

FUEL_LIMIT = Limit("kPa", "Manual", "20", lower=250, upper=350)


def fuel(kpa: float, **more: object) -> tuple[Reading, Judgement]:
    reading = read(FUEL.code, (kpa,), "kPa", 5, DRY, **more)
    return reading, judge(FUEL, reading, FUEL_LIMIT)


def test_what_holds_the_boat() -> None:
    for volts, held in ((8.9, True), (9.38, True), (9.7, False), (10.1, False)):
        assert holds(load_test(volts).verdict, LOAD) == held
    assert holds(judge(HEAD, read(HEAD.code, PORT, "°C", 1.5, RAN), HEAD_LIMIT).verdict, HEAD)
    assert not holds(
        compression((78, 79, 80, 79), 0.5).verdict, COMPRESSION
    )  # no limit, but not grave
    assert holds(judge(FUEL, read(FUEL.code, (300,), "kPa", 5, DRY), None).verdict, FUEL)


def test_who_may_clear() -> None:
    assert who_may_clear(fuel(100)[1].verdict, FUEL) == Clearing.REPAIR
    assert who_may_clear(fuel(250)[1].verdict, FUEL) == Clearing.REASON  # Can't say
    assert who_may_clear(fuel(300)[1].verdict, FUEL) is None
    assert who_may_clear(load_test(8.9).verdict, LOAD) == Clearing.REASON
    assert who_may_clear(load_test(10.1).verdict, LOAD) is None


def test_repair_and_another_persons_reading() -> None:
    hour = timedelta(hours=1)
    (good, says_good), (bad, says_bad) = fuel(300), fuel(100)
    assert cleared_by_repair(FUEL, AT - hour, "Milo", good, says_good.verdict) == ""
    assert "before the repair" in cleared_by_repair(FUEL, AT, "Milo", good, says_good.verdict)
    assert cleared_by_repair(FUEL, AT - hour, "Ines", good, says_good.verdict) == (
        "Ines repaired it. Let someone else read it."
    )
    assert (
        cleared_by_repair(FUEL, AT - hour, "Milo", bad, says_bad.verdict)
        == "The new reading says Stop."
    )
    own = read(LOAD.code, (10.1,), "V", 0.03, TESTED)
    assert cleared_by_repair(LOAD, AT - hour, "Ines", own, Verdict.GOOD) == ""


def test_judgement_keeps_what_it_was_judged_by() -> None:
    kept = json.loads(json.dumps(load_test(9.38).record()))
    assert kept["verdict"] == "Can't say"
    assert kept["limit"]["lower"] == pytest.approx(9.346)
    assert kept["limit"]["source"]
    assert kept["u"] == [pytest.approx(0.03)]
    assert kept["rules_version"] == 2
    assert kept["reasons"][0]["p"] == kept["p"] == pytest.approx(0.871, abs=0.0006)


# --- for any reading -----------------------------------------------------------------------------

VOLTS = st.floats(5, 15, allow_nan=False)
U = st.floats(0.001, 1)


@given(VOLTS, st.floats(0, 5), U)
def test_more_volts_are_never_worse(volts: float, more: float, u: float) -> None:
    low, high = load_test(volts, u=u), load_test(volts + more, u=u)
    assert high.verdict.rank >= low.verdict.rank


@given(VOLTS, U, st.floats(0.05, 1))
def test_a_finer_meter_never_takes_a_good_back(volts: float, u: float, finer: float) -> None:
    passing = {Verdict.GOOD, Verdict.THIN}
    coarse, fine = load_test(volts, u=u).verdict, load_test(volts, u=u * finer).verdict
    assert coarse not in passing or fine == coarse
    assert coarse != Verdict.STOP or fine == Verdict.STOP


@given(VOLTS, U)
def test_the_meter_that_is_asked_for_decides(volts: float, u: float) -> None:
    decides = load_test(volts, u=u).deciding_u
    if decides is not None and decides > 1e-6:
        assert load_test(volts, u=decides * 0.999).verdict != Verdict.CANT_SAY


@given(VOLTS, U)
def test_chance_by_the_error_function(volts: float, u: float) -> None:
    assert load_test(volts, u=u).p == pytest.approx(chance((volts - 9.346) / u), abs=1e-6)


@given(st.lists(st.floats(20, 300), min_size=1, max_size=8), st.floats(0.1, 3), st.booleans())
def test_without_a_pressure_limit_nothing_is_green(psi: list[float], u: float, asked: bool) -> None:
    limit = Limit("psi", "Manual", "31", lowest_over_highest=0.9) if asked else None
    reading = read(COMPRESSION.code, tuple(psi), "psi", u, CRANKED)
    assert judge(COMPRESSION, reading, limit).verdict.rank <= Verdict.NO_LIMIT.rank


# --- refusals ------------------------------------------------------------------------------------


def test_readings_that_do_not_fit() -> None:
    one = read(HEAD.code, (65.0,), "°C", 1.5, RAN)
    with pytest.raises(ValueError, match="give one kind"):
        judge(LOAD, one, None)
    with pytest.raises(ValueError, match="give one kind"):
        judge(HEAD, replace(one, unit="kPa"), None)
    with pytest.raises(ValueError, match="4 values, but 1 on the twin"):
        judge(HEAD, replace(one, values=PORT), None, twin=one)
    with pytest.raises(ValueError, match="has 2 values; give one"):
        judge(LOAD, read(LOAD.code, (9.0, 9.1), "V", 0.03, TESTED), None)
    with pytest.raises(ValueError, match="Told was 'long'; give a number in s"):
        load_test(9.7, {**TESTED, "seconds": "long"})
    with pytest.raises(ValueError, match="give a number for each place"):
        replace(one, values=(float("nan"),))
    with pytest.raises(ValueError, match="give a time with its zone"):
        replace(one, at=AT.replace(tzinfo=None))


def test_limits_and_instruments_that_can_not_be() -> None:
    with pytest.raises(ValueError, match="no source"):
        Limit("V", " ", "-")
    with pytest.raises(ValueError, match="give the lower one first"):
        Limit("V", "Manual", "3", lower=2, upper=1)
    with pytest.raises(ValueError, match="beside a limit"):
        Limit("V", "Manual", "3", lower=2, thin=-1)
    with pytest.raises(ValueError, match="give 0 to 1"):
        Limit("V", "Manual", "3", lowest_over_highest=90)
    with pytest.raises(ValueError, match="no instrument is exact"):
        Instrument("No. 4", "V", CHECKED, u=0)
