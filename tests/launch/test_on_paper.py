"""The plan's pages on paper: the plan, whom to call, a change before it holds, promises kept."""

from collections.abc import Callable
from datetime import date

import pytest
from django.test import Client
from django.utils.html import escape

from tests.conftest import entry, set_clock
from tests.launch.conftest import MONDAY, held_by
from yardwright.fleet.models import Boat
from yardwright.launch import owner_services, queries, solve
from yardwright.papers.day_sheet import DaySheet, Section
from yardwright.procedures.verdict import Verdict
from yardwright.work import facts
from yardwright.work import services as work_services
from yardwright.work.models import Fact
from yardwright.yard import asked
from yardwright.yard.models import Job, Person

Use = Callable[[Person], Client]
Print = Callable[[str], DaySheet]
WED = date(2031, 5, 7)
BATTERY = "Battery at rest: Can't say"
PAPERS = {
    "/spring.pdf": "/spring/",
    "/spring/calls.pdf": "/spring/",
    "/spring/again.pdf": "/spring/again/",
    "/spring/promises-kept.pdf": "/spring/promises-kept/",
    "/spring/savers.pdf": "/spring/savers/",
    "/spring/capacity.pdf": "/spring/capacity/",
}
LEADS = {
    "/": "/morning-sheet.pdf",
    "/rows/": "/row-map.pdf",
    "/rows/?day=2031-05-06": "/row-map.pdf?day=2031-05-06",
    "/boats/CUR/": "/boats/CUR/boat.pdf",
    "/boats/CUR/going-in/": "/boats/CUR/lift-card.pdf",
}


@pytest.fixture
def paper(mara: Person, as_person: Use, monkeypatch: pytest.MonkeyPatch) -> Print:
    """What would be printed at an address."""
    client, sheets = as_person(mara), list[DaySheet]()

    def kept(sheet: DaySheet, _paper: object) -> bytes:
        sheets.append(sheet)
        return b""

    def printed(path: str) -> DaySheet:
        monkeypatch.setattr(asked, "day_sheet", kept)
        assert client.get(path).status_code == 200
        return sheets.pop()

    return printed


def boat(name: str) -> Boat:
    return Boat.objects.get(name=name)


def part(sheet: DaySheet, title: str) -> Section:
    return next(one for one in sheet.sections if one.title == title)


@pytest.mark.parametrize("path", PAPERS)
def test_each_is_printed_on_both_papers_and_linked_from_its_page(
    mara: Person, published: Fact, as_person: Use, path: str
) -> None:
    client = as_person(mara)
    for size in ("A4", "Letter"):
        answer = client.get(f"{path}?paper={size}")
        assert answer.content.startswith(b"%PDF"), size
    assert client.get(f"{path}?paper=A3").status_code == 422
    page = client.get(PAPERS[path]).content.decode()
    assert f'href="{path}"' in page
    assert f'href="{path}?paper=Letter"' in page


@pytest.mark.parametrize("path", LEADS)
def test_each_of_the_yards_pages_leads_to_both_papers(
    mara: Person, published: Fact, as_person: Use, path: str
) -> None:
    page, paper = as_person(mara).get(path).content.decode(), LEADS[path]
    more = "&amp;" if "?" in paper else "?"
    assert f'href="{paper}">On paper, A4<' in page
    assert f'href="{paper}{more}paper=Letter">Letter<' in page


def test_the_plan_has_each_boat_on_her_day_and_says_why_others_are_not_planned(
    mara: Person, planned: Job, paper: Print
) -> None:
    # Story A1: Curlew, told Tuesday in Ink, goes in and is handed over on Wednesday.
    assert planned.answer
    planned.answer["not_planned"] = [
        {"boat": "Sora", "because": "her draft is not known; measure it", "ink": None}
    ]
    planned.save()
    facts.add_published(entry(mara), {"plan": planned.answer, "job": str(planned.pk)})
    held_by(boat("Curlew"), mara, "battery_at_rest", Verdict.CANT_SAY)
    sheet = paper("/spring.pdf")
    assert sheet.say == "Ink late by 1 boat-day; no plan can do better."
    plan = queries.answer_of(planned)
    assert plan
    days = [one for one in sheet.sections if one.title.endswith(" May")]
    rows = {row[1]: row for one in days for row in one.rows}
    assert set(rows) == set(plan.told)
    assert rows["Curlew"] == (
        "06:38–07:08",
        "Curlew",
        "Travel lift",
        queries.her_water(plan.told["Curlew"], WED),
        "Ink Tue 6 May",
        "Wed 7 May",
        "1 day late, held",
    )
    assert rows["Avocet"][-1] == "in time"
    (first,) = part(sheet, "Look at these first").rows
    assert first[:2] == ("Curlew", "Wed 7 May 06:38")
    assert "Held: Battery at rest: Can't say. 1 day late." in first[-1]
    assert "a launch needs 30 min." in first[-1]
    assert part(sheet, "Not planned").rows == (("Sora", "her draft is not known; measure it."),)
    assert part(sheet, "Not known").rows[-1] == ("How sure the days in Ink are: not worked out.",)


def test_on_paper_too_the_plan_begins_today_and_says_first_that_it_no_longer_holds(
    published: Fact, paper: Print
) -> None:
    assert paper("/spring.pdf").sections[0].title != "The plan no longer holds"
    set_clock(MONDAY.replace(day=7))
    sheet = paper("/spring.pdf")
    assert sheet.sections[0].title == "The plan no longer holds"
    assert [one.title for one in sheet.sections if one.title.endswith(" May")] == [
        "Wednesday 7 May"
    ]


def test_whom_to_call_and_what_to_say(mara: Person, published: Fact, paper: Print) -> None:
    title = "Told a day that the plan does not keep"
    sheet = paper("/spring/calls.pdf")
    (row,) = part(sheet, title).rows
    said = "Wed 7 May; how sure is not known."
    assert row == ("Curlew", "A. Reeve, 555 0101", "Tue 6 May in Ink", said)
    job = Job.objects.get(what=queries.ODDS)
    job.answer, job.state = solve.ANSWERS[job.what](job.question), Job.State.DONE
    job.save()
    sure = queries.sure_of(boat("Curlew"))
    assert sure
    (row,) = part(paper("/spring/calls.pdf"), title).rows
    assert row[-1] == sure.sentence
    held_by(boat("Curlew"), mara, "battery_at_rest", Verdict.CANT_SAY)
    (row,) = part(paper("/spring/calls.pdf"), title).rows
    assert row[-1] == "Work out first how sure her day is."  # a reading came since
    job.answer["asked_at"] = Fact.objects.latest("received_at").received_at.isoformat()
    job.save()
    (row,) = part(paper("/spring/calls.pdf"), title).rows
    assert row[-1].startswith("Held now: Battery at rest: Can't say; no day counts before that")
    boat("Curlew").work.create(place_in_list=9, what="polish", trade="mechanic", minutes=30)
    sheet = paper("/spring/calls.pdf")
    assert sheet.sections[0].note == "replan before you call"
    (row,) = part(sheet, title).rows
    assert row[-1] == "Replan first."


def test_who_was_told_no_day_yet_and_is_held_says_so_on_paper_and_screen(
    mara: Person, published: Fact, paper: Print, as_person: Use
) -> None:
    for fact in Fact.objects.filter(boat__name="Teal", what="ink"):
        work_services.strike_out(entry(mara), fact, "never told")
    for name in ("Teal", "Curlew"):
        held_by(boat(name), mara, "battery_at_rest", Verdict.CANT_SAY)
    sheet = paper("/spring/calls.pdf")
    for title, name in (
        ("Told a day that the plan does not keep", "Curlew"),
        ("Told no day yet", "Teal"),
    ):
        (row,) = part(sheet, title).rows
        assert row[0] == name
        assert row[-1].startswith(f"Held now: {BATTERY}; no day counts before that")
    page = as_person(mara).get("/spring/").content.decode()
    listed = page[page.index('id="calls"') : page.index("The plan that holds")]
    assert listed.count(f"Held now:</b> {escape(BATTERY)}") == 2


def test_while_the_search_goes_on_the_paper_says_that_it_is_not_over(
    worked_out: Job, paper: Print
) -> None:
    assert paper("/spring/again.pdf").say.startswith("Not published yet")
    Job.objects.filter(pk=worked_out.pk).update(state=Job.State.RUNNING)
    sheet = paper("/spring/again.pdf")
    assert sheet.say == (
        "The search for the smallest change is not over: the best so far can't be published yet."
    )
    assert [one.title for one in sheet.sections] == ["The plan no longer holds", "The best so far"]
    Job.objects.filter(pk=worked_out.pk).update(state=Job.State.FAILED)  # as the page: none
    assert paper("/spring/again.pdf").say == "No change is worked out for the plan that holds."


def test_a_change_is_printed_whole_with_a_yes_for_each_ink_that_moves(
    worked_out: Job, paper: Print
) -> None:
    choice = queries.choices_in(worked_out)[0]
    sheet = paper("/spring/again.pdf")
    assert sheet.sections[0].title == "The plan no longer holds"
    changes = part(sheet, "The smallest change")
    assert choice.sentence in changes.note
    assert [words for _, words in changes.rows] == [
        words for one in choice.changes for words in one.words
    ]
    yes = part(sheet, "A day in Ink moves: owners to say yes")
    moved = {one.boat for one in queries.ink_moved(choice.plan)}
    assert {row[0] for row in yes.rows} == moved
    assert ("Plover", "Mon 5 May", "Tue 6 May") in yes.rows
    assert worked_out.answer
    worked_out.answer["plan"] = "another"
    worked_out.save()
    sheet = paper("/spring/again.pdf")
    assert sheet.say == "No change is worked out for the plan that holds."
    assert not any("change" in one.title for one in sheet.sections)


def test_promises_kept_are_printed_as_they_stand_on_the_page(
    mara: Person, three_days: object, paper: Print
) -> None:
    assert part(paper("/spring/promises-kept.pdf"), "Each promise").rows == ()
    for number in range(12):
        owner_services.tell_owner(entry(mara), boat("Plover" if number < 3 else "Teal"), WED, 0.8)
    set_clock(MONDAY.replace(day=8))
    sheet = paper("/spring/promises-kept.pdf")
    assert sheet.say.startswith("Of 12 promises told at 80 % in the mean, 0 were kept (0 %)")
    (band,) = part(sheet, "As told, and as kept").rows
    assert (band[0], band[1], band[2], band[-1]) == ("80 %", "12", "0", "does not hold")
    rows = part(sheet, "Each promise").rows
    assert len(rows) == 12
    assert rows[0][1:] == ("Wed 7 May", "80 %", "Mon 5 May, Mara; odds were not known", "missed")


def test_work_afloat_that_nobody_does_is_said_on_page_and_paper(
    mara: Person, published: Fact, as_person: Use, paper: Print
) -> None:
    left = {"boat": "Plover", "what": "mast stepped", "because": "Tomas is not there for it"}
    plan = published.body["plan"] | {"by_nobody": [left]}
    facts.add_published(entry(mara), published.body | {"plan": plan})
    page = as_person(mara).get("/spring/").content.decode()
    assert "Plover, mast stepped: Tomas is not there for it." in page
    section = part(paper("/spring.pdf"), "Work afloat that nobody does by this plan")
    assert section.rows == (("Plover", "mast stepped: Tomas is not there for it."),)
