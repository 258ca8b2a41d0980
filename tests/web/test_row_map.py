"""The Row Map: who stands where, who shuts whom in, who leaves next."""

import re
from collections.abc import Callable
from datetime import datetime
from html import unescape

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in, set_clock
from tests.web.a_plan import at, publish
from yardwright.fleet.models import Boat
from yardwright.launch import services
from yardwright.season.model import Right
from yardwright.web.rows import yard_map
from yardwright.yard import clock
from yardwright.yard.models import Person, Place, Yard

AsPerson = Callable[[Person], Client]


def test_dunlin_stands_behind_curlew(three_days: Yard) -> None:
    later = clock.now()
    rows = yard_map(
        {"Dunlin": later.replace(hour=6), "Curlew": later.replace(hour=7)}, width=1180
    ).maps
    standing = {one.boat.name: one for map_ in rows for one in map_.standing}
    assert standing["Dunlin"].shut_in_by == ("Curlew",)  # story A1: Dunlin behind Curlew
    assert standing["Dunlin"].boat.leaves == 1
    assert standing["Curlew"].shut_in_by == ()


def test_one_boat_of_the_whole_yard_leaves_next(three_days: Yard) -> None:
    """On the desk's drawings and on the phone's, whatever row the others stand in."""
    shed = Place.objects.create(name="Shed", kind="shed", berths=2)
    teal = Boat.objects.get(name="Teal")
    services.move(entry(log_in("Mara", *Right)), teal, shed, 1)
    later = clock.now()
    rows = yard_map(
        {"Dunlin": later.replace(hour=6), "Teal": later.replace(hour=7)}, width=1180
    ).maps
    for drawings in ([map_.drawing.svg for map_ in rows], [map_.narrow.svg for map_ in rows]):
        assert [svg.count(">next to leave<") for svg in drawings] == [1, 0]


def test_who_has_no_row_or_berth_is_said_in_words(
    three_days: Yard, as_person: Callable[[Person], Client]
) -> None:
    """Every boat on land is on the page once: drawn, or in words with her number."""
    mara, teal = log_in("Mara", *Right), Boat.objects.get(name="Teal")
    line = Place.objects.create(name="Trailer line", kind="row", berths=1)
    services.move(entry(mara), teal, line, None)
    later = clock.now()
    found = yard_map({"Teal": later.replace(hour=6), "Dunlin": later.replace(hour=7)}, width=1180)
    drawn = {one.boat.name for map_ in found.maps for one in map_.standing}
    words = {boat.name: (part.where, boat.leaves) for part in found.in_words for boat in part.boats}
    assert words["Teal"] == ("Trailer line", 1)
    assert not drawn & set(words)
    assert drawn | set(words) == set(Boat.objects.values_list("name", flat=True))
    assert all(">next to leave<" not in map_.drawing.svg for map_ in found.maps)  # Teal is
    said = text_of(as_person(mara))
    assert "Not drawn no row, or no berth on file" in said
    assert "Trailer line , 1 boat: Teal" in said


def test_the_page_and_its_paper(three_days: Yard, as_person: Callable[[Person], Client]) -> None:
    client = as_person(log_in("Mara", *Right))
    text = client.get("/rows/").content.decode()
    assert "Curlew" in text
    assert "<svg" in text
    assert client.get("/row-map.pdf").content.startswith(b"%PDF")


def text_of(client: Client, asked: str = "", **headers: str) -> str:
    page = client.get(f"/rows/{asked}", headers=headers).content.decode()
    return " ".join(unescape(re.sub(r"<(?!details|svg)[^>]+>", " ", page)).split())


@pytest.fixture
def mara(three_days: Yard) -> Person:
    mara = log_in("Mara", *Right)
    publish(mara)
    return mara


def test_now_and_each_evening_can_be_asked_for(mara: Person, as_person: AsPerson) -> None:
    page = as_person(mara).get("/rows/").content.decode()
    days = re.findall(r'href="\?day=([\d-]+)" data-says="([^"]+)"', page)
    assert days == [
        ("2031-05-06", "Evening of Tue 6 May"),
        ("2031-05-07", "Evening of Wed 7 May"),
    ]
    assert "Dunlin leaves next, from North row." in page
    assert "left " not in text_of(as_person(mara))


def test_the_evening_of_a_day(mara: Person, as_person: AsPerson) -> None:
    """Story A1: Curlew is moved aside for Dunlin, who has left by then."""
    said = text_of(as_person(mara), "?day=2031-05-06")
    assert "Tue 6 May, by the plan: Dunlin goes in, Curlew is moved aside." in said
    assert "North row row, 0 of 2 berths" in said
    assert "Curlew (moved aside Tue 6 May, where to not known), Dunlin (left Tue 6 May)." in said
    assert "shut in by" not in said.replace("Shut in by", "")
    # the plan says no more of Wednesday than that Avocet goes in, who has no berth
    assert "Wed 7 May, by the plan: Avocet goes in." in text_of(as_person(mara), "?day=2031-05-07")
    assert "Thu 8 May, by the plan: nobody moves." in text_of(as_person(mara), "?day=2031-05-08")


def test_as_a_fragment(mara: Person, as_person: AsPerson) -> None:
    said = text_of(as_person(mara), "?day=2031-05-06", **{"HX-Request": "true"})
    assert "Dunlin goes in" in said
    assert "<svg" in said
    assert "Log out" not in said


def test_who_was_to_leave_and_stands_there_still(mara: Person, as_person: AsPerson) -> None:
    set_clock(at("10:00"))
    said = text_of(as_person(mara))
    assert "size not known, was to leave Tue 6 May" in said
    assert "left Tue 6 May" not in text_of(as_person(mara), "?day=2031-05-07")
    set_clock(datetime.fromisoformat("2031-11-20T10:00-05:00"))  # an old plan says nothing in fall
    assert "was to leave" not in text_of(as_person(mara))


@pytest.mark.parametrize("odd", ["zz", "0001-01-01", "2031-05-05"])
def test_no_such_evening_is_said(mara: Person, as_person: AsPerson, odd: str) -> None:
    answer = as_person(mara).get(f"/rows/?day={odd}")
    assert answer.status_code == 422
    assert "This is how they stand now." in answer.content.decode()
    assert as_person(mara).get(f"/row-map.pdf?day={odd}").status_code == 422


def test_the_evening_on_paper(mara: Person, as_person: AsPerson) -> None:
    pdf = as_person(mara).get("/row-map.pdf?day=2031-05-06").content
    assert b"opens http://testserver/rows/?day=2031-05-06" in pdf
    assert b"left Tue 6 May" in pdf


def test_without_a_plan_nothing_plays(three_days: Yard, as_person: AsPerson) -> None:
    page = as_person(log_in("Mara")).get("/rows/").content.decode()
    assert 'id="days"' not in page
    assert "No plan says who leaves next." in page


def test_strangers_and_posts(mara: Person, client: Client, as_person: AsPerson) -> None:
    assert (
        client.get("/rows/?day=2031-05-06").headers["Location"].startswith("/sign-in/?next=/rows/")
    )
    assert as_person(mara).post("/rows/?day=2031-05-06").status_code == 405


def test_thirteen_queries(
    three_days: Yard,
    as_person: Callable[[Person], Client],
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    client = as_person(log_in("Mara", *Right))
    with django_assert_max_num_queries(13):
        assert client.get("/rows/").status_code == 200
    with django_assert_max_num_queries(13):
        assert client.get("/rows/?day=2031-05-07").status_code == 200
