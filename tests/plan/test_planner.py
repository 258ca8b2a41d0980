"""The whole planner: it answers in time, proves or says the gap, and never returns a bad plan."""

from collections.abc import Callable
from dataclasses import replace
from time import perf_counter

import pytest

from tests.plan.test_rules import COSTLY
from tests.plan.yards import CURLEW, DUNLIN, PLOVER, at, daily, lifts, spring, story_a1
from yardwright.plan import checker, rounds, solver
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.planner import Answer, Status, plan
from yardwright.plan.problem import Boat, BoatId, Plan, Problem, Task, TaskId, score
from yardwright.plan.search import Faulty
from yardwright.plan.why import why_not_earlier


def changed(problem: Problem, key: BoatId, change: Callable[[Boat], Boat]) -> Problem:
    return replace(problem, boats=tuple(change(b) if b.id == key else b for b in problem.boats))


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (
            changed(story_a1(), PLOVER, lambda boat: replace(boat, water=())),
            "Plover: she can be ready Mon 5 May 10:00, but after that she has no 30 min of water "
            "with the lift open, and no water so long until the season ends; open the lift",
        ),
        (
            changed(
                story_a1(),
                PLOVER,
                lambda boat: replace(boat, water=((at(1, "17:00"), at(1, "17:45")),)),
            ),
            "(there is water so long Tue 6 May 17:00 to Tue 6 May 17:45, but no lift for it)",
        ),
        (
            replace(story_a1(), people=story_a1().people[:1]),
            "Avocet: her work needs a yard hand, and nobody here is one",
        ),
        (
            changed(story_a1(aside_min=None), CURLEW, lambda boat: replace(boat, goes_in=False)),
            "Dunlin: she is shut in behind Curlew, who stays and can't be moved aside",
        ),
        (story_a1(mechanic=daily(3, "07:00-07:45")), "Dunlin: her work does not fit into"),
        (
            story_a1(lift=((at(2, "07:30"), at(2, "08:30")),)),
            "need the lift (Travel lift) for 1 h 30 min between Wed 7 May 07:30 and Wed 7 May 08:30",
        ),
    ],
)
def test_no_plan_is_proven_and_said_why(asked: Problem, said: str) -> None:
    answer = plan(asked, time_limit_s=20)
    assert (answer.status, answer.plan, answer.score) == (Status.NO_PLAN, None, None)
    assert any(said in reason for reason in answer.reasons), answer.reasons


def test_none_found_in_time_is_another_answer() -> None:
    answer = plan(story_a1(lift=((at(2, "07:30"), at(2, "08:30")),)), stop=lambda: True)
    assert (answer.status, answer.plan) == (Status.NONE_IN_TIME, None)
    assert answer.reasons == ("There may be one: give the search longer, or leave boats out.",)
    found = solver.solve(spring(20, 1), time_limit_s=0.01)
    assert found.ends is solver.Ends.NONE_IN_TIME


def test_stopped_at_once_there_is_still_the_list_plan() -> None:
    answer = plan(story_a1(), stop=lambda: True)
    assert answer.status is Status.FOUND
    checked(story_a1(), answer)


def test_a_plan_the_checker_refuses_is_never_returned(monkeypatch: pytest.MonkeyPatch) -> None:
    def too_early(*asked: object) -> Plan:
        good = list_plan(story_a1(), by_promise(story_a1()))
        return replace(good, launches={**good.launches, CURLEW: at(1, "09:15")})

    monkeypatch.setattr(rounds, "list_plan", too_early)
    with pytest.raises(Faulty, match="Curlew would go in before"):
        plan(story_a1())


def test_from_a_known_plan_it_goes_on_where_no_order_of_boats_finds_room() -> None:
    # Placed at the first minute the paint is too old for her first water: only the solver waits.
    asked = COSTLY["not_too_long_dry"]
    known = solver.solve(asked, time_limit_s=5).plan
    for steps in (None, 6):
        answer = plan(asked, time_limit_s=3, known=known, steps=steps)
        assert answer.plan is not None
        assert checker.broken(answer.plan, asked) == []


def test_a_published_launch_stays_when_nothing_is_lost() -> None:
    published = at(0, "14:10")
    asked = changed(story_a1(), PLOVER, lambda boat: replace(boat, published=published))
    answer = plan(asked)
    assert answer.plan is not None
    assert answer.score == (1, 0, 0, 1, 0)
    assert answer.plan.launches[PLOVER] == published


def test_a_boat_that_stays_is_moved_aside() -> None:
    asked = changed(story_a1(), CURLEW, lambda boat: replace(boat, goes_in=False))
    answer = plan(asked)
    assert answer.plan is not None
    assert answer.score == (0, 0, 0, 1, 0)
    assert answer.plan.asides[CURLEW] < answer.plan.launches[DUNLIN]


def test_more_than_one_person_one_boat() -> None:
    # By hand: ten hours for two mechanics on one boat, one job at a time: 5 h 30 on Monday.
    one = story_a1()
    jobs = tuple(Task(TaskId(name), PLOVER, "mechanic", 300) for name in "ab")
    asked = replace(
        one, boats=one.boats[:1], tasks=jobs, rows=(), lifts=lifts(*daily(3, "06:00-16:00"))
    )
    answer = plan(asked)
    assert answer.score == (1, 0, 0, 0, 0)


def checked(asked: Problem, answer: Answer) -> None:
    assert answer.plan is not None
    assert answer.score is not None
    assert checker.broken(answer.plan, asked) == []
    assert score(asked, answer.plan) == answer.score
    assert answer.bound.ink_days <= answer.score.ink_days
    if answer.bound.ink_days == answer.score.ink_days:
        assert answer.bound.pencil_days <= answer.score.pencil_days
    for boat in asked.going_in:
        assert all(reason.endswith(".") for reason in why_not_earlier(asked, answer.plan, boat.id))


def test_sixty_boats_are_planned_checked_and_bounded() -> None:
    asked = spring(60, 1)
    told: list[tuple[float, str]] = []
    began_s = perf_counter()
    answer = plan(asked, time_limit_s=10, told=lambda share, said: told.append((share, said)))
    assert perf_counter() - began_s <= 15
    checked(asked, answer)
    first = score(asked, list_plan(asked, by_promise(asked)))
    assert answer.score is not None
    assert answer.score <= first
    by_steps = plan(asked, steps=2).score  # whatever the clock says
    assert by_steps is not None
    assert by_steps < first
    assert all(0 <= share <= 1 for share, _ in told)
    assert any(said.startswith("Ink late by") for _, said in told)


def test_a_search_can_be_stopped() -> None:
    asked = spring(60, 2)
    began_s = perf_counter()
    answer = plan(asked, time_limit_s=60, stop=lambda: perf_counter() - began_s > 4)
    assert perf_counter() - began_s <= 12
    checked(asked, answer)
