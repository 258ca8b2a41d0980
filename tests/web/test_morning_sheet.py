"""The Morning Sheet: what must happen today, and which promises are in danger."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta
from html import unescape

import pytest
from django.test import Client
from django.utils.html import escape
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in, set_clock
from tests.web import a_plan
from tests.web.a_plan import at
from yardwright.fleet.models import Boat, WayIn
from yardwright.launch import queries, services, solve
from yardwright.papers.day_sheet import Section
from yardwright.procedures.going_in import State
from yardwright.procedures.steps import book
from yardwright.procedures.verdict import Verdict
from yardwright.season.causes import Broken
from yardwright.season.going_in import Kept
from yardwright.season.holds import breaks
from yardwright.season.model import Right, Season
from yardwright.season.published import Published
from yardwright.season.yard_time import Aside
from yardwright.web.morning import (
    IN_TIME,
    NO_PLAN_FOR_HER,
    Looked,
    Morning,
    OneSaver,
    morning,
)
from yardwright.web.sheets import morning_sheet
from yardwright.work import facts
from yardwright.work import queries as work
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Job, Lift, Person, Yard

MONDAY = datetime.fromisoformat("2031-05-05T05:30-04:00")


@pytest.fixture
def mara(three_days: Yard) -> Person:
    set_clock(MONDAY)
    return log_in("Mara", *Right)


def kept(sheet: Morning) -> dict[str, Kept]:
    """What keeps each boat of today on land."""
    return {one.launch.boat: one.kept for one in sheet.goes_in}


def on_paper(sheet: Morning, title: str) -> Section:
    parts = morning_sheet("Heron Slip", sheet, None, "http://testserver/").sections
    return next(part for part in parts if part.title == title)


def publish(by: Person) -> None:
    """Plan as the worker does, and publish."""
    job = services.plan_the_spring(by, time_limit_s=5)
    job.answer, job.state = solve.answer(5), Job.State.DONE
    job.save()
    services.publish(entry(by), job)


def test_without_a_plan_it_says_so(mara: Person, as_person: Callable[[Person], Client]) -> None:
    text = as_person(mara).get("/").content.decode()
    assert "No plan is published yet" in text
    assert "Plan the spring" in text


def test_curlew_is_in_danger_and_why(mara: Person) -> None:
    # Story A1: her kit comes Tuesday 07:30, two hours of work, her water leaves 09:45.
    publish(mara)
    set_clock(datetime.fromisoformat("2031-05-06T05:30-04:00"))
    sheet = morning(clock.now())
    (curlew,) = [one for one in sheet.dangers if one.boat.name == "Curlew"]
    assert curlew.told == date(2031, 5, 6)
    assert curlew.planned == "Wed 7 May"
    assert any("09:45" in words for words in curlew.waits_for)
    assert {*kept(sheet)} >= {"Dunlin", "Teal"}
    assert "Curlew" not in kept(sheet)


def test_only_what_is_moved_aside_today_and_who_is_held(
    mara: Person, as_person: Callable[[Person], Client]
) -> None:
    later = Aside("Plover", at("07:00", 9), at("07:30", 9))
    a_plan.publish(mara, asides=(later, *a_plan.ASIDES))
    set_clock(at("05:30"))
    sheet = morning(clock.now())
    assert sheet.why_asides == [a_plan.WHY_ASIDE]
    assert " One boat goes in today. " in sheet.sentence
    dunlin = Boat.objects.get(name="Dunlin")
    run = {"words": "The head went past its limit.", "end": "alarm"}
    facts._add(entry(mara), Kind.HOSE_RUN, dunlin, Verdict.STOP, run)
    assert "Held, and not lifted before that is cleared: Dunlin." in morning(clock.now()).sentence
    text = as_person(mara).get("/").content.decode()
    assert a_plan.WHY_ASIDE in text
    assert "of water over our sill" in text
    assert f"Held:</b> {escape(kept(morning(clock.now()))['Dunlin'].why)}" in text


def test_on_paper_what_goes_in_comes_first_then_what_is_in_danger_and_its_saver(
    mara: Person,
) -> None:
    a_plan.publish(mara)
    set_clock(at("05:30"))
    dunlin = Boat.objects.get(name="Dunlin")
    for words in ("The head went past its limit.", "It did so again."):
        run = {"words": words, "end": "alarm"}
        facts._add(entry(mara), Kind.HOSE_RUN, dunlin, Verdict.STOP, run)
    now = morning(clock.now())
    saver = OneSaver("Curlew", "CUR", date(2031, 5, 6), "Fetch it", "no chance", "sure", "nothing")
    now = replace(now, looked=Looked(clock.now(), "", saver), broken=())
    sheet = morning_sheet("Heron Slip", now, None, "http://testserver/")
    assert [part.title for part in sheet.sections][:3] == [
        "Goes in today",
        "Promises in danger",
        "The one saver worth doing",
    ]
    (row,) = sheet.sections[0].rows
    assert row[0] == "Dunlin"
    assert row[-1] == f"Held: {kept(now)['Dunlin'].why}"
    assert row[-1].count(".") <= 3  # one reason, and how many more
    (goes,) = now.goes_in
    free = replace(now, goes_in=[replace(goes, kept=Kept())])
    ((*_, last),) = morning_sheet("Heron Slip", free, None, "http://testserver/").sections[0].rows
    assert last == ""  # nothing found is not that nothing holds her
    empty = morning_sheet("Heron Slip", replace(now, goes_in=[]), None, "http://testserver/")
    assert empty.sections[0].empty == "No boat goes in."


def test_with_her_plug_out_or_set_to_not_going_in_she_is_held_as_going_in_would_refuse_her(
    mara: Person, as_person: Callable[[Person], Client]
) -> None:
    a_plan.publish(mara)
    set_clock(at("05:30"))
    dunlin = Boat.objects.get(name="Dunlin")

    def said() -> str:
        """On screen; and the same on paper."""
        ((*_, printed),) = on_paper(morning(clock.now()), "Goes in today").rows
        page = " ".join(unescape(as_person(mara).get("/").content.decode()).split())
        assert printed.replace(": ", ":</b> ", 1) in page
        return printed

    # Nobody has said that she is ready, and her openings were never counted: asked at the slings.
    assert said().startswith("Before the slings: She is Fitting out, not Ready to go in. And ")
    assert "Held" not in morning(clock.now()).sentence
    plug = book().kinds["stern_plug"].undone(clock.now(), "Ines")
    facts.add_undone(entry(mara), dunlin, plug)
    assert said().startswith("Held: Stern drain plug out: not put back (sinks). And ")
    assert "not lifted before that is cleared: Dunlin." in morning(clock.now()).sentence
    refused = as_person(mara).get("/boats/DUN/going-in/").content.decode()
    assert "Stern drain plug out: not put back (sinks)." in refused
    facts.add_moved(entry(mara), dunlin, State.NOT_GOING_IN)
    assert said() == "Held: She is set to Not going in."
    Boat.objects.filter(name="Dunlin").update(name="Whimbrel")
    assert said() == "Held: She is no longer on file."


def test_that_no_promise_is_in_danger_is_said_of_three_days_alone(
    mara: Person, as_person: Callable[[Person], Client]
) -> None:
    a_plan.publish(mara, asides=())
    boats = {boat.name: boat for boat in Boat.objects.all()}

    def misses() -> str:
        """What is said four days before; the days told are 5 to 7 May: none within three days."""
        set_clock(MONDAY - timedelta(days=4))
        says = morning(clock.now()).sentence.rpartition("No promises are in danger")[2]
        page = as_person(mara).get("/").content.decode()
        assert ("Which later promises the plan misses" in page) == ("later" in says)
        set_clock(at("12:00"))
        return says

    # Planned: Dunlin and Avocet, on their days. Not planned: Plover, Curlew and Teal.
    assert misses() == " within three days; the plan misses 3 later."
    facts.add_promised(entry(mara), boats["Avocet"], "ink", date(2031, 5, 6))  # planned for the 7th
    assert misses() == " within three days; the plan misses 4 later."
    for name in ("Plover", "Curlew", "Teal"):
        facts.add_moved(entry(mara), boats[name], State.IN_THE_WATER)
    facts.add_promised(entry(mara), boats["Avocet"], "ink", date(2031, 5, 7))
    assert misses() == " within three days."


def test_who_learns_stands_on_paper_too(
    mara: Person, as_person: Callable[[Person], Client]
) -> None:
    a_plan.publish(mara)
    log_in("Pia", learner=True)
    set_clock(at("05:30", 7))  # Ines has work on Avocet, Pia none
    first = on_paper(morning(clock.now()), "First hour").rows
    says = "learning: goes with somebody who knows the step"
    assert [(who, what) for who, what, _ in first] == [("Ines", "Avocet: engine"), ("Pia", says)]
    assert says in as_person(mara).get("/").content.decode()


def test_who_slipped_stands_there_until_she_is_in_the_water(
    mara: Person, as_person: Callable[[Person], Client]
) -> None:
    """Dunlin, in Pencil, was blown out on Monday: no Ink brings her back on Wednesday's sheet."""
    go = replace(a_plan.LAUNCHES[0], starts=at("09:00", 5), ends=at("09:30", 5))
    a_plan.publish(mara, launches=[go], asides=())
    dunlin = Boat.objects.get(name="Dunlin")
    for ink in Fact.objects.filter(kind=Kind.PROMISED):
        facts.add_struck_out(entry(mara), ink, "Pencil only")
    set_clock(at("05:30", 7))
    sheet = morning(clock.now())
    assert "No boats go in today. Planned before today and not in the water yet: Dunlin." in (
        sheet.sentence
    )
    (row,) = on_paper(sheet, "Goes in today").rows
    assert row[1] == "not in the water yet, planned Mon 5 May 09:00"
    assert [one.boat.name for one in sheet.could_sink] == ["Dunlin"]  # nobody counted her openings
    assert "planned Mon 5 May 09:00" in as_person(mara).get("/").content.decode()
    facts.add_moved(entry(mara), dunlin, State.IN_THE_WATER)
    assert morning(clock.now()).goes_in == []
    facts.add_moved(entry(mara), dunlin, State.FITTING_OUT)  # lifted back: she is still to go in
    assert [one.launch.boat for one in morning(clock.now()).goes_in] == ["Dunlin"]
    facts.add_moved(entry(mara), dunlin, State.HANDED_OVER)
    facts.add_moved(entry(mara), dunlin, State.LAID_UP)  # next fall: of this plan no more
    assert morning(clock.now()).goes_in == []


def test_without_a_plan_what_could_sink_and_what_goes_in_is_not_known(
    mara: Person, as_person: Callable[[Person], Client]
) -> None:
    set_clock(MONDAY - timedelta(days=30))  # nobody was told a day soon
    sheet = morning_sheet("Heron Slip", morning(clock.now()), None, "")
    parts = {part.title: f"{part.note}{part.empty}" for part in sheet.sections}
    not_known = "Not known which boats go in: no plan is published."
    assert parts["Could sink a boat"] == parts["Goes in today"] == not_known
    page = as_person(mara).get("/").content.decode()
    assert "Not known</span> which boats go in: no plan is published." in page
    assert "Nothing open" not in page


def test_a_lift_s_closure_is_said_before_it_begins(
    mara: Person, as_person: Callable[[Person], Client]
) -> None:
    a_plan.publish(mara)
    set_clock(at("05:30"))
    holds = [
        [at("09:15").isoformat(), at("11:00").isoformat(), "wind"],
        [at("08:00", 8).isoformat(), at("16:00", 9).isoformat(), "new cable"],
        [at("10:00", 13).isoformat(), at("16:00", 13).isoformat(), "in a week"],
    ]
    Lift.objects.update(holds=holds)
    says = (
        "The Travel lift carries nothing Tue 6 May 09:15 to 11:00: wind.",
        "The Travel lift carries nothing Thu 8 May 08:00 to Fri 9 May 16:00: new cable.",
    )
    now = morning(clock.now())
    assert tuple(now.lifts_soon) == says
    assert "carries nothing" not in now.sentence
    assert kept(now)["Dunlin"].held == says[:1]  # she goes in 09:00 to 09:30
    page = as_person(mara).get("/").content.decode()
    assert all(f"<li>{words}</li>" in page for words in says)
    on_paper = morning_sheet("Heron Slip", now, None, "http://testserver/").sections
    assert [part.rows for part in on_paper if part.title == "The lift carries nothing"] == [
        tuple((words,) for words in says)
    ]
    set_clock(at("09:20"))
    now = morning(clock.now())
    assert now.lifts_held == ["The Travel lift carries nothing until 11:00: wind."]
    assert now.lifts_soon == [says[1]]


def test_that_the_plan_no_longer_holds_comes_first(
    mara: Person, as_person: Callable[[Person], Client]
) -> None:
    publish(mara)
    client = as_person(mara)
    before = client.get("/").content.decode()
    assert "no longer holds" not in before
    assert 'href="/spring/again/">Something changed' in before
    Person.objects.filter(name="Ines").update(off=["2031-05-05"])  # she does Plover's work
    sheet = morning(clock.now())
    assert sheet.sentence.startswith("The plan no longer holds; what follows goes by it. ")
    page = client.get("/").content.decode()
    first = page.index(f"The plan no longer holds: {escape(sheet.broken[0].words)}")
    assert first < page.index("Promises in danger")
    assert 'href="/spring/again/">Replan</a>' in page
    for path in ("/spring/", "/spring/savers/", "/spring/again/"):
        assert escape(sheet.broken[0].words) in client.get(path).content.decode()


def test_a_boat_for_whom_the_plan_no_longer_holds_is_in_danger(mara: Person) -> None:
    publish(mara)
    before = {one.boat.name: one.waits_for for one in morning(clock.now()).dangers}
    assert NO_PLAN_FOR_HER not in {words for waits in before.values() for words in waits}
    held = [at("06:00", 7).isoformat(), at("16:00", 7).isoformat(), "wind"]
    Lift.objects.update(holds=[held])  # Wednesday, when Avocet goes in
    sheet = morning(clock.now())
    after = {one.boat.name: one.waits_for for one in sheet.dangers}
    hit = frozenset[str]().union(*(one.boats for one in sheet.broken))
    assert "Avocet" in hit
    assert after["Avocet"][-1] == NO_PLAN_FOR_HER
    assert IN_TIME not in after["Avocet"]
    assert {name for name, waits in after.items() if NO_PLAN_FOR_HER in waits} == hit
    assert "Plover" not in hit


def test_a_lift_with_nobody_in_to_run_it_is_said(mara: Person) -> None:
    publish(mara)
    nobody = "Nobody who may run the Travel lift is in today."
    Lift.objects.update(run_by=["Tomas"])
    assert nobody not in morning(clock.now()).sentence
    Person.objects.filter(name="Tomas").update(off=[clock.now().date().isoformat()])
    sheet = morning(clock.now())
    assert nobody in sheet.sentence
    assert any("obody who may run" in one.words for one in sheet.broken)
    shut = "Nobody who may run the Travel lift is in for all of that time."
    assert shut in [one.held[0] for one in kept(sheet).values() if one.held]
    Person.objects.filter(name="Tomas").update(off=["2031-05-06", "2031-05-07"])
    assert morning(clock.now()).lifts_soon == [
        "Nobody who may run the Travel lift is in on Tue 6 May, Wed 7 May."
    ]
    Lift.objects.update(run_by=["Tomas", "Ines"])
    assert nobody not in morning(clock.now()).sentence


def test_that_it_cannot_be_asked_is_not_said_as_if_it_held(
    mara: Person, as_person: Callable[[Person], Client]
) -> None:
    publish(mara)
    Yard.objects.update(sill_height_m=None)
    for path in ("/", "/spring/again/"):
        page = as_person(mara).get(path).content.decode()
        assert "The plan no longer holds" in page
        assert "The sill was never measured." in page


def test_a_second_look_asks_the_yard_nothing_again(
    mara: Person, monkeypatch: pytest.MonkeyPatch
) -> None:
    publish(mara)
    asked: list[datetime] = []

    def counted(season: Season, plan: Published, now: datetime) -> list[Broken]:
        asked.append(now)
        return breaks(season, plan, now)

    monkeypatch.setattr(queries, "breaks", counted)
    holds = queries.plan_broken()
    assert (holds, len(asked)) == ((), 1)
    assert queries.plan_broken() == ()
    assert len(asked) == 1
    Person.objects.filter(name="Ines").update(off=["2031-05-05"])  # changed
    assert queries.plan_broken()
    assert len(asked) == 2
    Person.objects.filter(name="Ines").update(off=[])  # as before: known still
    assert queries.plan_broken() == ()
    assert len(asked) == 2
    boat = Boat.objects.get(name="Plover")
    facts.add_looked(entry(mara), boat, "all openings counted", holds=True)  # entered
    assert queries.plan_broken() == ()
    assert len(asked) == 3
    plan = queries.plan_of(work.last_published())
    assert plan
    set_clock(min(job.ends for job in plan.plan.jobs) + timedelta(minutes=1))  # a time passed
    assert any("nobody has said that it is" in one.words for one in queries.plan_broken())
    assert len(asked) == 4


def test_what_could_sink_a_boat(mara: Person) -> None:
    publish(mara)

    def of_plover() -> tuple[str, ...]:
        sheet = morning(clock.now())
        return next((one.what for one in sheet.could_sink if one.boat.name == "Plover"), ())

    assert any("all openings counted" in words for words in of_plover())
    plover = Boat.objects.get(name="Plover")
    plug = {"kind": "plug", "outside": "sea", "inside": "bilge"}
    WayIn.objects.create(boat=plover, place_in_list=0, name="stern drain plug", **plug)
    facts.add_looked(entry(mara), plover, "all openings counted", holds=True)
    assert of_plover() == ("stern drain plug: never looked at",)
    facts.add_looked(entry(mara), plover, "stern drain plug", holds=True)
    assert of_plover() == ()


def test_few_queries_the_second_time(
    mara: Person,
    as_person: Callable[[Person], Client],
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    publish(mara)
    client = as_person(mara)
    client.get("/")  # asks whether the plan holds, and keeps the answer
    # 12, typed tides, lifts for the strip and who may run them, who is where, at the lift, odds, savers,
    # holds, parts due, every boat's name, the days in Ink; and what the kept answer rests on
    with django_assert_max_num_queries(24 + 12):
        assert client.get("/").status_code == 200


def test_a_stranger_is_sent_to_log_in(three_days: Yard, client: Client) -> None:
    assert client.get("/").headers["Location"] == "/sign-in/?next=/"


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_its_paper_twin(mara: Person, as_person: Callable[[Person], Client], paper: str) -> None:
    publish(mara)
    answer = as_person(mara).get(f"/morning-sheet.pdf?paper={paper}")
    assert answer.content.startswith(b"%PDF")


def test_unknown_water_is_said(mara: Person, as_person: Callable[[Person], Client]) -> None:
    yard = Yard.objects.get()
    yard.sill_height_m = None
    yard.save()
    text = as_person(mara).get("/").content.decode()
    assert "The sill was never measured." in text


def test_how_sure_is_what_the_plan_and_the_phone_say_and_not_known_once_that_is_old(
    mara: Person, as_person: Callable[[Person], Client]
) -> None:
    publish(mara)
    job = Job.objects.get(what=queries.ODDS)
    job.answer, job.state = solve.ANSWERS[job.what](job.question), Job.State.DONE
    job.save()
    curlew = Boat.objects.get(name="Curlew")
    known = queries.sure_of(curlew)
    assert known
    (danger,) = [one for one in morning(clock.now()).dangers if one.boat.name == "Curlew"]
    assert danger.sure == known.by(danger.told)
    assert danger.sure
    assert danger.sure in as_person(mara).get("/").content.decode()
    curlew.work.create(place_in_list=9, what="polish", trade="mechanic", minutes=30)
    (danger,) = [one for one in morning(clock.now()).dangers if one.boat.name == "Curlew"]
    assert danger.sure == ""
    page = as_person(mara).get("/").content.decode()
    assert 'href="/boats/CUR/answer/">Work it out</a>' in page


def test_a_launch_of_a_pair_is_held_only_where_both_of_it_are(mara: Person) -> None:
    a_plan.publish(mara, launches=[replace(a_plan.LAUNCHES[0], lift="Travel lift or B")])
    lift = Lift.objects.get()
    lift.pk, lift.name = None, "B"
    lift.save()
    set_clock(at("05:30"))
    wind = [at("09:00").isoformat(), at("12:00").isoformat(), "wind"]
    Lift.objects.filter(name="B").update(holds=[wind])
    assert kept(morning(clock.now()))["Dunlin"].held == ()
    Lift.objects.filter(name="Travel lift").update(holds=[wind])
    assert kept(morning(clock.now()))["Dunlin"].held == (
        "The Travel lift carries nothing Tue 6 May 09:00 to 12:00: wind.",
        "The B carries nothing Tue 6 May 09:00 to 12:00: wind.",
    )
