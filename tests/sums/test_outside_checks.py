"""Every sum against what somebody outside printed, from `tests/data/outside_checks`."""

import tomllib
from pathlib import Path
from typing import Any

import pytest

from yardwright.sums import sums

FOLDER = Path(__file__).parents[1] / "data" / "outside_checks"
CHECKS = [
    check
    for file in sorted(FOLDER.glob("*.toml"))
    for check in tomllib.loads(file.read_text(encoding="utf-8"))["check"]
]


@pytest.mark.parametrize(
    "check", CHECKS, ids=[f"{number}-{check['sum']}" for number, check in enumerate(CHECKS)]
)
def test_ours_is_theirs(check: dict[str, Any]) -> None:
    assert check["source"]
    assert check["page"]
    answer = sums()[check["sum"]].answer(check["given"])
    assert answer[check["answer"]] == pytest.approx(check["theirs"], abs=check["within"], rel=0)
