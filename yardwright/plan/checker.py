"""The rules once more, without the solver: what is wrong with a plan, in words."""

from collections.abc import Callable, Iterator
from itertools import combinations

from yardwright.plan.days import Interval
from yardwright.plan.problem import BoatId, Plan, Problem, TaskId

Rule = Callable[[Plan, Problem], Iterator[str]]


def right_trade(plan: Plan, problem: Problem) -> Iterator[str]:
    """One person who has the trade does the whole job."""
    for task in problem.tasks:
        person = problem.person[plan.jobs[task.id].person]
        if task.trade not in person.trades:
            yield f"{_job(problem, task.id)} asks for a {task.trade}, which {person.name} is not."


def working_hours(plan: Plan, problem: Problem) -> Iterator[str]:
    """A job takes its minutes of work and rests only while its person does."""
    for task in problem.tasks:
        job = plan.jobs[task.id]
        worked = [_shared((job.start, job.end), w) for w in problem.person[job.person].works]
        pieces = [piece for piece in worked if piece]
        minutes = sum(end - start for start, end in pieces)
        if minutes != task.minutes:
            yield f"{_job(problem, task.id)} takes {task.minutes} minutes and gets {minutes}."
        elif (pieces[0][0], pieces[-1][1]) != (job.start, job.end):
            yield f"{_job(problem, task.id)} begins or ends while nobody works on it."


def one_job_a_person(plan: Plan, problem: Problem) -> Iterator[str]:
    """A person finishes a job before the next."""
    for person in problem.people:
        theirs = [task.id for task in problem.tasks if plan.jobs[task.id].person == person.id]
        for one, other in combinations(theirs, 2):
            a, b = plan.jobs[one], plan.jobs[other]
            if _shared((a.start, a.end), (b.start, b.end)):
                both = f"{_job(problem, one)} and {_job(problem, other)}"
                yield f"{person.name} would be on {both} at once."


def one_job_a_boat(plan: Plan, problem: Problem) -> Iterator[str]:
    """A job on a boat is finished before the next on her begins."""
    for jobs in problem.jobs.values():
        for one, other in combinations(jobs, 2):
            a, b = plan.jobs[one.id], plan.jobs[other.id]
            if _shared((a.start, a.end), (b.start, b.end)):
                yield f"{_job(problem, one.id)} and {_job(problem, other.id)} overlap."


def part_first(plan: Plan, problem: Problem) -> Iterator[str]:
    """A job does not begin before what it waits for is there."""
    for task in problem.tasks:
        if plan.jobs[task.id].start < task.not_before:
            comes = problem.days.clock(task.not_before)
            yield f"{_job(problem, task.id)} begins before its {task.waits_for} comes, {comes}."


def in_order(plan: Plan, problem: Problem) -> Iterator[str]:
    """A job begins when those it comes after are finished."""
    for task in problem.tasks:
        for before in task.after:
            if plan.jobs[task.id].start < plan.jobs[before].end:
                yield f"{_job(problem, task.id)} begins before {_job(problem, before)} is finished."


def work_before_water(plan: Plan, problem: Problem) -> Iterator[str]:
    """A boat goes in when all work on her is done."""
    for boat in problem.going_in:
        for task in problem.jobs[boat.id]:
            if plan.launches[boat.id] < plan.jobs[task.id].end:
                yield f"{boat.name} would go in before {_job(problem, task.id)} is done."


def water_holds(plan: Plan, problem: Problem) -> Iterator[str]:
    """A launch has the boat's water for all of its minutes."""
    for boat in problem.going_in:
        start = plan.launches[boat.id]
        if not _within((start, start + boat.launch_min), boat.water):
            at = problem.days.clock(start)
            yield f"{boat.name} has no water for {boat.launch_min} minutes from {at}."


def lift_open(plan: Plan, problem: Problem) -> Iterator[str]:
    """A launch or a move aside has the lift open for all of its minutes."""
    for name, start, end in _lifted(plan, problem):
        if not _within((start, end), problem.lift):
            yield f"{name} needs the lift at {problem.days.clock(start)}, when it is shut."


def one_on_the_lift(plan: Plan, problem: Problem) -> Iterator[str]:
    """The lift carries one boat at a time."""
    carried = sorted(_lifted(plan, problem), key=lambda lifted: lifted[1])
    for place, (name, _, end) in enumerate(carried):
        for other, start, _ in carried[place + 1 :]:
            if start >= end:
                break
            yield f"{name} and {other} are on the lift together at {problem.days.clock(start)}."


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
    """A boat is moved aside before she is launched, not after."""
    for key, start in plan.asides.items():
        boat = problem.boat[key]
        if boat.goes_in and start + (boat.aside_min or 0) > plan.launches[key]:
            yield f"{boat.name} would be moved aside after she was launched."


def nobody_on_her(plan: Plan, problem: Problem) -> Iterator[str]:
    """A boat is not moved aside while somebody works on her."""
    for key, start in plan.asides.items():
        boat = problem.boat[key]
        for task in problem.jobs[key]:
            job = plan.jobs[task.id]
            busy = _shared((start, start + (boat.aside_min or 0)), (job.start, job.end))
            if busy and any(_shared(busy, hours) for hours in problem.person[job.person].works):
                at = problem.days.clock(start)
                yield f"{boat.name} is moved aside {at} in the middle of {_job(problem, task.id)}."


RULES: tuple[Rule, ...] = (
    right_trade,
    working_hours,
    one_job_a_person,
    one_job_a_boat,
    part_first,
    in_order,
    work_before_water,
    water_holds,
    lift_open,
    one_on_the_lift,
    front_leaves_first,
    aside_before_launch,
    nobody_on_her,
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
    if odd := list(_not_whole(plan, problem)):
        return odd
    return [sentence for rule in RULES for sentence in rule(plan, problem)]


def _not_whole(plan: Plan, problem: Problem) -> Iterator[str]:
    if odd := plan.jobs.keys() ^ problem.task.keys():
        yield f"The plan and the problem differ in jobs: {', '.join(sorted(odd))}."
    if boats := plan.launches.keys() ^ {b.id for b in problem.going_in}:
        yield f"The plan and the problem differ in boats that go in: {', '.join(sorted(boats))}."
    if people := {job.person for job in plan.jobs.values()} - problem.person.keys():
        yield f"The plan gives work to {', '.join(sorted(people))}, who is not there."
    for boat in plan.asides:
        if boat not in problem.boat or problem.boat[boat].aside_min is None:
            yield f"{boat} can't be moved aside."


def _shared(one: Interval, other: Interval) -> Interval | None:
    start, end = max(one[0], other[0]), min(one[1], other[1])
    return (start, end) if start < end else None


def _within(inner: Interval, stretches: tuple[Interval, ...]) -> bool:
    return any(start <= inner[0] and inner[1] <= end for start, end in stretches)


def _job(problem: Problem, key: TaskId) -> str:
    task = problem.task[key]
    return f"{problem.boat[task.boat].name}: {task.text}"


def _lifted(plan: Plan, problem: Problem) -> Iterator[tuple[str, int, int]]:
    for key, start in plan.launches.items():
        yield problem.boat[key].name, start, start + problem.boat[key].launch_min
    for key, start in plan.asides.items():
        yield problem.boat[key].name, start, start + (problem.boat[key].aside_min or 0)


def _leaves(plan: Plan, problem: Problem, key: BoatId) -> Interval | None:
    boat = problem.boat[key]
    if key in plan.asides:
        return plan.asides[key], plan.asides[key] + (boat.aside_min or 0)
    if key in plan.launches:
        return plan.launches[key], plan.launches[key] + boat.launch_min
    return None
