"""Whatever is typed or stands in an address meets a sentence, never a broken server; nor later."""

from collections.abc import Callable
from uuid import UUID, uuid4

import pytest
from django.test import Client

from tests.conftest import log_in, set_clock
from tests.work.conftest import NOW
from yardwright.fleet.models import Boat, Import
from yardwright.season.model import Right
from yardwright.yard.models import Person

A_JOB = str(UUID(int=7))
HERS = ("/boats/TEA/", "/boats/TEA/record/", "/boats/TEA/readings/")
YARDS = ("/", "/yard/", "/water/", "/parts/")


@pytest.fixture
def mara(teal: Boat, as_person: Callable[[Person], Client]) -> Client:
    set_clock(NOW)
    client = as_person(log_in("Mara", *Right))
    client.raise_request_exception = False
    return client


@pytest.mark.parametrize(
    "path",
    [
        "/water/?day=9999-12-31&days=7",
        "/water/?day=0001-01-01",
        "/water/?day=0001-01-03&days=7",
        "/boats/TEA/readings/new/?quantity=compression&places=²",
        "/left-undone/?page=99999999999999999999999",
        "/left-undone/?page=-3",
        "/boats/TEA/record/?page=zz",
        "/yard/water/?station=zzz",
        "/yard/water/?find=%00",
        "/boats/?q=%00",
        "/boats/TEA/look/?at=zzz",
        "/boats/TEA/readings/new/?quantity=zz",
        "/limits/new/?quantity=compression&boat=zzz",
        "/boats/TEA/lift-card.pdf?paper=zz",
        "/boats/TEA/left-undone.pdf?paper=zz",
        "/morning-sheet.pdf?paper=zz",
        "/boats/tea/",
        "/boats/tea/steps/",
        "/boats/TEA/steps/zz/",
        "/water/?days=99",
        "/day/?day=9999-12-31",
        "/day/?day=1900-01-01",
        "/day/?day=2199-12-31",
    ],
)
def test_an_odd_address(path: str, mara: Client) -> None:
    assert mara.get(path).status_code in (200, 302, 404, 422)


@pytest.mark.parametrize(
    ("path", "sent"),
    [
        ("/boats/TEA/look/?at=stern drain plug", {"holds": "yes", "done_at": "0001-01-01T00:00"}),
        ("/boats/TEA/look/?at=stern drain plug", {"holds": "yes", "done_at": "9999-12-31T23:59"}),
        (
            "/boats/TEA/look/?at=stern drain plug",
            {"holds": "yes", "done_at": "2031-05-01T10:00+99:00"},
        ),
        ("/boats/TEA/look/?at=stern drain plug", {"holds": "yes", "done_at": "2031-05-01"}),
        ("/boats/TEA/readings/new/?quantity=head_temperature", {"value_1": "1e400 C"}),
        ("/boats/TEA/readings/new/?quantity=head_temperature", {"value_1": "nan C"}),
        (
            "/boats/TEA/readings/new/?quantity=head_temperature",
            {"value_1": "64 C", "keep": "64 °C", "done_at": "0001-01-01T00:00"},
        ),
        ("/boats/new/", {"name": "X", "watch_min": "9" * 40}),
        ("/boats/new/", {"name": "X", "draft_m": "1e-400 m"}),
        ("/boats/new/", {"name": "../../etc"}),
        ("/boats/TEA/ways-in/new/", {"name": "x", "kind": "zz"}),
        ("/parts/new/", {"name": "x", "arrives": "0001-01-01T00:00"}),
        ("/parts/new/", {"name": "x", "arrives": "9999-12-31T23:59"}),
        ("/parts/new/", {"name": "x", "arrives": "2031-11-02T01:30", "which": "zz"}),
        ("/parts/new/", {"name": "x", "arrives": "", "which": "zz"}),
        ("/parts/new/", {"name": "x", "which": "zz"}),
        ("/boats/TEA/going-in/", {"deed": "into slings", "lift": "zz"}),
        ("/boats/TEA/going-in/", {"deed": "into slings"}),
        ("/boats/TEA/going-in/", {"deed": "into slings", "angle_deg": "nan"}),
        ("/boats/TEA/move/", {"state": "Afloat", "berth": "9" * 30}),
        ("/boats/TEA/move/", {"state": "zz"}),
        ("/boats/TEA/ink/", {"day": "9999-12-31"}),
        ("/boats/TEA/ink/", {"day": "0001-01-01"}),
        ("/spring/", {"deed": "publish", "job": "zz"}),
        ("/spring/", {"deed": "publish", "job": A_JOB}),
        ("/spring/", {"deed": "plan"}),
        (
            "/yard/settings/",
            {
                "name": "x",
                "zone": "America/New_York",
                "first_day": "0001-01-01",
                "last_day": "0001-12-31",
                "sling_bight_m": "1e300 m",
                "margin_m": "0.2 m",
            },
        ),
        (
            "/yard/settings/",
            {
                "name": "x",
                "zone": "../../../etc/passwd",
                "first_day": "2031-01-01",
                "last_day": "2031-12-31",
                "sling_bight_m": "1 m",
                "margin_m": "0.2 m",
            },
        ),
        (
            "/yard/settings/",
            {
                "name": "x",
                "zone": "America/New_York",
                "first_day": "2031-01-01",
                "last_day": "2031-12-31",
                "sling_bight_m": "1 m",
                "margin_m": "0.2 m",
                "latitude": "nan",
                "longitude": "inf",
            },
        ),
        (
            "/yard/settings/",
            {
                "name": "x",
                "zone": "America/New_York",
                "first_day": "2031-01-01",
                "last_day": "2031-12-31",
                "sling_bight_m": "1 m",
                "margin_m": "0.2 m",
                "latitude": "91",
                "longitude": "1",
            },
        ),
        (
            "/yard/water/",
            {
                "table": "0001-01-01 00:00 HW 1\n9999-12-31 23:59 LW 1",
                "datum": "MLLW",
                "epoch": "x",
                "tide_source": "x",
            },
        ),
        (
            "/yard/lifts/new/",
            {
                "name": "x",
                "kind": "k",
                "rating_kg": "1e308 t",
                "sling_rating_kg": "1 kg",
                "opens": "07:00",
                "closes": "15:00",
                "launch_min": "9" * 30,
            },
        ),
        (
            "/yard/instruments/new/",
            {"name": "x", "unit": "V", "u": "nan", "checked_until": "0001-01-01"},
        ),
        ("/yard/instruments/new/", {"name": "x", "unit": "V", "u": "1e400"}),
        (
            "/limits/new/?quantity=compression",
            {"unit": "psi", "lower": "nan", "source": "x", "page": "1", "whose": "all"},
        ),
        (
            "/limits/new/?quantity=compression",
            {
                "unit": "psi",
                "lowest_over_highest": "nan",
                "source": "x",
                "page": "1",
                "whose": "all",
            },
        ),
        (
            "/limits/new/?quantity=compression",
            {"unit": "zz", "lower": "1", "source": "x", "page": "1", "whose": "all"},
        ),
        (
            "/limits/new/?quantity=gear_case_pressure",
            {
                "unit": "psi",
                "lower": "1",
                "needs_minutes": "nan",
                "source": "x",
                "page": "1",
                "whose": "all",
            },
        ),
        (
            "/boats/TEA/work/new/",
            {"what": "x", "trade": "t", "minutes": "5", "after": "zz", "part": "zz"},
        ),
        ("/boats/TEA/since/", {"by_what": "zz"}),
    ],
)
def test_an_odd_form(path: str, sent: dict[str, str], mara: Client) -> None:
    assert mara.post(path, {"uuid": str(uuid4())} | sent).status_code in (200, 302, 409, 422)
    for page in (*HERS, *YARDS):
        assert mara.get(page).status_code == 200, page


@pytest.mark.parametrize("told", ["draft_m=psi", "draft_m=ft", "draft_m=%00"])
@pytest.mark.parametrize("content", [b"Name,Draft\nGannet,1\n", b"\0"])
def test_an_odd_sheet(told: str, content: bytes, mara: Client) -> None:
    by = Person.objects.get(name="Mara")
    row = Import.objects.create(by=by, at=NOW, name="b.csv", content=content)
    at, status = f"/boats/import/{row.pk}/", 422 if content == b"\0" else 200
    for end in ("", "rows-to-mend.csv"):
        assert mara.get(f"{at}{end}?{told}").status_code == status
    assert mara.post(f"{at}take-back/").status_code in (409, 422)
    assert mara.post(f"{at}bring-in/").status_code == (422 if status == 422 else 302)
