"""Promise odds of a big made-up yard: thousands of seasons, by one process and by two."""

import os
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from time import perf_counter

import numpy as np
from distributed import LocalCluster
from numpy.typing import NDArray

from bench.yards import yard
from yardwright.plan.chance import Arrival, Away, Found, Spread, Uncertain
from yardwright.plan.cluster import cluster
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.odds import odds
from yardwright.plan.problem import Problem
from yardwright.plan.seasons import Asked

BOATS, SEED = 300, 1
ABOUT_A_MINUTE = 12_000  # seasons, by one worker


def usual(problem: Problem) -> Uncertain:
    """What strays in a yard: made up, and the same for every run of the bench."""
    late = (0, 3 * 1440, 10 * 1440)
    return Uncertain(
        arrivals={
            task.id: Arrival(tuple(task.not_before + by for by in late), (0.8, 0.15, 0.05))
            for task in problem.tasks
            if task.not_before
        },
        spreads={task.id: Spread() for task in problem.tasks},
        found={task.id: Found(0.05, 120) for task in problem.tasks},
        away={person.id: Away(0.04, 2.5) for person in problem.people},
        wind=0.06,
    )


def odds_of_a_big_yard() -> Iterator[str]:
    """Seconds for 2,000 and 10,000 seasons, and on a Dask cluster; the same figures everywhere."""
    problem = yard(BOATS, SEED)
    plan, strays = list_plan(problem, by_promise(problem)), usual(problem)
    began_s = perf_counter()
    alone = odds(problem, plan, strays, seasons=2000)
    alone_s = perf_counter() - began_s
    yield f"odds: {BOATS} boats x 2,000 seasons, one process {alone_s:.1f} s"
    with ProcessPoolExecutor(2) as pool:
        for seasons in (2000, 10_000):
            began_s = perf_counter()
            found = odds(problem, plan, strays, seasons=seasons, blocks=pool.map)
            two_s = perf_counter() - began_s
            yield f"odds: {BOATS} boats x {seasons:,} seasons, two processes {two_s:.1f} s"
            if not np.array_equal(found.day[:, :2000], alone.day):
                raise RuntimeError("Two processes gave other figures than one.")
    yield from _on_a_cluster(Asked(problem, plan, strays, 1), alone.day)


def _on_a_cluster(asked: Asked, alone: NDArray[np.int32]) -> Iterator[str]:
    """Two workers against one, after both have done a block to warm up."""
    took_s = {}
    for workers in (1, 2):
        with (
            LocalCluster(n_workers=workers, threads_per_worker=1, dashboard_address=":0") as local,
            cluster(local.scheduler_address) as blocks,
        ):
            odds(asked.problem, asked.plan, asked.uncertain, seasons=1000 * workers, blocks=blocks)
            began_s = perf_counter()
            found = odds(
                asked.problem, asked.plan, asked.uncertain, seasons=ABOUT_A_MINUTE, blocks=blocks
            )
            took_s[workers] = perf_counter() - began_s
        if not np.array_equal(found.day[:, :2000], alone):
            raise RuntimeError("The cluster gave other figures than one process.")
    yield (
        f"odds: {BOATS} boats x {ABOUT_A_MINUTE:,} seasons on Dask, one worker {took_s[1]:.1f} s, "
        f"two {took_s[2]:.1f} s: {took_s[1] / took_s[2]:.2f} times as fast "
        f"(load {os.getloadavg()[0]:.1f})"
    )
