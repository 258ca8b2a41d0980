"""A boat's particulars: typed with their units, asked about where odd, refused where impossible."""

from collections.abc import Callable
from datetime import date, datetime, time, timedelta
from typing import Any

import pytest
from django.test import Client

from tests.conftest import log_in
from yardwright.fleet.forms.boats import BoatForm
from yardwright.fleet.models import Boat, Owner
from yardwright.procedures.step import Has
from yardwright.season.model import Right, Weekday
from yardwright.season.water import windows
from yardwright.work import exchange, queries
from yardwright.yard import clock
from yardwright.yard.models import Yard

Use = Callable[[Any], Client]
HER = {"name": "Whimbrel", "watch_min": "0"}


@pytest.fixture
def ines(three_days: Yard, as_person: Use) -> Client:
    return as_person(log_in("Ines", Right.PROVE))


def page(client: Client, url: str, given: dict[str, Any], status: int) -> str:
    response = client.post(url, given)
    assert response.status_code == status, response.content.decode()
    return response.content.decode()


def test_a_new_boat_needs_a_name_alone(ines: Client) -> None:
    response = ines.post("/boats/new/", HER)
    her = Boat.objects.get(name="Whimbrel")
    assert response["Location"] == f"/boats/{her.tag}/edit/"
    assert her.draft_m is None  # not known stays not known
    assert "Her draft is not known" in ines.get(f"/boats/{her.tag}/edit/").content.decode()


def test_units_as_people_type_them(ines: Client) -> None:
    given = HER | {
        "draft_m": "4 ft 9 in",
        "length_m": "17 ft",
        "beam_m": "2,4 m",
        "weight_kg": "3000 lb",
        "weight_within": "10 %",
        "centre_m": "2.6 m",
        "centre_within_m": "0.3 m",
        "sling_aft_m": "1.2 m",
        "sling_forward_m": "4 m",
        "has_drive": ["outboard", "lanyard"],
        "has_hull": ["stern drain"],
        "owner": "A. Reeve",
        "phone": "555 0142",
    }
    page(ines, "/boats/new/", given, 302)
    her = Boat.objects.get(name="Whimbrel")
    # 1 ft is 0.3048 m and 1 lb 0.45359237 kg, exactly, by the international agreement of 1959
    assert her.draft_m == pytest.approx(4.75 * 0.3048)
    assert her.length_m == pytest.approx(17 * 0.3048)
    assert her.beam_m == pytest.approx(2.4)
    assert her.weight_kg == pytest.approx(3000 * 0.45359237)
    assert her.weight_within == pytest.approx(0.10)
    assert her.has == ["lanyard", "outboard", "stern drain"]
    said = ines.get(f"/boats/{her.tag}/edit/").content.decode()
    assert "On file: 1.4478 m (4.75 ft)." in said
    assert "(3000 lb)" in said
    assert 'value="555 0142"' in said


def test_her_lift_her_insurer_her_bill_and_her_owner_s_hours(ines: Client) -> None:
    given = HER | {
        "owner": "A. Reeve",
        "owner_hours": "9-12",
        "owner_weekdays": ["1"],
        "lift": "Travel lift",
        "hands": "2",
        "insured_from": "2031-05-06",
        "paid_from": "2031-05-07",
    }
    page(ines, "/boats/new/", given, 302)
    her = next(one for one in exchange.the_season().boats if one.name == "Whimbrel")
    assert (her.lift, her.hands) == ("Travel lift", 2)
    assert (her.insured_from, her.paid_from) == (date(2031, 5, 6), date(2031, 5, 7))
    assert her.owner is not None
    assert (her.owner.hours, her.owner.weekdays) == (((time(9), time(12)),), (Weekday.TUE,))
    shown = ines.get(f"/boats/{her.tag}/edit/").content.decode()
    assert 'value="09:00-12:00"' in shown
    said = page(ines, "/boats/new/", given | {"name": "Smew", "lift": "Crane"}, 422)
    assert "There is no lift" in said


def test_everything_she_can_have_stands_on_the_form() -> None:
    offered = {
        value
        for name, field in BoatForm.base_fields.items()
        if name.startswith("has_")
        for value, _ in field.choices  # type: ignore[attr-defined]  # choice fields all
    }
    assert offered == set(Has)


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("draft_m", "0 m", "0 m is no draft"),
        ("draft_m", "7 m", "7 ft (2.13 m)"),
        ("draft_m", "1.2", "of what? Type the unit too"),
        ("draft_m", "5 psi", "psi is a pressure"),
        ("weight_kg", "11,400 lb", "is that 11400 or 11.400?"),
        ("weight_within", "120 %", "give a share"),
        ("sling_aft_m", "1.2 m", "One sling alone lifts nothing"),
        ("tag", "TE", "Three letters"),
        ("phone", "555", "Whose phone is it?"),
        ("name", "", "required"),
    ],
)
def test_what_cant_be_so_is_said_and_nothing_typed_is_lost(
    field: str, typed: str, says: str, ines: Client
) -> None:
    said = page(ines, "/boats/new/", HER | {"beam_m": "2,4 m", field: typed}, 422)
    assert says in said
    assert f'value="{typed}"' in said or not typed
    assert 'value="2,4 m"' in said
    assert not Boat.objects.filter(name="Whimbrel").exists()


@pytest.mark.parametrize(
    ("field", "given", "says"),
    [
        ("draft_m", {"draft_m": "4.5 m", "length_m": "6.4 m"}, "is deep for 6.4 m of length"),
        ("weight_kg", {"weight_kg": "22000 kg"}, "more than any lift here carries"),
    ],
)
def test_what_is_odd_is_asked_about_once(
    field: str, given: dict[str, str], says: str, ines: Client
) -> None:
    said = page(ines, "/boats/new/", HER | given, 422)
    assert says in said
    assert "It is right as typed" in said
    page(ines, "/boats/new/", HER | given | {"sure": "on"}, 302)
    assert Boat.objects.filter(name="Whimbrel").exists()


def test_two_boats_of_one_name_tag_or_hull_number(ines: Client) -> None:
    plover = Boat.objects.get(name="Plover")
    Boat.objects.filter(name="Plover").update(hull_number="ZZA12345A626")
    for given in (
        {"name": "plover"},
        {"tag": plover.tag.lower()},
        {"hull_number": "ZZA12345A626"},
    ):
        said = page(ines, "/boats/new/", HER | given, 409)
        assert "Give this boat her own" in said
    assert Boat.objects.count() == 5


def test_the_same_form_again_changes_nothing(ines: Client) -> None:
    given = HER | {"owner": "A. Reeve", "phone": "555 1", "has_hull": ["stern drain"]}
    first = ines.post("/boats/new/", given)
    again = ines.post("/boats/new/", given)
    assert (first["Location"], first.status_code) == (again["Location"], again.status_code)
    assert Boat.objects.filter(name="Whimbrel").count() == 1
    others: tuple[dict[str, object], ...] = (
        {"draft_m": "1 m"},
        {"phone": "555 2"},
        {"tag": "QQQ"},
        {"has_hull": []},
    )
    for other in others:
        assert "Give this boat her own" in page(ines, "/boats/new/", given | other, 409)


def test_changing_one_draft_moves_her_window(ines: Client) -> None:
    her = Boat.objects.get(name="Curlew")

    def first_window() -> str:
        clock.remember(None)
        (value,) = queries.values([Boat.objects.get(name="Curlew")])
        day = datetime.fromisoformat("2031-05-06T00:00-04:00")
        window = windows(exchange.yard_and_water(), value, day, day + timedelta(days=1))[0]
        zone = clock.zone()
        return f"{window.start.astimezone(zone):%H:%M}–{window.end.astimezone(zone):%H:%M}"

    # story A1, by hand: draws 1.75 m, Tuesday 05:38–09:45; with Dunlin's 1.45 m 04:41–10:45
    assert first_window() == "05:38–09:45"
    form = {"name": "Curlew", "tag": her.tag, "draft_m": "1.45 m", "watch_min": "0"}
    page(ines, f"/boats/{her.tag}/edit/", form, 302)
    assert first_window() == "04:41–10:45"


def test_a_new_tag_leads_to_her_new_address(ines: Client) -> None:
    her = Boat.objects.get(name="Curlew")
    given = {"name": "Curlew", "tag": "xyz", "watch_min": "0"}
    assert ines.post(f"/boats/{her.tag}/edit/", given)["Location"] == "/boats/XYZ/"


def test_an_owner_is_one_for_all_their_boats(ines: Client) -> None:
    page(ines, "/boats/new/", HER | {"owner": "A. Reeve", "phone": "555 1"}, 302)
    page(ines, "/boats/new/", HER | {"name": "Godwit", "owner": "A. Reeve", "phone": "555 2"}, 302)
    assert Owner.objects.get().phone == "555 2"


def test_an_owner_known_already_keeps_a_phone_that_is_not_typed_again(ines: Client) -> None:
    page(ines, "/boats/new/", HER | {"owner": "A. Reeve", "phone": "555 1"}, 302)
    page(ines, "/boats/new/", HER | {"name": "Godwit", "owner": "A. Reeve"}, 302)
    assert Owner.objects.get().phone == "555 1"
    her = Boat.objects.get(name="Godwit")
    form = HER | {"name": "Godwit", "tag": her.tag, "owner": "A. Reeve"}
    page(ines, f"/boats/{her.tag}/edit/", form, 302)
    assert Owner.objects.get().phone == ""  # it stood on that form, and was taken out


def test_without_the_right(three_days: Yard, as_person: Use) -> None:
    log_in("Ines", Right.PROVE)
    assert "Ask Ines" in page(as_person(log_in("Kim")), "/boats/new/", HER, 409)
    assert not Boat.objects.filter(name="Whimbrel").exists()


def test_strangers_and_other_methods(ines: Client) -> None:
    assert ines.put("/boats/new/").status_code == 405
    assert ines.get("/boats/QQQ/edit/").status_code == 404
    ines.logout()
    assert ines.get("/boats/new/")["Location"].startswith("/sign-in/")
    assert ines.post("/boats/new/", HER).status_code == 401
    assert not Boat.objects.filter(name="Whimbrel").exists()
