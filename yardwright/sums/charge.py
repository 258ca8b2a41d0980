"""A battery's charge: hydrometer, rest volts, frost, standing, charging."""

from yardwright.calc import charge as calc
from yardwright.calc import charging
from yardwright.calc.charge import Kind
from yardwright.sums.field import Choice, Number, sources
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import temperature

CAUTION = (
    "Battery acid burns and its gas explodes: goggles and gloves, air, no spark or flame; water at "
    "hand. A tool across the posts is a short circuit: rings off, negative off first and on last. "
    "The battery maker's sheet goes first."
)
FROZEN = "A frozen battery is never charged or cranked: it can burst. Thaw it, then test it."

GRAVITY = Number(
    key="sg",
    label="Specific gravity, lowest cell",
    example="1.235",
    unit="",
    hint="as the hydrometer shows it",
)
ACID = Number(key="temp_c", label="Temperature of the acid", example="40 °F", unit="°C")
BATTERY = Number(key="temp_c", label="Temperature of the battery", example="5 °C", unit="°C")
NIGHT = Number(key="night_c", label="Coldest it gets", example="-20 °C", unit="°C")
CHART = sources("Chart of charge", "batteries", "charge_by_sg")
VOLTS = Number(key="volts_v", label="Volts at rest", example="12.45 V", unit="V")
WITHIN = Number(
    key="within_v", label="The meter may be off by", example="0.05 V", otherwise="0.05 V", unit="V"
)
RESTED = Number(
    key="rested_h",
    label="Rested since charge or load",
    example="8 h",
    unit="h",
    hint="hours with nothing drawn",
)
KIND = Choice(
    key="kind",
    label="Kind of battery",
    example="flooded",
    options={
        Kind.FLOODED: "flooded lead-acid",
        Kind.AGM: "absorbed mat (AGM)",
        Kind.LIFEPO4: "LiFePO4, four cells",
    },
)
STANDING = Choice(
    key="kind",
    label="Kind of battery",
    example="flooded",
    options={**KIND.options, Kind.UNKNOWN: "lead-acid of unknown build and age"},
)
PERCENT = Number(key="percent", label="Charge now", example="100 %", unit="%")
MONTHS = Number(key="months", label="Months it stands", example="5", unit="")
STORE = Number(key="temp_c", label="Temperature where it stands", example="0 °C", unit="°C")
KEEP = Number(
    key="keep_percent",
    label="Charge again before it falls to",
    example="75 %",
    otherwise="75 %",
    unit="%",
)
SHEET = Number(
    key="sheet_v",
    label="Charging volts at 25 °C",
    example="14.4 V",
    unit="V",
    hint="from the battery's own sheet",
)
CELLS = Choice(
    key="nominal",
    label="Battery",
    example="12",
    options={"6": "6 V, three cells", "12": "12 V, six cells", "24": "24 V, twelve cells"},
)
PER_DEGREE = sources("Volts for each degree", "batteries", "charge_volts_per_degc")


def _charge(sg: float, temp_c: float, by: str) -> Answer:
    gravity = calc.gravity_at_80_f(sg, temp_c)
    percent, span = calc.charge_percent(gravity, by), calc.charge_span(gravity)
    least = int(round(span.low, 6))
    return Answer(
        says=f"{percent:.0f} % charged by its chart: {gravity:.3f} at 80 °F (26.7 °C). By any chart "
        f"{least} to {span.high:.0f} %; count on {least} % unless its chart is known.",
        numbers=(
            Told("percent", "Charge, by its chart", percent, "%"),
            Told("percent_low", "Charge, at least, by any chart", span.low, "%"),
            Told("percent_high", "Charge, at most, by any chart", span.high, "%"),
            Told("gravity", "Specific gravity at 80 °F", gravity),
        ),
        besides=(
            "The lowest cell counts. A battery just filled or charged is not mixed yet: wait.",
        ),
    )


def _rest_volts(
    kind: str, volts_v: float, within_v: float, temp_c: float, rested_h: float
) -> Answer:
    span = calc.rest_charge(volts_v, Kind(kind), temp_c, within_v)
    doubts = [*_not_rested(kind, rested_h)]
    if kind == Kind.LIFEPO4 and calc.volts_prove_nothing(volts_v, within_v):
        doubts.append(
            "Not proven: from 12.9 to 13.3 V its volts hardly move. Read its own counter, or charge "
            "it full."
        )
    proven = not doubts
    if kind == Kind.LIFEPO4:
        doubts.append("One of its two charts is from memory: nobody has read the page yet.")
    if kind != Kind.FLOODED:
        doubts.append("Not known: what its temperature does to the volts; it is not corrected for.")
    return Answer(
        says=f"{int(span.low)} to {span.high:.0f} % charged"
        f"{f'; count on {int(span.low)} %' if proven else ' by its volts, not proven'}.",
        numbers=(
            Told("percent", "Charge, at least", span.low, "%"),
            Told("percent_high", "Charge, at most", span.high, "%"),
        ),
        besides=tuple(doubts),
    )


def _not_rested(kind: str, rested_h: float) -> list[str]:
    needed_h = calc.rest_hours()
    if rested_h >= needed_h:
        return []
    if kind == Kind.LIFEPO4:
        return [f"Not proven: rested {rested_h:g} h; just charged it reads too high for hours."]
    return [
        f"Not proven: rested {rested_h:g} h of {needed_h:g} h; a surface charge reads too high."
    ]


def _freezes(sg: float, temp_c: float, night_c: float, by: str) -> Answer:
    gravity = calc.gravity_at_80_f(sg, temp_c)
    freezes_c, doubtful_c = calc.freezes_at_c(gravity), calc.freezes_at_c(_weaker(gravity))
    needed = calc.gravity_that_survives(night_c)
    percent = calc.charge_that_survives(night_c, by)
    above_c, doubt_c = round(freezes_c - night_c, 6), round(doubtful_c - night_c, 6)
    may = False if above_c >= 0 else True if doubt_c < 0 else None
    verdict = {True: "survives", False: "freezes in", None: "may freeze in"}[may]
    charged = f"{percent:.0f} % charged" if percent > 0 else "below flat on this chart"
    return Answer(
        says=f"It freezes near {temperature(freezes_c)}: it {verdict} {temperature(night_c)}, which needs "
        f"{needed:.3f}, {charged}.",
        numbers=(
            Told("freezes_at_c", "Freezes at", freezes_c, "°C"),
            Told("gravity_needed", "Specific gravity it needs, at 80 °F", needed),
            Told("percent_needed", "Charge it needs", percent, "%"),
        ),
        besides=(
            *(["Not known: a hydrometer can be 0.005 off, and that decides."] * (may is None)),
            *(
                [
                    "One run right down is weaker than flat on a chart, and freezes sooner: charge it."
                ]
                * (percent <= 0)
            ),
            "It loses charge standing; the lowest cell freezes first.",
            FROZEN,
        ),
        may=may,
        not_known=may is None,
    )


def _weaker(gravity: float) -> float:
    return max(gravity - calc.hydrometer_step(), 1.0)


def _self_discharge(
    kind: str, percent: float, temp_c: float, months: float, keep_percent: float
) -> Answer:
    rate = charging.rate_percent(Kind(kind))
    lost = calc.Span(
        *(charging.lost_percent(each, temp_c, months) for each in (rate.low, rate.high))
    )
    left, most_left = percent - lost.high, percent - lost.low
    again = charging.months_until(percent, keep_percent, rate.high, temp_c)
    if left <= 0:
        says = f"It may be flat before {months:g} months are over"
    else:
        says = f"{int(left)} to {most_left:.0f} % left after {months:g} months"
    return Answer(
        says=f"{says} at {temperature(temp_c)}; charge it again within {again:.1f} months.",
        numbers=(
            *([Told("percent", "Charge left, at least", left, "%")] if left >= 0 else []),
            *([Told("percent_high", "Charge left, at most", most_left, "%")] * (most_left >= 0)),
            Told("again_months", "Months to the next charge", again),
        ),
        besides=(
            "Leads off. What stays on (clock, alarm, its own electronics) is not in this sum.",
            "Read it on every Winter Round all the same: one weak cell goes far faster.",
        ),
        may=left > keep_percent,
    )


def _charge_volts(kind: str, sheet_v: float, nominal: str, temp_c: float, by: str) -> Answer:
    cells = int(nominal) // 2
    if kind == Kind.LIFEPO4:
        charging.check_sheet_v(sheet_v, cells)
        return _lifepo4(sheet_v, temp_c)
    volts_v = charging.charging_v(sheet_v, cells, temp_c, by)
    return Answer(
        says=f"Charge at {volts_v:.2f} V at {temperature(temp_c)}, {volts_v - sheet_v:+.2f} V from its sheet.",
        numbers=(Told("volts_v", "Charging volts", volts_v, "V"),),
        besides=(
            *([FROZEN] * (temp_c < 0)),
            "A charger with its own battery probe does this already: not twice.",
            "What stays connected must bear these volts too: electronics off, or leads off.",
        ),
    )


def _lifepo4(sheet_v: float, temp_c: float) -> Answer:
    if not charging.lifepo4_may_be_charged(temp_c):
        return Answer(
            says=f"Do not charge it: its cells are at {temperature(temp_c)}, below 0 °C (32 °F).",
            besides=("Lithium plates out and ruins it for good. Warm the cells first.",),
            may=False,
        )
    return Answer(
        says=f"Charge at {sheet_v:.2f} V as its sheet says: LiFePO4 takes no correction.",
        numbers=(Told("volts_v", "Charging volts", sheet_v, "V"),),
        may=True,
    )


SUMS = (
    Sum(
        name="charge",
        subject=Subject.BATTERIES,
        title="Charge by hydrometer",
        question="How far is a flooded battery charged, by the specific gravity of its acid?",
        fields=(GRAVITY, ACID, CHART),
        work=_charge,
        picture=swept(_charge, GRAVITY, 1.12, 1.28, "percent", "percent_low"),
        formula="at 80 °F = reading + 0.004 × (°F − 80) ÷ 10; charge by the chart's straight lines",
        holds="Flooded lead-acid, from flat to full on the chart that is named, acid from 0 to "
        "120 °F. A battery full at 1.265 and one full at 1.280 differ by up to 25 %: its own sheet "
        "says which it is. A hydrometer can be 0.005 off, about 4 % of charge.",
        rests_on=("batteries/charge_by_sg", "batteries/hydrometer_correction"),
        caution=CAUTION,
    ),
    Sum(
        name="rest-volts",
        subject=Subject.BATTERIES,
        title="Charge by rest volts",
        question="How far is a 12 V battery charged, by its volts at rest?",
        fields=(KIND, VOLTS, WITHIN, BATTERY, RESTED),
        work=_rest_volts,
        picture=swept(_rest_volts, VOLTS, 11.5, 13.6, "percent", "percent_high"),
        formula="flooded: at 80 °F = volts + 0.024 × (°F − 80) ÷ 10; lowest and highest of its "
        "kind's charts",
        holds="All charts of its kind, and all volts that the meter allows: the lowest is what to "
        "count on. Rested 8 h or more, nothing drawn. Volts say nothing about what it still holds.",
        rests_on=(
            "batteries/rest_volts_flooded",
            "batteries/rest_volts_agm",
            "batteries/rest_volts_lifepo4",
            "batteries/rest_volts_correction",
            "batteries/rest_hours",
            "batteries/lifepo4_flat_from",
            "batteries/lifepo4_flat_to",
            "batteries/lifepo4_full",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="battery-freezes",
        subject=Subject.BATTERIES,
        title="Battery in the frost",
        question="Where does a battery freeze, and what charge survives the coldest night?",
        fields=(GRAVITY, ACID, NIGHT, CHART),
        work=_freezes,
        picture=swept(_freezes, GRAVITY, 1.0, 1.3, "freezes_at_c"),
        formula="freezing by specific gravity at 80 °F: the warmest of the printed tables",
        holds="Flooded lead-acid, specific gravity 1.000 to 1.280 at 80 °F, straight lines between "
        "the printed rows. A sealed battery can't be read: keep it charged or inside.",
        rests_on=(
            "batteries/electrolyte_freezes",
            "batteries/charge_by_sg",
            "batteries/hydrometer_correction",
            "batteries/hydrometer_step",
        ),
        caution=f"{FROZEN} {CAUTION}",
    ),
    Sum(
        name="self-discharge",
        subject=Subject.BATTERIES,
        title="Standing battery",
        question="What is left in a battery after it stood, and when is it charged again?",
        fields=(STANDING, PERCENT, STORE, MONTHS, KEEP),
        work=_self_discharge,
        picture=swept(_self_discharge, MONTHS, 0.0, 12.0, "percent", "percent_high"),
        formula="lost = rate at 20 °C × 2^((°C − 20) ÷ 10) × months",
        holds="-20 to 50 °C, leads off; the lowest and highest rate printed for its kind. Old "
        "plates with antimony lose about 25 % a month: that one is 'unknown'.",
        rests_on=(
            "batteries/self_discharge_flooded_high",
            "batteries/self_discharge_flooded_low",
            "batteries/self_discharge_agm_high",
            "batteries/self_discharge_agm_low",
            "batteries/self_discharge_lifepo4_high",
            "batteries/self_discharge_lifepo4_low",
            "batteries/self_discharge_unknown_high",
            "batteries/self_discharge_unknown_low",
            "batteries/self_discharge_room",
            "batteries/self_discharge_doubles_per",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="charge-volts",
        subject=Subject.BATTERIES,
        title="Charging volts",
        question="How many volts does a battery take at its temperature?",
        fields=(KIND, SHEET, CELLS, BATTERY, PER_DEGREE),
        work=_charge_volts,
        picture=swept(_charge_volts, BATTERY, -20.0, 50.0, "volts_v"),
        formula="volts = sheet's volts at 25 °C − 3 mV × cells × (°C − 25)",
        holds="Lead-acid from -20 to 50 °C; the battery's own sheet goes first, with its own mV. "
        "LiFePO4 takes no correction, and no charge below 0 °C.",
        rests_on=(
            "batteries/charge_volts_per_degc",
            "batteries/charge_volts_base",
            "batteries/lifepo4_least_charging_c",
        ),
        caution=f"{FROZEN} {CAUTION}",
    ),
)
