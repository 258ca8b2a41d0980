"""Surprises on a yard of 300 boats: what each answer moves, beside planning anew."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from random import Random
from time import perf_counter

from bench.yards import yard
from yardwright.plan.change import different
from yardwright.plan.days import Minute
from yardwright.plan.hours import both, outside
from yardwright.plan.least import least_launches
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.planner import plan
from yardwright.plan.problem import Person, PersonId, Plan, Problem
from yardwright.plan.replan import Option, replan

YARDS, CASES = (1, 2, 3, 4), 5  # of each kind on each yard
PLAN_S, ANSWER_S = 20.0, 10.0
SICK_DAYS, LATE_DAYS = 3, 10


@dataclass(frozen=True, slots=True)
class Surprise:
    """What happened, the yard with it, and the minute in which it is known."""

    what: str
    problem: Problem
    now: Minute


def surprises(problem: Problem, published: Plan, seed: int, cases: int) -> Iterator[Surprise]:
    """A mechanic sick for three days and a kit ten days late, on mornings of the season."""
    dice = Random(seed)  # noqa: S311 - no secret
    for _ in range(cases):
        day = 7 * dice.randint(2, 6) + dice.randint(0, 4)
        now = day * 1440 + 6 * 60
        ill = dice.choice([p.id for p in problem.people if "mechanic" in p.trades])
        yield Surprise("sick", sick(problem, ill, now), now)
        soon = [k for k, job in published.jobs.items() if 0 <= job.start - now < 5 * 1440]
        late = dice.choice(sorted(soon))
        comes = (day + LATE_DAYS) * 1440 + 7 * 60
        tasks = tuple(
            replace(task, not_before=comes) if task.id == late else task for task in problem.tasks
        )
        yield Surprise("kit", replace(problem, tasks=tasks), now)


def sick(problem: Problem, ill: PersonId, now: Minute) -> Problem:
    """The same spring, one person away for three days."""
    there = outside(((now, now + SICK_DAYS * 1440),), problem.days.end)

    def away(person: Person) -> Person:
        works, overtime = both(person.works, there), both(person.overtime, there)
        return replace(person, works=works, overtime=overtime)

    people = tuple(away(one) if one.id == ill else one for one in problem.people)
    return replace(problem, people=people)


def replans(yards: tuple[int, ...] = YARDS, cases: int = CASES) -> Iterator[str]:
    """One line for each surprise: the answer at once, the better one, the other, and anew."""
    for seed in yards:
        problem = yard(300, seed)
        published = plan(problem, time_limit_s=PLAN_S, seed=seed).plan
        if published is None:
            yield f"replan: yard {seed}: no plan to change"
            continue
        for one in surprises(problem, published, seed, cases):
            yield f"replan: yard {seed}: {_case(one, published)}"


def _case(one: Surprise, published: Plan) -> str:
    began_s = perf_counter()
    told_s: list[float] = []

    def told(_option: Option) -> None:
        told_s.append(perf_counter() - began_s)

    answer = replan(one.problem, published, now=one.now, time_limit_s=ANSWER_S, told=told)
    anew = list_plan(one.problem, by_promise(one.problem))
    moves = len(different(published, anew).jobs)
    times = f"{told_s[0]:.2f} s, best {told_s[-1]:.1f} s" if told_s else "none"
    said = (
        f"{name} {_said(option)}"
        for name, option in (
            ("at once", answer.at_once),
            ("better", answer.better),
            ("other", answer.other),
        )
    )
    least = least_launches(one.problem, published, one.now)
    return (
        f"{one.what:4} first {times}; {'; '.join(said)}; at least {least} launches; "
        f"anew {moves} jobs"
    )


def _said(option: Option | None) -> str:
    if option is None:
        return "none"
    change, launches = option.change, len(option.diff.launches)
    jobs = change.moves - 3 * launches
    return f"Ink +{change.ink_days}, {jobs} jobs, {launches} launches, Pencil +{change.pencil_days}"
