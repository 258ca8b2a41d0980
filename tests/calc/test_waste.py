"""Classes and bounds as EPA's page and 40 CFR print them, both sides of each."""

import pytest

from yardwright.calc.waste import (
    Generator,
    counted_oil_l,
    generator,
    may_hold_kg,
    needs_spill_plan,
)

US_GAL_L = 3.785411784
DRUM_L = 55 * US_GAL_L


@pytest.mark.parametrize(
    ("kg", "acute_kg", "kind"),
    [
        # EPA: 100 kg or less; more than 100 and less than 1,000; 1,000 or more, or over 1 kg acute.
        (0, 0, Generator.SMALLEST),
        (99, 0, Generator.SMALLEST),
        (100, 1, Generator.SMALLEST),
        (100.1, 0, Generator.SMALL),
        (101, 1, Generator.SMALL),
        (999.9, 0, Generator.SMALL),
        (1000, 0, Generator.LARGE),
        (5, 1.01, Generator.LARGE),
    ],
)
def test_the_class_of_a_month(kg: float, acute_kg: float, kind: Generator) -> None:
    assert generator(kg, acute_kg) == kind


def test_what_each_may_hold() -> None:
    # EPA: 1,000 kg on site for the smallest, never above 6,000 kg for the small one.
    assert may_hold_kg(Generator.SMALLEST) == 1000
    assert may_hold_kg(Generator.SMALL) == 6000
    assert may_hold_kg(Generator.LARGE) is None


@pytest.mark.parametrize(
    ("kg", "acute_kg", "told"),
    [
        (-1, 0, "hazardous waste is -1"),
        (1, -1, "acute waste is -1"),
        (float("nan"), 0, "hazardous waste is nan"),
        (1, float("inf"), "acute waste is inf"),
    ],
)
def test_no_such_month(kg: float, acute_kg: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        generator(kg, acute_kg)


def test_twenty_four_drums_need_no_plan_and_twenty_five_do() -> None:
    # A consultant's page on drums: more than twenty-four 55-gallon drums need a plan. 40 CFR
    # 112.1(d)(2)(ii): 1,320 gallons or less is exempt.
    assert not needs_spill_plan(counted_oil_l([DRUM_L] * 24))
    assert needs_spill_plan(counted_oil_l([DRUM_L] * 25))
    assert needs_spill_plan(1320.01 * US_GAL_L)
    assert not needs_spill_plan(0)


def test_only_containers_of_55_gallons_and_more_count() -> None:
    # 40 CFR 112.1(d)(5). A 30-gallon drum does not have to be included.
    assert counted_oil_l([30 * US_GAL_L, DRUM_L, 54.9 * US_GAL_L]) == pytest.approx(DRUM_L)
    assert counted_oil_l([275 * US_GAL_L, 500 * US_GAL_L]) == pytest.approx(775 * US_GAL_L)
    assert counted_oil_l([]) == 0


@pytest.mark.parametrize("room_l", [0, -1, float("inf")])
def test_no_such_container(room_l: float) -> None:
    with pytest.raises(ValueError, match="a container holds"):
        counted_oil_l([DRUM_L, room_l])


@pytest.mark.parametrize("oil_l", [-1, float("nan")])
def test_no_such_room_for_oil(oil_l: float) -> None:
    with pytest.raises(ValueError, match="the oil's room is"):
        needs_spill_plan(oil_l)
