"""What owners were told with odds, and what became of it."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.test import Client

from tests.conftest import entry, log_in, set_clock
from tests.launch.conftest import MONDAY
from yardwright.fleet.models import Boat
from yardwright.launch import owner_services
from yardwright.launch.promises_kept import promises_told
from yardwright.procedures.going_in import State
from yardwright.season.model import Right
from yardwright.work import facts
from yardwright.work import services as work_services
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
Post = Callable[..., dict[str, str]]
TUESDAY = date(2031, 5, 6)


def boat(name: str) -> Boat:
    return Boat.objects.get(name=name)


def became() -> dict[str, bool | None]:
    return {one.boat.name: one.kept for one in promises_told()}


def test_kept_missed_and_still_to_come(mara: Person) -> None:
    owner_services.tell_owner(entry(mara), boat("Plover"), TUESDAY, 0.8)
    owner_services.tell_owner(entry(mara), boat("Teal"), TUESDAY, 0.8)
    owner_services.tell_owner(entry(mara), boat("Avocet"), TUESDAY + timedelta(days=1), 0.95)
    assert became() == {"Plover": None, "Teal": None, "Avocet": None}
    set_clock(MONDAY + timedelta(days=1, hours=18))  # Tuesday 23:10: the day is not over yet
    facts.add_moved(entry(mara), boat("Plover"), State.HANDED_OVER)
    assert became() == {"Plover": True, "Teal": None, "Avocet": None}
    set_clock(MONDAY + timedelta(days=2))
    facts.add_moved(entry(mara), boat("Teal"), State.HANDED_OVER)
    assert became() == {"Plover": True, "Teal": False, "Avocet": None}


def test_handed_over_before_it_was_told_is_another_spring(mara: Person) -> None:
    facts.add_moved(entry(mara), boat("Plover"), State.HANDED_OVER)
    set_clock(MONDAY + timedelta(minutes=5))
    owner_services.tell_owner(entry(mara), boat("Plover"), TUESDAY, 0.8)
    set_clock(MONDAY + timedelta(days=2))
    assert became() == {"Plover": False}


def test_struck_out_it_counts_no_more(mara: Person) -> None:
    told = owner_services.tell_owner(entry(mara), boat("Plover"), TUESDAY, 0.8)
    work_services.strike_out(entry(mara), told, "it was Dunlin's owner")
    assert became() == {}


def test_the_page_says_it_in_a_sentence(mara: Person, as_person: Use) -> None:
    client = as_person(mara)
    assert (
        "0 promises told with odds so far" in client.get("/spring/promises-kept/").content.decode()
    )
    for number in range(12):
        owner_services.tell_owner(
            entry(mara), boat("Plover" if number < 3 else "Teal"), TUESDAY, 0.8
        )
    set_clock(MONDAY + timedelta(hours=6))
    facts.add_moved(entry(mara), boat("Plover"), State.HANDED_OVER)
    set_clock(MONDAY + timedelta(days=3))
    said = client.get("/spring/promises-kept/").content.decode()
    assert (
        "Of 12 promises told at 80 % in the mean, 3 were kept (25 %): we promise too much."
    ) in said
    assert "does not hold" in said
    # The mean square of 0.8 minus what became is 0.49; of 3/12, 0.1875.
    assert "it would have come as near, or nearer, to what happened." in said


def test_how_long_jobs_took_is_told_by_kind_with_what_odds_make_of_it(
    mara: Person, as_person: Use
) -> None:
    client = as_person(mara)
    page = "/spring/promises-kept/"
    assert "Nobody has said yet how long a job took" in client.get(page).content.decode()
    for number, name in enumerate(("Plover", "Curlew", "Avocet")):
        hers = boat(name)
        hers.work.create(place_in_list=9, what="gelcoat", trade="yard hand", minutes=120)
        work_services.finish_work(entry(mara), hers, "gelcoat", 240)
        too_few = "said of fewer than 3" in client.get(page).content.decode()
        assert too_few == (number < 2), number
    said = client.get(page).content.decode()
    # By hand: three at twice and five's worth of once, exp(3 ln 2 / 8) = 1.30.
    assert "1.30 times its minutes" in said
    assert "120 min" in said
    assert "240 min" in said
    assert "on 0 of 3" in said
    assert "Mara" not in said.partition('id="took"')[2].partition("</section>")[0]


def test_told_on_the_page_once(mara: Person, as_person: Use, post: Post) -> None:
    told = post(day="2031-05-06", percent="83.4")
    for _ in range(2):
        answer = as_person(mara).post("/boats/PLO/told/", told)
        assert (answer.status_code, answer["Location"]) == (302, "/boats/PLO/")
    (fact,) = Fact.objects.filter(kind=Kind.TOLD)
    assert fact.body == {"day": "2031-05-06", "odds": pytest.approx(0.834)}


@pytest.mark.parametrize("percent", ["0", "100", "-5", "99.5"])
def test_no_day_is_certain_and_none_is_hopeless(
    mara: Person, as_person: Use, post: Post, percent: str
) -> None:
    typed = post(day="2031-05-06", percent=percent)
    answer = as_person(mara).post("/boats/PLO/told/", typed)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert "give 1 to 99 %, as you said it." in page
    assert f'value="{percent}"' in page  # what was typed stays
    assert not Fact.objects.filter(kind=Kind.TOLD).exists()


def test_a_day_after_the_season_is_told_nobody(mara: Person, as_person: Use, post: Post) -> None:
    typed = post(day="9999-12-31", percent="80")
    answer = as_person(mara).post("/boats/PLO/told/", typed)
    assert answer.status_code == 409
    page = answer.content.decode()
    assert "Fri 31 Dec 9999 is after the season, which ends Wed 7 May." in page
    assert "Tell a day of the season, or set its last day on The yard." in page
    assert 'value="9999-12-31"' in page
    assert not Fact.objects.filter(kind=Kind.TOLD).exists()


@pytest.mark.parametrize("typed", [{"percent": "80"}, {"day": "2031-05-06", "percent": "120"}])
def test_what_is_wrong_writes_nothing(
    mara: Person, as_person: Use, post: Post, typed: dict[str, str]
) -> None:
    assert as_person(mara).post("/boats/PLO/told/", post(**typed)).status_code == 422
    assert not Fact.objects.filter(kind=Kind.TOLD).exists()


def test_refusals(mara: Person) -> None:
    for sure in (0.0, 1.0):
        with pytest.raises(Refused, match="more than 0, less than 100 %"):
            owner_services.tell_owner(entry(mara), boat("Plover"), TUESDAY, sure)
    with pytest.raises(Refused, match="has passed"):
        owner_services.tell_owner(entry(mara), boat("Plover"), date(2031, 5, 4), 0.8)
    with pytest.raises(Refused, match="Ask Mara"):
        owner_services.tell_owner(entry(log_in("Tomas", Right.PROVE)), boat("Plover"), TUESDAY, 0.8)
