"""The checker alone: it holds good plans good, and refuses each planted fault by its own rule."""

import subprocess
import sys
from pathlib import Path

import pytest

from tests.plan.planted import PLANTED, WHOLE, good_plan, refused
from yardwright.plan import checker
from yardwright.plan.problem import overtime_min

SEEDS = range(20)

WITHOUT_A_SOLVER = """
import sys
sys.modules["ortools"] = None  # an import of it fails from here on
from tests.plan.planted import PLANTED, refused
for name in PLANTED:
    assert refused(name, 1), name
assert not [one for one in sys.modules if one.startswith("ortools.")]
"""


@pytest.mark.parametrize("name", PLANTED)
def test_a_planted_fault_is_refused_by_its_rule(name: str) -> None:
    for seed in SEEDS:
        said = refused(name, seed)
        assert said, seed
        assert all(sentence.endswith(".") for sentence in said)


def test_each_rule_has_a_planted_fault() -> None:
    assert {rule for rule, _ in PLANTED.values()} == {r.__name__ for r in checker.RULES} | {WHOLE}


@pytest.mark.parametrize("seed", SEEDS)
def test_a_plan_made_by_hand_s_own_means_is_accepted(seed: int) -> None:
    problem, good = good_plan(seed)
    assert checker.broken(good, problem) == []
    assert len(good.asides) == 2
    assert any(job.watcher for job in good.jobs.values())
    assert sum(overtime_min(problem, job) for job in good.jobs.values()) > 0


def test_no_solver_is_needed() -> None:
    done = subprocess.run(  # noqa: S603
        [sys.executable, "-c", WITHOUT_A_SOLVER],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
