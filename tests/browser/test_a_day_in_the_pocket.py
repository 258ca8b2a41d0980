"""Ines's day on her phone with no signal, and its calendar's address, copied by one tap."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import context, log_in, published_story
from tests.browser.looked_over import faults
from tests.browser.served import Served
from tests.browser.test_phone_offline import PAGES, wait_until


@pytest.fixture(scope="module")
def yard(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    home = tmp_path_factory.mktemp("yard")
    with published_story(browser, home, "2031-05-05T06:50-04:00") as served:
        yield served


@pytest.fixture
def phone(browser: Browser, yard: Served) -> Iterator[Page]:
    made = context(browser, yard, "phone")
    page = made.new_page()
    log_in(page, "Ines")
    yield page
    made.close()


def test_the_address_is_copied_and_read_by_whoever_has_it(phone: Page, browser: Browser) -> None:
    phone.context.grant_permissions(["clipboard-read", "clipboard-write"])
    phone.goto("/")
    phone.get_by_role("link", name="Your day").click()
    phone.get_by_role("link", name="In a calendar").click()
    assert not faults(phone, "phone")
    phone.get_by_role("button", name="Copy it").click()
    expect(phone.get_by_role("button", name="Copied")).to_be_visible()
    address = phone.evaluate("navigator.clipboard.readText()")
    assert address == phone.get_by_label("The calendar’s address").input_value()
    subscribe = phone.get_by_role("link", name="Subscribe on this device").get_attribute("href")
    assert subscribe == address.replace("http:", "webcal:")
    stranger = browser.new_context()
    answer = stranger.request.get(address)
    assert answer.status == 200
    assert answer.text().startswith("BEGIN:VCALENDAR\r\n")
    stranger.close()


def test_in_each_list_a_boats_name_heads_what_is_said_of_her(phone: Page) -> None:
    phone.goto("/day/?day=2031-05-06")
    assert phone.locator("td[data-label=When]").count() > 1
    for row in phone.locator("table.stack tbody tr").all():
        name = row.locator("th").bounding_box()
        cells = [cell.bounding_box() for cell in row.locator("td").all()]
        assert name
        assert all(cell and cell["y"] >= name["y"] + name["height"] for cell in cells)


def test_her_day_and_its_boats_are_there_without_signal(phone: Page, yard: Served) -> None:
    """The last test here: the server is stopped."""
    ines = yard.ask("SELECT id FROM yard_person WHERE name = 'Ines'")
    day = f"/yard/people/{ines}/day/"
    phone.goto("/phone/")
    wait_until(phone, f"(await {PAGES}).includes('{day}')")
    phone.get_by_role("link", name="Your day").click()
    link = phone.locator("main h2 a.boat").first
    boat, at_hand = link.inner_text(), link.get_attribute("href")
    wait_until(phone, f"(await {PAGES}).includes('{at_hand}')")
    phone.goto(f"{day}?day=2031-05-07")  # another day is not kept in the place of today
    expect(phone.get_by_text("Wednesday 7 May 2031")).to_be_visible()
    yard.stop()
    phone.goto(day)
    expect(phone.locator("#copy")).to_contain_text("Copy of")
    expect(phone.get_by_text("Monday 5 May 2031")).to_be_visible()
    phone.locator("main h2 a.boat").first.click()
    expect(phone.get_by_role("heading", level=1)).to_contain_text(boat)
    yard.start()
