"""The phone's own watch over a hose run stands, after each deed, as the server's does."""

import json
from collections.abc import Iterator
from datetime import datetime
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import context
from tests.browser.served import ROOT, Served
from tests.data import make_hose_vectors as made

TEAL = ROOT / "docs/teal.toml"
FOLLOW_ALL = """async (vectors) => {
  const { Watch, stopWords } = await import("/static/phone/hose_watch.js");
  const numbers = (await (await fetch("/phone/rules.json")).json()).hose;
  return vectors.map(({ rules, deeds }) => {
    const watch = new Watch(
      { supply: rules.supply, points: rules.points, runningC: rules.running_c, limitC: rules.limit_c, kept: rules.kept },
      numbers,
    );
    const told = [];
    deeds.forEach(([atS, what, tempC], number) => {
      if (what === "water") watch.waterAtOutlet(atS);
      else if (what === "yes" || what === "no") watch.answered(atS, what === "yes");
      else if (what === "by hand") watch.endByHand(atS);
      else if (what === "stopped") watch.stopped(atS);
      else watch.read(atS, what, tempC);
      const { alarm, askSinceS, nextAskS, ended, mayEndByHand, cantTell } = watch.at(atS);
      const standing = {
        alarm: alarm && [alarm.why, alarm.atS, alarm.point, alarm.tempC],
        words: alarm && stopWords(alarm, rules.supply, numbers),
        ask_since_s: askSinceS, next_ask_s: nextAskS, ended, may_end_by_hand: mayEndByHand, cant_tell: cantTell,
      };
      if (!told.length || JSON.stringify(told.at(-1).standing) !== JSON.stringify(standing))
        told.push({ after: number, standing });
    });
    return told;
  });
}"""


def vectors() -> list[dict[str, Any]]:
    return list(json.loads(made.KEPT.read_text(encoding="utf-8"))[1:])


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


def test_every_run_is_followed_alike(page: Page) -> None:
    kept = vectors()
    told = page.evaluate(FOLLOW_ALL, kept)
    assert len(told) == len(kept) >= 50
    for vector, mine in zip(kept, told, strict=True):
        assert mine == vector["says"], vector["kind"]


def test_the_runs_kept_are_what_the_server_says_today() -> None:
    kept = vectors()
    assert {vector["kind"] for vector in kept} == set(made.TRACES)
    for vector in kept:
        assert made.said(vector) == vector["says"]
    ends = [vector["says"][-1]["standing"] for vector in kept]
    assert {end["alarm"][0] for end in ends if end["alarm"]} >= {
        "no water at the outlet",
        "nobody answered",
        "over its running temperature",
        "it leaves the healthy warm-up",
        "one point climbs away from the others",
    }
    assert {end["ended"] for end in ends} >= {"ran, warm and steady", None}
