"""Left Undone: the whole yard and one boat, nastiest first, on screen and on paper."""

from datetime import timedelta
from uuid import uuid4

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in
from tests.work.conftest import NOW, Crew, asks_for_log_in, refuses_method, undone, words
from yardwright.fleet.models import Boat
from yardwright.procedures.put_backs import Proof, left_undone
from yardwright.procedures.steps import book
from yardwright.season.model import Right
from yardwright.work import facts, put_backs, queries, services
from yardwright.work.models import Fact, Kind

HERS = "/boats/TEA/left-undone/"


def test_the_sentence_first_then_each_with_its_place(ines: Client) -> None:
    """Story A3: eleven things. Four are marked as sinking: plug, batteries, hose, pump lead."""
    page = words(ines.get(HERS))
    assert "11 things are left undone; 4 could sink her." in page
    assert "in the bag on the wheel" in page
    assert page.index("stern drain plug out") < page.index("propeller off")
    assert page.index("propeller off") < page.index("speed sensor out, blank fitted")
    assert f"/undone/{undone('propeller off').pk}/" in page


def test_the_whole_yard_by_boat_and_by_thing(ines: Client) -> None:
    by_boat = words(ines.get("/left-undone/"))
    assert "11 things are left undone on 1 boat; 4 could sink a boat." in by_boat
    by_thing = words(ines.get("/left-undone/?by=thing&harm=burns"))
    assert "water separator element out" in by_thing
    assert "stern drain plug out" not in by_thing


def test_nonsense_in_the_address_is_left_aside(ines: Client) -> None:
    page = ines.get("/left-undone/?by=moon&harm=tickles&page=-3")
    assert page.status_code == 200
    assert "11 things" in words(page)


def test_where_nobody_wrote_where_it_lies_the_page_says_so(
    ines: Client, crew: Crew, teal: Boat
) -> None:
    services.undo(entry(crew.ines), teal, book().kinds["key"], lies="")
    assert "nobody wrote where" in words(ines.get(HERS))


def test_nothing_left_is_said(ines: Client, crew: Crew, teal: Boat) -> None:
    for fact in Fact.objects.filter(kind=Kind.UNDONE):
        services.put_back(entry(crew.ines), fact, Proof.RUN)
    assert "Nothing is left undone on her." in words(ines.get(HERS))
    assert "Nothing is left undone in the whole yard." in words(ines.get("/left-undone/"))


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_paper_twin(ines: Client, size: str) -> None:
    paper = ines.get(f"/boats/TEA/left-undone.pdf?paper={size}")
    assert paper.headers["Content-Type"] == "application/pdf"
    assert paper.content.startswith(b"%PDF")


def test_a_paper_nobody_has_is_refused_in_words(ines: Client) -> None:
    paper = ines.get("/boats/TEA/left-undone.pdf?paper=A3")
    assert paper.status_code == 422
    assert paper.content == b"Paper is A4 or Letter."


def test_strangers_wrong_methods_and_unknown_boats(ines: Client) -> None:
    refuses_method(ines, HERS, "POST", "DELETE")
    refuses_method(ines, "/left-undone/", "POST")
    assert ines.get("/boats/XYZ/left-undone/").status_code == 404
    asks_for_log_in(ines, HERS)
    asks_for_log_in(ines, "/left-undone/")


def test_both_ways_of_asking_agree(crew: Crew, teal: Boat) -> None:
    """The yard's query leaves closed ones out in the database; the core's rule is the authority."""
    kinds = book().kinds
    plug = services.undo(entry(crew.ines), teal, kinds["stern_plug"], "bag", "stern drain plug")
    once = services.undo(entry(crew.ines), teal, kinds["fuel_line_off"], "hook")
    twice = services.undo(entry(crew.ines), teal, kinds["cowl_vents"], "tag")
    closed = undone("propeller off")
    weak = undone("two batteries ashore")  # asks to be measured
    facts.add_put_back(entry(crew.ines), weak, Proof.LOOKED)
    for fact, people in (
        (once, (crew.ines,)),
        (twice, (crew.ines, crew.tomas)),
        (closed, (crew.ines,)),
    ):
        for person in people:
            services.put_back(entry(person), fact, Proof(fact.body["proof"]))
    services.does_not_hold(entry(crew.tomas), closed, "wobbles")
    asked = {one.thing.what for one in put_backs.left_undone(teal)}
    (boat,) = queries.values([teal])
    assert asked == {thing.what for thing in left_undone(boat.undone)}
    assert {plug.what, once.what, weak.what, closed.what} <= asked
    assert twice.what not in asked


def test_300_boats_in_twelve_queries(
    client: Client, crew: Crew, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    boats = Boat.objects.bulk_create(
        Boat(name=f"Knot {n}", tag=f"{n:03}", has=[], engine="") for n in range(300)
    )
    body = undone("propeller off").body
    at = NOW - timedelta(days=100)
    Fact.objects.bulk_create(
        Fact(
            uuid=uuid4(),
            kind=Kind.UNDONE,
            boat=boat,
            by=crew.ines,
            what=f"thing {n}",
            body=body,
            done_at=at,
            received_at=at,
        )
        for boat in boats
        for n in range(11)
    )
    guest = log_in("Guest", Right.PROVE)
    assert guest.user is not None
    client.force_login(guest.user)
    for path in ("/left-undone/", "/left-undone/?by=thing", "/boats/000/left-undone/"):
        with django_assert_max_num_queries(12):
            assert client.get(path).status_code == 200
    page = words(client.get("/left-undone/"))
    assert "3311 things are left undone on 301 boats" in page
    assert "The next ones" in page
