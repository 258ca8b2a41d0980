"""The wheel has all that the tree has, and answers from where it is installed."""

import os
import shutil
import subprocess
import sys
from pathlib import Path
from zipfile import ZipFile

import pytest

ROOT = Path(__file__).parents[1]
NEEDED = ["pyproject.toml", "README.md", "LICENSE", "NOTICE"]
CACHES = shutil.ignore_patterns("__pycache__")


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Built from a copy, so that nothing of an earlier build gets in."""
    copy, out = tmp_path_factory.mktemp("copy"), tmp_path_factory.mktemp("wheel")
    shutil.copytree(ROOT / "yardwright", copy / "yardwright", ignore=CACHES)
    for name in NEEDED:
        shutil.copy(ROOT / name, copy)
    build = ["wheel", "--quiet", "--no-deps", "--no-build-isolation", "--no-index", "--wheel-dir"]
    run(copy, "-m", "pip", *build, str(out), ".")
    (built,) = out.glob("*.whl")
    return built


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Unpacked, which is all that installing does to a wheel without compiled parts."""
    place = tmp_path_factory.mktemp("installed")
    with ZipFile(wheel) as packed:
        packed.extractall(place)
    return place


def run(folder: Path, *arguments: str, path: Path | None = None) -> bytes:
    """Run Python in a folder."""
    env = os.environ | ({"PYTHONPATH": str(path)} if path else {})
    done = subprocess.run(  # noqa: S603  # our own package
        [sys.executable, *arguments],
        cwd=folder,
        env=env,
        capture_output=True,
        check=False,
    )
    assert done.returncode == 0, (done.stdout + done.stderr).decode()
    return done.stdout


def test_nothing_of_the_tree_is_missing(wheel: Path) -> None:
    with ZipFile(wheel) as packed:
        inside = {name for name in packed.namelist() if name.startswith("yardwright/")}
    tree = {
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / "yardwright").rglob("*")
        if path.is_file() and "__pycache__" not in path.parts
    }
    assert any(name.endswith(".typ") for name in tree)
    assert tree == inside


def test_licence_and_notices_go_with_it(wheel: Path) -> None:
    with ZipFile(wheel) as packed:
        licences = {Path(name).name for name in packed.namelist() if "/licenses/" in name}
    assert {"LICENSE", "NOTICE"} <= licences


def test_it_answers_from_where_it_is_installed(installed: Path, tmp_path: Path) -> None:
    command = (
        "import sys, yardwright.cli; print(yardwright.__file__); sys.exit(yardwright.cli.main())"
    )
    file = ROOT / "docs" / "three-days.toml"
    said = run(tmp_path, "-c", command, "water", str(file), "Dunlin", path=installed).decode()
    assert said.startswith(str(installed))
    assert "Dunlin floats from 0.80 m chart datum up:" in said


def test_paper_is_printed_with_its_own_faces(installed: Path, tmp_path: Path) -> None:
    sheet = "day_sheet.DaySheet('Heron Slip', 'Today', date(2031, 5, 6), 'All is well.', (), 'a')"
    printing = (
        "import sys; from datetime import date; from yardwright.papers import day_sheet, paper;"
        f"sys.stdout.buffer.write(day_sheet.day_sheet({sheet}, paper.Paper.A4))"
    )
    pdf = run(tmp_path, "-c", printing, path=installed)
    assert pdf.startswith(b"%PDF-")
    assert b"AtkinsonHyperlegibleNext-Regular" in pdf
