"""The sums of a yard, one registry: each has a function, a command, a page and a paper.

Each subject is a module with its ``SUMS``; a sum's name is its command and its page's address.
"""

from collections.abc import Mapping
from functools import cache

from yardwright.sums import (
    air,
    antifreeze,
    batteries,
    charge,
    compression,
    cover,
    flooding,
    frost,
    fuel,
    gear_housing,
    heat,
    lifting,
    papers,
    standing,
    waste,
    wiring,
)
from yardwright.sums.sum import Sum

SUBJECTS = (
    charge,
    batteries,
    wiring,
    antifreeze,
    compression,
    heat,
    gear_housing,
    fuel,
    frost,
    lifting,
    standing,
    flooding,
    air,
    cover,
    papers,
    waste,
)


@cache
def sums() -> Mapping[str, Sum]:
    """All sums by name, in the order of their subjects.

    Returns
    -------
    mapping of str to Sum
        As the subjects have them.

    Raises
    ------
    ValueError
        Two of one name.
    """
    found: dict[str, Sum] = {}
    for one in (one for subject in SUBJECTS for one in subject.SUMS):
        if one.name in found:
            raise ValueError(f"Two sums are called {one.name}; give each its own name.")
        found[one.name] = one
    return found


_FOR_A_READING: Mapping[str, tuple[str, ...]] = {
    "battery_under_load": ("load-limit", "cranking"),
    "battery_at_rest": ("rest-volts", "battery-freezes", "self-discharge"),
    "specific_gravity": ("charge", "cells", "battery-freezes"),
    "charge_voltage": ("charge-volts",),
    "start_cable_drop": ("cranking", "wire-drop", "wire"),
    "head_temperature": ("pyrometer",),
    "compression": ("compression", "compression-height"),
    "leak_down": ("leak-down",),
    "gear_case_pressure": ("gear-test",),
    "spark_plug_torque": ("plug-torque",),
    "freeze_point": ("refractometer", "mix", "push-in", "antifreeze-need"),
    "fuel_vapour": ("blower", "ventilation"),
    "lift_weight": ("lift-weight", "sling"),
    "surface_temperature": ("paint-window", "dew-point"),
    "film_thickness": ("paint",),
}


def sums_for(quantity: str) -> tuple[Sum, ...]:
    """The sums that help with a reading.

    Parameters
    ----------
    quantity : str
        The code of what is read, such as ``compression``.

    Returns
    -------
    tuple of Sum
        None for what needs no sum.
    """
    return tuple(sums()[name] for name in _FOR_A_READING.get(quantity, ()))
