"""What a newcomer types first: ./dev, and the lock files that it installs from."""

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
BASH = shutil.which("bash") or "bash"
GIT = shutil.which("git")
MACHINE_PATH = re.compile(r"(?<![\w.>}])/(work|root|tmp|home|Users)/\w")


def dev(*words: str, **env: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(  # noqa: S603  # our own script
        [BASH, str(ROOT / "dev"), *words],
        env=os.environ | env,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.parametrize("script", ["dev", ".ci/run"])
def test_the_shell_can_read_it(script: str) -> None:
    subprocess.run([BASH, "-n", str(ROOT / script)], check=True)  # noqa: S603  # our own script


@pytest.mark.parametrize("words", [[], ["demmo"], ["--help"]])
def test_an_unknown_word_is_answered_with_the_known_ones(words: list[str]) -> None:
    done = dev(*words)
    assert done.returncode == 2
    assert done.stdout == ""
    script = (ROOT / "dev").read_text(encoding="utf-8")
    known = set(re.findall(r"^    (\w+)\) ", script, re.M))
    assert {"demo", "test"} < known == set(re.findall(r"^\./dev (\w+)", done.stderr, re.M))


@pytest.mark.parametrize(
    ("lacks", "says"),
    [
        (
            "ensurepip",
            "Python's venv is missing. On Debian or Ubuntu: sudo apt-get install python3-venv",
        ),
        (
            "version_info",
            "Python 3.11 or newer is needed; Python 3.9.2 is here. Name another with PYTHON=…",
        ),
    ],
)
def test_a_python_that_will_not_do_is_told_in_one_line(
    tmp_path: Path, lacks: str, says: str
) -> None:
    python = tmp_path / "python"
    python.write_text(f'#!{BASH}\necho "Python 3.9.2"\n[[ "$*" != *{lacks}* ]]\n')
    python.chmod(0o700)
    done = dev("setup", PYTHON=str(python), YARDWRIGHT_VENV=str(tmp_path / "venv"))
    assert (done.returncode, done.stderr) == (2, f"{says}\n")


def test_no_python_at_all_is_told_in_one_line(tmp_path: Path) -> None:
    done = dev("setup", PYTHON=str(tmp_path / "python"), YARDWRIGHT_VENV=str(tmp_path / "venv"))
    assert done.returncode == 2
    assert done.stderr == (
        "Python 3.11 or newer is missing."
        " On Debian or Ubuntu: sudo apt-get install python3 python3-venv\n"
    )


@pytest.mark.parametrize("there", [True, False], ids=["chromium", "no chromium"])
def test_browser_tests_left_out_are_named(tmp_path: Path, there: bool) -> None:
    path, venv = tmp_path / "path", tmp_path / "venv" / "bin"
    path.mkdir()
    venv.mkdir(parents=True)
    for tool in ("cat", "dirname", "sha256sum"):
        (path / tool).symlink_to(str(shutil.which(tool)))
    stand_ins = [venv / "python", venv / "pip"] + [path / "chromium"] * there
    for stand_in in stand_ins:
        stand_in.write_text(f'#!{BASH}\necho "$@"\n')
        stand_in.chmod(0o700)
    done = dev("test", "-k", "sling", PATH=str(path), YARDWRIGHT_VENV=str(venv.parent))
    assert done.returncode == 0
    left_out = "Left out: the browser tests (tests/browser). Get them with: ./dev setup --browser"
    assert (left_out in done.stderr) is not there
    asked = done.stdout.splitlines()[-1]
    assert asked.startswith("-m pytest ")
    assert ("--ignore=tests/browser" in asked) is not there
    assert asked.endswith("-k sling")


@pytest.mark.parametrize("name", ["requirements.txt", "requirements-dev.txt"])
def test_each_requirement_is_pinned_and_hashed_with_no_registry_named(name: str) -> None:
    text = (ROOT / name).read_text(encoding="utf-8")
    assert not re.search(r"http|index-url|find-links|://", text)
    pinned = re.split(r"^(?=\w)", text, flags=re.M)[1:]
    assert len(pinned) > 20
    for lines in pinned:
        assert re.match(r"[\w.-]+(\[\w+\])?==[\w.]+ ", lines), lines
        assert re.search(r"--hash=sha256:[0-9a-f]{64}\b", lines), lines


def test_both_lock_files_pin_the_same() -> None:
    pins = [
        set(re.findall(r"^([\w.-]+==\S+)", (ROOT / name).read_text(encoding="utf-8"), re.M))
        for name in ("requirements.txt", "requirements-dev.txt")
    ]
    assert pins[0] < pins[1]


@pytest.mark.skipif(GIT is None or not (ROOT / ".git").exists(), reason="not a checkout")
def test_no_file_names_a_place_on_somebody_s_machine() -> None:
    tracked = subprocess.run(  # noqa: S603
        [str(GIT), "ls-files", "-z"], cwd=ROOT, capture_output=True, text=True, check=True
    )
    paths = (ROOT / name for name in tracked.stdout.split("\0") if name)
    files = [path for path in paths if path.is_file() and path != Path(__file__)]
    found = [
        f"{path.relative_to(ROOT)}: {place[0]}"
        for path in files
        if (place := MACHINE_PATH.search(path.read_bytes().decode(errors="replace")))
    ]
    assert len(files) > 100
    assert not found
