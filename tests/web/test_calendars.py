"""Calendars to subscribe to: who gets an address, what it says to whoever has it, and its end."""

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in
from tests.read_back import Entry, read_back
from tests.web.a_plan import ASIDES, JOBS, LAUNCHES, at, publish
from yardwright.fleet.models import Boat, Owner
from yardwright.launch import queries
from yardwright.procedures.going_in import State
from yardwright.season.causes import Broken
from yardwright.season.model import Right
from yardwright.season.yard_time import Job
from yardwright.work import facts, services
from yardwright.work.models import Fact
from yardwright.yard.models import Lift, Person, Yard

AsPerson = Callable[[Person], Client]


@pytest.fixture(autouse=True)
def _holds(monkeypatch: pytest.MonkeyPatch) -> None:
    """The plan by hand is taken to hold, but where a test says that it does not."""
    monkeypatch.setattr(queries, "plan_broken", tuple)


@pytest.fixture
def mara(three_days: Yard) -> Person:
    for name in ("Ines", "Tomas", "Pia"):
        log_in(name, Right.PROVE)
    return log_in("Mara", *Right)


@pytest.fixture
def told(mara: Person) -> Fact:
    return publish(mara)


def page_of(name: str) -> str:
    return f"/yard/people/{Person.objects.get(name=name).pk}/calendar/"


def address(client: Client, page: str) -> str:
    found = re.search(
        r'value="http://testserver(/calendars/[^"]+)"', client.get(page).content.decode()
    )
    assert found
    return found[1]


def entries(path: str) -> dict[str, Entry]:
    """What a calendar that never logged in reads, by title and part."""
    answer = Client().get(path)
    assert answer.status_code == 200
    assert answer.headers["Content-Type"] == "text/calendar; charset=utf-8"
    found = read_back(answer.content.decode())
    assert len({one.uid for one in found}) == len(found)
    return {f"{one.title} {one.starts:%d}": one for one in found}


def test_a_mechanics_work(told: Fact, mara: Person, as_person: AsPerson) -> None:
    ines = entries(address(as_person(Person.objects.get(name="Ines")), page_of("Ines")))
    assert set(ines) == {
        "Dunlin: engine 05",
        "Curlew: engine 06",
        "Avocet: engine 06",
        "Avocet: engine 07",
    }
    curlew = ines["Curlew: engine 06"]
    # 11:00 to 13:30 in New York in May, four hours behind UTC.
    assert curlew.starts == datetime(2031, 5, 6, 15, tzinfo=UTC)
    assert curlew.ends == datetime(2031, 5, 6, 17, 30, tzinfo=UTC)
    assert curlew.notes == "11:00–12:00, 12:30–13:30"
    assert curlew.where == "North row, berth 1"
    assert curlew.said_at == told.received_at.replace(microsecond=0)


def test_of_a_plan_that_no_longer_holds_each_day_from_today_on_says_to_ask_first(
    told: Fact, as_person: AsPerson, monkeypatch: pytest.MonkeyPatch
) -> None:
    feed = address(as_person(Person.objects.get(name="Ines")), page_of("Ines"))
    before = entries(feed)["Curlew: engine 06"]
    monkeypatch.setattr(queries, "plan_broken", lambda: (Broken("Ines is off on Tue 6 May."),))
    ines = entries(feed)
    assert set(ines) == {
        "Dunlin: engine 05",  # was yesterday
        "Ask first: Curlew: engine 06",
        "Ask first: Avocet: engine 06",
        "Ask first: Avocet: engine 07",
    }
    curlew = ines["Ask first: Curlew: engine 06"]
    assert curlew.notes == f"The plan no longer holds; ask before you go by it. {before.notes}"
    assert curlew.uid == before.uid
    mara = entries(address(as_person(log_in("Mara", *Right)), page_of("Mara")))
    assert list(mara) == ["Ask first: The plan has nothing for Mara 06"]


def test_who_watches_and_who_learns(told: Fact, as_person: AsPerson) -> None:
    tomas = entries(address(as_person(Person.objects.get(name="Tomas")), page_of("Tomas")))
    pia = entries(address(as_person(Person.objects.get(name="Pia")), page_of("Pia")))
    assert "Teal: hull (you watch Pia) 06" in tomas
    assert pia["Teal: hull 06"].notes.startswith("Tomas watches you. ")


def test_the_lift_crew(told: Fact, mara: Person, as_person: AsPerson) -> None:
    runa = log_in("Runa", Right.WATER)
    runa.trades = ["lift"]
    runa.save()
    found = entries(address(as_person(runa), page_of("Runa")))
    assert set(found) == {"Dunlin goes in 06", "Avocet goes in 07", "Curlew is moved aside 06"}
    assert "she floats 04:41–10:45" in found["Dunlin goes in 06"].notes
    assert found["Dunlin goes in 06"].starts == at("08:45")  # the lift fetches her
    as_of = (
        "As of Tue 06:50. Before the slings: She is Fitting out, not Ready to go in. And 1 more."
    )
    assert found["Dunlin goes in 06"].notes.endswith(f"she floats 04:41–10:45. {as_of}")
    stays = Boat.objects.get(name="Dunlin")
    facts.add_moved(entry(mara), stays, State.NOT_GOING_IN)
    found = entries(address(as_person(runa), page_of("Runa")))
    assert found["Dunlin goes in 06"].notes.endswith("Held: She is set to Not going in.")
    assert "Held" not in found["Avocet goes in 07"].notes


def test_who_may_run_the_lift_by_name_has_it_too(told: Fact, as_person: AsPerson) -> None:
    Lift.objects.update(run_by=["Tomas"])
    found = entries(address(as_person(Person.objects.get(name="Tomas")), page_of("Tomas")))
    assert {"Dunlin goes in 06", "Avocet goes in 07", "Curlew is moved aside 06"} <= set(found)


def test_a_new_plan_moves_the_entries(told: Fact, mara: Person, as_person: AsPerson) -> None:
    feed = address(as_person(Person.objects.get(name="Ines")), page_of("Ines"))
    before = entries(feed)["Curlew: engine 06"]
    day = timedelta(days=1)
    later = [Job("Curlew", "engine", "Ines", at("11:00") + day, at("13:30") + day)]
    publish(mara, later, LAUNCHES, ASIDES)
    (after,) = entries(feed).values()
    assert after.uid == before.uid
    assert after.starts == at("11:00") + day
    assert after.edition > before.edition


def test_what_an_owner_reads(told: Fact, mara: Person, as_person: AsPerson) -> None:
    """No name of anybody, no telephone number; the day in Ink, and nothing that is only planned."""
    dunlin = Boat.objects.get(name="Dunlin")
    dunlin.owner = Owner.objects.create(name="B. Holt", phone="555 0134")
    dunlin.save()
    feed = address(as_person(mara), "/boats/DUN/calendar/")
    found = entries(feed)
    (day,) = found.values()
    assert day.title == "Dunlin is ready to be handed over"
    assert day.starts == date(2031, 5, 6)  # story A1
    assert day.notes == "The yard told you Tue 6 May."
    text = Client().get(feed).content.decode()
    assert not re.search("Ines|Tomas|Mara|Holt|0134", text)
    facts.add_promised(entry(mara), dunlin, "ink", date(2031, 5, 8))
    (after,) = entries(feed).values()
    assert (after.uid, after.starts) == (day.uid, date(2031, 5, 8))
    assert after.edition > day.edition


def test_before_the_owner_was_told_no_day_is_read(
    told: Fact, mara: Person, as_person: AsPerson
) -> None:
    """The plan hands Dunlin over on Tuesday, and nobody told her owner: that is Pencil, ours."""
    dunlin = Boat.objects.get(name="Dunlin")
    for ink in Fact.objects.filter(kind="promised", what="ink", boat=dunlin):
        services.strike_out(entry(mara), ink, "it was Teal's owner")
    facts.add_promised(entry(mara), dunlin, "pencil", date(2031, 5, 6))
    feed = address(as_person(mara), "/boats/DUN/calendar/")
    assert list(entries(feed)) == ["No day is told yet for Dunlin 06"]
    assert "goes in" not in Client().get(feed).content.decode()


def test_while_she_does_not_go_in_no_day_is_read(
    told: Fact, mara: Person, as_person: AsPerson
) -> None:
    feed = address(as_person(mara), "/boats/DUN/calendar/")
    assert list(entries(feed)) == ["Dunlin is ready to be handed over 06"]
    facts.add_moved(entry(mara), Boat.objects.get(name="Dunlin"), State.NOT_GOING_IN)
    assert list(entries(feed)) == ["No day holds for Dunlin: ask the yard 06"]


def test_nothing_planned_is_not_no_plan(mara: Person, as_person: AsPerson) -> None:
    feed = address(as_person(mara), page_of("Mara"))
    assert list(entries(feed)) == ["No plan is published 06"]
    publish(mara, JOBS)
    assert list(entries(feed)) == ["The plan has nothing for Mara 06"]


def test_an_address_ends(told: Fact, mara: Person, as_person: AsPerson) -> None:
    client = as_person(mara)
    for page in (page_of("Ines"), "/boats/DUN/calendar/"):
        old = address(client, page)
        for _ in range(2):  # the second tap is of the same page, and ends no second one
            answer = client.post(page, {"edition": "0"})
            assert answer.headers["Location"] == page
        new = address(client, page)
        assert new != old
        assert Client().get(old).status_code == 404
        assert entries(new)
    assert Person.objects.get(name="Ines").calendar_edition == 1
    assert Boat.objects.get(name="Dunlin").calendar_edition == 1


def test_who_left_has_none(told: Fact, mara: Person, as_person: AsPerson) -> None:
    client = as_person(mara)
    page, feed = page_of("Ines"), address(client, page_of("Ines"))
    Person.objects.filter(name="Ines").update(works_here=False)
    assert Client().get(feed).status_code == 404
    assert client.get(page).status_code == 404


def test_nobody_guesses_one(told: Fact, mara: Person, as_person: AsPerson) -> None:
    feed = address(as_person(mara), page_of("Ines"))
    ines, tomas = Person.objects.get(name="Ines").pk, Person.objects.get(name="Tomas").pk
    odd = (
        feed.replace(f"person-{ines}", f"person-{tomas}"),
        feed.replace(f"person-{ines}", f"boat-{ines}"),
        feed.replace("-0.", "-1."),
        "/calendars/x.ics",
        f"/calendars/person-{ines}-0.ics",
        f"/calendars/person-{ines}-0..ics",
    )
    for path in odd:
        assert Client().get(path).status_code == 404, path


def test_others_get_no_address(told: Fact, as_person: AsPerson) -> None:
    client = as_person(Person.objects.get(name="Tomas"))
    for page in (page_of("Ines"), "/boats/DUN/calendar/"):
        answer = client.get(page)
        assert answer.status_code == 409
        assert b"/calendars/" not in answer.content
        assert client.post(page, {"edition": "0"}).status_code == 409
    own = client.post(page_of("Tomas"), {"edition": "0"})  # its end is the manager's
    assert own.status_code == 409
    assert b"Tomas may not ink" in own.content
    assert Person.objects.filter(calendar_edition=0).count() == Person.objects.count()
    assert Boat.objects.filter(calendar_edition=0).count() == Boat.objects.count()


@pytest.mark.parametrize("edition", ["", "x", "-1"])
def test_a_bad_form_ends_nothing(
    told: Fact, mara: Person, as_person: AsPerson, edition: str
) -> None:
    page = page_of("Ines")
    answer = as_person(mara).post(page, {"edition": edition})
    assert answer.status_code == 422
    assert b"Load the page again" in answer.content
    assert Person.objects.get(name="Ines").calendar_edition == 0


def test_the_day_and_the_boat_lead_there(told: Fact, mara: Person, as_person: AsPerson) -> None:
    client, pk = as_person(mara), Person.objects.get(name="Ines").pk
    assert page_of("Ines") in client.get(f"/yard/people/{pk}/day/").content.decode()
    assert "/boats/DUN/calendar/" in client.get("/boats/DUN/").content.decode()
    tomas = as_person(Person.objects.get(name="Tomas"))
    assert page_of("Ines") not in tomas.get(f"/yard/people/{pk}/day/").content.decode()
    assert "/boats/DUN/calendar/" not in tomas.get("/boats/DUN/").content.decode()


def test_queries(
    told: Fact,
    mara: Person,
    as_person: AsPerson,
    django_assert_max_num_queries: DjangoAssertNumQueries,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    client = as_person(mara)
    for page in (page_of("Ines"), "/boats/DUN/calendar/"):
        feed = address(client, page)
        monkeypatch.undo()  # whether the plan holds is asked too
        entries(feed)  # and kept
        # 8, the lifts, and what the kept answer rests on
        with django_assert_max_num_queries(8 + 1 + 13):
            assert Client().get(feed).status_code == 200


def test_strangers_and_other_methods(told: Fact, mara: Person, as_person: AsPerson) -> None:
    feed = address(as_person(mara), page_of("Ines"))
    for page in (page_of("Ines"), "/boats/DUN/calendar/"):
        assert Client().get(page).headers["Location"] == f"/sign-in/?next={page}"
    assert Client().head(feed).status_code == 200
    assert as_person(mara).post(feed).status_code == 405
