"""A sterndrive and a petrol inboard with winter's things undone: what the three checks say."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from yardwright.procedures.fittings import barriers_of, fitting, stands_open
from yardwright.procedures.float_check import Floats, float_check
from yardwright.procedures.put_backs import Proof, PutBack, Undone
from yardwright.procedures.start_check import MayStart, NeedCode, needs, start_check
from yardwright.procedures.step import Has, Season
from yardwright.procedures.steps import book, steps_for
from yardwright.procedures.water_order import EngineKind, Supply, WaterStep, wrong_order
from yardwright.procedures.ways_in import OPENINGS, Barrier, Look, WaysIn, after_put_backs

FALL = datetime(2030, 11, 12, 10, tzinfo=UTC)
SPRING = datetime(2031, 5, 5, 9, tzinfo=UTC)
HAS = frozenset({Has.STERNDRIVE, Has.RAW_WATER_PUMP})
DRIVE = tuple(
    replace(barrier, bore_m=0.032, depth_m=0.25) if "transom" in barrier.name else barrier
    for code in ("drive", "drive_engine")
    for barrier in barriers_of(fitting(code), HAS, ())
)
INSIDE = [(EngineKind.STERNDRIVE, Supply.MUFFS), (EngineKind.INBOARD_PETROL, Supply.BUCKET)]
AT = SPRING + timedelta(minutes=5)


def undone(*kinds: str) -> tuple[Undone, ...]:
    return tuple(
        book().kinds[kind].undone(FALL, "Ines", fitting=stands_open(kind, DRIVE)) for kind in kinds
    )


def looked(*names: str) -> tuple[Look, ...]:
    return tuple(Look(name, True, SPRING, "Ada") for name in names)


def sterndrive(*left: str, back: bool = False) -> WaysIn:
    things = undone(*left)
    if back:
        proof = PutBack(SPRING, "Ada", Proof.RUN, "Bo")
        things = tuple(replace(thing, put_back=proof) for thing in things)
    shut = {thing.fitting for thing in things}
    others = [barrier.name for barrier in DRIVE if barrier.name not in shut]
    return after_put_backs(WaysIn(DRIVE, looked(OPENINGS, *others)), things)


def test_the_drives_water_hose_off_lets_the_sea_in_with_no_valve_before_it() -> None:
    check = float_check(sterndrive("drive_water_hose"), AT)
    assert check.answer == Floats.NO
    (way,) = check.ways
    # By hand: pi/4 * 0.032^2 m2 * sqrt(2 * 9.80665 * 0.25) m/s = 106.9 L/min, times 0.6 and 0.8.
    assert way.inflow_l_min == pytest.approx((64.1, 85.5), abs=0.1)
    assert float_check(sterndrive("drive_water_hose", back=True), AT).answer == Floats.YES


@pytest.mark.parametrize(
    "kind",
    [
        "drive_off",
        "drive_bellows",
        "block_drains",
        "manifold_drains",
        "cooler_hoses",
        "impeller_out",
    ],
)
def test_each_of_a_sterndrives_holes_is_one_of_her_ways_in(kind: str) -> None:
    assert stands_open(kind, DRIVE)
    assert float_check(sterndrive(kind), AT).answer == Floats.NO
    assert float_check(sterndrive(kind, back=True), AT).answer == Floats.YES


def test_a_petrol_inboards_drains_lie_behind_her_seacock() -> None:
    has = frozenset({Has.INBOARD_PETROL})
    barriers: tuple[Barrier, ...] = barriers_of(fitting("engine_intake"), has, ())
    plugs = {b.name for b in barriers} & {"block drains", "manifold drains"}
    assert plugs == {"block drains", "manifold drains"}
    closed = {b.name for b in barriers_of(fitting("engine_intake"), has | {Has.CLOSED_COOLING}, ())}
    assert "block drains" not in closed


@pytest.mark.parametrize(("kind", "supply"), INSIDE)
def test_no_start_before_blower_nose_drains_and_arrestor(kind: EngineKind, supply: Supply) -> None:
    asked = [need.code for need in needs(kind, supply)]
    assert asked.index(NeedCode.BATTERY) < asked.index(NeedCode.BLOWER)
    assert asked.index(NeedCode.BLOWER) < asked.index(NeedCode.SNIFF)
    every = looked(*(need.code for need in needs(kind, supply)))
    assert start_check(kind, supply, (), every, AT).answer == MayStart.YES
    for left in ("block_drains", "manifold_drains", "flame_arrestor", "fuel_shut", "spark_plugs"):
        check = start_check(kind, supply, undone(left), every, AT)
        assert check.answer == MayStart.NO
        assert book().kinds[left].what in check.sentence


@pytest.mark.parametrize("left", ["block_drains", "manifold_drains", "flame_arrestor"])
def test_the_battery_stays_off_while_what_burns_is_open(left: str) -> None:
    kind, supply = INSIDE[0]
    every = looked(*(need.code for need in needs(kind, supply)))
    check = start_check(kind, supply, undone(left), every, AT)
    assert any("the battery stays off" in reason for reason in check.must_not)


def test_muffs_first_for_a_drive_and_never_for_a_wet_exhaust() -> None:
    # The trade: muffs on the drive, water on and seen, then start; an inboard's water as she fires.
    muffs = (
        WaterStep.WATER_ON,
        WaterStep.SEEN_BEFORE,
        WaterStep.START,
        WaterStep.SEEN_AFTER,
        WaterStep.STOP,
        WaterStep.WATER_OFF,
    )
    assert wrong_order(EngineKind.STERNDRIVE, Supply.MUFFS, muffs) == ""
    assert "waits in the wet exhaust" in wrong_order(EngineKind.INBOARD_PETROL, Supply.MUFFS, muffs)


@pytest.mark.parametrize(
    ("has", "wanted"),
    [
        (HAS, ["blower_run", "sterndrive_water_seen", "sterndrive_first_start", "petrol_run_warm"]),
        (
            frozenset({Has.INBOARD_PETROL}),
            ["blower_run", "petrol_inboard_first_start", "petrol_run_warm"],
        ),
    ],
)
def test_her_steps_stand_in_the_same_order(has: frozenset[Has], wanted: list[str]) -> None:
    order = [step.code for step in steps_for(has, Season.SPRING)]
    assert [code for code in order if code in wanted] == wanted
