"""Something happened: what no longer holds, the smallest change, and a person's yes for each Ink."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime

import pytest
from django.test import Client

from tests.conftest import entry, log_in
from tests.launch.conftest import later
from yardwright.fleet.models import Boat, Part
from yardwright.launch import queries, services, solve
from yardwright.season.again import again as asked_again
from yardwright.season.model import Right
from yardwright.season.published import TO_PUBLISH
from yardwright.work import queries as work
from yardwright.work.exchange import the_season
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Job, Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
Post = Callable[..., dict[str, str]]
AT = "/spring/again/"


def publish(job: Job, post: Post, *agreed: str) -> dict[str, object]:
    return {**post(deed="publish", job=str(job.pk), choice="0"), "agreed": [*agreed]}


def test_what_no_longer_holds_and_what_would_change(
    mara: Person, worked_out: Job, as_person: Use
) -> None:
    page = as_person(mara).get(AT).content.decode()
    assert "The plan no longer holds." in page
    assert "Plover goes in Tue 6 May" in page
    assert "Ines is not there then" in page
    assert queries.choices_in(worked_out)[0].sentence in page
    assert "can do better" not in page  # a change says what it costs, no bound of whole plans
    assert "Plover: told Mon 5 May, handed over Tue 6 May" in page
    assert worked_out.answer
    assert len(worked_out.answer["choices"]) in (1, 2)


def test_ink_moves_only_with_a_persons_yes(
    mara: Person, worked_out: Job, as_person: Use, post: Post
) -> None:
    client = as_person(mara)
    moved = [one.boat for one in queries.ink_moved(queries.choices_in(worked_out)[0].plan)]
    assert "Plover" in moved
    asked = publish(worked_out, post, *moved[1:])
    answer = client.post(AT, asked)
    assert answer.status_code == 409
    page = answer.content.decode()
    assert f"{moved[0]} was told" in page
    for name in moved[1:]:  # what was ticked stays ticked
        assert f'value="{name}" checked' in page
    assert Fact.objects.filter(kind=Kind.PUBLISHED).count() == 1
    asked["agreed"] = moved
    for _ in range(2):
        assert client.post(AT, asked).status_code == 302
    assert Fact.objects.filter(kind=Kind.PUBLISHED).count() == 2
    fact = work.last_published()
    assert fact
    assert fact.body["agreed"] == moved  # who said yes to which Ink stays known
    assert "yes to moving the Ink of" in client.get(f"/facts/{fact.pk}/").content.decode()
    assert (
        "The Ink moves, the owner is to be called; said by Mara"
        in client.get("/boats/PLO/record/").content.decode()
    )
    plan = queries.plan_of(fact)
    assert plan
    assert plan.told["Plover"].handed_over == date(2031, 5, 6)
    promise = queries.promises(Boat.objects.get(name="Plover"))
    assert (promise.ink, promise.pencil) == (date(2031, 5, 5), date(2031, 5, 6))
    assert "The plan still holds" in client.get(AT).content.decode()


def test_the_ink_to_be_ticked_stands_before_all_that_changes(
    mara: Person, worked_out: Job, as_person: Use
) -> None:
    del worked_out
    page = as_person(mara).get(AT).content.decode()
    assert page.index('name="agreed"') < page.index("What changes, for")


def test_two_managers_do_not_overwrite_each_other(
    mara: Person, worked_out: Job, as_person: Use, post: Post
) -> None:
    other = log_in("Olga", Right.INK)
    boats = [
        Boat.objects.get(name=m.boat)
        for m in queries.ink_moved(queries.choices_in(worked_out)[0].plan)
    ]
    services.publish_change(entry(other), worked_out, 0, boats)
    answer = as_person(mara).post(AT, publish(worked_out, post, *(boat.name for boat in boats)))
    assert answer.status_code == 409
    assert "Olga published this plan already" in answer.content.decode()


def test_a_change_that_no_longer_holds_is_not_published(mara: Person, worked_out: Job) -> None:
    Part.objects.update(arrives=datetime.fromisoformat("2031-05-07T06:00-04:00"))
    boats = [
        Boat.objects.get(name=m.boat)
        for m in queries.ink_moved(queries.choices_in(worked_out)[0].plan)
    ]
    with pytest.raises(Refused, match="no longer holds"):
        services.publish_change(entry(mara), worked_out, 0, boats)
    with pytest.raises(Refused, match="no such plan"):
        services.publish_change(entry(mara), worked_out, 7, boats)


def test_an_answer_to_an_older_plan_says_so(mara: Person, worked_out: Job, as_person: Use) -> None:
    assert worked_out.answer
    worked_out.answer["plan"] = "another"
    worked_out.save()
    page = as_person(mara).get(AT).content.decode()
    assert "Another plan holds since" in page
    assert "Publish this change" not in page


def test_asked_once_polled_and_stopped(
    mara: Person, published: Fact, as_person: Use, post: Post
) -> None:
    del published
    client = as_person(mara)
    assert "The plan still holds" in client.get(AT).content.decode()
    for _ in range(2):
        assert client.post(AT, post(deed="ask")).status_code == 302
    (job,) = Job.objects.filter(what=queries.AGAIN)
    fragment = client.post(AT, post(deed="ask"), headers={"HX-Request": "true"})
    assert "Planning the smallest change" in fragment.content.decode()
    assert client.get(f"{AT}job/").status_code == 200
    client.post(AT, post(deed="stop", job=str(job.pk)))
    assert client.get(f"{AT}job/").status_code == 286
    assert client.post(AT, post(deed="dance")).status_code == 422
    assert client.post(AT, post(deed="publish", job=str(job.pk))).status_code == 422
    assert client.put(AT).status_code == 405


def test_without_a_plan_there_is_nothing_to_change(
    mara: Person, as_person: Use, post: Post
) -> None:
    client = as_person(mara)
    assert "No plan is published yet" in client.get(AT).content.decode()
    assert client.post(AT, post(deed="ask")).status_code == 409
    assert not Job.objects.exists()
    assert "No plan is published" in str(solve.again({})["refused"])


def test_who_may(mara: Person, worked_out: Job, as_person: Use, post: Post) -> None:
    del mara
    tomas = as_person(log_in("Tomas", Right.PROVE))
    for deed in (post(deed="ask"), publish(worked_out, post)):
        answer = tomas.post(AT, deed)
        assert answer.status_code == 409
        assert "Ask Mara" in answer.content.decode()
    tomas.logout()
    assert tomas.get(AT).status_code == 302
    assert tomas.get(f"{AT}job/").status_code == 302


def test_who_comes_second_hears_what_the_other_plan_says(
    mara: Person, worked_out: Job, as_person: Use, post: Post
) -> None:
    # Another plan, asked for after the same news, was published meanwhile: not this one.
    boats = [
        Boat.objects.get(name=m.boat)
        for m in queries.ink_moved(queries.choices_in(worked_out)[0].plan)
    ]
    theirs = Job.objects.create(
        what=queries.AGAIN, question={"plan": "2"}, asked_by=mara, answer=worked_out.answer
    )
    Job.objects.filter(pk=theirs.pk).update(state=Job.State.DONE)
    theirs.refresh_from_db()
    services.publish_change(entry(log_in("Olga", Right.INK)), theirs, 0, boats)
    answer = as_person(mara).post(AT, publish(worked_out, post, *(boat.name for boat in boats)))
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "Olga published another plan at" in page
    assert "Plover is handed over Tue 6 May instead of Mon 5 May." in page
    assert Fact.objects.filter(kind=Kind.PUBLISHED).count() == 2


def test_stopped_early_the_best_so_far_is_kept(
    mara: Person, worked_out: Job, as_person: Use, post: Post
) -> None:
    Job.objects.filter(pk=worked_out.pk).update(state=Job.State.RUNNING)
    client = as_person(mara)
    page = client.get(AT).content.decode()
    assert "The best so far" in page
    assert "Plover goes in Tue 6 May" in page
    assert "Publish this change" not in page
    moved = [one.boat for one in queries.ink_moved(queries.choices_in(worked_out)[0].plan)]
    assert client.post(AT, publish(worked_out, post, *moved)).status_code == 409
    Job.objects.filter(pk=worked_out.pk).update(state=Job.State.STOPPED)
    assert "Publish this change" in client.get(AT).content.decode()
    assert client.post(AT, publish(worked_out, post, *moved)).status_code == 302


def test_what_drops_out_of_the_plan_is_said(mara: Person, published: Fact) -> None:
    # Plover stays ashore: her launch and each of her jobs is named as gone.
    boat = Boat.objects.get(name="Plover")
    old = queries.plan_of(published)
    assert old
    jobs = [job.what for job in old.plan.jobs if job.boat == boat.name]
    later(5)
    season = the_season()
    boats = tuple(one for one in season.boats if one.name != boat.name)
    begins = clock.now() + TO_PUBLISH
    choices = asked_again(
        replace(season, boats=boats), old, asked_at=clock.now(), begins=begins, time_limit_s=2.0
    )
    said = {one.boat: one.words for one in choices[0].changes}["Plover"]
    assert said[0] == "Plover does not go in any more."
    assert {one.partition(": not to be done any more")[0] for one in said[1:]} == set(jobs)


@pytest.mark.parametrize("at", ["/spring/", "/spring/savers/", "/spring/capacity/"])
def test_another_kind_of_work_is_no_plan(
    mara: Person, worked_out: Job, as_person: Use, post: Post, at: str
) -> None:
    for deed in ("publish", "stop"):
        answer = as_person(mara).post(at, post(deed=deed, job=str(worked_out.pk)))
        assert answer.status_code == 422
    assert Fact.objects.filter(kind=Kind.PUBLISHED).count() == 1


def test_what_was_entered_since_is_said_before_a_change_is_published(
    mara: Person, worked_out: Job, as_person: Use
) -> None:
    client = as_person(mara)
    assert "before you publish one" not in client.get(AT).content.decode()
    Part.objects.update(arrives=None)
    page = client.get(AT).content.decode()
    assert (
        "Parts, people, lifts, places, boats or work were changed since this was worked out."
        in page
    )
    assert "Plan the change again before you publish one." in page
