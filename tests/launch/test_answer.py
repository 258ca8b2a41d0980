"""What an owner can be told now: worked out in the background, said in one sentence."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest
from django.test import Client
from django.utils.html import escape

from tests.conftest import entry, log_in, set_clock
from tests.launch.conftest import held_by, later
from yardwright.fleet.models import Boat, Part, Work
from yardwright.launch import queries, services, solve
from yardwright.procedures.step import Has
from yardwright.procedures.verdict import Verdict
from yardwright.season.model import Right
from yardwright.work import queries as work
from yardwright.work import services as work_services
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Job, Person

Use = Callable[[Person], Client]
Post = Callable[..., dict[str, str]]
AT = "/boats/AVO/answer/"


@pytest.fixture
def worked_out(mara: Person, planned: Job) -> Job:
    services.publish(entry(mara), planned)
    job = services.work_out_odds(mara)
    job.answer, job.state = solve.ANSWERS[job.what](job.question), Job.State.DONE
    job.save()
    return job


def test_one_sentence_and_told(mara: Person, worked_out: Job, as_person: Use, post: Post) -> None:
    client = as_person(mara)
    page = client.get(AT).content.decode()
    assert worked_out.answer
    hers = worked_out.answer["boats"]["Avocet"]
    assert hers["sentence"].split(" She")[0] in page
    assert "2000 seasons" in page
    assert "19 times in 20" in page
    one = hers["days"][0]
    assert f'name="day" value="{one["day"]}"' in page
    sent = post(day=one["day"], percent=str(one["percent"]))
    for _ in range(2):
        assert client.post("/boats/AVO/told/", sent).status_code == 302
    assert Fact.objects.filter(kind=Kind.TOLD).count() == 1
    assert "Something was entered" not in client.get(AT).content.decode()


def test_that_the_plan_no_longer_holds_comes_first_and_what_decides_for_her(
    mara: Person, planned: Job, as_person: Use
) -> None:
    """Two causes, new work on each of two boats: on her own page that of hers is said first."""
    services.publish(entry(mara), planned)
    Job.objects.filter(what=queries.ODDS).update(state=Job.State.STOPPED)
    client = as_person(mara)
    assert "The plan no longer holds" not in client.get(AT).content.decode()
    for name in ("Avocet", "Curlew"):
        boat = Boat.objects.get(name=name)
        what = f"polish for {name}"
        Work.objects.create(boat=boat, place_in_list=9, what=what, trade="mechanic", minutes=30)
    for tag, name in (("AVO", "Avocet"), ("CUR", "Curlew")):
        for path in (f"/boats/{tag}/answer/", f"/boats/{tag}/ink/"):
            page = client.get(path).content.decode()
            says = page.index(
                f"The plan no longer holds: {name} needs work that is not in this plan: polish"
            )
            assert says < page.index("Not known")


def test_what_changed_since_is_said(mara: Person, worked_out: Job, as_person: Use) -> None:
    assert worked_out.answer
    client = as_person(mara)
    assert "Told the owner" in client.get(AT).content.decode()
    later(5)
    boat = Boat.objects.get(name="Avocet")
    work_services.look(entry(mara), boat, "bilge pump", holds=True)
    page = client.get(AT).content.decode()
    assert "Something was entered since" in page
    sentence = escape(worked_out.answer["boats"]["Avocet"]["sentence"])
    assert page.count(sentence) == page.count(f"<s>{sentence}</s>") == 1  # the old one is folded
    assert "The old answer, of Mon 5 May" in page
    assert "Told the owner" not in page


def test_what_was_struck_out_since_makes_it_old_too(
    mara: Person, planned: Job, as_person: Use
) -> None:
    services.publish(entry(mara), planned)
    client, boat = as_person(mara), Boat.objects.get(name="Avocet")
    seen = work_services.look(entry(mara), boat, "bilge pump", holds=True)
    later(1)
    job = services.work_out_odds(mara)
    job.answer, job.state = solve.ANSWERS[job.what](job.question), Job.State.DONE
    job.save()
    assert "Something was entered since" not in client.get(AT).content.decode()
    later(5)
    work_services.strike_out(entry(mara), seen, "It was another boat's pump.")
    assert "Something was entered since" in client.get(AT).content.decode()


def test_once_a_launch_of_the_plan_passed_undone_no_day_is_told_before_a_replan(
    mara: Person, worked_out: Job, as_person: Use
) -> None:
    """Nothing was entered and nothing changed: only Plover's time on Monday (story A1) went by."""
    del worked_out
    client, wednesday = as_person(mara), date(2031, 5, 7)
    assert "Told the owner" in client.get(AT).content.decode()
    assert queries.sures()["Avocet"].by(wednesday)
    set_clock(datetime.fromisoformat("2031-05-06T05:30-04:00"))
    page = client.get(AT).content.decode()
    assert "Plover was to go in" in page
    said = page[page.index('id="job"') :]
    assert "Told the owner" not in said
    assert "Work it out" not in said
    assert "The plan no longer holds." in said
    assert 'href="/spring/again/">Replan</a> before you call.' in said
    assert queries.sures()["Avocet"].by(wednesday) == ""


def test_a_part_that_comes_on_another_day_is_said(
    mara: Person, worked_out: Job, as_person: Use
) -> None:
    del worked_out
    Part.objects.update(arrives=None)
    page = as_person(mara).get(AT).content.decode()
    assert "Parts, people, lifts, places, boats or work were changed" in page


def test_a_part_that_was_due_since_and_nobody_said_came(
    mara: Person, worked_out: Job, as_person: Use
) -> None:
    del worked_out
    said = "The kit: due Tue 6 May 07:30, and nobody said that it came."
    assert said not in as_person(mara).get(AT).content.decode()
    set_clock(datetime.fromisoformat("2031-05-06T07:31-04:00"))
    assert said in as_person(mara).get(AT).content.decode()


def test_what_it_goes_by_stands_in_the_fact_book(
    mara: Person, worked_out: Job, as_person: Use
) -> None:
    del worked_out
    page = as_person(mara).get(AT).content.decode()
    assert "How often a part comes on the day it is due: 85 %" in page
    assert "From memory: nobody has read the page yet." in page
    assert 'href="/facts/promises/"' in page


def test_no_plan_is_no_answer(mara: Person, as_person: Use, post: Post) -> None:
    client = as_person(mara)
    page = client.get(AT).content.decode()
    assert "No plan is published" in page
    assert "Told the owner" not in page
    assert client.post(AT, post(deed="ask")).status_code == 409
    assert not Job.objects.exists()


def test_asked_once_polled_and_stopped(
    mara: Person, planned: Job, as_person: Use, post: Post
) -> None:
    services.publish(entry(mara), planned)
    client = as_person(mara)
    for _ in range(2):
        assert client.post(AT, post(deed="ask")).status_code == 302
    (job,) = Job.objects.filter(what=queries.ODDS)
    assert client.get(f"{AT}job/").status_code == 200
    client.post(AT, post(deed="stop", job=str(job.pk)))
    assert client.get(f"{AT}job/").status_code == 286
    assert "It was stopped" in client.get(AT).content.decode()
    assert client.post(AT, post(deed="dance")).status_code == 422
    assert client.put(AT).status_code == 405


def test_who_may(mara: Person, planned: Job, as_person: Use, post: Post, client: Client) -> None:
    services.publish(entry(mara), planned)
    tomas = as_person(log_in("Tomas", Right.PROVE))
    answer = tomas.post(AT, post(deed="ask"))
    assert answer.status_code == 409
    assert "Ask Mara" in answer.content.decode()
    client.logout()
    assert client.get(AT).status_code == 302


def test_a_boat_out_of_the_plan_has_no_day(mara: Person, worked_out: Job, as_person: Use) -> None:
    assert worked_out.answer
    worked_out.answer["unknown"]["Avocet"] = "her draft is not known; measure it"
    del worked_out.answer["boats"]["Avocet"]
    worked_out.save()
    page = as_person(mara).get(AT).content.decode()
    assert "No day can be told: her draft is not known" in page
    assert "Told the owner" not in page


def test_who_stands_in_front_of_her_unplanned_is_said(
    mara: Person, worked_out: Job, as_person: Use
) -> None:
    assert worked_out.answer
    assert not worked_out.answer["boats"]["Avocet"]["in_front"]
    words = "In front of her stands Dunlin, not planned to leave"
    worked_out.answer["boats"]["Avocet"]["in_front"] = words
    worked_out.save()
    assert f"{words} Plan again before you call." in as_person(mara).get(AT).content.decode()


def test_a_hold_says_which_planned_work_clears_it_and_when(
    mara: Person, planned: Job, as_person: Use
) -> None:
    del planned
    boat = Boat.objects.get(name="Avocet")
    boat.has = [Has.OUTBOARD, Has.BATTERY]
    boat.save()
    job = services.plan_the_spring(mara, time_limit_s=5)
    job.answer, job.state = solve.answer(5), Job.State.DONE
    job.save()
    services.publish(entry(mara), job)
    held_by(boat, mara, "battery_at_rest", Verdict.LOOK_AGAIN)
    held_by(boat, mara, "compression", Verdict.LOOK_AGAIN)
    plan = queries.plan_of(work.last_published())
    assert plan
    (back,) = (j for j in plan.plan.jobs if (j.boat, j.what) == ("Avocet", "put back, mechanic"))
    page = as_person(mara).get(AT).content.decode()
    day = f"{back.ends:%a} {back.ends.day} {back.ends:%b}"
    # By hand: of her spring steps "negative_on" reads the battery at rest; none reads compression.
    assert (
        "9.5 was read. It holds her until it is read well: "
        f"Negative on, last of all; volts read, {day}." in page
    )
    assert "9.5 was read. Nothing in the plan is known to clear it." in page
    assert page.count("It holds her until") == 1
    set_clock(back.ends + timedelta(minutes=1))  # it was to be done by then, and was not
    page = as_person(mara).get(AT).content.decode()
    assert "It holds her until" not in page
    assert page.count("Nothing in the plan is known to clear it.") == 2
