"""Where the sun and moon stand, and what that does to each tidal constituent.

References
----------
P. Schureman, Manual of Harmonic Analysis and Prediction of Tides, US Coast and Geodetic Survey
Special Publication 98 (1958): mean longitudes, Table 2, and the formulas for f and u. Written from
memory; the official tables in ``tests/data/tides`` prove them to the millimetre.
"""

from dataclasses import dataclass
from math import acos, atan2, cos, degrees, pi, prod, radians, sin, sqrt, tan
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

# Mean longitudes in degrees: constant, then per Julian century, its square and its cube.
_LONGITUDES = np.array(
    [
        (270.4374222, 481267.892, 2.525e-3, 1.9e-6),  # s, moon
        (279.6966778, 36000.7689250, 3.025e-4, 0.0),  # h, sun
        (334.3280194, 4069.0322056, -1.03444e-2, -1.25e-5),  # p, lunar perigee
        (259.1825333, -1934.1423972, 2.1056e-3, 2.2e-6),  # N, moon's ascending node
        (281.2208333, 1.7191750, 4.528e-4, 3.3e-6),  # p1, solar perigee
    ]
)
_CENTURY_H = 876_600.0
_FROM_1900_H = 613_620.0  # from 1899-12-31 12:00 to 1970-01-01 00:00
_OBLIQUITY, _MOON_ORBIT = radians(23.452), radians(5.145)


class Simple(NamedTuple):
    """A constituent of its own: multiples of the sun's hour angle and of s, h, p, p1; a phase."""

    hour: int
    s: int
    h: int
    p: int
    p1: int
    phase_deg: float
    node: str  # which row of the node factors it follows; "" for none


SIMPLE = {
    "SA": Simple(0, 0, 1, 0, 0, 0, ""),  # from the equinox, as the official tables do
    "SSA": Simple(0, 0, 2, 0, 0, 0, ""),
    "MM": Simple(0, 1, 0, -1, 0, 0, "MM"),
    "MSF": Simple(0, 2, -2, 0, 0, 0, "MM"),
    "MF": Simple(0, 2, 0, 0, 0, 0, "MF"),
    "2Q1": Simple(1, -4, 1, 2, 0, 90, "O1"),
    "Q1": Simple(1, -3, 1, 1, 0, 90, "O1"),
    "RHO": Simple(1, -3, 3, -1, 0, 90, "O1"),
    "O1": Simple(1, -2, 1, 0, 0, 90, "O1"),
    "M1": Simple(1, -1, 1, 0, 0, -90, "M1"),
    "P1": Simple(1, 0, -1, 0, 0, 90, ""),
    "S1": Simple(1, 0, 0, 0, 0, 0, ""),
    "K1": Simple(1, 0, 1, 0, 0, -90, "K1"),
    "J1": Simple(1, 1, 1, -1, 0, -90, "J1"),
    "OO1": Simple(1, 2, 1, 0, 0, -90, "OO1"),
    "2N2": Simple(2, -4, 2, 2, 0, 0, "M2"),
    "MU2": Simple(2, -4, 4, 0, 0, 0, "M2"),
    "N2": Simple(2, -3, 2, 1, 0, 0, "M2"),
    "NU2": Simple(2, -3, 4, -1, 0, 0, "M2"),
    "M2": Simple(2, -2, 2, 0, 0, 0, "M2"),
    "LAM2": Simple(2, -1, 0, 1, 0, 180, "M2"),
    "L2": Simple(2, -1, 2, -1, 0, 180, "L2"),
    "T2": Simple(2, 0, -1, 0, 1, 0, ""),
    "S2": Simple(2, 0, 0, 0, 0, 0, ""),
    "R2": Simple(2, 0, 1, 0, -1, 180, ""),
    "K2": Simple(2, 0, 2, 0, 0, 0, "K2"),
    "M3": Simple(3, -3, 3, 0, 0, 0, "M3"),
}
COMPOUND = {
    "2SM2": {"S2": 2, "M2": -1},
    "MK3": {"M2": 1, "K1": 1},
    "2MK3": {"M2": 2, "K1": -1},
    "MN4": {"M2": 1, "N2": 1},
    "M4": {"M2": 2},
    "MS4": {"M2": 1, "S2": 1},
    "S4": {"S2": 2},
    "M6": {"M2": 3},
    "S6": {"S2": 3},
    "M8": {"M2": 4},
}
NAMES = frozenset(SIMPLE) | frozenset(COMPOUND)


class Argument(NamedTuple):
    """A constituent at the start of a year: V0 + u [deg], its speed [deg/h] and f."""

    at_start_deg: float
    speed_deg_h: float
    factor: float


def longitudes(hour: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """s, h, p, N, p1 [deg] and their speeds [deg/h] at `hour` since 1970 UTC. Shape (5,) each."""
    century = (hour + _FROM_1900_H) / _CENTURY_H
    powers = century ** np.arange(4)
    slopes = np.array([0.0, 1.0, 2 * century, 3 * century**2]) / _CENTURY_H
    return _LONGITUDES @ powers, _LONGITUDES @ slopes


@dataclass(frozen=True, slots=True)
class _MoonOrbit:
    """The moon's orbit against the equator: inclination, nu, xi and P = p - xi, in radians."""

    inclination: float
    nu: float
    xi: float
    perigee: float

    @classmethod
    def at(cls, hour: float) -> "_MoonOrbit":
        _, _, p_deg, node_deg, _ = longitudes(hour)[0]
        node, w, i = radians(node_deg % 360), _OBLIQUITY, _MOON_ORBIT
        a = atan2(cos((w - i) / 2) * sin(node / 2), cos((w + i) / 2) * cos(node / 2))
        b = atan2(sin((w - i) / 2) * sin(node / 2), sin((w + i) / 2) * cos(node / 2))
        xi = (node - a - b + pi) % (2 * pi) - pi
        inclination = acos(cos(i) * cos(w) - sin(i) * sin(w) * cos(node))
        return cls(inclination, a - b, xi, radians(p_deg) - xi)


def node_factors(hour: float) -> dict[str, tuple[float, float]]:
    """Factor f and angle u [deg] of each kind of constituent at `hour` since 1970 UTC."""
    moon = _MoonOrbit.at(hour)
    i, nu, xi, p = moon.inclination, moon.nu, moon.xi, moon.perigee
    twice, square, half = sin(2 * i), sin(i) ** 2, tan(i / 2) ** 2
    m2, o1 = cos(i / 2) ** 4 / 0.9154, sin(i) * cos(i / 2) ** 2 / 0.3800
    nu_k1 = atan2(twice * sin(nu), twice * cos(nu) + 0.3347)
    nu_k2 = atan2(square * sin(2 * nu), square * cos(2 * nu) + 0.0727)
    r_l2 = atan2(sin(2 * p), 1 / (6 * half) - cos(2 * p))
    q_m1 = atan2((5 * cos(i) - 1) * sin(p), (7 * cos(i) + 1) * cos(p))
    rows = {
        "": (1.0, 0.0),
        "MM": ((2 / 3 - square) / 0.5021, 0.0),
        "MF": (square / 0.1578, -2 * xi),
        "O1": (o1, 2 * xi - nu),
        "M1": (o1 * sqrt(2.310 + 1.435 * cos(2 * p)), xi - nu + q_m1),
        "K1": (sqrt(0.8965 * twice**2 + 0.6001 * twice * cos(nu) + 0.1006), -nu_k1),
        "J1": (twice / 0.7214, -nu),
        "OO1": (sin(i) * sin(i / 2) ** 2 / 0.0164, -2 * xi - nu),
        "M2": (m2, 2 * xi - 2 * nu),
        "L2": (m2 * sqrt(1 - 12 * half * cos(2 * p) + 36 * half**2), 2 * xi - 2 * nu - r_l2),
        "K2": (sqrt(19.0444 * square**2 + 2.7702 * square * cos(2 * nu) + 0.0981), -nu_k2),
        "M3": (cos(i / 2) ** 6 / 0.8758, 3 * xi - 3 * nu),
    }
    return {kind: (f, degrees(u)) for kind, (f, u) in rows.items()}


def argument(name: str, start_h: float, factors: dict[str, tuple[float, float]]) -> Argument:
    """One constituent's argument at the start of a year, with that year's node factors.

    Parameters
    ----------
    name : str
        One of `NAMES`.
    start_h : float
        Start of the year, UTC. [h since 1970]
    factors : dict
        From `node_factors` at the middle of the year: the official tables hold f and u still
        from New Year to New Year.
    """
    if name in COMPOUND:
        parts = [(argument(one, start_h, factors), n) for one, n in COMPOUND[name].items()]
        return Argument(
            sum(n * part.at_start_deg for part, n in parts),
            sum(n * part.speed_deg_h for part, n in parts),
            prod(part.factor ** abs(n) for part, n in parts),
        )
    row = SIMPLE[name]
    where, speed = longitudes(start_h)
    multiples = np.array([row.s, row.h, row.p, 0, row.p1])
    factor, angle_deg = factors[row.node]
    hour_angle_deg = 15 * (start_h % 24) + 180  # of the mean sun, which is below us at midnight
    # M1's angle u swings with the perigee; held still over the year, the speed must carry p.
    perigee_deg_h = speed[2] if name == "M1" else 0.0
    return Argument(
        float(row.hour * hour_angle_deg + multiples @ where + row.phase_deg + angle_deg),
        float(15 * row.hour + multiples @ speed + perigee_deg_h),
        factor,
    )
