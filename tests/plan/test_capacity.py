"""How many more boats: yards in which it can be counted by hand, and tiny ones tried out."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date
from itertools import chain

import pytest

from tests.plan.yards import LIFT, ZONE, at, daily, lifts, tiny, tiny_more
from yardwright.plan import checker
from yardwright.plan.bound import Relaxed
from yardwright.plan.capacity import MOST, Capacity, Like, Short, capacity
from yardwright.plan.days import Days, Interval
from yardwright.plan.planner import Status
from yardwright.plan.planner import plan as planned
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
    score,
)

MON, TUE, WED, FRI = 0, 1, 2, 4  # the season begins on Monday 5 May 2031
DAYS = 5
ALWAYS = ((0, DAYS * 1440),)
TERN = BoatId("Tern")


def person(name: str, trade: str, hours: str = "08:00-16:00") -> Person:
    return Person(PersonId(name), name, frozenset({trade}), daily(DAYS, hours))


INES = person("Ines", "mechanic")


def like(*minutes: int, water: tuple[Interval, ...] = ALWAYS, **more: int) -> Like:
    boat = Boat(TERN, "Tern", LIFT, water, launch_min=more.pop("launch_min", 1), **more)  # type: ignore[arg-type]
    tasks = (Task(TaskId(f"{n}"), TERN, "mechanic", m) for n, m in enumerate(minutes))
    return Like(boat, tuple(tasks))


def yard(
    boats: Iterable[Boat] = (),
    tasks: Iterable[Task] = (),
    *,
    people: Iterable[Person] = (INES,),
    opens: tuple[Interval, ...] = ALWAYS,
    rows: tuple[tuple[BoatId, ...], ...] = (),
    looks: Looks | None = None,
    count: int = 1,
) -> Problem:
    days = Days(date(2031, 5, 5), DAYS, ZONE)
    return Problem(
        days, tuple(boats), tuple(tasks), tuple(people), lifts(*opens, count=count), rows, looks
    )


def asked(problem: Problem, kind: Like, by: int, tolerance_days: int = 0) -> Capacity:
    stands = planned(problem, time_limit_s=1).plan
    assert stands is not None
    found = capacity(problem, stands, kind, by, tolerance_days=tolerance_days, time_limit_s=3)
    assert not checker.broken(found.plan, found.problem)
    assert len(found.problem.boats) == len(problem.boats) + found.at_least
    return found


def both(found: Capacity) -> tuple[int, int]:
    return found.at_least, found.at_most


def test_one_mechanic_a_boat_a_day() -> None:
    # A boat takes her eight hours, she is there eight hours a day from Monday to Friday: five.
    found = asked(yard(), like(480), FRI)
    assert both(found) == (5, 5)
    assert found.short == (Short("mechanics", "one more mechanic", 10, 10),)
    assert found.sentence(found.problem.days) == (
        "Five more boats like Tern by Fri 9 May; six can't: mechanics are short first."
    )


def test_stopped_it_does_not_say_what_is_short() -> None:
    problem = yard()
    stands = planned(problem, time_limit_s=1).plan
    assert stands is not None
    found = capacity(problem, stands, like(480), FRI, stop=lambda: True)
    assert (both(found), found.short) == ((5, 5), ())
    assert found.sentence(problem.days) == (
        "Five more boats like Tern by Fri 9 May; six can't: what is short first is not known, it "
        "was stopped."
    )


def test_by_a_day_in_the_middle_of_the_week() -> None:
    assert both(asked(yard(), like(480), WED)) == (3, 3)


def test_half_a_boat_is_no_boat() -> None:
    # 2,400 minutes by Friday evening and 700 a boat: three, and 300 minutes over.
    assert both(asked(yard(), like(700), FRI)) == (3, 3)


def test_the_lift_is_short() -> None:
    # Open an hour a day; she takes all of it.
    opens = daily(DAYS, "10:00-11:00")
    found = asked(yard(opens=opens), like(60, launch_min=60), WED)
    assert both(found) == (3, 3)
    assert found.short == (Short("the lift", "one more travel lift", 6, 6),)


def test_water_is_short() -> None:
    # An hour of water a day is one launch a day, for any number of mechanics; a second lift
    # doubles it, water at every hour leaves it to the mechanic: 8 h a day of 1 h a boat.
    found = asked(yard(), like(60, water=daily(DAYS, "12:00-13:00"), launch_min=60), TUE)
    assert both(found) == (2, 2)
    assert found.short == (
        Short("water", "water for her at every hour", 16, 16),
        Short("the lift", "one more travel lift", 4, 4),
    )
    assert found.sentence(found.problem.days) == (
        "Two more boats like Tern by Tue 6 May; three can't: water is short first, then the lift."
    )


def test_what_is_not_sure_is_said_as_perhaps() -> None:
    found = asked(yard(), like(480), FRI)
    days = found.problem.days
    assert replace(found, at_least=3).sentence(days) == (
        "Three more boats like Tern by Fri 9 May surely, five perhaps; six can't: mechanics are "
        "short first."
    )
    one = replace(found, at_least=1, at_most=MOST, short=())
    assert one.sentence(days) == (
        "One more boat like Tern by Fri 9 May surely; where it ends is not known."
    )


def test_looks_are_short() -> None:
    # Four hours of looks in eight, one boat at once: two a day, but on Monday the first waits for
    # half an hour of work. Two at once: two on Monday, four on Tuesday.
    looks = Looks(1, daily(DAYS, "08:00-16:00"))
    found = asked(yard(looks=looks, count=2), like(30, looks_min=240), TUE)
    assert both(found) == (3, 3)
    assert [(one.what, one.at_least) for one in found.short] == [("looks after a launch", 6)]


def test_what_is_promised_in_ink_stays_kept() -> None:
    # Eight hours on Plover by Tuesday; of three days two are left.
    plover = Boat(BoatId("Plover"), "Plover", LIFT, ALWAYS, launch_min=1, ink=TUE)
    work = Task(TaskId("engine"), plover.id, "mechanic", 480)
    assert both(asked(yard([plover], [work]), like(480), WED)) == (2, 2)


def test_pencil_gives_way_by_as_much_as_is_said() -> None:
    # One day of work until Monday evening, for Plover in Pencil or for the boat to come.
    plover = Boat(BoatId("Plover"), "Plover", LIFT, ALWAYS, launch_min=1, pencil=MON)
    work = Task(TaskId("engine"), plover.id, "mechanic", 480)
    problem = yard([plover], [work])
    assert both(asked(problem, like(480), MON)) == (0, 0)
    assert both(asked(problem, like(480), MON, tolerance_days=1)) == (1, 1)


def test_pencil_gives_way_no_further_whatever_the_bound_says(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr("yardwright.plan.capacity._at_most", lambda _asked: 3)
    plover = Boat(BoatId("Plover"), "Plover", LIFT, ALWAYS, launch_min=1, pencil=MON)
    work = Task(TaskId("engine"), plover.id, "mechanic", 480)
    problem = yard([plover], [work])
    assert both(asked(problem, like(480), MON)) == (0, 0)
    assert both(asked(problem, like(480), MON, tolerance_days=1)) == (1, 1)


def test_the_bound_lets_pencil_give_way_no_further() -> None:
    plover = Boat(BoatId("Plover"), "Plover", LIFT, ALWAYS, launch_min=1, pencil=MON)
    work = Task(TaskId("engine"), plover.id, "mechanic", 480)
    tern, tasks = like(480).number(1, MON)
    bound = Relaxed(yard([plover, tern], [work, *tasks]), {tern.id: 4})
    shares = [bound.share_kept(tern.id, days, 5) for days in (0, 1)]
    assert shares == pytest.approx([0, 1 / 4])


def test_a_plan_that_breaks_a_rule_counts_for_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever made it: here a repair that launches the boats to come before their work is done."""

    def too_soon(problem: Problem, *_: object, **__: object) -> Plan:
        at_once = {
            task.id: Job(INES.id, at(MON, "08:00"), at(MON, "16:00")) for task in problem.tasks
        }
        return Plan(at_once, {boat.id: 0 for boat in problem.boats}, {})

    monkeypatch.setattr("yardwright.plan.capacity.repaired", too_soon)
    assert both(asked(yard(), like(480), WED)) == (3, 3)


def test_rows_are_short() -> None:
    # Plover can't be moved and shuts Dunlin in, who is promised Monday: the mechanic's Monday
    # goes on Plover. Were nobody shut in, or two mechanics there, it were free for another boat.
    plover = Boat(BoatId("Plover"), "Plover", LIFT, ALWAYS, launch_min=1, aside_min=None)
    dunlin = Boat(BoatId("Dunlin"), "Dunlin", LIFT, ALWAYS, launch_min=1, ink=MON)
    work = Task(TaskId("engine"), plover.id, "mechanic", 480)
    found = asked(yard([plover, dunlin], [work], rows=((plover.id, dunlin.id),)), like(480), MON)
    assert both(found) == (0, 0)
    assert {one.what: one.at_least for one in found.short} == {"mechanics": 1, "rows": 1}
    assert found.sentence(found.problem.days) in (
        "No more boats like Tern by Mon 5 May: mechanics are short first, then rows.",
        "No more boats like Tern by Mon 5 May: rows are short first, then mechanics.",
    )


def test_a_day_on_which_she_can_not_be_ready_even_alone() -> None:
    assert both(asked(yard(), like(600), MON)) == (0, 0)


def test_jobs_that_come_one_after_the_other_in_the_water_too() -> None:
    # Three hours a boat whatever her jobs are called: eight hours on Monday are two, and two over.
    c, b, a = (TaskId(one) for one in "cba")
    tasks = (
        Task(a, TERN, "mechanic", 60, after=(b,)),
        Task(b, TERN, "mechanic", 60, after=(c,)),
        Task(c, TERN, "mechanic", 30),
        Task(TaskId("hose run"), TERN, "mechanic", 30, after=(a,), afloat=True),
    )
    assert both(asked(yard(), Like(like().boat, tasks), MON)) == (2, 2)


def test_two_things_short_together() -> None:
    # An hour of lift and an hour of work a day: one more of either alone changes nothing.
    works = person("Ines", "mechanic", "08:00-09:00")
    opens = daily(DAYS, "10:00-11:00")
    found = asked(yard(people=[works], opens=opens), like(60, launch_min=60), TUE)
    assert both(found) == (2, 2)
    assert found.short == ()
    assert "no single thing is short" in found.sentence(found.problem.days)


@pytest.mark.slow
@pytest.mark.parametrize("seed", [1, 2, 3, 4, 5, 8, 9, 12])  # those of which there is a plan
def test_tiny_yards_tried_out(seed: int) -> None:
    """One boat more than it says fits into no plan: on a yard this small the planner proves it."""
    problem = (tiny if seed % 2 else tiny_more)(seed)
    stands = planned(problem, time_limit_s=3)
    assert stands.plan is not None
    kind = like_hers(problem, problem.going_in[0].id)
    found = capacity(problem, stands.plan, kind, WED, time_limit_s=6)
    assert not checker.broken(found.plan, found.problem)
    was, now = score(problem, stands.plan), score(found.problem, found.plan)
    assert now.ink_days <= was.ink_days
    assert now.pencil_days <= was.pencil_days
    if stands.status is Status.BEST and found.at_most < 4:
        boats, tasks = zip(*(kind.number(n, WED) for n in range(found.at_most + 1)), strict=True)
        more = replace(
            problem,
            boats=(*problem.boats, *boats),
            tasks=(*problem.tasks, *chain.from_iterable(tasks)),
        )
        tried = planned(more, time_limit_s=6)
        if tried.score is not None:
            assert tried.score[:2] > was[:2]


def like_hers(problem: Problem, key: BoatId) -> Like:
    """One like a boat that is there, without what waits for another's work."""
    boat = replace(problem.boat[key], id=TERN, name="Tern", ink=None, pencil=None)
    hers = {task.id for task in problem.jobs[key]}
    tasks = (
        replace(task, boat=TERN, after=tuple(hers & set(task.after))) for task in problem.jobs[key]
    )
    return Like(boat, tuple(tasks))


def test_refusals() -> None:
    problem = yard()
    stands = planned(problem, time_limit_s=1).plan
    assert stands is not None
    with pytest.raises(
        ValueError, match="Sat 10 May is not in the season, Mon 5 May to Fri 9 May; ask"
    ):
        capacity(problem, stands, like(60), DAYS)
    with pytest.raises(ValueError, match="-1 days of Pencil"):
        capacity(problem, stands, like(60), FRI, tolerance_days=-1)
    with pytest.raises(ValueError, match="does not go in"):
        replace(like(60), boat=replace(like(60).boat, goes_in=False))
    painted = Task(TaskId("paint"), TERN, "painter", 60)
    with pytest.raises(ValueError, match="Nobody here is a painter"):
        capacity(problem, stands, Like(like(60).boat, (painted,)), FRI)
    with pytest.raises(ValueError, match="work of another boat than Tern"):
        Like(like(60).boat, (replace(painted, boat=BoatId("Grebe")),))
