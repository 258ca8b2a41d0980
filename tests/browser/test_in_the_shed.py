"""The whole way: a phone into the shed, much entered, a browser closed, a server killed, the desk sees it all once."""

import json
import logging
import os
import re
import signal
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path
from typing import cast

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import context, log_in
from tests.browser.served import ROOT, Served
from tests.browser.test_phone_offline import (
    AT_HAND,
    SIGNAL,
    carried,
    expect_under,
    opened,
    put_back,
    rows,
    wait_until,
    yards_now,
)
from tests.browser.test_photos_on_the_phone import camera

log = logging.getLogger(__name__)
PUT_BACK = (
    "stern drain plug out",
    "propeller off",
    "livewell hose off its seacock",
    "two batteries ashore",
    "cowling vents taped against mice",
)
READINGS = {  # by the limits on file in docs/teal.toml; only the head has one
    "head_temperature": ("Head temperature", {"value_1": "174 F", "value_2": "190 F"}, "Stop"),
    "battery_at_rest": ("Battery at rest", {"value_1": "12.6 V"}, None),
    "battery_under_load": ("Battery under load", {"value_1": "10.2 V"}, None),
    "gear_case_pressure": ("Gear case, pressure held", {"value_1": "100 kPa"}, None),
    "start_cable_drop": ("Voltage lost, start cable", {"value_1": "0.2 V"}, None),
    "charge_voltage": ("Charge voltage", {"value_1": "14.2 V"}, None),
    "bilge_pump_current": ("Bilge pump, current", {"value_1": "3 A"}, None),
    "propeller_nut_torque": ("Propeller nut, torque", {"value_1": "70 N m"}, None),
}
TOLD = {"c_warm": "yes", "c_dull_spots": "yes"}
NOTE = "Scratch in the gelcoat, port side aft, a hand long."
PHOTOS_OF = {PUT_BACK[0]: 2, PUT_BACK[1]: 1}  # and one of the note
ENTRIES, PHOTOS = len(PUT_BACK) + len(READINGS) + 1, 4
MINE = """SELECT count(*) FROM work_fact
  WHERE sent != '' AND kind IN ('put back', 'reading', 'note')"""
FOUND = """SELECT json_group_array(json_array(kind, what, done_at, received_at)) FROM work_fact
  WHERE sent != '' AND kind IN ('put back', 'reading', 'note')"""


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    seasons = (ROOT / "docs/teal.toml", ROOT / "docs/three-days.toml")
    with Served(tmp_path_factory.mktemp("yard"), *seasons) as served:
        served.set_clock(datetime.fromisoformat("2031-05-05T06:50-04:00"))
        yield served


def attach(page: Page, item: str, count: int) -> None:
    one = page.locator(item)
    files = [camera(f"{n}.jpg", (1600, 1200)) for n in range(count)]
    one.locator("input[type=file]").set_input_files(files)
    expect(one.locator(".chosen canvas")).to_have_count(count)


def item_of(page: Page, thing: str) -> str:
    found = page.locator("details.item[id^=u-]").filter(has_text=thing)
    return f"#{found.get_attribute('id')}"


def read(page: Page, code: str, typed: dict[str, str]) -> str:
    """What the phone says of it, before it is kept."""
    one = page.locator(f"#r-{code}")
    one.locator("summary").first.click()
    for name, text in typed.items():
        one.locator(f"[name={name}]").fill(text)
    if code == "head_temperature":
        one.locator("[name=instrument]").select_option(label="infrared gun")
        for name, answer in TOLD.items():
            one.locator(f"[name={name}]").select_option(answer)
    said = one.locator(".answer h3")
    verdict = said.inner_text()
    one.locator("button.main").click()
    expect(page.locator(f"#r-{code} + .entered")).to_contain_text("Kept on this phone")
    return verdict


def write_note(page: Page) -> None:
    page.locator("#note summary").first.click()
    page.locator("#note textarea").fill(NOTE)
    attach(page, "#note", 1)
    page.locator("#note button.main").click()
    expect(page.locator("#note + .entered")).to_contain_text("Kept on this phone")


def killed_while_it_takes_them(yard: Served, page: Page) -> int:
    """How many were held when the server was killed: some, and not all."""
    with closing(sqlite3.connect(f"file:{yard.home}/yard.sqlite3?mode=ro", uri=True)) as db:
        page.evaluate(f"setTimeout(() => {SIGNAL}, 50)")
        until = time.monotonic() + 20
        while db.execute(MINE).fetchone()[0] < 3:
            assert time.monotonic() < until, "nothing came"
        os.killpg(yard.process.pid, signal.SIGKILL)
        yard.process.wait()
        return int(db.execute(MINE).fetchone()[0])


def test_into_the_shed_and_home_again(browser: Browser, yard: Served, tmp_path: Path) -> None:
    phone = carried(browser, yard, tmp_path)
    page = phone.new_page()
    log_in(page, "Mara")
    page.goto("/phone/")
    expect(page.locator("#copies")).to_contain_text(re.compile(r"(\d+) of \1 boats are on this"))
    opened(page)
    wait_until(page, "await caches.match('/phone/rules.json')")
    yard.stop()
    page.goto(AT_HAND)
    expect(page.locator("#copy")).to_contain_text("Copy of 06:5")

    before = yards_now(yard)
    for thing in PUT_BACK:
        if count := PHOTOS_OF.get(thing):
            page.locator(item_of(page, thing)).locator("summary").first.click()
            attach(page, item_of(page, thing), count)
            page.locator(item_of(page, thing)).locator("form button.main").click()
        else:
            put_back(page, thing)
        expect_under(page, thing, "Kept on this phone")
    verdicts = {code: read(page, code, typed) for code, (_, typed, _) in READINGS.items()}
    write_note(page)
    after = yards_now(yard)
    assert list(verdicts.values()).count("Stop") == 1
    assert verdicts["head_temperature"] == "Stop"
    says = f"{ENTRIES} entries and {PHOTOS} photos wait on this phone."
    expect(page.locator("#waits")).to_contain_text(says)

    phone.close()
    phone = carried(browser, yard, tmp_path)
    page = phone.new_page()
    page.goto(AT_HAND)
    expect(page.locator("#waits")).to_contain_text(says)
    yard.start()
    held = killed_while_it_takes_them(yard, page)
    log.info("killed when %d of %d entries were held", held, ENTRIES)
    assert 0 < held < ENTRIES
    assert len(rows(page)) == ENTRIES  # none was named
    yard.start()
    page.evaluate(SIGNAL)
    expect(page.locator("#waits")).to_be_hidden(timeout=60_000)
    assert rows(page) == []

    found = cast(list[list[str]], json.loads(yard.ask(FOUND)))
    things = sorted(what for kind, what, *_ in found if kind == "put back")
    assert len(found) == ENTRIES
    for _, _, done_at, received_at in found:
        assert (
            before <= datetime.fromisoformat(done_at) <= after < datetime.fromisoformat(received_at)
        )
    assert len(set(things)) == len(PUT_BACK)
    phone.close()
    the_desk_sees(browser, yard, verdicts, (before, after))


def the_desk_sees(
    browser: Browser, yard: Served, verdicts: dict[str, str], made: tuple[datetime, datetime]
) -> None:
    """Each once, with who, when, and the verdict that the phone gave; the photos too."""
    desk = context(browser, yard, "desk").new_page()
    log_in(desk, "Ines")
    desk.goto("/boats/TEA/record/")
    zone = timedelta(hours=4)  # New York in May is four hours behind
    minutes = {
        (made[0] - zone + timedelta(minutes=n)).strftime("%H:%M")
        for n in range(int((made[1] - made[0]).total_seconds() // 60) + 2)
    }
    for words in (*(f"Put back: {thing}" for thing in PUT_BACK), f"Note: {NOTE}"):
        row = desk.locator("tbody tr").filter(has_text=words)
        expect(row).to_have_count(1)
        expect(row.locator("[data-label=Who]")).to_have_text("Mara")
        assert row.locator("[data-label=Done]").inner_text()[-5:] in minutes
    photos = desk.locator("tbody img")
    expect(photos).to_have_count(PHOTOS)
    for photo in photos.all():
        photo.scroll_into_view_if_needed()
        assert photo.evaluate("(img) => img.decode().then(() => img.naturalWidth)") > 0

    desk.goto("/boats/TEA/readings/")
    for code, (name, _, verdict) in READINGS.items():
        row = desk.locator("tbody tr").filter(has_text=name)
        expect(row).to_have_count(1)
        expect(row).to_contain_text(verdict or verdicts[code])
        expect(row.locator("[data-label=Read]")).to_contain_text("Mara")
    desk.goto("/boats/TEA/left-undone/")
    for thing in PUT_BACK:
        expect(desk.locator("#her-left-undone")).not_to_contain_text(thing)
    desk.context.close()
