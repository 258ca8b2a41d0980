"""The order of put-back that matters: it holds in every boat's list, and a wrong one is refused."""

import tomllib
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.procedures.order import refused
from yardwright.procedures.put_backs import Before
from yardwright.procedures.step import Has, Season, Stage, Step
from yardwright.procedures.steps import book, shipped, steps_for

ROWS = {
    row["code"]
    for row in tomllib.loads(
        (Path(__file__).parents[1] / "data" / "undo_list.toml").read_text(encoding="utf-8")
    )["undo"]
}


def rows(first: int, last: int) -> set[str]:
    return {f"U{number:02}" for number in range(first, last + 1)}


# The trade's order of put-back, by the rows of its undo list: hull closed, oils in, cooling closed,
# fuel closed and sniffed, air and exhaust open, batteries last of the dry work.
ORDER = (
    rows(1, 7) | {"U33"},
    rows(12, 14),
    rows(8, 11) | rows(41, 42),
    rows(18, 20),
    rows(21, 22),
    rows(23, 27),
)
boats = st.frozensets(st.sampled_from(Has))
STEPS = {step.code: step for step in book().steps}
FLEET = 300


def spring(has: frozenset[Has]) -> tuple[Step, ...]:
    return steps_for(has, Season.SPRING)


def group_of(code: str) -> int | None:
    """Which of the groups a put-back belongs to; None: to none, to two, or it may wait ashore."""
    kind = book().kinds[code]
    mine = [n for n, group in enumerate(ORDER) if group & set(kind.covers)]
    early = kind.before != Before.HANDOVER
    return mine[0] if len(mine) == 1 and early else None


@given(boats)
def test_the_trades_order_of_put_back_holds_in_every_boats_list(has: frozenset[Has]) -> None:
    seen = [
        (group, step)
        for step in spring(has)
        for group in map(group_of, step.proves)
        if group is not None
    ]
    for (one, first), (other, then) in pairwise(seen):
        assert one <= other, f"{then.title} stands behind {first.title}"


def test_the_trades_order_speaks_of_rows_that_are_there() -> None:
    assert set().union(*ORDER) <= ROWS
    grouped = {group_of(code) for code in book().kinds} - {None}
    assert grouped == set(range(len(ORDER)))


@given(boats)
def test_no_boats_own_order_is_refused(has: frozenset[Has]) -> None:
    for season in Season:
        assert refused(steps_for(has, season)) == ()


@given(boats, st.data())
def test_two_steps_changed_over_are_refused_by_name(
    has: frozenset[Has], data: st.DataObject
) -> None:
    steps = list(spring(has))
    one = data.draw(st.integers(0, len(steps) - 2))
    other = data.draw(st.integers(one + 1, len(steps) - 1))
    early, late = steps[one], steps[other]
    steps[one], steps[other] = late, early
    bound = early.stage != late.stage or early.code in late.after
    told = refused(steps)
    if bound:
        assert any(late.title in words and early.title in words for words in told)
    else:
        assert not [
            words for words in told if words.startswith(f"{late.title} ahead of {early.title}:")
        ]


def order(*codes: str) -> tuple[str, ...]:
    return refused([STEPS[code] for code in codes])


WRONG = [  # the trade's three, and one each of the others
    (("negative_on", "fuel_line_on"), "Fuel line off the engine is put back before the battery is on."),
    (("hung_dry", "stern_plug_in"), "Stern drain plug out is put back before she goes in; forgotten: sinks"),
    (("heater_breaker_on", "heater_full"), "it comes after it."),
    (("sterndrive_first_start", "block_drains_in"), "Engine block drains out is put back before she is started"),
    (("petrol_inboard_first_start", "blower_run"), "it comes after it."),
    (("hung_dry", "diaphragm_felt"), "not proven since lay-up is put back before she goes in"),
    (("mast_in", "hung_dry"), "it comes after it."),
    (("key_back", "owner_walked_through"), "it comes after it."),
    (("unwrapped", "under_wrap_read"), "it comes after it."),
    (("lights_and_horn_tried", "belts_tight"), "is put back before she is started"),
    (("openings_counted", "order_read"), "papers comes before hull closed."),
]  # fmt: skip


@pytest.mark.parametrize(("codes", "words"), WRONG)
def test_a_wrong_order_is_refused_with_its_reason(codes: tuple[str, ...], words: str) -> None:
    assert words in " ".join(order(*codes))
    assert order(*reversed(codes)) == ()


def test_a_fleet_gets_its_steps_by_one_look_at_each_step(monkeypatch: pytest.MonkeyPatch) -> None:
    """Work is counted, not timed: one question a step, boat and season, and the book read once."""
    asked = 0
    suits = Step.suits

    def counted(step: Step, has: frozenset[Has]) -> bool:
        nonlocal asked
        asked += 1
        return suits(step, has)

    monkeypatch.setattr(Step, "suits", counted)
    before = shipped.cache_info().misses
    fleet = [frozenset(list(Has)[n % 7 :: 2]) for n in range(FLEET)]
    for has in fleet:
        for season in Season:
            steps_for(has, season)
    assert asked == FLEET * len(book().steps)
    assert shipped.cache_info().misses == before


def test_stages_of_the_trades_order_stand_in_its_order() -> None:
    # Thirteen points of the trade: papers, hull, oils, cooling, fuel, air, batteries, blower and
    # sniff, run, looked at again, domestic water, slings and water, return tray.
    named = (
        Stage.PAPERS,
        Stage.HULL,
        Stage.OILS,
        Stage.COOLING,
        Stage.FUEL,
        Stage.AIR,
        Stage.BATTERIES,
        Stage.SNIFF,
        Stage.RUN,
        Stage.AGAIN,
        Stage.DOMESTIC,
        Stage.LAUNCH,
        Stage.TRAY,
    )
    assert [stage.place for stage in named] == sorted(stage.place for stage in named)
