"""Who works here, who may do what, and who can log in."""

from collections.abc import Callable, Iterator
from datetime import date, time
from typing import Any

import pytest
from django.contrib.auth.models import User
from django.test import Client, override_settings
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in
from yardwright.fleet.models import Boat
from yardwright.season.model import OnDay, Right
from yardwright.work import exchange, services
from yardwright.work.models import Fact
from yardwright.yard.models import Lift, Person, Yard

Use = Callable[[Any], Client]
KIM = {
    "name": "Kim",
    "trades": "mechanic, rigger",
    "hours": "7:00-12, 12:30 – 15:30",
    "weekdays": ["0", "1", "5"],
    "off": "2031-05-07",
    "rights": ["prove"],
    "works_here": "on",
    "log_in": "kim",
    "password": "cold hands, warm keys",
}


@pytest.fixture(autouse=True)
def _quick_passwords() -> Iterator[None]:
    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield


@pytest.fixture
def mara(three_days: Yard, as_person: Use) -> Client:
    return as_person(log_in("Mara", Right.INK))


def page(client: Client, url: str, given: dict[str, Any], status: int) -> str:
    response = client.post(url, given)
    assert response.status_code == status, response.content.decode()
    return response.content.decode()


def test_somebody_new_can_log_in(mara: Client) -> None:
    page(mara, "/yard/people/new/", KIM, 302)
    kim = Person.objects.get(name="Kim")
    assert kim.trades == ["mechanic", "rigger"]
    assert kim.hours == [["07:00", "12:00"], ["12:30", "15:30"]]
    assert kim.weekdays == [0, 1, 5]
    assert Client().login(username="kim", password="cold hands, warm keys")


def test_days_off_in_a_row_are_typed_and_said_as_one(mara: Client) -> None:
    off = "2031-05-11 to 2031-05-15, 2031-05-07; 2031-05-14 – 2031-05-16"
    page(mara, "/yard/people/new/", KIM | {"off": off}, 302)
    kim = Person.objects.get(name="Kim")
    assert kim.off == ["2031-05-07", *(f"2031-05-{day}" for day in range(11, 17))]
    said = mara.get(f"/yard/people/{kim.pk}/").content.decode()
    assert 'value="2031-05-07, 2031-05-11 to 2031-05-16"' in said


@pytest.mark.parametrize(
    ("off", "says"),
    [
        ("2031-05-15 to 2031-05-11", "ends before it begins"),
        ("2031-05-11 to 2033-05-11", "is longer than a year"),
        ("2031-05-11 to then", "is no day; write it as 2031-05-07, or 2031-05-11 to 2031-05-15."),
        ("Monday", "is no day; write it as 2031-05-07"),
        ("2020-05-06", "Is the year right?"),
    ],
)
def test_days_off_that_cannot_be_are_refused_and_kept(mara: Client, off: str, says: str) -> None:
    said = page(mara, "/yard/people/new/", KIM | {"off": off}, 422)
    assert says in said
    assert f'value="{off}"' in said
    assert not Person.objects.filter(name="Kim").exists()


def test_who_is_away_for_some_hours_or_stays(mara: Client) -> None:
    typed = {"away": "2031-05-07 08:00 to 10:00 dentist", "longer": "2031-05-06 15:30 to 17:30"}
    page(mara, "/yard/people/new/", KIM | typed, 302)
    kim = next(one for one in exchange.the_season().people if one.name == "Kim")
    assert kim.away == (OnDay(date(2031, 5, 7), time(8), time(10), "dentist"),)
    assert kim.longer == (OnDay(date(2031, 5, 6), time(15, 30), time(17, 30)),)
    shown = mara.get(f"/yard/people/{Person.objects.get(name='Kim').pk}/").content.decode()
    assert all(f"{words}</textarea>" in shown for words in typed.values())
    for name in typed:
        wrong = KIM | {name: "2031-05-07 10:00 to 08:00"}
        assert "goes backwards" in page(mara, "/yard/people/new/", wrong, 422)


def test_overtime_and_what_somebody_learns(mara: Client) -> None:
    more = {"overtime": "15:30-17:30", "learns": "electrician", "may_watch": "2"}
    page(mara, "/yard/people/new/", KIM | more, 302)
    kim = next(one for one in exchange.the_season().people if one.name == "Kim")
    assert kim.overtime == ((time(15, 30), time(17, 30)),)
    assert (kim.learns, kim.may_watch) == (("electrician",), 2)
    shown = mara.get(f"/yard/people/{Person.objects.get(name='Kim').pk}/").content.decode()
    assert 'value="15:30-17:30"' in shown
    said = page(mara, "/yard/people/new/", KIM | {"overtime": "14:00-16:00"}, 422)
    assert "14:00:00 begins before 15:30:00 is over" in said
    assert "keep one of the two" in page(mara, "/yard/people/new/", KIM | {"learns": "rigger"}, 422)


def test_who_left_stays_on_what_they_did_and_cant_log_in(mara: Client) -> None:
    page(mara, "/yard/people/new/", KIM, 302)
    kim, boat = Person.objects.get(name="Kim"), Boat.objects.get(name="Teal")
    services.look(entry(kim), boat, "stern drain plug", holds=True)
    kims = Client()
    kims.force_login(User.objects.get(username="kim"))
    assert kims.get("/yard/").status_code == 200
    page(
        mara,
        f"/yard/people/{kim.pk}/",
        {k: v for k, v in KIM.items() if k not in ("works_here", "password")},
        302,
    )
    assert Fact.objects.get(what="stern drain plug").by.name == "Kim"
    assert kims.get("/yard/").status_code == 302  # out at once, not at the next log-in
    assert not Client().login(username="kim", password="cold hands, warm keys")
    said = mara.get("/yard/people/").content.decode()
    assert "No longer here" in said
    with pytest.raises(Exception, match="Kim may not"):
        services.look(entry(Person.objects.get(name="Kim")), boat, "bilge", holds=True)


def test_a_lift_knows_who_runs_it_by_a_new_name_and_not_who_left(mara: Client) -> None:
    page(mara, "/yard/people/new/", KIM, 302)
    kim, lift = Person.objects.get(name="Kim"), Lift.objects.get()
    Lift.objects.update(run_by=["Ines", "Kim"])
    page(mara, f"/yard/people/{kim.pk}/", KIM | {"name": "Kit"}, 302)
    lift.refresh_from_db()
    assert lift.run_by == ["Ines", "Kit"]
    page(mara, f"/yard/people/{kim.pk}/", KIM | {"works_here": ""}, 302)
    lift.refresh_from_db()
    assert lift.run_by == ["Ines"]


def test_who_alone_runs_a_lift_stays_until_somebody_else_does(mara: Client) -> None:
    page(mara, "/yard/people/new/", KIM, 302)
    kim = Person.objects.get(name="Kim")
    Lift.objects.update(run_by=["Kim"])
    said = page(mara, f"/yard/people/{kim.pk}/", KIM | {"works_here": ""}, 409)
    assert "Nobody but Kim may run the Travel lift. Name somebody else on its page first" in said
    kim.refresh_from_db()
    assert kim.works_here
    assert Lift.objects.get().run_by == ["Kim"]


def test_an_empty_password_leaves_the_old_one(mara: Client) -> None:
    page(mara, "/yard/people/new/", KIM, 302)
    kim = Person.objects.get(name="Kim")
    page(mara, f"/yard/people/{kim.pk}/", KIM | {"password": "", "learner": "on"}, 302)
    assert Client().login(username="kim", password="cold hands, warm keys")
    assert Person.objects.get(name="Kim").learner


def test_an_emptied_log_in_ends_it(mara: Client) -> None:
    page(mara, "/yard/people/new/", KIM, 302)
    kim, kims = Person.objects.get(name="Kim"), Client()
    kims.force_login(User.objects.get(username="kim"))
    page(mara, f"/yard/people/{kim.pk}/", KIM | {"log_in": "", "password": ""}, 302)
    assert kims.get("/yard/").status_code == 302
    assert not Client().login(username="kim", password="cold hands, warm keys")
    assert 'name="log_in" value' not in mara.get(f"/yard/people/{kim.pk}/").content.decode()
    page(mara, f"/yard/people/{kim.pk}/", KIM | {"password": ""}, 302)
    assert Client().login(username="kim", password="cold hands, warm keys")


def test_a_password_is_never_shown_again(mara: Client) -> None:
    said = page(mara, "/yard/people/new/", KIM | {"hours": "seven to three"}, 422)
    assert "cold hands" not in said
    assert "seven to three" in said


@pytest.mark.parametrize(
    ("change", "status", "says"),
    [
        ({"hours": "12:00-07:00"}, 422, "goes backwards"),
        ({"hours": "7-25"}, 422, "are no hours"),
        ({"hours": "7-12, 11-15"}, 422, "begins before"),
        ({"off": "7 May"}, 422, "is no day"),
        ({"log_in": ""}, 422, "A password for which name?"),
        ({"password": "short"}, 409, "at least 8 characters"),
        ({"password": ""}, 409, "A new log-in has no password"),
        ({"name": "ines"}, 409, "already"),
        ({"log_in": "MARA"}, 409, "already"),
    ],
)
def test_what_cant_be_so(change: dict[str, str], status: int, says: str, mara: Client) -> None:
    people, users = Person.objects.count(), User.objects.count()
    assert says in page(mara, "/yard/people/new/", KIM | change, status)
    assert (Person.objects.count(), User.objects.count()) == (people, users)


def test_the_last_manager_stays_one(mara: Client) -> None:
    me = Person.objects.get(name="Mara")
    given = {"name": "Mara", "log_in": "Mara", "works_here": "on", "rights": ["prove"]}
    assert "Nobody else may ink" in page(mara, f"/yard/people/{me.pk}/", given, 409)
    assert "Nobody else may ink" in page(
        mara, f"/yard/people/{me.pk}/", {"name": "Mara", "log_in": "Mara", "rights": ["ink"]}, 409
    )
    given_ink = given | {"rights": ["ink"], "log_in": ""}
    assert "Nobody else may ink" in page(mara, f"/yard/people/{me.pk}/", given_ink, 409)
    assert User.objects.get(username="Mara").is_active
    log_in("Nils", Right.INK)
    page(mara, f"/yard/people/{me.pk}/", given, 302)


def test_only_who_may_ink(three_days: Yard, as_person: Use) -> None:
    log_in("Mara", Right.INK)
    kim = log_in("Kim", Right.PROVE)
    client = as_person(kim)
    assert "Ask Mara" in page(client, f"/yard/people/{kim.pk}/", KIM | {"rights": ["ink"]}, 409)
    assert Person.objects.get(name="Kim").rights == [Right.PROVE]


def test_few_questions_for_many_people(
    mara: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(40):
        log_in(f"Hand {number}")
    with django_assert_max_num_queries(8):
        assert mara.get("/yard/people/").status_code == 200


def test_strangers_and_other_methods(mara: Client) -> None:
    assert mara.put("/yard/people/new/").status_code == 405
    assert mara.post("/yard/people/").status_code == 405
    assert mara.get("/yard/people/999/").status_code == 404
    mara.logout()
    assert mara.get("/yard/people/")["Location"].startswith("/sign-in/")
    assert mara.post("/yard/people/new/", KIM).status_code == 401
    assert not Person.objects.filter(name="Kim").exists()
