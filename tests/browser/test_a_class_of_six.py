"""Six learners look over a practice boat, two of them by phone; the teacher sees who found what."""

import re
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import context, log_in
from tests.browser.looked_over import Device, faults
from tests.browser.served import Served
from yardwright.procedures.steps import shipped

ONE_BOAT = Path(__file__).parent / "one_boat.toml"
SIX = ("Ada", "Bo", "Cleo", "Dag", "Eli", "Finn")
BY_PHONE = ("Cleo", "Dag")
KINDS = shipped().kinds
PLANTED = [KINDS[code].what for code in ("stern_plug", "propeller_off", "spark_plugs", "key")]
SOUND = KINDS["papers"].what
# Who names which of the planted (by number), and whether they also name what is sound.
NAMES: dict[str, tuple[tuple[int, ...], bool]] = {
    "Ada": ((0, 1, 2, 3), False),
    "Bo": ((0, 1), False),
    "Cleo": ((2,), True),
    "Dag": ((), True),
    "Eli": ((0, 1, 2, 3), True),
    "Finn": ((3,), False),
}
LISTS = ("/", "/left-undone/", "/boats/", "/findings/", "/season-review/", "/boats/WRE/record/")


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Served]:
    text = ONE_BOAT.read_text(encoding="utf-8")
    people = "".join(
        f'[[people]]\nname = "{name}"\nlearner = true\nhours = [[07:00:00, 12:00:00]]\n\n'
        for name in SIX
    )
    season = tmp_path / "class.toml"
    season.write_text(text.replace("[[places]]", f"{people}[[places]]", 1), encoding="utf-8")
    with Served(tmp_path / "yard", season) as served:
        served.set_clock(datetime.fromisoformat("2031-05-05T08:00-04:00"))
        yield served


def said(page: Page) -> dict[str, str]:
    """What each list of the yard says in its main part, whatever the minute."""
    words = {}
    for at in LISTS:
        page.goto(at)
        words[at] = re.sub(r"\b08:\d\d\b", "08:..", page.locator("main").inner_text())
    return words


def makes_the_class(page: Page) -> None:
    page.goto("/school/")
    page.get_by_role("link", name="Make a class").click()
    page.get_by_label("Name of the class").fill("Spring class")
    page.get_by_label("Term begins").fill("2031-05-05")
    page.get_by_label("Term ends").fill("2031-06-06")
    for name in SIX:
        page.get_by_label(name, exact=True).check()
    page.get_by_role("button", name="Make the class").click()
    expect(page.locator(".say")).to_contain_text("Mara teaches Ada, Bo, Cleo, Dag, Eli, Finn.")


def plants(page: Page) -> str:
    page.goto("/school/boats/new/")
    page.get_by_label("Her name").fill("Coot")
    page.get_by_label("She has what this boat has").select_option(label="Wren")
    page.get_by_role("button", name="Make her").click()
    page.get_by_label("Which class looks").select_option(label="Spring class")
    for what in PLANTED:
        page.get_by_label(what, exact=False).first.check()
    page.get_by_role("button", name="The round begins").click()
    page.wait_for_url("**/school/rounds/**")
    return page.url


def looks(browser: Browser, yard: Served, who: str) -> None:
    device: Device = "phone" if who in BY_PHONE else "desk"
    here = context(browser, yard, device)
    page = here.new_page()
    log_in(page, who)
    page.goto("/school/")
    page.get_by_role("link", name="Coot").click()
    expect(page.locator(".head")).to_contain_text("Practice: not a real boat")
    expect(page.locator("main")).not_to_contain_text("planted")
    found, sound = NAMES[who]
    wanted = [PLANTED[n] for n in found] + ([SOUND] if sound else [])
    for count, what in enumerate(wanted, 1):
        page.get_by_label("What is undone or wrong").select_option(label=what)
        page.get_by_role("button", name="Name it").click()
        expect(page.locator("main")).to_contain_text(f"What you have named ({count})")
    complaints = faults(page, device)
    assert complaints == [], "; ".join(complaints)
    page.get_by_role("button", name="I have looked at everything").click()
    also = "; 1 named though sound" if sound else ""
    expect(page.locator(".say")).to_contain_text(f"{len(found)} of 4 found{also}, in")
    if who == SIX[-1]:  # the last one: now what was missed is told
        for n, what in enumerate(PLANTED):
            if n not in found:
                expect(page.locator("main")).to_contain_text(what)
    else:
        expect(page.locator("main")).to_contain_text("told once the others are done too")
        expect(page.locator("main")).not_to_contain_text("Missed")
    here.close()


@pytest.mark.slow
def test_a_class_of_six_looks_over_a_practice_boat(browser: Browser, yard: Served) -> None:
    desk = context(browser, yard, "desk")
    page = desk.new_page()
    log_in(page, "Mara")
    before = said(page)
    makes_the_class(page)
    at = plants(page)
    for who in SIX:
        looks(browser, yard, who)
    page.goto(at)
    rows = page.locator("tbody tr").all_inner_texts()
    assert [row.split("\t")[0] for row in rows] == ["Ada", "Eli", "Bo", "Finn", "Cleo", "Dag"]
    for row in rows:  # by hand: who found how many of four, and named what is sound
        who, score, minutes, missed, _ = row.split("\t")
        found, sound = NAMES[who]
        also = "; 1 named though sound" if sound else ""
        assert score == f"{len(found)} of 4 found{also}"
        assert minutes.isdecimal()
        assert [what for what in PLANTED if what in missed] == [
            what for n, what in enumerate(PLANTED) if n not in found
        ]
    complaints = faults(page, "desk")
    assert complaints == [], "; ".join(complaints)
    assert page.request.get(f"{at[:-1]}.pdf").body().startswith(b"%PDF")
    page.get_by_role("button", name="End the round").click()
    expect(page.locator("main")).to_contain_text("Put each of these back by hand")
    assert said(page) == before  # nothing of it is on any list of the yard
    facts = yard.ask("SELECT count(*) FROM work_fact WHERE boat_id IS NULL")
    assert facts == "0"
    page.goto("/school/boats/1/plant/")
    page.get_by_label("Which class looks").select_option(label="Spring class")
    page.get_by_label("How many the dice draw").fill("3")
    page.get_by_role("button", name="The round begins").click()
    page.wait_for_url("**/school/rounds/**")
    assert page.url != at
    expect(page.locator("main")).to_contain_text("0 of 3 found")
    desk.close()
