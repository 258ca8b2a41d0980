"""Season file, web, season file: equal values; and what an upload that can't be taken is told."""

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from tests.conftest import log_in
from yardwright.fleet.models import Boat
from yardwright.season.model import Right, Season
from yardwright.season.read import read, read_file
from yardwright.yard.models import Person, Yard

DOCS = Path(__file__).parents[2] / "docs"
Use = Callable[[Person], Client]


@pytest.fixture
def empty_yard(db: None) -> Yard:
    return Yard.objects.create(
        name="Empty",
        zone="America/New_York",
        first_day="2031-01-01",
        last_day="2031-12-31",
        sling_bight_m=0.1,
        margin_m=0.2,
        datum="MLLW",
    )


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


def test_a_stranger_is_sent_to_sign_in(empty_yard: Yard, client: Client) -> None:
    assert client.get("/yard/season-file/season.toml").status_code == 302
    assert client.post("/yard/season-file/").status_code == 401  # what was typed is kept
    assert client.put("/yard/season-file/").status_code in (302, 405)
