"""Work beyond the steps: who did it, and that the plan no longer waits for it."""

from collections.abc import Callable

import pytest
from django.test import Client

from tests.work.conftest import Crew, asks_for_log_in, refuses_method, typed, words
from yardwright.fleet.models import Boat, Part, Work
from yardwright.work import queries
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
HERS = "/boats/TEA/work-done/"


@pytest.fixture(autouse=True)
def antifouling(teal: Boat) -> Work:
    kit = Part.objects.create(name="seal kit")
    Work.objects.create(
        boat=teal, place_in_list=2, what="seals", trade="mechanic", minutes=60, part=kit
    )
    return Work.objects.create(
        boat=teal, place_in_list=1, what="antifouling", trade="yard hand", minutes=90
    )


def finished() -> int:
    return Fact.objects.filter(kind=Kind.DONE).count()


def test_done_by_whom_and_the_plan_waits_no_more(ines: Client, teal: Boat) -> None:
    page = words(ines.get(HERS))
    assert "2 pieces of work beyond her steps are not done." in page
    assert "seal kit, and nobody knows when it comes" in page
    sent = typed(what="antifouling")
    for _ in range(3):
        assert ines.post(HERS, sent).status_code == 302
    assert finished() == 1
    page = words(ines.get(HERS))
    assert "1 piece of work beyond her steps is not done." in page
    assert "Ines, Fri 2 May 08:00" in page
    (boat,) = queries.values([teal])
    assert [piece.what for piece in boat.work] == ["seals"]


def test_what_is_not_hers_is_refused(ines: Client) -> None:
    answer = ines.post(HERS, typed(what="keel"))
    assert answer.status_code == 422
    assert "keel is not among her work." in words(answer)
    assert ines.post(HERS, typed()).status_code == 422
    assert finished() == 0


def test_rights_methods_strangers(crew: Crew, as_person: Use) -> None:
    guest = as_person(crew.guest)
    answer = guest.post(HERS, typed(what="seals"))
    assert answer.status_code == 409
    assert "Ask Ines" in words(answer)
    assert finished() == 0
    refuses_method(guest, HERS, "PUT", "DELETE")
    asks_for_log_in(guest, HERS)
