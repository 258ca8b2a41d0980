"""Story A1 in the web: planned, published, and why in words."""

import json
from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.test import Client

from tests.conftest import entry, log_in, set_clock
from tests.launch.conftest import MONDAY
from tests.web.a_plan import at, publish
from yardwright.fleet.models import Boat, Part, Work
from yardwright.launch import queries, services, solve
from yardwright.procedures.going_in import State
from yardwright.season.holds import breaks
from yardwright.season.model import Right
from yardwright.season.yard_time import Job as PlannedJob
from yardwright.work import facts, part_services
from yardwright.work import queries as work
from yardwright.work import services as work_services
from yardwright.work.exchange import the_season
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Job, Lift, Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
Post = Callable[..., dict[str, str]]


def test_the_story_s_plan_is_one_boat_day_late_and_says_why(planned: Job) -> None:
    # Story A1, worked out by hand: Curlew on Wednesday, one move aside, and the reason in words.
    plan = queries.answer_of(planned)
    assert plan is not None
    assert (plan.ink_days, plan.least_ink_days, len(plan.plan.asides)) == (1, 1, 1)
    assert plan.sentence == "Ink late by 1 boat-day; no plan can do better."
    assert plan.told["Curlew"].handed_over.isoformat() == "2031-05-07"
    why = " ".join(plan.told["Curlew"].why)
    for words in ("Tue 6 May 07:30", "2 h", "Tue 6 May 09:30", "Tue 6 May 09:45", "30 min"):
        assert words in why


def test_the_answer_is_plain_json_and_comes_back_the_same(planned: Job) -> None:
    assert planned.answer == json.loads(json.dumps(planned.answer))
    plan = queries.answer_of(planned)
    assert plan is not None
    assert plan.asked_at.utcoffset() == timedelta(hours=-4)


def test_nothing_is_planned_before_there_was_time_to_publish_it(mara: Person) -> None:
    from yardwright.launch.solve import answer
    from yardwright.season.published import from_json

    now = MONDAY + timedelta(days=1, hours=3)
    set_clock(now)
    part_services.it_came(entry(mara), Part.objects.get(name="kit"))
    answered = from_json(answer(5))
    plan, soonest = answered.plan, now + timedelta(minutes=15)
    assert {go.boat for go in plan.launches} == {"Plover", "Dunlin", "Curlew", "Teal", "Avocet"}
    for planned in (plan.launches, plan.asides, plan.jobs):
        assert all(one.starts >= soonest for one in planned)
    assert not breaks(the_season(), answered, soonest)


def test_asking_needs_the_right_and_asks_once(mara: Person) -> None:
    job = services.plan_the_spring(mara)
    assert services.plan_the_spring(mara) == job
    with pytest.raises(Refused, match="Ask Mara"):
        services.plan_the_spring(log_in("Tomas", Right.PROVE))


def test_publishing_gives_every_boat_her_day_in_pencil(planned: Job, mara: Person) -> None:
    told = services.publish(entry(mara), planned)
    days = {
        name: fact.body["day"]
        for fact in work.standing().filter(kind=Kind.PROMISED, what="pencil", of=told)
        for name in [fact.boat.name if fact.boat else ""]
    }
    assert days["Curlew"] == "2031-05-07"
    assert len(days) == 5
    assert queries.published_times()["Curlew"].isoformat() == "2031-05-07T06:38:00-04:00"


def test_a_double_click_publishes_once(planned: Job, mara: Person) -> None:
    same = entry(mara)
    assert services.publish(same, planned) == services.publish(same, planned)
    assert Fact.objects.filter(kind=Kind.PUBLISHED).count() == 1


def test_published_it_is_asked_at_once_how_sure_its_days_are(planned: Job, mara: Person) -> None:
    same = entry(mara)
    told = services.publish(same, planned)
    services.publish(same, planned)
    (job,) = Job.objects.filter(what=queries.ODDS)
    assert (job.question, job.state, job.asked_by) == ({"plan": str(told.pk)}, "ready", mara)


def test_of_two_managers_the_second_is_told_who_was_first(planned: Job, mara: Person) -> None:
    services.publish(entry(mara), planned)
    other = log_in("Petra", Right.INK)
    with pytest.raises(Refused, match="Mara published this plan already"):
        services.publish(entry(other), planned)
    older = Job.objects.create(what="plan", state=Job.State.DONE, answer=planned.answer)
    with pytest.raises(Refused, match="another plan"):
        services.publish(entry(other), older)
    assert Fact.objects.filter(kind=Kind.PUBLISHED).count() == 1


def test_a_plan_that_no_longer_holds_is_refused_in_sentences(planned: Job, mara: Person) -> None:
    Part.objects.filter(name="kit").update(arrives=MONDAY + timedelta(days=1, hours=5))
    with pytest.raises(Refused, match="Curlew: engine begins before its kit comes") as refused:
        services.publish(entry(mara), planned)
    assert refused.value.do == "Plan again."
    assert not Fact.objects.filter(kind=Kind.PUBLISHED).exists()


def test_work_done_since_is_no_breach_but_work_overdue_is(planned: Job, mara: Person) -> None:
    plan = queries.answer_of(planned)
    assert plan is not None
    set_clock(min(job.ends for job in plan.plan.jobs))
    with pytest.raises(Refused, match="nobody has said that it is"):
        services.publish(entry(mara), planned)
    for job in plan.plan.jobs:
        if job.ends <= clock.now():
            boat = Boat.objects.get(name=job.boat)
            work_services.finish_work(entry(mara), boat, job.what)
    (aside,) = plan.plan.asides
    set_clock(aside.ends - timedelta(minutes=1))
    assert not any("moved aside" in one.words for one in breaks(the_season(), plan, clock.now()))
    set_clock(aside.ends + timedelta(minutes=1))
    with pytest.raises(
        Refused, match=f"Curlew was to be moved aside {aside.starts:%a 5 May %H:%M}"
    ):
        services.publish(entry(mara), planned)


def test_less_work_is_no_breach_but_more_is(planned: Job, mara: Person) -> None:
    engine = Work.objects.filter(boat__name="Avocet", what="engine")
    engine.update(minutes=180)
    with pytest.raises(Refused, match="Avocet: engine takes 180 minutes; Ines has 120 for it"):
        services.publish(entry(mara), planned)
    engine.update(minutes=60)
    services.publish(entry(mara), planned)


def test_new_work_and_new_boats_are_not_in_the_plan(planned: Job, mara: Person) -> None:
    teal = Boat.objects.get(name="Teal")
    Work.objects.create(
        boat=teal, place_in_list=9, what="anodes", trade="mechanic", minutes=30, after=[]
    )
    with pytest.raises(Refused, match="Teal needs work that is not in this plan: anodes"):
        services.publish(entry(mara), planned)
    Boat.objects.create(name="Sora", tag="SOR", draft_m=1.0)
    with pytest.raises(Refused, match="Sora goes in too"):
        services.publish(entry(mara), planned)


def test_a_boat_no_longer_on_land_breaks_the_plan(planned: Job, mara: Person) -> None:
    from yardwright.procedures.going_in import State

    services.set_state(entry(mara), Boat.objects.get(name="Teal"), State.NOT_GOING_IN)
    with pytest.raises(Refused, match="Teal is in the plan"):
        services.publish(entry(mara), planned)


# --- the page -------------------------------------------------------------------


def test_who_hangs_ever_longer_is_asked_about_again(planned: Job, mara: Person) -> None:
    """Nothing is entered and no time of the plan passes: only she hangs on, until others want the lift."""
    told = services.publish(entry(mara), planned)
    plan = queries.plan_of(told)
    assert plan
    go, after = plan.plan.launches[:2]
    set_clock(go.starts)
    boat, lift = Boat.objects.get(name=go.boat), Lift.objects.get()
    facts.add_moved(entry(mara), boat, State.IN_THE_SLINGS, lift=lift)
    fetched, takes = after.fetched or after.starts, go.ends - go.starts

    def waits() -> bool:
        said = (one for one in queries.plan_broken() if "in the slings" in one.words)
        return any(after.boat in one.boats for one in said)

    set_clock(fetched - takes - timedelta(minutes=5))
    assert not waits()
    set_clock(fetched - takes + timedelta(minutes=5))
    assert waits()


def test_the_page_plans_publishes_and_says_why(
    planned: Job, mara: Person, as_person: Use, post: Post, django_assert_max_num_queries: object
) -> None:
    client = as_person(mara)
    page = client.get("/spring/").content.decode()
    assert "Ink late by 1 boat-day; no plan can do better." in page
    assert "Curlew&#x27;s water leaves Tue 6 May 09:45; a launch needs 30 min." in page
    sent = post(deed="publish", job=str(planned.pk))
    assert client.post("/spring/", sent).status_code == 302
    assert client.post("/spring/", sent).status_code == 302
    assert Fact.objects.filter(kind=Kind.PUBLISHED).count() == 1
    page = client.get("/spring/").content.decode()
    assert "The plan that holds" in page
    assert "Publish as Pencil" not in page
    assert client.post("/spring/", post(deed="publish", job=str(planned.pk))).status_code == 409


def test_the_page_asks_polls_and_stops(mara: Person, as_person: Use, post: Post) -> None:
    client = as_person(mara)
    htmx = {"HX-Request": "true"}
    asked = client.post("/spring/", post(deed="plan"), headers=htmx)
    assert 'hx-trigger="every 1s"' in asked.content.decode()
    assert client.get("/spring/job/").status_code == 200
    job = Job.objects.get()
    stopped = client.post("/spring/", post(deed="stop", job=str(job.pk)), headers=htmx)
    assert "nothing of it is kept" in stopped.content.decode()
    over = client.get("/spring/job/")
    assert over.status_code == 286
    assert "every 1s" not in over.content.decode()


def test_what_the_page_refuses(mara: Person, client: Client, as_person: Use, post: Post) -> None:
    assert client.get("/spring/").status_code == 302
    assert client.post("/spring/", post(deed="plan")).status_code in (302, 401)
    hand = as_person(log_in("Tomas", Right.PROVE))
    refused = hand.post("/spring/", post(deed="plan"))
    assert refused.status_code == 409
    assert "Ask Mara." in refused.content.decode()
    assert hand.post("/spring/", post(deed="fly")).status_code == 422
    assert hand.put("/spring/").status_code == 405
    assert hand.post("/spring/job/").status_code == 405
    assert not Job.objects.exists()


def test_a_plan_that_can_t_be_made_is_said_before_anyone_waits(
    mara: Person, as_person: Use, post: Post
) -> None:
    yard = clock.the_yard()
    yard.sill_height_m = None
    yard.save()
    clock.remember(None)
    refused = as_person(mara).post("/spring/", post(deed="plan"))
    assert refused.status_code == 409
    assert "The sill was never measured." in refused.content.decode()


def test_a_failed_job_says_what_to_do(mara: Person, as_person: Use) -> None:
    Job.objects.create(what="plan", state=Job.State.FAILED, said="Given up after 3 attempts.")
    page = as_person(mara).get("/spring/").content.decode()
    assert "Given up after 3 attempts." in page
    assert "Plan the spring again" in page


def test_what_would_keep_a_late_day_stands_beside_it(
    planned: Job, mara: Person, as_person: Use
) -> None:
    """Story A1: the kit by 07:15, or the lift open from 18:05 on Tuesday evening."""
    services.publish(entry(mara), planned)
    page = as_person(mara).get("/spring/").content.decode()
    assert "Any one of these would do, with everybody there for her alone: " in page
    assert "the lift open Tue 6 May 18:05 to Tue 6 May 18:35" in page
    assert "alone: Ink on" not in page  # a later day is no change of the yard's, nor sure
    allowed = "Her work and the water would allow Wed 7 May, with everybody there for her alone; "
    assert f"{allowed}odds not known." in page
    assert f"{allowed}odds not known." in as_person(mara).get("/boats/CUR/ink/").content.decode()
    job = Job.objects.get(what=queries.ODDS)
    job.answer, job.state = solve.ANSWERS[job.what](job.question), Job.State.DONE
    job.save()
    sure = queries.sures()["Curlew"].by(date(2031, 5, 7))
    for path in ("/boats/CUR/ink/", "/spring/"):
        page = as_person(mara).get(path).content.decode()
        assert f"{allowed}odds by this plan: {sure}." in page
    assert 'href="/spring/savers/?boat=CUR"' in page
    assert 'href="/spring/savers/?boat=TEA"' not in page  # Teal is in time


def test_who_watches_and_what_is_overtime_stand_in_the_plan(mara: Person, as_person: Use) -> None:
    jobs = (
        PlannedJob("Dunlin", "hull", "Pia", at("07:00"), at("08:00"), watcher="Tomas"),
        PlannedJob("Avocet", "engine", "Ines", at("15:30"), at("17:00"), overtime=True),
    )
    publish(mara, jobs)
    page = as_person(mara).get("/spring/").content.decode()
    assert "Pia: hull, Tue 07:00–08:00, Tomas watches<" in page
    assert "Ines: engine, Tue 6 May 15:30–17:00, overtime<" in page


def test_a_job_on_another_day_than_her_launch_has_its_month(mara: Person, as_person: Use) -> None:
    day = timedelta(days=1)
    jobs = (
        PlannedJob("Dunlin", "soon", "Ines", at("09:00") - 7 * day, at("10:00") - 7 * day),
        PlannedJob("Dunlin", "hull", "Pia", at("15:00") - 4 * day, at("08:00") - day),
        PlannedJob("Dunlin", "late", "Ines", at("07:00"), at("08:00")),
    )
    publish(mara, jobs)
    page = as_person(mara).get("/spring/").content.decode()
    assert "Ines: soon, Tue 29 Apr 09:00–10:00<" in page
    assert "Pia: hull, Fri 2 May 15:00–Mon 5 May 08:00<" in page
    assert "Ines: late, Tue 07:00–08:00<" in page


def test_each_uuid_is_taken_once(planned: Job, mara: Person) -> None:
    used = entry(mara)
    services.ready(used, Boat.objects.get(name="Teal"))
    with pytest.raises(Refused, match="already used for something else"):
        services.publish(used, planned)


def test_a_plan_made_before_the_one_that_holds_is_not_offered(
    planned: Job, mara: Person, as_person: Use
) -> None:
    newer = Job.objects.create(
        what=queries.PLAN, question={}, state=Job.State.DONE, answer=planned.answer
    )
    assert "Publish as Pencil" in as_person(mara).get("/spring/").content.decode()
    services.publish(entry(mara), planned)
    page = as_person(mara).get("/spring/").content.decode()
    assert "Publish as Pencil" not in page
    with pytest.raises(Refused, match="published another plan"):
        services.publish(entry(mara), newer)


def test_planned_anew_a_day_in_ink_moves_only_with_a_yes(
    planned: Job, mara: Person, as_person: Use, post: Post
) -> None:
    # Published, Plover is told Monday in Ink; then Ines is away on Monday, and it is planned anew.
    services.publish(entry(mara), planned)
    Person.objects.filter(name="Ines").update(off=["2031-05-05"])
    set_clock(MONDAY + timedelta(minutes=1))
    anew = services.plan_the_spring(mara, time_limit_s=5)
    anew.answer, anew.state = solve.answer(5), Job.State.DONE
    anew.save()
    client = as_person(mara)
    page = client.get("/spring/").content.decode()
    assert "Tick each boat whose owner you will call" in page
    assert "Plover: told Mon 5 May, handed over" in page
    sent = post(deed="publish", job=str(anew.pk))
    refused = client.post("/spring/", sent)
    assert refused.status_code == 409
    assert "Plover was told Mon 5 May, not " in refused.content.decode()
    plan = queries.answer_of(anew)
    assert plan
    moves = [one.boat for one in queries.ink_moved(plan)]
    assert client.post("/spring/", {**sent, "agreed": moves}).status_code == 302
    assert Fact.objects.filter(kind=Kind.PUBLISHED).count() == 2
