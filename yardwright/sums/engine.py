"""The engine: compression, leak-down, height, infrared readings, plugs, a gear housing on air."""

from collections.abc import Mapping

from yardwright import refdata
from yardwright.calc import compression as calc
from yardwright.calc import heat
from yardwright.calc.units import convert, say
from yardwright.papers.chart import Line, chart
from yardwright.papers.drawing import Drawing
from yardwright.sums.field import Choice, Number, Numbers, Value, sources
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told

CRANK = (
    "Ignition and fuel disabled before cranking: an open plug hole sprays petrol, and a lead "
    "without its plug sparks. Blower four minutes and sniff first; hands clear of belts and "
    "propeller. The engine's own book goes first."
)
AIR = (
    "Air in a cylinder can turn the engine: propeller off or clear, nobody near belts. Eyes "
    "covered; bring pressure up slowly. The engine's own book goes first."
)
HOT = (
    "Hot parts burn: pointing is safe, touching is not. Never open a hot cooling system. An engine "
    "that runs makes carbon monoxide: doors open, wrap off. The engine's own book goes first."
)
PLUG = (
    "Engine cold, battery off, fuel vapour aired out first. A thread pulled from a head is lost: "
    "start by hand. The engine's own book goes first."
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
            f"At sea level the lowest would read {_pressure(at_sea_kpa)}: "
            f"{'enough' if enough else 'not enough'} for {_pressure(least_kpa or 0)}."
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
        f"{even.highest_cylinder}, {_pressure(even.lowest_kpa)} of {_pressure(even.highest_kpa)}: "
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
        f"{even.lowest_cylinder}, {_pressure(even.lowest_kpa)}."
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
        says=f"{_pressure(reads_kpa)} at {height_m:,.0f} m ({convert(height_m, 'm', 'ft'):,.0f} ft) "
        f"would be {_pressure(at_sea_kpa)} at sea level.",
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
        says=f"It leaks {leak:.1f} % ({_pressure(held_kpa)} of {_pressure(supplied_kpa)}); "
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


INFRARED = Number(key="reading_c", label="The instrument reads", example="38.5 °C", unit="°C")
SURFACE = Choice(
    key="surface",
    label="Surface",
    example="aluminium, oxidised",
    options={name: name for name in refdata.grids("engine")["emissivity"].down},
)
SET_TO = Number(key="set_to", label="Set to", example="0.95", otherwise="0.95", unit="")
AROUND = Number(key="around_c", label="Around it", example="20 °C", otherwise="20 °C", unit="°C")
PYROMETER_BY = sources("Formula", "engine", "pyrometer_whole")


def _pyrometer(reading_c: float, surface: str, set_to: float, around_c: float, by: str) -> Answer:
    grid = refdata.grids("engine")["emissivity"]
    least, most = grid.at(surface, 1), grid.at(surface, 2)
    ends = [heat.true_c(reading_c, share, set_to, around_c, by) for share in (most, least)]
    low, high = sorted(ends)
    middle = heat.true_c(reading_c, (least + most) / 2, set_to, around_c, by)
    rows = refdata.table("engine")
    proven = least >= rows["emissivity_proves_from"].value
    unreliable = rows["emissivity_unreliable_below"].value
    besides = []
    if not proven:
        besides.append("Not proven: tape or paint the spot flat black, wait, and measure that.")
    if least < unreliable:
        besides.append(f"Under an emissivity of {unreliable:g} no setting makes it reliable.")
    return Answer(
        says=f"It reads {_warm(reading_c)}; the surface is at {_warm(low)} to {_warm(high)}: "
        f"{surface}, emissivity {_span(least, most)}.",
        numbers=(
            Told("true_c", "True", middle, "°C"),
            Told("low_c", "At least", low, "°C"),
            Told("high_c", "At most", high, "°C"),
        ),
        besides=tuple(besides),
        may=True if proven else None,
    )


THREAD = Choice(
    key="thread",
    label="Thread",
    example="14",
    options={"10": "10 mm", "12": "12 mm", "14": "14 mm", "18": "18 mm"},
)
SEAT = Choice(
    key="seat", label="Seat", example="gasket", options={"gasket": "Gasket", "taper": "Taper"}
)
HEAD = Choice(
    key="head",
    label="Head",
    example="aluminium",
    options={"iron": "Cast iron", "aluminium": "Aluminium"},
)
TORQUE = Number(
    key="torque_nm",
    label="The wrench is set to",
    example="20 lb ft",
    unit="N m",
    may_be_empty=True,
)
TORQUE_BY = sources("Table", "engine", "plug_torque")


def _plug_torque(thread: str, seat: str, head: str, torque_nm: float | None, by: str) -> Answer:
    least, most = calc.plug_torque_lb_ft(int(thread), seat, head, by)
    least_nm, most_nm = (convert(lb_ft, "lb ft", "N m") for lb_ft in (least, most))
    says = f"{least_nm:.0f} to {most_nm:.0f} N m ({least:g} to {most:g} lb ft), dry threads."
    may: bool | None = None
    if torque_nm is not None:
        may = least_nm - 1e-9 <= torque_nm <= most_nm + 1e-9
        word = "within" if may else "too loose" if torque_nm < least_nm else "too tight"
        says += f" {torque_nm:.1f} N m ({convert(torque_nm, 'N m', 'lb ft'):.1f} lb ft) is {word}."
    return Answer(
        says=says,
        numbers=(
            Told("least_nm", "At least", least_nm, "N m"),
            Told("most_nm", "At most", most_nm, "N m"),
            Told("least_lb_ft", "At least", least, "lb ft"),
            Told("most_lb_ft", "At most", most, "lb ft"),
        ),
        besides=(
            "The engine's own book goes first.",
            "With anti-seize take 20 to 30 % off, or use none.",
            "Without a wrench, after finger-tight: new gasket 1/2 to 3/4 turn, used gasket 1/12, "
            "taper 1/16.",
        ),
        may=may,
    )


def _torques(values: Mapping[str, Value]) -> Drawing:
    seat, head, by = str(values["seat"]), str(values["head"]), str(values["by"])
    printed = [mm for mm in (10, 12, 14, 18) if seat == "gasket" or mm >= 14]
    ranges = [calc.plug_torque_lb_ft(mm, seat, head, by) for mm in printed]
    threads = tuple(float(mm) for mm in printed)
    most = tuple(convert(high, "lb ft", "N m") for _, high in ranges)
    least = tuple(convert(low, "lb ft", "N m") for low, _ in ranges)
    asked = _plug_torque(str(values["thread"]), seat, head, None, by)
    torque = values["torque_nm"]
    at = float(str(values["thread"]))
    points = [(at, float(torque))] if isinstance(torque, float) else [(at, asked["most_nm"])]
    sentence = f"Most (line) and least (dashed) torque by thread, {seat} seat. {asked.says}"
    lines = [Line(threads, most), Line(threads, least)]
    return chart("picture", lines, ("Thread, mm", "Torque, N m"), points, sentence)


MOST_KPA = 138  # 20 psi: the books that were read or remembered stop at 18
START = Number(key="start_kpa", label="Gauge at the start", example="15 psi", unit="kPa")
END = Number(key="end_kpa", label="Gauge at the end", example="13.5 psi", unit="kPa")
START_C = Number(key="start_c", label="Housing at the start", example="20 °C", unit="°C")
END_C = Number(key="end_c", label="Housing at the end", example="10 °C", unit="°C")
MINUTES = Number(key="minutes", label="It was watched for", example="10 min", unit="min")
OWN_MINUTES = Number(
    key="own_minutes",
    label="The drive's book asks for",
    example="10 min",
    unit="min",
    may_be_empty=True,
)
DROP = Number(
    key="drop_kpa",
    label="The drive's book allows a drop of",
    example="0 kPa",
    unit="kPa",
    may_be_empty=True,
)
AIR_KPA = Number(
    key="air_kpa", label="Air around", example="101.3 kPa", otherwise="101.3 kPa", unit="kPa"
)
MARK = Number(
    key="mark_kpa",
    label="The gauge's finest mark",
    example="0.5 psi",
    otherwise="0.5 psi",
    unit="kPa",
)


def _check_housing(
    start_kpa: float,
    minutes: float,
    own_minutes: float | None,
    drop_kpa: float | None,
    mark_kpa: float,
) -> None:
    if start_kpa > MOST_KPA:
        raise ValueError(
            f"the gauge shows {_pressure(start_kpa)}; housings are tested with 7 to 18 psi, and more "
            "pushes seals out: read gauge, unit and the drive's book again."
        )
    for name, number in (("watched for", minutes), ("the book's time is", own_minutes)):
        if number is not None and number <= 0:
            raise ValueError(f"{name} {number:g} min; give more than 0.")
    for name, kpa in (("the allowed drop", drop_kpa), ("the gauge's finest mark", mark_kpa)):
        if kpa is not None and kpa < 0:
            raise ValueError(f"{name} is {kpa:g} kPa; give 0 or more.")


def _gear_test(
    start_kpa: float,
    end_kpa: float,
    start_c: float,
    end_c: float,
    minutes: float,
    own_minutes: float | None,
    drop_kpa: float | None,
    mark_kpa: float,
    air_kpa: float,
) -> Answer:
    _check_housing(start_kpa, minutes, own_minutes, drop_kpa, mark_kpa)
    tight_kpa = calc.cooled_kpa(start_kpa, start_c, end_c, air_kpa)
    lost_kpa = round((tight_kpa - end_kpa) * (1 if start_kpa >= 0 else -1), 6)
    short = own_minutes is not None and minutes < own_minutes
    may: bool | None = None
    if drop_kpa is None:
        tell = "What the drive's book allows is not on file: neither pass nor fail."
    elif lost_kpa > drop_kpa + mark_kpa:
        may, tell = False, f"The book allows {_pressure(drop_kpa)}: it leaks."
    elif lost_kpa > drop_kpa:
        tell = f"More than the book's {_pressure(drop_kpa)} by less than a mark: watch on."
    elif own_minutes is None:
        tell = "How long the drive's book asks for is not on file: neither pass nor fail."
    elif short:
        tell = f"The book asks for {own_minutes:g} min: watch on."
    else:
        may, tell = True, f"The book allows {_pressure(drop_kpa)}: it holds."
    return Answer(
        says=f"Tight, it would read {_pressure(tight_kpa)} at {_warm(end_c)}; "
        f"{_pressure(lost_kpa) if lost_kpa > 0 else 'nothing'} is lost in {minutes:g} min.",
        numbers=(
            Told("tight_kpa", "Tight, it would read", tight_kpa, "kPa"),
            Told("lost_kpa", "Lost", lost_kpa, "kPa"),
        ),
        besides=(
            tell,
            "Both shafts turned and the shift rod moved while watching? Pressure, minutes and "
            "kind come from the drive's own book.",
        ),
        may=may,
    )


def _pressure(kpa: float) -> str:
    return f"{say(kpa, 'kPa')} ({convert(kpa, 'kPa', 'psi'):.1f} psi)"


def _warm(celsius: float) -> str:
    return f"{celsius:.0f} °C ({convert(celsius, '°C', '°F'):.0f} °F)"


def _span(least: float, most: float) -> str:
    return f"{least:g}" if least == most else f"{least:g} to {most:g}"


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
    Sum(
        name="pyrometer",
        subject=Subject.ENGINE,
        title="Infrared thermometer",
        question="What is the true temperature behind an infrared reading?",
        fields=(INFRARED, SURFACE, SET_TO, AROUND, PYROMETER_BY),
        work=_pyrometer,
        picture=swept(_pyrometer, INFRARED, 25.0, 90.0, "true_c", "low_c", "high_c"),
        formula="set × (reading⁴ − around⁴) = emissivity × (true⁴ − around⁴), in kelvin",
        holds="The spot fills the view, and what is mirrored in it is as warm as the surroundings "
        "that were typed. Bare metal mirrors: its range is what four manuals print.",
        rests_on=(
            "engine/pyrometer_whole",
            "engine/emissivity",
            "engine/emissivity_unreliable_below",
            "engine/tape_the_spot",
        ),
        caution=HOT,
    ),
    Sum(
        name="plug-torque",
        subject=Subject.ENGINE,
        title="Spark plug torque",
        question="How tight does a spark plug go in?",
        fields=(THREAD, SEAT, HEAD, TORQUE, TORQUE_BY),
        work=_plug_torque,
        picture=_torques,
        formula="1 lb ft = 1.356 N m",
        holds="Clean dry threads and a new gasket, where the engine's own book says nothing.",
        rests_on=("engine/plug_torque", "engine/plug_without_a_wrench"),
        caution=PLUG,
    ),
    Sum(
        name="gear-test",
        subject=Subject.ENGINE,
        title="Gear housing on air",
        question="How much of a pressure drop is cooling, and how much is a leak?",
        fields=(START, END, START_C, END_C, MINUTES, OWN_MINUTES, DROP, MARK, AIR_KPA),
        work=_gear_test,
        picture=swept(_gear_test, END_C, -5.0, 30.0, "tight_kpa"),
        formula="tight = (gauge + air) × kelvin at the end ÷ kelvin at the start − air",
        holds="Air of one temperature in a stiff housing.",
        rests_on=("engine/gear_housing_pressure", "engine/gear_oil_look"),
        caution="Never above the drive book's pressure: seals blow out. Drained oil is slippery "
        "and waste. Propeller off or clear while shafts are turned. The drive's own book goes first.",
    ),
)
