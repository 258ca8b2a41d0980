"""Copies kept of a yard, and brought back: whole, refused when damaged, refused when in use."""

import stat
import time
from contextlib import closing
from pathlib import Path

import pytest

from yardwright.web.home import DATABASE, KEPT, bring_back, keep, make_key
from yardwright.web.sqlite import MENDED, sqlite3
from yardwright.yard.refused import Refused


def yard_at(home: Path, *facts: str) -> Path:
    """A database with as much of a yard as a copy is asked for, kept as the app keeps it."""
    home.mkdir(exist_ok=True)
    with closing(sqlite3.connect(home / DATABASE)) as made:
        made.execute("PRAGMA journal_mode=WAL")
        made.execute("CREATE TABLE work_fact (what TEXT)")
        made.executemany("INSERT INTO work_fact VALUES (?)", [(fact,) for fact in facts])
        made.commit()
    return home


def facts_at(home: Path) -> list[str]:
    with closing(sqlite3.connect(home / DATABASE)) as read:
        return [what for (what,) in read.execute("SELECT what FROM work_fact ORDER BY rowid")]


def add(home: Path, fact: str) -> None:
    with closing(sqlite3.connect(home / DATABASE)) as made:
        made.execute("INSERT INTO work_fact VALUES (?)", (fact,))
        made.commit()


def mode(path: Path) -> int:
    return stat.S_IMODE(path.stat().st_mode)


def test_the_sqlite_in_use_is_the_mended_one() -> None:
    # sqlite.org/wal.html: the WAL-reset fault is in 3.7.0 to 3.51.2
    assert sqlite3.sqlite_version_info >= MENDED == (3, 51, 3)


def test_what_was_kept_comes_back_and_what_stood_there_is_kept(tmp_path: Path) -> None:
    home = yard_at(tmp_path / "yard", "plug out")
    copy = keep(home)
    add(home, "plug in")
    before = bring_back(home, copy)
    assert facts_at(home) == ["plug out"]
    assert before is not None
    bring_back(home, before)
    assert facts_at(home) == ["plug out", "plug in"]


def test_a_copy_is_for_its_owner_alone(tmp_path: Path) -> None:
    copy = keep(yard_at(tmp_path / "yard"))
    assert mode(copy) == 0o600
    assert mode(copy.parent) == 0o700


def test_a_copy_taken_in_the_middle_of_a_write_is_whole(tmp_path: Path) -> None:
    home = yard_at(tmp_path / "yard", "plug out")
    with closing(sqlite3.connect(home / DATABASE)) as writing:
        writing.execute("INSERT INTO work_fact VALUES ('half written')")
        copy = keep(home)
        writing.rollback()
    with closing(sqlite3.connect(copy)) as kept:
        assert kept.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert kept.execute("SELECT what FROM work_fact").fetchall() == [("plug out",)]


@pytest.mark.parametrize(
    "content", [b"", b"not a database at all", b"SQLite format 3\0" + b"x" * 4096]
)
def test_a_damaged_copy_changes_nothing(content: bytes, tmp_path: Path) -> None:
    home = yard_at(tmp_path / "yard", "plug out")
    bad = tmp_path / "bad.sqlite3"
    bad.write_bytes(content)
    with pytest.raises(Refused, match="not a whole yard"):
        bring_back(home, bad)
    assert facts_at(home) == ["plug out"]


def test_a_copy_cut_short_is_refused(tmp_path: Path) -> None:
    home = yard_at(tmp_path / "yard", *["plug out" * 100] * 200)
    copy = keep(home)
    copy.write_bytes(copy.read_bytes()[:-20_000])
    with pytest.raises(Refused, match=r"damaged|not a whole yard"):
        bring_back(home, copy)


def test_a_copy_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="No copy"):
        bring_back(yard_at(tmp_path / "yard"), tmp_path / "none.sqlite3")


def test_nothing_is_brought_back_under_a_server_that_is_idle(tmp_path: Path) -> None:
    home = yard_at(tmp_path / "yard", "plug out")
    copy = keep(home)
    with closing(sqlite3.connect(home / DATABASE)) as server:
        server.execute("SELECT count(*) FROM work_fact").fetchone()
        start = time.monotonic()
        with pytest.raises(Refused, match="in use"):
            bring_back(home, copy)
        assert time.monotonic() - start < 5
    bring_back(home, copy)


def test_a_damaged_yard_is_put_away_and_the_copy_brought_back(tmp_path: Path) -> None:
    home = yard_at(tmp_path / "yard", "plug out")
    copy = keep(home)
    (home / DATABASE).write_bytes(b"the disk had a bad day" * 500)
    with pytest.raises(Refused, match="damaged"):
        keep(home)
    away = bring_back(home, copy)
    assert away is not None
    assert away.read_bytes().startswith(b"the disk")
    assert facts_at(home) == ["plug out"]


def test_a_lost_yard_is_brought_back(tmp_path: Path) -> None:
    home = yard_at(tmp_path / "yard", "plug out")
    copy = keep(home)
    for part in home.glob(f"{DATABASE}*"):
        part.unlink()
    assert bring_back(home, copy) is None
    assert facts_at(home) == ["plug out"]


def test_nothing_is_kept_where_there_is_no_yard(tmp_path: Path) -> None:
    with pytest.raises(Refused, match="No yard in"):
        keep(tmp_path)
    assert not (tmp_path / KEPT).exists()


def test_the_key_is_made_once_for_its_owner_alone(tmp_path: Path) -> None:
    home = tmp_path / "yard"
    make_key(home)
    key = home / "secret-key"
    assert mode(key) == 0o600
    assert len(key.read_text()) >= 50
    first = key.read_text()
    make_key(home)
    assert key.read_text() == first


def test_a_key_that_others_can_read_is_refused(tmp_path: Path) -> None:
    make_key(tmp_path)
    (tmp_path / "secret-key").chmod(0o644)
    with pytest.raises(Refused, match="chmod 600"):
        make_key(tmp_path)
