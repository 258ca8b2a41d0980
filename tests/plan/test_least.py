"""How many launches have to move at least: by hand, and never more than any change moves."""

from dataclasses import replace

from tests.plan.test_replan import NOW, away
from tests.plan.test_rules import A, B, boat, job, yard
from tests.plan.yards import at, daily, spring
from yardwright.plan.least import least_launches
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.problem import BoatId, Job, Person, PersonId, Plan, Problem, TaskId
from yardwright.plan.repair import NoRoom, hit, repaired

C = BoatId("c")


def mechanic(name: str, days: int, *hours: str) -> Person:
    return Person(PersonId(name), name, frozenset({"mechanic"}), daily(days, *hours))


def three_to_do() -> tuple[Problem, Plan]:
    """Four hours of work on each of three boats, all fetched on Monday at 16:00 or soon after."""
    people = [mechanic("ines", 3, "07:00-15:00"), mechanic("ole", 3, "07:00-15:00")]
    asked = yard(
        [boat(A), boat(B), boat(C)],
        [job(k, b, minutes=240) for k, b in (("a1", A), ("b1", B), ("c1", C))],
        people,
    )
    jobs = {
        TaskId("a1"): Job(PersonId("ines"), at(0, "07:00"), at(0, "11:00")),
        TaskId("b1"): Job(PersonId("ines"), at(0, "11:00"), at(0, "15:00")),
        TaskId("c1"): Job(PersonId("ole"), at(0, "07:00"), at(0, "11:00")),
    }
    return asked, Plan(jobs, {A: at(0, "16:00"), B: at(0, "16:30"), C: at(0, "17:00")}, {})


def with_hours(asked: Problem, *people: Person) -> Problem:
    return replace(asked, people=people)


def test_as_many_as_the_hours_that_are_left_can_t_be_done_for() -> None:
    # By hand: 12 h to do. Ole's 8 h on Monday leave 4 h over, one boat; 6 h leave 6 h over, two
    # boats; nobody on Monday: all three. With both there nothing has to move.
    asked, published = three_to_do()
    assert least_launches(asked, published, 0) == 0
    for hours, least in (("07:00-15:00", 1), ("07:00-13:00", 2)):
        one = with_hours(asked, mechanic("ole", 3, hours), *mechanic_later())
        assert least_launches(one, published, 0) == least
    assert least_launches(with_hours(asked, *mechanic_later()), published, 0) == 3


def mechanic_later() -> tuple[Person, ...]:
    """Ines from Tuesday on."""
    works = tuple(span for span in daily(3, "07:00-15:00") if span[0] >= 1440)
    return (Person(PersonId("ines"), "ines", frozenset({"mechanic"}), works),)


def test_what_is_done_or_begun_asks_for_no_hours() -> None:
    # At 11:00 the jobs of the morning are over; b1 is still to do, and Ole is there for it.
    asked, published = three_to_do()
    alone = with_hours(asked, mechanic("ole", 3, "07:00-15:00"), *mechanic_later())
    assert least_launches(alone, published, at(0, "11:00")) == 0


def test_one_whose_time_has_passed_with_work_to_do_moves_alone() -> None:
    # At 16:20 a stands there still, and her work has not begun; the others have theirs behind them.
    asked, published = three_to_do()
    late = Job(PersonId("ole"), at(1, "07:00"), at(1, "11:00"))
    put_off = replace(published, jobs={**published.jobs, TaskId("a1"): late})
    assert least_launches(asked, put_off, at(0, "16:20")) == 1


def test_no_change_moves_fewer() -> None:
    """Whoever is away, what a repair moves is never below it; and it is not always nothing."""
    found = [0]
    for seed in range(8):
        asked = spring(12, seed)
        published = list_plan(asked, by_promise(asked))
        for person in asked.people:
            hurt = away(asked, person.id, NOW, 14)
            try:
                plan = repaired(hurt, published, hit(hurt, published), NOW)
            except NoRoom:
                continue
            moved = sum(plan.launches[key] != was for key, was in published.launches.items())
            found.append(least_launches(hurt, published, NOW))
            assert found[-1] <= moved
    assert max(found) > 0
