"""Teal, the outboard boat of 6.4 m with eleven things undone, as the yard's story tells her."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from yardwright.procedures.float_check import float_check
from yardwright.procedures.going_in import (
    BILGE_DRY,
    BILGE_PUMP,
    GoingIn,
    State,
    from_inside,
    may_go,
)
from yardwright.procedures.land_check import COVER, land_check
from yardwright.procedures.put_backs import Before, Harm, Proof, PutBack, SignOff, Undone
from yardwright.procedures.start_check import NeedCode, StartCheck, needs, start_check
from yardwright.procedures.water_order import EngineKind, Supply
from yardwright.procedures.ways_in import (
    BILGE,
    OPENINGS,
    SEA,
    Barrier,
    BarrierKind,
    Disturbance,
    Disturbed,
    Look,
    WaysIn,
    after_put_backs,
)

FALL = datetime(2030, 11, 12, 10, tzinfo=UTC)
SPRING = datetime(2031, 5, 5, 9, tzinfo=UTC)
HOLE, SEACOCK, HOSE, BLANK = (
    "stern drain hole",
    "livewell seacock",
    "livewell hose",
    "speed sensor blank",
)
BARRIERS = (
    Barrier(HOLE, BarrierKind.PLUG, SEA, BILGE, 0.0254, 0.30),
    Barrier(SEACOCK, BarrierKind.VALVE, SEA, "livewell fitting", 0.019, 0.25),
    Barrier(HOSE, BarrierKind.JOINT, "livewell fitting", BILGE, 0.019),
    Barrier(BLANK, BarrierKind.BLANK, SEA, BILGE, 0.051, 0.35),
)


def undone(what: str, harm: Harm, before: Before, fitting: str = "") -> Undone:
    return Undone(what, harm, "", before, Proof.LOOKED, FALL, "Ines", fitting=fitting)


ELEVEN = (
    undone("stern drain plug out", Harm.SINKS, Before.WATER, HOLE),
    undone("fuel pump lead off", Harm.NO_START, Before.START),
    replace(
        undone("two batteries ashore", Harm.SINKS, Before.WATER),
        also_before=Before.START,
        lies="on charge in the shed",
    ),
    undone("gear case drained, open for its seal kit", Harm.RUINS, Before.START),
    undone("propeller off", Harm.HURTS, Before.WATER),
    undone("livewell hose off its seacock", Harm.SINKS, Before.WATER, HOSE),
    undone("speed sensor out, blank fitted", Harm.ANNOYS, Before.HANDOVER),
    undone("bilge pump switch lead off", Harm.SINKS, Before.WATER),
    undone("water separator element out", Harm.BURNS, Before.START),
    undone("stop-switch lanyard in the office", Harm.HURTS, Before.START),
    undone("cowling vents taped against mice", Harm.RUINS, Before.START),
)


def put_back(*numbers: int, at: datetime = SPRING) -> tuple[Undone, ...]:
    """The eleven, with these put back (1 is the drain plug)."""
    proof = PutBack(at, "Ada", Proof.RUN)
    return tuple(
        replace(thing, put_back=proof) if number in numbers else thing
        for number, thing in enumerate(ELEVEN, 1)
    )


def looked(*what: str, at: datetime = SPRING, holds: bool = True) -> tuple[Look, ...]:
    return tuple(Look(name, holds, at, "Ada") for name in what)


def teal(*looks: Look) -> WaysIn:
    return WaysIn(BARRIERS, looks)


COUNTED = looked(OPENINGS)
SHUT = looked(SEACOCK, BLANK)
LATER = SPRING + timedelta(minutes=1)


def test_openings_not_yet_counted() -> None:
    check = float_check(after_put_backs(teal(*SHUT), ELEVEN), LATER)
    assert check.answer == "Not known"
    assert "not counted (never looked at)" in check.sentence
    assert any(HOLE in way.words for way in check.ways)  # what is known is told all the same


def test_counted_and_all_eleven_open() -> None:
    check = float_check(after_put_backs(teal(*COUNTED, *SHUT), ELEVEN), LATER)
    assert check.answer == "Would take water"
    (way,) = check.ways
    assert way.words == "sea → stern drain hole, 25 mm, 0.30 m deep → bilge, 44 to 59 L/min"
    # By hand: pi/4 * 0.0254^2 m2 * sqrt(2 * 9.80665 * 0.30) m/s = 73.75 L/min, times 0.6 and 0.8.
    assert way.inflow_l_min == pytest.approx((44.2, 59.0), abs=0.1)
    assert [thing.names for thing in check.to_do] == [(HOLE,)]


def test_drain_plug_proven() -> None:
    check = float_check(after_put_backs(teal(*COUNTED, *SHUT), put_back(1)), LATER)
    assert check.answer == "Floats on one valve"
    assert check.one_valve == (SEACOCK,)
    assert check.rests_on == (BLANK,)
    assert check.holds_her_up == (HOLE, SEACOCK, BLANK)
    assert check.sentence == (
        "Floats on one valve: livewell seacock. Resting also on speed sensor blank. What is open"
        " behind it: capped, or tagged shut with a named sign-off, else she does not go in."
    )


def test_hose_on_too() -> None:
    check = float_check(after_put_backs(teal(*COUNTED, *SHUT), put_back(1, 6)), LATER)
    assert check.answer == "Floats"
    assert check.sentence == "Floats. Resting also on speed sensor blank."


def test_seacock_never_looked_at_and_the_hose_off() -> None:
    ways = after_put_backs(teal(*COUNTED, *looked(BLANK)), put_back(1))
    check = float_check(ways, LATER)
    assert check.answer == "Not known"
    assert [thing.names for thing in check.to_do] == [(SEACOCK, HOSE)]
    assert "One thing to do: prove the livewell seacock shut, or put the livewell hose back." in (
        check.sentence
    )


def test_seacock_proven_in_november_and_a_frost_since() -> None:
    frost = Disturbed(Disturbance.FROST, datetime(2031, 1, 3, tzinfo=UTC), SEACOCK)
    looks = (*COUNTED, *looked(BLANK), Look(SEACOCK, True, FALL, "Ines"))
    ways = after_put_backs(WaysIn(BARRIERS, looks, (frost,)), put_back(1))
    check = float_check(ways, LATER)
    assert check.answer == "Not known"
    assert check.standings[SEACOCK].because == (
        "proven 12 Nov by Ines, but frost while wet since (3 Jan)"
    )


ALL_NEEDS = looked(*(need.code for need in needs(EngineKind.OUTBOARD, Supply.MUFFS)))


def start(undone: tuple[Undone, ...], looks: tuple[Look, ...]) -> StartCheck:
    return start_check(EngineKind.OUTBOARD, Supply.MUFFS, undone, looks, LATER)


def test_start_on_the_hose_with_six_open() -> None:
    check = start(put_back(1, 5, 6, 7, 8), ALL_NEEDS)
    assert check.answer == "Must not start"
    for number in (2, 3, 4, 9, 10, 11):
        assert any(ELEVEN[number - 1].what in reason for reason in check.must_not)


def test_the_propeller_stays_off_for_the_hose_run() -> None:
    check = start(put_back(2, 3, 4, 9, 10, 11), ALL_NEEDS)
    assert check.answer == "May start"
    assert check.sentence == "May start."


def test_all_proven_but_no_water_at_the_muffs() -> None:
    dry = looked(NeedCode.WATER, at=LATER, holds=False)
    check = start(put_back(*range(1, 12)), (*ALL_NEEDS, *dry))
    assert check.answer == "Must not start"
    assert check.sentence.startswith("Must not start: No water at the muffs")


def going_in(*numbers: int, capped: bool = False) -> GoingIn:
    undone = put_back(*numbers)
    if capped:
        capped_by = SignOff(SPRING, "Ada", "capped, seacock tagged shut")
        undone = (*undone[:5], replace(undone[5], signed_off=capped_by), *undone[6:])
    hang_looks = (
        *looked(BILGE_DRY, *map(from_inside, (HOLE, SEACOCK, BLANK))),
        *looked(BILGE_DRY, at=SPRING + timedelta(minutes=10)),
    )
    ways = teal(*COUNTED, *SHUT, *looked(BILGE_PUMP), *hang_looks)
    return GoingIn(
        ways=after_put_backs(ways, undone),
        undone=undone,
        kind=EngineKind.OUTBOARD,
        water=(SPRING, SPRING + timedelta(minutes=30)),
        way_back=timedelta(minutes=15),
        in_slings_at=SPRING,
        in_water_at=SPRING,
    )


INTO = [
    (State.READY, State.IN_THE_SLINGS, SPRING),
    (State.IN_THE_SLINGS, State.IN_THE_WATER, SPRING + timedelta(minutes=10)),
]


@pytest.mark.parametrize(("now_is", "to", "at"), INTO)
@pytest.mark.parametrize("forgotten", [1, 3, 5, 6, 8])
def test_each_of_five_keeps_her_out_of_the_water(
    forgotten: int, now_is: State, to: State, at: datetime
) -> None:
    closed = {1, 3, 5, 6, 8} - {forgotten}
    refusals = may_go(going_in(*closed), now_is, to, at)
    assert any(ELEVEN[forgotten - 1].what in refusal for refusal in refusals)


@pytest.mark.parametrize(("now_is", "to", "at"), INTO)
def test_five_closed_or_the_hose_signed_off_lets_her_in(
    now_is: State, to: State, at: datetime
) -> None:
    assert may_go(going_in(1, 3, 5, 6, 8), now_is, to, at) == ()
    assert may_go(going_in(1, 3, 5, 8, capped=True), now_is, to, at) == ()


def test_handover_waits_for_all_eleven() -> None:
    boat = going_in(1, 3, 5, 6, 8)
    refusals = may_go(boat, State.IN_THE_WATER, State.HANDED_OVER, LATER)
    for number in (2, 4, 7, 9, 10, 11):
        assert any(ELEVEN[number - 1].what in refusal for refusal in refusals)


def test_plug_in_while_she_stands_on_land() -> None:
    check = land_check(after_put_backs(teal(*looked(COVER)), put_back(1)), LATER)
    assert check.answer == "Rain can't get out"
    assert land_check(after_put_backs(teal(*looked(COVER)), ELEVEN), LATER).answer == (
        "Rain gets out"
    )
