"""Beside the boats that go in soon a phone takes along those its person starred or opened."""

import re
from datetime import datetime, timedelta

import pytest
from django.test import Client

from tests.conftest import log_in, set_clock
from yardwright.fleet.models import Boat, Visit
from yardwright.web import today
from yardwright.yard.models import Person, Yard

NOW = datetime.fromisoformat("2031-06-20T07:12-04:00")  # nothing goes in soon


@pytest.fixture
def ines(three_days: Yard) -> Person:
    set_clock(NOW)
    return log_in("Ines")


@pytest.fixture
def phone(ines: Person, client: Client) -> Client:
    assert ines.user is not None
    client.force_login(ines.user)
    return client


def taken(client: Client) -> list[str]:
    return [one["tag"] for one in client.get("/phone/today.json").json()["boats"]]


def star(client: Client, tag: str, starred: str = "yes") -> str:
    path = f"/boats/{tag}/at-hand/"
    return str(client.post(f"/boats/{tag}/star/?back={path}", {"starred": starred})["Location"])


def opened(client: Client, tag: str) -> None:
    asked = {"since": 0, "shows": "", "on": "phone", "came": True}
    assert (
        client.post(f"/boats/{tag}/now/", asked, content_type="application/json").status_code == 200
    )


def test_one_she_starred(phone: Client) -> None:
    """By a button that leads back, once, and off again; whatever rights she has."""
    assert taken(phone) == []
    assert star(phone, "PLO") == "/boats/PLO/at-hand/"
    star(phone, "PLO")
    assert taken(phone) == ["PLO"]
    assert "Yours: on your phone" in phone.get("/boats/PLO/").content.decode()
    assert "starred" in phone.get("/phone/").content.decode()
    star(phone, "PLO", "no")
    assert taken(phone) == []
    assert "Star her" in phone.get("/boats/PLO/").content.decode()


def test_a_star_is_its_persons_own(phone: Client) -> None:
    star(phone, "PLO")
    other, jonas = Client(), log_in("Jonas")
    assert jonas.user is not None
    other.force_login(jonas.user)
    assert taken(other) == []
    assert "Star her" in other.get("/boats/PLO/at-hand/").content.decode()


def test_one_she_opened_in_the_last_week(phone: Client) -> None:
    opened(phone, "CUR")
    assert taken(phone) == ["CUR"]
    assert "opened Fri 20 Jun 07:12" in phone.get("/phone/").content.decode()
    set_clock(NOW + timedelta(days=6, hours=23))
    assert taken(phone) == ["CUR"]
    set_clock(NOW + timedelta(days=7, hours=1))
    assert taken(phone) == []


def test_a_star_is_no_visit(phone: Client) -> None:
    """She is not said to be at a boat that she starred from a list, nor to have opened her."""
    star(phone, "PLO")
    assert Visit.objects.get().at is None
    assert "Ines</b>" not in phone.get("/").content.decode()


def test_her_page_and_the_list_name_one_edition_and_a_star_makes_another(phone: Client) -> None:
    def editions() -> tuple[str, str]:
        page = phone.get("/boats/CUR/at-hand/").content.decode()
        on_page = re.search(r'data-edition="(\w+)"', page)
        assert on_page
        (listed,) = phone.get("/phone/today.json").json()["boats"]
        return on_page[1], listed["edition"]

    opened(phone, "CUR")
    before = editions()
    assert before[0] == before[1]
    star(phone, "CUR")
    after = editions()
    assert after[0] == after[1] != before[0]


def test_what_is_left_off_is_said(phone: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    """What goes in soon first, then what is starred, then what was opened, the latest first."""
    monkeypatch.setattr(today, "MOST_BOATS", 1)
    opened(phone, "CUR")
    star(phone, "PLO")
    listed = phone.get("/phone/today.json").json()
    assert [one["tag"] for one in listed["boats"]] == ["PLO"]
    says = "A phone takes 1 boats along. Left off: Curlew."
    assert listed["left_off"].startswith(says)
    assert says in phone.get("/phone/").content.decode()


def test_many_left_off_are_counted() -> None:
    own = [Visit(boat=Boat(name=f"Boat {n}")) for n in range(67)]
    says = today.Along([], [], own, frozenset()).left_off_words
    assert "A phone takes 60 boats along." in says
    assert "Left off: Boat 60, Boat 61, Boat 62, Boat 63, Boat 64 and 2 more." in says


def test_only_by_post(phone: Client) -> None:
    assert phone.get("/boats/PLO/star/").status_code == 405
    assert not Visit.objects.exists()


def test_no_such_boat(phone: Client) -> None:
    assert phone.post("/boats/ZZZ/star/", {"starred": "yes"}).status_code == 404


def test_only_back_to_a_page_of_ours(phone: Client) -> None:
    path = "/boats/PLO/star/?back=//elsewhere.example/"
    assert phone.post(path, {"starred": "yes"})["Location"] == "/boats/PLO/"
