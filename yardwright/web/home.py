"""A yard's folder: its key, its database, the copies kept of it, and its log.

Nothing here needs the database to be open; ``first_run`` fills it.
"""

import os
import secrets
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

from yardwright.web.sqlite import sqlite3
from yardwright.yard.refused import Refused

KEY, DATABASE, KEPT = "secret-key", "yard.sqlite3", "kept"
OWNER_ONLY = 0o600


def make_key(home: Path) -> None:
    """Make the secret key on the first run, readable by its owner alone."""
    key = home / KEY
    if key.exists():
        if key.stat().st_mode & 0o077:
            raise Refused(
                f"{key} can be read by others.",
                f"Take that away: chmod 600 {key}, then start again.",
            )
        return
    home.mkdir(parents=True, exist_ok=True, mode=0o700)
    handle = os.open(key, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OWNER_ONLY)
    with os.fdopen(handle, "w") as file:
        file.write(secrets.token_urlsafe(50))


def keep(home: Path, why: str = "by-hand") -> Path:
    """Copy the database while it is in use; the copy is whole.

    Raises
    ------
    Refused
        There is no yard in this folder, or what is there is damaged.
    """
    database = home / DATABASE
    if not database.exists():
        raise Refused(f"No yard in {home}.", "Name the folder with --home, or start serve there.")
    copy = _new_copy(home, why)
    try:
        with closing(sqlite3.connect(database)) as now, closing(sqlite3.connect(copy)) as kept:
            now.backup(kept)
        _sound(copy)
    except (Refused, sqlite3.DatabaseError) as error:
        copy.unlink()
        raise Refused(
            f"{database} is damaged, so no copy of it was kept ({error}).",
            f"Bring back one kept before: they lie in {home / KEPT}.",
        ) from error
    copy.chmod(OWNER_ONLY)
    return copy


def _new_copy(home: Path, why: str) -> Path:
    (home / KEPT).mkdir(exist_ok=True, mode=0o700)
    stamp = datetime.now(UTC).strftime("%Y-%m-%d-%H%M%S-%f")
    return home / KEPT / f"{stamp}-{why}.sqlite3"


def bring_back(home: Path, copy: Path) -> Path | None:
    """Put a kept copy in the database's place; what stood there is kept first, damaged or not.

    Returns
    -------
    Path or None
        The copy of what stood there before; None where nothing did.

    Raises
    ------
    Refused
        The copy is missing, damaged or no yard; or a server is running on this folder.
    """
    if not copy.is_file():
        raise Refused(f"No copy {copy}.", f"Look in {home / KEPT}.")
    _sound(copy)
    _not_in_use(home)
    before = _set_aside(home)
    with closing(sqlite3.connect(copy)) as kept, closing(sqlite3.connect(home / DATABASE)) as now:
        kept.backup(now)
    (home / DATABASE).chmod(OWNER_ONLY)
    return before


def _not_in_use(home: Path) -> None:
    """Nobody else has the database open: not even a server that is idle."""
    if not (home / DATABASE).exists():
        return
    with closing(sqlite3.connect(home / DATABASE, timeout=1)) as now:
        try:
            now.execute("PRAGMA locking_mode=EXCLUSIVE")
            now.execute("BEGIN EXCLUSIVE")
            now.rollback()
        except sqlite3.OperationalError as error:
            raise Refused("The yard is in use.", "Stop the server first, then again.") from error
        except sqlite3.DatabaseError:
            return  # no database any more: brought back all the same


def _set_aside(home: Path) -> Path | None:
    """Keep what stands there; a damaged database is put away as it is."""
    database = home / DATABASE
    if not database.exists():
        return None
    try:
        return keep(home, "before-bring-back")
    except Refused:
        away = _new_copy(home, "damaged")
        for beside in ("", "-wal", "-shm"):
            part = database.with_name(f"{DATABASE}{beside}")
            if part.exists():
                part.rename(away.with_name(f"{away.name}{beside}"))
        return away


def _sound(copy: Path) -> None:
    """A copy that can't be brought back is no copy."""
    try:
        with closing(sqlite3.connect(f"file:{copy}?mode=ro", uri=True)) as kept:
            (answer,) = kept.execute("PRAGMA integrity_check").fetchone()
            kept.execute("SELECT count(*) FROM work_fact")
    except sqlite3.DatabaseError as error:
        raise Refused(f"{copy} is not a whole yard ({error}).", "Take another copy.") from error
    if answer != "ok":
        raise Refused(f"{copy} is damaged ({answer}).", "Take another copy.")
