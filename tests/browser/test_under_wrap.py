"""The under-wrap card at the boat: a tap on the sketch, with no signal, and read before the cut."""

import json
import os
import re
from collections.abc import Iterator
from contextlib import closing
from datetime import datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import context, log_in
from tests.browser.looked_over import faults
from tests.browser.served import ROOT, Served
from tests.browser.test_phone_offline import AT_HAND, PAGES, SIGNAL, opened, wait_until

CARD = "/boats/TEA/under-wrap/"
DRAWN = "SELECT json_group_array(json_array(what, body)) FROM work_fact WHERE kind = 'under wrap'"


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with Served(tmp_path_factory.mktemp("yard"), ROOT / "docs/teal.toml") as served:
        served.set_clock(datetime.fromisoformat("2031-05-05T06:50-04:00"))
        with closing(served.database()) as db, db:
            db.execute("UPDATE fleet_boat SET has = json_insert(has, '$[#]', 'cover')")
        yield served


@pytest.fixture
def phone(browser: Browser, yard: Served) -> Iterator[Page]:
    if yard.process.poll() is not None:
        yard.start()
    made = context(browser, yard, "phone")
    page = made.new_page()
    log_in(page, "Mara")
    yield page
    made.close()


def tap(page: Page, along: float, across: float) -> None:
    """On the boat: 0 bow to 1 stern, −1 port to 1 starboard; the drawing says its own units."""
    sketch = page.locator(".sketch svg")
    box = sketch.bounding_box()
    assert box is not None
    long, half, margin = (
        float(sketch.get_attribute(f"data-{n}") or 0) for n in ("long", "half", "round")
    )
    wide, _ = map(float, (sketch.get_attribute("viewBox") or "").split()[2:])
    scale = box["width"] / wide
    x, y = wide / 2 + across * half, margin + along * long
    sketch.click(position={"x": x * scale, "y": y * scale})


def drawn(yard: Served) -> dict[str, dict[str, object]]:
    return {what: json.loads(body) for what, body in json.loads(yard.ask(DRAWN))}


def test_drawn_with_no_signal_and_read_before_the_cut(phone: Page, yard: Served) -> None:
    page = phone
    opened(page, AT_HAND)
    wait_until(page, f"(await {PAGES}).includes('{CARD}')")  # it comes along with her page
    yard.stop()
    page.goto(CARD)
    expect(page.locator("#copy")).to_contain_text("Copy of")
    expect(page.get_by_text("Nobody drew what lies under her wrap")).to_be_visible()
    tap(page, 0.86, 0.5)
    expect(page.get_by_label("Where on her?")).to_have_value("stern, starboard")
    page.get_by_label("What lies there?").fill("rod holder")
    page.get_by_label("It is").select_option("hard or sharp")
    page.get_by_role("button", name="Put it on the card").click()
    expect(page.locator("#mark + .entered, #mark .entered")).to_contain_text("rod holder")
    expect(page.locator(".sketch .waits-here")).to_have_count(1)
    page.reload()
    expect(page.locator(".sketch .waits-here")).to_have_count(1)
    assert not faults(page, "phone")
    page.locator("form[action$='/read/'] button").click()
    yard.start()
    page.evaluate(SIGNAL)
    expect(page.locator("#card")).to_contain_text("1. rod holder", timeout=20_000)
    expect(page.locator("#read")).to_contain_text("Mara")
    expect(page.locator(".sketch .waits-here")).to_have_count(0)
    held = drawn(yard)["rod holder"]
    assert held["zone"] == "stern, starboard"
    assert held["spot"] == pytest.approx([0.86, 0.5], abs=0.02)


def test_by_the_list_alone_and_a_photo_beside_it(phone: Page, yard: Served) -> None:
    page = phone
    page.goto(CARD)
    page.locator("#mark summary").first.click()
    tap(page, 0.2, -0.4)
    page.get_by_label("Where on her?").select_option("helm")  # the list has the last word
    expect(page.locator(".sketch .chosen")).to_have_count(0)
    page.get_by_label("What lies there?").fill("along the console's front edge")
    page.get_by_label("It is").select_option("cut here")
    picture = page.locator("#mark input[type=file]")
    picture.set_input_files(ROOT / "docs/morning-sheet.png")
    expect(page.get_by_text("1 photo kept on this phone.")).to_be_visible()
    page.get_by_role("button", name="Put it on the card").click()
    expect(page.locator("#card")).to_contain_text(
        re.compile(r"\d\. along the console"), timeout=20_000
    )
    held = drawn(yard)["along the console's front edge"]
    assert (held["zone"], held["spot"]) == ("helm", None)
    expect(page.get_by_text("1 photo held.")).to_be_visible()
    page.reload()
    expect(page.get_by_role("img", name="Photo of along the console")).to_be_visible()
    shots = os.environ.get("SHOTS")
    if shots:
        look(page, Path(shots))


def look(page: Page, to: Path) -> None:
    """Pictures for whoever wants to see it: ``SHOTS=folder``."""
    for scheme in ("light", "dark"):
        page.emulate_media(color_scheme=scheme)
        for width in (390, 1280):
            page.set_viewport_size({"width": width, "height": 900})
            page.screenshot(path=to / f"card-{width}-{scheme}.png", full_page=True)
