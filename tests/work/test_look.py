"""Looks at ways in, at the count of openings, at what a start needs; and what makes them lapse."""

from collections.abc import Callable
from uuid import uuid4

import pytest
from django.test import Client
from django.utils.http import urlencode

from tests.work.conftest import HTMX, Crew, asks_for_log_in, refuses_method, typed, words
from yardwright.fleet.models import Boat
from yardwright.procedures.float_check import Floats
from yardwright.procedures.ways_in import OPENINGS
from yardwright.season import checks
from yardwright.work import queries
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
LOOKS, SINCE = "/boats/TEA/look/", "/boats/TEA/since/"


def at(what: str) -> str:
    return f"{LOOKS}?{urlencode({'at': what})}"


def looked(what: str) -> list[bool]:
    hers = Fact.objects.filter(kind=Kind.LOOKED, what=what, received_at__lte=clock.now())
    return [fact.body["holds"] for fact in hers.order_by("done_at")]


def counted(teal: Boat) -> str:
    (boat,) = queries.values([teal])
    return checks.float_check(boat, clock.now()).counted.standing


def test_all_that_can_be_looked_at_with_what_is_known(ines: Client) -> None:
    page = words(ines.get(LOOKS))
    assert "proven 10 Apr by Ines" in page
    assert "Stern drain plug" in page
    assert "Is the engine oil in, to the mark and not over it?" in page
    assert "blower" not in page  # petrol inboards only


def test_it_holds(ines: Client) -> None:
    page = words(ines.get(at("livewell seacock")))
    assert "Shut it by hand until it stops." in page
    sent = typed(holds="yes")
    for _ in range(3):
        assert ines.post(at("livewell seacock"), sent).status_code == 302
    assert looked("livewell seacock") == [True, True]  # the one from the file, and this
    assert "proven 2 May by Ines" in words(ines.get(at("livewell seacock")))


def test_it_does_not_asks_what_was_seen(ines: Client, teal: Boat) -> None:
    empty = ines.post(at("livewell seacock"), typed(holds="no", words=""))
    assert empty.status_code == 409
    assert "What did you see?" in words(empty)
    answer = ines.post(at("livewell seacock"), typed(holds="no", words="weeps"), headers=HTMX)
    assert answer.status_code == 200
    assert "<html" not in words(answer)
    assert "open, looked at 2 May by Ines: weeps" in words(answer)
    (boat,) = queries.values([teal])
    assert checks.float_check(boat, clock.now()).answer == Floats.NO


def test_openings_counted_again_after_work_through_the_hull(ines: Client, teal: Boat) -> None:
    page = words(ines.get(at(OPENINGS)))
    assert "speed sensor blank" in page
    ines.post(SINCE, typed(by_what="work through the hull"))
    assert counted(teal) == "not known"
    ines.post(at(OPENINGS), typed(holds="yes"))
    assert counted(teal) == "holds"


def test_frost_while_wet_makes_a_proof_lapse_and_says_where_to_look(
    ines: Client, teal: Boat
) -> None:
    sent = typed(by_what="frost while wet", fitting="livewell seacock", done_at="2031-04-20T06:00")
    for _ in range(2):
        assert ines.post(SINCE, sent).status_code == 302
    assert Fact.objects.filter(kind=Kind.DISTURBED).count() == 1
    page = words(ines.get(SINCE))
    assert "1 proof no longer counts: look again." in page
    assert "frost while wet since" in page
    assert at("livewell seacock").replace("+", "%20") in page.replace("+", "%20")


def test_her_cover_is_looked_at_and_the_land_check_answers(ines: Client, teal: Boat) -> None:
    cover = at("cover sheds rain, or none is on")
    assert "no weight on a pole that has slipped" in ines.get(cover).content.decode()
    assert "cover sheds rain, or none is on, never looked at" in (
        ines.get("/boats/TEA/").content.decode()
    )
    assert ines.post(cover, {"uuid": str(uuid4()), "holds": "yes"}).status_code == 302
    assert "Rain gets out" in ines.get("/boats/TEA/").content.decode()
    told = {"uuid": str(uuid4()), "holds": "no", "words": "a pool over the helm"}
    assert ines.post(cover, told).status_code == 302
    assert "rain lies in her cover, looked at" in ines.get("/boats/TEA/").content.decode()


@pytest.mark.parametrize(
    ("fields", "status", "says"),
    [
        ({}, 422, "Choose what happened."),
        ({"by_what": "a whale"}, 422, "a whale"),
        ({"by_what": "work at it"}, 409, "Work at which fitting?"),
        ({"by_what": "frost while wet", "fitting": "sink"}, 422, "sink"),
        ({"by_what": "frost while wet", "done_at": "2031-11-02T01:30"}, 422, "comes twice"),
    ],
)
def test_bad_input_writes_nothing(
    ines: Client, fields: dict[str, str], status: int, says: str
) -> None:
    answer = ines.post(SINCE, typed(**fields))
    assert answer.status_code == status
    assert says in words(answer)
    assert not Fact.objects.filter(kind=Kind.DISTURBED).exists()


def test_no_button_and_nothing_of_hers(ines: Client) -> None:
    assert ines.post(at("livewell seacock"), typed()).status_code == 422
    assert ines.post(at("livewell seacock"), typed(holds="perhaps")).status_code == 422
    assert ines.get(at("periscope")).status_code == 404
    assert ines.post(at("periscope"), typed(holds="yes")).status_code == 404
    assert looked("livewell seacock") == [True]


def test_rights_methods_strangers(crew: Crew, as_person: Use, ines: Client) -> None:
    refuses_method(ines, LOOKS, "PUT")
    refuses_method(ines, SINCE, "DELETE")
    guest = as_person(crew.guest)
    for path, sent in (
        (at("livewell seacock"), typed(holds="yes")),
        (SINCE, typed(by_what="somebody aboard")),
    ):
        answer = guest.post(path, sent)
        assert answer.status_code == 409
        assert "Ask Ines" in words(answer)
    asks_for_log_in(guest, LOOKS)
    asks_for_log_in(guest, SINCE)
