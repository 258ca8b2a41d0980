"""As if somebody stood in for who is away: then the published plan holds, and they are let go."""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from random import Random

from yardwright.plan import checker
from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import either
from yardwright.plan.parts import Part, nearest, of_tasks
from yardwright.plan.problem import Job, Person, PersonId, Plan, Problem, TaskId
from yardwright.plan.repair import NoRoom, hit, repaired


@dataclass(frozen=True, slots=True)
class StoodIn:
    """A plan that keeps every rule, were those ``people`` there who stand in."""

    problem: Problem
    plan: Plan
    people: frozenset[PersonId]

    @property
    def done(self) -> list[TaskId]:
        """The jobs that stand-ins do."""
        return [key for key, job in self.plan.jobs.items() if job.person in self.people]

    def around(
        self,
        after: Mapping[TaskId, Sequence[TaskId]],
        now: Minute,
        most: int,
        days: float,
        dice: Random,
    ) -> Part:
        """One of their jobs, what is near it in time, and who could do it meanwhile.

        Parameters
        ----------
        after : mapping
            The jobs that come straight after each.
        now : int
            Nothing that began before is in it. [min]
        most : int
            Jobs in the part, those counted that follow.
        days : float
            By how much chance may take a job to be farther off than it is. [days]
        dice : Random
            Draws the job, and how far off the others are taken to be.
        """
        jobs, waiting = self.plan.jobs, self.done
        at = jobs[dice.choice(waiting)].start
        far = {k: abs(job.start - at) + dice.uniform(0, days * 1440) for k, job in jobs.items()}
        some = nearest((), sorted(waiting, key=lambda key: far[key]), after, most // 2)
        trades = {self.problem.task[key].trade for key in some if key in waiting}
        able = {person.id for person in self.problem.people if person.trades & trades}
        near = [
            task.id
            for task in self.problem.tasks
            if jobs[task.id].start >= now and (task.trade in trades or jobs[task.id].person in able)
        ]
        near.sort(key=lambda key: far[key])
        return of_tasks(self.problem, nearest(some, near, after, most))


def stood_in(problem: Problem, published: Plan, lost: Part, now: Minute) -> StoodIn | None:
    """Give each job that has lost its hours to a stand-in, in just these hours.

    Parameters
    ----------
    problem : Problem
        What is asked now.
    published : Plan
        The plan that people know.
    lost : Part
        What can't stay. A job whose kit is late, who is watched or not planned yet gets no
        stand-in: it is put in again.
    now : int
        A job that began before is begun anew, now. [min]

    Returns
    -------
    StoodIn or None
        None where nobody can stand in.
    """
    hours: defaultdict[PersonId, list[Interval]] = defaultdict(list)
    trades: defaultdict[PersonId, set[str]] = defaultdict(set)
    jobs, anew = dict(published.jobs), set()
    for key in sorted(lost.tasks):
        task, job = problem.task[key], published.jobs.get(key)
        if job is None or job.watcher is not None or job.start < task.not_before:
            continue
        who = PersonId(f"in place of {job.person}")
        if job.start < now:
            who = PersonId(f"{who}, anew")
            job = Job(who, now, now + task.minutes)
            anew.add(key)
        jobs[key] = replace(job, person=who, overtime=False)
        hours[who] += _worked(job, task.minutes)
        trades[who].add(task.trade)
    if not hours:
        return None
    people = tuple(
        Person(who, who, frozenset(trades[who]), tuple(either(hours[who]))) for who in sorted(hours)
    )
    asked = replace(problem, people=(*problem.people, *people))
    plan = replace(published, jobs=jobs)
    still = hit(asked, plan)
    try:
        plan = repaired(asked, plan, Part(still.tasks | anew, still.boats), now)
    except NoRoom:
        return None
    return None if checker.broken(plan, asked) else StoodIn(asked, plan, frozenset(hours))


def _worked(job: Job, minutes: int) -> Iterator[Interval]:
    """So many minutes of work from its start to its end, wherever its breaks lay."""
    if job.end - job.start == minutes:
        yield job.start, job.end
    else:
        yield job.start, job.start + minutes - 1
        yield job.end - 1, job.end
