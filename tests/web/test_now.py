"""What one proves the others are told: an open page asks, and a quiet answer costs next to nothing."""

from collections.abc import Callable
from datetime import timedelta
from typing import TypedDict, cast

import pytest
from django.contrib.sessions.models import Session
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from tests.conftest import entry, log_in, set_clock
from tests.work.conftest import NOW
from yardwright.fleet.models import Boat, Visit
from yardwright.procedures.put_backs import Proof
from yardwright.procedures.readings import Reading
from yardwright.procedures.steps import book
from yardwright.season.model import Right
from yardwright.web.now import News
from yardwright.work import services
from yardwright.work.models import Fact
from yardwright.yard.models import Person

HERE = "Nobody else is at her now."
ALL_RIGHTS = tuple(Right)
LOG_IN_AND_YARD = 3  # session, person, yard


@pytest.fixture
def ines(teal: Boat) -> Person:
    set_clock(NOW)
    return log_in("Ines", *ALL_RIGHTS)


@pytest.fixture
def jonas(teal: Boat) -> Person:
    return log_in("Jonas", *ALL_RIGHTS)


@pytest.fixture
def desk(jonas: Person, as_person: Callable[[Person], Client]) -> Client:
    return as_person(jonas)


class Answer(TypedDict, total=False):
    since: int
    here: str
    news: list[News]
    more: int
    says: str


def ask(client: Client, since: int, tag: str = "TEA", **also: object) -> tuple[int, Answer]:
    asked = {"since": since, "shows": HERE, "on": "desk", "came": False} | also
    answer = client.post(f"/boats/{tag}/now/", asked, content_type="application/json")
    is_json = answer.headers.get("Content-Type") == "application/json"
    return answer.status_code, cast(Answer, answer.json() if is_json else {})


def written(boat: Boat) -> int:
    return boat.facts.count()


def plug(boat: Boat) -> Fact:
    return Fact.objects.get(boat=boat, kind="undone", what="stern drain plug out")


def test_nothing_is_new(desk: Client, teal: Boat) -> None:
    assert ask(desk, written(teal)) == (204, {})


def test_a_proof_is_told_with_who_and_when(desk: Client, teal: Boat, ines: Person) -> None:
    since, undone = written(teal), plug(teal)
    services.put_back(entry(ines), undone, Proof(undone.body["proof"]))
    status, answer = ask(desk, since)
    assert status == 200
    assert answer["since"] == since + 1
    (one,) = answer["news"]
    assert one["item"] == f"u-{undone.pk}"
    assert one["says"].startswith("Ines, ")
    assert "Put back: stern drain plug out" in one["says"]
    assert one["short"].startswith("put back by Ines, ")
    assert ask(desk, since + 1) == (204, {})


def test_done_only_when_the_second_pair_of_eyes_has_looked(
    desk: Client, teal: Boat, ines: Person
) -> None:
    kind = book().kinds["battery_straps"]
    undone = services.find_undone(entry(ines), teal, kind, "bucket", "")
    assert undone.body["second"]
    since, proof = written(teal), Proof(undone.body["proof"])
    services.put_back(entry(ines), undone, proof)
    (first,) = ask(desk, since)[1]["news"]
    assert (first["done"], "waits for a second" in first["short"]) == (False, True)
    services.put_back(entry(log_in("Mara", *ALL_RIGHTS)), undone, proof)
    (second,) = ask(desk, since + 1)[1]["news"]
    assert second["done"] is True


def test_a_reading_comes_with_its_verdict(desk: Client, teal: Boat, ines: Person) -> None:
    since, typed = written(teal), entry(ines)
    services.read(typed, teal, Reading("head_temperature", (64.0,), "°C", NOW, "Ines", None), "64")
    reading, verdict = ask(desk, since)[1]["news"]
    assert reading["item"] == verdict["item"] == "r-head_temperature"
    assert reading["entry"] == verdict["entry"] == str(typed.uuid)
    assert "64 °C" in verdict["short"]
    assert "read by Ines" in verdict["short"]


def test_a_look_and_a_doubt_are_told(desk: Client, teal: Boat, ines: Person) -> None:
    since, undone = written(teal), plug(teal)
    services.look(entry(ines), teal, "livewell seacock", holds=True)
    services.does_not_hold(entry(ines), undone, "it drips")
    looked, doubt = ask(desk, since)[1]["news"]
    assert looked["item"] == "l-livewell-seacock"
    assert doubt["item"] == f"u-{undone.pk}"
    assert doubt["short"].startswith("does not hold: Ines")


def test_a_struck_out_proof_no_longer_stands_at_its_thing(
    desk: Client, teal: Boat, ines: Person
) -> None:
    undone = plug(teal)
    proven = services.put_back(entry(ines), undone, Proof(undone.body["proof"]))
    since = written(teal)
    services.strike_out(entry(ines), proven, "it was another plug")
    (news,) = ask(desk, since)[1]["news"]
    assert news["item"] == f"u-{undone.pk}"
    assert news["short"].startswith("an entry of it struck out by Ines")
    assert not news["done"]


def test_of_very_many_the_newest_are_told(desk: Client, teal: Boat) -> None:
    _, answer = ask(desk, 0)
    assert answer["since"] == written(teal)
    told = answer["news"]
    assert len(told) == min(20, written(teal))
    assert answer["more"] == written(teal) - len(told)


def test_a_quiet_answer_costs_little(desk: Client, teal: Boat) -> None:
    """Two questions beside the log-in's, and every half minute the visit is written; no session."""
    ask(desk, written(teal), came=True)
    before = list(Session.objects.values_list("session_data", "expire_date"))
    with CaptureQueriesContext(connection) as asked:
        assert ask(desk, written(teal))[0] == 204
        queries = [one["sql"] for one in asked.captured_queries]
    counted = [one for one in queries if "COUNT" in one and "work_fact" in one]
    assert len(counted) == 2  # the test's own, and the page's
    ours = len(queries) - 1 - LOG_IN_AND_YARD
    assert ours == 3, queries  # the boat, her facts counted, the visits
    assert not [one for one in queries if one.startswith(("INSERT", "UPDATE", "BEGIN"))]
    assert list(Session.objects.values_list("session_data", "expire_date")) == before


def test_her_facts_are_counted_by_their_index(teal: Boat) -> None:
    assert "SEARCH work_fact USING" in teal.facts.order_by().explain()


@pytest.mark.parametrize("path", ["/boats/TEA/", "/boats/TEA/at-hand/", "/boats/TEA/left-undone/"])
def test_looking_writes_nothing_and_counts_from_there(path: str, desk: Client, teal: Boat) -> None:
    page = desk.get(path).content.decode()
    assert f'data-since="{written(teal)}"' in page
    assert 'data-asks="/boats/TEA/now/"' in page
    assert HERE in page
    assert not Visit.objects.exists()


@pytest.mark.parametrize(
    "odd",
    [{"since": -1}, {"since": "all"}, {"on": "watch"}, {"shows": "x" * 5000}],
    ids=["below nothing", "no number", "on what", "too long"],
)
def test_an_odd_question_is_refused(odd: dict[str, object], desk: Client, teal: Boat) -> None:
    since = odd.get("since", 0)
    asked = {"since": since, "shows": HERE, "on": "desk"} | odd
    answer = desk.post("/boats/TEA/now/", asked, content_type="application/json")
    assert answer.status_code == 422
    assert not Visit.objects.exists()


@pytest.mark.parametrize("body", ["", "[1]", "{", "null"])
def test_no_json_is_refused(body: str, desk: Client, teal: Boat) -> None:
    answer = desk.post("/boats/TEA/now/", body, content_type="application/json")
    assert answer.status_code == 422


def test_no_such_boat(desk: Client) -> None:
    assert ask(desk, 0, "ZZZ")[0] == 404


def test_only_by_post(desk: Client) -> None:
    assert desk.get("/boats/TEA/now/").status_code == 405


def test_a_stranger_is_told_to_log_in_and_nothing_of_it_is_kept(client: Client, teal: Boat) -> None:
    status, answer = ask(client, 0)
    assert (status, list(answer)) == (401, ["says"])


def test_another_sites_page_can_not_ask(jonas: Person, teal: Boat) -> None:
    """It would say that he is at her: so it needs the token that every form has."""
    strict = Client(enforce_csrf_checks=True)
    assert jonas.user is not None
    strict.force_login(jonas.user)
    assert ask(strict, 0)[0] == 403
    assert not Visit.objects.exists()


def test_it_does_not_drop_a_draft(desk: Client, teal: Boat) -> None:
    """The word that a form was taken is for forms alone."""
    answer = desk.post(
        "/boats/TEA/now/",
        {"since": 0, "shows": "", "on": "desk"},
        content_type="application/json",
    )
    assert "taken" not in answer.cookies


def test_a_phone_that_was_away_is_told_what_came(desk: Client, teal: Boat, ines: Person) -> None:
    """By the number that its copy knew: also what was done before it asked."""
    since, undone = written(teal), plug(teal)
    early = entry(ines)
    services.put_back(early, undone, Proof(undone.body["proof"]))
    set_clock(NOW + timedelta(hours=3))
    assert [one["entry"] for one in ask(desk, since)[1]["news"]] == [str(early.uuid)]
