"""Each planning rule, said twice, must agree with itself."""

from contextlib import suppress
from dataclasses import replace
from datetime import date
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.plan.yards import (
    CURLEW,
    DUNLIN,
    LIFT,
    PLOVER,
    TUE,
    ZONE,
    at,
    daily,
    lifts,
    story_a1,
    tiny,
)
from yardwright.plan import checker, model, solver
from yardwright.plan.alone import never_in
from yardwright.plan.asides import asides_put_off
from yardwright.plan.days import Days, Interval
from yardwright.plan.list_plan import by_promise, list_plan, pulled_forward
from yardwright.plan.parts import of_boats
from yardwright.plan.placing import Stuck
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
    score,
)
from yardwright.plan.problem import TaskId as T

A, B, C = BoatId("a"), BoatId("b"), BoatId("c")
MORNING = "07:00-12:00"
THREE_DAYS = Days(date(2031, 5, 5), 3, ZONE)
ALWAYS = daily(3, MORNING)


def on(*days: int) -> tuple[Interval, ...]:
    return tuple((at(day, "07:00"), at(day, "12:00")) for day in days)


def boat(key: BoatId, ink: int | None = 0, *, water: tuple[Interval, ...] = ALWAYS) -> Boat:
    return Boat(key, key, LIFT, water, aside_min=None, ink=ink)


def job(key: str, boat: BoatId, trade: str = "mechanic", **more: object) -> Task:
    return replace(Task(T(key), boat, trade, 300), **more)  # type: ignore[arg-type]


def person(trade: str, *days: int) -> Person:
    return Person(PersonId(trade), trade, frozenset({trade}), on(*days))


def learner(trade: str, *days: int) -> Person:
    return Person(PersonId("learner"), "learner", frozenset(), on(*days), learns=frozenset({trade}))


def yard(
    boats: list[Boat],
    tasks: list[Task],
    people: list[Person],
    *rows: tuple[BoatId, ...],
    lift: tuple[Interval, ...] = daily(3, "07:00-16:00"),
    looks: Looks | None = None,
) -> Problem:
    kinds = lifts(*lift)
    return Problem(THREE_DAYS, tuple(boats), tuple(tasks), tuple(people), kinds, rows, looks)


EVENING = daily(3, "07:00-16:00")
SHORT = tuple((at(day, "08:00"), at(day, "08:30")) for day in (0, 1, 2))

# In each yard a rule costs somebody a day, so that without it the solver breaks it.
COSTLY = {
    "right_trade": yard(
        [boat(A, water=EVENING)], [job("j", A)], [person("mechanic", 1), person("hand", 0)]
    ),
    "watched": yard(
        [boat(A, water=EVENING)], [job("j", A)], [person("mechanic", 1), learner("mechanic", 0)]
    ),
    "working_hours": yard([boat(A, water=EVENING)], [job("j", A)], [person("mechanic", 1)]),
    "one_job_a_person": yard(
        [boat(A, water=EVENING), boat(B, water=EVENING)],
        [job("j", A), job("k", B)],
        [person("mechanic", 0, 1)],
    ),
    "jobs_at_once": yard(
        [boat(A, water=EVENING)],
        [job("j", A), job("k", A, "hand")],
        [person("mechanic", 0, 1), person("hand", 0, 1)],
    ),
    "part_first": yard(
        [boat(A, water=EVENING)],
        [job("j", A, not_before=at(1, "07:00"))],
        [person("mechanic", 0, 1)],
    ),
    "in_order": yard(
        [boat(A, 1, water=EVENING)],
        [job("j", A), job("k", A, "hand", after=(T("j"),))],
        [person("mechanic", 1), person("hand", 0, 2)],
    ),
    "by_another": yard(
        [boat(A, water=EVENING)],
        [
            job("j", A, minutes=150),
            job("k", A, minutes=150, after=(T("j"),), not_by=(T("j"),)),
        ],
        [person("mechanic", 0, 1), replace(person("mechanic", 1), id=PersonId("other"))],
    ),
    "work_before_water": yard([boat(A, water=EVENING)], [job("j", A)], [person("mechanic", 1)]),
    "paint_dry": yard(
        [boat(A, water=EVENING)], [job("j", A, dry_min=720)], [person("mechanic", 0)]
    ),
    "not_too_long_dry": yard(
        [boat(A, 1, water=daily(3, "13:00-16:00")[1:])],
        [job("j", A, within_min=1440)],
        [person("mechanic", 0, 2)],
    ),
    "water_holds": yard([boat(A, water=on(1))], [], []),
    "lift_open": yard([boat(A)], [], [], lift=on(1)),
    "ground_bears": yard([replace(boat(A), ground_from=at(1, "00:00"))], [], []),
    "lifts_enough": yard([boat(A), boat(B)], [], [], lift=SHORT),
    "front_leaves_first": yard([boat(A, 1, water=on(1)), boat(B)], [], [], (A, B)),
    "aside_before_launch": yard(
        [boat(A, 1, water=on(1)), replace(boat(B), aside_min=30), boat(C, None)], [], [], (A, B, C)
    ),
    "nobody_on_her": yard(
        [replace(boat(A, 1, water=on(1)), aside_min=30), boat(B)],
        [job("j", A)],
        [person("mechanic", 0)],
        (A, B),
        lift=ALWAYS,
    ),
    "looks_places": yard(
        [replace(boat(key), looks_min=300) for key in (A, B)], [], [], looks=Looks(1, EVENING)
    ),
    "looks_hours": yard([replace(boat(A), looks_min=60)], [], [], looks=Looks(1, on(1))),
    "work_afloat": yard([boat(A)], [job("j", A, afloat=True)], [person("mechanic", 0, 1)]),
}


def test_every_rule_has_its_twin() -> None:
    assert [r.__name__ for r in model.RULES] == [r.__name__ for r in checker.RULES]
    assert [r.__doc__ for r in model.RULES] == [r.__doc__ for r in checker.RULES]
    assert list(COSTLY) == [r.__name__ for r in checker.RULES]


@pytest.mark.parametrize("name", COSTLY)
def test_each_rule_matters(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """With it the plan is clean and a day late; without it, its twin complains."""
    asked = COSTLY[name]
    kept = solver.solve(asked, time_limit_s=10)
    assert kept.plan is not None
    assert checker.broken(kept.plan, asked) == []
    assert score(asked, kept.plan).ink_days == 1
    monkeypatch.setattr(model, "RULES", tuple(r for r in model.RULES if r.__name__ != name))
    loose = solver.solve(asked, time_limit_s=10)
    assert loose.plan is not None
    twin = next(rule for rule in checker.RULES if rule.__name__ == name)
    assert list(twin(loose.plan, asked)), f"{name} changed nothing here"


PROBLEM = story_a1()
# By hand: everybody in turn, Curlew aside at noon on Monday while the mechanic eats.
MECHANIC = {"Plover": (0, "07:00", "09:00"), "Dunlin": (0, "09:00", "12:00"),
            "Teal": (0, "12:30", "15:00"), "Curlew": (1, "07:30", "09:30"),
            "Avocet": (1, "09:30", "11:30")}  # fmt: skip
HAND = {"Dunlin": (0, "07:00", "09:00"), "Plover": (0, "09:00", "10:00"),
        "Teal": (0, "10:00", "11:00"), "Curlew": (0, "12:30", "14:30"),
        "Avocet": (1, "12:30", "15:30")}  # fmt: skip
LAUNCH = {"Plover": (0, "10:00"), "Dunlin": (1, "06:00"), "Curlew": (2, "07:00"),
          "Teal": (1, "06:30"), "Avocet": (2, "08:00")}  # fmt: skip


def by_hand() -> Plan:
    jobs = {}
    for trade, who, times in (("mechanic", "ines", MECHANIC), ("hand", "ole", HAND)):
        for name, (day, start, end) in times.items():
            jobs[T(f"{name}-{trade}")] = Job(PersonId(who), at(day, start), at(day, end))
    launches = {BoatId(name): at(*when) for name, when in LAUNCH.items()}
    return Plan(jobs, launches, {CURLEW: at(0, "12:00")})


def test_the_plan_made_by_hand_holds() -> None:
    assert checker.broken(by_hand(), PROBLEM) == []
    assert score(PROBLEM, by_hand()) == (1, 0, 0, 1, 0)


def job_at(task: str, day: int, start: str, end: str, who: str = "ines") -> Plan:
    plan = by_hand()
    return replace(
        plan, jobs={**plan.jobs, T(task): Job(PersonId(who), at(day, start), at(day, end))}
    )


def launched(name: str, day: int, clock: str) -> Plan:
    plan = by_hand()
    return replace(plan, launches={**plan.launches, BoatId(name): at(day, clock)})


def aside(**when: int) -> Plan:
    return replace(by_hand(), asides={BoatId(name): minute for name, minute in when.items()})


@pytest.mark.parametrize(
    ("bad", "said"),
    [
        (job_at("Avocet-hand", 1, "12:30", "15:30", "ines"), "asks for a yard hand"),
        (job_at("Avocet-mechanic", 1, "09:30", "11:29"), "takes 120 minutes; Ines has 119 for it"),
        (job_at("Avocet-mechanic", 1, "11:00", "13:29"), "takes 120 minutes; Ines has 119 for it"),
        (job_at("Avocet-mechanic", 1, "12:10", "14:30"), "begins or ends while nobody works"),
        (job_at("Avocet-mechanic", 1, "09:29", "11:29"), "Ines would be on Curlew: fit"),
        (job_at("Avocet-mechanic", 1, "12:30", "14:30"), "Avocet: engine and Avocet: hull overlap"),
        (job_at("Curlew-mechanic", 1, "07:29", "09:29"), "before its kit comes, Tue 6 May 07:30"),
        (launched("Plover", 0, "09:59"), "Plover would go in before Plover: hull is done"),
        (launched("Avocet", 2, "09:26"), "Avocet has no water for 30 minutes from Wed 7 May 09:26"),
        (launched("Curlew", 1, "18:05"), "Curlew needs the lift at Tue 6 May 18:05, when it is"),
        (launched("Avocet", 2, "07:29"), "Curlew and Avocet are on the lift together"),
        (aside(), "Dunlin would leave Tue 6 May 06:00, but Curlew stands in front of her"),
        (aside(Curlew=at(1, "05:31")), "Curlew needs the lift at Tue 6 May 05:31"),
        (aside(Curlew=at(2, "10:00")), "Curlew would be moved aside after she was launched"),
        (aside(Curlew=at(0, "12:01")), "Curlew is moved aside Mon 5 May 12:01 in the middle of"),
        (replace(by_hand(), launches={}), "differ in boats that go in"),
        (replace(by_hand(), jobs={}), "differ in jobs"),
        (aside(Heron=0), "Heron can't be moved aside"),
        (job_at("Avocet-hand", 1, "12:30", "15:30", "nobody"), "nobody, who is not there"),
    ],
)
def test_checker_says_what_is_wrong(bad: Plan, said: str) -> None:
    sentences = checker.broken(bad, PROBLEM)
    assert any(said in sentence for sentence in sentences), sentences


def test_checker_says_that_the_ground_gives_way() -> None:
    # By hand: Curlew is moved aside Monday noon; the ground bears the lift from one o'clock on.
    boats = tuple(
        replace(b, ground_from=at(0, "13:00")) if b.id == CURLEW else b for b in PROBLEM.boats
    )
    (said,) = checker.broken(by_hand(), replace(PROBLEM, boats=boats))
    assert said == (
        "Curlew would be fetched Mon 5 May 12:00; the ground where she stands bears the Travel lift "
        "from Mon 5 May 13:00 on."
    )


def test_a_boat_on_soft_ground_is_fetched_when_it_bears() -> None:
    # By hand: twenty minutes before the water, so she meets it at 10:20; before, nothing is hers.
    soft = replace(boat(A), ground_from=at(0, "10:00"), carry_min=20)
    asked = yard([soft], [], [])
    found = solver.solve(asked, time_limit_s=5)
    assert found.plan is not None
    assert found.plan.launches[A] >= at(0, "10:20")
    assert list_plan(asked, by_promise(asked)).launches == {A: at(0, "10:20")}
    early = replace(found.plan, launches={A: at(0, "10:19")})
    assert checker.broken(early, asked)


def test_checker_keeps_the_order_of_jobs() -> None:
    tasks = [replace(t, after=(T("Avocet-hand"),)) if t.id == "Avocet-mechanic" else t
             for t in PROBLEM.tasks]  # fmt: skip
    (said,) = checker.broken(by_hand(), replace(PROBLEM, tasks=tuple(tasks)))
    assert said == "Avocet: engine begins before Avocet: hull is finished."


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6))
def test_every_producer_s_plan_is_accepted(seed: int) -> None:
    asked = tiny(seed, boats=5)
    fronts = {front for row in asked.rows for front in row[:-1]}
    plans = []
    for some in (set[BoatId](), fronts):
        with suppress(Stuck):
            plans.append(list_plan(asked, by_promise(asked), some))
    found = solver.solve(asked, time_limit_s=5, known=plans[0] if plans else None)
    plans += [found.plan] if found.plan else []
    for plan in plans:
        assert checker.broken(plan, asked) == []
        sooner = pulled_forward(asked, plan)
        assert checker.broken(sooner, asked) == []
        assert score(asked, sooner) <= score(asked, plan)
        assert all(sooner.jobs[key].end <= job.end for key, job in plan.jobs.items())


@settings(max_examples=40, deadline=None)
@given(st.integers(0, 10**6))
def test_a_move_aside_put_off_any_longer_would_break_a_rule(seed: int) -> None:
    asked = tiny(seed, boats=5)
    with suppress(Stuck):
        made = list_plan(asked, by_promise(asked), {front for row in asked.rows for front in row})
        late = asides_put_off(asked, made)
        assert checker.broken(late, asked) == []
        assert (late.jobs, late.launches) == (made.jobs, made.launches)
        for key, start in late.asides.items():
            assert start >= made.asides[key]
            for later in range(start + 20, asked.days.end, 20):
                moved = replace(late, asides={**late.asides, key: later})
                assert checker.broken(moved, asked)


def test_a_move_aside_is_put_off_to_just_before_it_is_needed() -> None:
    # By hand: Dunlin behind her leaves Tue 06:00, when the lift opens; it shut Mon 16:00.
    assert asides_put_off(PROBLEM, by_hand()).asides == {CURLEW: at(0, "15:30")}
    # Ole is on her from 13:30, and when he is done the lift is open for a quarter of an hour only.
    busy = job_at("Curlew-hand", 0, "13:30", "15:30", "ole")
    shut = replace(PROBLEM, lifts=lifts(*daily(1, "06:00-15:45"), *PROBLEM.lifts[0].opens[1:]))
    assert asides_put_off(shut, busy).asides == {CURLEW: at(0, "13:00")}


def test_the_list_plan_moves_nobody_who_is_worked_on() -> None:
    stays = replace(boat(A, None), aside_min=30, goes_in=False)
    asked = yard([stays, boat(B, water=EVENING)], [job("j", A)], [person("mechanic", 0)], (A, B))
    made = list_plan(asked, {A: 0, B: 1}, {A})
    assert checker.broken(made, asked) == []
    assert made.asides == {A: at(0, "12:00")}


def test_the_boats_that_are_not_free_stay() -> None:
    known = by_hand()
    found = solver.solve(
        PROBLEM, time_limit_s=5, known=known, part=of_boats(PROBLEM, {PLOVER, DUNLIN})
    )
    assert found.plan is not None
    assert checker.broken(found.plan, PROBLEM) == []
    kept = {task: job for task, job in known.jobs.items() if task[0] not in "PD"}
    assert kept.items() <= found.plan.jobs.items()
    assert found.plan.asides == known.asides
    assert found.plan.launches[CURLEW] == at(TUE + 1, "07:00")


TWO_LOOKS = [
    job("j", A, minutes=150),
    job("k", A, minutes=150, after=(T("j"),), not_by=(T("j"),)),
]


def test_two_pairs_of_eyes_are_two_who_have_the_trade() -> None:
    # One mechanic and one who learns: whoever works, the other has watched or may not sign.
    alone = yard(
        [boat(A, water=EVENING)],
        TWO_LOOKS,
        [person("mechanic", 0, 1, 2), learner("mechanic", 0, 1, 2)],
    )
    assert solver.solve(alone, time_limit_s=10).ends is solver.Ends.NO_PLAN
    assert "is mechanic alone; give somebody the trade" in never_in(alone)[A]
    works, looks = (at(0, "07:00"), at(0, "09:30")), (at(0, "09:30"), at(0, "12:00"))
    mechanic, learns = PersonId("mechanic"), PersonId("learner")
    by_learner = {T("j"): Job(learns, *works, mechanic), T("k"): Job(mechanic, *looks)}
    look_by_learner = {T("j"): Job(mechanic, *works), T("k"): Job(learns, *looks, mechanic)}
    for jobs in (by_learner, look_by_learner):
        said = checker.broken(Plan(jobs, {A: at(0, "13:00")}, {}), alone)
        assert any("is not for mechanic, who" in words for words in said)
    # With one more of the trade there is a plan, and whoever watched does not sign.
    more = replace(
        alone, people=(*alone.people, replace(person("mechanic", 2), id=PersonId("una")))
    )
    found = solver.solve(more, time_limit_s=10).plan
    assert found is not None
    assert checker.broken(found, more) == []
    assert not found.jobs[T("j")].hands & found.jobs[T("k")].hands


def _learning(seed: int) -> Problem:
    """Three people who have and learn two trades, with hours and overtime of their own."""
    dice = Random(seed)  # noqa: S311 - no secret

    def hours() -> tuple[tuple[Interval, ...], tuple[Interval, ...]]:
        works, more = [], []
        for day in range(3):
            begin = day * 1440 + dice.choice((420, 480))
            end = begin + dice.choice((240, 480))
            works.append((begin, end))
            if dice.random() < 0.6:
                more.append((end, end + dice.choice((60, 120, 240))))
        return tuple(works), tuple(more)

    people = []
    for name in "ABC":
        works, more = hours()
        trades = frozenset(trade for trade in "mn" if dice.random() < 0.6)
        learns = frozenset(t for t in "mn" if t not in trades and dice.random() < 0.6)
        who, eyes = PersonId(name), dice.choice((0, 1, 2))
        people.append(Person(who, name, trades, works, more, learns, eyes))
    tasks: list[Task] = []
    for number in range(5):
        key = dice.choice((A, B))
        before = [task.id for task in tasks if task.boat == key]
        tasks.append(
            Task(
                T(f"t{number}"),
                key,
                dice.choice("mn"),
                dice.choice((60, 120, 300)),
                after=tuple(before[-1:]) if dice.random() < 0.4 else (),
                not_by=tuple(before[:1]) if dice.random() < 0.3 else (),
                not_before=dice.choice((0, 0, 900, 1440)),
            )
        )
    water = ((0, THREE_DAYS.end),)
    boats = [replace(boat(key, 0, water=water), hands=dice.choice((1, 2))) for key in (A, B)]
    return yard(boats, tasks, people, (A, B))


def test_learners_watchers_and_overtime_at_different_hours() -> None:
    found = 0
    for seed in range(60):
        asked = _learning(seed)
        plan = solver.solve(asked, time_limit_s=5, workers=1).plan
        if plan is not None:
            found += any(job.watcher for job in plan.jobs.values())
            assert checker.broken(plan, asked) == []
    assert found > 5


def test_who_watches_may_work_overtime_where_the_learner_has_none() -> None:
    # The kit comes at 13:00, when only overtime is left to the mechanic; the learner is there.
    kit = at(0, "13:00")
    mechanic = replace(person("mechanic", 0), overtime=((at(0, "12:00"), at(0, "18:00")),))
    works = ((at(0, "07:00"), at(0, "18:00")),)
    own = ((at(0, "18:00"), at(0, "19:00")),)
    learns = replace(learner("mechanic"), works=works, overtime=own)
    jobs = [job("j", A, minutes=120, not_before=kit), job("k", A, minutes=120, not_before=kit)]
    her = replace(boat(A, water=daily(3, "17:00-22:00")), hands=2)
    asked = yard([her], jobs, [mechanic, learns], lift=daily(3, "07:00-22:00"))
    found = solver.solve(asked, time_limit_s=10)
    assert found.plan is not None
    assert checker.broken(found.plan, asked) == []
    assert score(asked, found.plan).ink_days == 0
