"""From state to state: each refusal by itself, the hang, the watch."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import product

import pytest

from yardwright.procedures.going_in import (
    BILGE_DRY,
    BILGE_PUMP,
    MOVES,
    Due,
    GoingIn,
    State,
    from_inside,
    hang,
    looks_due,
    may_go,
)
from yardwright.procedures.put_backs import Before, Harm, Proof, PutBack, SignOff, Undone
from yardwright.procedures.water_order import EngineKind
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

AT = datetime(2031, 5, 5, 9, tzinfo=UTC)
MIN = timedelta(minutes=1)
Go = Callable[[GoingIn], tuple[str, ...]]
HUNG = AT + 10 * MIN
PLUG = Barrier("drain hole", BarrierKind.PLUG, SEA, BILGE)
SEACOCK = Barrier("seacock", BarrierKind.VALVE, SEA, "livewell fitting")
HOSE = Barrier("livewell hose", BarrierKind.JOINT, "livewell fitting", BILGE)


def look(what: str, *, holds: bool = True, at: datetime = AT) -> Look:
    return Look(what, holds, at, "Ada")


LOOKS = (
    *(look(what) for what in (OPENINGS, PLUG.name, SEACOCK.name, HOSE.name, BILGE_PUMP)),
    *(look(from_inside(name)) for name in (PLUG.name, SEACOCK.name)),
    look(BILGE_DRY),
    look(BILGE_DRY, at=HUNG),
)
READY = GoingIn(
    ways=WaysIn((PLUG, SEACOCK, HOSE), LOOKS),
    kind=EngineKind.OUTBOARD,
    water=(AT - MIN, AT + 30 * MIN),
    way_back=10 * MIN,
    in_slings_at=AT,
    in_water_at=HUNG,
)


def with_looks(*looks: Look) -> GoingIn:
    return replace(READY, ways=replace(READY.ways, looks=(*LOOKS, *looks)))


def without(what: str) -> GoingIn:
    kept = tuple(look for look in LOOKS if look.at_what != what)
    return replace(READY, ways=replace(READY.ways, looks=kept))


def into_slings(boat: GoingIn, at: datetime = AT) -> tuple[str, ...]:
    return may_go(boat, State.READY, State.IN_THE_SLINGS, at)


def into_water(boat: GoingIn, at: datetime = HUNG) -> tuple[str, ...]:
    return may_go(boat, State.IN_THE_SLINGS, State.IN_THE_WATER, at)


def test_a_boat_with_all_proven_goes_in() -> None:
    assert into_slings(READY) == ()
    assert into_water(READY) == ()


def test_states_and_moves() -> None:
    # The words of the design, in its order.
    assert [state.value for state in State] == [
        "Afloat",
        "Coming out",
        "Blocked up",
        "Laid up",
        "Fitting out",
        "Owner's turn",
        "Ready to go in",
        "In the slings",
        "In the water (watched)",
        "Handed over",
        "Not going in",
    ]
    to_water = [now for now in State if State.IN_THE_WATER in MOVES[now]]
    assert to_water == [State.IN_THE_SLINGS]  # by way of the slings alone
    for now, to in product(State, State):
        if to not in MOVES[now]:
            (refusal,) = may_go(READY, now, to, AT)
            assert refusal.startswith(f"From {now} she does not go to {to}; she goes to ")


def test_lifting_her_back_is_never_refused() -> None:
    nothing_known = GoingIn(WaysIn(()), holds=("Lift her rudder.",))
    assert may_go(nothing_known, State.IN_THE_WATER, State.IN_THE_SLINGS, AT) == ()
    assert may_go(nothing_known, State.IN_THE_SLINGS, State.FITTING_OUT, AT) == ()


def test_ready_is_refused_by_what_holds_her_and_not_by_what_nobody_asked_yet() -> None:
    def ready(boat: GoingIn) -> tuple[str, ...]:
        return may_go(boat, State.FITTING_OUT, State.READY, AT)

    assert ready(READY) == ()
    assert ready(without(BILGE_PUMP)) == ready(without(PLUG.name)) == ()
    (takes,) = ready(with_looks(look(PLUG.name, holds=False)))
    assert takes.startswith("Would take water: sea → drain hole")
    lead = Undone("pump lead off", Harm.SINKS, "", Before.WATER, Proof.RUN, AT, "Ines")
    assert ready(replace(READY, undone=(lead,), holds=("Steering: Stop.",))) == (
        "pump lead off: not put back (sinks).",
        "Steering: Stop.",
    )
    assert ready(replace(READY, undone=(replace(lead, before=Before.HANDOVER),))) == ()


@pytest.mark.parametrize("go", [into_slings, into_water])
class TestBothWays:
    """What refuses the slings refuses the water too."""

    def test_plug_not_proven(self, go: Go) -> None:
        assert any("Not known: sea → drain hole" in words for words in go(without(PLUG.name)))

    def test_openings_not_counted(self, go: Go) -> None:
        assert any("her openings are not counted" in words for words in go(without(OPENINGS)))

    def test_plug_seen_out(self, go: Go) -> None:
        out = with_looks(look(PLUG.name, holds=False))
        assert any(words.startswith("Would take water: sea → drain hole") for words in go(out))

    def test_proof_older_than_a_day(self, go: Go) -> None:
        old = look(PLUG.name, at=AT - timedelta(hours=24, minutes=11))
        ways = without(PLUG.name).ways
        boat = replace(READY, ways=replace(ways, looks=(*ways.looks, old)))
        assert any("proven again within 24 h" in words for words in go(boat))

    def test_held_by_something_else(self, go: Go) -> None:
        assert go(replace(READY, holds=("Steering: Stop.",))) == ("Steering: Stop.",)

    def test_bilge_pump_not_run(self, go: Go) -> None:
        words = "Run the bilge pump from its own switch first (never looked at)."
        assert go(without(BILGE_PUMP)) == (words,)
        assert go(replace(without(BILGE_PUMP), has_bilge_pump=False)) == ()

    def test_bilge_pump_did_not_run(self, go: Go) -> None:
        (words,) = go(with_looks(look(BILGE_PUMP, holds=False)))
        assert words.startswith("Run the bilge pump")

    def test_open_put_back(self, go: Go) -> None:
        lead = Undone("pump lead off", Harm.SINKS, "", Before.WATER, Proof.RUN, AT, "Ines")
        assert go(replace(READY, undone=(lead,))) == ("pump lead off: not put back (sinks).",)
        signed = replace(lead, signed_off=SignOff(AT, "Ada", "owner knows"))
        assert go(replace(READY, undone=(signed,)))  # a sign-off is for a capped fitting alone
        later = replace(lead, before=Before.HANDOVER)
        assert go(replace(READY, undone=(later,))) == ()

    def test_floats_on_one_valve(self, go: Go) -> None:
        off = Undone(
            "hose off", Harm.SINKS, "", Before.WATER, Proof.FELT, AT, "Ines", "", HOSE.name
        )
        boat = replace(READY, undone=(off,), ways=after_put_backs(READY.ways, [off]))
        assert any("on one valve, with livewell hose behind it" in words for words in go(boat))
        signed = replace(off, signed_off=SignOff(AT, "Ada", "capped"))
        assert go(replace(boat, undone=(signed,))) == ()

    def test_a_sign_off_ends_with_its_put_back(self, go: Go) -> None:
        capped = SignOff(AT - 90 * MIN, "Ada", "capped")
        off = Undone(
            "hose off", Harm.SINKS, "", Before.WATER, Proof.FELT, AT - 90 * MIN, "Ines", "",
            HOSE.name, put_back=PutBack(AT - 60 * MIN, "Ada", Proof.FELT), signed_off=capped,
        )  # fmt: skip
        work = Disturbed(Disturbance.WORK, AT, HOSE.name)  # at it once more, after that
        boat = replace(READY, undone=(off,), ways=replace(READY.ways, disturbed=(work,)))
        assert any("on one valve, with livewell hose behind it" in words for words in go(boat))

    def test_a_joint_not_proven_behind_one_valve_has_nothing_to_sign_off(self, go: Go) -> None:
        assert any("on one valve" in words for words in go(without(HOSE.name)))

    def test_water_not_known(self, go: Go) -> None:
        (words,) = go(replace(READY, water=None))
        minutes = 20 if go is into_slings else 10  # the hang and the way back, or the way back
        assert words == f"The water for the next {minutes} min is not known; look at the tide."


@pytest.mark.parametrize(("until", "refused"), [(20 * MIN, False), (19 * MIN, True)])
def test_water_holds_for_the_hang_and_the_way_back(until: timedelta, refused: bool) -> None:
    boat = replace(READY, water=(AT, AT + until))
    assert bool(into_slings(boat)) == refused
    assert bool(into_water(boat)) == refused
    assert into_slings(replace(READY, water=(AT + MIN, AT + 60 * MIN))) == (
        "She needs the water for 20 min; it holds from 09:01 to 10:00.",
    )
    day = timedelta(days=1)
    (words,) = into_slings(replace(READY, water=(AT + day, AT + day + 60 * MIN)))
    assert words.endswith(f"from {AT + day:%a} {(AT + day).day} {AT + day:%b} 09:00 to 10:00.")


def test_the_hang_by_kind() -> None:
    assert hang(EngineKind.OUTBOARD) == 10 * MIN
    for kind in (None, EngineKind.STERNDRIVE, EngineKind.INBOARD_PETROL, EngineKind.INBOARD_DIESEL):
        assert hang(kind) == 15 * MIN


def test_bilge_looked_at_twice_the_hang_apart() -> None:
    words = ("Look twice that the bilge is dry, 10 min apart, while she hangs.",)
    assert into_water(READY, HUNG - MIN) == words
    assert into_water(without(BILGE_DRY)) == words
    earlier = replace(READY, in_slings_at=AT - 20 * MIN)
    assert into_water(earlier) == ()
    assert words[0] in into_water(replace(READY, in_slings_at=AT + MIN))
    assert into_water(replace(READY, kind=None)) == (words[0].replace("10 min", "15 min"),)


def test_each_opening_looked_at_from_inside_while_she_hangs() -> None:
    missing = without(from_inside(SEACOCK.name))
    assert into_water(missing) == ("Look at seacock from inside while she hangs.",)


def test_hang_not_known() -> None:
    assert into_water(replace(READY, in_slings_at=None)) == (
        "When she came into the slings is not known.",
    )


@pytest.mark.parametrize("what", [BILGE_DRY, from_inside(SEACOCK.name)])
def test_one_wet_look_lifts_her_back(what: str) -> None:
    (words,) = into_water(with_looks(look(what, holds=False, at=AT + 5 * MIN)))
    asked = what[0].upper() + what[1:]
    assert words == f"Lift her back. {asked}? No: water comes in (Ada, 09:05)."
    said = Look(what, False, AT + 5 * MIN, "Ada", "a bead at the thread")
    assert into_water(with_looks(said)) == (
        f"Lift her back. {asked}? No: a bead at the thread (Ada, 09:05).",
    )
    before = with_looks(look(what, holds=False, at=AT - MIN))  # an earlier hang
    assert into_water(before) == ()


# --- the watch --------------------------------------------------------------------

DUE_MIN = (0, 10, 30, 120, 1440)  # looks at 0, 10, 30 min, 2 h and 24 h, as the design says


def watch(*minutes: float, now_min: float) -> list[Due]:
    looks = [look(BILGE_DRY, at=HUNG + m * MIN) for m in minutes]
    return [due.standing for due in looks_due(HUNG, looks, HUNG + now_min * MIN)]


def test_when_the_looks_are_due() -> None:
    due = looks_due(HUNG, (), HUNG)
    assert [one.due_at for one in due] == [HUNG + m * MIN for m in DUE_MIN]


@pytest.mark.parametrize(
    ("minutes", "now_min", "standings"),
    [
        ((), 0, [Due.DUE] + [Due.NOT_YET] * 4),
        ((), 6, [Due.LATE] + [Due.NOT_YET] * 4),
        ((0,), 5, [Due.DONE] + [Due.NOT_YET] * 4),
        ((0,), 15, [Due.DONE, Due.DUE] + [Due.NOT_YET] * 3),
        ((0, 5), 11, [Due.DONE, Due.DUE] + [Due.NOT_YET] * 3),
        ((0, 10, 31), 200, [Due.DONE] * 3 + [Due.LATE, Due.NOT_YET]),
        ((0, 10), 120, [Due.DONE] * 2 + [Due.MISSED, Due.DUE, Due.NOT_YET]),
        ((), 1440, [Due.MISSED] * 4 + [Due.DUE]),
        (DUE_MIN, 1440, [Due.DONE] * 5),
        # at five minutes past it is in time yet; a look at the next time is no look of the one before
        ((0, 15), 15, [Due.DONE] * 2 + [Due.NOT_YET] * 3),
        ((0, 15.1), 16, [Due.DONE, Due.DONE_LATE] + [Due.NOT_YET] * 3),
        ((10,), 10, [Due.DONE] + [Due.NOT_YET] * 4),
        # late, but before the next was due
        ((0, 16, 30, 1200), 1200, [Due.DONE, Due.DONE_LATE, Due.DONE, Due.DONE_LATE, Due.NOT_YET]),
        # five at once are one look, and after a missed one the watch starts again with the next
        ((1440,) * 5, 1440, [Due.DONE] + [Due.NOT_YET] * 4),
        ((1440, 1441, 1442, 1443, 1444), 1450, [Due.DONE, Due.DUE] + [Due.NOT_YET] * 3),
        ((0, 10, 130), 130, [Due.DONE] + [Due.NOT_YET] * 4),
        ((0, 10, 130, 140, 160, 250), 1569, [Due.DONE] * 4 + [Due.NOT_YET]),
        ((0, 10, 130, 140, 160, 250, 1570), 1570, [Due.DONE] * 5),
        (DUE_MIN, 1439, [Due.DONE] * 4 + [Due.NOT_YET]),
    ],
)
def test_how_the_looks_stand(
    minutes: tuple[float, ...], now_min: float, standings: list[Due]
) -> None:
    assert watch(*minutes, now_min=now_min) == standings


def watched(*wet_min: int) -> GoingIn:
    return with_looks(
        *(look(BILGE_DRY, holds=m not in wet_min, at=HUNG + m * MIN) for m in DUE_MIN)
    )


def hand_over(boat: GoingIn, now_min: int) -> tuple[str, ...]:
    return may_go(boat, State.IN_THE_WATER, State.HANDED_OVER, HUNG + now_min * MIN)


def test_handed_over_when_the_watch_is_done_and_dry() -> None:
    assert hand_over(watched(), 1440) == ()
    assert hand_over(watched(), 1439) == ("The look of 6 May 09:10 is not yet.",)
    for when in (0, 30):
        (wet,) = hand_over(watched(when), 1440)
        assert wet.startswith("Lift her back. Bilge dry? No")


def test_five_looks_at_the_end_are_no_watch() -> None:
    looks = (look(BILGE_DRY, at=HUNG + m * MIN) for m in (1440, 1441, 1442, 1443, 1444))
    refusals = hand_over(with_looks(*looks), 1445)
    assert len(refusals) == 4
    assert refusals[0] == (  # ten minutes after the first of them
        "The look of 6 May 09:20 is not yet. One was missed, so the watch began again 6 May 09:10."
    )
    nobody = hand_over(READY, 1440)
    assert nobody[0] == "The look of 5 May 09:20 is missed."


def test_a_wet_look_then_a_dry_one_is_wet() -> None:
    looks = [look(BILGE_DRY, at=HUNG), look(BILGE_DRY, holds=False, at=HUNG + MIN)]
    looks.append(look(BILGE_DRY, at=HUNG + 2 * MIN))
    assert looks_due(HUNG, looks, HUNG + 3 * MIN)[0].standing == Due.WET


def test_not_handed_over_with_something_opened_since_she_went_in() -> None:
    def disturbed(fitting: str) -> GoingIn:
        since = Disturbed(Disturbance.WORK, HUNG + 200 * MIN, fitting)
        return replace(
            watched(), ways=replace(READY.ways, looks=watched().ways.looks, disturbed=(since,))
        )

    (not_known,) = hand_over(disturbed(PLUG.name), 1440)
    assert not_known.startswith("Not known: sea → drain hole")
    assert "work at it since (5 May)" in not_known
    (behind,) = hand_over(disturbed(HOSE.name), 1440)
    assert "on one valve, with livewell hose behind it" in behind
    weeps = look(PLUG.name, holds=False, at=HUNG + 200 * MIN)
    ways = watched().ways
    (takes_water,) = hand_over(
        replace(watched(), ways=replace(ways, looks=(*ways.looks, weeps))), 1440
    )
    assert takes_water.startswith("Would take water: sea → drain hole")


def test_handover_waits_for_every_put_back_and_every_hold() -> None:
    key = Undone("key on hook 12", Harm.ANNOYS, "", Before.HANDOVER, Proof.LOOKED, AT, "Ines")
    boat = replace(watched(), undone=(key,), holds=("Price not agreed.",))
    assert hand_over(boat, 1440) == ("key on hook 12: not put back (annoys).", "Price not agreed.")
    assert hand_over(replace(watched(), in_water_at=None), 1440) == (
        "When the slings came off is not known.",
    )


def test_work_at_the_seacock_in_the_slings_lapses_its_proof() -> None:
    work = Disturbed(Disturbance.WORK, AT + MIN, PLUG.name)
    boat = replace(READY, ways=replace(READY.ways, disturbed=(work,)))
    assert any("work at it since (5 May)" in words for words in into_water(boat))
