"""Who is at which boat: said where she is open, and to the desk; gone after three minutes."""

from datetime import datetime, timedelta

import pytest
from django.test import Client

from tests.conftest import log_in, set_clock
from yardwright.fleet.models import Boat, Visit
from yardwright.season.model import Right
from yardwright.yard.models import Person, Yard

NOW = datetime.fromisoformat("2031-05-06T07:12-04:00")


@pytest.fixture
def ines(three_days: Yard) -> Person:
    set_clock(NOW)
    return log_in("Ines", Right.PROVE)


@pytest.fixture
def phone(ines: Person) -> Client:
    return used_by(ines)


@pytest.fixture
def desk(ines: Person) -> Client:
    return used_by(log_in("Jonas"))


def used_by(person: Person) -> Client:
    client = Client()
    assert person.user is not None
    client.force_login(person.user)
    return client


def at(client: Client, tag: str, on: str = "phone", *, came: bool = True) -> str:
    asked = {"since": 0, "shows": "", "on": on, "came": came}
    return str(
        client.post(f"/boats/{tag}/now/", asked, content_type="application/json").json()["here"]
    )


def test_each_sees_the_other(phone: Client, desk: Client) -> None:
    assert at(phone, "AVO") == "Nobody else is at her now."
    assert at(desk, "AVO", "desk") == "At her now: Ines (phone)."
    assert at(phone, "AVO") == "At her now: Jonas (desk)."
    assert "At her now: Jonas (desk)." in phone.get("/boats/AVO/at-hand/").content.decode()
    assert "At her now: Ines (phone)." in desk.get("/boats/AVO/").content.decode()
    assert "Nobody else is at her now." in desk.get("/boats/PLO/").content.decode()


def test_who_goes_on_is_at_the_next_boat_at_once(phone: Client, desk: Client) -> None:
    at(phone, "AVO")
    set_clock(NOW + timedelta(seconds=20))
    at(phone, "PLO")
    assert at(desk, "AVO", "desk") == "Nobody else is at her now."
    set_clock(NOW + timedelta(seconds=25))
    at(phone, "AVO")  # back again, within the half minute
    assert at(desk, "AVO", "desk") == "At her now: Ines (phone)."


def test_after_three_minutes_she_is_gone(phone: Client, desk: Client) -> None:
    at(phone, "AVO")
    set_clock(NOW + timedelta(minutes=2, seconds=50))
    assert at(desk, "AVO", "desk") == "At her now: Ines (phone)."
    set_clock(NOW + timedelta(minutes=3, seconds=10))
    assert at(desk, "AVO", "desk") == "Nobody else is at her now."


def test_it_is_written_every_half_minute_not_at_every_question(phone: Client) -> None:
    at(phone, "AVO")
    first = Visit.objects.get().at
    set_clock(NOW + timedelta(seconds=20))
    at(phone, "AVO", came=False)
    assert Visit.objects.get().at == first
    set_clock(NOW + timedelta(seconds=31))
    at(phone, "AVO", came=False)
    assert Visit.objects.get().at != first


def test_the_desk_sees_who_is_where_and_who_was(phone: Client, desk: Client) -> None:
    at(phone, "CUR")
    page = desk.get("/").content.decode()
    assert "<b>Ines</b>" in page
    assert "now, phone" in page
    set_clock(NOW + timedelta(minutes=40))
    assert "last seen 07:12, 40 min ago" in desk.get("/").content.decode()
    set_clock(NOW + timedelta(hours=5))
    assert "last seen 07:12, 5 h ago" in desk.get("/").content.decode()
    set_clock(NOW + timedelta(days=1))
    page = desk.get("/").content.decode()
    assert "Ines</b>" not in page
    assert "Nobody has had a boat" in page


def test_whoever_left_the_yard_is_not_shown(phone: Client, desk: Client, ines: Person) -> None:
    at(phone, "AVO")
    ines.works_here = False
    ines.save()
    assert at(desk, "AVO", "desk") == "Nobody else is at her now."


def test_a_clock_that_was_put_back_shows_nobody_from_the_future(
    phone: Client, desk: Client
) -> None:
    at(phone, "AVO")
    set_clock(NOW - timedelta(hours=2))
    assert at(desk, "AVO", "desk") == "Nobody else is at her now."
    at(phone, "AVO", came=False)
    assert at(desk, "AVO", "desk") == "At her now: Ines (phone)."


def test_it_says_that_it_is_shown(phone: Client) -> None:
    page = phone.get("/boats/AVO/at-hand/").content.decode()
    assert "Whoever has her page open is shown to the others, you too." in page


def test_a_boat_may_go_with_all_her_visits(phone: Client) -> None:
    """What a spreadsheet brought in can still be taken back."""
    gannet = Boat.objects.create(name="Gannet", tag="GAN")
    at(phone, "AVO")
    phone.post("/boats/GAN/star/", {"starred": "yes"})
    gannet.delete()
    assert [one.boat.tag for one in Visit.objects.all()] == ["AVO"]
