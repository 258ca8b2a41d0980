"""Lifting: what each sling carries."""

from yardwright.calc import lifting as calc
from yardwright.sums.field import Number
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told

CAUTION = (
    "Nobody is under her while she hangs. The lift's manual, the slings' tags and the crew go "
    "before any sum; a weight that was not weighed is a guess."
)

KG = Number(key="kg", label="Her weight", example="5200 kg", unit="kg")
WITHIN = Number(
    key="within",
    label="It may be off by",
    example="10 %",
    unit="",
    hint="0 claims a weighed weight",
)
CENTRE = Number(
    key="centre_m", label="Centre of gravity from the transom", example="2.6 m", unit="m"
)
CENTRE_WITHIN = Number(key="centre_within_m", label="That may be off by", example="0.3 m", unit="m")
AFT = Number(key="aft_m", label="Aft sling from the transom", example="1.2 m", unit="m")
FORWARD = Number(key="forward_m", label="Forward sling from the transom", example="5.2 m", unit="m")
SLING = Number(
    key="sling_kg",
    label="A sling is rated",
    example="4000 kg",
    unit="kg",
    hint="from its tag",
    may_be_empty=True,
)
LIFT = Number(
    key="lift_kg",
    label="The lift is rated",
    example="15000 kg",
    unit="kg",
    hint="from its plate",
    may_be_empty=True,
)
ANGLE = Number(
    key="angle",
    label="A sling's leg from the horizontal",
    example="80",
    unit="",
    hint="degrees; 90 hangs straight",
    may_be_empty=True,
)


def _sling(
    kg: float,
    within: float,
    centre_m: float,
    centre_within_m: float,
    aft_m: float,
    forward_m: float,
    sling_kg: float | None,
    lift_kg: float | None,
    angle: float | None,
) -> Answer:
    if forward_m <= aft_m:
        raise ValueError(
            f"the forward sling is {forward_m:g} m from the transom, the aft {aft_m:g} m; "
            "give the forward one's as the larger."
        )
    weight = calc.Weight(kg, kg * within, centre_m, centre_within_m)
    slings = calc.Slings(forward_m, aft_m, sling_kg, lift_kg, angle)
    loads = calc.sling_loads(weight, slings)

    def told(name: str, share: calc.Share) -> str:
        return f"{name} {share.kg:,.0f} kg ({share.low_kg:,.0f} to {share.high_kg:,.0f})."

    return Answer(
        says=f"{told('Forward', loads.forward)} {told('Aft', loads.aft)}",
        numbers=(
            Told("forward_kg", "Forward sling", loads.forward.kg, "kg"),
            Told("forward_low_kg", "Forward sling, at least", loads.forward.low_kg, "kg"),
            Told("forward_high_kg", "Forward sling, at most", loads.forward.high_kg, "kg"),
            Told("aft_kg", "Aft sling", loads.aft.kg, "kg"),
            Told("aft_low_kg", "Aft sling, at least", loads.aft.low_kg, "kg"),
            Told("aft_high_kg", "Aft sling, at most", loads.aft.high_kg, "kg"),
        ),
        besides=(
            *(f"Not so: {refusal}" for refusal in loads.refusals),
            *(f"Not known: {what}" for what in loads.not_known),
            *(
                ["She may be lifted so; the lift's manual and the slings' tags go first."]
                * loads.may_lift
            ),
        ),
        may=loads.may_lift,
    )


SUMS = (
    Sum(
        name="sling",
        subject=Subject.LIFTING,
        title="Slings",
        question="What does each of two slings carry, and may she be lifted so?",
        fields=(KG, WITHIN, CENTRE, CENTRE_WITHIN, AFT, FORWARD, SLING, LIFT, ANGLE),
        work=_sling,
        picture=swept(_sling, CENTRE, 1.2, 5.2, "forward_high_kg", "aft_high_kg"),
        formula="forward = weight × (centre − aft) ÷ (forward sling − aft sling); aft = weight − forward",
        holds="Statics of two slings; every end of weight and centre is tried, and the range "
        "decides, not the middle. A leg off the vertical pulls harder by 1 ÷ sin(angle).",
        rests_on=("lifting/least_sling_angle",),
        caution=CAUTION,
    ),
)
