"""What a person sees where the server itself says no: our own page, with what to do."""

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from django.http import HttpRequest
from django.test import Client

from tests.conftest import log_in
from yardwright.season.model import Right
from yardwright.web import views
from yardwright.yard.models import Person, Yard

Use = Callable[[Person], Client]


def said(answer: object, status: int) -> str:
    assert answer.status_code == status  # type: ignore[attr-defined]
    text: str = answer.content.decode()  # type: ignore[attr-defined]
    assert "yardwright.css" in text
    assert text.count("<h1>") == 1
    return text


def test_not_here(three_days: Yard, as_person: Use) -> None:
    text = said(as_person(log_in("Ines", Right.PROVE)).get("/boats/QQQ/steps/"), 404)
    assert "look for her" in text
    assert 'action="/boats/"' in text
    assert "Left Undone" in text  # the way on stands above it


def test_nowhere_for_a_stranger(three_days: Yard, client: Client) -> None:
    assert "Left Undone" not in said(client.get("/admin/"), 404)


def test_a_log_in_that_belongs_to_nobody(three_days: Yard, client: Client) -> None:
    client.force_login(User.objects.create_user("root"))
    text = said(client.get("/yard/"), 403)
    assert "belongs to nobody" in text
    assert 'action="/sign-out/"' in text


def test_a_page_too_old(three_days: Yard) -> None:
    client = Client(enforce_csrf_checks=True)
    ines = log_in("Ines", Right.PROVE).user
    assert ines is not None
    client.force_login(ines)
    text = said(client.post("/boats/new/", {"name": "Whimbrel"}), 403)
    assert "Send it once more" in text
    assert "Nothing was changed" in text


def test_a_form_of_our_own_is_never_too_old(three_days: Yard) -> None:
    """By what the browser says of where it comes from; another site's, or one that hides it, is."""
    client = Client(enforce_csrf_checks=True)
    ines = log_in("Ines", Right.PROVE).user
    assert ines is not None
    client.force_login(ines)
    for origin, status in (
        ("http://testserver", 422),  # the form is read, and asks for more
        ("https://testserver", 403),
        ("http://testserver:8001", 403),
        ("http://testserver.elsewhere.example", 403),
        ("", 403),
        ("http://elsewhere.example", 403),
        ("null", 403),
    ):
        answer = client.post("/boats/new/", {"name": ""}, headers={"Origin": origin})
        assert answer.status_code == status, origin
    assert client.post("/boats/new/", {"name": ""}).status_code == 403  # no word of an origin


def test_by_a_name_that_is_not_ours(three_days: Yard, client: Client) -> None:
    assert "--name" in said(client.get("/", headers={"Host": "elsewhere.example"}), 400)


def test_something_broke(three_days: Yard, as_person: Use, monkeypatch: pytest.MonkeyPatch) -> None:
    def breaks(*_: object) -> None:
        raise RuntimeError("A. Reeve, 555 0142")

    client = as_person(log_in("Ines", Right.PROVE))
    client.raise_request_exception = False
    monkeypatch.setattr(views, "morning", breaks)
    text = said(client.get("/"), 500)
    assert "tell whoever keeps the server" in text
    assert "A. Reeve" not in text


def test_what_stands_beside_a_request_without_a_person(three_days: Yard) -> None:
    from yardwright.web.context import around_every_page

    assert around_every_page(HttpRequest())["person"] is None
