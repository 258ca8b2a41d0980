"""The shortest walk past some stops and back, by a solver."""

from collections.abc import Sequence
from itertools import pairwise
from math import dist

PROVEN_STOPS = 25  # more are walked well, not proven shortest
CM = 100

Point = tuple[float, float]


def walk(points: Sequence[Point], time_limit_s: float = 2.0) -> tuple[tuple[int, ...], bool]:
    """Order stops into a short round walk.

    Parameters
    ----------
    points : sequence of (float, float)
        Where one starts and ends, then the stops. [m]
    time_limit_s : float
        At most this long. [s]

    Returns
    -------
    order : tuple of int
        The stops, each once, by their place in ``points``.
    proven : bool
        No walk is shorter, counted to the centimetre.

    Notes
    -----
    CP-SAT's circuit, one worker, from the nearest-neighbour walk with its crossings taken out
    (2-opt). Beyond 25 stops each may only be followed by its ten nearest or by who follows it
    in that walk, so that what is proven there is not the whole.
    """
    from ortools.sat.python import cp_model  # it takes long to load: only for who walks

    first = _uncrossed(points, _nearest(points))
    count = len(points)
    if count < 4:
        return tuple(first[1:]), True
    apart = [[round(CM * dist(a, b)) for b in points] for a in points]
    whole = count <= PROVEN_STOPS + 1
    follows = set(zip(first, [*first[1:], first[0]], strict=True))
    model = cp_model.CpModel()
    arcs = []
    for one in range(count):
        near = sorted(range(count), key=lambda other: apart[one][other])[: count if whole else 11]
        for other in {*near, *(b for a, b in follows if a == one)} - {one}:
            goes = model.new_bool_var("")
            model.add_hint(goes, (one, other) in follows)
            arcs.append((one, other, goes))
    model.add_circuit(arcs)
    model.minimize(sum(apart[a][b] * goes for a, b, goes in arcs))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    solver.parameters.max_time_in_seconds = time_limit_s
    status = solver.solve(model)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return tuple(first[1:]), False
    after = {a: b for a, b, goes in arcs if solver.boolean_value(goes)}
    order = [after[0]]
    while after[order[-1]]:
        order.append(after[order[-1]])
    return tuple(order), whole and status == cp_model.OPTIMAL


def length_m(points: Sequence[Point], order: Sequence[int]) -> float:
    """How long the round is, back to where it began [m]."""
    stops = [0, *order, 0]
    return sum(dist(points[a], points[b]) for a, b in pairwise(stops))


def _nearest(points: Sequence[Point]) -> list[int]:
    order, left = [0], set(range(1, len(points)))
    while left:
        here = points[order[-1]]
        order.append(min(left, key=lambda stop: (dist(here, points[stop]), stop)))
        left.remove(order[-1])
    return order


def _uncrossed(points: Sequence[Point], order: list[int]) -> list[int]:
    """Turn a stretch of the walk round while that makes it shorter."""
    count, better = len(order), True
    while better:
        better = False
        for i in range(1, count - 1):
            for j in range(i + 1, count):
                a, b = points[order[i - 1]], points[order[i]]
                c, d = points[order[j]], points[order[(j + 1) % count]]
                if dist(a, c) + dist(b, d) < dist(a, b) + dist(c, d) - 1e-9:
                    order[i : j + 1] = order[i : j + 1][::-1]
                    better = True
    return order
