"""A day in Ink: told to the owner, and kept or missed from then on."""

import json
from collections.abc import Callable
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.utils.html import escape

from tests.conftest import entry, log_in, set_clock
from tests.launch.conftest import MONDAY
from yardwright.fleet.models import Boat, Owner
from yardwright.launch import owner_services, queries, services, solve
from yardwright.season.model import Right
from yardwright.work import services as work_services
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Job, Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
Post = Callable[..., dict[str, str]]
WED, THU = date(2031, 5, 7), date(2031, 5, 8)


@pytest.fixture
def curlew(mara: Person) -> Boat:
    return Boat.objects.get(name="Curlew")


@pytest.fixture
def published(planned: Job, mara: Person) -> Fact:
    return services.publish(entry(mara), planned)


def test_no_ink_before_a_plan_is_published(planned: Job, mara: Person, curlew: Boat) -> None:
    with pytest.raises(Refused, match="No published plan has Curlew in it"):
        owner_services.make_ink(entry(mara), curlew, WED)


def test_no_ink_before_the_plan_hands_her_over(published: Fact, mara: Person, curlew: Boat) -> None:
    with pytest.raises(Refused, match="The plan hands Curlew over Wed 7 May") as refused:
        owner_services.make_ink(entry(mara), curlew, date(2031, 5, 6))
    assert refused.value.do == "Ink that day or later, or plan again."


def test_a_day_that_moves_asks_who_agreed(published: Fact, mara: Person, curlew: Boat) -> None:
    with pytest.raises(Refused, match="Her owner was told Tue 6 May"):
        owner_services.make_ink(entry(mara), curlew, WED, owner_agreed="  ")
    fact = owner_services.make_ink(
        entry(mara), curlew, WED, owner_agreed="A. Reeve, by phone", although=True
    )
    assert fact.body == {
        "day": "2031-05-07",
        "owner_agreed": "A. Reeve, by phone",
        "although": "How sure Wed 7 May is, is not known.",
    }
    assert queries.promises(curlew).ink == WED
    with pytest.raises(Refused, match="in Ink already"):
        owner_services.make_ink(
            entry(mara), curlew, WED, owner_agreed="A. Reeve, by phone", although=True
        )


def test_a_repeat_changes_nothing_and_a_past_day_is_none(
    published: Fact, mara: Person, curlew: Boat
) -> None:
    same = entry(mara)
    first = owner_services.make_ink(same, curlew, WED, "Reeve", although=True)
    assert owner_services.make_ink(same, curlew, WED, "Reeve", although=True) == first
    with pytest.raises(Refused, match="Thu 8 May 2031 is after the season, which ends Wed 7 May"):
        owner_services.make_ink(entry(mara), curlew, THU, "Reeve")
    set_clock(MONDAY + timedelta(days=3))
    with pytest.raises(Refused, match="Wed 7 May 2031 has passed"):
        owner_services.make_ink(entry(mara), curlew, WED, "Reeve")


def test_ink_needs_the_right(published: Fact, curlew: Boat) -> None:
    with pytest.raises(Refused, match="Ask Mara"):
        owner_services.make_ink(entry(log_in("Tomas", Right.PROVE)), curlew, WED)


def test_the_page_keeps_what_was_typed(
    published: Fact, mara: Person, as_person: Use, post: Post
) -> None:
    client, path = as_person(mara), "/boats/CUR/ink/"
    assert "The plan hands Curlew over Wed 7 May" in client.get(path).content.decode()
    refused = client.post(path, post(day="2031-05-06", owner_agreed="A. Reeve, by phone"))
    assert refused.status_code == 409
    page = refused.content.decode()
    assert 'role="alert"' in page
    assert 'value="A. Reeve, by phone"' in page
    assert 'value="2031-05-06"' in page
    wrong = client.post(path, post(day="Wednesday", owner_agreed="A. Reeve"))
    assert wrong.status_code == 422
    assert "write it like 2031-05-07" in wrong.content.decode()
    assert not Fact.objects.filter(what="ink", of=published).exists()
    sent = post(day="2031-05-07", owner_agreed="A. Reeve, by phone", although="on")
    assert client.post(path, sent).status_code == 302
    assert client.post(path, sent).status_code == 302
    assert Fact.objects.filter(what="ink", of=published).count() == 1


def test_how_sure_the_day_is_stands_beside_it(
    published: Fact, mara: Person, as_person: Use, post: Post
) -> None:
    del published
    client, path = as_person(mara), "/boats/CUR/ink/"
    before = client.get(path).content.decode()
    assert "How sure Wed 7 May is, is not known yet." in before
    assert "% sure" not in before
    job = services.work_out_odds(mara)
    job.answer, job.state = solve.ANSWERS[job.what](job.question), Job.State.DONE
    job.save()
    kept: Any = job.answer
    hers = kept["boats"]["Curlew"]
    page = client.get(path).content.decode()
    assert "is not known yet" not in page
    assert f"On the phone: {escape(hers['sentence'])}" in page
    words = dict(hers["sure_by"])["2031-05-07"]  # Wednesday, the day that stands in the form
    assert f"<b>Wed 7 May: {words}.</b>" in page
    refused = client.post(path, post(day="2031-05-06")).content.decode()
    sooner = dict(hers["sure_by"])[
        "2031-05-06"
    ]  # story A1: only quicker work than planned keeps it
    assert f"<b>Tue 6 May: {sooner}.</b>" in refused
    assert sooner != words
    Owner.objects.create(name="B. Holt")  # as any change of what a plan is asked from
    assert "Work it out again before you tell a day." in client.get(path).content.decode()


def test_a_day_that_is_not_as_likely_as_not_is_told_only_with_a_tick(
    published: Fact, mara: Person, curlew: Boat, as_person: Use, post: Post
) -> None:
    del published
    client, path = as_person(mara), "/boats/CUR/ink/"
    typed = {"day": "2031-05-07", "owner_agreed": "A. Reeve, by phone"}
    with pytest.raises(Refused, match="How sure Wed 7 May is, is not known") as refused:
        owner_services.make_ink(entry(mara), curlew, WED, "A. Reeve, by phone")
    assert refused.value.do == "Work it out first, or tick that the day is told all the same."
    job = services.work_out_odds(mara)
    kept: Any = solve.ANSWERS[job.what](job.question)
    hers = kept["boats"]["Curlew"] = dict(kept["boats"]["Curlew"])
    hers |= {"days": [], "sure_by": [["2031-05-07", "45 % sure"]]}
    job.answer, job.state = kept, Job.State.DONE
    job.save()
    doubt = "Wed 7 May is 45 % sure: it is likelier missed than kept."
    assert doubt in client.get(path).content.decode()
    answer = client.post(path, post(**typed))
    assert answer.status_code == 409
    assert doubt in answer.content.decode()
    hers["days"] = [{"day": "2031-05-07", "percent": 50, "odds": 0.5, "between": [0.4, 0.6]}]
    job.save()
    assert 'name="although"' not in client.get(path).content.decode()
    Owner.objects.create(name="B. Holt")  # as any change of what a plan is asked from
    old = "Parts, people, lifts, places, boats or work were changed since this was worked out."
    assert client.post(path, post(**typed)).status_code == 409
    assert not Fact.objects.filter(what="ink", body__day="2031-05-07", boat=curlew).exists()
    assert client.post(path, post(**typed, although="on")).status_code == 302
    ink = Fact.objects.get(what="ink", body__day="2031-05-07", boat=curlew)
    assert ink.body["although"] == old


def test_a_learner_sees_no_button_that_is_not_theirs(
    published: Fact, mara: Person, planned: Job, as_person: Use, post: Post
) -> None:
    """The door refuses too: a page that was open before a right ended."""
    Job.objects.filter(what=queries.ODDS).update(state=Job.State.STOPPED)
    newer = Job.objects.create(what=planned.what, question={}, asked_by=mara, state=Job.State.DONE)
    later_at = (clock.now() + timedelta(minutes=1)).isoformat()
    newer.answer = planned.answer and planned.answer | {"asked_at": later_at}
    newer.save()
    again, found = services.plan_again(mara), solve.again({})
    again.answer, again.state = json.loads(json.dumps(found)), Job.State.DONE
    again.save()
    pages = {
        "/spring/": ("Publish as Pencil", "Plan the spring again", "Change the Ink"),
        "/spring/again/": ("Publish this change", "Plan the change again</button>"),
        "/spring/savers/": ("Look for savers",),
        "/spring/capacity/": (">Count<",),
        "/boats/CUR/ink/": ("The owner was told and agreed", "Work it out"),
        "/boats/CUR/answer/": (">Work it out",),
        "/boats/CUR/told/": (">Told the owner</button>",),
        "/": ("Look for savers",),
    }
    said = "Who may ink plans, publishes and tells a day. You can read it."
    for path, buttons in pages.items():
        page = as_person(mara).get(path).content.decode()
        assert said not in page
        for button in buttons:
            assert button in page, (path, button)
        page = as_person(log_in("Pia", learner=True)).get(path).content.decode()
        assert (said in page) is (path != "/")  # the Morning Sheet says it of nothing
        for button in buttons:
            assert button not in page, (path, button)
    pia = as_person(log_in("Pia", learner=True))
    for path, sent in (
        ("/spring/", post(deed="publish", job=str(newer.pk))),
        ("/spring/again/", post(deed="publish", job=str(again.pk), choice="0")),
        ("/boats/CUR/ink/", post(day="2031-05-07", owner_agreed="A. Reeve")),
        ("/boats/CUR/told/", post(day="2031-05-07", percent="80")),
    ):
        answer = pia.post(path, sent)
        assert answer.status_code == 409
        assert "Pia may not ink. Ask Mara." in answer.content.decode()
    assert Fact.objects.filter(kind=Kind.PUBLISHED).count() == 1


def test_who_may_not_see_or_use_the_page(
    published: Fact, client: Client, as_person: Use, post: Post
) -> None:
    assert client.get("/boats/CUR/ink/").status_code == 302
    hand = as_person(log_in("Tomas", Right.PROVE))
    assert hand.post("/boats/CUR/ink/", post(day="2031-05-08")).status_code == 409
    assert hand.put("/boats/CUR/ink/").status_code == 405
    assert hand.get("/boats/ZZZ/ink/").status_code == 404


def test_a_mistyped_day_is_struck_out_and_what_stood_before_counts_again(
    published: Fact, mara: Person, curlew: Boat, as_person: Use, post: Post
) -> None:
    del published
    fact = owner_services.make_ink(entry(mara), curlew, WED, "A. Reeve, by phone", although=True)
    client, path = as_person(log_in("Petra", Right.INK)), "/boats/CUR/ink/"
    page = client.get(path).content.decode()
    strike = f"/facts/{fact.pk}/?back={path}"
    assert "Strike out Wed 7 May" in page
    assert f'action="{strike}"' in page
    assert client.post(strike, post(reason="")).status_code == 409
    assert queries.promises(curlew).ink == WED
    sent = client.post(strike, post(reason="it was Dunlin's"))
    assert sent["Location"].startswith(f"{path}?held=")
    assert queries.promises(curlew).ink == date(2031, 5, 6)
    page = client.get(path).content.decode()
    assert "Her owner was told Tue 6 May." in page
    assert "<s>Ink Wed 7 May</s>" in page
    assert "by Petra: it was Dunlin&#x27;s" in page
    assert "Strike out Tue 6 May" in page
    assert Fact.objects.filter(pk=fact.pk).exists()


def test_who_may_not_ink_strikes_out_no_day(
    published: Fact, mara: Person, curlew: Boat, as_person: Use
) -> None:
    del published
    fact = owner_services.make_ink(entry(mara), curlew, WED, "A. Reeve, by phone", although=True)
    with pytest.raises(Refused, match="Mara made this entry") as refused:
        work_services.strike_out(entry(log_in("Tomas", Right.CLEAR)), fact, "never told")
    assert refused.value.do == "They, or someone who may ink, strike it out."
    page = as_person(log_in("Tomas", Right.CLEAR)).get("/boats/CUR/ink/").content.decode()
    assert "Strike out" not in page


@pytest.mark.parametrize(("day", "stage"), [("2031-05-07", "kept"), ("2031-05-06", "missed")])
def test_handed_over_the_day_is_kept_or_missed(
    at_the_lift: Boat, ruben: Person, day: str, stage: str
) -> None:
    from yardwright.procedures.going_in import BILGE_DRY, from_inside
    from yardwright.work import facts

    facts.add_promised(entry(ruben), at_the_lift, "ink", date.fromisoformat(day))
    hang_dry(at_the_lift, ruben, BILGE_DRY, from_inside)
    services.slings_off(entry(ruben), at_the_lift)
    for minutes in (0, 10, 20, 90, 22 * 60):
        from tests.launch.conftest import later

        later(minutes)
        services.look(entry(ruben), at_the_lift, BILGE_DRY, holds=True)
    same = entry(ruben)
    services.hand_over(same, at_the_lift)
    services.hand_over(same, at_the_lift)
    kept = Fact.objects.get(kind=Kind.PROMISED, what=stage)
    assert kept.body["day"] == "2031-05-07"


def hang_dry(boat: Boat, by: Person, bilge: str, inside: Callable[[str], str]) -> None:
    from tests.launch.conftest import later
    from yardwright.yard.models import Lift

    services.into_slings(entry(by), boat, Lift.objects.get())
    services.look(entry(by), boat, bilge, holds=True)
    for way in boat.ways_in.all():
        services.look(entry(by), boat, inside(way.name), holds=True)
    later(10)
    services.look(entry(by), boat, bilge, holds=True)
