"""A problem refuses to exist when it is wrong, and says what to do."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from tests.plan.yards import CURLEW, LIFT, PLOVER, ZONE, at, daily, lifts, story_a1
from yardwright.plan.days import Days
from yardwright.plan.problem import Boat, BoatId, Plan, Problem, Task, TaskId, days_late

A1 = story_a1()
FIRST, SECOND = A1.tasks[0].id, A1.tasks[1].id


def ring(problem: Problem) -> Problem:
    tasks = [replace(t, after=(SECOND,)) if t.id == FIRST else t for t in problem.tasks]
    tasks = [replace(t, after=(FIRST,)) if t.id == SECOND else t for t in tasks]
    return replace(problem, tasks=tuple(tasks))


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda: replace(A1, boats=(*A1.boats, A1.boats[0])), "More than one boat: Plover; keep"),
        (lambda: replace(A1, tasks=(*A1.tasks, A1.tasks[0])), "More than one job: Plover-mechanic"),
        (lambda: replace(A1, people=A1.people * 2), "More than one person: ines, ole"),
        (lambda: replace(A1, rows=((CURLEW,), (CURLEW,))), "place in the rows for boat: Curlew"),
        (
            lambda: replace(A1, rows=((BoatId("Heron"),),)),
            "The rows name Heron, which is not there",
        ),
        (lambda: replace(A1, boats=A1.boats[:4]), "Jobs name Avocet, which is not there"),
        (lambda: replace(A1, tasks=(replace(A1.tasks[0], after=(TaskId("x"),)),)), "come after x"),
        (lambda: ring(A1), "wait for each other in a ring"),
        (lambda: replace(A1, lifts=lifts((0, 4321))), "run from 0 to 4321; cut them to the season"),
        (lambda: lifts((60, 60)), "60 to 60 is empty; end it later"),
        (lambda: lifts((0, 60), (60, 90)), "60 begins before 60 is over; sort and"),
        (lambda: replace(A1.lifts[0], held=((600, 660),)), "open while it is held; cut that out"),
        (lambda: replace(A1.lifts[0], away=((0, 1440),)), "open with nobody to run it; cut that"),
        (lambda: replace(A1.boats[0], launch_min=0), "Plover's launch takes 0 minutes; give 1 to"),
        (lambda: replace(A1.boats[0], aside_min=-5), "Moving Plover aside takes -5 minutes"),
        (lambda: replace(A1.boats[0], watch_min=-1), "Plover's watch takes -1 minutes"),
        (lambda: replace(A1.tasks[0], minutes=0), "Job Plover-mechanic takes 0 minutes"),
        (lambda: replace(A1.tasks[0], after=(FIRST,)), "comes after itself"),
        (lambda: Days(date(2031, 5, 5), 0, ZONE), "A season of 0 days; give 1 to 400"),
        (lambda: A1.days.minute(datetime(2031, 5, 5, 9)), "has no zone"),  # noqa: DTZ001
    ],
)
def test_what_is_wrong_is_refused(wrong: Callable[[], object], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        wrong()


def test_days_on_the_night_the_clock_changes() -> None:
    # The United States' clocks go forward on the second Sunday in March: 9 March 2031, at 02:00.
    days = Days(date(2031, 3, 8), 3, ZONE)
    assert days.midnights == (0, 1440, 1440 + 1380, 1440 + 1380 + 1440)
    noon = datetime(2031, 3, 9, 12, tzinfo=ZONE)
    assert days.minute(noon) == 1440 + 11 * 60
    assert days.minute(noon.astimezone(UTC)) == 1440 + 11 * 60
    assert days.at(1440 + 11 * 60) == noon
    assert days.clock(1440 + 11 * 60) == "Sun 9 Mar 12:00"
    assert [days.day(m) for m in (0, 1439, 1440, 2819, 2820, 4259, 4260, 5700)] == [
        0, 0, 1, 1, 2, 2, 3, 4,
    ]  # fmt: skip
    assert days.day_of(date(2031, 3, 7)) == -1
    assert [days.day(m) for m in (-1, -1440, -1441, -7200)] == [-1, -1, -2, -5]
    assert [days.midnight(day) for day in (-5, -1, 0, 3, 4)] == [-7200, -1440, 0, 4260, 5700]


@pytest.mark.parametrize(
    ("ink", "pencil", "watch_min", "launch", "late"),
    [
        (0, None, 0, at(0, "23:30"), 0),
        (0, None, 0, at(1, "00:00"), 1),
        (0, None, 1, at(0, "23:30"), 1),  # handed over after midnight
        (-2, None, 0, at(1, "09:00"), 3),
        (1, 0, 0, at(1, "09:00"), 0),  # Ink counts, not Pencil
        (None, 0, 0, at(2, "09:00"), 2),
        (None, None, 0, at(2, "09:00"), 0),
    ],
)
def test_calendar_days_late(
    ink: int | None, pencil: int | None, watch_min: int, launch: int, late: int
) -> None:
    boat = Boat(PLOVER, PLOVER, LIFT, watch_min=watch_min, ink=ink, pencil=pencil)
    assert days_late(A1, Plan({}, {PLOVER: launch}, {}), boat) == late


def test_first_things_first() -> None:
    late_first = Task(TaskId("z"), PLOVER, "mechanic", 10, after=(FIRST, SECOND))
    problem = replace(A1, tasks=(late_first, *A1.tasks))
    assert [task.id for task in problem.jobs[PLOVER]][-1] == "z"


def test_a_person_s_own_minutes() -> None:
    ines = replace(A1.people[0], works=daily(2, "07:00-12:00", "12:30-15:30"))
    clock = ines.on.plain
    assert clock.worked == (0, 300, 480, 780, 960)
    assert clock.worked_by(at(0, "12:10")) == 300
    assert clock.worked_by(at(1, "08:00")) == 540
    assert clock.minute_of(300) == at(0, "12:30")
    assert clock.minute_of(480) == at(1, "07:00")


def test_who_stands_in_front_of_whom_and_who_stands_nowhere() -> None:
    front, mid, deep, elsewhere = (Boat(BoatId(one), one, LIFT) for one in "abcd")
    row = (front.id, mid.id, deep.id)
    boats = (deep, elsewhere, mid, front)
    asked = Problem(A1.days, boats, (), (), A1.lifts, (row,))
    assert asked.in_front == {"a": (), "b": (front,), "c": (front, mid), "d": ()}
    assert asked.behind == {"a": (mid, deep), "b": (deep,), "c": (), "d": ()}
