"""Freezing against ASHRAE's pipes and an integrated heat balance; frost dates against a station's table."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.frost import (
    FrostDates,
    Season,
    freezing,
    frost_chance,
    frost_day,
    frost_days_from_middle,
    frozen_share,
    ice_m,
)

# University of Delaware, Research and Education Center, "Frost dates" (Moyer, 1970).
FALL_32 = FrostDates(Season.FALL, date(2030, 10, 2), date(2030, 10, 16), date(2030, 10, 30))
FALL_24 = FrostDates(Season.FALL, date(2030, 11, 1), date(2030, 11, 14), date(2030, 11, 27))
FALL_16 = FrostDates(Season.FALL, date(2030, 11, 28), date(2030, 12, 10), date(2030, 12, 22))
SPRING_32 = FrostDates(Season.SPRING, date(2030, 5, 10), date(2030, 4, 25), date(2030, 4, 10))
SPRING_24 = FrostDates(Season.SPRING, date(2030, 4, 9), date(2030, 3, 27), date(2030, 3, 14))
LOPSIDED = FrostDates(Season.FALL, date(2030, 10, 5), date(2030, 10, 20), date(2030, 11, 1))


@pytest.mark.parametrize(("air_f", "printed_h"), [(-18, 1.4), (20, 4.6)])
def test_a_pipe_of_the_handbook(air_f: float, printed_h: float) -> None:
    # ASHRAE Fundamentals, time to freeze, as an engineering office quotes it (18 March 2014): 2 in.
    # pipe (inner 2.067, outer 2.375 in.), 1.5 in. of insulation, k 0.30, water at 42 °F. A foot of
    # it holds 0.660 L; 12 ln(5.375 / 2.375) / (2 pi 0.30) = 5.199 ft h °F/Btu, 0.1015 W/K.
    when = freezing(0.660, 0.1015, (42 - 32) / 1.8, (air_f - 32) / 1.8)
    assert when.at_zero_h == pytest.approx(printed_h, abs=0.05)


def test_a_strainer_by_hand() -> None:
    # By hand: tau = 0.5 x 4186 / 0.4 s = 1.453 h; ln(14 / 6) tau = 1.23 h; 0.5 x 334 kJ / (0.4 x 6
    # W) = 19.3 h for all of it, a tenth of that for the first tenth.
    when = freezing(0.5, 0.4, 8, -6)
    assert when.at_zero_h == pytest.approx(1.232, abs=0.001)
    assert when.all_frozen_h - when.at_zero_h == pytest.approx(19.33, abs=0.01)
    assert when.tenth_frozen_h - when.at_zero_h == pytest.approx(1.933, abs=0.001)


def test_against_a_heat_balance_step_by_step() -> None:
    # scipy integrates what the water loses, and then what freezes it.
    from scipy.integrate import solve_ivp

    when = freezing(10, 3, 15, -12)
    cooled = solve_ivp(
        lambda _, c: -3 * (c + 12) / (10 * 4186), (0, when.at_zero_h * 3600), [15], rtol=1e-9
    )
    assert cooled.y[0][-1] == pytest.approx(0, abs=1e-3)
    joules = 3 * 12 * (when.all_frozen_h - when.at_zero_h) * 3600
    assert joules == pytest.approx(10 * 334_000)


@given(
    litres=st.floats(0.01, 1000),
    loss=st.floats(0.01, 1000),
    water=st.floats(0, 60),
    air=st.floats(-60, -0.1),
)
def test_more_water_takes_longer_and_more_loss_less(
    litres: float, loss: float, water: float, air: float
) -> None:
    when = freezing(litres, loss, water, air)
    assert 0 <= when.at_zero_h < when.tenth_frozen_h < when.all_frozen_h
    assert freezing(litres / 2, loss, water, air).all_frozen_h == pytest.approx(
        when.all_frozen_h / 2
    )
    assert freezing(litres, loss / 2, water, air).all_frozen_h == pytest.approx(
        when.all_frozen_h * 2
    )


def test_water_at_nought_starts_at_once() -> None:
    assert freezing(1, 1, 0, -5).at_zero_h == 0


def test_degree_hours() -> None:
    # By hand: 24 °C h x 0.4 W/K x 3600 / 334 000 = 0.1035 kg of half a litre.
    assert frozen_share(0.5, 0.4, 24) == pytest.approx(0.2069, abs=0.0001)
    assert frozen_share(0.5, 0.4, 0) == 0
    assert frozen_share(0.5, 0.4, 115.9) < 1 == frozen_share(0.5, 0.4, 117)


@pytest.mark.parametrize(
    ("values", "told"),
    [
        ((0, 0.4, 8, -6), "water is 0 L; give more than 0 to 1000 L"),
        ((1000.1, 0.4, 8, -6), "to 1000 L"),
        ((0.5, 0, 8, -6), "heat loss is 0 W/K"),
        ((0.5, 1000.1, 8, -6), "to 1000 W/K"),
        ((0.5, 0.4, -0.1, -6), "the water is -0.1 °C"),
        ((0.5, 0.4, 60.1, -6), "0 to 60 °C"),
        ((0.5, 0.4, 8, 0), "the air is 0 °C; give -60 to less than 0 °C"),
        ((0.5, 0.4, 8, -60.1), "give -60 to less than 0 °C"),
        ((0.5, 0.4, float("nan"), -6), "the water is nan"),
    ],
)
def test_freezing_out_of_range(values: tuple[float, float, float, float], told: str) -> None:
    with pytest.raises(ValueError, match=told):
        freezing(*values)


def test_freezing_at_the_ends_of_its_range() -> None:
    assert freezing(1000, 1000, 60, -60).all_frozen_h > 0
    for litres, loss, frost, told in (
        (0, 1, 1, "water is 0"),
        (1001, 1, 1, "water is 1001"),
        (1, 0, 1, "heat loss is 0"),
        (1, 1001, 1, "heat loss is 1001"),
        (1, 1, -0.1, "frost is -0.1"),
        (1, 1, 1.1e6, "frost is 1.1e"),
    ):
        with pytest.raises(ValueError, match=told):
            frozen_share(litres, loss, frost)


def test_ice_without_air_in_between() -> None:
    # Stefan's formula in a cold-climate engineering textbook (quoted in a forum): 0.983 in. times
    # the root of days and degrees F, ice as heavy as water; four times as long is twice as thick.
    day_m = ice_m(-1 / 1.8, 24, None)
    assert day_m / 0.0254 == pytest.approx(0.983, rel=0.07)
    assert ice_m(-1 / 1.8, 96, None) == pytest.approx(2 * day_m)
    assert ice_m(-4 / 1.8, 24, None) == pytest.approx(2 * day_m)


@pytest.mark.parametrize(("air_c", "hours", "film"), [(-6, 12, 20), (-15, 240, 10), (-2, 48, 30)])
def test_ice_against_its_growth_step_by_step(air_c: float, hours: float, film: float) -> None:
    # scipy integrates heat through ice and air film, with Ashton's constants from Britannica.
    from scipy.integrate import solve_ivp

    grown = solve_ivp(
        lambda _, h: -air_c / (1 / film + h / 2.24) / (916 * 3.34e5),
        (0, hours * 3600),
        [0.0],
        rtol=1e-10,
        atol=1e-12,
    )
    assert ice_m(air_c, hours, film) == pytest.approx(grown.y[0][-1], rel=1e-6)


def test_a_night_of_ice() -> None:
    # By hand with k 2.22 and 917 kg/m³: 15.8 mm with a film of 20 W/m²K, 61 mm without.
    assert 1000 * ice_m(-6, 12, 20) == pytest.approx(15.8, abs=0.2)
    assert 1000 * ice_m(-6, 12, None) == pytest.approx(61.3, abs=0.5)
    assert ice_m(-6, 0, 20) == 0


@given(hours=st.floats(1, 4999), film=st.floats(1, 199))
def test_a_film_slows_ice(hours: float, film: float) -> None:
    assert 0 < ice_m(-5, hours, film) < ice_m(-5, hours, film + 1) < ice_m(-5, hours, None)


def test_ice_out_of_range() -> None:
    for air_c, hours, film, told in (
        (0, 1, 20, "the air is 0"),
        (-60.1, 1, 20, "the air is -60.1"),
        (-5, -1, 20, "time is -1"),
        (-5, 5000.1, 20, "time is 5000.1"),
        (-5, 1, 0.9, "film is 0.9"),
        (-5, 1, 201, "film is 201"),
    ):
        with pytest.raises(ValueError, match=told):
            ice_m(air_c, hours, film)
    assert ice_m(-60, 5000, 1) < ice_m(-60, 5000, 200)


@pytest.mark.parametrize(
    ("dates", "day", "printed_percent"),
    [
        (FALL_32, date(2030, 10, 11), 33),
        (FALL_32, date(2030, 10, 21), 67),
        (FALL_24, date(2030, 11, 9), 33),
        (FALL_24, date(2030, 11, 19), 67),
        (FALL_16, date(2030, 12, 6), 33),
        (FALL_16, date(2030, 12, 14), 67),
        (SPRING_32, date(2030, 4, 30), 33),
        (SPRING_32, date(2030, 4, 20), 67),
        (SPRING_24, date(2030, 4, 1), 33),
        (SPRING_24, date(2030, 3, 22), 67),
    ],
)
def test_between_the_dates_of_a_table(dates: FrostDates, day: date, printed_percent: int) -> None:
    # The same table's 33 and 67 % columns, in whole days: half a day is under 2 %.
    assert 100 * frost_chance(dates, day) == pytest.approx(printed_percent, abs=2.0)
    assert abs((frost_day(dates, printed_percent / 100) - day).days) <= 1


@pytest.mark.parametrize("dates", [FALL_32, FALL_24, SPRING_32, SPRING_24, LOPSIDED])
def test_the_printed_dates_give_what_is_printed(dates: FrostDates) -> None:
    for day, chance in ((dates.ten, 0.1), (dates.fifty, 0.5), (dates.ninety, 0.9)):
        assert frost_chance(dates, day) == pytest.approx(chance)


def test_by_normal_tables() -> None:
    # Normal tables, 10 % 1 Oct, 50 % 15 Oct, 90 % 29 Oct: spread 14 / 1.28155 = 10.92 days; 8 Oct
    # is 0.641 spreads early, 0.261; 5 % is 1.645, 17.97 days early; 2 % is 2.054, 22.4 days.
    dates = FrostDates(Season.FALL, date(2030, 10, 1), date(2030, 10, 15), date(2030, 10, 29))
    assert frost_chance(dates, date(2030, 10, 8)) == pytest.approx(0.261, abs=0.0005)
    assert frost_days_from_middle(dates, 0.05) == pytest.approx(-17.97, abs=0.005)
    assert frost_days_from_middle(dates, 0.02) == pytest.approx(-22.43, abs=0.01)
    assert frost_day(dates, 0.05) == date(2030, 9, 27)


def test_each_side_has_its_own_spread() -> None:
    # By normal tables: 10 % 5 Oct, 50 % 20 Oct, 90 % 1 Nov; spreads 11.70 and 9.36 days.
    early, late = (frost_days_from_middle(LOPSIDED, chance) for chance in (0.1587, 0.8413))
    assert (early, late) == pytest.approx((-11.70, 9.36), abs=0.01)


def test_the_safe_side_of_a_day() -> None:
    # 5 % in fall lies 17.97 days early: the day before that moment; in spring the day after.
    assert frost_day(FALL_32, 0.05) == date(2030, 10, 16) - timedelta(days=18)
    # Spring's 10 % side is 15 days: 15 x 1.645 / 1.2816 = 19.25 days late, so 20.
    assert frost_day(SPRING_32, 0.05) == date(2030, 4, 25) + timedelta(days=20)


@given(chance=st.floats(0.01, 0.98), more=st.floats(0.001, 0.01))
def test_later_in_fall_is_likelier(chance: float, more: float) -> None:
    fall = (frost_days_from_middle(LOPSIDED, c) for c in (chance, chance + more))
    spring = (frost_days_from_middle(SPRING_24, c) for c in (chance, chance + more))
    assert next(fall) < next(fall)
    assert next(spring) > next(spring)


@pytest.mark.parametrize("season", list(Season))
def test_dates_in_their_order(season: Season) -> None:
    first, middle, last = date(2030, 10, 2), date(2030, 10, 16), date(2030, 10, 30)
    rising = (first, middle, last)
    right = rising if season is Season.FALL else rising[::-1]
    assert FrostDates(season, *right).fifty == middle
    order = "earliest first" if season is Season.FALL else "latest first"
    for wrong in (right[::-1], (middle, middle, last), (first, last, last)):
        with pytest.raises(ValueError, match=f"of one {season}, {order}"):
            FrostDates(season, *wrong)


def test_dates_over_new_year_and_out_of_range() -> None:
    florida = FrostDates(Season.FALL, date(2030, 12, 10), date(2031, 1, 5), date(2031, 2, 1))
    assert frost_chance(florida, date(2030, 12, 10)) == pytest.approx(0.1)
    half_a_year = FrostDates(Season.FALL, date(2030, 7, 1), date(2030, 9, 1), date(2030, 12, 31))
    assert half_a_year.fifty == date(2030, 9, 1)
    with pytest.raises(ValueError, match="more than half a year"):
        FrostDates(Season.FALL, date(2030, 7, 1), date(2030, 9, 1), date(2031, 1, 1))
    assert frost_chance(FALL_32, date(2030, 10, 16) + timedelta(days=183)) > 0.99
    for days in (-184, 184):
        with pytest.raises(ValueError, match="another season"):
            frost_chance(FALL_32, date(2030, 10, 16) + timedelta(days=days))
    for chance in (0.009, 0.991):
        with pytest.raises(ValueError, match="give 1 to 99 %"):
            frost_days_from_middle(FALL_32, chance)
    assert frost_days_from_middle(FALL_32, 0.01) == -frost_days_from_middle(FALL_32, 0.99)
