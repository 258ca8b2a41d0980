from datetime import UTC, datetime

import pytest

from yardwright.procedures.land_check import COVER, RainOut, land_check
from yardwright.procedures.ways_in import BILGE, RAIN, SEA, Barrier, BarrierKind, Look, WaysIn

AT = datetime(2031, 1, 5, 9, tzinfo=UTC)
PLUG = Barrier("drain hole", BarrierKind.PLUG, SEA, BILGE)
DRAINS = Barrier("cockpit drains", BarrierKind.DRAIN, RAIN, BILGE)


def ways(plug_in: bool | None, clear: bool | None, sheds: bool | None) -> WaysIn:
    seen = {PLUG.name: plug_in or None, DRAINS.name: clear, COVER: sheds}
    looks = [Look(what, so, AT, "Ada") for what, so in seen.items() if so is not None]
    out = frozenset({PLUG.name}) if plug_in is False else frozenset()
    return WaysIn((PLUG, DRAINS), tuple(looks), undone=out)


@pytest.mark.parametrize(
    ("plug_in", "clear", "sheds", "answer"),
    [
        (False, True, True, RainOut.YES),
        (True, True, True, RainOut.NO),
        (False, False, True, RainOut.NO),
        (False, True, False, RainOut.NO),
        (None, True, True, RainOut.NOT_KNOWN),
        (False, None, True, RainOut.NOT_KNOWN),
        (False, True, None, RainOut.NOT_KNOWN),
        (True, None, None, RainOut.NO),
    ],
)
def test_plug_drains_and_cover(
    plug_in: bool | None, clear: bool | None, sheds: bool | None, answer: RainOut
) -> None:
    assert land_check(ways(plug_in, clear, sheds), AT).answer == answer


def test_it_says_why() -> None:
    assert land_check(ways(True, True, True), AT).sentence == (
        "Rain can't get out: drain hole is plugged, proven 5 Jan by Ada."
    )
    assert land_check(ways(False, True, True), AT).sentence == "Rain gets out."


def test_no_drain_plug_on_her_list_is_not_known() -> None:
    sheds = Look(COVER, True, AT, "Ada")
    assert land_check(WaysIn((), (sheds,)), AT).answer == RainOut.NOT_KNOWN


def test_a_plug_that_leaks_is_not_out() -> None:
    looks = (Look(PLUG.name, False, AT, "Ada", "weeps"), Look(COVER, True, AT, "Ada"))
    words = "Not known: drain hole may leak, yet be in, looked at 5 Jan by Ada: weeps."
    assert land_check(WaysIn((PLUG,), looks), AT).sentence == words
    reopened = WaysIn((PLUG,), looks, undone=frozenset({PLUG.name}))  # its proof was contradicted
    assert land_check(reopened, AT).answer == RainOut.NOT_KNOWN
    held = (Look(PLUG.name, True, AT, "Ada"), Look(COVER, True, AT, "Ada"))
    taken_out = WaysIn((PLUG,), held, undone=frozenset({PLUG.name}))  # proven last year, out since
    assert land_check(taken_out, AT).answer == RainOut.YES


def test_each_thing_asked_is_told_with_its_evidence() -> None:
    seen = land_check(ways(False, None, False), AT).seen
    assert [(one.name, one.kind, one.answer, one.evidence) for one in seen] == [
        (PLUG.name, BarrierKind.PLUG, RainOut.YES, "out, not put back yet"),
        (DRAINS.name, BarrierKind.DRAIN, RainOut.NOT_KNOWN, "never looked at"),
        (COVER, None, RainOut.NO, "looked at 5 Jan by Ada: does not hold"),
    ]
    (plug, cover) = land_check(WaysIn(()), AT).seen
    assert (plug.answer, cover.answer) == (RainOut.NOT_KNOWN, RainOut.NOT_KNOWN)
    assert plug.words == plug.evidence == "no drain plug is on her list"
