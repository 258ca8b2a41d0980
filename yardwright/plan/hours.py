"""Arithmetic of stretches of time: sorted, disjoint intervals of minutes."""

from bisect import bisect_right
from collections.abc import Iterable, Iterator

from yardwright.plan.days import Interval, Minute

Stretches = tuple[Interval, ...]
EVER = 1 << 40  # later than any season


def both(one: Stretches, other: Stretches) -> Stretches:
    """The stretches that lie in both."""
    shared, i, j = [], 0, 0
    while i < len(one) and j < len(other):
        start, end = max(one[i][0], other[j][0]), min(one[i][1], other[j][1])
        if start < end:
            shared.append((start, end))
        if one[i][1] < other[j][1]:
            i += 1
        else:
            j += 1
    return tuple(shared)


def within(stretches: Stretches, start: Minute, end: Minute) -> Stretches:
    """The stretches cut to what lies between two minutes."""
    begin = max(0, bisect_right(stretches, (start, EVER)) - 1)
    upto = bisect_right(stretches, (end, 0))
    cut = ((max(a, start), min(b, end)) for a, b in stretches[begin:upto])
    return tuple((a, b) for a, b in cut if a < b)


def either(stretches: Iterable[Interval]) -> Stretches:
    """Any stretches, sorted and joined."""
    joined: list[Interval] = []
    for start, end in sorted(stretches):
        if joined and start <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((start, end))
    return tuple(joined)


def crowded(stretches: Iterable[Interval], count: int) -> Stretches:
    """When so many or more of any stretches go on at once."""
    edges = sorted(edge for start, end in stretches for edge in ((start, 1), (end, -1)))
    found, at_once, since = [], 0, 0
    for minute, change in edges:
        if at_once >= count and since < minute:
            found.append((since, minute))
        at_once, since = at_once + change, minute
    return either(found)


def outside(stretches: Stretches, end: Minute) -> Stretches:
    """What is left between 0 and ``end``."""
    edges = [0, *(edge for stretch in stretches for edge in stretch), end]
    return tuple((a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if a < b)


def starts(stretches: Stretches, minutes: int) -> Stretches:
    """When something may begin that takes ``minutes`` without a break inside one stretch."""
    return tuple((a, b - minutes + 1) for a, b in stretches if b - a >= minutes)


def later(stretches: Stretches, minutes: int) -> Stretches:
    """The same stretches so many minutes later."""
    return tuple((start + minutes, end + minutes) for start, end in stretches)


def first(stretches: Stretches, ready: Minute) -> Minute | None:
    """The first minute inside, not before ``ready``."""
    at = bisect_right(stretches, (ready, EVER)) - 1
    if at >= 0 and ready < stretches[at][1]:
        return ready
    return stretches[at + 1][0] if at + 1 < len(stretches) else None


def last(stretches: Stretches, until: Minute) -> Minute | None:
    """The last minute inside, not after ``until``."""
    at = bisect_right(stretches, (until, EVER)) - 1
    return min(until, stretches[at][1] - 1) if at >= 0 else None


def finish(works: Stretches, start: Minute, minutes: int) -> Minute | None:
    """When ``minutes`` of work are done that begin at ``start`` and rest outside ``works``."""
    at = bisect_right(works, (start, EVER)) - 1
    while 0 <= at < len(works):
        here = works[at][1] - max(start, works[at][0])
        if minutes <= here:
            return max(start, works[at][0]) + minutes
        minutes -= here
        at += 1
    return None


def spans(works: Stretches, minutes: int) -> Iterator[tuple[Interval, int]]:
    """Every start of a job of ``minutes``, in groups that take the same time from start to end."""
    for at, (opens, shuts) in enumerate(works):
        if minutes <= shuts - opens:
            yield (opens, shuts - minutes + 1), minutes
        worked = 0  # after this stretch, before the one the job ends in
        for begins, ends in works[at + 1 :]:
            low = max(opens, shuts - minutes + worked + 1)
            if low >= shuts:
                break
            high = min(shuts, shuts - minutes + worked + (ends - begins) + 1)
            if low < high:
                yield (low, high), begins - worked + minutes - shuts
            worked += ends - begins
