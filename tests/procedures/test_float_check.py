"""The float check against brute force, what must hold for any boat, and each rule by itself."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import chain, combinations
from random import Random
from time import perf_counter

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.sparse import csr_array
from scipy.sparse.csgraph import maximum_flow

from yardwright.procedures.float_check import FloatCheck, Floats, float_check
from yardwright.procedures.put_backs import Before, Harm, Proof, PutBack, Undone
from yardwright.procedures.start_check import start_check
from yardwright.procedures.water_graph import fewest, net_of
from yardwright.procedures.water_order import EngineKind, Supply
from yardwright.procedures.ways_in import (
    BILGE,
    CYLINDERS,
    OPENINGS,
    RAIN,
    SEA,
    Barrier,
    BarrierKind,
    Disturbance,
    Disturbed,
    Look,
    Standing,
    WaysIn,
    after_put_backs,
    good_to_go_in_until,
    known,
)

AT = datetime(2031, 5, 5, 9, tzinfo=UTC)
COUNTED = Look(OPENINGS, True, AT, "Ines")


def joins(pairs: Iterable[tuple[str, str]]) -> bool:
    """Does water outside reach inside? By merging places, not by searching a graph."""
    puddles = [{SEA, RAIN}, {BILGE, CYLINDERS}]
    for pair in pairs:
        touched = [puddle for puddle in puddles if puddle & set(pair)]
        puddles = [puddle for puddle in puddles if not puddle & set(pair)]
        puddles.append(set(pair).union(*touched))
    return any({SEA, BILGE} <= puddle for puddle in puddles)


def subsets(things: list[Barrier]) -> Iterable[tuple[Barrier, ...]]:
    return chain.from_iterable(combinations(things, size) for size in range(len(things) + 1))


def lets_in(barriers: Iterable[Barrier]) -> bool:
    return joins((barrier.outside, barrier.inside) for barrier in barriers)


def boat_of(seed: int) -> WaysIn:
    random = Random(seed)  # noqa: S311  # a made-up boat, not a secret
    places = [SEA, SEA, RAIN, BILGE, BILGE, CYLINDERS, *"abcd"[: random.randint(1, 4)]]
    barriers = []
    for number in range(random.randint(1, 10)):
        outside, inside = random.sample(sorted(set(places)), 2)
        kind = random.choice(list(BarrierKind))
        barriers.append(Barrier(f"b{number}", kind, outside, inside, 0.02, 0.3))
    return standing_as(barriers, random.choices(list(Standing), (3, 1, 1), k=len(barriers)))


def standing_as(barriers: Iterable[Barrier], standings: Iterable[Standing]) -> WaysIn:
    barriers = tuple(barriers)
    looks = [
        Look(barrier.name, standing == Standing.HOLDS, AT, "Ines")
        for barrier, standing in zip(barriers, standings, strict=True)
        if standing != Standing.NOT_KNOWN
    ]
    return WaysIn(barriers, (COUNTED, *looks))


def by_standing(ways: WaysIn) -> tuple[list[Barrier], list[Barrier], list[Barrier]]:
    stand = {b.name: known(b.name, ways, AT).standing for b in ways.barriers}
    holds, open_now, not_known = (
        [b for b in ways.barriers if stand[b.name] == standing]
        for standing in (Standing.HOLDS, Standing.OPEN, Standing.NOT_KNOWN)
    )
    return holds, open_now, not_known


def brute_answer(ways: WaysIn) -> Floats:
    """Try every way the unknown barriers could stand."""
    holds, open_now, not_known = by_standing(ways)
    cases = [lets_in([*open_now, *guess]) for guess in subsets(not_known)]
    if any(cases):
        return Floats.NO if all(cases) else Floats.NOT_KNOWN
    valves = [b for b in holds if b.kind == BarrierKind.VALVE]
    fails = any(
        lets_in([*open_now, *guess, valve]) for valve in valves for guess in subsets(not_known)
    )
    return Floats.ON_ONE_VALVE if fails else Floats.YES


def brute_ways(loose: list[Barrier]) -> set[frozenset[str]]:
    """Every set of barriers that lets water in, and no longer does with any one of them shut."""
    return {
        frozenset(b.name for b in some)
        for some in subsets(loose)
        if lets_in(some) and not any(lets_in(set(some) - {b}) for b in some)
    }


def brute_fewest(loose: list[Barrier]) -> int:
    return next(len(some) for some in subsets(loose) if not lets_in(set(loose) - set(some)))


def agrees(ways: WaysIn) -> FloatCheck:
    check = float_check(ways, AT)
    holds, open_now, not_known = by_standing(ways)
    loose = [*open_now, *not_known]
    assert check.answer == brute_answer(ways)
    assert {frozenset(way.through) for way in check.ways} == brute_ways(loose)
    certain = {frozenset(way.through) for way in check.ways if way.open_all_along}
    assert certain == brute_ways(open_now)
    assert len(check.to_do) == brute_fewest(loose)
    for thing in check.to_do:
        others = {other.names[0] for other in check.to_do} - {thing.names[0]}
        for name in thing.names:
            assert not lets_in(b for b in loose if b.name not in others | {name})
    if not check.ways:
        alone = [b.name for b in holds if lets_in([*loose, b])]
        assert list(check.holds_her_up) == [b.name for b in ways.barriers if b.name in alone]
    return check


def test_500_random_boats_against_brute_force() -> None:
    answers = [agrees(boat_of(seed)).answer for seed in range(500)]
    assert all(answers.count(answer) >= 20 for answer in Floats)  # each answer was tried


def test_fewest_things_against_the_maximum_flow_of_scipy() -> None:
    # scipy.sparse.csgraph.maximum_flow: the flow's value is the size of the smallest cut.
    # 600 muddled hulls: among them some where a way once taken must be given back.
    for seed in range(600):
        random = Random(seed)  # noqa: S311  # a made-up boat, not a secret
        places = [SEA, BILGE, *(f"space {number}" for number in range(6))]
        pairs = [random.sample(range(8), 2) for _ in range(14)]
        barriers = [
            Barrier(f"b{number}", BarrierKind.SEAL, places[one], places[other])
            for number, (one, other) in enumerate(pairs)
        ]
        through = np.zeros((8, 8), dtype=np.int32)
        for one, other in pairs:
            through[one, other] += 1
            through[other, one] += 1
        cut = fewest(net_of(barriers))
        assert len(cut) == maximum_flow(csr_array(through), 0, 1).flow_value
        assert not lets_in(set(barriers) - set(cut))


PLACES = [SEA, RAIN, BILGE, CYLINDERS, "a", "b", "c", "d"]
hulls = st.lists(st.tuples(*[st.sampled_from(PLACES)] * 2), max_size=12).map(
    lambda pairs: [
        Barrier(f"b{number}", BarrierKind.SEAL, one, other)
        for number, (one, other) in enumerate(pairs)
        if one != other
    ]
)


@given(hulls)
def test_the_cut_is_minimal_by_trying_every_smaller_one(barriers: list[Barrier]) -> None:
    """Shut, it keeps the water out; no smaller choice of barriers does."""
    cut = fewest(net_of(barriers))
    assert len({b.name for b in cut}) == len(cut)
    assert not lets_in(set(barriers) - set(cut))
    smaller = combinations(barriers, len(cut) - 1) if cut else ()
    assert all(lets_in(set(barriers) - set(some)) for some in smaller)


@given(hulls, st.data())
def test_the_check_s_fewest_things_are_minimal_for_what_does_not_hold(
    barriers: list[Barrier], data: st.DataObject
) -> None:
    stand = data.draw(
        st.lists(st.sampled_from(Standing), min_size=len(barriers), max_size=len(barriers))
    )
    ways = standing_as(barriers, stand)
    loose = [b for b, how in zip(barriers, stand, strict=True) if how != Standing.HOLDS]
    assert len(float_check(ways, AT).to_do) == brute_fewest(loose)


@given(hulls, st.data())
def test_something_open_that_is_not_on_her_list_never_makes_it_better(
    barriers: list[Barrier], data: st.DataObject
) -> None:
    stand = data.draw(
        st.lists(st.sampled_from(Standing), min_size=len(barriers), max_size=len(barriers))
    )
    ways = standing_as(barriers, stand)
    before = float_check(ways, AT).answer
    after = float_check(replace(ways, unlisted=("old plug",)), AT)
    assert after.answer == (Floats.NO if before == Floats.NO else Floats.NOT_KNOWN)
    assert "Open, and not on her list" in after.sentence
    assert "old plug" in after.sentence


boats = st.integers(0, 10_000).map(boat_of)
WORST_LAST = list(Floats)


@given(boats, st.data())
def test_proving_one_more_never_makes_it_worse(ways: WaysIn, data: st.DataObject) -> None:
    name = data.draw(st.sampled_from([b.name for b in ways.barriers]))
    proven = replace(ways, looks=(*ways.looks, Look(name, True, AT + timedelta(minutes=1), "Ada")))
    later = AT + timedelta(minutes=2)
    before, after = float_check(ways, later).answer, float_check(proven, later).answer
    assert WORST_LAST.index(after) <= WORST_LAST.index(before)


@given(boats, st.data())
def test_opening_one_never_makes_it_better(ways: WaysIn, data: st.DataObject) -> None:
    name = data.draw(st.sampled_from([b.name for b in ways.barriers]))
    undone = replace(ways, undone=frozenset({name}))
    assert WORST_LAST.index(float_check(undone, AT).answer) >= WORST_LAST.index(
        float_check(ways, AT).answer
    )


@given(boats)
def test_uncounted_never_floats(ways: WaysIn) -> None:
    uncounted = replace(ways, looks=tuple(look for look in ways.looks if look != COUNTED))
    assert float_check(uncounted, AT).answer == Floats.NOT_KNOWN


def test_an_empty_list_of_openings_is_not_known() -> None:
    assert float_check(WaysIn((), (COUNTED,)), AT).answer == Floats.NOT_KNOWN


def test_a_count_that_did_not_come_out_is_not_known() -> None:
    ways = standing_as([PLUG], [Standing.HOLDS])
    wrong = Look(OPENINGS, False, AT, "Ada", "three plugs out, two in")
    check = float_check(replace(ways, looks=(*ways.looks, wrong)), AT)
    assert check.answer == Floats.NOT_KNOWN
    assert "three plugs out, two in" in check.sentence


# --- rain, exhaust, back-siphon ------------------------------------------------

PLUG = Barrier("drain hole", BarrierKind.PLUG, SEA, BILGE, 0.0254, 0.30)
SEACOCK = Barrier("head seacock", BarrierKind.VALVE, SEA, "head hose", 0.038, 0.4)
LOOP = Barrier("vented loop", BarrierKind.LOOP, "head hose", BILGE, 0.038)
DRAINS = Barrier("cockpit drains", BarrierKind.DRAIN, RAIN, BILGE)
RISER = Barrier("exhaust riser", BarrierKind.LOOP, SEA, CYLINDERS, 0.076, 0.1)


def test_back_siphon_through_a_head_whose_loop_does_not_vent() -> None:
    check = float_check(standing_as([SEACOCK, LOOP], [Standing.OPEN, Standing.OPEN]), AT)
    assert check.answer == Floats.NO
    assert check.ways[0].words.startswith(
        "sea → head seacock, 38 mm, 0.40 m deep → vented loop, 38 mm → bilge, "
    )
    vented = standing_as([SEACOCK, LOOP], [Standing.OPEN, Standing.HOLDS])
    assert float_check(vented, AT).answer == Floats.YES


def test_rain_on_a_blocked_cockpit() -> None:
    check = float_check(standing_as([DRAINS], [Standing.OPEN]), AT)
    assert check.sentence == (
        "Would take water: rain → cockpit drains → bilge. One thing to do: clear the cockpit drains."
    )
    assert check.ways[0].inflow_l_min is None


def test_water_through_the_exhaust_to_the_cylinders() -> None:
    check = float_check(standing_as([RISER], [Standing.OPEN]), AT)
    assert check.ways[0].words.startswith("sea → exhaust riser, 76 mm, 0.10 m deep → cylinders")


@pytest.mark.parametrize(("bore_m", "depth_m"), [(None, 0.3), (0.02, None), (0.02, 0.0)])
def test_inflow_is_not_known_without_bore_or_depth(
    bore_m: float | None, depth_m: float | None
) -> None:
    hole = replace(PLUG, bore_m=bore_m, depth_m=depth_m)
    (way,) = float_check(standing_as([hole], [Standing.OPEN]), AT).ways
    assert way.inflow_l_min is None
    assert way.words.endswith("inflow not known")


def test_open_ways_are_told_first_then_the_shortest() -> None:
    far = Barrier("far valve", BarrierKind.VALVE, SEA, "hose")
    hose = Barrier("far hose", BarrierKind.JOINT, "hose", BILGE)
    maybe = replace(PLUG, name="blank")
    stand = [Standing.OPEN, Standing.OPEN, Standing.NOT_KNOWN, Standing.OPEN]
    check = float_check(standing_as([far, hose, maybe, PLUG], stand), AT)
    told = [way.through for way in check.ways]
    assert told == [("drain hole",), ("far valve", "far hose"), ("blank",)]


def test_litres_are_told_as_exactly_as_they_are_known() -> None:
    # Q = Cd A sqrt(2 g h), Cd 0.6 to 0.8, by hand: 10 mm at 0.30 m gives 6.9 to 9.1 L/min, the
    # 25.4 mm drain at 0.30 m 44 to 59; under ten a tenth is told.
    small = replace(PLUG, bore_m=0.010)
    (way,) = float_check(standing_as([small], [Standing.OPEN]), AT).ways
    assert way.words.endswith(", 6.9 to 9.1 L/min")
    (way,) = float_check(standing_as([PLUG], [Standing.OPEN]), AT).ways
    assert way.words.endswith(", 44 to 59 L/min")


def test_uncounted_it_says_what_is_known_so_far() -> None:
    open_plug = replace(standing_as([PLUG], [Standing.OPEN]), looks=())
    uncounted = replace(open_plug, undone=frozenset({PLUG.name}))
    said = float_check(uncounted, AT).sentence
    assert said.startswith("Not known: her openings are not counted (never looked at). Walk round")
    assert "Known so far: sea → drain hole" in said
    quiet = float_check(replace(open_plug, looks=(Look(PLUG.name, True, AT, "Ada"),)), AT).sentence
    assert "Known so far" not in quiet


def test_inflow_goes_through_the_narrowest_at_the_depth_nearest_the_sea() -> None:
    hose = Barrier("hose", BarrierKind.JOINT, "fitting", BILGE, 0.0254, 2.0)
    wide = Barrier("seacock", BarrierKind.VALVE, SEA, "fitting", 0.038, 0.30)
    (way,) = float_check(standing_as([hose, wide], [Standing.OPEN] * 2), AT).ways
    assert way.inflow_l_min == pytest.approx((44.2, 59.0), abs=0.1)  # as Teal's drain hole


def test_only_the_depth_nearest_the_sea_must_be_known() -> None:
    hose = Barrier("hose", BarrierKind.JOINT, "fitting", BILGE, 0.0254)
    wide = Barrier("seacock", BarrierKind.VALVE, SEA, "fitting", 0.038, 0.30)
    (way,) = float_check(standing_as([hose, wide], [Standing.OPEN] * 2), AT).ways
    assert way.inflow_l_min == pytest.approx((44.2, 59.0), abs=0.1)


def test_what_already_stood_open_stays_open_beside_another_put_back() -> None:
    off = Undone("hose off", Harm.SINKS, "", Before.WATER, Proof.FELT, AT, "Ines", "", "hose")
    hose = Barrier("hose", BarrierKind.JOINT, SEA, BILGE)
    plug = Barrier("plug", BarrierKind.PLUG, SEA, BILGE)
    ways = WaysIn((hose, plug), undone=frozenset({"plug"}))
    assert after_put_backs(ways, [off]).undone == {"plug", "hose"}


def test_a_joint_not_proven_behind_one_valve_counts_as_open() -> None:
    hose = Barrier("hose", BarrierKind.JOINT, "fitting", BILGE)
    valve = Barrier("seacock", BarrierKind.VALVE, SEA, "fitting")
    check = float_check(standing_as([valve, hose], [Standing.HOLDS, Standing.NOT_KNOWN]), AT)
    assert check.answer == Floats.ON_ONE_VALVE
    assert [way.through for way in check.behind_one_valve] == [("seacock", "hose")]
    inner = Barrier("inner valve", BarrierKind.VALVE, "fitting", "pump")
    two = [valve, inner, replace(hose, outside="pump")]
    twice = standing_as(two, [Standing.HOLDS, Standing.HOLDS, Standing.OPEN])
    assert float_check(twice, AT).answer == Floats.YES


def test_what_only_joins_the_bilge_to_itself_does_not_hold_her_up() -> None:
    hose = Barrier("hose", BarrierKind.JOINT, "fitting", BILGE)
    clamp = replace(hose, name="second joint")
    valve = Barrier("seacock", BarrierKind.VALVE, SEA, "fitting")
    stand = [Standing.OPEN, Standing.HOLDS, Standing.OPEN, Standing.HOLDS]
    check = float_check(standing_as([PLUG, valve, hose, clamp], stand), AT)
    assert check.answer == Floats.NO
    assert check.holds_her_up == ("seacock",)


# --- standing and lapse -----------------------------------------------------------


def plug_after(*disturbed: Disturbed, going_in: datetime | None = None) -> tuple[Standing, str]:
    proven = Look(PLUG.name, True, AT, "Ines")
    ways = WaysIn((PLUG, LOOP), (proven, COUNTED), disturbed)
    found = known(PLUG.name, ways, AT + timedelta(days=9), going_in)
    return found.standing, found.because


LATER = AT + timedelta(days=1)
PROVEN = "proven 5 May by Ines"


def test_a_fresh_proof_holds() -> None:
    assert plug_after() == (Standing.HOLDS, PROVEN)


@pytest.mark.parametrize(
    ("thing", "since"),
    [
        (Disturbed(Disturbance.FROST, LATER), "frost while wet since (6 May)"),
        (Disturbed(Disturbance.FROST, LATER, PLUG.name), "frost while wet since (6 May)"),
        (Disturbed(Disturbance.WORK, LATER, PLUG.name), "work at it since (6 May)"),
        (Disturbed(Disturbance.ABOARD, LATER), "somebody aboard since (6 May)"),
        (Disturbed(Disturbance.ROAD, LATER), "a move on the road since (6 May)"),
        (Disturbed(Disturbance.ROAD, AT), "a move on the road since (5 May)"),
    ],
)
def test_what_makes_a_proof_lapse(thing: Disturbed, since: str) -> None:
    assert plug_after(thing) == (Standing.NOT_KNOWN, f"{PROVEN}, but {since}")


@pytest.mark.parametrize(
    "thing",
    [
        Disturbed(Disturbance.WORK, LATER, LOOP.name),
        Disturbed(Disturbance.FROST, AT - timedelta(minutes=1)),
        Disturbed(Disturbance.FROST, AT + timedelta(days=10)),
    ],
)
def test_what_leaves_a_proof_alone(thing: Disturbed) -> None:
    assert plug_after(thing)[0] == Standing.HOLDS


@pytest.mark.parametrize(("hours", "standing"), [(24, Standing.HOLDS), (24.1, Standing.NOT_KNOWN)])
def test_what_can_sink_is_proven_again_within_a_day_of_going_in(
    hours: float, standing: Standing
) -> None:
    assert plug_after(going_in=AT + timedelta(hours=hours))[0] == standing


@pytest.mark.parametrize("by_what", list(Disturbance))
def test_the_count_lapses_by_hull_work_alone(by_what: Disturbance) -> None:
    ways = WaysIn((PLUG,), (COUNTED,), (Disturbed(by_what, LATER),))
    lapsed = known(OPENINGS, ways, AT + timedelta(days=9), AT + timedelta(days=9))
    assert (lapsed.standing == Standing.NOT_KNOWN) == (by_what == Disturbance.HULL)


def test_a_proof_is_good_for_going_in_for_a_day() -> None:
    # design.md: what can sink is proven again within 24 h of going in.
    proven = known(PLUG.name, WaysIn((PLUG,), (Look(PLUG.name, True, AT, "Ines"),)), LATER)
    assert good_to_go_in_until(proven) == AT + timedelta(hours=24)
    seen = known(PLUG.name, WaysIn((PLUG,), (Look(PLUG.name, False, AT, "Ines"),)), LATER)
    assert good_to_go_in_until(seen) is None
    assert good_to_go_in_until(known(PLUG.name, WaysIn((PLUG,)), LATER)) is None


def test_the_latest_look_counts_and_of_two_at_once_the_worse() -> None:
    bad, good = Look(PLUG.name, False, AT, "Ada"), Look(PLUG.name, True, AT, "Ines")
    assert known(PLUG.name, WaysIn((PLUG,), (bad, good)), AT).standing == Standing.OPEN
    after = replace(good, at=LATER)
    assert known(PLUG.name, WaysIn((PLUG,), (bad, after)), LATER).standing == Standing.HOLDS
    assert known(PLUG.name, WaysIn((PLUG,), (bad, after)), AT).standing == Standing.OPEN


def test_what_is_seen_open_does_not_lapse_into_not_known() -> None:
    ways = WaysIn((PLUG,), (Look(PLUG.name, False, AT, "Ada"),), (Disturbed(Disturbance.ROAD, AT),))
    assert known(PLUG.name, ways, LATER).standing == Standing.OPEN


def test_an_open_put_back_stands_open_whatever_was_seen_and_its_proof_is_a_look() -> None:
    out = Undone("plug out", Harm.SINKS, "", Before.WATER, Proof.FELT, AT, "Ines", "", PLUG.name)
    ways = WaysIn((PLUG,), (Look(PLUG.name, True, LATER, "Ada"),))
    assert known(PLUG.name, after_put_backs(ways, [out]), LATER).standing == Standing.OPEN
    back = replace(out, put_back=PutBack(LATER, "Ada", Proof.FELT))
    put = known(PLUG.name, after_put_backs(WaysIn((PLUG,)), [back]), LATER)
    assert (put.standing, put.because) == (Standing.HOLDS, "proven 6 May by Ada")


@pytest.mark.parametrize(
    ("field", "value", "told"),
    [
        ("inside", SEA, "hose joins sea to itself"),
        ("bore_m", 0, "hose: bore is 0 m"),
        ("bore_m", 0.51, "hose: bore is 0.51 m"),
        ("depth_m", -0.01, "hose: depth is -0.01 m"),
        ("depth_m", 10.1, "hose: depth is 10.1 m"),
    ],
)
def test_a_barrier_that_cannot_be(field: str, value: object, told: str) -> None:
    hose = Barrier("hose", BarrierKind.JOINT, SEA, BILGE, 0.5, 10)  # both as large as may be
    with pytest.raises(ValueError, match=told):
        replace(hose, **{field: value})  # type: ignore[arg-type]  # wrong on purpose


def test_refusals() -> None:
    with pytest.raises(ValueError, match="listed twice"):
        WaysIn((PLUG, PLUG))
    with pytest.raises(ValueError, match="not among her ways in"):
        WaysIn((PLUG,), undone=frozenset({"livewell hose"}))
    with pytest.raises(ValueError, match="say who looked"):
        Look(PLUG.name, True, AT, " ")


# --- speed --------------------------------------------------------------------------


def test_float_and_start_check_of_thirty_barriers_take_five_milliseconds() -> None:
    barriers = [PLUG, DRAINS, RISER]
    for number in range(9):
        hull = Barrier(f"seacock {number}", BarrierKind.VALVE, SEA, f"hose {number}", 0.02, 0.3)
        pump = Barrier(f"joint {number}", BarrierKind.JOINT, f"hose {number}", f"pump {number}")
        last = Barrier(f"pump {number}", BarrierKind.SEAL, f"pump {number}", BILGE)
        barriers += [hull, pump, last]
    ways = standing_as(barriers, [list(Standing)[n % 3] for n in range(30)])
    best_s = min(_seconds(ways) for _ in range(20))
    assert best_s <= 0.005


def _seconds(ways: WaysIn) -> float:
    start = perf_counter()
    float_check(ways, AT)
    start_check(EngineKind.STERNDRIVE, Supply.MUFFS, (), ways.looks, AT)
    return perf_counter() - start
