"""Entries from phones: each is held once, whatever is repeated, late or wrong; nothing is lost."""

import json
import random
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from uuid import uuid4

import pytest
from django.db import OperationalError, transaction
from django.test import Client

from tests.conftest import log_in, set_clock
from tests.web.phone_rows import ENTRIES, asides, fact, row, send, word
from tests.work.conftest import NOW, instrument, undone
from yardwright.fleet.models import Boat, WayIn
from yardwright.season.model import Boat as Value
from yardwright.season.model import Right
from yardwright.web.sent import PhoneClock
from yardwright.work import put_backs, verdicts
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Instrument, Person, Place

STEP = "/boats/TEA/steps/stern_plug_out/"
LOOK = "/boats/TEA/look/?at=all+openings+counted"
SINCE = "/boats/TEA/since/"
READING = "/boats/TEA/readings/new/?quantity=battery_at_rest"
PROPELLER = "propeller off"


@pytest.fixture
def ines(teal: Boat) -> Person:
    set_clock(NOW)
    return log_in("Ines", Right.PROVE, Right.CLEAR)


@pytest.fixture
def tomas(ines: Person) -> Person:
    return log_in("Tomas", Right.PROVE)


@pytest.fixture
def phone(ines: Person, as_person: Callable[[Person], Client]) -> Client:
    return as_person(ines)


def at(what: str = PROPELLER) -> str:
    return f"/undone/{undone(what).pk}/"


def looks(by: Person) -> dict[str, object]:
    return row(by, LOOK, holds="yes")


# --- every page that a mechanic fills in at the boat


def test_a_put_back_is_held_with_who_and_when(ines: Person, phone: Client) -> None:
    one = row(ines, at(), ago=timedelta(hours=2), deed="holds")
    answer = send(phone, one)[str(one["uuid"])]
    assert answer == {"word": "held", "says": "Put back: propeller off (felt)."}
    held = fact(one)
    assert (held.kind, held.by, held.what, held.mark) == (Kind.PUT_BACK, ines, PROPELLER, "")
    assert abs(held.done_at - (clock.now() - timedelta(hours=2))) < timedelta(seconds=20)
    assert not put_backs.left(undone(PROPELLER)).thing.is_open


def test_every_page_at_the_boat_takes_its_own(ines: Person, phone: Client, teal: Boat) -> None:
    way = WayIn.objects.filter(boat=teal).first()
    assert way is not None
    teal.work.create(place_in_list=0, what="new seal", trade="", minutes=9)
    rows = [
        row(ines, at(), deed="does not hold", words="it drips"),
        looks(ines),
        row(ines, f"/boats/TEA/look/?at={way.name.replace(' ', '+')}", holds="no", words="weeps"),
        row(ines, SINCE, by_what="frost while wet"),
        row(ines, "/boats/TEA/work-done/", what="new seal"),
        row(ines, "/boats/TEA/steps/stern_plug_in/"),
        row(ines, READING, value_1="12.71 V"),
    ]
    kinds = [Kind.LOOKED, Kind.LOOKED, Kind.LOOKED, Kind.DISTURBED, Kind.DONE, Kind.DONE]
    answers = send(phone, *rows)
    assert [one["word"] for one in answers.values()] == ["held"] * len(rows), answers
    assert [fact(one).kind for one in rows] == [*kinds, Kind.READING]
    assert Fact.objects.filter(kind=Kind.JUDGED, of=fact(rows[-1])).count() == 1


def test_no_other_page_takes_one(ines: Person, phone: Client) -> None:
    for to in ("/yard/people/new/", "/boats/TEA/ink/", "/sign-out/", "/no/such/", "/undone/x/"):
        assert word(phone, row(ines, to, name="X")) == "marked", to
    assert phone.get("/").status_code == 200
    assert len(asides()) == 5


def test_a_reading_is_answered_with_its_verdict(ines: Person, phone: Client) -> None:
    """Its engine's manual allows 80 °C at most (the yard's file): 95 °C is over it by any account."""
    gun = Instrument.objects.get(name="infrared gun")
    to = "/boats/TEA/readings/new/?quantity=head_temperature"
    one = row(ines, to, value_1="95 C", instrument=gun.pk, c_at_thermostat="yes")
    says = send(phone, one)[str(one["uuid"])]["says"]
    assert says.startswith("Reading: "), says
    assert says.endswith("95 °C. Stop."), says


def test_not_even_the_managers(ines: Person, as_person: Callable[[Person], Client]) -> None:
    mara = log_in("Mara", *Right)
    one = row(mara, "/yard/places/new/", name="South row", kind="row", berths="4")
    says = send(as_person(mara), one)[str(one["uuid"])]["says"]
    assert says == "/yard/places/new/ takes nothing from a phone's outbox."
    assert not Place.objects.filter(name="South row").exists()


def test_the_rows_own_uuid_and_time_count_not_the_pages(ines: Person, phone: Client) -> None:
    """A page that was kept for days has an old uuid in its form."""
    one = row(ines, at(), ago=timedelta(hours=1), deed="holds", uuid=uuid4(), made_at="2031-01-01")
    assert word(phone, one) == "held"
    assert abs(fact(one).done_at - clock.now() + timedelta(hours=1)) < timedelta(seconds=20)


def test_it_is_never_answered_as_a_fragment(ines: Person, phone: Client) -> None:
    one = row(ines, LOOK, holds="yes")
    body = json.dumps({"sent_at": datetime.now(UTC).isoformat(), "entries": [one]})
    htmx = {"HX-Request": "true"}
    answer = phone.post(ENTRIES, body, content_type="application/json", headers=htmx)
    assert answer.json()["answers"][str(one["uuid"])]["word"] == "held"


def test_a_time_typed_by_hand_comes_before_the_phones(ines: Person, phone: Client) -> None:
    one = row(ines, at(), ago=timedelta(hours=1), deed="holds", done_at="2031-05-01T16:30")
    assert word(phone, one, slow=timedelta(hours=1)) == "held"
    assert fact(one).mark == ""
    assert fact(one).done_at == datetime.fromisoformat("2031-05-01T16:30-04:00")


def test_the_phones_time_is_exact(ines: Person, phone: Client) -> None:
    one = row(ines, LOOK, holds="yes")
    assert word(phone, one) == "held"
    exact = datetime.fromisoformat(str(one["made_at"]))
    ahead = timedelta(seconds=clock.the_yard().clock_ahead_s)
    assert fact(one).done_at == exact + ahead


# --- readings: what the phone read back, and what must be asked


def test_a_reading_read_back_differently_is_kept_aside(ines: Person, phone: Client) -> None:
    assert word(phone, row(ines, READING, value_1="12.71 V", keep="12.71 V")) == "held"
    other = row(ines, READING, value_1="12.71 V", keep="1.271 V")
    assert word(phone, other) == "marked"
    assert Fact.objects.filter(kind=Kind.READING).count() == 1


def test_an_unlikely_reading_is_asked_about(ines: Person, phone: Client) -> None:
    one = row(ines, READING, value_1="1270 V")
    assert word(phone, one) == "marked"
    assert "1270 V is outside" in asides()[0].body["says"]
    assert not Fact.objects.filter(kind=Kind.READING).exists()


# --- repeats


def test_a_repeat_is_held_before_and_changes_nothing(ines: Person, phone: Client) -> None:
    rows = [row(ines, at(), deed="holds"), looks(ines), row(ines, READING, value_1="12.7 V")]
    send(phone, *rows)
    before = Fact.objects.count()
    again = send(phone, *reversed(rows), rows[0])
    assert {one["word"] for one in again.values()} == {"held before"}
    assert Fact.objects.count() == before


def test_a_repeat_proves_nothing_that_was_opened_since(ines: Person, phone: Client) -> None:
    plug = row(ines, "/boats/TEA/steps/stern_plug_in/")
    assert word(phone, plug) == "held"
    opened = row(ines, STEP, lies_stern_plug="aft", fitting_stern_plug="stern drain plug")
    assert word(phone, opened) == "held"
    assert put_backs.left(undone("Stern drain plug out")).thing.is_open
    before = Fact.objects.count()
    assert word(phone, plug) == "held before"
    assert Fact.objects.count() == before


def test_a_repeat_is_known_after_the_right_has_ended(ines: Person, phone: Client) -> None:
    one = looks(ines)
    assert word(phone, one) == "held"
    Person.objects.filter(pk=ines.pk).update(rights=[])
    assert word(phone, one) == "held before"
    assert not asides()


def test_what_the_page_took_itself_is_held_before(ines: Person, phone: Client) -> None:
    one = row(ines, at(), deed="holds")
    phone.post(at(), {"uuid": str(one["uuid"]), "deed": "holds"})
    before = Fact.objects.count()
    assert word(phone, one) == "held before"
    assert Fact.objects.count() == before


def test_what_the_page_took_itself_proves_nothing_opened_since(ines: Person, phone: Client) -> None:
    plug = row(ines, "/boats/TEA/steps/stern_plug_in/")
    phone.post(str(plug["to"]), {"uuid": str(plug["uuid"])})
    opened = row(ines, STEP, lies_stern_plug="aft", fitting_stern_plug="stern drain plug")
    assert word(phone, opened) == "held"
    before = Fact.objects.count()
    assert word(phone, plug) == "held before"
    assert Fact.objects.count() == before


def test_the_same_uuid_with_other_content_differs_and_both_stay(
    ines: Person, phone: Client
) -> None:
    one = looks(ines)
    other = one | {"fields": [["holds", "no"], ["words", "one more, aft"]]}
    assert word(phone, one) == "held"
    assert word(phone, other) == "differs"
    assert word(phone, other) == "differs"
    assert fact(one).body["holds"]
    (aside,) = asides()
    assert json.loads(aside.body["row"])["fields"] == other["fields"]


def test_how_a_phone_tells_it_makes_no_other_entry(ines: Person, phone: Client) -> None:
    one = looks(ines)
    assert word(phone, one) == "held"
    assert word(phone, one | {"words": "told otherwise by a newer page"}) == "held before"


def test_two_stories_stay_side_by_side(
    ines: Person, tomas: Person, as_person: Callable[[Person], Client]
) -> None:
    """Ines proves it at ten, Tomas finds it loose at eleven; their phones come in the other way."""
    holds = row(ines, at(), ago=timedelta(hours=2), deed="holds")
    loose = row(tomas, at(), ago=timedelta(hours=1), deed="does not hold", words="loose")
    assert word(as_person(tomas), loose) == "held"
    assert word(as_person(ines), holds) == "held"
    left = put_backs.left(undone(PROPELLER))
    assert left.thing.is_open
    assert [(said.by, said.kind) for said in left.said] == [
        (ines, Kind.PUT_BACK),
        (tomas, Kind.LOOKED),
    ]


def test_in_any_order_and_with_repeats_she_stands_the_same(
    ines: Person, phone: Client, teal: Boat
) -> None:
    hour = timedelta(hours=1)
    rows = [
        row(ines, at(), ago=6 * hour, deed="holds"),
        row(ines, at(), ago=5 * hour, deed="does not hold", words="loose"),
        row(ines, at(), ago=4 * hour, deed="holds"),
        row(ines, LOOK, ago=4 * hour, holds="yes"),
        row(ines, SINCE, ago=3 * hour, by_what="frost while wet"),
        row(ines, LOOK, ago=2 * hour, holds="no", words="one more"),
        row(ines, READING, ago=2 * hour, value_1="12.7 V", where="battery 1"),
        row(ines, READING, ago=hour, value_1="12.2 V", where="battery 2"),
        row(ines, "/boats/TEA/steps/gear_oil_in/", ago=hour),
    ]

    def after(order: list[dict[str, object]]) -> tuple[Value, tuple[str, ...]]:
        with transaction.atomic():
            for one in order:
                assert word(phone, one) in ("held", "held before")
            stands = verdicts.with_holds([teal])[0]
            transaction.set_rollback(True)
        return stands

    wanted = after(rows)
    assert wanted[0].readings
    assert after(rows[::-1]) == wanted
    for seed in range(4):
        chance = random.Random(seed)  # noqa: S311
        assert after(chance.choices(rows, k=9) + chance.sample(rows, k=9)) == wanted, seed


# --- who


def test_anothers_entry_stays_on_the_phone(ines: Person, tomas: Person, phone: Client) -> None:
    one = looks(tomas)
    answer = send(phone, one)[str(one["uuid"])]
    assert answer == {"word": "not yours", "says": "Log in as Tomas to send this."}
    assert not Fact.objects.filter(pk=str(one["uuid"])).exists()
    assert not asides()


def test_of_one_who_cannot_log_in_any_more_it_is_kept_aside(
    ines: Person, tomas: Person, phone: Client
) -> None:
    Person.objects.filter(pk=tomas.pk).update(works_here=False)
    one = looks(tomas)
    assert word(phone, one) == "marked"
    (aside,) = asides()
    assert (aside.by, aside.second) == (tomas, ines)
    assert "no longer works here" in aside.mark


def test_a_right_that_ended_in_between_keeps_it_aside(ines: Person, phone: Client) -> None:
    mara = Person.objects.get(name="Mara")
    mara.rights = [*Right]
    mara.save()
    Person.objects.filter(pk=ines.pk).update(rights=[])
    one = looks(ines)
    answer = send(phone, one)[str(one["uuid"])]
    assert answer["word"] == "marked"
    assert answer["says"].startswith("Ines may not ")
    assert "Mara" in answer["says"]


def test_a_stranger_is_told_in_json(ines: Person, client: Client) -> None:
    answer = client.post(ENTRIES, "{}", content_type="application/json")
    assert answer.status_code == 401
    assert answer.json() == {"says": "Log in to send what waits."}


def test_only_our_own_pages_send(ines: Person, phone: Client) -> None:
    body = json.dumps({"sent_at": datetime.now(UTC).isoformat(), "entries": []})
    theirs = {"headers": {"Origin": "https://elsewhere.example"}}
    answer = phone.post(ENTRIES, body, content_type="application/json", **theirs)  # type: ignore[arg-type]
    assert answer.status_code == 403
    assert phone.post(ENTRIES, body, content_type="text/plain").status_code == 403
    assert phone.post(ENTRIES, body, content_type="application/json").status_code == 200
    assert phone.get(ENTRIES).status_code == 405


# --- bad rows, and too much


def test_a_bad_row_never_loses_the_good_ones(ines: Person, phone: Client) -> None:
    good, last = looks(ines), row(ines, at(), deed="holds")
    bad: list[object] = [
        17,
        None,
        {"uuid": "no"},
        looks(ines) | {"made_at": "tomorrow"},
        looks(ines) | {"made_at": "2031-05-02T08:00"},
        looks(ines) | {"made_at": "0001-01-01T00:00+14:00"},
        looks(ines) | {"fields": {"holds": "yes"}},
        looks(ines) | {"fields": [["holds", 1]]},
        looks(ines) | {"person": "Ines"},
        looks(ines) | {"person": 999_999},
        looks(ines) | {"to": "https://elsewhere.example/"},
        looks(ines) | {"to": "//[/"},
        looks(ines) | {"to": "/\t/elsewhere.example/boats/TEA/look/"},  # a browser drops the tab
        row(ines, LOOK, holds="yes", words="\ud83d"),
        row(ines, at(), deed="dance"),
        row(ines, SINCE),
        row(ines, f"/undone/{uuid4()}/", deed="holds"),
    ]
    answers = send(phone, good, *bad, last)
    assert answers[str(good["uuid"])]["word"] == "held"
    assert answers[str(last["uuid"])]["word"] == "held"
    says = [answers[str(one["uuid"])]["says"] for one in bad[3:] if isinstance(one, dict)]
    assert all(sentence.startswith("made_at is '") for sentence in says[:3]), says
    words = [answers[str(one["uuid"])]["word"] for one in bad[3:] if isinstance(one, dict)]
    assert words == ["marked"] * 10 + ["held"] + ["marked"] * 3
    assert len(asides()) == 16
    assert phone.get("/kept-aside/").status_code == 200
    for aside in asides():
        assert phone.get(f"/kept-aside/{aside.pk}/").status_code == 200
    send(phone, good, *bad, last)
    assert len(asides()) == 16


def test_a_page_that_breaks_keeps_the_entry_aside(
    ines: Person, phone: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    def breaks(*_: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr("yardwright.work.services.disturb", breaks)
    broken, good = row(ines, SINCE, by_what="frost while wet"), looks(ines)
    answers = send(phone, broken, good)
    assert answers[str(broken["uuid"])]["word"] == "marked"
    assert answers[str(good["uuid"])]["word"] == "held"


def test_what_a_busy_database_did_not_take_is_not_named(
    ines: Person, phone: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The phone keeps it and sends it again: nothing is kept aside for that."""

    def locked(*_: object) -> None:
        raise OperationalError("database is locked")

    rows = [looks(ines), row(ines, SINCE, by_what="frost while wet"), looks(ines)]
    with monkeypatch.context() as busy:
        busy.setattr("yardwright.work.services.disturb", locked)
        assert [*send(phone, *rows)] == [rows[0]["uuid"]]
    assert not asides()
    words = [one["word"] for one in send(phone, *rows).values()]
    assert words == ["held before", "held", "held"]


def test_what_is_wrong_stands_in_the_pages_own_words(ines: Person, phone: Client) -> None:
    one = row(ines, SINCE)
    assert send(phone, one)[str(one["uuid"])]["says"] == "Choose what happened."


@pytest.mark.parametrize(
    ("body", "status"),
    [
        ("null", 422),
        ("[]", 422),
        ("{", 422),
        ("[" * 100_000, 422),
        ('{"entries": []}', 422),
        ('{"sent_at": "2031-05-02T08:00:00Z", "entries": {}}', 422),
        (json.dumps({"sent_at": "2031-05-02T08:00:00Z", "entries": [1] * 501}), 413),
        ('{"sent_at": "2031-05-02T08:00:00Z", "entries": []}' + " " * 1_000_000, 413),
        (json.dumps({"sent_at": "2031-05-02T08:00:00Z", "entries": [1] * 500}), 200),
    ],
)
def test_the_envelope(ines: Person, phone: Client, body: str, status: int) -> None:
    answer = phone.post(ENTRIES, body, content_type="application/json")
    assert answer.status_code == status
    if status != 200:
        assert answer.json()["says"].endswith(".")
        assert not asides()


# --- clocks


def test_a_slow_clock_is_corrected_and_said(ines: Person, phone: Client) -> None:
    one = row(ines, at(), ago=timedelta(minutes=47 + 60), deed="holds")  # made an hour ago
    answer = send(phone, one, slow=timedelta(minutes=47, seconds=10))[str(one["uuid"])]
    said = "The phone's clock was 47 min slow; corrected."
    assert answer["says"].endswith(said)
    assert fact(one).mark == "the phone's clock was 47 min slow; corrected"
    made = clock.now() - timedelta(minutes=60)
    assert abs(fact(one).done_at - made) < timedelta(seconds=30)


def test_a_time_to_come_is_marked_not_refused(ines: Person, phone: Client) -> None:
    one = row(ines, at(), ago=-timedelta(hours=3), deed="holds")
    assert word(phone, one) == "held"
    assert "a clock is wrong" in fact(one).mark


MIN = timedelta(minutes=1)
NOON = datetime(2031, 5, 2, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("slow", "shown", "mark"),
    [
        (2 * MIN, NOON, ""),
        (2 * MIN + timedelta(seconds=1), NOON + 2 * MIN + timedelta(seconds=1), "2 min slow"),
        (-5 * MIN, NOON - 5 * MIN, "5 min fast"),
        (timedelta(days=3), NOON + timedelta(days=3), "3 days slow"),
        (timedelta(hours=36), NOON + timedelta(hours=36), "2160 min slow"),
    ],
)
def test_the_phones_clock(slow: timedelta, shown: datetime, mark: str) -> None:
    phone = PhoneClock(slow)
    assert phone.at_the_yard(NOON) == shown
    assert phone.mark == (f"the phone's clock was {mark}; corrected" if mark else "")
    ahead = PhoneClock(slow, timedelta(days=1))
    assert ahead.at_the_yard(NOON) == shown + timedelta(days=1)


def test_instruments_of_the_page_are_named_by_their_number(ines: Person, phone: Client) -> None:
    meter = instrument("meter 2", "V", 0.03)
    one = row(ines, READING, value_1="12.7", instrument=meter.pk)
    assert word(phone, one) == "held"
    assert fact(one).body["instrument"]["name"] == "meter 2"
