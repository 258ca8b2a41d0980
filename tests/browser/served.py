"""A yard in a folder of its own, served as ``yardwright serve`` does: real server, real worker."""

import atexit
import os
import shutil
import signal
import socket
import sqlite3
import subprocess
import sys
import time
from contextlib import closing, suppress
from datetime import UTC, datetime
from functools import lru_cache
from http import HTTPStatus
from http.client import HTTPConnection
from pathlib import Path
from tempfile import mkdtemp

from yardwright.web.home import DATABASE

ROOT = Path(__file__).parents[2]
YARDWRIGHT = "import sys; from yardwright.cli import main; sys.exit(main())"
SETTINGS = "yardwright.web.settings"
UP_WITHIN_S = 120  # on a busy machine


class Served:
    def __init__(self, home: Path, *season_files: Path) -> None:
        self.home = home
        self.filled = _filled(*season_files)
        shutil.copytree(self.filled, home, dirs_exist_ok=True)
        with closing(socket.socket()) as free:
            free.bind(("127.0.0.1", 0))
            self.port = int(free.getsockname()[1])
        self.url = f"http://127.0.0.1:{self.port}"
        self.start()

    def __enter__(self) -> "Served":
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    def start(self) -> None:
        self.process = subprocess.Popen(  # noqa: S603  # our own server
            [sys.executable, "-c", YARDWRIGHT, "serve", *self._where],
            cwd=ROOT,
            env=self._env(),
            start_new_session=True,
        )
        try:
            self._wait()
        except AssertionError:
            self.stop()  # nobody else would: no test has it yet
            raise

    def _wait(self) -> None:
        until = time.monotonic() + UP_WITHIN_S
        while not self._answers():
            assert self.process.poll() is None, "the server ended; see its words above"
            assert time.monotonic() < until, "the server does not answer"
            time.sleep(0.1)

    def stop(self) -> None:
        """Server and worker are gone, as after a power cut."""
        with suppress(ProcessLookupError):  # it ended by itself
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()

    def begin_again(self) -> None:
        """All facts are as the season files say, without waiting for another server."""
        as_filled = closing(sqlite3.connect(self.filled / DATABASE))
        with as_filled as filled, closing(self.database()) as here:
            filled.backup(here)
        if self.process.poll() is not None:
            self.start()

    def set_clock(self, now: datetime) -> None:
        """Let the yard's clock run from this moment."""
        ahead_s = (now - datetime.now(UTC)).total_seconds()
        with closing(self.database()) as db, db:
            db.execute("UPDATE yard_yard SET clock_ahead_s = ?", [ahead_s])

    def ask(self, question: str, *values: str) -> str:
        """One value out of the yard's database, for an address that a person would get by a link."""
        with closing(self.database()) as db:
            (answer,) = db.execute(question, values).fetchone()
        return str(answer)

    def database(self) -> sqlite3.Connection:
        """The yard's own, beside the server."""
        return sqlite3.connect(self.home / DATABASE, timeout=20)

    def _answers(self) -> bool:
        try:
            with closing(HTTPConnection("127.0.0.1", self.port, timeout=5)) as asked:
                asked.request("GET", "/sign-in/")
                return asked.getresponse().status == HTTPStatus.OK
        except OSError:
            return False

    @property
    def _where(self) -> tuple[str, ...]:
        return "--home", str(self.home), "--port", str(self.port)

    def run(self, *command: str) -> None:
        _run(self.home, *command)

    def _env(self) -> dict[str, str]:
        return _env(self.home)


@lru_cache(maxsize=4)
def _filled(*season_files: Path) -> Path:
    """A folder that is filled once, for every yard that begins with it."""
    home = Path(mkdtemp(prefix="yard"))
    atexit.register(shutil.rmtree, home, ignore_errors=True)
    _run(home, "-m", "tests.browser.fill", str(home), *map(str, season_files))
    return home


def _run(home: Path, *command: str) -> None:
    subprocess.run([sys.executable, *command], cwd=ROOT, env=_env(home), check=True)  # noqa: S603  # our own module


def _env(home: Path) -> dict[str, str]:
    ours = {"YARDWRIGHT_HOME": str(home), "DJANGO_SETTINGS_MODULE": SETTINGS}
    return {**os.environ, **ours}
