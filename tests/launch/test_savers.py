"""What would save a promise, asked for in the web: worked out in the background, read as a table."""

from collections.abc import Callable
from html import unescape
from typing import Any

import pytest
from django.test import Client
from django.utils.html import escape
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in
from tests.launch.conftest import later
from yardwright.fleet.models import Boat, Part
from yardwright.launch import queries, services, solve
from yardwright.launch.enter_saver import entered
from yardwright.papers.day_sheet import DaySheet
from yardwright.plan.changes import Kind
from yardwright.season import savers
from yardwright.season.model import Right
from yardwright.work import facts
from yardwright.work import queries as work
from yardwright.work import services as work_services
from yardwright.yard import asked, clock
from yardwright.yard.models import Job, Person, Place
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
Post = Callable[..., dict[str, str]]
AT = "/spring/savers/"
CHANGED = "Parts, people, lifts, places, boats or work were changed"
FOUND: dict[str, dict[str, Any]] = {}  # worked out once for all tests here: it takes seconds


@pytest.fixture
def published(mara: Person, planned: Job) -> Job:
    services.publish(entry(mara), planned)
    return planned


def work_out(
    job: Job, monkeypatch: pytest.MonkeyPatch, time_limit_s: float = 60.0
) -> dict[str, Any]:
    monkeypatch.setattr(solve, "SEASONS", 1000)
    monkeypatch.setattr(solve, "SAVERS_S", time_limit_s if job.question["boat"] else 0.0)
    if (boat := str(job.question["boat"])) not in FOUND:
        FOUND[boat] = solve.ANSWERS[job.what](job.question)
    plan = work.last_published()
    assert plan
    now = {"plan": str(plan.pk), "stood": queries.as_it_stands()}
    job.answer = FOUND[boat] | now | {"asked_at": clock.now().isoformat()}
    job.state = Job.State.DONE
    job.save()
    return job.answer


@pytest.fixture
def for_curlew(mara: Person, published: Job, monkeypatch: pytest.MonkeyPatch) -> Job:
    job = services.look_for_savers(mara, Boat.objects.get(name="Curlew"))
    work_out(job, monkeypatch)
    return job


@pytest.fixture
def for_all(mara: Person, published: Job, monkeypatch: pytest.MonkeyPatch) -> Job:
    job = services.look_for_savers(mara)
    work_out(job, monkeypatch)
    return job


def test_curlews_savers_as_the_story_has_them(
    mara: Person, for_curlew: Job, as_person: Use
) -> None:
    page = as_person(mara).get(AT).content.decode()
    # Story A1: her water comes again at 18:05, when the lift is shut; the kit leaves half a minute.
    assert "eep the travel lift open Tue 6 May 18:05 to Tue 6 May 19:00" in page
    assert "Worth doing:" in page
    assert "With only 0 min of water to spare: " in page
    assert "1000 seasons" in page
    assert 'role="alert"' not in page


def test_under_each_saver_stands_where_it_is_entered(
    mara: Person, for_curlew: Job, as_person: Use
) -> None:
    client, there = as_person(mara), "/spring/again/"
    for_curlew.refresh_from_db()  # a copy of its own
    assert for_curlew.answer
    (hers,) = for_curlew.answer["boats"]
    page = client.get(AT).content.decode()
    link = f'<a class="tap-link" href="{there}tell/longer/#tell-longer">'
    assert f"Enter it under {link}The lift stays open longer</a>." in page
    replan = f'Then <a class="tap-link" href="{there}">Replan</a>; where that moves nothing, <a class="tap-link" href="/spring/">'
    told = [{*one["kinds"]} for one in hers["savers"]]
    nothing_to_plan = {"anew", "owner", "elsewhere"}
    assert page.count(replan) == sum(bool(kinds - nothing_to_plan) for kinds in told) > 1
    for kind in Kind:
        link = entered(kind.name.lower(), "CUR").link
        assert not link or client.get(link).status_code == 200
        assert bool(link) is (kind is not Kind.ELSEWHERE)
    del hers["savers"][0]["kinds"]  # as it was found before this was said
    for_curlew.save()
    assert client.get(AT).status_code == 200


def test_its_paper_has_the_words_of_the_page(
    mara: Person, for_all: Job, as_person: Use, monkeypatch: pytest.MonkeyPatch
) -> None:
    client, sheets = as_person(mara), list[DaySheet]()
    assert client.get("/spring/savers.pdf").content.startswith(b"%PDF")

    def kept(sheet: DaySheet, _paper: object) -> bytes:
        sheets.append(sheet)
        return b""

    monkeypatch.setattr(asked, "day_sheet", kept)
    assert for_all.answer
    for_all.answer["missed"] = ["Teal"]
    for_all.save()
    (name,) = (one["boat"] for one in for_all.answer["boats"])
    client.get("/spring/savers.pdf")
    later(5)
    work_services.look(entry(mara), Boat.objects.get(name="Avocet"), "bilge pump", holds=True)
    page = unescape(client.get(AT).content.decode())
    client.get("/spring/savers.pdf")
    new, old = sheets
    assert new.say == f"What the yard could do for {name}."
    assert old.say.startswith("Something was entered since")
    assert f'role="alert">{old.say.removesuffix(f" {new.say}")}<' in page
    assert new.sections == old.sections
    hers, *_ = new.sections
    assert hers.title == name
    for row in hers.rows:
        for words in row:
            assert words.removeprefix("Worth doing: ") in page
    said = [words for one in new.sections[1:] for row in one.rows for words in row]
    assert "Teal: her day has passed; call her owner." in said
    for words in said:
        assert words in page


def test_what_changed_since_is_said_first(mara: Person, for_curlew: Job, as_person: Use) -> None:
    del for_curlew
    client = as_person(mara)
    part = Part.objects.get(name="kit")
    Part.objects.filter(pk=part.pk).update(arrives=None)
    assert CHANGED in client.get(AT).content.decode()
    Part.objects.filter(pk=part.pk).update(arrives=part.arrives)
    assert 'role="alert"' not in client.get(AT).content.decode()
    Person.objects.filter(name="Ines").update(off=["2031-05-06"])
    assert CHANGED in client.get(AT).content.decode()
    Person.objects.filter(name="Ines").update(off=[])
    row = Place.objects.first()
    assert row
    Place.objects.filter(pk=row.pk).update(firm_from="2031-05-20")
    assert CHANGED in client.get(AT).content.decode()
    Place.objects.filter(pk=row.pk).update(firm_from=row.firm_from)
    assert 'role="alert"' not in client.get(AT).content.decode()
    later(5)
    work_services.look(entry(mara), Boat.objects.get(name="Avocet"), "bilge pump", holds=True)
    assert "Something was entered since" in client.get(AT).content.decode()


def test_another_plan_is_said(mara: Person, for_curlew: Job, as_person: Use) -> None:
    del for_curlew
    plan = work.last_published()
    assert plan
    facts.add_published(entry(mara), plan.body | {"job": ""})
    assert "Another plan holds since" in as_person(mara).get(AT).content.decode()


def test_what_was_not_reached_and_not_judged_is_hatched(
    mara: Person, for_all: Job, as_person: Use
) -> None:
    assert for_all.answer
    for_all.answer["unknown"] = {"Teal": "her draft is not known; measure it"}
    for_all.answer["missed"] = ["Plover"]
    for_all.save()
    page = as_person(mara).get(AT).content.decode()
    (first, *_) = for_all.answer["boats"]
    assert first["boat"] in page
    assert first["not_reached"]
    for words in first["not_reached"]:
        assert escape(words) in page
    for name in for_all.answer["not_reached"]:
        assert f"{name}: not looked at" in page
    assert for_all.answer["not_reached"]
    assert "Teal: her Ink can’t be judged, her draft is not known; measure it." in page
    assert "Plover: her day has passed; call her owner." in page


def test_a_plan_that_no_longer_fits_is_mended_and_that_is_said(
    mara: Person, published: Job, as_person: Use, monkeypatch: pytest.MonkeyPatch
) -> None:
    """New work on Plover: she is in no plan as she stands, and others stand behind her."""
    del published
    plover = Boat.objects.get(name="Plover")
    plover.work.create(place_in_list=9, what="mend the rail", trade="mechanic", minutes=30)
    monkeypatch.delitem(FOUND, "Curlew", raising=False)  # hers are found as the plan was
    monkeypatch.setattr(savers, "MENDED_S", 3.0)
    job = services.look_for_savers(mara, Boat.objects.get(name="Curlew"))
    found = work_out(job, monkeypatch, time_limit_s=0.0)
    del FOUND["Curlew"]
    assert found["mended"] is True
    assert {one["boat"] for one in found["promises"]} >= {"Plover", "Curlew"}
    assert "no longer fits the yard" in as_person(mara).get(AT).content.decode()


def test_asked_once_polled_and_stopped(
    mara: Person, published: Job, as_person: Use, post: Post
) -> None:
    del published
    client = as_person(mara)
    assert "Nobody has looked" in client.get(f"{AT}?boat=CUR").content.decode()
    for _ in range(2):
        assert client.post(AT, post(deed="ask", boat="CUR")).status_code == 302
    (job,) = Job.objects.filter(what=queries.SAVERS)
    assert job.question["boat"] == "Curlew"
    assert client.get(f"{AT}job/").status_code == 200
    assert "Stop looking" in client.get(AT).content.decode()
    fragment = client.post(AT, post(deed="stop", job=str(job.pk)), headers={"HX-Request": "true"})
    assert "It was stopped" in fragment.content.decode()
    assert "<html" not in fragment.content.decode()
    assert client.get(f"{AT}job/").status_code == 286
    assert client.put(AT).status_code == 405


def test_bad_input_asks_nothing_and_keeps_what_was_typed(
    mara: Person, published: Job, as_person: Use, post: Post
) -> None:
    del published
    client = as_person(mara)
    assert client.post(AT, post(deed="ask", boat="XYZ")).status_code == 422
    wrong = client.post(AT, post(deed="dance", boat="CUR"))
    assert wrong.status_code == 422
    assert '<option value="CUR" selected>' in wrong.content.decode()
    assert not Job.objects.filter(what=queries.SAVERS).exists()


def test_who_may_and_what_is_refused(
    mara: Person, planned: Job, as_person: Use, post: Post, client: Client
) -> None:
    with pytest.raises(Refused, match="No plan is published"):
        services.look_for_savers(mara)
    services.publish(entry(mara), planned)
    tomas = as_person(log_in("Tomas", Right.PROVE))
    answer = tomas.post(AT, post(deed="ask"))
    assert answer.status_code == 409
    assert "Ask Mara" in answer.content.decode()
    client.logout()
    assert client.get(AT).status_code == 302
    assert client.get(f"{AT}job/").status_code == 302


def test_the_morning_sheet_has_the_one_saver(
    mara: Person,
    for_curlew: Job,
    as_person: Use,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    client = as_person(mara)
    assert "The one saver worth doing" not in client.get("/").content.decode()  # of one boat alone
    for_curlew.question |= {"boat": ""}
    for_curlew.save()
    assert for_curlew.answer
    (hers,) = for_curlew.answer["boats"]
    # However many boats: eight tables, asked twice; odds; who may run the lift.
    with django_assert_max_num_queries(34 + 15):
        page = client.get("/").content.decode()
    assert "The one saver worth doing" in page
    assert hers["savers"][hers["worth"]]["words"] in page
    assert "% sure" in page
    assert "Look for savers again" in page
    assert 'class="refused"' not in page
    paper = client.get("/morning-sheet.pdf")
    assert paper.content.startswith(b"%PDF-")
    later(24 * 60)
    assert "It was worked out on another day." in client.get("/").content.decode()
