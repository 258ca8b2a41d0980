"""What breaks a plan, said once: a line a cause, with the boats in it."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from yardwright.calc.counting import listed
from yardwright.plan import checker
from yardwright.plan.days import Days
from yardwright.plan.hours import within
from yardwright.plan.problem import LAST_FROST, Job, LiftId, PersonId, Plan, Problem, Task
from yardwright.procedures.going_in import State
from yardwright.season.day_hours import on_day
from yardwright.season.hours import by_the_clock
from yardwright.season.lifts import Lifts
from yardwright.season.model import Boat, OnDay, Person, Season

NAMED = 6  # boats that one line names
A_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Broken:
    """One cause for which a plan no longer holds, in a sentence, and all the boats it touches."""

    words: str
    boats: frozenset[str] = frozenset()
    cause: str = ""
    each: frozenset[str] = frozenset()  # the sentence of each hit alone; empty: its words are it

    def __str__(self) -> str:
        return self.words

    @property
    def hits(self) -> frozenset[tuple[str, str]]:
        """Each thing that breaks by it, with the cause."""
        return frozenset((self.cause, says) for says in self.each or (self.words,))


class Hit(NamedTuple):
    """One boat, or one job on her, that a cause hits; ``says`` is the sentence of it alone."""

    cause: str
    boat: str
    says: str
    is_job: bool = False


def said_once(hits: Iterable[Hit]) -> list[Broken]:
    """A line a cause: where it hits once the sentence of that, else how many jobs on which boats."""
    alike: dict[str, list[Hit]] = {}
    for hit in hits:
        alike.setdefault(hit.cause, []).append(hit)
    return [_line(cause, some) for cause, some in alike.items()]


def broken_since(now: Iterable[Broken], before: Iterable[Broken]) -> list[Broken]:
    """The causes that are new, or by which more breaks than before."""
    known = {hit for one in before for hit in one.hits}
    return [one for one in now if one.hits - known]


def _line(cause: str, hits: list[Hit]) -> Broken:
    boats = list(dict.fromkeys(hit.boat for hit in hits))
    each = frozenset(hit.says for hit in hits)
    if len(hits) == 1:
        return Broken(hits[0].says, frozenset(boats), cause, each)
    more = f" and {len(boats) - NAMED} more" if len(boats) > NAMED else ""
    names = f"{', '.join(boats[:NAMED])}{more}" if more else listed(boats)
    jobs = f"{len(hits)} jobs on " if hits[0].is_job else ""
    return Broken(f"{cause}: {jobs}{names}.", frozenset(boats), cause, each)


def broken_rules(season: Season, plan: Plan, problem: Problem) -> list[Broken]:
    """Every way in which a plan breaks a rule, as the checker finds it, a line a cause.

    Parameters
    ----------
    season : Season
        As it stands now: who is off, and who hangs in the slings.
    plan : Plan
        The plan that holds, in the minutes of the problem.
    problem : Problem
        What is asked of it now.

    Returns
    -------
    list of Broken
        Empty when the plan holds.
    """
    if odd := list(checker.not_whole(plan, problem)):
        return [_alone(problem, says) for says in odd]
    hits = (
        _away(season, plan, problem),
        *(hits(plan, problem) for hits in (_parts, _carried, _water)),
    )
    return [
        *said_once(hit for some in hits for hit in some),
        *_lifts_short(season, plan, problem),
        *(_alone(problem, says) for rule in OTHERS for says in rule(plan, problem)),
    ]


BY_CAUSE = frozenset(
    {
        checker.watched,
        checker.working_hours,
        checker.part_first,
        checker.lift_open,
        checker.ground_bears,
        checker.water_holds,
        checker.lifts_enough,
    }
)
OTHERS = (*(rule for rule in checker.RULES if rule not in BY_CAUSE), checker.watching)


def _alone(problem: Problem, says: str) -> Broken:
    return Broken(says, frozenset(boat.name for boat in problem.boats if boat.name in says))


def _away(season: Season, plan: Plan, problem: Problem) -> Iterator[Hit]:
    """Jobs of people, and jobs that they watch, in hours that they do not work any more."""
    people = {PersonId(person.name): person for person in season.people}
    for task in problem.tasks:
        job = plan.jobs[task.id]
        for says in checker.person_away(plan, problem, task):
            yield _off(people.get(job.person), problem, (task, job), says)
        for says in checker.watcher_away(plan, problem, task):
            watcher = people.get(job.watcher) if job.watcher else None
            yield _off(watcher, problem, (task, job), says)


def _off(person: Person | None, problem: Problem, of: tuple[Task, Job], says: str) -> Hit:
    (task, job), days = of, problem.days
    boat = problem.boat[task.boat].name
    if person is None:
        return Hit(says, boat, says, is_job=True)
    first, last = days.date_of(days.day(job.start)), days.date_of(days.day(job.end - 1))
    off = min((day for day in person.off if first <= day <= last), default=None)
    gone = next((one for one in person.away if _touches(one, job, days)), None)
    if off:
        cause = f"{person.name} is off {_said(days, *_absence(person, off))}"
    elif gone:
        on = days.said(days.day_of(gone.day))
        cause = f"{person.name} is away {on} {gone.starts:%H:%M} to {gone.ends:%H:%M}"
    else:
        return Hit(f"{person.name}'s hours no longer fit", boat, says, is_job=True)
    return Hit(cause, boat, f"{cause}: {task.text} on {boat}.", is_job=True)


def _touches(gone: OnDay, job: Job, days: Days) -> bool:
    """Whether some of a job falls in hours of one day."""
    hours = by_the_clock(days, lambda day: on_day((gone,), day))
    return bool(within(hours, job.start, job.end))


def _absence(person: Person, day: date) -> tuple[date, date]:
    """The first and the last day of the days off around one, over days that are no working days."""

    def end(step: timedelta) -> date:
        found, at = day, day + step
        while at in person.off or at.weekday() not in person.weekdays:
            if abs(at - found) > 7 * A_DAY:
                break
            found = at if at in person.off else found
            at += step
        return found

    return end(-A_DAY), end(A_DAY)


def _said(days: Days, first: date, last: date) -> str:
    since, until = (days.said(days.day_of(day)) for day in (first, last))
    return since if since == until else f"from {since} to {until}"


def _parts(plan: Plan, problem: Problem) -> Iterator[Hit]:
    for task in problem.tasks:
        comes = problem.days.clock(task.not_before)
        cause = f"The {task.waits_for} does not come before {comes}"
        if task.waits_for == LAST_FROST:
            cause = f"A frost can come until {comes}"
        for says in checker.part_away(plan, problem, task):
            yield Hit(cause, problem.boat[task.boat].name, says, is_job=True)


def _carried(plan: Plan, problem: Problem) -> Iterator[Hit]:
    """Launches and moves aside while the lift is shut, or on ground that does not bear it."""
    days = problem.days
    for key, start, end in checker.lifted(plan, problem):
        boat = problem.boat[key]
        lift, on = problem.lift[boat.lift], days.said(days.day(start))
        shut = f"The {lift.name} is {'held' if within(lift.held, start, end) else 'shut'}"
        if within(lift.away, start, end):
            shut = f"Nobody who may run the {lift.name} is in"
        for says in checker.lift_shut(problem, key, start, end):
            yield Hit(f"{shut} {on} when it should carry", boat.name, says)
        firm = days.said(days.day(boat.ground_from))
        for says in checker.soft_ground(problem, key, start):
            yield Hit(f"The ground bears the {lift.name} from {firm} on", boat.name, says)


def _water(plan: Plan, problem: Problem) -> Iterator[Hit]:
    for boat in problem.going_in:
        for says in checker.no_water(plan, problem, boat):
            yield Hit("No water for the launch as planned", boat.name, says)


def _lifts_short(season: Season, plan: Plan, problem: Problem) -> Iterator[Broken]:
    """Who waits for the lift because a boat hangs in it; and boats that are carried at once."""
    waits: dict[LiftId, dict[str, int]] = {}
    for lift, together in checker.lifts_short(plan, problem):
        others = {name: start for name, start, _ in together if name != checker.HANGS}
        if len(others) < len(together):
            waits.setdefault(lift, {}).update(others)
        else:
            at, names = problem.days.clock(together[-1][1]), list(others)
            yield Broken(f"{listed(names)} are on the lift together at {at}.", frozenset(names))
    for lift, boats in waits.items():
        there = [boat.name for boat in season.boats if _hangs(season, boat, lift)]
        hang = f"{listed(there)} hang{'s' * (len(there) == 1)} in the slings"
        cause = f"{hang} when the {problem.lift[lift].name} should carry"
        carries = [f"{name} {problem.days.clock(at)}" for name, at in boats.items()]
        yield Broken(f"{cause} {listed(carries)}.", frozenset(boats), cause, frozenset(carries))


def _hangs(season: Season, boat: Boat, lift: LiftId) -> bool:
    """Whether a boat has a lift of a kind now; where nobody knows, she has one of each."""
    if boat.state != State.IN_THE_SLINGS:
        return False
    by = Lifts(season.lifts).by_name.get(boat.lifted.lift) if boat.lifted else None
    return by is None or Lifts(season.lifts).kind_of(by) == lift
