"""The manager settles the yard: season, water and sill, lifts, places, instruments."""

import re
from collections.abc import Callable
from datetime import UTC, date, datetime, time
from typing import Any

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import log_in
from yardwright.procedures.step import Has
from yardwright.season.model import LiftMinutes, Looks, OnDay, Right, Weekday
from yardwright.season.read import read
from yardwright.season.write import write
from yardwright.work import exchange
from yardwright.yard import clock
from yardwright.yard.models import Instrument, Lift, Place, Tide, Yard

Use = Callable[[Any], Client]
TABLE = """2031-05-05 00:40 LW 0.10
2031-05-05 06:50 HW 1,45
2031-05-05 13:00 LW 0.15 m

2031-05-05 19:15 HW 4.6 ft"""
SILL = {
    "sill_height_m": "-1.00 m",
    "sill_datum": "chart datum",
    "sill_epoch": "table of 2031",
    "sill_measured_on": "2030-10-14",
    "sill_measured_by": "Ines",
}
WATER = {
    "table": TABLE,
    "tide_source": "Printed table",
    "datum": "chart datum",
    "epoch": "table of 2031",
}
SETTINGS = {
    "name": "Heron Slip",
    "zone": "America/New_York",
    "first_day": "2031-05-01",
    "last_day": "2031-05-31",
    "sling_bight_m": "4 in",
    "margin_m": "0,30 m",
    "latitude": "43.66",
    "longitude": "-70.24",
}
LIFT = {
    "name": "Crane",
    "kind": "crane",
    "rating_kg": "6 t",
    "sling_rating_kg": "8800 lb",
    "opens": "07:00",
    "closes": "15:00",
    "launch_min": "40",
    "aside_min": "",
    "weekdays": ["0", "2"],
}
LOOKS = {"minutes": "45", "at_once": "3", "hours": "06:00-20:00", "weekdays": ["0", "5"]}
PLACE = {"name": "South row", "kind": "row", "berths": "12"}
INSTRUMENT = {
    "name": "meter 2",
    "quantity": "",
    "unit": "V",
    "u": "0.02",
    "within": "",
    "within_share": "",
    "resolution": "0.01",
    "checked_until": "2031-12-31",
}
FORMS = [
    ("/yard/settings/", SETTINGS | {"name": "Heron Slip II"}),
    ("/yard/water/", WATER | SILL),
    ("/yard/looks/", LOOKS),
    ("/yard/lifts/new/", LIFT),
    ("/yard/places/new/", PLACE),
    ("/yard/instruments/new/", INSTRUMENT),
]


@pytest.fixture
def mara(three_days: Yard, as_person: Use) -> Client:
    return as_person(log_in("Mara", Right.INK))


def page(client: Client, url: str, given: dict[str, Any], status: int) -> str:
    response = client.post(url, given)
    assert response.status_code == status, response.content.decode()
    return response.content.decode()


def everything() -> list[object]:
    models = (Yard, Tide, Lift, Place, Instrument)
    return [list(model.objects.values()) for model in models]


def test_the_summary_answers_first_and_asks_few_questions(
    mara: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    with django_assert_max_num_queries(12):
        said = mara.get("/yard/").content.decode()
    assert "The sill lies 1.00 m below chart datum" in said
    assert "Travel lift" in said
    assert "15,000 kg" in said


def test_an_unmeasured_sill_is_never_shown_as_fine(mara: Client) -> None:
    Yard.objects.update(sill_height_m=None)
    assert "The sill was never measured" in mara.get("/yard/").content.decode()


def test_season_and_margins_take_the_unit_people_type(mara: Client) -> None:
    page(mara, "/yard/settings/", SETTINGS, 302)
    yard = Yard.objects.get()
    assert yard.sling_bight_m == pytest.approx(0.1016)  # 4 in of 25.4 mm
    assert yard.margin_m == pytest.approx(0.30)
    assert yard.last_day == date(2031, 5, 31)
    assert "0.1016 m (0.333 ft)" in mara.get("/yard/settings/").content.decode()


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("zone", "New York", "is no time zone"),
        ("last_day", "2031-04-01", "days from"),
        ("margin_m", "0.3", "of what? Type the unit too"),
        ("margin_m", "30 m", "give 0 to 2 m"),
        ("latitude", "436", "give -90 to 90"),
    ],
)
def test_what_cant_be_so_is_said_beside_its_field(
    field: str, typed: str, says: str, mara: Client
) -> None:
    before = everything()
    said = page(mara, "/yard/settings/", SETTINGS | {field: typed}, 422)
    assert says in said
    assert f'value="{typed}"' in said  # nothing typed is lost
    assert 'role="alert"' in said
    assert everything() == before


def test_a_typed_table_is_read_line_by_line_and_shown_again(mara: Client) -> None:
    page(mara, "/yard/water/", WATER | SILL, 302)
    assert [t.level_m for t in Tide.objects.all()] == pytest.approx(
        [0.10, 1.45, 0.15, 1.40], abs=3e-3
    )
    assert "2031-05-05 06:50 HW 1.45" in mara.get("/yard/water/").content.decode()
    clock.remember(None)
    assert exchange.yard_and_water().water.source == "Printed table"


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("5 May 06:50 HW 1.45", "Line 1: "),
        ("2031-05-05 06:50 HW", "write it as 2031-05-05 06:50 HW 1.45"),
        ("2031-03-09 02:30 HW 1.4", "does not exist"),  # New York's clock goes forward
        ("2031-11-02 01:30 HW 1.4", "comes twice"),  # and back
        ("2031-05-05 06:50 HW 1,450", "is that 1450 or 1.450"),
    ],
)
def test_a_line_that_cant_be_read_is_named(line: str, says: str, mara: Client) -> None:
    before = everything()
    said = page(mara, "/yard/water/", WATER | SILL | {"table": line}, 422)
    assert says in said
    assert line in said
    assert everything() == before


def test_a_row_left_out_of_the_table_is_missed(mara: Client) -> None:
    two_highs = TABLE.replace("2031-05-05 13:00 LW 0.15 m\n", "")
    said = page(mara, "/yard/water/", WATER | SILL | {"table": two_highs}, 409)
    assert "follows another HW" in said


@pytest.mark.parametrize("left_out", [name for name in SILL if name != "sill_height_m"])
def test_a_bare_sill_height_is_refused(left_out: str, mara: Client) -> None:
    before = everything()
    said = page(mara, "/yard/water/", WATER | SILL | {left_out: ""}, 422)
    assert "A height means nothing without it" in said
    assert everything() == before


def test_epochs_are_never_mixed(mara: Client) -> None:
    said = page(mara, "/yard/water/", WATER | SILL | {"sill_epoch": "1960-1978"}, 409)
    assert "Epochs are not mixed" in said


def test_a_station_is_found_by_name_with_its_distance(mara: Client) -> None:
    page(mara, "/yard/settings/", SETTINGS, 302)
    said = mara.get("/yard/water/?find=portland").content.decode()
    # NOAA 8418150 lies at 43.658, -70.244
    assert "8418150 · 0 km from the yard" in said
    given = {"station": "8418150", "table": "", **SILL}
    given |= {"sill_datum": "MLLW", "sill_epoch": "1983-2001"}
    page(mara, "/yard/water/", given, 302)
    yard = Yard.objects.get()
    assert (yard.station, yard.datum, yard.epoch) == ("8418150", "MLLW", "1983-2001")
    assert not Tide.objects.exists()


def test_a_station_400_km_away_is_asked_about(mara: Client) -> None:
    new_york = {"latitude": "40.5", "longitude": "-74.0"}  # about 470 km from Portland, Maine
    page(mara, "/yard/settings/", SETTINGS | new_york, 302)
    said = page(mara, "/yard/water/", {"station": "8418150"}, 409)
    assert "km from the yard; choose a nearer one" in said


def test_a_station_may_stand_before_the_sill_was_measured(mara: Client) -> None:
    page(mara, "/yard/water/", {"station": "8418150"}, 302)
    assert Yard.objects.get().sill_height_m is None


def test_both_a_station_and_a_table_are_too_much(mara: Client) -> None:
    said = page(mara, "/yard/water/", WATER | {"station": "8418150"}, 409)
    assert "both a station and a table" in said


def test_a_lift_is_added_and_changed_but_keeps_its_name(mara: Client) -> None:
    page(mara, "/yard/lifts/new/", LIFT, 302)
    lift = Lift.objects.get(name="Crane")
    assert (lift.rating_kg, lift.weekdays, lift.aside_min) == (6000, [0, 2], None)
    assert lift.sling_rating_kg == pytest.approx(8800 * 0.45359237)
    page(mara, f"/yard/lifts/{lift.pk}/", LIFT | {"name": "Other", "launch_min": "50"}, 302)
    lift.refresh_from_db()
    assert (lift.name, lift.launch_min) == ("Crane", 50)


def test_what_a_lift_takes_and_its_ground(mara: Client) -> None:
    takes = {"beam_m": "14 ft", "draft_m": "2,1 m", "firm_ground": "on"}
    page(mara, "/yard/lifts/new/", LIFT | takes, 302)
    crane = next(lift for lift in exchange.the_season().lifts if lift.name == "Crane")
    assert crane.beam_m == pytest.approx(4.2672)  # 14 ft of 0.3048 m
    assert (crane.draft_m, crane.firm_ground) == (2.1, True)
    said = mara.get("/yard/").content.decode()
    assert "widest boat 4.27 m, deepest 2.10 m; on firm ground alone" in said
    assert "widest boat <b>no limit on file</b>" in said  # of the other
    shown = mara.get(f"/yard/lifts/{Lift.objects.get(name='Crane').pk}/").content.decode()
    assert "On file: 4.2672 m (14 ft)." in shown
    assert "give more than 0, up to 15, or leave it out" in page(
        mara, "/yard/lifts/new/", LIFT | {"name": "B", "beam_m": "43 m"}, 422
    )


@pytest.mark.parametrize(
    ("typed", "soft", "firm"),
    [
        ({}, None, None),
        ({"soft": "False"}, False, None),
        ({"soft": "True"}, True, None),
        ({"soft": "True", "firm_from": "2031-04-20"}, True, date(2031, 4, 20)),
    ],
)
def test_the_ground_of_a_place(
    typed: dict[str, str], soft: bool | None, firm: date | None, mara: Client
) -> None:
    page(mara, "/yard/places/new/", PLACE | typed, 302)
    row = next(one for one in exchange.the_season().places if one.name == "South row")
    assert (row.soft, row.firm_from) == (soft, firm)
    assert read(write(exchange.the_season()), "yard.toml").places[-1] == row
    shown = mara.get(f"/yard/places/{Place.objects.get(name='South row').pk}/").content.decode()
    assert f'<option value="{"" if soft is None else soft}" selected>' in shown


def test_a_day_for_ground_that_never_goes_soft_is_refused(mara: Client) -> None:
    before = everything()
    said = page(mara, "/yard/places/new/", PLACE | {"firm_from": "2031-04-20"}, 422)
    assert "is for ground that goes soft" in said
    assert 'value="2031-04-20"' in said
    assert everything() == before


def test_wind_and_the_way_to_the_well(mara: Client) -> None:
    wind = "2031-05-06 05:00 to 2031-05-06 09:30 wind\n2031-05-07 08:00 to 2031-05-07 12:00 gusts, then rain"
    page(mara, "/yard/lifts/new/", LIFT | {"carry_min": "20", "holds": wind}, 302)
    crane = next(lift for lift in exchange.the_season().lifts if lift.name == "Crane")
    assert crane.carry_min == 20
    # New York is four hours behind in May.
    assert [(hold.starts, hold.ends, hold.why) for hold in crane.holds] == [
        (datetime(2031, 5, 6, 9, tzinfo=UTC), datetime(2031, 5, 6, 13, 30, tzinfo=UTC), "wind"),
        (
            datetime(2031, 5, 7, 12, tzinfo=UTC),
            datetime(2031, 5, 7, 16, tzinfo=UTC),
            "gusts, then rain",
        ),
    ]
    shown = mara.get(f"/yard/lifts/{Lift.objects.get(name='Crane').pk}/").content.decode()
    assert wind in shown
    for wrong, says in (
        ("wind", "is no time"),
        ("2031-05-06 09:00 to 2031-05-06 08:00", "backwards"),
        ("2033-05-06 05:00 to 2033-05-06 09:30 wind", "Is the year right?"),
    ):
        assert says in page(mara, "/yard/lifts/new/", LIFT | {"name": "B", "holds": wrong}, 422)


def test_a_lift_is_open_longer_on_single_days(mara: Client) -> None:
    typed = "2031-05-06 18:05 to 18:35 the evening tide, of Curlew\n2031-05-10 08:00 to 12:00"
    page(mara, "/yard/lifts/new/", LIFT | {"longer": typed}, 302)
    crane = next(lift for lift in exchange.the_season().lifts if lift.name == "Crane")
    assert crane.longer == (
        OnDay(date(2031, 5, 6), time(18, 5), time(18, 35), "the evening tide, of Curlew"),
        OnDay(date(2031, 5, 10), time(8), time(12)),
    )
    assert read(write(exchange.the_season()), "yard.toml").lifts[-1] == crane
    at = f"/yard/lifts/{Lift.objects.get(name='Crane').pk}/"
    assert typed in mara.get(at).content.decode()
    for wrong, says in (
        ("18:05 to 18:35", "are no hours of one day; write 2031-05-06 18:05 to 18:35."),
        ("2031-13-06 18:05 to 18:35", "are no hours of one day"),
        ("2031-05-06 18:35 to 18:05", "goes backwards; end it later on the same day."),
        ("2033-05-06 18:05 to 18:35", "Is the year right?"),
    ):
        said = page(mara, "/yard/lifts/new/", LIFT | {"name": "B", "longer": wrong}, 422)
        assert says in said
        assert wrong in said  # what was typed stays
    assert not Lift.objects.filter(name="B").exists()


def test_minutes_by_kind_of_boat(mara: Client) -> None:
    typed = "mast 25 before, 45 launch\ninboard diesel 20 before, 50 launch"
    page(mara, "/yard/lifts/new/", LIFT | {"by_kind": typed}, 302)
    crane = next(lift for lift in exchange.the_season().lifts if lift.name == "Crane")
    assert crane.by_kind == (LiftMinutes(Has.MAST, 45, 25), LiftMinutes(Has.INBOARD_DIESEL, 50, 20))
    shown = mara.get(f"/yard/lifts/{Lift.objects.get(name='Crane').pk}/").content.decode()
    assert typed in shown
    assert "with mast 45 min and 25 min before it" in mara.get("/yard/").content.decode()
    for wrong, says in (
        ("mast", "is no kind with its minutes"),
        ("masts 25 before, 45 launch", "Is it mast"),
        ("mast 25 before, 45 launch\nmast 5 before, 40 launch", "mast is there already"),
        ("mast 25 before, 1441 launch", "give 1 to 1440"),
    ):
        said = page(mara, "/yard/lifts/new/", LIFT | {"name": "B", "by_kind": wrong}, 422)
        assert says in said
        assert wrong in said  # what was typed stays
    assert not Lift.objects.filter(name="B").exists()


def test_who_may_run_a_lift(mara: Client) -> None:
    page(mara, "/yard/lifts/new/", LIFT | {"run_by": ["Ines", "Tomas"]}, 302)
    crane = next(lift for lift in exchange.the_season().lifts if lift.name == "Crane")
    assert crane.run_by == ("Ines", "Tomas")
    assert read(write(exchange.the_season()), "yard.toml").lifts[-1] == crane
    shown = mara.get(f"/yard/lifts/{Lift.objects.get(name='Crane').pk}/").content.decode()
    assert [name for name in ("Ines", "Tomas", "Mara") if _ticked(shown, name)] == ["Ines", "Tomas"]
    assert "; run by Ines, Tomas</li>" in mara.get("/yard/").content.decode()
    said = page(mara, "/yard/lifts/new/", LIFT | {"name": "B", "run_by": ["Nobody"]}, 422)
    assert "Nobody is not on the list; choose from it." in said
    assert not Lift.objects.filter(name="B").exists()


def test_a_lift_s_wind_limit_has_its_page(mara: Client) -> None:
    wind = {"wind_m_s": "25 kn", "wind_source": "lift manual", "wind_page": "17"}
    for without, says in (
        ("wind_source", "say which book or plate it is from"),
        ("wind_page", "say where in it the limit stands"),
        ("wind_m_s", "Give the wind that stands there, or empty its book and page."),
    ):
        said = page(mara, "/yard/lifts/new/", LIFT | wind | {without: ""}, 422)
        assert says in said
        assert 'value="lift manual"' in said or without == "wind_source"
    assert "up to 40" in page(mara, "/yard/lifts/new/", LIFT | wind | {"wind_m_s": "90 kn"}, 422)
    assert not Lift.objects.filter(name="Crane").exists()
    page(mara, "/yard/lifts/new/", LIFT | wind, 302)
    crane = next(lift for lift in exchange.the_season().lifts if lift.name == "Crane")
    assert crane.wind_limit is not None
    assert crane.wind_limit.m_s == pytest.approx(25 * 1852 / 3600)  # a knot is 1852 m an hour
    assert read(write(exchange.the_season()), "yard.toml").lifts[-1] == crane
    said = mara.get("/yard/").content.decode()
    assert "wind up to 12.9 m/s (lift manual, page 17)" in said
    assert "wind <b>no limit on file</b>" in said  # of the other
    path = f"/yard/lifts/{Lift.objects.get(name='Crane').pk}/"
    assert "On file: 12.8611 m/s (28.8 mph)." in mara.get(path).content.decode()
    page(mara, path, LIFT | wind | {"wind_m_s": "12.8611 m/s", "opens": "06:00"}, 302)  # as shown
    again = next(lift for lift in exchange.the_season().lifts if lift.name == "Crane")
    assert again.wind_limit == crane.wind_limit
    page(mara, path, LIFT | wind | {"wind_m_s": "12.86 m/s"}, 302)
    kept = Lift.objects.get(name="Crane").wind_limit
    assert kept and kept["m_s"] == 12.86  # noqa: PT018
    page(mara, path, LIFT, 302)
    assert Lift.objects.get(name="Crane").wind_limit is None


def _ticked(shown: str, name: str) -> bool:
    return bool(re.search(rf'<input[^>]*value="{name}"[^>]* checked', shown))


def test_how_many_work_on_a_boat_and_the_last_frost(mara: Client) -> None:
    page(mara, "/yard/settings/", SETTINGS | {"hands": "2", "last_frost": "2031-05-01"}, 302)
    yard = exchange.the_season().yard
    assert (yard.hands, yard.last_frost) == (2, date(2031, 5, 1))
    for year in (2030, 2032):
        old = SETTINGS | {"last_frost": f"{year}-05-01"}
        assert "give the last frost of this season" in page(mara, "/yard/settings/", old, 422)
    assert exchange.the_season().yard.last_frost == date(2031, 5, 1)


def test_looks_after_a_launch_go_into_the_season_file_and_back(mara: Client) -> None:
    asked = Looks(45, 3, ((time(6), time(20)),), (Weekday.MON, Weekday.SAT))
    page(mara, "/yard/looks/", LOOKS, 302)
    assert exchange.the_season().looks == asked
    assert read(write(exchange.the_season()), "yard.toml").looks == asked
    assert "45 minutes a boat, 3 at once, 06:00 to 20:00." in mara.get("/yard/").content.decode()
    assert 'value="06:00-20:00"' in mara.get("/yard/looks/").content.decode()
    page(mara, "/yard/looks/", LOOKS | {"minutes": ""}, 302)
    assert exchange.the_season().looks is None
    assert "A plan does not count them." in mara.get("/yard/").content.decode()


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"at_once": ""}, "How many boats at once"),
        ({"hours": ""}, "At which hours"),
        ({"hours": "20:00-06:00"}, "goes backwards"),
        ({"minutes": "2000"}, "give 1 to 1440"),
    ],
)
def test_looks_that_cant_be(change: dict[str, str], says: str, mara: Client) -> None:
    before = everything()
    said = page(mara, "/yard/looks/", LOOKS | change, 422)
    assert says in said
    assert 'value="45"' in said or "minutes" in change
    assert everything() == before


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"closes": "06:00"}, "is not after"),
        ({"rating_kg": "0 kg"}, "read the plate"),
        ({"rating_kg": "15 tons"}, "a short ton is 2000 lb"),
        ({"launch_min": "2000"}, "give 1 to 1440"),
    ],
)
def test_a_lift_that_cant_be(change: dict[str, str], says: str, mara: Client) -> None:
    assert says in page(mara, "/yard/lifts/new/", LIFT | change, 422)
    assert Lift.objects.count() == 1


def test_a_place_and_its_berths(mara: Client) -> None:
    page(mara, "/yard/places/new/", PLACE, 302)
    place = Place.objects.get(name="South row")
    page(mara, f"/yard/places/{place.pk}/", PLACE | {"berths": "14"}, 302)
    place.refresh_from_db()
    assert place.berths == 14


def test_an_instrument_with_its_uncertainty(mara: Client) -> None:
    page(mara, "/yard/instruments/new/", INSTRUMENT, 302)
    clock.remember(None)
    (one,) = exchange.the_season().instruments
    assert (one.u, one.resolution, one.checked_until) == (0.02, 0.01, date(2031, 12, 31))
    row = Instrument.objects.get()
    assert "2031-12-31" in mara.get(f"/yard/instruments/{row.pk}/").content.decode()


def test_one_meter_that_shows_two_units_stands_there_twice(mara: Client) -> None:
    page(mara, "/yard/instruments/new/", INSTRUMENT, 302)
    page(mara, "/yard/instruments/new/", INSTRUMENT | {"unit": "A"}, 302)
    clock.remember(None)
    assert [one.unit for one in exchange.the_season().instruments] == ["V", "A"]


@pytest.mark.parametrize(
    ("change", "says"),
    [
        ({"unit": "volts"}, "is no unit here"),
        ({"u": "0"}, "no instrument is exact"),
        ({"quantity": "head_temperature"}, "does not measure head_temperature"),
    ],
)
def test_an_instrument_that_cant_be(change: dict[str, str], says: str, mara: Client) -> None:
    assert says in page(mara, "/yard/instruments/new/", INSTRUMENT | change, 422)
    assert not Instrument.objects.exists()


@pytest.mark.parametrize(("url", "given"), FORMS[3:])
def test_the_same_sent_twice_is_there_once(url: str, given: dict[str, Any], mara: Client) -> None:
    page(mara, url, given, 302)
    after = everything()
    assert "already" in page(mara, url, given, 409)
    assert everything() == after


@pytest.mark.parametrize(("url", "given"), FORMS)
def test_only_who_may_ink_settles_it(
    url: str, given: dict[str, Any], three_days: Yard, as_person: Use
) -> None:
    log_in("Mara", Right.INK)
    client, before = as_person(log_in("Kim", Right.PROVE, Right.CLEAR, Right.WATER)), everything()
    assert "Ask Mara." in page(client, url, given, 409)
    assert everything() == before
    assert "/yard/settings/" not in client.get("/yard/").content.decode()


@pytest.mark.parametrize(("url", "given"), FORMS)
def test_strangers_and_other_methods(url: str, given: dict[str, Any], mara: Client) -> None:
    assert mara.put(url).status_code == 405
    assert mara.post("/yard/").status_code == 405
    assert mara.get(url).status_code == 200
    mara.logout()
    assert mara.get(url)["Location"].startswith("/sign-in/")
    before = everything()
    assert mara.post(url, given).status_code == 401
    assert everything() == before
