"""How sure a reading is, by worked examples of the standards, from `tests/data/how_sure.toml`."""

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from yardwright.calc import metrology

FILE = Path(__file__).parents[1] / "data" / "how_sure.toml"
VECTORS = tomllib.loads(FILE.read_text(encoding="utf-8"))


def p_conform(y: float, u: float, lower: float | None = None, upper: float | None = None) -> float:
    return metrology.chance_within(y, u, lower, upper)


def accept_from(lower: float, u: float, confidence: float) -> float:
    """The reading at which `u` just decides, found from the margin at another reading."""
    return lower + u / metrology.deciding_u(lower + 1, lower, None, confidence)


def u_resolution(step: float) -> float:
    return metrology.resolution_u(step)


def p_ratio_at_least(low: float, high: float, u_each: float, limit: float) -> float:
    return metrology.chance_ratio_at_least([low, high], u_each, limit)


SUMS: list[Callable[..., float]] = [p_conform, accept_from, u_resolution, p_ratio_at_least]
BY_NAME = {each.__name__: each for each in SUMS}


@pytest.mark.parametrize(
    ("name", "vector"), [(name, vector) for name, rows in VECTORS.items() for vector in rows]
)
def test_vector(name: str, vector: dict[str, Any]) -> None:
    assert vector["source"]
    answer = BY_NAME[name](**vector["input"])
    assert answer == pytest.approx(vector["expected"], abs=vector["tol"]), vector["source"]


def test_every_sum_has_a_vector() -> None:
    assert BY_NAME.keys() == VECTORS.keys()
