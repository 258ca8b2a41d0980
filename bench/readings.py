"""A yard of 300 boats with ten years of readings: 30 on each boat each spring, 90,000 in all."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime
from random import Random

from yardwright.procedures.going_in import State
from yardwright.procedures.quantities import Answers, quantity
from yardwright.procedures.readings import Instrument, Reading
from yardwright.season.model import Boat, Limit

BOATS, YEARS = 300, range(2022, 2032)


@dataclass(frozen=True, slots=True)
class Usual:
    """What is read each spring: how often, how many values, their middle, how they scatter."""

    code: str
    unit: str
    middle: float
    scatter: float
    u: float
    where: tuple[str, ...] = ("",)
    count: int = 1
    lower: float | None = None
    upper: float | None = None
    even: float | None = None


EACH_SPRING = (
    Usual("battery_under_load", "V", 10.1, 0.2, 0.03, ("battery 1", "battery 2")),
    Usual("battery_at_rest", "V", 12.6, 0.1, 0.03, ("battery 1", "battery 2"), lower=12.4),
    Usual("charge_voltage", "V", 14.2, 0.1, 0.03, lower=13.8, upper=14.6),
    Usual("start_cable_drop", "V", 0.3, 0.05, 0.02, upper=0.5),
    Usual("bilge_pump_current", "A", 3.0, 0.3, 0.1, ("fore", "aft"), lower=1.5, upper=4.5),
    Usual("fuel_pressure", "kPa", 300, 10, 3, lower=250, upper=350),
    Usual("freeze_point", "°C", -35, 3, 0.8, ("block", "heads", "sink"), upper=-25),
    Usual("gear_case_pressure", "psi", 15, 0.4, 0.1, lower=14),
    Usual("propeller_nut_torque", "N m", 55, 1, 0.6, lower=50, upper=60),
    Usual("gear_oil_in", "L", 0.6, 0.05, 0.01),
    Usual("oil_level", "%", 80, 8, 3, ("engine", "gear"), lower=30, upper=110),
    Usual("gland_drip", "a minute", 3, 1, 0.3, ("port", "starboard"), upper=8),
    Usual("earth_resistance", "Ω", 0.3, 0.1, 0.05, upper=1),
    Usual("insulation", "MΩ", 20, 5, 1, lower=1),
    Usual("lift_weight", "kg", 5000, 100, 50),
    Usual("fuel_vapour", "%", 1, 0.3, 0.5, upper=10),
    Usual("surface_temperature", "°C", 19, 1, 0.3),
    Usual("specific_gravity", "SG", 1.265, 0.004, 0.003, ("battery 1", "battery 2"), 6, 1.225),
    Usual("spark_plug_torque", "N m", 25, 1, 0.5, count=4, lower=20, upper=30),
    Usual("compression", "psi", 150, 3, 2, count=4, lower=120, even=0.85),
    Usual("head_temperature", "°C", 66, 1.2, 1.0, ("port", "starboard"), 4, upper=80),
)


def limits() -> tuple[Limit, ...]:
    """One for all boats where a manual would have one."""
    return tuple(
        Limit(
            quantity=one.code,
            unit=one.unit,
            source="A manual",
            page="1",
            lower=one.lower,
            upper=one.upper,
            lowest_over_highest=one.even,
            needs={"minutes": 5.0, "test_v": 500.0},
        )
        for one in EACH_SPRING
        if one.lower is not None or one.upper is not None
    )


def boats(seed: int = 2031) -> tuple[Boat, ...]:
    """Every boat drifts a little each year; one condition in a hundred is not told."""
    luck = Random(seed)  # noqa: S311  # a made-up yard, no secret
    return tuple(
        Boat(f"Boat {number}", State.LAID_UP, readings=tuple(_readings(luck)))
        for number in range(BOATS)
    )


def _readings(luck: Random) -> Iterator[Reading]:
    for one in EACH_SPRING:
        met = _met(one.code)
        for where in one.where:
            drift = luck.gauss(0, one.scatter / 20)
            for year in YEARS:
                middle = one.middle + drift * (year - YEARS[0])
                at = datetime(year, 5, 2, 10, 0, tzinfo=UTC)
                yield Reading(
                    one.code,
                    tuple(luck.gauss(middle, one.scatter) for _ in range(one.count)),
                    one.unit,
                    at,
                    "Ines",
                    Instrument("tool", one.unit, date(year, 12, 31), u=one.u),
                    {
                        code: luck.randint(5, 25) * 1.0 if code.endswith("_temp_c") else told
                        for code, told in met.items()
                        if luck.random() > 0.01
                    },
                    where,
                )


def _met(code: str) -> Answers:
    """All conditions as they are asked for."""
    numbers = {"seconds": 15.0, "rested_h": 14.0, "minutes": 10.0, "waited": 10.0, "test_v": 500.0}
    numbers |= {"humidity": 60.0, "thermometer_within_c": 1.0, "humidity_within": 2.0}
    return {
        c.code: c.choices[0] if c.choices else numbers.get(c.code, 20.0) if c.unit else True
        for c in quantity(code).conditions
    } | ({"air_within_c": 0.5} if code == "surface_temperature" else {})
