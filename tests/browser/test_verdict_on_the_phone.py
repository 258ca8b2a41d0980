"""The phone's own code says of every written reading and typed text what the server says."""

import json
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

from tests.browser.conftest import context, log_in
from tests.browser.looked_over import complaints, faults
from tests.browser.served import ROOT, Served
from tests.browser.test_phone_offline import opened, rows, wait_until
from tests.data import make_verdict_vectors as made

TEAL = ROOT / "docs/teal.toml"
P_WITHIN = 1e-6
JUDGE_ALL = """async (vectors) => {
  const { judge } = await import("/static/phone/verdict.js");
  const rules = await (await fetch("/phone/rules.json")).json();
  return vectors.map(({ quantity, reading, limit, twin, years }) =>
    judge(rules, rules.quantities[quantity], reading, limit, twin, years));
}"""
READ_ALL = """async (vectors) => {
  const { Units } = await import("/static/phone/units.js");
  const units = new Units((await (await fetch("/phone/rules.json")).json()).units);
  return vectors.map(({ typed, unit, ...how }) => {
    try {
      const { value, echo } = units.read(typed, unit, how);
      return { value, echo };
    } catch (question) {
      return { question: question.message };
    }
  });
}"""


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with Served(tmp_path_factory.mktemp("yard"), TEAL) as served:
        served.set_clock(datetime.fromisoformat("2031-05-05T06:50-04:00"))
        yield served


@pytest.fixture
def page(browser: Browser, yard: Served) -> Iterator[Page]:
    here = context(browser, yard, "phone")
    page = here.new_page()
    page.goto("/sign-in/")
    yield page
    here.close()


@pytest.fixture
def phone(browser: Browser, yard: Served) -> Iterator[Page]:
    """Mara's phone in the shed: it was at the boat's page with signal, and has none now."""
    here = context(browser, yard, "phone")
    page = here.new_page()
    log_in(page, "Mara")
    opened(page)
    wait_until(
        page, "navigator.serviceWorker.controller && (await caches.match('/phone/rules.json'))"
    )
    yard.stop()
    page.reload()
    yield page
    here.close()
    yard.start()


def vectors(path: Path) -> list[dict[str, Any]]:
    return list(json.loads(path.read_text(encoding="utf-8"))[1:])


def told(says: dict[str, Any]) -> list[tuple[str, ...]]:
    """Verdict, then each reason's rule, word, what it is about and its sentence."""
    names = ("rule", "verdict", "about", "words")
    return [(says["verdict"],), *(tuple(one[name] for name in names) for one in says["reasons"])]


def test_every_reading_gets_the_server_s_verdict(page: Page) -> None:
    kept = vectors(made.READINGS)
    answers = page.evaluate(JUDGE_ALL, kept)
    assert len(answers) == len(kept) >= 500
    for vector, answer in zip(kept, answers, strict=True):
        says = vector["says"]
        assert told(answer) == told(says), vector
        pairs = [(answer["p"], says["p"])]
        pairs += [
            (mine["p"], yours["p"])
            for mine, yours in zip(answer["reasons"], says["reasons"], strict=True)
        ]
        for mine, yours in pairs:
            assert mine == (yours if yours is None else pytest.approx(yours, rel=0, abs=P_WITHIN))


def test_every_typed_text_is_understood_as_the_server_does(page: Page) -> None:
    kept = vectors(made.TYPED)
    answers = page.evaluate(READ_ALL, kept)
    assert len(answers) == len(kept) >= 200
    for vector, answer in zip(kept, answers, strict=True):
        says = dict(vector["says"])
        if "value" in says:
            says["value"] = pytest.approx(says["value"], rel=1e-12)
        assert answer == says, vector


def test_its_own_numbers_are_those_of_printed_tables(page: Page) -> None:
    """Abramowitz and Stegun, tables 7.1 (error function) and 26.1 (normal deviations)."""
    erf, quantile = page.evaluate(
        """async () => {
          const { deviations, erfc } = await import("/static/phone/chance.js");
          return [[0.5, 1, 1.5, 2].map((x) => 1 - erfc(x)), [0.95, 0.975, 0.99].map(deviations)];
        }"""
    )
    assert erf == pytest.approx([0.5204998778, 0.8427007929, 0.9661051465, 0.9953222650], abs=1e-10)
    assert quantile == pytest.approx([1.64485, 1.95996, 2.32635], abs=5e-6)


HOT = {"value_1": "174 F", "value_2": "190 F", "value_4": ""}
TOLD = {"c_warm": "yes", "c_dull_spots": "yes", "instrument": "infrared gun"}


def fill(form: Locator, typed: dict[str, str]) -> None:
    for name, text in typed.items():
        field = form.locator(f"[name={name}]")
        if name == "instrument":
            field.select_option(label=text)
        elif name.startswith("c_"):
            field.select_option(text)
        else:
            field.fill(text)


def head(page: Page) -> Locator:
    one = page.locator("#r-head_temperature")
    one.locator("summary").first.click()
    return one


def test_with_no_signal_it_says_what_the_desk_says(
    browser: Browser, yard: Served, phone: Page
) -> None:
    with complaints(phone) as heard:
        one = head(phone)
        fill(one, HOT | TOLD)
        answer = one.locator(".answer")
        expect(answer.get_by_role("heading")).to_have_text("Stop")
        mine = one.locator(".understood > .say").inner_text(), answer.inner_text()
        expect(one.locator("button.main")).to_have_text(
            "Keep it: 174 °F = 78.9 °C; 190 °F = 87.8 °C"
        )
    assert not [said for said in heard if "ERR_CONNECTION" not in said]  # there is no signal
    assert not faults(phone, "phone")
    yard.start()
    desk = context(browser, yard, "desk").new_page()
    log_in(desk, "Mara")
    desk.goto("/boats/TEA/readings/new/?quantity=head_temperature")
    fill(desk.locator("form.fields"), HOT | TOLD)
    yours = desk.locator("#understood .answer")
    yours.wait_for()
    assert mine == (desk.locator("#understood .say").inner_text(), yours.inner_text())
    desk.context.close()
    yard.stop()


def test_what_it_cannot_read_is_asked_before_it_is_kept(phone: Page) -> None:
    one = head(phone)
    keep = one.locator("button.main")
    expect(keep).to_have_text("Keep it")
    keep.click()
    expect(one.get_by_role("alert")).to_have_text("What did it show? A number and its unit.")
    fill(one, {"value_1": "74"})
    alert = one.get_by_role("alert")
    expect(alert).to_have_text("Point 1: 74 of what? Type the unit too: 74 °C or 74 °F.")
    keep.click()
    fill(one, {"value_1": "300 C"})
    expect(alert).to_contain_text("300 °C is outside what this usually is")
    assert rows(phone) == []
    yes = one.get_by_label("Yes, it is really 300 °C")
    yes.check()
    says = "Not told: which thermometer was it read with?"
    expect(one.locator(".answer")).to_contain_text(says)
    expect(yes).to_be_focused()
    fill(one, {"value_1": "301 C"})  # it was said of another number
    expect(alert).to_contain_text("301 °C is outside what this usually is")
    one.get_by_label("Yes, it is really 301 °C").check()
    keep.click()
    expect(phone.locator("#r-head_temperature + .entered")).to_contain_text("Kept on this phone")
    (kept,) = rows(phone)
    assert "Yes, it is really 301 °C" in str(kept["fields"])


def test_its_twin_may_still_wait_on_this_phone(phone: Page) -> None:
    one = head(phone)
    fill(one, {"value_1": "60 C", "where": "Port"} | TOLD)
    one.locator("button.main").click()
    expect(phone.locator("#r-head_temperature + .entered")).to_contain_text("Kept on this phone")
    for again in (False, True):  # in this page, and after it was closed
        if again:
            phone.reload()
        phone.get_by_role("button", name="Enter something else here").click()
        fill(one, {"value_1": "67 C", "where": "starboard"} | TOLD)
        says = "starboard: 67 °C, 7 °C over its twin; 6 °C is the most."
        expect(one.locator(".answer")).to_contain_text(says)
