"""One boat, from put-down in November to handed over in May, as the people of the yard do it."""

import re
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import context, log_in
from tests.browser.looked_over import Device, faults
from tests.browser.served import Served
from yardwright.procedures.step import Has, Season
from yardwright.procedures.steps import steps_for

ONE_BOAT = Path(__file__).parent / "one_boat.toml"
HAS = frozenset({Has.OUTBOARD, Has.FOUR_STROKE, Has.STERN_DRAIN})
PLUG = "Stern plug in, felt by two"
AFTER_THE_WATER = [
    "Life jackets and signals aboard, dates read",
    "Owner's things back by the list",
    "Papers in the return tray",
    "Key in the return tray, signed for",
]
AT_THE_LIFT = {"slings_set", "hung_dry", "outboard_tried_afloat", "looks_afloat"}


@pytest.mark.slow
def test_from_put_down_to_handed_over(browser: Browser, tmp_path: Path) -> None:
    with Served(tmp_path / "yard", ONE_BOAT) as yard:
        mara = person(browser, yard, "Mara", "desk")
        ines = person(browser, yard, "Ines", "phone")
        tomas = person(browser, yard, "Tomas", "phone")

        yard.set_clock(at("2030-11-03T09:00-05:00"))
        undo_everything(ines)
        comes_out(ines)
        goes_to(ines, "Laid up")

        yard.set_clock(at("2031-04-28T07:30-04:00"))
        goes_to(ines, "Fitting out")
        counts_the_openings(ines)
        puts_back_all_but_the_plug(ines)
        looks_a_second_time(tomas, at_least=2)
        would_take_water(ines)

        moves_her_window(mara)
        plans_and_publishes(mara)
        makes_ink(mara)
        launch = reads_her_launch(mara)

        yard.set_clock(launch)
        has_a_lift_card(ines)
        is_not_ready(ines)
        put_back(ines, PLUG)
        looks_a_second_time(tomas, at_least=1)
        floats(ines)

        hangs(yard, ines, launch + timedelta(minutes=2))
        is_watched(yard, ines, launch + timedelta(minutes=14))
        is_handed_over(ines)


def at(text: str) -> datetime:
    return datetime.fromisoformat(text)


def person(browser: Browser, yard: Served, name: str, device: Device) -> Page:
    page = context(browser, yard, device).new_page()
    log_in(page, name)
    return page


def says(page: Page, words: str | re.Pattern[str]) -> None:
    expect(page.locator(".say").first).to_contain_text(words)


# --- fall -------------------------------------------------------------------------


def undo_everything(page: Page) -> None:
    """Each fall step, from one to the next: where does the part lie, then the big button."""
    page.goto("/boats/WRE/")
    page.get_by_role("link", name="All her steps").click()
    says(page, "0 of 27 fall steps are done. Next: Key tagged and on its hook.")
    page.locator("main").get_by_role("link", name="Key tagged and on its hook").first.click()
    onward = page.get_by_role("link", name=re.compile("^Next: "))
    for left in range(26, -1, -1):
        do_the_step(page)
        if left:
            onward.click()
    expect(onward).to_have_count(0)
    page.get_by_role("link", name="All her steps").click()
    says(page, "All 27 fall steps are done.")


def do_the_step(page: Page) -> None:
    """Say where each part lies, choose the way in that stands open, tap."""
    form = page.locator("form.fields")
    for lies in form.get_by_label("where does it lie?").all():
        lies.fill("hook 31")
    form.get_by_role("button").first.click()
    expect(page.get_by_role("status")).to_contain_text("Done: ")


def comes_out(page: Page) -> None:
    page.goto("/boats/WRE/going-in/")
    page.get_by_label("She stands at").select_option("North row")
    page.get_by_label("Berth").fill("1")
    assert faults(page, "phone") == []
    page.get_by_role("button", name="She is out, and blocked up").click()
    expect(page.locator(".head")).to_contain_text("Blocked up, North row, berth 1")


def goes_to(page: Page, state: str) -> None:
    page.goto("/boats/WRE/move/")
    page.get_by_label("She is").select_option(state)
    page.get_by_role("button", name="She is here now").click()
    expect(page.locator(".head")).to_contain_text(f"{state}, North row, berth 1")


# --- spring -----------------------------------------------------------------------


def counts_the_openings(page: Page) -> None:
    page.goto("/boats/WRE/look/")
    page.get_by_role("link", name="All openings counted").click()
    page.get_by_role("button", name="Counted: these are all").click()
    expect(page.get_by_role("status")).to_contain_text("holds")


def puts_back_all_but_the_plug(page: Page) -> None:
    for step in steps_for(HAS, Season.SPRING):
        if step.title in (PLUG, *AFTER_THE_WATER) or step.code in AT_THE_LIFT:
            continue
        if step.reading == "head_temperature":
            reads_her_heat(page, step.title)
        put_back(page, step.title)


def put_back(page: Page, title: str) -> None:
    page.goto("/boats/WRE/steps/")
    page.locator("table").get_by_role("link", name=title).click()
    do_the_step(page)


def reads_her_heat(page: Page, title: str) -> None:
    """Typed as the gun shows it: (165 − 32) × 5/9 is 73.9 °C, and the book allows 80."""
    page.goto("/boats/WRE/steps/")
    page.locator("table").get_by_role("link", name=title).click()
    page.get_by_role("link", name="It asks for a reading: Head temperature").click()
    page.get_by_label("Point 1").fill("165 F")
    page.get_by_label("Which thermometer").select_option("infrared gun")
    expect(page.locator("#understood")).to_contain_text("Can't say")
    page.get_by_label("Was the engine at running temperature").select_option("Yes")
    page.get_by_label("Was each spot touched").select_option("Yes")
    expect(page.locator("#understood")).to_contain_text("Good")
    page.get_by_role("button", name=re.compile("Keep it: .*73.9 °C")).click()
    page.wait_for_url("**/readings/*-*/*")
    expect(page.locator("main")).to_contain_text("Good")


def looks_a_second_time(page: Page, at_least: int) -> None:
    """What can sink, burn or ruin is seen by another pair of eyes."""
    page.goto("/boats/WRE/left-undone/")
    waits = page.get_by_role("row").filter(has_text="waits for a second pair of eyes")
    count = waits.count()
    assert count >= at_least
    for left in range(count - 1, -1, -1):
        waits.first.get_by_role("link").first.click()
        page.locator("#live > form").get_by_role("button").click()
        expect(page.get_by_role("status")).to_contain_text("Ines and Tomas")
        page.goto("/boats/WRE/left-undone/")
        expect(waits).to_have_count(left)


def would_take_water(page: Page) -> None:
    page.goto("/boats/WRE/")
    expect(page.get_by_role("heading", name="Would take water")).to_be_visible()
    expect(page.locator(".answer .way").first).to_contain_text("stern drain plug")


# --- the plan, at the desk ----------------------------------------------------------


def moves_her_window(page: Page) -> None:
    """She draws more than was thought: her water begins later and ends earlier."""
    before = window(page)
    page.goto("/boats/WRE/edit/")
    page.get_by_label("Draft").fill("1.10 m")
    page.get_by_role("button", name="This is what she is").click()
    page.get_by_role("heading", name="Wren").wait_for()
    after = window(page)
    assert before[0] < after[0] < after[1] < before[1]


def window(page: Page) -> tuple[str, str]:
    """Her first span of water on the strip of 3 May, which the drawing has too."""
    page.goto("/water/?day=2031-05-03")
    row = page.get_by_role("row").filter(has=page.get_by_role("link", name="Wren"))
    spans = re.findall(r"(\d\d:\d\d)–(\d\d:\d\d)", row.inner_text())
    drawn = page.locator("figure svg").first.inner_html()
    assert all(clock in drawn for clock in spans[0])
    begins, ends = spans[0]
    return begins, ends


def plans_and_publishes(page: Page) -> None:
    page.goto("/spring/")
    page.get_by_role("button", name="Plan the spring").click()
    page.get_by_role("button", name="Publish as Pencil").click(timeout=60_000)
    expect(page.get_by_role("heading", name="The plan that holds")).to_be_visible()


def makes_ink(page: Page) -> None:
    """She is watched for a day before she is handed over: the owner is told the day after."""
    page.goto("/spring/")
    page.locator("#days summary").filter(has_text="Wren").click()
    page.get_by_role("link", name="Make it Ink for Wren").click()
    day = page.get_by_label("Day told to the owner")
    in_the_water = date.fromisoformat(day.input_value())
    day.fill((in_the_water + timedelta(days=1)).isoformat())
    ticks_if_not_sure(page)
    page.get_by_role("button", name="Make it Ink").click()
    says(page, "Her owner was told")


def ticks_if_not_sure(page: Page) -> None:
    """How sure her day is may not be worked out yet, right after the plan is published."""
    tick = page.get_by_label("I tell it all the same")
    if tick.count():
        tick.check()


def reads_her_launch(page: Page) -> datetime:
    page.goto("/spring/")
    days = page.locator("#days").inner_text()
    found = re.search(r"\w+day (\d+ \w+)\s.*?(\d\d:\d\d)–", days, re.S)
    assert found, days
    wall = datetime.strptime(f"{found[1]} 2031 {found[2]} -0400", "%d %B %Y %H:%M %z")
    page.goto("/rows/")
    says(page, "Wren leaves next, from North row.")
    return wall


# --- the lift ---------------------------------------------------------------------


def has_a_lift_card(page: Page) -> None:
    page.goto("/boats/WRE/going-in/")
    link = page.get_by_role("link", name="Lift Card")
    card = page.request.get(link.get_attribute("href") or "")
    assert (card.status, card.headers["content-type"]) == (200, "application/pdf")
    assert card.body().startswith(b"%PDF-")
    assert card.body().rstrip().endswith(b"%%EOF")


def is_not_ready(page: Page) -> None:
    """The drain plug was forgotten: she stays on land, and the water's way in is told."""
    page.goto("/boats/WRE/going-in/")
    page.get_by_role("button", name="She is ready to go in").click()
    alert = page.get_by_role("alert")
    expect(alert).to_contain_text("Would take water")
    expect(alert).to_contain_text(re.compile("sea.*stern drain plug.*bilge"))
    assert faults(page, "phone") == []


def floats(page: Page) -> None:
    page.goto("/boats/WRE/")
    expect(page.get_by_role("heading", name=re.compile("^Floats$"))).to_be_visible()


def hangs(yard: Served, page: Page, since: datetime) -> None:
    """Ten minutes in the slings, each opening looked at from inside, the bilge dry twice."""
    yard.set_clock(since)
    page.goto("/boats/WRE/going-in/")
    page.get_by_role("button", name="She is ready to go in").click()
    says(page, "Ready to go in")
    page.get_by_role("button", name="In the slings now").click()
    page.get_by_role("button", name="The bilge is dry").click()
    expect(page.locator("#going")).to_contain_text("The second look counts from")
    page.get_by_role("button", name="Dry at the stern drain plug").click()
    expect(page.get_by_role("button", name="Dry at the stern drain plug")).to_have_count(0)
    page.get_by_role("button", name="Slings off: she floats").click()
    expect(page.get_by_role("alert")).to_contain_text("10 min apart")
    assert faults(page, "phone") == []

    yard.set_clock(since + timedelta(minutes=11))
    page.goto("/boats/WRE/going-in/")
    page.get_by_role("button", name="The bilge is dry").click()
    says(page, "Nothing refuses the next step.")
    page.get_by_role("button", name="Slings off: she floats").click()
    expect(page.get_by_role("heading", name="The watch")).to_be_visible()


def is_watched(yard: Served, page: Page, since: datetime) -> None:
    """Looks at 0, 10 and 30 minutes, 2 and 24 hours."""
    for number, minutes in enumerate((0, 10, 30, 120, 24 * 60), 1):
        yard.set_clock(since + timedelta(minutes=minutes))
        page.goto("/boats/WRE/going-in/")
        page.get_by_role("button", name="The bilge is dry").click()
        done = page.get_by_role("listitem").filter(has_text=re.compile(r"\d done: "))
        expect(done).to_have_count(number)
    assert faults(page, "phone") == []


def is_handed_over(page: Page) -> None:
    """Not before her gear, her papers and her key are back."""
    page.goto("/boats/WRE/going-in/")
    page.get_by_role("button", name="Hand her over").click()
    expect(page.get_by_role("alert")).to_contain_text("Key ashore")
    for title in AFTER_THE_WATER:
        put_back(page, title)
    page.goto("/boats/WRE/going-in/")
    page.get_by_role("button", name="Hand her over").click()
    says(page, "Handed over")
    page.goto("/boats/WRE/")
    says(page, "Nothing is left undone on her.")
    expect(page.get_by_text("Kept: ")).to_be_visible()
