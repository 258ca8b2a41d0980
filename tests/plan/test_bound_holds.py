"""No checked plan beats the bound; were more left out of it or less, one would be seen to."""

import inspect
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from functools import cache
from types import ModuleType
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.test_bound import LOOKS
from tests.plan.test_list_plan import plans as list_plans
from tests.plan.test_model import rich
from tests.plan.test_rule_outs import MANY, WITHOUT, repair, shaken, to_the_minute
from tests.plan.test_rules import COSTLY, A, B, C, boat, job, learner, person, yard
from tests.plan.yards import daily, lifts, tiny, tiny_more
from yardwright.plan import alone, bound, checker, list_plan, placing, solver
from yardwright.plan.problem import Boat, Looks, Person, PersonId, Plan, Problem, Score, score

TWICE = lifts(*daily(3, "07:00-19:00"), count=2)
MECHANIC = person("mechanic", 0, 1)
ON_BOTH = [job("j", A), job("k", B)]


def learns(name: str) -> Person:
    return replace(learner("mechanic", 0, 1), id=PersonId(name))


def both(count: int, water: str, **more: Any) -> list[Boat]:
    return [replace(boat(key, water=daily(3, water)), **more) for key in (A, B)][:count]


# In each of them all days can be kept, by hand, and hardly.
KEPT = {
    "five hours, and five of overtime, for two boats": replace(
        yard(
            both(2, "17:30-19:00"),
            ON_BOTH,
            [replace(MECHANIC, overtime=daily(1, "12:00-17:00"))],
        ),
        lifts=TWICE,
    ),
    "two who learn, and one who watches both": yard(
        both(2, "12:00-16:00"),
        ON_BOTH,
        [replace(MECHANIC, may_watch=2), learns("one"), learns("other")],
    ),
    "half an hour of water and two lifts": replace(yard(both(2, "13:00-13:30"), [], []), lifts=TWICE),
    "two looked after at once": replace(
        yard(both(2, "13:00-13:30", looks_min=180), [], [], looks=Looks(2, daily(3, "07:00-16:30"))),
        lifts=TWICE,
    ),
    "work until five, and water until six": replace(
        yard(both(2, "07:00-18:00"), ON_BOTH, [replace(MECHANIC, works=daily(1, "07:00-17:00"))]),
        lifts=TWICE,
    ),
    "paint that dries while she is fetched": replace(
        yard(
            both(1, "17:00-18:00", carry_min=60),
            [job("j", A, minutes=330, dry_min=300)],
            [replace(MECHANIC, works=daily(1, "07:00-12:30"))],
        ),
        lifts=TWICE,
    ),
    "the one behind has water all day": yard(
        [
            boat(A, 1, water=daily(3, "12:00-16:00")),
            boat(B, 1, water=daily(3, "07:00-16:00")),
            boat(C, 0, water=daily(3, "12:00-16:00")),
        ],
        [job("j", A), job("k", C)],
        [MECHANIC],
        (A, B),
    ),
    "two short launches and a long one in three hours of water": yard(
        [replace(boat(key, water=daily(3, "13:00-16:00")), launch_min=minutes)
         for key, minutes in ((A, 30), (B, 120), (C, 30))],
        [], [],
    ),
    "two on her at once": yard(
        both(1, "12:00-16:00", hands=2), [job("j", A), job("k", A, "hand")],
        [MECHANIC, person("hand", 0)],
    ),
    "watched while somebody works on her": yard(
        both(1, "07:00-07:30", watch_min=780), [job("j", A, minutes=270, afloat=True)], [MECHANIC],
    ),
}  # fmt: skip
YARDS = [*KEPT.values(), LOOKS, *MANY, *map(rich, range(8, 40)), *map(tiny_more, range(20, 40))]

# What the bound leaves out; left in, or left out by half, it would take days that can be kept.
TOO_FAR = {
    "no overtime": ("person.on.long.worked_by(minute)", "person.on.plain.worked_by(minute)"),
    "no learners": ("bool(trades & (person.trades | person.learns))", "bool(trades & person.trades)"),
    "eyes on one alone": ("max(1, person.may_watch)", "1"),
    "one lift of a kind": ("theirs, day, count, _on", "theirs, day, 1, _on"),
    "one place for looks": ("new, day, self.problem.looks.at_once, _", "new, day, 1, _"),
    "no launch as the water ends": ("1 + (end - 1 - begin) //", "(end - 1 - begin) //"),
    "all as long as the longest": ("min(lasts(boat)", "max(lasts(boat)"),
    "all in the hours of one": ("opens) == self.begins[b.id][day]", "opens)"),
    "done by her first minute": ("self.begins[boat.id][day][-1][1] - 1 for day in", "self.begins[boat.id][day][0][0] for day in"),
    "dry before she is fetched": ("max(task.dry_min, boat.carry_min, tails", "task.dry_min + boat.carry_min + max(0, tails"),
    "nobody moved aside": ("if front.aside_min is None:", "if True:"),
    "nobody moved aside at the soonest": ("if boat.aside_min is None:", "if True:"),
    "gone by her last minute": ("begins[0][0] + boat.launch_min if", "begins[-1][0] + boat.launch_min if"),
    "the one behind by her first": ("out = opens[-1][1] - 1 -", "out = opens[0][0] -"),
    "late as by her last minute": ("boat, opens[0][0])", "boat, opens[-1][1] - 1)"),
    "one on her at once": ("-(-minutes // boat.hands)", "minutes"),
    "the slowest does it": ("return min((end for end in done", "return max((end for end in done"),
    "no overtime for her alone": ("able = (p.on.long.opens", "able = (p.on.plain.opens"),
    "one job after the other": ("heads = [ends[before] for before in task.after if before in ends]", "heads = [*ends.values()]"),
    "watched after the work": ("max(over + boat.watch_min, boat.free_from + 1, done.all)", "done.all + boat.watch_min"),
}  # fmt: skip
# Of these rules it knows nothing, or nothing that a yard without them shows.
LEFT_OUT = {"by_another", "not_too_long_dry", "aside_before_launch", "nobody_on_her"}


def beaten(by: Score, asked: Problem, relaxed: Any) -> bool:
    """Whether a plan has fewer days late than what no plan can beat."""
    ink = relaxed(asked).ink_days(5)
    if ink is None or by.ink_days < ink:
        return True
    pencil = relaxed(asked).pencil_days(5, by.ink_days)
    return pencil is None or by.pencil_days < pencil


@cache
def best(place: int) -> Score | None:
    asked = YARDS[place]
    plan = solver.solve(asked, time_limit_s=5, workers=1).plan
    assert plan is None or checker.broken(plan, asked) == []
    return None if plan is None else score(asked, plan)


def beaten_somewhere(relaxed: Any) -> Iterator[Problem]:
    for place, asked in enumerate(YARDS):
        by = best(place)
        if by is not None and beaten(by, asked, relaxed):
            yield asked


def spoilt(old: str, new: str) -> Any:
    """The bound with some of its words replaced."""
    texts = [inspect.getsource(module) for module in (alone, bound)]
    assert sum(text.count(old) for text in texts) == 1, f"not said once: {old}"
    hers, made = ModuleType("alone"), ModuleType("bound")
    for one, text in zip((hers, made), texts, strict=True):
        exec(text.replace(old, new), one.__dict__)  # noqa: S102 - our own text
    for name in ("earliest_handed_over", "launch_begins", "meets_water_alone"):
        setattr(made, name, getattr(hers, name))
    return made.Relaxed


def test_no_day_is_lost_that_can_be_kept() -> None:
    assert [best(place) for place in range(len(KEPT))].count(None) == 0
    assert all(by and by[:2] == (0, 0) for by in map(best, range(len(KEPT))))
    assert not list(beaten_somewhere(bound.Relaxed))


@pytest.mark.parametrize("name", TOO_FAR)
def test_a_bound_that_goes_too_far_is_beaten(name: str) -> None:
    assert next(beaten_somewhere(spoilt(*TOO_FAR[name])), None) is not None


@pytest.mark.parametrize("rule", [rule for rule in COSTLY if rule not in LEFT_OUT])
def test_a_plan_without_a_rule_beats_it(rule: str) -> None:
    """And a plan with it does not."""
    asked, loose = COSTLY[rule], WITHOUT[rule](COSTLY[rule])
    kept, broken = (solver.solve(one, time_limit_s=5, workers=1).plan for one in (asked, loose))
    assert kept is not None
    assert broken is not None
    assert not beaten(score(asked, kept), asked, bound.Relaxed)
    assert beaten(score(loose, broken), asked, bound.Relaxed)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**6), st.sampled_from((tiny, tiny_more, rich)))
def test_no_producer_s_plan_beats_it(seed: int, make: Any) -> None:
    asked = make(seed)
    plans: list[Plan] = []
    with suppress(placing.Stuck):
        plans += list_plans(list_plan, asked)
    for first in plans[-1:]:
        for produce in (repair, shaken, to_the_minute):
            plans += produce(asked, first)
    for plan in plans:
        assert checker.broken(plan, asked) == []
        assert not beaten(score(asked, plan), asked, bound.Relaxed)
