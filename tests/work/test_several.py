"""One step on several boats, as with a trolley of batteries."""

from collections.abc import Callable
from uuid import UUID

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.work.conftest import Crew, asks_for_log_in, typed, words
from yardwright.fleet.models import Boat
from yardwright.procedures.steps import shipped
from yardwright.work import put_backs
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
BATTERIES = next(step for step in shipped().steps if step.code == "batteries_off")
PATH = f"/steps/{BATTERIES.code}/boats/"


@pytest.fixture
def others(teal: Boat) -> list[Boat]:
    names = (("Wren", "WRE"), ("Plover", "PLV"))
    return [Boat.objects.create(name=name, tag=tag, has=teal.has) for name, tag in names]


def sent(*boats: Boat, **more: object) -> dict[str, object]:
    lies = {f"lies_{code}": "battery shed, trolley 2" for code in BATTERIES.opens}
    return {**typed(**lies, **more), "boats": [str(boat.pk) for boat in boats]}


def done() -> list[Fact]:
    return list(Fact.objects.filter(kind=Kind.DONE, what=BATTERIES.code).order_by("boat__name"))


def test_each_boat_gets_her_own_entry(ines: Client, teal: Boat, others: list[Boat]) -> None:
    page = words(ines.get(PATH))
    assert BATTERIES.caution in page
    assert "3 boats have it to do." in page
    assert ines.post(PATH, sent(teal, others[0])).status_code == 302
    assert [fact.boat.name for fact in done() if fact.boat] == ["Teal", "Wren"]
    kinds = {shipped().kinds[code].what for code in BATTERIES.opens}
    for boat in (teal, others[0]):
        left = {one.thing.what: one.thing.lies for one in put_backs.left_undone(boat)}
        assert {left[what] for what in kinds} == {"battery shed, trolley 2"}
    assert put_backs.left_undone(others[1]) == []
    assert "1 boat has it to do." in words(ines.get(PATH))


def test_a_repeat_changes_nothing(ines: Client, teal: Boat, others: list[Boat]) -> None:
    given = sent(*others)
    ines.post(PATH, given)
    before = Fact.objects.count()
    ines.post(PATH, given)
    assert Fact.objects.count() == before


def test_no_boat_chosen_writes_nothing_and_keeps_what_was_typed(
    ines: Client, others: list[Boat]
) -> None:
    answer = ines.post(PATH, sent())
    assert answer.status_code == 422
    assert "Choose the boats that it was done on." in words(answer)
    assert "battery shed, trolley 2" in words(answer)
    assert done() == []


def test_all_or_nothing(crew: Crew, as_person: Use, others: list[Boat]) -> None:
    """A learner without a watcher: refused on the first, so on all."""
    watched = next(
        s for s in shipped().steps if s.watch_learner and not s.opens and not s.needs - {"outboard"}
    )
    pip = as_person(crew.pip)
    path = f"/steps/{watched.code}/boats/"
    answer = pip.post(path, {**typed(), "boats": [str(boat.pk) for boat in others]})
    assert answer.status_code == 409
    assert "You are learning this." in words(answer)
    assert not Fact.objects.filter(kind=Kind.DONE, boat__in=others).exists()


def test_a_way_in_is_named_at_each_boat(ines: Client, others: list[Boat]) -> None:
    page = words(ines.get("/steps/stern_plug_out/boats/"))
    assert "do it at each boat" in page
    answer = ines.post("/steps/stern_plug_out/boats/", sent(*others))
    assert answer.status_code == 422
    assert not Fact.objects.filter(kind=Kind.UNDONE, boat__in=others).exists()


def test_doors(
    crew: Crew, ines: Client, client: Client, as_person: Use, others: list[Boat]
) -> None:
    assert ines.get("/steps/nonsense/boats/").status_code == 404
    assert ines.delete(PATH).status_code == 405
    assert as_person(crew.guest).post(PATH, sent(*others)).status_code == 409
    assert done() == []
    asks_for_log_in(client, PATH)


def test_its_entries_come_from_one(ines: Client, others: list[Boat]) -> None:
    given = sent(*others)
    ines.post(PATH, given)
    assert UUID(str(given["uuid"])) not in {fact.pk for fact in done()}
    assert len({fact.pk for fact in done()}) == 2


def test_queries_do_not_grow_with_the_fleet(
    ines: Client,
    teal: Boat,
    others: list[Boat],
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    for n in range(40):
        Boat.objects.create(
            name=f"Bird {n}", tag=f"B{chr(65 + n // 26)}{chr(65 + n % 26)}", has=teal.has
        )
    with django_assert_max_num_queries(12):
        assert "43 boats have it to do." in words(ines.get(PATH))
