"""Today's boats: who goes in soon, what a phone must fetch anew, their sheet, and the way by tag."""

import re
from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in
from yardwright.fleet.models import Boat
from yardwright.season.model import Right
from yardwright.work import facts
from yardwright.yard.models import Person, Yard


@pytest.fixture
def ines(three_days: Yard) -> Person:
    return log_in("Ines", Right.PROVE)


@pytest.fixture
def phone(ines: Person, as_person: Callable[[Person], Client]) -> Client:
    return as_person(ines)


def editions(client: Client) -> dict[str, str]:
    boats = client.get("/phone/today.json").json()["boats"]
    return {one["name"]: one["edition"] for one in boats}


def told_soon(name: str, day: str = "2031-05-07") -> Boat:
    """Promised to her owner in Ink."""
    boat, mara = Boat.objects.get(name=name), log_in("Mara")
    facts.add_promised(entry(mara), boat, "ink", date.fromisoformat(day))
    return boat


def test_those_told_for_soon_with_their_way(phone: Client) -> None:
    """No plan is published: what the owners were told counts, and the page says it is no plan."""
    told_soon("Avocet")
    told_soon("Plover", "2031-06-20")  # not soon
    page = phone.get("/phone/").content.decode()
    assert "/boats/AVO/at-hand/" in page
    assert "Told Wed 7 May, not in the plan" in page
    assert "/boats/PLO/at-hand/" not in page
    assert 'id="kept-here"' in page
    assert 'id="copies"' in page


def test_nobody_goes_in(phone: Client) -> None:
    for boat in Boat.objects.all():
        told_soon(boat.name, "2031-06-20")
    page = phone.get("/phone/").content.decode()
    assert "No boat goes in soon" in page
    assert phone.get("/phone/today.json").json() == {"boats": [], "left_off": ""}
    assert phone.get("/phone/today.pdf").status_code == 200


def test_a_phone_fetches_only_what_changed(phone: Client, ines: Person) -> None:
    avocet, plover = told_soon("Avocet"), told_soon("Plover")
    before = editions(phone)
    assert {avocet.name, plover.name} <= set(before)
    assert editions(phone) == before
    facts.add_looked(entry(ines), avocet, "her cover", holds=True)
    after = editions(phone)
    assert {name for name in after if after[name] != before[name]} == {"Avocet"}


def test_the_list_and_the_page_name_the_same_edition(phone: Client) -> None:
    told_soon("Avocet")
    page = phone.get("/boats/AVO/at-hand/").content.decode()
    assert f'data-edition="{editions(phone)["Avocet"]}"' in page


def test_another_person_has_other_copies(
    phone: Client, as_person: Callable[[Person], Client]
) -> None:
    """A page names its person: it is no copy for whoever logs in next."""
    told_soon("Avocet")
    mine = editions(phone)
    assert editions(as_person(log_in("Runa", Right.PROVE))) != mine


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_sheet_of_the_day(phone: Client, paper: str) -> None:
    told_soon("Avocet", "2031-05-06")
    answer = phone.get(f"/phone/today.pdf?paper={paper}")
    assert answer.headers["Content-Type"] == "application/pdf"
    assert b"Square code: opens http://testserver/boats/AVO/at-hand/" in answer.content


def test_no_other_paper(phone: Client) -> None:
    for path in ("/phone/today.pdf", "/boats/tags.pdf", "/boats/AVO/tag.pdf"):
        answer = phone.get(f"{path}?paper=A3")
        assert (answer.status_code, answer.content) == (422, b"Paper is A4 or Letter.")


def test_tags_lead_to_the_page_at_hand(phone: Client) -> None:
    one = phone.get("/boats/AVO/tag.pdf").content
    assert b"Square code: opens http://testserver/boats/AVO/at-hand/" in one
    every = phone.get("/boats/tags.pdf").content
    codes = set(re.findall(rb"opens http://testserver/boats/(\w{3})/at-hand/", every))
    assert codes == {boat.tag.encode() for boat in Boat.objects.all()}


@pytest.mark.parametrize("path", ["boat.pdf", "left-undone.pdf"])
def test_her_papers_lead_there_too(phone: Client, path: str) -> None:
    paper = phone.get(f"/boats/AVO/{path}").content
    assert b"Square code: opens http://testserver/boats/AVO/at-hand/" in paper


def test_three_letters_typed_on_a_phone_lead_there(phone: Client) -> None:
    """Typing is one tap, then the thing, then its button: three."""
    page = phone.get("/boats/?at=hand").content.decode()
    assert '<input type="hidden" name="at" value="hand">' in page
    assert phone.get("/boats/?at=hand&q=avo").headers["Location"] == "/boats/AVO/at-hand/"
    assert phone.get("/boats/?q=avo").headers["Location"] == "/boats/AVO/"


def test_the_boat_page_leads_there_first(phone: Client) -> None:
    page = phone.get("/boats/AVO/").content.decode()
    main = page[page.index("<h1>") :]
    first = re.search(r'class="btn[^"]*" href="([^"]+)"', main)
    assert first
    assert first[1] == "/boats/AVO/at-hand/"


@pytest.mark.parametrize(("path", "most"), [("/phone/", 15), ("/phone/today.json", 18)])
def test_queries(
    phone: Client, path: str, most: int, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    """12, the boats of one's own, how much is written, the yard's steps; 3 for which parts came."""
    told_soon("Avocet")
    with django_assert_max_num_queries(most):
        assert phone.get(path).status_code == 200


@pytest.mark.parametrize(
    "path",
    ["/phone/", "/phone/today.json", "/phone/today.pdf", "/boats/tags.pdf", "/boats/AVO/tag.pdf"],
)
def test_strangers_and_posts(three_days: Yard, client: Client, phone: Client, path: str) -> None:
    assert phone.post(path).status_code == 405
    client.logout()
    assert client.get(path).headers["Location"] == f"/sign-in/?next={path}"
