"""A mechanic works a sum out on the phone, with JavaScript and without; the manager chooses a source."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import context, log_in
from tests.browser.looked_over import faults
from tests.browser.served import ROOT, Served


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with Served(tmp_path_factory.mktemp("yard"), ROOT / "docs/teal.toml") as served:
        yield served


@pytest.fixture
def phone(browser: Browser, yard: Served) -> Iterator[Page]:
    made = context(browser, yard, "phone")
    page = made.new_page()
    log_in(page, "Mara")
    yield page
    made.close()


def test_the_answer_follows_what_is_typed(phone: Page) -> None:
    phone.goto("/sums/")
    phone.get_by_role("link", name="Mix").click()
    expect(phone.get_by_text("An example, worked out.")).to_be_visible()
    phone.get_by_role("textbox", name="Water left behind").fill("1 gal")
    phone.get_by_role("textbox", name="Fluid pushed in").fill("11,4 L")
    phone.get_by_role("textbox", name="Its glycol, by volume").fill("30 %")
    phone.get_by_role("textbox", name="Its glycol, by volume").blur()
    # 11.4 L of 30 % in 11.4 + 3.785 L (a US gallon): 22.5 %
    expect(phone.locator(".say")).to_contain_text("22.5 %")
    expect(phone.locator("#answer")).to_contain_text("1 gal = 3.79 L")
    assert "water_l=1+gal" in phone.url or "water_l=1%20gal" in phone.url
    expect(phone.locator("#answer")).not_to_contain_text("An example")
    assert phone.locator("#answer, #shown").count() == 2  # swapped, not added
    phone.get_by_role("textbox", name="Fluid pushed in").fill("eleven")
    phone.get_by_role("textbox", name="Fluid pushed in").blur()
    expect(phone.get_by_role("alert")).to_contain_text("'eleven' is no number")
    expect(phone.get_by_role("textbox", name="Water left behind")).to_have_value("1 gal")
    assert not faults(phone, "phone")


def test_without_javascript_by_the_button_and_by_its_address(
    browser: Browser, yard: Served
) -> None:
    made = browser.new_context(base_url=yard.url, java_script_enabled=False)
    page = made.new_page()
    log_in(page, "Mara")
    page.goto("/sums/mix/")
    page.get_by_label("Its glycol, by volume").fill("40 %")
    page.get_by_role("button", name="Work it out").click()
    expect(page.locator(".say")).to_contain_text("30.0 %")  # 9 L of 40 % in 12 L
    address = page.url
    page.goto("/facts/")
    page.goto(address)
    expect(page.locator(".say")).to_contain_text("30.0 %")
    made.close()


def test_a_source_is_chosen_and_the_sum_goes_by_it(phone: Page) -> None:
    phone.goto("/sums/charge/")
    expect(phone.locator(".say")).to_contain_text("71 % charged by its chart")
    phone.locator("section", has_text="Where it comes from").get_by_role("link").first.click()
    phone.wait_for_url("**/facts/batteries/#*")
    group = phone.locator("li", has=phone.locator("#charge_by_sg"))
    group.locator("summary").click()
    group.get_by_label("US Army TM 5-1185").check()
    group.get_by_label("Why").fill("it is the table in our van")
    assert not faults(phone, "phone")
    group.get_by_role("button", name="The yard goes by this one").click()
    expect(phone.get_by_text("it is the table in our van (Mara)")).to_be_visible()
    phone.goto("/sums/charge/")
    # US Army TM 5-1185, table II, between 1.190 (25 %) and 1.220 (50 %): 1.219 is 49 %
    expect(phone.locator(".say")).to_contain_text("49 % charged by its chart")
    expect(phone.locator("#shown")).to_contain_text("71 %")
