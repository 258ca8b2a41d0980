"""Teal and her people on Friday 2 May 2031, 08:00, and what every page of hers is asked."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from html import unescape
from uuid import uuid4

import pytest
from django.test import Client

from tests.conftest import log_in, set_clock
from yardwright.fleet.models import Boat
from yardwright.season.model import Right
from yardwright.work.models import Fact
from yardwright.yard.models import Instrument, Person

NOW = datetime.fromisoformat("2031-05-02T08:00-04:00")
HTMX = {"HX-Request": "true"}
Typed = dict[str, str]


@dataclass(frozen=True)
class Crew:
    ines: Person  # mechanic, may clear
    tomas: Person  # yard hand, proves
    pip: Person  # learns
    guest: Person  # looks only


@pytest.fixture
def crew(teal: Boat) -> Crew:
    set_clock(NOW)
    return Crew(
        log_in("Ines", Right.PROVE, Right.CLEAR),
        log_in("Tomas", Right.PROVE),
        log_in("Pip", Right.PROVE, learner=True),
        log_in("Guest"),
    )


@pytest.fixture
def ines(crew: Crew, as_person: Callable[[Person], Client]) -> Client:
    return as_person(crew.ines)


def typed(**fields: object) -> Typed:
    """A form as it is sent: its own uuid, and what was typed."""
    return {"uuid": str(uuid4())} | {name: str(value) for name, value in fields.items()}


def undone(what: str) -> Fact:
    return Fact.objects.get(kind="undone", what=what)


def words(answer: object) -> str:
    """A page's text with its entities read."""
    return unescape(answer.content.decode())  # type: ignore[attr-defined]


def instrument(name: str, unit: str, u: float | None) -> Instrument:
    values = {
        "unit": unit,
        "checked_until": "2032-01-01",
        "u": u,
        "within": None,
        "within_share": 0.0,
        "resolution": 0.0,
    }
    return Instrument.objects.create(name=name, quantity="", values=values)


def asks_for_log_in(client: Client, path: str) -> None:
    """A stranger is sent to the sign-in page, and back from there."""
    client.logout()
    answer = client.get(path)
    assert answer.status_code == 302
    assert answer.headers["Location"].startswith("/sign-in/?next=/")


def refuses_method(client: Client, path: str, *methods: str) -> None:
    for method in methods:
        assert client.generic(method, path).status_code == 405, method
