"""The Row Map: who stands where, who shuts whom in, who leaves next."""

from collections.abc import Callable

from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in
from yardwright.fleet.models import Boat
from yardwright.launch import services
from yardwright.season.model import Right
from yardwright.web.rows import maps
from yardwright.yard import clock
from yardwright.yard.models import Person, Place, Yard


def test_dunlin_stands_behind_curlew(three_days: Yard) -> None:
    later = clock.now()
    rows = maps({"Dunlin": later.replace(hour=6), "Curlew": later.replace(hour=7)}, width=1180)
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
    rows = maps({"Dunlin": later.replace(hour=6), "Teal": later.replace(hour=7)}, width=1180)
    for drawings in ([map_.drawing.svg for map_ in rows], [map_.narrow.svg for map_ in rows]):
        assert [svg.count(">next to leave<") for svg in drawings] == [1, 0]


def test_the_page_and_its_paper(three_days: Yard, as_person: Callable[[Person], Client]) -> None:
    client = as_person(log_in("Mara", *Right))
    text = client.get("/rows/").content.decode()
    assert "Curlew" in text
    assert "<svg" in text
    assert client.get("/row-map.pdf").content.startswith(b"%PDF")


def test_twelve_queries(
    three_days: Yard,
    as_person: Callable[[Person], Client],
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    client = as_person(log_in("Mara", *Right))
    with django_assert_max_num_queries(12):
        assert client.get("/rows/").status_code == 200
