"""The PSPLIB's projects: is the recipe sound on problems that are not ours?"""

from collections.abc import Iterator
from statistics import mean
from typing import NamedTuple

from bench.project_search import Found, ours, plain
from bench.projects import Instance, faults, instances, length

TIME_LIMIT_S = 10.0


class Told(NamedTuple):
    """One way on one instance: how long its plan is, whether that is proven, its gap [%]."""

    length: int
    proven: bool
    gap: float

    def __str__(self) -> str:
        return f"{self.length}{' proven' if self.proven else ''} ({self.gap:.1f} %)"


def psplib() -> Iterator[str]:
    """Both ways on all twelve, ten seconds and two workers each."""
    both: list[tuple[Told, Told]] = []
    for one in instances():
        found = _told(one, ours(one.project, TIME_LIMIT_S))
        beside = _told(one, plain(one.project, TIME_LIMIT_S))
        known = f"{one.best_known}{'' if one.closed else f', at least {one.at_least}'}"
        yield f"psplib: {one.name:<10} known {known:<18} ours {found!s:<20} plain {beside}"
        both.append((found, beside))
    for way, told in zip(("ours", "plain"), zip(*both, strict=True), strict=True):
        proven = sum(one.proven for one in told)
        yield f"psplib: {way}: {proven} proven, mean gap to best known {mean(one.gap for one in told):.2f} %"


def _told(one: Instance, found: Found) -> Told:
    wrong = list(faults(one.project, found.starts))
    takes = length(one.project, found.starts)
    if wrong or takes < one.at_least or found.at_least > one.best_known:
        raise RuntimeError(f"{one.name}: {takes}, at least {found.at_least}? {wrong[:3]}")
    gap = 100 * (takes - one.best_known) / one.best_known
    return Told(takes, takes <= found.at_least, gap)
