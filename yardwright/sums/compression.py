"""The cylinders: compression, how height changes it, leak-down."""

from collections.abc import Mapping

from yardwright import refdata
from yardwright.calc import compression as calc
from yardwright.calc.units import convert
from yardwright.papers.chart import Line, chart
from yardwright.papers.drawing import Drawing
from yardwright.sums.field import Choice, Number, Numbers, Value, sources
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import pressure

CRANK = (
    "Ignition and fuel disabled before cranking: an open plug hole sprays petrol, and a lead "
    "without its plug sparks. Blower four minutes and sniff first; hands clear of belts and "
    "propeller. The engine's own book goes first."
)
AIR = (
    "Air in a cylinder can turn the engine: propeller off or clear, nobody near belts. Eyes "
    "covered; bring pressure up slowly. The engine's own book goes first."
)

READINGS = Numbers(
    key="readings_kpa", label="Cylinders, in order", example="150 148 151 134 psi", unit="kPa"
)
DONE = Choice(
    key="done",
    label="Warm, all plugs out, throttle wide open, fuel and spark off, battery full",
    example="yes",
    options={"yes": "All of it", "no": "Not all, or not known"},
)
LEAST = Number(
    key="least_kpa",
    label="The engine's own least",
    example="120 psi",
    unit="kPa",
    hint="from its book, at sea level",
    may_be_empty=True,
)
HEIGHT = Number(
    key="height_m", label="Height above the sea", example="5000 ft", otherwise="0 m", unit="m"
)
EVEN_BY = sources("How even is even", "engine", "cylinders_even_90")


def _compression(
    readings_kpa: tuple[float, ...], done: str, least_kpa: float | None, height_m: float, by: str
) -> Answer:
    even = calc.evenness(readings_kpa)
    limit = refdata.table("engine")[by].value / 100
    at_sea_kpa = even.lowest_kpa / calc.air_ratio(height_m, "height_by_pressure")
    is_even = round(even.ratio, 9) >= limit  # 153 of 170 psi are 90 %, in kPa too
    enough = None if least_kpa is None else at_sea_kpa >= least_kpa
    word = "even" if is_even else "not even"
    if enough is None:
        tell = "No least on file from the engine's book: whether it is enough is not known."
    else:
        tell = (
            f"At sea level the lowest would read {pressure(at_sea_kpa)}: "
            f"{'enough' if enough else 'not enough'} for {pressure(least_kpa or 0)}."
        )
    unsure = (
        ("Not measured as it must be: the readings can't be compared.",) if done != "yes" else ()
    )
    may: bool | None = None
    if done == "yes" and not (is_even and enough is not False):
        may = False
    elif done == "yes" and enough:
        may = True
    return Answer(
        says=f"Cylinder {even.lowest_cylinder} has {100 * even.ratio:.1f} % of cylinder "
        f"{even.highest_cylinder}, {pressure(even.lowest_kpa)} of {pressure(even.highest_kpa)}: "
        f"{word} by {100 * limit:g} %.",
        numbers=(
            Told("percent", "Lowest of the highest", 100 * even.ratio, "%"),
            Told("lowest_kpa", "Lowest", even.lowest_kpa, "kPa"),
            Told("highest_kpa", "Highest", even.highest_kpa, "kPa"),
            Told("at_sea_kpa", "The lowest at sea level", at_sea_kpa, "kPa"),
        ),
        besides=(
            *unsure,
            tell,
            "A low one again with three squirts of oil: better is rings, no better is valves, two "
            "neighbours is the gasket.",
        ),
        may=may,
    )


def _bars(values: Mapping[str, Value]) -> Drawing:
    readings = values["readings_kpa"]
    assert isinstance(readings, tuple)  # noqa: S101  (a Numbers field gives nothing else)
    even = calc.evenness(readings)
    limit = refdata.table("engine")[str(values["by"])].value / 100
    numbers = [float(n + 1) for n in range(len(readings))]
    ends = (0.5, len(readings) + 0.5)
    flat_x = tuple(n + side for n in numbers for side in (-0.35, 0.35, 0.36))
    flat_y = tuple(y for kpa in readings for y in (kpa, kpa, None))
    sentence = (
        f"Pressure of each cylinder; dashed, {100 * limit:g} % of the highest. Lowest: cylinder "
        f"{even.lowest_cylinder}, {pressure(even.lowest_kpa)}."
    )
    least = limit * even.highest_kpa
    lines = [
        Line(flat_x, flat_y),
        Line(ends, (least, least)),
    ]
    points = list(zip(numbers, readings, strict=True))
    return chart("picture", lines, ("Cylinder", "Pressure, kPa"), points, sentence)


READS = Number(key="reads_kpa", label="The gauge reads", example="100 psi", unit="kPa")
HEIGHT_TYPED = Number(key="height_m", label="Height above the sea", example="5000 ft", unit="m")
HEIGHT_BY = sources("Rule for height", "engine", "height_by_pressure")


def _height(reads_kpa: float, height_m: float, by: str) -> Answer:
    if not 0 <= reads_kpa <= 8000:
        raise ValueError(f"the gauge reads {reads_kpa:g} kPa; give 0 to 8000 kPa.")
    ratio = calc.air_ratio(height_m, by)
    at_sea_kpa = reads_kpa / ratio
    return Answer(
        says=f"{pressure(reads_kpa)} at {height_m:,.0f} m ({convert(height_m, 'm', 'ft'):,.0f} ft) "
        f"would be {pressure(at_sea_kpa)} at sea level.",
        numbers=(
            Told("at_sea_kpa", "At sea level", at_sea_kpa, "kPa"),
            Told("at_sea_psi", "At sea level", convert(at_sea_kpa, "kPa", "psi"), "psi"),
            Told("percent", "Of the sea-level reading", 100 * ratio, "%"),
        ),
        besides=("Even cylinders stay even at any height: only the level goes down.",),
    )


SUPPLY = Number(
    key="supplied_kpa", label="Air supplied", example="80 psi", otherwise="80 psi", unit="kPa"
)
HELD = Number(key="held_kpa", label="The cylinder holds", example="62 psi", unit="kPa")
OWN_LEAK = Number(
    key="own_percent",
    label="The engine's own most",
    example="20 %",
    unit="%",
    hint="from its book",
    may_be_empty=True,
)
LEAK_BY = sources("Limit of leak", "engine", "leak_down_limit")


def _leak_down(supplied_kpa: float, held_kpa: float, own_percent: float | None, by: str) -> Answer:
    leak = calc.leak_percent(supplied_kpa, held_kpa)
    rows = refdata.table("engine")
    most = rows[by].value if own_percent is None else own_percent
    whose = "the general limit" if own_percent is None else "the engine's own limit"
    act = min(rows["leak_down_act"].value, most) if own_percent is None else most
    if leak > most + 1e-9:
        may, word = False, "too much"
    elif leak > act + 1e-9:
        may, word = None, "within it, and more than the trade likes: look where it goes"
    else:
        may, word = True, "within it"
    return Answer(
        says=f"It leaks {leak:.1f} % ({pressure(held_kpa)} of {pressure(supplied_kpa)}); "
        f"{whose} is {most:g} %: {word}.",
        numbers=(
            Told("percent", "Leak", leak, "%"),
            Told("most_percent", "Most it may leak", most, "%"),
        ),
        besides=(
            "Listen where it goes: intake or exhaust is a valve, the oil filler is rings, bubbles "
            "in the coolant or a neighbour's plug hole is the gasket.",
            "Engine warm, piston at top dead centre of compression.",
        ),
        may=may,
    )


SUMS = (
    Sum(
        name="compression",
        subject=Subject.ENGINE,
        title="Compression",
        question="Are the cylinders even, and is the lowest enough?",
        fields=(READINGS, DONE, LEAST, HEIGHT, EVEN_BY),
        work=_compression,
        picture=_bars,
        formula="evenness = lowest ÷ highest; at sea level = gauge ÷ (1 − 0.0065 h ÷ 288.15)^5.256",
        holds="Gauge readings of one engine by one gauge on one day, with the same strokes each. "
        "What counts as enough is in the engine's own book and nowhere else.",
        rests_on=(
            "engine/cylinders_even_90",
            "engine/compression_conditions",
            "engine/height_by_pressure",
        ),
        caution=CRANK,
    ),
    Sum(
        name="compression-height",
        subject=Subject.ENGINE,
        title="Compression high above the sea",
        question="What would this compression reading be at sea level?",
        fields=(READS, HEIGHT_TYPED, HEIGHT_BY),
        work=_height,
        picture=swept(_height, HEIGHT_TYPED, 0.0, 3000.0, "at_sea_kpa"),
        formula="at sea level = gauge ÷ (1 − 0.0065 h ÷ 288.15)^5.256, h in metres",
        holds="The standard atmosphere, -500 to 6000 m; weather moves the air by 3 %.",
        rests_on=("engine/height_by_pressure",),
        caution=CRANK,
    ),
    Sum(
        name="leak-down",
        subject=Subject.ENGINE,
        title="Leak-down",
        question="How much does a cylinder leak under air, and is it too much?",
        fields=(SUPPLY, HELD, OWN_LEAK, LEAK_BY),
        work=_leak_down,
        picture=swept(_leak_down, HELD, 276.0, 551.0, "percent"),
        formula="leak = 1 − pressure held ÷ pressure supplied",
        holds="Two gauges and the orifice for the bore; engine warm, piston at top dead centre.",
        rests_on=("engine/leak_down_limit", "engine/leak_down_good", "engine/leak_down_orifice"),
        caution=AIR,
    ),
)
