"""Haul-out: by the lift's own limits and the wind, never by what keeps her from floating."""

from collections.abc import Callable
from datetime import datetime

import pytest
from django.test import Client

from tests.conftest import entry, set_clock
from tests.launch.conftest import later, lift_and_weight, state_of
from yardwright.fleet.models import Boat
from yardwright.launch import on_her_way, services
from yardwright.procedures.going_in import State
from yardwright.work import facts, words
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Lift, Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
Post = Callable[..., dict[str, str]]
PAGE = "/boats/TEA/going-in/"


@pytest.fixture
def in_october(teal: Boat, ruben: Person) -> Boat:
    """Teal afloat with eleven things undone, weighed, and called to the lift."""
    lift_and_weight(teal)
    Lift.objects.update(
        firm_ground=True, wind_limit={"m_s": 12.0, "source": "lift manual", "page": "17"}
    )
    set_clock(datetime.fromisoformat("2031-10-14T10:00-04:00"))
    facts.add_moved(entry(ruben), teal, State.COMING_OUT)
    return teal


def out(boat: Boat, by: Person, wind_m_s: float | None = 6.0) -> Fact:
    return services.blocked_up(entry(by), boat, Lift.objects.get(), wind_m_s=wind_m_s)


def test_the_wind_is_asked_before_she_is_lifted_out_and_kept_with_it(
    in_october: Boat, ruben: Person, as_person: Use, post: Post
) -> None:
    client = as_person(ruben)
    page = client.get(PAGE).content.decode()
    assert "Coming out: Teal" in page
    assert "One thing keeps her in the water." in page
    assert "Not known: the wind. The Travel lift lifts in wind up to 12 m/s" in page
    for asked_in_spring in ("tern drain plug", "Bilge pump", "Pump the bilge", "firm ground"):
        assert asked_in_spring not in page
    sent = {"deed": "blocked up", "lift": "Travel lift", "place": "North row", "berth": "2"}
    assert client.post(PAGE, post(**sent)).status_code == 409
    windy = client.post(PAGE, post(**sent, wind="14 m/s"))
    assert windy.status_code == 409
    assert "The wind is 14 m/s (31.3 mph)." in windy.content.decode()
    assert '<option value="North row" selected>' in windy.content.decode()
    assert state_of(in_october) == State.COMING_OUT
    calm = post(**sent, wind="6 m/s")
    for _ in range(2):  # a second tap
        assert client.post(PAGE, calm).status_code == 302
    here = on_her_way.where(in_october)
    assert (here.state, here.place, here.berth) == (State.BLOCKED_UP, "North row", 2)
    lifted = Fact.objects.get(kind=Kind.LIFTED)
    assert words.told(lifted).startswith("Lifted; now: Blocked up, North row, wind told 6 m/s")


def test_what_the_lift_may_not_carry_is_not_lifted_out(in_october: Boat, ruben: Person) -> None:
    in_october.weight_kg = None
    in_october.save()
    with pytest.raises(Refused, match="Not known: her weight"):
        out(in_october, ruben)
    in_october.weight_kg = 14_000  # up to 15,400 kg, with her fuel
    in_october.save()
    with pytest.raises(Refused, match=r"She may weigh 15,400 kg .*; the lift is rated 15,000 kg"):
        out(in_october, ruben)
    Lift.objects.update(kind="crane")
    in_october.weight_kg = 2200
    in_october.save()
    with pytest.raises(Refused, match="angle from the horizontal"):
        out(in_october, ruben)


def test_no_plain_word_takes_her_past_the_lift(
    in_october: Boat, ruben: Person, as_person: Use, post: Post
) -> None:
    sent = post(state=State.BLOCKED_UP, place="North row", berth="1")
    refused = as_person(ruben).post("/boats/TEA/move/", sent)
    assert refused.status_code == 409
    assert "Use the steps on her Coming out page." in refused.content.decode()
    assert state_of(in_october) == State.COMING_OUT


def test_her_lift_card_says_whether_the_lift_carries_her_and_no_more(
    in_october: Boat, ruben: Person, as_person: Use
) -> None:
    card = on_her_way.lift_card(in_october, "http://a/")
    assert card.comes_out
    assert card.refusals == ()  # her plug is out, and she comes out
    assert card.wind_asked
    assert as_person(ruben).get("/boats/TEA/lift-card.pdf").content.startswith(b"%PDF")
    Lift.objects.update(rating_kg=2000)  # 2,200 kg and a tenth is 2,420 kg
    (too_heavy,) = on_her_way.lift_card(in_october, "http://a/").refusals
    assert "She may weigh 2,420 kg" in too_heavy.reason
    facts.add_moved(entry(ruben), in_october, State.BLOCKED_UP)
    assert not on_her_way.lift_card(in_october, "http://a/").comes_out


def test_afloat_her_card_says_that_she_is_not_coming_out_yet(
    in_october: Boat, ruben: Person
) -> None:
    later(1)
    facts.add_moved(entry(ruben), in_october, State.AFLOAT)
    why = [one.reason for one in on_her_way.lift_card(in_october, "http://a/").refusals]
    assert why == ["She is not Coming out: Afloat."]
