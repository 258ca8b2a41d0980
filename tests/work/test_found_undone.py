"""Something that nobody wrote down is found undone."""

from collections.abc import Callable
from uuid import uuid4

import pytest
from django.test import Client

from tests.conftest import log_in
from yardwright.fleet.models import Boat
from yardwright.procedures.put_backs import Before, Harm
from yardwright.procedures.steps import book
from yardwright.season.model import Right
from yardwright.work import put_backs
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person

PATH = "/boats/TEA/found/"


@pytest.fixture
def ines(teal: Boat, as_person: Callable[[Person], Client]) -> Client:
    return as_person(log_in("Ines", Right.PROVE))


def sent(**typed: str) -> dict[str, str]:
    return {"uuid": str(uuid4()), "kind": "key", "fitting": "", "lies": "in her locker", **typed}


def found(boat: Boat) -> list[Fact]:
    return [one.fact for one in put_backs.left_undone(boat) if one.thing.what == "Key ashore"]


def test_it_is_left_undone_from_then_on(teal: Boat, ines: Client) -> None:
    entry = sent()
    assert ines.post(PATH, entry).headers["Location"] == "/boats/TEA/left-undone/"
    (left,) = (one for one in put_backs.left_undone(teal) if str(one.uuid) == entry["uuid"])
    kind = book().kinds["key"]
    assert (left.thing.what, left.thing.lies) == (kind.what, "in her locker")
    assert (left.thing.harm, left.thing.before) == (Harm(kind.harm), Before(kind.before))
    assert left.thing.by == "Ines"


def test_a_repeat_changes_nothing(teal: Boat, ines: Client) -> None:
    entry = sent()
    for _ in range(2):
        assert ines.post(PATH, entry).status_code == 302
    assert len(found(teal)) == 1


def test_what_is_on_her_list_is_not_written_twice(teal: Boat, ines: Client) -> None:
    ines.post(PATH, sent())
    again = ines.post(PATH, sent(lies="on hook 3"))
    assert again.status_code == 409
    page = again.content.decode()
    assert "is on her list already, by Ines" in page
    assert 'value="on hook 3"' in page  # what was typed stays
    assert len(found(teal)) == 1


def test_a_way_in_that_stands_open_is_named(teal: Boat, ines: Client) -> None:
    kind = next(
        one
        for one in book().kinds.values()
        if one.barrier and f'value="{one.code}"' in ines.get(PATH).content.decode()
    )
    page = ines.post(PATH, sent(kind=kind.code))
    assert page.status_code == 409
    assert "Choose it among her ways in" in page.content.decode()
    fitting = teal.ways_in.all()[0].name
    assert ines.post(PATH, sent(kind=kind.code, fitting=fitting)).status_code == 302


def test_only_what_she_can_have(teal: Boat, ines: Client) -> None:
    page = ines.get(PATH).content.decode()
    assert "Key ashore" in page
    assert "ater heater" not in page  # she has no fresh water aboard
    assert ines.post(PATH, sent(kind="")).status_code == 422
    assert not found(teal)


def test_from_the_page_at_hand_and_back(teal: Boat, ines: Client) -> None:
    entry = sent()
    answer = ines.post(f"{PATH}?back=/boats/TEA/at-hand/%23left-undone", entry)
    came_to = answer.headers["Location"]
    assert came_to == f"/boats/TEA/at-hand/?held={entry['uuid']}#left-undone"
    assert "Held: Undone: Key ashore" in ines.get(came_to).content.decode()


def test_without_the_right(teal: Boat, as_person: Callable[[Person], Client]) -> None:
    otto = as_person(log_in("Otto"))
    assert otto.post(PATH, sent()).status_code == 409
    assert not Fact.objects.filter(kind=Kind.UNDONE, what="Key ashore").exists()


def test_a_stranger_is_sent_to_log_in(teal: Boat, client: Client) -> None:
    assert client.get(PATH).headers["Location"] == f"/sign-in/?next={PATH}"
