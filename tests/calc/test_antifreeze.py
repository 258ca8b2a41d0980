"""Mixing and freezing against the handbook, another source beside it, and the balance of litres."""

import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.antifreeze import (
    FreezePoint,
    Glycol,
    freeze_point,
    freezes_at_c,
    litres_to_push,
    mixed_percent,
    read_percent,
    strength_needed_percent,
)

OTHER = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "glycol_other_sources.toml").read_text(encoding="utf-8")
)

percents = st.floats(0, 100)
litres = st.floats(0.01, 500)


def test_three_litres_left_in_the_block() -> None:
    # By hand: 9 x 30 / 12 = 22.5 %, 9 x 50 / 12 = 37.5 %. Lange's Handbook, 15th ed., p. 5.85: half
    # of -6.7 and -8.9 is -7.8 °C; half of -16.1 and -20.6 is near -18 °C.
    weak, strong = mixed_percent([(3, 0), (9, 30)]), mixed_percent([(3, 0), (9, 50)])
    assert (weak, strong) == pytest.approx((22.5, 37.5))
    assert freezes_at_c(weak) == pytest.approx(-7.8, abs=0.01)
    assert freezes_at_c(strong) == pytest.approx(-18, abs=0.5)


def test_both_columns_of_the_handbook_agree() -> None:
    # The Fahrenheit column is printed in whole degrees beside the Celsius one.
    for percent, printed_f in zip(OTHER["lange_percent"], OTHER["lange_freezes_f"], strict=True):
        assert freezes_at_c(percent) * 1.8 + 32 == pytest.approx(printed_f, abs=0.5)


def test_it_never_promises_more_than_another_source() -> None:
    # CoolProp (ASHRAE): never warmer than ours, and within 1.4 °C.
    for percent, other_c in zip(OTHER["percent"], OTHER["freezes_c"], strict=True):
        assert 0 <= freezes_at_c(percent) - other_c <= 1.4


def test_water_freezes_at_nought_and_a_trace_of_glycol_hardly_helps() -> None:
    # Two fixed points: plain water 0 °C, 5 % -1.1 °C (Lange).
    assert freezes_at_c(0) == 0
    assert -1.1 < freezes_at_c(2.5) < 0


def test_coolprop_stands_beside_the_handbook() -> None:
    # CoolProp 8.0.0's own numbers, put out by the call named in the file.
    for percent, other_c in zip(OTHER["percent"], OTHER["freezes_c"], strict=True):
        point = freeze_point(percent, Glycol.PROPYLENE)
        assert point.coolprop_c == pytest.approx(other_c, abs=0.005)
        assert point.handbook_c == freezes_at_c(percent)
        assert point.promised_c == point.handbook_c  # the warmer


def test_ethylene_glycol_half_and_half() -> None:
    # The trade's half and half: -37 °C, -34 °F. An engine manual prints -35 °C beside 50 %.
    point = freeze_point(50, Glycol.ETHYLENE)
    assert point.promised_c == pytest.approx(-37, abs=0.5)
    assert point.promised_c == point.coolprop_c
    assert point.handbook_c is None
    assert point.manual_c == -35


@pytest.mark.parametrize(
    ("percent", "handbook", "coolprop"),
    [
        (0, True, False),
        (9.99, True, False),
        (10, True, True),
        (50, True, True),
        (50.1, False, True),
        (60, False, True),
    ],
)
def test_each_source_reaches_as_far_as_it_does(
    percent: float, handbook: bool, coolprop: bool
) -> None:
    point = freeze_point(percent, Glycol.PROPYLENE)
    assert (point.handbook_c is not None, point.coolprop_c is not None) == (handbook, coolprop)
    assert point.manual_c is None


@pytest.mark.parametrize(
    ("percent", "printed"), [(28.3, False), (28.4, True), (59, True), (59.1, False)]
)
def test_the_manual_reaches_as_far_as_it_prints(percent: float, printed: bool) -> None:
    assert (freeze_point(percent, Glycol.ETHYLENE).manual_c is not None) is printed


def test_the_warmer_is_promised_whichever_it_is() -> None:
    assert FreezePoint(-10, -11, None).promised_c == -10
    assert FreezePoint(-11, -10, -5).promised_c == -10
    assert FreezePoint(None, -12, None).promised_c == -12


def test_strength_for_a_night_is_the_printed_row() -> None:
    # Lange's Handbook, p. 5.85, read from right to left; -25 °C lies at 40 + 5 x 4.4 / 6.1 %.
    curve = zip(OTHER["lange_percent"], OTHER["lange_freezes_f"], strict=True)
    for percent, _ in curve:
        assert strength_needed_percent(freezes_at_c(percent), Glycol.PROPYLENE) == percent
    assert strength_needed_percent(-25, Glycol.PROPYLENE) == pytest.approx(43.61, abs=0.005)
    assert strength_needed_percent(-37, Glycol.ETHYLENE) == pytest.approx(50, abs=0.5)
    assert strength_needed_percent(-1, Glycol.ETHYLENE) == 10


@given(freeze_c=st.floats(-50, -0.01), glycol=st.sampled_from(Glycol))
def test_what_is_needed_is_enough_and_no_more(freeze_c: float, glycol: Glycol) -> None:
    percent = strength_needed_percent(freeze_c, glycol)
    assert freeze_point(percent, glycol).promised_c <= freeze_c
    if percent > (10 if glycol is Glycol.ETHYLENE else 0.01):
        assert freeze_point(percent - 0.01, glycol).promised_c > freeze_c


def test_no_mix_is_proven_for_the_coldest_nights() -> None:
    # CoolProp 8.0.0: 60 % freezes at -51.06 °C (propylene), -52.02 °C (ethylene).
    with pytest.raises(ValueError, match=r"60 % freezes at -51.1 °C"):
        strength_needed_percent(-51.1, Glycol.PROPYLENE)
    with pytest.raises(ValueError, match=r"60 % freezes at -52.0 °C"):
        strength_needed_percent(-52.1, Glycol.ETHYLENE)
    assert strength_needed_percent(-51.0, Glycol.PROPYLENE) == pytest.approx(59.97, abs=0.02)
    for glycol in Glycol:
        assert strength_needed_percent(freeze_point(60, glycol).promised_c, glycol) == 60
    for warm_c in (0.0, 4.0, float("nan")):
        with pytest.raises(ValueError, match="below 0 °C"):
            strength_needed_percent(warm_c, Glycol.PROPYLENE)


@pytest.mark.parametrize(
    ("percent", "glycol", "told"),
    [
        (60.1, Glycol.PROPYLENE, "beyond what was tested, 60 %"),
        (80, Glycol.ETHYLENE, "more glycol stops helping"),
        (9.9, Glycol.ETHYLENE, "take it for water"),
        (-1, Glycol.PROPYLENE, "0 to 100"),
        (float("nan"), Glycol.ETHYLENE, "0 to 100"),
    ],
)
def test_a_strength_nobody_measured_is_refused(percent: float, glycol: Glycol, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        freeze_point(percent, glycol)


@given(weaker=st.floats(0, 50), stronger=st.floats(0, 50))
def test_more_glycol_never_freezes_warmer(weaker: float, stronger: float) -> None:
    weaker, stronger = sorted((weaker, stronger))
    assert freezes_at_c(stronger) <= freezes_at_c(weaker)


@given(parts=st.lists(st.tuples(litres, percents), min_size=1, max_size=6))
def test_a_mix_lies_between_its_parts(parts: list[tuple[float, float]]) -> None:
    strengths = [percent for _, percent in parts]
    assert min(strengths) - 1e-9 <= mixed_percent(parts) <= max(strengths) + 1e-9


@given(water_l=litres, fluid=st.floats(1, 100), share=st.floats(0, 0.99))
def test_what_is_pushed_in_gives_what_is_wanted(water_l: float, fluid: float, share: float) -> None:
    want = fluid * share
    pushed_l = litres_to_push(water_l, fluid, want)
    assert mixed_percent([(water_l, 0), (pushed_l, fluid)]) == pytest.approx(want, abs=1e-9)


@pytest.mark.parametrize(
    ("percent", "told"), [(-1, "0 to 100"), (50.1, "ends at 50 %"), (float("nan"), "0 to 100")]
)
def test_off_the_table_is_refused(percent: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        freezes_at_c(percent)


def test_nothing_to_mix() -> None:
    for parts in ([], [(0.0, 30.0)]):
        with pytest.raises(ValueError, match="nothing to mix"):
            mixed_percent(parts)
    with pytest.raises(ValueError, match="volume is -1"):
        mixed_percent([(-1, 30), (9, 30)])
    with pytest.raises(ValueError, match="strength is 130"):
        mixed_percent([(3, 130)])


def test_a_weak_fluid_never_makes_a_strong_mix() -> None:
    for want in (30, 35):
        with pytest.raises(ValueError, match="No amount of 30 % fluid"):
            litres_to_push(3, 30, want)


def test_the_same_fluid_three_times_is_that_fluid() -> None:
    # In floating point 12.7, 9.2 and 14.2 L of 50 % are a hair more, beyond the handbook's table.
    mixed = mixed_percent([(12.7, 50), (9.2, 50), (14.2, 50)])
    assert mixed == 50
    assert freeze_point(mixed, Glycol.PROPYLENE).handbook_c == -33.3  # Lange, 5.85


def test_a_scale_is_read_to_where_its_numbers_begin() -> None:
    # CoolProp, ethylene glycol by volume: 10 % freezes at -3.62 °C; Lange: propylene 5 % at -1.1 °C.
    assert read_percent(0, Glycol.ETHYLENE) == 0
    assert read_percent(-3.61, Glycol.ETHYLENE) is None
    assert read_percent(-3.63, Glycol.ETHYLENE) == pytest.approx(10.05, abs=0.05)
    assert read_percent(-1.1, Glycol.PROPYLENE) == pytest.approx(5)
    with pytest.raises(ValueError, match="plain water"):
        read_percent(0.1, Glycol.ETHYLENE)
