"""Every deed at the boat comes by a phone too: repair, clearing, strike-out; and what one can't do alone."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client

from tests.conftest import entry, log_in, set_clock
from tests.web.phone_rows import Row, asides, fact, row, send, word
from tests.work.conftest import NOW, words
from yardwright.fleet.models import Boat
from yardwright.procedures.readings import Reading
from yardwright.procedures.steps import book
from yardwright.season.model import Right
from yardwright.work import put_backs, queries, services, verdicts
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
A_DAY = timedelta(days=1)
AT_HAND = "/boats/TEA/at-hand/"


@pytest.fixture
def tomas(teal: Boat) -> Person:
    set_clock(NOW)
    return log_in("Tomas", Right.PROVE)


@pytest.fixture
def mara(tomas: Person) -> Person:
    return log_in("Mara", *Right)


@pytest.fixture
def hot(tomas: Person, teal: Boat) -> Fact:
    """Story A3's limit is 80 °C."""
    told = {"warm": True, "dull_spots": True}
    at = clock.now() - timedelta(hours=1)
    taken = Reading("head_temperature", (95.0,), "°C", at, "Tomas", None, told)
    return services.read(entry(tomas, timedelta(hours=1)), teal, taken, "95 C")[0]


def holds(teal: Boat) -> bool:
    return bool(verdicts.holds(queries.story([teal])[teal.pk]))


def test_what_holds_her_is_cleared_from_the_boat(
    hot: Fact, mara: Person, teal: Boat, as_person: Use
) -> None:
    client = as_person(mara)
    assert "Cleared: she may go on" in words(client.get(AT_HAND))
    assert holds(teal)
    ago = timedelta(minutes=20)
    one = row(mara, f"/readings/{hot.pk}/", ago=ago, deed="clear", reason="probe on the exhaust")
    assert [word(client, one), word(client, one)] == ["held", "held before"]
    assert not holds(teal)
    assert abs(fact(one).done_at - (clock.now() - ago)) < timedelta(seconds=20)
    assert "Cleared: she may go on" not in words(client.get(AT_HAND))


def test_a_repair_is_told_from_the_boat(hot: Fact, tomas: Person, as_person: Use) -> None:
    one = row(tomas, f"/readings/{hot.pk}/", deed="repair", reason="new thermostat")
    assert word(as_person(tomas), one) == "held"
    assert fact(one).body == {"of_kind": "repair", "how": "new thermostat"}


def test_who_may_not_clear_is_kept_aside(
    hot: Fact, tomas: Person, teal: Boat, as_person: Use
) -> None:
    client = as_person(tomas)
    assert "takes a reason, by someone who may clear" in words(client.get(AT_HAND))
    one = row(tomas, f"/readings/{hot.pk}/", deed="clear", reason="looks fine")
    assert word(client, one) == "marked"
    assert holds(teal)
    assert "Tomas may not clear" in asides()[0].body["says"]


def test_struck_out_from_the_boat(hot: Fact, tomas: Person, teal: Boat, as_person: Use) -> None:
    client = as_person(tomas)
    page = words(client.get(AT_HAND))
    assert "Entered by you lately" in page
    assert f'action="/facts/{hot.pk}/?back={AT_HAND}%23lately&once=' in page
    one = row(tomas, f"/facts/{hot.pk}/", reason="read the wrong boat")
    assert word(client, one) == "held"
    assert not holds(teal)


def two(mara: Person, tomas: Person, teal: Boat) -> tuple[Fact, Row, Row]:
    """The stern plug asks for two: Tomas does the step, then taps its put-back as well."""
    kind, way = book().kinds["stern_plug"], teal.ways_in.all()[0].name
    left = put_backs.left(services.undo(entry(mara, A_DAY), teal, kind, "on the wheel", way))
    assert left.thing.second
    step = put_backs.proving_step(teal, left.thing)
    assert step is not None
    return (
        left.fact,
        row(tomas, f"/boats/TEA/steps/{step.code}/", ago=timedelta(minutes=9)),
        row(tomas, f"/undone/{left.uuid}/", ago=timedelta(minutes=8), deed="holds"),
    )


@pytest.mark.parametrize("turned", [False, True], ids=["in order", "the put-back first"])
def test_one_alone_is_never_two(
    tomas: Person, mara: Person, teal: Boat, as_person: Use, turned: bool
) -> None:
    undone, step, proof = two(mara, tomas, teal)
    rows = (proof, step) if turned else (step, proof)
    answers = send(as_person(tomas), *rows)
    left = put_backs.left(undone)
    assert left.thing.is_open
    assert left.waits_for_second
    assert answers[str(step["uuid"])]["word"] == "held"
    said = answers[str(proof["uuid"])]
    assert said["word"] == ("held" if turned else "marked")
    if not turned:
        assert "it needs a second person. Ask someone else to look" in said["says"]
        client = as_person(mara)
        decides = f"/kept-aside/{asides()[0].pk}/"
        answer = client.post(decides, {"uuid": str(entry(mara).uuid), "deed": "enter"})
        assert answer.status_code == 409  # nobody makes two of one
        assert put_backs.left(undone).thing.is_open
    seen = row(mara, f"/undone/{undone.pk}/", deed="holds")
    assert word(as_person(mara), seen) == "held"
    assert not put_backs.left(undone).thing.is_open


def test_a_phone_47_minutes_slow(hot: Fact, mara: Person, as_person: Use) -> None:
    slow = timedelta(minutes=47)
    one = row(mara, f"/readings/{hot.pk}/", ago=slow, deed="clear", reason="seen")
    assert word(as_person(mara), one, slow=slow) == "held"
    assert fact(one).mark == "the phone's clock was 47 min slow; corrected"
    assert abs(fact(one).done_at - clock.now()) < timedelta(seconds=20)


def test_entered_with_another_value(tomas: Person, mara: Person, as_person: Use) -> None:
    """A battery of 127 V is a slip of the thumb: Mara asks Tomas, and puts it right."""
    to = "/boats/TEA/readings/new/?quantity=battery_at_rest"
    one = row(tomas, to, ago=timedelta(hours=2), value_1="127 V", c_rested_h="14", where="port")
    assert word(as_person(tomas), one) == "marked"
    (aside,) = asides()
    client, at = as_person(mara), f"/kept-aside/{aside.pk}/"
    page = words(client.get(at))
    assert aside.body["says"][:20] in page
    assert '<label>Value 1<input name="row_0" maxlength="2000" value="127 V">' in page
    wrong = client.post(at, sent(mara, row_0="1270 V"))
    assert wrong.status_code == 409
    assert 'value="1270 V"' in words(wrong)  # nothing typed is lost
    assert client.post(at, sent(mara, row_0="12.7 V")).status_code == 302
    reading = Fact.objects.get(kind=Kind.READING, by=tomas, what="battery_at_rest")
    assert (reading.body["values"], reading.body["where"]) == ([12.7], "port")
    assert reading.second == mara
    assert reading.mark == "kept aside first; Mara entered it with another value 1"
    assert abs(reading.done_at - (clock.now() - timedelta(hours=2))) < timedelta(seconds=20)
    assert "127 V" in aside.body["row"]
    assert "127 V" in words(client.get(at))  # what was typed at the boat stays readable


def test_what_a_button_said_is_no_field(tomas: Person, mara: Person, as_person: Use) -> None:
    """Whoever decides does not turn "it does not hold" into "it holds"."""
    one = row(tomas, "/boats/TEA/look/?at=all+openings+counted", holds="no", words="")
    assert word(as_person(tomas), one) == "marked"
    client, at = as_person(mara), f"/kept-aside/{asides()[0].pk}/"
    page = words(client.get(at))
    assert 'name="row_0"' not in page
    answer = client.post(at, sent(mara, row_0="yes", row_1="a pool by the mast"))
    assert answer.status_code == 302, words(answer)
    look = Fact.objects.get(kind=Kind.LOOKED, by=tomas, what="all openings counted")
    assert look.body["holds"] is False


def sent(by: Person, **more: str) -> dict[str, str]:
    return {"uuid": str(entry(by).uuid), "deed": "enter", **more}
