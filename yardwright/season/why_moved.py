"""Why what people know does not stay: what is in its way, as the new plan has the others."""

from yardwright.plan.asides import gone
from yardwright.plan.checker import lifted
from yardwright.plan.days import Interval, Minute
from yardwright.plan.hours import crowded, within
from yardwright.plan.problem import Boat, Job, Plan, Problem, Task


def why_launch(problem: Problem, plan: Plan, boat: Boat, was: Minute) -> str:
    """Why a boat can't go in any more when she was to; empty where nothing simple is in the way."""
    lift, clock = problem.lift[boat.lift], problem.days.clock
    fetched, over = was - boat.carry_min, was + boat.launch_min
    if within(lift.held, fetched, over):
        return f"the {lift.name} carries nothing then"
    if within(lift.away, fetched, over):
        return f"nobody who may run the {lift.name} is in then"
    ends = {task: plan.jobs[task.id].end for task in problem.ashore(boat.id)}
    for task, end in sorted(ends.items(), key=lambda one: -one[1] - one[0].dry_min):
        if fetched < end:
            return f"“{task.text}” ends {clock(end)}"
        if was < end + task.dry_min:
            return f"“{task.text}” is dry {clock(end + task.dry_min)}"
    if other := _on_the_lift(problem, plan, boat, (fetched, over)):
        return f"the {lift.name} has {other.name} then"
    if boat.id not in plan.asides:
        for front in problem.in_front[boat.id]:
            if fetched < gone(problem, plan, front):
                return f"{front.name} stands in front of her then"
    return ""


def why_job(problem: Problem, plan: Plan, task: Task, was: Job) -> str:
    """Why a job is not done by whom and when it was to be; empty where nothing simple is in the way."""
    clock = problem.days.clock
    if task.waits_for and was.start < task.not_before:
        return f"her {task.waits_for} comes {clock(task.not_before)}"
    person = problem.person.get(was.person)
    name = person.name if person else str(was.person)
    hours = person.hours(overtime=was.overtime) if person else None
    if hours is None or hours.worked_by(was.end) - hours.worked_by(was.start) < task.minutes:
        return f"{name} is not there then"
    for before in sorted(task.after, key=lambda key: -plan.jobs[key].end):
        if was.start < plan.jobs[before].end:
            return f"“{problem.task[before].text}” ends {clock(plan.jobs[before].end)}"
    for key, job in plan.jobs.items():
        if (
            key != task.id
            and job.person == was.person
            and job.start < was.end
            and was.start < job.end
        ):
            other = problem.task[key]
            if other.boat == task.boat:
                return f"{name} does “{other.text}” then"
            return f"{name} works on {problem.boat[other.boat].name} then"
    return ""


def _on_the_lift(problem: Problem, plan: Plan, boat: Boat, span: Interval) -> Boat | None:
    """Another boat that a lift of her kind carries while none is free."""
    lift = problem.lift[boat.lift]
    others = [(begins, ends, key) for key, begins, ends in lifted(plan, problem) if key != boat.id]
    theirs = sorted(one for one in others if problem.boat[one[2]].lift == lift.id)
    full = crowded([*lift.taken, *(one[:2] for one in theirs)], lift.count)
    full = within(full, *span)
    keys = (key for begins, ends, key in theirs if within(full, begins, ends))
    return problem.boat[key] if (key := next(keys, None)) else None
