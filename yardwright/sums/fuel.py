"""Fuel over a winter: water in it, its age, its weight."""

from collections.abc import Mapping
from datetime import date, timedelta

from yardwright import refdata
from yardwright.calc import fuel as calc
from yardwright.calc.fuel import Kind, Verdict
from yardwright.calc.units import convert
from yardwright.papers.chart import Line, chart
from yardwright.papers.drawing import Drawing
from yardwright.sums.field import Choice, Day, Number, Value, sources
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import temperature

_BURNS_FROM = refdata.table("fuel")["petrol_vapour_burns_from"].value
CAUTION = (
    f"Petrol vapour is heavier than air and explodes from {_BURNS_FROM:g} % of it: no spark, no smoking, battery "
    "off, extinguisher at hand; blower four minutes and sniff before anything is switched. Fuel "
    "drained is hazardous waste. The engine's own book goes first."
)

FUEL = Number(key="fuel_l", label="Fuel in the tank", example="25 gal", unit="L")
WARM = Number(key="warm_c", label="Warmest it was", example="60 °F", unit="°C")
COLD = Number(key="cold_c", label="Coldest it will be", example="20 °F", unit="°C")
FOUND = Number(
    key="found_l",
    label="Water known to be in it",
    example="0.1 L",
    unit="L",
    hint="rained or spilled in; a layer in a sample is too much already",
    may_be_empty=True,
)
HOLDS_BY = sources("What E10 holds", "fuel", "e10_holds_water")


def _water(fuel_l: float, warm_c: float, cold_c: float, found_l: float | None, by: str) -> Answer:
    held_l = calc.water_held_l(fuel_l, cold_c, by)
    freed_l = calc.water_freed_l(fuel_l, warm_c, cold_c, by)
    doubtful_l = calc.doubtful_water_l(fuel_l)
    follows = isinstance(refdata.rows("fuel")[by], refdata.Curve)
    tell = (
        f"Full up when warm, cooling frees {_small(freed_l)} with ethanol in it."
        if follows
        else "This source has one number for all temperatures; cold fuel holds less than warm."
    )
    may: bool | None = None
    if found_l is None:
        water = "How much water is in it is not known: draw a sample from the lowest point."
    elif found_l < 0:
        raise ValueError(f"water found is {found_l:g} L; give 0 or more.")
    else:
        much = found_l >= min(doubtful_l, held_l)
        may = False if much else None
        water = (
            f"{_small(found_l)} is below the {_small(doubtful_l)} where the yard takes it for "
            "separated: not known until a clear sample is drawn from the lowest point."
            if not much
            else f"{_small(found_l)} is too much: take it for separated, and drain it."
        )
    return Answer(
        says=f"{fuel_l:.0f} L ({convert(fuel_l, 'L', 'gal'):.0f} gal) of E10 hold "
        f"{_small(held_l)} of water at {temperature(cold_c, 0)}.",
        numbers=(
            Told("held_l", "It holds", held_l, "L"),
            *([Told("freed_l", "Cooling frees", freed_l, "L")] * follows),
            Told("doubtful_l", "Taken for separated from", doubtful_l, "L"),
        ),
        besides=(tell, water, "A layer that is found is drained, never treated."),
        may=may,
    )


FILLED = Day(key="filled", label="Last fill", example="2030-09-20")
TODAY = Day(key="today", label="Asked on", example="2031-04-10")
KIND = Choice(
    key="kind",
    label="Fuel",
    example="e10",
    options={
        "e10": "Petrol with ethanol",
        "e0": "Petrol without ethanol",
        "diesel": "Diesel",
        "unknown": "Petrol, not known which",
    },
)
STABILISED = Choice(
    key="stabilised",
    label="Stabiliser, dosed fresh and run through to the engine",
    example="unknown",
    options={"yes": "Yes, both", "no": "No", "unknown": "Not known, or not run through"},
)


def _age(filled: date, today: date, kind: str, stabilised: str) -> Answer:
    days = calc.age_days(filled, today)
    fuel = Kind.E10 if kind == "unknown" else Kind(kind)
    verdict = calc.aged(fuel, days, stabilised == "yes")
    besides = []
    if kind == "unknown":
        besides.append("Which petrol is not known: judged as with ethanol.")
    if stabilised == "unknown":
        besides.append("Stabiliser is not known: judged as without.")
    if fuel is Kind.DIESEL:
        besides.append("Diesel goes by water and growth: drain the separator, look, biocide.")
    says = {
        Verdict.FIT: "fit, if it looks clear and smells right",
        Verdict.OWNER: "the owner decides, with the yard's advice",
        Verdict.DRAIN: "drain it",
    }[verdict]
    may = {Verdict.FIT: True, Verdict.OWNER: None, Verdict.DRAIN: False}[verdict]
    return Answer(
        says=f"{days} days old: {says}.",
        numbers=(Told("days", "Age", float(days)),),
        besides=(*besides, "A layer of water at the lowest point: drain, whatever its age."),
        may=may,
    )


def _age_drawn(values: Mapping[str, Value]) -> Drawing:
    filled, today = values["filled"], values["today"]
    assert isinstance(filled, date)  # noqa: S101  (Day fields give nothing else)
    assert isinstance(today, date)  # noqa: S101
    answer = _age(filled, today, str(values["kind"]), str(values["stabilised"]))
    ages = tuple(float(day) for day in range(0, max(400, int(answer["days"]) + 30), 2))
    heights = {True: 2.0, None: 1.0, False: 0.0}

    def height(days: float) -> float:
        day = filled + timedelta(days=days)
        return heights[_age(filled, day, str(values["kind"]), str(values["stabilised"])).may]

    line = Line(ages, tuple(height(days) for days in ages))
    titles = ("Days since the last fill", "2 fit, 1 owner decides, 0 drain")
    return chart("picture", [line], titles, [(answer["days"], heights[answer.may])], answer.says)


WEIGHED = Choice(
    key="kind",
    label="Fuel",
    example="petrol",
    options={"petrol": "Petrol", "diesel": "Diesel"},
)


def _weight(fuel_l: float, kind: str) -> Answer:
    weight = calc.weight_kg(fuel_l, kind == "diesel")
    low_lb, high_lb = (convert(kg, "kg", "lb") for kg in (weight.low_kg, weight.high_kg))
    return Answer(
        says=f"{fuel_l:.0f} L ({convert(fuel_l, 'L', 'gal'):.0f} gal) of {kind} weigh "
        f"{weight.low_kg:.0f} to {weight.high_kg:.0f} kg ({low_lb:.0f} to {high_lb:.0f} lb).",
        numbers=(
            Told("kg", "At most", weight.high_kg, "kg"),
            Told("low_kg", "At least", weight.low_kg, "kg"),
            Told("low_lb", "At least", low_lb, "lb"),
            Told("lb", "At most", high_lb, "lb"),
        ),
        besides=("For a lift take the heavier; a gauge in a boat on stands is a guess.",),
    )


def _small(litres: float) -> str:
    return f"{litres:.3f} L ({convert(litres, 'L', 'fl oz'):.1f} fl oz)"


SUMS = (
    Sum(
        name="fuel-water",
        subject=Subject.ENGINE,
        title="Water in petrol with ethanol",
        question="How much water does this tank of E10 hold, and what does a cold night free?",
        fields=(FUEL, WARM, COLD, FOUND, HOLDS_BY),
        work=_water,
        picture=swept(_water, FUEL, 0.0, 400.0, "held_l", "doubtful_l"),
        formula="held = gallons × teaspoons a gallon (2.8 at 20 °F to 3.8 at 60 °F) ÷ 768",
        holds="Petrol with 10 % ethanol from 20 to 60 °F, a straight line between two printed "
        "numbers. Fuel that took up less water when warm frees less.",
        rests_on=("fuel/e10_holds_water", "fuel/e10_doubtful", "fuel/separated_fuel"),
        caution=CAUTION,
    ),
    Sum(
        name="fuel-age",
        subject=Subject.ENGINE,
        title="Age of fuel",
        question="Is fuel of this age fit, or is it drained?",
        fields=(FILLED, TODAY, KIND, STABILISED),
        work=_age,
        picture=_age_drawn,
        formula="E10 fit to 60 days, owner decides to 90; without ethanol 183; stabilised 365",
        holds="Fuel from a pump in a closed tank. Diesel goes by water and growth, not by days.",
        rests_on=(
            "fuel/e10_keeps",
            "fuel/e10_keeps_at_most",
            "fuel/e0_keeps",
            "fuel/stabilised_keeps",
            "fuel/diesel_keeps",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="fuel-weight",
        subject=Subject.ENGINE,
        title="Weight of fuel",
        question="What does the fuel in a tank weigh?",
        fields=(FUEL, WEIGHED),
        work=_weight,
        picture=swept(_weight, FUEL, 0.0, 400.0, "kg", "low_kg"),
        formula="petrol 6.1 lb/gal or 0.74 kg/L; diesel 7.0 to 7.1 lb/gal",
        holds="Near 15 °C; cold fuel is a little heavier.",
        rests_on=("fuel/petrol_weighs", "fuel/diesel_weighs"),
        caution=CAUTION,
    ),
)
