"""A battery's charge and its frost against printed charts; refusals."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.charge import (
    Kind,
    Span,
    charge_percent,
    charge_span,
    charge_that_survives,
    freezes_at_c,
    gravity_at_80_f,
    gravity_that_survives,
    hydrometer_step,
    rest_charge,
    rest_hours,
    volts_prove_nothing,
)

FULL_AT_1280 = "charge_by_sg_full_at_1280"
F80 = (80 - 32) / 1.8
gravities = st.floats(1.0, 1.28)


def c(temp_f: float) -> float:
    return (temp_f - 32) / 1.8


def ends(span: Span) -> tuple[float, float]:
    return span.low, span.high


def f(temp_c: float) -> float:
    return temp_c * 1.8 + 32


@pytest.mark.parametrize(
    ("temp_f", "add"),
    [(0, -0.032), (40, -0.016), (60, -0.008), (80, 0), (100, 0.008), (120, 0.016)],
)
def test_the_hydrometer_s_temperature_table(temp_f: float, add: float) -> None:
    # The battery trade association's table; both its ends belong to it.
    assert gravity_at_80_f(1.250, c(temp_f)) == pytest.approx(1.250 + add, abs=1e-9)


def test_a_manual_s_worked_hydrometer_readings() -> None:
    # US Army TM 5-1185, table IV, by its rule of 0.004 for 10 °F: 1.250 at 40 °F, 1.245 at 100 °F.
    assert gravity_at_80_f(1.250, c(40)) == pytest.approx(1.234)
    assert gravity_at_80_f(1.245, c(100)) == pytest.approx(1.253)


@pytest.mark.parametrize("temp_c", [-17.9, 49.0, float("nan")])
def test_acid_off_the_temperature_table_is_refused(temp_c: float) -> None:
    with pytest.raises(ValueError, match="corrected from 0 to 120 °F"):
        gravity_at_80_f(1.25, temp_c)


@pytest.mark.parametrize("gravity", [0.999, 1.3001, 12.65, float("nan")])
def test_what_no_battery_has_is_refused(gravity: float) -> None:
    with pytest.raises(ValueError, match=r"give it as 1\.265"):
        gravity_at_80_f(gravity, 20)


@pytest.mark.parametrize(
    ("gravity", "percent"), [(1.265, 100), (1.225, 75), (1.190, 50), (1.155, 25), (1.120, 0)]
)
def test_the_chart_full_at_1265(gravity: float, percent: float) -> None:
    # US Army TM 5-3820-256-24-4, table 2; the battery trade association has the same.
    assert charge_percent(gravity) == pytest.approx(percent)


@pytest.mark.parametrize(
    ("gravity", "percent"), [(1.280, 100), (1.250, 75), (1.220, 50), (1.190, 25), (1.130, 0)]
)
def test_the_chart_full_at_1280(gravity: float, percent: float) -> None:
    # US Army TM 5-1185, table II; 1.235 is half-way from 50 to 75 %, by hand.
    assert charge_percent(gravity, FULL_AT_1280) == pytest.approx(percent)
    assert charge_percent(1.235, FULL_AT_1280) == pytest.approx(62.5)


@pytest.mark.parametrize(
    ("gravity", "low", "high"),
    # Both manuals' tables: 1.190 is 50 or 25 %; 1.125 is flat or 3.6 %; 1.270 full or 91.7 %.
    [(1.190, 25, 50), (1.125, 0, 25 / 7), (1.270, 75 + 25 * 20 / 30, 100), (1.3, 100, 100)],
)
def test_where_nobody_knows_its_chart(gravity: float, low: float, high: float) -> None:
    assert ends(charge_span(gravity)) == pytest.approx((low, high))


@pytest.mark.parametrize(
    ("gravity", "by", "told"),
    [
        (1.1199, "charge_by_sg", "flat at 1.120; charge it"),
        (1.2651, "charge_by_sg", "full at 1.265; check"),
        (1.1299, FULL_AT_1280, "flat at 1.130"),
        (1.2801, FULL_AT_1280, "full at 1.280"),
        (float("nan"), "charge_by_sg", "below this chart"),
        (1.2, "rest_volts_agm", "no source here; there are charge_by_sg, charge_by_sg_full"),
    ],
)
def test_off_the_chart_is_refused(gravity: float, by: str, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        charge_percent(gravity, by)


@pytest.mark.parametrize(
    ("gravity", "freezes_f"),
    [(1.0, 32), (1.1, 19), (1.15, 5), (1.2, -16), (1.225, -35), (1.25, -62), (1.28, -90)],
)
def test_where_acid_freezes(gravity: float, freezes_f: float) -> None:
    # OD1002, p. 54, and at 1.225 the vehicle handbook's warmer -35 °F; the third table, in °C,
    # is up to 2.2 °F warmer between its rows.
    assert f(freezes_at_c(gravity)) == pytest.approx(freezes_f, abs=2.2)
    assert f(freezes_at_c(gravity)) >= freezes_f - 0.05


def test_the_warmest_of_three_tables_is_taken() -> None:
    # By hand. 1.190: OD1002 5 - 21 x 0.8 = -11.8 °F, the warmest. 1.120 and 1.155: TM 5-3820's
    # -9.4 and -15.0 °C. 1.265: its -59.5 °C, where the others have -75 and -76 °F.
    assert f(freezes_at_c(1.190)) == pytest.approx(-11.8)
    assert freezes_at_c(1.120) == pytest.approx(-9.4)
    assert freezes_at_c(1.155) == pytest.approx(-15.0)
    assert freezes_at_c(1.265) == pytest.approx((-75 - 32) / 1.8)
    # 1.050: the handbook's 27 °F is warmer than OD1002's 25.5 and a line from water to 15.1 °F.
    assert f(freezes_at_c(1.050)) == pytest.approx(27)


@given(one=gravities, other=gravities)
def test_more_charge_never_freezes_warmer(one: float, other: float) -> None:
    weaker, stronger = sorted((one, other))
    assert freezes_at_c(stronger) <= freezes_at_c(weaker) + 1e-9


@given(night_c=st.floats(-67.7, 0))
def test_what_survives_just_survives(night_c: float) -> None:
    gravity = gravity_that_survives(night_c)
    assert freezes_at_c(min(gravity + 1e-9, 1.28)) <= night_c + 1e-5
    if gravity > 1.001:
        assert freezes_at_c(gravity - 0.001) > night_c


def test_the_charge_for_a_winter_night() -> None:
    # By hand from OD1002: -4 °F at 1.150 + 0.05 x 9 / 21 = 1.1714; -13 °F at 1.1929. On the chart
    # full at 1.265: 25 + 25 x 0.0164 / 0.035 = 36.7 %; 50 + 25 x 0.0029 / 0.035 = 52.0 %.
    assert gravity_that_survives(-20) == pytest.approx(1.1714, abs=5e-5)
    assert gravity_that_survives(-25) == pytest.approx(1.1929, abs=5e-5)
    assert charge_that_survives(-20) == pytest.approx(36.7, abs=0.1)
    assert charge_that_survives(-25) == pytest.approx(52.0, abs=0.1)
    # On the chart full at 1.280: 25 x 0.0414 / 0.06 = 17.3 %.
    assert charge_that_survives(-20, FULL_AT_1280) == pytest.approx(17.3, abs=0.1)


def test_even_a_flat_one_survives_a_mild_night() -> None:
    assert charge_that_survives(-5) == 0
    assert charge_that_survives(0) == 0
    assert charge_that_survives(-11) > 0


def test_no_charge_survives_the_coldest() -> None:
    # The vehicle handbook: 1.265 freezes at -75 °F.
    assert charge_that_survives(c(-75)) == pytest.approx(100)
    with pytest.raises(ValueError, match=r"full battery of this chart, 1\.265, freezes; bring it"):
        charge_that_survives(c(-75) - 0.01)
    assert gravity_that_survives(c(-90)) == pytest.approx(1.28)


@pytest.mark.parametrize("night_c", [0.01, c(-90) - 0.01, float("nan")])
def test_nights_that_are_not_printed(night_c: float) -> None:
    with pytest.raises(ValueError, match=r"from 0 °C down to -67\.8"):
        gravity_that_survives(night_c)


@pytest.mark.parametrize("gravity", [0.999, 1.2801, float("nan")])
def test_acid_that_is_not_printed(gravity: float) -> None:
    with pytest.raises(ValueError, match=r"from 1\.000 to 1\.280"):
        freezes_at_c(gravity)


def test_a_flooded_battery_by_its_volts() -> None:
    # Trade association: 12.24 V is 50 %. The other chart: 12.20 V 50 %, 12.28 V 60 %: 55 %.
    assert ends(rest_charge(12.24, Kind.FLOODED, F80, 0)) == pytest.approx((50, 55), abs=1e-3)
    # 12.30 V, by hand: 50 + 25 x 0.06 / 0.21 = 57.1 %; 60 + 10 x 0.02 / 0.08 = 62.5 %.
    assert ends(rest_charge(12.30, Kind.FLOODED, F80, 0)) == pytest.approx((57.143, 62.5), abs=1e-3)


def test_volts_are_brought_to_80_f() -> None:
    # Trade association: 12.45 V read at 40 °F are 12.354 V. By hand 50 + 25 x 0.114 / 0.21 = 63.6 %
    # and 60 + 10 x 0.074 / 0.08 = 69.25 %. An AGM's chart prints no correction.
    assert ends(rest_charge(12.45, Kind.FLOODED, c(40), 0)) == pytest.approx(
        (63.571, 69.25), abs=1e-3
    )
    assert rest_charge(12.45, Kind.AGM, c(40), 0) == rest_charge(12.45, Kind.AGM, c(100), 0)


def test_an_absorbed_mat_is_not_full_at_12_65() -> None:
    # User chart 12.60 V 75 %, 12.70 V 85 %: 80 %. Answers page 75 + 25 x 0.05 / 0.30 = 79.2 %. An
    # owner's manual's bands: 75 to 100 %, a quarter of the way 81.25 %.
    assert ends(rest_charge(12.65, Kind.AGM, 25, 0)) == pytest.approx((79.167, 81.25), abs=1e-3)
    # 12.5 V by hand: user chart 65, bands and answers page 50 + 25 x 2 / 3 = 66.7.
    assert ends(rest_charge(12.5, Kind.AGM, 25, 0)) == pytest.approx((65, 66.667), abs=1e-3)


def test_lithium_at_13_2_is_a_wide_range() -> None:
    # Public charts at 13.2 V: 40 % and 70 %. By hand at 13.15 V 37.5 %, at 13.25 V
    # 70 + 20 x 0.05 / 0.12 = 78.3 %.
    assert ends(rest_charge(13.2, Kind.LIFEPO4, 25, 0)) == pytest.approx((40, 70), abs=1e-3)
    assert ends(rest_charge(13.2, Kind.LIFEPO4, 25, 0.05)) == pytest.approx(
        (37.5, 78.333), abs=1e-3
    )


def test_the_ends_of_the_charts() -> None:
    # Above a chart's full it can be full, below its last row it can be flat.
    assert ends(rest_charge(12.70, Kind.FLOODED, F80, 0)) == pytest.approx((100, 100), abs=1e-3)
    assert ends(rest_charge(11.72, Kind.FLOODED, F80, 0)) == pytest.approx((0, 10), abs=1e-3)
    assert ends(rest_charge(11.72, Kind.FLOODED, F80, 0.01)) == pytest.approx((0, 10.625), abs=1e-3)
    # 12.55 V, by hand: 75 + 25 x 0.10 / 0.20 and 80 + 10 x 0.09 / 0.12, both 87.5 %.
    assert ends(rest_charge(12.65, Kind.FLOODED, F80, 0.1)) == pytest.approx((87.5, 100), abs=1e-3)


@pytest.mark.parametrize(
    ("volts_v", "kind", "told"),
    [
        (11.71, Kind.FLOODED, "below every chart of its kind, 11.72 V"),
        (12.71, Kind.FLOODED, "above every chart of its kind, 12.7 V; it is on charge"),
        (11.79, Kind.AGM, "below every chart of its kind, 11.8 V"),
        (13.21, Kind.AGM, "above every chart of its kind, 13.2 V"),
        (9.99, Kind.LIFEPO4, "below every chart of its kind, 10 V"),
        (13.61, Kind.LIFEPO4, "above every chart of its kind, 13.6 V"),
        (float("nan"), Kind.AGM, "below every chart"),
        (12.6, Kind.UNKNOWN, "find out whether"),
    ],
)
def test_volts_on_no_chart_are_refused(volts_v: float, kind: Kind, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        rest_charge(volts_v, kind, F80, 0)


@pytest.mark.parametrize("within_v", [-0.01, 1.01, float("nan")])
def test_a_meter_s_doubt_has_bounds(within_v: float) -> None:
    with pytest.raises(ValueError, match="give 0 to 1 V"):
        rest_charge(12.5, Kind.AGM, 25, within_v)
    assert ends(rest_charge(12.5, Kind.AGM, 25, 1)) == pytest.approx((0, 100), abs=1e-3)


@given(volts_v=st.floats(11.8, 12.6), kind=st.sampled_from([Kind.FLOODED, Kind.AGM]))
def test_a_better_meter_never_widens_the_range(volts_v: float, kind: Kind) -> None:
    spans = [rest_charge(volts_v, kind, F80, within_v) for within_v in (0.2, 0.05, 0)]
    for wide, narrow in pairwise(spans):
        assert 0 <= wide.low <= narrow.low <= narrow.high <= wide.high <= 100


@pytest.mark.parametrize(
    ("volts_v", "within_v", "nothing"),
    [
        (13.2, 0, True),
        (12.9, 0, True),
        (13.3, 0, True),
        (12.89, 0, False),
        (13.31, 0, False),
        (12.85, 0.05, True),
        (13.35, 0.05, True),
        (12.84, 0.05, False),
        (13.36, 0.05, False),
    ],
)
def test_where_lithium_s_volts_prove_nothing(
    volts_v: float, within_v: float, nothing: bool
) -> None:
    # A battery site's chart page: 70 to 80 % of it lies from 12.9 to 13.3 V at rest.
    assert volts_prove_nothing(volts_v, within_v) is nothing


def test_what_the_trade_waits_and_reads_by() -> None:
    assert rest_hours() == 8  # a battery maker's learning page: at least 8 hours, preferably 24
    assert hydrometer_step() == 0.005
