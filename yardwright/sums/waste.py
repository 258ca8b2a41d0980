"""Waste: a month's class, room for oil, and when spent batteries must have gone."""

from collections.abc import Mapping
from datetime import date
from typing import cast

from yardwright import refdata
from yardwright.calc import expiry, fuel, waste
from yardwright.calc.units import convert
from yardwright.papers.drawing import Drawing
from yardwright.sums.field import Day, Number, Numbers, Value
from yardwright.sums.sketch import Mark, along, until
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import both, day_words, last_day

NO_LAWYER = "No legal advice: the state may be stricter, and the text of the year counts."
DRUM_GAL = 55

KG = Number(
    key="kg",
    label="Hazardous waste this month",
    example="60 kg",
    unit="kg",
    hint="solvents, rags, paint, bad coolant; not used oil that is recycled",
)
ACUTE = Number(
    key="acute_kg", label="Acutely hazardous", example="0 kg", unit="kg", otherwise="0 kg"
)
PETROL = Number(
    key="petrol_l", label="Bad petrol besides", example="0 L", unit="L", otherwise="0 L"
)
HELD = Number(
    key="held_kg", label="All that is on the ground", example="300 kg", unit="kg", may_be_empty=True
)
DRUMS = Number(
    key="drums",
    label="Oil drums of 55 gallons",
    example="6",
    unit="",
    otherwise="0",
    hint="full or empty",
)
TANKS = Numbers(
    key="tanks_l",
    label="Other oil containers, each",
    example="275 500 gal",
    unit="L",
    hint="their whole room; under 55 gallons does not count",
    may_be_empty=True,
)
ASIDE = Day(key="aside", label="The day it became waste", example="2025-11-03")
ON = Day(key="on", label="Today, or the day that counts", example="2026-09-01")


def _waste(kg: float, acute_kg: float, petrol_l: float, held_kg: float | None) -> Answer:
    if petrol_l < 0 or (held_kg is not None and held_kg < 0):
        raise ValueError("petrol and what is held can't be less than nothing; give 0 or more.")
    petrol_kg = fuel.weight_kg(petrol_l, diesel=False).high_kg
    total_kg = kg + petrol_kg
    kind = waste.generator(total_kg, acute_kg)
    most_kg, left_kg = waste.may_hold_kg(kind), _left_kg(total_kg, kind)
    over = held_kg is not None and most_kg is not None and held_kg > most_kg
    days = _days(kind)
    return Answer(
        says=f"{both(total_kg, 'kg', 'lb')} this month: {kind}.",
        numbers=(
            Told("total_kg", "This month", total_kg, "kg"),
            Told("petrol_kg", "Of it bad petrol, at most", petrol_kg, "kg"),
            *([Told("left_kg", "Left until the next class", left_kg, "kg")] if left_kg else []),
        ),
        besides=(
            *(
                [f"It may hold {both(most_kg, 'kg', 'lb')} on its ground."]
                if most_kg is not None
                else []
            ),
            *([f"Held, {both(held_kg or 0, 'kg', 'lb')}, is too much: have it fetched."] * over),
            *([days] if days else []),
            "The class is found anew each month. Used oil that is recycled, and batteries that are "
            "reclaimed, don't count.",
        ),
        may=False if over else None,
    )


def _left_kg(total_kg: float, kind: waste.Generator) -> float | None:
    row = {waste.Generator.SMALLEST: "smallest_up_to", waste.Generator.SMALL: "large_from"}.get(
        kind
    )
    return None if row is None else refdata.table("waste")[row].value - total_kg


def _days(kind: waste.Generator) -> str:
    rows = refdata.table("waste")
    match kind:
        case waste.Generator.SMALLEST:
            return ""
        case waste.Generator.SMALL:
            far = rows["small_days_far"].value
            return f"Gone within {rows['small_days'].value:g} days, {far:g} if over 200 miles."
        case waste.Generator.LARGE:
            return f"Gone within {rows['large_days'].value:g} days."


def _oil_storage(drums: float, tanks_l: tuple[float, ...] | None) -> Answer:
    if not (0 <= drums <= 1000 and drums == int(drums)):
        raise ValueError(f"{drums:g} drums; give a whole number, 0 to 1000.")
    drum_l = convert(DRUM_GAL, "gal", "L")
    oil_l = waste.counted_oil_l([*[drum_l] * int(drums), *(tanks_l or ())])
    plan = waste.needs_spill_plan(oil_l)
    most_gal = refdata.table("waste")["oil_storage_up_to"].value
    gal = convert(oil_l, "L", "gal")
    than = "more than" if plan else "not more than"
    return Answer(
        says=f"Room for {both(oil_l, 'L', 'gal', 4)} counts, {than} {most_gal:,.0f} gal: "
        f"{'a spill plan is needed.' if plan else 'no spill plan by this rule.'}",
        numbers=(
            Told("oil_l", "Room that counts", oil_l, "L"),
            Told("oil_gal", "Room that counts", gal, "gal"),
            Told("left_gal", "Left until a plan is needed", most_gal - gal, "gal"),
        ),
        besides=(
            "An empty drum counts like a full one; fuel tanks above ground count too.",
            "Buried tanks have a bound of their own, 42,000 gal.",
        ),
        may=False if plan else None,
    )


def _battery_waste(aside: date, on: date) -> Answer:
    by = expiry.battery_leaves_by(aside)
    late = on > by
    says = f"It must leave by {day_words(by)}."
    return Answer(
        says=f"{says} That day is past: have it fetched now." if late else says,
        numbers=last_day(by, on),
        besides=(
            "The day it became waste stands on it, on its box or in the log. Marked 'Used Battery'; "
            "a leaker in a closed sound box.",
        ),
        may=not late,
    )


def _waste_sketch(values: Mapping[str, Value]) -> Drawing:
    answer = _waste(**values)  # type: ignore[arg-type]  # the fields are its own
    rows = refdata.table("waste")
    small, large = rows["smallest_up_to"].value, rows["large_from"].value
    marks = [
        Mark(0, "0"),
        Mark(small, f"over {small:g} kg: small"),
        Mark(large, f"{large:g} kg: large"),
    ]
    total = answer["total_kg"]
    return along("picture", marks, Mark(total, both(total, "kg", "lb")), answer.says)


def _oil_sketch(values: Mapping[str, Value]) -> Drawing:
    answer = _oil_storage(**values)  # type: ignore[arg-type]  # the fields are its own
    most = refdata.table("waste")["oil_storage_up_to"].value
    marks = [Mark(0, "0"), Mark(most, f"over {most:,.0f} gal: a spill plan")]
    here = answer["oil_gal"]
    return along("picture", marks, Mark(here, both(answer["oil_l"], "L", "gal", 4)), answer.says)


def _battery_sketch(values: Mapping[str, Value]) -> Drawing:
    aside, on = cast(date, values["aside"]), cast(date, values["on"])
    by = expiry.battery_leaves_by(aside)
    return until((aside, f"set aside {day_words(aside)}"), by, on, _battery_waste(aside, on).says)


SUMS = (
    Sum(
        name="waste",
        subject=Subject.PAPERS,
        title="Waste of a month",
        question="What does this month's hazardous waste make of the yard?",
        fields=(KG, ACUTE, PETROL, HELD),
        work=_waste,
        picture=_waste_sketch,
        formula="up to 100 kg very small; over 100 and under 1000 kg small; 1000 kg and more, or "
        "over 1 kg acute, large",
        holds="EPA's page on 40 CFR 262, read 2026. One calendar month, one place. Petrol at the "
        f"heavier of 6.1 lb a gallon and 0.74 kg/L. {NO_LAWYER}",
        rests_on=(
            "waste/smallest_up_to",
            "waste/large_from",
            "waste/acute_up_to",
            "waste/smallest_holds",
            "waste/small_holds",
            "waste/small_days",
            "waste/large_days",
            "waste/bad_petrol",
            "fuel/petrol_weighs",
        ),
        caution="Petrol and solvent vapour burns: closed metal cans, outside, no spark.",
    ),
    Sum(
        name="oil-storage",
        subject=Subject.PAPERS,
        title="Room for oil",
        question="Does the yard's oil need a spill plan?",
        fields=(DRUMS, TANKS),
        work=_oil_storage,
        picture=_oil_sketch,
        formula="sum of containers of 55 gallons and more; over 1,320 gallons a plan",
        holds="40 CFR 112.1(d) as of 2015: above ground, where oil could reach navigable water. "
        f"{NO_LAWYER}",
        rests_on=(
            "waste/oil_storage_up_to",
            "waste/oil_container_from",
            "waste/oil_buried_up_to",
            "waste/used_oil_marked",
        ),
    ),
    Sum(
        name="battery-waste",
        subject=Subject.PAPERS,
        title="Spent batteries",
        question="By when must a spent battery have left?",
        fields=(ASIDE, ON),
        work=_battery_waste,
        picture=_battery_sketch,
        formula="the day it became waste + 1 year",
        holds="40 CFR 273 as of 2015, small handlers. Lead batteries that go to reclaim may follow "
        f"another part. {NO_LAWYER}",
        rests_on=("waste/battery_life", "waste/battery_marked", "waste/battery_reclaimed"),
        caution="Acid burns: goggles and gloves. Poles taped, on edge never, under a roof.",
    ),
)
