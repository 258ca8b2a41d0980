"""What she waits for: pieces of work, and parts with the moment they come."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import log_in
from yardwright.fleet.models import Boat, Part, Work
from yardwright.season.model import Right
from yardwright.work import exchange
from yardwright.yard.models import Yard

Use = Callable[[Any], Client]
SEAL = {"what": "seal", "trade": "mechanic", "minutes": "90", "after": ["engine"], "part": ""}


@pytest.fixture
def ines(three_days: Yard, as_person: Use) -> Client:
    return as_person(log_in("Ines", Right.PROVE))


def page(client: Client, url: str, given: dict[str, Any], status: int) -> str:
    response = client.post(url, given)
    assert response.status_code == status, response.content.decode()
    return response.content.decode()


def plover() -> Boat:
    return Boat.objects.get(name="Plover")


def test_more_work_after_other_work_and_a_part(
    ines: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    url = f"/boats/{plover().tag}/work/"
    page(ines, f"{url}new/", SEAL | {"part": str(Part.objects.get().pk)}, 302)
    piece = Work.objects.get(what="seal")
    assert (piece.minutes, piece.after, str(piece.part)) == (90, ["engine"], "kit")
    with django_assert_max_num_queries(12):
        said = ines.get(url).content.decode()
    assert "She waits for 3 pieces of work." in said
    assert ", due Tue 6 May 07:30" in said


def test_paint_a_second_look_and_a_price(ines: Client) -> None:
    given = SEAL | {
        "what": "paint",
        "dry_hours": "12.5",
        "within_days": "30",
        "second_look": "on",
        "after_frost": "on",
        "needs_yes": "on",
    }
    page(ines, f"/boats/{plover().tag}/work/new/", given, 302)
    boat = next(one for one in exchange.the_season().boats if one.name == "Plover")
    paint = next(work for work in boat.work if work.what == "paint")
    assert (paint.dry_hours, paint.within_days, paint.afloat) == (12.5, 30, False)
    assert paint.second_look
    assert paint.after_frost
    assert paint.needs_yes
    shown = ines.get(f"/boats/{plover().tag}/work/{Work.objects.get(what='paint').pk}/")
    assert 'value="12.5"' in shown.content.decode()
    wet = page(ines, f"/boats/{plover().tag}/work/new/", given | {"afloat": "on", "what": "x"}, 409)
    assert "paint dries before she goes in" in wet


def test_its_words_stay_and_its_minutes_change(ines: Client) -> None:
    piece = Work.objects.get(boat=plover(), what="engine")
    url = f"/boats/{plover().tag}/work/{piece.pk}/"
    page(ines, url, SEAL | {"what": "motor", "after": [], "minutes": "150"}, 302)
    piece.refresh_from_db()
    assert (piece.what, piece.minutes) == ("engine", 150)


def test_work_that_waits_for_itself_in_a_ring(ines: Client) -> None:
    page(ines, f"/boats/{plover().tag}/work/new/", SEAL, 302)
    piece = Work.objects.get(boat=plover(), what="engine")
    url = f"/boats/{plover().tag}/work/{piece.pk}/"
    given = SEAL | {"what": "engine", "after": ["seal"]}
    assert "a ring; let one begin" in page(ines, url, given, 409)
    assert Work.objects.get(pk=piece.pk).after == []


def test_what_others_wait_for_stays(ines: Client) -> None:
    page(ines, f"/boats/{plover().tag}/work/new/", SEAL, 302)
    url = f"/boats/{plover().tag}/work/{Work.objects.get(boat=plover(), what='engine').pk}/remove/"
    assert "seal waits for it" in page(ines, url, {}, 409)
    seal = Work.objects.get(what="seal")
    page(ines, f"/boats/{plover().tag}/work/{seal.pk}/remove/", {}, 302)
    page(ines, url, {}, 302)
    assert [one.what for one in plover().work.all()] == ["hull"]


@pytest.mark.parametrize(
    ("change", "status", "says"),
    [
        ({"minutes": "0"}, 422, "give 1 or more"),
        ({"what": "engine", "after": []}, 409, "waits for 'engine' already"),
        ({"after": ["paint"]}, 422, "paint"),
    ],
)
def test_what_cant_be_so(change: dict[str, Any], status: int, says: str, ines: Client) -> None:
    said = page(ines, f"/boats/{plover().tag}/work/new/", SEAL | change, status)
    assert says in said.replace("&#x27;", "'")
    assert plover().work.count() == 2


def arrival(name: str = "kit 2") -> datetime | None:
    return Part.objects.get(name=name).arrives


def test_a_part_comes_by_the_clock_on_the_yards_wall(ines: Client) -> None:
    page(ines, "/parts/new/", {"name": "kit 2", "arrives": "2031-05-08T09:00"}, 302)
    assert arrival() == datetime(2031, 5, 8, 13, tzinfo=UTC)  # New York is 4 h behind in summer
    said = ines.get("/parts/").content.decode()
    assert "Due Thu 8 May 09:00" in said
    part = Part.objects.get(name="kit 2")
    assert "2031-05-08T09:00" in ines.get(f"/parts/{part.pk}/").content.decode()
    page(ines, f"/parts/{part.pk}/", {"name": "kit 2", "arrives": ""}, 302)
    assert arrival() is None
    assert "And nobody knows when it comes" in ines.get("/parts/").content.decode()


@pytest.mark.parametrize("year", [2020, 2040])
def test_a_year_far_from_the_season_is_asked_back(ines: Client, year: int) -> None:
    given = {"name": "kit 2", "arrives": f"{year}-05-07T09:00"}
    assert "Is the year right?" in page(ines, "/parts/new/", given, 422)
    assert not Part.objects.filter(name="kit 2").exists()


def test_an_hour_that_does_not_exist_is_asked_about(ines: Client) -> None:
    # New York, 9 March 2031 (the second Sunday): 02:00 becomes 03:00
    said = page(ines, "/parts/new/", {"name": "kit 2", "arrives": "2031-03-09T02:30"}, 422)
    assert "does not exist" in said
    assert "Which of the two?" not in said
    assert 'value="2031-03-09T02:30"' in said
    assert not Part.objects.filter(name="kit 2").exists()


def test_an_hour_that_comes_twice_is_asked_about_and_answered(ines: Client) -> None:
    # New York, 2 November 2031 (the first Sunday): 02:00 becomes 01:00 again
    given = {"name": "kit 2", "arrives": "2031-11-02T01:30"}
    said = page(ines, "/parts/new/", given, 422)
    assert "comes twice that night" in said
    assert "Which of the two?" in said
    page(ines, "/parts/new/", given | {"which": "2031-11-02 01:30:00-05:00"}, 302)
    assert arrival() == datetime(2031, 11, 2, 6, 30, tzinfo=UTC)


def test_an_answer_to_another_hour_is_not_taken(ines: Client) -> None:
    given = {"name": "kit 2", "arrives": "2031-05-08T09:00", "which": "2031-11-02 01:30:00-05:00"}
    response = ines.post("/parts/new/", given)
    assert response.status_code == 422
    assert not Part.objects.filter(name="kit 2").exists()


def test_one_name_one_part(ines: Client) -> None:
    assert "already" in page(ines, "/parts/new/", {"name": "KIT", "arrives": ""}, 409)


def test_without_the_right(three_days: Yard, as_person: Use) -> None:
    client = as_person(log_in("Kim"))
    assert "may not prove" in page(client, f"/boats/{plover().tag}/work/new/", SEAL, 409)
    assert "may not prove" in page(client, "/parts/new/", {"name": "kit 2"}, 409)
    piece = Work.objects.get(boat=plover(), what="hull")
    url = f"/boats/{plover().tag}/work/{piece.pk}/remove/"
    assert "may not prove" in page(client, url, {}, 409)
    assert (plover().work.count(), Part.objects.count()) == (2, 1)


def test_strangers_and_other_methods(ines: Client) -> None:
    url = f"/boats/{plover().tag}/work/"
    assert ines.post(url).status_code == 405
    assert ines.put(f"{url}new/").status_code == 405
    assert ines.get(f"{url}{plover().work.first().pk}/remove/").status_code == 405  # type: ignore[union-attr]  # she has work
    assert ines.post("/parts/").status_code == 405
    ines.logout()
    assert ines.get(url)["Location"].startswith("/sign-in/")
    assert ines.post(f"{url}new/", SEAL).status_code == 401
    assert plover().work.count() == 2
