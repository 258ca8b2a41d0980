"""Why a promise can't be kept and why there is no plan: few facts, and each change does what it says."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.test_rules import A, yard
from tests.plan.test_rules import boat as a_boat
from tests.plan.yards import (
    AVOCET,
    CURLEW,
    DUNLIN,
    TUE,
    ZONE,
    at,
    daily,
    in_turn,
    lifts,
    nobody_runs_it,
    spring,
    story_a1,
    whole,
)
from yardwright.plan import planner, solver
from yardwright.plan.clash import allows, promise_clash, why_promise_not_kept
from yardwright.plan.days import Days
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.no_plan import why_no_plan
from yardwright.plan.problem import Boat, BoatId, Problem, Task, TaskId, days_late


def test_curlew_s_kit_and_her_water_clash() -> None:
    # Story A1, in words: kit 07:30 + 2 h = 09:30, her water leaves at 09:45, a launch needs 30 min.
    # By hand: work of 1 h 45 ends 09:15, and 09:15 to 09:45 is water; ready at 09:30 she needs it
    # until 10:00; the evening's water begins 18:05.
    assert why_promise_not_kept(story_a1(), CURLEW) == [
        "Curlew's Ink is Tue 6 May; her kit comes Tue 6 May 07:30; 2 h of work (fit the impeller "
        "kit) makes her ready Tue 6 May 09:30 at the soonest; her water leaves Tue 6 May 09:45 and "
        "a launch needs 30 min; she has water Tue 6 May 18:05 to Tue 6 May 22:05 too, but the lift "
        "is shut then.",
        "Any one of these would do, with everybody there for her alone: her kit by Tue 6 May 07:15; "
        "1 h 45 min of work for that (fit the impeller kit); her water until Tue 6 May 10:00; the "
        "lift open Tue 6 May 18:05 to Tue 6 May 18:35.",
    ]


def test_soft_ground_and_a_promise_clash() -> None:
    # By hand: Dunlin's water on Tuesday leaves at 10:45 and a launch needs 30 min of it, so the
    # lift has to fetch her by 10:15 (it carries her no way first); on Wednesday she has water.
    soft = tuple(
        replace(b, ground_from=at(TUE + 1, "00:00")) if b.id == DUNLIN else b
        for b in story_a1().boats
    )
    assert why_promise_not_kept(replace(story_a1(), boats=soft), DUNLIN) == [
        "Dunlin's Ink is Tue 6 May; the ground where she stands bears the Travel lift from Wed 7 "
        "May 00:00 on.",
        "This would do, with everybody there for her alone: a lift that goes there by Tue 6 May 10:15.",
    ]


def test_a_later_day_is_no_change_that_would_do_but_what_her_own_allows() -> None:
    # By hand: Curlew's next water with the lift open after Tuesday 09:45 is Wednesday's, from 06:38.
    assert allows(story_a1(), CURLEW) == 2
    never = curlew(water=())(story_a1())
    assert allows(never, CURLEW) is None
    assert "would do" not in why_promise_not_kept(never, CURLEW)[0]
    kept = story_a1()
    assert allows(kept, AVOCET) is None  # her day can be kept, as far as she alone shows
    assert allows(curlew(ink=None)(kept), CURLEW) is None


def late(problem: Problem, key: BoatId) -> int:
    """How late a boat is at the least when nobody else is there, to the minute, by the solver."""
    boat = problem.boat[key]
    her = replace(problem, boats=(boat,), tasks=problem.jobs[key], rows=())
    found = solver.solve(her, time_limit_s=10)
    assert found.plan is not None
    return days_late(her, found.plan, boat)


def curlew(**change: object) -> Callable[[Problem], Problem]:
    def changed(problem: Problem) -> Problem:
        boats = (
            replace(b, **change) if b.id == CURLEW else b  # type: ignore[arg-type]
            for b in problem.boats
        )
        return replace(problem, boats=tuple(boats))

    return changed


def kit(**change: object) -> Callable[[Problem], Problem]:
    def changed(problem: Problem) -> Problem:
        tasks = (
            replace(t, **change) if t.id == "Curlew-mechanic" else t  # type: ignore[arg-type]
            for t in problem.tasks
        )
        return replace(problem, tasks=tuple(tasks))

    return changed


def longer(minutes: int) -> Callable[[Problem], Problem]:
    def changed(problem: Problem) -> Problem:
        water = problem.boat[CURLEW].water
        return curlew(
            water=tuple((a, b + minutes) if b == at(TUE, "09:45") else (a, b) for a, b in water)
        )(problem)

    return changed


def evening(until: str) -> Callable[[Problem], Problem]:
    wednesday = at(2, "06:00"), at(2, "16:00")
    opens = (*daily(2, "06:00-16:00"), (at(TUE, "18:00"), at(TUE, until)), wednesday)
    return lambda problem: replace(problem, lifts=lifts(*opens))


@pytest.mark.parametrize(
    ("does", "too_little"),
    [
        (curlew(ink=2), curlew(ink=1)),
        (kit(not_before=at(TUE, "07:15")), kit(not_before=at(TUE, "07:16"))),
        (kit(minutes=105), kit(minutes=106)),
        (longer(15), longer(14)),
        (evening("18:35"), evening("18:34")),
    ],
)
def test_each_change_does_and_a_minute_less_does_not(
    does: Callable[[Problem], Problem], too_little: Callable[[Problem], Problem]
) -> None:
    asked = story_a1()
    assert late(asked, CURLEW) == 1
    assert late(does(asked), CURLEW) == 0
    assert late(too_little(asked), CURLEW) > 0


def test_a_promise_that_can_be_kept_has_no_clash() -> None:
    asked = story_a1()
    assert why_promise_not_kept(asked, AVOCET) == []
    assert why_promise_not_kept(curlew(ink=None)(asked), CURLEW) == []


def test_one_who_stands_in_front_is_among_the_facts() -> None:
    # By hand: Curlew goes in Wed at 06:38 at the soonest and can't be moved; Dunlin's Ink is Tue.
    said = " ".join(why_promise_not_kept(story_a1(aside_min=None), DUNLIN))
    assert said.startswith("Dunlin's Ink is Tue 6 May; Curlew stands in front of her, can't be")
    assert "can't be moved aside and is gone Wed 7 May 07:0" in said
    assert "Curlew moved aside" in said


@pytest.mark.parametrize(
    ("first", "ink", "said"),
    [
        (date(2031, 5, 5), -3, "Fri 2 May"),
        (date(2031, 5, 5), -30, "Sat 5 Apr"),
        (date(2031, 3, 10), -3, "Fri 7 Mar"),  # the clocks go forward on the 9th
    ],
)
def test_a_promise_before_the_season_has_its_own_day(first: date, ink: int, said: str) -> None:
    asked = curlew(ink=ink)(replace(story_a1(), days=Days(first, 3, ZONE)))
    assert why_promise_not_kept(asked, CURLEW) == [
        f"Curlew's Ink is {said}.",
        "No one change of these alone would do.",
    ]


def shut_on_tuesday(start: str, end: str) -> Problem:
    """A boat told Tuesday, when the lift does not work; her water on Tuesday, and Wednesday's."""
    water = (at(TUE, start), at(TUE, end)), (at(2, "08:00"), at(2, "12:00"))
    monday, _, wednesday = daily(3, "06:00-16:00")
    return yard([a_boat(A, 1, water=water)], [], [], lift=(monday, wednesday))


def test_the_lift_is_asked_for_by_day_only() -> None:
    said = [one.change for one in promise_clash(shut_on_tuesday("00:00", "23:00"), A)]
    assert "the lift open Tue 6 May 06:00 to Tue 6 May 06:30" in said
    facts = promise_clash(shut_on_tuesday("00:00", "02:30"), A)
    assert facts
    assert not any("lift open" in one.change for one in facts)


def bill(problem: Problem, day: int) -> Problem:
    return curlew(ink=2, free_from=day * 1440)(problem)


def test_a_bill_paid_too_late() -> None:
    assert why_promise_not_kept(bill(story_a1(), 2), CURLEW) == []  # paid on the day itself
    said = why_promise_not_kept(bill(story_a1(), 3), CURLEW)
    assert "her bill is paid Thu 8 May" in said[0]
    assert "her bill paid by Wed 7 May" in said[1]


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 10**6))
def test_a_clash_is_said_only_where_no_plan_keeps_the_promise(seed: int) -> None:
    """A plan that keeps a promise proves that there was no clash."""
    asked = spring(8, seed)
    made = list_plan(asked, by_promise(asked), {front for row in asked.rows for front in row})
    for boat in asked.going_in:
        clash = promise_clash(asked, boat.id)
        if clash:
            assert days_late(asked, made, boat) > 0
            assert clash[0].says.startswith(f"{boat.name}'s ")


@pytest.mark.parametrize("seed", range(10))
def test_so_it_is_with_every_rule(seed: int) -> None:
    asked = whole(seed)
    if seed % 2:
        asked = nobody_runs_it(asked, in_turn(asked))
    made = in_turn(asked)
    for boat in asked.going_in:
        if promise_clash(asked, boat.id):
            assert days_late(asked, made, boat) > 0


def test_the_fewest_boats_that_need_the_lift_too_long() -> None:
    # By hand: an hour of the lift on Wednesday holds two launches of half an hour, not three.
    (said,) = why_no_plan(story_a1(lift=((at(2, "07:30"), at(2, "08:30")),)))
    assert "need the lift (Travel lift) for 1 h 30 min between Wed 7 May 07:30 and" in said
    assert "it is open for 1 h then" in said
    assert sum(name in said for name in ("Plover", "Dunlin", "Curlew", "Teal", "Avocet")) == 3


def boats(*water: tuple[int, int], aside_min: int | None = 30) -> Problem:
    keys = [BoatId(name) for name in "ab"]
    made = (
        Boat(key, key, story_a1().lifts[0].id, (one,), aside_min=aside_min)
        for key, one in zip(keys, water, strict=True)
    )
    asked = replace(story_a1(), boats=tuple(made), tasks=(), rows=(tuple(keys),))
    return replace(asked, lifts=lifts(*daily(3, "06:00-16:00")))


def test_a_row_that_can_t_be_left_in_time() -> None:
    # By hand: the one in front has water on Wednesday only, the one behind on Tuesday only.
    tuesday, wednesday = (at(1, "08:00"), at(1, "10:00")), (at(2, "08:00"), at(2, "10:00"))
    (said,) = why_no_plan(boats(wednesday, tuesday, aside_min=None))
    assert said.startswith("b must leave her place by Tue 6 May 09:30 to have water, and a, who")
    assert "gone Wed 7 May 08:30 at the soonest" in said


def test_more_work_than_hours() -> None:
    # By hand: 2 h of hull each by 08:00 on the second day, and 3 h of Ole's until then.
    asked = boats((at(1, "08:00"), at(1, "09:00")), (at(1, "08:00"), at(1, "09:00")))
    tasks = tuple(Task(TaskId(key), BoatId(key), "yard hand", 120) for key in "ab")
    ole = replace(story_a1().people[1], works=daily(1, "07:00-10:00"))
    (said,) = why_no_plan(replace(asked, tasks=tasks, people=(ole,)))
    assert said == (
        "a and b must be ready by Tue 6 May 08:30 and need 4 h of a yard hand; Ole works 3 h until "
        "then. Find more hours, or leave one of them out."
    )


def test_too_much_of_all_is_said_of_one_boat_or_of_several() -> None:
    # By hand: Ole alone has both trades and 8 h; 5 h of each are fewer, together they are more.
    water = (at(1, "08:00"), at(1, "09:00"))
    asked = boats(water, water)
    ole = replace(
        story_a1().people[1],
        works=daily(1, "07:00-15:00"),
        trades=frozenset({"mechanic", "yard hand"}),
    )
    tasks = (
        Task(TaskId("m"), BoatId("a"), "mechanic", 300),
        Task(TaskId("h"), BoatId("b"), "yard hand", 300),
    )
    assert planner.plan(replace(asked, tasks=tasks, people=(ole,)), time_limit_s=5).reasons == (
        "Together the 2 boats need more water, lift or working hours than the season has. Add lift "
        "hours, people or days, or leave boats out.",
    )
    hers = tuple(replace(task, boat=BoatId("a")) for task in tasks)
    boat = replace(asked.boats[0], hands=2)
    one = replace(asked, boats=(boat,), tasks=hers, people=(ole,), rows=())
    stays = replace(one, boats=(replace(boat, goes_in=False),))
    for alone in (one, stays):
        assert planner.plan(alone, time_limit_s=5).reasons == (
            "a needs more water, lift or working hours than the season has. Add lift hours, people "
            "or days, or leave her out.",
        )
