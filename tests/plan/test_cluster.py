"""Odds on a Dask cluster of two processes: bit for bit those of one, whatever becomes of a worker."""

import os
import signal
import sys
from collections.abc import Callable, Iterable, Iterator
from functools import partial

import numpy as np
import pytest
from distributed import Client, LocalCluster
from numpy.typing import NDArray

from tests.plan.yards import spring
from yardwright.plan.chance import Away, Found, Spread, Uncertain
from yardwright.plan.cluster import cluster
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.near import near
from yardwright.plan.odds import A, B, Map, R, odds
from yardwright.plan.problem import BoatId
from yardwright.plan.savers import savers
from yardwright.plan.seasons import Asked

pytestmark = pytest.mark.slow
SEASONS = 6000
Days = NDArray[np.int32]


@pytest.fixture(scope="module")
def address() -> Iterator[str]:
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0") as two:
        yield two.scheduler_address


@pytest.fixture(scope="module")
def asked() -> Asked:
    problem = spring(30, 1)
    strays = Uncertain(
        spreads={task.id: Spread() for task in problem.tasks},
        found={task.id: Found(0.05, 120) for task in problem.tasks},
        away={person.id: Away(0.04, 2.5) for person in problem.people},
        wind=0.06,
    )
    return Asked(problem, list_plan(problem, by_promise(problem)), strays, 1)


def lived(asked: Asked, blocks: Map) -> Days:
    found = odds(asked.problem, asked.plan, asked.uncertain, seasons=SEASONS, blocks=blocks)
    return found.day


@pytest.fixture(scope="module")
def by_one_process(asked: Asked) -> Days:
    return lived(asked, map)


def test_the_figures_of_one_process(address: str, asked: Asked, by_one_process: Days) -> None:
    with cluster(address) as blocks:
        assert np.array_equal(lived(asked, blocks), by_one_process)


def test_the_savers_of_one_process(address: str, asked: Asked) -> None:
    """Whole changes go to the cluster, each with its planning; the same ones come back."""
    boat = BoatId("boat 25")  # of her first four changes one helps

    def first_four(mapped: Map) -> list[tuple[object, ...]]:
        said: list[str] = []
        found, _ = savers(
            asked.problem, asked.plan, boat, asked.uncertain, partial(near, key=boat),
            seasons=1000, mapped=mapped,
            told=lambda _share, words: said.append(words), stop=lambda: len(said) >= 4,
        )  # fmt: skip
        return [(one.words, one.odds, one.hurts, one.plan) for one in found]

    here = first_four(map)
    with cluster(address) as mapped:
        assert first_four(mapped) == here
    assert here


def test_a_worker_killed_on_the_way(address: str, asked: Asked, by_one_process: Days) -> None:
    with Client(address) as beside, cluster(address) as blocks:
        killed: list[int] = []

        def kills_one(
            simulated: Callable[[A, B], R], plans: Iterable[A], numbers: Iterable[B], /
        ) -> Iterator[R]:
            for number, block in enumerate(blocks(simulated, plans, numbers)):
                if number == 1:  # the others are under way or waiting
                    at_work = beside.processing()
                    busy = next((name for name, tasks in at_work.items() if tasks), min(at_work))
                    killed.append(beside.run(os.getpid, workers=[busy])[busy])
                    os.kill(killed[0], signal.SIGKILL)
                yield block

        assert np.array_equal(lived(asked, kills_one), by_one_process)
        assert killed[0] not in beside.run(os.getpid).values()


def test_nobody_answers(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("yardwright.plan.cluster.REACHED_S", 0.5)
    with (
        pytest.raises(ValueError, match="No Dask cluster answers at"),
        cluster("tcp://127.0.0.1:9"),
    ):
        pass


def test_a_cluster_without_workers_is_not_waited_for() -> None:
    with (
        LocalCluster(n_workers=0, dashboard_address=":0") as none,
        pytest.raises(ValueError, match="has no worker; start one there"),
        cluster(none.scheduler_address),
    ):
        pass


def test_dask_is_not_there_unless_it_is_asked_for(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with (
        pytest.raises(ValueError, match=r"pip install 'yardwright\[cluster\]'"),
        cluster("tcp://x:1"),
    ):
        pass
