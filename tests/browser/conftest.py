"""A real browser on a real server: desk and phone, light and dark, logged in."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect, sync_playwright

from tests.browser.fill import A_DAY, PASSWORD, session_of
from tests.browser.looked_over import DESK_PX, PHONE_PX, Device
from tests.browser.served import ROOT, Served

os.environ["DJANGO_ALLOW_ASYNC_UNSAFE"] = "1"  # the browser's driver runs a loop in this thread

A_BUSY_MACHINE_MS = 30_000
expect.set_options(timeout=A_BUSY_MACHINE_MS)

ARGS = [
    "--no-sandbox",
    "--disable-dev-shm-usage",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    here = Path(__file__).parent
    for item in items:
        if item.path.is_relative_to(here):
            item.add_marker("browser")


def chromium() -> str:
    names = "chromium-headless-shell", "chromium", "chromium-browser"
    found = next(filter(None, map(shutil.which, names)), None)
    assert found, "No Chromium here. Get it with: ./dev setup --browser"
    return found


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    with sync_playwright() as driver:
        started = driver.chromium.launch(executable_path=chromium(), args=ARGS)
        yield started
        started.close()


def context(browser: Browser, yard: Served, device: Device) -> BrowserContext:
    """A desk's or a phone's browser, with nothing kept from before."""
    if device == "desk":
        made = browser.new_context(base_url=yard.url, viewport=DESK_PX)
    else:
        made = browser.new_context(
            base_url=yard.url,
            viewport=PHONE_PX,
            has_touch=True,
            is_mobile=True,
        )
    made.set_default_timeout(A_BUSY_MACHINE_MS)
    return made


def log_in(page: Page, name: str) -> None:
    """Without the form: on each of her devices the same session, which begins with the yard."""
    page.context.add_cookies(
        [
            {
                "name": "sessionid",
                "value": session_of(name),
                "domain": "127.0.0.1",
                "path": "/",
                "expires": (datetime.now(UTC) + A_DAY).timestamp(),
                "httpOnly": True,
                "sameSite": "Lax",
            }
        ]
    )


def log_in_here(page: Page, name: str) -> None:
    """By the form that the page shows."""
    page.get_by_label("Name").fill(name)
    page.get_by_label("Password").fill(PASSWORD)
    page.get_by_role("button", name="Log in").click()


@pytest.fixture
def page(browser: Browser, yard: Served) -> Iterator[Page]:
    """Ines, logged in on her phone, in the yard that a test file makes."""
    here = context(browser, yard, "phone")
    page = here.new_page()
    log_in(page, "Ines")
    page.goto("/")
    yield page
    here.close()


def plan_and_publish(page: Page) -> None:
    page.goto("/spring/")
    page.get_by_role("button", name="Plan the spring").click()
    page.get_by_role("button", name="Publish as Pencil").click(timeout=60_000)
    page.get_by_text("The plan that holds").wait_for()


@contextmanager
def published_story(browser: Browser, home: Path, at: str) -> Iterator[Served]:
    """Story A1, planned and published at a time of its Monday."""
    with Served(home, ROOT / "docs/three-days.toml") as served:
        served.set_clock(datetime.fromisoformat(at))
        desk = context(browser, served, "desk")
        page = desk.new_page()
        log_in(page, "Mara")
        plan_and_publish(page)
        desk.close()
        yield served
