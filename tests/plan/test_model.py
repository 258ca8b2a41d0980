"""The model and the checker say the same, rule by rule, of plans whole and plans spoilt."""

from collections.abc import Iterator
from dataclasses import replace
from random import Random

import pytest
from ortools.sat.python import cp_model

from tests.plan.yards import daily, tiny
from yardwright.plan import checker, model, solver
from yardwright.plan.line import whole_line
from yardwright.plan.model_unknowns import Mode, Unknowns
from yardwright.plan.parts import whole
from yardwright.plan.problem import (
    Boat,
    Job,
    Lift,
    LiftId,
    Looks,
    Person,
    PersonId,
    Plan,
    Problem,
    Task,
    overtime_min,
)

HOIST = LiftId("hoist")


def rich(seed: int, boats: int = 4) -> Problem:
    """A tiny yard in which every rule has something to say."""
    dice, plain = Random(seed), tiny(seed, boats=boats)  # noqa: S311 - no secret
    lifts = (replace(plain.lifts[0], count=dice.randint(1, 2)),
             Lift(HOIST, "Hoist", daily(3, "07:00-14:00")))  # fmt: skip
    return replace(
        plain,
        boats=tuple(_richer(dice, boat) for boat in plain.boats),
        tasks=tuple(_tasks(dice, plain)),
        people=tuple(_people(dice, plain)),
        lifts=lifts,
        looks=Looks(1, daily(3, dice.choice(("06:00-18:00", "06:00-13:00")))),
    )


def _richer(dice: Random, boat: Boat) -> Boat:
    return replace(
        boat,
        lift=dice.choice((boat.lift, boat.lift, HOIST)),
        carry_min=dice.choice((0, 20)),
        looks_min=dice.choice((0, 120)),
        free_from=dice.choice((0, 0, 30 * 60)),
        hands=dice.choice((1, 1, 2)),
        ground_from=dice.choice((0, 0, 1440 + 600)),
    )


def _tasks(dice: Random, plain: Problem) -> Iterator[Task]:
    before: Task | None = None
    for task in plain.tasks:
        goes_in = plain.boat[task.boat].goes_in
        afloat = goes_in and dice.random() < 0.2
        if before and before.boat == task.boat and before.afloat:
            afloat = True
        dry_min = 0 if afloat else dice.choice((0, 0, 300))
        within_min = dry_min + 900 if not afloat and dice.random() < 0.3 else None
        not_by = (before.id,) if before and dice.random() < 0.1 else ()
        before = replace(
            task,
            minutes=task.minutes // 2,
            afloat=afloat,
            dry_min=dry_min,
            within_min=within_min,
            not_by=not_by,
        )
        yield before


def _people(dice: Random, plain: Problem) -> Iterator[Person]:
    ines, ole = plain.people
    yield replace(ines, overtime=daily(3, "13:00-15:00"), may_watch=dice.randint(0, 2))
    yield replace(ole, learns=frozenset({"mechanic"}) if dice.random() < 0.7 else frozenset())
    if dice.random() < 0.9:
        hours = daily(3, "09:00-12:00", "12:30-16:00")
        trades = frozenset({"mechanic"})
        yield Person(PersonId("una"), "Una", trades, hours, daily(3, "16:00-17:00"))


def planned(asked: Problem, seed: int = 1) -> Plan | None:
    return solver.solve(asked, time_limit_s=20, workers=1, seed=seed).plan


def spoilt(dice: Random, asked: Problem, plan: Plan) -> Plan:
    """A plan with one thing shifted, handed on or left out; often it still keeps every rule."""
    jobs, launches, asides = dict(plan.jobs), dict(plan.launches), dict(plan.asides)
    kind = dice.choice(("job", "job", "worker", "watcher", "overtime", "launch", "aside"))
    shift = dice.choice((-1, 1, -15, 15, -60, 60, -240, 240, -1440, 1440))
    if kind == "launch" and launches:
        boat = dice.choice(sorted(launches))
        launches[boat] = max(0, launches[boat] + shift)
    elif kind == "aside":
        boat = dice.choice(sorted(asked.boat))
        if boat in asides:
            asides[boat] = max(0, asides[boat] + shift)
        elif asked.boat[boat].aside_min is not None and any(boat in r[:-1] for r in asked.rows):
            asides[boat] = dice.randrange(0, asked.days.end - 60, 15)
    elif jobs:
        key = dice.choice(sorted(jobs))
        jobs[key] = _spoilt_job(dice, asked, jobs[key], kind, shift)
    return Plan(jobs, launches, asides)


def _spoilt_job(dice: Random, asked: Problem, job: Job, kind: str, shift: int) -> Job:
    people = [person.id for person in asked.people]
    if kind == "worker":
        job = replace(job, person=dice.choice(people))
    elif kind == "watcher":
        job = replace(job, watcher=dice.choice([None, *people]))
    elif kind == "overtime":
        job = replace(job, overtime=not job.overtime)
    else:
        start = max(0, job.start + shift)
        return replace(job, start=start, end=start + job.end - job.start)
    return job


def usual(asked: Problem, plan: Plan) -> Plan:
    """The same plan without what changes nothing: overtime of no minute, watchers of no learner."""
    jobs = {}
    for key, job in plan.jobs.items():
        learns = asked.task[key].trade in asked.person[job.person].learns
        jobs[key] = replace(
            job,
            overtime=overtime_min(asked, job) > 0,
            watcher=job.watcher if learns else None,
        )
    return replace(plan, jobs=jobs)


def keeps_every_rule(asked: Problem, plan: Plan) -> bool:
    """What the model says of a plan when nothing is left to choose."""
    said = cp_model.CpModel()
    free = Unknowns(said, asked, whole_line(asked), None, whole(asked), {})
    for rule in model.RULES:
        rule(said, free, asked)
    free.close()
    for key, job in plan.jobs.items():
        mode = Mode(job.person, job.watcher, job.overtime)
        if mode not in free.modes[key]:
            return False
        said.add(free.by(key, mode) == 1)
        said.add(free.start[key] == job.start)
        said.add(free.end[key] == job.end)
    for boat, launch in plan.launches.items():
        said.add(free.launch[boat] == launch)
    for boat, moved in free.moved.items():
        said.add(moved == (boat in plan.asides))
        said.add(free.aside[boat] == plan.asides.get(boat, 0))
    return cp_model.CpSolver().solve(said) == cp_model.OPTIMAL


def agreed(seeds: range) -> tuple[int, int]:
    """How many spoilt plans were refused and how many were not, by both."""
    refused = kept = 0
    for seed in seeds:
        asked, dice = rich(seed), Random(seed)  # noqa: S311 - no secret
        plan = planned(asked)
        if plan is None:
            continue
        assert checker.broken(plan, asked) == []
        for _ in range(5):
            bad = usual(asked, spoilt(dice, asked, plan))
            said = checker.broken(bad, asked)
            assert keeps_every_rule(asked, bad) == (not said), said
            refused, kept = refused + bool(said), kept + (not said)
    return refused, kept


def test_model_and_checker_agree_on_spoilt_plans() -> None:
    refused, kept = agreed(range(45))
    assert refused >= 30
    assert kept >= 20


@pytest.mark.parametrize("name", [rule.__name__ for rule in model.RULES])
def test_without_a_rule_its_twin_complains(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    twin = next(rule for rule in checker.RULES if rule.__name__ == name)
    monkeypatch.setattr(model, "RULES", tuple(r for r in model.RULES if r.__name__ != name))
    for seed in range(60):
        loose = planned(rich(seed))
        if loose is not None and list(twin(loose, rich(seed))):
            return
    pytest.fail(f"{name} changed nothing on sixty yards")
