"""Each producer keeps each rule: where one is taken out of what it sees, the checker complains.

A producer is given a yard in which the rule asks for nothing, the checker has the true one. The
list plan and the model of a whole yard lose their rules in ``test_list_plan`` and ``test_model``,
the order of hauling out in ``test_haul_out``, and the bound in ``test_bound_holds``.
"""

from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import replace
from functools import cache
from typing import Any

import pytest

from tests.plan.test_list_plan import STAYS, WATCHES
from tests.plan.test_list_plan import plans as list_plans
from tests.plan.test_model import rich
from tests.plan.test_rules import COSTLY, A, B, C, boat, job, learner, person, yard
from tests.plan.yards import at, daily, tiny_more
from yardwright.plan import checker, list_plan, model, rounds, solver
from yardwright.plan.asides import asides_put_off
from yardwright.plan.give_way import GivingWay
from yardwright.plan.parts import Part, of_boats
from yardwright.plan.placing import Placing
from yardwright.plan.problem import (
    Boat,
    BoatId,
    Job,
    Looks,
    Person,
    PersonId,
    Plan,
    Problem,
    Task,
    TaskId,
)
from yardwright.plan.put_off import put_off
from yardwright.plan.repair import NoRoom, hit, repaired
from yardwright.plan.replan import replan
from yardwright.plan.search import Search
from yardwright.plan.turns import put_in_again

Loosen = Callable[[Problem], Problem]
Produce = Callable[[Problem, Plan], Iterator[Plan]]  # what it sees, and a plan that keeps all rules
ALL_RULES = checker.RULES
AGAIN = " again"  # who is there twice
NOBODY = BoatId("nobody's")


def boats(**what: Any) -> Loosen:
    return lambda asked: replace(asked, boats=tuple(replace(b, **what) for b in asked.boats))


def tasks(**what: Any) -> Loosen:
    return lambda asked: replace(asked, tasks=tuple(replace(t, **what) for t in asked.tasks))


def people(change: Callable[[Person, Problem], dict[str, Any]]) -> Loosen:
    return lambda asked: replace(
        asked, people=tuple(replace(p, **change(p, asked)) for p in asked.people)
    )


def lifts(**what: Any) -> Loosen:
    return lambda asked: replace(asked, lifts=tuple(replace(one, **what) for one in asked.lifts))


def looks(**what: Any) -> Loosen:
    return lambda asked: replace(asked, looks=asked.looks and replace(asked.looks, **what))


def ever(asked: Problem) -> tuple[tuple[int, int], ...]:
    return ((0, asked.days.end),)


def everybody_twice(asked: Problem) -> Problem:
    more = (replace(person, id=PersonId(person.id + AGAIN)) for person in asked.people)
    return replace(asked, people=(*asked.people, *more))


def done_elsewhere(*, afloat: bool) -> Loosen:
    """Work ashore, or afloat, is on a boat that nobody waits for."""
    away: dict[str, Any] = {"boat": NOBODY, "afloat": False, "dry_min": 0, "within_min": None}

    def loosen(asked: Problem) -> Problem:
        nobody = Boat(NOBODY, NOBODY, asked.lifts[0].id, goes_in=False, hands=20)
        jobs = (replace(t, **away) if t.afloat is afloat else t for t in asked.tasks)
        return replace(asked, boats=(*asked.boats, nobody), tasks=tuple(jobs))

    return loosen


def aside_in_a_minute(asked: Problem) -> Problem:
    quick = (b if b.aside_min is None else replace(b, aside_min=1) for b in asked.boats)
    return replace(asked, boats=tuple(quick))


def every_trade(one: Person, asked: Problem) -> dict[str, Any]:
    return {"trades": one.trades | {task.trade for task in asked.tasks} - one.learns}


WITHOUT: dict[str, Loosen] = {
    "right_trade": people(every_trade),
    "watched": people(lambda one, _: {"trades": one.trades | one.learns, "learns": frozenset()}),
    "working_hours": people(lambda _, asked: {"works": ever(asked), "overtime": ()}),
    "one_job_a_person": everybody_twice,
    "jobs_at_once": boats(hands=20),
    "part_first": tasks(not_before=0),
    "in_order": tasks(after=()),
    "by_another": tasks(not_by=()),
    "work_before_water": done_elsewhere(afloat=False),
    "paint_dry": tasks(dry_min=0),
    "not_too_long_dry": tasks(within_min=None),
    "water_holds": lambda asked: boats(water=ever(asked))(asked),
    "lift_open": lambda asked: lifts(opens=ever(asked), held=())(asked),
    "ground_bears": boats(ground_from=0),
    "lifts_enough": lifts(count=20, taken=()),
    "front_leaves_first": lambda asked: replace(asked, rows=()),
    "aside_before_launch": aside_in_a_minute,
    "nobody_on_her": done_elsewhere(afloat=False),
    "looks_places": looks(at_once=100, taken=()),
    "looks_hours": lambda asked: looks(opens=ever(asked))(asked),
    "work_afloat": done_elsewhere(afloat=True),
}


def complains(rule: str, plan: Plan, asked: Problem) -> list[str]:
    """What the rule's own words in the checker say of a plan; who is there twice is one."""

    def one(key: PersonId | None) -> PersonId | None:
        return None if key is None else PersonId(key.removesuffix(AGAIN))

    jobs = {
        key: replace(job, person=one(job.person) or job.person, watcher=one(job.watcher))
        for key, job in plan.jobs.items()
    }
    (twin,) = (one for one in ALL_RULES if one.__name__ == rule)
    return list(twin(replace(plan, jobs=jobs), asked))


# B floats from eleven to half past, A after her; moving A aside takes four hours, from eight on.
SLOWLY = yard(
    [
        replace(boat(A, None, water=daily(3, "11:30-13:00")), aside_min=240, pencil=0),
        boat(B, water=daily(3, "11:00-11:30")),
    ],
    [],
    [],
    (A, B),
    lift=daily(3, "08:00-16:00"),
)
# C has the lift until eleven, when B goes in for whom A is moved aside.
CROWDED = yard([replace(boat(A, 2), aside_min=60), boat(B), boat(C)], [], [], (A, B))
CROWDED_PLAN = Plan(
    {}, {A: at(2, "07:00"), B: at(0, "11:00"), C: at(0, "10:30")}, {A: at(0, "07:00")}
)
# A is moved aside at eight, before the mechanic is on her; he could be from seven on.
EARLY = replace(STAYS, people=(person("mechanic", 0, 1),))
EARLY_PLAN = Plan(
    {TaskId("j"): Job(PersonId("mechanic"), at(1, "07:00"), at(1, "12:00"))},
    {B: at(1, "10:00")},
    {A: at(0, "08:00")},
)
# Told to go in on Tuesday, she keeps Tuesday only if she goes in on Monday, when the mechanic is there.
MONDAY = yard(
    [replace(boat(A, 1), published=at(1, "07:00"))],
    [job("j", A, minutes=60, afloat=True)],
    [person("mechanic", 0, 2)],
)
# The mechanic is there on Monday, when the lift is shut.
SHUT = yard([boat(A)], [], [person("mechanic", 0)], lift=daily(3, "07:00-16:00")[1:])
# Another boat is in the slings until eleven; one that is in is looked after until then.
UNTIL_ELEVEN = ((0, at(0, "11:00")),)
IN_SLINGS = lifts(taken=UNTIL_ELEVEN)(yard([boat(A), boat(B)], [], []))
NEW_IN = yard(
    [replace(boat(A), looks_min=60)],
    [],
    [],
    looks=Looks(1, daily(3, "07:00-16:00"), taken=UNTIL_ELEVEN),
)
FEW = [*COSTLY.values(), WATCHES, STAYS, SLOWLY, MONDAY, SHUT, IN_SLINGS, NEW_IN]
MANY = [*FEW, *map(tiny_more, range(20)), *map(rich, range(8))]


@cache
def known(place: int) -> list[Plan]:
    """Plans of a yard that keep every rule."""
    asked = MANY[place]
    best = solver.solve(asked, time_limit_s=3, workers=1).plan
    return [*list_plans(list_plan, asked), *([best] if best else [])]


def pool(few: bool) -> Iterator[tuple[Problem, Plan]]:
    """Yards, each with plans that keep every rule."""
    yield CROWDED, CROWDED_PLAN
    yield EARLY, EARLY_PLAN
    for place, asked in enumerate(FEW if few else MANY):
        for plan in known(place)[-2:]:
            yield asked, plan


def to_the_minute(seen: Problem, plan: Plan) -> Iterator[Plan]:
    yield list_plan.pulled_forward(seen, plan)


def asides_off(seen: Problem, plan: Plan) -> Iterator[Plan]:
    yield asides_put_off(seen, plan)


def off(seen: Problem, plan: Plan) -> Iterator[Plan]:
    yield put_off(seen, plan)


def turned(seen: Problem, plan: Plan) -> Iterator[Plan]:
    """Each boat in her turn, as if she were in need."""
    placing = Placing(seen, frozenset(), {}, {})
    placing.keep(plan)
    for one in seen.boats:
        found = put_in_again(placing, [one.id], lambda _plan, _some: ())
        if found is not None:
            yield found[0].plan


def repair(seen: Problem, plan: Plan) -> Iterator[Plan]:
    """All is new but the moves aside."""
    asides = Plan({}, {}, plan.asides)
    for soonest in (False, True):
        with suppress(NoRoom):
            yield repaired(seen, asides, hit(seen, asides), 0, soonest=soonest)


def replanned(seen: Problem, plan: Plan) -> Iterator[Plan]:
    found = replan(seen, Plan({}, {}, plan.asides), time_limit_s=0.1, workers=1)
    return (one.plan for one in (found.at_once, found.better, found.other) if one)


def giving_way(seen: Problem, plan: Plan) -> Iterator[Plan]:
    """Each boat comes first in her turn, and no plan is known that could hold her back."""
    giving = GivingWay(seen, Plan({}, {}, {}), plan, 0, seed=1)
    for one in seen.boats:
        giving.turn(one.id)
        yield giving.plan


def shaken(seen: Problem, plan: Plan) -> Iterator[Plan]:
    place = rounds.Yard.of(seen)
    for asked in rounds.first_orders(place)[::9]:
        order = rounds.placed(place, *asked)
        done = rounds.played(place, rounds.Round(1, order, plan, tries=2))
        if done.plan is not None:
            yield done.plan


def a_part(seen: Problem, plan: Plan) -> Iterator[Plan]:
    """Each boat, and each row, while the rest stays as it is."""
    for some in (*((one.id,) for one in seen.boats), *seen.rows):
        part = of_boats(seen, some)
        found = solver.solve(seen, time_limit_s=2, workers=1, known=plan, part=part).plan
        if found is not None:
            yield found


PRODUCERS: dict[str, tuple[Produce, bool]] = {
    "to the minute": (to_the_minute, False),
    "moves aside put off": (asides_off, False),
    "all put off": (off, False),
    "boats put in again": (turned, False),
    "repair": (repair, False),
    "replan": (replanned, True),
    "boats give way": (giving_way, False),
    "orders shaken": (shaken, False),
    "a part anew": (a_part, True),
}
# What a producer leaves as it is given, so that there is nothing to take out of it.
STAYS_AS_GIVEN = {
    "to the minute": {"right_trade", "watched", "one_job_a_person", "by_another"},
    "all put off": {  # nothing goes sooner, nobody moved aside; paint too old: test_put_off
        "part_first",
        "work_before_water",
        "not_too_long_dry",
        "ground_bears",
        "aside_before_launch",
        "nobody_on_her",
    },
    "moves aside put off": WITHOUT.keys()
    - {"lift_open", "lifts_enough", "front_leaves_first", "aside_before_launch", "nobody_on_her"},
}


def test_the_rules_are_all_there() -> None:
    assert list(WITHOUT) == [rule.__name__ for rule in checker.RULES]


@pytest.mark.parametrize("name", PRODUCERS)
def test_every_rule_is_kept(name: str) -> None:
    produce, few = PRODUCERS[name]
    made = 0
    for asked, plan in pool(few):
        for one in produce(asked, plan):
            made += 1
            assert checker.broken(one, asked) == []
    assert made > 20


@pytest.mark.parametrize(
    ("name", "rule"),
    [(n, r) for n in PRODUCERS for r in WITHOUT if r not in STAYS_AS_GIVEN.get(n, ())],
)
def test_without_a_rule_the_checker_complains(name: str, rule: str) -> None:
    produce, few = PRODUCERS[name]
    loosen = WITHOUT[rule]
    own = COSTLY[rule], known(list(COSTLY).index(rule))[-1]
    assert any(
        complains(rule, one, asked)
        for asked, plan in (own, *pool(few))
        for one in produce(loosen(asked), plan)
    )


@pytest.mark.parametrize("rule", WITHOUT)
def test_without_a_rule_the_model_of_a_part_breaks_it(
    rule: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Between what is planned anew and what stays, too."""
    left = tuple(one for one in model.RULES if one.__name__ != rule)
    monkeypatch.setattr(model, "RULES", left)
    assert any(
        complains(rule, one, asked) for asked, plan in pool(few=True) for one in a_part(asked, plan)
    )


# Two plans of a yard, and what of the second is put into the first: together they break one rule.
TWO = [person("mechanic", 0, 1, 2), replace(person("mechanic", 0, 1, 2), id=PersonId("una"))]
MECHANIC, UNA = (one.id for one in TWO)
X, Y, Z = TaskId("x"), TaskId("y"), TaskId("z")
ROOMY = yard([replace(boat(key, None), aside_min=30) for key in (A, B)], [], TWO)


def hour(key: TaskId, boat: BoatId, **more: Any) -> Task:
    return job(key, boat, minutes=60, **more)


def does(day: int, clock: str, who: PersonId = MECHANIC, watcher: PersonId | None = None) -> Job:
    return Job(who, at(day, clock), at(day, clock) + 60, watcher)


def of(x: Job | None = None, y: Job | None = None, **more: Any) -> Plan:
    """A plan of up to two jobs; A and B go in on Wednesday at seven and at eight."""
    jobs = {key: job for key, job in ((X, x), (Y, y)) if job}
    launches = {A: at(2, "07:00"), B: at(2, "08:00")} | more.pop("launches", {})
    return Plan(jobs, launches, more.pop("asides", {}))


def asks(*jobs: Task, **more: Any) -> Problem:
    return replace(ROOMY, tasks=jobs, **more)


AT_SEVEN, AT_EIGHT, TUESDAY = does(0, "07:00"), does(0, "08:00"), does(1, "07:00")
LEARNS = replace(learner("mechanic", 0, 1, 2), id=UNA)
WATCHED = [does(0, clock, UNA, MECHANIC) for clock in ("07:00", "08:00")]
LOOKED_AFTER = tuple(replace(one, looks_min=60) for one in ROOMY.boats)
BETWEEN: dict[str, tuple[Problem, Plan, Plan, tuple[str, ...]]] = {
    "watched": (
        asks(hour(X, A), hour(Y, B), people=(TWO[0], LEARNS)),
        of(WATCHED[0], AT_EIGHT), of(WATCHED[1], AT_SEVEN), (Y,),
    ),
    "one_job_a_person": (
        asks(hour(X, A), hour(Y, B)), of(AT_SEVEN, AT_EIGHT), of(AT_EIGHT, AT_SEVEN), (Y,),
    ),
    "jobs_at_once": (
        asks(hour(X, A), hour(Y, A)),
        of(AT_SEVEN, does(0, "08:00", UNA)), of(AT_EIGHT, does(0, "07:00", UNA)), (Y,),
    ),
    "in_order": (
        asks(hour(X, A), hour(Y, A, after=(X,))),
        of(TUESDAY, does(1, "08:00")), of(AT_SEVEN, AT_EIGHT), (Y,),
    ),
    "by_another": (
        asks(hour(X, A), hour(Y, A, not_by=(X,))),
        of(AT_SEVEN, does(0, "08:00", UNA)), of(does(0, "07:00", UNA), AT_EIGHT), (Y,),
    ),
    "work_before_water": (
        asks(hour(X, A)), of(TUESDAY), of(AT_SEVEN, launches={A: at(1, "07:30")}), (A,),
    ),
    "paint_dry": (
        asks(hour(X, A, dry_min=600)), of(TUESDAY), of(AT_SEVEN, launches={A: at(1, "09:00")}), (A,),
    ),
    "not_too_long_dry": (
        asks(hour(X, A, within_min=1440)), of(AT_SEVEN, launches={A: at(1, "07:30")}), of(TUESDAY), (A,),
    ),
    "lifts_enough": (ROOMY, of(), of(launches={A: at(2, "09:00"), B: at(2, "07:00")}), (B,)),
    "front_leaves_first": (
        asks(rows=((A, B),)), of(), of(launches={A: at(1, "07:00"), B: at(1, "08:00")}), (B,),
    ),
    "nobody_on_her": (
        asks(hour(X, A), rows=((A, B),)),
        of(AT_SEVEN, asides={A: at(0, "08:00")}), of(AT_EIGHT, asides={A: at(0, "07:00")}), (X,),
    ),
    "looks_places": (
        asks(boats=LOOKED_AFTER, looks=Looks(1, daily(3, "07:00-16:00"))),
        of(launches={B: at(2, "09:00")}), of(launches={A: at(2, "10:00"), B: at(2, "07:45")}), (B,),
    ),
    "work_afloat": (
        asks(hour(X, A, afloat=True)),
        of(does(2, "08:00")), of(does(1, "08:00"), launches={A: at(1, "07:00")}), (X,),
    ),
}  # fmt: skip


def without(rule: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The checker no longer asks for a rule."""
    left = tuple(one for one in checker.RULES if one.__name__ != rule)
    monkeypatch.setattr(checker, "RULES", left)


@pytest.mark.parametrize("rule", BETWEEN)
def test_parts_found_side_by_side_are_merged_where_no_rule_stands_between_them(
    rule: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    asked, one, other, keys = BETWEEN[rule]
    part = part_of(asked, keys)
    both = rounds.merged(one, other, part)
    assert not [said for plan in (one, other) for said in checker.broken(plan, asked)]
    assert [r.__name__ for r in ALL_RULES if complains(r.__name__, both, asked)] == [rule]
    assert search_after(asked, one, other, part).best == other
    without(rule, monkeypatch)
    assert search_after(asked, one, other, part).best == both


def part_of(asked: Problem, keys: tuple[str, ...]) -> Part:
    """The jobs and the boats of these names."""
    return Part(frozenset(asked.task.keys() & {*keys}), frozenset(asked.boat.keys() & {*keys}))


def search_after(asked: Problem, best: Plan, found: Plan, part: Part) -> Search:
    """A search whose best is one plan, and for which another was found meanwhile by a part."""
    search = Search(asked, 60, 1, lambda _share, _said: None, lambda: False)
    assert search.offer(best)
    asked_for = rounds.Round(1, search.order, best, jobs=1)
    search._take_in(rounds.Done(asked_for, search.order, found, part))
    return search
