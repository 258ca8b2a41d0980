"""Limits, instruments and readings by themselves: how far within, how sure, what cannot be."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from yardwright.procedures.readings import Instrument, Limit, Reading

LIMIT = Limit("V", "Manual", "12", lower=9.6, upper=14.4)
METER = Instrument("meter", "V", date(2031, 6, 1), within=0.3)
READING = Reading("battery_at_rest", (12.6,), "V", datetime(2031, 5, 5, tzinfo=UTC), "Ines", METER)


@pytest.mark.parametrize(
    ("lower", "upper", "value", "within"),
    [
        (9.6, None, 10, 0.4),
        (None, 14.4, 10, 4.4),
        (9.6, 14.4, 10, 0.4),
        (9.6, 14.4, 14, 0.4),
        (9.6, 14.4, 15, -0.6),
        (9.6, 14.4, 9, -0.6),
    ],
)
def test_how_far_within(
    lower: float | None, upper: float | None, value: float, within: float
) -> None:
    assert replace(LIMIT, lower=lower, upper=upper).margin(value) == pytest.approx(within)


def test_without_a_value_nothing_is_within() -> None:
    share = replace(LIMIT, lower=None, upper=None, lowest_over_highest=0.9)
    assert not share.has_value
    with pytest.raises(ValueError, match="ask has_value first"):
        share.margin(10)


@pytest.mark.parametrize("share", [0, -0.1, 1.01])
def test_a_share_lies_between_nothing_and_all(share: float) -> None:
    assert replace(LIMIT, lowest_over_highest=1).lowest_over_highest == 1
    with pytest.raises(ValueError, match="give 0 to 1"):
        replace(LIMIT, lowest_over_highest=share)


def test_margins_and_bounds_of_nothing_are_kept_and_less_is_refused() -> None:
    for name in ("thin", "u", "twin", "others", "years", "spread"):
        replace(LIMIT, **{name: 0.0})  # type: ignore[arg-type]  # by name
        for wrong in (-0.01, float("inf"), float("nan")):
            with pytest.raises(ValueError, match="beside a limit"):
                replace(LIMIT, **{name: wrong})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("tool", "u"),
    [
        # JCGM 100:2008, 4.3.7: a band of a either way is a / sqrt(3): 0.3 / 1.7321 = 0.1732.
        (METER, 0.17321),
        # 0.3 and 1 % of 12.6, together 0.426: 0.2460.
        (replace(METER, within_share=0.01), 0.24595),
        (Instrument("meter", "V", None, within_share=0.01), 0.07275),
        # F.2.2.1: a display step of 0.1 adds 0.1 / sqrt(12): sqrt(0.09 / 3 + 0.01 / 12) = 0.17559.
        (replace(METER, resolution=0.1), 0.17559),
        (Instrument("meter", "V", None, u=0.05), 0.05),
        (Instrument("meter", "V", None, u=0.05, resolution=0.1), 0.05774),
    ],
)
def test_how_sure_an_instrument_is(tool: Instrument, u: float) -> None:
    assert tool.u_at(12.6) == pytest.approx(u, abs=5e-6)
    assert tool.u_at(-12.6) == tool.u_at(12.6)


def test_how_sure_it_is_may_be_not_known() -> None:
    assert Instrument("meter", "V", None).u_at(12.6) is None
    assert Instrument("meter", "V", None, resolution=0.1).u_at(12.6) is None


@pytest.mark.parametrize("wrong", [0, -0.1, float("inf")])
def test_no_instrument_is_exact(wrong: float) -> None:
    for name in ("u", "within"):
        with pytest.raises(ValueError, match="no instrument is exact"):
            replace(METER, **{name: wrong})  # type: ignore[arg-type]  # by name


def test_a_reading_has_numbers_and_a_time_with_its_zone() -> None:
    for values in ((), (12.6, float("nan"))):
        with pytest.raises(ValueError, match="give a number for each place"):
            replace(READING, values=values)
    with pytest.raises(ValueError, match="has no zone"):
        replace(READING, at=datetime(2031, 5, 5))  # noqa: DTZ001  # wrong on purpose
