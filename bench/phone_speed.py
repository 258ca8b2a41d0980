"""A slow phone on the fullest boat's page: first open, a tap with the server stopped; and how soon a server is up."""

import os
import statistics
import tempfile
import time
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import cast

from playwright.sync_api import Browser, Page, sync_playwright

from tests.browser.conftest import ARGS, chromium, context, log_in
from tests.browser.served import ROOT, Served
from tests.browser.test_how_quick import FILL
from tests.browser.test_phone_offline import AT_HAND, opened

SLOWER = 4  # a cheap phone's processor against this machine's
OPENS, TAPS = 5, 20
AIMS_MS = {"server up": 3000, "first open": 2000, "open an item": 100, "put back, answered": 100}
SHOWN = """() => new Promise((go) => requestAnimationFrame(() => setTimeout(
  () => go(performance.now()), 0)))"""
OPEN = """(at) => new Promise((go) => {
  const item = document.querySelectorAll("#left-undone details.item[id^=u-]")[at];
  const start = performance.now();
  item.querySelector("summary").click();
  requestAnimationFrame(() => setTimeout(() => go(performance.now() - start), 0));
})"""
KEEP = """(at) => new Promise((go) => {
  const item = document.querySelectorAll("#left-undone details.item[id^=u-]")[at];
  const start = performance.now();
  let answered = 0;
  new MutationObserver((_, seen) => {
    const under = item.nextElementSibling;
    if (!under?.matches(".entered")) return;
    answered ||= performance.now() - start;
    if (!under.textContent.includes("Kept on this phone")) return;
    seen.disconnect();
    requestAnimationFrame(() => setTimeout(() => go([answered, performance.now() - start]), 0));
  }).observe(item.parentElement, { childList: true, subtree: true });
  item.querySelector("button.main").click();
})"""


def phone_speed() -> Iterator[str]:
    os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"  # the browser's driver runs a loop in this thread
    seasons = (ROOT / "docs/teal.toml", ROOT / "docs/three-days.toml")
    with tempfile.TemporaryDirectory() as home, Served(Path(home), *seasons) as yard:
        yard.set_clock(datetime.fromisoformat("2031-05-05T06:50-04:00"))
        yard.run("-c", FILL)
        with sync_playwright() as driver:
            browser = driver.chromium.launch(executable_path=chromium(), args=ARGS)
            yield f"a phone {SLOWER} times slower; this machine's load was {os.getloadavg()[0]:.1f}"
            yield from _opens(browser, yard)
            yield from _taps(browser, yard)
            browser.close()
        yield f"and is {os.getloadavg()[0]:.1f} now"


def _opens(browser: Browser, yard: Served) -> Iterator[str]:
    made = context(browser, yard, "phone")
    log_in(made.new_page(), "Mara")
    cookies = made.cookies()
    made.close()
    ups_ms, opens_ms = [], []
    for _ in range(OPENS):
        yard.stop()
        start = time.perf_counter()
        yard.start()
        ups_ms.append(1000 * (time.perf_counter() - start))
        made = context(browser, yard, "phone")
        made.add_cookies(cookies)  # type: ignore[arg-type]  # as they were given
        page = made.new_page()
        _slow(page)
        page.goto(AT_HAND)
        opens_ms.append(cast(float, page.evaluate(SHOWN)))
        made.close()
    yield _told("server up", ups_ms)
    yield _told("first open", opens_ms)


def _taps(browser: Browser, yard: Served) -> Iterator[str]:
    made = context(browser, yard, "phone")
    page = made.new_page()
    log_in(page, "Mara")
    opened(page)
    yard.stop()
    page.goto(AT_HAND)
    _slow(page)
    opens = [cast(float, page.evaluate(OPEN, at)) for at in range(TAPS)]
    taps = [cast(list[float], page.evaluate(KEEP, at)) for at in range(TAPS)]
    made.close()
    yard.start()
    yield _told("open an item", opens)
    yield _told("put back, answered", [one[0] for one in taps])
    yield _told("put back, on the phone's disk", [one[1] for one in taps])


def _slow(page: Page) -> None:
    asked = page.context.new_cdp_session(page)
    asked.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})


def _told(name: str, took_ms: list[float]) -> str:
    aim = f", at most {AIMS_MS[name]} wanted" if name in AIMS_MS else ""
    return f"{name}: median {statistics.median(took_ms):.0f} ms, worst {max(took_ms):.0f} ms{aim}"
