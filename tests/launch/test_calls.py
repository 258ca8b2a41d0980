"""Which owners are to be called after a plan is published: Ink first, until each was told."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.utils.html import escape

from tests.conftest import entry, log_in, set_clock
from tests.launch.conftest import MONDAY
from yardwright.fleet.models import Boat, Owner
from yardwright.launch import owner_services, queries, solve
from yardwright.launch.calls import Call, Heard, calls
from yardwright.procedures.going_in import State
from yardwright.season.model import Right
from yardwright.work import facts
from yardwright.work import queries as work
from yardwright.work import services as work_services
from yardwright.work.models import Fact
from yardwright.yard.models import Job, Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
Post = Callable[..., dict[str, str]]
MON, TUE, WED = (date(2031, 5, day) for day in (5, 6, 7))


def boat(name: str) -> Boat:
    return Boat.objects.get(name=name)


def to_call() -> list[Call]:
    return calls(queries.plan_of(work.last_published()), queries.sures()).now


def untold() -> set[str]:
    found = calls(queries.plan_of(work.last_published()), queries.sures())
    return {one.boat.name for one in found.untold}


def test_without_a_plan_there_is_nobody_to_call(mara: Person) -> None:
    assert (to_call(), untold()) == ([], set())


def test_told_tuesday_and_planned_for_wednesday_she_is_called(published: Fact) -> None:
    # Story A1: of five boats Curlew alone is handed over after the day told, Tuesday in Ink.
    (curlew,) = to_call()
    assert curlew == Call(boat("Curlew"), Heard(TUE, in_ink=True), WED, "", "")
    assert untold() == set()


def test_told_the_new_day_she_is_called_no_more_until_that_is_struck_out(
    published: Fact, mara: Person
) -> None:
    fact = owner_services.make_ink(
        entry(mara), boat("Curlew"), WED, "A. Reeve, by phone", although=True
    )
    assert to_call() == []
    work_services.strike_out(entry(mara), fact, "it was another boat's")
    assert [one.heard for one in to_call()] == [Heard(TUE, in_ink=True)]


def test_told_a_later_day_by_phone_her_ink_still_stands_and_each_page_says_so(
    published: Fact, mara: Person, as_person: Use, post: Post
) -> None:
    client, said = as_person(mara), "Wed 7 May by phone, Ink still Tue 6 May"
    owner_services.tell_owner(entry(mara), boat("Curlew"), WED, 0.8)
    (curlew,) = to_call()
    assert curlew.heard == Heard(WED, in_ink=False, ink=TUE)
    for path in ("/spring/", "/boats/CUR/", "/boats/CUR/ink/"):
        assert said in client.get(path).content.decode(), path
    page = client.get("/boats/CUR/").content.decode()
    assert "By phone: Wed 7 May, 80&nbsp;% sure" in page
    told = Fact.objects.get(kind="told")
    assert f"/facts/{told.pk}/" in page
    page = client.get("/boats/CUR/ink/").content.decode()
    assert "Strike out Wed 7 May by phone" in page
    assert page.count('name="reason"') == 2  # the Ink, and what was said by phone
    strike = f"/facts/{told.pk}/?back=/boats/CUR/ink/"
    assert f'action="{strike}"' in page
    client.post(strike, post(reason="a thumb in a glove"))
    page = client.get("/boats/CUR/ink/").content.decode()
    assert "Her owner was told Tue 6 May." in page
    assert "<s>By phone Wed 7 May</s>" in page
    assert said not in client.get("/boats/CUR/").content.decode()
    owner_services.tell_owner(entry(mara), boat("Curlew"), WED, 0.8)
    owner_services.make_ink(entry(mara), boat("Curlew"), WED, "A. Reeve, by phone", although=True)
    assert to_call() == []


def test_only_who_told_or_may_ink_strikes_out_what_was_told(published: Fact, mara: Person) -> None:
    told = owner_services.tell_owner(entry(mara), boat("Curlew"), WED, 0.8)
    with pytest.raises(Refused, match="Mara made this entry"):
        work_services.strike_out(entry(log_in("Tomas", Right.CLEAR)), told, "never told")
    work_services.strike_out(entry(log_in("Petra", Right.INK)), told, "never told")
    assert [one.heard for one in to_call()] == [Heard(TUE, in_ink=True)]


def test_what_no_longer_holds_is_not_known_and_what_was_said_by_it_is_kept_and_marked(
    published: Fact, mara: Person, as_person: Use, post: Post
) -> None:
    job = Job.objects.get(what=queries.ODDS)
    job.answer, job.state = solve.ANSWERS[job.what](job.question), Job.State.DONE
    job.save()
    client, tick = as_person(mara), 'href="/boats/CUR/ink/?back=/spring/"'
    assert tick in client.get("/spring/").content.decode()
    Owner.objects.update(name="B. Reeve")  # as any change of what a plan is asked from
    (curlew,) = to_call()
    assert curlew.sure == ""
    page = client.get("/spring/").content.decode()
    assert tick not in page
    assert "Work it out first" in page
    assert "% sure" not in client.get("/boats/CUR/told/?day=2031-05-07").content.decode()
    assert client.post("/boats/CUR/told/", post(day="2031-05-07", percent="80")).status_code == 302
    assert Fact.objects.get(kind="told").mark == "odds were old"
    for path in ("/boats/CUR/", "/spring/promises-kept/"):
        assert "odds were old" in client.get(path).content.decode(), path
    Boat.objects.get(name="Curlew").work.create(
        place_in_list=9, what="polish", trade="mechanic", minutes=30
    )
    page = client.get("/spring/").content.decode()
    assert "Replan first" in page
    assert tick not in page


def test_ink_comes_before_a_day_told_with_odds(published: Fact, mara: Person) -> None:
    plan = queries.plan_of(published)
    assert plan
    late = [name for name, told in plan.told.items() if told.handed_over == WED]
    other = boat(next(name for name in sorted(late) if name != "Curlew"))
    owner_services.tell_owner(entry(mara), other, MON, 0.8)
    assert [(one.boat.name, one.in_ink) for one in to_call()] == [
        ("Curlew", True),
        (other.name, False),
    ]


def test_a_day_in_ink_that_the_plan_keeps_makes_nobody_else_s_odds_old(
    published: Fact, mara: Person, as_person: Use
) -> None:
    plan = queries.plan_of(published)
    assert plan
    late = (name for name, told in plan.told.items() if told.handed_over == WED)
    other = boat(next(name for name in sorted(late) if name != "Curlew"))
    owner_services.tell_owner(entry(mara), other, MON, 0.8)
    job = Job.objects.get(what=queries.ODDS)
    job.answer, job.state = solve.ANSWERS[job.what](job.question), Job.State.DONE
    job.save()
    owner_services.make_ink(entry(mara), boat("Curlew"), WED, "A. Reeve, by phone", although=True)
    sure = queries.sures()
    assert sure[other.name].old == ""
    assert sure["Curlew"].old == "Curlew was told a day in Ink since this was worked out."
    page = as_person(mara).get("/spring/").content.decode()
    assert "Work it out first" not in page
    assert f"/boats/{other.tag}/told/?day=2031-05-07" in page
    answer = as_person(mara).get("/boats/CUR/answer/").content.decode()
    assert "Curlew was told a day in Ink since this was worked out." in answer
    facts.add_promised(entry(mara), boat("Curlew"), "ink", TUE)  # before the plan's own day
    assert queries.sures()[other.name].old.startswith("Something was entered since")


def test_a_new_owner_was_told_no_day_yet_and_last_season_s_day_is_none(
    published: Fact, mara: Person
) -> None:
    for fact in work.standing().filter(boat__name="Teal", what="ink"):
        work_services.strike_out(entry(mara), fact, "never told")
    assert untold() == {"Teal"}
    owner_services.tell_owner(entry(mara), boat("Teal"), TUE, 0.8)
    assert untold() == set()
    facts.add_promised(entry(mara), boat("Teal"), "ink", date(2030, 5, 6))  # typed in late
    assert untold() == set()  # what was told this season stands


def test_handed_over_she_is_called_no_more(published: Fact, mara: Person) -> None:
    facts.add_moved(entry(mara), boat("Curlew"), State.HANDED_OVER)
    assert to_call() == []


def test_a_day_that_has_passed_is_no_day_to_tell(published: Fact, mara: Person) -> None:
    set_clock(MONDAY.replace(day=8))
    hers = next(one for one in to_call() if one.boat.name == "Curlew")
    assert (hers.day, hers.why) == (None, "Wed 7 May has passed; replan first")


def test_the_page_says_whom_to_call_and_leads_to_the_telling_and_back(
    published: Fact, mara: Person, as_person: Use, post: Post
) -> None:
    client = as_person(mara)
    page = client.get("/spring/").content.decode()
    listed = page[page.index('id="calls"') : page.index("The plan that holds")]
    for words in ("A. Reeve", 'href="tel:5550101"', "Tue 6 May in Ink", "Wed 7 May"):
        assert words in listed
    assert "being worked out" in listed
    assert "Not known" in listed
    tick = "/boats/CUR/ink/?back=/spring/"
    assert f'href="{tick}"' in listed
    assert f'action="{tick}"' in client.get(tick).content.decode()
    sent = post(day="2031-05-07", owner_agreed="A. Reeve, by phone", although="on")
    told = client.post(tick, sent)
    assert told["Location"] == "/spring/"
    assert "Nobody: each day that was told is kept" in client.get("/spring/").content.decode()


def test_told_with_odds_it_says_how_sure_and_leads_back(
    published: Fact, mara: Person, as_person: Use, post: Post
) -> None:
    client, page = as_person(mara), "/boats/CUR/told/?day=2031-05-07&back=/spring/"
    before = client.get(page).content.decode()
    assert 'value="2031-05-07"' in before
    assert "How sure Wed 7 May is, is not known yet." in before
    job = Job.objects.get(what=queries.ODDS)
    job.answer, job.state = solve.ANSWERS[job.what](job.question), Job.State.DONE
    job.save()
    sure = queries.sure_of(boat("Curlew"))
    assert sure
    assert f"<b>Wed 7 May: {sure.by(WED)}.</b>" in client.get(page).content.decode()
    assert escape(sure.by(WED)) in client.get("/spring/").content.decode()
    told = client.post(page, post(day="2031-05-07", percent="80"))
    assert told["Location"] == "/spring/"
    assert Fact.objects.get(kind="told").mark == ""
    away = client.post(
        page.replace("/spring/", "//example.org/"), post(day="2031-05-07", percent="80")
    )
    assert away["Location"] == "/boats/CUR/"


def test_a_promise_that_is_lost_stays_on_the_list_until_somebody_writes_that_her_owner_knows(
    published: Fact, mara: Person, as_person: Use, post: Post
) -> None:
    client, path = as_person(mara), "/boats/CUR/called/?back=/spring/"
    facts.add_moved(entry(mara), boat("Curlew"), State.NOT_GOING_IN)
    facts.add_moved(entry(mara), boat("Avocet"), State.NOT_GOING_IN)
    for fact in work.standing().filter(boat__name="Avocet", what="ink"):
        work_services.strike_out(entry(mara), fact, "never told")

    def listed() -> dict[str, Call]:
        return {one.boat.name: one for one in to_call()}

    lost = listed()["Curlew"]
    assert (lost.heard, lost.day) == (Heard(TUE, in_ink=True), None)
    assert lost.why == "she is not going in this season"
    assert "Avocet" not in {*listed(), *untold()}  # her owner was told no day
    page = client.get("/spring/").content.decode()
    assert f'href="{path}"' in page
    assert "Her owner was told Tue 6 May in Ink." in client.get(path).content.decode()
    assert client.post(path, post(said=" ", knows="on")).status_code == 422
    for said, is_listed in (
        ({"said": "no answer"}, True),
        ({"said": "so be it", "knows": "on"}, False),
    ):
        sent = post(**said)
        for _ in range(2):
            assert client.post(path, sent)["Location"] == "/spring/"
        assert ("Curlew" in listed()) == is_listed
    assert Fact.objects.filter(kind="note").count() == 2
    facts.add_moved(entry(mara), boat("Curlew"), State.LAID_UP)  # she goes in after all
    assert listed()["Curlew"].called.endswith("Mara: so be it")
    facts.add_moved(entry(mara), boat("Curlew"), State.NOT_GOING_IN)
    assert "Curlew" in listed()


def test_what_an_owner_said_stands_in_the_row_and_changes_no_odds(
    published: Fact, mara: Person, as_person: Use, post: Post
) -> None:
    job = Job.objects.get(what=queries.ODDS)
    job.answer, job.state = solve.ANSWERS[job.what](job.question), Job.State.DONE
    job.save()
    client, path = as_person(mara), "/boats/CUR/called/?back=/spring/"
    assert 'name="knows"' not in client.get(path).content.decode()
    client.post(path, post(said="no, he wants Tuesday"))
    page = client.get("/spring/").content.decode()
    assert "Mara: no, he wants Tuesday" in page
    assert "Work it out first" not in page
    page = client.get("/boats/CUR/").content.decode()
    assert "a call to her owner" in page
    assert "no, he wants Tuesday" in page
    with pytest.raises(Refused, match="Curlew is Fitting out"):
        owner_services.write_call(entry(mara), boat("Curlew"), "so be it", knows=True)
    with pytest.raises(Refused, match="Ask Mara"):
        owner_services.write_call(entry(log_in("Tomas", Right.PROVE)), boat("Curlew"), "no answer")


def test_who_may_not_tell_sees_no_tick(published: Fact, as_person: Use) -> None:
    page = as_person(log_in("Tomas", Right.PROVE)).get("/spring/").content.decode()
    assert "A. Reeve" in page
    assert "?back=/spring/" not in page
