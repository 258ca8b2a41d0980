"""Batteries under load: what one must hold, its cells, its cranking, how it is held down."""

from collections.abc import Mapping

from yardwright import refdata
from yardwright.calc import batteries as calc
from yardwright.papers.chart import Line, chart
from yardwright.papers.drawing import Drawing
from yardwright.sums.charge import CAUTION
from yardwright.sums.field import Choice, Number, Numbers, Value, sources
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import temperature

COLD, MARINE = "cca", "mca"

TEMP = Number(key="temp_c", label="Temperature of the battery", example="45 °F", unit="°C")
CCA = Number(
    key="cca_a",
    label="Cold-cranking amps",
    example="600 A",
    unit="A",
    hint="from its plate",
    may_be_empty=True,
)
RATED = Number(key="rated_a", label="Amps on its plate", example="750 A", unit="A")
RATING = Choice(
    key="rating",
    label="Which amps",
    example=MARINE,
    options={COLD: "cold-cranking (CCA), at 0 °F", MARINE: "marine (MCA), at 32 °F"},
)
NEED = Number(
    key="need_a",
    label="Amps the starter takes",
    example="400 A",
    unit="A",
    hint="from the engine's manual",
    may_be_empty=True,
)
WEIGHT = Number(key="kg", label="Its weight", example="32 lb", unit="kg")
MOVED = Number(
    key="moved_m",
    label="It moved under the pull",
    example="1.2 in",
    unit="m",
    may_be_empty=True,
)
CELLS = Numbers(
    key="gravities",
    label="Specific gravity of each cell",
    example="1.265 1.260 1.262 1.258 1.265 1.237",
    unit="",
    hint="in their order, all at one temperature",
)


def _load_limit(temp_c: float, cca_a: float | None, by: str) -> Answer:
    limit_v = calc.load_test_limit_v(temp_c, by)
    load_a = None if cca_a is None else calc.load_test_a(cca_a)
    load = "half its cold-cranking amps" if load_a is None else f"{load_a:.0f} A"
    return Answer(
        says=f"At least {limit_v:.2f} V with {load} on for 15 s, at {temperature(temp_c)}.",
        numbers=(
            Told("limit_v", "Least volts", limit_v, "V"),
            Told("limit_6_v", "Least volts of a 6 V battery", limit_v / 2, "V"),
            *([] if load_a is None else [Told("load_a", "Load", load_a, "A")]),
        ),
        besides=(
            "It counts only charged to 75 % or more, rested, surface charge taken off.",
            "A reading nearer the limit than the meter is good for proves nothing.",
        ),
    )


def _cells(gravities: tuple[float, ...], by: str) -> Answer:
    spread, most = calc.cell_spread(gravities), calc.most_cell_spread(by)
    lowest = gravities.index(min(gravities)) + 1
    apart = spread > most
    return Answer(
        says=f"{spread:.3f} apart, {'more than' if apart else 'within'} {most:.3f}: "
        f"cell {lowest} is lowest, {min(gravities):.3f}.",
        numbers=(
            Told("spread", "Highest less lowest", spread),
            Told("most", "Most it may be", most),
            Told("lowest_cell", "Lowest cell", lowest),
        ),
        besides=(
            *(["Charge it, let it rest and read again; if it stays, replace it."] * apart),
            "Close cells alone prove no charge and no capacity.",
        ),
        may=not apart,
    )


def _cells_drawn(values: Mapping[str, Value]) -> Drawing:
    gravities, by = values["gravities"], values["by"]
    if not isinstance(gravities, tuple) or not isinstance(by, str):
        raise TypeError(f"cells {gravities!r} by {by!r}; values come from the sum's fields.")
    answer = _cells(gravities, by)
    numbers = tuple(float(n + 1) for n in range(len(gravities)))
    least = max(gravities) - answer["most"]
    lines = [Line(numbers, gravities), Line(numbers, (least,) * len(gravities))]
    titles = ("Cell", "Specific gravity, dashed: least for the highest cell")
    lowest = int(answer["lowest_cell"])
    return chart("picture", lines, titles, [(float(lowest), gravities[lowest - 1])], answer.says)


def _cranking(rated_a: float, rating: str, temp_c: float, need_a: float | None, by: str) -> Answer:
    cca_a = calc.cold_cranking_a(rated_a, by) if rating == MARINE else calc.rated_a(rated_a)
    amps = calc.cranking_a(cca_a, temp_c, by)
    power = calc.cranking_power_percent(temp_c)
    # A CCA plate says nothing of warmer starts: the least that any source makes of it counts.
    rules = refdata.rivals("batteries", "mca_per_cca") if rating == COLD else (by,)
    least_a = min(calc.cranking_a(cca_a, temp_c, rule) for rule in rules)
    may, against = _against(need_a, least_a, amps)
    return Answer(
        says=f"{amps:.0f} A for 30 s at {temperature(temp_c)}{against}; {cca_a:.0f} A cold (CCA).",
        numbers=(
            Told("amps", "Amps for 30 s, full", amps, "A"),
            Told("cca_a", "Cold-cranking amps", cca_a, "A"),
            Told("power_percent", "Cranking power, of that at 80 °F", power, "%"),
        ),
        besides=(
            *(["Not known: what the starter takes; see the engine's manual."] * (need_a is None)),
            "A full battery in good order: half charged or old it has less, and cold oil asks more.",
        ),
        may=may,
    )


def _against(need_a: float | None, least_a: float, amps: float) -> tuple[bool | None, str]:
    if need_a is None:
        return None, ""
    if amps < need_a:
        return False, f", less than the {need_a:.0f} A it takes"
    if least_a < need_a:
        return (
            None,
            f", or {least_a:.0f} A by another source: not surely the {need_a:.0f} A it takes",
        )
    return True, f", enough for {need_a:.0f} A"


def _pull(kg: float, moved_m: float | None) -> Answer:
    pull_n = calc.pull_n(kg)
    pull_lb, pull_kg = pull_n / calc.N_PER_LB, pull_n / calc.N_PER_LB * calc.KG_PER_LB
    may = None if moved_m is None else not calc.moves_too_far(moved_m)
    moved = (
        "Not known: how far it moved; pull each way for a minute and measure."
        if moved_m is None
        else f"It moved {moved_m * 1000:.0f} mm ({moved_m / calc.M_PER_IN:.2f} in.): "
        f"{'within' if may else 'more than'} 1 in."
    )
    return Answer(
        says=f"Pull {pull_kg:.1f} kg ({pull_lb:.0f} lb), a minute each way: at most 25 mm (1 in.).",
        numbers=(
            Told("pull_n", "Pull", pull_n, "N"),
            Told("pull_lb", "Pull on a scale", pull_lb, "lb"),
            Told("pull_kg", "Pull on a scale", pull_kg, "kg"),
        ),
        besides=(moved, "Law on boats with a petrol inboard; good practice on all others."),
        may=may,
    )


SUMS = (
    Sum(
        name="load-limit",
        subject=Subject.BATTERIES,
        title="Load test",
        question="How many volts must a battery hold under load at its temperature?",
        fields=(TEMP, CCA, sources("Load-test table", "batteries", "load_test_minimum")),
        work=_load_limit,
        picture=swept(_load_limit, TEMP, -17.7, 37.7, "limit_v"),
        formula="volts by the battery's temperature, straight lines between the rows; load = CCA ÷ 2",
        holds="12 V lead-acid, 0 to 100 °F (-17.7 to 37.7 °C); a 6 V battery holds half. Colder: "
        "warm it first. The limit written for this very battery goes first.",
        rests_on=(
            "batteries/load_test_minimum",
            "batteries/load_test_warmest_row_holds_up_to",
            "batteries/load_test_share_of_cca",
            "batteries/load_test_seconds",
            "batteries/load_test_least_charge",
            "batteries/load_test_6_v",
        ),
        caution=f"The load gets hot and sparks: switch it off before its clamps come off. {CAUTION}",
    ),
    Sum(
        name="cells",
        subject=Subject.BATTERIES,
        title="Cells apart",
        question="Are the cells of a flooded battery near enough to each other?",
        fields=(CELLS, sources("Most that they may differ", "batteries", "cell_spread_most")),
        work=_cells,
        picture=_cells_drawn,
        formula="spread = highest specific gravity − lowest",
        holds="Flooded lead-acid, charged, rested, all cells read at one temperature. Sources "
        "allow 0.025, 0.030 and 0.050.",
        rests_on=("batteries/cell_spread_most",),
        caution=CAUTION,
    ),
    Sum(
        name="cranking",
        subject=Subject.BATTERIES,
        title="Cranking amps",
        question="How many amps does a full battery crank with at its temperature?",
        fields=(RATED, RATING, TEMP, NEED, sources("MCA for each CCA", "batteries", "mca_per_cca")),
        work=_cranking,
        picture=swept(_cranking, TEMP, -17.7, 26.6, "amps"),
        formula="CCA = MCA ÷ 1.3; between 0 and 32 °F a straight line from CCA to MCA",
        holds="Full, 0 to 80 °F (-17.7 to 26.6 °C); 30 s, 7.2 V or more. Above 32 °F no more than "
        "the marine rating is counted on.",
        rests_on=(
            "batteries/mca_per_cca",
            "batteries/cca_temp",
            "batteries/mca_temp",
            "batteries/cranking_power",
        ),
        caution=CAUTION,
    ),
    Sum(
        name="battery-pull",
        subject=Subject.BATTERIES,
        title="Battery held down",
        question="How hard is a battery pulled, and how far may it move?",
        fields=(WEIGHT, MOVED),
        work=_pull,
        picture=swept(_pull, WEIGHT, 1.0, 60.0, "pull_kg"),
        formula="pull = twice its weight, at most 90 lb; it moves at most 1 in. any way",
        holds="33 CFR 183.420(a): one minute each way, boats with a petrol inboard; elsewhere good "
        "practice. Two people lift what is heavy: a group 31 weighs 60 to 75 lb.",
        rests_on=(
            "batteries/battery_pull",
            "batteries/battery_pull_times_weight",
            "batteries/battery_moves_most",
            "batteries/battery_law_binds",
            "batteries/battery_weights",
        ),
        caution=CAUTION,
    ),
)
