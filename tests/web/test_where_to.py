"""Where should she go: the page, what it writes, and the fields that it asks for."""

import re
from collections.abc import Callable
from html import unescape

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import log_in
from yardwright.fleet.models import Boat
from yardwright.season.model import Right
from yardwright.work import exchange
from yardwright.yard.models import Person, Place, Yard


@pytest.fixture
def mara(three_days: Yard, as_person: Callable[[Person], Client]) -> Client:
    return as_person(log_in("Mara", *Right))


def test_she_is_sent_to_a_place(mara: Client) -> None:
    Place.objects.create(name="Far row", kind="row", berths=3)
    page = mara.get("/rows/where/?boat=TEA").content.decode()
    assert "Teal to " in page
    assert "Not known of the row" in page
    link = re.search(r'href="(/boats/TEA/move/[^"]+)"', page)
    said = re.search(r"Teal to ([^,]+), berth (\d+)", page)
    assert link
    assert said
    move = mara.get(unescape(link[1])).content.decode()  # the berth that was proposed, not hers
    assert f'<option value="{said[1]}" selected>' in move
    assert f'name="berth" value="{said[2]}"' in move
    odd = mara.get("/boats/TEA/move/?place=Nowhere&berth=2")
    assert odd.status_code == 200
    assert 'name="berth" value=' not in odd.content.decode()  # nobody wrote hers


def test_no_place_takes_her(mara: Client) -> None:
    Place.objects.update(bears_kg=100)
    page = mara.get("/rows/where/?boat=TEA").content.decode()
    assert "No place takes Teal" in page
    assert "never measured (in weight)" in page
    assert "as things stand. North row comes nearest: Teal was never measured (in weight)" in page


def test_which_boat_is_asked_and_no_other_taken(mara: Client) -> None:
    assert "Choose the boat that comes." in mara.get("/rows/where/").content.decode()
    answer = mara.get("/rows/where/?boat=XYZ")
    assert answer.status_code == 422
    assert "No such boat is waiting" in answer.content.decode()


def test_each_row_says_its_expected_pairs(mara: Client) -> None:
    page = mara.get("/rows/").content.decode()
    assert "to be expected" in page
    assert "/rows/where/" in page


def test_twelve_queries(
    mara: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_max_num_queries(12):
        assert mara.get("/rows/where/?boat=TEA").status_code == 200


def test_height_and_past_years_are_kept_and_leave_with_the_season_file(mara: Client) -> None:
    form = {"name": "Teal", "tag": "TEA", "height_m": "13.5 m", "late_days": "12, 0, -3"}
    assert mara.post("/boats/TEA/edit/", form).status_code == 302
    boat = Boat.objects.get(name="Teal")
    assert (boat.height_m, boat.late_days) == (13.5, [12, 0, -3])
    assert "12, 0, -3" in mara.get("/boats/TEA/edit/").content.decode()
    teal = next(one for one in exchange.the_season().boats if one.name == "Teal")
    assert (teal.height_m, teal.late_days) == (13.5, (12, 0, -3))
    bad = mara.post("/boats/TEA/edit/", form | {"late_days": "often"})
    assert bad.status_code == 422
    assert 'value="often"' in bad.content.decode()


def test_what_a_place_takes_is_kept(mara: Client) -> None:
    place = Place.objects.first()
    assert place is not None
    form = {"kind": "row", "berths": "4", "length_m": "12 m", "bears_kg": "9000 kg"}
    assert mara.post(f"/yard/places/{place.pk}/", form).status_code == 302
    kept = next(one for one in exchange.the_season().places if one.name == place.name)
    assert (kept.length_m, kept.bears_kg, kept.headroom_m) == (12, 9000, None)
    bad = mara.post(f"/yard/places/{place.pk}/", form | {"length_m": "0 m"})
    assert bad.status_code == 422
    assert Place.objects.get(pk=place.pk).length_m == 12
