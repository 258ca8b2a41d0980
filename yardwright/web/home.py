"""A yard's folder: its key, its database, the copies kept of it, and its log.

Nothing here needs the database to be open; ``first_run`` fills it.
"""

import os
import secrets
import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

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
    home.mkdir(parents=True, exist_ok=True)
    handle = os.open(key, os.O_WRONLY | os.O_CREAT | os.O_EXCL, OWNER_ONLY)
    with os.fdopen(handle, "w") as file:
        file.write(secrets.token_urlsafe(50))


def keep(home: Path, why: str = "by-hand") -> Path:
    """Copy the database while it is in use; the copy is whole.

    Raises
    ------
    Refused
        There is no yard in this folder.
    """
    database = home / DATABASE
    if not database.exists():
        raise Refused(f"No yard in {home}.", "Name the folder with --home, or start serve there.")
    (home / KEPT).mkdir(exist_ok=True)
    stamp = datetime.now(UTC).strftime("%Y-%m-%d-%H%M%S-%f")
    copy = home / KEPT / f"{stamp}-{why}.sqlite3"
    with closing(sqlite3.connect(database)) as now, closing(sqlite3.connect(copy)) as kept:
        now.backup(kept)
    copy.chmod(OWNER_ONLY)
    _sound(copy)
    return copy


def bring_back(home: Path, copy: Path) -> Path:
    """Put a kept copy in the database's place; what stood there is kept first.

    Returns
    -------
    Path
        The copy of what stood there before.

    Raises
    ------
    Refused
        The copy is missing, damaged or no yard; or a server is running on this folder.
    """
    if not copy.is_file():
        raise Refused(f"No copy {copy}.", f"Look in {home / KEPT}.")
    _sound(copy)
    before = keep(home, "before-bring-back")
    with closing(sqlite3.connect(copy)) as kept, closing(sqlite3.connect(home / DATABASE)) as now:
        try:
            now.execute("PRAGMA locking_mode=EXCLUSIVE")
            now.execute("BEGIN EXCLUSIVE").connection.rollback()
        except sqlite3.OperationalError as error:
            raise Refused("The yard is in use.", "Stop the server first, then again.") from error
        kept.backup(now)
    return before


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
