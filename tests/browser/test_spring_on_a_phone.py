"""The spring plan on phone and desk: a line a boat, all of her on press, also without script."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from tests.browser.conftest import context, log_in, published_story
from tests.browser.looked_over import Device, faults
from tests.browser.served import Served

LINE_PX = {"phone": 150, "desk": 48}


@pytest.fixture(scope="module")
def yard(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    home = tmp_path_factory.mktemp("yard")
    with published_story(browser, home, "2031-05-05T05:50-04:00") as served:
        yield served


@pytest.mark.parametrize(("device", "script"), [("phone", True), ("phone", False), ("desk", True)])
def test_a_line_a_boat_and_all_of_her_on_press(
    browser: Browser, yard: Served, device: Device, script: bool
) -> None:
    here = context(browser, yard, device)
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
    page.get_by_role("link", name="The next launches").click()
    for boat in ("Plover", "Dunlin", "Curlew", "Teal", "Avocet"):  # within a week: none is folded
        expect(page.locator("#days .launch summary", has_text=boat)).to_be_visible()
    curlew = page.locator("#days .launch", has=page.locator("summary", has_text="Curlew"))
    line = curlew.locator("summary")
    for words in (
        "06:38–07:08",
        "Travel lift",
        "handed over Wed 7 May",
        "Ink Tue 6 May",
        "1 day late",
    ):
        expect(line).to_contain_text(words)
    expect(curlew.get_by_text("Change the Ink")).to_be_hidden()
    box = line.bounding_box()
    assert box
    assert 44 <= box["height"] <= LINE_PX[device]
    line.click()
    expect(curlew.get_by_text("Change the Ink")).to_be_visible()
    expect(curlew.get_by_text("kit comes Tue 6 May 07:30")).to_be_visible()
    expect(curlew.locator("a.boat")).to_be_visible()
    if script:
        assert not faults(page, device)
    here.close()
