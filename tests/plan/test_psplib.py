"""The recipe of the bench on projects of the PSPLIB, against what is known of their shortest plans.

tests/data/psplib has the instances, their source and licence, and the best known values.
"""

from dataclasses import replace

import pytest

from bench.project_search import Search, plain
from bench.projects import (
    Project,
    Starts,
    faults,
    instances,
    justified,
    length,
    list_schedule,
)

BY_NAME = {one.name: one for one in instances()}
# Seconds when alone; j30_13_5, and those that nobody has closed, take longer.
QUICK = ["j30_1_1", "j30_29_2", "j60_1_1", "j120_22_6"]


def solved(project: Project, *, lists: int = 100) -> Search:
    """By what it does and not by the clock: the same each time."""
    search = Search(project, time_limit_s=300, seed=1)
    search.lists(lists)
    search.whole(work=20)
    return search


@pytest.mark.parametrize("name", QUICK)
def test_closed_ones_are_proven(name: str) -> None:
    one = BY_NAME[name]
    assert one.closed
    search = solved(one.project)
    assert not list(faults(one.project, search.best))
    assert search.shortest == search.at_least == one.best_known


def test_the_same_seed_gives_the_same_plan() -> None:
    project = BY_NAME["j30_1_1"].project
    assert solved(project).best == solved(project).best


@pytest.mark.parametrize("name", BY_NAME)
def test_lists_keep_every_rule_and_stay_above_what_is_proven(name: str) -> None:
    one = BY_NAME[name]
    search = Search(one.project, time_limit_s=300, seed=1)
    search.lists(60)
    for starts in search.pool:
        assert not list(faults(one.project, starts))
        assert length(one.project, starts) >= one.at_least
    assert search.at_least <= one.best_known
    assert search.shortest <= 1.2 * one.best_known


@pytest.mark.parametrize("name", BY_NAME)
def test_justification_never_makes_it_longer(name: str) -> None:
    project = BY_NAME[name].project
    starts = list_schedule(project, range(len(project.duration)))
    assert length(project, justified(project, starts)) <= length(project, starts)


def test_parts_keep_every_rule() -> None:
    one = BY_NAME["j60_13_1"]
    search = Search(one.project, time_limit_s=2, seed=1)
    before = search.shortest
    search.parts()
    assert one.at_least <= search.shortest < before
    assert not list(faults(one.project, search.best))


def test_the_solver_alone_on_a_small_one() -> None:
    one = BY_NAME["j60_1_1"]
    found = plain(one.project, 20)
    assert length(one.project, found.starts) == found.at_least == one.best_known
    assert not list(faults(one.project, found.starts))


# Two jobs of 2 and 3 that may not share, the second after the first; by hand: 5 long.
TWO = Project((0, 2, 3, 0), ((0,), (2,), (2,), (0,)), (3,), ((1,), (2,), (3,), ()))


def test_two_jobs_by_hand() -> None:
    assert list_schedule(TWO, [0, 0, 0, 0]) == (0, 0, 2, 5)
    free = replace(TWO, after=((1, 2), (3,), (3,), ()))
    assert length(free, list_schedule(free, [0, 1, 0, 0])) == 5
    assert length(free, list_schedule(replace(free, capacity=(4,)), [0, 1, 0, 0])) == 3


@pytest.mark.parametrize(
    ("starts", "says"),
    [
        pytest.param((0, 0, 1, 5), "job 2 starts before job 1 ends", id="order"),
        pytest.param((0, 0, 1, 5), "resource 0 at 1: 4 of 3", id="resource"),
        pytest.param((0, -1, 2, 5), "job 1 starts at -1", id="before the beginning"),
        pytest.param((0, 0, 2), "3 starts for 4 jobs", id="one missing"),
    ],
)
def test_a_broken_plan_is_refused(starts: Starts, says: str) -> None:
    assert says in list(faults(TWO, starts))


def test_the_twelve_are_as_published() -> None:
    # PSPLIB: 30, 60 or 120 jobs and two that take no time; four resources.
    for one in instances():
        jobs = int(one.name.removeprefix("j").partition("_")[0])
        assert len(one.project.duration) == jobs + 2
        assert len(one.project.capacity) == 4
    assert sum(one.closed for one in instances()) == 6
