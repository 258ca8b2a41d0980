"""All steps are walked: one that meets a hazard has the caution that goes with it.

By a step's own words, not by the hazards that its author named: what he didn't see he didn't name.
The words that warn are those of the trade's usual cautions.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace

import pytest

from yardwright.procedures.step import Has, Hazard, Step
from yardwright.procedures.steps import book


@dataclass(frozen=True, slots=True)
class Danger:
    """By which words in a step's deed it is met, on which boats, and one that its caution says."""

    met: str
    says: str
    only: Has | None = None


DANGERS = {
    "petrol": Danger(
        r"petrol|gasoline|vapou?r|carburett?or|sniff|fuel vent",
        r"petrol|vapour|no (phone|smok)|touch no switch|spark",
    ),
    "petrol, outboard": Danger(
        r"fuel|separator|bowl|bulb|tank vent|fogg|spark plug|ignition",
        r"petrol|vapour|fuel|mist",
        Has.OUTBOARD,
    ),
    "carbon monoxide": Danger(
        r"; start[;,.]|then start\b|start again|first start:|she fires|minutes warm|\bat idle\b"
        r"|fast idle|run (her|ten minutes)|steady heat|thermostat opened|exhaust (gas|outlet|open)"
        r"|carbon monoxide",
        r"carbon monoxide",
    ),
    "propeller": Danger(
        r"propeller|\bin gear\b|turn the shaft|shaft still turns|crank(?!case)|in neutral|gear case"
        r"|she fires|turns over|lanyard",
        r"propeller",
    ),
    "battery": Danger(
        r"batter|negative (off|on|last|first)|\bposts?\b|on charge|jump lead|alternator",
        r"batter|acid|gas|spark|shock|post|charger",
    ),
    "shore power": Danger(
        r"shore (power|cord)|breaker (ashore|off[,;]|on[,;])|110 v|120 v|230 v",
        r"shore power|shock|kills|breaker off|power",
    ),
    "lifting": Danger(
        r"slings?\b|\bthe lift\b(?! pump)|hauled|hoist|crane|blocked up, stands|stands?, blocks"
        r"|block the axle|carry level|two people for|batteries aboard|puller on",
        r"\blift\b|nobody under|never under|she can fall|with your legs|out from under|weight",
    ),
    "blade": Danger(
        r"\bcuts?\b|knife|\bblade|razor|scrap(e|er|ing)\b|\bsaw|the film|clamps, screws",
        r"knife|blade|glove|film",
    ),
    "antifreeze": Danger(
        r"antifreeze|pink fluid|until the pink|glycol|coolant|until colour shows", r"antifreeze"
    ),
    "ladder": Danger(r"ladder|climb|\baloft", r"ladder"),
    "hot parts": Danger(
        r"heat gun|it again hot|\bhot (head|hose|metal|engine|surface|manifold|to the hand)"
        r"|minutes warm|(out|run:|oil out), (hot|warm)|steady heat|thermostat|torch|\bsteam\b"
        r"|head temperature|after (her|the) run|cool(ed|s)? down|cooled;|fuel joints|coolant",
        r"\bhot\b|scald|burn|heat",
    ),
    "galley gas": Danger(
        r"\bgas\b(?! of a battery)|gas bottle|regulator", r"\bgas\b|carbon monoxide|flame"
    ),
    "overhead wires": Danger(r"mast (in|out)\b", r"overhead"),
    "pressure": Danger(
        r"pressur|\bthe jet\b|\bjet held\b|compressed air|fan tip|relief lever|blow the lines"
        r"|extinguisher|cap off; draw|bleed screws",
        r"pressure|jet|stand aside|goggles",
    ),
    "spray into skin": Danger(
        r"injector|injection pump|bleed screw open;|prime(?!d by)|diesel filter|fuel joints"
        r"|round filters",
        r"spray|skin|petrol",
    ),
}
STANDS_FOR = {  # each of the rules' hazards has at least one danger here
    Hazard.PETROL: "petrol",
    Hazard.CARBON_MONOXIDE: "carbon monoxide",
    Hazard.PROPELLER: "propeller",
    Hazard.BATTERY: "battery",
    Hazard.SHORE_POWER: "shore power",
    Hazard.LIFTING: "lifting",
    Hazard.BLADE: "blade",
    Hazard.ANTIFREEZE: "antifreeze",
    Hazard.LADDER: "ladder",
    Hazard.PRESSURE: "pressure",
    Hazard.HOT: "hot parts",
    Hazard.SPRAY: "spray into skin",
    Hazard.GAS: "galley gas",
    Hazard.OVERHEAD: "overhead wires",
}
# Where the word stands in a step, but the thing is not there.
NOT_THERE = {
    ("walked_round", "battery"): "only photographed",
    ("sails_on", "lifting"): "a sail is hoisted",
}


def meets(step: Step, danger: Danger) -> bool:
    deed = " / ".join((step.title, *step.how)).lower()
    return bool(re.search(danger.met, deed)) and (not danger.only or danger.only in step.named)


def silent(steps: Iterable[Step]) -> set[tuple[str, str]]:
    """Each step that meets a danger which its caution does not speak of."""
    return {
        (step.code, name)
        for step in steps
        for name, danger in DANGERS.items()
        if meets(step, danger) and not re.search(danger.says, step.caution.lower())
    }


def test_every_step_that_meets_a_hazard_has_its_caution() -> None:
    assert silent(book().steps) == NOT_THERE.keys()


@pytest.mark.parametrize("name", DANGERS)
def test_the_walk_misses_a_caution_that_is_gone(name: str) -> None:
    danger = DANGERS[name]
    met = {step for step in book().steps if meets(step, danger)}
    assert len(met) >= 2, "so rare a danger needs other words to be found by"
    gone = [replace(step, caution="Mind your head.", hazards=()) for step in met]
    assert {(step.code, name) for step in met} <= silent(gone)


def test_every_hazard_of_the_steps_is_walked_for() -> None:
    assert STANDS_FOR.keys() == set(Hazard)
    assert set(STANDS_FOR.values()) <= DANGERS.keys()


@pytest.mark.parametrize("hazard", Hazard)
def test_the_walk_finds_most_of_what_the_authors_named(hazard: Hazard) -> None:
    # An author may name a hazard that lies beside the deed (petrol in a bilge, a hot engine).
    named = [step for step in book().steps if hazard in step.hazards]
    assert named
    assert any(meets(step, DANGERS[STANDS_FOR[hazard]]) for step in named)
