"""Fewest moves aside: how often boats are shifted until all have left in a given order."""

from collections.abc import Iterator, Sequence
from functools import cache
from itertools import combinations

Rows = tuple[tuple[int, ...], ...]
Move = tuple[int, int]  # from one row to another, by their numbers

MOST_IN_A_ROW = 16
CUT = -1  # not searched, since the bound said no


def fewest_moves(rows: Sequence[Sequence[int]], deep: int) -> tuple[Move, ...]:
    """Clear rows in order with the fewest moves from row to row.

    Parameters
    ----------
    rows : sequence of sequence of int
        Each from the innermost out; the number is a boat's turn to leave, each once.
    deep : int
        Boats that a row holds at most.

    Returns
    -------
    tuple of (int, int)
        The moves from row to row, in order; those whose turn it is leave in between.

    Raises
    ------
    ValueError
        A turn twice, a row fuller than ``deep``, or no room to shift anybody.

    Notes
    -----
    The restricted block relocation problem, solved to proof: only what stands before the next to
    leave is moved. Depth-first, deepened one move at a time (IDA*); the bound counts, for each
    boat, whether one behind leaves first, and adds one for each of those before the next that
    finds no row where she would not block again.

    References
    ----------
    M. Caserta, S. Schwarze, S. Voss, European Journal of Operational Research 219 (2012) 96-104.
    """
    start: Rows = tuple(tuple(row) for row in rows)
    turns = [turn for row in start for turn in row]
    if len(set(turns)) < len(turns):
        raise ValueError("Two boats have the same turn; give each her own.")
    if any(len(row) > deep for row in start):
        raise ValueError(f"A row holds more than {deep} boats; give what the rows hold.")
    start = _left(start)
    most = _bound(start)
    while True:
        failed: dict[Rows, int] = {}
        found = _search(start, deep, most, failed)
        if found is not None:
            return found
        if CUT not in failed.values():
            raise ValueError("No row has room for a boat that is shifted; give room for one.")
        most += 1


def _left(rows: Rows) -> Rows:
    """Let go who stands at the aisle when her turn comes."""
    while any(rows):
        turn, row = min((min(row), place) for place, row in enumerate(rows) if row)
        if rows[row][-1] != turn:
            return rows
        rows = (*rows[:row], rows[row][:-1], *rows[row + 1 :])
    return rows


def _search(rows: Rows, deep: int, most: int, failed: dict[Rows, int]) -> tuple[Move, ...] | None:
    if not any(rows):
        return ()
    alike = tuple(sorted(rows))
    if failed.get(alike, CUT) >= most:
        return None
    if _bound(rows) > most:
        failed.setdefault(alike, CUT)
        return None
    for move, after in _shifts(rows, deep):
        rest = _search(_left(after), deep, most - 1, failed)
        if rest is not None:
            return (move, *rest)
    failed[alike] = most
    return None


def _shifts(rows: Rows, deep: int) -> Iterator[tuple[Move, Rows]]:
    """The outermost boat before the next to leave, to each other row; the best guess first."""
    _, row = min((min(row), place) for place, row in enumerate(rows) if row)
    boat = rows[row][-1]
    others = [place for place, other in enumerate(rows) if place != row and len(other) < deep]
    seen = set()
    for place in sorted(others, key=lambda place: _suits(boat, rows[place])):
        if rows[place] in seen:
            continue
        seen.add(rows[place])
        after = list(rows)
        after[row], after[place] = rows[row][:-1], (*rows[place], boat)
        yield (row, place), tuple(after)


def _suits(boat: int, row: tuple[int, ...]) -> tuple[bool, int]:
    """Rows where she blocks nobody first, the tightest of them; then where she is asked for last."""
    first = min(row, default=1 << 30)
    return first < boat, first if first > boat else -first


def _bound(rows: Rows) -> int:
    """No fewer moves can do: each blocker once, and those shifted now that must block again."""
    filled = [row for row in rows if row]
    if not filled:
        return 0
    blockers = sum(
        turn > min(row[:place]) for row in filled for place, turn in enumerate(row) if place
    )
    firsts = [min(row) for row in filled]
    next_row = filled[firsts.index(min(firsts))]
    latest = max((min(row, default=1 << 30) for row in rows if row != next_row), default=0)
    before = next_row[next_row.index(min(next_row)) + 1 :]
    return blockers + sum(turn > latest for turn in before)


def moves_in_row(row: Sequence[int], spare: int) -> int:
    """Fewest moves to clear one row of a yard, open at the aisle alone.

    Parameters
    ----------
    row : sequence of int
        From the aisle inwards; the number is a boat's turn to leave, each once. At most 16.
    spare : int
        Places aside from which a boat leaves when she likes. 0: whoever is moved out goes back.

    Returns
    -------
    int
        One for each boat moved out, and one more for each that is put back.

    Raises
    ------
    ValueError
        A turn twice, too many boats, or spare places below 0.

    Notes
    -----
    All ways are tried. With no spare place each blocked pair costs two; with one for each boat,
    every boat that blocks costs one, once.
    """
    if spare < 0:
        raise ValueError(f"{spare} spare places; give 0 or more.")
    if len(row) > MOST_IN_A_ROW:
        raise ValueError(f"{len(row)} boats in a row; give at most {MOST_IN_A_ROW}.")
    if len(set(row)) < len(row):
        raise ValueError("Two boats have the same turn; give each her own.")
    order = sorted(row)
    stands = {turn: place for place, turn in enumerate(row)}

    @cache
    def fewest(gone: int, aside: frozenset[int]) -> int:
        if gone == len(order):
            return 0
        turn = order[gone]
        if turn in aside:
            return fewest(gone + 1, aside - {turn})
        out = [t for t in order[gone + 1 :] if t not in aside and stands[t] < stands[turn]]
        stay = range(min(len(out), spare - len(aside)) + 1)
        return min(
            2 * len(out) - count + fewest(gone + 1, aside | frozenset(left))
            for count in stay
            for left in combinations(out, count)
        )

    return fewest(0, frozenset())
