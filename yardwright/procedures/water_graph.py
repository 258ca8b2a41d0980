"""Which way water takes through what does not hold: a graph of places joined by barriers."""

from collections import defaultdict, deque
from collections.abc import Iterable, Iterator

from yardwright.procedures.ways_in import GOALS, SOURCES, Barrier

OUTSIDE = "outside"  # sea and rain in one: water is there already
INSIDE = "inside"  # bilge and cylinders in one: water there does harm

Net = dict[str, list[tuple[str, Barrier]]]
Path = tuple[Barrier, ...]


def net_of(barriers: Iterable[Barrier]) -> Net:
    """Neighbours of each place if all these barriers let water pass, both ways."""
    net: Net = defaultdict(list)
    for barrier in barriers:
        one, other = merged(barrier.outside), merged(barrier.inside)
        if one != other:
            net[one].append((other, barrier))
            net[other].append((one, barrier))
    return net


def reached(net: Net, start: str) -> frozenset[str]:
    """Every place that joins ``start``, without passing through the other end of the ways."""
    seen, ahead = {start}, [start]
    while ahead:
        for place, _ in net.get(ahead.pop(), ()):
            if place not in seen:
                seen.add(place)
                if place not in (OUTSIDE, INSIDE):
                    ahead.append(place)
    return frozenset(seen)


def paths(net: Net) -> Iterator[Path]:
    """Every way from outside to inside that passes no place twice."""
    leads_in = reached(net, INSIDE)

    def on_from(place: str, been: frozenset[str], path: Path) -> Iterator[Path]:
        for ahead, barrier in net.get(place, ()):
            if ahead == INSIDE:
                yield (*path, barrier)
            elif ahead not in been and ahead in leads_in:
                yield from on_from(ahead, been | {ahead}, (*path, barrier))

    return on_from(OUTSIDE, frozenset({OUTSIDE}), ())


def fewest(net: Net) -> Path:
    """The fewest barriers which, made to hold, leave no way in: those nearest the sea.

    Notes
    -----
    Ford and Fulkerson's maximum flow with one unit through each barrier; the cut is what joins
    the places that still have a way on from outside to those that have none.
    """
    flow: dict[str, str] = {}  # barrier -> the place its unit runs to
    while INSIDE in (came_by := _way_on(net, flow)):
        place = INSIDE
        while place != OUTSIDE:
            before, barrier = came_by[place]
            if flow.get(barrier.name) == before:
                del flow[barrier.name]
            else:
                flow[barrier.name] = place
            place = before
    near = {OUTSIDE, *came_by}
    return tuple(
        barrier
        for place, joined in net.items()
        if place in near
        for ahead, barrier in joined
        if ahead not in near
    )


def _way_on(net: Net, flow: dict[str, str]) -> dict[str, tuple[str, Barrier]]:
    """Places that one more unit can reach, and from where; the start has no from."""
    came_by: dict[str, tuple[str, Barrier]] = {}
    ahead = deque([OUTSIDE])
    while ahead:
        place = ahead.popleft()
        for beyond, barrier in net.get(place, ()):
            if beyond not in came_by and beyond != OUTSIDE and flow.get(barrier.name) != beyond:
                came_by[beyond] = (place, barrier)
                ahead.append(beyond)
    return came_by


def merged(place: str) -> str:
    """A place's name in the net, where sea and rain are one, and so are bilge and cylinders."""
    return OUTSIDE if place in SOURCES else INSIDE if place in GOALS else place
