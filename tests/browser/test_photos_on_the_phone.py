"""Photos taken at a boat with no signal: kept with their entry, sent after it, held once, seen later."""

import json
from collections.abc import Iterator
from datetime import datetime
from io import BytesIO
from pathlib import Path
from typing import cast
from uuid import UUID

import pillow_heif
import pytest
from PIL import ExifTags, Image
from playwright.sync_api import Browser, FilePayload, Locator, Page, expect

from tests.browser.conftest import context, log_in
from tests.browser.looked_over import faults
from tests.browser.served import ROOT, Served
from tests.browser.test_phone_offline import AT_HAND, SIGNAL, carried, opened, wait_until

SEASON = (ROOT / "docs/teal.toml", ROOT / "docs/three-days.toml")
NO_ROOM = """const put = IDBObjectStore.prototype.put;
IDBObjectStore.prototype.put = function (value, ...key) {
  if (this.name === "bytes") throw new DOMException("no room", "QuotaExceededError");
  return put.call(this, value, ...key);
};"""
STUMBLES = """const go = fetch; let first;
globalThis.fetch = (to, asked) => {
  if (!String(to).startsWith("/phone/photos/")) return go(to, asked);
  first ??= to;
  return to === first ? Promise.resolve(new Response("Server Error", {status: 500})) : go(to, asked);
};"""
HELD = """SELECT json_group_array(json_array(photo.body, entry.kind, entry.what)) FROM work_fact photo
  JOIN work_fact entry ON entry.uuid = photo.of_id WHERE photo.kind = 'photo' AND entry.what = ?"""
SMALL = (
    """caches.open("yardwright small photos").then((all) => all.keys()).then((all) => all.length)"""
)


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with Served(tmp_path_factory.mktemp("yard"), *SEASON) as served:
        served.set_clock(datetime.fromisoformat("2031-05-05T06:50-04:00"))
        yield served


@pytest.fixture
def stopped(yard: Served) -> Iterator[Served]:
    yield yard
    if yard.process.poll() is not None:
        yard.start()


@pytest.fixture
def phone(browser: Browser, yard: Served) -> Iterator[Page]:
    made = context(browser, yard, "phone")
    page = made.new_page()
    log_in(page, "Mara")
    yield page
    made.close()


def camera(name: str, size: tuple[int, int] = (4000, 3000)) -> FilePayload:
    """As a phone's camera writes it: held upright, with its place."""
    said = Image.Exif()
    said[ExifTags.Base.Orientation] = 6
    said[ExifTags.IFD.GPSInfo] = {ExifTags.GPS.GPSLatitudeRef: "N"}
    seen = Image.effect_mandelbrot(size, (-2.0, -1.5, 1.0, 1.5), 60).convert("RGB")
    out = BytesIO()
    seen.save(out, "JPEG", quality=92, exif=said.tobytes())
    return {"name": name, "mimeType": "image/jpeg", "buffer": out.getvalue()}


def item(page: Page, thing: str) -> Locator:
    return page.locator("details.item[id^=u-]").filter(has_text=thing)


def unfold(page: Page, thing: str) -> Locator:
    one = item(page, thing)
    one.locator("summary").first.click()
    return one


def photo_line(page: Page, thing: str) -> Locator:
    return page.locator(f"details.item[id^=u-]:has-text('{thing}') ~ [id^=photos-]").first


def held(yard: Served, thing: str) -> list[dict[str, object]]:
    """The photos that the yard holds beside what was said of a thing."""
    found = cast(list[tuple[str, str, str]], json.loads(yard.ask(HELD, thing)))
    assert all(kind == "put back" for _, kind, _ in found)
    return [json.loads(body) for body, _, _ in found]


def test_two_photos_of_a_put_back_through_a_closed_browser(
    browser: Browser, stopped: Served, tmp_path: Path
) -> None:
    thing = "stern drain plug out"
    phone = carried(browser, stopped, tmp_path)
    page = phone.new_page()
    log_in(page, "Mara")
    opened(page, "/phone/")
    opened(page)
    stopped.stop()
    page.goto(AT_HAND)
    one = unfold(page, thing)
    one.locator("input[type=file]").set_input_files([camera("a.jpg"), camera("b.jpg", (900, 700))])
    expect(one.locator(".chosen")).to_contain_text("2 photos kept on this phone.")
    expect(one.locator(".chosen canvas")).to_have_count(2)
    assert faults(page, "phone") == []
    one.locator("form button.main").click()
    expect(photo_line(page, thing)).to_contain_text("2 photos kept on this phone, waiting")
    expect(page.locator("#waits")).to_contain_text("1 entry and 2 photos wait on this phone.")
    assert faults(page, "phone") == []
    page.goto("/phone/")
    expect(page.locator("#photos-here canvas")).to_have_count(2)
    assert faults(page, "phone") == []
    phone.close()
    phone = carried(browser, stopped, tmp_path)
    page = phone.new_page()
    page.goto(AT_HAND)
    expect(photo_line(page, thing)).to_contain_text("2 photos kept on this phone, waiting")
    stopped.start()
    page.evaluate(SIGNAL)
    expect(photo_line(page, thing)).to_contain_text("2 photos held.", timeout=30_000)
    expect(page.locator("#waits")).to_be_hidden()
    first, second = held(stopped, thing)
    assert {(first["width"], first["height"]), (second["width"], second["height"])} == {
        (1200, 1600),
        (700, 900),
    }
    for one_photo in (first, second):
        sha = str(one_photo["sha256"])
        with Image.open(stopped.home / "photos" / sha[:2] / f"{sha}.jpg") as kept:
            assert dict(kept.getexif()) == {}
    page.reload()
    page.evaluate(SIGNAL)
    page.wait_for_timeout(500)
    assert len(held(stopped, thing)) == 2
    phone.close()


def test_chosen_but_not_entered_it_is_in_its_form_again(phone: Page, yard: Served) -> None:
    """A phone may close the page while its camera is open."""
    thing = "fuel pump lead off"
    opened(phone)
    unfold(phone, thing).locator("input[type=file]").set_input_files(camera("a.jpg", (600, 400)))
    expect(item(phone, thing).locator(".chosen canvas")).to_have_count(1)
    phone.reload()
    one = item(phone, thing)
    if one.get_attribute("open") is None:
        unfold(phone, thing)
    expect(one.locator(".chosen canvas")).to_have_count(1)
    one.locator("form button.main").click()
    expect(photo_line(phone, thing)).to_contain_text("1 photo held.")
    assert len(held(yard, thing)) == 1


def test_taken_out_again_it_is_not_sent(phone: Page, yard: Served) -> None:
    thing = "speed sensor out"
    opened(phone)
    one = unfold(phone, thing)
    one.locator("input[type=file]").set_input_files(camera("a.jpg", (600, 400)))
    one.get_by_role("button", name="Take it out").click()
    expect(one.locator(".chosen canvas")).to_have_count(0)
    one.locator("form button.main").click()
    expect(phone.locator(f"details.item:has-text('{thing}') + .entered")).to_contain_text("Held.")
    assert held(yard, "speed sensor out, blank fitted") == []


def test_one_that_the_server_stumbles_over_keeps_no_other_back(phone: Page, yard: Served) -> None:
    thing = "bilge pump switch lead off"
    phone.add_init_script(STUMBLES)
    opened(phone)
    one = unfold(phone, thing)
    one.locator("input[type=file]").set_input_files([camera("a.jpg"), camera("b.jpg", (900, 700))])
    expect(one.locator(".chosen")).to_contain_text("2 photos kept on this phone.")
    one.locator("form button.main").click()
    expect(photo_line(phone, thing)).to_contain_text("1 photo held", timeout=30_000)
    expect(photo_line(phone, thing)).to_contain_text("1 photo kept on this phone, waiting")
    assert [one["width"] for one in held(yard, thing)] == [700]


def test_a_heic_that_the_browser_cant_show_goes_as_it_is(phone: Page, yard: Served) -> None:
    thing = "two batteries ashore"
    out = BytesIO()
    pillow_heif.from_pillow(Image.new("RGB", (640, 480), "navy")).save(out)
    heic: FilePayload = {"name": "IMG_1.HEIC", "mimeType": "image/heic", "buffer": out.getvalue()}
    opened(phone)
    one = unfold(phone, thing)
    one.locator("input[type=file]").set_input_files(heic)
    expect(one.locator(".chosen")).to_contain_text("This browser can't show it here")
    one.locator("form button.main").click()
    expect(photo_line(phone, thing)).to_contain_text("1 photo held.")
    ((photo),) = held(yard, thing)
    assert (photo["width"], photo["height"]) == (640, 480)


def test_what_is_no_photo_is_said_and_loses_nothing(phone: Page, yard: Served) -> None:
    """One refused by the phone, one by the yard: the entry and the third photo are held."""
    thing = "propeller off"
    paper: FilePayload = {"name": "manual.pdf", "mimeType": "application/pdf", "buffer": b"%PDF"}
    broken: FilePayload = {"name": "x.heic", "mimeType": "image/heic", "buffer": b"half of it"}
    opened(phone)
    one = unfold(phone, thing)
    one.locator("input[type=file]").set_input_files([paper, broken, camera("a.jpg", (600, 400))])
    expect(one.get_by_role("alert")).to_contain_text("manual.pdf is no picture.")
    one.locator("form button.main").click()
    line = photo_line(phone, thing)
    expect(line).to_contain_text("1 photo held.")
    expect(line.get_by_role("alert")).to_contain_text("This is no picture, or a damaged one.")
    assert faults(phone, "phone") == []
    assert len(held(yard, thing)) == 1
    line.get_by_role("button", name="Throw this photo away").click()
    expect(line.get_by_role("alert")).to_have_count(0)


def test_a_full_phone_says_so_and_sends_from_the_page(phone: Page, yard: Served) -> None:
    thing = "cowling vents"
    phone.add_init_script(NO_ROOM)
    opened(phone)
    one = unfold(phone, thing)
    one.locator("input[type=file]").set_input_files(camera("a.jpg", (600, 400)))
    expect(one.locator(".chosen")).to_contain_text("This phone is full: 1 photo stands in this")
    one.locator("form button.main").click()
    expect(photo_line(phone, thing)).to_contain_text("1 photo held.")


def test_where_it_lies_is_seen_with_no_signal(phone: Page, stopped: Served) -> None:
    """The small photos of her put-backs are on the phone with her page."""
    undone = stopped.ask(
        "SELECT uuid FROM work_fact WHERE kind = 'undone' AND what LIKE 'livewell%'"
    )
    phone.goto(f"/facts/{UUID(undone)}/photos/")
    phone.locator("input[type=file]").set_input_files(camera("lies.jpg"))
    phone.get_by_role("button", name="Keep them here").click()
    phone.get_by_role("img", name="Photo of livewell").wait_for()
    opened(phone)
    phone.reload()
    wait_until(phone, f"(await {SMALL}) > 0")
    stopped.stop()
    phone.goto(AT_HAND)
    expect(phone.locator("#copy")).to_be_visible()
    unfold(phone, "livewell hose")
    seen = item(phone, "livewell hose").get_by_role("img", name="Photo of livewell")
    expect(seen).to_be_visible()
    loaded = "(img) => img.decode().then(() => img.naturalWidth)"
    assert seen.evaluate(loaded) == 240
