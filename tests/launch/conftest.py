"""A season planned to its end, and a boat that nothing holds on land."""

import json
from collections.abc import Callable
from datetime import datetime, timedelta
from functools import lru_cache
from uuid import uuid4

import pytest

from tests.conftest import entry, log_in, set_clock
from yardwright.fleet.models import Boat, Owner
from yardwright.launch import queries, services, solve
from yardwright.launch.solve import answer
from yardwright.procedures.going_in import BILGE_PUMP, State
from yardwright.procedures.put_backs import Proof
from yardwright.procedures.quantities import quantity
from yardwright.procedures.readings import Reading
from yardwright.procedures.verdict import Verdict
from yardwright.season.model import Right
from yardwright.work import facts, put_backs
from yardwright.work import queries as work
from yardwright.work import services as work_services
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.models import Job, Lift, Person, Place

MONDAY = datetime.fromisoformat("2031-05-05T05:10-04:00")


@pytest.fixture
def mara(three_days: object) -> Person:
    """The manager, on the morning of story A1's first day."""
    set_clock(MONDAY)
    return log_in("Mara", Right.INK, Right.PROVE, Right.WATER)


@pytest.fixture
def planned(mara: Person) -> Job:
    """The spring as the planner plans it, ready to be published."""
    job, asked_at = services.plan_the_spring(mara, time_limit_s=5), clock.now()
    job.answer = story_a1s_plan() | {"asked_at": asked_at.isoformat()}
    job.state = Job.State.DONE
    job.save()
    return job


@lru_cache(maxsize=1)
def story_a1s_plan() -> dict[str, object]:
    """Planned once for all tests: it takes seconds, and they all begin in the same yard."""
    return answer(5)


@pytest.fixture
def published(planned: Job, mara: Person) -> Fact:
    """That plan holds, and Curlew's owner is known."""
    reeve = Owner.objects.create(name="A. Reeve", phone="555 0101")
    Boat.objects.filter(name="Curlew").update(owner=reeve)
    return services.publish(entry(mara), planned)


def sick_on_monday() -> None:
    # Story A1's only mechanic: Plover, told Monday in Ink, can't be handed over that day then.
    ines = Person.objects.get(name="Ines")
    ines.off = ["2031-05-05"]
    ines.save()


@pytest.fixture
def worked_out(mara: Person, published: Fact, monkeypatch: pytest.MonkeyPatch) -> Job:
    """Ines is sick, and the smallest change was planned."""
    monkeypatch.setattr(solve, "AGAIN_S", 3.0)
    later(5)
    sick_on_monday()
    job, asked_at = services.plan_again(mara), clock.now().isoformat()
    choices = json.loads(smallest_changes())
    for one in choices:
        one["plan"]["asked_at"] = asked_at
    rests_on = {"plan": str(published.pk), "stood": queries.as_it_stands(), "asked_at": asked_at}
    job.answer, job.state = {"choices": choices, **rests_on}, Job.State.DONE
    job.save()
    return job


@lru_cache(maxsize=1)
def smallest_changes() -> str:
    """Planned once for all tests: it takes seconds, and they all begin on the same morning."""
    return json.dumps(solve.again({})["choices"])


@pytest.fixture
def ruben(teal: Boat) -> Person:
    """He runs the lift."""
    del teal
    return log_in("Ruben", Right.PROVE, Right.WATER)


@pytest.fixture
def at_the_lift(teal: Boat, ruben: Person) -> Boat:
    """Teal with everything put back and proven, weighed, ready, on the top of her water."""
    lift_and_weight(teal)
    # Portland's high water of 6 May 2031 is about 11 in the morning (NOAA station 8418150).
    set_clock(datetime.fromisoformat("2031-05-06T09:30-04:00"))
    second = log_in("Ines", Right.PROVE)
    for fact in put_backs.open_undone().filter(boat=teal):
        work_services.put_back(entry(ruben), fact, Proof.RUN)
        if fact.body["second"]:
            work_services.put_back(entry(second), fact, Proof.RUN)
    for way in teal.ways_in.all():
        work_services.look(entry(ruben), teal, way.name, holds=True)
    work_services.look(entry(ruben), teal, BILGE_PUMP, holds=True)
    services.ready(entry(ruben), teal)
    return teal


def lift_and_weight(teal: Boat) -> None:
    Lift.objects.create(
        name="Travel lift",
        kind="travel lift",
        rating_kg=15000,
        sling_rating_kg=4000,
        opens="06:00",
        closes="20:00",
        launch_min=30,
        aside_min=30,
        weekdays=[0, 1, 2, 3, 4],
    )
    Place.objects.create(name="North row", kind="row", berths=3)
    teal.weight_kg, teal.weight_within = 2200, 0.1
    teal.centre_m, teal.centre_within_m = 2.3, 0.2
    teal.sling_aft_m, teal.sling_forward_m = 1.0, 4.4
    teal.save()


def later(minutes: float) -> None:
    """Let the yard's clock run on."""
    set_clock(clock.now() + timedelta(minutes=minutes))


@pytest.fixture
def post() -> Callable[..., dict[str, str]]:
    """A form as a page sends it, with a fresh uuid."""

    def fields(**typed: str) -> dict[str, str]:
        return {"uuid": str(uuid4()), **typed}

    return fields


def state_of(boat: Boat) -> State:
    return work.where_all()[boat.pk].state


def held_by(boat: Boat, by: Person, what: str, verdict: Verdict) -> None:
    """A reading on her with its verdict."""
    read = Reading(what, (9.5,), quantity(what).unit, clock.now(), by.name, None)
    taken = facts.add_reading(entry(by), boat, read)
    reasons = [{"rule": "outside the limit", "words": "9.5 was read."}]
    facts._add(entry(by), Kind.JUDGED, boat, verdict, {"reasons": reasons}, taken)
