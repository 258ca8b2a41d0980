"""Season file, web, season file: equal values; and what an upload that can't be taken is told."""

from collections.abc import Callable
from dataclasses import fields, replace
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from pytest_django import DjangoAssertNumQueries

from tests.conftest import entry, log_in, set_clock
from yardwright.fleet.models import Boat
from yardwright.procedures import readings
from yardwright.procedures.going_in import State
from yardwright.procedures.put_backs import Proof, PutBack, SignOff
from yardwright.procedures.readings import Reading
from yardwright.procedures.step import Has
from yardwright.procedures.steps import shipped
from yardwright.procedures.ways_in import Disturbance, Disturbed
from yardwright.season.model import (
    Chosen,
    History,
    Hold,
    Instrument,
    Lift,
    Lifted,
    LiftMinutes,
    Looks,
    OnDay,
    Owner,
    OwnStep,
    Part,
    Place,
    Promise,
    Right,
    Season,
    Weekday,
    Work,
)
from yardwright.season.read import read, read_file
from yardwright.season.write import write
from yardwright.work import exchange, facts
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Person, Yard

GLYCOL_ROW = "ethylene_glycol_freezes"
GLYCOL = f"antifreeze/{GLYCOL_ROW}"
DOCS = Path(__file__).parents[2] / "docs"
Use = Callable[[Person], Client]
NOON = datetime.fromisoformat("2031-05-02T12:00-04:00")
KEY_IN = next(step for step in shipped().steps if step.code == "key_in")


@pytest.fixture
def empty_yard(db: None) -> Yard:
    Yard.objects.create(
        name="Empty",
        zone="America/New_York",
        first_day="2031-01-01",
        last_day="2031-12-31",
        sling_bight_m=0.1,
        margin_m=0.2,
        datum="MLLW",
    )
    return set_clock(NOON)


def sent(name: str, content: bytes | None = None) -> dict[str, SimpleUploadedFile]:
    file = (DOCS / name).read_bytes() if content is None else content
    return {"season_file": SimpleUploadedFile(name, file)}


def without_the_bringer(season: Season, name: str) -> Season:
    """Whoever brings the file works here too, and every boat got a tag."""
    return replace(season, people=tuple(p for p in season.people if p.name != name))


def with_tags(season: Season, like: Season) -> Season:
    tags = {boat.name: boat.tag for boat in like.boats}
    boats = tuple(replace(b, tag=b.tag or tags[b.name]) for b in season.boats)
    return replace(season, boats=boats)


@pytest.mark.parametrize("name", ["three-days.toml", "teal.toml"])
def test_out_of_the_yard_comes_what_went_in(name: str, empty_yard: Yard, as_person: Use) -> None:
    client = as_person(log_in("Mara", Right.INK))
    response = client.post("/yard/season-file/", sent(name))
    assert response.status_code == 302
    out = client.get("/yard/season-file/season.toml")
    assert "attachment" in out["Content-Disposition"]
    given = read_file(DOCS / name)
    again = without_the_bringer(read(out.content.decode()), "Mara")
    assert again == with_tags(given, again)


REGISTER = Instrument(
    name="meter", unit="V", checked_until=date(2031, 12, 31), u=0.02, resolution=0.01
)


def full(season: Season) -> Season:
    """Teal's season with something of everything that a file can hold."""
    teal = season.boats[0]
    things = list(teal.undone)
    things[0] = replace(
        things[0], second=True, put_back=PutBack(NOON, "Ines", Proof.MEASURED, "Tomas")
    )
    things[1] = replace(things[1], put_back=PutBack(NOON, "Ines", Proof.RUN))
    things[5] = replace(things[5], signed_off=SignOff(NOON, "Ines", "capped and tagged"))
    meter = readings.Instrument("meter", "V", date(2031, 12, 31), u=0.02, resolution=0.01)
    volts = Reading(
        "battery_under_load", (9.38,), "V", NOON, "Ines", meter, {"charged": True, "seconds": 15.0}
    )
    points = Reading("head_temperature", (64.0, 66.5), "°C", NOON, "Ines", None, {}, "port")
    teal = replace(
        teal,
        hull_number="ZZA12345A626",
        beam_m=2.4,
        weight_kg=1400.0,
        weight_within=0.1,
        centre_m=2.1,
        centre_within_m=0.2,
        slings_m=(1.2, 3.9),
        place="North row",
        berth=2,
        promise=Promise(date(2031, 5, 3), date(2031, 5, 6), date(2031, 5, 7)),
        watch_min=1440,
        owner=Owner("A. Reeve", "555 0142", hours=((time(9), time(12)),), weekdays=(Weekday.SUN,)),
        work=(
            Work("seal", "mechanic", 60, (), "kit", second_look=True, needs_yes=True),
            Work("paint", "owner", 90, ("seal",), dry_hours=12.5, within_days=30, after_frost=True),
            Work("hose run", "mechanic", 40, ("seal",), afloat=True),
        ),
        lift="Crane",
        hands=2,
        insured_from=date(2031, 5, 4),
        paid_from=date(2031, 5, 8),
        undone=tuple(things),
        disturbed=(
            Disturbed(Disturbance.FROST, NOON),
            Disturbed(Disturbance.WORK, NOON, "livewell hose"),
        ),
        readings=(volts, points),
        done=frozenset({"key_in"}),
    )
    return replace(
        season,
        yard=replace(
            season.yard, latitude=43.66, longitude=-70.24, hands=2, last_frost=date(2031, 4, 30)
        ),
        looks=Looks(240, 3, ((time(6), time(20)),), (Weekday.SAT,)),
        lifts=(
            Lift(
                "Crane",
                "crane",
                6000.0,
                4000.0,
                time(7),
                time(15),
                40,
                None,
                (Weekday.SAT,),
                carry_min=15,
                holds=(Hold(NOON, NOON + timedelta(hours=2), "wind"),),
                by_kind=(LiftMinutes(Has.MAST, 45, 25),),
                longer=(OnDay(date(2031, 5, 7), time(18, 5), time(18, 35), "the tide"),),
            ),
        ),
        people=tuple(
            replace(
                p,
                off=(date(2031, 5, 7),),
                learner=True,
                overtime=((time(16), time(18)),),
                learns=("rigger",),
                may_watch=2,
                of_age_on=date(2032, 5, 7),
                away=(OnDay(date(2031, 5, 6), time(8), time(10), "dentist"),),
                longer=(OnDay(date(2031, 5, 6), time(18), time(19, 30)),),
            )
            for p in season.people
        ),
        places=(Place("North row", "row", 2),),
        parts=(Part("kit", NOON), Part("film"), Part("reel", NOON, NOON), Part("fuse", None, NOON)),
        chosen=(
            Chosen(
                "antifreeze/ethylene_glycol_freezes",
                "ethylene_glycol_freezes_by_a_manual",
                "it is our engines' manual",
                "Ines",
                NOON,
            ),
        ),
        steps=(
            OwnStep(
                code="papers_asked",
                title="Papers asked for",
                stage="papers",
                trade="yard hand",
                minutes=5,
                why="Without them she can't go.",
                how=("Ask for them.", "Write down which came."),
                goes_wrong="They lie at home.",
                caution="Never sign for an owner.",
                proof_words="Asked: written down which came",
                needs=("outboard",),
                watch_learner=True,
                reason="the harbour asks for them",
                by="Mara",
                at=NOON,
            ),
            OwnStep(
                code="thruster_fuse",
                what="Bow thruster fuse out",
                if_forgotten="she will not turn in the berth",
                harm="annoys",
                before="handover",
                proof="run",
                system="electrical",
                lies_hint="In a bag on the wheel",
                reason="half our boats have one",
                by="Mara",
                at=NOON,
            ),
            OwnStep(code="walked_round", reason="the owner does it", by="Ines", at=NOON),
        ),
        limits=(*season.limits, replace(season.limits[0], engine="", boat="Teal", upper=75.0)),
        instruments=(*season.instruments, REGISTER, replace(REGISTER, unit="A")),
        history=(
            History("key_in", 12, "", ((4, KEY_IN.minutes), (9, 2 * KEY_IN.minutes)), (30,)),
            History("paint", 3, "owner", ((200, 90),)),
        ),
        boats=(teal,),
    )


def test_something_of_everything_comes_back_as_it_was(db: None) -> None:
    given = full(read_file(DOCS / "teal.toml"))
    assert read(write(given)) == given  # so it is a whole season
    exchange.take_in(given, "Mara")
    clock.remember(None)
    again = without_the_bringer(exchange.the_season(), "Mara")
    for name in (field.name for field in fields(Season)):
        assert getattr(again, name) == getattr(given, name), name


def test_a_boat_in_the_slings_comes_back_in_her_lift(db: None) -> None:
    given = full(read_file(DOCS / "teal.toml"))
    hangs = replace(given.boats[0], state=State.IN_THE_SLINGS, lifted=Lifted(NOON, "Crane"))
    exchange.take_in(replace(given, boats=(hangs,)), "Mara")
    clock.remember(None)
    (again,) = exchange.the_season().boats
    assert (again.state, again.lifted) == (hangs.state, hangs.lifted)


def test_years_of_readings_come_in_without_a_query_each(
    empty_yard: Yard, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    given = read_file(DOCS / "three-days.toml")
    first, *others = given.boats
    years = tuple(
        Reading(
            "battery_at_rest", (12.6,), "V", datetime(2030, 3, day, 8, tzinfo=UTC), "Ines", None
        )
        for day in range(1, 29)
    )
    with django_assert_max_num_queries(90):
        exchange.take_in(replace(given, boats=(replace(first, readings=years), *others)), "Mara")
    assert Fact.objects.filter(kind=Kind.JUDGED, boat__name=first.name).count() == 28


def test_who_brings_it_keeps_their_rights(empty_yard: Yard, as_person: Use) -> None:
    ines = log_in("Ines", Right.INK)
    as_person(ines).post("/yard/season-file/", sent("teal.toml"))  # the file has Ines without ink
    ines.refresh_from_db()
    assert Right.INK in ines.rights


@pytest.mark.parametrize(
    ("good", "bad", "says"),
    [
        ("draft_m = 0.55", "draft_m = 0", "0 m is no draft"),
        ('datum = "MLLW"', 'datum = "LAT"', "reckoned from MLLW of 1983-2001"),
    ],
)
def test_a_faulty_file_names_its_line_and_changes_nothing(
    good: str, bad: str, says: str, empty_yard: Yard, as_person: Use
) -> None:
    text = (DOCS / "teal.toml").read_text().replace(good, bad, 1)
    client = as_person(log_in("Mara", Right.INK))
    response = client.post("/yard/season-file/", sent("teal.toml", text.encode()))
    assert response.status_code == 422
    page = response.content.decode()
    assert "teal.toml, line" in page
    assert says in page
    assert not Boat.objects.exists()
    assert Yard.objects.get().name == "Empty"


def test_what_is_still_to_come_is_refused_all_of_it_and_what_was_is_not(
    empty_yard: Yard, as_person: Use
) -> None:
    """A minute before noon, of a season with something of everything that was done at noon."""
    given = full(read_file(DOCS / "teal.toml"))
    hangs = replace(given.boats[0], state=State.IN_THE_SLINGS, lifted=Lifted(NOON, "Crane"))
    text = write(replace(given, boats=(hangs,))).encode()
    client = as_person(log_in("Mara", Right.INK))
    set_clock(NOON - timedelta(minutes=1))
    response = client.post("/yard/season-file/", sent("teal.toml", text))
    assert response.status_code == 422
    page = response.content.decode()
    for where in (
        "reel, came",
        "fuse, came",
        "ethylene_glycol_freezes, at",
        "Bow thruster fuse out, at",
        "Teal, disturbed 1, at",
        "Teal, stern drain plug out, put_back, at",
        "Teal, livewell hose off its seacock, signed_off, at",
        "Teal, readings 2, at",
        "Teal, lifted, at",
    ):
        assert f"{where}: 2031-05-02 12:00 is still to come; leave it out until it is so." in page
    assert page.count("is still to come") == 14
    assert not Boat.objects.exists()
    set_clock(NOON + timedelta(minutes=1))
    assert client.post("/yard/season-file/", sent("teal.toml", text)).status_code == 302


def test_a_file_that_is_no_text(empty_yard: Yard, as_person: Use) -> None:
    client = as_person(log_in("Mara", Right.INK))
    response = client.post("/yard/season-file/", sent("a.toml", b"\xff\xfe\x00"))
    assert response.status_code == 422
    assert "UTF-8" in response.content.decode()


def test_a_yard_with_boats_takes_no_second_season(three_days: Yard, as_person: Use) -> None:
    client = as_person(log_in("Mara", Right.INK))
    response = client.post("/yard/season-file/", sent("teal.toml"))
    assert response.status_code == 409
    assert "has boats already" in response.content.decode()
    assert Boat.objects.count() == 5


def test_without_the_right_nothing_comes_in(empty_yard: Yard, as_person: Use) -> None:
    log_in("Mara", Right.INK)
    response = as_person(log_in("Kim", Right.PROVE)).post("/yard/season-file/", sent("teal.toml"))
    assert response.status_code == 409
    assert "Ask Mara" in response.content.decode()
    assert not Boat.objects.exists()


def test_an_unmeasured_sill_gives_no_file_but_a_sentence(empty_yard: Yard, as_person: Use) -> None:
    response = as_person(log_in("Mara", Right.INK)).get("/yard/season-file/season.toml")
    assert response.status_code == 409
    assert "sill was never measured" in response.content.decode()


def test_without_the_right_nothing_goes_out(three_days: Yard, as_person: Use) -> None:
    ines = log_in("Ines", Right.PROVE)
    answer = as_person(ines).get("/yard/season-file/season.toml")
    assert answer.status_code == 409
    assert "Ines may not ink" in answer.content.decode()


def test_a_stranger_is_sent_to_sign_in(empty_yard: Yard, client: Client) -> None:
    assert client.get("/yard/season-file/season.toml").status_code == 302
    assert client.post("/yard/season-file/").status_code == 401  # what was typed is kept
    assert client.put("/yard/season-file/").status_code in (302, 405)


def test_a_choice_of_a_row_that_a_newer_book_names_otherwise_stays_home(three_days: Yard) -> None:
    mara = log_in("Mara", Right.INK)
    for what, row in (("antifreeze/gone", "gone"), ("gone/gone", "x"), (GLYCOL, "gone")):
        facts.add_chosen(entry(mara), what, row, "it was so")
    assert exchange.the_season().chosen == ()
    facts.add_chosen(entry(mara), GLYCOL, f"{GLYCOL_ROW}_by_a_manual", "our engines' manual")
    (kept,) = read(write(exchange.the_season())).chosen
    assert (kept.what, kept.reason, kept.by) == (GLYCOL, "our engines' manual", "Mara")
