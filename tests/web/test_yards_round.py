"""The looks after boats new in the water: on the day sheets, the Morning Sheet, and on paper."""

import re
from collections.abc import Callable
from datetime import timedelta
from html import unescape

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in, set_clock
from tests.web.a_plan import TUESDAY, at, publish
from yardwright.fleet.models import Boat
from yardwright.papers.day_sheet import DaySheet
from yardwright.papers.paper import Paper
from yardwright.procedures.going_in import BILGE_DRY, State
from yardwright.season.model import Right
from yardwright.web.morning import morning
from yardwright.web.sheets import morning_sheet
from yardwright.web.whose_day import day_of
from yardwright.web.yards_round import NewInWater
from yardwright.work import facts
from yardwright.yard import clock
from yardwright.yard.models import Person, Yard

AsPerson = Callable[[Person], Client]
DAY = timedelta(days=1)
LOOKS = {"minutes": 45, "at_once": 3, "hours": [["06:00", "20:00"]], "weekdays": [0, 1, 2, 3, 4]}


@pytest.fixture
def mara(three_days: Yard) -> Person:
    for name in ("Ines", "Tomas", "Pia"):
        log_in(name, Right.PROVE, learner=name == "Pia")
    mara = log_in("Mara", *Right)
    publish(mara)
    set_clock(at("06:50"))
    return mara


def kept(looks: dict[str, object] | None) -> None:
    Yard.objects.update(looks=looks)
    clock.remember(None)


def goes_in(by: Person, name: str, clock_: str) -> Boat:
    """Her slings come off."""
    boat = Boat.objects.get(name=name)
    set_clock(at(clock_))
    facts.add_moved(entry(by), boat, State.IN_THE_WATER)
    return boat


def round_on(days: int = 0) -> dict[str, NewInWater]:
    found = day_of(TUESDAY + days * DAY)
    assert found is not None
    return {one.boat: one for one in found.new}


def text(page: str) -> str:
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def test_by_the_plan_after_the_hang_and_again_the_next_morning(mara: Person) -> None:
    # By hand: she goes in 09:00, hangs 15 min (nobody wrote what drives her), slings off 09:15;
    # looks at 0, 10, 30 min, 2 h and, on Wednesday, 24 h.
    dunlin = round_on()["Dunlin"]
    assert dunlin.when == "09:15, 09:25, 09:45, 11:15"
    assert dunlin.to_know == "By the plan she goes in Tue 09:00."
    again = round_on(1)["Dunlin"]
    assert again.when == "09:15"
    assert again.to_know.endswith("The last look of her watch.")
    assert "Dunlin" not in round_on(2)


def test_how_long_the_plan_has_somebody_look_after_her(mara: Person) -> None:
    kept(LOOKS)
    # The launch is over at 09:30; 45 minutes later it is 10:15.
    assert "Looked after until 10:15." in round_on()["Dunlin"].to_know


def test_a_look_when_nobody_is_there_is_said(mara: Person) -> None:
    kept(LOOKS | {"hours": [["06:00", "09:30"]]})
    outside = "(outside the hours of the looks: say who comes)"
    assert round_on()["Dunlin"].when == f"09:15, 09:25, 09:45 {outside}, 11:15 {outside}"
    kept(LOOKS | {"weekdays": [1]})  # Tuesdays alone
    assert round_on(1)["Dunlin"].when == f"09:15 {outside}"


def test_once_she_is_in_her_own_times_count(mara: Person) -> None:
    boat = goes_in(mara, "Dunlin", "10:02")
    facts.add_looked(entry(mara), boat, BILGE_DRY, holds=True)
    set_clock(at("10:20"))  # the look of 10:12 is late: five minutes are given
    dunlin = round_on()["Dunlin"]
    assert [one.boat for one in morning(clock.now()).new] == ["Dunlin"]
    assert dunlin.when == "10:02 done, 10:12 late, 10:32, 12:02"
    assert dunlin.where == State.IN_THE_WATER
    assert dunlin.to_know == "In the water since Tue 6 May 10:02."
    assert round_on(1)["Dunlin"].when == "10:02"


def test_one_that_goes_in_unplanned_is_looked_at_too(mara: Person) -> None:
    goes_in(mara, "Teal", "14:00")
    assert round_on()["Teal"].when == "14:00 due, 14:10, 14:30, 16:00"
    set_clock(at("13:00", 7))
    # Nobody looked: those at 0, 10 and 30 min are missed, that of two hours is still to be made.
    assert round_on(1)["Teal"].when == "Tue 16:00 late, 14:00"


def test_nobody_wrote_that_she_is_in(mara: Person) -> None:
    set_clock(at("11:00"))
    assert round_on()["Dunlin"].to_know.endswith("Nobody wrote that she is in.")


def test_a_late_look_is_what_the_morning_sheet_says_first(
    mara: Person, as_person: AsPerson
) -> None:
    boat = goes_in(mara, "Dunlin", "10:02")
    facts.add_looked(entry(mara), boat, BILGE_DRY, holds=True)
    set_clock(at("10:16"))  # due 10:12, five minutes are given
    assert morning(clock.now()).late == []
    for now in ("10:20", "10:33"):  # its time passed at 10:32: late still
        set_clock(at(now))
        assert morning(clock.now()).sentence.startswith(
            "Dunlin: her look of Tue 10:12 is late. Look now. "
        )
    page = text(as_person(mara).get("/").content.decode())
    assert page.index("Dunlin: look now") < page.index("The yard’s round")
    assert page.index("The yard’s round") < page.index("Promises in danger")
    assert page.count("The yard’s round") == 1
    printed = morning_sheet("Heron Slip", morning(clock.now()), None, "")
    assert printed.sections[0].title == "The yard's round"
    facts.add_looked(entry(mara), boat, BILGE_DRY, holds=True)
    assert morning(clock.now()).late == []
    facts.add_looked(entry(mara), boat, BILGE_DRY, holds=False)
    assert morning(clock.now()).sentence == "Dunlin: water comes in. Lift her back first."


def test_handed_over_nobody_looks_any_more(mara: Person) -> None:
    boat = goes_in(mara, "Dunlin", "10:02")
    facts.add_moved(entry(mara), boat, State.HANDED_OVER)
    assert "Dunlin" not in round_on()


def test_on_the_pages_and_the_morning_sheet(mara: Person, as_person: AsPerson) -> None:
    client = as_person(mara)
    row = (
        "09:15 , 09:25 , 09:45 , 11:15 Dunlin afloat by then, now North row, berth 2 "
        "By the plan she goes in Tue 09:00."
    )
    for path in ("/day/", "/"):
        said = text(client.get(path).content.decode())
        assert "The yard’s round nobody has it by name: whoever goes round" in said
        assert row in said
        assert "Water in her: lift her back before anything else." in said
    assert "1 boat new in the water is looked at." in text(client.get("/day/").content.decode())
    assert [one.boat for one in morning(clock.now()).new] == ["Dunlin"]


def test_the_lifts_crew_has_it_on_their_sheet(mara: Person, as_person: AsPerson) -> None:
    runa = log_in("Runa", Right.WATER)
    runa.trades = ["lift"]
    runa.save()
    for name, there in (("Runa", True), ("Ines", False)):
        pk = Person.objects.get(name=name).pk
        said = text(as_person(runa).get(f"/yard/people/{pk}/day/").content.decode())
        assert ("The yard’s round" in said) == there
    said = text(as_person(runa).get(f"/yard/people/{runa.pk}/day/?day=2031-05-08").content.decode())
    assert "1 boat new in the water is looked at." in said  # Avocet, in on Wednesday at 09:00


def test_on_paper(mara: Person, as_person: AsPerson, monkeypatch: pytest.MonkeyPatch) -> None:
    from yardwright.web import day, views

    printed: list[DaySheet] = []

    def kept_aside(sheet: DaySheet, _: Paper) -> bytes:
        printed.append(sheet)
        return b"%PDF"

    monkeypatch.setattr(day, "day_sheet", kept_aside)
    client = as_person(mara)
    client.get("/day/all.pdf")
    assert client.get("/morning-sheet.pdf").content.startswith(b"%PDF")
    monkeypatch.setattr(views, "day_sheet", kept_aside)
    client.get("/morning-sheet.pdf")
    assert len(printed) == 2
    for sheet in printed:
        (part,) = [one for one in sheet.sections if one.title == "The yard's round"]
        assert part.rows == (
            (
                "09:15, 09:25, 09:45, 11:15",
                "Dunlin",
                "afloat by then, now North row, berth 2",
                "By the plan she goes in Tue 09:00.",
            ),
        )
        assert "lift her back first" in part.note


def test_queries(
    mara: Person, as_person: AsPerson, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for name in ("Dunlin", "Teal", "Plover", "Curlew"):
        goes_in(mara, name, "10:02")
    client = as_person(mara)
    client.get("/day/")  # then it is known whether the plan holds
    with django_assert_max_num_queries(28):
        assert client.get("/day/").status_code == 200
