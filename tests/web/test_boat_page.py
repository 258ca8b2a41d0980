"""The Boat Page answers: where is she, what is left undone, does she float, may she start."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

import pytest
from django.test import Client
from django.utils.html import escape
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in, set_clock
from yardwright.fleet.models import Boat
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Proof
from yardwright.procedures.step import Has, Season
from yardwright.procedures.steps import book, steps_for
from yardwright.season.model import Right
from yardwright.work import facts, services
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person, Yard

NOW = datetime.fromisoformat("2031-05-02T10:00-04:00")


@pytest.fixture
def ines(teal: Boat) -> Person:
    set_clock(NOW)
    return log_in("Ines", Right.PROVE)


@pytest.fixture
def page(teal: Boat, ines: Person, as_person: Callable[[Person], Client]) -> Callable[[], str]:
    client = as_person(ines)
    return lambda: client.get(f"/boats/{teal.tag}/").content.decode()


def test_eleven_things_and_her_water(page: Callable[[], str]) -> None:
    text = page()
    assert "11 things left undone" in text
    assert "Must not start" in text
    assert "stop-switch lanyard" in text
    assert "floats at our sill" in text


def test_uncounted_openings_are_not_known(teal: Boat, page: Callable[[], str]) -> None:
    counted = Fact.objects.get(kind=Kind.LOOKED, what="all openings counted")
    facts.add_struck_out(entry(counted.by), counted, "counted the wrong boat")
    text = page()
    assert 'class="answer unknown"' in text
    assert "openings" in text


def test_the_way_of_the_water_and_the_one_thing_to_do(
    teal: Boat, ines: Person, page: Callable[[], str]
) -> None:
    counted = entry(ines, timedelta(minutes=5))
    facts.add_looked(counted, teal, "all openings counted", holds=True)
    text = page()
    assert "Would take water" in text
    assert "44 to 59 L/min" in text  # orifice formula by hand: 25.4 mm, 0.30 m, 0.6 to 0.8
    assert "sea → " in text


def test_what_nobody_has_answered_stands_beside_the_answer(
    teal: Boat, ines: Person, page: Callable[[], str]
) -> None:
    # Teal has an outboard, a speed sensor and a bilge pump; story A3 lists drain, livewell, sensor.
    assert (
        "splash well, sounder&#x27;s transducer, bilge pump&#x27;s outlet, cockpit drains. <a"
        in page()
    )
    for code in ("splash well", "sounder's transducer", "bilge pump's outlet", "cockpit drains"):
        facts.add_looked(entry(ines), teal, f"{code} aboard", holds=False)
    assert "Nobody has said whether" not in page()


def test_where_is_her_key(teal: Boat, ines: Person, page: Callable[[], str]) -> None:
    assert "nobody has said where it is" in page()
    services.undo(entry(ines), teal, book().kinds["key"], lies="hook 22")
    assert "Her key: hook 22" in page()
    key = Fact.objects.get(kind=Kind.UNDONE, what="Key ashore")
    services.put_back(entry(ines), key, Proof.LOOKED)
    assert "Her key was given back 02 May by Ines" in page()


def test_twelve_queries(
    teal: Boat,
    ines: Person,
    as_person: Callable[[Person], Client],
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    client = as_person(ines)
    with django_assert_max_num_queries(12):
        assert client.get(f"/boats/{teal.tag}/").status_code == 200


def test_small_letters_find_her_too(
    teal: Boat, ines: Person, as_person: Callable[[Person], Client]
) -> None:
    assert as_person(ines).get(f"/boats/{teal.tag.lower()}/").status_code == 200


def test_no_such_boat(ines: Person, as_person: Callable[[Person], Client]) -> None:
    assert as_person(ines).get("/boats/QQQ/").status_code == 404


def test_a_stranger_is_sent_to_log_in(teal: Boat, client: Client) -> None:
    answer = client.get(f"/boats/{teal.tag}/")
    assert answer.headers["Location"] == f"/sign-in/?next=/boats/{teal.tag}/"


def test_only_looking(teal: Boat, ines: Person, as_person: Callable[[Person], Client]) -> None:
    assert as_person(ines).post(f"/boats/{teal.tag}/").status_code == 405


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_its_paper_twin(
    teal: Boat, ines: Person, as_person: Callable[[Person], Client], paper: str
) -> None:
    answer = as_person(ines).get(f"/boats/{teal.tag}/boat.pdf?paper={paper}")
    assert answer.headers["Content-Type"] == "application/pdf"
    assert answer.content.startswith(b"%PDF")


def test_last_season_s_steps_are_to_do_again(
    teal: Boat, ines: Person, page: Callable[[], str]
) -> None:
    first, second = steps_for(frozenset(Has(tag) for tag in teal.has), Season.SPRING)[:2]
    facts.add_done(entry(ines, timedelta(days=400)), teal, first.code, "step")
    assert second.title in page()
    facts.add_moved(entry(ines, timedelta(days=300)), teal, State.HANDED_OVER)
    facts.add_moved(entry(ines, timedelta(days=30)), teal, State.FITTING_OUT)
    assert f">{escape(first.title)}</a>" in page()


def test_the_water_s_way_is_drawn_and_told(page: Callable[[], str]) -> None:
    text = page()
    assert text.count('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 560 ') == 2  # and land
    assert text.count('<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 340 ') == 2
    assert "4 barriers: open 2, holds 2. Water gets to the bilge." in text
    told = text.split("The same in words")[1]
    assert "livewell seacock</a> sea → livewell hose" in told
    # proven 10 April, asked 2 May: more than a day ago
    assert "holds: proven 10 Apr by Ines; to be proven again within 24 h of going in" in told
    assert "stern drain plug</a> sea → bilge" in told
    land = text.split("Rain and melt, on land")[1]
    assert "lets rain out: out, not put back yet" in land
    assert "not known: never looked at" in land  # her cover


def test_a_proof_of_today_says_until_when_she_may_go_in_on_it(
    teal: Boat, ines: Person, page: Callable[[], str]
) -> None:
    facts.add_looked(entry(ines, timedelta(hours=1)), teal, "livewell seacock", holds=True)
    # looked at 2 May 09:00, good for 24 hours
    assert "holds: proven 2 May by Ines; good for going in until Sat 3 May 09:00" in page()


def test_a_boat_without_a_list_is_sent_to_what_she_should_have(
    ines: Person, as_person: Callable[[Person], Client]
) -> None:
    Boat.objects.create(name="Knot", tag="KNO")
    text = as_person(ines).get("/boats/KNO/").content.decode()
    assert "No way in is listed for her." in text
    assert 'href="/boats/KNO/fittings/"' in text


def test_what_stands_open_off_her_list_is_asked_onto_it(
    teal: Boat, ines: Person, page: Callable[[], str]
) -> None:
    plug = Fact.objects.get(kind=Kind.UNDONE, what__startswith="stern drain")
    ada = log_in("Ada", Right.PROVE)
    backs = [facts.add_put_back(entry(one), plug, Proof.FELT) for one in (ines, ada)]
    services.remove_way_in(entry(ines), teal.ways_in.get(name="stern drain plug"))
    facts.add_looked(entry(ines), teal, "all openings counted", holds=True)
    for back in backs:
        facts.add_struck_out(entry(ines), back, "it was the other boat")
    text = page()
    assert "Write stern drain plug down among her ways in" in text
    assert 'href="/boats/TEA/ways-in/new/?name=stern%20drain%20plug"' in text
    assert '<span class="mark">' in text.split("Would she float?")[1][:40]
    assert "Not known" in text.split("Would she float?")[1][:900]


def test_a_frost_that_can_still_come_is_said_at_her(
    teal: Boat, ines: Person, as_person: Callable[[Person], Client]
) -> None:
    steps = {step.code: step for step in book().steps}
    filled = steps["fresh_water_rinsed"]
    facts.add_done(entry(ines), teal, filled.code, "step", filled)
    client = as_person(ines)

    def says() -> list[str]:
        pages = (f"/boats/{teal.tag}/", f"/boats/{teal.tag}/at-hand/")
        return [client.get(page).content.decode() for page in pages]

    assert all("Nobody has said when the last frost is" in page for page in says())
    Yard.objects.update(last_frost=date(2031, 5, 6), first_day=date(2031, 4, 1))
    for page in says():
        assert "A frost can still come until Tue 6 May: drain her again, or keep her warm." in page
        assert filled.title in page
    Yard.objects.update(last_frost=date(2031, 5, 2))
    assert not any("frost can still" in page for page in says())
