"""Worked examples of the trade, from `tests/data/trade_vectors.toml`, by the subject they test."""

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from yardwright.calc import antifreeze, batteries, flooding, lifting, metrology

FILE = Path(__file__).parents[1] / "data" / "trade_vectors.toml"
VECTORS = tomllib.loads(FILE.read_text(encoding="utf-8"))

IN_M, FT_M, US_GAL_L, LB_KG = 0.0254, 0.3048, 3.785411784, 0.45359237

Answer = float | list[float]


def load_test_min_volts(temp_F: float) -> float:  # noqa: N803  (the file's own names)
    return batteries.load_test_limit_v((temp_F - 32) / 1.8)


def pg_freeze_C(vol_pct: float) -> float:  # noqa: N802
    return antifreeze.freezes_at_c(vol_pct)


def mix_pct(litres: list[float], pct: list[float]) -> float:
    return antifreeze.mixed_percent(zip(litres, pct, strict=True))


def litres_needed(water_l: float, fluid_pct: float, want_pct: float) -> float:
    return antifreeze.litres_to_push(water_l, fluid_pct, want_pct)


def sling_share_lb(
    weight_lb: float, x_fwd_ft: float, x_aft_ft: float, x_cg_ft: float
) -> list[float]:
    loads = lifting.sling_loads(
        lifting.Weight(weight_lb * LB_KG, 0, x_cg_ft * FT_M, 0),
        lifting.Slings(x_fwd_ft * FT_M, x_aft_ft * FT_M, None, None, None),
    )
    return [loads.forward.kg / LB_KG, loads.aft.kg / LB_KG]


def leg_tension_lb(share_lb: float, deg_from_horizontal: float) -> float:
    return lifting.leg_tension_kg(share_lb, deg_from_horizontal)


def hole_gpm(diameter_in: float, head_ft: float) -> float:
    low, _ = flooding.inflow_l_min(diameter_in * IN_M, head_ft * FT_M)
    return low / US_GAL_L


def p_conform(y: float, u: float, lower: float | None = None, upper: float | None = None) -> float:
    return metrology.chance_within(y, u, lower, upper)


def accept_from(lower: float, u: float, confidence: float) -> float:
    """The reading at which `u` just decides, found from the margin at another reading."""
    return lower + u / metrology.deciding_u(lower + 1, lower, None, confidence)


def u_resolution(step: float) -> float:
    return metrology.resolution_u(step)


def p_ratio_at_least(low: float, high: float, u_each: float, limit: float) -> float:
    return metrology.chance_ratio_at_least([low, high], u_each, limit)


SUMS: list[Callable[..., Answer]] = [
    load_test_min_volts, pg_freeze_C, mix_pct, litres_needed, sling_share_lb, leg_tension_lb,
    hole_gpm, p_conform, accept_from, u_resolution, p_ratio_at_least,
]  # fmt: skip
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
