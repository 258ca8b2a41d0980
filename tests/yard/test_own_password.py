"""Everybody changes their own password, and stays logged in where they did."""

from collections.abc import Callable

import pytest
from django.contrib.auth.models import User
from django.test import Client

from tests.conftest import log_in
from yardwright.yard.models import Person, Yard

OLD, NEW = "cold hands, warm keys", "walk round her twice"
PATH = "/sign-in/password/"
SENT = {"old_password": OLD, "new_password1": NEW, "new_password2": NEW}


@pytest.fixture
def kim(three_days: Yard, as_person: Callable[[Person], Client]) -> Client:
    kim = log_in("Kim")
    assert kim.user is not None
    kim.user.set_password(OLD)
    kim.user.save()
    return as_person(kim)


def stored() -> User:
    return User.objects.get(username="Kim")


def test_the_new_one_counts_and_she_stays_logged_in(kim: Client) -> None:
    elsewhere = Client()
    elsewhere.force_login(stored())
    assert PATH in kim.get("/").content.decode()
    assert kim.get(PATH).status_code == 200
    assert kim.post(PATH, SENT)["Location"] == "/"
    assert stored().check_password(NEW)
    assert kim.get("/").status_code == 200
    assert elsewhere.get("/").status_code == 302


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"old_password": "guess"}, "That is not your password now"),
        ({"new_password2": "walk round her"}, "The two new ones differ"),
        ({"new_password1": "short", "new_password2": "short"}, "at least 8 characters"),
        ({"new_password1": "password1", "new_password2": "password1"}, "too common"),
    ],
)
def test_what_cant_be_so_changes_nothing(change: dict[str, str], says: str, kim: Client) -> None:
    answer = kim.post(PATH, SENT | change)
    assert answer.status_code == 422
    assert says in answer.content.decode()
    assert "all three are typed anew" in answer.content.decode()
    for typed in (SENT | change).values():
        assert f'value="{typed}"' not in answer.content.decode()
    assert stored().check_password(OLD)


def test_strangers_and_other_methods(kim: Client) -> None:
    assert kim.put(PATH).status_code == 405
    kim.logout()
    assert kim.get(PATH)["Location"].startswith("/sign-in/?next=/")
    refused = kim.post(PATH, SENT)
    assert refused.status_code == 401
    assert OLD not in refused.content.decode()
    assert stored().check_password(OLD)
