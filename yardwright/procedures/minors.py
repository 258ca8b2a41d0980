"""What somebody under age does not do: by the hazards of a step."""

from yardwright import refdata
from yardwright.procedures.step import Hazard, Step
from yardwright.refdata import Saying

LOCAL_LAW = "The law where the yard is may forbid more."


def not_for_minors() -> dict[Hazard, Saying]:
    """Each hazard that keeps a minor from a step, and the rule with who says so."""
    rules = refdata.rows("minors")
    return {Hazard(key): row for key, row in rules.items() if isinstance(row, Saying)}


def keeps_a_minor_off(step: Step) -> list[Hazard]:
    """The hazards for which a minor does not do it; none: they may, watched."""
    rules = not_for_minors()
    return [hazard for hazard in step.hazards if hazard in rules]
