"""A command in a terminal of its own, as somebody types it."""

import fcntl
import os
import pty
import re
import select
import subprocess
import sys
import termios
import time
from pathlib import Path

YARDWRIGHT = Path(sys.executable).with_name("yardwright")
ANSWERS_WITHIN_S = 60
CTRL_C = "\x03"


class Terminal:
    def __init__(self, folder: Path, *words: str) -> None:
        self._ours, theirs = pty.openpty()
        self.process = subprocess.Popen(  # noqa: S603  # our own command
            [YARDWRIGHT, *words],
            cwd=folder,
            stdin=theirs,
            stdout=theirs,
            stderr=theirs,
            start_new_session=True,
            preexec_fn=lambda: fcntl.ioctl(0, termios.TIOCSCTTY, 0),
        )
        os.close(theirs)
        self._unread = ""

    def reads(self, words: str) -> None:
        """Wait until the words stand there, and read on after them."""
        until = time.monotonic() + ANSWERS_WITHIN_S
        pattern = re.escape(words).replace("…", "[^\n]*")
        while not (found := re.search(pattern, self._unread)):
            left_s = until - time.monotonic()
            ready = left_s > 0 and select.select([self._ours], [], [], left_s)[0]
            more = self._more() if ready else ""
            assert more, f"{words!r} never came; what did:\n{self._unread}"
            self._unread += more
        self._unread = self._unread[found.end() :]

    def types(self, words: str) -> None:
        os.write(self._ours, words.encode())

    def ends(self) -> tuple[int, str]:
        """Its exit code, and what it said that nobody has read."""
        while more := self._more():
            self._unread += more
        os.close(self._ours)
        return self.process.wait(ANSWERS_WITHIN_S), self._unread

    def _more(self) -> str:
        try:
            return os.read(self._ours, 4096).decode().replace("\r\n", "\n")
        except OSError:  # Linux's way to say that the other end is shut
            return ""
