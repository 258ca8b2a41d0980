"""Who runs a lift while they have other work by the plan: no rule asks for it, so it is said."""

from collections import defaultdict
from collections.abc import Iterator

from yardwright.plan.checker import lifted
from yardwright.plan.days import Interval
from yardwright.plan.hours import Stretches, both, either, outside
from yardwright.plan.problem import Lift, PersonId, Plan, Problem


def nobody_to_run(plan: Plan, problem: Problem) -> Iterator[str]:
    """The launches and moves aside for which everybody who may run the lift has other work.

    A lift with a crew of its own is always run. That nobody runs two lifts at once is not looked at.
    """
    for lift in problem.lifts:
        nobody = outside(_free(plan, problem, lift), problem.days.end)
        needed = sorted(
            (start, key)
            for key, start, end in lifted(plan, problem)
            if problem.boat[key].lift == lift.id and both(((start, end),), nobody)
        )
        if needed and lift.run_by:
            start, key = needed[0]
            many, first = (f"{len(needed)} times", "first ") if len(needed) > 1 else ("Once", "")
            yield (
                f"{many} everybody who may run the {lift.name} has other work by this plan while it is "
                f"needed, {first}for {problem.boat[key].name}, {problem.days.clock(start)}: who runs it "
                "then is not known."
            )


def _free(plan: Plan, problem: Problem, lift: Lift) -> Stretches:
    """When one of those who may run it is in and has no job."""
    busy: defaultdict[PersonId, list[Interval]] = defaultdict(list)
    for job in plan.jobs.values():
        for hand in job.hands:
            busy[hand].append((job.start, job.end))
    end = problem.days.end
    return either(
        span
        for key, hours in lift.run_by
        for span in both(both(hours, problem.person[key].works), outside(either(busy[key]), end))
    )
