"""What can be planted on a practice boat, and how it is scored."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.procedures.practice import can_be_planted, drawn, score
from yardwright.procedures.put_backs import Harm
from yardwright.procedures.step import Has
from yardwright.procedures.steps import book

OPEN_BOAT = frozenset({Has.OUTBOARD, Has.STERN_DRAIN, Has.TRAILER})


def test_only_what_such_a_boat_has_can_be_planted() -> None:
    codes = {kind.code for kind in can_be_planted(OPEN_BOAT)}
    assert {"spark_plugs", "key"} <= codes
    assert "sail_drive_propeller" not in codes  # she has no sail drive
    assert can_be_planted(OPEN_BOAT)[0].harm == Harm.SINKS  # nastiest first
    assert {kind.code for kind in can_be_planted(frozenset(Has))} <= set(book().kinds)


@given(st.integers(0, 1 << 30), st.integers(1, 12))
def test_the_dice_plant_so_many_and_one_that_sinks(seed: int, count: int) -> None:
    codes = drawn(OPEN_BOAT, count, seed)
    assert len(set(codes)) == len(codes) == count
    assert codes == drawn(OPEN_BOAT, count, seed)
    kinds = {kind.code: kind for kind in can_be_planted(OPEN_BOAT)}
    assert kinds[codes[0]].harm == Harm.SINKS
    systems = [kinds[code].system for code in codes[1:4]]
    assert len(set(systems)) == len(systems)  # not all in one place


@pytest.mark.parametrize("count", [0, 1000])
def test_too_few_or_too_many_are_refused(count: int) -> None:
    with pytest.raises(ValueError, match=f"{count} faults; on such a boat the dice may draw 1 to"):
        drawn(OPEN_BOAT, count, 1)


def test_a_score_by_hand() -> None:
    # Planted a, b, c; named b, d, b: one of three found, d named though sound.
    told = score(["a", "b", "c"], ["b", "d", "b"])
    assert (told.found, told.missed, told.though_sound) == (("b",), ("a", "c"), ("d",))
    assert told.sentence == "1 of 3 found; 1 named though sound"
    assert score(["a"], ["a"]).sentence == "1 of 1 found"


@given(st.sets(st.sampled_from("abcdef")), st.lists(st.sampled_from("abcdefgh")))
def test_each_planted_is_found_or_missed(planted: set[str], named: list[str]) -> None:
    told = score(sorted(planted), named)
    assert {*told.found, *told.missed} == planted
    assert not {*told.found} & {*told.missed}
    assert {*told.found, *told.though_sound} == set(named)
