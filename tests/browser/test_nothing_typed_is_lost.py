"""Refused, logged out, or the server gone and back: each form comes back with each typed field."""

from collections.abc import Iterator
from typing import cast
from uuid import UUID

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from tests.browser.conftest import context, log_in, log_in_here
from tests.browser.looked_over import faults
from tests.browser.served import ROOT, Served

FORMS = [
    "/boats/TEA/edit/",
    "/boats/TEA/move/",
    "/boats/TEA/readings/new/?quantity=compression",
    "/boats/TEA/readings/new/?quantity=head_temperature",
    "/boats/TEA/since/",
    "/boats/TEA/steps/stern_plug_out/",
    "/boats/TEA/ways-in/new/",
    "/boats/TEA/work/new/",
    "/boats/new/",
    "/limits/new/?quantity=compression&boat=TEA",
    "/parts/new/",
    "/yard/instruments/new/",
    "/yard/lifts/new/",
    "/yard/people/new/",
    "/yard/places/new/",
    "/yard/settings/",
    "/yard/water/",
]
SIGNS_OFF = "/undone/{plug}/"  # three forms on one page
FIELDS = """() => [...document.querySelectorAll("main form[method=post]")].flatMap((form, place) =>
  [...form.elements].filter((one) => one.name && !["hidden", "password", "file", "submit"].includes(one.type))
    .map((one) => [`${place} ${one.name} ${one.type === "checkbox" || one.type === "radio" ? one.value : ""}`,
      one.type === "checkbox" || one.type === "radio" ? String(one.checked) : one.value]))"""


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with Served(tmp_path_factory.mktemp("yard"), ROOT / "docs/teal.toml") as served:
        yield served


@pytest.fixture
def phone(browser: Browser, yard: Served) -> Iterator[BrowserContext]:
    made = context(browser, yard, "phone")
    page = made.new_page()
    log_in(page, "Mara")
    page.close()
    yield made
    made.close()


def fields(page: Page) -> dict[str, str]:
    """What stands in each field of the page's forms."""
    return dict(cast("list[tuple[str, str]]", page.evaluate(FIELDS)))


def type_everything(page: Page) -> dict[str, str]:
    """As a person would: something new in each field."""
    page.evaluate("document.querySelectorAll('details').forEach((one) => (one.open = true))")
    for field in page.locator("main form[method=post]").locator("input, select, textarea").all():
        if not field.is_visible():
            continue
        kind = str(field.evaluate("(one) => one.type"))
        if kind in ("checkbox", "radio"):
            field.click()
        elif kind == "select-one":
            field.select_option(index=int(field.evaluate("(one) => one.options.length")) - 1)
        elif kind != "file":
            field.fill(SOMETHING.get(kind, "17 as typed"))
    return fields(page)


SOMETHING = {
    "number": "17",
    "date": "2031-05-17",
    "time": "17:17",
    "datetime-local": "2031-05-17T17:17",
    "email": "typed@yard.example",
    "password": "slack-water-7",
}


def address(yard: Served, path: str) -> str:
    plug = "SELECT uuid FROM work_fact WHERE what = 'stern drain plug out' AND kind = 'undone'"
    return path.format(plug=UUID(yard.ask(plug)))


def test_the_server_goes_down_and_comes_back(yard: Served, phone: BrowserContext) -> None:
    """Killed while every form of the yard is half typed."""
    paths = [address(yard, path) for path in (*FORMS, SIGNS_OFF)]
    page, typed = phone.new_page(), {}
    for path in paths:
        page.goto(path)
        before = fields(page)
        typed[path] = type_everything(page)
        assert set(before.items()) - set(typed[path].items()), f"{path}: nothing was typed"
    page.goto(paths[0])
    yard.stop()
    page.locator("main form button.main").click()
    page.wait_for_timeout(500)
    yard.start()
    lost = {}
    for path in paths:
        page.goto(path)
        found = fields(page)
        if gone := {name for name, value in typed[path].items() if found.get(name) != value}:
            lost[path] = gone
    assert not lost


def test_an_answer_that_does_not_come_is_said(yard: Served, phone: BrowserContext) -> None:
    """A step is tapped while the server is gone; it stands as typed, and goes in later."""
    page = phone.new_page()
    page.goto("/boats/TEA/steps/key_in/")
    page.get_by_label("where does it lie?").fill("hook 31")
    yard.stop()
    page.get_by_role("button", name="Hung it").click()
    expect(page.get_by_role("alert")).to_contain_text("No answer from the yard's server.")
    yard.start()
    expect(page.get_by_label("where does it lie?")).to_have_value("hook 31")
    page.get_by_role("button", name="Hung it").click()
    expect(page.get_by_role("status")).to_contain_text("Done: Mara")
    page.goto("/boats/TEA/")
    expect(page.get_by_text("Her key: hook 31")).to_be_visible()


def test_logged_out_while_typing(phone: BrowserContext) -> None:
    """What was sent is shown field by field after logging in, and then goes in."""
    page = phone.new_page()
    page.goto("/yard/places/new/")
    page.get_by_label("Name").fill("South row")
    page.get_by_label("Kind").fill("row")
    page.get_by_label("berths").fill("9")
    phone.clear_cookies()
    page.locator("main form button.main").click()
    expect(page.get_by_role("status")).to_contain_text("What you typed is kept")
    log_in_here(page, "Mara")
    expect(page.locator("dl")).to_contain_text("South row")
    page.get_by_role("button", name="Send it now").click()
    page.wait_for_url("**/yard/")
    expect(page.locator("main")).to_contain_text("South row")


def test_logged_out_at_a_step(phone: BrowserContext) -> None:
    """A tap is not turned into a log-in page; it is said, and the words stand."""
    page = phone.new_page()
    page.goto("/boats/TEA/steps/papers_in/")
    page.get_by_label("where does it lie?").fill("folder 12")
    phone.clear_cookies()
    page.get_by_role("button", name="Put them in").click()
    expect(page.get_by_role("alert")).to_contain_text("You were logged out.")
    page.goto("/boats/TEA/steps/papers_in/")
    log_in_here(page, "Mara")
    expect(page.get_by_label("where does it lie?")).to_have_value("folder 12")


REFUSED = [
    ("/boats/TEA/edit/", "Draft", "ten"),
    ("/boats/TEA/readings/new/?quantity=head_temperature", "Point 1", "warm"),
    ("/boats/TEA/ways-in/new/", "Bore", "wide"),
    ("/limits/new/?quantity=compression&boat=TEA", "At least", "some"),
    ("/yard/lifts/new/", "Lifts at most", "much"),
    ("/yard/people/new/", "Name", "Mara"),
]


@pytest.mark.parametrize(("path", "label", "wrong"), REFUSED, ids=[one[0] for one in REFUSED])
def test_refused(phone: BrowserContext, path: str, label: str, wrong: str) -> None:
    page = phone.new_page()
    page.goto(path)
    type_everything(page)
    page.get_by_label(label).first.fill(wrong)
    typed = fields(page)
    page.evaluate("for (const form of document.forms) form.noValidate = true")
    page.locator("main form button.tap").first.click()
    expect(page.get_by_role("alert").first).to_be_visible()
    assert fields(page) == typed
    assert faults(page, "phone") == []


def test_a_draft_is_dropped_when_it_was_taken(phone: BrowserContext) -> None:
    """The next form of its kind begins empty."""
    page = phone.new_page()
    page.goto("/yard/places/new/")
    page.get_by_label("Name").fill("East row")
    page.get_by_label("Kind").fill("row")
    page.get_by_label("berths").fill("4")
    page.locator("main form button.main").click()
    page.wait_for_url("**/yard/")
    page.goto("/yard/places/new/")
    expect(page.get_by_label("Name")).to_have_value("")


def test_one_thing_measured_does_not_fill_the_form_of_another(phone: BrowserContext) -> None:
    page = phone.new_page()
    page.goto("/boats/TEA/readings/new/?quantity=head_temperature")
    page.get_by_label("Point 1").fill("165 F")
    page.goto("/boats/TEA/readings/new/?quantity=compression")
    expect(page.get_by_label("Cylinder 1")).to_have_value("")


def test_a_draft_says_that_it_is_one_and_can_be_dropped(phone: BrowserContext) -> None:
    """What was typed and never sent is not taken for what the yard holds."""
    page = phone.new_page()
    page.goto("/boats/TEA/edit/")
    draft = page.get_by_label("Draft")
    held = draft.input_value()
    draft.fill("9 m")
    page.get_by_role("link", name="Leave it").click()
    page.goto("/boats/TEA/edit/")
    expect(draft).to_have_value("9 m")
    expect(page.get_by_role("status")).to_contain_text("did not send it")
    assert faults(page, "phone") == []
    page.get_by_role("button", name="Drop it").click()
    expect(draft).to_have_value(held)
    page.reload()
    expect(draft).to_have_value(held)
