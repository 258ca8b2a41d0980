"""Antifreeze: how strong, where it freezes, how much of it, and what proves it."""

from yardwright import refdata
from yardwright.calc import antifreeze as calc
from yardwright.calc.antifreeze import FreezePoint, Glycol
from yardwright.calc.units import convert
from yardwright.sums.field import Choice, Number
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import temperature

CAUTION = (
    "Antifreeze poisons people and animals: wipe up spills, keep it off the ground and out of "
    "drains. Never ethylene glycol in drinking water. The engine maker's manual goes first."
)
OUTLET = "The refractometer at the outlet decides, not this sum."

GLYCOL = Choice(
    key="glycol",
    label="Made from",
    example="propylene",
    otherwise="propylene",
    options={"propylene": "Propylene glycol", "ethylene": "Ethylene glycol"},
)
WATER = Number(key="water_l", label="Water left behind", example="3 L", unit="L")
FLUID = Number(key="fluid_l", label="Fluid pushed in", example="9 L", unit="L")
PERCENT = Number(key="percent", label="Its glycol, by volume", example="30 %", unit="%")
WANT = Number(key="want_percent", label="Glycol wanted, by volume", example="30 %", unit="%")
NIGHT = Number(key="low_c", label="Coldest night", example="-20 °C", unit="°C")
MARGIN = Number(
    key="margin",
    label="Margin below it, in degrees C",
    example="5",
    otherwise=f"{refdata.table('antifreeze')['margin_below_the_coldest_night'].value:g}",
    unit="",
    hint="the yard's own",
)
WHERE = Choice(
    key="where",
    label="It stands in",
    example="engine",
    options={
        "engine": "An engine block or cooler, with no room to expand",
        "hoses": "Vented hoses and traps of drinking water",
    },
)
BURST = Number(
    key="burst_c",
    label="The jug's burst rating",
    example="-50 °F",
    unit="°C",
    hint="what a jug's big number means",
    may_be_empty=True,
)
READING = Number(key="reading_c", label="It reads", example="-20 °C", unit="°C")
SCALE = Choice(
    key="scale",
    label="On the scale of",
    example="propylene",
    options={"propylene": "Propylene glycol", "ethylene": "Ethylene glycol"},
)
KIND = Choice(
    key="fluid",
    label="The fluid is",
    example="propylene",
    options={
        "propylene": "Propylene glycol",
        "ethylene": "Ethylene glycol",
        "ethanol": "A blend with ethanol",
        "unknown": "Not known",
    },
)
SAMPLE_C = Number(key="sample_c", label="The sample's temperature", example="15 °C", unit="°C")
TAKEN = Choice(
    key="taken",
    label="The sample was taken",
    example="outlet",
    options={"outlet": "At the outlet, after pushing through", "elsewhere": "Anywhere else"},
)


def _mix(water_l: float, fluid_l: float, percent: float, glycol: str) -> Answer:
    mixed = calc.mixed_percent([(water_l, 0.0), (fluid_l, percent)])
    point = calc.freeze_point(mixed, Glycol(glycol))
    return Answer(
        says=f"{mixed:.1f} %, freezing near {point.promised_c:.1f} °C.",
        numbers=(Told("percent", "Glycol in the whole", mixed, "%"), *_told(point)),
        besides=(*_side_by_side(point), OUTLET),
    )


def _freeze_point(
    glycol: str, percent: float, where: str, low_c: float, margin: float, burst_c: float | None
) -> Answer:
    _check_margin(margin)
    point = calc.freeze_point(percent, Glycol(glycol))
    must_c = low_c - margin
    holds = point.promised_c <= must_c
    besides = [*_side_by_side(point)]
    by_burst = burst_c is not None and burst_c <= must_c
    may: bool | None = holds
    if burst_c is not None:
        besides.append(
            f"{temperature(burst_c)} on the jug is where its undiluted fluid bursts a pipe, by no agreed "
            "test; ice forms long before."
        )
    if not holds and by_burst and where == "hoses":
        may = None
        besides.append(
            "By its burst rating only, and only undiluted: owner and yard must agree in writing."
        )
    if not holds and where == "engine":
        besides.append("An engine is judged by the freezing point; no burst rating helps it.")
    poison = where == "hoses" and glycol == Glycol.ETHYLENE
    if poison:
        may = False
    word = "holds" if holds else "does not hold"
    return Answer(
        says=f"{'Never ethylene glycol in drinking water: it poisons. ' * poison}"
        f"{percent:g} % {glycol} glycol freezes at {temperature(point.promised_c)}: it {word} for "
        f"a night of {temperature(low_c)} with a margin of {margin:g} °C.",
        numbers=_told(point),
        besides=(*besides, OUTLET),
        may=may,
    )


def _push_in(water_l: float, percent: float, want_percent: float, glycol: str) -> Answer:
    litres = calc.litres_to_push(water_l, percent, want_percent)
    point = calc.freeze_point(want_percent, Glycol(glycol))
    return Answer(
        says=f"Push in {litres:.2f} L ({convert(litres, 'L', 'gal'):.2f} gal) of {percent:g} % "
        f"to make {want_percent:g} %, freezing near {temperature(point.promised_c)}.",
        numbers=(Told("litres", "Push in", litres, "L"), *_told(point)),
        besides=(*_side_by_side(point), "Push on until the outlet reads right.", OUTLET),
    )


def _need(low_c: float, margin: float, glycol: str) -> Answer:
    _check_margin(margin)
    percent = calc.strength_needed_percent(low_c - margin, Glycol(glycol))
    point = calc.freeze_point(percent, Glycol(glycol))
    return Answer(
        says=f"{percent:.1f} % {glycol} glycol by volume at the outlet, for a night of "
        f"{temperature(low_c)} with a margin of {margin:g} °C.",
        numbers=(Told("percent", "Glycol needed", percent, "%"), *_told(point)),
        besides=(
            *_side_by_side(point),
            "By freezing, as an engine is judged; a burst rating is no freezing point.",
            OUTLET,
        ),
    )


def _refractometer(
    reading_c: float, scale: str, fluid: str, sample_c: float, taken: str, low_c: float
) -> Answer:
    doubts = _doubts(scale, fluid, sample_c, taken)
    margin = refdata.table("antifreeze")["margin_below_the_coldest_night"].value
    must_c = low_c - margin
    percent = calc.read_percent(reading_c, Glycol(scale))
    holds = reading_c <= must_c
    may = False if not holds and fluid == scale else None if doubts else True
    if doubts:
        says = f"Not proven: it reads {temperature(reading_c)}, but {doubts[0]}."
    else:
        word = "good" if holds else "not good"
        says = (
            f"Freezes at {temperature(reading_c)}: {word} for a night of {temperature(low_c)} with a margin "
            f"of {margin:g} °C."
        )
    known = ("It is too weak even if the reading is right.",) if doubts and not holds else ()
    return Answer(
        says=says,
        numbers=(
            *_maybe("percent", "Glycol, by that scale", percent, "%"),
            Told("must_c", "Must freeze at or below", must_c, "°C"),
        ),
        besides=(
            *known,
            *(["By that scale under 10 % glycol: how much is not known."] * (percent is None)),
            *(f"Also, {doubt}." for doubt in doubts[1:]),
        ),
        may=may,
        not_known=may is None,
    )


def _doubts(scale: str, fluid: str, sample_c: float, taken: str) -> list[str]:
    rows = refdata.table("antifreeze")
    coldest_c = rows["refractometer_coldest_c"].value
    warmest_c = rows["refractometer_warmest_c"].value
    doubts = []
    if fluid == "ethanol":
        doubts.append("a blend with ethanol can't be read by refractometer")
    elif fluid == "unknown":
        doubts.append("nobody knows what the fluid is made from")
    elif fluid != scale:
        doubts.append(f"the fluid is {fluid} glycol and the scale that of {scale} glycol")
    if not coldest_c <= sample_c <= warmest_c:
        doubts.append(
            f"the sample is at {temperature(sample_c)}, outside {coldest_c:g} to {warmest_c:g} °C, "
            "where the instrument corrects for temperature"
        )
    if taken != "outlet":
        doubts.append("the sample was not taken at the outlet: poured, not proven")
    return doubts


def _told(point: FreezePoint) -> tuple[Told, ...]:
    return (
        Told("freezes_at_c", "Freezes at", point.promised_c, "°C"),
        *_maybe("handbook_c", "By the handbook", point.handbook_c, "°C"),
        *_maybe("coolprop_c", "By CoolProp", point.coolprop_c, "°C"),
    )


def _maybe(key: str, label: str, value: float | None, unit: str) -> tuple[Told, ...]:
    return () if value is None else (Told(key, label, value, unit),)


def _side_by_side(point: FreezePoint) -> tuple[str, ...]:
    if point.manual_c is not None:
        return (
            f"By CoolProp {point.coolprop_c:.1f} °C; an engine manual prints {point.manual_c:.1f} "
            "°C and says neither volume nor mass. The engine's own manual goes first.",
        )
    if point.handbook_c is None:
        return (f"By CoolProp alone, {point.coolprop_c:.1f} °C; the handbook has no such row.",)
    if point.coolprop_c is None:
        return (f"By the handbook alone, {point.handbook_c:.1f} °C; CoolProp begins at 10 %.",)
    return (
        f"Handbook {point.handbook_c:.1f} °C, CoolProp {point.coolprop_c:.1f} °C: "
        "the warmer is promised.",
    )


def _check_margin(margin: float) -> None:
    if not 0 <= margin <= 30:
        raise ValueError(f"margin is {margin:g}; give degrees C below the coldest night, 0 to 30.")


SUMS = (
    Sum(
        name="mix",
        subject=Subject.ANTIFREEZE,
        title="Mix",
        question="How strong is antifreeze after it mixed with the water left behind?",
        fields=(WATER, FLUID, PERCENT, GLYCOL),
        work=_mix,
        picture=swept(_mix, FLUID, 0.0, 20.0, "freezes_at_c"),
        formula="glycol = litres of fluid × its glycol ÷ (litres of fluid + litres of water)",
        holds="Well mixed, by volume, without inhibitor, up to 60 %. Fluid follows the way that "
        "lets it through, and water hides in low places.",
        rests_on=(
            "antifreeze/propylene_glycol_freezes",
            "antifreeze/ethylene_glycol_freezes",
            "antifreeze/dilution",
            "antifreeze/the_outlet_decides",
            "antifreeze/where_water_hides",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="freeze-point",
        subject=Subject.ANTIFREEZE,
        title="Where it freezes",
        question="Where does this strength freeze, does it hold for the coldest night, and what "
        "is the jug's burst rating worth?",
        fields=(GLYCOL, PERCENT, WHERE, NIGHT, MARGIN, BURST),
        work=_freeze_point,
        picture=swept(_freeze_point, PERCENT, 0.0, 60.0, "freezes_at_c"),
        formula="freezes at = the warmer of handbook and CoolProp; it holds when that is at or "
        "below the coldest night less the margin",
        holds="First crystals, by volume, without inhibitor: propylene glycol 0 to 60 %, ethylene "
        "10 to 60 %. The maker's own protection table goes before both.",
        rests_on=(
            "antifreeze/propylene_glycol_freezes",
            "antifreeze/handbook_is_for_pure_glycol",
            "antifreeze/ethylene_glycol_freezes",
            "antifreeze/strongest_mix_tested",
            "antifreeze/beyond_sixty_percent",
            "antifreeze/freezing_is_not_bursting",
            "antifreeze/an_engine_is_judged_by_freezing",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="push-in",
        subject=Subject.ANTIFREEZE,
        title="Litres to push in",
        question="How many litres bring the water left behind to the strength wanted?",
        fields=(
            WATER,
            Number(key="percent", label=PERCENT.label, example="50 %", unit="%"),
            WANT,
            GLYCOL,
        ),
        work=_push_in,
        picture=swept(_push_in, WANT, 0.0, 45.0, "litres"),
        formula="litres = water × wanted ÷ (fluid's glycol − wanted)",
        holds="All of it mixes and none runs out. Pushed through until the outlet reads right, "
        "it takes what it takes.",
        rests_on=(
            "antifreeze/dilution",
            "antifreeze/the_outlet_decides",
            "antifreeze/propylene_glycol_freezes",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="antifreeze-need",
        subject=Subject.ANTIFREEZE,
        title="Strength for the coldest night",
        question="How strong must antifreeze be for the coldest night of the yard?",
        fields=(NIGHT, MARGIN, GLYCOL),
        work=_need,
        picture=swept(_need, NIGHT, -45.0, 0.0, "percent"),
        formula="glycol = the weakest that freezes at or below the coldest night less the margin",
        holds="By freezing point and the more cautious source, up to 60 % by volume.",
        rests_on=(
            "antifreeze/margin_below_the_coldest_night",
            "antifreeze/an_engine_is_judged_by_freezing",
            "antifreeze/propylene_glycol_freezes",
            "antifreeze/strongest_mix_tested",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="refractometer",
        subject=Subject.ANTIFREEZE,
        title="Refractometer reading",
        question="Does a refractometer reading prove this antifreeze for the coldest night?",
        fields=(READING, SCALE, KIND, SAMPLE_C, TAKEN, NIGHT),
        work=_refractometer,
        picture=swept(_refractometer, READING, -50.0, -1.0, "percent"),
        formula="proven when fluid and scale are the same, the sample is at 10 to 30 °C and from "
        "the outlet, and it reads at or below the coldest night less the margin",
        holds="A glycol without ethanol, on its own scale, that never froze in part.",
        rests_on=(
            "antifreeze/refractometer_scale",
            "antifreeze/freezing_robs_the_fluid",
            "antifreeze/the_outlet_decides",
            "antifreeze/margin_below_the_coldest_night",
        ),
        caution=CAUTION,
    ),
)
