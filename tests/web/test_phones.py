"""How a phone reaches the yard: the page says what is there, and both ways to https."""

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest
from django.test import Client
from django.utils.html import strip_tags
from pytest_django import Settings

from tests.conftest import log_in
from yardwright.web import authority
from yardwright.yard.models import Person, Yard


@pytest.fixture
def mara(three_days: Yard, as_person: Callable[[Person], Client]) -> Client:
    return as_person(log_in("Mara"))


def test_over_plain_http_it_says_who_reads_along(mara: Client) -> None:
    page = mara.get("/yard/phones/").content.decode()
    assert "whoever is on the network can read along" in page
    assert "--https --name heron.local" in strip_tags(page)
    assert "--certificate fullchain.pem" in strip_tags(page)
    assert "SHA-256" not in page


def test_by_the_yard_s_own_authority_it_shows_what_to_compare(
    mara: Client, settings: Settings, tmp_path: Path
) -> None:
    settings.HOME = tmp_path
    settings.GIVES_AUTHORITY_AT = "http://heron.local:8001/"
    authority.server_certificate(tmp_path, ["heron.local"], datetime.now(UTC))
    page = mara.get("/yard/phones/", secure=True).content.decode()
    assert "nobody else on the network reads along" in page
    assert authority.fingerprint(tmp_path) in page
    assert "http://heron.local:8001/" in page


def test_a_stranger_is_sent_to_sign_in(three_days: Yard, client: Client) -> None:
    assert client.get("/yard/phones/").status_code == 302
