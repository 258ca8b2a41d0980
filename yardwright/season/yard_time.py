"""A plan of the spring in the yard's own time: what its pages and papers show."""

from dataclasses import dataclass
from datetime import UTC, date, datetime

from yardwright.plan.problem import Boat, Plan, Problem, days_late, overtime_min


@dataclass(frozen=True, slots=True)
class Launch:
    """When a boat goes in, against the day that was promised; her lift fetches her before."""

    boat: str
    starts: datetime
    ends: datetime
    promised: date | None
    in_ink: bool
    days_late: int
    lift: str = ""
    fetched: datetime | None = None


@dataclass(frozen=True, slots=True)
class Aside:
    """When a boat is moved aside, to let one behind her out."""

    boat: str
    starts: datetime
    ends: datetime


@dataclass(frozen=True, slots=True)
class Job:
    """Who does which work on a boat, and when; who watches them learn, and whether overtime."""

    boat: str
    what: str
    person: str
    starts: datetime
    ends: datetime
    watcher: str | None = None
    overtime: bool = False


@dataclass(frozen=True, slots=True)
class SpringPlan:
    """A plan in the yard's own time, each list in the order of its times."""

    launches: tuple[Launch, ...]
    asides: tuple[Aside, ...]
    jobs: tuple[Job, ...]


def in_yard_time(problem: Problem, plan: Plan) -> SpringPlan:
    """Turn a plan's minutes back into the yard's days and hours."""
    at = problem.days.at
    asides = (
        Aside(key, at(start), at(start + (problem.boat[key].aside_min or 0)))
        for key, start in plan.asides.items()
    )
    jobs = (
        Job(
            task.boat,
            task.text,
            job.person,
            at(job.start),
            at(job.end),
            job.watcher,
            overtime_min(problem, job) > 0,
        )
        for task in problem.tasks
        for job in [plan.jobs[task.id]]
    )
    launches = (_launch(problem, plan, boat) for boat in problem.going_in)
    return SpringPlan(
        tuple(sorted(launches, key=in_turn)),
        tuple(sorted(asides, key=in_turn)),
        tuple(sorted(jobs, key=in_turn)),
    )


def in_turn(one: Launch | Aside | Job) -> tuple[datetime, str]:
    """What comes first sorts first, also on the night the clock changes."""
    return one.starts.astimezone(UTC), one.boat


def _launch(problem: Problem, plan: Plan, boat: Boat) -> Launch:
    days, start = problem.days, plan.launches[boat.id]
    return Launch(
        boat=boat.id,
        starts=days.at(start),
        ends=days.at(start + boat.launch_min),
        promised=None if boat.promised is None else days.date_of(boat.promised),
        in_ink=boat.ink is not None,
        days_late=days_late(problem, plan, boat),
        lift=problem.lift[boat.lift].name,
        fetched=days.at(start - boat.carry_min),
    )
