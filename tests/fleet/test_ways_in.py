"""Her ways in, on a phone: a change lets the count lapse; what stands open can't be taken off."""

from collections.abc import Callable
from datetime import datetime
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in, set_clock
from yardwright.fleet.models import Boat, WayIn
from yardwright.procedures.float_check import Floats
from yardwright.procedures.put_backs import Proof
from yardwright.season import checks
from yardwright.season.model import Right
from yardwright.season.read import read
from yardwright.season.write import write
from yardwright.work import exchange, put_backs, queries, services
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock

Use = Callable[[Any], Client]


@pytest.fixture
def ines(teal: Boat, as_person: Use) -> Client:
    set_clock(datetime.fromisoformat("2031-05-02T08:00-04:00"))
    return as_person(log_in("Ines", Right.PROVE))


def sensor(**change: str) -> dict[str, str]:
    return {
        "uuid": str(uuid4()),
        "name": "depth sensor",
        "kind": "seal",
        "outside": "Sea",
        "inside": "bilge",
        "bore_mm": "2 in",
        "depth_m": "30 cm",
        "after": "",
    } | change


def page(client: Client, url: str, given: dict[str, Any], status: int) -> str:
    response = client.post(url, given)
    assert response.status_code == status, response.content.decode()
    return response.content.decode()


def way(name: str) -> WayIn:
    return WayIn.objects.get(name=name)


def url_of(name: str, end: str = "") -> str:
    return f"/boats/TEA/ways-in/{way(name).pk}/{end}"


def floats() -> Floats:
    clock.remember(None)
    (value,) = queries.values([Boat.objects.get(name="Teal")])
    return checks.float_check(value, clock.now()).answer


def test_the_walk_stands_in_order_with_what_is_known(
    ines: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_max_num_queries(12):
        said = ines.get("/boats/TEA/ways-in/").content.decode()
    assert said.index("stern drain plug") < said.index("speed sensor blank")
    assert "All openings were counted: proven 10 Apr by Ines" in said
    assert "25.4 mm bore" in said
    assert "Open, not put back yet" in said


def test_one_more_way_in_makes_the_count_older_than_the_change(ines: Client) -> None:
    assert floats() == Floats.NO
    for thing in list(put_backs.open_undone().filter(body__fitting="stern drain plug")):
        services.put_back(entry(log_in("Ines", Right.PROVE)), thing, Proof.FELT)
    assert floats() == Floats.ON_ONE_VALVE
    page(ines, "/boats/TEA/ways-in/new/", sensor(), 302)
    new = way("depth sensor")
    # 2 in is 50.8 mm by definition of the inch
    assert (new.outside, new.bore_m) == ("sea", 0.0508)
    assert new.depth_m == pytest.approx(0.3)
    assert new.place_in_list == 0  # first in the walk
    said = ines.get("/boats/TEA/ways-in/").content.decode()
    assert (
        "not known</b>: proven 10 Apr by Ines, but work through the hull or a change in her list since"
        in said
    )
    assert floats() == Floats.NOT_KNOWN


def test_sent_again_it_changes_nothing(ines: Client) -> None:
    given = sensor()
    page(ines, "/boats/TEA/ways-in/new/", given, 302)
    facts = Fact.objects.count()
    page(ines, "/boats/TEA/ways-in/new/", given, 302)
    assert "already" in page(ines, "/boats/TEA/ways-in/new/", sensor(), 409)
    assert (WayIn.objects.count(), Fact.objects.count()) == (5, facts)


def test_before_any_count_nothing_lapses(ines: Client) -> None:
    Boat.objects.create(name="Knot", tag="KNO")
    page(ines, "/boats/KNO/ways-in/new/", sensor(), 302)
    assert not Fact.objects.filter(boat__tag="KNO").exists()
    assert "never looked at" in ines.get("/boats/KNO/ways-in/").content.decode()


def test_what_stands_open_cant_be_taken_off_or_renamed(ines: Client) -> None:
    said = page(ines, url_of("stern drain plug", "remove/"), {"uuid": str(uuid4())}, 409)
    assert "stern drain plug stands open: a put-back that is not closed names it." in said
    given = sensor(name="drain", kind="plug")
    assert "stands open" in page(ines, url_of("stern drain plug"), given, 409)
    assert WayIn.objects.filter(name="stern drain plug").exists()
    assert not Fact.objects.filter(kind=Kind.DISTURBED).exists()


def test_put_back_it_may_be_taken_off_and_the_season_file_still_holds(ines: Client) -> None:
    for thing in list(put_backs.open_undone().filter(body__fitting="stern drain plug")):
        services.put_back(entry(log_in("Ines", Right.PROVE)), thing, Proof.FELT)
    uuid = str(uuid4())
    url = url_of("stern drain plug", "remove/")
    page(ines, url, {"uuid": uuid}, 302)
    page(ines, url, {"uuid": uuid}, 302)  # the same tap again
    assert not WayIn.objects.filter(name="stern drain plug").exists()
    assert Fact.objects.filter(kind=Kind.DISTURBED).count() == 1
    clock.remember(None)
    season = exchange.the_season()
    assert read(write(season)).boats == season.boats


def test_a_removal_without_its_mark_is_asked_again(ines: Client) -> None:
    said = page(ines, url_of("speed sensor blank", "remove/"), {"uuid": "x"}, 422)
    assert "Tap once more" in said
    assert WayIn.objects.count() == 4


def test_the_walk_can_be_put_in_another_order(ines: Client) -> None:
    last = way("speed sensor blank")
    given = sensor(
        name="speed sensor blank",
        kind="blank",
        bore_mm="42 mm",
        depth_m="0.35 m",
        after=str(way("stern drain plug").pk),
    )
    page(ines, f"/boats/TEA/ways-in/{last.pk}/", given, 302)
    walk = [one.name for one in Boat.objects.get(name="Teal").ways_in.all()]
    assert walk[:2] == ["stern drain plug", "speed sensor blank"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"bore_mm": "38 m"}, "give 0 to 0.5 m"),
        ({"bore_mm": "38"}, "of what? Type the unit too"),
        ({"depth_m": "-1 m"}, "give 0 to 10 m"),
        ({"inside": "SEA"}, "joins sea to itself"),
        ({"name": ""}, "required"),
        ({"kind": "cork"}, "cork"),
    ],
)
def test_what_cant_be_so(change: dict[str, str], says: str, ines: Client) -> None:
    said = page(ines, "/boats/TEA/ways-in/new/", sensor(**change), 422)
    assert says in said
    assert 'value="30 cm"' in said or "depth_m" in change
    assert WayIn.objects.count() == 4


def test_without_the_right(teal: Boat, as_person: Use) -> None:
    client = as_person(log_in("Kim"))
    assert "may not prove" in page(client, "/boats/TEA/ways-in/new/", sensor(), 409)
    url = url_of("speed sensor blank", "remove/")
    assert "may not prove" in page(client, url, {"uuid": str(uuid4())}, 409)
    assert WayIn.objects.count() == 4


def test_strangers_and_other_methods(ines: Client) -> None:
    url = url_of("speed sensor blank", "remove/")
    assert ines.get(url).status_code == 405
    assert ines.post("/boats/TEA/ways-in/").status_code == 405
    assert ines.get("/boats/QQQ/ways-in/").status_code == 404
    ines.logout()
    assert ines.get("/boats/TEA/ways-in/")["Location"].startswith("/sign-in/")
    assert ines.post(url, {"uuid": str(uuid4())}).status_code == 401
    assert WayIn.objects.count() == 4
