"""The tool that breaks the code on purpose: what it changes, and that it counts right."""

import ast
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from bench.changes import changes
from bench.mutate import score

ROOT = Path(__file__).parents[1]


def told(source: str) -> set[str]:
    return {str(change).partition("  ->  ")[2] for change in changes(ast.parse(source))}


@pytest.mark.parametrize(
    ("source", "broken"),
    [
        ("y = a * b", {"a", "b", "a / b"}),
        ("y = a - b", {"a", "b", "a + b"}),
        ("y = a < b", {"a <= b", "a >= b"}),
        ("y = 0 <= a < b", {"0 < a < b", "0 > a < b", "0 <= a <= b", "0 <= a >= b", "1", "-1"}),
        ("y = a and b", {"a", "b", "a or b"}),
        ("y = not a", {"a"}),
        ("y = min(a, b)", {"max(a, b)"}),
        ("y = sqrt(a)", {"a"}),
        ("y = sorted(a, key=b)", {"a", "sorted(a)"}),
        ("y = 60_000", {"66000", "54000"}),
        ("y = b if a else c", {"b", "c", "not a"}),
        ("check(a)", {"pass"}),
        ("raise ValueError(a * 2)", {"pass"}),
        ("def f(a: int = 3) -> int | None:\n    'doc'\n    return a", {"4", "2", "return None"}),
        ("@dataclass(slots=True)\nclass A:\n    b: int | None", set()),
        ("y = 'text' + a", set()),
        ("Answer = bool | float | None", set()),
        ("y = f'{a * b:.2f} m'", {"a", "b", "a / b"}),
    ],
)
def test_what_is_put_instead(source: str, broken: set[str]) -> None:
    assert told(source) == broken


def test_wilson_interval_as_printed() -> None:
    # Wilson's interval for 81 of 263 at 95 %: 0.2553 to 0.3662, as R. G. Newcombe, "Two-sided
    # confidence intervals for the single proportion", Statistics in Medicine 17 (1998), table I.
    assert score(81, 263, 300).split(maxsplit=1) == ["30.8%", "25.5% to 36.6%"]
    assert score(9, 10, 10).split(maxsplit=1) == ["90.0%", "all tried"]


SUM = """
def area(length, width):
    return length * width


def grows(n):
    while n < 3:
        n += 1
    return n
"""
TEST = """
from yardwright.calc.sum import area, grows


def test_area():
    assert area(3, 1) == 3


def test_grows():
    assert grows(0) == 3
"""


@pytest.mark.slow
def test_a_small_package_is_counted_right(tmp_path: Path) -> None:
    # By hand: 13 changes. Of length * width the test misses `length` and `/`, as the width is 1.
    # Without `n += 1`, with `-=`, or with 0 for 1 it never ends.
    here = tmp_path / "yardwright" / "calc"
    beside = tmp_path / "tests" / "calc"
    here.mkdir(parents=True)
    beside.mkdir(parents=True)
    (here / "sum.py").write_text(SUM)
    (beside / "test_sum.py").write_text(TEST)
    shutil.copytree(ROOT / "bench", tmp_path / "bench", ignore=shutil.ignore_patterns("__py*"))
    (tmp_path / "pyproject.toml").write_text("[tool.pytest.ini_options]\n")
    done = subprocess.run(
        [sys.executable, "-m", "bench.mutate", "calc"],
        cwd=tmp_path, env=os.environ, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "sum.py:3  length * width  ->  length  (survived" in done.stdout
    assert "sum.py:3  length * width  ->  length / width  (survived" in done.stdout
    last = done.stdout.splitlines()[-1].split()
    assert last == ["yardwright/calc", "13", "13", "11", "3", "84.6%", "all", "tried"]
