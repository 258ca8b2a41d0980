"""The plan made in a moment: it keeps every rule, and each rule in it is seen to matter."""

import inspect
from collections.abc import Collection, Iterator, Mapping
from contextlib import suppress
from dataclasses import replace
from types import ModuleType
from typing import Any

import pytest

from bench.yards import loads
from bench.yards import yard as made_up
from tests.plan.test_rules import ALWAYS, COSTLY, EVENING, A, B, boat, job, learner, person, yard
from tests.plan.yards import CURLEW, at, daily, story_a1, tiny_more, whole
from yardwright.plan import checker, list_plan, placing, planner, slots
from yardwright.plan.problem import BoatId, Looks, PersonId, Plan, Problem, TaskId, score

WATCHES = yard(  # the mechanic is on A on Monday, when alone B's job could be watched
    [boat(A), boat(B, 1, water=ALWAYS)],
    [job("j", A), job("k", B)],
    [person("mechanic", 0, 2), learner("mechanic", 0)],
)
STAYS = yard(
    [replace(boat(A, None), aside_min=30, goes_in=False), boat(B)],
    [job("j", A)],
    [person("mechanic", 0)],
    (A, B),
)
POOL = [*COSTLY.values(), WATCHES, STAYS, *(whole(seed) for seed in range(3))]

READY = "max([ready, task.not_before, *(self.jobs[before].end for before in task.after)])"
OPENS = "opens, lasts = launch_begins(self.problem, boat), ("
EVER_OPEN = "opens, lasts = ((0, self.problem.days.end),), ("
OUT = {  # each rule, and the words of the list plan that keep it, with what leaves it out
    "right_trade": ("[p.id for p in people if trade in p.trades]", "[p.id for p in people]"),
    "watched": ("return self.hands[key].has_no_job(span) and watches", "return 0 * watches"),
    "working_hours": (
        "return start, self.clock.minute_of(worked + minutes - 1) + 1",
        "return start, start + minutes + 0 * worked",
    ),
    "one_job_a_person": ("self.long.free &= ~touched", "pass"),
    "jobs_at_once": ("if len(on_her) >= boat.hands:", "if False:"),
    "part_first": (READY, READY.replace("task.not_before, ", "")),
    "in_order": (READY, "max([ready, task.not_before])"),
    "by_another": (" and key not in others:\n                soonest", ":\n                soonest"),
    "work_before_water": ("return max([ready + boat.carry_min, *dry])", "return max([0, *dry])"),
    "paint_dry": ("(self.jobs[task.id].end + task.dry_min for", "(self.jobs[task.id].end for"),
    "not_too_long_dry": ("start - self.jobs[task.id].end > task.within_min", "start < 0"),
    "water_holds": (OPENS, EVER_OPEN),
    "lift_open": (OPENS, EVER_OPEN),
    "ground_bears": (OPENS, EVER_OPEN),
    "lifts_enough": ("busy = lift.busy_until(span)", "busy = None"),
    "front_leaves_first": (
        "[self._gone(front) for front in self.problem.in_front[boat.id]]",
        "[]",
    ),
    "aside_before_launch": ("clear = [self._gone(boat)]", "clear = []"),
    "nobody_on_her": ("[(job.start, job.end) for job in self.on_her[boat.id]]", "[]"),
    "looks_places": ("busy = self.looks.busy_until(looked)", "busy = None"),
    "looks_hours": (OPENS, EVER_OPEN),
    "work_afloat": ("over = self.launches[boat.id] + boat.launch_min\n        for", "over = 0\n        for"),
}  # fmt: skip


def spoilt(old: str, new: str) -> ModuleType:
    """The list plan with some words replaced."""
    made: list[ModuleType] = []
    found = 0
    for module in (slots, placing, list_plan):
        text = inspect.getsource(module)
        found += text.count(old)
        one = ModuleType(module.__name__)
        exec(text.replace(old, new), one.__dict__)  # noqa: S102 - our own text
        made.append(one)
    assert found == 1, f"the list plan says {found} times: {old}"
    hands, placed, plan = (one.__dict__ for one in made)
    placed.update(Hands=hands["Hands"], Found=hands["Found"], Stuck=placing.Stuck)
    plan.update(Placing=placed["Placing"])
    return made[-1]


def orders(asked: Problem) -> Iterator[tuple[Mapping[BoatId, float], Collection[BoatId]]]:
    rank = list_plan.by_promise(asked)
    aside = [boat.id for boat in asked.boats if boat.aside_min is not None]
    for some in ((), aside):
        yield rank, some
        yield {key: -place for key, place in rank.items()}, some


def plans(module: Any, asked: Problem) -> Iterator[Plan]:
    for rank, asides in orders(asked):
        with suppress(placing.Stuck):
            yield module.list_plan(asked, rank, asides)


def test_the_rules_are_all_there() -> None:
    assert list(OUT) == [rule.__name__ for rule in checker.RULES]


@pytest.mark.parametrize("name", OUT)
def test_without_a_rule_the_checker_complains(name: str) -> None:
    twin = next(rule for rule in checker.RULES if rule.__name__ == name)
    broken = spoilt(*OUT[name])
    assert any(list(twin(plan, asked)) for asked in POOL for plan in plans(broken, asked))


def test_it_keeps_every_rule() -> None:
    made = 0
    for asked in (*POOL, *(tiny_more(seed) for seed in range(60)), made_up(30, 1), made_up(30, 4)):
        for plan in plans(list_plan, asked):
            made += 1
            assert checker.broken(plan, asked) == []
            sooner = list_plan.pulled_forward(asked, plan)
            assert checker.broken(sooner, asked) == []
            assert all(sooner.jobs[key].end <= one.end for key, one in plan.jobs.items())
    assert made >= 150


def test_another_does_it_whichever_comes_first() -> None:
    # "look" is placed first, and only "work" can be moved to the other mechanic.
    tasks = [job("look", A, not_by=(TaskId("work"),)), job("work", A)]
    other = replace(person("mechanic", 0, 1), id=PersonId("other"))
    asked = yard([boat(A)], tasks, [person("mechanic", 0, 1), other])
    plan = list_plan.list_plan(asked, list_plan.by_promise(asked))
    assert checker.broken(plan, asked) == []


def test_to_the_minute_after_the_half_hours() -> None:
    # The kit comes 07:15 and Ines has nothing else: the list waits for 07:30, the minutes do not.
    asked = story_a1(kit="07:15")
    tasks = tuple(task for task in asked.tasks if task.boat == CURLEW)
    alone = replace(asked, tasks=tasks)
    plan = list_plan.list_plan(alone, list_plan.by_promise(alone))
    fit = TaskId("Curlew-mechanic")
    assert plan.jobs[fit].start == at(1, "07:30")
    assert list_plan.pulled_forward(alone, plan).jobs[fit].start == at(1, "07:15")


def test_overtime_only_where_it_may_save_a_day() -> None:
    asked = made_up(30, 3)
    rank = list_plan.by_promise(asked)
    without = list_plan.list_plan(asked, rank, early_days={})
    assert not any(one.overtime for one in without.jobs.values())
    some = {boat.id: 0.0 for boat in asked.boats[:15]}
    longer = list_plan.list_plan(asked, rank, early_days=some)
    assert {asked.task[key].boat for key, one in longer.jobs.items() if one.overtime} <= set(some)
    assert loads(asked)["all"] > 0.3


def test_overtime_that_leaves_hours_to_those_who_come_after() -> None:
    # Both need seven hours by Tuesday, of five a day and two of overtime; B's begin on Tuesday.
    works, late = daily(3, "07:00-12:00"), daily(3, "13:00-15:00")
    mechanic = replace(person("mechanic"), works=works, overtime=late)
    jobs = [
        job("j", A, minutes=420),
        job("k", B, minutes=420, not_before=at(1, "07:00")),
    ]
    boats = [boat(key, 1, water=daily(3, "15:00-18:00")) for key in (A, B)]
    asked = yard(boats, jobs, [mechanic], lift=daily(3, "07:00-18:00"))
    rank = {A: 0, B: 1}
    by_her_day = list_plan.list_plan(asked, rank)
    assert score(asked, by_her_day).ink_days == 1  # A ends on Tuesday at 9, two hours are short
    a_day_before = list_plan.list_plan(asked, rank, early_days={A: 1, B: 0})
    assert score(asked, a_day_before)[:2] == (0, 0)
    assert {job.end for job in a_day_before.jobs.values()} == {at(0, "15:00"), at(1, "15:00")}


def test_the_same_seed_and_steps_give_the_same_plan() -> None:
    asked = made_up(30, 3)
    one, other = (planner.plan(asked, seed=7, steps=6) for _ in range(2))
    assert one.plan is not None
    assert (one.plan, one.score) == (other.plan, other.score)


def test_a_launch_that_goes_sooner_leaves_the_others_their_looks() -> None:
    """Two lifts, one place for looks: A's is over later than B's, though she is fetched sooner."""
    a = replace(boat(A, 0, water=EVENING), launch_min=60, looks_min=30)
    b = replace(boat(B, 0, water=((at(0, "08:15"), at(0, "08:35")),)), launch_min=20, looks_min=30)
    asked = yard([a, b], [], [], looks=Looks(1, daily(3, "07:00-16:00")))
    asked = replace(asked, lifts=(replace(asked.lifts[0], count=2),))
    plan = Plan({}, {A: at(0, "08:05"), B: at(0, "08:15")}, {})
    assert not checker.broken(plan, asked)
    sooner = list_plan.pulled_forward(asked, plan)
    assert not checker.broken(sooner, asked)
    assert sooner.launches[B] == at(0, "08:15")
