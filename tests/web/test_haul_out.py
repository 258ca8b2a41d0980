"""Haul-out, on screen and on paper."""

from collections.abc import Callable

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in
from yardwright.fleet.models import Boat
from yardwright.procedures.going_in import State
from yardwright.season.model import Right
from yardwright.work import facts
from yardwright.yard.models import Lift, Person, Yard


@pytest.fixture
def mara(three_days: Yard, as_person: Callable[[Person], Client]) -> Client:
    by = log_in("Mara", *Right)
    for name in ("Teal", "Avocet"):
        facts.add_moved(entry(by), Boat.objects.get(name=name), State.AFLOAT)
    return as_person(by)


def test_those_afloat_come_out_in_order(mara: Client) -> None:
    page = mara.get("/haul-out/").content.decode()
    assert "2 boats come out in order." in page
    # At 06:50 on Tuesday both float: the half-cosine from 0.12 m at 01:30 to 1.42 m at 07:40
    # passes the 1.25 m that Avocet needs at 06:13.
    assert "06:51–07:21" in page
    assert "07:21–07:51" in page
    assert "Curlew" not in page.split("In this order")[1].split("By when")[0]


def test_after_the_frost_is_told(mara: Client) -> None:
    lift = Lift.objects.get()
    path = f"/haul-out/?lift={lift.name}&frost=2031-05-06"
    assert "after frost is expected" in mara.get(path).content.decode()


def test_bad_input_is_asked_about(mara: Client) -> None:
    answer = mara.get("/haul-out/?lift=none&frost=soon")
    assert answer.status_code == 422
    assert 'value="soon"' in answer.content.decode()


def test_without_water_it_says_what_to_do(mara: Client) -> None:
    yard = Yard.objects.get()
    yard.sill_height_m = None
    yard.save()
    from yardwright.yard import clock

    clock.remember(None)
    assert "never measured" in mara.get("/haul-out/").content.decode()


def test_on_paper(mara: Client) -> None:
    assert mara.get("/haul-out.pdf").content.startswith(b"%PDF")


def test_fourteen_queries(
    mara: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_max_num_queries(14):
        assert mara.get("/haul-out/").status_code == 200
