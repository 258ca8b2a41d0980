"""Steps: whole sets, the order that matters, and texts that say something."""

import re
import tomllib
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from difflib import SequenceMatcher
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.procedures.put_backs import Before, Harm, Proof
from yardwright.procedures.quantities import quantities
from yardwright.procedures.step import Has, Hazard, PutBackKind, Season, Stage, Step, System
from yardwright.procedures.steps import (
    KINDS,
    Book,
    book,
    not_covered,
    proven_by,
    read_book,
    steps_for,
)
from yardwright.procedures.water_order import EngineKind
from yardwright.procedures.ways_in import BarrierKind

UNDO_LIST = tomllib.loads(
    (Path(__file__).parents[1] / "data" / "undo_list.toml").read_text(encoding="utf-8")
)["undo"]
HARMS = {  # the list's severities in our words
    "sinks": Harm.SINKS,
    "burns": Harm.BURNS,
    "seizes": Harm.RUINS,
    "shock": Harm.SHOCKS,
    "no_start": Harm.NO_START,
    "annoyance": Harm.ANNOYS,
}

ANY_BOAT = {
    Has.STERN_DRAIN,
    Has.ANODES,
    Has.TRIM_TABS,
    Has.BATTERY,
    Has.FLOODED,
    Has.BILGE_PUMP,
    Has.ELECTRONICS,
    Has.SWIM_LADDER,
    Has.SPEED_SENSOR,
    Has.COVER,
    Has.SHORE_POWER,
    Has.LIVEWELL,
}
OPEN_OUTBOARD = frozenset(
    ANY_BOAT | {Has.OUTBOARD, Has.FOUR_STROKE, Has.WATER_SEPARATOR, Has.LANYARD, Has.TRAILER}
)
DIESEL_AND_WATER = frozenset(
    ANY_BOAT
    | {
        Has.INBOARD_DIESEL,
        Has.RAW_WATER_PUMP,
        Has.SEA_STRAINER,
        Has.CLOSED_COOLING,
        Has.SIPHON_BREAK,
        Has.SHAFT,
        Has.FRESH_WATER,
        Has.WATER_HEATER,
        Has.HEAD,
        Has.SHOWER_SUMP,
        Has.AIR_CONDITIONING,
    }
)
STERNDRIVE = frozenset(
    ANY_BOAT | {Has.STERNDRIVE, Has.RAW_WATER_PUMP, Has.WATER_SEPARATOR, Has.LANYARD, Has.TRAILER}
)
PETROL_INBOARD = frozenset(
    ANY_BOAT
    | {Has.INBOARD_PETROL, Has.RAW_WATER_PUMP, Has.SEA_STRAINER, Has.SHAFT, Has.WATER_SEPARATOR}
)
# The list's "who", read for our boats.
WHO = {
    "open outboard": {
        "all",
        "outboard",
        "petrol",
        "all petrol",
        "all four-strokes",
        "all afloat",
        "all with one",
        "outboard, sterndrive",
        "cover",
        "trailer",
    },
    "diesel and water": {
        "all",
        "diesel",
        "inboards",
        "water",
        "all four-strokes",
        "all raw-water pumps",
        "all afloat",
        "all with one",
        "cover",
        "inboards, sterndrive",
        "inboards, sterndrive, water",
        "sterndrive, inboard",
        "inboard petrol, inboard diesel, sterndrive",
    },
    "sterndrive": {
        "all",
        "petrol",
        "all petrol",
        "all four-strokes",
        "all raw-water pumps",
        "all afloat",
        "all with one",
        "cover",
        "trailer",
        "sterndrive",
        "outboard, sterndrive",
        "inboard petrol, sterndrive",
        "inboards, sterndrive",
        "sterndrive, inboard",
        "inboard petrol, inboard diesel, sterndrive",
    },
    "petrol inboard": {
        "all",
        "petrol",
        "inboards",
        "all petrol",
        "all four-strokes",
        "all raw-water pumps",
        "all afloat",
        "all with one",
        "cover",
        "inboard petrol, sterndrive",
        "inboards, sterndrive",
        "sterndrive, inboard",
        "inboard petrol, inboard diesel, sterndrive",
    },
}
BOATS = {
    "open outboard": OPEN_OUTBOARD,
    "diesel and water": DIESEL_AND_WATER,
    "sterndrive": STERNDRIVE,
    "petrol inboard": PETROL_INBOARD,
}

boats = st.frozensets(st.sampled_from(Has))


def opened(has: frozenset[Has]) -> list[PutBackKind]:
    """What laying her up leaves undone."""
    before_spring = (*steps_for(has, Season.FALL), *steps_for(has, Season.WINTER))
    return [book().kinds[kind] for step in before_spring for kind in step.opens]


def spring(has: frozenset[Has]) -> list[str]:
    return [step.code for step in steps_for(has, Season.SPRING)]


def proven_at(has: frozenset[Has], deed: Before) -> list[int]:
    """Where in her spring order each thing is proven that the deed waits for."""
    waits = {kind.code for kind in opened(has) if deed in (kind.before, kind.also_before)}
    steps = steps_for(has, Season.SPRING)
    return [place for place, step in enumerate(steps) if waits & set(step.proves)]


# --- whole sets --------------------------------------------------------------


@pytest.mark.parametrize("boat", BOATS)
def test_every_row_of_the_trades_undo_list_is_opened_in_fall(boat: str) -> None:
    covered = {row for kind in opened(BOATS[boat]) for row in kind.covers}
    asked = {row["code"] for row in UNDO_LIST if row["who"] in WHO[boat]}
    if Has.CLOSED_COOLING not in BOATS[boat]:
        asked -= {"U42"}  # the closed loop's
    assert len(asked) >= 20
    assert asked <= covered


def test_harm_is_told_no_milder_than_the_undo_list_does() -> None:
    for row in UNDO_LIST:
        harms = [kind.harm.rank for kind in book().kinds.values() if row["code"] in kind.covers]
        assert not harms or min(harms) <= HARMS[row["severity"]].rank, row["code"]


def test_what_sinks_burns_or_ruins_is_seen_by_two_or_measured() -> None:
    # The undo list's own rule: another named person than the one who undid it, or a measurement.
    for kind in book().kinds.values():
        if kind.harm in (Harm.SINKS, Harm.BURNS, Harm.RUINS):
            assert kind.second or kind.proof in (Proof.MEASURED, Proof.RUN), kind.code


def test_each_row_of_the_trades_undo_list_is_answered() -> None:
    rows = {row for kind in book().kinds.values() for row in kind.covers}
    assert {row["code"] for row in UNDO_LIST} <= rows


def test_there_are_steps_for_whatever_a_boat_can_have() -> None:
    for thing in Has:
        told = not_covered(frozenset({thing}))
        assert not [words for words in told if "No steps are written yet" in words]


ASKED = [
    (OPEN_OUTBOARD, Has.FOUR_STROKE, "Four stroke or two stroke?"),
    (OPEN_OUTBOARD, Has.FLOODED, "Flooded, AGM or gel, or lithium"),
    (DIESEL_AND_WATER, Has.SHAFT, "What does her engine turn?"),
    (DIESEL_AND_WATER, Has.CLOSED_COOLING, "closed cooling?"),
    (DIESEL_AND_WATER, Has.RAW_WATER_PUMP, "impeller?"),
    (PETROL_INBOARD, Has.SHAFT, "What does her engine turn?"),
    (STERNDRIVE, Has.RAW_WATER_PUMP, "impeller?"),
    (STERNDRIVE, Has.STERNDRIVE, "No engine is named"),
]


@pytest.mark.parametrize(("whole", "left_out", "question"), ASKED)
def test_what_is_not_said_of_her_is_asked(
    whole: frozenset[Has], left_out: Has, question: str
) -> None:
    assert not_covered(whole) == ()
    assert question in not_covered(whole - {left_out})[0]


def test_two_kinds_of_inboard_in_one_boat_are_not_known() -> None:
    (told,) = not_covered(DIESEL_AND_WATER | {Has.STERNDRIVE})
    assert told.startswith("inboard diesel and sterndrive: no steps are written for more than one")


def test_sets_are_long_enough() -> None:
    counts = {
        boat: [len(steps_for(has, season)) for season in Season] for boat, has in BOATS.items()
    }
    assert counts["open outboard"][0] >= 20
    assert counts["open outboard"][2] >= 22
    assert counts["diesel and water"][0] > counts["open outboard"][0]


def test_engines_carry_the_names_of_the_start_check() -> None:
    assert {kind.value for kind in EngineKind} <= {thing.value for thing in Has}


# Crew hours, 10 % and 90 %, as the trade tells them (common practice, from memory).
HOURS = [
    (Has.OUTBOARD, Season.FALL, None, 0.7, 2.0),
    (Has.OUTBOARD, Season.SPRING, Stage.AGAIN, 0.7, 2.0),
    (Has.INBOARD_DIESEL, Season.FALL, None, 2.0, 5.0),
    (Has.INBOARD_DIESEL, Season.SPRING, Stage.AGAIN, 1.5, 5.0),
    (Has.STERNDRIVE, Season.FALL, None, 1.5, 3.5),
    (Has.STERNDRIVE, Season.SPRING, Stage.AGAIN, 1.5, 4.0),
    (Has.INBOARD_PETROL, Season.FALL, None, 2.0, 4.5),
    (Has.INBOARD_PETROL, Season.SPRING, Stage.AGAIN, 1.5, 4.0),
]
# A drive pulled for its bellows, bearing and joints is a service of its own beside these hours.
DRIVE_PULLED = {"drive_pulled", "drive_aligned", "drive_bellows_felt", "drive_on"}
BY_ENGINE = {
    Has.OUTBOARD: OPEN_OUTBOARD,
    Has.INBOARD_DIESEL: DIESEL_AND_WATER,
    Has.STERNDRIVE: STERNDRIVE,
    Has.INBOARD_PETROL: PETROL_INBOARD,
}


@pytest.mark.parametrize(("engine", "season", "until", "least_h", "most_h"), HOURS)
def test_an_engines_minutes_lie_in_the_trades_hours(
    engine: Has, season: Season, until: Stage | None, least_h: float, most_h: float
) -> None:
    has = BY_ENGINE[engine]
    last = until.place if until else len(Stage)
    minutes = sum(
        step.minutes
        for step in steps_for(has, season)
        if engine in step.named and step.stage.place <= last and step.code not in DRIVE_PULLED
    )
    assert least_h <= minutes / 60 <= most_h


def minutes_of(has: frozenset[Has]) -> dict[str, int]:
    return {step.code: step.minutes for season in Season for step in steps_for(has, season)}


@pytest.mark.parametrize(("more", "many"), [({Has.TWO_ENGINES}, 2), ({Has.THREE_ENGINES}, 3)])
def test_what_is_done_at_each_engine_takes_as_many_times_as_long(more: set[Has], many: int) -> None:
    # By hand: three engines are flushed one after the other, their one tank is dosed once.
    one, several = minutes_of(OPEN_OUTBOARD), minutes_of(OPEN_OUTBOARD | more)
    assert (one["outboard_flushed"], several["outboard_flushed"]) == (15, 15 * many)
    assert (one["propeller_on"], several["propeller_on"]) == (10, 10 * many)
    for code in ("petrol_dosed", "petrol_sniffed", "lanyard_on", "outboard_tried_afloat"):
        assert several[code] == one[code]
    assert several.keys() - one.keys() == {
        "engines_side_by_side",
        "engines_sheets_compared",
        "engines_called_over",
        "engines_matched",
    }


@given(boats)
def test_minutes_never_make_another_edition(has: frozenset[Has]) -> None:
    written = {step.code: step.edition for step in book().steps}
    for season in Season:
        for step in steps_for(has, season):
            assert step.edition == written[step.code]


def test_a_splash_well_has_plugs_without_a_livewell() -> None:
    bare = OPEN_OUTBOARD - {Has.LIVEWELL}
    assert "well_plugs_out" not in minutes_of(bare)
    assert "livewell_hose_off" not in minutes_of(bare | {Has.SPLASH_WELL})
    assert {"well_plugs_out", "well_plugs_in"} <= minutes_of(bare | {Has.SPLASH_WELL}).keys()


SINGLE_HOURS = [
    (["hauled"], 0.3, 0.9),
    (["washed"], 0.4, 1.2),
    (["blocked_up"], 0.3, 0.8),
    (["batteries_off"], 0.3, 0.9),
    (["under_wrap_drawn", "wrapped"], 1.5, 3.5),
    (["unwrapped", "under_wrap_counted"], 0.25, 0.75),
    (["slings_set", "hung_dry", "looks_afloat"], 0.3, 0.9),
    (["outboard_tried_afloat"], 0.3, 1.0),
    (["diesel_tried_afloat"], 0.3, 1.0),
]


@pytest.mark.parametrize(("codes", "least_h", "most_h"), SINGLE_HOURS)
def test_other_minutes_lie_in_the_trades_hours(
    codes: list[str], least_h: float, most_h: float
) -> None:
    minutes = {step.code: step.minutes for step in book().steps}
    assert least_h <= sum(minutes[code] for code in codes) / 60 <= most_h


# --- Teal's eleven things ----------------------------------------------------

# Acceptance story: eleven things undone on Teal, an open outboard boat, with harm and what-before.
ELEVEN = {
    "stern_plug": (Harm.SINKS, Before.WATER),
    "fuel_pump_lead": (Harm.NO_START, Before.START),
    "batteries_ashore": (Harm.SINKS, Before.WATER),
    "gear_case_open": (Harm.RUINS, Before.START),
    "propeller_off": (Harm.HURTS, Before.WATER),
    "livewell_hose": (Harm.SINKS, Before.WATER),
    "speed_sensor": (Harm.ANNOYS, Before.HANDOVER),
    "bilge_pump_lead": (Harm.SINKS, Before.WATER),
    "separator_out": (Harm.BURNS, Before.START),
    "lanyard": (Harm.HURTS, Before.START),
    "cowl_vents": (Harm.RUINS, Before.START),
}


@pytest.mark.parametrize("code", ELEVEN)
def test_teals_eleven_things_are_in_her_steps(code: str) -> None:
    kind = book().kinds[code]
    assert (kind.harm, kind.before) == ELEVEN[code]
    assert kind in opened(OPEN_OUTBOARD)
    assert proven_by(code, OPEN_OUTBOARD)


def test_teals_eleven_say_what_the_story_says() -> None:
    kinds = book().kinds
    assert kinds["batteries_ashore"].if_forgotten == "no bilge pump, no start"
    assert kinds["batteries_ashore"].also_before == Before.START
    assert kinds["propeller_off"].if_forgotten.startswith("no way to steer clear")
    assert kinds["bilge_pump_lead"].if_forgotten == "sinks slowly unnoticed"
    assert kinds["stern_plug"].barrier == BarrierKind.PLUG
    assert kinds["livewell_hose"].barrier == BarrierKind.JOINT
    assert kinds["speed_sensor"].barrier is None


@pytest.mark.parametrize(
    "code", ["key", "papers", "valuables", "safety_gear", "lanyard", "electronics"]
)
def test_keys_papers_and_gear_are_put_backs_with_a_place(code: str) -> None:
    for has in BOATS.values():
        if code != "lanyard" or Has.LANYARD in has:
            assert code in {kind.code for kind in opened(has)}
    assert book().kinds[code].system == System.GEAR
    assert book().kinds[code].lies_hint


# --- the order that matters --------------------------------------------------


@given(boats)
def test_whatever_fall_undoes_a_spring_step_proves_and_nothing_else(has: frozenset[Has]) -> None:
    proven = {kind for step in steps_for(has, Season.SPRING) for kind in step.proves}
    assert proven == {kind.code for kind in opened(has)}


@given(boats)
def test_never_in_the_water_before_what_the_water_waits_for(has: frozenset[Has]) -> None:
    lowered = spring(has).index("hung_dry")
    assert all(place < lowered for place in proven_at(has, Before.WATER))
    assert spring(has).index("openings_counted") < lowered


STARTS = {
    "outboard_stop_seen",
    "outboard_first_run",
    "diesel_first_start",
    "sterndrive_first_start",
    "petrol_inboard_first_start",
    "petrol_run_warm",
}


@given(boats)
def test_never_started_before_what_a_start_waits_for(has: frozenset[Has]) -> None:
    places = [place for place, code in enumerate(spring(has)) if code in STARTS]
    for start in places:
        assert all(place < start for place in proven_at(has, Before.START))


RUN_IN_FALL = {
    "outboard_flushed",
    "outboard_fogged",
    "diesel_warmed",
    "antifreeze_through",
    "petrol_warmed",
    "petrol_fogged",
}


@pytest.mark.parametrize("engine", BY_ENGINE)
@given(boats)
def test_nothing_a_start_needs_is_taken_before_the_last_run_of_fall(
    engine: Has, has: frozenset[Has]
) -> None:
    # A diesel run through with antifreeze after her oil was drained seizes.
    taken: set[str] = set()
    for step in steps_for(has - BY_ENGINE.keys() | {engine}, Season.FALL):
        if step.code in RUN_IN_FALL:
            assert not taken, step.code
        taken |= {
            kind
            for kind in step.opens
            if Before.START in (book().kinds[kind].before, book().kinds[kind].also_before)
        }


@given(boats)
def test_pink_antifreeze_goes_through_before_its_way_out_is_opened(has: frozenset[Has]) -> None:
    order = [step.code for step in steps_for(has, Season.FALL)]
    for later in ("sink_seacock_drained", "shower_sump_opened"):
        if {"fresh_water_drained", later} <= {*order}:
            assert order.index("fresh_water_drained") < order.index(later)


@given(boats)
def test_petrol_is_opened_with_the_battery_off(has: frozenset[Has]) -> None:
    order = [step.code for step in steps_for(has, Season.FALL)]
    for later in ("bowls_drained", "fuel_line_off", "separator_out"):
        if {"batteries_off", later} <= {*order}:
            assert order.index("batteries_off") < order.index(later)


def test_all_that_burns_for_want_of_it_is_put_back_before_the_battery_is_on() -> None:
    for has in BOATS.values():
        order = spring(has)
        for kind in opened(has):
            if kind.harm == Harm.BURNS and kind.before == Before.START:
                (step,) = proven_by(kind.code, has)
                assert order.index(step.code) < order.index("negative_on"), kind.code


def test_what_two_fittings_open_is_two_put_backs() -> None:
    # A hose off behind an open valve: proving the valve shut says nothing of the hose.
    steps = {step.code: step for step in book().steps}
    for code in ("sink_seacock_drained", "head_seacocks_drained"):
        barriers = {book().kinds[kind].barrier for kind in steps[code].opens}
        assert {BarrierKind.VALVE, BarrierKind.JOINT} <= barriers


def test_a_hole_with_a_plug_in_it_is_a_plug() -> None:
    # A drain keeps rain out by being clear; a drain plug, by being in.
    kinds = book().kinds.values()
    assert not [kind.code for kind in kinds if kind.barrier == BarrierKind.DRAIN]


@given(boats)
def test_whatever_opens_a_hole_afloat_is_done_before_the_last_look(has: frozenset[Has]) -> None:
    order = spring(has)
    for code in ("speed_sensor_in", "engine_seacock_opened", "head_runs"):
        if code in order:
            assert order.index("hung_dry") < order.index(code) < order.index("looks_afloat")


@given(boats.map(lambda has: has | {Has.BATTERY}))
def test_battery_negative_goes_on_after_fuel_oil_and_air_are_closed(has: frozenset[Has]) -> None:
    order = spring(has)
    first = ("fuel_line_on", "separator_in", "diesel_bled", "gear_oil_in", "diesel_oil_in")
    for code in (*first, "cowl_vents_open", "exhaust_open", "batteries_aboard", "ignition_on"):
        if code in order:
            assert order.index(code) < order.index("negative_on")


@given(boats.map(lambda has: has | {Has.WATER_HEATER}))
def test_heater_breaker_goes_on_after_the_tank_is_full(has: frozenset[Has]) -> None:
    order = spring(has)
    assert order.index("heater_full") < order.index("heater_breaker_on")


@given(boats.map(lambda has: has | {Has.OUTBOARD, Has.LANYARD}))
def test_sniff_then_water_then_start_then_look_again_then_propeller(has: frozenset[Has]) -> None:
    wanted = [
        "petrol_sniffed",
        "lanyard_on",
        "muffs_water_seen",
        "outboard_stop_seen",
        "outboard_first_run",
        "outboard_looked_again",
        "propeller_on",
    ]
    assert [code for code in spring(has) if code in wanted] == wanted


@given(boats.map(lambda has: has | {Has.INBOARD_DIESEL}))
def test_a_diesels_stop_is_proven_before_her_first_start(has: frozenset[Has]) -> None:
    wanted = ["diesel_tap_open", "diesel_bled", "diesel_stop_proven", "diesel_first_start"]
    assert [code for code in spring(has) if code in wanted] == wanted


@given(boats)
def test_papers_come_first_and_the_key_goes_last(has: frozenset[Has]) -> None:
    assert spring(has)[0] == "order_read"
    assert spring(has)[-1] == "key_back"


@given(boats)
def test_each_step_stands_after_what_it_names(has: frozenset[Has]) -> None:
    for season in Season:
        steps = steps_for(has, season)
        order = [step.code for step in steps]
        for step in steps:
            assert all(order.index(c) < order.index(step.code) for c in step.after if c in order)


# --- the texts ---------------------------------------------------------------


def told(field: str) -> list[tuple[str, str]]:
    return [
        (step.code, " ".join(getattr(step, field)) if field == "how" else getattr(step, field))
        for step in book().steps
    ]


@pytest.mark.parametrize("field", ["why", "how", "goes_wrong", "caution"])
def test_no_two_steps_say_nearly_the_same(field: str) -> None:
    for (one, a), (other, b) in combinations(told(field), 2):
        match = SequenceMatcher(None, a, b, autojunk=False)
        near = match.real_quick_ratio() > 0.85 and match.quick_ratio() > 0.85
        assert not (near and match.ratio() > 0.85), f"{one} and {other}: {a} / {b}"


def words_of(step: Step) -> list[str]:
    texts = (step.title, step.why, *step.how, step.goes_wrong, step.caution, step.proof_words)
    return re.findall(r"[a-z0-9']+", " ".join(texts).lower())


def near_copies(steps: Sequence[Step]) -> list[tuple[str, str]]:
    """Pairs of steps that share more than 85 % of their words, in their order."""
    told = [(step.code, words_of(step)) for step in steps]
    found = []
    for (one, a), (other, b) in combinations(told, 2):
        match = SequenceMatcher(None, a, b, autojunk=False)
        near = match.real_quick_ratio() > 0.85 and match.quick_ratio() > 0.85
        if near and match.ratio() > 0.85:
            found.append((one, other))
    return found


def test_no_step_is_a_copy_of_another_with_a_word_changed() -> None:
    assert near_copies(book().steps) == []


def test_a_near_copy_is_found() -> None:
    steps = {step.code: step for step in book().steps}
    one = steps["drive_oil_out"]
    copied = replace(one, code="copy", title="Leg oil out", why="Water splits it in January.")
    assert near_copies([one, copied]) == [("drive_oil_out", "copy")]


def test_no_two_steps_share_harm_and_how() -> None:
    # Harm: what goes wrong there, and what the put-backs it opens or proves do if forgotten.
    def harm(step: Step) -> tuple[str, ...]:
        kinds = [book().kinds[code].if_forgotten for code in (*step.opens, *step.proves)]
        return (step.goes_wrong, *kinds)

    counts = Counter((harm(step), step.how) for step in book().steps)
    assert max(counts.values()) == 1
    assert max(Counter(step.how for step in book().steps).values()) == 1
    assert max(Counter(step.goes_wrong for step in book().steps).values()) == 1
    assert max(Counter(kind.if_forgotten for kind in book().kinds.values()).values()) <= 2


def test_the_yards_year_is_told_whole() -> None:
    # What the year asks for at least: 150 steps, 60 things undone, and each part of a boat.
    assert len(book().steps) >= 150
    assert len(book().kinds) >= 60
    for thing in set(Has) - {Has.FOUR_STROKE}:
        seasons = {step.season for step in book().steps if thing in step.named}
        assert {Season.FALL, Season.SPRING} <= seasons, thing
    winter = [step for step in book().steps if step.season == Season.WINTER]
    assert len(winter) >= 15


def test_titles_and_buttons_are_each_their_own() -> None:
    for field in ("title", "proof_words"):
        assert max(Counter(text for _, text in told(field)).values()) == 1, field


def test_steps_are_told_short_and_whole() -> None:
    for step in book().steps:
        assert 2 <= len(step.how) <= 4, step.code
        assert all(len(sentence) <= 140 for sentence in step.how), step.code
        for text in (step.why, *step.how, step.goes_wrong, step.caution):
            assert text[0].isupper() or text[0].isdigit(), step.code
            assert text.endswith("."), step.code
        assert len(step.title) <= 64, step.code
        assert len(step.proof_words) <= 56, step.code


def test_buttons_say_what_is_true_then() -> None:
    for step in book().steps:
        assert step.proof_words.lower().strip(".") not in {"ok", "done", "save", "yes"}
        assert len(step.proof_words.split()) >= 3, step.code


def test_a_kinds_texts_are_whole_and_its_own() -> None:
    kinds = book().kinds.values()
    for kind in kinds:
        assert kind.what.strip(), kind.code
        assert kind.if_forgotten.strip(), kind.code
        assert kind.lies_hint.strip(), kind.code
    for field in ("what", "lies_hint"):
        assert max(Counter(getattr(kind, field) for kind in kinds).values()) == 1, field


@pytest.mark.parametrize("hazard", Hazard)
def test_every_hazard_has_steps_and_each_caution_names_it(hazard: Hazard) -> None:
    dangerous = [step for step in book().steps if hazard in step.hazards]
    assert dangerous
    assert all(f" {hazard}" in f" {step.caution.lower()}" for step in dangerous)


def test_readings_are_quantities_that_can_be_judged() -> None:
    known = quantities()
    asked = {step.reading for step in book().steps if step.reading}
    assert asked
    assert asked <= set(known)


# --- what is refused ---------------------------------------------------------

KIND = """
[plug]
what = "Plug out"
harm = "sinks"
if_forgotten = "sinks"
before = "in the water"
proof = "felt"
system = "hull"
lies_hint = "Bag on the wheel"
"""


def step(code: str, stage: str, *more: str, caution: str = "Mind your head.") -> str:
    lines = [
        f"[{code}]",
        'title = "Plug"',
        f'stage = "{stage}"',
        'trade = "mechanic"',
        "minutes = 5",
        'why = "Rain runs out."',
        'how = ["Unscrew it."]',
        'goes_wrong = "It is lost."',
        f'caution = "{caution}"',
        'proof_words = "Felt it: it holds"',
        *more,
    ]
    return "\n".join(lines) + "\n"


def read(*steps: str, kinds: str = KIND) -> Book:
    return read_book({KINDS: kinds, "steps_hull.toml": "\n".join(steps)})


OUT = step("plug_out", "out of the water", 'opens = ["plug"]')
IN = step("plug_in", "hull closed", 'proves = ["plug"]')


def test_a_sound_book_is_read() -> None:
    found = read(OUT, IN)
    assert [s.code for s in found.steps] == ["plug_out", "plug_in"]
    assert found.steps[0].season == Season.FALL
    assert isinstance(found.steps[0], Step)
    assert not found.steps[0].watch_learner
    assert not found.kinds["plug"].second


REFUSED = {
    "ring": ((OUT, IN, step("a", "oils in", 'after = ["b"]'), step("b", "oils in", 'after = ["a"]')), "[a]: a ring, a after b after a."),
    "later stage": ((OUT, IN, step("a", "oils in", 'after = ["b"]'), step("b", "fuel closed")), "[a]: comes after b, which is of a later stage."),
    "unknown step": ((OUT, IN, step("a", "oils in", 'after = ["b"]')), "[a]: no step b to come after."),
    "unknown kind": ((OUT, IN, step("a", "drained", 'opens = ["bung"]')), "[a]: no put-back kind bung"),
    "never proven": ((OUT,), "[plug_out]: opens plug, but no spring step proves it"),
    "proven on other boats only": ((OUT, step("plug_in", "hull closed", 'proves = ["plug"]', 'needs = ["shaft"]')), "[plug_out]: opens plug, but no spring step proves it"),
    "opened on other boats only": ((step("plug_out", "drained", 'opens = ["plug"]', 'needs = ["shaft"]'), IN), "[plug_in]: proves plug, but no step opens it"),
    "proven by one engine's step only": ((step("plug_out", "drained", 'opens = ["plug"]', 'for_any = ["outboard", "sterndrive"]'), step("plug_in", "hull closed", 'proves = ["plug"]', 'needs = ["outboard"]')), "[plug_out]: opens plug, but no spring step proves it"),
    "not proven where it is left out": ((OUT, step("plug_in", "hull closed", 'proves = ["plug"]', 'unless = ["shaft"]')), "[plug_out]: opens plug, but no spring step proves it"),
    "proven for nothing": ((IN,), "[plug_in]: proves plug, but no step opens it"),
    "never opened": ((), "[plug]: no step opens it."),
    "too late": ((OUT, step("plug_in", "return tray", 'proves = ["plug"]')), "[plug_in]: proves plug too late: it is needed before in the water."),
    "opens in spring": ((OUT, IN, step("a", "oils in", 'opens = ["plug"]')), "[a]: a spring step opens nothing"),
    "proves in fall": ((OUT, IN, step("a", "drained", 'proves = ["plug"]')), "[a]: only a spring step proves"),
    "unknown stage": ((OUT, IN, step("a", "summer")), "[a]: 'summer' is not known; write one of taken in,"),
    "unknown equipment": ((OUT, IN, step("a", "drained", 'needs = ["sail"]')), "[a]: 'sail' is not known"),
    "unknown field": ((OUT, IN, step("a", "drained", 'colour = "red"')), "[a]: "),
    "no minutes": ((OUT, IN, step("a", "drained").replace("minutes = 5", "minutes = 0")), "[a]: minutes is 0; give 1 to 480."),
    "too many minutes at each engine": ((OUT, IN, step("a", "drained", 'needs = ["outboard"]').replace("minutes = 5", "minutes = 161")), "[a]: minutes is 161; give 1 to 160."),
    "too many minutes": ((OUT, IN, step("a", "drained").replace("minutes = 5", "minutes = 481")), "[a]: minutes is 481; give 1 to 480."),
    "text for a flag": ((OUT, IN, step("a", "drained", 'watch_learner = "yes"')), "[a]: 'yes' should be true or false."),
    "number for a text": ((OUT, IN, step("a", "drained").replace('"Plug"', "5")), "[a]: 5 should be text in quotes."),
    "text for a list": ((OUT, IN, step("a", "drained").replace('["Unscrew it."]', '"Unscrew it."')), "[a]: 'Unscrew it.' should be a list of texts."),
    "flag for a number": ((OUT, IN, step("a", "drained").replace("minutes = 5", "minutes = true")), "[a]: True should be a whole number."),
    "text for a number": ((OUT, IN, step("a", "drained").replace("minutes = 5", 'minutes = "5"')), "[a]: '5' should be a whole number."),
    "empty text": ((OUT, IN, step("a", "drained", caution=" ")), "[a]: a text is empty"),
    "caution silent": ((OUT, IN, step("a", "drained", 'hazards = ["petrol"]')), "[a]: the caution does not speak of petrol."),
    "caution speaks of a photo, not of hot": ((OUT, IN, step("a", "drained", 'hazards = ["hot"]', caution="Take a photo.")), "[a]: the caution does not speak of hot."),
    "read without source": ((OUT, IN, step("a", "drained", 'trust = "read"')), "[a]: trust is 'read'"),
    "outside a table": (('stray = "x"', OUT, IN), "[stray]: stands outside a table"),
}  # fmt: skip


@pytest.mark.parametrize("fault", REFUSED)
def test_refused_with_file_and_code(fault: str) -> None:
    steps, words = REFUSED[fault]
    with pytest.raises(ValueError, match="toml") as refused:
        read(*steps)
    file = KINDS if "[plug]:" in words else "steps_hull.toml"
    assert f"{file}, {words}" in str(refused.value)


def test_each_engines_own_step_may_prove_what_one_for_both_opens() -> None:
    out = step("plug_out", "drained", 'opens = ["plug"]', 'for_any = ["outboard", "sterndrive"]')
    by = [
        step(f"plug_in_{n}", "hull closed", 'proves = ["plug"]', f'needs = ["{engine}"]')
        for n, engine in enumerate(("outboard", "sterndrive"))
    ]
    assert len(read(out, *by).steps) == 3


def test_a_step_suits_by_what_she_needs_one_of_and_must_not_have() -> None:
    one = replace(
        book().steps[0],
        needs=frozenset({Has.BATTERY}),
        for_any=frozenset({Has.STERNDRIVE, Has.INBOARD_PETROL}),
        unless=frozenset({Has.CLOSED_COOLING}),
    )
    assert one.suits(frozenset({Has.BATTERY, Has.STERNDRIVE}))
    assert not one.suits(frozenset({Has.STERNDRIVE}))
    assert not one.suits(frozenset({Has.BATTERY}))
    assert not one.suits(frozenset({Has.BATTERY, Has.STERNDRIVE, Has.CLOSED_COOLING}))
    assert one.named == {Has.BATTERY, Has.STERNDRIVE, Has.INBOARD_PETROL}
    assert one.edition != replace(one, unless=frozenset()).edition


@pytest.mark.parametrize("minutes", [1, 480])
def test_a_step_takes_a_minute_to_a_day(minutes: int) -> None:
    found = read(OUT, IN.replace("minutes = 5", f"minutes = {minutes}"))
    assert found.steps[1].minutes == minutes


def test_the_year_in_three_seasons() -> None:
    # Fall ends with the wrap, winter is its rounds alone, spring begins with the papers.
    stages = list(Stage)
    winter = stages.index(Stage.ROUND)
    assert stages[winter - 1 : winter + 2] == [Stage.COVERED, Stage.ROUND, Stage.PAPERS]
    for place, stage in enumerate(stages):
        season = Season.FALL if place < winter else Season.SPRING
        assert stage.season == (Season.WINTER if place == winter else season)


def test_a_code_in_two_files_is_refused() -> None:
    with pytest.raises(ValueError, match=r"steps_more.toml, \[plug_in\]: is in steps_hull.toml"):
        read_book({KINDS: KIND, "steps_hull.toml": OUT + IN, "steps_more.toml": IN})


def test_all_faults_are_told_at_once() -> None:
    with pytest.raises(ValueError, match="toml") as refused:
        read(OUT, IN, step("a", "summer"), step("b", "drained", 'needs = ["sail"]'))
    assert len(str(refused.value).splitlines()) == 2
