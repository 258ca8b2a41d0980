from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from yardwright.procedures.put_backs import (
    Before,
    Harm,
    Proof,
    PutBack,
    SignOff,
    Undone,
    holds_back,
    left_undone,
)

AT = datetime(2030, 11, 12, 10, tzinfo=UTC)
PLUG = Undone("plug out", Harm.SINKS, "", Before.WATER, Proof.FELT, AT, "Ines", second=True)


@pytest.mark.parametrize(
    ("proof", "seen_by", "still_open"),
    [
        (Proof.FELT, "Bo", False),
        (Proof.RUN, "Bo", False),
        (Proof.LOOKED, "Bo", True),  # less than it asks for
        (Proof.FELT, "", True),  # it asks for a second person
        (Proof.FELT, "Ada", True),  # who is not the one who proved it
    ],
)
def test_only_the_proof_it_asks_for_closes_it(proof: Proof, seen_by: str, still_open: bool) -> None:
    back = replace(PLUG, put_back=PutBack(AT, "Ada", proof, seen_by))
    assert back.is_open == still_open
    assert PLUG.is_open


def test_a_sign_off_does_not_close_it() -> None:
    assert replace(PLUG, signed_off=SignOff(AT, "Ada", "capped")).is_open


def test_nastiest_first_then_the_longest_open() -> None:
    sail = replace(PLUG, what="sail ashore", harm=Harm.ANNOYS, at=AT - timedelta(days=9))
    hose = replace(PLUG, what="hose off", at=AT - timedelta(days=1))
    shut = replace(PLUG, what="shut", put_back=PutBack(AT, "Ada", Proof.FELT, "Bo"))
    assert left_undone([sail, PLUG, shut, hose]) == (hose, PLUG, sail)


def test_what_holds_back_which_deed() -> None:
    batteries = replace(PLUG, what="batteries ashore", also_before=Before.START)
    sensor = replace(PLUG, what="sensor out", before=Before.HANDOVER)
    everything = [PLUG, batteries, sensor]
    assert holds_back(everything, Before.START) == (batteries,)
    assert set(holds_back(everything, Before.WATER)) == {PLUG, batteries}
    assert set(holds_back(everything, Before.HANDOVER)) == set(everything)


def test_a_named_sign_off_lets_a_capped_fitting_in_but_not_through_handover() -> None:
    capped = replace(PLUG, fitting="hose", signed_off=SignOff(AT, "Ada", "capped"))
    no_fitting = replace(capped, fitting="")
    assert holds_back([capped], Before.WATER) == ()
    assert holds_back([no_fitting], Before.WATER) == (no_fitting,)
    assert holds_back([capped], Before.HANDOVER) == (capped,)


def test_nobody_named_is_refused() -> None:
    with pytest.raises(ValueError, match="say who proved it"):
        PutBack(AT, "", Proof.RUN)
    for by, how in (("", "capped"), ("Ada", " ")):
        with pytest.raises(ValueError, match="sign-off needs a name"):
            SignOff(AT, by, how)
