"""What a plan has of boats at the lift: they go on by it, and are not planned again."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

from yardwright.plan.days import Days, Interval
from yardwright.plan.hours import both, either, outside
from yardwright.plan.problem import Person, PersonId, Problem, Task
from yardwright.procedures.going_in import State
from yardwright.season.hours import owners_of, person_of
from yardwright.season.model import Boat, Season
from yardwright.season.new_in_water import watch_of
from yardwright.season.published import ByNobody, Published, Told
from yardwright.season.spring import days_of, task_of, tasks_of
from yardwright.season.yard_time import Job, Launch, in_turn

AT_THE_LIFT = frozenset({State.IN_THE_SLINGS, State.IN_THE_WATER})


@dataclass(frozen=True, slots=True)
class UnderWay:
    """The launches of boats at the lift, what is told of them, and their work afloat still to be done.

    ``nobody`` is their work that the plan has nobody for: it was to be over, or its people are not
    there any more, or it was not asked for when the plan was made.
    """

    launches: tuple[Launch, ...]
    told: Mapping[str, Told]
    jobs: tuple[Job, ...]
    nobody: tuple[ByNobody, ...]

    def beside(self, problem: Problem) -> Problem:
        """What is asked of the others: who does these jobs has no hours then, nor who watches them.

        Who can watch several at once keeps their hours: they may watch on other boats meanwhile.
        """
        busy: dict[PersonId, list[Interval]] = {}
        for job in self.jobs:
            watcher = problem.person.get(PersonId(job.watcher)) if job.watcher else None
            alone = watcher.id if watcher and watcher.may_watch == 1 else None
            for key in filter(None, (PersonId(job.person), alone)):
                busy.setdefault(key, []).append(_span(problem.days, job))
        people = (_without(person, busy.get(person.id, ())) for person in problem.people)
        return replace(problem, people=tuple(people))

    def kept_in(self, new: Published) -> Published:
        """A plan made since, with all this in it."""
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
                launches=tuple(sorted(launches, key=in_turn)),
                jobs=tuple(sorted(jobs, key=in_turn)),
            ),
            told={**self.told, **new.told},
            by_nobody=self.nobody,
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
        Aware. A boat that went to the lift on another day than hers is in the plan from when she
        did, and handed over so many days later.
    """
    days = days_of(season)
    planned = {go.boat: go for go in one.plan.launches}
    boats = [b for b in season.boats if b.state in AT_THE_LIFT and b.name in planned]
    people = {person.name: person_of(person, days) for person in season.people}
    people |= {person.name: person for person in owners_of(boats, days)}
    job_of = {task_of(job): job for job in one.plan.jobs}
    known = {(left.boat, left.what): left for left in one.by_nobody}
    launches, told = list[Launch](), dict[str, Told]()
    jobs, nobody = list[Job](), list[ByNobody]()
    for boat in boats:
        go, hers = _begun(planned[boat.name], one.told[boat.name], boat, now, days.zone)
        launches.append(go)
        told[boat.name] = hers
        for task in (task for task in tasks_of(season, boat, days) if task.afloat):
            job = job_of.get(task.id)
            because = _because(people, days, job, task, now)
            if job and not because:
                jobs.append(job)
            else:
                left = known.get((boat.name, task.text))
                nobody.append(left or ByNobody(boat.name, task.text, because))
    return UnderWay(tuple(launches), told, tuple(jobs), tuple(nobody))


def _begun(
    go: Launch, told: Told, boat: Boat, now: datetime, zone: ZoneInfo
) -> tuple[Launch, Told]:
    """By the plan, or from when she went, where that was on another day; late by what is told now.

    She is handed over after the last look of her watch, however it went; a boat whose watch the
    plan leaves out, by the plan.
    """
    at = (boat.lifted.at if boat.lifted else now).astimezone(zone)
    if later := (at.date() - go.starts.astimezone(zone).date()).days:
        lasts = go.ends.astimezone(UTC) - go.starts.astimezone(UTC)
        end = (at.astimezone(UTC) + lasts).astimezone(zone)
        go = replace(go, starts=at, ends=end, fetched=None)
    over = told.handed_over + timedelta(days=max(0, later))
    watch = watch_of(boat, now, zone) if boat.watch_min else None
    told = replace(told, handed_over=(watch.handed_over(over) if watch else None) or over)
    ink = boat.promise.ink
    promised = ink or go.promised
    late = max(0, (told.handed_over - promised).days) if promised else 0
    return replace(go, promised=promised, in_ink=ink is not None, days_late=late), told


def _because(
    people: Mapping[str, Person], days: Days, job: Job | None, task: Task, now: datetime
) -> str:
    """Why nobody does a job by the plan; empty where somebody does."""
    if job is None:
        return "it was not asked for when the plan was made"
    start, end = _span(days, job)
    if end <= days.minute(now):
        return f"{job.person} was to have done it by {days.clock(end)}"
    for name in filter(None, (job.person, job.watcher)):
        if name not in people:
            return f"{name} does not work here any more"
        clock = people[name].hours(overtime=job.overtime)
        if clock.worked_by(end) - clock.worked_by(start) < task.minutes:
            return f"{name} is not there for it {days.clock(start)}"
    return ""


def _span(days: Days, job: Job) -> Interval:
    return days.minute(job.starts), days.minute(job.ends)


def _without(person: Person, busy: Sequence[Interval]) -> Person:
    """Somebody without the hours in which they are busy."""
    if not busy or not person.on.long.opens:
        return person
    free = outside(either(busy), max(end for _, end in person.on.long.opens))
    return replace(person, works=both(person.works, free), overtime=both(person.overtime, free))
