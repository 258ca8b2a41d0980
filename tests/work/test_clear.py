"""Letting a boat go on in spite of a reading; and the Stop that only a repair lifts."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client

from tests.conftest import entry
from tests.work.conftest import Crew, asks_for_log_in, instrument, refuses_method, typed, words
from yardwright.fleet.models import Boat
from yardwright.work import queries, verdicts
from yardwright.work.facts import Entry
from yardwright.work.models import Fact, Kind
from yardwright.work.services import repair
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
NEW = "/boats/TEA/readings/new/?quantity="


def take(client: Client, quantity: str, value: str, unit: str, **told: str) -> Fact:
    before = set(Fact.objects.values_list("pk", flat=True))
    gauge = instrument(f"gauge {value} {len(before)}", unit, 0.1)
    sent = typed(value_1=value, instrument=gauge.pk, keep=f"{value} {unit}", **told)
    answer = client.post(f"{NEW}{quantity}", sent)
    assert answer.status_code == 302, words(answer)
    return Fact.objects.exclude(pk__in=before).get(kind=Kind.READING)


def file_limit(client: Client, quantity: str, **fields: str) -> None:
    sent = typed(source="Manual", page="1", whose="all", **fields)
    assert client.post(f"/limits/new/?quantity={quantity}", sent).status_code == 302


def holds(teal: Boat) -> tuple[str, ...]:
    return verdicts.holds(queries.story([teal])[teal.pk])


@pytest.fixture
def hot(ines: Client) -> Fact:
    """Head 90 °C, limit 80: a Stop that someone who may can clear."""
    told = {"c_warm": "yes", "c_dull_spots": "yes"}
    return take(ines, "head_temperature", "90", "°C", **told)


def test_cleared_with_a_reason(ines: Client, hot: Fact, teal: Boat) -> None:
    assert len(holds(teal)) == 1
    at = f"/readings/{hot.pk}/"
    assert "it holds her" in words(ines.get(at))
    empty = ines.post(at, typed(deed="clear", reason=" "))
    assert empty.status_code == 409
    assert "Why may she go on?" in words(empty)
    sent = typed(deed="clear", reason="gauge read the exhaust, not the head")
    for _ in range(2):
        assert ines.post(at, sent).status_code == 302
    assert Fact.objects.filter(kind=Kind.CLEARED).count() == 1
    assert not holds(teal)
    assert "gauge read the exhaust" in words(ines.get(at))
    assert "gauge read the exhaust" in words(ines.get("/boats/TEA/readings/"))


def test_a_worse_verdict_by_a_new_limit_is_not_cleared_by_the_old_reason(
    ines: Client, teal: Boat
) -> None:
    warm = {"c_warm": "yes", "c_dull_spots": "yes"}
    fact = take(ines, "head_temperature", "79.9", "°C", **warm)  # Can't say: too near to 80
    ines.post(f"/readings/{fact.pk}/", typed(deed="clear", reason="watched it"))
    assert not holds(teal)
    file_limit(ines, "head_temperature", unit="°C", upper="60")
    assert not holds(teal)  # her engine's own limit goes before everyone's
    sent = typed(source="Manual", page="2", whose="boat", unit="°C", upper="60")
    ines.post("/limits/new/?quantity=head_temperature&boat=TEA", sent)
    assert len(holds(teal)) == 1


def test_who_may_not_clear_is_told_whom_to_ask(crew: Crew, as_person: Use, hot: Fact) -> None:
    tomas = as_person(crew.tomas)
    assert "Someone who may clear can do that" in words(tomas.get(f"/readings/{hot.pk}/"))
    answer = tomas.post(f"/readings/{hot.pk}/", typed(deed="clear", reason="it is fine"))
    assert answer.status_code == 409
    assert "Ask Ines." in words(answer)


def test_a_strict_stop_waits_for_repair_and_another_reader(
    crew: Crew, as_person: Use, teal: Boat
) -> None:
    """Fuel: nobody talks it away; not a reason, not a new reading alone, not the repairer's own."""
    ines = as_person(crew.ines)
    file_limit(ines, "fuel_pressure", unit="kPa", lower="200")
    told = {"c_sniffed": "yes", "c_no_drip": "yes"}
    stop = take(ines, "fuel_pressure", "100", "kPa", **told)
    at = f"/readings/{stop.pk}/"
    talked = ines.post(at, typed(deed="clear", reason="it is fine"))
    assert talked.status_code == 409
    assert "nobody talks a Stop away here" in words(talked)
    take(as_person(crew.tomas), "fuel_pressure", "300", "kPa", **told)
    assert len(holds(teal)) == 1  # read anew, nothing repaired
    assert "Only a repair, and then a new reading by another person." in words(ines.get(at))
    repair(
        Entry(entry(crew.ines).uuid, crew.ines, entry(crew.ines, timedelta(0)).done_at),
        stop,
        "pump",
    )
    take(as_person(crew.ines), "fuel_pressure", "301", "kPa", **told)
    assert len(holds(teal)) == 1  # the repairer's own reading
    take(as_person(crew.tomas), "fuel_pressure", "302", "kPa", **told)
    assert not holds(teal)
    ((_, on_the_morning_sheet),) = verdicts.with_holds([teal], without=(Kind.DONE,))
    assert on_the_morning_sheet == ()  # the steps are left out, the repair is not


def test_a_repair_is_said_on_the_page(ines: Client, teal: Boat) -> None:
    file_limit(ines, "fuel_pressure", unit="kPa", lower="200")
    stop = take(ines, "fuel_pressure", "100", "kPa", c_sniffed="yes", c_no_drip="yes")
    at = f"/readings/{stop.pk}/"
    assert ines.post(at, typed(deed="repair", reason="")).status_code == 409
    ines.post(at, typed(deed="repair", reason="new lift pump"))
    assert "new lift pump. Now somebody else reads it anew." in words(ines.get(at))


def test_judged_again_by_what_is_on_file(ines: Client, hot: Fact) -> None:
    ines.post(f"/readings/{hot.pk}/", typed(deed="judge"))
    assert Fact.objects.filter(kind=Kind.JUDGED, of=hot).count() == 2


def test_who_may_only_look_judges_nothing(crew: Crew, as_person: Use, hot: Fact) -> None:
    answer = as_person(crew.guest).post(f"/readings/{hot.pk}/", typed(deed="judge"))
    assert answer.status_code == 409
    assert "Guest may not prove" in words(answer)
    assert Fact.objects.filter(kind=Kind.JUDGED, of=hot).count() == 1


def test_a_reading_that_holds_nothing_needs_no_clearing(ines: Client, crew: Crew) -> None:
    from yardwright.work.services import clear

    told = {"c_warm": "yes", "c_dull_spots": "yes"}
    fact = take(ines, "head_temperature", "65", "°C", **told)
    with pytest.raises(Refused, match="holds nothing"):
        clear(entry(crew.ines), fact, "why not")


def test_methods_strangers_and_too_long_a_reason(ines: Client, hot: Fact) -> None:
    long = ines.post(f"/readings/{hot.pk}/", typed(deed="clear", reason="x" * 200))
    assert long.status_code == 422
    refuses_method(ines, f"/readings/{hot.pk}/", "PUT", "DELETE")
    asks_for_log_in(ines, f"/readings/{hot.pk}/")
