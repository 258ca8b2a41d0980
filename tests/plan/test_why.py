"""Why not earlier: few sentences, each true, and nothing that holds her up left out."""

import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime

import pytest

from tests.plan.test_rules import ALWAYS, A, B, boat, job, person, yard
from tests.plan.yards import at, daily, in_turn, nobody_runs_it, whole
from yardwright.plan import checker
from yardwright.plan.days import Interval
from yardwright.plan.problem import Boat, BoatId, Job, Looks, PersonId, Plan, Problem
from yardwright.plan.problem import TaskId as T
from yardwright.plan.why import why_not_earlier

FREE = re.compile(r"could go in (.*) too: nothing in this plan stands against it")
EVERY_MIN = 41  # of the minutes before her launch so many apart are tried


def tried(problem: Problem, plan: Plan, her: Boat) -> Iterator[int]:
    """Minutes of her water before her launch, from her day on or the day before it."""
    launch = plan.launches[her.id]
    day = min(problem.days.day(launch) - 1, her.promised or 400)
    begin = problem.days.midnight(max(0, day))
    for start, end in her.water:
        yield from range(max(start, begin), min(end, launch), EVERY_MIN)


@pytest.mark.parametrize("seed", range(6))
def test_no_minute_before_is_left_unsaid(seed: int) -> None:
    """The checker finds a broken rule at each minute, but from the one that is named as free."""
    problem = whole(seed)
    if seed % 2:
        problem = nobody_runs_it(problem, in_turn(problem))
    plan = in_turn(problem)
    for her in problem.going_in:
        said = why_not_earlier(problem, plan, her.id)
        assert len(set(said)) == len(said) <= 4
        free = min(_minutes(problem, said), default=problem.days.end)
        for minute in tried(problem, plan, her):
            sooner = replace(plan, launches={**plan.launches, her.id: minute})
            assert minute >= free or checker.broken(sooner, problem)
        if free < problem.days.end:
            sooner = replace(plan, launches={**plan.launches, her.id: free})
            assert checker.broken(sooner, problem) == []


def _minutes(problem: Problem, said: list[str]) -> Iterator[int]:
    """The minutes that are named as free."""
    for words in said:
        if free := FREE.search(words):
            at = datetime.strptime(f"2031 {free[1]}", "%Y %a %d %b %H:%M").replace(
                tzinfo=problem.days.zone
            )
            yield problem.days.minute(at)


def planned(
    problem: Problem, launches: dict[BoatId, int], *jobs: tuple[str, str, int, int]
) -> Plan:
    made = {T(key): Job(PersonId(who), start, end) for key, who, start, end in jobs}
    plan = Plan(made, launches, {})
    assert checker.broken(plan, problem) == []
    return plan


def test_a_weekend_of_water_with_the_lift_shut_is_said_once() -> None:
    # The lift is open on Wednesday alone; she has water twice on Monday and twice on Tuesday.
    water = daily(3, "06:00-08:00", "18:00-20:00")
    asked = yard([boat(A, water=water)], [], [], lift=((at(2, "06:00"), at(2, "16:00")),))
    assert why_not_earlier(asked, planned(asked, {A: at(2, "06:00")}), A) == [
        "From Mon 5 May 06:00 to Tue 6 May 20:00 there is water for a 4 times, but not with the "
        "lift open; a launch needs 30 min."
    ]


def test_of_the_waters_that_leave_too_soon_the_last_is_said() -> None:
    # Five hours of work from 07:00: Monday's three waters are over by 11:30, Tuesday has her in.
    water = daily(3, "05:00-06:00", "08:00-09:00", "10:30-11:30")
    asked = yard([boat(A, water=water)], [job("j", A)], [person("mechanic", 0)])
    plan = planned(asked, {A: at(1, "08:00")}, ("j", "mechanic", at(0, "07:00"), at(0, "12:00")))
    assert why_not_earlier(asked, plan, A) == [
        "With everybody there for her alone, a's work is done Mon 5 May 12:00.",
        "a's water leaves Mon 5 May 11:30; a launch needs 30 min. It is back, long enough and with "
        "the lift open, Tue 6 May 08:00 to 09:00.",
        "There is water for a Tue 6 May 05:00 to 06:00, but not with the lift open; a launch needs "
        "30 min.",
    ]


def test_work_that_holds_her_through_two_waters_is_said_once() -> None:
    # She might be ready Monday noon; the mechanic is on b until then, on her on Tuesday.
    asked = yard([boat(A), boat(B)], [job("j", A), job("k", B)], [person("mechanic", 0, 1)])
    noon, afternoon = at(0, "12:00"), daily(3, "12:00-13:00", "15:00-16:00")
    asked = replace(asked, boats=tuple(replace(b, water=afternoon) for b in asked.boats))
    plan = planned(
        asked,
        {A: at(1, "12:00"), B: noon},
        ("k", "mechanic", at(0, "07:00"), noon),
        ("j", "mechanic", at(1, "07:00"), at(1, "12:00")),
    )
    assert why_not_earlier(asked, plan, A) == [
        "a is ready Tue 6 May 12:00, not before: mechanic is on her (work) from 07:00, and on b "
        "before that."
    ]


def test_only_who_leaves_last_in_front_is_said_and_paint_is() -> None:
    asked = yard([boat(A), boat(B)], [], [], (B, A))
    plan = planned(asked, {B: at(0, "09:00"), A: at(0, "09:30")})
    assert why_not_earlier(asked, plan, A) == [
        "a stands behind b, who leaves her place Mon 5 May 09:00."
    ]
    paint = yard(
        [boat(A)],
        [job("j", A, dry_min=120, text="antifoul"), job("k", A, minutes=60)],
        [person("mechanic", 0, 1)],
    )
    wet: tuple[Interval, ...] = daily(3, "09:00-16:00")
    paint = replace(paint, boats=(replace(paint.boats[0], water=wet),))
    plan = planned(
        paint,
        {A: at(1, "10:00")},
        ("k", "mechanic", at(0, "07:00"), at(0, "08:00")),
        ("j", "mechanic", at(0, "08:00"), at(1, "08:00")),
    )
    assert why_not_earlier(paint, plan, A)[-1] == (
        "a's paint (antifoul) is dry Tue 6 May 10:00, not before."
    )


def test_nobody_to_run_the_lift_is_no_reason_before_her_work_is_done() -> None:
    # Nobody is in on Monday, but by the plan she is worked on until Tuesday 09:00 in any case.
    asked = yard([boat(A)], [job("j", A, minutes=60)], [person("mechanic", 0, 1)])
    tuesday = daily(3, "07:00-16:00")[1:]
    lift = replace(asked.lifts[0], opens=tuesday, away=((0, 1440),))
    asked = replace(
        asked,
        lifts=(lift,),
        boats=(replace(asked.boats[0], water=daily(3, "07:00-16:00")),),
    )
    busy = planned(asked, {A: at(1, "09:00")}, ("j", "mechanic", at(1, "08:00"), at(1, "09:00")))
    assert why_not_earlier(asked, busy, A) == [
        "a is ready Tue 6 May 09:00, not before: mechanic is on her (work) from 08:00."
    ]
    done = planned(asked, {A: at(1, "07:00")}, ("j", "mechanic", at(0, "07:00"), at(0, "08:00")))
    (why,) = why_not_earlier(asked, done, A)
    assert "but nobody who may run the" in why


def test_a_lift_that_is_free_is_not_called_taken() -> None:
    # b is on the lift from 07:30; a could have gone in at 07:00 or at 08:00, and nobody says why not.
    asked = yard([boat(A), boat(B)], [], [])
    plan = planned(asked, {B: at(0, "07:30"), A: at(0, "11:00")})
    assert why_not_earlier(asked, plan, A) == [
        "a could go in Mon 5 May 07:00 too: nothing in this plan stands against it."
    ]
    early = planned(asked, {B: at(0, "07:15"), A: at(0, "07:45")})
    assert why_not_earlier(asked, early, A) == [
        "From Mon 5 May 07:00 to 07:44 the lift has no 30 min free (busy with b)."
    ]


def test_looks_that_are_taken_are_said() -> None:
    # One boat is looked after at once, for an hour; the lift is free at 07:30.
    asked = yard([boat(A), boat(B)], [], [], looks=Looks(1, ALWAYS))
    asked = replace(asked, boats=tuple(replace(b, looks_min=60) for b in asked.boats))
    plan = planned(asked, {B: at(0, "07:00"), A: at(0, "08:00")})
    assert why_not_earlier(asked, plan, A) == [
        "From Mon 5 May 07:00 to 07:59 nobody can look after a too (busy with b)."
    ]
