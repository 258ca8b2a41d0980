"""What frost would find aboard, and the order in which it is saved: by hand, and by every order."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.calc.frost import freezing
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Proof, PutBack
from yardwright.procedures.quantities import Answers
from yardwright.procedures.readings import Instrument, Reading
from yardwright.procedures.step import Has
from yardwright.procedures.step import Season as StepSeason
from yardwright.procedures.steps import book, going_by
from yardwright.season.freeze import (
    COOLANT_LOOP,
    HOLDERS,
    NOT_WRITTEN,
    Held,
    Water,
    read_at,
    save_order,
    saved_until,
    strainer_freezes,
    water_in,
)
from yardwright.season.model import Boat, Limit

AT = datetime(2030, 11, 20, 16, 0, tzinfo=UTC)
DIESEL = frozenset({Has.INBOARD_DIESEL, Has.CLOSED_COOLING, Has.SEA_STRAINER, Has.HEAD})
STRAINER = ("strainer_emptied", "strainer_open")
COOLANT = "coolant loop, its freezing point"
EVERY_FALL_STEP = frozenset(s.code for s in book().steps if s.season == StepSeason.FALL)
WINTER = Limit("°C", "The yard's own coldest night", "p. 1", upper=-26.0, quantity="freeze_point")
SCALE = Instrument("Scale", "°C", date(2031, 12, 31), u=0.5, resolution=1.0)
AS_ASKED: Answers = {
    "fluid": "ethylene glycol",
    "own_scale": True,
    "fluid_temp_c": 20.0,
    "at_outlet": True,
}


def freezes_at(temp_c: float, where: str = COOLANT_LOOP) -> Reading:
    return Reading("freeze_point", (temp_c,), "°C", AT, "Ines", SCALE, AS_ASKED, where)


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


def test_filled_again_holds_water_and_opened_anew_is_not_known() -> None:
    step, kind = STRAINER
    thing = book().kinds[kind].undone(AT, "Ines")
    back = replace(thing, put_back=PutBack(AT, "Ole", Proof.RUN, "Vera"))
    boat = Boat("Heron", State.FITTING_OUT, has=DIESEL, done=frozenset({step, "strainer_closed"}))
    wet = replace(boat, undone=(back,))
    assert said(wet)["sea strainer"] == Water.HOLDS
    (one,) = (held for held in water_in(wet) if held.holder.what == "sea strainer")
    steps = {step.code: step for step in book().steps}
    assert one.minutes == steps[step].minutes  # drained once more
    assert steps["strainer_closed"].title in one.because
    again = replace(boat, undone=(back, replace(thing, at=AT + timedelta(days=1))))
    assert said(again)["sea strainer"] == Water.NOT_KNOWN  # which came last, nobody wrote


def test_a_put_back_that_waits_for_its_second_person_is_not_opened_again() -> None:
    """Her hose is on, and her diesel drew water through it."""
    raw = "raw-water side of her diesel"
    thing = replace(book().kinds["raw_water_hose"].undone(AT, "Ines"), second=True)
    alone = replace(thing, put_back=PutBack(AT, "Ann", thing.proof))
    assert alone.is_open
    fall = frozenset({"raw_water_hose_off", "antifreeze_through"})
    boat = Boat("Heron", State.FITTING_OUT, has=DIESEL, done=fall, undone=(thing,))
    assert said(boat)[raw] == Water.DRAINED
    back = replace(boat, undone=(alone,), done=fall | {"raw_water_hose_on"})
    assert said(back)[raw] == Water.NOT_KNOWN
    ran = replace(back, done=back.done | {"diesel_first_start"})
    assert said(ran)[raw] == Water.HOLDS


def test_filled_while_it_stands_open_is_not_known() -> None:
    has, tank = frozenset({Has.FRESH_WATER}), "fresh water tank and lines"
    thing = book().kinds["tank_and_lines"].undone(AT, "Ines")
    done = frozenset({"fresh_water_drained"})
    boat = Boat("Heron", State.FITTING_OUT, has=has, done=done, undone=(thing,))
    assert said(boat)[tank] == Water.DRAINED
    rinsed = replace(boat, done=done | {"fresh_water_rinsed"})
    (one,) = (held for held in water_in(rinsed) if held.holder.what == tank)
    steps = {step.code: step for step in book().steps}
    assert one.water == Water.NOT_KNOWN
    assert steps["fresh_water_rinsed"].title in one.because


def test_a_jug_in_the_generators_strainer_is_water_aboard() -> None:
    boat = Boat("Heron", State.FITTING_OUT, has=frozenset({Has.GENERATOR}), done=EVERY_FALL_STEP)
    assert said(boat)["generator's raw water"] == Water.DRAINED
    filled = replace(boat, done=EVERY_FALL_STEP | {"generator_hose_on"})
    assert said(filled)["generator's raw water"] == Water.HOLDS


def test_water_that_ran_through_an_outboard_is_asked_about() -> None:
    boat = Boat("Tern", State.FITTING_OUT, has=frozenset({Has.OUTBOARD}))
    dry = replace(boat, done=frozenset({"outboard_upright"}))
    assert said(dry)["outboard"] == Water.DRAINED
    ran = replace(dry, done=dry.done | {"muffs_water_seen"})
    assert said(ran)["outboard"] == Water.NOT_KNOWN


def test_whatever_fills_her_is_counted() -> None:
    """Each step that leaves water aboard is in a place of every boat that gets the step."""
    for step in book().steps:
        if step.refills:
            for thing in step.for_any or {None}:
                has = step.needs | ({thing} if thing else set())
                drained = frozenset(s.code for s in book().steps if s.season == StepSeason.FALL)
                boat = Boat("Heron", State.FITTING_OUT, has=has, done=drained | {step.code})
                assert Water.HOLDS in said(boat).values(), (step.code, thing)


def test_what_a_step_of_the_yards_own_fills() -> None:
    ballast = replace(
        next(step for step in book().steps if step.code == "fresh_water_rinsed"),
        code="ballast_full",
        title="Ballast tank full",
        needs=frozenset(),
    )
    own = replace(book(), steps=(*book().steps, ballast))
    boat = Boat("Heron", State.FITTING_OUT, has=frozenset({Has.ANODES}))
    with going_by(lambda: own):
        assert said(boat) == {}
        filled = replace(boat, done=frozenset({"ballast_full"}))
        (one,) = water_in(filled)
    assert (one.water, one.because) == (Water.HOLDS, "filled since: Ballast tank full")


def test_what_nobody_wrote_is_not_known_and_never_drained() -> None:
    unknown = Boat("Skua", State.BLOCKED_UP)
    assert [one.water for one in water_in(unknown)] == [Water.NOT_KNOWN]


def test_every_fall_step_done_leaves_nothing() -> None:
    words = said(Boat("Heron", State.LAID_UP, has=frozenset(Has), done=EVERY_FALL_STEP))
    assert words.pop(COOLANT) == Water.NOT_KNOWN  # said to be read, and nobody knows what it said
    assert set(words.values()) == {Water.DRAINED}


def coolant(
    *readings: Reading, limits: tuple[Limit, ...] = (WINTER,), has: frozenset[Has] = DIESEL
) -> Held:
    """What is said of the coolant loop of a boat whose fall steps are all done."""
    boat = Boat("Heron", State.LAID_UP, has=has, done=EVERY_FALL_STEP, readings=readings)
    (loop,) = (one for one in water_in(boat, limits=limits) if one.holder.what == COOLANT)
    return loop


def test_a_coolant_loop_goes_by_the_verdict_on_its_reading() -> None:
    # By hand: it must freeze at -26 °C or below; u = sqrt(0.5**2 + 0.29**2) = 0.58 °C. -36 °C is 17 of
    # these within, -10 °C 28 without, and -26.2 °C is no more than a third of one within.
    good = coolant(freezes_at(-36.0))
    assert (good.water, good.because) == (Water.DRAINED, "freezes at -36 °C, read Wed 20 Nov: Good")
    weak = coolant(freezes_at(-10.0))
    assert (weak.water, weak.minutes) == (Water.HOLDS, 15)
    assert weak.because == "freezes at -10 °C, read Wed 20 Nov: Stop"
    assert coolant(freezes_at(-26.2)).water is Water.NOT_KNOWN
    assert coolant(freezes_at(-36.0), limits=()).because.endswith("No limit on file")
    assert coolant(freezes_at(-36.0), limits=()).water is Water.NOT_KNOWN


def test_of_two_loops_the_worse_counts_and_the_outlet_is_none() -> None:
    port, starboard = f"{COOLANT_LOOP} port", f"{COOLANT_LOOP} starboard"
    both = freezes_at(-36.0, port), freezes_at(-10.0, starboard)
    assert coolant(*both).water is Water.HOLDS
    mended = replace(freezes_at(-36.0, starboard), at=AT + timedelta(hours=2))
    assert coolant(*both, mended).water is Water.DRAINED
    elsewhere = coolant(freezes_at(-36.0, ""))
    assert elsewhere.water is Water.NOT_KNOWN
    assert "no reading at “coolant loop” is on file" in elsewhere.because


def test_a_loop_for_each_engine_is_read() -> None:
    twin, triple = DIESEL | {Has.TWO_ENGINES}, DIESEL | {Has.THREE_ENGINES}
    port, starboard = (
        freezes_at(-36.0, f"{COOLANT_LOOP} {side}") for side in ("port", "starboard")
    )
    one = coolant(port, has=twin)
    assert (one.water, one.minutes) == (Water.NOT_KNOWN, 30)  # 15 minutes an engine
    assert one.because.endswith("Good; read at 1 of 2 engines, read each")
    assert coolant(port, starboard, has=twin).water is Water.DRAINED
    assert coolant(port, starboard, has=triple).water is Water.NOT_KNOWN
    weak = freezes_at(-10.0, f"{COOLANT_LOOP} port")
    assert coolant(weak, has=twin).water is Water.HOLDS


def test_its_step_says_where_it_is_read() -> None:
    assert read_at("coolant_read") == COOLANT_LOOP
    assert read_at("antifreeze_through") == ""


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
    # Six minutes for walk and ladder each. Saved per minute: engine 40 h / (6 + 40) = 0.87, heater
    # 6 / (6 + 20) = 0.23, sink 3 / (6 + 10) = 0.19. 46 + 26 = 72; the sink would end at 88.
    things = [held("Sink", 10, "sink"), held("Heat", 20, "heater"), held("Engine", 40, "engine")]
    night = save_order(things, parties=1, minutes=87)
    assert [(one.boat.name, one.start_min, one.end_min) for one in night.visits] == [
        ("Engine", 0, 46),
        ("Heat", 46, 72),
    ]
    assert [one.boat.name for one in night.too_late] == ["Sink"]
    assert len(save_order(things, parties=1, minutes=88).visits) == 3


def test_two_parties_share() -> None:
    # 6 + 30 minutes each.
    things = [held("A", 30, "engine"), held("B", 30, "engine"), held("C", 30, "sink")]
    night = save_order(things, parties=2, minutes=72)
    assert [(one.boat.name, one.party, one.start_min) for one in night.visits] == [
        ("A", 1, 0),
        ("B", 2, 0),
        ("C", 1, 36),
    ]


def test_places_of_one_rank_are_one_climb() -> None:
    """Two places that cost an engine: 6 + 5 + 5 = 16 min; her sink is a climb of its own, later."""
    things = [held("A", 5, "engine"), held("A", 5, "sink"), held("A", 5, "engine")]
    things.append(held("B", 5, "heater"))
    night = save_order(things, parties=1, minutes=60)
    # 80 / 16 = 5, B 6 / 11 = 0.55, sink 3 / 11 = 0.27.
    assert [(one.boat.name, len(one.places), one.end_min) for one in night.visits] == [
        ("A", 2, 16),
        ("B", 1, 27),
        ("A", 1, 38),
    ]


def test_of_a_climb_as_much_as_ends_before_the_hour() -> None:
    things = [held("A", 30, "engine"), held("A", 10, "engine")]
    night = save_order(things, parties=1, minutes=20)
    assert [[one.minutes for one in visit.places] for visit in night.visits] == [[10]]  # 6 + 10
    assert [one.minutes for one in night.too_late] == [30]


LOST = st.sampled_from(["engine", "sink", "heater", "strainer", "head"])


@given(st.lists(st.tuples(st.integers(1, 60), LOST), min_size=1, max_size=5))
def test_for_one_party_no_order_saves_sooner(made: list[tuple[int, str]]) -> None:
    """Hours at stake times how long they wait: the least of all orders (Smith, 1956)."""
    things = [held(str(n), minutes, lost) for n, (minutes, lost) in enumerate(made)]

    def waits(order: tuple[Held, ...]) -> float:
        ends, total = 0, 0.0
        for one in order:
            ends += 6 + one.minutes  # walk and ladder
            total += ends * one.holder.lost_h
        return total

    found = tuple(visit.places[0] for visit in save_order(things, 1, 10_000).visits)
    assert waits(found) == pytest.approx(min(map(waits, permutations(things))))


def test_the_drained_are_left_out_and_the_not_known_are_not() -> None:
    one, other = held("A", 5, "engine"), held("B", 5, "engine")
    night = save_order(
        [replace(one, water=Water.DRAINED), replace(other, water=Water.NOT_KNOWN)], 1, 60
    )
    assert [visit.boat.name for visit in night.visits] == ["B"]


def test_the_strainer_is_the_worked_example_of_the_frost_sum() -> None:
    # Newton's cooling and heat of fusion: half a litre, 0.4 W/K, as that sum is checked elsewhere.
    assert strainer_freezes(5, -4) == freezing(0.5, 0.4, 5, -4)


@pytest.mark.parametrize(
    ("made", "ends"),
    [
        ("2030-11-19T22:00", "2030-11-20T12:00"),
        ("2030-11-20T05:30", "2030-11-20T12:00"),  # she is on Wednesday night's list
        ("2030-11-20T08:59", "2030-11-20T12:00"),
        ("2030-11-20T09:00", "2030-11-21T12:00"),
    ],
)
def test_a_mark_is_for_one_night(made: str, ends: str) -> None:
    assert saved_until(datetime.fromisoformat(made)) == datetime.fromisoformat(ends)


def test_refused() -> None:
    with pytest.raises(ValueError, match="1 to 50"):
        save_order([], 0, 60)
    with pytest.raises(ValueError, match="0 or more"):
        save_order([], 1, -1)
