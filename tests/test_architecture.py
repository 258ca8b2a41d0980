"""The import contracts hold, and they can fail: each is broken once, in a copy."""

import os
import shutil
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
LINT = "from importlinter.cli import lint_imports_command as lint; lint(['--no-cache'])"
DOWN, SLICE = "Imports go down only", "Inside a slice"
CORE, SOLVER = "The core knows nothing of Django", "Only the model sees the solver"
TWIN, CYCLE = "The checker never sees the solver", "No cycles between siblings"

BREACHES = [
    (DOWN, "refdata/__init__.py", "import yardwright.calc.flooding"),
    (DOWN, "plan/problem.py", "import yardwright.procedures.verdict"),
    (DOWN, "procedures/verdict.py", "import yardwright.plan.problem"),
    (DOWN, "papers/lift_card.py", "import yardwright.tides.sill"),
    (DOWN, "work/queries.py", "import yardwright.launch.queries"),
    (SLICE, "work/queries.py", "import yardwright.work.services"),
    (SLICE, "launch/services.py", "import yardwright.launch.views"),
    (CORE, "calc/flooding.py", "import django.db"),
    (CORE, "season/read.py", "import django.db"),
    (SOLVER, "season/spring.py", "import ortools.sat.python.cp_model"),
    (SOLVER, "launch/views/spring.py", "import ortools.sat.python.cp_model"),
    (TWIN, "plan/checker.py", "import yardwright.plan.model"),
    (TWIN, "plan/checker.py", "import ortools.sat.python.cp_model"),
    (CYCLE, "plan/problem.py", "import yardwright.plan.checker"),
]


@pytest.fixture
def copy(tmp_path: Path) -> Path:
    shutil.copytree(
        ROOT / "yardwright", tmp_path / "yardwright", ignore=shutil.ignore_patterns("__pycache__")
    )
    shutil.copy(ROOT / "pyproject.toml", tmp_path)
    return tmp_path


def broken(folder: Path) -> list[str]:
    """Ask which contracts a tree breaks; none is said only where all were tried."""
    result = subprocess.run(  # noqa: S603  # our own tree
        [sys.executable, "-c", LINT],
        cwd=folder,
        env=os.environ | {"PYTHONPATH": str(folder), "COLUMNS": "200"},
        capture_output=True,
        text=True,
        check=False,
    )
    names = [row for row in result.stdout.splitlines() if row.endswith(" BROKEN")]
    assert f"{len(names)} broken." in result.stdout, result.stdout + result.stderr
    assert result.returncode == bool(names)
    return names


@pytest.mark.parametrize(("contract", "path", "line"), BREACHES)
def test_a_breach_is_caught(copy: Path, contract: str, path: str, line: str) -> None:
    file = copy / "yardwright" / path
    file.write_text(f"{file.read_text(encoding='utf-8')}\n{line}\n", encoding="utf-8")
    names = broken(copy)
    assert any(name.startswith(contract) for name in names), names


def test_every_contract_is_broken_once_here() -> None:
    tried = {contract for contract, _, _ in BREACHES}
    untried = [c["name"] for c in contracts() if not str(c["name"]).startswith(tuple(tried))]
    assert not untried


@pytest.mark.parametrize("path", ["utils.py", "work/helpers.py"])
def test_a_module_that_nobody_placed_is_caught(copy: Path, path: str) -> None:
    (copy / "yardwright" / path).write_text("")
    contract = SLICE if "/" in path else DOWN
    assert any(name.startswith(contract) for name in broken(copy))


@pytest.mark.parametrize("module", ["models", "services"])
def test_every_slice_is_under_the_slice_contract(module: str) -> None:
    (slices,) = (set(c["containers"]) for c in contracts() if c["id"] == "slice")
    found = {f"yardwright.{path.parent.name}" for path in ROOT.glob(f"yardwright/*/{module}.py")}
    assert found <= slices, "Add the new slice to [tool.importlinter]."


def test_as_it_stands(copy: Path) -> None:
    assert broken(copy) == []


def contracts() -> list[dict[str, list[str] | str]]:
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    found: list[dict[str, list[str] | str]] = tomllib.loads(text)["tool"]["importlinter"][
        "contracts"
    ]
    return found


SLOW = {"ortools", "pandas", "scipy.optimize", "scipy.stats", "openpyxl"}
STARTS = f"""
import django, sys
django.setup()
import yardwright.launch.worker, yardwright.web.urls
print(*sorted({SLOW} & sys.modules.keys()))
"""


def test_the_server_and_its_worker_start_without_what_takes_long_to_load(tmp_path: Path) -> None:
    """The solver alone takes longer than all the rest: who asks for it loads it."""
    ours = {"YARDWRIGHT_HOME": str(tmp_path), "DJANGO_SETTINGS_MODULE": "yardwright.web.settings"}
    started = subprocess.run(  # noqa: S603  # our own words
        [sys.executable, "-c", STARTS],
        cwd=ROOT,
        env={**os.environ, **ours},
        capture_output=True,
        text=True,
        check=True,
    )
    assert started.stdout.split() == []
