"""After a surprise: what is asked now, the plans that change least, and all they change, in words."""

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from time import monotonic

from yardwright.plan.bound import Relaxed
from yardwright.plan.change import Moved, Relaunched
from yardwright.plan.days import Minute
from yardwright.plan.least import least_launches
from yardwright.plan.parts import Part
from yardwright.plan.planner import Answer, Status
from yardwright.plan.problem import BoatId, Plan, Problem, Task, handed_over, score
from yardwright.plan.problem import Job as PlanJob
from yardwright.plan.repair import hit
from yardwright.plan.replan import Option, replan
from yardwright.plan.search import Bound
from yardwright.season.asked import asked_now
from yardwright.season.choices import Changed, Choice
from yardwright.season.model import Season
from yardwright.season.published import Published, ink_moved, published
from yardwright.season.spring import task_of
from yardwright.season.under_way import UnderWay, under_way
from yardwright.season.why_moved import why_job, why_launch

BOUND_S = 2.0
TELL_S = 1.0  # a better answer is put into words so long after the last, and only the newest


def again(
    season: Season,
    old: Published,
    *,
    asked_at: datetime,
    begins: datetime,
    time_limit_s: float,
    workers: int = 2,
    told: Callable[[Choice], None] = lambda _choice: None,
    stop: Callable[[], bool] = lambda: False,
) -> tuple[Choice, ...]:
    """Change the plan that holds as little as serves.

    Parameters
    ----------
    season : Season
        As it stands now, the surprise in it.
    old : Published
        The plan that people know.
    asked_at : datetime
        Aware; what was to be over by then and is not is planned anew.
    begins : datetime
        Nothing is newly put before it; what is under way goes on.
    time_limit_s : float
        When to answer at the latest. [s]
    workers : int
        Threads of the solver, and processes in which boats give way.
    told : callable
        Told the first answer at once, then about each second the newest, where it is better.
    stop : callable
        Asked ten times a second; once true, the best so far is the answer.

    Returns
    -------
    tuple of Choice
        The fewest moves first; then one with more moves and less Pencil, if there is one. Empty:
        nothing was found, plan the spring anew.

    Raises
    ------
    ValueError
        No lift; water at fault.
    """
    problem, known = asked_now(season, old, asked_at, begins)
    since = problem.days.minute(begins) + 1
    asked = _Asked(
        season=season,
        old=old,
        at=asked_at,
        problem=problem,
        known=known,
        goes_on=under_way(season, old, asked_at),
        hit=hit(problem, known),
        least_launches=least_launches(problem, known, since),
    )
    newest = _Newest(lambda option: told(_choice(asked, option, Bound(0, 0))))

    def stopped() -> bool:
        newest.tell()
        return stop()

    found = replan(
        problem,
        known,
        now=since,
        time_limit_s=time_limit_s,
        workers=workers,
        told=newest.is_better,
        stop=stopped,
    )
    options = [option for option in (found.better, found.other) if option is not None]
    bound = _bound(problem, options)
    return tuple(_choice(asked, one, bound) for one in options)


@dataclass(frozen=True, slots=True)
class _Asked:
    """What is the same for every answer to a surprise."""

    season: Season
    old: Published
    at: datetime
    problem: Problem
    known: Plan
    goes_on: UnderWay
    hit: Part
    least_launches: int


class _Newest:
    """The best answer so far; put into words once in a while, while the solver is at work."""

    def __init__(self, told: Callable[[Option], None]) -> None:
        self.told, self.again_s = told, 0.0
        self.waits: Option | None = None

    def is_better(self, option: Option) -> None:
        self.waits = option
        self.tell()

    def tell(self) -> None:
        if self.waits is not None and monotonic() >= self.again_s:
            option, self.waits = self.waits, None
            self.told(option)
            self.again_s = monotonic() + TELL_S


def _bound(problem: Problem, options: Sequence[Option]) -> Bound:
    relaxed = Relaxed(problem)
    ink = relaxed.ink_days(BOUND_S) if options else None
    if ink is None:
        return Bound(0, 0)
    reached = score(problem, options[0].plan).ink_days
    return Bound(ink, relaxed.pencil_days(BOUND_S, reached) or 0)


def _choice(asked: _Asked, option: Option, bound: Bound) -> Choice:
    problem = asked.problem
    answer = Answer(Status.FOUND, option.plan, score(problem, option.plan), bound)
    plan = published(asked.season, problem, answer, asked_at=asked.at, begins=asked.old.begins)
    plan = asked.goes_on.kept_in(plan)
    inks = {one.name: one.promise.ink for one in asked.season.boats if one.promise.ink}
    not_kept = {one.boat for one in ink_moved(inks, asked.old, plan)}
    changes = (*_gone(asked), *_changes(asked, option))
    return Choice(
        plan=plan,
        ink_days=option.change.ink_days,
        launches=len(option.diff.launches),
        jobs=sum(_shifts(moved) for moved in option.diff.jobs),
        pencil_days=option.change.pencil_days,
        handed_on=option.change.handed_on,
        overtime_min=option.change.overtime_min,
        changes=tuple(sorted(changes, key=lambda one: one.boat not in not_kept)),
        least_launches=asked.least_launches,
    )


def _shifts(moved: Moved) -> bool:
    return moved.was is None or moved.now is None or moved.was.start != moved.now.start


def _gone(asked: _Asked) -> Iterator[Changed]:
    """What was still to come by the plan that holds, and is not asked for any more."""
    old, problem, goes_on = asked.old, asked.problem, asked.goes_on
    begun = asked.at.astimezone(UTC)
    going = {boat.name for boat in problem.going_in} | {go.boat for go in goes_on.launches}
    words: defaultdict[str, list[str]] = defaultdict(list)
    for go in old.plan.launches:
        if go.boat not in going and go.starts.astimezone(UTC) > begun:
            words[go.boat].append(f"{go.boat} does not go in any more.")
    told = {(one.boat, one.what) for one in (*old.by_nobody, *goes_on.nobody)}
    for job in old.plan.jobs:
        still = task_of(job) in problem.task or (job.boat, job.what) in told or job in goes_on.jobs
        if not still and job.starts.astimezone(UTC) > begun:
            words[job.boat].append(f"{job.what}: not to be done any more; {job.person} is free.")
    for one in goes_on.nobody:
        if one not in old.by_nobody:
            words[one.boat].append(one.words)
    for boat in sorted(words):
        yield Changed(boat, tuple(words[boat]))


def _changes(asked: _Asked, option: Option) -> Iterator[Changed]:
    """Boat by boat, those in Ink first, then by when they go in; each with why, as far as known."""
    problem, known, words = asked.problem, asked.known, dict[BoatId, list[str]]()
    reasons = {*asked.hit.boats, *(problem.task[key].boat for key in asked.hit.tasks)}

    def say(key: BoatId, what: str, why: str = "") -> None:
        words.setdefault(key, []).append(f"{what}{': ' * bool(why)}{why}.")
        if why:
            reasons.add(key)

    for launch in option.diff.launches:
        if launch.now is not None:
            say(launch.boat, *_launch(problem, known, option.plan, launch))
    for key, at in sorted(option.plan.asides.items() ^ known.asides.items()):
        say(key, _aside(problem, option.plan, key, at))
    for moved in sorted(option.diff.jobs, key=lambda one: one.now.start if one.now else 0):
        if moved.now is not None:
            task = problem.task[moved.task]
            say(task.boat, *_job(problem, option.plan, task, moved.was, moved.now))

    def order(key: BoatId) -> tuple[bool, Minute]:
        return problem.boat[key].ink is None, option.plan.launches.get(key, 0)

    for key in sorted(words, key=order):
        why = () if key in reasons else ("To make room for others.",)
        yield Changed(problem.boat[key].name, (*words[key], *why))


def _launch(problem: Problem, known: Plan, plan: Plan, one: Relaunched) -> tuple[str, str]:
    """What is said of her launch, and why it moves."""
    assert one.now is not None  # noqa: S101 - asked before
    boat, days = problem.boat[one.boat], problem.days
    goes = f"{boat.name} goes in {days.clock(one.now)}"
    over = days.day(handed_over(problem, plan, boat))
    if one.was is None:
        return f"{goes}, handed over {days.said(over)}; she was not in the plan", ""
    was = known.launches.get(one.boat) is not None and all(
        task.id in known.jobs for task in problem.jobs[one.boat]
    )
    before = days.day(handed_over(problem, known, boat)) if was else over
    day = "the same day" if before == over else days.said(over)
    moves = f"{goes} instead of {days.clock(one.was)}, handed over {day}"
    return moves, why_launch(problem, plan, boat, one.was)


def _aside(problem: Problem, plan: Plan, key: BoatId, at: Minute) -> str:
    name = problem.boat[key].name
    if plan.asides.get(key) == at:
        return f"{name} is moved aside {problem.days.clock(at)}"
    return f"{name} is not moved aside {problem.days.clock(at)} any more"


def _job(
    problem: Problem, plan: Plan, task: Task, was: PlanJob | None, now: PlanJob
) -> tuple[str, str]:
    """What is said of a job, and why it moves or changes hands."""
    clock, name = problem.days.clock, problem.person[now.person].name
    does = f"{task.text}: {name}, {clock(now.start)}"
    if was is None:
        return f"{does}; it was not in the plan", ""
    if was.start == now.start and was.person == now.person:
        return f"{does}: it ends {clock(now.end)} instead of {clock(was.end)}", ""
    why = why_job(problem, plan, task, was)
    if was.start == now.start:
        return f"{does} as before, instead of {_name(problem, was)}", why
    before = clock(was.start)
    if was.person != now.person:
        before = f"{_name(problem, was)}, {before}"
    return f"{does} instead of {before}", why


def _name(problem: Problem, job: PlanJob) -> str:
    person = problem.person.get(job.person)
    return person.name if person else str(job.person)
