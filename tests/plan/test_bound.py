"""What no plan can beat, against sums made by hand. Against proven plans: ``test_best.py``."""

from dataclasses import replace
from typing import Any

import pytest

from tests.plan.test_rules import A, B, C, boat, person, yard
from tests.plan.test_rules import job as any_job
from tests.plan.yards import daily, lifts
from yardwright.plan.bound import Relaxed
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.problem import Boat, BoatId, Looks, Problem, Task, score

EVENING = daily(3, "12:00-16:00")
KEYS = (A, B, C)


def job(key: BoatId, **more: Any) -> Task:
    return any_job(f"on {key}", key, **more)


def three(boats: list[Boat], tasks: list[Task], looks: Looks | None = None) -> Problem:
    return yard(boats, tasks, [person("mechanic", 0, 1, 2)], looks=looks)


HOURS = three([boat(key, water=EVENING) for key in KEYS], [job(key) for key in KEYS])
PAINT = three(
    [boat(key, 1, water=EVENING) for key in KEYS[:2]],
    [job(key, dry_min=1200) for key in KEYS[:2]],
)
NOON = yard(
    [boat(key, water=daily(3, "10:30-12:00")) for key in KEYS[:2]],
    [job(key, minutes=180) for key in KEYS[:2]],
    [replace(person("mechanic", 0), works=daily(3, "07:00-16:00"))],
)
LOOKS = three(
    [replace(boat(key, water=daily(3, "12:00-14:00")), looks_min=180) for key in KEYS],
    [],
    looks=Looks(1, daily(3, "07:00-16:00")),
)
SHUT_IN = yard(
    [boat(A, None, water=daily(3, "13:00-14:00")[2:]), boat(B, water=EVENING)], [], [], (A, B)
)
ONE_TIDE = replace(
    yard([boat(key, water=daily(3, "13:00-13:50")) for key in KEYS[:2]], [], [], (A, B)),
    lifts=(replace(lifts(*EVENING)[0], count=2),),
)
EARLIER_TIDE = yard(
    [boat(A, water=daily(3, "14:00-15:00")), boat(B, water=daily(3, "12:00-13:00"))], [], [], (A, B)
)
AFLOAT = three([boat(A)], [job(A, afloat=True)])


@pytest.mark.parametrize(
    ("asked", "days"),
    [
        (HOURS, 3),  # five hours a day, five hours a boat: days 0, 1 and 2
        (PAINT, 1),  # done on days 0 and 1, dry on days 1 and 2
        (NOON, 1),  # five hours until noon, when the water goes, and six hours of work
        (LOOKS, 3),  # from 12:30 to 16:00 one boat can be looked after for three hours
        (SHUT_IN, 2),  # the one in front has water on day 2 only
        (ONE_TIDE, 1),  # fifty minutes of water, and half an hour for each, one behind the other
        (EARLIER_TIDE, 1),  # the one behind floats only before the one in front is gone
        (AFLOAT, 1),  # in by 07:30 at the soonest, five hours of work until 12:00
    ],
)
def test_by_hand(asked: Problem, days: int) -> None:
    assert Relaxed(asked).ink_days(5) == days
    assert score(asked, list_plan(asked, by_promise(asked))).ink_days == days


def test_pencil_at_the_ink_that_is_found() -> None:
    # Two on one day's hours: with no Ink late the pencilled one waits a day; else she need not.
    boats = [boat(A, water=EVENING), replace(boat(B, None, water=EVENING), pencil=0)]
    asked = three(boats, [job(A), job(B)])
    relaxed = Relaxed(asked)
    assert relaxed.ink_days(5) == 0
    assert (relaxed.pencil_days(5, 0), relaxed.pencil_days(5, 1)) == (1, 0)


def test_none_where_a_boat_can_never_go_in() -> None:
    asked = three([boat(A, water=())], [])
    assert Relaxed(asked).ink_days(5) is None


def test_a_learner_s_hours_count_for_no_more_than_the_eyes_on_them() -> None:
    # The only mechanic watches or works five hours a day: a learner adds nothing.
    learner = replace(
        person("learner", 0, 1, 2), trades=frozenset(), learns=frozenset({"mechanic"})
    )
    asked = replace(HOURS, people=(*HOURS.people, learner))
    assert Relaxed(asked).ink_days(5) == 3
    (mechanic,) = HOURS.people
    asked = replace(HOURS, people=(replace(mechanic, may_watch=3), learner))
    assert Relaxed(asked).ink_days(5) == 1
