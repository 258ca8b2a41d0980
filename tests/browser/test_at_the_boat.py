"""At the boat with signal: few taps from her tag to a put-back that is proven, also without a script."""

from collections.abc import Iterator
from datetime import datetime

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import A_BUSY_MACHINE_MS, log_in
from tests.browser.looked_over import PHONE_PX
from tests.browser.served import ROOT, Served

MOST_TAPS = 3


class Taps:
    """A finger that is counted."""

    def __init__(self, page: Page) -> None:
        self.page, self.count = page, 0

    def on(self, what: str, words: str) -> None:
        self.page.locator(what).filter(has_text=words).first.tap()
        self.count += 1


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with Served(tmp_path_factory.mktemp("yard"), ROOT / "docs/teal.toml") as served:
        served.set_clock(datetime.fromisoformat("2031-05-05T06:50-04:00"))
        yield served


@pytest.fixture
def no_script(browser: Browser, yard: Served) -> Iterator[Page]:
    made = browser.new_context(
        base_url=yard.url,
        viewport=PHONE_PX,
        has_touch=True,
        is_mobile=True,
        java_script_enabled=False,
    )
    made.set_default_timeout(A_BUSY_MACHINE_MS)
    page = made.new_page()
    page.goto("/sign-in/")
    log_in(page, "Mara")
    yield page
    made.close()


def proven(yard: Served, what: str) -> str:
    question = """SELECT count(*) FROM work_fact put JOIN work_fact un ON un.uuid = put.of_id
      WHERE put.kind = 'put back' AND un.what = ?"""
    return yard.ask(question, what)


def test_from_the_square_code(no_script: Page, yard: Served) -> None:
    no_script.goto("/boats/TEA/at-hand/")  # as the code on her tag opens it
    taps = Taps(no_script)
    taps.on("#left-undone summary", "propeller off")
    taps.on("#left-undone details[open] button.main", "")
    expect(no_script.locator(".answer[role=status]")).to_contain_text(
        "Held: Put back: propeller off"
    )
    assert taps.count < MOST_TAPS
    assert proven(yard, "propeller off") == "1"
    assert no_script.url.endswith("#left-undone")


def test_from_three_letters_typed(no_script: Page, yard: Served) -> None:
    no_script.goto("/phone/")
    no_script.get_by_label("Her tag").fill("tea")
    taps = Taps(no_script)
    taps.on("button", "Go to her")
    taps.on("#left-undone summary", "fuel pump lead off")
    taps.on("#left-undone details[open] button.main", "")
    assert taps.count <= MOST_TAPS
    expect(no_script.locator(".answer[role=status]")).to_contain_text("Held: Put back: fuel pump")
    assert proven(yard, "fuel pump lead off") == "1"


def test_enter_in_what_was_seen_proves_nothing(browser: Browser, yard: Served) -> None:
    page = browser.new_context(base_url=yard.url, viewport=PHONE_PX, has_touch=True).new_page()
    log_in(page, "Mara")
    page.goto("/boats/TEA/at-hand/")
    thing = page.locator("#left-undone details.item").filter(has_text="stern drain plug out")
    thing.locator("summary").first.tap()
    thing.locator("summary.btn").tap()
    seen = thing.get_by_label("What did you see?")
    seen.fill("thread is stripped")
    seen.press("Enter")
    page.wait_for_timeout(300)
    assert proven(yard, "stern drain plug out") == "0"
    thing.get_by_role("button", name="Write it down: it does not").tap()
    expect(thing.locator("+ .entered")).to_contain_text("Held.")
    assert proven(yard, "stern drain plug out") == "0"
    page.context.close()


def test_without_a_script_its_own_page_asks_what_was_seen(no_script: Page, yard: Served) -> None:
    no_script.goto("/boats/TEA/at-hand/")
    thing = no_script.locator("#left-undone details.item").filter(has_text="two batteries ashore")
    thing.locator("summary").first.tap()
    thing.get_by_role("button", name="It does not hold").tap()
    expect(no_script.get_by_role("alert")).to_contain_text("What did you see?")
    no_script.get_by_label("What did you see?").fill("one post is cracked")
    no_script.get_by_role("button", name="Keep it open: it does not hold").tap()
    expect(no_script.locator("#left-undone")).to_contain_text("one post is cracked")


def test_how_it_is_done_is_one_tap_away(browser: Browser, yard: Served) -> None:
    """Its caution is said at once; a link to what is folded unfolds it."""
    page = browser.new_context(base_url=yard.url, viewport=PHONE_PX, has_touch=True).new_page()
    log_in(page, "Mara")
    page.goto("/boats/TEA/at-hand/")
    thing = page.locator("#left-undone details.item").filter(has_text="How it is done").first
    thing.locator("summary").first.tap()
    link = thing.get_by_role("link", name="How it is done").first
    where = (link.get_attribute("href") or "").removeprefix("#")
    caution = page.locator(f"details:has(> [id='{where}']) > .do-not").text_content() or ""
    assert caution.startswith("Mind:")
    expect(thing.locator(".do-not")).to_have_text(caution)
    expect(thing.locator(".do-not")).to_be_visible()
    link.tap()
    expect(page.locator(f"[id='{where}'] li").first).to_be_visible()
    expect(page.locator(f"[id='{where}']")).to_contain_text("What can go wrong")
    page.context.close()


def test_a_draft_stays_with_its_own_form(browser: Browser, yard: Served) -> None:
    """What is typed for one reading never comes back in another when the list above gets shorter."""
    page = browser.new_context(base_url=yard.url, viewport=PHONE_PX, has_touch=True).new_page()
    log_in(page, "Mara")
    page.goto("/boats/TEA/at-hand/")
    reading = page.locator("#r-battery_at_rest")
    reading.locator("summary").first.tap()
    reading.locator("[name=value_1]").fill("12.7 V")
    put_back = "two batteries ashore"
    thing = page.locator("#left-undone details.item").filter(has_text=put_back)
    thing.locator("summary").first.tap()
    thing.locator("button.main").tap()
    expect(page.locator("#left-undone")).to_contain_text("Held")
    page.goto("/boats/TEA/at-hand/?held=none")
    assert page.locator("#left-undone details.item").filter(has_text=put_back).count() == 0
    filled = "[...document.querySelectorAll('[name=value_1]')].filter((one) => one.value)"
    where = page.evaluate(f"{filled}.map((one) => one.closest('details.item').id + one.value)")
    assert where == ["r-battery_at_rest12.7 V"]
    page.context.close()


LEARNS = """import django; django.setup()
from yardwright.yard.models import Person
Person.objects.filter(name="Tomas").update(learner=True)"""


def test_who_is_learning_reads_how_first_and_says_who_watches(
    browser: Browser, yard: Served
) -> None:
    yard.run("-c", LEARNS)
    page = browser.new_context(base_url=yard.url, viewport=PHONE_PX, has_touch=True).new_page()
    log_in(page, "Tomas")
    page.goto("/boats/TEA/at-hand/")
    step = page.locator("#steps details.item:has(form[data-watched])").first
    title = step.locator("summary b").inner_text()
    step.locator("summary").first.tap()
    how, button = step.locator("[id^=how-]"), step.locator("button.main")
    expect(how).to_contain_text("What can go wrong")
    above, below = how.bounding_box(), button.bounding_box()
    assert above
    assert below
    assert above["y"] < below["y"]
    step.get_by_label("Who is watching you").select_option(label="Ines")
    button.tap()
    under = page.locator(".entered").filter(has_text=title)
    expect(under).to_contain_text("Held.")
    watched = "SELECT p.name FROM work_fact f JOIN yard_person p ON p.id = f.second_id WHERE f.kind = 'done'"
    assert yard.ask(watched) == "Ines"
    page.context.close()
