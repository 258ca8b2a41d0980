"""Wire against the law's table, a supplier's chart and worked examples; and its refusals."""

import csv
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright import refdata
from yardwright.calc.wiring import (
    Run,
    allowed_a,
    area_needed_mm2,
    check_volts,
    circular_mils,
    copper_mm2,
    fuse_may_sit,
    fuse_within_m,
    largest_fuse_a,
    lost_v,
    sizes,
    smallest_size,
)

FT_M, IN_M = 0.3048, 0.0254
AWG = "copper_area_awg"
HARBOR = Run(volts_v=12, insulation_c=105, in_engine_space=False, bundled=2)
CHART = Path(__file__).parents[1] / "data" / "wire_sizes_3_percent.csv"
ALL = tuple(refdata.grids("wiring")["allowed_amps"].down)


def run(volts_v: float = 12, insulation_c: float = 105, hot: bool = False, bundled: int = 2) -> Run:
    return Run(volts_v, insulation_c, hot, bundled)


@pytest.mark.parametrize(
    ("size", "outside", "inside"),
    [
        ("18", 20, 17), ("16", 25, 21), ("14", 35, 30), ("12", 45, 38), ("10", 60, 51),
        ("8", 80, 68), ("6", 120, 102), ("4", 160, 136), ("3", 180, 153), ("2", 210, 178),
        ("1", 245, 208), ("1/0", 285, 242), ("2/0", 330, 280), ("3/0", 385, 327),
        ("4/0", 445, 378),
    ],
)  # fmt: skip
def test_a_supplier_s_table_for_105_degrees(size: str, outside: float, inside: float) -> None:
    # A marine supplier's "Wire heat ratings", table E, in whole amps; halves are rounded either way.
    assert allowed_a(size, run()) == outside
    assert allowed_a(size, run(hot=True)) == pytest.approx(inside, abs=0.501)


@pytest.mark.parametrize(
    ("insulation_c", "code"), [(60, 0.58), (75, 0.75), (90, 0.82), (105, 0.86), (125, 0.89)]
)
def test_what_heat_leaves_by_another_code(insulation_c: float, code: float) -> None:
    # Canadian Electrical Code, table 5A, 50 °C; the boat law has 0.85 where it has 0.86.
    left = allowed_a("10", run(insulation_c=insulation_c, hot=True))
    assert left / allowed_a("10", run(insulation_c=insulation_c)) == pytest.approx(code, abs=0.011)


@pytest.mark.parametrize("insulation_c", [60, 75, 80, 90, 105, 125])
def test_what_heat_leaves_by_heat_balance(insulation_c: float) -> None:
    # Watts lost grow with amps squared, watts given off with the rise over the air: 30 or 50 °C.
    left = allowed_a("10", run(insulation_c=insulation_c, hot=True))
    by_heat = ((insulation_c - 50) / (insulation_c - 30)) ** 0.5
    assert left / allowed_a("10", run(insulation_c=insulation_c)) == pytest.approx(
        by_heat, abs=0.01
    )


def test_single_cells_of_the_law_s_table() -> None:
    # 33 CFR 183.425, table 5.
    assert allowed_a("14", run(insulation_c=60)) == 20
    assert allowed_a("10", run(insulation_c=75, hot=True)) == pytest.approx(30)
    assert allowed_a("12", run(hot=True)) == pytest.approx(38.25)
    assert allowed_a("4/0", run(insulation_c=200, hot=True)) == 510


@pytest.mark.parametrize(
    ("bundled", "left"),
    [(1, 1), (2, 1), (3, 0.7), (4, 0.6), (6, 0.6), (7, 0.5), (24, 0.5), (25, 0.4), (200, 0.4)],
)
def test_bundles_count_from_fifty_volts(bundled: int, left: float) -> None:
    # 33 CFR 183.435(b): circuits of 50 V or more, three and more wires that carry current.
    assert allowed_a("14", run(volts_v=120, bundled=bundled)) == pytest.approx(35 * left)
    assert allowed_a("14", run(volts_v=50, bundled=bundled)) == pytest.approx(35 * left)
    assert allowed_a("14", run(volts_v=49.9, bundled=bundled)) == 35


def test_heat_and_bundle_together() -> None:
    # By hand: 35 x 0.85 x 0.60.
    assert allowed_a("14", run(volts_v=120, hot=True, bundled=5)) == pytest.approx(17.85)


@pytest.mark.parametrize("insulation_c", [60, 75, 80, 90, 105, 125, 200])
def test_a_larger_wire_carries_more(insulation_c: float) -> None:
    amps = [allowed_a(size, run(insulation_c=insulation_c)) for size in ALL]
    assert len(amps) == 15
    assert all(smaller < larger for smaller, larger in pairwise(amps))


@pytest.mark.parametrize("by", ["copper_area", AWG])
def test_a_larger_wire_has_more_copper(by: str) -> None:
    mils = [circular_mils(size, by) for size in sizes(by)]
    assert all(smaller < larger for smaller, larger in pairwise(mils))


def test_full_gauge_is_the_rule_s() -> None:
    # ASTM B258: 36 AWG is 5 mil, 4/0 is 460 mil, 39 equal ratios between.
    for place, heavy in enumerate(["4/0", "3/0", "2/0", "1/0"]):
        assert circular_mils(heavy, AWG) == pytest.approx(
            460**2 / (92 ** (2 / 39)) ** place, abs=0.6
        )
    for size in range(1, 19):
        if str(size) in ALL:
            assert circular_mils(str(size), AWG) == pytest.approx(
                25 * 92 ** ((36 - size) * 2 / 39), abs=0.6
            )


def test_copper_in_square_millimetres() -> None:
    # ASTM B258 prints 5.261 mm² for 10 AWG, 107.2 mm² for 4/0.
    assert copper_mm2("10", AWG) == pytest.approx(5.261, abs=5e-4)
    assert copper_mm2("4/0", AWG) == pytest.approx(107.2, abs=0.05)
    assert copper_mm2("12") < copper_mm2("12", AWG)


def test_every_sae_wire_is_less_than_full_gauge() -> None:
    # A marine wire maker's page: SAE is 6 to 12 % smaller. 4/0 is 3 % smaller.
    for size in sizes():
        assert 0.88 <= circular_mils(size) / circular_mils(size, AWG) < 0.98


def test_sizes_start_where_a_single_wire_may() -> None:
    # 33 CFR 183.425: single 16 AWG at least; the SAE table has no size 3.
    assert sizes(AWG) == ALL[1:]
    assert sizes() == tuple(size for size in ALL[1:] if size != "3")


def test_volts_lost_by_hand() -> None:
    # By hand: 10.75 x 15 x 30 / 16510 = 0.2930 V; half the wire, half the loss.
    assert lost_v("8", 15, 30 * FT_M, AWG) == pytest.approx(0.29300, abs=1e-5)
    assert lost_v("8", 15, 15 * FT_M, AWG) == pytest.approx(0.14650, abs=1e-5)
    # 10.75 x 10 x 21 / 5833 = 0.3870 V, the SAE wire of the same number.
    assert lost_v("12", 10, 21 * FT_M) == pytest.approx(0.38702, abs=1e-5)


def test_copper_needed_in_a_printed_example() -> None:
    # A boat-parts page: 10 A, 21 ft, 0.36 V: 6,271 circular mils; 0.96 V: 2,352.
    mils = area_needed_mm2(10, 21 * FT_M, 0.36) / (copper_mm2("10") / circular_mils("10"))
    assert mils == pytest.approx(6271, abs=0.5)
    mils = area_needed_mm2(10, 21 * FT_M, 0.96) / (copper_mm2("10") / circular_mils("10"))
    assert mils == pytest.approx(2352, abs=0.5)


@given(current_a=st.floats(0.1, 60), length_m=st.floats(0.3, 15), size=st.sampled_from(sizes()))
def test_loss_and_need_are_two_sides_of_one_sum(
    current_a: float, length_m: float, size: str
) -> None:
    lost = lost_v(size, current_a, length_m)
    if lost <= 60:
        assert area_needed_mm2(current_a, length_m, lost) == pytest.approx(copper_mm2(size))


@pytest.mark.parametrize(
    ("current_a", "feet", "may_lose_v", "by", "size"),
    [
        (10, 21, 0.36, AWG, "12"),  # a supplier's sheet: 12 AWG is the correct choice,
        (10, 21, 0.36, "copper_area", "10"),  # and with SAE wire 10 must be used
        (10, 21, 1.2, AWG, "16"),  # a supplier's catalogue 2021, p. 53
        (45, 40, 1.2, AWG, "8"),  # a refrigeration maker's page, example 1
        (100, 10, 0.72, AWG, "6"),  # example 2, 24 V: its amps ask for more than its loss
        (15, 30, 0.36, AWG, "8"),  # by hand 13 437.5 circular mils
        (15, 30, 1.2, AWG, "14"),  # by hand 4 031, 14 AWG has 4 107,
        (15, 30, 1.2, "copper_area", "12"),  # an SAE 14 only 3 702
    ],
)
def test_the_size_that_others_chose(
    current_a: float, feet: float, may_lose_v: float, by: str, size: str
) -> None:
    assert smallest_size(HARBOR, current_a, feet * FT_M, may_lose_v, by) == size


def test_a_supplier_s_whole_chart() -> None:
    # Its sheet rounds areas (10,500 for 10 AWG): now and then a neighbor, never further.
    lines = [line for line in CHART.read_text(encoding="utf-8").splitlines() if line[0] != "#"]
    (_, *amps), *rows = csv.reader(lines)
    listed = [size for size in sizes(AWG) if size != "3"]
    apart = []
    for feet, *theirs in rows:
        for current_a, size in zip(map(float, amps), theirs, strict=True):
            if size == "18":  # only in a sheath
                continue
            ours = smallest_size(run(insulation_c=200), current_a, float(feet) * FT_M, 0.36, AWG)
            ours = "2" if ours == "3" else ours
            apart.append(abs(listed.index(ours) - listed.index(size)))
    assert len(apart) == 116
    assert max(apart) <= 1
    assert sum(apart) <= 0.1 * len(apart)


@given(
    current_a=st.floats(0.1, 200),
    length_m=st.floats(0.3, 20),
    may_lose_v=st.floats(0.2, 3),
    by=st.sampled_from(["copper_area", AWG]),
    hot=st.booleans(),
)
def test_the_size_will_do_and_the_next_smaller_will_not(
    current_a: float, length_m: float, may_lose_v: float, by: str, hot: bool
) -> None:
    laid = run(hot=hot)

    def will_do(size: str) -> bool:
        lost = lost_v(size, current_a, length_m, by)
        return lost <= may_lose_v * (1 + 1e-9) and allowed_a(size, laid) >= current_a

    try:
        size = smallest_size(laid, current_a, length_m, may_lose_v, by)
    except ValueError:
        assert not will_do("4/0")
        return
    assert will_do(size)
    place = sizes(by).index(size)
    assert place == 0 or not will_do(sizes(by)[place - 1])


def test_no_wire_will_do() -> None:
    with pytest.raises(ValueError, match="no wire up to 4/0 will do"):
        smallest_size(HARBOR, 446, 1, 5)  # 4/0 may carry 445 A
    assert smallest_size(HARBOR, 445, 0.3, 5) == "4/0"


@pytest.mark.parametrize(
    ("volts_v", "fuse_a"), [(12, 30), (49.9, 30), (50, 20), (120, 20), (600, 20)]
)
def test_the_largest_fuse(volts_v: float, fuse_a: float) -> None:
    # 33 CFR 183.455: 150 % of the table's 20 A (14 AWG, 60 °C) below 50 V, the table from there on.
    assert largest_fuse_a(20, volts_v) == pytest.approx(fuse_a)


@pytest.mark.parametrize(
    ("inches", "bare", "sheathed"),
    [(0, True, True), (7, True, True), (7.01, False, True), (36, False, True), (40, False, True),
     (40.01, False, False), (1000, False, False)],
)  # fmt: skip
def test_where_the_fuse_may_sit(inches: float, bare: bool, sheathed: bool) -> None:
    # 33 CFR 183.455: 7 in., in a sheath 40 in.
    assert fuse_may_sit(inches * IN_M, sheathed=False) is bare
    assert fuse_may_sit(inches * IN_M, sheathed=True) is sheathed
    assert fuse_within_m(sheathed=False) == pytest.approx(0.1778)
    assert fuse_within_m(sheathed=True) == pytest.approx(1.016)


@pytest.mark.parametrize("volts_v", [0, -12, 600.1, float("nan"), float("inf")])
def test_volts_are_refused_outside(volts_v: float) -> None:
    for refused in (check_volts, run, lambda volts: largest_fuse_a(20, volts)):
        with pytest.raises(ValueError, match=r"volts: .* at most 600 V"):
            refused(volts_v)


@pytest.mark.parametrize("bundled", [0, -1, 201])
def test_bundles_are_refused_outside(bundled: int) -> None:
    with pytest.raises(ValueError, match="count them, itself included"):
        run(bundled=bundled)


@pytest.mark.parametrize(
    ("current_a", "length_m", "told"),
    [
        (0, 1, "current: 0 A; give more than 0, at most 1000 A"),
        (1000.1, 1, "current"),
        (float("nan"), 1, "current"),
        (1, 0, "length there and back: 0 m; give more than 0, at most 300 m"),
        (1, 300.1, "length there and back"),
    ],
)
def test_amps_and_length_are_refused_outside(current_a: float, length_m: float, told: str) -> None:
    with pytest.raises(ValueError, match=told):
        lost_v("10", current_a, length_m)
    with pytest.raises(ValueError, match=told):
        area_needed_mm2(current_a, length_m, 1)


def test_the_ends_belong_to_the_ranges() -> None:
    # By hand: 10.75 x 1000 / 0.3048 / 211600; 10.75 x 300 / 0.3048 / 211600.
    assert lost_v("4/0", 1000, 1, AWG) == pytest.approx(0.16668, abs=1e-5)
    assert lost_v("4/0", 1, 300, AWG) == pytest.approx(0.050004, abs=1e-6)
    assert area_needed_mm2(1, 1, 60) > 0
    assert largest_fuse_a(1000, 12) == 1500
    assert fuse_may_sit(30, sheathed=True) is False


@pytest.mark.parametrize("may_lose_v", [0, -1, 60.1, float("nan")])
def test_a_loss_is_refused_outside(may_lose_v: float) -> None:
    with pytest.raises(ValueError, match=r"volts that may be lost: .* at most 60 V"):
        area_needed_mm2(1, 1, may_lose_v)


@pytest.mark.parametrize("allowed", [0, 1000.1, float("nan")])
def test_allowed_amps_are_refused_outside(allowed: float) -> None:
    with pytest.raises(ValueError, match=r"allowed amps: .* at most 1000 A"):
        largest_fuse_a(allowed, 12)


@pytest.mark.parametrize("from_m", [-0.01, 30.01, float("nan")])
def test_a_fuse_s_place_is_refused_outside(from_m: float) -> None:
    with pytest.raises(ValueError, match="give 0 to 30 m"):
        fuse_may_sit(from_m, sheathed=True)


def test_what_is_not_printed_is_refused() -> None:
    with pytest.raises(ValueError, match="no wire size, AWG '7'"):
        allowed_a("7", HARBOR)
    with pytest.raises(ValueError, match="no column for 100 degC of insulation"):
        allowed_a("10", run(insulation_c=100))
    with pytest.raises(ValueError, match="no wire size, AWG '3'"):
        lost_v("3", 10, 5)
    with pytest.raises(ValueError, match="no source here; there are copper_area, copper_area_awg"):
        lost_v("10", 10, 5, "allowed_amps")
