"""Median times of two things that take turns, so that a busy machine slows both alike."""

from collections.abc import Callable
from dataclasses import dataclass
from statistics import median
from time import perf_counter

Thing = Callable[[], object]


@dataclass(frozen=True, slots=True)
class Pair:
    """Ours against a baseline: medians in milliseconds."""

    name: str
    ours_ms: float
    baseline: str
    baseline_ms: float

    @property
    def ratio(self) -> float:
        return self.ours_ms / self.baseline_ms

    def __str__(self) -> str:
        return (
            f"{self.name:<44} {self.ours_ms:9.2f} ms   {self.ratio:8.3f} × "
            f"{self.baseline} ({self.baseline_ms:.2f} ms)"
        )


def once_ms(thing: Thing) -> float:
    start = perf_counter()
    thing()
    return 1000 * (perf_counter() - start)


def pair(name: str, ours: Thing, baseline: str, other: Thing, runs: int = 20) -> Pair:
    """Both once to warm up, then in turn."""
    ours(), other()
    times = [(once_ms(ours), once_ms(other)) for _ in range(runs)]
    return Pair(name, median(a for a, _ in times), baseline, median(b for _, b in times))
