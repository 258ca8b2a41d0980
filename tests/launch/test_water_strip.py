"""When can which boat float: the strip, live."""

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from django.test import Client

from tests.conftest import entry, log_in
from tests.web import a_plan
from yardwright.fleet.models import Boat
from yardwright.launch import services, strip
from yardwright.launch.views.water import HIGH_PX
from yardwright.papers.day_sheet import DaySheet
from yardwright.season.yard_time import Launch
from yardwright.work import facts
from yardwright.yard import asked, clock
from yardwright.yard.models import Job, Lift, Person, Tide
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
TUESDAY = date(2031, 5, 6)


def floats(boat: str, day: date = TUESDAY) -> list[str]:
    return next(one for one in strip.strip(day).lines if one.boat.name == boat).floats


def test_the_windows_are_the_story_s(mara: Person) -> None:
    # Story A1, worked out by hand, each within a minute.
    assert floats("Dunlin")[0] == "04:41–10:45"
    assert floats("Curlew") == ["05:38–09:45", "18:05–22:05"]
    assert floats("Avocet", date(2031, 5, 7))[0] == "07:18–09:55"


def test_a_new_draft_moves_her_window(mara: Person) -> None:
    before = floats("Curlew")
    Boat.objects.filter(name="Curlew").update(draft_m=1.45)  # now she draws what Dunlin does
    assert floats("Curlew") != before
    assert floats("Curlew") == floats("Dunlin")


def test_a_draft_not_known_is_said(mara: Person, as_person: Use) -> None:
    Boat.objects.filter(name="Curlew").update(draft_m=None)
    page = as_person(mara).get("/water/?day=2031-05-06").content.decode()
    assert "not known: measure her draft" in page


def test_the_page_shows_a_day_and_a_week(planned: Job, mara: Person, as_person: Use) -> None:
    services.publish(entry(mara), planned)
    client = as_person(mara)
    page = client.get("/water/?day=2031-05-06").content.decode()
    assert "First high water Tue 07:40, 1.42 m." in page
    assert "Less sure between high and low water" in page
    assert "Dunlin goes in 06:00" in page
    assert "?day=2031-05-07" in page
    assert "Curlew goes in Wed 7 May 06:38" in page
    week = client.get("/water/?day=2031-05-05&days=7").content.decode()
    assert "Wed 06:38–10:35" in week
    today = client.get("/water/").content.decode()
    assert "Next high water Mon 06:50, 1.45 m." in today
    assert client.get("/water/?day=yesterday&days=900").status_code == 200


def test_its_paper_has_the_same_words_and_each_drawing_stands_on_one_page(
    planned: Job, mara: Person, as_person: Use, monkeypatch: pytest.MonkeyPatch
) -> None:
    services.publish(entry(mara), planned)
    client, sheets = as_person(mara), list[DaySheet]()
    page = client.get("/water/?day=2031-05-06").content.decode()
    for size in ("", "&amp;paper=Letter"):
        assert f'href="/water.pdf?day=2031-05-06{size}"' in page
        to = f"/water.pdf?day=2031-05-06{size}".replace("&amp;", "&")
        assert client.get(to).content.startswith(b"%PDF")
    assert client.get("/water.pdf?paper=A3").status_code == 422

    def kept(sheet: DaySheet, _paper: object) -> bytes:
        sheets.append(sheet)
        return b""

    monkeypatch.setattr(asked, "day_sheet", kept)
    client.get("/water.pdf?day=2031-05-06")
    (sheet,) = sheets
    assert f'<p class="say">{sheet.say}</p>' in page
    assert sheet.address.endswith("/water/?day=2031-05-06")
    rows = {row[0]: row for row in sheet.sections[-1].rows}
    plain = re.sub(r"<[^>]+>", "", page)
    for words in rows["Curlew"]:
        assert words in plain
    for n in range(40):
        knot = Boat.objects.create(name=f"Knot {n}", tag=f"{n:03}", draft_m=1.0)
        facts.add_promised(entry(mara), knot, "pencil", TUESDAY)
    client.get("/water.pdf?day=2031-05-05&days=7")
    drawn = [one.drawing for one in sheets[-1].sections if one.drawing]
    assert len(drawn) > 1
    assert all(one.height <= HIGH_PX for one in drawn)
    assert all(any(f"Knot {n} " in one.svg for one in drawn) for n in range(40))
    assert client.get("/water.pdf?day=2031-07-01").status_code == 200
    assert "01 Jul 2031 is outside" in sheets[-1].say


def test_outside_the_table_and_without_a_sill_it_says_so(mara: Person, as_person: Use) -> None:
    client = as_person(mara)
    page = client.get("/water/?day=2031-07-01").content.decode()
    assert "01 Jul 2031 is outside" in page
    yard = clock.the_yard()
    yard.sill_height_m = None
    yard.save()
    clock.remember(None)
    page = client.get("/water/?day=2031-05-06").content.decode()
    assert "The sill was never measured. Enter its height and datum on The yard." in page
    with pytest.raises(Refused, match="never measured"):
        strip.strip(TUESDAY)


def test_it_works_from_a_station_too(teal: Boat, as_person: Use) -> None:
    page = as_person(log_in("Mara")).get("/water/?day=2031-05-03").content.decode()
    assert "Portland" in page
    assert "Less sure" not in page
    assert "Teal" in page


def test_300_boats_stay_within_the_queries(
    planned: Job, mara: Person, as_person: Use, django_assert_max_num_queries: Callable[..., object]
) -> None:
    services.publish(entry(mara), planned)
    Job.objects.create(what="plan", state=Job.State.DONE, answer=planned.answer)
    boats = [Boat(name=f"Knot {n}", tag=f"{n:03}", draft_m=1.0) for n in range(300)]
    Boat.objects.bulk_create(boats)
    client = as_person(mara)
    with django_assert_max_num_queries(56):  # type: ignore[attr-defined]
        client.get("/spring/")  # it asks whether the plan still holds, and what holds boats now
    with django_assert_max_num_queries(21):  # type: ignore[attr-defined]
        client.get("/water/")  # by then it is known
    with django_assert_max_num_queries(13):  # type: ignore[attr-defined]
        client.get("/boats/CUR/going-in/")


def test_strangers_and_other_methods(client: Client, mara: Person, as_person: Use) -> None:
    assert client.get("/water/").status_code == 302
    assert as_person(mara).post("/water/").status_code in (405, 403)


def test_where_the_tide_is_small_the_wind_decides(mara: Person, as_person: Use) -> None:
    url = "/water/?day=2031-05-06"
    assert "the wind decides" not in as_person(mara).get(url).content.decode()
    Tide.objects.filter(turn="HW").update(level_m=0.45)  # its low waters stand at 0.10 to 0.22 m
    assert "the wind decides" in as_person(mara).get(url).content.decode()


def test_a_launch_whose_lift_is_held_or_unmanned_is_hatched_with_why(
    planned: Job, mara: Person, as_person: Use
) -> None:
    services.publish(entry(mara), planned)
    client, url = as_person(mara), "/water/?day=2031-05-06"
    page = client.get(url).content.decode()
    assert "Dunlin goes in 06:00" in page
    pages = (url, "/rows/", "/phone/")
    for path in pages:
        assert "The plan no longer holds" not in client.get(path).content.decode()
    gusts = ["2031-05-06T06:00-04:00", "2031-05-06T16:00-04:00", "gusts"]
    Lift.objects.update(holds=[gusts])
    for path in pages:
        assert "The plan no longer holds" in client.get(path).content.decode()
    page = client.get(url).content.decode()
    assert "Dunlin goes in" not in page
    assert "Dunlin does not go in Tue 6 May 06:00: The " in page
    assert ": gusts." in page
    dunlin = next(one for one in strip.strip(TUESDAY).lines if one.boat.name == "Dunlin").water
    assert (dunlin.launch, str(dunlin.refused)[:5]) == (None, "06:00")
    Person.objects.filter(name="Tomas").update(off=["2031-05-06"])
    Lift.objects.update(holds=[], run_by=["Tomas"])
    assert "Nobody who may run the" in client.get(url).content.decode()
    assert "The plan no longer holds" not in client.get("/water/?day=2031-05-01").content.decode()


def test_when_the_lift_is_open_held_or_unmanned_is_drawn_and_said(
    mara: Person, as_person: Use
) -> None:
    client, url = as_person(mara), "/water/?day=2031-05-06"

    def page() -> str:
        return client.get(url).content.decode()

    assert "<b>Travel lift</b>: open 06:00–16:00." in page()
    assert "18:05–22:05</span> (no lift open)" in page()  # Curlew's evening water, story A1
    Lift.objects.update(longer=[["2031-05-06", "18:05", "18:35", "the evening tide"]])
    assert "<b>Travel lift</b>: open 06:00–16:00, 18:05–18:35." in page()
    assert "18:05–22:05</span> (no lift open)" not in page()
    tomorrow = client.get("/water/?day=2031-05-07").content.decode()
    assert "<b>Travel lift</b>: open 06:00–16:00." in tomorrow
    Lift.objects.update(longer=[])
    gusts = ["2031-05-06T08:00-04:00", "2031-05-06T09:30-04:00", "gusts"]
    Lift.objects.update(holds=[gusts], run_by=["Tomas"])
    hours = (
        "<b>Travel lift</b>: open 07:00–08:00, 09:30–12:00, 12:30–15:30; held 08:00–09:30: gusts"
    )
    away = "nobody in to run it 06:00–07:00, 12:00–12:30, 15:30–16:00."
    assert f"{hours}; {away}" in page()  # of its own hours, so not outside of them
    assert ">gusts</text>" in page()
    assert ">nobody in</text>" in page()
    Person.objects.filter(name="Tomas").update(off=["2031-05-06"])
    away = "nobody in to run it 06:00–08:00, 09:30–16:00."
    assert f"not open; held 08:00–09:30: gusts; {away}" in page()
    assert "dashed where nobody is in who may run it" in page()
    assert ">nobody in</text>" in page()
    Lift.objects.all().delete()
    assert "No lift is on file, so nobody knows when a boat can be lifted." in page()


def a_crane(name: str = "Crane", opens: str = "09:00") -> None:
    crane = Lift.objects.get(name="Travel lift")
    crane.pk, crane.name, crane.opens = None, name, opens
    crane.save()


def test_of_several_lifts_those_are_shown_that_the_launches_use(
    planned: Job, mara: Person, as_person: Use
) -> None:
    services.publish(entry(mara), planned)
    a_crane()
    page = as_person(mara).get("/water/?day=2031-05-06").content.decode()
    assert "<b>Travel lift</b>: open 06:00–16:00." in page  # Dunlin goes in by it
    assert "<b>Crane</b>" not in page
    assert "Of the lifts that the launches shown here use." in page
    assert "18:05–22:05</span> (Travel lift not open)" in page


def test_without_a_launch_each_lift_is_shown_and_those_open_alike_together(
    mara: Person, as_person: Use
) -> None:
    a_crane()
    client, url = as_person(mara), "/water/?day=2031-05-06"
    page = client.get(url).content.decode()
    assert "<b>Travel lift</b>: open 06:00–16:00." in page
    assert "<b>Crane</b>: open 09:00–16:00." in page
    assert "Of the lifts that" not in page
    Lift.objects.update(opens="06:00")
    page = client.get(url).content.decode()
    assert "<b>Travel lift and Crane</b>: open 06:00–16:00." in page


def test_a_launch_of_a_pair_shows_both_and_is_hatched_only_where_both_are_held(
    mara: Person, as_person: Use
) -> None:
    a_crane("B", "06:00")
    a_crane()
    pair = replace(a_plan.LAUNCHES[0], lift="Travel lift or B")
    by_crane = Launch("Curlew", a_plan.at("09:00"), a_plan.at("09:30"), None, False, 0, "Crane")
    a_plan.publish(mara, launches=(pair, by_crane))
    client, url = as_person(mara), "/water/?day=2031-05-06"
    page = client.get(url).content.decode()
    assert "<b>Travel lift and B</b>: open 06:00–16:00." in page
    assert "<b>Crane</b>: open 09:00–16:00." in page
    assert "18:05–22:05</span> (Crane not open)" in page  # Curlew's
    gusts = ["2031-05-06T08:00-04:00", "2031-05-06T12:00-04:00", "gusts"]
    Lift.objects.filter(name="B").update(holds=[gusts])
    assert "Dunlin goes in 09:00" in client.get(url).content.decode()
    Lift.objects.filter(name="Travel lift").update(holds=[gusts])
    page = client.get(url).content.decode()
    assert "Dunlin does not go in Tue 6 May 09:00: The " in page
    assert "Dunlin goes in" not in page


def not_open(boat: str) -> list[str]:
    """What is said beside each of her waters."""
    line = next(one for one in strip.strip(TUESDAY).lines if one.boat.name == boat)
    return [said for _, said in line.waters]


def test_of_each_water_it_is_her_own_lift_that_is_open_long_enough_or_not(mara: Person) -> None:
    a_crane(opens="06:00")
    a_plan.publish(mara)  # Dunlin at nine, fetched at 08:45; her water is 04:41 to 10:45
    Lift.objects.filter(name="Travel lift").update(opens="11:00")
    assert not_open("Dunlin")[0] == "Travel lift not open"  # though the crane is
    Lift.objects.filter(name="Travel lift").update(opens="10:01")  # 44 min, and she needs 15 and 30
    assert not_open("Dunlin")[0] == "Travel lift not open long enough"
    Lift.objects.filter(name="Travel lift").update(opens="09:59")
    assert not_open("Dunlin")[0] == ""
    # Curlew has no launch yet: 05:38 to 09:45 and 18:05 to 22:05 are her waters.
    Lift.objects.filter(name="Travel lift").update(opens="11:00")
    Boat.objects.filter(name="Curlew").update(lift="", weight_kg=None)
    assert not_open("Curlew") == ["none of these lifts open", "none of these lifts open"]
    Boat.objects.filter(name="Curlew").update(lift="", weight_kg=3000)
    assert not_open("Curlew") == ["", "no lift open"]  # the crane may
    Boat.objects.filter(name="Curlew").update(lift="Travel lift")
    assert not_open("Curlew") == ["Travel lift not open", "Travel lift not open"]
