"""What a phone judges by: the same numbers as the server's rules, and their answers written down."""

import json
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

import pytest

from tests.data import make_verdict_vectors as made
from yardwright.procedures.quantities import quantities, quantity
from yardwright.procedures.readings import Reading
from yardwright.procedures.verdict import Verdict
from yardwright.season import checks
from yardwright.season.model import Boat, Instrument, Limit
from yardwright.season.on_the_phone import phone_reading, plain_instrument, rules
from yardwright.season.read import read_file

DOCS = Path(__file__).parents[2] / "docs"
TODAY = date(2031, 5, 2)
HEAD = quantity("head_temperature")


@pytest.fixture(scope="module")
def teal() -> Boat:
    season = read_file(DOCS / "teal.toml")
    return replace(checks.boat_named(season, "Teal"), readings=())


def vectors(path: Path) -> list[dict[str, Any]]:
    first, *others = json.loads(path.read_text(encoding="utf-8"))
    assert first == made.MADE_BY
    return list(others)


def read(day: str, *values: float, where: str = "", of: str = HEAD.code) -> Reading:
    at = datetime.fromisoformat(day).replace(tzinfo=UTC)
    return Reading(of, values, "°C", at, "Ines", None, where=where)


def test_the_written_answers_are_those_of_today() -> None:
    """Else: make them anew, and look at what became another; phones are held to them too."""
    kept = vectors(made.READINGS)
    assert len(kept) >= 500
    for vector in kept:
        assert made.said(vector) == _nearly(vector["says"]), vector


def _nearly(says: dict[str, Any]) -> dict[str, Any]:
    """Another machine's last digit is no other rule."""

    def near(value: float | None) -> object:
        return None if value is None else pytest.approx(value, rel=1e-9, abs=1e-12)

    reasons = [
        one | {"p": near(one["p"]), "deciding_u": near(one["deciding_u"])}
        for one in says["reasons"]
    ]
    return says | {"p": near(says["p"]), "reasons": reasons}


def test_the_written_answers_are_of_every_kind() -> None:
    kept = vectors(made.READINGS)
    assert {vector["quantity"] for vector in kept} == {*quantities()}
    assert {vector["says"]["verdict"] for vector in kept} == {*Verdict}
    words = "\n".join(reason["words"] for one in kept for reason in one["says"]["reasons"])
    for part in (
        "over its twin",
        "under the others",
        "under the highest",
        "its last years",
        "95 % sure",
        "from one pair of years",
        "past its check",
        "Not told: until when",
        "Not told: how far off",
        "stands on the limit itself",
        "too coarse",
        "the limit itself is known to",
        "warm it first",
        "let it cool",
        "must be under 85 %",
        "It is something else",
        "of the highest",
        "lowest over highest: no limit on file",
        "doesn't say how many",
        "is too little for this gauge to compare",
    ):
        assert part in words, part


def test_what_is_typed_is_understood_as_written_down() -> None:
    kept = vectors(made.TYPED)
    assert len(kept) >= 200
    for vector in kept:
        assert made.understood(vector) == vector["says"], vector


def test_the_rules_are_plain_and_short() -> None:
    told = rules()
    again = json.loads(json.dumps(told))
    assert again["quantities"].keys() == quantities().keys()
    assert again["units"]["factors"]["in"]["mm"] == pytest.approx(25.4)  # exact by definition
    assert again["units"]["zeros"]["°C"]["°F"] == pytest.approx(32)
    assert again["load_test"]["zero_c_in_f"] == 32


def test_only_what_she_can_be_compared_with_goes_along(teal: Boat) -> None:
    earlier, latest = read("2030-04-01", 60.0), read("2030-05-01", 61.0)
    morning, port = read("2031-05-02T08:00", 62.0), read("2031-05-02T09:00", 63.0, where="port")
    two = read("2030-03-01", 60.0, 61.0)
    other = read("2030-05-01", 5.0, of="surface_temperature")
    hers = replace(teal, readings=(port, latest, earlier, two, morning, other))
    told = phone_reading((), hers, HEAD, TODAY)
    assert told["limit"] is None
    assert told["before"] == [
        {"values": [60.0, 61.0], "unit": "°C", "day": "2030-03-01", "where": ""},
        {"values": [61.0], "unit": "°C", "day": "2030-05-01", "where": ""},
        {"values": [62.0], "unit": "°C", "day": "2031-05-02", "where": ""},
        {"values": [63.0], "unit": "°C", "day": "2031-05-02", "where": "port"},
    ]


def test_her_limit_goes_along_and_nobody_else_s(teal: Boat) -> None:
    def filed(boat: str, upper: float) -> Limit:
        return Limit("°C", "Manual", "p. 4", upper=upper, quantity=HEAD.code, boat=boat)

    told = phone_reading((filed("Gannet", 70.0), filed("Teal", 75.0)), teal, HEAD, TODAY)
    assert told["limit"] == {
        "unit": "°C",
        "source": "Manual",
        "page": "p. 4",
        "upper": 75.0,
        "u": 0.0,
        "needs": {},
    }


def test_an_instrument_s_day_is_told_or_not_known() -> None:
    meter = Instrument("Meter", "V", date(2032, 1, 1), within=0.05)
    assert plain_instrument(meter)["checked_until"] == "2032-01-01"
    assert plain_instrument(replace(meter, checked_until=None))["checked_until"] is None
    assert "quantity" not in plain_instrument(meter)
