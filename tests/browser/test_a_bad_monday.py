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
        expect(page.locator("#broken")).to_contain_text("The Travel lift is held Tue 6 May")

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


def tells(page: Page, what: str, given: dict[str, str], understood: str) -> None:
    """By its form on the page of a surprise, which then says what was understood."""
    form = page.locator("#tell details").filter(has_text=what)
    form.locator("summary").click()
    for label, value in given.items():
        field = form.get_by_label(label, exact=True)
        if label == "Who":
            field.select_option(value)
        else:
            field.fill(value)
    form.get_by_role("button").click()
    expect(page.locator("#understood")).to_contain_text(understood)


def ines_is_sick(page: Page) -> None:
    tells(page, "Somebody is sick or away", {"Who": "Ines"}, "Ines is off Mon 5 May.")


def the_kit_comes_on_wednesday(page: Page) -> None:
    given = {"Comes on": "2031-05-07", "At": "07:30"}
    tells(page, "A part comes late", given, "The kit comes Wed 7 May 07:30; Curlew waits for it.")


def wind_holds_the_lift_on_tuesday(page: Page) -> None:
    given = {"From": "2031-05-06T06:00", "Until": "2031-05-06T16:00", "Why": "wind"}
    says = "The Travel lift carries nothing Tue 6 May 06:00 to 16:00: wind."
    tells(page, "The lift carries nothing", given, says)


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
