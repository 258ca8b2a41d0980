"""What makes the fullest page quick on a slow phone, counted: ``./dev bench phone_speed`` has the times.

Times depend on what else a machine does; what a phone has to do does not.
"""

from collections.abc import Iterator
from datetime import datetime

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.browser.conftest import context, log_in
from tests.browser.served import ROOT, Served
from tests.browser.test_phone_offline import AT_HAND, opened

FILL = """import django; django.setup()
from tests.web.fullest import fill
from yardwright.fleet.models import Boat
from yardwright.yard.models import Person
fill(Boat.objects.get(name="Teal"), Person.objects.get(name="Mara"))"""
MOST_BYTES, MOST_NODES = 300_000, 5_500  # of hers, with every item folded
UNFOLDED = "form[data-unfolded]"


@pytest.fixture(scope="module")
def yard(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Served]:
    seasons = (ROOT / "docs/teal.toml", ROOT / "docs/three-days.toml")
    with Served(tmp_path_factory.mktemp("yard"), *seasons) as served:
        served.set_clock(datetime.fromisoformat("2031-05-05T06:50-04:00"))
        served.run("-c", FILL)
        yield served


@pytest.fixture
def phone(browser: Browser, yard: Served) -> Iterator[Page]:
    made = context(browser, yard, "phone")
    page = made.new_page()
    log_in(page, "Mara")
    yield page
    made.close()


def test_the_page_is_small_and_folded(phone: Page) -> None:
    """By whoever may do everything; and a phone's code puts in nothing until an item is opened."""
    answer = phone.goto(AT_HAND)
    assert answer is not None
    assert len(answer.body()) <= MOST_BYTES
    phone.locator("#here").wait_for(state="attached")
    opened(phone)
    assert phone.locator(UNFOLDED).count() == 0
    assert phone.evaluate("document.querySelectorAll('*').length") <= MOST_NODES


def test_opening_one_unfolds_that_one(phone: Page) -> None:
    opened(phone)
    for at in range(3):
        phone.locator("#left-undone details.item[id^=u-] > summary").nth(at).click()
        expect(phone.locator(UNFOLDED)).to_have_count(at + 1)
