"""The rules once more, without the solver: what is wrong with a plan, in words."""

from collections.abc import Callable, Iterable, Iterator
from operator import itemgetter

from yardwright.calc.counting import listed
from yardwright.plan.days import Interval
from yardwright.plan.hours import Stretches, within
from yardwright.plan.problem import (
    Boat,
    BoatId,
    Clock,
    Job,
    LiftId,
    PersonId,
    Plan,
    Problem,
    Task,
    TaskId,
)

Rule = Callable[[Plan, Problem], Iterator[str]]
Named = tuple[str, int, int]  # what lasts from one minute to another
HANGS = "the boat in the slings"  # in no plan, and she has the lift


def right_trade(plan: Plan, problem: Problem) -> Iterator[str]:
    """One person who has the trade, or learns it, does the whole job."""
    for task in problem.tasks:
        person = problem.person[plan.jobs[task.id].person]
        if not person.may_do(task):
            yield f"{_job(problem, task.id)} asks for a {task.trade}, which {person.name} is not."


def watched(plan: Plan, problem: Problem) -> Iterator[str]:
    """A learner works while somebody of the trade is there for it, with no job of their own."""
    yield from watching(plan, problem)
    for task in problem.tasks:
        yield from watcher_away(plan, problem, task)


def watching(plan: Plan, problem: Problem) -> Iterator[str]:
    """What ``watched`` says of who watches whom, whenever they are there."""
    own: dict[PersonId, list[Named]] = {}
    eyes: dict[PersonId, list[Named]] = {}
    for key, job in plan.jobs.items():
        own.setdefault(job.person, []).append((_job(problem, key), job.start, job.end))
        if job.watcher is not None:
            eyes.setdefault(job.watcher, []).append((_job(problem, key), job.start, job.end))
    for task in problem.tasks:
        yield from _watcher(problem, task, plan.jobs[task.id])
    for watcher, spans in eyes.items():
        name, most = problem.person[watcher].name, problem.person[watcher].may_watch
        for together in _too_many(spans, most):
            yield f"{name} would watch {_and(together)} at once and can watch {most}."
        for job_of, start, end in own.get(watcher, []):
            if busy := next((one[0] for one in spans if one[1] < end and start < one[2]), None):
                yield f"{name} would watch {busy} while on {job_of}."


def _watcher(problem: Problem, task: Task, job: Job) -> Iterator[str]:
    person, what = problem.person[job.person], _job(problem, task.id)
    if job.watcher is None:
        if task.trade in person.learns:
            yield f"{what}: {person.name} learns it, and nobody watches."
        return
    watcher = problem.person[job.watcher]
    if job.watcher == job.person or task.trade not in watcher.trades:
        yield f"{what} asks for a {task.trade} who watches, which {watcher.name} is not."


def watcher_away(plan: Plan, problem: Problem, task: Task) -> Iterator[str]:
    """What ``watched`` says of one job's watcher, who is not there."""
    job = plan.jobs[task.id]
    if job.watcher is None:
        return
    watcher, person = problem.person[job.watcher], problem.person[job.person]
    there = watcher.hours(overtime=job.overtime)
    works = within(person.hours(overtime=job.overtime).opens, job.start, job.end)
    if any(_worked(there, start, end) < end - start for start, end in works):
        what = _job(problem, task.id)
        yield f"{what} goes on while {watcher.name}, who watches, does not work."


def working_hours(plan: Plan, problem: Problem) -> Iterator[str]:
    """A job takes its minutes of work and rests only while its person does."""
    for task in problem.tasks:
        yield from person_away(plan, problem, task)


def person_away(plan: Plan, problem: Problem, task: Task) -> Iterator[str]:
    """What ``working_hours`` says of one job."""
    job = plan.jobs[task.id]
    clock = problem.person[job.person].hours(overtime=job.overtime)
    minutes = _worked(clock, job.start, job.end)
    if minutes != task.minutes:
        who, begins = problem.person[job.person].name, problem.days.clock(job.start)
        yield (
            f"{_job(problem, task.id)} takes {task.minutes} minutes; {who} has {minutes} for "
            f"it from {begins}."
        )
    elif not _worked(clock, job.start, job.start + 1) or not _worked(clock, job.end - 1, job.end):
        yield f"{_job(problem, task.id)} begins or ends while nobody works on it."


def one_job_a_person(plan: Plan, problem: Problem) -> Iterator[str]:
    """A person finishes a job before the next."""
    theirs: dict[PersonId, list[Named]] = {}
    for key, job in plan.jobs.items():
        theirs.setdefault(job.person, []).append((_job(problem, key), job.start, job.end))
    for person, spans in theirs.items():
        for together in _too_many(spans, 1):
            yield f"{problem.person[person].name} would be on {_and(together)} at once."


def jobs_at_once(plan: Plan, problem: Problem) -> Iterator[str]:
    """No more jobs go on at once on a boat than she has room for."""
    for boat in problem.boats:
        jobs = [(task.id, plan.jobs[task.id]) for task in problem.jobs[boat.id]]
        spans = [(_job(problem, key), job.start, job.end) for key, job in jobs]
        for together in _too_many(spans, boat.hands):
            yield f"{_and(together)} overlap; {boat.hands} at once is the most."


def part_first(plan: Plan, problem: Problem) -> Iterator[str]:
    """A job does not begin before what it waits for is there."""
    for task in problem.tasks:
        yield from part_away(plan, problem, task)


def part_away(plan: Plan, problem: Problem, task: Task) -> Iterator[str]:
    """What ``part_first`` says of one job."""
    if plan.jobs[task.id].start < task.not_before:
        comes = f"its {task.waits_for} comes, " if task.waits_for else ""
        at = problem.days.clock(task.not_before)
        yield f"{_job(problem, task.id)} begins before {comes}{at}."


def in_order(plan: Plan, problem: Problem) -> Iterator[str]:
    """A job begins when those it comes after are finished."""
    for task in problem.tasks:
        for before in task.after:
            if plan.jobs[task.id].start < plan.jobs[before].end:
                yield f"{_job(problem, task.id)} begins before {_job(problem, before)} is finished."


def by_another(plan: Plan, problem: Problem) -> Iterator[str]:
    """A second look is for who has the trade and had no hand in the work, nor watched it."""
    for task in problem.tasks:
        for other in task.not_by:
            for key in sorted(plan.jobs[task.id].hands & plan.jobs[other].hands):
                does = "does" if key == plan.jobs[other].person else "watches"
                name = problem.person[key].name
                yield f"{_job(problem, task.id)} is not for {name}, who {does} {_job(problem, other)}."


def work_before_water(plan: Plan, problem: Problem) -> Iterator[str]:
    """A boat is fetched when all work on her ashore is done."""
    for boat in problem.going_in:
        for task in problem.ashore(boat.id):
            if plan.launches[boat.id] - boat.carry_min < plan.jobs[task.id].end:
                yield f"{boat.name} would go in before {_job(problem, task.id)} is done."


def paint_dry(plan: Plan, problem: Problem) -> Iterator[str]:
    """A boat meets the water when her paint is dry."""
    for boat in problem.going_in:
        for task in problem.ashore(boat.id):
            dry = plan.jobs[task.id].end + task.dry_min
            if task.dry_min and plan.launches[boat.id] < dry:
                at = problem.days.clock(dry)
                yield f"{boat.name} would go in before {_job(problem, task.id)} is dry, {at}."


def not_too_long_dry(plan: Plan, problem: Problem) -> Iterator[str]:
    """A boat meets the water before her paint has stood too long."""
    for boat in problem.going_in:
        for task in problem.ashore(boat.id):
            if task.within_min is None:
                continue
            last = plan.jobs[task.id].end + task.within_min
            if plan.launches[boat.id] > last:
                at = problem.days.clock(last)
                yield f"{boat.name} would go in after {at}, too long after {_job(problem, task.id)}."


def water_holds(plan: Plan, problem: Problem) -> Iterator[str]:
    """A launch has the boat's water from the minute she meets it until it is over."""
    for boat in problem.going_in:
        yield from no_water(plan, problem, boat)


def no_water(plan: Plan, problem: Problem, boat: Boat) -> Iterator[str]:
    """What ``water_holds`` says of one boat."""
    start = plan.launches[boat.id]
    if not _inside((start, start + boat.launch_min), boat.water):
        at = problem.days.clock(start)
        yield f"{boat.name} has no water for {boat.launch_min} minutes from {at}."


def lift_open(plan: Plan, problem: Problem) -> Iterator[str]:
    """A launch, with the way to the water, or a move aside has the lift open all the time."""
    for carried in lifted(plan, problem):
        yield from lift_shut(problem, *carried)


def lift_shut(problem: Problem, key: BoatId, start: int, end: int) -> Iterator[str]:
    """What ``lift_open`` says of one launch or move aside."""
    boat = problem.boat[key]
    lift = problem.lift[boat.lift]
    if not _inside((start, end), lift.opens):
        shut = "nobody who may run it is in" if within(lift.away, start, end) else "it is shut"
        yield f"{boat.name} needs the lift at {problem.days.clock(start)}, when {shut}."


def ground_bears(plan: Plan, problem: Problem) -> Iterator[str]:
    """A boat is fetched or moved aside once the ground where she stands bears her lift."""
    for key, start, _ in lifted(plan, problem):
        yield from soft_ground(problem, key, start)


def soft_ground(problem: Problem, key: BoatId, start: int) -> Iterator[str]:
    """What ``ground_bears`` says of one launch or move aside."""
    boat = problem.boat[key]
    if start < boat.ground_from:
        firm = problem.days.clock(boat.ground_from)
        yield (
            f"{boat.name} would be fetched {problem.days.clock(start)}; the ground where she "
            f"stands bears the {problem.lift[boat.lift].name} from {firm} on."
        )


def lifts_enough(plan: Plan, problem: Problem) -> Iterator[str]:
    """No more boats are carried at once than there are lifts of their kind."""
    for _, together in lifts_short(plan, problem):
        at = problem.days.clock(together[-1][1])
        yield f"{_and(together)} are on the lift together at {at}."


def lifts_short(plan: Plan, problem: Problem) -> Iterator[tuple[LiftId, list[Named]]]:
    """All that a kind of lift would carry at once, each time that it is too much."""
    carried: dict[LiftId, list[Named]] = {}
    for key, start, end in lifted(plan, problem):
        boat = problem.boat[key]
        carried.setdefault(boat.lift, []).append((boat.name, start, end))
    for one in problem.lifts:
        hang = [(HANGS, start, end) for start, end in one.taken]
        carried.setdefault(one.id, []).extend(hang)
    for lift, spans in carried.items():
        for together in _too_many(spans, problem.lift[lift].count):
            yield lift, together


def front_leaves_first(plan: Plan, problem: Problem) -> Iterator[str]:
    """A boat leaves her place only when those in front have left or been moved aside."""
    for row in problem.rows:
        for place, boat in enumerate(row):
            going = _leaves(plan, problem, boat)
            for front in row[:place]:
                gone = _leaves(plan, problem, front)
                if going and not (gone and gone[1] <= going[0]):
                    at = problem.days.clock(going[0])
                    names = problem.boat[boat].name, problem.boat[front].name
                    yield f"{names[0]} would leave {at}, but {names[1]} stands in front of her."


def aside_before_launch(plan: Plan, problem: Problem) -> Iterator[str]:
    """A boat is moved aside before she is fetched for her launch, not after."""
    for key, start in plan.asides.items():
        boat = problem.boat[key]
        if boat.goes_in and start + (boat.aside_min or 0) > plan.launches[key] - boat.carry_min:
            yield f"{boat.name} would be moved aside after she was launched."


def nobody_on_her(plan: Plan, problem: Problem) -> Iterator[str]:
    """A boat is not moved aside while somebody works on her."""
    for key, start in plan.asides.items():
        boat = problem.boat[key]
        for task in problem.jobs[key]:
            job = plan.jobs[task.id]
            clock = problem.person[job.person].hours(overtime=job.overtime)
            begin, end = max(start, job.start), min(start + (boat.aside_min or 0), job.end)
            if begin < end and _worked(clock, begin, end):
                at = problem.days.clock(start)
                yield f"{boat.name} is moved aside {at} in the middle of {_job(problem, task.id)}."


def looks_places(plan: Plan, problem: Problem) -> Iterator[str]:
    """No more boats new in the water are looked after at once than can be."""
    if problem.looks:
        spans = [(boat.name, *_looked_after(plan, boat)) for boat in _new(problem)]
        spans += [("a boat that is in", start, end) for start, end in problem.looks.taken]
        for together in _too_many(spans, problem.looks.at_once):
            most = problem.looks.at_once
            yield f"{_and(together)} would be looked after at once; {most} is the most."


def looks_hours(plan: Plan, problem: Problem) -> Iterator[str]:
    """A boat new in the water is looked after while somebody is there for it."""
    for boat in _new(problem):
        start, end = _looked_after(plan, boat)
        if problem.looks and not _inside((start, end), problem.looks.opens):
            at = problem.days.clock(start)
            yield f"Nobody is there to look after {boat.name} for {end - start} minutes from {at}."


def work_afloat(plan: Plan, problem: Problem) -> Iterator[str]:
    """Work afloat begins when the launch is over."""
    for boat in problem.going_in:
        for task in problem.afloat(boat.id):
            if plan.jobs[task.id].start < plan.launches[boat.id] + boat.launch_min:
                yield f"{_job(problem, task.id)} is done afloat, but begins before she is launched."


RULES: tuple[Rule, ...] = (
    right_trade,
    watched,
    working_hours,
    one_job_a_person,
    jobs_at_once,
    part_first,
    in_order,
    by_another,
    work_before_water,
    paint_dry,
    not_too_long_dry,
    water_holds,
    lift_open,
    ground_bears,
    lifts_enough,
    front_leaves_first,
    aside_before_launch,
    nobody_on_her,
    looks_places,
    looks_hours,
    work_afloat,
)


def broken(plan: Plan, problem: Problem) -> list[str]:
    """Say every way in which a plan breaks a rule.

    Parameters
    ----------
    plan : Plan
        Any plan: the solver's, one made by hand, one half changed.
    problem : Problem
        What was asked.

    Returns
    -------
    list of str
        One sentence for each breach; empty when the plan holds.
    """
    if odd := list(not_whole(plan, problem)):
        return odd
    return [sentence for rule in RULES for sentence in rule(plan, problem)]


def not_whole(plan: Plan, problem: Problem) -> Iterator[str]:
    """What of a plan is of another problem: then no rule can be asked about."""
    if odd := plan.jobs.keys() ^ problem.task.keys():
        yield f"The plan and the problem differ in jobs: {', '.join(sorted(odd))}."
    if boats := plan.launches.keys() ^ {b.id for b in problem.going_in}:
        yield f"The plan and the problem differ in boats that go in: {', '.join(sorted(boats))}."
    named = {job.person for job in plan.jobs.values()}
    named |= {job.watcher for job in plan.jobs.values() if job.watcher is not None}
    if people := named - problem.person.keys():
        yield f"The plan gives work to {', '.join(sorted(people))}, who is not there."
    for boat in plan.asides:
        if boat not in problem.boat or problem.boat[boat].aside_min is None:
            yield f"{boat} can't be moved aside."


def _too_many(spans: Iterable[Named], most: int) -> Iterator[list[Named]]:
    """Whenever one begins and there are more than ``most`` at once: all of them."""
    going: list[Named] = []
    for span in sorted(spans, key=itemgetter(1, 2)):
        going = [one for one in going if one[2] > span[1]]
        if span[2] > span[1]:
            going.append(span)
            if len(going) > most:
                yield going


def _worked(clock: Clock, start: int, end: int) -> int:
    return clock.worked_by(end) - clock.worked_by(start)


def _inside(inner: Interval, stretches: Stretches) -> bool:
    return within(stretches, *inner) == (inner,)


def _and(spans: list[Named]) -> str:
    return listed([name for name, _, _ in spans])


def _job(problem: Problem, key: TaskId) -> str:
    task = problem.task[key]
    return f"{problem.boat[task.boat].name}: {task.text}"


def _new(problem: Problem) -> Iterator[Boat]:
    return (boat for boat in problem.going_in if boat.looks_min)


def _looked_after(plan: Plan, boat: Boat) -> Interval:
    start = plan.launches[boat.id] + boat.launch_min
    return start, start + boat.looks_min


def lifted(plan: Plan, problem: Problem) -> Iterator[tuple[BoatId, int, int]]:
    """Who is carried, to the water or aside, from when until when."""
    for key, start in plan.launches.items():
        boat = problem.boat[key]
        yield key, start - boat.carry_min, start + boat.launch_min
    for key, start in plan.asides.items():
        yield key, start, start + (problem.boat[key].aside_min or 0)


def _leaves(plan: Plan, problem: Problem, key: BoatId) -> Interval | None:
    boat = problem.boat[key]
    if key in plan.asides:
        return plan.asides[key], plan.asides[key] + (boat.aside_min or 0)
    if key in plan.launches:
        return plan.launches[key] - boat.carry_min, plan.launches[key] + boat.launch_min
    return None
