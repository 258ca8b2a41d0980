"""Every address at once: behind the log-in, closed to other methods, and read without a write."""

from collections.abc import Callable, Iterator
from io import BytesIO
from pathlib import Path
from uuid import uuid4

import pytest
from django.conf import LazySettings
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import URLPattern, URLResolver, get_resolver
from PIL import Image

from tests.conftest import entry, log_in, set_clock
from tests.work.conftest import NOW
from yardwright.fleet.models import Boat, Import, Part, WayIn, Work
from yardwright.procedures.findings import Finding
from yardwright.procedures.readings import Reading
from yardwright.school.models import ClassGroup, PracticeBoat, Round
from yardwright.season.model import Right
from yardwright.web import photos
from yardwright.web.calendars import SIGNS
from yardwright.web.photos import Taken
from yardwright.work import facts, services
from yardwright.work.facts import Aside
from yardwright.work.models import Fact
from yardwright.yard.models import Instrument, Lift, Person, Place

OPEN = ("sign-in", "sign-out", "worker", "manifest", "rules", "lessons", "calendar-feed")
PK = "<int:pk>"
FUSE = {
    "what": "Fuse out",
    "harm": "annoys",
    "if_forgotten": "she will not turn",
    "before": "handover",
    "proof": "run",
    "system": "electrical",
    "lies_hint": "In a bag",
}


def patterns(among: list[URLPattern | URLResolver]) -> Iterator[URLPattern]:
    for one in among:
        if isinstance(one, URLResolver):
            yield from patterns(one.url_patterns)
        else:
            yield one


EVERY = [*patterns(get_resolver("yardwright.web.urls").url_patterns)]


@pytest.fixture
def addresses(teal: Boat, tmp_path: Path, settings: LazySettings) -> dict[str, str]:
    """One address that is there for every pattern, by the pattern's name."""
    set_clock(NOW)
    ines = log_in("Ines", *Right)
    read = Reading("head_temperature", (64.0,), "°C", NOW, "Ines", None)
    taken, _ = services.read(entry(ines), teal, read, "64 °C")
    kept = Aside(row="{}", word="marked", says="Nobody can read it.")
    aside = services.keep_aside(entry(ines), teal, "an entry", kept)
    found_on_her = services.find(entry(ines), teal, Finding.MICE, there=True)
    settings.HOME = tmp_path
    jpeg = BytesIO()
    Image.new("RGB", (8, 6)).save(jpeg, "JPEG")
    _, photo = photos.take(Taken(uuid4(), taken.pk, teal, ines, ines, NOW), jpeg.getvalue())
    sheet = Import.objects.create(by=ines, at=NOW, name="b.csv", content=b"Name\nGannet\n")
    part = Part.objects.create(name="kit")
    piece = Work.objects.create(boat=teal, place_in_list=0, what="seal", trade="", minutes=9)
    place = Place.objects.create(name="row", kind="row", berths=2)
    day = NOW.date()
    group = ClassGroup.objects.create(name="Spring", teacher=ines, begins=day, ends=day)
    practice = PracticeBoat.objects.create(name="Coot", has=teal.has)
    looked_over = Round.objects.create(
        boat=practice, group=group, by=ines, planted=["key"], began_at=NOW
    )
    facts.add_step(entry(ines), "fuse_out", FUSE, "Fuse out", "we have one")
    rows = {
        "class": group,
        "class-paper": group,
        "class-calendar": group,
        "call-off": group,
        "plant": practice,
        "part": part,
        "part-came": part,
        "piece-of-work": piece,
        "remove-work": piece,
        "way-in": WayIn.objects.first(),
        "remove-way-in": WayIn.objects.first(),
        "place": Place.objects.get(pk=place.pk),
        "lift": Lift.objects.first(),
        "instrument": Instrument.objects.first(),
        "person": ines,
        "competence": ines,
        "competence-paper": ines,
        "day": ines,
        "day-paper": ines,
        "calendar": ines,
    }
    found: dict[str, str] = {}
    for one in EVERY:
        name, route = str(one.name), f"/{one.pattern}"
        row = rows.get(name)
        route = route.replace(PK, str(row.pk if row else 0))
        slug = "fuse_out" if name in ("change-thing", "take-out-thing") else "stern_plug_out"
        route = route.replace("<str:tag>", "TEA").replace("<slug:code>", slug)
        route = route.replace("<slug:fitting>", "livewell").replace("<slug:what>", "away")
        route = route.replace("<slug:name>", "mix").replace("<slug:topic>", "antifreeze")
        route = route.replace("<str:token>", SIGNS.sign(f"person-{ines.pk}-0"))
        route = route.replace("<uuid:uuid>", str(sheet.pk))
        undone = Fact.objects.filter(kind="undone").first()
        assert undone is not None
        of = {
            "reading": taken,
            "finding": found_on_her,
            "decide-aside": aside,
            "photo": photo,
            "photo-small": photo,
            "round": looked_over,
            "round-paper": looked_over,
        }.get(name, undone)
        found[name] = route.replace("<uuid:pk>", str(of.pk))
    assert not [route for route in found.values() if "<" in route]
    return found


def test_a_stranger_is_sent_to_log_in_from_everywhere(
    addresses: dict[str, str], client: Client
) -> None:
    for name, path in addresses.items():
        if name in OPEN:
            continue
        answer = client.get(path)
        assert answer.status_code == 302, path
        assert answer["Location"].startswith("/sign-in/?next="), path
        assert client.post(path, {"uuid": str(uuid4())}).status_code == 401, path


def test_no_address_knows_other_methods(
    addresses: dict[str, str], as_person: Callable[[Person], Client]
) -> None:
    client = as_person(Person.objects.get(name="Ines"))
    for name, path in addresses.items():
        if name not in OPEN:
            assert client.put(path).status_code == 405, path
            assert client.delete(path).status_code == 405, path


def test_reading_writes_nothing(
    addresses: dict[str, str], as_person: Callable[[Person], Client]
) -> None:
    client, shown = as_person(Person.objects.get(name="Ines")), 0
    for name, path in addresses.items():
        if name in OPEN:
            continue
        with CaptureQueriesContext(connection) as asked:
            answer = client.get(path)
        assert answer.status_code in (200, 286, 302, 405, 409), (path, answer.status_code)
        shown += answer.status_code == 200
        written = [q["sql"] for q in asked if not q["sql"].startswith(("SELECT", "PRAGMA"))]
        assert not written, (path, written)
    assert shown > len(addresses) / 2
