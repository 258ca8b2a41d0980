"""The first run of a real yard, in a folder and a process of its own."""

import os
import sqlite3
import stat
import subprocess
import sys
from collections.abc import Sequence
from contextlib import closing
from pathlib import Path

import pytest

RUN = """
import sys
from pathlib import Path
from yardwright.web import serve
from yardwright.yard.refused import Refused
answers = iter(sys.argv[3:])
try:
    serve.open_home(Path(sys.argv[1]), demo=sys.argv[2] == "demo")
    if len(sys.argv) > 3:
        serve.first_run(lambda _: next(answers), lambda _: next(answers))
except Refused as refused:
    sys.exit(f"{refused}")
left = len(list(answers))
if left:
    sys.exit(f"{left} answers were not asked for")
"""
GOOD = ("Heron Slip", "America/New_York", "MLLW", "Mara", "walk round her twice")


def run(home: Path, how: str, *answers: str) -> subprocess.CompletedProcess[str]:
    plain = {k: v for k, v in os.environ.items() if not k.startswith(("YARDWRIGHT", "DJANGO"))}
    return subprocess.run(  # noqa: S603  # our own words
        [sys.executable, "-W", "error::ResourceWarning", "-c", RUN, str(home), how, *answers],
        capture_output=True,
        text=True,
        env=plain,
        timeout=120,
        check=False,
    )


def rows(home: Path, question: str) -> Sequence[tuple[object, ...]]:
    with closing(sqlite3.connect(home / "yard.sqlite3")) as read:
        return read.execute(question).fetchall()


@pytest.fixture(scope="module")
def real_yard(tmp_path_factory: pytest.TempPathFactory) -> Path:
    home = tmp_path_factory.mktemp("real") / "yard"
    done = run(home, "serve", *GOOD)
    assert done.returncode == 0, done.stderr
    return home


def test_it_asks_once_and_the_manager_may_do_all(real_yard: Path) -> None:
    assert rows(real_yard, "SELECT name, zone, datum, is_demo, sill_height_m FROM yard_yard") == [
        ("Heron Slip", "America/New_York", "MLLW", 0, None)
    ]
    ((name, rights),) = rows(real_yard, "SELECT name, rights FROM yard_person")
    assert name == "Mara"
    for right in ("prove", "clear", "put in the water", "ink", "see money"):
        assert f'"{right}"' in str(rights)
    ((secret,),) = rows(real_yard, "SELECT password FROM auth_user")
    assert "walk round" not in str(secret)
    again = run(real_yard, "serve", *GOOD)
    assert "5 answers were not asked for" in again.stderr


def test_the_key_and_the_folder_are_its_owners_alone(real_yard: Path) -> None:
    assert stat.S_IMODE((real_yard / "secret-key").stat().st_mode) == 0o600
    assert stat.S_IMODE(real_yard.stat().st_mode) == 0o700


def test_bad_answers_are_asked_again_with_why(tmp_path: Path) -> None:
    answers = (
        " ",
        "Heron  Slip",
        "New York",
        "America/New_York",
        "mean lower low water",
        "MLLW",
        "",
        "Mara",
        "short",
        "password",
        "walk round her twice",
    )
    done = run(tmp_path, "serve", *answers)
    assert done.returncode == 0, done.stderr
    assert rows(tmp_path, "SELECT name FROM yard_yard") == [("Heron Slip",)]
    for why in (
        "That was empty",
        "America/New_York",
        "at most 12",
        "at least 8 characters",
        "too common",
    ):
        assert why in done.stderr


def test_demo_and_real_never_share_a_folder(real_yard: Path, tmp_path: Path) -> None:
    refused = run(real_yard, "demo")
    assert refused.returncode == 1
    assert "holds a real yard" in refused.stderr
    assert run(tmp_path, "serve", *GOOD).returncode == 0
    with closing(sqlite3.connect(tmp_path / "yard.sqlite3")) as made:
        made.execute("UPDATE yard_yard SET is_demo = 1")
        made.commit()
    refused = run(tmp_path, "serve")
    assert refused.returncode == 1
    assert "log-ins everybody knows" in refused.stderr
    assert run(tmp_path, "demo").returncode == 0


def test_a_copy_is_kept_before_the_database_is_brought_up_to_date(tmp_path: Path) -> None:
    assert run(tmp_path, "serve", *GOOD).returncode == 0
    assert not (tmp_path / "kept").exists()  # an empty folder has nothing to keep
    with closing(sqlite3.connect(tmp_path / "yard.sqlite3")) as old:
        old.execute("DROP TABLE django_session")  # as a yard from before sessions would be
        old.execute("DELETE FROM django_migrations WHERE app = 'sessions'")
        old.commit()
    done = run(tmp_path, "serve")
    assert done.returncode == 0, done.stderr
    assert rows(tmp_path, "SELECT count(*) FROM django_session") == [(0,)]
    (copy,) = (tmp_path / "kept").glob("*-before-migration.sqlite3")
    with closing(sqlite3.connect(copy)) as kept:
        assert kept.execute("SELECT name FROM yard_yard").fetchall() == [("Heron Slip",)]
        with pytest.raises(sqlite3.OperationalError, match="no such table"):
            kept.execute("SELECT * FROM django_session")


def test_a_key_that_others_can_read_stops_it(tmp_path: Path) -> None:
    (tmp_path / "secret-key").write_text("everybody reads this")
    (tmp_path / "secret-key").chmod(0o644)
    done = run(tmp_path, "serve", *GOOD)
    assert done.returncode == 1
    assert "can be read by others" in done.stderr
    assert not (tmp_path / "yard.sqlite3").exists()
