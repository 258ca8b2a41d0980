"""A boat in the water is promised until she is handed over: what is said of her day while she is watched."""

from collections.abc import Callable
from datetime import date, datetime

import pytest
from django.test import Client

from tests.conftest import entry, set_clock
from yardwright.fleet.models import Boat
from yardwright.launch import owner_services, queries
from yardwright.launch.calls import Call, Heard, calls
from yardwright.procedures.going_in import BILGE_DRY, State
from yardwright.web.morning import Danger, morning
from yardwright.work import facts
from yardwright.work import queries as work
from yardwright.work.models import Fact
from yardwright.yard import clock
from yardwright.yard.models import Lift, Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
TUE, WED = (date(2031, 5, day) for day in (6, 7))
AT = "/boats/DUN/answer/"


def at(day: int, time: str) -> None:
    set_clock(datetime.fromisoformat(f"2031-05-{day:02}T{time}-04:00"))


def look(boat: Boat, by: Person, day: int, *times: str, holds: bool = True) -> None:
    for time in times:
        at(day, time)
        facts.add_looked(entry(by), boat, BILGE_DRY, holds=holds)


@pytest.fixture
def dunlin(published: Fact, mara: Person) -> Boat:
    """Told Tuesday in Ink (story A1), and in the water since Monday: nobody looks after the first time."""
    boat = Boat.objects.get(name="Dunlin")
    at(5, "09:25")
    facts.add_moved(entry(mara), boat, State.IN_THE_WATER, lift=Lift.objects.get())
    look(boat, mara, 5, "09:25")
    return boat


@pytest.fixture
def again(dunlin: Boat, mara: Person) -> Boat:
    """The watch began again on Tuesday; its last look is to be on Wednesday, the day after her Ink."""
    look(dunlin, mara, 6, "09:25", "09:36", "09:56", "11:26")
    at(7, "05:30")
    return dunlin


def to_call() -> dict[str, Call]:
    found = calls(queries.plan_of(work.last_published()), queries.sures())
    return {one.boat.name: one for one in found.now}


def in_danger() -> dict[str, Danger]:
    return {one.boat.name: one for one in morning(clock.now()).dangers}


def test_watched_until_after_her_day_she_is_in_danger_and_her_owner_is_called(
    again: Boat, mara: Person, as_person: Use
) -> None:
    # By hand: a day from the look of Tue 09:25, with which the watch began again.
    danger = in_danger()["Dunlin"]
    assert (danger.told, danger.planned) == (TUE, "Wed 7 May")
    assert danger.waits_for[0] == "In the water, watched until Wed 09:25."
    call = to_call()["Dunlin"]
    assert (call.heard, call.day) == (Heard(TUE, in_ink=True), WED)
    assert call.why == "she is in the water, watched until Wed 09:25"
    client = as_person(mara)
    page = client.get(AT).content.decode()
    assert "In the water, watched until Wed 09:25. She is handed over Wed 7 May." in page
    assert "Her owner was told Tue 6 May in Ink." in page
    assert "she does not stand on land" not in page
    assert 'href="/boats/DUN/ink/?back=/spring/"' in client.get("/spring/").content.decode()
    page = client.get("/boats/DUN/ink/").content.decode()
    assert "In the water, watched until Wed 09:25." in page
    assert 'value="2031-05-07"' in page
    assert client.get("/spring/calls.pdf").status_code == 200


def test_her_new_day_is_made_ink_without_a_replan_and_none_before(
    again: Boat, mara: Person
) -> None:
    with pytest.raises(Refused, match="watched until Wed 09:25; she is handed over Wed 7 May"):
        owner_services.make_ink(entry(mara), again, TUE, "B. Holt, by phone")
    owner_services.make_ink(entry(mara), again, WED, "B. Holt, by phone", although=True)
    assert "Dunlin" not in to_call()
    facts.add_moved(entry(mara), again, State.HANDED_OVER)
    assert "Dunlin" not in in_danger()


def test_a_missed_look_that_nobody_made_up_for_is_counted_from_now(dunlin: Boat) -> None:
    at(6, "05:30")
    words = "a look was missed: watched until Wed 05:30 at the earliest"
    assert in_danger()["Dunlin"].waits_for[0] == f"In the water, and {words}."
    assert to_call()["Dunlin"].day == WED


def test_with_water_in_her_no_day_can_be_told(again: Boat, mara: Person, as_person: Use) -> None:
    look(again, mara, 7, "06:00", holds=False)
    words = "in the water, and water came in: lift her back first"
    assert in_danger()["Dunlin"].planned == "not known"
    assert (to_call()["Dunlin"].day, to_call()["Dunlin"].why) == (None, f"she is {words}")
    assert "No day can be told." in as_person(mara).get(AT).content.decode()
    with pytest.raises(Refused, match=words):
        owner_services.make_ink(entry(mara), again, WED, "B. Holt, by phone", although=True)
