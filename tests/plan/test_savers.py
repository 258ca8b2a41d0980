"""What would save Curlew in story A1: the story names what does and what does not."""

from dataclasses import replace
from functools import lru_cache, partial

import pytest

from tests.plan.test_odds import GREBE, INES, TERN, afloat_any_time, working, yard
from tests.plan.yards import AVOCET, CURLEW, MON, TUE, WED, at, story_a1
from yardwright.plan import planner
from yardwright.plan.chance import Arrival, Away, Uncertain
from yardwright.plan.changes import Change, Kind, changes, hours_said
from yardwright.plan.clash import why_promise_not_kept
from yardwright.plan.hours import both, outside
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.near import near
from yardwright.plan.problem import (
    LAST_FROST,
    BoatId,
    Job,
    Person,
    PersonId,
    Plan,
    Problem,
    Task,
    TaskId,
)
from yardwright.plan.processes import pool
from yardwright.plan.savers import Saver, _gains, _ranked, savers, slack_min


def answer(problem: Problem, _stands: Plan) -> Plan | None:
    return planner.plan(problem, workers=1).plan


@lru_cache(maxsize=1)
def a1() -> tuple[Problem, Plan]:
    problem = story_a1()
    plan = answer(problem, Plan({}, {}, {}))
    assert plan is not None
    return problem, plan


@lru_cache(maxsize=1)
def for_curlew() -> tuple[Saver, ...]:
    return savers(*a1(), CURLEW, Uncertain(), answer).savers


def words(found: tuple[Saver, ...]) -> list[str]:
    return [saver.words for saver in found if len(saver.changes) == 1]


def test_the_evening_lift_saves_her_with_three_and_a_half_hours_to_spare() -> None:
    (saver,) = [s for s in for_curlew() if "18:05" in s.words and len(s.changes) == 1]
    assert saver.words == "Keep the travel lift open Tue 6 May 18:05 to Tue 6 May 19:00"
    assert (saver.before, saver.odds, saver.days_late) == (0.0, 1.0, 0)
    assert saver.slack_min == 210
    assert saver.plan.launches[CURLEW] == at(TUE, "18:05")


def test_the_kit_sooner_saves_her_and_says_first_how_little_water_it_leaves() -> None:
    (saver,) = [s for s in for_curlew() if "kit by" in s.words and len(s.changes) == 1]
    assert saver.words == "With only 0 min of water to spare: have her kit by Tue 6 May 07:15"
    assert (saver.odds, saver.days_late) == (1.0, 0)


def test_more_hours_for_the_mechanic_are_no_saver() -> None:
    assert any("Ines stays" in change.words for change in changes(*a1(), CURLEW))
    assert not [said for said in words(for_curlew()) if "Ines" in said or "mechanic" in said]


def test_hours_on_several_days_are_said_as_such() -> None:
    def said(*spans: tuple[int, str, str]) -> str:
        return hours_said(a1()[0].days, tuple((at(d, a), at(d, b)) for d, a, b in spans))

    assert said((MON, "15:30", "17:30")) == "Mon 5 May 15:30 to 17:30"
    week = [(day, "15:30", "17:30") for day in (MON, TUE, WED)]
    assert said(*week) == "each day Mon 5 May to Wed 7 May, 15:30 to 17:30"
    assert said(week[0], week[2]) == "Mon 5 May 15:30 to 17:30, then Wed 7 May 15:30 to 17:30"
    short = (WED, "12:00", "14:00")
    assert said(*week[:2], short) == (
        "each day Mon 5 May to Tue 6 May, 15:30 to 17:30, then Wed 7 May 12:00 to 14:00"
    )
    lunch = [(MON, "07:00", "12:00"), (MON, "12:30", "15:30")]
    assert said(*lunch) == "Mon 5 May 07:00 to 15:30"
    ours = [one.words for one in changes(*a1(), AVOCET)]  # promised for Wednesday
    assert "Ines stays up to 2 h longer, each day Mon 5 May to Wed 7 May, 15:30 to 17:30" in ours
    assert "borrow a mechanic, each day Mon 5 May to Wed 7 May, 07:00 to 15:30" in ours


def test_a_margin_the_hang_or_the_watch_is_never_touched() -> None:
    problem, plan = a1()
    was = problem.boat[CURLEW]
    for change in changes(problem, plan, CURLEW):
        now = change.made(problem).boat[CURLEW]
        kept = (now.launch_min, now.carry_min, now.looks_min, now.watch_min)
        assert kept == (was.launch_min, was.carry_min, was.looks_min, was.watch_min)
        assert now.water == was.water or "trailer" in change.words
        for task in change.made(problem).tasks:
            before = problem.task[task.id]
            assert (task.dry_min, task.minutes) == (before.dry_min, before.minutes)


def test_what_asks_the_owner_says_so() -> None:
    (call,) = [one for one in changes(*a1(), CURLEW) if one.kind is Kind.OWNER]
    assert call.words == "call Curlew's owner: would Wed 7 May do"


def test_only_a_part_that_is_not_here_is_fetched_and_never_at_an_hour_that_is_over() -> None:
    def fetched(problem: Problem, now: int = 0) -> list[str]:
        found = changes(problem, a1()[1], CURLEW, now)
        return [one.words for one in found if one.kind is Kind.FETCHED]

    problem, _ = a1()
    assert fetched(problem, at(TUE, "07:15")) == ["have her kit by Tue 6 May 07:15"]
    assert fetched(problem, at(TUE, "07:16")) == []
    for waits_for in (LAST_FROST, ""):
        tasks = (replace(task, waits_for=waits_for) for task in problem.tasks)
        assert fetched(replace(problem, tasks=tuple(tasks))) == []


def test_nobody_is_asked_for_hours_that_are_over() -> None:
    # All work until 15:30: asked at noon, in the hour after that, and late in the evening.
    def asked(kind: Kind, now: int) -> list[tuple[str, str]]:
        return [(one.words, one.cost) for one in changes(*a1(), CURLEW, now) if one.kind is kind]

    def stays(since: str, hours: str) -> list[tuple[str, str]]:
        said = f"Ines stays up to 2 h longer, Tue 6 May {since} to 17:30"
        return [(said, f"{hours} h of overtime")]

    noon, after, late = (
        [one for one in asked(Kind.LONGER, at(TUE, clock)) if one[0].startswith("Ines")]
        for clock in ("12:00", "16:30", "20:00")
    )
    assert (noon, after, late) == (stays("15:30", "2"), stays("16:30", "1"), [])
    assert sorted(asked(Kind.BORROWED, at(TUE, "13:30"))) == [
        (f"borrow a {trade}, Tue 6 May 13:30 to 15:30", f"2 h of a borrowed {trade}")
        for trade in ("mechanic", "yard hand")
    ]
    assert asked(Kind.BORROWED, at(TUE, "16:00")) == []


def test_what_was_to_come_by_now_is_waited_for_no_longer() -> None:
    kit = Task(TaskId("a"), CURLEW, "mechanic", 60, not_before=300, waits_for="kit")
    assert kit.from_then(300) == kit
    assert kit.from_then(301) == replace(kit, not_before=301, waits_for="")


def test_pairs_are_shown_only_where_two_do_more_than_one() -> None:
    """Ines away on a third of days: the evening lift alone, or somebody more, is not all."""
    problem, plan = a1()
    away = Uncertain(
        arrivals={
            TaskId("Curlew-mechanic"): Arrival((at(TUE, "07:30"), at(TUE, "12:00")), (0.5, 0.5))
        },
        away={PersonId("ines"): Away(1 / 3)},
    )
    found = savers(problem, plan, CURLEW, away, answer).savers
    alone = {s.changes[0].words: s.odds for s in found if len(s.changes) == 1}
    pairs = [s for s in found if len(s.changes) == 2]
    assert any("borrow a mechanic" in p.words and "18:05" in p.words for p in pairs)
    for pair in pairs:
        assert pair.odds > max(alone.get(change.words, 0.0) for change in pair.changes)
    assert found == tuple(sorted(found, key=lambda s: -s.odds))


@pytest.mark.parametrize(("days", "promised"), [(6, 0), (1, 40)])
def test_whose_promise_it_hurts_is_named(days: int, promised: int) -> None:
    """One mechanic, a day's work on each of two boats, both promised for that day.

    Or one day of hers alone, and Tern's day is after the season: never in, she has not kept it.
    """
    tasks = [Task(TaskId(key), key, "mechanic", 480) for key in (TERN, GREBE)]
    boats = [replace(afloat_any_time(key), ink=day) for key, day in ((TERN, promised), (GREBE, 0))]
    ines = Person(INES, "Ines", frozenset({"mechanic"}), working(range(days)))
    problem = yard(boats, tasks, [ines])

    def one_after_another(first: BoatId, then: BoatId) -> Plan:
        jobs = {
            TaskId(key): Job(INES, day * 1440 + 480, day * 1440 + 960)
            for day, key in enumerate((first, then))
        }
        return Plan(jobs, {first: 960, then: 2400}, {})

    found = savers(
        problem,
        one_after_another(TERN, GREBE),
        GREBE,
        Uncertain(),
        lambda _changed, _stands: one_after_another(GREBE, TERN),
    ).savers
    assert found
    assert all(saver.hurts == (TERN,) for saver in found)


def test_stopped_it_answers_with_what_it_has() -> None:
    asked: list[str] = []
    found, not_reached = savers(
        *a1(), CURLEW, Uncertain(), answer,
        told=lambda _share, said: asked.append(said), stop=lambda: len(asked) >= 2,
    )  # fmt: skip
    assert len([said for said in asked if said.startswith("Trying")]) == 2
    assert len(found) == 1
    singles = [change.words for change in changes(*a1(), CURLEW)]
    assert list(not_reached[: len(singles) - 2]) == singles[2:]  # then pairs of what was found


def test_two_processes_find_the_same_from_the_same_seed() -> None:
    """With much uncertain, and beside each other in whatever order they are ready."""
    problem, plan = a1()
    away = Uncertain(away={PersonId("ines"): Away(1 / 3)}, wind=0.2)
    asked = problem, plan, CURLEW, away, partial(near, key=CURLEW)
    with pool(2) as two:
        by_two = savers(*asked, mapped=two.map)
    assert [told(one) for one in by_two.savers] == [told(one) for one in savers(*asked).savers]
    assert by_two.savers
    assert not by_two.not_reached


def told(one: Saver) -> tuple[object, ...]:
    """All but the change itself, which is another object in another process."""
    return (one.words, one.odds, one.before, one.mean_days_late, one.hurts, one.plan)


def test_processes_that_nobody_asks_any_more_leave_the_rest() -> None:
    """Stopped after the first, what waits is given up: the pool is free at once."""
    done: list[str] = []
    with pool(1) as one:
        found, not_reached = savers(
            *a1(), CURLEW, Uncertain(), partial(near, key=CURLEW), mapped=one.map,
            told=lambda _share, said: done.append(said), stop=lambda: bool(done),
        )  # fmt: skip
        assert one.submit(abs, -1).result(timeout=30) == 1
    assert len(found) + len(not_reached) >= 1
    assert len([said for said in done if said.startswith("Trying")]) == 1


def test_a_boat_without_a_promise_has_nothing_to_save() -> None:
    problem, plan = a1()
    boats = tuple(replace(b, ink=None) if b.id == CURLEW else b for b in problem.boats)
    free = replace(problem, boats=boats)
    with pytest.raises(ValueError, match="nothing to save"):
        savers(free, plan, CURLEW, Uncertain(), answer)


def test_slack_is_what_is_left_of_her_water() -> None:
    problem, plan = a1()
    launches = dict(plan.launches) | {CURLEW: at(2, "10:00")}
    late = Plan(plan.jobs, launches, plan.asides)
    assert slack_min(late, problem.boat[CURLEW]) == 5  # her water leaves at 10:35


def test_a_lift_is_asked_for_near_its_own_hours_only() -> None:
    # By hand: it is open 6:00 to 16:00, so 3:00 to 19:00, whatever the water.
    problem, plan = a1()
    anytime = replace(problem.boat[CURLEW], water=((0, problem.days.end),))
    wet = replace(problem, boats=tuple(anytime if b.id == CURLEW else b for b in problem.boats))
    asked = [one for one in changes(wet, plan, CURLEW) if one.kind is Kind.LIFT]
    assert asked
    for change in asked:
        (lift,) = change.made(wet).lifts
        for start, end in lift.opens:
            day = problem.days.midnight(problem.days.day(start))
            assert (start - day, end - day) in {(360, 960), (180, 1140)}


def test_no_lift_is_kept_open_in_the_wind() -> None:
    # Wind on Tuesday from 15:00 on: the evening's water is no saver, and its hours stay shut.
    problem = story_a1()
    wind = ((at(TUE, "15:00"), at(TUE, "23:00")),)
    (lift,) = problem.lifts
    opens = both(lift.opens, outside(wind, problem.days.end))
    windy = replace(problem, lifts=(replace(lift, opens=opens, held=wind),))
    plan = answer(windy, Plan({}, {}, {}))
    assert plan is not None
    for change in changes(windy, plan, CURLEW):
        (changed,) = change.made(windy).lifts
        assert not both(changed.opens, wind)
        assert "18:05" not in change.words
    assert not any("lift open" in words for words in why_promise_not_kept(windy, CURLEW))


def test_who_is_borrowed_falls_ill_as_others_of_the_trade_do() -> None:
    # By hand: only Ines can do the work on Tern, a day of it, and she is away on half of the days.
    # It is handed on where that makes a day: in a quarter of the seasons she is away on Tuesday
    # too. In half of these who is borrowed is there: 1/2 + 1/4 x 1/2; never ill, 1/2 + 1/4.
    tern = replace(afloat_any_time(TERN), ink=0)
    ines = Person(INES, "Ines", frozenset({"mechanic"}), working(range(6)))
    problem = yard([tern], [Task(TaskId(TERN), TERN, "mechanic", 480)], [ines])
    plan = answer(problem, Plan({}, {}, {}))
    assert plan is not None
    away = Uncertain(away={INES: Away(0.5)})
    (hers,) = [
        one
        for one in savers(problem, plan, TERN, away, answer).savers
        if len(one.changes) == 1 and one.kind is Kind.BORROWED
    ]
    assert hers.before == pytest.approx(0.5, abs=0.04)
    assert hers.odds == pytest.approx(0.625, abs=0.04)


def test_an_owner_is_asked_for_no_day_that_is_not_one_to_tell() -> None:
    (call,) = [one for one in changes(*a1(), CURLEW) if one.kind is Kind.OWNER]
    found = [made(call, odds=odds) for odds in (0.05, 0.45, 0.5)]
    assert [saver.odds for saver in _gains(found)] == [0.5]


def test_among_equals_the_one_with_more_water_stands_first() -> None:
    one = next(iter(changes(*a1(), CURLEW)))
    thin, deep = made(one, odds=0.93, slack_min=3), made(one, odds=0.91, slack_min=210)
    surer = made(one, odds=0.95, slack_min=0)
    hurts = made(one, odds=0.94, slack_min=300, hurts=(GREBE,))
    assert _ranked([hurts, thin, deep, surer]) == [surer, deep, thin, hurts]


def made(
    change: Change, *, odds: float, slack_min: int = 60, hurts: tuple[BoatId, ...] = ()
) -> Saver:
    """A saver by hand, for its place among others."""
    return Saver((change,), odds, 0.0, slack_min, 0, 0.0, hurts, Plan({}, {}, {}))


def test_a_kit_is_fetched_once_for_all_that_wait_for_it_and_ends_no_frost() -> None:
    a1 = story_a1()
    (waits,) = (task for task in a1.jobs[CURLEW] if task.not_before)
    named = replace(waits, waits_for="kit")
    frost = waits.not_before - 15
    second = replace(named, id=TaskId("second"), minutes=30, frost_until=frost)
    tasks = (*(named if task is waits else task for task in a1.tasks), second)
    problem = replace(a1, tasks=tasks)
    plan = list_plan(problem, by_promise(problem))
    fetched = [one for one in changes(problem, plan, CURLEW) if one.kind is Kind.FETCHED]
    assert len(fetched) == 1
    made = fetched[0].made(problem)
    assert made.task[waits.id].not_before < frost == made.task[second.id].not_before
