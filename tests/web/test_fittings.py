"""Her fittings, confirmed at the boat: what she has, what she hasn't, and what it does to the count."""

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


@pytest.fixture
def knot(ines: Client) -> Boat:
    """A boat with a livewell, and nothing on her list."""
    return Boat.objects.create(name="Knot", tag="KNO", has=["livewell", "outboard"])


def livewell(**change: str) -> dict[str, str]:
    return {
        "uuid": str(uuid4()),
        "name_0": "livewell seacock",
        "bore_mm_0": "3/4 in",
        "depth_m_0": "30 cm",
        "name_1": "livewell hose",
        "bore_mm_1": "",
        "name_2": "livewell filling loop",
        "bore_mm_2": "",
    } | change


def washdown() -> dict[str, str]:
    names = {"name_0": "washdown seacock", "name_1": "washdown hose"}
    return {"uuid": str(uuid4()), "bore_mm_0": "", "depth_m_0": "", "bore_mm_1": ""} | names


def page(client: Client, url: str, given: dict[str, Any], status: int) -> str:
    response = client.post(url, given)
    assert response.status_code == status, response.content.decode()
    return response.content.decode()


def said(client: Client, tag: str = "KNO") -> str:
    return client.get(f"/boats/{tag}/fittings/").content.decode()


def floats(name: str) -> Floats:
    clock.remember(None)
    (value,) = queries.values([Boat.objects.get(name=name)])
    return checks.float_check(value, clock.now()).answer


def her_list(name: str) -> list[tuple[str, str, str]]:
    ways = Boat.objects.get(name=name).ways_in.all()
    return [(way.name, way.outside, way.inside) for way in ways]


FITTING = "/boats/KNO/fittings/livewell/"


def test_what_her_equipment_suggests_is_asked_and_counts_for_nothing(
    ines: Client, knot: Boat, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_max_num_queries(12):
        text = said(ines)
    assert "3 fittings to answer at the boat" in text  # livewell, splash well, cockpit drains
    assert "She has: livewell" in text
    assert not knot.ways_in.exists()
    assert floats("Knot") == Floats.NOT_KNOWN


def test_the_form_shows_the_water_s_way_and_asks_for_each_barrier(ines: Client, knot: Boat) -> None:
    text = ines.get(FITTING).content.decode()
    assert "1. Livewell seacock: valve, sea → livewell hose" in text
    assert "Often 19 to 32 mm (from memory): measure hers." in text
    assert 'name="bore_mm_0" value' not in text  # a usual bore fills in nothing


def test_confirmed_it_stands_on_her_list_unproven(ines: Client, knot: Boat) -> None:
    page(ines, FITTING, livewell(), 302)
    assert her_list("Knot") == [
        ("livewell seacock", "sea", "livewell hose"),
        ("livewell hose", "livewell hose", "bilge"),
        ("livewell filling loop", "livewell hose", "bilge"),
    ]
    seacock = WayIn.objects.get(boat=knot, name="livewell seacock")
    # 3/4 in is 19.05 mm by definition of the inch
    assert seacock.bore_m == pytest.approx(0.01905)
    assert seacock.depth_m == pytest.approx(0.3)
    assert WayIn.objects.get(boat=knot, name="livewell hose").bore_m is None
    text = said(ines)
    assert "2 fittings to answer" in text
    assert "Said by Ines, Fri 2 May" in text
    assert floats("Knot") == Floats.NOT_KNOWN
    (value,) = queries.values([knot])
    assert {k.because for k in checks.float_check(value, clock.now()).standings.values()} == {
        "never looked at"
    }


def test_a_repeat_changes_nothing(ines: Client, knot: Boat) -> None:
    given = livewell()
    page(ines, FITTING, given, 302)
    before = Fact.objects.count()
    page(ines, FITTING, given, 302)
    assert (Fact.objects.count(), knot.ways_in.count()) == (before, 3)


def test_other_names_on_the_same_page_are_not_dropped_without_a_word(
    ines: Client, knot: Boat
) -> None:
    given = livewell()
    page(ines, FITTING, given, 302)
    text = page(ines, FITTING, given | {"name_0": "port bait tank seacock"}, 409)
    assert "already used for something else" in text
    assert 'value="port bait tank seacock"' in text
    assert given["uuid"] not in text  # sent again, it is one more
    assert knot.ways_in.count() == 3


def test_two_of_one_kind(ines: Client, knot: Boat) -> None:
    assert "this is one more" not in ines.get(FITTING).content.decode()
    page(ines, FITTING, livewell(), 302)
    text = ines.get(FITTING).content.decode()
    assert "One is on her list already: this is one more." in text
    assert 'value="livewell seacock 2"' in text
    given = livewell(
        name_0="port bait tank seacock", name_1="port bait tank hose", name_2="livewell loop 2"
    )
    page(ines, FITTING, given, 302)
    second = her_list("Knot")[3:]
    assert second[0] == ("port bait tank seacock", "sea", "livewell hose 2")
    assert second[1] == ("port bait tank hose", "livewell hose 2", "bilge")


def test_a_barrier_that_is_not_there_is_left_off(ines: Client, knot: Boat) -> None:
    page(ines, FITTING, livewell(name_0="", bore_mm_0="", depth_m_0="", name_2=""), 302)
    assert her_list("Knot") == [("livewell hose", "sea", "bilge")]


def test_confirming_lets_a_count_lapse(ines: Client) -> None:
    for thing in list(put_backs.open_undone().filter(body__fitting="stern drain plug")):
        services.put_back(entry(log_in("Ines", Right.PROVE)), thing, Proof.FELT)
    assert floats("Teal") == Floats.ON_ONE_VALVE
    given = {"uuid": str(uuid4()), "name_0": "bilge pump loop", "bore_mm_0": "", "depth_m_0": "0 m"}
    page(ines, "/boats/TEA/fittings/bilge_pump/", given, 302)
    assert floats("Teal") == Floats.NOT_KNOWN
    assert Fact.objects.filter(kind=Kind.DISTURBED).count() == 1
    assert (
        "not known</b>: proven 10 Apr by Ines, but work through the hull or a change in her list since"
        in said(ines, "TEA")
    )


def test_she_hasn_t_it(ines: Client, knot: Boat) -> None:
    given = {"uuid": str(uuid4())}
    page(ines, f"{FITTING}not/", given, 302)
    page(ines, f"{FITTING}not/", given, 302)
    text = said(ines)
    assert "2 fittings to answer" in text
    assert "Said that she hasn" in text
    assert Fact.objects.filter(boat=knot).count() == 1
    page(ines, FITTING, livewell(), 302)  # after all
    assert "Said that she hasn" not in said(ines)


def test_no_longer_there_takes_its_ways_in_off_her_list(ines: Client, knot: Boat) -> None:
    page(ines, FITTING, livewell(), 302)
    assert "No longer there takes off all 3: livewell seacock, livewell hose" in said(ines)
    page(ines, f"{FITTING}not/", {"uuid": str(uuid4())}, 302)
    assert not knot.ways_in.exists()
    look = Fact.objects.filter(boat=knot, kind=Kind.LOOKED).last()
    assert look is not None
    assert look.body["words"].startswith("taken off: livewell seacock")
    assert "Said that she hasn" in said(ines)


def test_two_who_take_it_off_at_once_take_it_off_once(ines: Client, knot: Boat) -> None:
    page(ines, FITTING, livewell(), 302)
    hers, by = list(knot.ways_in.all()), log_in("Ines", Right.PROVE)
    for _ in range(2):  # both saw the same list
        services.drop_fitting(entry(by), knot, "livewell aboard", hers)
    looks = Fact.objects.filter(boat=knot, kind=Kind.LOOKED, what="livewell aboard")
    said = [look.body["words"] for look in looks.order_by("received_at")]
    assert [words.partition(":")[0] for words in said[1:]] == ["taken off", "she hasn't it"]


def test_what_stands_open_can_t_be_taken_off(ines: Client) -> None:
    before = Fact.objects.count()
    url = "/boats/TEA/fittings/stern_drain/not/"
    text = page(ines, url, {"uuid": str(uuid4())}, 409)
    assert "stern drain plug stands open" in text
    assert (Fact.objects.count(), len(her_list("Teal"))) == (before, 4)


def test_the_season_file_carries_it(ines: Client, knot: Boat) -> None:
    page(ines, FITTING, livewell(), 302)
    page(ines, "/boats/KNO/fittings/splash_well/not/", {"uuid": str(uuid4())}, 302)
    clock.remember(None)
    season = exchange.the_season()
    assert read(write(season)).boats == season.boats


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"bore_mm_0": "19"}, "of what? Type the unit too"),
        ({"bore_mm_0": "2 m"}, "give 0 to 0.5 m"),
        ({"depth_m_0": "-1 m"}, "give 0 to 10 m"),
        ({"name_1": "livewell seacock"}, "listed twice"),
        ({"name_0": "", "name_1": "", "name_2": ""}, "Every name is empty"),
    ],
)
def test_what_can_t_be_so(change: dict[str, str], says: str, ines: Client, knot: Boat) -> None:
    text = page(ines, FITTING, livewell(**change), 422)
    assert says in text
    if "Type the unit" in says:
        assert '#id_bore_mm_0">Bore 19</a>' in text
    assert 'value="30 cm"' in text or "depth_m_0" in change
    assert not knot.ways_in.exists()


def test_a_name_that_is_on_her_list_already(ines: Client) -> None:
    given = livewell(name_0="stern drain plug")
    text = page(ines, "/boats/TEA/fittings/livewell/", given, 409)
    assert "Teal has &#x27;stern drain plug&#x27; already" in text
    assert len(her_list("Teal")) == 4


def test_a_usual_part_beside_it_begins_as_its_template_has_it(ines: Client) -> None:
    assert "?name=engine%20cable%20boot" not in said(ines, "TEA")  # her splash well is to answer
    assert "?name=livewell%20filling%20loop" in said(ines, "TEA")
    text = ines.get("/boats/TEA/ways-in/new/?name=livewell filling loop").content.decode()
    assert 'value="livewell filling loop"' in text
    assert '<option value="loop" selected>' in text
    assert 'value="livewell hose"' in text


def test_what_a_start_asks_for_stands_there_too(ines: Client) -> None:
    text = said(ines, "TEA")
    assert "Must not start" in text
    assert "Is the engine oil in" in text
    assert "diesel" not in text.split("What a start asks for")[1]


def test_a_fall_step_leads_to_the_fitting_that_it_opens(ines: Client, knot: Boat) -> None:
    text = ines.get("/boats/KNO/steps/livewell_hose_off/").content.decode()
    assert 'href="/boats/KNO/fittings/livewell/"' in text


def test_a_fall_step_shows_the_way_in_that_it_usually_opens_as_chosen(
    ines: Client, knot: Boat
) -> None:
    page(ines, FITTING, livewell(), 302)
    page(ines, "/boats/KNO/fittings/washdown/", washdown(), 302)
    text = ines.get("/boats/KNO/steps/livewell_hose_off/").content.decode()
    assert '<option value="livewell hose" selected>' in text
    assert '<option value="washdown hose">' in text


def test_a_removal_without_its_mark_is_asked_again(ines: Client, knot: Boat) -> None:
    assert "Tap once more" in page(ines, f"{FITTING}not/", {"uuid": "x"}, 422)


def test_without_the_right(teal: Boat, as_person: Use) -> None:
    client = as_person(log_in("Kim"))
    url = "/boats/TEA/fittings/livewell/"
    assert "may not prove" in page(client, url, livewell(name_0="a", name_1="b", name_2="c"), 409)
    assert "may not prove" in page(client, f"{url}not/", {"uuid": str(uuid4())}, 409)
    assert len(her_list("Teal")) == 4


def test_strangers_and_other_methods(ines: Client, knot: Boat) -> None:
    assert ines.get(f"{FITTING}not/").status_code == 405
    assert ines.post("/boats/KNO/fittings/").status_code == 405
    assert ines.get("/boats/QQQ/fittings/").status_code == 404
    assert ines.get("/boats/KNO/fittings/wings/").status_code == 404
    assert ines.post("/boats/KNO/fittings/wings/not/", {"uuid": str(uuid4())}).status_code == 404
    ines.logout()
    assert ines.get("/boats/KNO/fittings/")["Location"].startswith("/sign-in/")
    assert ines.post(FITTING, livewell()).status_code == 401
    assert not knot.ways_in.exists()
