"""The limits on file at Heron Slip, its instruments, and what was read with them.

The limits are invented, like the engines and books that they are said to come from.
"""

from collections.abc import Mapping
from datetime import date, datetime

from yardwright.demo.winter import ZONE
from yardwright.procedures import readings
from yardwright.procedures.quantities import Answers
from yardwright.procedures.readings import Reading
from yardwright.season.model import Instrument, Limit

CHECKED = date(2031, 12, 31)
OUT_OF_CHECK = date(2031, 3, 31)

METER = readings.Instrument("meter 2", "V", CHECKED, u=0.03, resolution=0.01)
CLAMP = readings.Instrument("clamp meter", "A", CHECKED, within=0.1, resolution=0.1)
GUN = readings.Instrument("infrared gun", "°C", CHECKED, u=1.5)
CASE_GAUGE = readings.Instrument("gear case gauge", "psi", CHECKED, u=0.10)
COMPRESSION_GAUGE = readings.Instrument("compression gauge", "psi", OUT_OF_CHECK, u=2.0)
WRENCH = readings.Instrument("torque wrench 60", "N m", CHECKED, within_share=0.03)
REFRACTOMETER = readings.Instrument("refractometer", "°C", CHECKED, u=0.8)


def _on_the_shelf(one: readings.Instrument, quantity: str = "") -> Instrument:
    return Instrument(
        name=one.name,
        unit=one.unit,
        checked_until=one.checked_until,
        u=one.u,
        within=one.within,
        within_share=one.within_share,
        resolution=one.resolution,
        quantity=quantity,
    )


INSTRUMENTS = (
    _on_the_shelf(METER),
    _on_the_shelf(CLAMP),
    _on_the_shelf(GUN, "head_temperature"),
    _on_the_shelf(CASE_GAUGE, "gear_case_pressure"),
    _on_the_shelf(COMPRESSION_GAUGE, "compression"),
    _on_the_shelf(WRENCH, "propeller_nut_torque"),
    _on_the_shelf(REFRACTOMETER, "freeze_point"),
)

BOOK_115 = "Maker's workshop manual, four-stroke 115"
LIMITS = (
    Limit(
        quantity="head_temperature",
        engine="four-stroke 115",
        unit="°C",
        source=BOOK_115,
        page="5-12",
        upper=80,
        thin=3,
    ),
    Limit(
        quantity="gear_case_pressure",
        engine="four-stroke 115",
        unit="psi",
        source=BOOK_115,
        page="7-4",
        lower=14,
        thin=0.2,
        needs={"minutes": 5},
    ),
    Limit(
        quantity="compression",
        engine="four-stroke 115",
        unit="psi",
        source=BOOK_115,
        page="3-9",
        lower=150,
        lowest_over_highest=0.9,
    ),
    Limit(
        quantity="propeller_nut_torque",
        engine="four-stroke 115",
        unit="N m",
        source=BOOK_115,
        page="7-21",
        lower=50,
        upper=60,
    ),
    Limit(
        quantity="bilge_pump_current",
        unit="A",
        source="Plate on the pump, invented make",
        page="1",
        lower=1.5,
        upper=4.5,
    ),
    Limit(
        quantity="charge_voltage",
        engine="diesel 150",
        unit="V",
        source="Maker's workshop manual, diesel 150",
        page="9-2",
        lower=13.8,
        upper=14.6,
    ),
)

LOAD_TEST: Answers = {
    "charged": True,
    "rested": True,
    "half_cca": True,
    "seconds": 15.0,
    "battery_temp_c": 7.0,
}
WARM: Answers = {"warm": True, "dull_spots": True}
STOOD: Answers = {"minutes": 5.0, "steady": True, "shafts_turned": True}
COLD_CRANK: Answers = {"warm": True, "plugs_out": True, "throttle_open": True, "cranked": True}


def _at(day: int, hour: int, minute: int = 0, *, month: int = 5, year: int = 2031) -> datetime:
    return datetime(year, month, day, hour, minute, tzinfo=ZONE)


def _load_test(volts: float, at: datetime, by: str = "Ole") -> Reading:
    return Reading("battery_under_load", (volts,), "V", at, by, METER, LOAD_TEST)


def _heads(at: datetime, *temps_c: float) -> Reading:
    return Reading("head_temperature", temps_c, "°C", at, "Ines", GUN, WARM)


def _case(psi: float, at: datetime, by: str = "Ines") -> Reading:
    return Reading("gear_case_pressure", (psi,), "psi", at, by, CASE_GAUGE, STOOD)


READINGS: Mapping[str, tuple[Reading, ...]] = {
    "Dunlin": (
        _load_test(10.3, _at(6, 14, month=5, year=2030)),
        _load_test(10.1, _at(2, 14)),
        Reading(
            "charge_voltage",
            (14.1,),
            "V",
            _at(5, 11, 10),
            "Ines",
            METER,
            {"fast_idle": True, "nearly_full": True},
        ),
    ),
    "Godwit": (_case(14.8, _at(1, 10, 30)), _heads(_at(2, 11), 65, 66, 65, 66)),
    "Merlin": (_heads(_at(2, 13, 30), 75, 76, 77.2, 76),),
    "Sanderling": (
        Reading(
            "bilge_pump_current",
            (3.1,),
            "A",
            _at(2, 9),
            "Ole",
            CLAMP,
            {"own_switch": True, "moved_water": True},
        ),
        Reading(
            "charge_voltage",
            (14.2,),
            "V",
            _at(5, 9, 30),
            "Ole",
            METER,
            {"fast_idle": True, "nearly_full": True},
        ),
    ),
    "Lapwing": (_heads(_at(5, 13, 10), 64, 66, 65, 74),),
    "Gannet": (_case(9.5, _at(2, 9, 40)),),
    "Redshank": (_load_test(9.38, _at(5, 10)),),
    "Fulmar": (_load_test(8.9, _at(5, 10, 30)),),
    "Wigeon": (
        Reading(
            "compression",
            (178, 181, 179, 180),
            "psi",
            _at(2, 11, 20),
            "Ole",
            COMPRESSION_GAUGE,
            COLD_CRANK,
        ),
    ),
    "Plover": (
        Reading(
            "propeller_nut_torque",
            (55,),
            "N m",
            _at(2, 14, 20),
            "Ines",
            WRENCH,
            {"washers": True, "locked": True},
        ),
    ),
}
