"""What holds a boat, and which work of the plan would clear it. Nothing here writes."""

from collections.abc import Sequence
from datetime import datetime

from yardwright.fleet.models import Boat
from yardwright.launch.queries import GOES_IN
from yardwright.launch.spring_days import open_until
from yardwright.season import model as season
from yardwright.season.published import Published
from yardwright.season.put_backs import put_back_jobs
from yardwright.season.zone import said_day
from yardwright.work import queries as work
from yardwright.work import verdicts
from yardwright.work.verdicts import Hold
from yardwright.yard import clock
from yardwright.yard import queries as yard

NOTHING_PLANNED = "Nothing in the plan is known to clear it."


def held(row: Boat, plan: Published | None) -> list[str]:
    """What holds her, each with the work of the plan that would clear it, and its day."""
    facts = work.story([row])[row.pk]
    boat, now = work.value(row, facts), clock.now()
    return [f"{one.words} {_until(one, boat, plan, now)}" for one in verdicts.holding(facts)]


def held_soon(plan: Published | None) -> dict[str, str]:
    """Of the boats of the plan's open days, or that are over their time: what holds each."""
    if plan is None:
        return {}
    until = open_until(plan)
    goes = {go.boat for go in plan.plan.launches if go.starts.date() < until}
    states = work.where_all()
    rows = Boat.objects.filter(name__in=goes)
    waits = [row for row in rows if states.get(row.pk, work.NOWHERE).state in GOES_IN]
    return {name: shortly(holds) for name, holds in verdicts.held(waits).items()}


def shortly(holds: Sequence[Hold]) -> str:
    """The first of what holds her, and how many more do; empty where nothing does."""
    if not holds:
        return ""
    more = f", and {len(holds) - 1} more" if len(holds) > 1 else ""
    return f"{holds[0].what}{more}"


def _until(hold: Hold, boat: season.Boat, plan: Published | None, now: datetime) -> str:
    """Her steps to come that read the quantity again; the plan has them by their trade."""
    steps = put_back_jobs(boat, yard.yard(clock.the_yard()))
    for job in plan.plan.jobs if plan else ():
        if job.boat != boat.name or job.ends <= now:
            continue
        for step in steps.get(job.what, ()):
            if step.reading == hold.read:
                how = (
                    "is repaired and somebody else reads it well" if hold.repair else "is read well"
                )
                return f"It holds her until it {how}: {step.title}, {said_day(job.ends.date())}."
    return NOTHING_PLANNED
