"""Did it come? A part is here when somebody says so, or has done the work that waited for it."""

from collections.abc import Callable
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.utils.html import escape

from tests.conftest import entry, log_in, set_clock
from tests.web.phone_rows import fact, row, word
from yardwright.fleet.models import Boat, Part
from yardwright.season.model import Part as Known
from yardwright.season.model import Right
from yardwright.season.spring import not_planned
from yardwright.web import sheets
from yardwright.web.morning import morning
from yardwright.work import facts, services
from yardwright.work.exchange import the_season
from yardwright.work.models import Fact, Kind
from yardwright.work.parts import asked_about, ordered_one
from yardwright.yard import clock
from yardwright.yard.models import Person, Yard

Use = Callable[[Any], Client]
DUE = datetime.fromisoformat("2031-05-06T07:30-04:00")  # of the kit that Curlew's engine waits for
MINUTE = timedelta(minutes=1)


@pytest.fixture
def kit(three_days: Yard) -> Part:
    return Part.objects.get(name="kit")


@pytest.fixture
def ines(kit: Part) -> Person:
    return log_in("Ines", Right.PROVE)


@pytest.fixture
def page(ines: Person, as_person: Use) -> Client:
    return as_person(ines)


def says(client: Client, kit: Part, status: int = 302, **given: object) -> str:
    answer = client.post(f"/parts/{kit.pk}/came/?back=/", {"uuid": uuid4()} | given)
    assert answer.status_code == status, answer.content.decode()
    return answer.content.decode()


def known() -> Known:
    (kit,) = the_season().parts
    return kit


def why_curlew_is_not_planned() -> str:
    left = not_planned(the_season(), begins=clock.now())
    return next((one.because for one in left if one.boat == "Curlew"), "")


def test_one_press_says_that_it_came(page: Client, kit: Part) -> None:
    set_clock(DUE + MINUTE)
    assert why_curlew_is_not_planned() == (
        "the kit was due Tue 6 May 07:30 and nobody said that it came; say so, or give the new day"
    )
    said = page.get("/").content.decode()
    assert "due Tue 6 May 07:30, and nobody said that it came" in said
    assert "It came: kit" in said
    uuid = uuid4()
    for _ in range(2):  # a second tap changes nothing
        answer = page.post(f"/parts/{kit.pk}/came/?back=/", {"uuid": uuid})
        assert (answer.status_code, answer["Location"]) == (302, "/")
    fact = Fact.objects.get(kind=Kind.ARRIVED)
    assert (fact.by.name, fact.what, fact.boat) == ("Ines", "kit", None)
    assert known().came == fact.done_at
    assert why_curlew_is_not_planned() == ""
    assert "It came: kit" not in page.get("/").content.decode()
    assert "Came Tue 6 May 07:31" in page.get("/parts/").content.decode()


def test_before_its_day_and_earlier_than_it_is_said(page: Client, kit: Part) -> None:
    says(page, kit, done_at="2031-05-05T16:10")
    assert known().came == datetime.fromisoformat("2031-05-05T16:10-04:00")
    set_clock(DUE + MINUTE)
    assert not asked_about()
    assert why_curlew_is_not_planned() == ""


@pytest.mark.parametrize(
    ("came", "status", "words"),
    [
        ("2031-05-06T09:00", 409, "06 May 09:00 is still to come. Say it when it is here."),
        ("2031-03-09T02:30", 422, "does not exist"),
        ("yesterday", 422, "'yesterday' is no time; write it as 2031-05-06 07:40."),
    ],
)
def test_what_cant_be_so(page: Client, kit: Part, came: str, status: int, words: str) -> None:
    said = says(page, kit, status, done_at=came)
    assert escape(words) in said
    assert f'value="{came}"' in said  # what was typed is kept
    assert not Fact.objects.filter(kind=Kind.ARRIVED).exists()


def test_without_a_number_nothing_is_taken(page: Client, kit: Part) -> None:
    says(page, kit, 422, uuid="twelve")
    assert not Fact.objects.filter(kind=Kind.ARRIVED).exists()
    assert page.post("/parts/0/came/", {"uuid": uuid4()}).status_code == 404


def test_somebody_else_said_so_already(page: Client, kit: Part, as_person: Use) -> None:
    says(page, kit)
    said = says(as_person(log_in("Tomas", Right.PROVE)), kit, 409)
    assert "The kit is here by what Ines said. Nothing more to do." in said
    assert Fact.objects.filter(kind=Kind.ARRIVED).count() == 1


def test_without_the_right(kit: Part, as_person: Use) -> None:
    assert "may not prove" in says(as_person(log_in("Kim")), kit, 409)
    assert not Fact.objects.filter(kind=Kind.ARRIVED).exists()


def test_not_here_after_all_with_its_reason(page: Client, kit: Part) -> None:
    says(page, kit)
    fact = Fact.objects.get(kind=Kind.ARRIVED)
    assert f'href="/facts/{fact.pk}/">Not here after all' in page.get("/parts/").content.decode()
    bare = page.post(f"/facts/{fact.pk}/", {"uuid": uuid4(), "reason": " "})
    assert bare.status_code in (409, 422)
    assert known().came is not None
    page.post(f"/facts/{fact.pk}/", {"uuid": uuid4(), "reason": "another yard's kit in the box"})
    assert known().came is None
    assert "another yard&#x27;s kit" in page.get(f"/facts/{fact.pk}/").content.decode()
    assert [one.part for one in asked_about()] == [kit]
    says(page, kit)  # the right one
    assert known().came is not None


def test_work_that_is_done_shows_that_its_part_was_here(
    page: Client, kit: Part, ines: Person
) -> None:
    set_clock(DUE + 60 * MINUTE)
    done = services.finish_work(entry(ines), Boat.objects.get(name="Curlew"), "engine")
    assert not asked_about()
    assert known().came == done.done_at
    assert "Here: engine on Curlew is done" in page.get("/parts/").content.decode()
    assert "is here by what Ines said" in says(page, kit, 409)
    services.strike_out(entry(ines), done, "it was Avocet")
    assert [one.part for one in asked_about()] == [kit]


def test_the_same_words_on_another_boat_show_nothing(kit: Part, ines: Person) -> None:
    services.finish_work(entry(ines), Boat.objects.get(name="Dunlin"), "engine")
    assert known().came is None


def test_a_new_day_is_waited_for(page: Client, kit: Part) -> None:
    set_clock(DUE + MINUTE)
    given = {"name": "kit", "arrives": "2031-05-06T15:00"}
    answer = page.post(f"/parts/{kit.pk}/?back=/", given)
    assert answer["Location"] == "/"
    assert why_curlew_is_not_planned() == ""
    (asked,) = asked_about()  # due today
    assert asked.words == "due Tue 6 May 15:00"


def test_what_is_here_is_not_ordered_anew_under_its_name(page: Client, kit: Part) -> None:
    says(page, kit)
    url = f"/parts/{kit.pk}/"
    refused = page.post(url, {"name": "kit", "arrives": "2031-09-06T07:30"})
    assert refused.status_code == 409
    assert "for one more, write a new part" in refused.content.decode()
    renamed = {"name": "pump kit", "arrives": "2031-05-06T07:30"}
    assert page.post(url, renamed).status_code == 302
    assert known().came is not None  # under its new name too


def test_the_morning_sheet_asks_from_its_day_on(ines: Person, kit: Part) -> None:
    set_clock(datetime.fromisoformat("2031-05-05T23:55-04:00"))
    assert not morning(clock.now()).asked
    set_clock(datetime.fromisoformat("2031-05-06T05:30-04:00"))
    sheet = morning(clock.now())
    assert [one.words for one in sheet.asked] == ["due Tue 6 May 07:30"]
    assert not any("kit" in words for one in sheet.dangers for words in one.waits_for)
    set_clock(DUE + MINUTE)
    sheet = morning(clock.now())
    (curlew,) = [one for one in sheet.dangers if one.boat.name == "Curlew"]
    assert "Her kit: due Tue 6 May 07:30, and nobody said that it came." in curlew.waits_for
    paper = sheets.morning_sheet("Heron Slip", sheet, None, "")
    (asked,) = [one for one in paper.sections if one.title == "Did it come?"]
    assert asked.rows == (("kit", "due Tue 6 May 07:30, and nobody said that it came", "Curlew"),)
    assert asked.columns[0].title == ""  # a box to tick


def test_a_day_in_another_year_is_said_with_it(kit: Part) -> None:
    kit.arrives = datetime.fromisoformat("2034-01-01T08:00-05:00")
    kit.save()
    assert ordered_one(kit).words == "due Sun 1 Jan 2034 08:00"


def test_ordered_without_a_day_is_said(kit: Part) -> None:
    Part.objects.update(arrives=None)
    assert ordered_one(Part.objects.get()).words == "and nobody knows when it comes"
    assert not asked_about()


def test_a_mark_for_a_clock_that_is_wrong(ines: Person, kit: Part) -> None:
    fact = facts.add_arrived(entry(ines, ago=-timedelta(days=1)), kit)
    assert "a clock is wrong" in fact.mark


def test_at_the_boat_it_is_asked_until_it_is_here_and_by_a_phone_said_when_it_was(
    page: Client, kit: Part, ines: Person
) -> None:
    def at_hand() -> str:
        return page.get("/boats/CUR/at-hand/").content.decode()

    def editions() -> list[str]:
        return [one["edition"] for one in page.get("/phone/today.json").json()["boats"]]

    before, asks, known_as = at_hand(), f'action="/parts/{kit.pk}/came/', editions()
    assert asks in before
    assert "due Tue 6 May 07:30" in before
    assert asks not in page.get("/boats/DUN/at-hand/").content.decode()  # she waits for nothing
    ago = timedelta(minutes=20)
    one = row(ines, f"/parts/{kit.pk}/came/", ago=ago)
    assert [word(page, one), word(page, one)] == ["held", "held before"]
    assert abs(fact(one).done_at - (clock.now() - ago)) < timedelta(seconds=20)
    assert asks not in at_hand()
    changed = [was != now for was, now in zip(known_as, editions(), strict=True)]
    assert changed.count(True) == 1  # hers alone is fetched again
