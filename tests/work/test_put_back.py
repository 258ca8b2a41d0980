"""Putting one thing back: two taps, a second pair of eyes, two stories, and who may."""

from collections.abc import Callable
from datetime import timedelta

import pytest
from django.test import Client

from tests.conftest import entry
from tests.work.conftest import (
    HTMX,
    NOW,
    Crew,
    asks_for_log_in,
    refuses_method,
    typed,
    undone,
    words,
)
from yardwright.fleet.models import Boat
from yardwright.procedures.steps import book
from yardwright.work import put_backs, queries, services
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
PROPELLER = "propeller off"


def path(what: str = PROPELLER) -> str:
    return f"/undone/{undone(what).pk}/"


def still_open(what: str) -> bool:
    return put_backs.left(undone(what)).thing.is_open


def proofs() -> int:
    return Fact.objects.filter(kind=Kind.PUT_BACK).count()


@pytest.fixture
def plug(crew: Crew, teal: Boat) -> Fact:
    """A stern plug by the book: felt, then felt again by another person."""
    kind = book().kinds["stern_plug"]
    return services.undo(entry(crew.tomas), teal, kind, "bag on the wheel", "stern drain plug")


def test_two_taps_from_the_list_to_closed(ines: Client) -> None:
    assert path() in words(ines.get("/boats/TEA/left-undone/"))  # the first tap
    sent = ines.post(path(), typed(deed="holds"))  # the second
    assert sent.status_code == 302
    assert "Proven back: felt, Ines" in words(ines.get(path()))
    assert "10 things are left undone; 4 could sink her." in words(
        ines.get("/boats/TEA/left-undone/")
    )


def test_the_page_says_what_to_do_why_and_what_not_to_do(ines: Client, plug: Fact) -> None:
    page = words(ines.get(f"/undone/{plug.pk}/"))
    step = next(step for step in book().steps if "stern_plug" in step.proves)
    for said in (
        step.title,
        step.how[0],
        step.caution,
        step.proof_words,
        plug.body["if_forgotten"],
    ):
        assert said in page
    assert "bag on the wheel" in page
    assert "Mind:" in page


def test_as_a_fragment(ines: Client) -> None:
    answer = ines.post(path(), typed(deed="holds"), headers=HTMX)
    assert answer.status_code == 200
    assert "<html" not in words(answer)
    assert "Proven back" in words(answer)


def test_a_repeat_changes_nothing(ines: Client) -> None:
    sent = typed(deed="holds")
    for _ in range(5):
        assert ines.post(path(), sent).status_code == 302
    assert proofs() == 1


def test_the_same_uuid_for_another_thing_is_refused(ines: Client) -> None:
    sent = typed(deed="holds")
    ines.post(path(), sent)
    other = ines.post(path("fuel pump lead off"), sent)
    assert other.status_code == 409
    assert "already used for something else" in words(other)
    assert still_open("fuel pump lead off")


def test_a_second_pair_of_eyes(crew: Crew, as_person: Use, plug: Fact) -> None:
    at = f"/undone/{plug.pk}/"
    tomas = as_person(crew.tomas)
    tomas.post(at, typed(deed="holds"))
    assert put_backs.left(plug).thing.is_open
    assert "not yours, you proved it" in words(tomas.get(at))
    again = tomas.post(at, typed(deed="holds"))
    assert again.status_code == 409
    assert "second pair of eyes" in words(again)
    assert "waits for a second pair of eyes" in words(tomas.get("/boats/TEA/left-undone/"))
    ines = as_person(crew.ines)
    ines.post(at, typed(deed="holds"))
    assert not put_backs.left(plug).thing.is_open
    assert "Tomas and Ines" in words(ines.get(at))


def test_a_second_story_of_a_closed_one_is_kept(crew: Crew, as_person: Use) -> None:
    as_person(crew.ines).post(path(), typed(deed="holds"))
    assert as_person(crew.tomas).post(path(), typed(deed="holds")).status_code == 302
    assert proofs() == 2
    back = put_backs.left(undone(PROPELLER)).thing.put_back
    assert back is not None
    assert (back.by, back.seen_by) == ("Ines", "Tomas")


def test_two_stories_keep_it_open_and_both_are_told(crew: Crew, as_person: Use) -> None:
    as_person(crew.ines).post(path(), typed(deed="holds"))
    tomas = as_person(crew.tomas)
    tomas.post(path(), typed(deed="does not hold", words="pin sheared"))
    assert still_open(PROPELLER)
    page = words(tomas.get(path()))
    assert "it does not hold" in page
    assert "pin sheared" in page
    assert "Ines: felt, it holds" in page
    tomas.post(path(), typed(deed="holds"))
    assert not still_open(PROPELLER)


def test_it_does_not_hold_asks_what_was_seen_and_keeps_the_form(ines: Client) -> None:
    answer = ines.post(path(), typed(deed="does not hold", words=" "))
    assert answer.status_code == 409
    assert "What did you see?" in words(answer)
    assert not Fact.objects.filter(kind=Kind.LOOKED, of=undone(PROPELLER)).exists()
    long = "x" * 200
    answer = ines.post(path(), typed(deed="does not hold", words=long))
    assert answer.status_code == 422
    assert long in words(answer)


def test_a_fitting_that_does_not_hold_is_open_in_the_float_check(ines: Client, teal: Boat) -> None:
    hose = "livewell hose off its seacock"
    ines.post(path(hose), typed(deed="does not hold", words="clamp loose"))
    (boat,) = queries.values([teal])
    last = max(boat.looks, key=lambda look: look.at)
    assert (last.at_what, last.holds, last.words) == ("livewell hose", False, "clamp loose")


def test_a_wrong_clock_is_marked_never_refused(ines: Client) -> None:
    """The phone's clock runs 47 minutes fast: kept, and said beside it."""
    ahead = (NOW + timedelta(minutes=47)).strftime("%Y-%m-%dT%H:%M")
    assert ines.post(path(), typed(deed="holds", done_at=ahead)).status_code == 302
    fact = Fact.objects.get(kind=Kind.PUT_BACK)
    assert fact.mark == "done 46 min after it was received: a clock is wrong"
    assert "a clock is wrong" in words(ines.get(path()))


def test_a_proof_from_before_the_deed_is_marked(ines: Client) -> None:
    ines.post(path(), typed(deed="holds", done_at="2030-11-01T10:00"))
    assert Fact.objects.get(kind=Kind.PUT_BACK).mark.startswith("done before what it speaks of")


def test_the_hour_that_never_was_is_asked_about(ines: Client) -> None:
    answer = ines.post(path(), typed(deed="holds", done_at="2031-03-09T02:30"))
    assert answer.status_code == 422
    assert "does not exist" in words(answer)
    assert "2031-03-09T02:30" in words(answer)
    assert proofs() == 0


def test_a_learner_says_who_watched(crew: Crew, as_person: Use, teal: Boat) -> None:
    gear = services.undo(entry(crew.ines), teal, book().kinds["gear_case_open"], "tag")
    at, pip = f"/undone/{gear.pk}/", as_person(crew.pip)
    assert "Who is watching you" in words(pip.get(at))
    alone = pip.post(at, typed(deed="holds"))
    assert alone.status_code == 409
    assert "Say who watched you." in words(alone)
    pip.post(at, typed(deed="holds", second=crew.ines.pk))
    assert Fact.objects.get(kind=Kind.PUT_BACK, of=gear).second == crew.ines


def test_without_the_right_it_says_whom_to_ask(crew: Crew, as_person: Use) -> None:
    answer = as_person(crew.guest).post(path(), typed(deed="holds"))
    assert answer.status_code == 409
    assert "Guest may not prove. Ask Ines or Tomas or Pip." in words(answer)
    assert proofs() == 0


def test_signed_off_capped_or_tagged(crew: Crew, as_person: Use) -> None:
    """Story A3, row 6: she may float on one valve with a named sign-off; the hose stays open."""
    hose = "livewell hose off its seacock"
    tomas = as_person(crew.tomas)
    assert "Capping it or tagging it shut is signed by" in words(tomas.get(path(hose)))
    refused = tomas.post(path(hose), typed(deed="sign off", how="tagged shut"))
    assert refused.status_code == 409
    assert "Ask Ines." in words(refused)
    ines = as_person(crew.ines)
    empty = ines.post(path(hose), typed(deed="sign off", how=""))
    assert empty.status_code == 409
    ines.post(path(hose), typed(deed="sign off", how="tagged shut at the handle"))
    one = put_backs.left(undone(hose)).thing
    assert one.is_open
    assert one.signed_off is not None
    assert one.signed_off.by == "Ines"
    assert "tagged shut at the handle" in words(ines.get("/boats/TEA/left-undone/"))


def test_no_cap_makes_a_missing_propeller_safe(ines: Client) -> None:
    answer = ines.post(path(), typed(deed="sign off", how="tagged"))
    assert answer.status_code == 409
    assert "no cap and no tag makes that safe" in words(answer)


def test_no_deed_a_wrong_method_a_stranger(ines: Client) -> None:
    assert ines.post(path(), typed()).status_code == 422
    assert ines.post(path(), typed(deed="dance")).status_code == 422
    assert proofs() == 0
    refuses_method(ines, path(), "PUT", "DELETE")
    asks_for_log_in(ines, path())


def test_struck_out_is_said_and_takes_nothing(crew: Crew, ines: Client) -> None:
    services.strike_out(entry(crew.ines), undone(PROPELLER), "wrong boat")
    page = words(ines.get(path()))
    assert "Struck out by Ines: wrong boat" in page
    assert ines.post(path(), typed(deed="holds")).status_code == 409
