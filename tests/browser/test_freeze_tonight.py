"""Freeze Tonight on a phone: marked saved one by one while the server is gone, held once later."""

import json
import re
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.looked_over import faults
from tests.browser.served import Served
from tests.browser.test_phone_offline import opened, wait_until

ONE_BOAT = Path(__file__).parent / "one_boat.toml"
AT = "/freeze-tonight/"
COUNT = "SELECT count(*) FROM work_fact WHERE kind = 'saved'"


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Served]:
    with Served(tmp_path / "yard", ONE_BOAT) as served:
        with closing(served.database()) as db, db:
            has = json.dumps(["outboard", "head", "shower sump", "livewell"])
            db.execute("UPDATE fleet_boat SET has = ?", [has])
        served.set_clock(datetime.fromisoformat("2030-11-20T16:50-05:00"))
        yield served


@pytest.mark.slow
def test_marked_saved_with_the_server_gone(yard: Served, page: Page) -> None:
    opened(page, "/boats/WRE/at-hand/")  # the worker is here
    page.goto(AT)
    wait_until(page, f"(await caches.match('{AT}'))")
    found = faults(page, "phone")
    assert found == [], "; ".join(found)
    saves = page.get_by_role("button", name=re.compile("Saved *Wren"))
    many = saves.count()
    assert many > 1, page.locator("main").inner_text()
    yard.stop()
    page.goto(AT)
    expect(page.locator("#copy")).to_contain_text("Copy of")
    for left in (many - 1, many - 2):
        saves.first.click()
        expect(page.get_by_role("button", name=re.compile("Saved *Wren"))).to_have_count(left)
    expect(page.get_by_text("waiting to be sent")).to_have_count(2)
    page.reload()  # closed and opened again: both still wait
    expect(page.get_by_text("waiting to be sent")).to_have_count(2)
    yard.start()
    for _ in range(60):
        page.evaluate("dispatchEvent(new Event('online'))")
        page.wait_for_timeout(500)
        if yard.ask(COUNT) == "2":
            break
    page.goto(AT)
    assert yard.ask(COUNT) == "2"
    expect(page.locator("#saved details")).to_have_count(2)
    expect(page.get_by_role("button", name=re.compile("Saved *Wren"))).to_have_count(many - 2)
    wrong = page.locator("#saved details").first
    wrong.locator("summary").click()
    wrong.get_by_label("Reason").fill("the wrong boat")
    wrong.get_by_role("button", name="It was not so").click()
    expect(wrong.locator("xpath=..").get_by_text("Held.")).to_be_visible()
    page.goto(AT)
    expect(page.get_by_role("button", name=re.compile("Saved *Wren"))).to_have_count(many - 1)
