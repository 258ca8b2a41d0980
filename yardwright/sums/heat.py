"""Heat and torque: what an infrared reading is worth, and how tight a plug goes in."""

from collections.abc import Mapping

from yardwright import refdata
from yardwright.calc import compression as calc
from yardwright.calc import heat
from yardwright.calc.units import convert
from yardwright.papers.chart import Line, chart
from yardwright.papers.drawing import Drawing
from yardwright.sums.field import Choice, Number, Value, sources
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import temperature

HOT = (
    "Hot parts burn: pointing is safe, touching is not. Never open a hot cooling system. An engine "
    "that runs makes carbon monoxide: doors open, wrap off. The engine's own book goes first."
)
PLUG = (
    "Engine cold, battery off, fuel vapour aired out first. A thread pulled from a head is lost: "
    "start by hand. The engine's own book goes first."
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
        says=f"It reads {temperature(reading_c, 0)}; the surface is at {temperature(low, 0)} to {temperature(high, 0)}: "
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


def _span(least: float, most: float) -> str:
    return f"{least:g}" if least == most else f"{least:g} to {most:g}"


SUMS = (
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
)
