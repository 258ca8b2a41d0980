"""A limit from the manual: its page is asked for, what it is for is judged anew, nothing rewritten."""

from collections.abc import Callable
from uuid import uuid4

import pytest
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry
from tests.work.conftest import (
    Crew,
    Typed,
    asks_for_log_in,
    instrument,
    refuses_method,
    typed,
    words,
)
from yardwright.fleet import services as fleet
from yardwright.fleet.models import Boat, Limit
from yardwright.season import model as season
from yardwright.work import facts, queries
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused

Use = Callable[[Person], Client]
PRESSURE = "/limits/new/?quantity=gear_case_pressure&boat=TEA"


def limit(**fields: str) -> Typed:
    usual = {
        "unit": "psi",
        "lower": "10",
        "source": "Maker's manual",
        "page": "7-3",
        "whose": "boat",
    }
    return typed(**usual | {"needs_minutes": "5"} | fields)


@pytest.fixture
def reading(ines: Client) -> Fact:
    """12 psi, all conditions met, nothing on file."""
    gauge = instrument("psi gauge", "psi", 0.2)
    told = {"c_minutes": "10", "c_steady": "yes", "c_shafts_turned": "yes"}
    sent = typed(value_1="12", instrument=gauge.pk, keep="12 psi; 10 min", **told)
    ines.post("/boats/TEA/readings/new/?quantity=gear_case_pressure", sent)
    return Fact.objects.get(kind=Kind.READING)


def verdicts(reading: Fact) -> list[str]:
    return [
        f.what for f in Fact.objects.filter(kind=Kind.JUDGED, of=reading).order_by("received_at")
    ]


def test_a_new_limit_judges_anew_and_rewrites_nothing(ines: Client, reading: Fact) -> None:
    (first,) = Fact.objects.filter(kind=Kind.JUDGED)
    before = dict(first.body)
    assert verdicts(reading) == ["No limit on file"]
    assert ines.post(PRESSURE, limit()).status_code == 302
    assert verdicts(reading) == ["No limit on file", "Good"]
    assert ines.post(PRESSURE, limit(lower="15", page="7-4")).status_code == 302
    assert verdicts(reading) == ["No limit on file", "Good", "Stop"]
    first.refresh_from_db()
    assert first.body == before
    page = words(ines.get(f"/readings/{reading.pk}/"))
    for said in ("at least 10 psi", "page 7-3", "at least 15 psi", "page 7-4", "rules 2"):
        assert said in page
    assert "</svg>Stop</span>" in words(ines.get("/boats/TEA/readings/"))


def test_a_repeat_files_once_and_judges_once(ines: Client, reading: Fact) -> None:
    sent = limit()
    for _ in range(3):
        assert ines.post(PRESSURE, sent).status_code == 302
    assert Limit.objects.filter(quantity="gear_case_pressure").count() == 1
    assert verdicts(reading) == ["No limit on file", "Good"]


def test_another_value_from_the_same_page_is_not_dropped_without_a_word(ines: Client) -> None:
    sent = limit()
    ines.post(PRESSURE, sent)
    answer = ines.post(PRESSURE, sent | {"lower": "11"})
    assert answer.status_code == 409
    assert "filed another limit already" in words(answer)
    assert 'value="11"' in words(answer)
    assert str(sent["uuid"]) not in words(answer)  # sent again, it is filed
    assert Limit.objects.get(quantity="gear_case_pressure").values["lower"] == 10


def test_for_her_kind_of_engine_it_judges_every_such_boat(
    ines: Client, reading: Fact, teal: Boat
) -> None:
    ines.post(PRESSURE, limit(whose="engine four-stroke 115"))
    (filed,) = Limit.objects.filter(quantity="gear_case_pressure")
    assert (filed.engine, filed.boat) == ("four-stroke 115", None)
    assert verdicts(reading)[-1] == "Good"


def test_a_limit_for_a_whole_yard_asks_the_database_no_more_often(
    ines: Client,
    crew: Crew,
    reading: Fact,
    teal: Boat,
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    boats = [Boat(name=f"Knot {n}", tag=f"KN{n}", has=[], engine=teal.engine) for n in range(9)]
    read = queries.reading(reading)
    for boat in Boat.objects.bulk_create(boats):
        facts.add_reading(entry(crew.ines), boat, read)
    with django_assert_max_num_queries(20):
        ines.post(PRESSURE, limit(whose="engine four-stroke 115"))
    assert Fact.objects.filter(kind=Kind.JUDGED, what="Good").count() == 10


def test_a_boat_that_nobody_knows_is_not_taken_for_all_boats(ines: Client, teal: Boat) -> None:
    assert "Teal alone" in words(ines.get(PRESSURE.replace("TEA", "tea")))
    assert ines.get(PRESSURE.replace("TEA", "QQQ")).status_code == 404


def test_another_boats_limit_leaves_her_alone(ines: Client, reading: Fact) -> None:
    Boat.objects.create(name="Knot", tag="KNO", has=[], engine="diesel 40")
    ines.post("/limits/new/?quantity=gear_case_pressure&boat=KNO", limit())
    ines.post("/limits/new/?quantity=gear_case_pressure&boat=KNO", limit(whose="engine diesel 40"))
    assert verdicts(reading) == ["No limit on file"]
    ines.post("/limits/new/?quantity=gear_case_pressure", limit(whose="all"))
    assert verdicts(reading)[-1] == "Good"


@pytest.mark.parametrize(
    ("fields", "says"),
    [
        ({"page": ""}, "Fill this in."),
        ({"source": " "}, "Fill this in."),
        ({"lower": ""}, "Give a value: at least, at most, or both."),
        ({"lower": "10 m"}, "m is a length, this asks for a pressure"),
        ({"lower": "20", "upper": "10"}, "give the lower one first"),
        ({"whose": "moon"}, "moon"),
        ({"needs_minutes": "long"}, "That is no number"),
    ],
)
def test_bad_input_writes_nothing_and_keeps_what_was_typed(
    ines: Client, fields: Typed, says: str
) -> None:
    answer = ines.post(PRESSURE, limit(thin="1", **fields))
    assert answer.status_code == 422
    assert says in words(answer)
    assert 'name="thin" value="1"' in words(answer)
    assert not Limit.objects.filter(quantity="gear_case_pressure").exists()


@pytest.mark.parametrize("name", ["thin", "u", "twin", "others", "spread", "years"])
def test_a_bound_of_temperature_is_a_difference(ines: Client, name: str) -> None:
    path = "/limits/new/?quantity=head_temperature&boat=TEA"
    sent = limit(unit="°C", lower="", upper="80", **{name: "9 F"})
    assert ines.post(path, sent).status_code == 302
    filed = Limit.objects.get(quantity="head_temperature", boat__name="Teal")
    assert filed.values[name] == pytest.approx(5)  # nine degrees Fahrenheit apart, not at 9 °F


def test_bounds_and_uncertainty_of_the_limit_are_filed_in_the_manual_s_unit(ines: Client) -> None:
    sent = limit(u="0.2", twin="1.5", years="1 psi", thin="0,5")
    assert ines.post(PRESSURE, sent).status_code == 302
    (filed,) = Limit.objects.filter(quantity="gear_case_pressure", boat__name="Teal")
    kept = {name: filed.values[name] for name in ("u", "twin", "years", "thin", "others", "unit")}
    assert kept == {"u": 0.2, "twin": 1.5, "years": 1, "thin": 0.5, "others": None, "unit": "psi"}
    page = words(ines.get(PRESSURE))
    says = "thin under 0.5 psi of margin, itself known to 0.2 psi, 1.5 psi from its twin"
    assert f"{says}, 1 psi from its last years" in page
    assert 'name="spread"' not in page  # one value has no others beside it


def test_the_limit_s_own_uncertainty_counts(ines: Client, reading: Fact) -> None:
    """By hand: gauge 0.2, gas law 0.06, limit 1.4: 1.415 psi in all; 2 psi within is p 0.921."""
    ines.post(PRESSURE, limit(u="0.2"))
    assert verdicts(reading)[-1] == "Good"
    ines.post(PRESSURE, limit(u="1.4"))
    assert verdicts(reading)[-1] == "Can't say"
    page = words(ines.get(f"/readings/{reading.pk}/"))
    assert "Not sure enough: the limit itself is known to 1.4 psi only." in page


def test_a_negative_bound_is_refused(ines: Client) -> None:
    answer = ines.post(PRESSURE, limit(twin="-1"))
    assert answer.status_code == 422
    assert "give margin, bound or uncertainty" in words(answer)


def test_her_kind_of_engine_s_limit_is_entered_once_with_its_page(
    ines: Client, reading: Fact, teal: Boat
) -> None:
    """Filed at Teal, it serves Knot, who has the same kind of engine, and shows its page there."""
    Boat.objects.create(name="Knot", tag="KNO", has=[], engine=teal.engine)
    ines.post(PRESSURE, limit(whose=f"engine {teal.engine}", page="7-4"))
    gauge = instrument("another psi gauge", "psi", 0.2)
    told = {"c_minutes": "10", "c_steady": "yes", "c_shafts_turned": "yes"}
    sent = typed(value_1="9", instrument=gauge.pk, keep="9 psi; 10 min", **told)
    kept = ines.post("/boats/KNO/readings/new/?quantity=gear_case_pressure", sent)
    page = words(ines.get(kept.headers["Location"]))
    assert "</svg>Stop</span>" in page
    assert "at least 10 psi, from Maker's manual, page 7-4" in page
    assert verdicts(reading)[-1] == "Good"


def test_the_entry_is_offered_where_none_is_on_file(ines: Client, reading: Fact) -> None:
    page = words(ines.get(f"/readings/{reading.pk}/"))
    assert "/limits/new/?quantity=gear_case_pressure&boat=TEA" in page
    assert "What does the manual give" in words(ines.get(PRESSURE))
    assert "?quantity=compression&boat=TEA" in words(ines.get("/limits/new/?boat=TEA"))


def test_only_who_may_clear_files_limits(crew: Crew, as_person: Use) -> None:
    answer = as_person(crew.tomas).post(PRESSURE, limit())
    assert answer.status_code == 409
    assert "Ask Ines." in words(answer)
    assert 'value="7-3"' in words(answer)
    assert not Limit.objects.filter(quantity="gear_case_pressure").exists()
    filed = season.Limit("psi", "Maker's manual", "7-3", quantity="gear_case_pressure", lower=10)
    with pytest.raises(Refused, match="Tomas may not clear"):
        fleet.file_limit(uuid4(), crew.tomas, filed)


def test_methods_and_strangers(ines: Client) -> None:
    refuses_method(ines, PRESSURE, "PUT", "DELETE")
    asks_for_log_in(ines, PRESSURE)
