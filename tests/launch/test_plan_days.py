"""The plan's days on its page: a line a boat, those to look at first, and who is held now."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from typing import cast

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.conftest import entry, set_clock
from tests.launch.conftest import MONDAY, held_by
from tests.web import a_plan
from tests.web.a_plan import at
from yardwright.fleet.models import Boat
from yardwright.launch import queries, services, solve
from yardwright.launch.held import held_soon
from yardwright.launch.spring_days import days_of
from yardwright.procedures.going_in import State
from yardwright.procedures.verdict import Verdict
from yardwright.season.published import Published
from yardwright.work import facts
from yardwright.yard.models import Job, Person

Use = Callable[[Person], Client]
BATTERY = "Battery at rest: Can't say"


def boat(name: str) -> Boat:
    return Boat.objects.get(name=name)


def by_hand(by: Person, avocet_on: int = 7) -> Published:
    """Dunlin goes in on Tuesday 6 May, Avocet on that day of May."""
    dunlin, avocet = a_plan.LAUNCHES
    start, end = at("09:00", avocet_on), at("09:30", avocet_on)
    plan = queries.plan_of(
        a_plan.publish(by, launches=(dunlin, replace(avocet, starts=start, ends=end)))
    )
    assert plan
    return plan


@pytest.mark.parametrize(("day", "said"), [(12, True), (13, False)])
def test_who_goes_in_within_a_week_of_the_next_launch_and_is_held_says_by_what(
    mara: Person, day: int, said: bool
) -> None:
    plan = by_hand(mara, avocet_on=day)
    held_by(boat("Avocet"), mara, "battery_at_rest", Verdict.CANT_SAY)
    held_by(boat("Dunlin"), mara, "compression", Verdict.GOOD)
    held_by(boat("Teal"), mara, "battery_at_rest", Verdict.STOP)  # not in the plan
    assert held_soon(plan) == ({"Avocet": BATTERY} if said else {})


def test_long_before_the_first_launch_the_boats_of_the_open_days_are_asked(mara: Person) -> None:
    set_clock(MONDAY.replace(month=3, day=10))
    plan = by_hand(mara, avocet_on=13)
    for name in ("Dunlin", "Avocet"):
        held_by(boat(name), mara, "battery_at_rest", Verdict.CANT_SAY)
    held = held_soon(plan)
    assert held == {"Dunlin": BATTERY}
    days = days_of(plan, held=held)
    assert [(one.rows[0].go.boat, one.open) for one in days.ahead] == [
        ("Dunlin", True),
        ("Avocet", False),
    ]
    assert [one.go.boat for one in days.first] == ["Dunlin"]


def test_over_her_time_and_on_land_she_is_held_still_and_in_the_water_no_more(mara: Person) -> None:
    plan = by_hand(mara)
    held_by(boat("Dunlin"), mara, "battery_at_rest", Verdict.LOOK_AGAIN)
    set_clock(MONDAY + timedelta(days=3))
    assert held_soon(plan) == {"Dunlin": "Battery at rest: Look again"}
    facts.add_moved(entry(mara), boat("Dunlin"), State.HANDED_OVER)
    assert held_soon(plan) == {}


def test_her_line_says_it_with_how_many_more_and_she_is_looked_at_first(
    mara: Person, as_person: Use
) -> None:
    by_hand(mara)
    held_by(boat("Avocet"), mara, "battery_at_rest", Verdict.CANT_SAY)
    held_by(boat("Avocet"), mara, "compression", Verdict.LOOK_AGAIN)
    page = as_person(mara).get("/spring/").content.decode()
    said = "Held:</b> Battery at rest: Can&#x27;t say, and 1 more."
    assert page.count(said) == 2  # to look at first, and on her day
    assert page.index("Look at these first") < page.index(said) < page.index("Wednesday 7 May")


def test_what_holds_is_asked_at_once_however_many_are_held(mara: Person, as_person: Use) -> None:
    by_hand(mara)
    client = as_person(mara)
    client.get("/spring/")  # asks whether the plan holds, and keeps the answer

    def asked() -> int:
        with CaptureQueriesContext(connection) as queries_:
            client.get("/spring/")
        return len(queries_)

    before = asked()
    for name in ("Dunlin", "Avocet"):
        held_by(boat(name), mara, "battery_at_rest", Verdict.CANT_SAY)
    client.get("/spring/")
    assert asked() == before


def test_a_week_is_open_the_rest_folded_and_what_is_over_comes_last(mara: Person) -> None:
    plan = by_hand(mara, avocet_on=14)
    days = days_of(plan)
    assert [(one.day.day, one.open) for one in days.ahead] == [(6, True), (14, False)]
    set_clock(at("06:00", 7))
    days = days_of(plan)
    assert [(one.day.day, one.open) for one in days.ahead] == [(14, True)]  # the next there is
    assert [one.day.day for one in days.past] == [6]
    assert days.boats_past == 1


def test_late_or_not_sure_enough_she_is_looked_at_first(planned: Job, mara: Person) -> None:
    plan = queries.plan_of(services.publish(entry(mara), planned))
    days = days_of(plan)
    assert [(one.go.boat, one.doubt) for one in days.first] == [("Curlew", "")]
    assert days.odds == "How sure the days in Ink are: not worked out."  # once, not on each line
    job = Job.objects.get(what=queries.ODDS)
    job.answer, job.state = solve.ANSWERS[job.what](job.question), Job.State.DONE
    assert job.answer
    boats = cast("dict[str, dict[str, object]]", job.answer["boats"])
    boats["Teal"] |= {"odds": 0.61, "sure_by": [["2031-05-05", "60 % sure"]]}
    boats["Dunlin"] |= {"odds": 0.97}
    del boats["Avocet"]
    job.save()
    days = days_of(plan, queries.sures())
    first = {one.go.boat: one.doubt for one in days.first}
    assert first["Teal"] == "60 % sure"
    assert first["Avocet"] == "odds not known"
    assert "Dunlin" not in first
    assert days.odds == ""
    Boat.objects.filter(name="Teal").update(engine="another")  # what was worked out is old now
    days = days_of(plan, queries.sures())
    first = {one.go.boat: one.doubt for one in days.first}
    assert first["Teal"] == "not sure when last worked out"
    assert first["Avocet"] == "odds not known"
    assert days.odds == (
        "How sure the days in Ink are: what was worked out is old. Parts, people, lifts, places, "
        "boats or work were changed since this was worked out."
    )
    assert date(2031, 5, 6) == queries.inks()["Teal"]
