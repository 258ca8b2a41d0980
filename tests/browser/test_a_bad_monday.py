"""A bad Monday: the mechanic is sick, a kit comes late, and on Tuesday the wind holds the lift."""

import re
from datetime import datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import context, log_in
from tests.browser.looked_over import faults
from tests.browser.served import ROOT, Served

THREE_DAYS = ROOT / "docs/three-days.toml"
# Two more days of the story's water, as invented as the first three.
MORE_WATER = """    {at = 2031-05-08 03:20:00, level_m = 0.17, turn = "LW"},
    {at = 2031-05-08 09:30:00, level_m = 1.38, turn = "HW"},
    {at = 2031-05-08 15:40:00, level_m = 0.24, turn = "LW"},
    {at = 2031-05-08 21:55:00, level_m = 1.34, turn = "HW"},
    {at = 2031-05-09 04:15:00, level_m = 0.18, turn = "LW"},
    {at = 2031-05-09 10:25:00, level_m = 1.40, turn = "HW"},
    {at = 2031-05-09 16:35:00, level_m = 0.25, turn = "LW"},
    {at = 2031-05-09 22:50:00, level_m = 1.33, turn = "HW"},
]

[water.sill]"""


def five_days(folder: Path) -> Path:
    """Story A1 with two days more, so that there is somewhere to go."""
    told = THREE_DAYS.read_text()
    told = told.replace("last_day = 2031-05-07", "last_day = 2031-05-09")
    told = told.replace("]\n\n[water.sill]", MORE_WATER)
    kept = folder / "five-days.toml"
    kept.write_text(told)
    return kept


@pytest.mark.slow
def test_sick_late_and_windy(browser: Browser, tmp_path: Path) -> None:
    with Served(tmp_path / "yard", five_days(tmp_path)) as yard:
        yard.set_clock(datetime.fromisoformat("2031-05-05T05:10-04:00"))
        page = context(browser, yard, "desk").new_page()
        log_in(page, "Mara")
        plans_and_publishes(page)
        says(page, "/spring/again/", "The plan still holds")

        ines_is_sick(page)
        the_kit_comes_on_wednesday(page)
        wind_holds_the_lift_on_tuesday(page)

        says(page, "/spring/again/", "The plan no longer holds.")
        expect(page.locator("#broken")).to_contain_text("Ines is off Mon 5 May")
        page.get_by_role("button", name="Plan the smallest change").click()
        ink = page.get_by_role("group", name=re.compile("A day in Ink moves"))
        ink.first.wait_for(timeout=60_000)
        reads_the_change(page)
        page.get_by_role("button", name="Publish this change").first.click()
        expect(page.get_by_role("alert")).to_contain_text("A day in Ink moves by this plan")
        for boat in ink.first.get_by_role("checkbox").all():
            boat.check()
        assert faults(page, "desk") == []
        page.get_by_role("button", name="Publish this change").first.click()
        expect(page.get_by_role("heading", name="The plan that holds")).to_be_visible()
        says(page, "/spring/again/", "The plan still holds")

        for tag in ("PLO", "CUR"):  # asked by the publishing itself
            can_be_told(page, tag)


def says(page: Page, path: str, words: str) -> None:
    page.goto(path)
    expect(page.locator(".say").first).to_contain_text(words)


def plans_and_publishes(page: Page) -> None:
    page.goto("/spring/")
    page.get_by_role("button", name="Plan the spring").click()
    page.get_by_role("button", name="Publish as Pencil").click(timeout=60_000)
    expect(page.get_by_role("heading", name="The plan that holds")).to_be_visible()


def from_the_page(page: Page, link: str, named: str) -> None:
    """By the links that the page of a surprise offers."""
    page.goto("/spring/again/")
    if not page.get_by_role("link", name=link).is_visible():
        page.get_by_text("Tell the yard what happened").click()
    page.get_by_role("link", name=link).click()
    page.locator("main").get_by_role("link", name=named, exact=True).first.click()


def ines_is_sick(page: Page) -> None:
    from_the_page(page, "Somebody is sick or away", "Ines")
    page.get_by_label("Days off").fill("2031-05-05")
    keep(page)


def the_kit_comes_on_wednesday(page: Page) -> None:
    from_the_page(page, "A kit comes late", "kit")
    page.get_by_label("Comes").fill("2031-05-07T07:30")
    keep(page)


def wind_holds_the_lift_on_tuesday(page: Page) -> None:
    from_the_page(page, "Wind, or the lift is down", "Travel lift")
    page.get_by_label("Carries nothing").fill("2031-05-06 06:00 to 2031-05-06 16:00 wind")
    keep(page)


def keep(page: Page) -> None:
    with page.expect_navigation():
        page.locator("main form button.main").first.click()


def reads_the_change(page: Page) -> None:
    """By hand: no launch on Tuesday any more, the kit on Wednesday, Ines from Tuesday on."""
    change = page.locator("#job details").first
    expect(change).to_contain_text("her kit comes Wed 7 May 07:30")
    expect(change).to_contain_text("Ines is not there then")
    launches = re.findall(r"goes in (\w+) \d+ May \d\d:\d\d instead", change.inner_text())
    assert launches
    assert "Tue" not in launches
    expect(page.locator("#job .say").first).to_contain_text(re.compile(r"Ink \d+ boat-days? later"))


def can_be_told(page: Page, tag: str) -> None:
    """One sentence for the phone: a day and its odds, or that nobody can name one."""
    page.goto(f"/boats/{tag}/answer/")
    expect(page.locator(".say").first).to_contain_text(
        re.compile(r"\d+ May, (\d+ % sure|better than 95 %)|Nobody can name a day yet"),
        timeout=60_000,
    )
