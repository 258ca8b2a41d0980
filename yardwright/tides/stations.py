"""The US tide stations: 1,245 with constants of their own, 2,241 that follow one of those.

References
----------
``us_stations.json.gz`` beside this file: NOAA CO-OPS, US Government work, public domain; its first
entry says how it came here and what was left out. Not for navigation.
"""

import gzip
import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from math import asin, cos, radians, sin, sqrt
from types import MappingProxyType
from typing import NotRequired, TypedDict

from yardwright.tides.harmonic import Harmonic
from yardwright.tides.subordinate import Height, Offsets, Subordinate
from yardwright.tides.water import Water

EARTH_RADIUS_KM = 6371.0  # mean radius, IUGG


class _Offsets(TypedDict):
    high_min: float
    low_min: float
    height: str
    high: float
    low: float


class _Row(TypedDict):
    id: str
    name: str
    lat: float
    lon: float
    epoch: NotRequired[str | None]
    datums_m: NotRequired[dict[str, float]]
    constants: NotRequired[dict[str, tuple[float, float]]]
    reference: NotRequired[str]
    offsets: NotRequired[_Offsets]


class _File(TypedDict):
    source: str
    vintage: str
    stations: list[_Row]


@dataclass(frozen=True, slots=True)
class Station:
    """One tide station.

    A reference station has `constants` (amplitude m, Greenwich phase degrees) and `datums_m`
    (heights above its station zero, reckoned from `epoch`; None where NOAA names no epoch). A
    subordinate has `reference` and `offsets` instead, and its only datum is MLLW.
    """

    id: str
    name: str
    lat: float
    lon: float
    vintage: str
    epoch: str | None
    datums_m: Mapping[str, float]
    constants: Mapping[str, tuple[float, float]]
    reference: str | None
    offsets: Offsets | None

    def distance_km(self, lat: float, lon: float) -> float:
        """Great-circle distance in kilometres from a position in degrees."""
        if not (abs(lat) <= 90 and abs(lon) <= 180):
            raise ValueError(
                f"the position is {lat}, {lon}; give degrees, north and east positive, "
                "such as 43.66, -70.24."
            )
        here, there = radians(lat), radians(self.lat)
        half_north, half_east = (there - here) / 2, radians(self.lon - lon) / 2
        haversine = sin(half_north) ** 2 + cos(here) * cos(there) * sin(half_east) ** 2
        return 2 * EARTH_RADIUS_KM * asin(sqrt(min(1.0, haversine)))

    def water(self) -> Water:
        """Its water, above MLLW.

        Raises
        ------
        ValueError
            The station's constants go beyond the 37 that the sum knows (Anchorage).
        """
        label = f"NOAA {self.id} {self.name}, {self.vintage}, above MLLW; weather not included"
        if self.reference is not None and self.offsets is not None:
            reference = station(self.reference)
            by = f"{label}; from {reference.id} {reference.name}, half-cosine between high and low"
            return Subordinate(_harmonic(reference, label), self.offsets, by)
        return _harmonic(self, label)


@cache
def _stations() -> Mapping[str, Station]:
    packed = files("yardwright.tides").joinpath("us_stations.json.gz").read_bytes()
    content: _File = json.loads(gzip.decompress(packed))
    epochs = {row["id"]: row.get("epoch") for row in content["stations"]}
    return {row["id"]: _station(row, content["vintage"], epochs) for row in content["stations"]}


def _station(row: _Row, vintage: str, epochs: Mapping[str, str | None]) -> Station:
    reference, offsets = row.get("reference"), row.get("offsets")
    return Station(
        id=row["id"],
        name=row["name"],
        lat=row["lat"],
        lon=row["lon"],
        vintage=vintage,
        epoch=epochs[reference or row["id"]],
        datums_m=MappingProxyType(row.get("datums_m", {})),
        constants=MappingProxyType(row.get("constants", {})),
        reference=reference,
        offsets=offsets
        and Offsets(
            offsets["high_min"],
            offsets["low_min"],
            Height(offsets["height"]),
            offsets["high"],
            offsets["low"],
        ),
    )


def _harmonic(station: Station, source: str) -> Harmonic:
    datums = station.datums_m
    return Harmonic(
        station.constants,
        datums["MSL"] - datums["MLLW"],
        datum="MLLW",
        epoch=station.epoch,
        datums_m=datums,
        source=source,
    )


def station(station_id: str) -> Station:
    """One station by NOAA's number for it.

    Raises
    ------
    ValueError
        No such station; says what to give.
    """
    found = _stations().get(station_id.strip())
    if found is None:
        raise ValueError(
            f"No tide station {station_id!r}. Give NOAA's number for it, such as 8418150 "
            "(Portland); outside the US, type the printed high and low waters instead."
        )
    return found


def nearest(lat: float, lon: float, count: int = 5) -> tuple[tuple[float, Station], ...]:
    """The stations nearest a position in degrees, each with its distance [km], nearest first."""
    by_distance = sorted(
        ((one.distance_km(lat, lon), one) for one in _stations().values()),
        key=lambda pair: pair[0],
    )
    return tuple(by_distance[:count])


def named(part: str, count: int = 30) -> tuple[Station, ...]:
    """The stations whose name or number holds these words, in the order of their names.

    Parameters
    ----------
    part : str
        Any part of a name, such as "portland" or "casco bay"; or of NOAA's number.
    count : int
        At most so many.

    Returns
    -------
    tuple of Station
        None for an empty search.
    """
    words = part.casefold().split()
    found = [
        one
        for one in _stations().values()
        if words and all(word in f"{one.name} {one.id}".casefold() for word in words)
    ]
    return tuple(sorted(found, key=lambda one: one.name)[:count])
