"""Fewest moves aside: the published instances, every way tried, and what a hand can count."""

import csv
from collections import deque
from collections.abc import Iterator, Sequence
from itertools import product
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from bench.moves import fewest_moves, moves_in_row

INSTANCES = Path(__file__).parents[1] / "data/block_relocation/instances.csv"

Rows = tuple[tuple[int, ...], ...]


def published() -> Iterator[tuple[str, Rows, int]]:
    with INSTANCES.open() as lines:
        next(lines)  # the source
        for line in csv.DictReader(lines):
            stacks = line["stacks from bottom to top"].split(";")
            rows = tuple(tuple(map(int, stack.split())) for stack in stacks)
            yield line["class"], rows, int(line["fewest"])


def test_published_instances() -> None:
    """All 360 of nine classes, and each answer replayed: nobody is shifted but in front of the next."""
    told = list(published())
    assert len(told) == 360
    for size, rows, fewest in told:
        deep = int(size[0]) + 2
        moves = fewest_moves(rows, deep)
        assert len(moves) == fewest
        assert replayed(rows, moves, deep)


def replayed(rows: Rows, moves: Sequence[tuple[int, int]], deep: int) -> bool:
    stacks, left = [list(row) for row in rows], list(moves)
    for turn in sorted(turn for row in rows for turn in row):
        row = next(row for row in stacks if turn in row)
        while row[-1] != turn:
            source, target = left.pop(0)
            assert stacks[source] is row
            stacks[target].append(row.pop())
            assert len(stacks[target]) <= deep
        row.pop()
    return not left


SMALL = st.permutations(range(6)).flatmap(
    lambda turns: st.integers(0, 3).map(
        lambda cut: (tuple(turns[:cut]), tuple(turns[cut:3]), tuple(turns[3:]))
    )
)


@given(SMALL)
def test_nothing_beats_it_breadth_first(rows: Rows) -> None:
    assert len(fewest_moves(rows, 5)) == breadth_first(rows, 5)


def breadth_first(rows: Rows, deep: int) -> int:
    """Every shift of the next one's outermost blocker, move by move: no bound, no order."""
    seen, waits = set(), deque([(rows, 0)])
    while waits:
        now, moves = waits.popleft()
        turns = [turn for row in now for turn in row]
        if not turns:
            return moves
        at = next(place for place, row in enumerate(now) if min(turns) in row)
        if now[at][-1] == min(turns):
            waits.appendleft(((*now[:at], now[at][:-1], *now[at + 1 :]), moves))
            continue
        for to, row in enumerate(now):
            if to != at and len(row) < deep:
                after = list(now)
                after[at], after[to] = now[at][:-1], (*row, now[at][-1])
                if tuple(after) not in seen:
                    seen.add(tuple(after))
                    waits.append((tuple(after), moves + 1))
    raise AssertionError("never cleared")


ROW = st.integers(1, 6).flatmap(lambda count: st.permutations(range(count)))


@given(ROW)
def test_without_a_spare_place_each_blocked_pair_costs_two(row: list[int]) -> None:
    pairs = sum(behind < front for place, behind in enumerate(row) for front in row[:place])
    assert moves_in_row(row, spare=0) == 2 * pairs


@given(ROW)
def test_with_spare_places_for_all_each_blocker_costs_one(row: list[int]) -> None:
    blockers = sum(any(b < front for b in row[place + 1 :]) for place, front in enumerate(row))
    assert moves_in_row(row, spare=len(row)) == blockers


@given(st.permutations(range(4)), st.integers(0, 3))
@settings(max_examples=50)
def test_nothing_beats_a_row_by_every_choice(row: list[int], spare: int) -> None:
    """Each boat moved out goes back or stays aside, every choice spelled out beforehand."""
    blocked = sum(b < f for place, b in enumerate(row) for f in row[:place])
    choices = product((False, True), repeat=blocked)
    costs = [cost for stays in choices if (cost := played(row, spare, [*stays])) is not None]
    assert moves_in_row(row, spare) == min(costs)


def played(row: list[int], spare: int, stays: list[bool]) -> int | None:
    """What one list of choices costs; None where more stay aside than there is room for."""
    standing, aside, cost = list(row), set[int](), 0
    for turn in sorted(row):
        if turn in aside:
            aside.remove(turn)
            continue
        for other in standing[: standing.index(turn)]:
            goes_aside = stays.pop(0)
            cost += 1 if goes_aside else 2
            if goes_aside:
                aside.add(other)
        if len(aside) > spare:
            return None
        standing = [one for one in standing if one not in aside and one != turn]
    return cost


def test_one_in_front_by_hand() -> None:
    # The last of three at the back: two out, one of them stays aside, the other goes back,
    # and she leaves from the aisle: 1 + 2.
    assert moves_in_row([2, 3, 1], spare=1) == 3


@pytest.mark.parametrize(
    ("rows", "deep", "says"),
    [
        (((1, 1),), 4, "same turn"),
        (((1, 2, 3),), 2, "more than 2"),
        (((1, 2), (3, 4)), 2, "room for one"),
    ],
)
def test_refused(rows: Rows, deep: int, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        fewest_moves(rows, deep)


@pytest.mark.parametrize(
    ("row", "spare", "says"),
    [([1, 1], 0, "same turn"), ([1, 2], -1, "0 or more"), (range(17), 0, "at most 16")],
)
def test_a_row_refused(row: Sequence[int], spare: int, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        moves_in_row(row, spare)
