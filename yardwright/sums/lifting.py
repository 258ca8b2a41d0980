"""Lifting: what each sling carries, how hard a leg pulls, where her centre is, what she weighs."""

from yardwright import refdata
from yardwright.calc import lifting as calc
from yardwright.calc import weighing
from yardwright.calc.units import convert
from yardwright.sums.field import Number
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import both

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
    example="80°",
    unit="°",
    hint="90 hangs straight",
    may_be_empty=True,
)

SHARE = Number(key="share_kg", label="What the sling carries", example="2600 kg", unit="kg")
LEG = Number(
    key="angle",
    label="Its legs from the horizontal",
    example="60°",
    unit="°",
    hint="90 is straight",
)
FIRST = Number(key="first_kg", label="The first scale shows", example="1770 kg", unit="kg")
FIRST_AT = Number(
    key="first_m", label="The first scale from the mark", example="4.7 m", unit="m", hint="one mark"
)
SECOND = Number(key="second_kg", label="The second scale shows", example="180 kg", unit="kg")
SECOND_AT = Number(key="second_m", label="The second scale from the mark", example="0 m", unit="m")
DRY = Number(
    key="dry_kg",
    label="The maker's dry weight",
    example="2400 kg",
    unit="kg",
    hint="with its engine; ask if it is left out",
)
PETROL = Number(key="petrol_l", label="Petrol in her", example="200 L", unit="L", otherwise="0 L")
DIESEL = Number(key="diesel_l", label="Diesel in her", example="0 L", unit="L", otherwise="0 L")
WATER = Number(
    key="water_l",
    label="Water in her",
    example="80 L",
    unit="L",
    otherwise="0 L",
    hint="tanks, heater, livewell, bilge",
)
GEAR = Number(key="gear_kg", label="Gear aboard", example="150 kg", unit="kg", otherwise="0 kg")
COVER = Number(
    key="cover_m2", label="Cover that holds rain", example="9 m²", unit="m²", otherwise="0 m²"
)
RAIN = Number(key="rain_mm", label="Rain on it", example="25 mm", unit="mm", otherwise="0 mm")


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
    if not 0 <= within < 1:
        raise ValueError(f"her weight may be off by {within:g}; give a share, such as 10 %.")
    weight = calc.Weight(kg, kg * within, centre_m, centre_within_m)
    slings = calc.Slings(forward_m, aft_m, sling_kg, lift_kg, angle)
    loads = calc.sling_loads(weight, slings)

    def told(name: str, share: calc.Share) -> str:
        mean, low, high = (
            convert(kg, "kg", "lb") for kg in (share.kg, share.low_kg, share.high_kg)
        )
        return (
            f"{name} {share.kg:,.0f} kg ({share.low_kg:,.0f} to {share.high_kg:,.0f}), "
            f"{mean:,.0f} lb ({low:,.0f} to {high:,.0f})."
        )

    # A lift's plate is for both slings; what one pair of hoists bears stands in its manual.
    most_kg = max(loads.forward.high_kg, loads.aft.high_kg)
    lopsided = lift_kg is not None and most_kg > lift_kg / 2
    may = None if loads.may_lift and lopsided else loads.may_lift
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
                [
                    "Not known: whether one sling of this lift may bear more than half its plate: see "
                    "its manual."
                ]
                * lopsided
            ),
            *(
                ["She may be lifted so; the lift's manual and the slings' tags go first."]
                * (may is True)
            ),
        ),
        may=may,
        not_known=may is None,
    )


def _sling_angle(share_kg: float, angle: float) -> Answer:
    leg_kg = calc.leg_tension_kg(share_kg, angle)
    straight_kg = calc.leg_tension_kg(share_kg, 90)
    factor = leg_kg / straight_kg if share_kg else calc.leg_tension_kg(2, angle)
    least = refdata.table("lifting")["least_sling_angle"].value
    flat = angle < least
    refused = f"No lift: {angle:g}° is flatter than {least:g}°. " if flat else ""
    return Answer(
        says=f"{refused}Each leg pulls {both(leg_kg, 'kg', 'lb', 4)}, {factor:.2f} times a straight one.",
        numbers=(
            Told("leg_kg", "Each leg pulls", leg_kg, "kg"),
            Told("factor", "Times a straight leg", factor),
        ),
        besides=(
            "Longer slings or a spreader make it steeper."
            if flat
            else "The tag on the sling says what it may carry at this angle; without a tag, no lift.",
        ),
        may=False if flat else None,
    )


def _scales(first_kg: float, first_m: float, second_kg: float, second_m: float) -> Answer:
    centre_m = weighing.centre_m(first_kg, first_m, second_kg, second_m)
    total_kg = first_kg + second_kg
    return Answer(
        says=f"Her centre of gravity is {both(centre_m, 'm', 'ft', 4)} from the mark, "
        f"and she weighs {both(total_kg, 'kg', 'lb', 4)}.",
        numbers=(
            Told("centre_m", "Centre of gravity from the mark", centre_m, "m"),
            Told("total_kg", "Weight", total_kg, "kg"),
        ),
        besides=(
            "On a trailer this is boat and trailer together; weigh the trailer alone and take it off.",
            "Level ground, and both scales read before she is moved.",
        ),
    )


def _lift_weight(
    dry_kg: float,
    petrol_l: float,
    diesel_l: float,
    water_l: float,
    gear_kg: float,
    cover_m2: float,
    rain_mm: float,
) -> Answer:
    if cover_m2 < 0 or rain_mm < 0:
        raise ValueError(f"{cover_m2:g} m² of cover, {rain_mm:g} mm of rain; give 0 or more.")
    rain_l = cover_m2 * rain_mm  # a millimetre on a square metre is a litre
    low_kg, high_kg = weighing.lift_weight_kg(dry_kg, petrol_l, diesel_l, water_l + rain_l, gear_kg)
    rain_kg = weighing.water_kg(rain_l)
    return Answer(
        says=f"Count on {both(high_kg, 'kg', 'lb', 4)}; she may be as light as "
        f"{both(low_kg, 'kg', 'lb', 4)}.",
        numbers=(
            Told("high_kg", "Weight, at most", high_kg, "kg"),
            Told("low_kg", "Weight, at least", low_kg, "kg"),
            Told("rain_kg", "Rain on her cover", rain_kg, "kg"),
        ),
        besides=(
            *([f"{both(rain_kg, 'kg', 'lb')} of it is rain: let it off first."] * (rain_l > 0)),
            "Only a scale or the lift's own load cell knows; wet foam and an old repair don't show.",
        ),
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
    Sum(
        name="sling-angle",
        subject=Subject.LIFTING,
        title="Slanting sling",
        question="How hard does each leg of a slanting sling pull?",
        fields=(SHARE, LEG),
        work=_sling_angle,
        picture=swept(_sling_angle, LEG, 15.0, 90.0, "leg_kg"),
        formula="pull of a leg = what the sling carries ÷ (2 × sin of its angle)",
        holds="Two legs that slant alike. Under 30° from the horizontal it is a sum but no lift. "
        "Bridles of three or four legs can hang on two of them.",
        rests_on=(
            "lifting/least_sling_angle",
            "lifting/sling_tension_factor",
            "lifting/more_than_two_legs",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="scales",
        subject=Subject.LIFTING,
        title="Two scales",
        question="Where is her centre of gravity, by what two scales show?",
        fields=(FIRST, FIRST_AT, SECOND, SECOND_AT),
        work=_scales,
        picture=swept(_scales, SECOND, 0.0, 2000.0, "centre_m"),
        formula="centre = (first × its place + second × its place) ÷ (first + second)",
        holds="Statics, both places from one mark. Fuel and gear aboard as she will be lifted.",
        rests_on=("lifting/wet_foam",),
        caution=CAUTION,
    ),
    Sum(
        name="lift-weight",
        subject=Subject.LIFTING,
        title="Weight in the slings",
        question="What does she weigh in the slings, with all that is in her?",
        fields=(DRY, PETROL, DIESEL, WATER, GEAR, COVER, RAIN),
        work=_lift_weight,
        picture=swept(_lift_weight, WATER, 0.0, 1000.0, "high_kg", "low_kg"),
        formula="weight = dry weight × 1.10 to 1.20 + fuel + water + gear + rain on the cover",
        holds="A guess from the maker's dry weight; a weighed boat needs none. Petrol 6.1 lb a "
        "US gallon or 0.74 kg/L, diesel 7.0 to 7.1 lb, water 8.34 lb: the heavier for the most.",
        rests_on=(
            "lifting/dry_weight_growth",
            "lifting/dry_weight_growth_low",
            "fuel/petrol_weighs",
            "fuel/diesel_weighs",
            "lifting/water_weight",
        ),
        caution=CAUTION,
    ),
)
