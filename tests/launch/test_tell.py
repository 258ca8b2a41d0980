"""A surprise is told where its change is planned: who is off, what comes late, when no lift carries."""

from collections.abc import Callable, Mapping
from datetime import datetime

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.utils.html import escape
from pytest_django import DjangoAssertNumQueries

from tests.conftest import log_in, set_clock
from tests.launch.conftest import MONDAY
from yardwright.fleet.models import Part
from yardwright.launch.views.surprises import KINDS, to_tell
from yardwright.season.model import Right
from yardwright.work.models import Fact
from yardwright.yard import services
from yardwright.yard.models import Lift, Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
AT = "/spring/again/"
MON_TO_WED = ["2031-05-05", "2031-05-06", "2031-05-07"]
WIND = {"starts": "2031-05-06T06:00", "ends": "2031-05-06T16:00", "why": "wind, gusts"}
EVENING = {"day": "2031-05-06", "starts": "18:05", "ends": "18:35", "why": "the evening tide"}
DENTIST = {"first": "2031-05-06", "starts": "08:00", "ends": "10:00"}


@pytest.fixture
def page(mara: Person, as_person: Use) -> Client:
    return as_person(mara)


def sent(client: Client, what: str, status: int, given: Mapping[str, object]) -> str:
    """What the page says then; where it was taken, the page that it leads to."""
    fields = {f"{what}-{name}": value for name, value in given.items()}
    answer = client.post(f"{AT}tell/{what}/", fields)
    assert answer.status_code == status, answer.content.decode()
    if status != 302:
        return answer.content.decode()
    assert answer["Location"] == f"{AT}#understood"
    return client.get(AT).content.decode()


def pk(name: str) -> int:
    return Person.objects.get(name=name).pk


def everything() -> list[object]:
    return [[*table.objects.values()] for table in (Person, Part, Lift, User)]


def test_who_is_sick_is_off_on_those_days_too_and_keeps_all_else(page: Client) -> None:
    log_in("Ines", Right.PROVE)
    Person.objects.filter(name="Ines").update(off=["2031-05-20"])
    before = Person.objects.filter(name="Ines").values()[0]
    given = {"person": pk("Ines"), "first": "2031-05-05", "last": "2031-05-07"}
    for said in (sent(page, "away", 302, given), sent(page, "away", 302, given)):
        assert "Ines is off Mon 5 May to Wed 7 May: 3 days." in said
        assert f'href="/yard/people/{pk("Ines")}/"' in said
        after = Person.objects.filter(name="Ines").values()[0]  # a second tap changes nothing
        assert after == before | {"off": [*MON_TO_WED, "2031-05-20"]}
        assert User.objects.get(username="Ines").is_active
    assert "3 days." not in page.get(AT).content.decode()  # said once


def test_what_breaks_by_it_is_said_apart_from_what_was_known_before(
    page: Client, published: Fact
) -> None:
    del published
    by_it = "By this the plan no longer holds."
    tomas = {"person": pk("Tomas"), "first": "2031-05-08", "last": ""}  # after all of its days
    said = sent(page, "away", 302, tomas)
    assert "Tomas is off Thu 8 May." in said
    assert "The plan still holds" in said
    said = sent(page, "away", 302, {"person": pk("Ines"), "first": "2031-05-05", "last": ""})
    assert by_it in said
    assert "Ines is off Mon 5 May: " in said.partition('id="broken"')[2]
    assert "by what was known before" not in said
    assert "Plan the smallest change" in said
    said = sent(page, "away", 302, {"person": pk("Tomas"), "first": "2031-05-09", "last": ""})
    assert "The plan no longer holds, but nothing more of it breaks by this." in said
    said = sent(page, "late", 302, {"part": Part.objects.get().pk, "not_known": "on"})
    assert by_it in said
    assert "1 more, by what was known before" in said
    broken = said.partition('id="broken"')[2]
    assert "Curlew" in broken[: broken.index("</ul>")]
    assert "Ines" not in broken[: broken.index("</ul>")]
    assert "The plan no longer holds." in page.get(AT).content.decode()


def test_a_part_comes_on_another_day_or_nobody_knows_when(page: Client) -> None:
    kit = Part.objects.get()
    shown = page.get(f"{AT}tell/late/").content.decode()
    assert "kit, due Tue 6 May 07:30: Curlew" in shown
    said = sent(page, "late", 302, {"part": kit.pk, "day": "2031-05-07", "at": "07:30"})
    assert "The kit comes Wed 7 May 07:30; Curlew waits for it." in said
    kit.refresh_from_db()
    assert kit.arrives == datetime.fromisoformat("2031-05-07T07:30-04:00")
    said = sent(page, "late", 302, {"part": kit.pk, "not_known": "on"})
    assert "Nobody knows when the kit comes; Curlew waits for it." in said
    kit.refresh_from_db()
    assert kit.arrives is None


def test_a_lift_is_held_and_its_other_times_stay(page: Client) -> None:
    known = ["2031-05-07T08:00:00-04:00", "2031-05-07T12:00:00-04:00", "new cable"]
    Lift.objects.update(holds=[known])
    lift = Lift.objects.get()
    before = Lift.objects.values()[0]
    for _ in range(2):  # a second tap changes nothing
        said = sent(page, "held", 302, WIND | {"lift": lift.pk})
        assert "The Travel lift carries nothing Tue 6 May 06:00 to 16:00: wind, gusts." in said
    told = ["2031-05-06T06:00:00-04:00", "2031-05-06T16:00:00-04:00", "wind, gusts"]
    assert Lift.objects.values()[0] == before | {"holds": [known, told]}
    form = page.get(f"/yard/lifts/{lift.pk}/").content.decode()
    assert "2031-05-06 06:00 to 2031-05-06 16:00 wind, gusts" in form


def test_somebody_is_away_for_some_hours_and_keeps_the_rest_of_the_day(
    page: Client, published: Fact
) -> None:
    del published
    before = Person.objects.filter(name="Ines").values()[0]
    for _ in range(2):  # a second tap changes nothing
        said = sent(page, "away", 302, DENTIST | {"person": pk("Ines")})
        assert "Ines is away Tue 6 May 08:00 to 10:00." in said
    kept = ["2031-05-06", "08:00", "10:00", ""]
    assert Person.objects.filter(name="Ines").values()[0] == before | {"away": [kept]}
    said = page.get(AT).content.decode()
    assert "Ines is away Tue 6 May 08:00 to 10:00: " in said.partition('id="broken"')[2]
    form = page.get(f"/yard/people/{pk('Ines')}/").content.decode()
    assert "2031-05-06 08:00 to 10:00</textarea>" in form


def test_the_lift_is_open_longer_on_one_day_and_its_hours_stay(page: Client) -> None:
    before, lift = Lift.objects.values()[0], Lift.objects.get()
    for _ in range(2):  # a second tap changes nothing
        said = sent(page, "longer", 302, EVENING | {"lift": lift.pk})
        assert "The Travel lift is open Tue 6 May 18:05 to 18:35 too.<" in said
    kept = ["2031-05-06", "18:05", "18:35", "the evening tide"]
    assert Lift.objects.values()[0] == before | {"longer": [kept]}
    assert "2031-05-06 18:05 to 18:35 the evening tide</textarea>" in (
        page.get(f"/yard/lifts/{lift.pk}/").content.decode()
    )
    Lift.objects.update(run_by=["Tomas"])
    said = sent(page, "longer", 302, EVENING | {"lift": lift.pk})
    assert "Nobody who may run the Travel lift is in for all of that time." in said
    said = sent(page, "stays", 302, EVENING | {"person": pk("Tomas")})
    assert "Tomas stays Tue 6 May 18:05 to 18:35." in said
    assert Person.objects.get(name="Tomas").longer == [kept]
    said = sent(page, "longer", 302, EVENING | {"lift": lift.pk})
    assert "Nobody who may run" not in said


@pytest.mark.parametrize(
    ("what", "given", "says"),
    [
        ("away", {"first": "2031-05-05"}, "Fill this in."),
        ("away", {"person": "99"}, "not on the list"),
        ("away", {"person": "Ines", "first": "soon"}, "That is no day"),
        ("away", {"person": "Ines", "first": "2031-05-04"}, "Sun 4 May is over. Give today"),
        (
            "away",
            {"person": "Ines", "first": "2031-05-07", "last": "2031-05-06"},
            "Tue 6 May is before Wed 7 May. Which is the last day off?",
        ),
        ("away", {"person": "Ines", "first": "2033-05-05"}, "Is the year right?"),
        (
            "away",
            {"person": "Ines", "first": "2031-05-10", "last": "2031-05-11"},
            "Ines does not work then anyway: Sat 10 May to Sun 11 May.",
        ),
        ("late", {"part": "99", "not_known": "on"}, "no work waits for it. Choose from the list."),
        ("late", {"part": "kit"}, "Which day? If nobody knows, tick that below."),
        ("late", {"part": "kit", "day": "2031-05-07"}, "At what hour?"),
        (
            "late",
            {"part": "kit", "day": "2031-05-07", "at": "07:30", "not_known": "on"},
            "A day or hour stands above.",
        ),
        (
            "late",
            {"part": "kit", "day": "2031-05-05", "at": "05:00"},
            "Mon 5 May 05:00 has passed. If it is here, say so on Parts.",
        ),
        ("late", {"part": "kit", "day": "2032-05-07", "at": "07:30"}, "Is the year right?"),
        (
            "late",
            {"part": "kit", "day": "2031-11-02", "at": "01:30"},
            "The clock changes that night",
        ),
        ("held", WIND | {"lift": "99"}, "not on the list"),
        ("held", WIND | {"ends": "2031-05-06T05:00"}, "That is not after From."),
        (
            "held",
            WIND | {"starts": "2031-05-05T04:00", "ends": "2031-05-05T05:00"},
            "Mon 5 May 05:00 has passed. Until when is it held?",
        ),
        ("held", WIND | {"ends": "2032-05-06T16:00"}, "Is the year right?"),
        (
            "held",
            WIND | {"starts": "2031-05-06T16:00", "ends": "2031-05-07T06:00"},
            "The Travel lift is shut all that time anyway: it is open 06:00 to 16:00.",
        ),
        ("held", WIND | {"why": ""}, "Fill this in."),
        (
            "away",
            DENTIST | {"person": "Ines", "last": "2031-05-07"},
            "Hours are of one day. Empty To, or the hours.",
        ),
        ("away", DENTIST | {"person": "Ines", "ends": ""}, "Give both hours, or none for all day."),
        (
            "away",
            DENTIST | {"person": "Ines", "ends": "08:00"},
            "That is not after the hour above.",
        ),
        (
            "away",
            {"person": "Ines", "first": "2031-05-05", "starts": "04:00", "ends": "05:10"},
            "Mon 5 May 05:10 has passed. Until when?",
        ),
        (
            "away",
            DENTIST | {"person": "Ines", "starts": "12:00", "ends": "12:30"},
            "Ines does not work then anyway: Tue 6 May 12:00 to 12:30.",
        ),
        ("longer", EVENING | {"lift": "99"}, "not on the list"),
        ("longer", EVENING | {"ends": "18:05"}, "That is not after From."),
        ("longer", EVENING | {"day": "2031-05-04"}, "Sun 4 May 18:35 has passed."),
        ("longer", EVENING | {"day": "2033-05-06"}, "Is the year right?"),
        ("longer", EVENING | {"why": ""}, "Fill this in."),
        ("longer", EVENING | {"starts": "15:00", "ends": "16:00"}, "is open then anyway."),
        (
            "stays",
            EVENING | {"person": "Ines", "starts": "15:00", "ends": "15:30"},
            "Ines works then anyway.",
        ),
        ("stays", EVENING | {"person": "99"}, "not on the list"),
    ],
)
def test_what_cant_be_so_stays_at_its_form_as_typed(
    page: Client, what: str, given: dict[str, str], says: str
) -> None:
    names = {"Ines": pk("Ines"), "kit": Part.objects.get().pk}
    usual = {"lift": Lift.objects.get().pk, "first": "2031-05-05"}
    full = usual | {name: names.get(value, value) for name, value in given.items()}
    before = everything()
    said = sent(page, what, 422, full)
    form = said.partition(f'<details class="item" id="tell-{what}" open>')[2].partition("</form>")[
        0
    ]
    assert escape(says) in form
    for name, value in given.items():
        if name in ("person", "part") and value in names:
            assert f'<option value="{names[value]}" selected>' in form
        elif name not in ("person", "part", "lift", "not_known"):
            assert f'value="{value}"' in form or not value
    assert everything() == before


def test_what_came_meanwhile_is_not_told_late(page: Client, mara: Person) -> None:
    kit = Part.objects.get()
    page.post(f"/parts/{kit.pk}/came/", {"uuid": "7b0f2d4e-6a5c-4d1e-9f0a-2c6b1d3e5f70"})
    assert "A part comes late" not in page.get(f"{AT}tell/away/").content.decode()
    said = sent(page, "late", 422, {"part": kit.pk, "not_known": "on"})
    assert "It is here by now" in said


def test_who_may_tell_what(page: Client, as_person: Use) -> None:
    asked = {"person": pk("Ines"), "first": "2031-05-05"}
    tomas = as_person(log_in("Tomas", Right.PROVE))
    shown = tomas.get(f"{AT}tell/late/").content.decode()
    assert [f'id="tell-{what}"' in shown for what in KINDS] == [what == "late" for what in KINDS]
    before = everything()
    assert "Ask Mara." in sent(tomas, "away", 409, asked)
    assert "Ask Mara." in sent(tomas, "held", 409, WIND | {"lift": Lift.objects.get().pk})
    evening = EVENING | {"lift": Lift.objects.get().pk}
    assert "Ask Mara." in sent(tomas, "longer", 409, evening)
    assert "Ask Mara." in sent(tomas, "stays", 409, EVENING | {"person": pk("Ines")})
    assert everything() == before
    sent(tomas, "late", 302, {"part": Part.objects.get().pk, "not_known": "on"})
    kim = as_person(log_in("Kim"))
    assert 'id="tell-held"' not in kim.get(f"{AT}tell/late/").content.decode()
    late = {"part": Part.objects.get().pk, "day": "2031-05-07", "at": "07:30"}
    assert "Kim may not" in sent(kim, "late", 409, late)
    with pytest.raises(Refused, match="Kim may not"):
        services.add_days_off(Person.objects.get(name="Kim"), Person.objects.get(name="Ines"), [])


def test_who_may_tell_nothing_is_asked_for_nothing(
    page: Client, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    kim = log_in("Kim")
    with django_assert_num_queries(0):
        assert list(to_tell(kim)) == []


def test_a_form_opens_by_its_address(page: Client) -> None:
    opened = page.get(f"{AT}tell/held/").content.decode()
    assert '<details class="item" id="tell-held" open>' in opened
    assert '<details class="item" id="tell-away">' in opened
    assert 'value="2031-05-05T05:1' in opened  # from now on, as far as nothing else is said
    assert page.get(f"{AT}tell/storm/").status_code == 404
    assert page.post(f"{AT}tell/storm/").status_code == 404


def test_wind_that_blows_already_is_told_as_it_is(page: Client) -> None:
    set_clock(MONDAY.replace(hour=9))
    since = WIND | {"starts": "2031-05-05T08:30", "ends": "2031-05-05T11:00", "why": "wind"}
    said = sent(page, "held", 302, since | {"lift": Lift.objects.get().pk})
    assert "The Travel lift carries nothing Mon 5 May 08:30 to 11:00: wind." in said
