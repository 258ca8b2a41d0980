"""A kit was due this morning: one press says that it came, and it may turn out not to have."""

import json
from datetime import datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.conftest import context, log_in
from tests.browser.looked_over import Device, faults
from tests.browser.served import ROOT, Served
from tests.browser.test_phone_offline import SIGNAL, opened, yards_now


@pytest.mark.parametrize("device", ["desk", "phone"])
def test_one_press_says_that_the_kit_came(browser: Browser, tmp_path: Path, device: Device) -> None:
    with Served(tmp_path / "yard", ROOT / "docs/three-days.toml") as yard:
        yard.set_clock(datetime.fromisoformat("2031-05-06T07:31-04:00"))
        page = context(browser, yard, device).new_page()
        log_in(page, "Mara")
        page.goto("/")
        asked = page.get_by_role("heading", name="Did it come?")
        it_came = page.get_by_role("button", name="It came: kit")
        expect(asked).to_be_visible()
        kit = page.get_by_role("listitem").filter(has=it_came)
        expect(kit).to_contain_text("kit, due Tue 6 May 07:30, and nobody said that it came")
        assert faults(page, device) == []
        it_came.click()
        expect(page.get_by_role("heading", name="Morning Sheet")).to_be_visible()
        expect(asked).to_have_count(0)

        page.goto("/parts/")
        expect(page.get_by_text("Came Tue 6 May 07:3")).to_be_visible()
        assert faults(page, device) == []
        page.get_by_role("link", name="Not here after all").click()
        page.get_by_label("Reason").fill("the wrong kit was in the box")
        page.get_by_role("button", name="strike it out").click()

        page.goto("/")
        page.get_by_role("link", name="New day").click()
        page.get_by_label("Comes").fill("2031-05-07T09:00")
        page.get_by_role("button", name="This is when it comes").click()
        expect(page.get_by_role("heading", name="Morning Sheet")).to_be_visible()
        expect(asked).to_have_count(0)
        page.goto("/parts/")
        expect(page.get_by_text("Due Wed 7 May 09:00")).to_be_visible()
        expect(it_came).to_be_visible()  # it may come before its day
        assert faults(page, device) == []


CAME = """SELECT json_group_array(json_array(done_at, received_at)) FROM work_fact
  WHERE kind = 'arrived' AND what = 'kit'"""


def test_said_at_the_boat_with_no_signal_it_is_sent_later(browser: Browser, tmp_path: Path) -> None:
    with Served(tmp_path / "yard", ROOT / "docs/three-days.toml") as yard:
        yard.set_clock(datetime.fromisoformat("2031-05-06T07:31-04:00"))
        page = context(browser, yard, "phone").new_page()
        log_in(page, "Mara")
        opened(page, "/boats/CUR/at-hand/")
        yard.stop()
        page.goto("/boats/CUR/at-hand/")
        before = yards_now(yard)
        page.locator("#work summary").filter(has_text="kit").click()
        page.get_by_role("button", name="It came: kit").click()
        expect(page.locator("#work .entered")).to_contain_text("Kept on this phone")
        expect(page.locator("#work .entered")).to_contain_text("Curlew: kit, came")
        after = yards_now(yard)
        assert faults(page, "phone") == []
        yard.start()
        page.evaluate(SIGNAL)
        expect(page.locator("#work .entered")).to_contain_text("Held. It came: kit")
        ((done_at, received_at),) = json.loads(yard.ask(CAME))
        at = datetime.fromisoformat
        assert before <= at(done_at) <= after < at(received_at)
        page.goto("/boats/CUR/at-hand/")
        expect(page.locator("#work")).not_to_contain_text("kit")
