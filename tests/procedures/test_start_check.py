"""The start check need by need, the order of water, and when to stop again."""

import re
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from yardwright.procedures.put_backs import Before, Harm, Proof, PutBack, Undone
from yardwright.procedures.start_check import (
    MayStart,
    Need,
    NeedCode,
    battery_stays_off,
    needs,
    start_check,
)
from yardwright.procedures.steps import book
from yardwright.procedures.water_order import (
    AT_THE_KEY,
    WAITING_WATER,
    EngineKind,
    Supply,
    WaterStep,
    did_not_fire,
    in_gear_on_a_hose,
    order_of_water,
    wrong_order,
)
from yardwright.procedures.ways_in import Look

AT = datetime(2031, 5, 5, 9, tzinfo=UTC)
SUITED = [
    (EngineKind.OUTBOARD, Supply.MUFFS),
    (EngineKind.OUTBOARD, Supply.AFLOAT),
    *((EngineKind.STERNDRIVE, supply) for supply in Supply),
    *((kind, Supply.BUCKET) for kind in (EngineKind.INBOARD_PETROL, EngineKind.INBOARD_DIESEL)),
    *((kind, Supply.AFLOAT) for kind in (EngineKind.INBOARD_PETROL, EngineKind.INBOARD_DIESEL)),
]
UNSUITED = [(kind, s) for kind in EngineKind for s in Supply if (kind, s) not in SUITED]


def looks_for(kind: EngineKind, supply: Supply) -> tuple[Look, ...]:
    return tuple(Look(need.code, True, AT, "Ada") for need in needs(kind, supply))


def but(looks: tuple[Look, ...], code: NeedCode) -> tuple[Look, ...]:
    return tuple(look for look in looks if look.at_what != code)


@pytest.mark.parametrize(("kind", "supply"), SUITED)
def test_each_need_by_itself(kind: EngineKind, supply: Supply) -> None:
    looks = looks_for(kind, supply)
    assert start_check(kind, supply, (), looks, AT).answer == MayStart.YES
    for need in needs(kind, supply):
        rest = but(looks, need.code)
        missing = start_check(kind, supply, (), rest, AT)
        if need.after_stop:  # asked only then
            assert missing.answer == MayStart.YES
        else:
            assert missing.answer == MayStart.NOT_KNOWN
            assert missing.sentence == f"Not known: {need.question} (not looked at)."
        seen_bad = Look(need.code, False, AT, "Ada", "see photo")
        bad = start_check(kind, supply, (), (*rest, seen_bad), AT)
        assert bad.answer == MayStart.NO
        assert need.what_if_not in bad.sentence
        assert "5 May 09:00 by Ada: see photo" in bad.sentence


def test_nothing_known() -> None:
    check = start_check(EngineKind.OUTBOARD, Supply.MUFFS, (), (), AT)
    assert check.answer == MayStart.NOT_KNOWN
    stopped = [one for one in check.needs if one.need.after_stop]
    assert len(check.not_known) == len(check.needs) - len(stopped)
    assert [one.known.because for one in stopped] == ["no run was stopped"]


def test_what_each_kind_needs() -> None:
    # Of the trade's table of kinds of propulsion: blower and sniff on sterndrives and petrol
    # inboards alone (33 CFR 183.610(f)), stop proven before the first start on diesels alone.
    for kind, supply in SUITED:
        codes = [need.code for need in needs(kind, supply)]
        petrol_inside = kind in (EngineKind.STERNDRIVE, EngineKind.INBOARD_PETROL)
        assert (NeedCode.BLOWER in codes) == petrol_inside
        assert (NeedCode.STOP in codes) == (kind == EngineKind.INBOARD_DIESEL)
        everywhere = set(NeedCode) - {NeedCode.BLOWER, NeedCode.STOP}
        assert everywhere <= set(codes)


def test_fuel_then_battery_then_blower_then_nose_then_water() -> None:
    codes = [need.code for need in needs(EngineKind.INBOARD_PETROL, Supply.BUCKET)]
    order = [
        NeedCode.FUEL,
        NeedCode.BATTERY,
        NeedCode.BLOWER,
        NeedCode.SNIFF,
        NeedCode.WATER,
    ]
    assert [code for code in codes if code in order] == order


def test_water_that_waits_in_a_wet_exhaust_is_warned_of_on_every_water() -> None:
    for kind in (EngineKind.INBOARD_PETROL, EngineKind.INBOARD_DIESEL):
        for supply in (Supply.BUCKET, Supply.AFLOAT):
            assert "reaches the cylinders" in needs(kind, supply)[-1].caution
    assert "reaches the cylinders" not in needs(EngineKind.OUTBOARD, Supply.AFLOAT)[-1].caution


def asked(kind: EngineKind, supply: Supply, code: NeedCode) -> Need:
    (found,) = (need for need in needs(kind, supply) if need.code == code)
    return found


def test_only_an_outboard_or_sterndrive_surely_has_a_lanyard() -> None:
    for kind, supply in SUITED:
        inboard = kind in (EngineKind.INBOARD_PETROL, EngineKind.INBOARD_DIESEL)
        question = asked(kind, supply, NeedCode.LANYARD).question
        assert ("or the key stop known" in question) == inboard
        assert ("in the hand of who stands there" in question) != inboard


def test_afloat_people_are_in_the_water_ashore_under_her() -> None:
    for kind, supply in SUITED:
        question = asked(kind, supply, NeedCode.NOBODY_UNDER).question
        afloat = supply == Supply.AFLOAT
        assert question == (
            "Is nobody in the water near her?" if afloat else "Is nobody under her?"
        )


def test_what_changes_while_one_turns_away_is_looked_at_just_before() -> None:
    for kind, supply in SUITED:
        just_before = {need.code for need in needs(kind, supply) if need.just_before}
        assert just_before - {NeedCode.BLOWER} == {
            NeedCode.NEUTRAL, NeedCode.NOBODY_UNDER, NeedCode.LADDER, NeedCode.PROPELLER,
            NeedCode.SNIFF, NeedCode.WATER,
        }  # fmt: skip
        has_blower = kind in (EngineKind.STERNDRIVE, EngineKind.INBOARD_PETROL)
        assert (NeedCode.BLOWER in just_before) == has_blower


def test_the_seacock_is_shut_between_cranks_afloat_alone() -> None:
    for kind, supply in SUITED:
        between = supply == Supply.AFLOAT and kind in (
            EngineKind.INBOARD_PETROL,
            EngineKind.INBOARD_DIESEL,
        )
        caution = asked(kind, supply, NeedCode.WATER).caution
        assert ("between them the seacock shut" in caution) == between


def test_blower_runs_four_minutes() -> None:
    blower = next(
        need for need in needs(EngineKind.STERNDRIVE, Supply.MUFFS) if need.code == NeedCode.BLOWER
    )
    assert blower.question == "Has the blower run for 4 minutes?"  # 33 CFR 183.610(f)


@pytest.mark.parametrize(
    ("code", "age", "good_for", "answer"),
    [
        (NeedCode.ENGINE_OIL, timedelta(hours=12), None, MayStart.YES),
        (NeedCode.ENGINE_OIL, timedelta(hours=12, minutes=1), None, MayStart.NOT_KNOWN),
        (NeedCode.ENGINE_OIL, timedelta(hours=2), timedelta(hours=1), MayStart.NOT_KNOWN),
        (NeedCode.NOBODY_UNDER, timedelta(minutes=30), None, MayStart.YES),
        (NeedCode.NOBODY_UNDER, timedelta(minutes=31), None, MayStart.NOT_KNOWN),
        (NeedCode.SNIFF, timedelta(minutes=31), timedelta(hours=24), MayStart.NOT_KNOWN),
    ],
)
def test_a_look_is_good_for_a_while(
    code: NeedCode, age: timedelta, good_for: timedelta | None, answer: MayStart
) -> None:
    kind, supply = EngineKind.OUTBOARD, Supply.MUFFS
    looks = (*but(looks_for(kind, supply), code), Look(code, True, AT - age, "Ada"))
    assert start_check(kind, supply, (), looks, AT, good_for=good_for).answer == answer


def test_the_latest_look_counts_a_bad_one_stays_bad_and_a_later_time_is_not_yet() -> None:
    kind, supply = EngineKind.OUTBOARD, Supply.MUFFS
    looks = looks_for(kind, supply)
    long_ago = Look(NeedCode.DRAINS, False, AT - timedelta(days=90), "Ines")
    bad = (*but(looks, NeedCode.DRAINS), long_ago)
    assert start_check(kind, supply, (), bad, AT).answer == MayStart.NO
    assert start_check(kind, supply, (), (*looks, long_ago), AT).answer == MayStart.YES
    at_once = replace(long_ago, at=AT)
    assert start_check(kind, supply, (), (*looks, at_once), AT).answer == MayStart.NO
    assert start_check(kind, supply, (), looks, AT - timedelta(hours=1)).answer == (
        MayStart.NOT_KNOWN
    )


def test_after_a_stop_no_run_begins_before_the_way_of_the_water_is_looked_at() -> None:
    kind, supply = EngineKind.OUTBOARD, Supply.MUFFS
    looks = but(looks_for(kind, supply), NeedCode.WATER_PATH)
    assert start_check(kind, supply, (), looks, AT).answer == MayStart.YES
    stop = Look(NeedCode.WATER_PATH, False, AT - timedelta(hours=1), "Ada", "a hose run said stop")
    held = start_check(kind, supply, (), (*looks, stop), AT)
    assert held.answer == MayStart.NO
    assert held.must_not == (
        "A run was stopped, and the water path is not in order"
        " (looked at 5 May 08:00 by Ada: a hose run said stop)",
    )
    later = replace(stop, holds=True, at=AT - timedelta(minutes=30))
    assert start_check(kind, supply, (), (*looks, stop, later), AT).answer == MayStart.YES
    # A look counts until the next stop, however long that is; one from before it does not.
    old = tuple(replace(one, at=one.at - timedelta(days=20)) for one in (stop, later))
    assert start_check(kind, supply, (), (*looks, *old), AT).answer == MayStart.YES
    assert start_check(kind, supply, (), (*looks, *old, stop), AT).answer == MayStart.NO


SEPARATOR = Undone(
    "water separator out", Harm.BURNS, "fire", Before.START, Proof.LOOKED, AT, "Ines"
)


def test_battery_on_while_fuel_is_open_is_refused() -> None:
    kind, supply = EngineKind.OUTBOARD, Supply.MUFFS
    words = "water separator out: the battery stays off until that is put back"
    assert battery_stays_off([SEPARATOR]) == (words,)
    looks = looks_for(kind, supply)
    assert words in start_check(kind, supply, [SEPARATOR], looks, AT).must_not
    off = but(looks, NeedCode.BATTERY)
    assert words not in start_check(kind, supply, [SEPARATOR], off, AT).must_not
    closed = replace(SEPARATOR, put_back=PutBack(AT, "Ada", Proof.RUN))
    assert battery_stays_off([closed]) == ()
    assert battery_stays_off([replace(SEPARATOR, harm=Harm.RUINS)]) == ()


def test_a_put_back_for_the_water_alone_does_not_hold_the_start() -> None:
    kind, supply = EngineKind.OUTBOARD, Supply.MUFFS
    looks = looks_for(kind, supply)
    propeller = replace(SEPARATOR, what="propeller off", before=Before.WATER)
    assert start_check(kind, supply, [propeller], looks, AT).answer == MayStart.YES
    both = replace(propeller, also_before=Before.START)
    assert start_check(kind, supply, [both], looks, AT).answer == MayStart.NO


# --- water ---------------------------------------------------------------------------


@pytest.mark.parametrize(("kind", "supply"), SUITED)
def test_its_own_order_is_right_and_every_other_is_refused(
    kind: EngineKind, supply: Supply
) -> None:
    order = order_of_water(kind, supply)
    assert wrong_order(kind, supply, order) == ""
    for wrong in (order[::-1], order[1:]):
        words = f"{kind} on {supply}: the order is wrong. The order is: {'; '.join(order)}."
        assert wrong_order(kind, supply, wrong) == words
    too_early = supply == Supply.BUCKET
    waits = wrong_order(kind, supply, [WaterStep.WATER_ON, *order])
    assert ("waits in the wet exhaust" in waits) == too_early


def test_everywhere_a_wet_exhaust_s_water_opens_as_she_fires_and_muffs_are_on_before() -> None:
    # Water opened before she fires fills the muffler, then the cylinders; muffs on an outboard
    # or drive run before the start, for its pump lies in the lower unit and runs dry in seconds.
    steps = {step.code: step for step in book().steps}
    told = {
        "order": WAITING_WATER,
        "key": AT_THE_KEY[Supply.BUCKET],
        "need": asked(EngineKind.INBOARD_DIESEL, Supply.BUCKET, NeedCode.WATER).caution,
        "again": " ".join(did_not_fire(EngineKind.INBOARD_DIESEL, Supply.BUCKET)),
        "last run": " ".join(steps["diesel_warmed"].how),
        "petrol": " ".join(steps["petrol_warmed"].how),
        "first": steps["diesel_first_start"].title + " ".join(steps["diesel_first_start"].how),
        "first petrol": steps["petrol_inboard_first_start"].title,
        "generator": " ".join(steps["generator_warmed"].how),
    }
    for where, words in told.items():
        assert re.search(r"(she|it) fires", words.casefold()), where
        assert "with the start" not in words, where
        assert "with its start" not in words, where
    assert "on and seen" in AT_THE_KEY[Supply.MUFFS]
    assert "muffs, water on and seen, start" in told["petrol"]


def test_on_muffs_water_is_seen_before_the_start_and_after_it() -> None:
    order = order_of_water(EngineKind.OUTBOARD, Supply.MUFFS)
    before, after = order.index(WaterStep.SEEN_BEFORE), order.index(WaterStep.SEEN_AFTER)
    assert before < order.index(WaterStep.START) < after


@pytest.mark.parametrize("kind", [EngineKind.INBOARD_PETROL, EngineKind.INBOARD_DIESEL])
def test_the_muffs_order_is_refused_on_an_inboard_with_wet_exhaust(kind: EngineKind) -> None:
    muffs = order_of_water(EngineKind.OUTBOARD, Supply.MUFFS)
    refused = wrong_order(kind, Supply.BUCKET, muffs)
    assert "waits in the wet exhaust and reaches the cylinders" in refused
    assert "start, and open the water the moment she fires" in refused
    assert "shut while she is cranked, open it the moment she fires" in refused
    assert "reaches the cylinders" in wrong_order(kind, Supply.MUFFS, muffs)


@pytest.mark.parametrize(("kind", "supply"), UNSUITED)
def test_an_engine_on_water_that_does_not_suit_it(kind: EngineKind, supply: Supply) -> None:
    waits = supply == Supply.MUFFS  # else a bucket, from which no pump in a lower unit draws
    why = "waits in the wet exhaust" if waits else "its pump lies in the lower unit"
    with pytest.raises(ValueError, match=rf"{why}.*Use .* or afloat\."):
        needs(kind, supply)
    with pytest.raises(ValueError, match=r"Use .* or afloat\."):
        start_check(kind, supply, (), (), AT)


@pytest.mark.parametrize(
    ("maker_allows", "propeller_off", "refused"),
    [
        (True, False, False),
        (False, True, True),
        (None, True, False),
        (None, False, True),
    ],
)
def test_in_gear_on_a_hose(maker_allows: bool | None, propeller_off: bool, refused: bool) -> None:
    told = in_gear_on_a_hose(maker_allows, propeller_off=propeller_off)
    assert (told != "") == refused


def test_did_not_fire_water_first() -> None:
    # What is pumped while she doesn't fire waits in a wet exhaust and reaches the cylinders.
    for kind, supply, first in (
        (EngineKind.OUTBOARD, Supply.MUFFS, "Tap off first"),
        (EngineKind.INBOARD_DIESEL, Supply.BUCKET, "Hose or tee shut first"),
        (EngineKind.INBOARD_PETROL, Supply.AFLOAT, "Raw-water seacock shut first"),
    ):
        assert did_not_fire(kind, supply)[0].startswith(first)
    assert any(
        "muffler" in words for words in did_not_fire(EngineKind.INBOARD_DIESEL, Supply.BUCKET)
    )
    assert not any("muffler" in words for words in did_not_fire(EngineKind.OUTBOARD, Supply.MUFFS))
    assert any("blower" in words for words in did_not_fire(EngineKind.STERNDRIVE, Supply.MUFFS))
    with pytest.raises(ValueError, match="muffs"):
        did_not_fire(EngineKind.INBOARD_DIESEL, Supply.MUFFS)
