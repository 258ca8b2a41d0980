"""The fact book's pages: every row with its source; where two conflict, the yard chooses and both stay."""

from collections.abc import Callable
from uuid import uuid4

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import log_in
from tests.work.conftest import asks_for_log_in, refuses_method, words
from yardwright import refdata
from yardwright.fleet import services as fleet
from yardwright.fleet.models import Boat
from yardwright.procedures.quantities import quantity
from yardwright.season import fact_book
from yardwright.season.model import Limit, Right
from yardwright.web.templatetags.words import from_memory
from yardwright.work import queries
from yardwright.work.models import Fact, Kind
from yardwright.work.words import told
from yardwright.yard.models import Person, Yard

Use = Callable[[Person], Client]
GLYCOL = "antifreeze/ethylene_glycol_freezes"
USED, OTHER = "ethylene_glycol_freezes", "ethylene_glycol_freezes_by_a_manual"
PAGE = "/facts/antifreeze/"


@pytest.fixture
def guest(three_days: Yard, as_person: Use) -> Client:
    """Somebody without any right: anybody may read."""
    return as_person(log_in("Guest"))


@pytest.fixture
def mara(three_days: Yard, as_person: Use) -> Client:
    return as_person(log_in("Mara", Right.INK, Right.CLEAR))


def choice(**typed: str) -> dict[str, str]:
    usual = {"what": GLYCOL, "row": OTHER, "reason": "it is our engines' manual"}
    return {"uuid": str(uuid4())} | usual | typed


def choices() -> int:
    return Fact.objects.filter(kind=Kind.CHOSEN).count()


def test_every_topic_is_listed_with_what_is_from_memory(guest: Client) -> None:
    text = words(guest.get("/facts/"))
    for name in refdata.names():
        assert f'href="/facts/{name}/"' in text
    rows = refdata.rows("batteries").values()
    memory = sum(row.trust == "from memory" for row in rows)
    assert f"{len(rows)} rows" in text
    assert memory == 0 or f"{memory} from memory" in text


@pytest.mark.parametrize("name", refdata.names())
def test_every_row_stands_on_its_page_under_its_own_anchor(name: str, guest: Client) -> None:
    answer = guest.get(f"/facts/{name}/")
    assert answer.status_code == 200
    text = words(answer)
    for key in refdata.rows(name):
        assert text.count(f'id="{key}"') == 1


def test_a_row_says_value_unit_source_page_and_trust(guest: Client) -> None:
    text = words(guest.get("/facts/starting/"))
    # 33 CFR 183.610(f): "operate blower for four minutes"
    assert '<div class="value">4 min</div>' in text
    assert "33 CFR 183.610(f), label near each ignition switch" in text
    assert "Read November 2026." in text


def test_words_find_rows_in_all_topics(guest: Client) -> None:
    text = words(guest.get("/facts/?q=blower"))
    assert 'href="/facts/starting/#blower_min"' in text
    assert "found for “blower”" in text
    nothing = words(guest.get("/facts/?q=xyzzy"))
    assert "No row speaks of “xyzzy”" in nothing
    assert 'value="xyzzy"' in nothing


def test_the_yard_chooses_with_a_reason_and_both_stay(mara: Client) -> None:
    before = words(mara.get(PAGE))
    assert before.index(f'id="{USED}"') < before.index(f'id="{OTHER}"')
    answer = mara.post(PAGE, choice())
    assert answer.status_code == 302
    assert answer.headers["Location"] == f"{PAGE}#{OTHER}"
    after = words(mara.get(PAGE))
    assert after.index(f'id="{OTHER}"') < after.index(f'id="{USED}"')
    assert "(chosen by the yard)" in after
    assert "it is our engines' manual (Mara)" in after


def test_where_sources_conflict_it_says_which_sums_go_by_the_first(guest: Client) -> None:
    text = words(guest.get("/facts/batteries/"))
    group = text[text.index('id="charge_by_sg"') - 900 : text.index('id="charge_by_sg"')]
    assert "Sources conflict here. By the first of them: " in group
    assert 'href="/sums/charge/">Charge by hydrometer</a>, ' in group
    assert "goes by the book's own, whatever is chosen" in group
    assert "No sum takes one of them alone" in words(guest.get(PAGE))


def test_a_repeat_changes_nothing_and_the_latest_counts(mara: Client) -> None:
    sent = choice()
    for _ in range(3):
        assert mara.post(PAGE, sent).status_code == 302
    assert choices() == 1
    mara.post(PAGE, choice(row=USED, reason="back to the book's"))
    assert choices() == 2
    assert queries.chosen()[GLYCOL].row == USED
    fact = Fact.objects.filter(kind=Kind.CHOSEN).first()
    assert fact is not None
    assert told(fact) == f"Chosen for {GLYCOL}: {OTHER}. it is our engines' manual"


def test_another_choice_from_the_same_page_is_asked_again_under_a_new_mark(mara: Client) -> None:
    sent = choice()
    mara.post(PAGE, sent)
    answer = mara.post(PAGE, sent | {"row": USED, "reason": "the book is right"})
    assert answer.status_code == 409
    assert "the book is right" in words(answer)
    assert sent["uuid"] not in words(answer)
    assert choices() == 1


def test_without_the_right_it_says_whom_to_ask(mara: Client, guest: Client) -> None:
    assert "Whoever settles the yard may choose another." in words(guest.get(PAGE))
    answer = guest.post(PAGE, choice())
    assert answer.status_code == 409
    assert "Guest may not ink. Ask Mara" in words(answer)
    assert choices() == 0


@pytest.mark.parametrize(
    ("wrong", "status", "says"),
    [
        ({"reason": " "}, 422, "Choose a source, and say why."),
        ({"reason": "x" * 301}, 422, "Choose a source, and say why."),
        ({"row": ""}, 422, "Choose a source, and say why."),
        ({"row": "water_freezes"}, 409, "water_freezes is none of the sources"),
        ({"what": "antifreeze/water_freezes", "row": "water_freezes"}, 409, "is none of the"),
    ],
)
def test_what_is_wrong_writes_nothing_and_keeps_what_was_typed(
    wrong: dict[str, str], status: int, says: str, mara: Client
) -> None:
    sent = {"reason": "typed with care"} | wrong
    answer = mara.post(PAGE, choice(**sent))
    text = words(answer)
    assert answer.status_code == status
    assert says in text
    assert 'role="alert"' in text
    assert choices() == 0
    if sent.get("what", GLYCOL) == GLYCOL and sent["reason"].strip():
        assert sent["reason"] in text


def test_no_such_topic_or_row(mara: Client) -> None:
    assert mara.get("/facts/anchors/").status_code == 404
    assert mara.get("/facts/anchors/paper.pdf").status_code == 404
    assert mara.post(PAGE, choice(what="antifreeze/anchors")).status_code == 404
    assert mara.post(PAGE, choice(what="batteries/charge_by_sg")).status_code == 404


def test_the_yard_s_own_limits_stand_by_engine_with_their_page(mara: Client) -> None:
    filed = Limit(
        quantity="compression",
        engine="four-stroke 115",
        unit="psi",
        lower=170,
        source="Maker's workshop manual",
        page="4-7",
    )
    assert "None is filed yet" in words(mara.get("/facts/limits/"))
    fleet.file_limit(uuid4(), Person.objects.get(name="Mara"), filed)
    text = words(mara.get("/facts/limits/"))
    assert "Every boat with the engine four-stroke 115" in text
    assert "at least 170 psi" in text
    assert "Maker's workshop manual, page 4-7" in text


@pytest.mark.parametrize("size", ["A4", "Letter"])
def test_a_topic_on_paper(size: str, guest: Client) -> None:
    answer = guest.get(f"/facts/starting/paper.pdf?paper={size}")
    width = b"612" if size == "Letter" else b"595"  # points: 8.5 in, and 210 mm
    assert answer.headers["Content-Type"] == "application/pdf"
    assert b"/MediaBox[0 0 " + width in answer.content


@pytest.mark.parametrize("name", refdata.names())
def test_every_topic_can_be_printed(name: str, guest: Client) -> None:
    assert guest.get(f"/facts/{name}/paper.pdf").content.startswith(b"%PDF")


@pytest.mark.parametrize("path", ["/facts/", "/facts/limits/", "/facts/starting/paper.pdf"])
def test_who_and_how(path: str, guest: Client) -> None:
    refuses_method(guest, path, "POST", "PUT", "DELETE")
    asks_for_log_in(guest, path)


def test_who_and_how_on_a_topic(guest: Client) -> None:
    refuses_method(guest, PAGE, "PUT", "DELETE")
    asks_for_log_in(guest, PAGE)


@pytest.mark.parametrize("path", ["/facts/", "/facts/?q=glycol", PAGE, "/facts/limits/"])
def test_twelve_queries(
    path: str, guest: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_max_num_queries(12):
        guest.get(path)


def test_a_fact_of_the_record_keeps_its_own_address(mara: Client) -> None:
    """Both lie under /facts/: one by a topic's name, one by a UUID."""
    mara.post(PAGE, choice())
    fact = Fact.objects.filter(boat__isnull=False).first()
    assert fact is not None
    assert "Strike" in words(mara.get(f"/facts/{fact.pk}/"))
    assert fact_book.topic_named(str(fact.pk)) is None


def test_a_verdict_that_rests_on_memory_says_so(teal: Boat, as_person: Use) -> None:
    client = as_person(log_in("Ines", Right.PROVE))

    def said(code: str) -> str:
        sent = {"uuid": str(uuid4()), **{f"value_{n}": "150 psi" for n in (1, 2, 3, 4)}}
        return words(client.post(f"/boats/TEA/readings/new/?quantity={code}&places=4", sent))

    told = "From memory, nobody has read the page yet: Rule of thumb for outboards"
    assert told in said("compression")
    assert from_memory(quantity("oil_level")) == ""
