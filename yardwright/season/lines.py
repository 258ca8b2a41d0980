"""Where in a TOML text a value stands, so that a fault can name its line."""

import re
from collections import defaultdict
from collections.abc import Iterator

Path = tuple[str | int, ...]

_NAME = r"""(?:[A-Za-z0-9_-]+|"[^"]*"|'[^']*')"""
_DOTTED = rf"{_NAME}(?:\s*\.\s*{_NAME})*"
_LIST = re.compile(rf"\s*\[\[\s*({_DOTTED})\s*\]\]\s*(?:#.*)?$")
_TABLE = re.compile(rf"\s*\[\s*({_DOTTED})\s*\]\s*(?:#.*)?$")
_KEY = re.compile(rf"\s*({_DOTTED})\s*=")
_LONG_STRING = re.compile(r'"""|\'\'\'')


def lines_of(text: str) -> dict[Path, int]:
    """Give the line of every table and key.

    Parameters
    ----------
    text : str
        A TOML text. Values inside an inline table have the line of the key that holds it.

    Returns
    -------
    dict of path to int
        Paths such as ``("boats", 1, "draft_m")``, lists counted from 0; lines from 1.
    """
    found: dict[Path, int] = {}
    count: dict[Path, int] = defaultdict(int)
    here: Path = ()
    for number, line in _outside_long_strings(text):
        if many := _LIST.match(line):
            parent = _inside(many[1], count)
            here = (*parent, count[parent])
            count[parent] += 1
        elif one := _TABLE.match(line):
            here = _inside(one[1], count)
        if key := _KEY.match(line):
            found.setdefault((*here, *_names(key[1])), number)
        else:
            found.setdefault(here, number)
    return found


def line_of(path: Path, found: dict[Path, int]) -> int:
    """Give the line of a value, or of the nearest table around it."""
    while path and path not in found:
        path = path[:-1]
    return found.get(path, 1)


def _inside(dotted: str, count: dict[Path, int]) -> Path:
    """Resolve a header: below a list, its latest entry is meant."""
    path: Path = ()
    *above, last = _names(dotted)
    for name in above:
        path = (*path, name)
        if count[path]:
            path = (*path, count[path] - 1)
    return (*path, last)


def _names(dotted: str) -> list[str]:
    return [name.strip("\"'") for name in re.findall(_NAME, dotted)]


def _outside_long_strings(text: str) -> Iterator[tuple[int, str]]:
    inside = False
    for number, line in enumerate(text.split("\n"), 1):
        if not inside:
            yield number, line
        inside ^= len(_LONG_STRING.findall(line)) % 2 == 1
