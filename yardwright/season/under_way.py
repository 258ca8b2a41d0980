"""What a plan has of boats at the lift: they go on by it, and are not planned again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime

from yardwright.plan.days import Days, Interval
from yardwright.plan.hours import both, either, outside
from yardwright.plan.problem import Person, PersonId, Problem, Task, TaskId
from yardwright.procedures.going_in import State
from yardwright.season.model import Boat, Season
from yardwright.season.published import Published, Told
from yardwright.season.spring import days_of, person_of, tasks_of
from yardwright.season.yard_time import Job, Launch

AT_THE_LIFT = frozenset({State.IN_THE_SLINGS, State.IN_THE_WATER})


@dataclass(frozen=True, slots=True)
class UnderWay:
    """The launches of boats at the lift, what is told of them, and their work still to be done.

    ``nobody`` is their open work for which nobody is there by the plan.
    """

    launches: tuple[Launch, ...]
    told: Mapping[str, Told]
    jobs: tuple[Job, ...]
    nobody: tuple[Job, ...]

    def beside(self, problem: Problem) -> Problem:
        """What is asked of the others: who does these jobs, or watches them, has no hours then."""
        busy: dict[PersonId, list[Interval]] = {}
        for job in self.jobs:
            for name in filter(None, (job.person, job.watcher)):
                busy.setdefault(PersonId(name), []).append(_span(problem.days, job))
        people = (_without(person, busy.get(person.id, ())) for person in problem.people)
        return replace(problem, people=tuple(people))

    def kept_in(self, new: Published) -> Published:
        """A plan made since, with all this in it as it was."""
        ink = sum(go.days_late for go in self.launches if go.in_ink)
        pencil = sum(go.days_late for go in self.launches if not go.in_ink)
        launches, jobs = (*self.launches, *new.plan.launches), (*self.jobs, *new.plan.jobs)
        return replace(
            new,
            ink_days=new.ink_days + ink,
            pencil_days=new.pencil_days + pencil,
            least_ink_days=new.least_ink_days + ink,
            least_pencil_days=new.least_pencil_days + pencil,
            plan=replace(
                new.plan,
                launches=tuple(sorted(launches, key=_in_turn)),
                jobs=tuple(sorted(jobs, key=_in_turn)),
            ),
            told={**self.told, **new.told},
        )


def under_way(season: Season, one: Published, now: datetime) -> UnderWay:
    """What a plan has of the boats that are at the lift.

    Parameters
    ----------
    season : Season
        As it stands now.
    one : Published
        The plan that holds.
    now : datetime
        Aware. A boat that went to the lift before her time is in the plan from when she did.
    """
    boats = {boat.name: boat for boat in season.boats if boat.state in AT_THE_LIFT}
    launches = tuple(
        _begun(go, boats[go.boat], now) for go in one.plan.launches if go.boat in boats
    )
    days, going = days_of(season), {go.boat for go in launches}
    people = {person.name: person_of(person, days) for person in season.people}
    asked = {task.id: task for name in going for task in tasks_of(season, boats[name], days)}
    jobs, nobody = list[Job](), list[Job]()
    for job in one.plan.jobs:
        task = asked.get(TaskId(f"{job.boat}: {job.what}"))
        if task:
            kept = job.ends.astimezone(UTC) > now.astimezone(UTC) and _there(
                people, days, job, task
            )
            (jobs if kept else nobody).append(job)
    told = {name: one.told[name] for name in going}
    return UnderWay(launches, told, tuple(jobs), tuple(nobody))


def _begun(go: Launch, boat: Boat, now: datetime) -> Launch:
    """By the plan, or sooner, where she went sooner."""
    at = boat.lifted.at if boat.lifted else now
    sooner = go.starts.astimezone(UTC) - at.astimezone(UTC)
    if sooner.total_seconds() <= 0:
        return go
    zone = go.starts.tzinfo
    start = at.astimezone(zone)
    end = (go.ends.astimezone(UTC) - sooner).astimezone(zone)
    return replace(go, starts=start, ends=end, fetched=None)


def _there(people: Mapping[str, Person], days: Days, job: Job, task: Task) -> bool:
    """Whether who does a job, and who watches them, work all of it."""
    start, end = _span(days, job)
    for name in filter(None, (job.person, job.watcher)):
        if name not in people:
            return False
        clock = people[name].hours(overtime=job.overtime)
        if clock.worked_by(end) - clock.worked_by(start) < task.minutes:
            return False
    return True


def _span(days: Days, job: Job) -> Interval:
    return days.minute(job.starts), days.minute(job.ends)


def _without(person: Person, busy: Sequence[Interval]) -> Person:
    if not busy:
        return person
    free = outside(either(busy), max(end for _, end in person.on.long.opens))
    return replace(person, works=both(person.works, free), overtime=both(person.overtime, free))


def _in_turn(one: Launch | Job) -> tuple[datetime, str]:
    return one.starts.astimezone(UTC), one.boat
