"""The Row Map's slider: the order of leaving, day by day, by keys, by thumb, and without a script."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import context, log_in, published_story
from tests.browser.looked_over import faults
from tests.browser.served import Served


@pytest.fixture(scope="module")
def yard(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    home = tmp_path_factory.mktemp("yard")
    with published_story(browser, home, "2031-05-05T06:50-04:00") as served:
        yield served


@pytest.fixture
def desk(browser: Browser, yard: Served) -> Iterator[Page]:
    made = context(browser, yard, "desk")
    page = made.new_page()
    log_in(page, "Mara")
    yield page
    made.close()


def test_by_keys_day_after_day(desk: Page) -> None:
    desk.goto("/rows/")
    slider = desk.get_by_role("slider", name="The order, day by day")
    rows = desk.locator("#rows")
    expect(slider).to_have_attribute("aria-valuetext", "Now")
    expect(rows).not_to_contain_text("left Tue")
    slider.press("End")
    expect(slider).to_have_attribute("aria-valuetext", "Evening of Wed 7 May")
    # Story A1: Dunlin in on Tuesday, Curlew moved aside for her and in on Wednesday.
    expect(rows.locator(".at-desk title")).to_contain_text("Curlew (left Wed 7 May)")
    expect(rows.locator(".at-desk title")).to_contain_text("Dunlin (left Tue 6 May)")
    slider.press("ArrowLeft")
    expect(rows.locator(".at-desk title")).to_contain_text("Curlew (moved aside")
    expect(desk).to_have_url(re.compile(r"/rows/\?day=2031-05-06$"))
    for name, asks in (("On paper, A4", ""), ("Letter", "&paper=Letter")):
        to = re.compile(rf"/row-map\.pdf\?day=2031-05-06{asks}$")
        expect(desk.get_by_role("link", name=name, exact=True)).to_have_attribute("href", to)
    assert not faults(desk, "desk")
    desk.reload()
    expect(slider).to_have_attribute("aria-valuetext", "Evening of Tue 6 May")
    slider.press("Home")
    expect(rows).not_to_contain_text("left Tue")
    expect(desk).to_have_url(re.compile(r"/rows/$"))


def test_it_plays_to_its_end_and_stops(desk: Page) -> None:
    desk.goto("/rows/")
    desk.get_by_role("button", name="Play").click()
    expect(desk.get_by_role("button", name="Stop")).to_be_visible()
    expect(desk.locator("#rows .at-desk title")).to_contain_text("left Wed 7 May", timeout=15_000)
    expect(desk.get_by_role("button", name="Play")).to_be_visible()
    desk.get_by_role("button", name="Play").click()  # once more from the beginning
    desk.get_by_role("slider").press("Home")  # a hand on it stops it
    expect(desk.get_by_role("button", name="Play")).to_be_visible()


def test_what_is_open_stays_open(desk: Page) -> None:
    desk.goto("/rows/")
    desk.get_by_text("As a list").click()
    desk.get_by_role("slider").press("End")
    cell = desk.get_by_role("cell", name="left Wed 7 May")
    expect(cell).to_be_visible()


def test_nothing_moves_by_itself_for_who_wants_less_motion(desk: Page) -> None:
    desk.emulate_media(reduced_motion="reduce")
    desk.goto("/rows/")
    expect(desk.get_by_role("slider")).to_be_visible()
    expect(desk.get_by_role("button", name="Play")).to_have_count(0)


def test_by_thumb_on_a_phone(browser: Browser, yard: Served) -> None:
    made = context(browser, yard, "phone")
    page = made.new_page()
    log_in(page, "Mara")
    page.goto("/rows/?day=2031-05-06")
    slider = page.get_by_role("slider")
    box = slider.bounding_box()
    assert box
    assert box["height"] >= 57
    page.touchscreen.tap(box["x"] + box["width"] - 4, box["y"] + box["height"] / 2)
    expect(page.locator("#rows .at-desk title")).to_contain_text("left Wed 7 May")
    assert not faults(page, "phone")
    made.close()


def test_without_a_script_by_links(browser: Browser, yard: Served) -> None:
    made = browser.new_context(base_url=yard.url, java_script_enabled=False)
    page = made.new_page()
    log_in(page, "Mara")
    page.goto("/rows/")
    assert page.get_by_role("slider").count() == 0
    page.get_by_text("The order, day by day").click()
    page.get_by_role("link", name="Tue 6 May").click()
    assert page.url.endswith("/rows/?day=2031-05-06")
    expect(page.locator("#rows .at-desk title")).to_contain_text("left Tue 6 May")
    made.close()


def test_without_signal_it_says_so_and_the_map_stays(desk: Page) -> None:
    desk.goto("/rows/")
    desk.context.set_offline(True)
    desk.get_by_role("slider").press("End")
    expect(desk.locator("#order")).to_contain_text("No answer from the yard's server")
    expect(desk.locator("#rows")).not_to_contain_text("left Tue")
    desk.context.set_offline(False)
    desk.get_by_role("slider").press("Home")
    desk.get_by_role("slider").press("End")
    expect(desk.locator("#rows .at-desk title")).to_contain_text("left Wed 7 May")
