"""The Hose Run page: the start check first, a run written by hand, and what a stop holds back."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import uuid4

import pytest
from django.conf import LazySettings
from django.test import Client

from tests.conftest import entry, log_in
from yardwright.fleet.models import Boat
from yardwright.season.model import Right
from yardwright.sensors.latest import Latest
from yardwright.sensors.reading import Reading
from yardwright.work import queries as work
from yardwright.work import services, verdicts
from yardwright.work.models import Fact, Kind
from yardwright.yard.models import Person

Use = Callable[[Person], Client]
AT = "/boats/TEA/hose-run/"
HEALTHY = "supply muffs\n0:12 water\n0:30 yes\n1:00 yes\n1:00 head 95 F\n1:20 stopped"
# By hand: 70 degC from the tenth minute on, less than 2 degC of change in three minutes.
WARM = [f"{n}:00 head {min(70, 25 + 5 * n)} C\n{n}:00 yes\n{n}:30 yes" for n in range(1, 15)]
STEADY = "\n".join(["supply muffs", "running 70 C", "limit 80 C", "0:12 water", "0:30 yes", *WARM])
NO_WATER = "supply muffs\n0:12 water\n0:30 yes\n0:50 no"


def post(run: str = HEALTHY, **typed: str) -> dict[str, str]:
    return {"uuid": str(uuid4()), "run": run, **typed}


@pytest.fixture
def ines(teal: Boat) -> Person:
    del teal
    return log_in("Ines", Right.PROVE)


def runs() -> list[Fact]:
    return [*Fact.objects.filter(kind=Kind.HOSE_RUN)]


def test_the_start_check_comes_first(ines: Person, as_person: Use) -> None:
    # Story A3: with eleven things undone she must not be started, each named.
    page = as_person(ines).get(AT).content.decode()
    assert "Must not start" in page
    assert "The run does not begin." in page
    assert "stop-switch lanyard" in page
    assert "Water seen before the start" in page
    assert '"at_the_key": "Water is on and seen at the muffs"' in page
    assert "Is the engine oil in" in page  # asked again at hand
    assert '"limit_c": 80' in page  # the limit filed for her engine


def test_a_run_by_hand_is_judged_and_kept_once(ines: Person, as_person: Use) -> None:
    client, sent = as_person(ines), post(drips="none", charge="14.2 V")
    for _ in range(2):
        assert client.post(AT, sent).status_code == 302
    (run,) = runs()
    assert (run.what, run.body["sheet"]) == ("Can't say", {"drips": "none", "charge": "14.2 V"})
    assert "1:00.0 head 35 C" in run.body["run"]  # 95 degF is 35 degC
    page = client.get(AT).content.decode()
    assert "stopped before it was warm" in page
    assert "14.2 V" in page
    assert "Hose run: Can" in client.get("/boats/TEA/record/").content.decode()


def test_a_stop_holds_her_until_a_run_does_not(ines: Person, as_person: Use) -> None:
    client, boat = as_person(ines), Boat.objects.get(tag="TEA")
    client.post(AT, post(NO_WATER))
    (held,) = verdicts.holds(work.story([boat])[boat.pk])
    assert held.startswith("Hose run: Stop. Stop the engine. The water stopped.")
    assert "Hose run: Stop." in client.get("/boats/TEA/").content.decode()
    client.post(AT, post())  # stopped early: nobody knows whether she is sound
    assert len(verdicts.holds(work.story([boat])[boat.pk])) == 1
    client.post(AT, post(STEADY))
    assert verdicts.holds(work.story([boat])[boat.pk]) == ()


LOOK_AT_PATH = "/boats/TEA/look/?at=water+path"
NOT_IN_ORDER = "the water path is not in order (looked at"


def test_a_stop_locks_the_next_run_until_what_was_found_is_written(
    ines: Person, as_person: Use
) -> None:
    client = as_person(ines)
    assert NOT_IN_ORDER not in client.get(AT).content.decode()
    for where in ("/boats/TEA/at-hand/", "/boats/TEA/look/"):  # no stop, nothing to look at
        assert "Water path" not in client.get(where).content.decode(), where
    client.post(AT, post(NO_WATER))
    page = client.get(AT).content.decode()
    assert NOT_IN_ORDER in page
    assert "Ines: a hose run said stop)" in page
    assert "Water path" in client.get("/boats/TEA/look/").content.decode()
    for where in ("/boats/TEA/at-hand/", LOOK_AT_PATH):
        assert "What was found?" in client.get(where).content.decode(), where
    bare = {"uuid": str(uuid4()), "holds": "yes", "words": "  "}
    answer = client.post(LOOK_AT_PATH, bare)
    assert answer.status_code == 409
    assert "What was found?" in answer.content.decode()
    assert NOT_IN_ORDER in client.get(AT).content.decode()
    found = {**bare, "words": "muffs had slipped, impeller whole"}
    assert client.post(LOOK_AT_PATH, found).status_code == 302
    assert NOT_IN_ORDER not in client.get(AT).content.decode()
    client.post(AT, post(NO_WATER))  # and the next stop locks again
    assert NOT_IN_ORDER in client.get(AT).content.decode()
    for stop in Fact.objects.filter(kind=Kind.HOSE_RUN):  # what never was locks nothing
        services.strike_out(entry(ines), stop, "the wrong boat")
    assert NOT_IN_ORDER not in client.get(AT).content.decode()


def test_bad_input_writes_nothing_and_keeps_what_was_typed(ines: Person, as_person: Use) -> None:
    client = as_person(ines)
    for run in ("", "supply muffs\nten past water", "supply muffs\n1:00 head 900 C"):
        answer = client.post(AT, post(run, drips="oil under the gear case"))
        assert answer.status_code == 422, run
        page = answer.content.decode()
        assert "oil under the gear case" in page
        assert run.splitlines()[-1:] == [] or run.splitlines()[-1] in page
    assert not runs()
    assert client.put(AT).status_code == 405
    assert client.get("/boats/XXX/hose-run/").status_code == 404


def test_who_may(ines: Person, as_person: Use, client: Client) -> None:
    del ines
    answer = as_person(log_in("Olga")).post(AT, post())
    assert answer.status_code == 409
    learner = log_in("Timo", Right.PROVE, learner=True)
    alone = as_person(learner).post(AT, post())
    assert alone.status_code == 409
    assert "does not watch a hose run alone" in alone.content.decode()
    mara = log_in("Mara", Right.PROVE)
    assert as_person(learner).post(AT, post(second=str(mara.pk))).status_code == 302
    assert len(runs()) == 1
    client.logout()
    assert client.get(AT).status_code == 302


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_its_paper_twin(ines: Person, as_person: Use, paper: str) -> None:
    answer = as_person(ines).get(f"/boats/TEA/hose-run.pdf?paper={paper}")
    assert answer.content.startswith(b"%PDF")
    assert as_person(ines).get("/boats/TEA/hose-run.pdf?paper=A3").status_code == 422


def test_the_limit_on_file_counts_where_a_higher_one_is_written(
    ines: Person, as_person: Use
) -> None:
    # On file is 80 degC: a run whose writer allows 90 stops at 84 all the same.
    as_person(ines).post(AT, post("supply muffs\nlimit 90 C\n0:12 water\n0:20 head 84 C"))
    (run,) = runs()
    assert run.what == "Stop"
    assert "Over its limit (head, 84 °C)" in run.body["words"]
    assert "limit head 80 C" in run.body["run"]


def test_five_of_the_yards_own_runs_are_compared_with(ines: Person, as_person: Use) -> None:
    boat, client = Boat.objects.get(tag="TEA"), as_person(ines)
    for _ in range(5):
        client.post(AT, post(STEADY))
    client.post(AT, post(NO_WATER))  # a run that ended in a stop is none of them
    kept = work.kept_courses(boat.engine)["head"]
    assert [len(course) for course in kept] == [14] * 5
    assert kept[0][:1] == ((60.0, 30.0),)
    assert '"kept": {"head": [[[60' in client.get(AT).content.decode()
    hot = "supply muffs\n0:12 water\n0:30 yes\n1:00 yes\n1:00 head 45 C\n1:20 head 46 C"
    client.post(AT, post(hot))
    assert any("Unlike the yard's own runs" in one.body["words"] for one in runs())
    struck = Fact.objects.filter(kind=Kind.HOSE_RUN, what="Good").first()
    assert struck is not None
    services.strike_out(entry(ines), struck, "the wrong boat")
    assert len(work.kept_courses(boat.engine)["head"]) == 4
    assert work.kept_courses("another engine") == work.kept_courses("") == {}
    two = STEADY.replace("head", "head port")
    both = [f"{one}\n{one.replace('port', 'starboard')}" for one in two.splitlines()]
    client.post(AT, post("\n".join(both)))
    assert len(work.kept_courses(boat.engine)["head"]) == 5  # two heads are one run


HEARD = "/boats/TEA/hose-run/heard/"


def test_what_a_sensor_said_last_is_told_with_its_age(
    ines: Person, as_person: Use, tmp_path: Path, settings: LazySettings
) -> None:
    settings.HOME = tmp_path
    client = as_person(ines)
    assert client.get(HEARD).json() == {}
    now = datetime.now(UTC)
    for temp_c, ago_s in ((60, 30), (64.5, 10)):
        Latest(tmp_path, "TEA").put(
            Reading(None, "Head", temp_c, "°C"), now - timedelta(seconds=ago_s)
        )
    Latest(tmp_path, "TEA").put(Reading(None, "oil", 300, "kPa"), now)
    told = client.get(HEARD).json()
    assert [*told] == ["head"]  # a pressure is no temperature
    assert told["head"]["temp_c"] == 64.5
    assert 10 <= told["head"]["age_s"] < 40
    assert client.post(HEARD).status_code == 405
    assert Client().get(HEARD).status_code == 302
