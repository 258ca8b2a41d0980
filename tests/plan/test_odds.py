"""Promise odds against cases that can be worked out without any simulation."""

from collections.abc import Callable, Iterable, Mapping
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from datetime import date
from itertools import pairwise
from math import log, sqrt
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from scipy.stats import binom

from tests.plan.yards import spring
from yardwright.plan.chance import (
    NOTHING,
    Arrival,
    Away,
    Found,
    Spread,
    Uncertain,
    found_on_any,
    learned,
    learned_found,
    strays_together,
)
from yardwright.plan.changes import Kind, changes
from yardwright.plan.checker import broken
from yardwright.plan.days import Days, Interval
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.odds import A, B, Odds, R, odds, quick_look
from yardwright.plan.problem import (
    Boat,
    BoatId,
    Job,
    Lift,
    LiftId,
    Person,
    PersonId,
    Plan,
    Problem,
    Task,
    TaskId,
)
from yardwright.plan.seasons import Asked, Seasons

ZONE = ZoneInfo("America/New_York")
THU, FRI, MON, TUE = 3, 4, 7, 8  # the season begins on Monday 5 May 2031
SEASONS = 10_000
TERN, GREBE = BoatId("Tern"), BoatId("Grebe")
LIFT, INES = LiftId("travel lift"), PersonId("ines")


def at(day: int, hour: float) -> int:
    return int(day * 1440 + hour * 60)


def working(days: Iterable[int], opens: float = 8, shuts: float = 16) -> tuple[Interval, ...]:
    return tuple((at(day, opens), at(day, shuts)) for day in days)


def yard(
    boats: Iterable[Boat], tasks: Iterable[Task], people: Iterable[Person], days: int = 12
) -> Problem:
    lift = Lift(LIFT, "travel lift", ((0, days * 1440),), count=9)
    season = Days(date(2031, 5, 5), days, ZONE)
    return Problem(season, tuple(boats), tuple(tasks), tuple(people), (lift,))


def afloat_any_time(key: BoatId, days: int = 12) -> Boat:
    return Boat(key, key, LIFT, ((0, days * 1440),), launch_min=1)


def near(found: float, expected: float, seasons: int = SEASONS) -> bool:
    """Within three standard errors."""
    return abs(found - expected) <= 3 * sqrt(expected * (1 - expected) / seasons)


def together(found: Odds, promised: Mapping[BoatId, int]) -> float:
    """The share of seasons in which all of these promises are kept."""
    kept = [found.day[found.boats.index(boat)] <= day for boat, day in promised.items()]
    return float(np.mean(np.all(kept, axis=0)))


def waits_for_a_kit(away: Away) -> Odds:
    """Story A5: a kit by Thursday with 0.85, else Monday; then one working day."""
    work = Task(TaskId("fit"), TERN, "mechanic", 480, not_before=at(THU, 17))
    ines = Person(INES, "Ines", frozenset({"mechanic"}), working((FRI, MON, TUE)))
    problem = yard([afloat_any_time(TERN)], [work], [ines])
    plan = Plan({work.id: Job(INES, at(FRI, 8), at(FRI, 16))}, {TERN: at(FRI, 16)}, {})
    kit = Arrival((at(THU, 17), at(MON, 17)), (0.85, 0.15))
    uncertain = Uncertain(arrivals={work.id: kit}, away={INES: away})
    return odds(problem, plan, uncertain, seasons=SEASONS)


def test_a5_absence_day_by_day() -> None:
    found = waits_for_a_kit(Away(0.06))
    assert near(found.by(TERN, FRI), 0.799)
    assert near(found.by(TERN, TUE), 0.85 * (1 - 0.06**3) + 0.15 * 0.94)


def test_a5_one_absence_that_lasts() -> None:
    found = waits_for_a_kit(Away(0.06, spell_days=1e9))
    assert near(found.by(TERN, FRI), 0.799)
    assert near(found.by(TERN, TUE), 0.940)


def test_the_interval_holds_the_odds_and_is_narrow() -> None:
    low, high = waits_for_a_kit(Away(0.06)).between(TERN, FRI)
    assert low < 0.799 < high
    assert high - low < 0.02


def in_turn(jobs: int, minutes: int) -> tuple[list[Task], dict[TaskId, Job]]:
    """Jobs on one boat by one person, one a day."""
    tasks = [Task(TaskId(f"job {n}"), TERN, "mechanic", minutes) for n in range(jobs)]
    return tasks, {
        task.id: Job(INES, at(day, 8), at(day, 8) + minutes) for day, task in enumerate(tasks)
    }


def test_in_no_season_is_she_fetched_from_ground_that_gives_way() -> None:
    # By hand: no work, water and lift at any hour; the ground bears it from the fourth day on.
    problem = yard([replace(afloat_any_time(TERN), ground_from=at(3, 6))], [], [])
    found = odds(problem, Plan({}, {TERN: at(3, 6)}, {}), Uncertain(), seasons=1000)
    assert (found.by(TERN, 2), found.by(TERN, 3)) == (0.0, 1.0)


@pytest.mark.parametrize("late_by", [0, 1, 2, 4])
def test_found_work_adds_up_as_a_binomial_does(late_by: int) -> None:
    """Scipy's binomial distribution: eight jobs of a day, each a day longer with 0.3."""
    tasks, jobs = in_turn(8, 480)
    ines = Person(INES, "Ines", frozenset({"mechanic"}), working(range(20)))
    problem = yard([afloat_any_time(TERN, 20)], tasks, [ines], days=20)
    plan = Plan(jobs, {TERN: at(7, 16)}, {})
    found = {task.id: Found(0.3, 480) for task in tasks}
    seen = odds(problem, plan, Uncertain(found=found), seasons=SEASONS)
    assert near(seen.by(TERN, 7 + late_by), float(binom.cdf(late_by, 8, 0.3)))


def test_a_queue_waits_as_its_markov_chain_says() -> None:
    """One kit comes each morning, a job takes one day or, with 0.25, three: Lindley's chain.

    How far the mechanic is behind after each arrival is a chain on whole days; its distribution
    is carried forward here exactly.
    """
    days, behind = 10, np.array([1.0])
    for _ in range(days):
        before = np.concatenate([[behind[0] + (behind[1] if len(behind) > 1 else 0)], behind[2:]])
        behind = np.convolve(before, [0, 0.75, 0, 0.25])  # one day's work goes, the job's comes
    tasks = [
        Task(TaskId(f"job {n}"), TERN, "mechanic", 480, not_before=at(n, 7)) for n in range(days)
    ]
    ines = Person(INES, "Ines", frozenset({"mechanic"}), working(range(40)))
    problem = yard([afloat_any_time(TERN, 40)], tasks, [ines], days=40)
    jobs = {t.id: Job(INES, at(n, 8), at(n, 16)) for n, t in enumerate(tasks)}
    plan = Plan(jobs, {TERN: at(days - 1, 16)}, {})
    found = Uncertain(found={task.id: Found(0.25, 960) for task in tasks})
    seen = odds(problem, plan, found, seasons=SEASONS)
    for days_behind in range(1, 12):
        expected = float(np.cumsum(behind)[days_behind])
        assert near(seen.by(TERN, days - 2 + days_behind), expected), days_behind


def two_boats_one_mechanic() -> Odds:
    tasks = [Task(TaskId(key), key, "mechanic", 240) for key in (TERN, GREBE)]
    ines = Person(INES, "Ines", frozenset({"mechanic"}), working(range(6)))
    problem = yard([afloat_any_time(TERN), afloat_any_time(GREBE)], tasks, [ines])
    first, second = (task.id for task in tasks)
    jobs = {first: Job(INES, at(0, 8), at(0, 12)), second: Job(INES, at(0, 12), at(0, 16))}
    plan = Plan(jobs, {TERN: at(0, 12), GREBE: at(0, 16)}, {})
    return odds(problem, plan, Uncertain(away={INES: Away(0.2)}), seasons=SEASONS)


def test_promises_that_hang_on_one_mechanic_fall_together() -> None:
    """Both are kept when she is there, 0.8; a product of odds says 0.64 and is far off."""
    seen = two_boats_one_mechanic()
    both = together(seen, {TERN: 0, GREBE: 0})
    product = seen.by(TERN, 0) * seen.by(GREBE, 0)
    assert near(both, 0.8)
    assert not near(product, 0.8)


def in_two_processes(
    block: Callable[[A, B], R], asked: Iterable[A], numbers: Iterable[B], /
) -> Iterable[R]:
    with ProcessPoolExecutor(2) as pool:
        return list(pool.map(block, asked, numbers))


def test_processes_give_the_same_figures() -> None:
    tasks, jobs = in_turn(5, 480)
    ines = Person(INES, "Ines", frozenset({"mechanic"}), working(range(12)))
    problem = yard([afloat_any_time(TERN)], tasks, [ines])
    plan = Plan(jobs, {TERN: at(4, 16)}, {})
    uncertain = Uncertain(
        spreads={task.id: Spread() for task in tasks}, away={INES: Away(0.1, 2.5)}, wind=0.1
    )
    alone = odds(problem, plan, uncertain, seasons=3000)
    shared = odds(problem, plan, uncertain, seasons=3000, blocks=in_two_processes)
    assert np.array_equal(alone.day, shared.day)
    other = odds(problem, plan, uncertain, seasons=3000, seed=2)
    assert not np.array_equal(alone.day, other.day)


def test_wind_holds_the_lift_for_whole_days() -> None:
    problem = yard([afloat_any_time(TERN)], [], [])
    plan = Plan({}, {TERN: at(0, 9)}, {})
    seen = odds(problem, plan, Uncertain(wind=0.25), seasons=SEASONS)
    for day in range(4):
        assert near(seen.by(TERN, day), 1 - 0.25 ** (day + 1))


@pytest.mark.parametrize(("run_by", "nobody"), [("Runa", 0.3), ("Runa, Ole", 0.09)])
def test_a_lift_waits_for_who_may_run_it(run_by: str, nobody: float) -> None:
    """Each is away on 3 days of 10: by a day somebody was in but for ``nobody`` to its power."""
    names = frozenset(PersonId(name) for name in run_by.split(", "))
    people = [Person(name, str(name), frozenset(), working(range(12))) for name in sorted(names)]
    problem = yard([afloat_any_time(TERN)], [], people)
    problem = replace(problem, lifts=(run_by_them(problem),))
    plan = Plan({}, {TERN: at(0, 9)}, {})
    uncertain = Uncertain(away=dict.fromkeys(names, Away(0.3)))
    seen = odds(problem, plan, uncertain, seasons=SEASONS)
    for day in range(3):
        assert near(seen.by(TERN, day), 1 - nobody ** (day + 1))


def run_by_them(problem: Problem) -> Lift:
    """The lift, run by all people there in their hours."""
    run_by = tuple((person.id, person.works) for person in problem.people)
    return replace(problem.lifts[0], run_by=run_by)


def test_two_who_share_a_day_stand_in_for_nobody_in_the_others_hours() -> None:
    """Runa is in until noon, Sander after it, and there is water only then: it waits for Sander."""
    runa, sander = PersonId("runa"), PersonId("sander")
    people = [
        Person(runa, "Runa", frozenset(), working(range(12), 7, 12)),
        Person(sander, "Sander", frozenset(), working(range(12), 12, 16)),
    ]
    problem = yard([replace(afloat_any_time(TERN), water=working(range(12), 13, 15))], [], people)
    problem = replace(problem, lifts=(run_by_them(problem),))
    plan = Plan({}, {TERN: at(0, 13)}, {})
    uncertain = Uncertain(away={runa: Away(0.3), sander: Away(0.3)})
    seen = odds(problem, plan, uncertain, seasons=SEASONS)
    assert near(seen.by(TERN, 0), 0.7)
    assert near(seen.by(TERN, 1), 0.91)


def test_the_other_who_may_run_it_counts_only_on_his_own_days() -> None:
    """Ole works on Monday alone: from Tuesday on the lift waits for Runa, away on 3 days of 10."""
    runa, ole = PersonId("runa"), PersonId("ole")
    people = [
        Person(runa, "Runa", frozenset(), working(range(12))),
        Person(ole, "Ole", frozenset(), working(range(1))),
    ]
    problem = yard([afloat_any_time(TERN)], [], people)
    lift = run_by_them(problem)
    problem = replace(
        problem, lifts=(lift,), boats=(replace(problem.boats[0], water=((at(1, 0), at(12, 0)),)),)
    )
    plan = Plan({}, {TERN: at(1, 9)}, {})
    uncertain = Uncertain(away={runa: Away(0.3), ole: Away(0.3)})
    seen = odds(problem, plan, uncertain, seasons=SEASONS)
    assert near(seen.by(TERN, 1), 0.7)


def test_work_goes_to_somebody_else_when_it_saves_a_day() -> None:
    """Ines is away half the days, Ole never: with both, nothing is ever more than a day late."""
    work = Task(TaskId("fit"), TERN, "mechanic", 240)
    ole = PersonId("ole")
    people = [
        Person(key, str(key), frozenset({"mechanic"}), working(range(12))) for key in (INES, ole)
    ]
    plan = Plan({work.id: Job(INES, at(0, 8), at(0, 12))}, {TERN: at(0, 12)}, {})
    uncertain = Uncertain(away={INES: Away(0.5)})
    both = odds(yard([afloat_any_time(TERN)], [work], people), plan, uncertain)
    alone = odds(yard([afloat_any_time(TERN)], [work], people[:1]), plan, uncertain)
    assert both.by(TERN, 1) == 1.0
    assert near(alone.by(TERN, 1), 0.75, 2000)


def test_a_late_boat_in_front_holds_up_the_one_behind_only_where_she_can_t_be_moved() -> None:
    kit = Task(TaskId("kit"), TERN, "mechanic", 60)
    ines = Person(INES, "Ines", frozenset({"mechanic"}), working(range(12)))
    plan = Plan({kit.id: Job(INES, at(0, 8), at(0, 9))}, {TERN: at(0, 9), GREBE: at(0, 10)}, {})
    comes = Uncertain(arrivals={kit.id: Arrival((at(5, 7),), (1.0,))})
    days = {}
    for aside_min in (30, None):
        tern = Boat(TERN, "Tern", LIFT, ((0, 12 * 1440),), 30, 0, aside_min)
        grebe = afloat_any_time(GREBE)
        lift = Lift(LIFT, "travel lift", ((0, 12 * 1440),))
        season = Days(date(2031, 5, 5), 12, ZONE)
        problem = Problem(season, (tern, grebe), (kit,), (ines,), (lift,), ((TERN, GREBE),))
        days[aside_min] = odds(problem, plan, comes, seasons=1000).day.max(axis=1).tolist()
    assert days == {30: [5, 1], None: [5, 5]}


@pytest.mark.parametrize("seasons", [0, 500, 1500, 101_000])
def test_seasons_come_in_thousands(seasons: int) -> None:
    problem = yard([afloat_any_time(TERN)], [], [])
    with pytest.raises(ValueError, match="in thousands"):
        odds(problem, Plan({}, {TERN: 0}, {}), Uncertain(), seasons=seasons)


def test_thin_history_is_drawn_to_the_usual_and_long_history_speaks_for_itself() -> None:
    assert learned([]) == Spread(0.0, 0.3)
    twice = [learned([2.0] * n).log_mean for n in (1, 5, 50, 500)]
    assert all(a < b for a, b in pairwise(twice))
    assert twice[0] == pytest.approx(np.log(2) / 6)
    assert twice[-1] == pytest.approx(np.log(2), rel=0.01)
    drawn = np.exp(np.random.default_rng(1).normal(0.2, 0.5, 4000))
    assert learned(drawn.tolist()).log_sd == pytest.approx(0.5, rel=0.05)


def test_thin_history_is_drawn_to_what_is_usual_for_its_like() -> None:
    # One job that took twice its minutes beside five's worth of 1.5 times, by hand.
    like = Spread(np.log(1.5), 0.2)
    assert learned([], like).log_mean == pytest.approx(like.log_mean)
    one = learned([2.0], like)
    assert one.log_mean == pytest.approx((np.log(2) + 5 * np.log(1.5)) / 6)
    off = np.log(2) - np.log(1.5)
    assert one.log_sd == pytest.approx(np.sqrt((5 * 0.2**2 + 5 / 6 * off**2) / 6))
    assert learned([1.5] * 10, like).log_sd < 0.2


def test_what_is_found_is_learned_as_a_share() -> None:
    # A beta of 20 jobs at 5 % has a = 1, b = 19; three of ten: (1 + 3) / (20 + 10).
    usual = Found(0.05, 60)
    assert learned_found(0, (), usual) == usual
    assert learned_found(10, (100, 200, 300), usual) == Found(4 / 30, round((600 + 300) / 8))
    assert learned_found(980, (), usual).chance == pytest.approx(0.001)
    with pytest.raises(ValueError, match="on 2 jobs of 1"):
        learned_found(1, (30, 40), usual)


def test_parts_of_a_job_stray_together() -> None:
    # Half of it takes twice as long: one and a half times in all, whatever comes first.
    twice, plain = Spread(np.log(2), 0.4), Spread(0, 0.1)
    both = strays_together([(60, twice), (60, plain)])
    assert both.log_mean == pytest.approx(np.log(1.5))
    assert both.log_sd == pytest.approx((2 * 0.4 + 0.1) / 3)
    assert strays_together([(5, Spread()), (90, Spread())]) == Spread()
    # The exact quantile of a sum whose parts stray alike is the sum of their quantiles.
    drawn = np.random.default_rng(1).standard_normal(20_000)
    whole = 60 * np.exp(np.log(2) + 0.4 * drawn) + 60 * np.exp(0.1 * drawn)
    assert np.log(whole / 120).std() == pytest.approx(both.log_sd, rel=0.03)


def test_found_on_any_part_has_the_mean_of_all() -> None:
    each = [Found(0.1, 60), Found(0.2, 30), NOTHING]
    any_of = found_on_any(each)
    assert any_of.chance == pytest.approx(1 - 0.9 * 0.8)
    assert any_of.chance * any_of.minutes == pytest.approx(0.1 * 60 + 0.2 * 30, abs=0.2)
    assert found_on_any([NOTHING, NOTHING]) == NOTHING


def test_odd_chances_are_refused() -> None:
    with pytest.raises(ValueError, match="add up to"):
        Arrival((0, 1), (0.5, 0.6))
    with pytest.raises(ValueError, match="at least one"):
        Arrival((), ())
    with pytest.raises(ValueError, match=r"at least 1\.25"):
        Away(0.2, 1.1)
    with pytest.raises(ValueError, match="below 1"):
        Away(1.0)
    with pytest.raises(ValueError, match="0 to 1"):
        Found(1.2, 3)
    with pytest.raises(ValueError, match="no time at all"):
        learned([1.0, 0.0])
    with pytest.raises(ValueError, match="below 1"):
        Uncertain(wind=1.0)


def test_one_boat_alone_has_the_same_days_as_among_all() -> None:
    """What is planned after her last job is left out; no figure of hers may change by that."""
    problem = spring(25, 2)
    plan = list_plan(problem, by_promise(problem))
    uncertain = Uncertain(
        spreads={task.id: Spread() for task in problem.tasks},
        away={person.id: Away(0.1) for person in problem.people},
        wind=0.1,
    )
    among = odds(problem, plan, uncertain, seasons=1000)
    for place, boat in list(enumerate(among.boats))[::5]:
        alone = quick_look(problem, plan, uncertain, boat, 1000, seed=1)
        assert alone.boats == (boat,)
        assert np.array_equal(alone.day[0], among.day[place])


def test_a_few_seasons_are_the_first_of_a_thousand() -> None:
    """Whatever strays: parts, found work, illness, wind and how long it takes."""
    problem = spring(25, 2)
    plan = list_plan(problem, by_promise(problem))
    uncertain = Uncertain(
        arrivals={task.id: Arrival((0, 1440), (0.5, 0.5)) for task in problem.tasks[::7]},
        spreads={task.id: Spread() for task in problem.tasks},
        found={task.id: Found(0.2, 90) for task in problem.tasks},
        away={person.id: Away(0.1, 2.5) for person in problem.people},
        wind=0.1,
    )
    among = odds(problem, plan, uncertain, seasons=1000)
    for boat in among.boats[::5]:
        few = quick_look(problem, plan, uncertain, boat, 250, seed=1)
        assert np.array_equal(few.day, among.alone(boat, 250).day)
        assert few.day.shape == (1, 250)


def test_one_kit_that_two_jobs_wait_for_comes_once() -> None:
    # On its day with 0.8, else after the season: both jobs, and two boats, are kept with 0.8.
    kit = Arrival((at(THU, 7), at(11, 23)), (0.8, 0.2), "kit")
    tasks = [
        Task(TaskId(key), TERN if key < "c" else GREBE, "mechanic", 60, key, (), at(THU, 7), "kit")
        for key in "abc"
    ]
    asked = yard(
        [afloat_any_time(TERN), afloat_any_time(GREBE)],
        tasks,
        [Person(INES, "Ines", frozenset({"mechanic"}), working(range(12)))],
    )
    plan = list_plan(asked, by_promise(asked))
    found = odds(asked, plan, Uncertain({task.id: kit for task in tasks}), seasons=SEASONS)
    assert near(found.by(TERN, THU), 0.8)
    assert near(together(found, {TERN: THU, GREBE: THU}), 0.8)


def test_who_took_the_work_over_does_not_sign_it_off() -> None:
    # Ines is never there: Una does the work, and then nobody is left to look at it.
    works = working(range(12))
    una = PersonId("una")
    people = [Person(key, key, frozenset({"mechanic"}), works) for key in (INES, una)]
    done, look = TaskId("a"), TaskId("look")
    tasks = [
        Task(done, TERN, "mechanic", 60),
        Task(look, TERN, "mechanic", 60, "look", (done,), not_by=(done,)),
    ]
    asked = yard([afloat_any_time(TERN)], tasks, people)
    jobs = {done: Job(INES, at(0, 8), at(0, 9)), look: Job(una, at(0, 9), at(0, 10))}
    plan = Plan(jobs, {TERN: at(0, 10)}, {})
    away = Uncertain(away={INES: Away(0.9999)})
    assert odds(asked, plan, away, seasons=1000).by(TERN, 11) < 0.02
    assert odds(asked, plan, Uncertain(), seasons=1000).by(TERN, 0) == 1.0


@pytest.mark.parametrize("comes", [5, 30])
def test_who_waits_to_watch_does_her_own_work_meanwhile(comes: int) -> None:
    # The learner's kit comes on Tuesday, or late, or never: Ines's own job does not wait for it.
    works = working(range(12))
    ines, lea = INES, PersonId("lea")
    people = [
        Person(ines, "Ines", frozenset({"mechanic"}), works),
        Person(lea, "Lea", frozenset(), works, learns=frozenset({"mechanic"})),
    ]
    fit, own = TaskId("fit"), TaskId("own")
    tasks = [
        Task(fit, TERN, "mechanic", 60, not_before=at(1, 8)),
        Task(own, GREBE, "mechanic", 60),
    ]
    asked = yard([afloat_any_time(TERN), afloat_any_time(GREBE)], tasks, people)
    jobs = {fit: Job(lea, at(1, 8), at(1, 9), ines), own: Job(ines, at(1, 9), at(1, 10))}
    plan = Plan(jobs, {TERN: at(1, 9), GREBE: at(1, 10)}, {})
    assert not broken(plan, asked)
    kit = Arrival((at(1, 8), at(comes, 8)), (0.5, 0.5))
    found = odds(asked, plan, Uncertain({fit: kit}), seasons=SEASONS)
    assert near(found.by(TERN, 4), 0.5)
    assert found.by(TERN, 5) == 1.0 if comes == 5 else near(found.by(TERN, 11), 0.5)
    assert found.by(GREBE, 1) == 1.0


def test_a_day_after_the_season_is_no_day() -> None:
    # Half of the seasons the kit never comes: promised for after the season, she is no surer.
    kit = Arrival((at(THU, 7), at(20, 7)), (0.5, 0.5))
    task = Task(TaskId("a"), TERN, "mechanic", 60, not_before=at(THU, 7))
    people = [Person(INES, "Ines", frozenset({"mechanic"}), working(range(12)))]
    asked = yard([replace(afloat_any_time(TERN), ink=11)], [task], people)
    plan = list_plan(asked, by_promise(asked))
    found = odds(asked, plan, Uncertain({task.id: kit}), seasons=SEASONS)
    assert near(found.by(TERN, 12), 0.5)
    assert near(found.by(TERN, 40), 0.5)
    assert not [one for one in changes(asked, plan, TERN) if one.kind is Kind.OWNER]


def test_no_more_jobs_go_on_at_once_than_she_has_room_for() -> None:
    # Two at once, three jobs of five hours by three people in days of eight: the third on Tuesday.
    works = working(range(12))
    people = [Person(PersonId(key), key, frozenset({key}), works) for key in "xyz"]
    tasks = [Task(TaskId(key), TERN, key, 300) for key in "xyz"]
    asked = yard([replace(afloat_any_time(TERN), hands=2)], tasks, people)
    plan = list_plan(asked, by_promise(asked))
    found = odds(asked, plan, Uncertain(), seasons=1000)
    assert (found.by(TERN, 0), found.by(TERN, 1)) == (0.0, 1.0)


def test_nobody_is_on_her_while_she_is_moved_aside() -> None:
    # Planned for Monday 9:00, when the work before it is over; it takes as long again in half.
    works, begins = working(range(12)), at(0, 9)
    boat = replace(afloat_any_time(TERN), aside_min=60)
    job = Task(TaskId("a"), TERN, "mechanic", 60)
    behind = replace(afloat_any_time(GREBE), aside_min=None)
    people = [Person(INES, "Ines", frozenset({"mechanic"}), works)]
    asked = replace(yard([boat, behind], [job], people), rows=((TERN, GREBE),))
    jobs = {job.id: Job(INES, at(0, 8), at(0, 9))}
    plan = Plan(jobs, {TERN: at(2, 8), GREBE: at(0, 10)}, {TERN: begins})
    longer = Uncertain(spreads={job.id: Spread(log(2), 0)})
    seasons = Seasons(Asked(asked, plan, longer, 1), 0)
    seasons.lived()
    assert (seasons.done[job.id][1] == at(0, 10)).all()
    assert (seasons.gone[TERN] == at(0, 11)).all()


@pytest.mark.parametrize(("aside_min", "gone"), [(None, at(MON, 10)), (30, at(5, 8.5))])
def test_who_is_to_be_moved_aside_waits_for_those_in_front(
    aside_min: int | None, gone: int
) -> None:
    # By hand: Tern's kit comes on Monday at 7, not before Thursday; from 8 on an hour of work, half
    # an hour to launch her, half an hour to move Grebe. Where Tern can be moved aside too, that is
    # done a day after Grebe was to be moved, on Friday at 8.
    kit = Task(TaskId("kit"), TERN, "mechanic", 60)
    tern = replace(afloat_any_time(TERN), launch_min=30, aside_min=aside_min)
    grebe = replace(afloat_any_time(GREBE), aside_min=30)
    ines = Person(INES, "Ines", frozenset({"mechanic"}), working(range(12)))
    asked = replace(yard([tern, grebe], [kit], [ines]), rows=((TERN, GREBE),))
    jobs = {kit.id: Job(INES, at(THU, 8), at(THU, 9))}
    plan = Plan(jobs, {TERN: at(THU, 9), GREBE: at(FRI, 10)}, {GREBE: at(FRI, 8)})
    comes = Uncertain(arrivals={kit.id: Arrival((at(MON, 7),), (1.0,))})
    seasons = Seasons(Asked(asked, plan, comes, 1), 0)
    seasons.lived()
    assert (seasons.gone[GREBE] == gone).all()
    assert (seasons.launched[GREBE] == gone).all()


@pytest.mark.parametrize(("asides", "goes"), [({}, at(0, 10.5)), ({GREBE: at(0, 9.5)}, at(0, 11))])
def test_nobody_is_fetched_before_her_way_is_clear(asides: dict[BoatId, int], goes: int) -> None:
    # By hand: Tern goes in with the water at 9:00, gone at 9:30. Only then is Grebe fetched, or else
    # moved aside for half an hour and then fetched; she is carried for an hour.
    tern = replace(afloat_any_time(TERN), water=((at(0, 9), at(12, 0)),), launch_min=30)
    grebe = replace(afloat_any_time(GREBE), carry_min=60)
    asked = replace(yard([tern, grebe], [], []), rows=((TERN, GREBE),))
    plan = Plan({}, {TERN: at(0, 9), GREBE: goes}, asides)
    assert broken(plan, asked) == []
    assert broken(replace(plan, launches={**plan.launches, GREBE: goes - 1}), asked)
    seasons = Seasons(Asked(asked, plan, Uncertain(), 1), 0)
    seasons.lived()
    assert (seasons.launched[GREBE] == goes).all()
