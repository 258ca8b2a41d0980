"""The sums of a yard, one registry: each has a function, a command, a page and a paper.

Each subject is a module with its ``SUMS``; a sum's name is its command and its page's address.
"""

from collections.abc import Mapping
from functools import cache

from yardwright.sums import (
    air,
    antifreeze,
    batteries,
    charge,
    cover,
    engine,
    flooding,
    frost,
    fuel,
    lifting,
    papers,
    standing,
    waste,
    wiring,
)
from yardwright.sums.sum import Sum

SUBJECTS = (
    charge,
    batteries,
    wiring,
    antifreeze,
    engine,
    fuel,
    frost,
    lifting,
    standing,
    flooding,
    air,
    cover,
    papers,
    waste,
)


@cache
def sums() -> Mapping[str, Sum]:
    """All sums by name, in the order of their subjects.

    Returns
    -------
    mapping of str to Sum
        As the subjects have them.

    Raises
    ------
    ValueError
        Two of one name.
    """
    found: dict[str, Sum] = {}
    for one in (one for subject in SUBJECTS for one in subject.SUMS):
        if one.name in found:
            raise ValueError(f"Two sums are called {one.name}; give each its own name.")
        found[one.name] = one
    return found
