"""docs/first-day.md in the browser: from an empty folder to a Lift Card."""

import re
import socket
import time
from collections.abc import Iterator
from contextlib import closing
from datetime import date, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Error, Page, expect

from tests.browser.conftest import A_BUSY_MACHINE_MS
from tests.browser.served import ROOT, UP_WITHIN_S
from tests.terminal import CTRL_C, Terminal

PASSWORD = "a long winter"  # noqa: S105  # of an invented person
FIRST_RUN = {
    "The yard's name: ": "Our Yard",
    "Its time zone (such as America/New_York): ": "America/New_York",
    "Chart datum of its waters (such as MLLW or LAT): ": "MLLW",
    "The manager's name: ": "Mara",
    "The manager's password: ": PASSWORD,
}
TODAY = date.today()  # noqa: DTZ011  # as a newcomer reads it off the wall


@pytest.fixture
def page(browser: Browser, tmp_path: Path) -> Iterator[Page]:
    with closing(socket.socket()) as free:
        free.bind(("127.0.0.1", 0))
        port = str(free.getsockname()[1])
    server = Terminal(tmp_path, "serve", "--home", "our-yard", "--port", port)
    for question, answer in FIRST_RUN.items():
        server.reads(question)
        server.types(f"{answer}\n")
    server.reads("Ctrl-C stops the server")
    made = browser.new_context(base_url=f"http://127.0.0.1:{port}")
    made.set_default_timeout(A_BUSY_MACHINE_MS)
    page = made.new_page()
    answers(page)
    yield page
    made.close()
    server.types(CTRL_C)
    assert server.ends()[0] == 0


def answers(page: Page) -> None:
    """It says its address a moment before it answers there."""
    until = time.monotonic() + UP_WITHIN_S
    while True:
        try:
            page.goto("/")
            return
        except Error:
            assert time.monotonic() < until
            page.wait_for_timeout(100)


def press(page: Page, name: str | re.Pattern[str]) -> None:
    page.get_by_role("button", name=name).first.click()
    page.wait_for_load_state()


def fill(page: Page, **fields: str) -> None:
    for label, value in fields.items():
        page.get_by_label(label.replace("_", " "), exact=True).fill(value)


def shows(page: Page, words: str) -> None:
    expect(page.locator("main")).to_contain_text(words)


@pytest.mark.slow
def test_the_first_day(page: Page) -> None:
    fill(page, Name="Mara", Password=PASSWORD)
    press(page, "Log in")
    shows(page, "No plan is published yet")
    settles_the_yard(page)
    brings_the_boats(page)
    undoes(page)
    puts_back(page)
    reads(page)
    plans(page)


def settles_the_yard(page: Page) -> None:
    page.get_by_role("link", name="The yard").first.click()
    page.goto("/yard/settings/")
    fill(
        page,
        First_day_of_the_season=str(TODAY),
        Last_day_of_the_season=str(TODAY + timedelta(60)),
    )
    press(page, "This is how we work")
    shows(page, "The sill was never measured")
    page.goto("/yard/water/")
    fill(page, Part_of_its_name_or_number="Portland")
    press(page, "Look for it")
    shows(page, "Portland · 8418150")
    page.get_by_label("Tide station's number").fill("8418150")
    fill(
        page,
        Height_of_the_sill="-1.02 m",
        Measured_from_which_datum="MLLW",
        Of_which_years="1983-2001",
        Measured_on=str(TODAY),
        Measured_by="Mara",
    )
    press(page, "This is our water")
    shows(page, "The sill lies 1.02 m below MLLW")
    has_a_lift_a_row_and_a_gun(page)
    has_people(page)


def has_a_lift_a_row_and_a_gun(page: Page) -> None:
    page.get_by_role("link", name="A new lift").click()
    fill(
        page,
        Name="Travel lift",
        Kind="travel lift",
        Lifts_at_most="33000 lb",
        Each_sling_holds_at_most="8 t",
        Opens="06:00",
        Closes="20:00",
        Minutes_for_a_launch="30",
        Minutes_to_move_a_boat_aside="30",
    )
    press(page, "This is the lift")
    page.get_by_role("link", name="A new place").click()
    fill(page, Name="North row", Kind="row", Berths="4")
    press(page, "This is the place")
    page.get_by_role("link", name="A new instrument").click()
    fill(page, Name="infrared gun", Unit_it_shows="°C", Standard_uncertainty="1.5")
    fill(page, Checked_until=str(TODAY + timedelta(300)))
    page.get_by_label("Measures").select_option("Head temperature")
    press(page, "This is the instrument")
    shows(page, "infrared gun")


def has_people(page: Page) -> None:
    page.get_by_role("link", name="Who may do what").click()
    page.get_by_role("link", name="Mara").first.click()
    fill(page, Trades="mechanic, yard hand, lift", Hours_of_a_working_day="07:00-12:00")
    press(page, "So it is")
    page.get_by_role("link", name="Somebody new").click()
    fill(page, Name="Ines", Name_to_log_in_with="Ines", New_password=PASSWORD)
    page.get_by_label("Prove").check()
    press(page, "So it is")
    shows(page, "2 work here.")


def brings_the_boats(page: Page) -> None:
    page.goto("/boats/import/")
    page.get_by_label("Spreadsheet of boats").set_input_files(ROOT / "docs" / "first-day.csv")
    press(page, "Look at it")
    shows(page, "2 boats can come in; 1 row can't, and is left out.")
    shows(page, "'deep' is no number; type one with its unit, such as 74 F or 5.2 m.")
    press(page, "Bring in 2 boats")
    shows(page, "2 boats came in.")


def undoes(page: Page) -> None:
    page.goto("/boats/TEA/ways-in/")
    page.get_by_role("link", name="One more way in").click()
    fill(page, Name="stern drain plug", Bore="1 in", Depth_under_water="0.3 m")
    page.get_by_label("What keeps the water out").select_option("Plug")
    press(page, "This is the way in")
    shows(page, "1 way in. Whether that is all of them is not known")
    opens_the_step(page, "Stern plug out, on the wheel")
    form = page.locator("form.fields")
    form.get_by_label("where does it lie?").fill("in the bag on the wheel")
    form.get_by_label("which way in stands open?").select_option("stern drain plug")
    does_it(page)
    page.goto("/boats/TEA/")
    shows(page, "1 thing left undone; 1 of them could sink her.")


def puts_back(page: Page) -> None:
    page.goto("/boats/TEA/move/")
    page.get_by_label("She is").select_option("Fitting out")
    page.get_by_label("She stands at").select_option("North row")
    page.get_by_label("Berth").fill("1")
    press(page, "She is here now")
    expect(page.locator(".head")).to_contain_text("Fitting out, North row, berth 1")
    page.goto("/boats/TEA/look/")
    page.get_by_role("link", name="All openings counted").click()
    press(page, "Counted: these are all")
    expect(page.get_by_role("status")).to_contain_text("holds")
    page.goto("/boats/TEA/")
    shows(page, "Would take water")
    shows(page, "sea → stern drain plug, 25 mm, 0.30 m deep → bilge, 44 to 59 L/min")
    opens_the_step(page, "Stern plug in, felt by two")
    does_it(page)
    page.goto("/boats/TEA/left-undone/")
    shows(page, "proven by Mara; waits for a second pair of eyes")


def opens_the_step(page: Page, title: str) -> None:
    page.goto("/boats/TEA/steps/")
    for shut in page.locator("main summary").all():
        shut.click()
    page.locator("main").get_by_role("link", name=title).first.click()


def does_it(page: Page) -> None:
    page.locator("form.fields").get_by_role("button").first.click()
    expect(page.get_by_role("status")).to_contain_text("Done: ")


def reads(page: Page) -> None:
    page.goto("/boats/TEA/readings/new/?quantity=head_temperature")
    for point in range(1, 5):
        page.get_by_label(f"Point {point}").fill("165 F")
    page.get_by_label("Which thermometer").select_option("infrared gun")
    page.get_by_label("Was the engine at running temperature").select_option("Yes")
    page.get_by_label("Was each spot touched").select_option("Yes")
    expect(page.locator("#understood")).to_contain_text("No limit on file")
    page.get_by_role("button", name=re.compile("Keep it: .*73.9 °C")).click()
    page.wait_for_url("**/readings/*-*/*")
    page.get_by_role("link", name="Enter the manual's value and page").click()
    fill(page, At_most="80", Which_book_or_paper="maker's workshop manual", Page="5-12")
    press(page, "The manual says so: judge by it")
    page.wait_for_url("**/readings/")
    page.goto("/boats/TEA/readings/")
    shows(page, "The limit is at most 80 °C.")
    shows(page, "Good")


def plans(page: Page) -> None:
    page.goto("/spring/")
    press(page, "Plan the spring")
    page.get_by_role("button", name="Publish as Pencil").click(timeout=60_000)
    page.locator("#days summary").filter(has_text="Teal").click()
    page.get_by_role("link", name="Make it Ink for Teal").click()
    tick = page.get_by_label("I tell it all the same")  # how sure it is may not be worked out yet
    if tick.count():
        tick.check()
    press(page, "Make it Ink")
    shows(page, "Her owner was told")
    page.goto("/boats/TEA/going-in/")
    link = page.get_by_role("link", name="On paper").get_attribute("href")
    assert page.request.get(link or "").body().startswith(b"%PDF-")
    press(page, "She is ready to go in")
    expect(page.get_by_role("alert")).to_contain_text("Would take water")
