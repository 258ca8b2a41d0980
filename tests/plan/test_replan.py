"""After a surprise the answers keep every rule, move little, and count what they move rightly."""

from dataclasses import replace
from random import Random

import pytest

from tests.plan.test_model import planned, rich
from tests.plan.yards import spring, story_a1
from yardwright.plan import change, checker, replan, solver
from yardwright.plan.hours import both, outside
from yardwright.plan.list_plan import by_promise, list_plan
from yardwright.plan.parts import Kind, Part, drawn, of_boats
from yardwright.plan.problem import Job, PersonId, Plan, Problem, TaskId, score
from yardwright.plan.repair import NoRoom, hit, repaired
from yardwright.plan.solver import Limits

NOW = 1440 * 21 + 360


def away(asked: Problem, who: PersonId, start: int, days: int) -> Problem:
    there = outside(((start, start + days * 1440),), asked.days.end)
    people = tuple(
        replace(p, works=both(p.works, there), overtime=both(p.overtime, there))
        if p.id == who
        else p
        for p in asked.people
    )
    return replace(asked, people=people)


@pytest.fixture(scope="module")
def busy() -> tuple[Problem, Plan]:
    asked = spring(40, 3)
    return asked, list_plan(asked, by_promise(asked))


@pytest.fixture(scope="module")
def sick(busy: tuple[Problem, Plan]) -> Problem:
    asked, published = busy
    on = [job.person for job in published.jobs.values() if NOW <= job.start < NOW + 2 * 1440]
    return away(asked, max(sorted(set(on)), key=on.count), NOW, 3)


def test_what_is_hit_is_what_the_checker_finds(busy: tuple[Problem, Plan], sick: Problem) -> None:
    _, published = busy
    lost = hit(sick, published)
    assert lost.tasks
    said = " ".join(checker.broken(published, sick))
    for key in lost.tasks:
        assert sick.boat[sick.task[key].boat].name in said
    kept = [key for key in published.jobs if key not in lost.tasks]
    clocks = {p.id: p for p in sick.people}
    for key in kept:
        job = published.jobs[key]
        clock = clocks[job.person].hours(overtime=job.overtime)
        assert clock.worked_by(job.end) - clock.worked_by(job.start) == sick.task[key].minutes


def test_nothing_is_hit_when_nothing_happened(busy: tuple[Problem, Plan]) -> None:
    asked, published = busy
    assert hit(asked, published) == Part(frozenset(), frozenset())
    answer = replan.replan(asked, published, now=NOW, time_limit_s=2)
    assert answer.better is not None
    assert answer.better.plan == published
    assert answer.better.change[:4] == (0, 0, 0, 0)
    assert answer.better.diff == change.Diff((), ())


def test_the_answers_keep_every_rule_and_the_past(
    busy: tuple[Problem, Plan], sick: Problem
) -> None:
    _, published = busy
    told: list[replan.Option] = []
    answer = replan.replan(sick, published, now=NOW, time_limit_s=4, told=told.append)
    assert answer.at_once is not None
    assert answer.better is not None
    assert told[-1] == answer.better
    assert [one.change for one in told] == sorted((one.change for one in told), reverse=True)
    lost = hit(sick, published).tasks
    for option in (answer.at_once, answer.better, *([answer.other] if answer.other else [])):
        assert checker.broken(option.plan, sick) == []
        for key, job in published.jobs.items():
            if job.start < NOW and key not in lost:
                assert option.plan.jobs[key] == job
    assert answer.better.change <= answer.at_once.change
    anew = list_plan(sick, by_promise(sick))
    assert answer.at_once.change.moves < change.changed(sick, published, anew).moves
    if answer.other:
        more, less = answer.other.change, answer.better.change
        assert (more.ink_days, more.pencil_days) < (less.ink_days, less.pencil_days)


def test_a_change_is_counted_as_by_hand() -> None:
    asked = story_a1()
    published = solver.solve(asked, time_limit_s=10, workers=1).plan
    assert published is not None
    key, boat = TaskId("Avocet-hand"), asked.boats[-1].id
    job = published.jobs[key]
    shifted = replace(job, start=job.start + 1, end=job.end + 1)
    later = published.launches[boat] + 1440
    jobs = {**published.jobs, key: shifted}
    moved = Plan(jobs, {**published.launches, boat: later}, published.asides)
    # By hand: one job and one launch, which counts three; she is Ink's, and a day later than told.
    costs = change.changed(asked, published, moved)
    assert costs == (1, 4, 0, 0, 0)
    told = change.different(published, moved)
    assert told.jobs == (change.Moved(key, job, shifted),)
    assert told.launches == (change.Relaunched(boat, later - 1440, later),)
    other = replace(job, person=PersonId("ines"))
    handed = Plan({**published.jobs, key: other}, published.launches, published.asides)
    assert change.changed(asked, published, handed)[:4] == (0, 0, 0, 1)


def test_a_new_job_finds_its_place(busy: tuple[Problem, Plan]) -> None:
    asked, published = busy
    later = [b for b in asked.going_in if published.launches[b.id] > NOW + 3 * 1440]
    found = replace(asked.tasks[0], id=TaskId("found"), boat=later[0].id, after=(), minutes=60)
    more = replace(asked, tasks=(*asked.tasks, found))
    answer = replan.replan(more, published, now=NOW, time_limit_s=2)
    assert answer.better is not None
    assert checker.broken(answer.better.plan, more) == []
    assert isinstance(answer.better.plan.jobs[TaskId("found")], Job)


def test_the_repair_says_when_there_is_no_room() -> None:
    asked = story_a1()
    published = solver.solve(asked, time_limit_s=10, workers=1).plan
    assert published is not None
    gone = away(asked, PersonId("ines"), 0, 3)
    with pytest.raises(NoRoom):
        repaired(gone, published, hit(gone, published), 0)
    assert replan.replan(gone, published, time_limit_s=1).better is None


def test_behind_one_who_stays_and_cannot_be_moved_there_is_no_room() -> None:
    asked = story_a1()
    published = solver.solve(asked, time_limit_s=10, workers=1).plan
    assert published is not None
    ((front, behind),) = asked.rows
    gone = replace(
        asked,
        boats=tuple(
            replace(b, goes_in=False, aside_min=None) if b.id == front else b for b in asked.boats
        ),
        tasks=tuple(task for task in asked.tasks if task.boat != front),
    )
    launches = {boat: at for boat, at in published.launches.items() if boat != front}
    left = Plan(published.jobs, launches, {})
    with pytest.raises(NoRoom):
        repaired(gone, left, of_boats(gone, [behind]), 0)


def test_the_repair_keeps_every_rule_of_rich_yards() -> None:
    done = 0
    for seed in range(30):
        asked, dice = rich(seed), Random(seed)  # noqa: S311 - no secret
        published = planned(asked)
        if published is None or not published.jobs:
            continue
        key = dice.choice(sorted(published.jobs))
        comes = published.jobs[key].start + 120
        late = replace(
            asked,
            tasks=tuple(replace(t, not_before=comes) if t.id == key else t for t in asked.tasks),
        )
        answer = replan.replan(late, published, time_limit_s=1, workers=1)
        for option in (answer.at_once, answer.better):
            if option is not None:
                done += 1
                assert checker.broken(option.plan, late) == []
    assert done >= 10


def test_a_faulty_repair_is_never_an_answer(
    busy: tuple[Problem, Plan], sick: Problem, monkeypatch: pytest.MonkeyPatch
) -> None:
    _, published = busy
    monkeypatch.setattr(replan, "repaired", lambda *_args, **_named: published)
    assert checker.broken(published, sick)
    assert replan.replan(sick, published, now=NOW, time_limit_s=1).better is None


@pytest.mark.parametrize("kind", list(Kind))
def test_a_part_planned_anew_keeps_the_rest_and_is_no_worse(
    kind: Kind, busy: tuple[Problem, Plan]
) -> None:
    asked, known = busy
    dice = Random(1)  # noqa: S311 - no secret
    part = drawn(asked, known, kind, 30, dice) or of_boats(asked, list(known.launches)[:3])
    found = solver.improve(asked, known, part, Limits(5.0, 1, steps=1.0))
    assert found.plan is not None
    assert checker.broken(found.plan, asked) == []
    assert score(asked, found.plan)[:2] <= score(asked, known)[:2]
    for key, job in known.jobs.items():
        assert key in part.tasks or found.plan.jobs[key] == job
    for boat, start in known.launches.items():
        assert boat in part.boats or found.plan.launches[boat] == start


def test_steps_on_one_worker_repeat_themselves(busy: tuple[Problem, Plan]) -> None:
    asked, known = busy
    part = of_boats(asked, list(known.launches)[10:18])
    plans = [
        solver.improve(asked, known, part, Limits(60.0, 1, seed=7, steps=0.3)).plan
        for _ in range(2)
    ]
    assert plans[0] is not None
    assert plans[0] == plans[1]
