"""The water's way, drawn: the eleven things of story A3, and how far water comes on any boat."""

from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.procedures.test_float_check import AT, boat_of
from yardwright.papers.drawing import text_width
from yardwright.papers.ways_in import SMALL, Gate, in_parts, reach, ways_in_drawing
from yardwright.procedures.float_check import float_check
from yardwright.procedures.ways_in import Standing

SVG = "{http://www.w3.org/2000/svg}"
SOURCES, GOALS = ("sea", "rain"), ("bilge", "cylinders")
PASSES = {Standing.HOLDS: False, Standing.OPEN: True, Standing.NOT_KNOWN: None}

# Story A3: the drain plug is out; the livewell's hose is off behind a seacock that holds.
PLUG = Gate("stern drain plug", "sea", "bilge", "open", True, ("open, not put back yet",))
SEACOCK = Gate(
    "livewell seacock",
    "sea",
    "livewell hose",
    "holds",
    False,
    ("proven 10 Apr by Ines", "good for going in until Fri 11 Apr 08:20"),
)
HOSE = Gate("livewell hose", "livewell hose", "bilge", "open", True, ("open, not put back yet",))
BLANK = Gate("speed sensor blank", "sea", "bilge", "not known", None, ("never looked at",))
TEAL = (PLUG, SEACOCK, HOSE, BLANK)


def root_of(gates: tuple[Gate, ...] = TEAL, width: float = 340) -> ElementTree.Element:
    return ElementTree.fromstring(ways_in_drawing("way", gates, width=width).svg)  # noqa: S314


def words(root: ElementTree.Element) -> list[str]:
    return [str(one.text) for one in root.iter(f"{SVG}text")]


def heavy(root: ElementTree.Element, width: str) -> list[str]:
    """Pipes of this width that reach across to the bilge."""
    return [
        path.get("d", "")
        for path in root.iter(f"{SVG}path")
        if path.get("stroke-width") == width and "--blue" in path.get("stroke", "")
    ]


def test_it_says_each_barrier_its_proof_and_when_that_lapses() -> None:
    assert words(root_of()) == [
        "Sea",
        "Bilge",
        "stern drain plug",
        "open, not put back yet",
        "livewell seacock",
        "holds: proven 10 Apr by Ines",
        "good for going in until Fri 11 Apr 08:20",
        "livewell hose",
        "open, not put back yet",
        "speed sensor blank",
        "not known: never looked at",
    ]


def test_its_name_says_how_they_stand_and_where_water_gets_to() -> None:
    drawing = ways_in_drawing("way", TEAL)
    root = ElementTree.fromstring(drawing.svg)  # noqa: S314
    title = root.find(f"{SVG}title")
    assert title is not None
    assert title.text == drawing.sentence
    assert drawing.sentence == (
        "4 barriers: open 2, holds 1, not known 1. Water gets to the bilge."
    )
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == title.get("id") == "way-title"


@pytest.mark.parametrize(
    ("gates", "says"),
    [
        ((SEACOCK, HOSE), "2 barriers: holds 1, open 1. Water does not get to the bilge by any"),
        ((BLANK,), "1 barrier: not known 1. Water may get to the bilge."),
        ((Gate("riser", "sea", "cylinders", "open", True),), "Water gets to the cylinders."),
        ((), "No way in is listed."),
    ],
)
def test_where_water_gets_to(gates: tuple[Gate, ...], says: str) -> None:
    assert says in ways_in_drawing("way", gates).sentence


def test_the_water_s_way_is_heavy_to_the_bilge_and_ends_at_what_holds() -> None:
    across = [d for d in heavy(root_of(), "5") if d.endswith("H332.0")]
    assert len(across) == 1  # the plug's alone; the hose behind the shut seacock stays dry
    assert len([d for d in heavy(root_of(), "4") if d.endswith("H332.0")]) == 1  # the blank may
    dry = root_of((SEACOCK, HOSE))
    assert not [d for d in heavy(dry, "5") + heavy(dry, "4") if d.endswith("H332.0")]
    assert len(heavy(dry, "5")) == 1  # from the sea up to the seacock


def test_a_space_hangs_below_the_gate_that_leads_to_it() -> None:
    root = root_of()
    x_of = {str(one.text): float(one.get("x", "0")) for one in root.iter(f"{SVG}text")}
    assert x_of["livewell hose"] == x_of["livewell seacock"] + 30
    assert x_of["speed sensor blank"] == x_of["stern drain plug"] == x_of["livewell seacock"]
    told_last = root_of((HOSE, PLUG, SEACOCK))  # however her list is written
    said = words(told_last)
    assert said.index("livewell seacock") < said.index("livewell hose")


def test_the_state_is_a_shape_of_its_own() -> None:
    # Solid, hatched, and two posts apart: told without colour.
    def gate_of(gate: Gate) -> list[tuple[str | None, bool, int]]:
        paths = [p for p in root_of((gate,)).iter(f"{SVG}path") if "v" in p.get("d", "")]
        return [(p.get("fill"), "z" in p.get("d", ""), p.get("d", "").count("L")) for p in paths]

    assert gate_of(SEACOCK) == [("currentColor", True, 0)]
    (ground, hatched) = gate_of(BLANK)
    assert ground == ("var(--paper, #fff)", True, 0)
    assert hatched[0] == "none"
    assert hatched[2] >= 3  # lines inside its outline
    assert gate_of(PLUG) == [("none", False, 0)]


@pytest.mark.parametrize("width", [340, 560, 720])
def test_no_word_runs_out_of_the_drawing(width: float) -> None:
    long = "proven 10 Apr by Ines, but a move on the road since (12 Apr), and that is a long word"
    gates = tuple(
        Gate(
            f"gate {n}", f"space {n}" if n else "sea", f"space {n + 1}", "not known", None, (long,)
        )
        for n in range(3)
    )
    gates = (*gates, Gate("last", "space 3", "cylinders", "not known", None, (long,)))
    for one in root_of(gates, width).iter(f"{SVG}text"):
        if one.get("font-size") == f"{SMALL:g}":
            end = float(one.get("x", "0")) + text_width(str(one.text), SMALL)
            assert end <= width, one.text


def test_what_hangs_on_nothing_is_drawn_too() -> None:
    lost = Gate("old hose", "locker", "bilge", "open", True)
    assert {"Locker", "old hose"} <= set(words(root_of((PLUG, lost))))
    ring = (Gate("a", "x", "y", "open", True), Gate("b", "y", "x", "open", True))
    assert {"a", "b"} <= set(words(root_of(ring)))


def test_letters_are_made_safe() -> None:
    odd = Gate("<plug> & co", "sea", "bilge", "open", True, ("“why” & <when>",))
    assert "<plug> & co" in words(root_of((odd,)))


def test_too_narrow_and_joined_to_itself() -> None:
    with pytest.raises(ValueError, match="299 px is too narrow"):
        ways_in_drawing("way", TEAL, width=299)
    assert ways_in_drawing("way", TEAL, width=300).svg
    with pytest.raises(ValueError, match="hose joins sea to itself"):
        Gate("hose", "sea", "sea", "open", True)


@given(st.integers(0, 10_000))
def test_water_comes_as_far_as_the_float_check_says(seed: int) -> None:
    """Two ways to the same answer: every path there, flooding place by place here."""
    ways = boat_of(seed)
    check = float_check(ways, AT)
    gates = [
        Gate(b.name, b.outside, b.inside, k.standing, PASSES[k.standing])
        for b in ways.barriers
        for k in [check.standings[b.name]]
    ]
    water = reach(gates, SOURCES, GOALS)
    assert any(goal in water for goal in GOALS) == bool(check.ways)
    certain = any(water.get(goal) for goal in GOALS)
    assert certain == any(way.open_all_along for way in check.ways)
    ways_in_drawing("way", gates)  # whatever hangs on whatever
    drawn = words(root_of(tuple(gates)))
    assert all(gate.name in drawn for gate in gates)


def test_parts_for_paper_keep_together_what_shares_a_space() -> None:
    assert in_parts(TEAL, 9) == [TEAL]
    assert in_parts(TEAL, 2) == [(PLUG,), (SEACOCK, HOSE), (BLANK,)]
    assert in_parts((HOSE, PLUG, SEACOCK), 2) == [(HOSE, SEACOCK), (PLUG,)]
    assert in_parts((), 2) == []


@given(st.integers(0, 10_000), st.integers(1, 5))
def test_no_gate_is_lost_between_parts(seed: int, most: int) -> None:
    gates = [Gate(b.name, b.outside, b.inside, "open", True) for b in boat_of(seed).barriers]
    parts = in_parts(gates, most)
    assert sorted(g.name for part in parts for g in part) == sorted(g.name for g in gates)
