"""The phone's own code says of every written reading and typed text what the server says."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, Page

from tests.browser.conftest import context
from tests.browser.served import ROOT, Served
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
def page(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Page]:
    with Served(tmp_path_factory.mktemp("yard"), TEAL) as served:
        made_here = context(browser, served, "phone")
        page = made_here.new_page()
        page.goto("/sign-in/")
        yield page
        made_here.close()


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
