"""The yard's own steps: changed, added, left out; what would leave a boat undone is refused with the reason."""

import json
from collections.abc import Mapping

import pytest
from hypothesis import given
from hypothesis import strategies as st

from yardwright.procedures.own import book_with, written
from yardwright.procedures.step import Has, Season, Stage
from yardwright.procedures.steps import Row, book, going_by, shipped, step_from, steps_for

STEPS = {step.code: step for step in shipped().steps}


def row(code: str, **changed: object) -> Row:
    return {**written(STEPS[code]), **changed}


@pytest.mark.parametrize("code", STEPS)
def test_a_step_that_is_kept_is_read_again_the_same(code: str) -> None:
    kept = json.loads(json.dumps(written(STEPS[code])))
    assert step_from(code, kept) == STEPS[code]


def test_a_book_that_changes_no_word_is_the_same_in_the_same_order() -> None:
    assert book_with({code: written(step) for code, step in STEPS.items()}).steps == shipped().steps
    assert book_with({}).steps == shipped().steps


REFUSED: Mapping[str, tuple[dict[str, Row | None], str]] = {
    "nothing proves it back": (
        {"stern_plug_in": None},
        "“Stern drain plug out”",
    ),
    "left out of both": (
        {"stern_plug_out": None, "stern_plug_in": None},
        "“Stern drain plug out”: no step opens it.",
    ),
    "proven only after she is started": (
        {"impeller_in": row("impeller_in", stage="looked at again", after=[])},
        "too late: it is needed before start",
    ),
    "proven only in the slings": (
        {"stern_plug_in": row("stern_plug_in", stage="slings and water", after=[])},
        "too late: it is needed before in the water",
    ),
    "petrol opened again with the battery on": (
        {"fuel_line_on": row("fuel_line_on", stage="blower and sniff", after=[])},
        "Fuel line off the engine is put back before the battery is on.",
    ),
    "a caution falls silent": (
        {"propeller_on": row("propeller_on", caution="Mind your back.")},
        "the caution does not speak of propeller",
    ),
    "a danger is dropped from the list": (
        {"propeller_on": row("propeller_on", hazards=[])},
        "no longer warns of propeller.",
    ),
    "a ring": (
        {"gear_oil_in": row("gear_oil_in", after=["outboard_oil_in"]),
         "outboard_oil_in": row("outboard_oil_in", after=["gear_oil_in"])},
        "a ring",
    ),
}  # fmt: skip


@pytest.mark.parametrize("why", REFUSED)
def test_what_breaks_the_book_is_refused_with_the_reason(why: str) -> None:
    own, words = REFUSED[why]
    with pytest.raises(ValueError, match=r"\S") as refused:
        book_with(own)
    assert words in str(refused.value)
    assert ".toml" not in str(refused.value)


def test_the_mast_may_be_stepped_ashore_where_the_yard_does_it_so() -> None:
    ashore = row("mast_in", stage="domestic water", after=["rig_dressed", "mast_lights_tried"])
    steps = [step.code for step in book_with({"mast_in": ashore}).steps]
    assert steps.index("mast_in") < steps.index("hung_dry")


def test_within_the_yards_book_boats_get_its_steps() -> None:
    has = frozenset({Has.STERN_DRAIN, Has.OUTBOARD})
    own = book_with(
        {
            "greeted": row("order_read", title="Owner greeted", proof_words="Greeted: by name"),
        }
    )
    with going_by(lambda: own):
        assert book() is own
        assert "greeted" in [step.code for step in steps_for(has, Season.SPRING)]
    assert "greeted" not in [step.code for step in steps_for(has, Season.SPRING)]


@given(st.sampled_from(sorted(STEPS)), st.sampled_from(Stage))
def test_a_step_moved_anywhere_is_refused_or_the_order_still_holds(code: str, stage: Stage) -> None:
    """By hand from the definition: what a deed waits for is proven in an earlier stage than the deed."""
    try:
        moved = book_with({code: row(code, stage=str(stage))})
    except ValueError:
        return
    run, launch = Stage.RUN.place, Stage.LAUNCH.place
    for step in moved.steps:
        for kind in (moved.kinds[one] for one in step.proves):
            deeds = {kind.before, kind.also_before}
            assert "start" not in deeds or step.stage.place < run
            assert "in the water" not in deeds or step.stage.place < launch


THING: Row = {
    "what": "Bow thruster fuse out",
    "if_forgotten": "she will not turn in the berth",
    "harm": "annoys",
    "before": "handover",
    "proof": "run",
    "system": "electrical",
    "lies_hint": "In a bag on the wheel",
}
PROVES = row("key_back", title="Thruster run", proof_words="Run: both ways", proves=["thruster"])
OPENS = row("walked_round", title="Thruster out", proof_words="Out: in its bag", opens=["thruster"])


def test_a_thing_of_its_own_waits_for_its_steps_and_is_never_opened_unproven() -> None:
    assert "thruster" in book_with({"thruster": THING}).kinds
    book_with({"thruster": THING, "thruster_run": PROVES})
    whole = book_with({"thruster": THING, "thruster_run": PROVES, "thruster_out": OPENS})
    assert whole.kinds["thruster"].what == "Bow thruster fuse out"
    with pytest.raises(ValueError, match="but no spring step proves it on every boat"):
        book_with({"thruster": THING, "thruster_out": OPENS})
    late = {**THING, "before": "in the water"}
    with pytest.raises(ValueError, match="too late: it is needed before in the water"):
        book_with({"thruster": late, "thruster_run": PROVES, "thruster_out": OPENS})


@pytest.mark.parametrize(
    ("changed", "says"),
    [
        ({"harm": "sinks", "proof": "looked"}, "two people prove it back, or it is measured"),
        ({"what": "Batteries ashore"}, "is on the list already"),
        ({"harm": "stings"}, "'stings' is not known"),
    ],
)
def test_a_thing_that_is_unsafe_or_named_twice_is_refused(changed: Row, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        book_with({"thruster": {**THING, **changed}})
