"""The Lift Card from what the yard knows; its page is tested with the papers."""

from collections.abc import Callable

import pytest
from django.test import Client

from tests.conftest import entry, log_in
from tests.launch.conftest import later
from yardwright.fleet.models import Boat
from yardwright.launch import on_her_way, services
from yardwright.launch.views import going_in
from yardwright.papers.lift_card import LiftCard
from yardwright.papers.paper import Paper
from yardwright.yard.models import Job, Lift, Person

Use = Callable[[Person], Client]


def test_the_shares_are_the_story_s(at_the_lift: Boat) -> None:
    # Story A8: 5,200 kg within 10 %, centre 2.6 m within 0.3, slings at 1.2 and 5.2 m.
    at_the_lift.weight_kg, at_the_lift.weight_within = 5200, 0.1
    at_the_lift.centre_m, at_the_lift.centre_within_m = 2.6, 0.3
    at_the_lift.sling_aft_m, at_the_lift.sling_forward_m = 1.2, 5.2
    at_the_lift.save()
    card = on_her_way.lift_card(at_the_lift, "http://heron-slip/boats/TEA/")
    forward, aft = card.slings
    for sling, kg in ((forward, (1820, 1287, 2431)), (aft, (3380, 2691, 4147))):
        found = (sling.carries.likely_kg, sling.carries.low_kg, sling.carries.high_kg)
        assert [round(one) for one in found] == list(kg)
    assert any("The aft sling may have to carry" in one.reason for one in card.refusals)
    Lift.objects.update(sling_rating_kg=4500)
    assert on_her_way.lift_card(at_the_lift, "http://heron-slip/boats/TEA/").refusals == ()


def test_a_card_goes_or_says_why_not(at_the_lift: Boat) -> None:
    assert on_her_way.lift_card(at_the_lift, "http://a/").refusals == ()
    at_the_lift.weight_kg = None
    at_the_lift.save()
    card = on_her_way.lift_card(at_the_lift, "http://a/")
    assert card.weight is None
    assert ["Not known: her weight" in one.reason for one in card.refusals] == [True]


def test_of_several_lifts_the_one_that_carries_her_is_on_it(at_the_lift: Boat) -> None:
    Lift.objects.update(rating_kg=2000)  # 2,200 kg and a tenth is 2,420 kg
    crane = Lift.objects.get()
    crane.pk, crane.name, crane.rating_kg, crane.beam_m = None, "Big lift", 9000, 4.0
    crane.save()
    at_the_lift.beam_m = 2.1
    at_the_lift.save()
    card = on_her_way.lift_card(at_the_lift, "http://a/")
    assert (card.lift, card.lift_rated_kg, card.lift_beam_m) == ("Big lift", 9000, 4.0)
    assert card.refusals == ()


def test_open_put_backs_and_the_water_s_way_are_on_it(teal: Boat, ruben: Person) -> None:
    from tests.launch.conftest import lift_and_weight

    lift_and_weight(teal)
    card = on_her_way.lift_card(teal, "http://a/")
    words = " ".join(one.reason for one in card.refusals)
    assert "She is not Ready to go in: Fitting out." in words
    assert "44 to 59 L/min" in words  # story A3
    assert "stern drain plug out" in [one.what for one in card.before_water]
    assert "speed sensor out, blank fitted" in [one.what for one in card.later]


def test_the_paper(at_the_lift: Boat, ruben: Person, client: Client, as_person: Use) -> None:
    path = "/boats/TEA/lift-card.pdf"
    assert client.get(path).status_code == 302
    use = as_person(ruben)
    for paper in ("", "?paper=A4", "?paper=Letter"):
        answer = use.get(path + paper)
        assert answer.content.startswith(b"%PDF")
        assert answer["Content-Type"] == "application/pdf"
    assert use.get(path + "?paper=A5").content.decode() == "* Paper is A4 or Letter."
    assert use.post(path).status_code == 405
    Lift.objects.all().delete()
    refused = use.get(path)
    assert (refused.status_code, refused.content.decode()[:17]) == (409, "There is no lift ")
    assert log_in("Ruben") == ruben


def test_the_square_code_leads_to_her_page_on_this_server(
    at_the_lift: Boat, ruben: Person, as_person: Use, monkeypatch: pytest.MonkeyPatch
) -> None:
    printed: list[LiftCard] = []

    def paper(card: LiftCard, _: Paper) -> bytes:
        printed.append(card)
        return b"%PDF"

    monkeypatch.setattr(going_in, "printed", paper)
    as_person(ruben).get("/boats/TEA/lift-card.pdf")
    assert printed[0].address == "http://testserver/boats/TEA/at-hand/"


def test_it_is_for_her_launch_in_the_plan(planned: Job, mara: Person) -> None:
    services.publish(entry(mara), planned)
    card = on_her_way.lift_card(Boat.objects.get(name="Curlew"), "http://a/")
    # Story A1: Curlew's water on Wednesday is 06:38 to 10:35.
    assert card.water is not None
    assert f"{card.water.lift_at:%a %H:%M}" == "Wed 06:38"
    assert f"{card.water.floats_until:%a %H:%M}" == "Wed 10:35"
    assert card.water.less_sure  # from a typed table


def test_water_from_constants_is_sure(at_the_lift: Boat) -> None:
    card = on_her_way.lift_card(at_the_lift, "http://a/")
    assert card.water is not None
    assert not card.water.less_sure


def test_many_ways_are_counted_on_a_card_not_told(at_the_lift: Boat) -> None:
    later(30 * 60)  # every proof is over a day old: three ways in are not known any more
    card = on_her_way.lift_card(at_the_lift, "http://a/")
    (floats,) = [one.reason for one in card.refusals if one.reason.startswith("Not known: sea")]
    assert "and 1 more way. 3 things to do: her page names them." in floats
