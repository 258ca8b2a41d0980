"""What has begun goes on, and nothing begins in the past: by hand, and in what a replan answers."""

from dataclasses import replace
from random import Random

import pytest

from tests.plan.planted import good_plan
from tests.plan.test_repair import does, movable
from tests.plan.test_rules import A, B, C, boat, job, person, yard
from tests.plan.yards import at, daily
from yardwright.plan import checker
from yardwright.plan.days import Minute
from yardwright.plan.model_costs import Published
from yardwright.plan.parts import Part, whole
from yardwright.plan.past import past_changed
from yardwright.plan.problem import BoatId, Job, PersonId, Plan
from yardwright.plan.problem import TaskId as T
from yardwright.plan.repair import hit
from yardwright.plan.replan import replan
from yardwright.plan.solver import Limits, improve

NOW = at(1, "08:00")
NOBODY = Part(frozenset(), frozenset())
ASKED = yard(
    [movable(A), replace(movable(B), carry_min=30), movable(C)],
    [job("j", A), job("k", B), job("l", B, after=(T("k"),)), job("m", C)],
    [person("mechanic", 0, 1, 2), person("hand", 0, 1, 2)],
    (A, B),
)
# On Tuesday at eight "k" is under way, B's launch has begun, C's has not; A was moved on Monday.
PLAN = Plan(
    does("j", at(0, "07:00")) | does("k", at(1, "07:00")) | does("m", at(2, "07:00"))
    | does("l", at(2, "08:00")),
    {A: at(2, "09:00"), B: at(1, "08:10"), C: at(2, "13:00")},
    {A: at(0, "15:00")},
)  # fmt: skip


def jobs(**start: int) -> Plan:
    moved = {T(key): Job(PersonId("mechanic"), at, at + 300) for key, at in start.items()}
    return replace(PLAN, jobs={**PLAN.jobs, **moved})


def launches(**start: int) -> Plan:
    return replace(PLAN, launches={**PLAN.launches, **{BoatId(k): at for k, at in start.items()}})


BY_ANOTHER = Job(PersonId("hand"), at(1, "07:00"), at(1, "12:00"))


@pytest.mark.parametrize(
    ("plan", "said"),
    [
        (PLAN, []),
        (jobs(m=at(2, "09:00")), []),
        (jobs(m=at(1, "08:00")), []),
        (jobs(m=at(1, "07:59")), ["c: work would begin Tue 6 May 07:59, which has passed."]),
        (jobs(k=at(2, "07:00")), ["b: work has begun, and would be moved."]),
        (jobs(k=at(0, "07:00")), ["b: work would begin Mon 5 May 07:00, which has passed."]),
        (replace(PLAN, jobs={**PLAN.jobs, T("k"): BY_ANOTHER}), ["b: work would begin Tue 6 May 07:00, which has passed."]),
        (launches(c=at(1, "09:00")), []),
        (launches(c=at(1, "07:30")), ["c's launch would begin Tue 6 May 07:30, which has passed."]),
        (launches(b=at(1, "13:00")), ["b's launch has begun, and would be moved."]),
        (replace(PLAN, asides={}), ["a's move aside has begun, and would be moved."]),
        (replace(PLAN, asides={A: at(1, "15:00")}), ["a's move aside has begun, and would be moved."]),
        (replace(PLAN, asides={**PLAN.asides, C: at(0, "15:00")}), ["c's move aside would begin Mon 5 May 15:00, which has passed."]),
    ],
)  # fmt: skip
def test_by_hand(plan: Plan, said: list[str]) -> None:
    assert past_changed(plan, ASKED, PLAN, NOW, NOBODY) == said


def test_what_can_not_stay_may_move_and_what_comes_after_it() -> None:
    moved = jobs(k=at(2, "07:00"), l=at(2, "13:00"))
    assert past_changed(moved, ASKED, PLAN, NOW, Part(frozenset((T("k"),)), frozenset())) == []
    # Her launch comes after her work ashore; A's move aside after nobody's in front of her.
    later = replace(moved, launches={**PLAN.launches, B: at(2, "15:00")})
    assert past_changed(later, ASKED, PLAN, NOW, Part(frozenset((T("k"),)), frozenset())) == []
    assert past_changed(later, ASKED, PLAN, NOW, NOBODY) == [
        "b: work has begun, and would be moved."
    ]
    not_moved = replace(PLAN, asides={A: at(1, "15:00")})
    assert past_changed(not_moved, ASKED, PLAN, NOW, Part(frozenset(), frozenset((A,)))) == []


# The kit for A, in front of B, comes on Wednesday; B is told Tuesday, and the lift opens at seven.
KIT = yard(
    [movable(A), replace(boat(B, 1, water=daily(3, "07:00-10:00")))],
    [job("j", A, minutes=60, not_before=at(2, "07:00"))],
    [person("mechanic", 0, 1, 2)],
    (A, B),
    lift=daily(3, "07:00-10:00"),
)
TOLD = Plan(
    {T("j"): Job(PersonId("mechanic"), at(1, "07:00"), at(1, "08:00"))},
    {A: at(1, "08:00"), B: at(1, "09:00")},
    {},
)


def test_nobody_is_moved_aside_yesterday() -> None:
    now = at(0, "20:00")
    answer = replan(KIT, TOLD, now=now, time_limit_s=2, workers=1).better
    assert answer is not None
    assert answer.change.ink_days == 0
    assert at(1, "07:00") <= answer.plan.asides[A] <= at(1, "08:00")


def planned_anew(now: Minute) -> Plan:
    """By the solver alone, from a plan in which A, whose kit is late, holds B up."""
    kit = does("j", at(2, "07:00"))[T("j")]
    late = Plan(
        {T("j"): replace(kit, end=at(2, "08:00"))}, {A: at(2, "09:00"), B: at(2, "09:30")}, {}
    )
    found = improve(
        KIT, late, whole(KIT), Limits(5, 1), published=Published(TOLD, {}), now=now
    ).plan
    assert found is not None
    assert checker.broken(found, KIT) == []
    return found


def test_the_solver_is_told_what_has_passed() -> None:
    now, lost = at(1, "07:30"), hit(KIT, TOLD)
    assert past_changed(planned_anew(now), KIT, TOLD, now, lost) == []
    # Were it not told, it would move A aside before.
    assert past_changed(planned_anew(0), KIT, TOLD, now, lost)


def test_a_move_aside_that_was_made_is_not_made_again() -> None:
    moved = replace(
        TOLD, asides={A: at(0, "07:00")}, launches={A: at(2, "08:00"), B: at(1, "09:00")}
    )
    found = improve(
        KIT, moved, whole(KIT), Limits(5, 1), published=Published(TOLD, {}), now=NOW
    ).plan
    assert found is not None
    assert found.asides == moved.asides


@pytest.mark.parametrize("seed", range(20))
def test_a_planted_change_of_the_past_is_refused(seed: int) -> None:
    (problem, good), dice = good_plan(seed), Random(seed)  # noqa: S311 - no secret
    now = sorted(job.start for job in good.jobs.values())[len(good.jobs) // 2]
    done = dice.choice([key for key, job in good.jobs.items() if job.start < now])
    comes = dice.choice([key for key, job in good.jobs.items() if job.start >= now])

    def begins(key: T, start: Minute) -> Plan:
        was = good.jobs[key]
        one = replace(was, start=start, end=start + was.end - was.start)
        return replace(good, jobs={**good.jobs, key: one})

    def said(plan: Plan) -> list[str]:
        return past_changed(plan, problem, good, now, NOBODY)

    assert said(good) == []
    assert said(begins(comes, good.jobs[comes].start + dice.randint(1, 999))) == []
    assert said(begins(done, now + dice.randint(0, 999)))
    assert said(begins(comes, now - dice.randint(1, 999)))
    gone = dice.choice(list(good.launches))
    fetched = now + problem.boat[gone].carry_min - dice.randint(1, 999)
    assert said(replace(good, launches={**good.launches, gone: fetched}))
