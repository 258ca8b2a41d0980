"""Day sheets: what each person does today, where, with what, and what the lift does."""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from html import unescape

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in, set_clock
from tests.web.a_plan import LAUNCHES, TUESDAY, WHY_ASIDE, at, publish
from yardwright.fleet.models import Boat, Part, Work
from yardwright.papers.day_sheet import DaySheet, day_sheet
from yardwright.papers.paper import Paper
from yardwright.procedures.going_in import State
from yardwright.procedures.steps import book
from yardwright.season.model import Right
from yardwright.season.put_backs import PUT_BACK
from yardwright.season.yard_time import Job
from yardwright.web import day as day_pages
from yardwright.web.day import _lift
from yardwright.web.whose_day import Sheet, day_of
from yardwright.work import facts
from yardwright.work.models import Fact
from yardwright.yard import clock
from yardwright.yard.models import Lift, Person, Yard

AsPerson = Callable[[Person], Client]


@pytest.fixture
def mara(three_days: Yard) -> Person:
    for name in ("Ines", "Tomas", "Pia"):
        log_in(name, Right.PROVE, learner=name == "Pia")
    return log_in("Mara", *Right)


@pytest.fixture
def told(mara: Person) -> Fact:
    return publish(mara)


def sheet_of(name: str, day: date = TUESDAY) -> Sheet:
    found = day_of(day)
    assert found is not None
    return found.of(Person.objects.get(name=name))


def page_of(client: Client, name: str, asked: str = "") -> str:
    pk = Person.objects.get(name=name).pk
    page = client.get(f"/yard/people/{pk}/day/{asked}").content.decode()
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())


def test_times_boat_place_and_part(told: Fact, as_person: AsPerson) -> None:
    said = page_of(as_person(Person.objects.get(name="Ines")), "Ines")
    assert "Ines’s day Tuesday 6 May 2031" in said
    assert "2 jobs on 2 boats, 11:00 to 15:30." in said
    assert "11:00–12:00, 12:30–13:30 Curlew North row, berth 1 Engine" in said
    assert "Bring the part: kit, due Tue 6 May 07:30" in said  # story A1
    assert "15:00–15:30 Avocet" in said
    assert "day 1 of 2, goes on" in said
    assert "Dunlin" not in said  # that was Monday


def test_a_day_is_asked_for_by_its_address(told: Fact, as_person: AsPerson) -> None:
    client = as_person(Person.objects.get(name="Ines"))
    said = page_of(client, "Ines", "?day=2031-05-07")
    assert "07:00–08:30 Avocet" in said
    assert "day 2 of 2, its last" in said
    assert "she goes in 09:00" in said
    assert "13:00–15:30 Dunlin" in page_of(client, "Ines", "?day=2031-05-05")


def test_no_day_is_said_and_today_shown(told: Fact, as_person: AsPerson) -> None:
    client, pk = as_person(Person.objects.get(name="Ines")), Person.objects.get(name="Ines").pk
    for path in (f"/yard/people/{pk}/day/", "/day/"):
        for odd in ("zz", "0001-01-01", "9999-12-31"):
            answer = client.get(f"{path}?day={odd}")
            assert answer.status_code == 422
            page = answer.content.decode()
            assert f"“{odd}” is no day" in page
            assert "Tuesday 6 May 2031" in page


def test_a_learner_and_who_watches(told: Fact, as_person: AsPerson) -> None:
    client = as_person(log_in("Pia", learner=True))
    says = "Pia is learning this: Tomas watches."
    assert says in page_of(client, "Pia")
    assert says in page_of(client, "Tomas")  # it is his time too
    assert says not in page_of(client, "Ines")


def test_whose_work_is_looked_at(told: Fact) -> None:
    items = {item.job.what: item for item in sheet_of("Tomas").items}
    assert items["second look, engine"].beside == "Ines did it: look for yourself."


def test_the_lift_crew_sees_the_water(told: Fact, as_person: AsPerson) -> None:
    runa = log_in("Runa", Right.WATER)
    runa.trades = ["lift"]
    runa.save()
    said = page_of(as_person(runa), "Runa")
    assert "1 boat goes in, 1 is moved aside." in said
    goes_in = "09:00–09:30 fetch her 08:45 Dunlin North row, berth 2 goes in"
    weigh = (
        "Not known of Dunlin: her weight and what each sling carries of her. Measure her before the "
        "Travel lift fetches her."
    )
    waits = "Before the slings: She is Fitting out, not Ready to go in. And 1 more."
    assert f"{goes_in} {waits} {weigh} 04:41–10:45" in said
    assert "08:15–08:45 Curlew North row, berth 1 Curlew is moved aside" in said
    assert said.index("08:15–08:45") < said.index("09:00–09:30")
    curlew = "08:15–08:45 Curlew North row, berth 1 " + WHY_ASIDE
    assert f"{curlew} She stands elsewhere now : Curlew no water needed" in said
    page = as_person(runa).get(f"/yard/people/{runa.pk}/day/").content.decode()
    assert page.count('href="/boats/CUR/move/"') == 1
    assert 'href="/boats/DUN/move/"' not in page
    at_her = as_person(runa).get("/boats/CUR/at-hand/").content.decode()
    assert "/boats/CUR/move/" in at_her
    weighed = {"weight_kg": 5000, "weight_within": 0.1, "centre_m": 3.0, "centre_within_m": 0.3}
    slung = {"sling_aft_m": 1.5, "sling_forward_m": 5.0}
    Boat.objects.filter(name="Dunlin").update(**weighed, **slung)
    assert f"{goes_in} {waits} 04:41–10:45" in page_of(as_person(runa), "Runa")
    assert "The lift" not in page_of(as_person(runa), "Ines")


def test_who_may_run_the_lift_by_name_has_its_sheet_too(told: Fact, as_person: AsPerson) -> None:
    assert sheet_of("Tomas").lifts == []  # a yard hand
    Lift.objects.update(run_by=["Tomas"])
    assert [one.boat for one in sheet_of("Tomas").lifts] == ["Curlew", "Dunlin"]
    assert "1 boat goes in, 1 is moved aside." in page_of(
        as_person(Person.objects.get(name="Tomas")), "Tomas"
    )
    assert sheet_of("Ines").lifts == []


def test_the_lift_crew_is_told_what_holds_a_boat(
    told: Fact, mara: Person, as_person: AsPerson
) -> None:
    runa = log_in("Runa", Right.WATER)
    runa.trades = ["lift"]
    runa.save()
    dunlin = Boat.objects.get(name="Dunlin")
    plug = book().kinds["stern_plug"].undone(clock.now(), "Ines")
    facts.add_undone(entry(mara), dunlin, plug)
    held = f"Held: {plug.what}: not put back (sinks)."
    assert f"goes in {held} And " in page_of(as_person(runa), "Runa")
    (section,) = _lift(sheet_of("Runa").lifts)
    assert f"goes in; fetch her 08:45. {held} And " in section.rows[1][3]
    facts.add_moved(entry(mara), dunlin, State.NOT_GOING_IN)
    assert "goes in Held: She is set to Not going in." in page_of(as_person(runa), "Runa")


def test_a_lift_that_can_t_be_had_is_said_at_each_row(told: Fact, as_person: AsPerson) -> None:
    runa = log_in("Runa", Right.WATER)
    runa.trades = ["lift"]
    runa.save()
    Lift.objects.update(holds=[[at("08:50").isoformat(), at("12:00").isoformat(), "wind"]])
    says = "The Travel lift carries nothing Tue 6 May 08:50 to 12:00: wind."
    assert [one.shut for one in sheet_of("Runa").lifts] == [(), (says,)]  # aside 08:15, in 09:00
    assert f"goes in {says} Before the slings:" in page_of(as_person(runa), "Runa")
    (section,) = _lift(sheet_of("Runa").lifts)
    assert f"goes in; fetch her 08:45. {says} Before the slings:" in section.rows[1][3]
    assert "Not known of Dunlin" in section.rows[1][3]
    Lift.objects.update(holds=[], weekdays=[0, 2])
    says = "The Travel lift is shut on a Tuesday."
    assert [one.shut for one in sheet_of("Runa").lifts] == [(says,), (says,)]
    publish(log_in("Mara", *Right), launches=[replace(LAUNCHES[0], lift="Travel lift or B")])
    lift = Lift.objects.get()
    lift.pk, lift.name, lift.weekdays = None, "B", [1]
    lift.save()
    assert [one.shut for one in sheet_of("Runa").lifts][1] == ()  # the other of the pair is open


def test_steps_with_what_goes_back_and_the_caution(teal: Boat, as_person: AsPerson) -> None:
    """Story A3: the plug lies where Ines wrote, and the step that puts it back says what can hurt."""
    set_clock(at("06:50"))
    mara = log_in("Mara", *Right)
    log_in("Ines", Right.PROVE)
    publish(mara, [Job("Teal", f"{PUT_BACK}mechanic", "Ines", at("07:00"), at("11:00"))], (), ())
    (item,) = sheet_of("Ines").items
    plug = next(one for one in item.to_do if "stern_plug" in one.step.proves)
    assert [thing.what for thing in plug.goes_back] == ["stern drain plug out"]
    said = page_of(as_person(mara), "Ines")
    assert f"stern drain plug out: {plug.goes_back[0].lies}" in said
    assert plug.step.caution in said
    assert "Mind:" in said
    assert "Do not start her on land without water" in said


def test_steps_of_several_days_are_listed_once(
    teal: Boat, as_person: AsPerson, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On the first day that is not past; the later ones say what is left, and where it is."""
    set_clock(at("06:50"))
    mara = log_in("Mara", *Right)
    log_in("Ines", Right.PROVE)
    publish(mara, [Job("Teal", f"{PUT_BACK}mechanic", "Ines", at("07:00"), at("11:00", 8))], (), ())
    thursday = date(2031, 5, 8)
    (first,), (last,) = sheet_of("Ines").items, sheet_of("Ines", thursday).items
    titles = [one.step.title for one in first.to_do]
    assert len(titles) > 4
    assert (first.goes_on, last.to_do, last.steps) == ("", [], first.steps)
    rest = f"{'; '.join(titles[:4])}; and {len(titles) - 4} more"
    assert last.goes_on == (
        f"Goes on with what is left: {rest}. Each is on the sheet of Tue 6 May."
    )
    client, printed = as_person(mara), list[DaySheet]()
    assert last.goes_on in page_of(client, "Ines", "?day=2031-05-08")
    caution = first.to_do[0].step.caution
    assert caution not in page_of(client, "Ines", "?day=2031-05-08")
    assert caution in page_of(client, "Ines")

    def kept(sheet: DaySheet, paper: Paper) -> bytes:
        printed.append(sheet)
        return day_sheet(sheet, paper)

    monkeypatch.setattr("yardwright.web.day.day_sheet", kept)
    pk = Person.objects.get(name="Ines").pk
    for day in (TUESDAY, thursday):
        assert client.get(f"/yard/people/{pk}/day.pdf?day={day}").status_code == 200
    one, other = ([part.title for part in sheet.sections] for sheet in printed)
    assert (one, other) == (["Work", "Ines: step by step"], ["Work"])
    assert last.goes_on in printed[1].sections[0].rows[0][-1]

    set_clock(at("06:50", 8))  # the days before are past
    assert [one.step.title for one in sheet_of("Ines", thursday).items[0].to_do] == titles
    assert sheet_of("Ines").items[0].goes_on.endswith("on the sheet of Thu 8 May.")


def test_what_is_done_is_said(told: Fact, mara: Person) -> None:
    boat = Boat.objects.get(name="Curlew")
    facts.add_done(entry(mara), boat, "engine", "work")
    item = next(one for one in sheet_of("Ines").items if one.job.boat == "Curlew")
    assert item.done.startswith("Done Tue 6 May")
    assert item.done.endswith("by Mara.")


def test_a_part_that_nobody_knows_of(told: Fact) -> None:
    Part.objects.update(arrives=None)
    item = next(one for one in sheet_of("Ines").items if one.job.boat == "Curlew")
    assert item.part == "kit, and nobody knows when it comes"


def test_a_boat_gone_from_the_list_is_not_hidden(told: Fact, as_person: AsPerson) -> None:
    Boat.objects.filter(name="Curlew").update(name="Whimbrel")
    assert "11:00–12:00, 12:30–13:30 Curlew is no longer on file" in page_of(
        as_person(log_in("Mara")), "Ines"
    )


def test_nothing_planned_and_no_plan(mara: Person, as_person: AsPerson) -> None:
    client = as_person(mara)
    assert "No plan is published" in page_of(client, "Ines")
    assert "No plan is published" in client.get("/day/").content.decode()
    for path in ("/day/all.pdf", f"/yard/people/{mara.pk}/day.pdf"):
        answer = client.get(path)
        assert (answer.status_code, answer.content[:20]) == (409, b"No plan is published")
    publish(mara)
    assert "The plan has no work for Mara on this day." in page_of(client, "Mara")


def test_everybodys_day(told: Fact, as_person: AsPerson) -> None:
    page = as_person(log_in("Mara")).get("/day/").content.decode()
    said = " ".join(unescape(re.sub(r"<[^>]+>", " ", page)).split())
    assert "3 people work on 4 boats. 1 boat goes in, 1 is moved aside." in said
    assert "Ines 11:00–12:00, 12:30–13:30 Curlew engine 15:00–15:30 Avocet engine" in said
    for person in Person.objects.filter(name__in=["Ines", "Tomas", "Pia"]):
        assert f"/yard/people/{person.pk}/day/?day=2031-05-06" in page


def test_who_left_still_has_their_work_shown(told: Fact, as_person: AsPerson) -> None:
    """The plan named her; work of hers that nobody does must be seen."""
    Person.objects.filter(name="Ines").update(works_here=False)
    assert "Curlew" in as_person(log_in("Mara")).get("/day/").content.decode()


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_on_paper(told: Fact, as_person: AsPerson, paper: str) -> None:
    client, pk = as_person(log_in("Mara")), Person.objects.get(name="Ines").pk
    one = client.get(f"/yard/people/{pk}/day.pdf?paper={paper}")
    assert one.headers["Content-Type"] == "application/pdf"
    address = f"opens http://testserver/yard/people/{pk}/day/?day=2031-05-06"
    assert address.encode() in one.content
    every = client.get(f"/day/all.pdf?paper={paper}").content
    found = re.search(rb"<xmpTPg:NPages>(\d+)<", every)
    assert found
    assert int(found[1]) == 4  # the lift and three people, each a sheet of their own


def test_no_other_paper_and_no_other_day(told: Fact, as_person: AsPerson) -> None:
    client, pk = as_person(log_in("Mara")), Person.objects.get(name="Ines").pk
    for path in ("/day/all.pdf", f"/yard/people/{pk}/day.pdf"):
        assert client.get(f"{path}?paper=A3").content == b"Paper is A4 or Letter."
        assert client.get(f"{path}?paper=A3").status_code == 422
        assert client.get(f"{path}?day=zz").status_code == 422


def test_the_morning_sheet_leads_there(told: Fact, as_person: AsPerson) -> None:
    ines = Person.objects.get(name="Ines")
    assert f'href="/yard/people/{ines.pk}/day/"' in as_person(ines).get("/").content.decode()


def test_a_phone_takes_its_persons_work_along(told: Fact, as_person: AsPerson) -> None:
    """Also boats that go in later, or that no plan launches; and the day itself."""

    def taken(name: str) -> set[str]:
        boats = as_person(Person.objects.get(name=name)).get("/phone/today.json").json()["boats"]
        return {one["name"] for one in boats}

    facts_of = {name: taken(name) for name in ("Ines", "Tomas", "Mara")}
    assert {"Curlew", "Avocet"} <= facts_of["Ines"]
    assert {"Teal", "Dunlin"} <= facts_of["Tomas"]
    page = as_person(Person.objects.get(name="Tomas")).get("/phone/").content.decode()
    assert f'href="/yard/people/{Person.objects.get(name="Tomas").pk}/day/"' in page


def test_a_phone_takes_work_on_a_boat_that_goes_in_late(mara: Person, as_person: AsPerson) -> None:
    set_clock(at("06:50") - timedelta(days=30))  # nothing goes in soon, nobody was told a day soon
    early = [
        Job(
            "Plover",
            "engine",
            "Ines",
            at("07:00") - timedelta(days=30),
            at("09:00") - timedelta(days=30),
        )
    ]
    publish(mara, early)
    for name, boats in (("Ines", ["Plover"]), ("Tomas", [])):
        client = as_person(Person.objects.get(name=name))
        assert [one["name"] for one in client.get("/phone/today.json").json()["boats"]] == boats
        said = client.get("/phone/").content.decode()
        assert ("Your work today" in said) == bool(boats)


def test_queries(
    told: Fact, as_person: AsPerson, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    client, pk = as_person(log_in("Mara")), Person.objects.get(name="Ines").pk
    Work.objects.filter(boat__name="Teal").update(part=Part.objects.get())
    client.get("/day/")  # then it is known whether the plan holds, until something is entered
    for path in ("/day/", f"/yard/people/{pk}/day/"):
        with django_assert_max_num_queries(29):  # does the plan hold, which parts came
            assert client.get(path).status_code == 200


def test_strangers_and_posts(told: Fact, client: Client, as_person: AsPerson) -> None:
    pk = Person.objects.get(name="Ines").pk
    for path in ("/day/", "/day/all.pdf", f"/yard/people/{pk}/day/", f"/yard/people/{pk}/day.pdf"):
        client.logout()
        assert client.get(path).headers["Location"] == f"/sign-in/?next={path}"
        assert as_person(log_in("Mara")).post(path).status_code == 405
    assert as_person(log_in("Mara")).get("/yard/people/9999/day/").status_code == 404


def test_who_is_off_is_said_and_that_the_plan_no_longer_holds(
    told: Fact, as_person: AsPerson
) -> None:
    ines = Person.objects.get(name="Ines")
    ines.off = ["2031-05-06"]
    ines.save()
    hers, later = (page_of(as_person(ines), "Ines", day) for day in ("", "?day=2031-05-07"))
    assert "Ines is off on this day." in hers
    assert "is off on this day" not in later
    for page in (hers, later):
        assert page.index("The plan no longer holds:") < page.index("By the plan")
    assert "The plan no longer holds" not in page_of(as_person(ines), "Ines", "?day=2031-05-05")
    everybody = as_person(ines).get("/day/").content.decode()
    assert "The plan no longer holds:" in everybody
    assert "The plan no longer holds:" not in (
        as_person(ines).get("/day/?day=2031-05-05").content.decode()
    )


def test_who_is_away_for_some_hours_or_stays_is_said_and_the_work_is_cut_to_it(
    told: Fact, as_person: AsPerson
) -> None:
    ines = Person.objects.get(name="Ines")
    ines.away = [["2031-05-06", "08:00", "10:00", "dentist"]]
    ines.longer = [["2031-05-06", "15:30", "17:30", ""]]
    ines.save()
    says = "Ines is away 08:00 to 10:00. Ines stays 15:30 to 17:30."
    assert says in page_of(as_person(ines), "Ines", "")
    assert says in as_person(ines).get("/day/").content.decode()
    assert "Ines is away" not in page_of(as_person(ines), "Ines", "?day=2031-05-07")


def test_on_a_person_s_paper_it_comes_first_too(
    told: Fact, as_person: AsPerson, monkeypatch: pytest.MonkeyPatch
) -> None:
    printed: list[DaySheet] = []

    def taken(sheet: DaySheet, _paper: str) -> bytes:
        printed.append(sheet)
        return b""

    monkeypatch.setattr(day_pages, "day_sheet", taken)
    ines = Person.objects.get(name="Ines")
    ines.off = ["2031-05-06"]
    ines.save()
    as_person(ines).get(f"/yard/people/{ines.pk}/day.pdf")
    (sheet,) = printed
    assert sheet.say.startswith(day_pages.BROKEN)
    assert "Ines is off on this day." in sheet.say
