"""A yard for every test that needs one, and append-only tables that a test may empty afterwards."""

from collections.abc import Callable, Iterator
from datetime import datetime, timedelta
from functools import lru_cache
from pathlib import Path
from uuid import uuid4

import pytest
from django.contrib.auth.models import User
from django.core.management.commands import flush
from django.db import connections
from django.test import Client
from django.utils import timezone
from hypothesis import settings

from yardwright.fleet.models import Boat
from yardwright.season.model import Right, Season
from yardwright.season.read import read_file
from yardwright.work import exchange
from yardwright.work.facts import Entry
from yardwright.yard import clock, triggers
from yardwright.yard.models import Person, Yard

DOCS = Path(__file__).parents[1] / "docs"

settings.register_profile("unhurried", deadline=None)  # a busy machine is no fault of the sum
settings.load_profile("unhurried")


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """The files that take longest first: none is left for the end, when the other process is done."""
    long = {item.path for item in items if item.get_closest_marker("slow")}
    items.sort(key=lambda item: (item.path not in long, "browser" not in item.path.parts))


def pytest_configure() -> None:
    """A test with transactions ends in emptied tables, which the triggers refuse: lift them then."""
    plain = flush.Command.handle

    def handle(self: flush.Command, **options: object) -> None:
        connection = connections[str(options["database"])]
        for table in triggers.FACT_TABLES:
            triggers.lift(connection, table)
        try:
            plain(self, **options)
        finally:
            for table in triggers.FACT_TABLES:
                triggers.put(connection, table)

    flush.Command.handle = handle  # type: ignore[method-assign]  # for tests only


@pytest.fixture(autouse=True)
def _forget_the_yard() -> Iterator[None]:
    yield
    clock.remember(None)


@pytest.fixture
def three_days(db: None) -> Yard:
    """Heron Slip as story A1 has it, on Tuesday 6 May 2031, 06:50."""
    exchange.take_in(_season("three-days.toml"), by="Mara")
    return set_clock(datetime.fromisoformat("2031-05-06T06:50-04:00"))


@pytest.fixture
def teal(db: None) -> Boat:
    """Story A3: Teal with eleven things undone."""
    exchange.take_in(_season("teal.toml"), by="Mara")
    return Boat.objects.get(name="Teal")


@lru_cache
def _season(name: str) -> Season:
    """A season file of the docs, read once."""
    return read_file(DOCS / name)


def set_clock(now: datetime) -> Yard:
    """Let the yard's clock run from this moment."""
    yard = Yard.objects.get()
    yard.clock_ahead_s = (now - timezone.now()).total_seconds()
    yard.save()
    clock.remember(None)
    return yard


def log_in(name: str, *rights: Right, learner: bool = False) -> Person:
    """Somebody who can log in, with rights."""
    user, _ = User.objects.get_or_create(username=name)
    person, _ = Person.objects.get_or_create(name=name)
    person.user, person.rights, person.learner = user, [*rights], learner
    person.save()
    return person


@pytest.fixture
def as_person(client: Client) -> Callable[[Person], Client]:
    def use(person: Person) -> Client:
        assert person.user is not None
        client.force_login(person.user)
        return client

    return use


def entry(by: Person, ago: timedelta = timedelta(0)) -> Entry:
    """A new entry by somebody, some time ago by the yard's clock."""
    return Entry(uuid4(), by, clock.now() - ago)
