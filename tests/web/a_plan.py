"""A plan for story A1's yard, written by hand, so that a page's times can be told beforehand."""

from collections.abc import Iterable
from datetime import date, datetime
from uuid import uuid4

from tests.conftest import entry
from yardwright.season.published import Published, Told, as_json
from yardwright.season.yard_time import Aside, Job, Launch, SpringPlan
from yardwright.work import facts
from yardwright.work.models import Fact
from yardwright.yard.models import Person

TUESDAY = date(2031, 5, 6)


def at(clock: str, day: int = 6) -> datetime:
    return datetime.fromisoformat(f"2031-05-{day:02}T{clock}-04:00")


JOBS = (
    Job("Dunlin", "engine", "Ines", at("13:00", 5), at("15:30", 5)),
    Job("Teal", "hull", "Pia", at("07:00"), at("08:00"), watcher="Tomas"),
    Job("Dunlin", "second look, engine", "Tomas", at("08:00"), at("08:15")),
    Job("Curlew", "engine", "Ines", at("11:00"), at("13:30")),
    Job("Avocet", "engine", "Ines", at("15:00"), at("08:30", 7)),
)
LAUNCHES = (
    Launch("Dunlin", at("09:00"), at("09:30"), TUESDAY, True, 0, "Travel lift", at("08:45")),
    Launch("Avocet", at("09:00", 7), at("09:30", 7), date(2031, 5, 7), True, 0, "Travel lift"),
)
ASIDES = (Aside("Curlew", at("08:15"), at("08:45")),)
WHY_ASIDE = (
    "Curlew is moved aside Tue 6 May 08:15: Dunlin stands behind her and leaves Tue 6 May 09:00."
)
TOLD = {
    "Dunlin": Told("Dunlin", TUESDAY, at("04:41"), at("10:45"), ()),
    "Avocet": Told("Avocet", date(2031, 5, 7), at("07:18", 7), at("09:55", 7), ()),
}


def publish(
    by: Person,
    jobs: Iterable[Job] = JOBS,
    launches: Iterable[Launch] = LAUNCHES,
    asides: Iterable[Aside] = ASIDES,
) -> Fact:
    """Let this plan hold."""
    plan = Published(
        asked_at=at("05:00", 5),
        begins=at("05:15", 5),
        status="best",
        ink_days=0,
        pencil_days=0,
        least_ink_days=0,
        least_pencil_days=0,
        plan=SpringPlan(tuple(launches), tuple(asides), tuple(jobs)),
        told=TOLD,
        asides_told=(WHY_ASIDE,),
    )
    return facts.add_published(entry(by), {"job": str(uuid4()), "plan": as_json(plan)})
