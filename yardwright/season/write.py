"""A season becomes a season file."""

from collections.abc import Iterator
from zoneinfo import ZoneInfo

import tomli_w

from yardwright.season.model import Season
from yardwright.season.shape import plain

LINE = 100


def write(season: Season) -> str:
    """Write a season, so that ``read`` gives the same one.

    Parameters
    ----------
    season : Season
        One without faults.

    Returns
    -------
    str
        TOML. What is not known, and what is as it mostly is, is left out; the rest stands always
        in the same order, so that two files can be compared line by line.
    """
    zone = ZoneInfo(season.yard.zone)
    written = plain(season, zone)
    if not isinstance(written, dict):
        raise TypeError(f"{type(season).__name__} is not a season.")
    return "\n".join([*_short_lists(tomli_w.dumps(written)), ""])


def _short_lists(text: str) -> Iterator[str]:
    """A list that fits stands on one line, as a person would write it."""
    long: list[str] = []
    for line in text.removesuffix("\n").split("\n"):  # not splitlines: names may hold any sign
        if not long and not line.endswith("["):
            yield line
            continue
        long.append(line)
        if line == "]":
            one = _on_one_line(long)
            yield from [one] if len(one) <= LINE and "{" not in one else long
            long = []


def _on_one_line(lines: list[str]) -> str:
    joined = ""
    for line in (line.strip() for line in lines):
        if line in ("]", "],"):
            joined = joined.removesuffix(",") + line
        else:
            joined += line if joined.endswith("[") or not joined else f" {line}"
    return joined
