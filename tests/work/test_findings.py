"""Findings: what nobody ordered, what comes of it, and the same on the same kind of engine."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client

from tests.conftest import entry
from tests.work.conftest import Crew, asks_for_log_in, refuses_method, typed, words
from yardwright.fleet.models import Boat, Part, Work
from yardwright.procedures.findings import Came, Finding
from yardwright.procedures.going_in import State
from yardwright.procedures.step import Has, Season
from yardwright.procedures.steps import steps_for
from yardwright.work import facts, findings, services
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
NEW, ALL = "/boats/TEA/finding/", "/findings/"
HOSE = Finding.SPLIT_HOSE


@pytest.fixture
def same_engine(teal: Boat) -> list[Boat]:
    """Teal and thirteen others with one kind of engine."""
    others = [
        Boat.objects.create(name=f"Sister {n}", tag=f"S{n:02d}", engine=teal.engine)
        for n in range(13)
    ]
    Boat.objects.create(name="Smew", tag="SMW", engine="diesel 30")
    return [teal, *others]


@pytest.fixture
def split(crew: Crew, teal: Boat) -> Fact:
    return services.find(entry(crew.tomas), teal, HOSE, there=True, words="below the thermostat")


def at(finding: Fact) -> str:
    return f"/findings/{finding.pk}/"


def came(**other: object) -> dict[str, str]:
    new = {"way": Came.OFFER, "words": "new hose", "trade": "mechanic", "minutes": 40}
    return typed(**(new | other))


def test_found_and_shown(ines: Client) -> None:
    answer = ines.post(NEW, typed(what=HOSE, there="there", words="below the thermostat"))
    assert answer.status_code == 302
    fact = Fact.objects.get(kind=Kind.FOUND)
    assert answer["Location"] == at(fact)
    assert fact.body["engine"] == "four-stroke 115"  # as docs/teal.toml names it
    for page in (ALL, at(fact), NEW):
        assert "split hose" in words(ines.get(page)).lower(), page
        assert "below the thermostat" in words(ines.get(page)), page


def test_the_third_is_noticed_and_the_others_named(
    ines: Client, crew: Crew, same_engine: list[Boat]
) -> None:
    """Three of fourteen: eleven are left to look at."""
    for boat in same_engine[:3]:
        services.find(entry(crew.tomas), boat, HOSE, there=True)
    (batch,) = findings.batches()
    assert batch.sentence == (
        "Third boat with four-stroke 115 and this in one winter: split hose. Look at the other 11."
    )
    page = words(ines.get(ALL))
    assert batch.sentence in page
    assert "/boats/S05/finding/?what=split%20hose" in page
    assert batch.sentence in words(ines.get(at(Fact.objects.filter(kind=Kind.FOUND)[0])))


def test_what_was_looked_at_is_not_asked_again(
    crew: Crew, same_engine: list[Boat], as_person: Use
) -> None:
    for boat in same_engine[:2]:
        services.find(entry(crew.tomas), boat, HOSE, there=True)
    ines = as_person(crew.ines)
    for boat in same_engine[2:-1]:
        ines.post(f"/boats/{boat.tag}/finding/", typed(what=HOSE, there="not there"))
    (batch,) = findings.batches()
    assert batch.others == (same_engine[-1],)
    assert batch.sentence.endswith("Look at the other one.")
    assert len(batch.not_there) == 11
    assert len(findings.findings()) == 2  # not there is no finding
    ines.post(f"/boats/{same_engine[-1].tag}/finding/", typed(what=HOSE, there="not there"))
    assert findings.batches()[0].sentence.endswith("All others of the kind were looked at.")


def test_what_is_no_batch(crew: Crew, same_engine: list[Boat]) -> None:
    """Twice on one boat; on another kind of engine; something else; last winter's; struck out."""
    teal, sister, third = same_engine[:3]
    smew = Boat.objects.get(tag="SMW")
    for boat in (teal, teal, smew):
        services.find(entry(crew.tomas), boat, HOSE, there=True)
    for boat in (teal, sister):
        services.find(entry(crew.tomas), boat, Finding.OTHER, there=True, words="a shoe")
    services.find(entry(crew.tomas, timedelta(days=330)), sister, HOSE, there=True)
    wrong = services.find(entry(crew.tomas), third, HOSE, there=True)
    assert len(findings.batches()) == 1
    services.strike_out(entry(crew.tomas), wrong, "was the other boat")
    assert findings.batches() == []


def test_an_engine_that_nobody_named_is_no_kind(crew: Crew, same_engine: list[Boat]) -> None:
    Boat.objects.update(engine="")
    for boat in Boat.objects.all()[:4]:
        services.find(entry(crew.tomas), boat, HOSE, there=True)
    assert findings.batches() == []


def test_an_offer_is_work_that_waits_for_the_owners_yes(
    ines: Client, teal: Boat, split: Fact
) -> None:
    assert ines.post(at(split), came(part="hose 19 mm")).status_code == 302
    piece = Work.objects.get(boat=teal, what="new hose")
    assert (piece.needs_yes, piece.minutes, piece.trade) == (True, 40, "mechanic")
    assert piece.part == Part.objects.get(name="hose 19 mm", arrives=None)
    assert "It waits for the owner's yes" in words(ines.get(at(split)))
    assert Fact.objects.get(kind=Kind.CAME).of == split


def test_what_is_in_her_order_needs_no_second_yes(ines: Client, teal: Boat, split: Fact) -> None:
    ines.post(at(split), came(way=Came.ORDERED))
    assert not Work.objects.get(boat=teal, what="new hose").needs_yes


def test_a_step_of_hers_sees_to_it(ines: Client, teal: Boat, split: Fact) -> None:
    step = steps_for(frozenset(Has(one) for one in teal.has), Season.SPRING)[0]
    before = Work.objects.count()
    assert ines.post(at(split), came(way=Came.STEP, step=step.code, words="")).status_code == 302
    page = words(ines.get(at(split)))
    assert step.title in page
    assert f"/boats/TEA/steps/{step.code}/" in page
    assert Work.objects.count() == before


def test_it_stays_as_it_is_with_a_reason(ines: Client, split: Fact) -> None:
    ines.post(at(split), came(way=Came.NOTHING, words="owner replaces it himself"))
    assert "It stays as it is: owner replaces it himself" in words(ines.get(at(split)))
    assert not Work.objects.filter(what__startswith="owner").exists()


def test_a_repeat_changes_nothing(ines: Client, teal: Boat, split: Fact) -> None:
    sent, decided = typed(what=HOSE, there="there", words="again"), came()
    for _ in range(3):
        assert ines.post(NEW, sent).status_code == 302
        assert ines.post(at(split), decided).status_code == 302
        Boat.objects.filter(pk=teal.pk).update(engine="named anew")
    assert Fact.objects.filter(kind=Kind.FOUND).count() == 2
    assert Fact.objects.filter(kind=Kind.CAME).count() == 1
    assert Work.objects.filter(what="new hose").count() == 1
    assert ines.post(NEW, sent | {"what": Finding.MICE}).status_code == 409


@pytest.mark.parametrize(
    ("path", "fields", "says"),
    [
        (NEW, {"what": "", "there": "there", "words": "kept words"}, "Choose what it is"),
        (NEW, {"what": HOSE, "there": "perhaps", "words": "kept words"}, "perhaps"),
        ("of", {"way": "", "words": "kept words"}, "Choose what comes of it."),
        ("of", {"way": Came.OFFER, "words": "kept words"}, "About how many minutes?"),
        ("of", {"way": Came.STEP, "words": "kept words"}, "Which of her steps sees to it?"),
        ("of", {"way": Came.NOTHING, "words": "", "part": "kept words"}, "Say it in a few words."),
        ("of", {"way": Came.OFFER, "words": "kept words" * 9, "minutes": 5}, "At most 80 letters"),
    ],
)
def test_bad_input_writes_nothing_and_keeps_what_was_typed(
    ines: Client, split: Fact, path: str, fields: dict[str, object], says: str
) -> None:
    answer = ines.post(at(split) if path == "of" else path, typed(**fields))
    assert answer.status_code == 422
    assert says in words(answer)
    assert "kept words" in words(answer)
    assert Fact.objects.filter(kind__in=(Kind.FOUND, Kind.CAME)).count() == 1


def test_something_else_needs_words(ines: Client) -> None:
    answer = ines.post(NEW, typed(what=Finding.OTHER, there="there"))
    assert answer.status_code == 422
    assert "say what you found" in words(answer)


def test_work_that_she_waits_for_already_is_refused_whole(
    ines: Client, teal: Boat, split: Fact
) -> None:
    ines.post(at(split), came())
    answer = ines.post(at(split), came(part="hose 21 mm"))
    assert answer.status_code == 409
    assert "waits for 'new hose' already" in words(answer)
    assert Fact.objects.filter(kind=Kind.CAME).count() == 1
    assert not Part.objects.filter(name="hose 21 mm").exists()


def test_nothing_comes_of_what_is_not_there(ines: Client, crew: Crew, teal: Boat) -> None:
    none = services.find(entry(crew.tomas), teal, HOSE, there=False)
    assert "What comes of it?" not in words(ines.get(at(none)))
    assert ines.post(at(none), came()).status_code == 409


def test_from_a_phone(ines: Client, crew: Crew) -> None:
    at_boat = entry(crew.ines, timedelta(minutes=9)).done_at
    row = {
        "uuid": str(entry(crew.ines).uuid),
        "to": NEW,
        "fields": [["what", HOSE], ["there", "there"], ["words", "at the pump"]],
        "made_at": at_boat.isoformat(),
        "person": crew.ines.pk,
        "boat": "TEA",
        "words": "Teal: something found",
    }
    sent = {"sent_at": (at_boat + timedelta(minutes=9)).isoformat(), "entries": [row]}
    answer = ines.post("/phone/entries/", sent, content_type="application/json").json()
    assert answer["answers"][row["uuid"]]["word"] == "held", answer
    assert Fact.objects.get(pk=str(row["uuid"])).what == HOSE


def test_rights_methods_strangers(
    crew: Crew, as_person: Use, ines: Client, split: Fact, teal: Boat
) -> None:
    refuses_method(ines, ALL, "POST")
    refuses_method(ines, NEW, "PUT")
    refuses_method(ines, at(split), "DELETE")
    guest = as_person(crew.guest)
    for path, fields in ((NEW, typed(what=HOSE, there="there")), (at(split), came())):
        answer = guest.post(path, fields)
        assert answer.status_code == 409, path
        assert "Ask Ines" in words(answer)
    assert Fact.objects.filter(kind__in=(Kind.FOUND, Kind.CAME)).count() == 1
    asks_for_log_in(guest, ALL)


def test_few_queries_however_many_findings(
    ines: Client,
    crew: Crew,
    same_engine: list[Boat],
    django_assert_max_num_queries: Callable[[int], object],
) -> None:
    for boat in same_engine:
        services.find(entry(crew.tomas), boat, HOSE, there=True)
    facts.add_moved(entry(crew.ines), same_engine[0], State.BLOCKED_UP)
    with django_assert_max_num_queries(10):  # type: ignore[attr-defined]
        ines.get(ALL)
