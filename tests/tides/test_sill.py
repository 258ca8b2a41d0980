"""The level a boat needs, and what a sill height must come with."""

from dataclasses import replace
from datetime import date
from math import inf, nan

import pytest

from yardwright.tides.sill import Sill, needed_level_m, sill_above_datum_m
from yardwright.tides.stations import station

PORTLAND = station("8418150").water()
SILL = Sill(-1.00, "MLLW", "1983-2001", date(2030, 9, 4), "A. Surveyor")


def test_needed_level_by_hand() -> None:
    # Draft 1.75, slings hang 0.10, margin 0.25, sill a metre below: 1.75 + 0.10 + 0.25 - 1.00.
    assert needed_level_m(SILL, PORTLAND, 1.75, 0.10, 0.25) == pytest.approx(1.10)


def test_the_usual_margin_is_one_hour_in_twenty() -> None:
    assert needed_level_m(SILL, PORTLAND, 1.75, 0.10) == pytest.approx(1.05)


@pytest.mark.parametrize(
    ("datum", "above_mllw_m"),
    # NOAA datum sheet of 8418150: MSL 4.113, NAVD88 4.208, MLLW 2.607 m above station datum.
    [("MLLW", -1.00), ("MSL", 0.506), ("NAVD88", 0.601)],
)
def test_another_datum_of_the_same_epoch(datum: str, above_mllw_m: float) -> None:
    sill = replace(SILL, datum=datum)
    assert sill_above_datum_m(sill, PORTLAND) == pytest.approx(above_mllw_m)


def test_epochs_are_not_mixed() -> None:
    sill = replace(SILL, epoch="2002-2020")
    with pytest.raises(ValueError, match=r"MLLW of 2002-2020, but .* MLLW of 1983-2001"):
        needed_level_m(sill, PORTLAND, 1.75, 0.10)


def test_unknown_epoch_of_the_water() -> None:
    with pytest.raises(ValueError, match="epoch of its datums is not known"):
        needed_level_m(SILL, station("1770000").water(), 1.75, 0.10)


@pytest.mark.parametrize("datum", ["LWD", "GT", "chart datum"])
def test_a_datum_the_place_does_not_hold(datum: str) -> None:
    with pytest.raises(ValueError, match=f"measured from {datum}, which this place does not hold"):
        needed_level_m(replace(SILL, datum=datum), PORTLAND, 1.75, 0.10)


def test_a_subordinate_knows_no_mean_sea_level() -> None:
    with pytest.raises(ValueError, match="it holds MLLW"):
        sill_above_datum_m(replace(SILL, datum="MSL"), station("8418772").water())


@pytest.mark.parametrize("word", ["datum", "epoch", "measured_by"])
def test_a_bare_height_is_refused(word: str) -> None:
    with pytest.raises(ValueError, match=f"the sill's {word} is missing"):
        replace(SILL, **{word: " "})  # type: ignore[arg-type]  # only the texts are emptied


@pytest.mark.parametrize("height_m", [nan, inf, -31.0, 100.0])
def test_a_sill_out_of_range(height_m: float) -> None:
    with pytest.raises(ValueError, match="the sill is at"):
        replace(SILL, height_m=height_m)


@pytest.mark.parametrize(
    ("draft_m", "sling_bight_m", "margin_m", "named"),
    [
        (0.0, 0.1, 0.2, "draft is 0.0 m"),
        (-1.2, 0.1, 0.2, "draft is -1.2 m"),
        (10.1, 0.1, 0.2, "draft is 10.1 m"),
        (nan, 0.1, 0.2, "draft is nan m"),
        (1.2, -0.1, 0.2, "sling bight is -0.1 m"),
        (1.2, 1.1, 0.2, "sling bight is 1.1 m"),
        (1.2, 0.1, -0.2, "margin is -0.2 m"),
        (1.2, 0.1, inf, "margin is inf m"),
    ],
)
def test_numbers_out_of_range(
    draft_m: float, sling_bight_m: float, margin_m: float, named: str
) -> None:
    with pytest.raises(ValueError, match=named):
        needed_level_m(SILL, PORTLAND, draft_m, sling_bight_m, margin_m)
