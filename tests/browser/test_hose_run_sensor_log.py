"""A recorded run in which the hose slips, replayed at the boat: the page says stop in time, once."""

import subprocess
import sys
import time
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Page, expect

from tests.browser.served import ROOT, YARDWRIGHT, Served
from tests.browser.test_hose_run import (
    ONE_BOAT,
    SLIPS_S,
    begins,
    looks_before_the_start,
    passes,
    temp_c,
)

SPEED = 20
COUNT = "SELECT count(*) FROM work_fact WHERE kind = 'hose run'"


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Served]:
    with Served(tmp_path / "yard", ONE_BOAT) as served:
        served.set_clock(datetime.fromisoformat("2031-05-05T06:50-04:00"))
        yield served


@pytest.fixture
def log(tmp_path: Path) -> Path:
    """Story A2 (b), read each 5 s by a logger: the hose slips at 380 s."""
    began = datetime(2031, 5, 5, 11, tzinfo=UTC)
    lines = [
        f"{(began + timedelta(seconds=at_s)).isoformat()} head {temp_c(at_s):.2f} C"
        for at_s in range(0, 600, 5)
    ]
    path = tmp_path / "log.txt"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


@pytest.mark.slow
def test_a_replayed_log_raises_the_alarm_in_time(yard: Served, page: Page, log: Path) -> None:
    looks_before_the_start(page)
    page.clock.install()
    begins(page)
    passes(page, 1)
    page.get_by_role("button", name="Yes, I see it").click()
    words = ("listen", "--replay", str(log), "--speed", str(SPEED), "--boat", "WRE")
    replay = subprocess.Popen(  # noqa: S603  # our own command
        [sys.executable, "-c", YARDWRIGHT, *words, "--home", str(yard.home)], cwd=ROOT
    )
    try:
        heard = yard.home / "heard" / "WRE.json"
        until = time.monotonic() + 60
        while not heard.exists() and time.monotonic() < until:
            time.sleep(0.05)
        began, at_s = time.monotonic(), 0.0
        while page.locator("#stop").count() == 0 and at_s < 595:
            passed_s = (time.monotonic() - began) * SPEED - at_s
            if passed_s < 2:
                time.sleep(0.05)
                continue
            passes(page, min(passed_s, 4))
            at_s += min(passed_s, 4)
            if page.locator("#yes").is_visible() and page.locator("#stop").count() == 0:
                page.evaluate("document.querySelector('#yes')?.click()")
    finally:
        replay.kill()
        replay.wait()
    assert page.locator("#stop").count() == 1
    # By the limit alone, 80 degC, it were 410 s and more: 70 degC, and 20 degC a minute from 380 s.
    assert SLIPS_S < at_s <= 420, at_s
    expect(page.locator("#stop")).to_contain_text("head")
    passes(page, 2)
    card = page.locator("#stop")
    card.get_by_role("button", name="The engine is stopped").click()
    page.get_by_label("Drips under her").fill("none")
    page.get_by_role("button", name="Keep the run").click()
    for _ in range(40):
        passes(page, 20)
        page.wait_for_timeout(250)
        if yard.ask(COUNT) == "1":
            break
    assert yard.ask(COUNT) == "1"
