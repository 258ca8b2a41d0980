"""Hours of one day alone: a lift is open longer, somebody stays, or is away for some hours."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from yardwright.plan import checker
from yardwright.plan.alone import may_stay_open
from yardwright.plan.changes import Kind, changes
from yardwright.plan.clash import why_promise_not_kept
from yardwright.plan.hours import Stretches, both, outside
from yardwright.plan.planner import plan
from yardwright.plan.problem import BoatId, PersonId, Problem
from yardwright.season.faults import faults
from yardwright.season.holds import breaks
from yardwright.season.lifts import nobody_in, opens_within, shut_while
from yardwright.season.model import Hold, Lift, OnDay, Person, Season
from yardwright.season.published import published
from yardwright.season.read import read, read_file
from yardwright.season.spring import problem_of
from yardwright.season.write import write

DOCS = Path(__file__).parents[2] / "docs"
ZONE = ZoneInfo("America/New_York")
SUNDAY = datetime(2031, 5, 4, 18, tzinfo=ZONE)
TUESDAY = date(2031, 5, 6)
EVENING = OnDay(TUESDAY, time(18, 5), time(18, 35), "the evening tide")
DENTIST = OnDay(TUESDAY, time(8), time(10), "dentist")
CURLEW, INES = BoatId("Curlew"), PersonId("Ines")
RUNA = Person("Runa", hours=((time(6), time(16)),))


@pytest.fixture(scope="module")
def as_usual() -> Season:
    return read_file(DOCS / "three-days.toml")


def open_longer(season: Season, *people: Person, **more: object) -> Season:
    """The lift open on Tuesday evening too, run by some people alone where any are given."""
    run_by = tuple(one.name for one in people)
    lift = replace(season.lifts[0], longer=(EVENING,), run_by=run_by, **more)  # type: ignore[arg-type]
    return replace(season, lifts=(lift,), people=(*season.people, *people))


def mechanic(season: Season, **changed: object) -> Season:
    ines = replace(season.people[0], **changed)  # type: ignore[arg-type]
    return replace(season, people=(ines, *season.people[1:]))


def said(problem: Problem, stretches: Sequence[tuple[int, int]]) -> list[str]:
    at = problem.days.clock
    return [f"{at(start)} to {at(end)[-5:]}" for start, end in stretches]


def test_curlew_keeps_her_day_by_the_evening_lift_and_no_other_evening_is_worked(
    as_usual: Season,
) -> None:
    # Story A1: her kit comes too late for the morning's water, and the evening's begins at 18:05.
    usual, asked = problem_of(as_usual), problem_of(open_longer(as_usual))
    assert said(asked, asked.lifts[0].opens) == [
        "Mon 5 May 06:00 to 16:00",
        "Tue 6 May 06:00 to 16:00",
        "Tue 6 May 18:05 to 18:35",
        "Wed 7 May 06:00 to 16:00",
    ]
    found = plan(asked, time_limit_s=5).plan
    assert found is not None
    assert usual.days.clock(found.launches[CURLEW]) == "Tue 6 May 18:05"
    assert not [*checker.broken(found, asked)]
    shut = "Curlew needs the lift at Tue 6 May 18:05, when it is shut."
    assert [*checker.lift_open(found, usual)] == [shut]
    assert why_promise_not_kept(usual, CURLEW)
    assert not why_promise_not_kept(asked, CURLEW)


def test_no_other_evening_is_nearer_to_its_own_hours_for_it(as_usual: Season) -> None:
    usual, asked = problem_of(as_usual), problem_of(open_longer(as_usual))
    assert may_stay_open(asked, asked.lifts[0]) == may_stay_open(usual, usual.lifts[0])


def test_what_a_saver_asks_for_can_be_entered_as_it_was_weighed(as_usual: Season) -> None:
    usual = problem_of(as_usual)
    stands = plan(usual, time_limit_s=5).plan
    assert stands is not None
    made = {one.kind: one.made(usual) for one in changes(usual, stands, CURLEW)}
    days = usual.days

    def more(now: Stretches, then: Stretches) -> tuple[OnDay, ...]:
        spans = ((days.at(a), days.at(b)) for a, b in both(then, outside(now, days.end)))
        return tuple(OnDay(a.date(), a.time(), b.time()) for a, b in spans)

    opens = made[Kind.LIFT].lifts[0].opens
    lift = replace(as_usual.lifts[0], longer=more(usual.lifts[0].opens, opens))
    assert problem_of(replace(as_usual, lifts=(lift,))).lifts[0].opens == opens
    works = made[Kind.LONGER].person[INES].works
    stays = mechanic(as_usual, longer=more(usual.person[INES].works, works))
    assert problem_of(stays).person[INES].works == works
    hand = made[Kind.BORROWED].people[-1]
    borrowed = Person("Kim", tuple(hand.trades), weekdays=(), longer=more((), hand.works))
    people = (*as_usual.people, borrowed)
    assert problem_of(replace(as_usual, people=people)).people[-1].works == hand.works


def test_it_stays_shut_while_it_is_held_or_nobody_who_may_run_it_is_at_work(
    as_usual: Season,
) -> None:
    wind = Hold(
        datetime(2031, 5, 6, 18, 20, tzinfo=ZONE), datetime(2031, 5, 6, 20, tzinfo=ZONE), "wind"
    )
    held = problem_of(open_longer(as_usual, holds=(wind,)))
    assert "Tue 6 May 18:05 to 18:20" in said(held, held.lifts[0].opens)
    stays = replace(RUNA, longer=(EVENING,))
    sick = replace(stays, off=(TUESDAY,))
    evenings = []
    for runs in (RUNA, stays, sick, replace(stays, away=(EVENING,))):
        asked = problem_of(open_longer(as_usual, runs))
        evenings.append("Tue 6 May 18:05 to 18:35" in said(asked, asked.lifts[0].opens))
    assert evenings == [False, True, False, False]


def test_it_is_said_when_the_lift_can_be_had_that_day(as_usual: Season) -> None:
    def why(lift: Lift, *people: Person, day: int = 6, hour: int = 18) -> tuple[str, ...]:
        start = datetime(2031, 5, day, hour, 5, tzinfo=ZONE)
        return shut_while(lift, people, start, start.replace(minute=35), ZONE)

    crewed = open_longer(as_usual).lifts[0]
    assert why(crewed) == ()
    both = "The Travel lift is open 06:00 to 16:00 and 18:05 to 18:35 only."
    assert why(crewed, hour=17) == (both,)
    assert why(crewed, day=7) == ("The Travel lift is open 06:00 to 16:00 only.",)
    run = open_longer(as_usual, RUNA).lifts[0]
    assert why(run, RUNA) == ("Nobody who may run the Travel lift is in for all of that time.",)
    assert why(run, replace(RUNA, longer=(EVENING,))) == ()
    saturday = replace(crewed, longer=(replace(EVENING, day=date(2031, 5, 10)),))
    assert why(saturday, day=10) == ()
    span = datetime(2031, 5, 10, 17, tzinfo=ZONE), datetime(2031, 5, 10, 18, 10, tzinfo=ZONE)
    assert opens_within(saturday, *span, ZONE)
    assert not opens_within(crewed, *span, ZONE)
    assert nobody_in(replace(saturday, run_by=("Runa",)), (RUNA,), date(2031, 5, 10))


def test_only_the_hours_for_which_somebody_is_away_are_lost(as_usual: Season) -> None:
    problem = problem_of(mechanic(as_usual, away=(DENTIST,), overtime=((time(6), time(7)),)))
    ines = problem.person[INES]
    tuesday = [words for words in said(problem, ines.works) if words.startswith("Tue")]
    assert tuesday == [
        "Tue 6 May 07:00 to 08:00",
        "Tue 6 May 10:00 to 12:00",
        "Tue 6 May 12:30 to 15:30",
    ]
    assert "Tue 6 May 06:00 to 07:00" in said(problem, ines.overtime)
    early = replace(DENTIST, starts=time(6))
    gone = problem_of(mechanic(as_usual, away=(early,), overtime=((time(6), time(7)),)))
    assert not [w for w in said(gone, gone.person[INES].overtime) if w.startswith("Tue")]


def test_who_stays_works_these_hours_and_no_other_evening(as_usual: Season) -> None:
    late = OnDay(TUESDAY, time(15, 30), time(17, 30))
    problem = problem_of(mechanic(as_usual, longer=(late,)))
    ends = [words[-5:] for words in said(problem, problem.person[INES].works)]
    assert ends == ["12:00", "15:30", "12:00", "17:30", "12:00", "15:30"]


def test_a_plan_breaks_by_the_hours_alone_and_says_them(as_usual: Season) -> None:
    problem = problem_of(as_usual, begins=SUNDAY)
    told = published(as_usual, problem, plan(problem, time_limit_s=5), begins=SUNDAY)
    busy = [job for job in told.plan.jobs if job.person == "Ines" and job.starts.day == 6]
    first = min(busy, key=lambda job: job.starts)
    gone = OnDay(TUESDAY, first.starts.time(), time(first.starts.hour + 1, first.starts.minute))
    (line,) = breaks(mechanic(as_usual, away=(gone,)), told, SUNDAY)
    assert line.words.startswith(
        f"Ines is away Tue 6 May {gone.starts:%H:%M} to {gone.ends:%H:%M}: "
    )
    assert first.boat in line.boats
    lunch = OnDay(TUESDAY, time(12), time(12, 30))
    assert not breaks(mechanic(as_usual, away=(lunch,)), told, SUNDAY)


def test_the_file_keeps_them_and_refuses_those_that_go_backwards(as_usual: Season) -> None:
    season = mechanic(open_longer(as_usual), away=(DENTIST,), longer=(EVENING,))
    assert not faults(season)
    assert read(write(season)) == season
    back = replace(EVENING, ends=time(18, 5))
    wrong = mechanic(
        replace(season, lifts=(replace(season.lifts[0], longer=(EVENING, back)),)),
        away=(back,),
        longer=(back,),
    )
    assert [".".join(map(str, one.path)) for one in faults(wrong)] == [
        "lifts.0.longer.1",
        "people.0.away.0",
        "people.0.longer.0",
    ]
