"""The official tables in tests/data/tides, read into our own words."""

import json
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from functools import cache
from itertools import pairwise
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from yardwright.tides.harmonic import Harmonic
from yardwright.tides.subordinate import Height, Offsets
from yardwright.tides.water import Extreme, Turn

DATA = Path(__file__).parents[1] / "data" / "tides"
FOOT_M = 0.3048


def read(name: str) -> dict[str, Any]:
    content: dict[str, Any] = json.loads((DATA / name).read_text(encoding="utf-8"))
    return content


def harmonic(constants: Mapping[str, tuple[float, float]], mean_m: float) -> Harmonic:
    return Harmonic(
        constants, mean_m, datum="MLLW", epoch="1983-2001", datums_m={}, source="NOAA CO-OPS"
    )


class Official:
    """One station's constants and what NOAA printed for it."""

    def __init__(self, row: dict[str, Any]) -> None:
        self.id: str = row["id"]
        self.name: str = row["name"]
        self.constants: dict[str, tuple[float, float]] = row["constants"]
        self.datums_m: dict[str, float] = row["datums_above_station_zero"]
        self.hourly: list[tuple[datetime, list[float]]] = [
            (datetime.fromisoformat(week["start"]), week["values"]) for week in row["hourly"]
        ]
        self.weeks = [
            tuple(extreme(datetime.fromisoformat(at), height, kind) for at, height, kind in week)
            for week in row["hilo"]
        ]

    def water(self) -> Harmonic:
        return harmonic(self.constants, self.datums_m["MSL"] - self.datums_m["MLLW"])


def extreme(at: datetime, level_m: float, kind: str) -> Extreme:
    return Extreme(at.replace(tzinfo=at.tzinfo or UTC), level_m, Turn[f"{kind}W"])


@cache
def stations() -> list[Official]:
    return [Official(row) for row in read("noaa_official_2026_2031_2036.json")["stations"]]


@cache
def friday_harbor() -> tuple[Harmonic, tuple[Extreme, ...]]:
    """Friday Harbor's water, and the printed table of 2025."""
    row = read("friday_harbor_2025.json")
    datums, zone = row["datums_above_station_zero"], ZoneInfo(row["tz"])
    turns = []
    for at, feet, kind in (line.split() for line in row["hilo"]):
        fold = int(at == "2025-11-02T01:47")  # the file says: the second 01:47
        local = datetime.fromisoformat(at).replace(tzinfo=zone, fold=fold)
        turns.append(extreme(local, float(feet) * FOOT_M, kind))
    return harmonic(row["constants"], datums["MSL"] - datums["MLLW"]), tuple(turns)


class OfficialSubordinate:
    """A subordinate station's offsets, its reference's water, and what NOAA printed for it."""

    def __init__(self, row: dict[str, Any]) -> None:
        height, high, low = row["height"]
        high_min, low_min = row["time_minutes"]
        self.id: str = row["id"]
        self.reference = harmonic(row["reference_constants"], row["reference_msl_above_mllw"])
        self.offsets = Offsets(high_min, low_min, Height(height), high, low)
        self.turns = tuple(
            extreme(datetime.fromisoformat(at), level, kind) for at, level, kind in row["hilo"]
        )


@cache
def subordinates() -> list[OfficialSubordinate]:
    return [OfficialSubordinate(row) for row in read("noaa_subordinate_2026.json")["stations"]]


def misses(found: tuple[Extreme, ...], printed: tuple[Extreme, ...]) -> tuple[float, float]:
    """Largest differences in minutes and metres; the two tables must have the same turns in order."""
    assert [turn.turn for turn in found] == [turn.turn for turn in printed]
    pairs = list(zip(found, printed, strict=True))
    return (
        max(abs(a.at - b.at) / timedelta(minutes=1) for a, b in pairs),
        max(abs(a.level_m - b.level_m) for a, b in pairs),
    )


def rounded_days(turns: tuple[Extreme, ...], days: int) -> tuple[datetime, datetime]:
    """Whole UTC days from the first turn on; half a minute early, as printed times are rounded."""
    assert all(before.at < after.at for before, after in pairwise(turns))
    start = turns[0].at.replace(hour=0, minute=0) - timedelta(seconds=30)
    return start, start + timedelta(days=days)
