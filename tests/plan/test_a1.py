"""Story A1, three days of water. Every expected value was worked out by hand in the story."""

from dataclasses import replace
from time import perf_counter

import pytest

from tests.plan.yards import (
    AVOCET,
    CURLEW,
    DUNLIN,
    MON,
    TEAL,
    TUE,
    WED,
    at,
    daily,
    story_a1,
    water,
)
from yardwright.plan import checker
from yardwright.plan.planner import Answer, Status, plan
from yardwright.plan.problem import Problem, TaskId
from yardwright.plan.why import why_moved_aside, why_not_earlier


def answered(problem: Problem) -> Answer:
    answer = plan(problem)
    assert answer.plan is not None
    assert checker.broken(answer.plan, problem) == []
    assert answer.status is Status.BEST
    return answer


def ink_days(problem: Problem) -> int:
    score = answered(problem).score
    assert score is not None
    return score.ink_days


@pytest.mark.parametrize(
    ("draft_m", "start", "end"),
    [
        (1.45, at(TUE, "04:41"), at(TUE, "10:45")),
        (1.75, at(TUE, "05:38"), at(TUE, "09:45")),
        (1.75, at(TUE, "18:05"), at(TUE, "22:05")),
        (1.75, at(WED, "06:38"), at(WED, "10:35")),
        (1.90, at(WED, "07:18"), at(WED, "09:55")),
    ],
)
def test_the_windows_are_the_story_s(draft_m: float, start: int, end: int) -> None:
    assert any(abs(a - start) <= 1 and abs(b - end) <= 1 for a, b in water(draft_m))


def test_one_boat_one_day_late_and_one_move_aside() -> None:
    problem = story_a1()
    began_s = perf_counter()
    answer = answered(problem)
    assert perf_counter() - began_s <= 5
    assert answer.score == (1, 0, 0, 1, 0)
    assert (answer.bound.ink_days, answer.bound.pencil_days) == (1, 0)
    assert answer.plan is not None
    day = {boat: problem.days.day(start) for boat, start in answer.plan.launches.items()}
    assert day == {"Plover": MON, DUNLIN: TUE, CURLEW: WED, TEAL: day[TEAL], AVOCET: WED}
    assert day[TEAL] <= TUE
    assert answer.plan.asides.keys() == {CURLEW}


def test_without_moving_aside_two() -> None:
    assert ink_days(story_a1(aside_min=None)) == 2


def test_the_lift_kept_open_on_tuesday_evening_saves_it() -> None:
    open_late = (*daily(1, "06:00-16:00"), (at(TUE, "06:00"), at(TUE, "22:05")))
    assert ink_days(story_a1(lift=(*open_late, (at(WED, "06:00"), at(WED, "16:00"))))) == 0


def test_the_kit_a_quarter_of_an_hour_sooner_saves_it() -> None:
    assert ink_days(story_a1(kit="07:15")) == 0
    assert ink_days(story_a1(kit="07:16")) == 1


def test_more_hours_for_the_mechanic_save_nothing() -> None:
    assert ink_days(story_a1(mechanic=daily(3, "05:00-21:00"))) == 1


def test_the_reason_in_words() -> None:
    problem = story_a1()
    answer = answered(problem)
    assert answer.plan is not None
    assert why_not_earlier(problem, answer.plan, CURLEW) == [
        "Curlew's kit comes Tue 6 May 07:30; with 2 h of work (fit the impeller kit) she is ready "
        "Tue 6 May 09:30 at the earliest.",
        "Curlew's water leaves Tue 6 May 09:45; a launch needs 30 min. It is back, long enough and "
        "with the lift open, Wed 7 May 06:38 to 10:35.",
        "There is water for Curlew Tue 6 May 18:05 to 22:05, but not with the lift open;"
        " a launch needs 30 min.",
    ]
    assert "Dunlin stands behind her" in why_moved_aside(problem, answer.plan, CURLEW)


def test_the_kit_is_named_where_other_work_follows_it() -> None:
    problem = story_a1()
    kit = next(task for task in problem.tasks if task.boat == CURLEW and task.not_before)
    tried = replace(kit, id=TaskId("tried"), minutes=60, text="run", after=(kit.id,), not_before=0)
    longer = replace(problem, tasks=(*problem.tasks, tried))
    answer = answered(longer)
    assert answer.plan is not None
    # 07:30 and two hours of work, and one more: 10:30.
    assert why_not_earlier(longer, answer.plan, CURLEW)[0] == (
        "Curlew's kit comes Tue 6 May 07:30; what follows it (fit the impeller kit first) is done "
        "Tue 6 May 10:30 at the earliest."
    )


def test_shut_in_without_moving_aside() -> None:
    problem = story_a1(aside_min=None)
    answer = answered(problem)
    assert answer.plan is not None
    reasons = " ".join(why_not_earlier(problem, answer.plan, DUNLIN))
    assert "Dunlin stands behind Curlew, who leaves her place Wed 7 May" in reasons
