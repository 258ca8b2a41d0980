"""The under-wrap card: drawn in fall, read before anybody cuts in spring."""

from collections.abc import Callable
from datetime import timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from django.conf import LazySettings
from django.test import Client

from tests.conftest import entry
from tests.work.conftest import Crew, asks_for_log_in, refuses_method, typed, words
from yardwright.fleet.models import Boat
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Proof
from yardwright.procedures.steps import book
from yardwright.procedures.under_wrap import LOOKED_UNDER, Mark, Sort, Spot, Zone, cuts_the_wrap
from yardwright.work import facts, services
from yardwright.work.models import Fact, Kind
from yardwright.work.under_wrap import NO_CUT, NOT_DRAWN, card
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
CARD, READ = "/boats/TEA/under-wrap/", "/boats/TEA/under-wrap/read/"
CUTTING = next(step for step in book().steps if cuts_the_wrap(step))
STEP = f"/boats/TEA/steps/{CUTTING.code}/"


def mark(what: str = "rod holder", sort: Sort = Sort.SHARP, spot: Spot | None = None) -> Mark:
    return Mark(0, what, sort, Zone.STERN_PORT, spot)


def sent(**other: object) -> dict[str, str]:
    return typed(**{"what": "rod holder", "sort": Sort.SHARP, "zone": Zone.STERN_PORT, **other})


def test_a_thing_by_its_zone_alone(ines: Client) -> None:
    assert ines.post(CARD, sent()).status_code == 302
    page = words(ines.get(CARD))
    assert "1. rod holder" in page
    assert "hard or sharp, stern, port" in page
    fact = Fact.objects.get(kind=Kind.UNDER_WRAP)
    assert fact.body == {
        "sort": "hard or sharp",
        "zone": "stern, port",
        "spot": None,
        "goes": "",
    }


def test_a_tap_says_the_spot(ines: Client, teal: Boat) -> None:
    ines.post(CARD, sent(along="0.9", across="-0.5"))
    assert card(teal).marked[0].mark.spot == Spot(0.9, -0.5)


def test_nobody_drew_it(ines: Client) -> None:
    page = words(ines.get(CARD))
    assert NOT_DRAWN in page
    assert "<path" in page.split(NOT_DRAWN)[0]  # its hatched mark
    ines.post(CARD, sent())
    assert NO_CUT in words(ines.get(CARD))
    ines.post(CARD, sent(what="along the toe rail", sort=Sort.CUT))
    page = words(ines.get(CARD))
    assert "Read this before the first cut." in page
    assert "Not known" not in page


def test_where_it_goes_afterwards_is_asked_of_what_is_counted(ines: Client) -> None:
    ines.post(CARD, sent(what="strap 3", sort=Sort.STRAP))
    assert "Where it goes afterwards was not said." in words(ines.get(CARD))
    ines.post(CARD, sent(what="strap 4", sort=Sort.STRAP, goes="bin B2"))
    assert "Afterwards: bin B2" in words(ines.get(CARD))


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"what": ""}, "Say what lies there"),
        ({"zone": ""}, "Tap on the sketch, or choose"),
        ({"zone": "the moon"}, "the moon"),
        ({"sort": ""}, "Choose what it does to a blade."),
        ({"along": "1.2"}, "That tap was beside her."),
    ],
)
def test_bad_input_writes_nothing_and_keeps_what_was_typed(
    ines: Client, wrong: dict[str, str], says: str
) -> None:
    answer = ines.post(CARD, sent(**({"goes": "shelf 12"} | wrong)))
    assert answer.status_code == 422
    assert says in words(answer)
    assert "shelf 12" in words(answer)
    assert not Fact.objects.filter(kind=Kind.UNDER_WRAP).exists()


def test_a_repeat_changes_nothing(ines: Client) -> None:
    again = sent()
    for _ in range(3):
        assert ines.post(CARD, again).status_code == 302
    assert Fact.objects.filter(kind=Kind.UNDER_WRAP).count() == 1
    answer = ines.post(CARD, again | {"what": "bait box"})
    assert answer.status_code == 409
    assert "bait box" in words(answer)


def test_who_cuts_has_read_the_card(ines: Client, crew: Crew, as_person: Use, teal: Boat) -> None:
    """Reading counts for whoever read, and for the card as it stood."""
    services.mark_under_wrap(entry(crew.tomas, timedelta(hours=3)), teal, mark())
    services.read_card(entry(crew.tomas, timedelta(hours=2)), teal)
    assert "You have not read her under-wrap card" in words(ines.get(STEP))
    answer = ines.post(STEP, typed())
    assert answer.status_code == 409
    assert "You have not read Teal's under-wrap card. Read it before the first cut." in words(
        answer
    )
    assert not Fact.objects.filter(kind=Kind.DONE).exists()
    assert ines.post(READ, typed()).status_code == 302
    assert "You have read it." in words(ines.get(CARD))
    assert "You read her under-wrap card" in words(ines.get(STEP))
    assert ines.post(STEP, typed()).status_code == 302
    assert Fact.objects.filter(kind=Kind.DONE, what=CUTTING.code, by=crew.ines).exists()


def test_what_came_on_the_card_since_was_not_read(crew: Crew, teal: Boat) -> None:
    services.mark_under_wrap(entry(crew.tomas, timedelta(hours=3)), teal, mark())
    services.read_card(entry(crew.ines, timedelta(hours=2)), teal)
    services.mark_under_wrap(entry(crew.tomas, timedelta(hours=1)), teal, mark("heater", Sort.LEFT))
    with pytest.raises(Refused, match="You have not read"):
        services.do_step(entry(crew.ines), teal, CUTTING, {}, {})
    at_that_time = entry(crew.ines, timedelta(minutes=90))  # her phone had no signal
    services.do_step(at_that_time, teal, CUTTING, {}, {})


def test_what_a_phone_sent_later_was_not_read(crew: Crew, teal: Boat) -> None:
    """Drawn before she read, but it came after: it was not on the card that she saw."""
    services.read_card(entry(crew.ines, timedelta(hours=2)), teal)
    services.mark_under_wrap(entry(crew.tomas, timedelta(hours=3)), teal, mark())
    with pytest.raises(Refused, match="You have not read"):
        services.do_step(entry(crew.ines), teal, CUTTING, {}, {})
    services.read_card(entry(crew.ines), teal)
    services.do_step(entry(crew.ines), teal, CUTTING, {}, {})


def test_who_looked_under_the_film_has_read_it(crew: Crew, teal: Boat) -> None:
    look = next(step for step in book().steps if step.code == LOOKED_UNDER)
    services.mark_under_wrap(entry(crew.tomas, timedelta(hours=3)), teal, mark())
    services.do_step(entry(crew.ines, timedelta(hours=1)), teal, look, {}, {})
    services.do_step(entry(crew.ines), teal, CUTTING, {}, {})


def test_not_drawn_is_read_too(crew: Crew, teal: Boat) -> None:
    """Whoever knows that nobody drew it feels before each cut, and says so."""
    with pytest.raises(Refused, match="Nobody drew what lies under her wrap"):
        services.do_step(entry(crew.ines), teal, CUTTING, {}, {})
    services.read_card(entry(crew.ines, timedelta(minutes=1)), teal)
    done = entry(crew.ines)
    services.do_step(done, teal, CUTTING, {}, {})
    services.mark_under_wrap(entry(crew.tomas, timedelta(minutes=-1)), teal, mark())
    services.do_step(done, teal, CUTTING, {}, {})  # a repeat is held, whatever came since


def test_nobody_says_the_wrap_is_off_before_anybody_read(crew: Crew, teal: Boat) -> None:
    wrap = services.undo(entry(crew.tomas), teal, book().kinds["wrap_on"], "bin B2")
    with pytest.raises(Refused, match="Nobody has read Teal's under-wrap card"):
        services.put_back(entry(crew.ines), wrap, Proof.LOOKED)
    services.read_card(entry(crew.tomas), teal)
    services.put_back(entry(crew.ines), wrap, Proof.LOOKED)


def test_each_winter_has_its_own_card(crew: Crew, teal: Boat) -> None:
    services.mark_under_wrap(entry(crew.tomas, timedelta(hours=5)), teal, mark())
    services.read_card(entry(crew.ines, timedelta(hours=4)), teal)
    facts.add_moved(entry(crew.ines, timedelta(hours=3)), teal, State.HANDED_OVER)
    assert card(teal).is_drawn
    facts.add_moved(entry(crew.ines, timedelta(hours=2)), teal, State.COMING_OUT)
    assert not card(teal).is_drawn
    assert card(teal).read_by(crew.ines) is None


def test_a_thing_struck_out_is_off_the_card(crew: Crew, teal: Boat) -> None:
    fact = services.mark_under_wrap(entry(crew.tomas), teal, mark())
    services.strike_out(entry(crew.tomas), fact, "other boat")
    assert not card(teal).is_drawn


def test_on_paper(ines: Client) -> None:
    ines.post(CARD, sent())
    for paper in ("", "?paper=Letter"):
        answer = ines.get(f"/boats/TEA/under-wrap.pdf{paper}")
        assert answer.status_code == 200
        assert answer.content.startswith(b"%PDF-")
    assert ines.get("/boats/TEA/under-wrap.pdf?paper=A9").status_code == 422
    ines.post(CARD, sent(what="棚"))
    assert ines.get("/boats/TEA/under-wrap.pdf").status_code == 409


def test_from_a_phone(ines: Client, crew: Crew, teal: Boat) -> None:
    """Drawn, read and cut with no signal; it comes in as it was done."""
    now = entry(crew.ines).done_at
    rows = [
        _row(crew, CARD, sent(), now - timedelta(minutes=20)),
        _row(crew, READ, typed(), now - timedelta(minutes=10)),
        _row(crew, STEP, typed(), now - timedelta(minutes=1)),
    ]
    answer = ines.post(
        "/phone/entries/",
        {"sent_at": now.isoformat(), "entries": rows},
        content_type="application/json",
    ).json()["answers"]
    assert [answer[str(row["uuid"])]["word"] for row in rows] == ["held"] * 3, answer
    assert card(teal).read_by(crew.ines)


def _row(crew: Crew, to: str, fields: dict[str, str], at: object) -> dict[str, object]:
    return {
        "uuid": fields.pop("uuid", str(uuid4())),
        "to": to,
        "fields": list(fields.items()),
        "made_at": at.isoformat(),  # type: ignore[attr-defined]
        "person": crew.ines.pk,
        "boat": "TEA",
        "words": to,
    }


def test_a_photo_stands_beside_its_thing(
    ines: Client, crew: Crew, teal: Boat, tmp_path: Path, settings: LazySettings
) -> None:
    fact = services.mark_under_wrap(entry(crew.tomas), teal, mark())
    photo = facts.Photo(sha256="0" * 64, width=8, height=6, entry=str(fact.pk))
    services.add_photo(entry(crew.tomas), teal, photo, fact)
    assert "Photo of rod holder: Tomas" in words(ines.get(CARD))


def test_her_other_pages_lead_there(ines: Client, teal: Boat) -> None:
    Boat.objects.filter(pk=teal.pk).update(has=[*teal.has, "cover"])
    for page in ("/boats/TEA/", "/boats/TEA/at-hand/", STEP, "/boats/TEA/steps/under_wrap_drawn/"):
        assert f'href="{CARD}"' in words(ines.get(page)), page


def test_at_hand_the_cutting_step_and_the_wrap_say_to_read_it_first(
    ines: Client, crew: Crew, teal: Boat
) -> None:
    Boat.objects.filter(pk=teal.pk).update(has=[*teal.has, "cover"])
    services.undo(entry(crew.tomas), teal, book().kinds["wrap_on"], "bin B2")
    page = words(ines.get("/boats/TEA/at-hand/"))
    assert page.count("First read ") == 2
    assert "First read " in page.split(f'id="s-{CUTTING.code}"')[1].split("</details>")[0]


def test_rights_methods_strangers(crew: Crew, as_person: Use, ines: Client) -> None:
    refuses_method(ines, CARD, "PUT")
    refuses_method(ines, READ, "DELETE")
    refuses_method(ines, "/boats/TEA/under-wrap.pdf", "POST")
    guest = as_person(crew.guest)
    for path, fields in ((CARD, sent()), (READ, typed())):
        answer = guest.post(path, fields)
        assert answer.status_code == 409, path
        assert "Ask Ines" in words(answer)
    assert not Fact.objects.filter(kind__in=(Kind.UNDER_WRAP, Kind.CARD_READ)).exists()
    asks_for_log_in(guest, CARD)


def test_few_queries_however_much_is_drawn(
    ines: Client, crew: Crew, teal: Boat, django_assert_max_num_queries: object
) -> None:
    for n in range(12):
        services.mark_under_wrap(entry(crew.tomas), teal, mark(f"thing {n}"))
    with django_assert_max_num_queries(12):  # type: ignore[operator]
        ines.get(CARD)
