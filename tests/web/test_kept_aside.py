"""What was kept aside counts for nothing until somebody enters it, or strikes it out."""

from collections.abc import Callable
from datetime import datetime, timedelta
from uuid import uuid4

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in, set_clock
from tests.web.phone_rows import Row, asides, row, send, word
from tests.work.conftest import NOW, asks_for_log_in, refuses_method, typed, undone, words
from yardwright.fleet.models import Boat
from yardwright.procedures.steps import book
from yardwright.season.model import Right
from yardwright.work import put_backs, queries, services, verdicts
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
PROPELLER = "propeller off"
READING = "/boats/TEA/readings/new/?quantity=battery_at_rest"


@pytest.fixture
def tomas(teal: Boat) -> Person:
    set_clock(NOW)
    return log_in("Tomas", Right.PROVE)


@pytest.fixture
def mara(tomas: Person) -> Person:
    return log_in("Mara", *Right)


@pytest.fixture
def ended(tomas: Person, mara: Person, as_person: Use) -> Row:
    """Tomas proved the propeller two hours ago; his right ended before his phone came in."""
    one = row(tomas, f"/undone/{undone(PROPELLER).pk}/", ago=timedelta(hours=2), deed="holds")
    Person.objects.filter(pk=tomas.pk).update(rights=[])
    assert word(as_person(tomas), one) == "marked"
    return one


def path() -> str:
    return f"/kept-aside/{asides()[-1].pk}/"


def is_open() -> bool:
    return put_backs.left(undone(PROPELLER)).thing.is_open


def test_it_counts_for_nothing(ended: Row) -> None:
    assert is_open()
    (aside,) = asides()
    assert aside.boat is not None
    value = queries.values([aside.boat])[0]
    assert not [one for one in value.undone if one.put_back]
    assert [*queries.kept_aside()] == [aside]


def test_an_aside_step_or_reading_counts_for_nothing(
    tomas: Person, teal: Boat, as_person: Use
) -> None:
    before = queries.values([teal])[0]
    step = row(tomas, "/boats/TEA/steps/gear_oil_in/")
    reading = row(tomas, READING, value_1="12.7 V")
    look = row(tomas, "/boats/TEA/look/?at=all+openings+counted", holds="yes")
    Person.objects.filter(pk=tomas.pk).update(rights=[])
    send(as_person(tomas), step, reading, look)
    facts = queries.story([teal])[teal.pk]
    value = queries.value(teal, facts)
    assert len(asides()) == 3
    assert value == before
    assert not verdicts.judged(facts)


def test_minutes_nobody_can_believe_lose_no_step(
    tomas: Person, mara: Person, teal: Boat, as_person: Use
) -> None:
    """It waits with what is wrong about it, and is entered as done with the minutes left out."""
    sent = row(tomas, "/boats/TEA/steps/gear_oil_in/", took_min="100001")
    good = row(tomas, "/boats/TEA/steps/key_in/", took_min="20")
    answers = send(as_person(tomas), sent, good)
    assert answers[str(good["uuid"])]["word"] == "held"
    assert answers[str(sent["uuid"])]["word"] == "marked"
    assert "It took 100001 min? Give 1 to 100000 min" in answers[str(sent["uuid"])]["says"]
    righted = typed(deed="enter", row_0="")
    assert as_person(mara).post(path(), righted).status_code == 302
    done = Fact.objects.get(kind=Kind.DONE, what="gear_oil_in")
    assert "took_min" not in done.body
    assert done.by == tomas


def test_the_list_says_what_why_who_and_when(ended: Row, mara: Person, as_person: Use) -> None:
    client = as_person(mara)
    for page in (client.get("/kept-aside/"), client.get("/kept-aside/?boat=TEA")):
        text = words(page)
        assert "1 entry from phones waits" in text
        assert str(ended["words"]) in text
        assert "Tomas may not" in text
        assert "2 May 2031 06:0" in text or "2 May 2031 05:5" in text
    assert "Nothing is kept aside" in words(client.get("/kept-aside/?boat=XYZ"))


def test_the_sheet_the_boat_and_the_record_tell(ended: Row, mara: Person, as_person: Use) -> None:
    client = as_person(mara)
    assert "1 entry from phones waits" in words(client.get("/"))
    assert "1 entry about her waits" in words(client.get("/boats/TEA/"))
    assert "Kept aside: Teal: /undone/" in words(client.get("/boats/TEA/record/"))
    client.post(path(), typed(deed="strike", reason="never done"))
    assert "Kept aside" not in words(client.get("/"))
    assert "Kept aside" not in words(client.get("/boats/TEA/"))


def test_entered_it_is_tomas_deed_at_his_time_with_mara_beside_it(
    ended: Row, tomas: Person, mara: Person, as_person: Use
) -> None:
    client = as_person(mara)
    assert client.post(path(), typed(deed="enter")).status_code == 302
    put_back = Fact.objects.get(kind=Kind.PUT_BACK)
    assert (put_back.by, put_back.second) == (tomas, mara)
    assert abs(put_back.done_at - (clock.now() - timedelta(hours=2))) < timedelta(seconds=20)
    assert put_back.mark == "kept aside first; Mara entered it"
    assert not is_open()
    assert not queries.kept_aside().exists()
    assert "Entered by Mara" in words(client.get(path()))
    assert "Entered after all" in words(client.get("/boats/TEA/record/"))


def test_entered_twice_is_entered_once(ended: Row, mara: Person, as_person: Use) -> None:
    client, sent = as_person(mara), typed(deed="enter")
    client.post(path(), sent)
    before = Fact.objects.count()
    assert client.post(path(), sent).status_code == 302
    again = client.post(path(), typed(deed="enter"))
    assert again.status_code == 409
    assert "Mara entered this already" in words(again)
    strikes = client.post(path(), typed(deed="strike", reason="no"))
    assert strikes.status_code == 409
    assert Fact.objects.count() == before


def test_the_phone_may_send_it_again_later(
    ended: Row, tomas: Person, mara: Person, as_person: Use
) -> None:
    as_person(mara).post(path(), typed(deed="enter"))
    before = Fact.objects.count()
    assert word(as_person(tomas), ended) == "marked"
    assert Fact.objects.count() == before


def test_the_phone_may_not_slip_it_in_when_the_right_is_back(
    ended: Row, tomas: Person, as_person: Use
) -> None:
    """Someone may have struck it out meanwhile: what was kept aside is decided, not sent again."""
    Person.objects.filter(pk=tomas.pk).update(rights=[Right.PROVE])
    assert word(as_person(tomas), ended) == "marked"
    assert is_open()


def test_who_decides_stands_beside_it_also_where_nobody_watches(
    tomas: Person, mara: Person, as_person: Use
) -> None:
    one = row(tomas, "/boats/TEA/since/", by_what="frost while wet")
    Person.objects.filter(pk=tomas.pk).update(rights=[])
    assert word(as_person(tomas), one) == "marked"
    as_person(mara).post(path(), typed(deed="enter"))
    frost = Fact.objects.get(kind=Kind.DISTURBED, by=tomas)
    assert frost.second == mara
    assert "Kept aside" not in words(as_person(mara).get("/boats/TEA/"))


def test_to_prove_is_not_to_decide(ended: Row, as_person: Use) -> None:
    lena = log_in("Lena", Right.PROVE)
    answer = as_person(lena).post(path(), typed(deed="enter"))
    assert answer.status_code == 409
    assert "Lena may not clear" in words(answer)
    assert is_open()


def test_struck_out_it_stays_readable(ended: Row, mara: Person, as_person: Use) -> None:
    client = as_person(mara)
    nothing = client.post(path(), typed(deed="strike", reason=""))
    assert nothing.status_code == 409
    assert client.post(path(), typed(deed="strike", reason="never done")).status_code == 302
    assert not queries.kept_aside().exists()
    assert "never done" in words(client.get(path()))
    assert client.post(path(), typed(deed="enter")).status_code == 409
    assert is_open()


def test_refused_again_nothing_is_written(tomas: Person, mara: Person, as_person: Use) -> None:
    gone = row(tomas, f"/undone/{uuid4()}/", deed="holds")
    assert word(as_person(tomas), gone) == "marked"
    client, before = as_person(mara), Fact.objects.count()
    answer = client.post(path(), typed(deed="enter"))
    assert answer.status_code == 409
    assert "Another phone may still bring it" in words(answer)
    assert Fact.objects.count() == before


def test_a_proof_that_came_before_what_it_speaks_of_is_entered_later(
    tomas: Person, mara: Person, teal: Boat, as_person: Use
) -> None:
    to_come = entry(mara)
    one = row(tomas, f"/undone/{to_come.uuid}/", deed="holds")
    assert word(as_person(tomas), one) == "marked"
    gear = services.undo(to_come, teal, book().kinds["gear_case_open"], "tag")
    assert as_person(mara).post(path(), typed(deed="enter")).status_code == 302
    assert not put_backs.left(gear).thing.is_open


def test_it_leads_to_the_page_it_was_made_on(tomas: Person, mara: Person, as_person: Use) -> None:
    send(as_person(tomas), row(tomas, READING, value_1="127 V"))
    assert f'href="{READING}"' in words(as_person(mara).get(path()))
    for to in ("/yard/people/new/", "//elsewhere.example/boats/TEA/since/", "/no/such/"):
        send(as_person(tomas), row(tomas, to))
        text = words(as_person(mara).get(path()))
        assert "the page it was made on" not in text


def test_nobody_enters_what_nobody_can_read(tomas: Person, mara: Person, as_person: Use) -> None:
    send(as_person(tomas), {"uuid": "no", "fields": "a few words"})
    client = as_person(mara)
    assert "a few words" in words(client.get(path()))
    answer = client.post(path(), typed(deed="enter"))
    assert answer.status_code == 409
    assert "Its uuid is none" in words(answer)


def test_what_differs_is_entered_beside_the_first(
    tomas: Person, mara: Person, as_person: Use
) -> None:
    one = row(tomas, "/boats/TEA/look/?at=all+openings+counted", holds="yes")
    other = one | {"fields": [["holds", "no"], ["words", "one more aft"]]}
    phone = as_person(tomas)
    assert (word(phone, one), word(phone, other)) == ("held", "differs")
    assert as_person(mara).post(path(), typed(deed="enter")).status_code == 302
    looks = Fact.objects.filter(kind=Kind.LOOKED, what="all openings counted", by=tomas)
    assert sorted(look.body["holds"] for look in looks) == [False, True]


def test_a_learner_is_vouched_for(mara: Person, teal: Boat, as_person: Use) -> None:
    pip = log_in("Pip", Right.PROVE, learner=True)
    gear = services.undo(entry(mara), teal, book().kinds["gear_case_open"], "tag")
    one = row(pip, f"/undone/{gear.pk}/", deed="holds")
    assert word(as_person(pip), one) == "marked"
    assert "Say who watched you" in asides()[0].body["says"]
    assert as_person(mara).post(path(), typed(deed="enter")).status_code == 302
    put_back = Fact.objects.get(kind=Kind.PUT_BACK)
    assert (put_back.by, put_back.second) == (pip, mara)


def test_who_may_not_clear_asks(ended: Row, tomas: Person, as_person: Use) -> None:
    client = as_person(tomas)
    assert "Enter it" not in words(client.get(path()))
    answer = client.post(path(), typed(deed="enter"))
    assert answer.status_code == 409
    assert "Mara" in words(answer)
    assert is_open()
    assert client.post(path(), typed(deed="strike", reason="my mistake")).status_code == 302


def test_bad_input_keeps_what_was_typed(ended: Row, mara: Person, as_person: Use) -> None:
    answer = as_person(mara).post(path(), typed(deed="dance", reason="not so sure"))
    assert answer.status_code == 422
    assert "not so sure" in words(answer)
    assert queries.kept_aside().exists()


def test_strangers_and_other_methods(ended: Row, mara: Person, as_person: Use) -> None:
    client = as_person(mara)
    refuses_method(client, "/kept-aside/", "POST", "PUT", "DELETE")
    refuses_method(client, path(), "PUT", "DELETE")
    asks_for_log_in(client, "/kept-aside/")
    asks_for_log_in(client, path())


def test_few_queries_however_many(
    tomas: Person,
    mara: Person,
    as_person: Use,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    send(as_person(tomas), *[row(tomas, f"/undone/{uuid4()}/", deed="holds") for _ in range(40)])
    client = as_person(mara)
    with django_assert_max_num_queries(4):
        client.get("/kept-aside/")
    with django_assert_max_num_queries(8):
        client.get(path())


def test_a_file_by_hand_time_is_the_deeds(tomas: Person, mara: Person, as_person: Use) -> None:
    """What was typed on the phone as the time of the deed stays it when it is entered."""
    one = row(
        tomas,
        f"/undone/{undone(PROPELLER).pk}/",
        deed="holds",
        done_at="2031-05-01T16:30",
    )
    Person.objects.filter(pk=tomas.pk).update(rights=[])
    assert word(as_person(tomas), one) == "marked"
    as_person(mara).post(path(), typed(deed="enter"))
    put_back = Fact.objects.get(kind=Kind.PUT_BACK)
    assert put_back.done_at == datetime.fromisoformat("2031-05-01T16:30-04:00")
