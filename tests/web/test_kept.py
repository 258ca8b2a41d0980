"""A form sent after a log-out comes back, field by field."""

import json
from collections.abc import Callable

import pytest
from django.test import Client

from tests.conftest import log_in
from yardwright.fleet.models import Boat
from yardwright.season.model import Right
from yardwright.work.models import Fact
from yardwright.yard.models import Person


@pytest.fixture
def ines(teal: Boat) -> Person:
    ines = log_in("Ines", Right.PROVE)
    assert ines.user is not None
    ines.user.set_password("under the boat")
    ines.user.save()
    return ines


SENT = {
    "holds": "no",
    "words": "drips at the gland",
    "uuid": "7f3c1f6e-0f5e-4a5f-9d0f-000000000001",
}


def test_what_was_sent_is_kept_through_logging_in(teal: Boat, ines: Person, client: Client) -> None:
    path = f"/boats/{teal.tag}/look/"
    before = Fact.objects.count()
    refused = client.post(path, SENT)
    assert refused.status_code == 401
    assert "What you typed is kept" in refused.content.decode()
    fields = {"kept": json.dumps([*SENT.items()]), "then": path}
    again = client.post("/sign-in/", fields | {"username": "Ines", "password": "under the boat"})
    text = again.content.decode()
    assert "drips at the gland" in text
    assert f'action="{path}"' in text
    assert SENT["uuid"] in text
    assert Fact.objects.count() == before


def test_a_wrong_password_keeps_it_too(teal: Boat, ines: Person, client: Client) -> None:
    kept = {"kept": json.dumps([["words", "drips"]]), "then": "/"}
    text = client.post("/sign-in/", kept | {"username": "Ines", "password": "?"}).content.decode()
    assert "drips" in text
    assert "don&#x27;t fit together" in text or "don't fit together" in text


def test_it_is_never_sent_elsewhere(teal: Boat, ines: Person, client: Client) -> None:
    kept = {"kept": json.dumps([["words", "drips"]]), "then": "https://elsewhere.example/"}
    answer = client.post("/sign-in/", kept | {"username": "Ines", "password": "under the boat"})
    assert answer.status_code == 302
    assert answer.headers["Location"] == "/"


def test_no_password_is_ever_echoed(teal: Boat, ines: Person, client: Client) -> None:
    answer = client.post(
        "/boats/TEA/look/", SENT | {"password": "secret!", "new_password1": "whisper!"}
    )
    assert "secret!" not in answer.content.decode()
    assert "whisper!" not in answer.content.decode()


def test_the_question_in_its_address_comes_back_too(
    teal: Boat, ines: Person, client: Client
) -> None:
    path = f"/boats/{teal.tag}/look/?at=stern+drain+plug"
    refused = client.post(path, SENT)
    assert f'name="then" value="{path}"' in refused.content.decode()
    fields = {"kept": json.dumps([*SENT.items()]), "then": path}
    again = client.post("/sign-in/", fields | {"username": "Ines", "password": "under the boat"})
    assert f'action="{path}"' in again.content.decode()
    assert client.post(path, SENT).status_code == 302


@pytest.mark.parametrize("kept", ["", "{", "7", "[7]", '["abc"]', "null"])
def test_what_this_page_did_not_write_is_left_aside(
    kept: str, teal: Boat, ines: Person, client: Client
) -> None:
    sent = {"kept": kept, "then": "/boats/", "username": "Ines", "password": "under the boat"}
    assert client.post("/sign-in/", sent).status_code == 302


def test_another_sites_form_is_not_kept(teal: Boat, ines: Person) -> None:
    client = Client(enforce_csrf_checks=True)
    path = f"/boats/{teal.tag}/look/"
    ours = client.post(path, SENT, headers={"Origin": "http://testserver"})
    assert ours.status_code == 401
    for origin in ("https://elsewhere.example", "null"):
        answer = client.post(path, SENT, headers={"Origin": origin})
        assert answer.status_code == 403
        assert "drips" not in answer.content.decode()


def test_a_part_of_a_page_is_no_place_to_log_in(teal: Boat, client: Client) -> None:
    """htmx would follow to the log-in page and put it inside the page."""
    assert client.get("/spring/job/", headers={"HX-Request": "true"}).status_code == 401
    assert client.get("/spring/job/").status_code == 302


def test_a_taken_form_tells_the_page(
    teal: Boat, ines: Person, as_person: Callable[[Person], Client]
) -> None:
    client, path = as_person(ines), f"/boats/{teal.tag}/look/"
    wrong = client.post(f"{path}?at=stern drain plug", SENT | {"words": ""})
    assert wrong.status_code == 409
    assert "taken" not in wrong.cookies
    taken = client.post(f"{path}?at=stern drain plug", SENT)
    assert taken.cookies["taken"].value == path
