"""A hose run on a phone: the hose slips while the server is gone, and the alarm is in time."""

import re
from collections.abc import Iterator
from datetime import datetime
from math import exp
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.looked_over import faults
from tests.browser.served import Served
from tests.browser.test_phone_offline import opened, wait_until
from yardwright.procedures.start_check import needs
from yardwright.procedures.water_order import EngineKind, Supply

ONE_BOAT = Path(__file__).parent / "one_boat.toml"
AT = "/boats/WRE/hose-run/"
SLIPS_S = 380
LOOK = """async (at) => {
  const body = new FormData();
  body.set("uuid", crypto.randomUUID());
  body.set("holds", "yes");
  body.set("words", "in order");
  const answer = await fetch(`/boats/WRE/look/?at=${encodeURIComponent(at)}`, { method: "POST", body });
  return answer.status;
}"""


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with Served(tmp_path_factory.mktemp("yard"), ONE_BOAT) as served:
        yield served


@pytest.fixture
def yard(served: Served) -> Served:
    """Each test has her as she was laid up."""
    served.begin_again()
    served.set_clock(datetime.fromisoformat("2031-05-05T06:50-04:00"))
    return served


def temp_c(at_s: float) -> float:
    # Story A2 (b): 70 - 50 exp(-t / 180), and from 380 s on +20 degC a minute.
    return 70 - 50 * exp(-min(at_s, SLIPS_S) / 180) + max(0, at_s - SLIPS_S) / 3


def looks_before_the_start(page: Page) -> None:
    for need in needs(EngineKind.OUTBOARD, Supply.MUFFS):
        assert page.evaluate(LOOK, need.code.value) == 200


def begins(page: Page) -> None:
    page.goto(AT)
    expect(page.locator(".say").first).to_contain_text("May start")
    page.get_by_label("Her running temperature").fill("158 F")
    page.get_by_label("Not over").fill("80 C")
    page.get_by_role("button", name="Cranking now").click()
    expect(page.locator("#watch [role=alert]")).to_contain_text("tick it first")
    page.get_by_label("Water is on and seen at the muffs").check()
    page.get_by_role("button", name="Cranking now").click()
    expect(page.locator("#question")).to_contain_text("Water at the outlet?")


def passes(page: Page, seconds: float) -> None:
    page.clock.run_for(round(1000 * seconds))


def reads(page: Page, typed: str) -> None:
    field = page.get_by_label("head, °C or with its unit")
    field.fill(typed)
    field.press("Enter")


def runs_until_it_slips(page: Page, begins_s: int, ends_s: int) -> float:
    """Read each 15 s, answered each half minute; when the alarm came. [s]"""
    for at_s in range(begins_s, ends_s + 1, 15):
        passes(page, 15)
        if at_s % 30 == 0:
            page.locator("#yes").click()
        reads(page, f"{temp_c(at_s):.1f}")
        if page.locator("#stop").count():
            return at_s
    return float("inf")


@pytest.mark.slow
def test_the_hose_slips_with_the_server_gone(yard: Served, page: Page) -> None:
    looks_before_the_start(page)
    opened(page, "/boats/WRE/at-hand/")
    wait_until(page, f"(await caches.match('{AT}'))")
    page.clock.install()
    begins(page)
    passes(page, 10)
    page.get_by_role("button", name="Yes, I see it").click()
    passes(page, 5)
    assert runs_until_it_slips(page, 30, 120) == float("inf")
    yard.stop()
    assert runs_until_it_slips(page, 135, 240) == float("inf")
    page.reload()  # the phone fell, and the page is opened again: the run goes on
    expect(page.locator("#question")).to_contain_text(re.compile("Water"))
    assert SLIPS_S < runs_until_it_slips(page, 255, 450) <= 405
    card = page.locator("#stop")
    expect(card.get_by_role("heading")).to_have_text("STOP. Heat climbs.")
    expect(card).to_contain_text("Stop the engine")
    expect(card).to_contain_text("It leaves the healthy warm-up")
    expect(card).to_contain_text("Tap off once she stands still")
    found = faults(page, "phone")
    assert found == [], "; ".join(found)
    expect(card.get_by_role("button", name="The engine is stopped")).to_be_disabled()
    passes(page, 2)
    card.get_by_role("button", name="The engine is stopped").click()
    page.get_by_label("Drips under her").fill("none")
    page.get_by_role("button", name="Keep the run").click()
    wait_until(page, "document.body.innerText.includes('waits')")
    assert yard.ask("SELECT count(*) FROM work_fact WHERE kind = 'hose run'") == "0"

    yard.start()
    passes(page, 120)
    page.reload()
    for _ in range(60):
        passes(page, 2)
        if yard.ask("SELECT count(*) FROM work_fact WHERE kind = 'hose run'") == "1":
            break
        page.wait_for_timeout(100)
    page.goto(AT)
    passes(page, 60)
    assert yard.ask("SELECT count(*) FROM work_fact WHERE kind = 'hose run'") == "1"
    expect(page.locator("#runs")).to_contain_text("Stop")
    expect(page.locator("#runs")).to_contain_text("none")
    page.goto("/boats/WRE/")
    expect(page.locator("main")).to_contain_text("Hose run: Stop.")


def test_without_what_a_start_needs_no_run_begins(page: Page) -> None:
    page.goto(AT)
    expect(page.locator("#no-run")).to_contain_text("The run does not begin.")
    expect(page.get_by_role("button", name="Cranking now")).to_have_count(0)


def says_yes_to_all(page: Page, most: int) -> int:
    """Each open thing is looked at by a person, one after the other."""
    for many in range(most):
        if page.locator(".asks").count() == 0:
            return many
        asked = page.locator(".asks b").first.inner_text()
        page.locator(".asks").first.get_by_role("button", name="Looked now: it is so").click()
        expect(page.locator("#asked").get_by_text(asked, exact=True)).to_have_count(0)
    return most


@pytest.mark.slow
def test_from_a_copy_each_open_thing_is_looked_at_before_the_start(
    yard: Served, page: Page
) -> None:
    opened(page, "/boats/WRE/at-hand/")
    wait_until(page, f"(await caches.match('{AT}'))")
    yard.stop()
    page.goto(AT)
    asked = page.locator("#asked")
    expect(asked).to_contain_text("The yard's answer is of 06:5")
    expect(page.locator("#no-run")).to_be_visible()
    found = faults(page, "phone")
    assert found == [], "; ".join(found)
    many = len([one for one in needs(EngineKind.OUTBOARD, Supply.MUFFS) if not one.after_stop])
    assert says_yes_to_all(page, many + 5) == many + 1  # and that nobody was at her since
    expect(page.get_by_role("button", name="Cranking now")).to_be_visible()
    page.reload()  # the looks wait in the outbox and count; of the copy it is asked again
    expect(asked).to_contain_text(f"{many} entries wait here. 1 look before the start")
    assert says_yes_to_all(page, 3) == 1
    page.get_by_label("Water is on and seen at the muffs").check()
    page.get_by_role("button", name="Cranking now").click()
    expect(page.locator("#clock")).to_contain_text("since the key")
    yard.start()
    for _ in range(60):
        page.wait_for_timeout(500)
        page.evaluate("dispatchEvent(new Event('online'))")
        if yard.ask("SELECT count(*) FROM work_fact WHERE kind = 'looked'") == str(many):
            break
    assert yard.ask("SELECT count(*) FROM work_fact WHERE kind = 'looked'") == str(many)


def test_it_is_not_so_and_no_run_begins(page: Page) -> None:
    looks_before_the_start(page)
    page.goto(AT)
    expect(page.get_by_role("button", name="Cranking now")).to_be_visible()
    before = page.evaluate(
        "(at) => fetch(at, {method: 'POST', body: new URLSearchParams({uuid: crypto.randomUUID(),"
        " holds: 'no', words: 'a drip at the primer'})}).then((one) => one.status)",
        "/boats/WRE/look/?at=fuel",
    )
    assert before == 200
    page.goto(AT)
    expect(page.locator("#asked")).to_contain_text("Fuel is not primed, or drips")
    expect(page.locator("#asked")).to_contain_text("a drip at the primer")
    expect(page.get_by_role("button", name="Cranking now")).to_be_hidden()


def test_she_does_not_fire_and_the_water_comes_first(page: Page) -> None:
    looks_before_the_start(page)
    page.clock.install()
    begins(page)
    passes(page, 8)
    page.get_by_role("button", name="Did not fire: water off").click()
    expect(page.locator("#watch h2")).to_contain_text("1 try")
    expect(page.locator("#watch li").first).to_have_text("Tap off first, and the key off.")
    passes(page, 60)
    expect(page.locator("#stop")).to_have_count(0)  # no engine runs: nothing to stop
    found = faults(page, "phone")
    assert found == [], "; ".join(found)
    page.get_by_role("button", name="Water off, done: to the next try").click()
    # People, control, vapour and water are looked at anew before the key is turned again.
    expect(page.locator("#asked")).to_contain_text("looks before the start")
    expect(page.locator("#asked")).to_contain_text("Is the control in neutral?")
    expect(page.get_by_role("button", name="Cranking now")).to_be_hidden()
    looks_before_the_start(page)
    page.reload()
    expect(page.get_by_label("Water is on and seen at the muffs")).not_to_be_checked()


def test_nobody_answers_and_the_phone_says_stop(page: Page) -> None:
    # Story A2 (c): asked at 30 s, nobody answers: the alarm at 45 s.
    looks_before_the_start(page)
    page.clock.install()
    begins(page)
    passes(page, 10)
    page.get_by_role("button", name="Yes, I see it").click()
    passes(page, 34)
    expect(page.locator("#question")).to_contain_text("Water still coming out?")
    expect(page.locator("#stop")).to_have_count(0)
    passes(page, 2)
    expect(page.locator("#stop")).to_contain_text("Nobody answered")


def test_an_alarm_while_she_is_cranked_is_a_try(page: Page) -> None:
    looks_before_the_start(page)
    page.clock.install()
    begins(page)
    passes(page, 31)  # cranked for so long, and no water: she never fired
    card = page.locator("#stop")
    expect(card).to_contain_text("No water at the outlet")
    passes(page, 2)
    card.get_by_role("button", name="She never fired").click()
    expect(card).to_have_count(0)
    expect(page.locator("#watch h2")).to_contain_text("1 try")


def test_what_is_typed_wrong_begins_no_run(page: Page) -> None:
    looks_before_the_start(page)
    page.goto(AT)
    page.get_by_label("Water is on and seen at the muffs").check()
    says, running = (
        page.locator("#watch [role=alert]"),
        page.get_by_label("Her running temperature"),
    )
    for first, limit, wrong in (
        ("10 C", "80 C", "10 °C; give 30 to 150 °C"),
        ("70 C", "90 C", "On file is 80 °C for head: lower it, never raise it."),
    ):
        running.fill(first)
        page.get_by_label("Not over").fill(limit)
        page.get_by_role("button", name="Cranking now").click()
        expect(says).to_contain_text(wrong)
        expect(running).to_have_value(first)  # what was typed stays
    page.get_by_label("Not over").fill("75 C")
    page.get_by_role("button", name="Read at one more point").click()
    second = page.get_by_label("Point 2", exact=True)
    expect(second).to_be_focused()
    second.fill("head")
    page.get_by_role("button", name="Cranking now").click()
    expect(says).to_contain_text("Each point has a name of its own")
    second.fill("Elbow")
    page.get_by_label("Not over, point 2").fill("140 F")
    page.get_by_role("button", name="Cranking now").click()
    expect(page.locator("#clock")).to_contain_text("since the key")
    expect(page.locator("#watch")).to_contain_text("elbow, not over 60 °C")  # 140 degF
    expect(page.locator("#watch")).to_contain_text("head, not over 75 °C")


def test_somebody_opened_something_since_the_page_came(page: Page) -> None:
    looks_before_the_start(page)
    page.goto(AT)
    page.get_by_label("Her running temperature").fill("70 C")
    page.get_by_label("Water is on and seen at the muffs").check()
    other = page.context.new_page()  # at another desk, a minute later
    other.goto("/boats/WRE/look/?at=fuel")
    other.get_by_text("It is not so").click()
    other.get_by_label("What did you see?").fill("a drip at the primer")
    other.get_by_role("button", name="Write it down").click()
    expect(other.get_by_role("status")).to_contain_text("it was not so")
    page.get_by_role("button", name="Cranking now").click()
    expect(page.locator("#asked")).to_contain_text("Fuel is not primed, or drips")
    expect(page.locator("#asked")).to_contain_text("a drip at the primer")
    expect(page.locator("#clock")).to_have_count(0)
    other.get_by_role("button", name="Looked: it is so").click()
    expect(other.get_by_role("status")).to_contain_text("it was so")
    page.reload()
    expect(page.get_by_role("button", name="Cranking now")).to_be_visible()


def test_the_yard_does_not_answer_at_the_key(yard: Served, page: Page) -> None:
    looks_before_the_start(page)
    page.goto(AT)
    page.get_by_label("Her running temperature").fill("70 C")
    page.get_by_label("Water is on and seen at the muffs").check()
    yard.stop()
    page.get_by_role("button", name="Cranking now").click()
    asked = page.locator("#asked")
    expect(asked).to_contain_text("The yard's answer is of 06:5")
    expect(asked).to_contain_text("nobody opened or took off anything since 06:5")
    expect(page.get_by_role("button", name="Cranking now")).to_be_hidden()
    assert says_yes_to_all(page, 3) == 1
    expect(page.get_by_label("Her running temperature")).to_have_value("70 C")  # nothing is lost
    page.get_by_role("button", name="Cranking now").click()
    expect(page.locator("#clock")).to_contain_text("since the key")
    yard.start()


def test_a_gauge_that_never_moves_asks_for_a_second_instrument(page: Page) -> None:
    looks_before_the_start(page)
    page.clock.install()
    begins(page)
    passes(page, 5)
    page.get_by_role("button", name="Yes, I see it").click()
    for _ in range(7):
        reads(page, "70")
        passes(page, 2)
    expect(page.locator("#cant-tell")).to_be_hidden()
    reads(page, "70")
    expect(page.locator("#cant-tell")).to_contain_text("head: it says 70.0 °C since its first")
    expect(page.locator("#cant-tell")).to_contain_text("with a second instrument")
    reads(page, "68")
    expect(page.locator("#cant-tell")).to_be_hidden()


@pytest.mark.slow
def test_after_a_stop_no_run_begins_before_what_was_found_is_written(
    yard: Served, page: Page
) -> None:
    looks_before_the_start(page)
    opened(page, "/boats/WRE/at-hand/")
    wait_until(page, f"(await caches.match('{AT}'))")
    begins(page)
    yard.stop()  # the yard hears of no stop: this phone knows it all the same
    page.get_by_role("button", name="No: stop the engine").click()
    card = page.locator("#stop")
    expect(card.get_by_role("heading")).to_have_text("STOP. No water.")
    card.get_by_role("button", name="The engine is stopped").click()
    page.get_by_role("button", name="Keep the run").click()
    wait_until(page, "document.body.innerText.includes('waits')")
    page.goto(AT)
    asks = page.locator(".asks").filter(has_text="After a stop")
    expect(asks).to_contain_text("the last run said stop: the water stopped")
    asks.get_by_role("button", name="Looked now: it is so").click()
    expect(asks.get_by_role("alert")).to_contain_text("What was found?")
    found = faults(page, "phone")
    assert found == [], "; ".join(found)
    expect(page.get_by_role("button", name="Cranking now")).to_have_count(0)
    asks.get_by_label("What was found?").fill("muffs had slipped")
    asks.get_by_role("button", name="Looked now: it is so").click()
    expect(asks).to_have_count(0)
    says_yes_to_all(page, 12)
    expect(page.get_by_role("button", name="Cranking now")).to_be_visible()
    yard.start()
    told = "SELECT count(*) FROM work_fact WHERE what = 'water path' AND kind = 'looked'"
    for _ in range(60):
        page.wait_for_timeout(500)
        page.evaluate("dispatchEvent(new Event('online'))")
        if yard.ask(told) == "1":
            break
    assert yard.ask(told) == "1"
    page.get_by_label("Water is on and seen at the muffs").check()
    page.get_by_role("button", name="Cranking now").click()  # the yard says so too
    expect(page.locator("#clock")).to_contain_text("since the key")
