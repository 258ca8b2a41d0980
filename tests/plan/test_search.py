"""The processes of a search: none is left behind."""

import subprocess
import sys
import time
from pathlib import Path

import pytest

PLANS = """
from tests.plan.yards import spring
from yardwright.plan.planner import plan
if __name__ == "__main__":
    plan(spring(60, 1), time_limit_s=60, told=lambda share, said: print(said, flush=True))
"""


def children(of: int) -> list[int]:
    with open(f"/proc/{of}/task/{of}/children") as told:  # noqa: PTH123
        return [int(pid) for pid in told.read().split()]


def runs(pid: int) -> bool:
    try:
        with open(f"/proc/{pid}/stat") as told:  # noqa: PTH123
            return told.read().rsplit(")", 1)[1].split()[0] != "Z"
    except FileNotFoundError:
        return False


@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")
def test_a_killed_search_leaves_no_process_behind(tmp_path: Path) -> None:
    script = tmp_path / "plans.py"
    script.write_text(PLANS)
    search = subprocess.Popen([sys.executable, str(script)], env={"PYTHONPATH": "."})  # noqa: S603
    deadline = time.monotonic() + 60
    while len(made := children(search.pid)) < 2 and time.monotonic() < deadline:
        time.sleep(0.2)
    time.sleep(2)
    made = children(search.pid)
    assert len(made) >= 2
    search.kill()
    search.wait()
    deadline = time.monotonic() + 20
    while any(runs(pid) for pid in made) and time.monotonic() < deadline:
        time.sleep(0.2)
    assert not [pid for pid in made if runs(pid)]
