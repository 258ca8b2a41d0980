"""Templates of fittings: what her equipment suggests, and barriers that the float check can use."""

import tomllib
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import process_time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.procedures.fitting import read_fittings
from yardwright.procedures.fittings import (
    Aboard,
    Proposal,
    barriers_of,
    fitting,
    fittings,
    hers,
    opened_by,
    parts_of,
    stands_open,
    without,
)
from yardwright.procedures.float_check import FloatCheck, Floats, float_check
from yardwright.procedures.step import Has
from yardwright.procedures.steps import book
from yardwright.procedures.ways_in import (
    OPENINGS,
    SEA,
    Barrier,
    BarrierKind,
    Look,
    Standing,
    WaysIn,
    known,
)

AT = datetime(2031, 5, 5, 9, tzinfo=UTC)
EVERYTHING = frozenset(Has)
UNDO_LIST = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "undo_list.toml").read_text(encoding="utf-8")
)["undo"]
SLOOP = frozenset(
    {
        Has.INBOARD_DIESEL,
        Has.RAW_WATER_PUMP,
        Has.SEA_STRAINER,
        Has.SIPHON_BREAK,
        Has.SHAFT,
        Has.HEAD,
        Has.FRESH_WATER,
        Has.SPEED_SENSOR,
        Has.BILGE_PUMP,
    }
)


def suggested(has: frozenset[Has]) -> set[str]:
    return {p.fitting.code for p in hers(has, (), ()) if p.because}


def of(code: str, proposals: tuple[Proposal, ...]) -> Proposal:
    return next(p for p in proposals if p.fitting.code == code)


def test_the_trade_s_list_of_hull_openings_is_covered() -> None:
    # The trade's list of openings, as the acceptance of this part names it: livewell, head, engine
    # intake, exhaust, shaft, rudder, drive bellows, transducers, scuppers, drains; and the rows of
    # the lay-up undo list by which water gets in (U01 to U07, U10, U30, U31, U33).
    said = " ".join(part.name for one in fittings() for part in one.parts)
    for word in (
        "livewell",
        "head intake",
        "head discharge",
        "engine seacock",
        "exhaust",
        "shaft",
        "rudder",
        "bellows",
        "transducer",
        "speed sensor",
        "scupper",
        "drains",
        "drain plug",
        "strainer",
        "siphon break",
    ):
        assert word in said, word


def test_each_put_back_that_opens_a_way_in_is_among_them_with_its_own_kind_of_barrier() -> None:
    for code, kind in book().kinds.items():
        found = opened_by(code)
        assert bool(found) == (kind.barrier is not None), code
        assert {part.kind for _, part in found} <= {kind.barrier}, code


def test_no_part_is_opened_by_a_put_back_that_nobody_knows() -> None:
    named = {code for one in fittings() for part in one.parts for code in part.opened_by}
    assert named <= set(book().kinds)


def test_each_row_of_the_undo_list_that_opens_the_hull_finds_a_part() -> None:
    covered = {row for code, kind in book().kinds.items() if opened_by(code) for row in kind.covers}
    sinks = {row["code"] for row in UNDO_LIST if row["severity"] == "sinks"}
    # U23 and U24 are the pump's battery, no hole.
    assert sinks - covered == {"U23", "U24"}
    water = {"U01", "U02", "U03", "U04", "U05", "U06", "U07", "U08", "U09", "U10", "U11"}
    assert water | {"U30", "U33"} <= covered


def test_her_equipment_suggests_her_fittings() -> None:
    # By hand, from what a sloop with this equipment has in her hull.
    assert suggested(SLOOP) == {
        "engine_intake",
        "wet_exhaust",
        "shaft",
        "rudder",
        "sink",
        "head_intake",
        "head_discharge",
        "speed_sensor",
        "transducer",
        "bilge_pump",
        "cockpit_drains",
    }
    assert suggested(frozenset({Has.STERNDRIVE})) == {
        "drive",
        "drive_engine",
        "drive_exhaust",
        "cockpit_drains",
    }
    assert suggested(frozenset()) == {"cockpit_drains"}
    because = of("engine_intake", hers(SLOOP, (), ())).because
    assert because == "she has: inboard diesel"
    assert of("rudder", hers(SLOOP, (), ())).because == "she has: inboard diesel, shaft"
    assert of("cockpit_drains", hers(SLOOP, (), ())).because == "every boat"


def test_a_part_goes_by_what_she_has_for_it() -> None:
    bare = frozenset({Has.INBOARD_DIESEL})
    names = [b.name for b in barriers_of(fitting("engine_intake"), bare, ())]
    assert names == ["engine seacock", "raw-water hose", "cooler hoses", "injection elbow"]
    names = [b.name for b in barriers_of(fitting("engine_intake"), SLOOP, ())]
    assert "strainer lid" in names
    assert "siphon break" in names
    assert "injection elbow" not in names


def test_what_she_has_for_it_is_enough_and_no_less() -> None:
    def names(*has: Has) -> set[str]:
        return {part.name for part in parts_of(fitting("engine_intake"), frozenset(has))}

    assert "strainer lid" in names(Has.SEA_STRAINER)
    assert "strainer lid" not in names(Has.RAW_WATER_PUMP)
    assert names(Has.SEA_STRAINER) - names() == {"strainer lid"}
    assert names() - names(Has.SIPHON_BREAK) == {"injection elbow"}


def test_a_way_in_of_her_own_is_of_no_template() -> None:
    plain = Barrier("old log tube", BarrierKind.PLUG, SEA, "bilge")
    assert [p.fitting.code for p in hers(EVERYTHING, (plain,), ()) if p.listed] == []
    assert fitting("livewell").aboard == "livewell aboard"


def test_the_livewell_s_barriers() -> None:
    # The way of the water as the trade tells it: sea, seacock, hose, then the bilge by the hose's
    # joint or by a loop that does not vent. No bore and no depth: a usual one is only a hint.
    livewell = barriers_of(fitting("livewell"), EVERYTHING, ())
    assert livewell == (
        Barrier("livewell seacock", BarrierKind.VALVE, SEA, "livewell hose"),
        Barrier("livewell hose", BarrierKind.JOINT, "livewell hose", "bilge"),
        Barrier("livewell filling loop", BarrierKind.LOOP, "livewell hose", "bilge"),
    )


def test_a_second_of_one_kind_shares_neither_names_nor_water_with_the_first() -> None:
    livewell = fitting("livewell")
    first = barriers_of(livewell, EVERYTHING, ())
    second = barriers_of(livewell, EVERYTHING, first)
    third = barriers_of(livewell, EVERYTHING, (*first, *second))
    assert [b.name for b in second][:2] == ["livewell seacock 2", "livewell hose 2"]
    assert third[0].inside == "livewell hose 3"
    assert (second[0].outside, second[1].inside) == (SEA, "bilge")  # there is one sea
    WaysIn((*first, *second, *third))  # no name twice
    assert not {b.inside for b in first} & {b.inside for b in second} - {"bilge"}
    assert of("livewell", hers(EVERYTHING, second, ())).listed == tuple(b.name for b in second)


def test_a_hose_without_a_seacock_hangs_on_the_sea() -> None:
    # By hand: no valve between, so the hose's joint is all that keeps the sea from the bilge.
    livewell = barriers_of(fitting("livewell"), EVERYTHING, ())
    bare = without(livewell, {"livewell seacock"})
    assert [(b.name, b.outside, b.inside) for b in bare] == [
        ("livewell hose", SEA, "bilge"),
        ("livewell filling loop", SEA, "bilge"),
    ]
    assert without(livewell, {"livewell filling loop"}) == livewell[:2]  # one way less
    exhaust = barriers_of(fitting("wet_exhaust"), EVERYTHING, ())
    low = without(exhaust, {"exhaust high loop", "muffler drain"})
    assert [(b.name, b.outside, b.inside) for b in low] == [
        ("exhaust outlet hose", SEA, "bilge"),
        ("exhaust lift", SEA, "cylinders"),
    ]
    assert without(livewell, {b.name for b in livewell}) == ()


@pytest.mark.parametrize(
    "before",
    [
        Barrier("my own loop", BarrierKind.LOOP, SEA, "exhaust hose"),  # its space is taken
        Barrier("exhaust lift", BarrierKind.LOOP, SEA, "cylinders"),  # one of its names is
    ],
)
def test_neither_a_name_nor_a_space_is_used_twice(before: Barrier) -> None:
    made = barriers_of(fitting("wet_exhaust"), EVERYTHING, (before,))
    assert made[0] == Barrier("exhaust high loop 2", BarrierKind.LOOP, SEA, "exhaust hose 2")
    plain = Barrier("old log tube", BarrierKind.PLUG, SEA, "bilge")
    assert barriers_of(fitting("wet_exhaust"), EVERYTHING, (plain,))[0].name == "exhaust high loop"


def test_a_proposal_proves_nothing_and_neither_does_having_it() -> None:
    livewell = fitting("livewell")
    ways = WaysIn(barriers_of(livewell, EVERYTHING, ()), (Look(livewell.aboard, True, AT, "Ines"),))
    check = float_check(ways, AT)
    assert check.answer == Floats.NOT_KNOWN
    assert {k.standing for k in check.standings.values()} == {Standing.NOT_KNOWN}
    assert known(OPENINGS, ways, AT).standing == Standing.NOT_KNOWN


@pytest.mark.parametrize("code", [one.code for one in fittings()])
def test_each_fitting_leads_in_and_can_be_proven_shut(code: str) -> None:
    """Open all along it lets water in; proven, it keeps it out, so no part hangs in the air."""
    barriers = barriers_of(fitting(code), EVERYTHING, ())

    def seen(*, holds: bool) -> FloatCheck:
        looks = [Look(b.name, holds, AT, "Ines") for b in barriers]
        return float_check(WaysIn(barriers, (Look(OPENINGS, True, AT, "Ines"), *looks)), AT)

    assert seen(holds=True).answer == Floats.YES
    check = seen(holds=False)
    assert check.answer == Floats.NO
    in_a_way = {name for way in check.ways for name in way.through}
    assert in_a_way == {b.name for b in barriers}


def test_the_one_that_usually_stands_open_is_known_by_its_name() -> None:
    first = barriers_of(fitting("livewell"), EVERYTHING, ())
    engine = barriers_of(fitting("engine_intake"), EVERYTHING, ())
    assert stands_open("livewell_hose", (*engine, *first)) == "livewell hose"
    assert stands_open("raw_water_hose", (*engine, *first)) == "raw-water hose"
    second = barriers_of(fitting("livewell"), EVERYTHING, first)
    assert stands_open("livewell_hose", second) == "livewell hose 2"
    assert stands_open("livewell_hose", (*first, *second)) == ""  # which of the two nobody knows
    assert stands_open("livewell_hose", engine) == ""
    assert stands_open("key", (*engine, *first)) == ""


def test_what_was_said_counts_until_her_list_says_otherwise() -> None:
    livewell = fitting("livewell")
    no = Look(livewell.aboard, False, AT, "Ines", "she hasn't it")
    yes = Look(livewell.aboard, True, AT + timedelta(hours=1), "Ada")
    barriers = barriers_of(livewell, EVERYTHING, ())

    def aboard(listed: tuple[Barrier, ...], *looks: Look) -> Aboard:
        return of("livewell", hers(EVERYTHING, listed, looks)).aboard

    assert aboard(()) == Aboard.NOT_SAID
    assert aboard((), no) == Aboard.HASNT
    at_once = Look(livewell.aboard, True, AT, "Ada")
    assert aboard((), at_once, no) == aboard((), no, at_once) == Aboard.HASNT
    assert aboard(barriers, no) == Aboard.HAS  # it stands on her list
    assert aboard(barriers, no, yes) == Aboard.HAS
    assert aboard((), no, yes) == Aboard.NOT_SAID  # said, and off her list since: ask again
    assert aboard((), yes, Look(livewell.aboard, False, AT, "Ada")) == Aboard.NOT_SAID
    assert aboard((), Look("livewell hose", False, AT, "Ada")) == Aboard.NOT_SAID


def test_a_renamed_part_is_found_by_the_hose_behind_it() -> None:
    renamed = Barrier("bait pump tap", BarrierKind.VALVE, SEA, "livewell hose")
    proposal = of("livewell", hers(EVERYTHING, (renamed,), ()))
    assert proposal.listed == ("bait pump tap",)
    assert [part.name for part in proposal.missing] == [
        "livewell seacock",
        "livewell hose",
        "livewell filling loop",
    ]


def test_no_fitting_is_without_a_part_whatever_she_has() -> None:
    for one in fittings():
        assert parts_of(one, frozenset()), one.code
        assert parts_of(one, EVERYTHING), one.code


def test_texts_say_something_and_bores_are_plausible() -> None:
    for one in fittings():
        assert min(len(one.why), len(one.if_forgotten), len(one.rests_on)) >= 10, one.code
        for part in one.parts:
            assert part.proof.endswith("."), part.name
            if part.usual_bore_mm:
                least, most = part.usual_bore_mm
                assert 10 <= least <= most <= 130, part.name


@given(st.frozensets(st.sampled_from(list(Has))))
def test_more_equipment_never_takes_a_proposal_away(has: frozenset[Has]) -> None:
    assert suggested(has) <= suggested(has | {Has.SHAFT, Has.LIVEWELL})


def test_every_fitting_on_one_boat_all_unknown_is_checked_in_five_milliseconds() -> None:
    barriers: tuple[Barrier, ...] = ()
    for one in fittings():
        barriers += barriers_of(one, EVERYTHING, barriers)
    assert len(barriers) > 40
    ways = WaysIn(barriers, (Look(OPENINGS, True, AT, "Ines"),))

    def seconds() -> float:
        start = process_time()  # its own, however busy the machine is
        assert float_check(ways, AT).answer == Floats.NOT_KNOWN
        return process_time() - start

    assert min(seconds() for _ in range(40)) <= 0.005


SOUND = """
[livewell]
title = "livewell"
why = "why"
if_forgotten = "it"
rests_on = "one"
[[livewell.barriers]]
name = "tap"
kind = "valve"
from = "sea"
to = "hose"
proof = "Felt."
[[livewell.barriers]]
name = "hose"
kind = "joint"
from = "hose"
to = "bilge"
proof = "Felt."
"""


@pytest.mark.parametrize(
    ("was", "becomes", "says"),
    [
        ('to = "hose"', 'to = "pipe"', "no way on"),
        ('from = "hose"', 'from = "sea"', "hose: no way on"),
        ('from = "sea"', 'from = "locker"', "locker: no way on"),
        ('title = "livewell"', "title = 5", "5 should be a text"),
        ('name = "hose"', 'name = "tap"', "tap: in two places"),
        ('kind = "valve"', 'kind = "cork"', "'cork' is not a valid BarrierKind"),
        ('why = "why"', 'why = ""', "should be a text"),
        ('proof = "Felt."', "", "'proof'"),
        ('proof = "Felt."', 'proof = "Felt."\nusual_bore_mm = [25, 19]', "least and most"),
        ('proof = "Felt."', 'proof = "Felt."\nneeds = ["wings"]', "'wings' is not a valid Has"),
        ('proof = "Felt."', 'proof = "Felt."\nneeds = "head"', "should be a list"),
        ('proof = "Felt."', 'proof = "Felt."\nopened_by = "stern_plug"', "give a list"),
    ],
)
def test_a_template_that_would_mislead_is_refused(was: str, becomes: str, says: str) -> None:
    assert len(read_fittings(SOUND)) == 1
    with pytest.raises(ValueError, match=says):
        read_fittings(SOUND.replace(was, becomes, 1))


@pytest.mark.parametrize(
    ("bore", "is_range"),
    [("[19, 19]", True), ("[0.5, 500]", True), ("[0, 19]", False), ("[19, 501]", False),
     ("[19]", False), ("19", False)],
)  # fmt: skip
def test_a_usual_bore_is_a_range(bore: str, is_range: bool) -> None:
    text = SOUND.replace('proof = "Felt."', f'proof = "Felt."\nusual_bore_mm = {bore}', 1)
    if is_range:
        least_most = tuple(float(one) for one in bore.strip("[]").split(","))
        assert read_fittings(text)[0].parts[0].usual_bore_mm == least_most
    else:
        with pytest.raises(ValueError, match="give least and most, up to 500"):
            read_fittings(text)


def test_no_barriers_and_no_such_fitting() -> None:
    with pytest.raises(ValueError, match=r"\[livewell\]: no barriers"):
        read_fittings(SOUND.split("[[")[0] + "barriers = []\n")
    with pytest.raises(ValueError, match=r"\[livewell\]: no barriers"):
        read_fittings(SOUND.split("[[")[0] + 'barriers = "tap"\n')
    with pytest.raises(ValueError, match="no fitting 'wings'; give one of stern_drain, "):
        fitting("wings")
