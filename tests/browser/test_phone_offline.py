"""At a boat with no signal: the server is stopped, and nothing that was entered is lost or doubled."""

import json
import os
import re
import signal
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import cast

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Route, expect

from tests.browser.conftest import ARGS, chromium, context, log_in, log_in_here
from tests.browser.looked_over import PHONE_PX, faults
from tests.browser.served import ROOT, Served

SEASON = (ROOT / "docs/teal.toml", ROOT / "docs/three-days.toml")
AT_HAND = "/boats/TEA/at-hand/"
PAGES = """caches.open("yardwright pages").then((all) => all.keys())
  .then((all) => all.map((one) => new URL(one.url).pathname))"""
ROWS = """() => new Promise((go) => {
  const asked = indexedDB.open("yardwright");
  asked.onsuccess = () => {
    const all = asked.result.transaction("rows").objectStore("rows").getAll();
    all.onsuccess = () => { asked.result.close(); go(all.result); };
  };
})"""
NO_ROOM = """IDBObjectStore.prototype.add = () => {
  throw new DOMException("no room", "QuotaExceededError");
};"""
NO_STORAGE = "Object.defineProperty(window, 'indexedDB', { value: undefined });"
ALL_HERE = re.compile(r"(\d) of \1 boats are on this phone; copy of ")
SIGNAL = "dispatchEvent(new Event('online'))"
PROOFS = """SELECT json_group_array(json_array(put.done_at, put.received_at)) FROM work_fact put
  JOIN work_fact undone ON undone.uuid = put.of_id
  WHERE put.kind = 'put back' AND undone.what = ?"""


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    with Served(tmp_path_factory.mktemp("yard"), *SEASON) as served:
        served.set_clock(datetime.fromisoformat("2031-05-05T06:50-04:00"))
        yield served


@pytest.fixture
def phone(browser: Browser, yard: Served) -> Iterator[Page]:
    made = context(browser, yard, "phone")
    page = made.new_page()
    log_in(page, "Mara")
    yield page
    made.close()


@pytest.fixture
def stopped(yard: Served) -> Iterator[Served]:
    """A yard whose test stops it runs again for the next."""
    yield yard
    if yard.process.poll() is not None:
        yard.start()


def opened(page: Page, path: str = AT_HAND) -> None:
    """With signal, until its copy is on the phone."""
    page.goto(path)
    wait_until(page, f"(await {PAGES}).includes('{path}')")


def wait_until(page: Page, so: str) -> None:
    """What only a promise can tell."""
    page.evaluate(
        f"""async () => {{
          for (let tries = 0; tries < 100; tries++) {{
            if ({so}) return;
            await new Promise((go) => setTimeout(go, 100));
          }}
          throw new Error("not within 10 s");
        }}"""
    )


def put_back(page: Page, thing: str) -> None:
    one = page.locator("details.item[id^=u-]").filter(has_text=thing)
    one.locator("summary").first.click()
    one.locator("form button.main").click()


def expect_under(page: Page, thing: str, words: str) -> None:
    under = page.locator(f"details.item[id^=u-]:has-text('{thing}') + .entered")
    expect(under).to_contain_text(words)


def rows(page: Page) -> list[dict[str, object]]:
    return cast(list[dict[str, object]], page.evaluate(ROWS))


def proofs(yard: Served, thing: str) -> list[tuple[datetime, datetime]]:
    """When each proof of a thing was given, and when it came to the yard."""
    found = cast(list[tuple[str, str]], json.loads(yard.ask(PROOFS, thing)))
    at = datetime.fromisoformat
    return [(at(done), at(received)) for done, received in found]


def carried(browser: Browser, yard: Served, home: Path) -> BrowserContext:
    """A phone that keeps its storage when its browser is closed."""
    return browser.browser_type.launch_persistent_context(
        home,
        executable_path=chromium(),
        args=ARGS,
        base_url=yard.url,
        viewport=PHONE_PX,
        has_touch=True,
        is_mobile=True,
    )


def test_into_the_shed_and_back(browser: Browser, stopped: Served, tmp_path: Path) -> None:
    """Two things are put back with no signal, the browser is closed, then the yard answers again."""
    things = ("stern drain plug out", "two batteries ashore")
    phone = carried(browser, stopped, tmp_path)
    page = phone.new_page()
    log_in(page, "Mara")
    opened(page, "/phone/")
    opened(page)
    stopped.stop()
    page.goto("/boats/tea/")
    expect(page.locator("#copy")).to_contain_text("Copy of 06:5")
    before = yards_now(stopped)
    for thing in things:
        put_back(page, thing)
        expect_under(page, thing, "Kept on this phone")
    after = yards_now(stopped)
    expect(page.locator("#waits")).to_contain_text("2 entries wait on this phone.")
    step = page.locator("details.item[id^=s-]").first
    step.locator("summary").first.click()
    expect(step.locator("[id^=how-]")).to_contain_text("What can go wrong")
    assert faults(page, "phone") == []
    page.goto("/phone/")
    expect(page.locator("#kept-here li")).to_have_count(2)
    assert faults(page, "phone") == []
    phone.close()
    phone = carried(browser, stopped, tmp_path)
    page = phone.new_page()
    page.goto(AT_HAND)
    for thing in things:
        expect_under(page, thing, "waiting to be sent")
    stopped.start()
    page.evaluate(SIGNAL)
    for thing in things:
        expect_under(page, thing, "Held.")
        ((done_at, received_at),) = proofs(stopped, thing)
        assert before <= done_at <= after < received_at
    assert rows(page) == []
    phone.close()


def yards_now(yard: Served) -> datetime:
    """By the clock that was set; its database says times without a zone, in UTC."""
    ahead_s = float(yard.ask("SELECT clock_ahead_s FROM yard_yard"))
    return datetime.fromtimestamp(datetime.now(UTC).timestamp() + ahead_s, UTC).replace(tzinfo=None)


def test_a_page_that_is_not_here_says_so(phone: Page, stopped: Served) -> None:
    opened(phone)
    stopped.stop()
    phone.goto("/boats/TEA/record/")
    expect(phone.get_by_role("heading", name="No signal")).to_be_visible()
    assert faults(phone, "phone") == []
    phone.get_by_role("link", name="TEA is on this phone").click()
    expect(phone.get_by_role("heading", name="Teal")).to_be_visible()
    phone.goto("/boats/?q=tea")
    expect(phone.get_by_role("heading", name="Teal")).to_be_visible()


def test_one_bar_of_signal_is_as_none(phone: Page, yard: Served) -> None:
    """A server that says nothing for two seconds: the copy is shown, and says that it is one."""
    opened(phone)
    os.killpg(yard.process.pid, signal.SIGSTOP)
    try:
        phone.goto(AT_HAND)
        expect(phone.locator("#copy")).to_contain_text("What others did since is not in it.")
    finally:
        os.killpg(yard.process.pid, signal.SIGCONT)
    phone.goto(AT_HAND)
    expect(phone.locator("#copy")).to_have_count(0)


def test_todays_boats_are_counted(phone: Page, stopped: Served) -> None:
    """How many are here, how old the copies are, and which is missing."""
    phone.goto("/phone/")
    expect(phone.locator("#copies")).to_contain_text(ALL_HERE)
    all_here = int(phone.locator("#copies").inner_text().split()[0])
    stopped.stop()
    phone.evaluate(
        "caches.open('yardwright pages').then((all) => all.delete('/boats/CUR/at-hand/'))"
    )
    phone.goto("/phone/")
    all_but_one = re.compile(rf"^{all_here - 1} of {all_here} boats are on this phone; copy of ")
    expect(phone.locator("#copies p").first).to_have_text(all_but_one)
    expect(phone.locator("#copies")).to_contain_text("Not here: Curlew.")
    phone.get_by_role("link", name="Avocet").click()
    expect(phone.get_by_role("heading", name="Avocet")).to_be_visible()


def test_who_logs_in_next_gets_no_copies_of_the_last(phone: Page) -> None:
    """They name owners; also where nobody logged out."""
    opened(phone)
    phone.context.clear_cookies(name="sessionid")
    log_in(phone, "Ines")
    phone.goto("/")
    wait_until(phone, f"(await {PAGES}).length === 0")
    opened(phone)
    mine = "document.body.dataset.person"
    assert phone.evaluate(mine) == phone.locator("body").get_attribute("data-person")


def test_logged_out_meanwhile(phone: Page, yard: Served) -> None:
    """Nothing is lost, and it goes in after logging in again."""
    thing = "fuel pump lead off"
    opened(phone)
    phone.context.clear_cookies(name="sessionid")
    put_back(phone, thing)
    expect(phone.locator("#waits")).to_contain_text("Log in again; nothing is lost.")
    assert len(rows(phone)) == 1
    phone.locator("#waits").get_by_role("link", name="Log in").click()
    log_in_here(phone, "Mara")
    expect(phone.get_by_role("heading", name="Teal")).to_be_visible()
    wait_until(phone, f"(await ({ROWS})()).length === 0")
    assert len(proofs(yard, thing)) == 1


@pytest.mark.parametrize(
    ("script", "thing", "says"),
    [
        (NO_ROOM, "propeller off", "This phone is full"),
        (NO_STORAGE, "water separator element out", "This browser keeps nothing"),
    ],
    ids=["full", "no storage"],
)
def test_nothing_can_be_kept(
    phone: Page, stopped: Served, script: str, thing: str, says: str
) -> None:
    """Said in words; with signal it goes straight to the yard, without it stands as typed."""
    phone.add_init_script(script)
    opened(phone)
    put_back(phone, thing)
    expect_under(phone, thing, "Held.")
    stopped.stop()
    one = phone.locator("details.item[id^=u-]").filter(has_text="cowling vents")
    one.locator("summary").first.click()
    one.locator("form summary", has_text="It does not hold").click()
    one.get_by_label("What did you see?").fill("tape came off")
    one.get_by_role("button", name="Write it down: it does not").click()
    expect_under(phone, "cowling vents", says)
    expect_under(phone, "cowling vents", "It is not entered yet")
    expect(one.get_by_label("What did you see?")).to_have_value("tape came off")


def test_an_answer_that_is_lost(phone: Page, yard: Served) -> None:
    """The yard has it, the phone does not know: it is sent again, and held once."""
    lost: list[object] = []

    def lose(route: Route) -> None:
        if not lost:
            lost.append(route.fetch().json())
            route.abort()
        else:
            route.continue_()

    thing = "speed sensor out"
    opened(phone)
    phone.route("**/phone/entries/", lose)
    put_back(phone, thing)
    expect(phone.locator("#waits")).to_contain_text("No answer from the yard's server.")
    assert lost
    assert len(rows(phone)) == 1
    phone.evaluate(SIGNAL)
    expect_under(phone, thing, "Held.")
    assert len(proofs(yard, "speed sensor out, blank fitted")) == 1


def test_the_same_row_is_kept_once(phone: Page, stopped: Served) -> None:
    opened(phone)
    stopped.stop()
    put_back(phone, "bilge pump switch")
    expect_under(phone, "bilge pump switch", "Kept on this phone")
    (row,) = rows(phone)
    again = "(row) => import('/static/phone/outbox.js').then(({ keep }) => keep(row))"
    phone.evaluate(again, {name: said for name, said in row.items() if name != "place"})
    assert rows(phone) == [row]


def test_one_form_twice_is_two_entries(phone: Page, stopped: Served) -> None:
    """Two batteries, one form: each with its own UUID and time, in the order they were entered."""
    opened(phone)
    stopped.stop()
    one = phone.locator("#r-battery_at_rest")
    one.locator("summary").first.click()
    for volts in ("12.6 V", "12.4 V"):
        one.locator("input[name=value_1]").fill(volts)
        one.locator("button.main").click()
        under = phone.locator("#r-battery_at_rest + .entered")
        expect(under).to_contain_text(volts)
        under.get_by_role("button", name="Enter something else here").click()
        expect(one.locator("input[name=value_1]")).to_have_value("")
    first, second = rows(phone)
    assert ["12.6 V" in str(first["words"]), "12.4 V" in str(second["words"])] == [True, True]
    assert first["uuid"] != second["uuid"]
    assert str(first["made_at"]) < str(second["made_at"])
    stopped.start()
    phone.evaluate(SIGNAL)
    wait_until(phone, f"(await ({ROWS})()).length === 0")
    taken = "SELECT count(*) FROM work_fact WHERE kind = 'reading' AND uuid IN (?, ?)"
    uuids = [str(row["uuid"]).replace("-", "") for row in (first, second)]
    assert stopped.ask(taken, *uuids) == "2"


def test_what_is_kept_aside_is_said_until_it_is_read(phone: Page) -> None:
    """It does not hold, but nobody says what was seen: so says the phone, also after a reload."""
    opened(phone)
    one = phone.locator("details.item[id^=u-]").filter(has_text="gear case drained")
    one.locator("summary").first.click()
    one.locator("form summary", has_text="It does not hold").click()
    one.get_by_role("button", name="Write it down: it does not").click()
    told = phone.locator("details.item[id^=u-]:has-text('gear case drained') + .entered")
    expect(told.get_by_role("alert")).to_contain_text("Kept aside.")
    phone.reload()
    expect(told.get_by_role("alert")).to_contain_text("Kept aside.")
    assert faults(phone, "phone") == []
    told.get_by_role("button", name="I have read it").click()
    expect(told.get_by_role("alert")).to_have_count(0)
    phone.reload()
    expect(told).to_have_count(0)


def test_another_person_sees_only_that_something_waits(phone: Page, stopped: Served) -> None:
    phone.context.clear_cookies()
    phone.goto("/sign-in/")
    log_in_here(phone, "Mara")  # it ends here, for nobody else
    phone.get_by_role("button", name="Log out").last.wait_for()
    opened(phone)
    stopped.stop()
    put_back(phone, "stop-switch lanyard")
    expect_under(phone, "stop-switch lanyard", "Kept on this phone")
    stopped.start()
    phone.route("**/phone/entries/", lambda route: route.abort())
    phone.goto("/phone/")
    expect(phone.locator("#kept-here")).to_contain_text("lanyard")
    phone.get_by_role("button", name="Log out").last.click()
    phone.wait_for_url("**/sign-in/**")
    assert phone.evaluate(PAGES) == []
    expect(phone.locator("#waits")).to_contain_text("1 entry waits on this phone.")
    phone.unroute("**/phone/entries/")
    log_in_here(phone, "Ines")
    phone.get_by_role("button", name="Log out").last.wait_for()
    phone.goto("/phone/")
    expect(phone.locator("#kept-here")).to_contain_text("1 entry of Mara waits: log in as Mara")
    expect(phone.locator("#kept-here")).not_to_contain_text("lanyard")
    opened(phone)
    expect(phone.locator("#waits")).to_contain_text("1 entry waits on this phone.")
    expect(phone.locator(".entered")).to_have_count(0)
    assert len(rows(phone)) == 1


def test_two_tabs_send_once(phone: Page, stopped: Served) -> None:
    """What is kept in one shows in the other; one of them sends."""
    thing = "livewell hose off its seacock"
    other = phone.context.new_page()
    opened(phone)
    opened(other)
    stopped.stop()
    put_back(phone, thing)
    expect_under(other, thing, "Kept on this phone")
    brought: list[int] = []
    for tab in (phone, other):
        tab.on(
            "response",
            lambda answer: brought.append(answer.status) if "entries" in answer.url else None,
        )
    stopped.start()
    for tab in (phone, other):
        tab.evaluate(SIGNAL)
    for tab in (phone, other):
        expect_under(tab, thing, "Held.")
    phone.wait_for_timeout(500)
    assert brought == [200]


def test_a_new_edition_takes_over_under_ones_hands(phone: Page, stopped: Served) -> None:
    """What waits and what is typed stand; the page is not loaded anew."""
    opened(phone)
    phone.route("**/phone/entries/", lambda route: route.abort())
    put_back(phone, "gear case drained")
    expect_under(phone, "gear case drained", "Kept on this phone")
    one = phone.locator("#r-battery_at_rest")
    one.locator("summary").first.click()
    one.locator("input[name=value_1]").fill("12.6 V")
    phone.evaluate(
        """() => new Promise((go) => {
          navigator.serviceWorker.addEventListener("controllerchange", go, { once: true });
          navigator.serviceWorker.register("/phone/worker.js?edition=next", { scope: "/" });
        }).then(() => true)"""
    )
    expect(one.locator("input[name=value_1]")).to_have_value("12.6 V")
    expect_under(phone, "gear case drained", "Kept on this phone")
    stopped.stop()
    phone.goto(AT_HAND)
    expect_under(phone, "gear case drained", "Kept on this phone")


def test_plain_http_says_what_is_lacking(phone: Page) -> None:
    phone.add_init_script("Object.defineProperty(window, 'isSecureContext', { value: false })")
    phone.goto(AT_HAND)
    expect(phone.locator("#at-hand")).to_contain_text("This page came by plain http")
    expect(phone.get_by_role("link", name="Phones", exact=True)).to_be_visible()
    assert faults(phone, "phone") == []
    phone.reload()
    put_back(phone, "cowling vents")
    phone.wait_for_url("**held=*")


def test_how_long_a_step_took_waits_with_it(phone: Page, stopped: Served) -> None:
    """It stands below the button, is left alone by who has no hand for it, and is sent as typed."""
    opened(phone)
    stopped.stop()
    step = phone.locator("details.item[id^=s-]:has(form[data-entry=done])").first
    step.locator("summary").first.click()
    title = step.locator("summary b").inner_text()
    took, button = step.get_by_label("It took about, min"), step.locator("button.main")
    below, above = took.bounding_box(), button.bounding_box()
    assert below
    assert above
    assert above["y"] + above["height"] <= below["y"]
    took.fill("25")
    assert faults(phone, "phone") == []
    took.press("Enter")
    assert rows(phone) == []
    button.click()
    under = phone.locator(".entered").filter(has_text=title)
    expect(under).to_contain_text("Kept on this phone")
    expect(under).to_contain_text("25 min")
    stopped.start()
    phone.evaluate(SIGNAL)
    expect(under).to_contain_text("took 25 min.")
    said = "SELECT json_extract(body, '$.took_min') FROM work_fact WHERE kind = 'done'"
    assert stopped.ask(said) == "25"
