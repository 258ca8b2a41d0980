"""Air for rooms with a petrol engine: openings by nature's draught, and the blower."""

from dataclasses import dataclass
from math import isfinite, log

from yardwright import refdata
from yardwright.calc.units import convert

LARGEST_M3 = 100.0


@dataclass(frozen=True, slots=True)
class Openings:
    """What one opening, supply or exhaust, must have; and what makes the room an open one."""

    each_cm2: float
    must_exceed_cm2: float
    open_cm2: float

    def enough(self, cm2: float) -> bool:
        """Whether an opening of this area will do."""
        return round(cm2, 6) >= round(self.each_cm2, 6) and round(cm2, 6) > self.must_exceed_cm2


def openings(net_m3: float) -> Openings:
    """Openings of a room with a petrol engine or tank.

    Parameters
    ----------
    net_m3 : float
        Net room: with rooms joined to it, without what stands in it. [m³] More than 0, at most 100.

    Returns
    -------
    Openings
        Area for supply and exhaust *each*, the least every opening must exceed, and the open area
        that makes it open to the atmosphere. [cm²]

    Raises
    ------
    ValueError
        A room outside the range above.

    Notes
    -----
    A = 5 ln(V / 5), A in square inches and V in cubic feet, each more than 3.0 in². Of a room so
    small that the formula gives less, the 3.0 in² count.

    References
    ----------
    ``refdata/air.toml``: 33 CFR 183.630(d), (e), 183.605.
    """
    room_ft3 = _room_ft3(net_m3)
    air = refdata.table("air")
    least_in2 = air["natural_least"].value
    by_room_in2 = air["natural_factor"].value * log(room_ft3 / air["natural_room"].value)
    return Openings(
        _cm2(max(by_room_in2, least_in2)),
        _cm2(least_in2),
        _cm2(air["open_to_air"].value * room_ft3),
    )


@dataclass(frozen=True, slots=True)
class Blower:
    """What a room's blower must be rated, and what it must move as fitted, in L/min."""

    rated_l_min: float
    output_l_min: float


def blower(net_m3: float) -> Blower:
    """The blower of a room with a petrol engine that is cranked.

    Parameters
    ----------
    net_m3 : float
        Net room: with rooms joined to it, without what stands in it. [m³] More than 0, at most 100.

    Returns
    -------
    Blower
        Its rating, and its output with the engine stopped. [L/min]

    Raises
    ------
    ValueError
        A room outside the range above.

    Notes
    -----
    V in cubic feet, cfm: under 34, 50 and 20; to 100, 1.5 V and 0.6 V; over, V/2 + 100 and
    0.2 V + 40.

    References
    ----------
    ``refdata/air.toml``: 33 CFR 183.610, table.
    """
    room_ft3 = _room_ft3(net_m3)
    air = {name: datum.value for name, datum in refdata.table("air").items()}
    if room_ft3 < air["blower_small_room"]:
        rated, output = air["blower_rated_small"], air["blower_output_small"]
    elif room_ft3 <= air["blower_large_room"]:
        rated = air["blower_rated_middle"] * room_ft3
        output = air["blower_output_middle"] * room_ft3
    else:
        rated = air["blower_rated_large"] * room_ft3 + air["blower_rated_large_more"]
        output = air["blower_output_large"] * room_ft3 + air["blower_output_large_more"]
    return Blower(convert(rated, "cfm", "L/min"), convert(output, "cfm", "L/min"))


def _room_ft3(net_m3: float) -> float:
    if not (isfinite(net_m3) and 0 < net_m3 <= LARGEST_M3):
        raise ValueError(
            f"the room is {net_m3} m³; give its net room, more than 0, up to {LARGEST_M3:g}."
        )
    return round(convert(net_m3, "m³", "ft³"), 9)  # 34 ft³ typed is 34, not a hair less


def _cm2(in2: float) -> float:
    return convert(in2, "in²", "cm²")
