"""With stand-ins the published plan holds as it is; without them nothing is as it was."""

from collections.abc import Callable
from dataclasses import replace
from random import Random

import pytest

from tests.plan.test_replan import NOW, away
from tests.plan.yards import spring
from yardwright.plan import checker
from yardwright.plan.line import short_line
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.model_costs import Published
from yardwright.plan.parts import Part, followers
from yardwright.plan.problem import Plan, Problem
from yardwright.plan.repair import hit
from yardwright.plan.solver import Limits, improve
from yardwright.plan.stand_ins import StoodIn, stood_in


@pytest.fixture(scope="module")
def busy() -> tuple[Problem, Plan]:
    asked = spring(40, 3)
    return asked, list_plan(asked, by_promise(asked))


@pytest.fixture(scope="module")
def sick(busy: tuple[Problem, Plan]) -> tuple[Problem, int]:
    """The busiest is away for three days from the minute in which their next job was to begin."""
    asked, published = busy
    on = [job.person for job in published.jobs.values() if NOW <= job.start < NOW + 2 * 1440]
    ill = max(set(on), key=on.count)
    now = min(job.start for job in published.jobs.values() if job.person == ill and job.start > NOW)
    return away(asked, ill, now, 3), now


@pytest.fixture(scope="module")
def stood(busy: tuple[Problem, Plan], sick: tuple[Problem, int]) -> StoodIn:
    problem, now = sick
    found = stood_in(problem, busy[1], hit(problem, busy[1]), now)
    assert found is not None
    return found


def test_with_stand_ins_all_stays_where_it_is(
    busy: tuple[Problem, Plan], sick: tuple[Problem, int], stood: StoodIn
) -> None:
    (_, published), (problem, _) = busy, sick
    assert not checker.broken(stood.plan, stood.problem)
    assert checker.broken(stood.plan, problem)  # they aren't there
    assert set(stood.done) == hit(problem, published).tasks
    was = {key: (job.start, job.end) for key, job in published.jobs.items()}
    assert {key: (job.start, job.end) for key, job in stood.plan.jobs.items()} == was
    assert stood.plan.launches == published.launches


def test_they_are_there_for_the_lost_minutes_only(stood: StoodIn) -> None:
    minutes = sum(stood.problem.task[key].minutes for key in stood.done)
    hours = [stood.problem.person[who].works for who in stood.people]
    assert sum(end - start for works in hours for start, end in works) == minutes


def test_what_had_begun_is_begun_anew(busy: tuple[Problem, Plan]) -> None:
    asked, published = busy
    key, job = next((k, job) for k, job in published.jobs.items() if job.start < NOW < job.end)
    problem = away(asked, job.person, NOW, 3)
    stood = stood_in(problem, published, hit(problem, published), NOW)
    assert stood is not None
    assert not checker.broken(stood.plan, stood.problem)
    assert stood.plan.jobs[key].start >= NOW


def test_the_solver_lets_them_go(stood: StoodIn) -> None:
    part = stood.around(followers(stood.problem), NOW, 90, 0.0, Random(1))  # noqa: S311 - no secret
    assert part.tasks & set(stood.done)
    found = improve(
        stood.problem,
        stood.plan,
        part,
        Limits(5.0, 2, 1, None),
        line=short_line(stood.problem),
        published=Published(stood.plan, {}, stand_ins=stood.people),
        reach_days=(3, 3),
        now=NOW,
    )
    assert found.plan is not None
    assert not checker.broken(found.plan, stood.problem)
    fewer = replace(stood, plan=found.plan)
    assert len(fewer.done) < len(stood.done)
    for key, job in found.plan.jobs.items():
        if key not in part.tasks:
            assert job == stood.plan.jobs[key]


LATE: dict[str, Callable[[Problem, Plan], Problem]] = {
    "a kit that comes late": lambda asked, plan: replace(
        asked,
        tasks=tuple(
            replace(t, not_before=plan.jobs[t.id].start + 1440)
            if t.id == min(k for k, job in plan.jobs.items() if job.start > NOW)
            else t
            for t in asked.tasks
        ),
    ),
    "nothing": lambda asked, _plan: asked,
}


@pytest.mark.parametrize("what", LATE)
def test_nobody_stands_in_for(what: str, busy: tuple[Problem, Plan]) -> None:
    asked, published = busy
    problem = LATE[what](asked, published)
    lost = hit(problem, published)
    assert bool(lost.tasks) is (what != "nothing")
    assert stood_in(problem, published, lost, NOW) is None


def test_a_job_nobody_planned_yet_gets_none(busy: tuple[Problem, Plan]) -> None:
    asked, published = busy
    key = next(iter(published.jobs))
    less = replace(published, jobs={k: job for k, job in published.jobs.items() if k != key})
    assert stood_in(asked, less, Part(frozenset([key]), frozenset()), NOW) is None
