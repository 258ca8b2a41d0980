"""A gear housing on air: how much of a pressure drop is cooling, and how much a leak."""

from yardwright.calc import compression as calc
from yardwright.sums.field import Number
from yardwright.sums.picture import swept
from yardwright.sums.sum import Answer, Subject, Sum, Told
from yardwright.sums.words import pressure, temperature

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
            f"the gauge shows {pressure(start_kpa)}; housings are tested with 7 to 18 psi, and more "
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
        may, tell = False, f"The book allows {pressure(drop_kpa)}: it leaks."
    elif lost_kpa > drop_kpa:
        tell = f"More than the book's {pressure(drop_kpa)} by less than a mark: watch on."
    elif own_minutes is None:
        tell = "How long the drive's book asks for is not on file: neither pass nor fail."
    elif short:
        tell = f"The book asks for {own_minutes:g} min: watch on."
    else:
        may, tell = True, f"The book allows {pressure(drop_kpa)}: it holds."
    return Answer(
        says=f"Tight, it would read {pressure(tight_kpa)} at {temperature(end_c, 0)}; "
        f"{pressure(lost_kpa) if lost_kpa > 0 else 'nothing'} is lost in {minutes:g} min.",
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


SUMS = (
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
