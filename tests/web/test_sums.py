"""A sum's page: its answer first, worked out from its address; what can't be, keeps what was typed."""

from collections.abc import Callable
from html import unescape
from re import findall, search

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in
from tests.work.conftest import HTMX, asks_for_log_in, refuses_method, words
from yardwright.fleet.models import Boat
from yardwright.season.model import Right
from yardwright.sums import sums
from yardwright.web.sums import page
from yardwright.work import services
from yardwright.work.models import Fact
from yardwright.yard.models import Person, Yard

Use = Callable[[Person], Client]
MIX = "/sums/mix/"
ASKED = "?water_l=3&fluid_l=9+L&percent=30%25"
CONFLICT = [one for one in sums().values() if one.by is not None]


@pytest.fixture
def guest(three_days: Yard, as_person: Use) -> Client:
    """Somebody without any right: sums are for everybody."""
    return as_person(log_in("Guest"))


def test_all_sums_are_listed_with_their_questions(guest: Client) -> None:
    text = words(guest.get("/sums/"))
    for one in sums().values():
        assert f'href="/sums/{one.name}/"' in text
        assert one.question in text


@pytest.mark.parametrize("name", sums())
def test_first_opened_it_shows_its_example(name: str, guest: Client) -> None:
    answer = guest.get(f"/sums/{name}/")
    assert answer.status_code == 200
    text = words(answer)
    assert "An example, worked out." in text
    assert "<svg" in text
    for field in sums()[name].fields:
        assert field.label in text


def test_the_answer_comes_first_and_what_was_understood(guest: Client) -> None:
    text = words(guest.get(MIX + ASKED))
    # 9 L of 30 % in 12 L: 22.5 %; Lange, Table 5.13 between 20 and 25 %: -6.7 and -8.9 °C
    assert '<p class="say">22.5 %, freezing near -7.8 °C.' in text
    assert "An example" not in text
    assert "water left behind <b>3 L</b>" in text
    assert 'value="9 L"' in text


def test_any_unit_and_a_decimal_comma_are_read_back(guest: Client) -> None:
    text = words(guest.get(MIX + "?water_l=1+gal&fluid_l=9,0+L&percent=30"))
    assert "1 gal = 3.79 L" in text  # a US gallon is 3.785411784 L by definition
    assert "fluid pushed in <b>9.0 L</b>" in text or "fluid pushed in <b>9 L</b>" in text


def test_every_fault_is_told_and_nothing_typed_is_lost(guest: Client) -> None:
    answer = guest.get(MIX + "?water_l=3+lb&fluid_l=&percent=thirty")
    assert answer.status_code == 422
    text = words(answer)
    (told,) = findall(r'(?s)<div class="refused" role="alert">(.*?)</div>', text)
    assert "lb is a weight, this asks for a volume" in told
    assert "nothing is typed; give it such as 9 L." in told
    assert "'thirty' is no number" in told
    assert 'value="3 lb"' in text
    assert 'value="thirty"' in text
    assert '<p class="say">' not in text


def test_out_of_range_is_refused_with_what_to_give(guest: Client) -> None:
    answer = guest.get(MIX + "?water_l=3&fluid_l=9&percent=130")
    assert answer.status_code == 422
    assert 'role="alert"' in words(answer)
    assert 'value="130"' in words(answer)


def test_as_a_fragment_the_answer_and_the_picture_alone(guest: Client) -> None:
    answer = guest.get(MIX + ASKED, headers=HTMX)
    text = words(answer)
    assert answer.status_code == 200
    assert text.lstrip().startswith('<div id="answer"')
    assert 'id="shown" hx-swap-oob="true"' in text
    assert "<html" not in text
    assert "<form" not in text
    assert "HX-Request" in answer.headers["Vary"]
    assert guest.get(MIX + "?water_l=x", headers=HTMX).status_code == 422


def test_nothing_is_stored(guest: Client) -> None:
    before = Fact.objects.count()
    for _ in range(2):
        guest.get(MIX + ASKED)
    assert Fact.objects.count() == before


def test_what_it_rests_on_is_linked_to_its_row(guest: Client) -> None:
    text = words(guest.get(MIX))
    for what in sums()["mix"].rests_on:
        topic, _, row = what.partition("/")
        assert f'href="/facts/{topic}/#{row}"' in text


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_the_paper_says_the_same(size: str, guest: Client) -> None:
    text = unescape(guest.get(MIX + ASKED).content.decode())
    assert f"/sums/mix/paper.pdf{ASKED}&paper={size}" in text
    paper = guest.get(f"/sums/mix/paper.pdf{ASKED}&paper={size}")
    assert paper.headers["Content-Type"] == "application/pdf"
    assert paper.content.startswith(b"%PDF")
    width = b"612" if size == "Letter" else b"595"  # points: 8.5 in, and 210 mm
    assert b"/MediaBox[0 0 " + width in paper.content


def test_without_an_answer_there_is_no_paper(guest: Client) -> None:
    answer = guest.get("/sums/mix/paper.pdf?water_l=x&fluid_l=&percent=")
    assert answer.status_code == 422
    assert "no number" in words(answer)


@pytest.mark.parametrize("one", CONFLICT, ids=[one.name for one in CONFLICT])
def test_the_other_sources_answer_beside_it(one: object, guest: Client) -> None:
    text = words(guest.get(f"/sums/{one.name}/"))  # type: ignore[attr-defined]
    assert "By the other sources" in text


def test_the_yard_s_choice_is_the_one_taken_until_another_is_asked_for(guest: Client) -> None:
    one = next(iter(CONFLICT))
    assert one.by is not None
    other = next(row for row in one.by.options if row != one.by.otherwise)
    mara = log_in("Mara", *Right)
    services.choose(entry(mara), one.by.of, other, "the tables in our van are these")
    text = words(guest.get(f"/sums/{one.name}/"))
    assert f'value="{other}" checked' in text or f'value="{other}" selected' in text
    sent = one.example() | {"by": one.by.otherwise}
    back = words(guest.get(f"/sums/{one.name}/", sent))
    own = f'value="{one.by.otherwise}"'
    assert f"{own} checked" in back or f"{own} selected" in back


def test_no_such_sum(guest: Client) -> None:
    assert guest.get("/sums/anchor/").status_code == 404
    assert guest.get("/sums/anchor/paper.pdf").status_code == 404


@pytest.mark.parametrize("path", ["/sums/", MIX, "/sums/mix/paper.pdf"])
def test_who_and_how(path: str, guest: Client) -> None:
    refuses_method(guest, path, "POST", "PUT", "DELETE")
    asks_for_log_in(guest, path)


@pytest.mark.parametrize("path", ["/sums/", MIX])
def test_twelve_queries(
    path: str, guest: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_max_num_queries(12):
        guest.get(path)


def test_a_reading_and_its_step_lead_to_the_sums_that_help(teal: Boat, as_person: Use) -> None:
    client = as_person(log_in("Ines", Right.PROVE))
    reading = words(client.get("/boats/TEA/readings/new/?quantity=compression"))
    assert '<a class="tap-link" href="/sums/compression-height/">' in reading
    step = words(client.get("/boats/TEA/steps/gear_oil_in/"))
    assert '<a class="tap-link" href="/sums/gear-test/">' in step
    assert "Work it out" not in words(client.get("/boats/TEA/steps/stern_plug_out/"))


ODD = ("", "0", "-1", "1e400", "9999-12-31", "0001-01-01", "9" * 39, "0 0 0", "-300 °C", "\x00 £")


@pytest.mark.parametrize("name", sums())
def test_whatever_is_typed_is_answered_or_refused_in_a_sentence(name: str) -> None:
    one = sums()[name]
    for field in one.fields:
        for odd in ODD:
            found = page(one, one.example() | {field.key: odd}, {})
            assert found.answer or found.refused or found.faults
    for odd in ODD:
        found = page(one, {field.key: odd for field in one.fields}, {})
        assert found.answer or found.refused or found.faults


@pytest.mark.parametrize("name", sums())
def test_every_sum_prints_on_one_page(name: str, guest: Client) -> None:
    printed = guest.get(f"/sums/{name}/paper.pdf?paper=Letter").content
    assert search(rb"/Count (\d+)", printed)[1] == b"1"  # type: ignore[index]  # it has pages


@pytest.mark.parametrize(("surface", "marked"), [("14+°C", True), ("16+°C", False)])
def test_a_no_is_marked_as_one(surface: str, marked: bool, guest: Client) -> None:
    # Air of 20 °C and 60 %: dew at 12.0 °C, and paint wants 3 °C more.
    asked = f"?air_c=20+°C&humidity=60+%25&surface_c={surface}&coldest_c=5+°C&warmest_c=35+°C"
    assert ('class="answer no"' in words(guest.get("/sums/paint-window/" + asked))) is marked


def test_what_is_not_known_is_marked_like_a_no(guest: Client) -> None:
    text = words(guest.get("/sums/paint-window/?air_c=20+°C&humidity=60+%25&surface_c=16+°C"))
    assert "Not known yet." in text
    assert 'class="answer no"' in text
