"""The record shows everything, struck through where it was wrong; nothing is taken away."""

from collections.abc import Callable

from django.test import Client

from tests.conftest import entry
from tests.work.conftest import Crew, asks_for_log_in, refuses_method, typed, undone, words
from yardwright.fleet.models import Boat
from yardwright.procedures.put_backs import Proof
from yardwright.work import put_backs, services
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
RECORD = "/boats/TEA/record/"


def strikes() -> int:
    return Fact.objects.filter(kind=Kind.STRUCK_OUT).count()


def test_struck_out_with_a_reason_and_still_readable(crew: Crew, ines: Client, teal: Boat) -> None:
    back = services.put_back(entry(crew.ines), undone("propeller off"), Proof.FELT)
    at = f"/facts/{back.pk}/"
    assert "Put back: propeller off (felt)" in words(ines.get(at))
    sent = typed(reason="it was Knot's propeller")
    for _ in range(3):
        assert ines.post(at, sent).status_code == 302
    assert strikes() == 1
    for path in (at, RECORD):
        page = words(ines.get(path))
        assert "<s>Put back: propeller off (felt)</s>" in page
        assert "it was Knot's propeller" in page
    assert "propeller off" in [one.thing.what for one in put_backs.left_undone(teal)]


def test_who_made_it_or_who_may_clear(crew: Crew, as_person: Use) -> None:
    mine = services.put_back(entry(crew.ines), undone("propeller off"), Proof.FELT)
    his = services.put_back(entry(crew.tomas), undone("fuel pump lead off"), Proof.LOOKED)
    tomas = as_person(crew.tomas)
    answer = tomas.post(f"/facts/{mine.pk}/", typed(reason="no"))
    assert answer.status_code == 409
    assert "Ines made this entry." in words(answer)
    assert 'value="no"' in words(answer)
    assert tomas.post(f"/facts/{his.pk}/", typed(reason="wrong boat")).status_code == 302


def test_no_reason_twice_or_a_strike_out_itself(crew: Crew, ines: Client) -> None:
    fact = services.put_back(entry(crew.ines), undone("propeller off"), Proof.FELT)
    at = f"/facts/{fact.pk}/"
    assert ines.post(at, typed(reason="  ")).status_code == 409
    assert ines.post(at, typed(reason="x" * 200)).status_code == 422
    assert strikes() == 0
    ines.post(at, typed(reason="wrong boat"))
    again = ines.post(at, typed(reason="really"))
    assert again.status_code == 409
    assert "struck out already" in words(again)
    strike = Fact.objects.get(kind=Kind.STRUCK_OUT)
    itself = ines.post(f"/facts/{strike.pk}/", typed(reason="no"))
    assert itself.status_code == 409
    assert "A strike-out stays." in words(itself)


def test_an_entry_shows_who_when_and_its_mark(crew: Crew, ines: Client) -> None:
    page = words(ines.get(f"/facts/{undone('propeller off').pk}/"))
    assert "Tomas" in page
    assert "Mon 4 Nov 2030 09:00" in page
    assert "Undone: propeller off. It lies: bin 12, with nut, washer and pin" in page


def test_every_kind_of_entry_has_its_words(ines: Client, crew: Crew, teal: Boat) -> None:
    """Not one entry is shown by its bare kind, and the whole record is there."""
    page = words(ines.get(RECORD))
    for said in ("Undone: ", "Looked at livewell seacock: it holds", "Promise, wished", "Now: "):
        assert said in page
    assert f"{Fact.objects.filter(boat=teal).count()} entries." in page


def test_methods_strangers_and_nothing_there(ines: Client) -> None:
    at = f"/facts/{undone('propeller off').pk}/"
    refuses_method(ines, RECORD, "POST")
    refuses_method(ines, at, "PUT", "DELETE")
    assert ines.get("/facts/00000000-0000-4000-8000-000000000000/").status_code == 404
    asks_for_log_in(ines, RECORD)
    asks_for_log_in(ines, at)
