"""One line of whatever kind becomes what it tells: our own plain lines, NMEA 0183, NMEA 2000."""

import re
from collections.abc import Sequence
from datetime import datetime
from functools import cached_property

from yardwright.sensors import nmea_0183
from yardwright.sensors.nmea_2000 import Network, is_nmea_2000
from yardwright.sensors.reading import Heard, Start, Stopped, Warned, Water, typed

TIME = re.compile(r"(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(?:[.,]\d+)?(?:Z|[+-]\d\d:?\d\d)?)\s+(.*)")
LONGEST = 1000  # letters of a line; no sensor writes more


class Ear:
    """Hears one line after the other; a message of NMEA 2000 may need several."""

    @cached_property
    def network(self) -> Network:
        """Made for who needs it: what decodes NMEA 2000 takes a second to load."""
        return Network()

    def hear(self, line: str) -> Sequence[Heard]:
        """What a line tells.

        Parameters
        ----------
        line : str
            Without its end.

        Returns
        -------
        sequence of Reading, Start, Stopped or Water
            None in it: the line is good, and tells nothing that is read here.

        Raises
        ------
        ValueError
            What is wrong with the line, in words.
        """
        line = line.strip("\ufeff\0 \t\r\n")
        if not line or line.startswith("#"):
            return ()
        if len(line) > LONGEST:
            raise ValueError(f"the line has {len(line)} letters; no sensor writes so many.")
        at = None
        if timed := TIME.fullmatch(line):
            at, line = _time(timed[1]), timed[2]
        if is_nmea_2000(line):
            return self.network.hear(at, line)
        if line[0] in "$!":
            return nmea_0183.hear(at, line)
        return (_plain(at, line),)


def _time(written: str) -> datetime:
    at = datetime.fromisoformat(written.replace(",", "."))
    if at.tzinfo is None:
        raise ValueError(f"{written} names no offset; write it like 2031-05-06T09:30:00-04:00.")
    return at


def _plain(at: datetime | None, line: str) -> Heard:
    """A line of our own: ``head_port 64.5 C``, ``start``, ``stopped``, ``water yes``, ``engine_0 warns: hot``."""
    point, _, words = line.partition(" ")
    if line == "start":
        return Start(at)
    if line == "stopped":
        return Stopped(at)
    if point == "water" and words.strip() in ("yes", "no"):
        return Water(at, words.strip() == "yes")
    kind, _, what = words.partition(":")
    if kind == "warns" and what.strip():
        return Warned(at, point, what.strip())
    if not words:
        raise ValueError(
            f"{line[:40]!r} tells nothing; write a point, a number and its unit, "
            "such as: head_port 64.5 C"
        )
    return typed(at, point, words)
