"""What a phone keeps to open a page with no signal: the worker, its list, the home screen."""

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from django.contrib.staticfiles import finders
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory

from yardwright.procedures.quantities import quantities
from yardwright.web import shell


def edition(client: Client) -> str:
    found = re.match(r'const EDITION = "(\w+)";', client.get("/phone/worker.js").content.decode())
    assert found
    return found[1]


@pytest.mark.django_db
def test_the_worker_is_for_every_page_and_asked_for_anew(client: Client) -> None:
    """Also for who is logged out: an update never turns into a log-in page."""
    answer = client.get("/phone/worker.js")
    assert answer.status_code == 200
    assert answer["Content-Type"].startswith("text/javascript")
    assert answer["Service-Worker-Allowed"] == "/"
    assert answer["Cache-Control"] == "no-cache"


@pytest.mark.django_db
def test_what_it_keeps_is_there(client: Client) -> None:
    """One address that is missing, and no worker would ever be installed."""
    lines = client.get("/phone/worker.js").content.decode().splitlines()
    kept = json.loads(lines[1].removeprefix("const SHELL = ").removesuffix(";"))
    assert {
        "/static/yardwright.css",
        "/static/phone/outbox.js",
        "/static/phone/no_signal.html",
    } <= {*kept}
    assert "/static/phone/worker.js" not in kept
    for told in ("/phone/rules.json", "/phone/steps.json"):
        kept.remove(told)
        assert client.get(told).status_code == 200  # also for who is logged out
    for address in kept:
        assert finders.find(address.removeprefix("/static/")), address


@pytest.mark.django_db
def test_what_readings_are_judged_by_is_for_every_boat(client: Client) -> None:
    """Also for who is logged out: else no worker would be installed."""
    answer = client.get("/phone/rules.json")
    assert answer["Content-Type"].startswith("application/json")
    assert {*answer.json()["quantities"]} == {*quantities()}
    assert len(answer.content) < 30_000


@pytest.mark.django_db
def test_whatever_a_page_asks_for_is_kept(client: Client) -> None:
    """The log-in page asks for the scripts and styles of every page."""
    asked = re.findall(
        r'(?:src|href)="(/static/[^"]+\.(?:js|css))"', client.get("/sign-in/").content.decode()
    )
    worker = client.get("/phone/worker.js").content.decode()
    assert len(asked) == 4
    for address in asked:
        assert f'"{address}"' in worker


@pytest.mark.django_db
def test_other_content_is_another_edition(
    client: Client, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    before, file = edition(client), shell._file
    assert edition(client) == before
    changed = tmp_path / "outbox.js"
    changed.write_text("// another", encoding="utf-8")
    monkeypatch.setattr(
        shell, "_file", lambda name: changed if name == "phone/outbox.js" else file(name)
    )
    assert edition(client) != before


@pytest.mark.django_db
@pytest.mark.parametrize("told", ["_rules", "_lessons"])
def test_another_rule_or_word_of_a_step_is_another_edition(
    told: str, client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = edition(client)
    monkeypatch.setattr(shell, told, lambda: "{}")
    assert edition(client) != before


@pytest.mark.django_db
def test_the_home_screen_opens_todays_boats(client: Client) -> None:
    told = client.get("/phone/manifest.webmanifest").json()
    assert (told["start_url"], told["scope"], told["display"]) == ("/phone/", "/", "standalone")
    for icon in told["icons"]:
        assert finders.find(icon["src"].removeprefix("/static/"))


@pytest.mark.parametrize("view", [shell.worker, shell.manifest, shell.rules, shell.lessons])
def test_they_are_only_read(
    view: Callable[[HttpRequest], HttpResponse], rf: RequestFactory
) -> None:
    assert view(rf.post("/")).status_code == 405
