"""Classes, the dates of their term, and practice boats that are no boats of the yard."""

from collections.abc import Callable
from datetime import UTC, date, datetime
from uuid import uuid4

import pytest
from django.test import Client
from icalendar import Calendar

from tests.conftest import log_in
from yardwright.fleet.models import Boat
from yardwright.school.models import ClassGroup, Meeting, PracticeBoat
from yardwright.season.model import Right
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
TERM = {"name": "Spring class", "begins": "2031-05-05", "ends": "2031-06-06"}


@pytest.fixture
def group(vera: Person, timo: Person) -> ClassGroup:
    made = ClassGroup.objects.create(
        name="Spring class", teacher=vera, begins=date(2031, 5, 5), ends=date(2031, 6, 6)
    )
    made.learners.set([timo])
    return made


def post(**typed: str) -> dict[str, object]:
    return {"uuid": str(uuid4()), **typed}


def test_a_class_is_made_by_who_teaches(vera: Person, timo: Person, as_person: Use) -> None:
    asked = {**post(**TERM), "learners": [timo.pk]}
    assert as_person(timo).post("/school/classes/new/", asked).status_code == 409
    client = as_person(vera)
    answer = client.post("/school/classes/new/", asked)
    assert answer.status_code == 302
    group = ClassGroup.objects.get()
    assert (group.teacher, [*group.learners.all()]) == (vera, [timo])
    page = client.get(answer["Location"]).content.decode()
    assert "Vera teaches Timo." in page
    twice = client.post("/school/classes/new/", {**post(**TERM), "learners": [timo.pk]})
    assert twice.status_code == 409
    assert "There is a class Spring class already" in twice.content.decode()
    assert "Spring class" in as_person(timo).get("/school/").content.decode()


@pytest.mark.parametrize(
    ("typed", "status", "says"),
    [
        ({"name": ""}, 422, "Fill this in."),
        ({"begins": "May"}, 422, "That is no day; write it like"),
        ({"ends": "2031-05-01"}, 409, "before it begins"),
        ({"learners": []}, 422, "Nobody is in it"),
    ],
)
def test_bad_input_makes_none_and_keeps_what_was_typed(
    vera: Person, timo: Person, as_person: Use, typed: dict[str, object], status: int, says: str
) -> None:
    asked = {**post(**TERM), "learners": [timo.pk], **typed}
    answer = as_person(vera).post("/school/classes/new/", asked)
    assert answer.status_code == status
    page = answer.content.decode()
    assert says in page
    assert "2031" in page
    assert not ClassGroup.objects.exists()


def test_the_dates_of_a_term(group: ClassGroup, vera: Person, timo: Person, as_person: Use) -> None:
    here, client = f"/school/classes/{group.pk}/", as_person(vera)
    timo.off = ["2031-05-07"]
    timo.save()
    asked = post(day="2031-05-07", begins="08:00", minutes="90", what="Hull openings", where="Shed")
    for _ in range(2):  # a second tap changes nothing
        assert client.post(here, asked).status_code == 302
    (meeting,) = Meeting.objects.all()
    assert meeting.starts == datetime(2031, 5, 7, 12, 0, tzinfo=UTC)  # 08:00 in New York, summer
    page = client.get(here).content.decode()
    assert "08:00 to 09:30" in page
    assert "Away that day: Timo." in page
    timo.off, timo.away = [], [["2031-05-07", "09:00", "10:00", "dentist"]]
    timo.save()
    page = client.get(here).content.decode()
    assert "Away that day: Timo (09:00 to 10:00)." in page
    timo.away = [["2031-05-07", "09:30", "10:00", "dentist"]]  # after it
    timo.save()
    assert "Away that day" not in client.get(here).content.decode()
    timo.off = ["2031-05-07"]
    timo.save()
    late = client.post(here, {**asked, "uuid": str(uuid4()), "day": "2031-07-01"})
    assert late.status_code == 409
    assert "The term is 05 May 2031 to 06 Jun 2031." in late.content.decode()
    assert client.post(here, post(day="2031-05-08")).status_code == 422
    learner = as_person(timo)
    assert "Set the date" not in learner.get(here).content.decode()
    assert learner.post(here, {**asked, "uuid": str(uuid4())}).status_code == 409
    off = {"meeting": str(meeting.pk)}
    assert learner.post(f"{here}call-off/", off).status_code == 409
    assert as_person(vera).post(f"{here}call-off/", off).status_code == 302
    assert "called off" in client.get(here).content.decode()
    assert client.get(f"{here}call-off/").status_code == 405


def test_others_don_t_see_a_class(group: ClassGroup, as_person: Use, client: Client) -> None:
    ole = log_in("Ole", Right.PROVE)
    assert as_person(ole).get(f"/school/classes/{group.pk}/").status_code == 404
    assert as_person(ole).get(f"/school/classes/{group.pk}.pdf").status_code == 404
    assert as_person(ole).get(f"/school/classes/{group.pk}/calendar/").status_code == 409
    assert "Spring class" not in as_person(ole).get("/school/").content.decode()
    client.logout()
    assert client.get("/school/").status_code == 302


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_term_on_paper(group: ClassGroup, vera: Person, as_person: Use, paper: str) -> None:
    here = f"/school/classes/{group.pk}.pdf"
    assert as_person(vera).get(f"{here}?paper={paper}").content.startswith(b"%PDF")
    assert as_person(vera).get(f"{here}?paper=A3").status_code == 422


def test_the_term_in_a_calendar(
    group: ClassGroup, vera: Person, timo: Person, as_person: Use, client: Client
) -> None:
    # Read back by a library that is not ours.
    starts = datetime(2031, 5, 7, 12, 0, tzinfo=UTC)
    group.meetings.create(starts=starts, minutes=90, what="Hull openings", where="Shed")
    off = group.meetings.create(starts=starts, minutes=90, what="Engines")
    Meeting.objects.filter(pk=off.pk).update(off_at=starts)
    page = as_person(timo).get(f"/school/classes/{group.pk}/calendar/")
    address = page.context["address"]
    client.logout()
    told = Calendar.from_ical(client.get(address).content)
    (event,) = told.walk("VEVENT")
    assert str(event["SUMMARY"]) == "Spring class: Hull openings"
    assert event.decoded("DTSTART") == starts
    assert (event.decoded("DTEND") - starts).total_seconds() == 5400
    assert str(event["LOCATION"]) == "Shed"
    ended = as_person(vera).post(f"/school/classes/{group.pk}/calendar/", {"edition": "0"})
    assert ended.status_code == 302
    assert client.get(address).status_code == 404


def test_a_practice_boat_is_no_boat_of_the_yard(vera: Person, timo: Person, as_person: Use) -> None:
    teal, new = Boat.objects.get(name="Teal"), "/school/boats/new/"
    client = as_person(vera)
    before = (Boat.objects.count(), client.get("/").content, client.get("/left-undone/").content)
    assert client.post(new, post(name="Coot", like=str(teal.pk))).status_code == 302
    coot = PracticeBoat.objects.get()
    assert coot.has == teal.has
    assert Boat.objects.count() == before[0]
    assert "Coot" not in client.get("/left-undone/").content.decode()
    assert "Coot" not in client.get("/boats/").content.decode()
    for name, says in (("Coot", "a practice boat Coot already"), ("Teal", "is a real boat")):
        answer = client.post(new, post(name=name, like=str(teal.pk)))
        assert answer.status_code == 409
        assert says in answer.content.decode()
    assert client.post(new, post(name="Ruff")).status_code == 422
    assert as_person(timo).post(new, post(name="Ruff", like=str(teal.pk))).status_code == 409
    assert PracticeBoat.objects.count() == 1
