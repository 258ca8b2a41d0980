"""Freeze Tonight and the Winter Round, on screen and on paper."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from urllib.parse import quote
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in, set_clock
from yardwright.fleet.models import Boat
from yardwright.papers.day_sheet import DaySheet
from yardwright.procedures.hose_run import read_run
from yardwright.procedures.put_backs import Proof
from yardwright.procedures.quantities import Answers
from yardwright.procedures.readings import Instrument, Reading
from yardwright.procedures.step import Has
from yardwright.procedures.step import Season as StepSeason
from yardwright.procedures.steps import book, steps_for
from yardwright.season.model import Limit, Right
from yardwright.work import facts, services, words
from yardwright.work.models import Fact, Kind
from yardwright.yard import asked, clock
from yardwright.yard.models import Person, Yard


@pytest.fixture
def mara(three_days: Yard, as_person: Callable[[Person], Client]) -> Client:
    return as_person(log_in("Mara", *Right))


def test_of_a_boat_without_particulars_it_is_not_known(mara: Client) -> None:
    page = mara.get("/freeze-tonight/").content.decode()
    assert "it is not known" in page
    assert "No boat is known to be drained" in page


def test_a_step_done_takes_her_off_the_list(mara: Client) -> None:
    Boat.objects.update(has=[Has.HEAD])
    page = mara.get("/freeze-tonight/").content.decode()
    assert "5 boats hold water" in page
    person = Person.objects.get(name="Mara")
    teal = Boat.objects.get(name="Teal")
    for code in ("head_laid_up", "head_seacocks_drained"):
        facts.add_done(entry(person), teal, code, "step")
    page = mara.get("/freeze-tonight/").content.decode()
    assert "4 boats hold water" in page
    assert "by the steps done on her: Teal." in page


def test_a_coolant_loop_that_was_read_goes_by_what_it_said(mara: Client) -> None:
    Boat.objects.update(has=[Has.INBOARD_DIESEL, Has.CLOSED_COOLING])
    by, teal = Person.objects.get(name="Mara"), Boat.objects.get(name="Teal")
    there = f"?quantity=freeze_point&amp;where={quote('coolant loop')}"
    assert there in mara.get("/boats/TEA/steps/coolant_read/").content.decode()
    for step in steps_for(frozenset(teal.has), StepSeason.FALL):
        facts.add_done(entry(by), teal, step.code, "step")

    def page() -> str:
        return mara.get("/freeze-tonight/").content.decode()

    assert "no reading at “coolant loop” is on file" in page()
    assert f'"/boats/TEA/readings/new/{there}"' in page()
    read = Reading("freeze_point", (-36.0,), "°C", clock.now(), "Mara", None, where="coolant loop")
    facts.add_reading(entry(by), teal, read)
    assert "freezes at -36 °C, read Tue 6 May: Can&#x27;t say" in page()  # by which scale?
    assert "by the steps done on her: Teal." not in page()
    asked: Answers = {
        "fluid": "ethylene glycol",
        "own_scale": True,
        "fluid_temp_c": 20.0,
        "at_outlet": True,
    }
    scale = Instrument("Scale", "°C", date(2031, 12, 31), u=0.5)
    facts.add_reading(entry(by), teal, replace(read, instrument=scale, conditions=asked))
    assert "freezes at -36 °C, read Tue 6 May: No limit on file" in page()
    filed = Limit("°C", "Our coldest night", "p. 1", upper=-26.0, quantity="freeze_point")
    services.file_limit(uuid4(), by, filed)
    assert "by the steps done on her: Teal." in page()
    set_clock(clock.now() + timedelta(days=330))  # what was read then says nothing of this winter
    assert "no reading at “coolant loop” is on file" in page()


def test_the_hour_and_the_people_count(mara: Client) -> None:
    Boat.objects.update(has=[Has.HEAD])  # 45 minutes each, and 6 to reach her
    one = mara.get("/freeze-tonight/?hours=1&people=1&goes=alone&air_c=-4").content.decode()
    assert "4 places can&#x27;t be saved before the hour" in one
    assert "each alone: by daylight" in one
    pairs = mara.get("/freeze-tonight/?hours=1&people=5&goes=pairs&air_c=-4").content.decode()
    assert "3 places can&#x27;t be saved before the hour" in pairs  # two pairs
    assert "5 people in 2 pairs, the odd one with any of them" in pairs
    five = mara.get("/freeze-tonight/?hours=1&people=5&goes=alone&air_c=-4").content.decode()
    assert "be saved before the hour" not in five


def test_nobody_goes_alone_unless_that_is_asked_for(mara: Client) -> None:
    assert "2 people in one pair" in mara.get("/freeze-tonight/").content.decode()
    unsaid = mara.get("/freeze-tonight/?hours=1&people=4&air_c=-4").content.decode()
    assert "4 people in 2 pairs" in unsaid
    answer = mara.get("/freeze-tonight/?hours=1&people=1&air_c=-4")
    assert answer.status_code == 422
    assert "One person makes no pair" in answer.content.decode()
    assert mara.get("/freeze-tonight/?hours=1&people=2&goes=lone&air_c=-4").status_code == 422


def test_what_cannot_be_reckoned_with_is_refused_and_stays_typed(mara: Client) -> None:
    for at in ("/freeze-tonight/", "/freeze-tonight.pdf"):
        answer = mara.get(f"{at}?people=-3")
        assert answer.status_code == 422
        page = answer.content.decode()
        assert "This is not for the night that was asked for" in page
        assert 'href="#id_people"' in page
        assert 'value="-3"' in page
        assert 'href="#id_hours"' not in page  # what is not said is as usual
    four = mara.get("/freeze-tonight/?people=4").content.decode()
    assert "4 people in 2 pairs" in four


def test_a_warm_night_is_asked_about(mara: Client) -> None:
    answer = mara.get("/freeze-tonight/?hours=1&people=0&air_c=4")
    assert answer.status_code == 422
    assert 'value="4"' in answer.content.decode()  # what was typed stays


def test_the_round_names_each_boat_in_her_row(mara: Client) -> None:
    page = mara.get("/winter-round/").content.decode()
    for name in ("Curlew", "Dunlin"):
        assert name in page
    assert "never seen this winter" in page
    assert "No berth on file" in page


def test_a_look_takes_it_off_the_round(mara: Client) -> None:
    person = Person.objects.get(name="Mara")
    before = mara.get("/winter-round/").content.decode().count("stands_looked_at")
    curlew = Boat.objects.get(name="Curlew")
    facts.add_done(entry(person), curlew, "stands_looked_at", "step")
    assert mara.get("/winter-round/").content.decode().count("stands_looked_at") == before - 1


def test_the_round_goes_to_the_shelf_for_batteries_ashore(mara: Client) -> None:
    Boat.objects.update(has=[Has.BATTERY, Has.COVER])
    person, teal = Person.objects.get(name="Mara"), Boat.objects.get(name="Teal")
    assert "Batteries ashore" not in mara.get("/winter-round/").content.decode()
    thing = book().kinds["batteries_ashore"].undone(entry(person).done_at, "Mara", "shelf 13")
    facts.add_undone(entry(person), teal, thing)
    page = mara.get("/winter-round/").content.decode()
    assert "shelf 13" in page
    snow = page.count("snow_off")
    facts.add_done(entry(person), teal, "unwrapped", "step")
    assert mara.get("/winter-round/").content.decode().count("snow_off") == snow - 1


@pytest.mark.parametrize("path", ["/freeze-tonight.pdf", "/winter-round.pdf"])
def test_on_paper(mara: Client, path: str) -> None:
    assert mara.get(path).content.startswith(b"%PDF")
    assert mara.get(f"{path}?paper=Letter").content.startswith(b"%PDF")


def test_the_paper_has_the_cautions_of_the_screen_and_says_where_each_boat_stands(
    mara: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    sheets = list[DaySheet]()

    def kept(sheet: DaySheet, _paper: object) -> bytes:
        sheets.append(sheet)
        return b""

    monkeypatch.setattr(asked, "day_sheet", kept)
    Boat.objects.update(has=[Has.HEAD])
    tonight = "?hours=0&people=2&goes=pairs&air_c=-4"
    for page in ("freeze-tonight", "winter-round"):
        mara.get(f"/{page}.pdf{tonight}")
        screen = " ".join(mara.get(f"/{page}/{tonight}").content.decode().split())
        assert sheets[-1].cautions
        for one in sheets[-1].cautions:
            assert f"<b>Do not</b> {one}" in screen
    late = next(one for one in sheets[0].sections if one.title == "Not before the hour")
    curlew = next(row for row in late.rows if row[0] == "Curlew")
    assert curlew[1] == "North row, berth 1"
    assert f"Curlew</a>, {curlew[1]}: " in mara.get(f"/freeze-tonight/{tonight}").content.decode()


@pytest.mark.parametrize("path", ["/freeze-tonight/", "/winter-round/"])
def test_twelve_queries(
    mara: Client, path: str, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_max_num_queries(12):
        assert mara.get(path).status_code == 200


def test_two_stories_about_a_drain_are_not_known(mara: Client) -> None:
    """Drained, then said to be put back: nobody knows whether water followed."""
    Boat.objects.update(has=[Has.SHOWER_SUMP])
    person, teal = Person.objects.get(name="Mara"), Boat.objects.get(name="Teal")
    facts.add_done(entry(person), teal, "shower_sump_opened", "step")
    thing = book().kinds["shower_sump"].undone(entry(person).done_at, "Mara")
    undone = facts.add_undone(entry(person), teal, thing)
    drained = mara.get("/freeze-tonight/").content.decode()
    assert "by the steps done on her: Teal." in drained
    facts.add_put_back(entry(person), undone, Proof.RUN)
    page = mara.get("/freeze-tonight/").content.decode()
    assert "drained in fall, put back since" in page
    assert "by the steps done on her: Teal." not in page


SAVED = "/boats/TEA/saved/"


@pytest.fixture
def sump(mara: Client) -> Boat:
    del mara
    Boat.objects.update(has=[Has.SHOWER_SUMP])
    return Boat.objects.get(name="Teal")


def mark(**other: str) -> dict[str, str]:
    return {"uuid": str(uuid4()), "where": "shower sump", **other}


def marks() -> int:
    return Fact.objects.filter(kind=Kind.SAVED).count()


def test_saved_takes_her_off_the_order_once(mara: Client, sump: Boat) -> None:
    del sump
    assert "5 boats hold water" in mara.get("/freeze-tonight/").content.decode()
    sent = mark()
    for _ in range(2):
        assert mara.post(SAVED, sent).status_code == 302
    assert marks() == 1
    page = mara.get("/freeze-tonight/").content.decode()
    assert "4 boats hold water" in page
    assert "Teal: shower sump" in page
    assert "is known to be drained" in page  # saved is not drained


def test_a_mark_is_struck_out_where_it_was_wrong(mara: Client, sump: Boat) -> None:
    saved = services.save_from_frost(entry(Person.objects.get(name="Mara")), sump, "shower sump")
    to = reverse("fact", args=[saved.pk])
    assert f'action="{to}?once=' in mara.get("/freeze-tonight/").content.decode()
    mara.post(to, {"uuid": str(uuid4()), "reason": "the wrong boat"})
    assert "5 boats hold water" in mara.get("/freeze-tonight/").content.decode()


def test_each_mark_says_until_when_it_counts(mara: Client, sump: Boat) -> None:
    """Made at 06:50 on Tuesday it is of the night that ends, not of the one to come."""
    saved = services.save_from_frost(entry(Person.objects.get(name="Mara")), sump, "shower sump")
    assert "Mara; counts until Tue 12:00" in mara.get("/freeze-tonight/").content.decode()
    assert words.told(saved) == "Saved from frost, until Tue 6 May 12:00 at the latest: shower sump"
    set_clock(clock.now() + timedelta(hours=14))
    assert "5 boats hold water" in mara.get("/freeze-tonight/").content.decode()


def test_a_mark_is_for_one_night_and_ends_as_she_runs(mara: Client, sump: Boat) -> None:
    who = Person.objects.get(name="Mara")
    old = entry(who)
    facts.add_saved(replace(old, done_at=old.done_at - timedelta(hours=33)), sump, "shower sump")
    assert "5 boats hold water" in mara.get("/freeze-tonight/").content.decode()
    facts.add_saved(
        replace(entry(who), done_at=old.done_at - timedelta(hours=2)), sump, "shower sump"
    )
    assert "4 boats hold water" in mara.get("/freeze-tonight/").content.decode()
    run = read_run("supply muffs\n0:12 water\n1:20 stopped")
    facts.add_hose_run(replace(entry(who), done_at=old.done_at - timedelta(hours=1)), sump, run, {})
    assert "5 boats hold water" in mara.get("/freeze-tonight/").content.decode()


def test_a_mark_that_is_wrong_writes_nothing(mara: Client, sump: Boat) -> None:
    del sump
    answer = mara.post(SAVED, mark(where="the moon"))
    assert answer.status_code == 422
    assert "the moon is not on the list" in answer.content.decode()
    assert mara.post(SAVED, {"uuid": str(uuid4())}).status_code == 422
    assert mara.get(SAVED).status_code == 405
    assert marks() == 0


def test_who_may_mark(sump: Boat, as_person: Callable[[Person], Client]) -> None:
    del sump
    answer = as_person(log_in("Ole")).post(SAVED, mark())
    assert answer.status_code in (403, 409)
    assert Client().post(SAVED, mark()).status_code == 401  # log in first
    assert marks() == 0
