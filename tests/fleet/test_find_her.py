"""Find a boat: by name, tag, hull number, owner or place; straight to her where it is clear."""

import time
from collections.abc import Callable
from statistics import median
from typing import Any

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in
from yardwright.fleet.models import Boat, Owner
from yardwright.procedures.going_in import State
from yardwright.work import facts
from yardwright.yard.models import Place, Yard

Use = Callable[[Any], Client]


@pytest.fixture
def mara(three_days: Yard, as_person: Use) -> Client:
    return as_person(log_in("Mara"))


def say(client: Client, asked: str) -> str:
    return client.get("/boats/", {"q": asked}).content.decode()


def test_everyone_is_listed_with_state_and_place(mara: Client) -> None:
    said = say(mara, "")
    assert "5 boats." in said
    assert "North row, berth 2" in said
    assert "Fitting out" in said
    assert "place not known" in said


@pytest.mark.parametrize("asked", ["plov", " PLOVER ", "zz1", "A. Reeve"])
def test_a_single_hit_goes_straight_to_her(asked: str, mara: Client) -> None:
    owner = Owner.objects.create(name="A. Reeve")
    Boat.objects.filter(name="Plover").update(hull_number="ZZ123", owner=owner)
    tag = Boat.objects.get(name="Plover").tag
    assert mara.get("/boats/", {"q": asked})["Location"] == f"/boats/{tag}/"


def test_her_tag_wins_over_names_that_hold_it(mara: Client) -> None:
    Boat.objects.filter(name="Dunlin").update(tag="DLN")
    Boat.objects.filter(name="Plover").update(tag="DUN")
    assert mara.get("/boats/", {"q": "dun"})["Location"] == "/boats/DUN/"


def test_all_boats_of_a_place(mara: Client) -> None:
    said = say(mara, "north row")
    assert "2 boats" in said
    assert "Dunlin" in said
    assert "Curlew" in said
    assert "Plover" not in said


def test_she_is_where_the_newest_fact_says_and_a_struck_out_one_says_nothing(mara: Client) -> None:
    boat, me = Boat.objects.get(name="Plover"), log_in("Mara")
    place = Place.objects.create(name="South row", kind="row", berths=3)
    moved = facts.add_moved(entry(me), boat, State.READY, place, 3)
    assert "South row, berth 3" in say(mara, "")
    facts.add_struck_out(entry(me), moved, "wrong boat")
    assert "South row" not in say(mara, "")


def test_nobody_by_that_name(mara: Client) -> None:
    assert "No boat like “albatross”." in say(mara, "albatross")


def test_as_a_fragment_only_the_list(mara: Client) -> None:
    said = mara.get("/boats/", {"q": "plov"}, headers={"HX-Request": "true"})
    assert said.status_code == 200  # the list stays while she types on
    assert "Plover" in said.content.decode()
    assert "<html" not in said.content.decode()


def test_300_boats_in_few_questions_and_at_once(
    mara: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    me, place = log_in("Mara"), Place.objects.get(name="North row")
    for number in range(295):
        boat = Boat.objects.create(name=f"Boat {number}", tag=f"{number:03}")
        facts.add_moved(entry(me), boat, State.LAID_UP, place, None)
    with django_assert_max_num_queries(12):
        listed = say(mara, "")
    assert "300 boats." in listed
    assert "200 more. Type some of her name" in listed
    took = []
    for _ in range(9):
        start = time.perf_counter()
        say(mara, "north")
        took.append(time.perf_counter() - start)
    assert median(took) < 0.5  # 0.1 s on a quiet machine, which the bench holds


def test_strangers_and_other_methods(mara: Client) -> None:
    assert mara.post("/boats/").status_code == 405
    mara.logout()
    assert mara.get("/boats/?q=plover")["Location"] == "/sign-in/?next=/boats/%3Fq%3Dplover"
