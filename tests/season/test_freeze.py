"""What frost would find aboard, and the order in which it is saved: by hand, and by every order."""

from dataclasses import replace
from datetime import UTC, datetime
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.frost import freezing
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Proof, PutBack
from yardwright.procedures.step import Has
from yardwright.procedures.step import Season as StepSeason
from yardwright.procedures.steps import book
from yardwright.season.freeze import (
    HOLDERS,
    NOT_WRITTEN,
    Held,
    Water,
    save_order,
    strainer_freezes,
    water_in,
)
from yardwright.season.model import Boat

AT = datetime(2030, 11, 20, 16, 0, tzinfo=UTC)
DIESEL = frozenset({Has.INBOARD_DIESEL, Has.CLOSED_COOLING, Has.SEA_STRAINER, Has.HEAD})
STRAINER = ("strainer_emptied", "strainer_open")


def said(boat: Boat) -> dict[str, Water]:
    return {one.holder.what: one.water for one in water_in(boat)}


def test_a_boat_with_nothing_done_holds_water_everywhere() -> None:
    words = said(Boat("Heron", State.BLOCKED_UP, has=DIESEL))
    assert words["sea strainer"] == Water.HOLDS
    assert set(words.values()) == {Water.HOLDS}


def test_drained_only_by_each_of_its_steps() -> None:
    boat = Boat("Heron", State.BLOCKED_UP, has=DIESEL, done=frozenset({"head_laid_up"}))
    assert said(boat)["head and holding tank"] == Water.HOLDS
    boat = replace(boat, done=boat.done | {"head_seacocks_drained"})
    assert said(boat)["head and holding tank"] == Water.DRAINED


def test_put_back_since_is_not_known() -> None:
    step, kind = STRAINER
    thing = book().kinds[kind].undone(AT, "Ines")
    boat = Boat("Heron", State.FITTING_OUT, has=DIESEL, done=frozenset({step}), undone=(thing,))
    assert said(boat)["sea strainer"] == Water.DRAINED
    back = replace(thing, put_back=PutBack(AT, "Ole", Proof.RUN, "Vera"))
    assert said(replace(boat, undone=(back,)))["sea strainer"] == Water.NOT_KNOWN


def test_what_nobody_wrote_is_not_known_and_never_drained() -> None:
    unknown = Boat("Skua", State.BLOCKED_UP)
    assert [one.water for one in water_in(unknown)] == [Water.NOT_KNOWN]


def test_every_fall_step_done_leaves_nothing() -> None:
    every_step = frozenset(s.code for s in book().steps if s.season == StepSeason.FALL)
    words = said(Boat("Heron", State.LAID_UP, has=frozenset(Has), done=every_step))
    assert set(words.values()) == {Water.DRAINED}


def test_a_sterndrive_holds_water_where_the_trade_looks_for_it() -> None:
    # The trade's list of where water hides: block, low point of the manifold, steering and oil
    # cooler, the drive's passages if it is not stored upright.
    raw = frozenset({Has.STERNDRIVE})
    words = said(Boat("Gannet", State.LAID_UP, has=raw))
    assert words == dict.fromkeys(
        ("block", "manifolds and risers", "engine's low hoses", "drive and its water hose"),
        Water.HOLDS,
    )
    closed = said(Boat("Gannet", State.LAID_UP, has=raw | {Has.CLOSED_COOLING}))
    assert "block" not in closed  # it holds coolant
    assert "coolant loop, its freezing point" in closed


def test_her_owner_has_her() -> None:
    assert water_in(Boat("Heron", State.HANDED_OVER, has=DIESEL)) == ()


def test_each_holder_names_steps_and_kinds_that_are_there() -> None:
    steps = {step.code: step for step in book().steps}
    for holder in HOLDERS:
        for code in holder.drained_by:
            assert steps[code].suits(holder.needs)
        assert all(
            any(kind in steps[code].opens for code in holder.drained_by)
            for kind in holder.open_after
        )
        assert holder.lost_h > 0


def held(name: str, minutes: int, lost: str) -> Held:
    holder = replace(NOT_WRITTEN, frozen=lost)
    return Held(Boat(name, State.LAID_UP), holder, Water.HOLDS, "", (), minutes)


def test_order_by_hand() -> None:
    # Saved per minute: strainer 3 h / 10 min = 0.3, engine 40 / 40 = 1, sink 3 / 10 = 0.3,
    # heater 6 / 20 = 0.3. The engine first; of the rest the heater, that would cost most.
    things = [held("Sink", 10, "sink"), held("Heat", 20, "heater"), held("Engine", 40, "engine")]
    night = save_order(things, people=1, minutes=65)
    assert [(s.held.boat.name, s.start_min, s.end_min) for s in night.saves] == [
        ("Engine", 0, 40),
        ("Heat", 40, 60),
    ]
    assert [one.boat.name for one in night.too_late] == ["Sink"]


def test_two_people_share() -> None:
    things = [held("A", 30, "engine"), held("B", 30, "engine"), held("C", 30, "sink")]
    night = save_order(things, people=2, minutes=60)
    assert [(s.held.boat.name, s.person, s.start_min) for s in night.saves] == [
        ("A", 1, 0),
        ("B", 2, 0),
        ("C", 1, 30),
    ]


LOST = st.sampled_from(["engine", "sink", "heater", "strainer", "head"])


@given(st.lists(st.tuples(st.integers(1, 60), LOST), min_size=1, max_size=5))
def test_for_one_person_no_order_saves_sooner(made: list[tuple[int, str]]) -> None:
    """Hours at stake times how long they wait: the least of all orders (Smith, 1956)."""
    things = [held(str(n), minutes, lost) for n, (minutes, lost) in enumerate(made)]

    def waits(order: tuple[Held, ...]) -> float:
        ends, total = 0, 0.0
        for one in order:
            ends += one.minutes
            total += ends * one.holder.lost_h
        return total

    found = tuple(save.held for save in save_order(things, 1, 10_000).saves)
    assert waits(found) == pytest.approx(min(map(waits, permutations(things))))


def test_the_drained_are_left_out_and_the_not_known_are_not() -> None:
    one, other = held("A", 5, "engine"), held("B", 5, "engine")
    night = save_order(
        [replace(one, water=Water.DRAINED), replace(other, water=Water.NOT_KNOWN)], 1, 60
    )
    assert [save.held.boat.name for save in night.saves] == ["B"]


def test_the_strainer_is_the_worked_example_of_the_frost_sum() -> None:
    # Newton's cooling and heat of fusion: half a litre, 0.4 W/K, as that sum is checked elsewhere.
    assert strainer_freezes(5, -4) == freezing(0.5, 0.4, 5, -4)


def test_refused() -> None:
    with pytest.raises(ValueError, match="1 to 50"):
        save_order([], 0, 60)
    with pytest.raises(ValueError, match="0 or more"):
        save_order([], 1, -1)
