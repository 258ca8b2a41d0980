"""Who comes out when: by hand, and the check that says each rule once more."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.plan.haul_out import Boat, HaulOut, Interval, Out, faults, haul_out

DAY = 1440
LIFT = tuple((DAY * day + 360, DAY * day + 960) for day in range(3))  # 06:00-16:00
HIGH = ((400, 580), (DAY + 450, DAY + 630), (2 * DAY + 500, 2 * DAY + 680))


def test_by_hand() -> None:
    """Dunlin stands behind Curlew, so she comes first, though only Curlew holds water."""
    curlew = Boat("Curlew", HIGH, 60, holds_water=True, row="C", berth=1)
    dunlin = Boat("Dunlin", HIGH, 60, row="C", berth=2)
    teal = Boat("Teal", ((0, 3 * DAY),), 30)
    avocet = Boat("Avocet", None, 60)
    found = haul_out([curlew, dunlin, teal, avocet], LIFT, DAY)
    assert [(turn.boat, turn.start) for turn in found.turns] == [
        ("Teal", 360),  # at 06:00 nobody else floats
        ("Dunlin", 400),
        ("Curlew", 460),
    ]
    assert found.turns[1].because == ("stands behind Curlew",)
    assert "draft is not known" in found.left["Avocet"]
    assert not [*faults(found, [curlew, dunlin, teal, avocet], LIFT, DAY)]


def test_who_holds_water_goes_first_and_the_late_are_told() -> None:
    boats = [Boat("Dry", HIGH, 100), Boat("Wet", HIGH, 100, holds_water=True)]
    found = haul_out(boats, LIFT, 550)
    assert [turn.boat for turn in found.turns] == ["Wet", "Dry"]
    assert found.turns[1].because == ("after the day on which frost is expected",)


def test_she_waits_for_one_that_finds_no_turn() -> None:
    boats = [Boat("Front", HIGH, 60, row="A", berth=1), Boat("Back", (), 60, row="A", berth=2)]
    found = haul_out(boats, LIFT, None)
    assert not found.turns
    assert found.left["Front"] == "Back must stand behind her first."


MADE = st.lists(
    st.tuples(st.integers(0, 2 * DAY), st.integers(30, 900), st.sampled_from([30, 60, 90]),
              st.booleans(), st.sampled_from(["", "A", "B"])),
    max_size=8,
)  # fmt: skip


@given(MADE, st.one_of(st.none(), st.integers(0, 3 * DAY)))
def test_each_order_passes_the_check(
    made: list[tuple[int, int, int, bool, str]], frost: int | None
) -> None:
    boats = [
        Boat(f"boat {n}", ((rises, rises + lasts),), minutes, wet, row, n + 1)
        for n, (rises, lasts, minutes, wet, row) in enumerate(made)
    ]
    assert not [*faults(haul_out(boats, LIFT, frost), boats, LIFT, frost)]


FRONT, BACK = Boat("Front", HIGH, 60, row="A", berth=1), Boat("Back", HIGH, 60, row="A", berth=2)
GOOD = (Out("Back", 400, 460, ()), Out("Front", 460, 520, ()))


@pytest.mark.parametrize(
    ("turns", "says"),
    [
        (GOOD[:1], "Not every boat"),
        ((GOOD[0], replace(GOOD[1], end=500)), "40 minutes on the lift"),
        ((GOOD[0], replace(GOOD[1], start=560, end=620)), "no water for all"),
        ((replace(GOOD[0], start=DAY, end=DAY + 60), GOOD[1]), "outside the lift's hours"),
        ((GOOD[0], replace(GOOD[1], start=430, end=490)), "at once"),
        ((replace(GOOD[0], start=520, end=580), GOOD[1]), "before she is in"),
        ((GOOD[0], replace(GOOD[1], because=("frost is expected",))), "not told"),
    ],
)
def test_each_rule_is_seen_broken(turns: tuple[Out, ...], says: str) -> None:
    assert not [*faults(HaulOut(GOOD, {}), [FRONT, BACK], LIFT, None)]
    assert says in " ".join(faults(HaulOut(turns, {}), [FRONT, BACK], LIFT, None))


ALL_DAY = ((0, 3 * DAY),)
FLEET = [replace(FRONT, holds_water=True), BACK, Boat("Teal", HIGH, 60), Boat("Tern", ALL_DAY, 30)]


def seen(lift: Sequence[Interval] = LIFT, frost: int | None = 500, **what: Any) -> HaulOut:
    """The order as it is where something of the fleet or of the yard is not what it is."""
    return haul_out([replace(boat, **what) for boat in FLEET], lift, frost)


def each_alone() -> HaulOut:
    turns = (turn for boat in FLEET for turn in haul_out([boat], LIFT, 500).turns)
    return HaulOut(tuple(turns), {})


@pytest.mark.parametrize(
    ("without", "says"),
    [
        (lambda: haul_out(FLEET[:-1], LIFT, 500), "Not every boat"),
        (lambda: seen(lift_min=20), "20 minutes on the lift, not 60"),
        (lambda: seen(water=ALL_DAY), "no water for all"),
        (lambda: seen(lift=ALL_DAY), "outside the lift's hours"),
        (each_alone, "on the lift at once"),
        (lambda: seen(row=""), "would stand in front of Back before she is in"),
        (lambda: seen(frost=None), "not told"),
    ],
)
def test_without_a_rule_the_check_complains(without: Callable[[], HaulOut], says: str) -> None:
    assert not [*faults(seen(), FLEET, LIFT, 500)]
    assert says in " ".join(faults(without(), FLEET, LIFT, 500))


def test_refused() -> None:
    with pytest.raises(ValueError, match="same name"):
        haul_out([FRONT, FRONT], LIFT, None)
    with pytest.raises(ValueError, match="1 to 1440"):
        Boat("Teal", HIGH, 0)
