"""A plan that was published by mistake is taken back: the one before it holds again."""

import json
from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.test import Client

from tests.conftest import entry, log_in
from tests.launch.conftest import MONDAY, later
from yardwright.fleet.models import Boat, Part
from yardwright.launch import owner_services, queries, services
from yardwright.procedures.going_in import State
from yardwright.season.model import Right
from yardwright.work import facts
from yardwright.work import queries as work
from yardwright.work import services as work_services
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Job, Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
Post = Callable[..., dict[str, str]]
TUE, WED = date(2031, 5, 6), date(2031, 5, 7)
WHY = "it was made with last year's list"


@pytest.fixture
def mistaken(published: Fact, planned: Job, mara: Person) -> Fact:
    """Another plan, published after: Curlew on Tuesday, Teal on Wednesday, and Sora, who stays on land."""
    del published
    later(1)
    sora = Boat.objects.create(name="Sora", tag="SOR")
    facts.add_moved(entry(mara), sora, State.NOT_GOING_IN)
    answer = json.loads(json.dumps(planned.answer))
    answer["asked_at"], told = clock.now().isoformat(), answer["told"]
    for boat, day in (("Curlew", TUE), ("Teal", WED)):
        told[boat]["handed_over"] = day.isoformat()
    told["Sora"] = told["Teal"] | {"boat": "Sora"}
    job = Job.objects.create(what=queries.PLAN, question={}, state=Job.State.DONE, answer=answer)
    later(1)
    teal = Boat.objects.get(name="Teal")  # told Tuesday in Ink: her owner will be called
    return services.publish(entry(mara), job, [teal])


def pencil(name: str) -> date | None:
    return queries.promises(Boat.objects.get(name=name)).pencil


def curlew() -> list[Boat]:
    return [Boat.objects.get(name="Curlew")]


def test_the_plan_before_holds_again_and_its_pencil_days_with_it(
    published: Fact, mistaken: Fact, mara: Person
) -> None:
    before = queries.plan_of(published)
    assert before
    assert (pencil("Teal"), pencil("Sora")) == (WED, WED)
    owner_services.make_ink(
        entry(mara), Boat.objects.get(name="Teal"), WED, "A. Reeve, by phone", although=True
    )
    later(1)
    petra, same = log_in("Petra", Right.INK), entry(log_in("Petra", Right.INK))
    told = services.take_back(same, mistaken.pk, WHY, curlew())
    assert services.take_back(same, mistaken.pk, WHY, curlew()) == told
    assert work.last_published() == told
    assert queries.plan_of(told) == before
    assert (told.of, told.by, told.body["reason"]) == (mistaken, petra, WHY)
    assert pencil("Teal") == before.told["Teal"].handed_over != WED
    assert pencil("Sora") is None  # only the plan that was taken back told her a day
    assert queries.promises(Boat.objects.get(name="Teal")).ink == WED
    assert Fact.objects.filter(kind=Kind.PUBLISHED).count() == 3


def test_a_day_in_ink_that_moves_by_it_asks_for_a_yes(mistaken: Fact, mara: Person) -> None:
    # Story A1: Curlew is told Tuesday in Ink, and by the first plan is her owner's on Wednesday.
    with pytest.raises(Refused, match="A day in Ink moves by this plan: Curlew was told Tue 6 May"):
        services.take_back(entry(mara), mistaken.pk, WHY)
    told = services.take_back(entry(mara), mistaken.pk, WHY, curlew())
    hers = queries.days_told_by(told).get(boat__name="Curlew")
    assert (hers.body["day"], hers.body["ink_moved_by"]) == (WED.isoformat(), "Mara")
    assert queries.promises(curlew()[0]).ink == TUE


def test_it_names_the_plan_and_says_why_and_only_who_may_ink(
    published: Fact, mistaken: Fact, mara: Person
) -> None:
    with pytest.raises(Refused, match="Mara published another plan at"):
        services.take_back(entry(mara), published.pk, WHY, curlew())  # on another's screen
    with pytest.raises(Refused, match="Why is it taken back"):
        services.take_back(entry(mara), mistaken.pk, "  ", curlew())
    with pytest.raises(Refused, match="may not ink"):
        services.take_back(entry(log_in("Tomas", Right.PROVE)), mistaken.pk, WHY, curlew())
    for by in (mara, log_in("Ruben", Right.CLEAR)):
        with pytest.raises(Refused, match="Take it back on the Spring plan page"):
            work_services.strike_out(entry(by), mistaken, WHY)
    assert work.last_published() == mistaken


def test_what_no_longer_fits_the_yard_is_not_taken_up_again(
    mistaken: Fact, mara: Person, as_person: Use, post: Post
) -> None:
    Part.objects.filter(name="kit").update(arrives=MONDAY + timedelta(days=1, hours=5))
    sent = post(deed="take back", plan=str(mistaken.pk), reason=WHY)
    refused = as_person(mara).post("/spring/", {**sent, "agreed": ["Curlew"]})
    assert refused.status_code == 409
    page = refused.content.decode()
    assert "The plan before this one no longer holds: Curlew: engine begins before its kit" in page
    assert 'value="it was made with last year&#x27;s list"' in page
    assert 'value="Curlew" checked' in page
    assert '<a class="tap-link" href="/spring/again/">Replan</a>.' in page
    assert work.last_published() == mistaken


def test_on_the_page_it_is_said_what_holds_again(
    published: Fact, mara: Person, as_person: Use, post: Post, request: pytest.FixtureRequest
) -> None:
    client = as_person(mara)
    assert "No plan was published before it." in client.get("/spring/").content.decode()
    mistaken: Fact = request.getfixturevalue("mistaken")
    page = client.get("/spring/").content.decode()
    assert "The plan that Mara published Mon 5 May 05:10 holds again, if it still fits" in page
    assert "Curlew: told Tue 6 May, handed over Wed 7 May" in page
    assert "Take this plan back" not in as_person(log_in("Pia")).get("/spring/").content.decode()
    client = as_person(mara)
    sent = {**post(deed="take back", plan=str(mistaken.pk), reason=WHY), "agreed": ["Curlew"]}
    for _ in range(2):  # a second tap
        assert client.post("/spring/", sent).status_code == 302
    page = client.get("/spring/").content.decode()
    assert "Mara took back the plan that Mara published Mon 5 May 05:12: it was made with" in page
    said = client.get(f"/facts/{mistaken.pk}/").content.decode()
    assert "A plan taken back, and the one before it published once more: it was made" in said
