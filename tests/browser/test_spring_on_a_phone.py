"""The spring plan in a hand: a line a boat, all of her on press, and nothing lost on wide pages."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.conftest import context, log_in, published_story
from tests.browser.looked_over import faults
from tests.browser.served import Served

LINE_PX = 80  # of a boat that is folded: a target of 57, and its border


@pytest.fixture(scope="module")
def yard(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    home = tmp_path_factory.mktemp("yard")
    with published_story(browser, home, "2031-05-05T05:50-04:00") as served:
        yield served


@pytest.mark.parametrize("script", [True, False])
def test_a_line_a_boat_and_all_of_her_on_press(
    browser: Browser, yard: Served, script: bool
) -> None:
    here = context(browser, yard, "phone")
    page = here.new_page()
    log_in(page, "Mara")
    if not script:
        kept = here.storage_state()
        here.close()
        here = browser.new_context(
            base_url=yard.url,
            storage_state=kept,
            viewport={"width": 390, "height": 844},
            java_script_enabled=False,
        )
        page = here.new_page()
    page.goto("/spring/")
    curlew = page.locator("table.plan tr", has=page.locator("summary", has_text="Curlew")).last
    expect(curlew.locator(".fold summary")).to_have_text("Curlew Wed 7 May 06:38 1 day late")
    expect(curlew.get_by_text("Change the Ink")).to_be_hidden()
    box = curlew.bounding_box()
    assert box
    assert box["height"] <= LINE_PX
    curlew.locator(".fold summary").click()
    expect(curlew.get_by_text("Change the Ink")).to_be_visible()
    expect(curlew.get_by_text("kit comes Tue 6 May 07:30")).to_be_visible()
    expect(curlew.locator("a.boat")).to_be_visible()
    if script:
        assert not faults(page, "phone")
    here.close()


def test_on_a_desk_and_on_paper_nothing_is_folded(browser: Browser, yard: Served) -> None:
    desk = context(browser, yard, "desk")
    page = desk.new_page()
    log_in(page, "Mara")
    page.goto("/spring/")
    boats = ("Plover", "Dunlin", "Curlew", "Teal", "Avocet")
    for media, width in (("screen", 1280), ("print", 1280), ("print", 600)):
        page.emulate_media(media="print" if media == "print" else "screen")
        page.set_viewport_size({"width": width, "height": 900})
        expect(page.locator(".fold")).to_have_count(len(boats))
        expect(page.locator(".fold:visible")).to_have_count(0)
        for boat in boats:
            expect(page.locator("table.plan a.boat", has_text=boat)).to_be_visible()
        expect(page.locator("td[data-label=Promised]:visible")).to_have_count(len(boats))
    desk.close()
