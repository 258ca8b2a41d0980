"""Where to stand in fall: chances by a published table, small yards by every way, rules by hand."""

from collections.abc import Sequence
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from yardwright.plan.standing import (
    Boat,
    Day,
    Place,
    Row,
    against,
    blocked_pairs,
    expected_day,
    in_all,
    not_known,
    one_by_one,
    stand,
    wants_out_first,
    where,
)

DAYS = st.builds(Day, st.floats(0, 80), st.floats(1, 30))


def fleet(days: Sequence[Day]) -> list[Boat]:
    return [Boat(f"boat {number}", day) for number, day in enumerate(days)]


def test_chance_by_the_normal_table() -> None:
    # NIST/SEMATECH e-Handbook 1.3.6.7.1, area from 0 to 1.00: 0.34134; spreads 3 and 4 make 5.
    assert wants_out_first(Day(10, 3), Day(15, 4)) == pytest.approx(0.5 + 0.34134, abs=5e-6)


def test_pairs_of_a_row_by_hand() -> None:
    # From the aisle 10, 15, 10 with spreads 3, 4, 3. Pairs: (15 before 10) 1 - 0.84134;
    # (10 before 10) 0.5; (10 before 15) 0.84134; in all 1.5.
    assert blocked_pairs([Day(10, 3), Day(15, 4), Day(10, 3)]) == pytest.approx(1.5)


@given(DAYS, DAYS)
def test_one_of_two_is_first(one: Day, other: Day) -> None:
    assert wants_out_first(one, other) + wants_out_first(other, one) == pytest.approx(1)


def test_an_owner_who_was_always_late_is_expected_late() -> None:
    # Three years 14 days late weigh as much as the guess of none: 7 days, and less sure of it.
    day = expected_day(20, (14, 14, 14), (0, 80))
    assert day.mean == pytest.approx(27)
    # Each seen day lies 7 off: (3 * 49 + 3 * 144) / 6 = 96.5.
    assert day.spread_days == pytest.approx(96.5**0.5)


def test_no_wish_is_as_wide_as_the_season() -> None:
    # A rectangle of 0 to 60: mean 30, standard deviation 60/sqrt(12) = 17.32.
    day = expected_day(None, (), (0, 60))
    assert day.mean == 30
    assert day.spread_days == pytest.approx(17.32, abs=0.005)


@given(st.lists(DAYS, min_size=1, max_size=5))
def test_one_row_is_stood_as_well_as_any_order(days: list[Day]) -> None:
    boats, row = fleet(days), Row("A", len(days))
    found = in_all(boats, [row], stand(boats, [row], {}))["A"]
    best = min(blocked_pairs(order) for order in permutations(days))
    assert found == pytest.approx(best, abs=1e-9)


@given(st.lists(DAYS, min_size=5, max_size=5))
@settings(max_examples=25)
def test_no_swap_of_two_is_better(days: list[Day]) -> None:
    """Two rows of three: one place empty; whichever two swap, it is no better."""
    boats, rows = fleet(days), [Row("A", 3), Row("B", 3)]
    standing = stand(boats, rows, {})
    now = sum(in_all(boats, rows, standing).values())
    everywhere = {Place(row.name, n) for row in rows for n in (1, 2, 3)}
    for one in standing:
        for place in everywhere:
            there = next((name for name in standing if standing[name] == place), None)
            swapped = {**standing, one: place} | ({there: standing[one]} if there else {})
            assert sum(in_all(boats, rows, swapped).values()) >= now - 1e-7


@given(st.lists(DAYS, min_size=6, max_size=6))
@settings(max_examples=25)
def test_near_the_best_of_all_ways(days: list[Day]) -> None:
    boats, rows = fleet(days), [Row("A", 3), Row("B", 3)]
    found = sum(in_all(boats, rows, stand(boats, rows, {})).values())
    best = min(blocked_pairs(order[:3]) + blocked_pairs(order[3:]) for order in permutations(days))
    assert best - 1e-9 <= found <= 1.15 * best + 0.02


def test_the_last_out_stands_innermost() -> None:
    boats = fleet([Day(30, 2), Day(10, 2), Day(20, 2)])
    standing = stand(boats, [Row("A", 3)], {})
    assert [standing[boat.name].berth for boat in boats] == [3, 1, 2]


def test_who_stands_is_not_moved() -> None:
    boats, rows = fleet([Day(10, 2), Day(20, 2), Day(30, 2)]), [Row("A", 2), Row("B", 2)]
    standing = stand(boats, rows, {"boat 0": Place("A", 2)})
    assert standing["boat 0"] == Place("A", 2)
    assert in_all(boats, rows, standing)["A"] == pytest.approx(0, abs=1e-3)


def test_she_is_sent_in_front_of_those_who_leave_later() -> None:
    boats, rows = fleet([Day(10, 2), Day(40, 2), Day(20, 2)]), [Row("A", 2), Row("B", 2)]
    already = {"boat 0": Place("A", 2), "boat 1": Place("B", 2)}
    first, second = where(boats[2], boats, rows, already)
    assert first.place == Place("B", 1)
    assert first.pairs == pytest.approx(0, abs=1e-3)
    assert second.pairs == pytest.approx(1, abs=1e-3)


def test_a_place_is_kept_for_one_to_come() -> None:
    """The middle one comes now; the late one still to come needs the back of the other row."""
    late, early, now = fleet([Day(60, 2), Day(10, 2), Day(30, 2)])
    rows = [Row("A", 1), Row("B", 2)]
    assert where(now, [late, early, now], rows, {})[0].in_all == pytest.approx(0, abs=1e-3)


def test_nobody_is_brought_past_one_who_stands() -> None:
    boats, rows = fleet([Day(10, 2), Day(20, 2)]), [Row("A", 3)]
    already = {"boat 0": Place("A", 2)}
    assert [c.place for c in where(boats[1], boats, rows, already)] == [Place("A", 1)]
    assert where(boats[1], boats, rows, {"boat 0": Place("A", 1)}) == ()


@given(st.lists(DAYS, min_size=1, max_size=9))
@settings(max_examples=25)
def test_one_by_one_nobody_stands_on_another(days: list[Day]) -> None:
    boats, rows = fleet(days), [Row("A", 3), Row("B", 5)]
    stood = [place for _, place in one_by_one(boats, boats, rows, {}) if place]
    assert len(stood) == len(set(stood)) == min(8, len(days))
    for row in rows:
        berths = [place.berth for place in stood if place.row == row.name]
        assert berths == sorted(berths, reverse=True)  # each in front of those who came before


LONG = Boat(
    "Heron", Day(10, 5), length_m=12, weight_kg=9000, height_m=14, lifts=frozenset({"crane"})
)


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (Row("A", 3, length_m=11), "12 m long"),
        (Row("A", 3, bears_kg=8000), "9000 kg in weight"),
        (Row("A", 3, headroom_m=6), "14 m high"),
        (Row("A", 3, lifts=frozenset({"forklift"})), "no lift that reaches"),
    ],
)
def test_what_stands_against_a_row(row: Row, says: str) -> None:
    assert says in " ".join(against(LONG, row))
    assert stand([LONG], [row], {}) == {}
    assert where(LONG, [], [row], {}) == ()


def test_what_is_not_known_of_her_is_no_yes() -> None:
    unknown = Boat("Teal", Day(10, 5))
    assert against(unknown, Row("A", 1, bears_kg=8000)) == (
        "Teal was never measured (in weight), and the row bears up to 8000 kg.",
    )
    assert against(unknown, Row("A", 1)) == ()
    assert len(not_known(Row("A", 1))) == 4


def test_the_one_row_that_takes_her_is_kept_for_her() -> None:
    short = [Boat(f"boat {n}", Day(10 * n, 3), length_m=6) for n in range(3)]
    rows = [Row("long", 1, length_m=14), Row("short", 3, length_m=8)]
    standing = stand([*short, LONG], rows, {})
    assert standing["Heron"].row == "long"
    assert len(standing) == 4


@pytest.mark.parametrize(
    ("already", "says"),
    [
        ({"boat 0": Place("A", 9)}, "no berth 9"),
        ({"boat 0": Place("A", 1), "boat 1": Place("A", 1)}, "on one place"),
    ],
)
def test_standing_refused(already: dict[str, Place], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        stand(fleet([Day(1, 1), Day(2, 1)]), [Row("A", 2)], already)


def test_days_and_names_refused() -> None:
    with pytest.raises(ValueError, match="spread"):
        Day(10, 0)
    with pytest.raises(ValueError, match="end it later"):
        expected_day(None, (), (60, 0))
    with pytest.raises(ValueError, match="More than one boat"):
        stand([LONG, LONG], [Row("A", 2)], {})
    with pytest.raises(ValueError, match="1 or more"):
        Row("A", 0)
