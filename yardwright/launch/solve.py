"""The answer of one job, in a process of its own: ``python -m yardwright.launch.solve JOB_ID``."""

import os
import sys
from collections.abc import Callable, Mapping
from datetime import date, datetime
from functools import partial
from typing import TYPE_CHECKING
from uuid import UUID

import django

if TYPE_CHECKING:
    from yardwright.season.model import Season
    from yardwright.season.published import Published

TIME_LIMIT_S = 25.0
AGAIN_S = 10.0
SAVERS_S = 110.0  # what is begun then is ended: with 300 boats ten seconds more
WORKERS = 2
SEASONS = 2000  # lived through for the odds of a promise
Question = Mapping[str, object]


def main(job_id: str) -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "yardwright.web.settings")
    django.setup()
    from yardwright.procedures.steps import going_by
    from yardwright.work.own_steps import the_yards_book
    from yardwright.yard import clock, jobs
    from yardwright.yard.models import Job

    jobs.leave_with_parent()
    clock.remember(clock.the_yard())  # as a request does: it is asked for with each promise
    jobs.tell(0, "Reading the season.")
    job = Job.objects.get(pk=UUID(job_id))
    with going_by(the_yards_book):
        jobs.tell_answer(ANSWERS[job.what](job.question))


def _plan(question: Question) -> dict[str, object]:
    return answer(float(str(question.get("time_limit_s", TIME_LIMIT_S))))


def answer(time_limit_s: float) -> dict[str, object]:
    """Plan what is left of the season from now on."""
    from yardwright.launch import queries
    from yardwright.plan.planner import plan
    from yardwright.season.asked import as_asked, of_those_here
    from yardwright.season.published import TO_PUBLISH, as_json, published
    from yardwright.season.spring import problem_of
    from yardwright.season.under_way import under_way
    from yardwright.work import queries as work
    from yardwright.work.exchange import to_plan
    from yardwright.yard import clock, jobs

    asked_at = clock.now()  # before the season is read: what is published meanwhile is newer
    season, begins = to_plan(), asked_at + TO_PUBLISH
    times, old = queries.published_times(), queries.plan_of(work.last_published())
    problem = problem_of(season, published=times, begins=begins, now=asked_at)
    goes_on = under_way(season, old, asked_at) if old else None
    if goes_on:
        problem = goes_on.beside(problem)
    found = plan(
        problem,
        time_limit_s=time_limit_s,
        workers=WORKERS,
        known=of_those_here(as_asked(old, problem), problem) if old else None,
        told=jobs.tell,
        stop=jobs.stop_asked,
    )
    new = published(season, problem, found, asked_at=asked_at, begins=begins)
    return as_json(goes_on.kept_in(new) if goes_on and found.plan else new)


def again(_question: Question) -> dict[str, object]:
    """The plan that holds, changed as little as serves after what happened since."""
    from time import monotonic

    from yardwright.launch import queries
    from yardwright.season.again import again as asked_again
    from yardwright.season.choices import Choice, choices_json
    from yardwright.season.published import TO_PUBLISH
    from yardwright.work import queries as work
    from yardwright.work.exchange import to_plan
    from yardwright.yard import clock, jobs

    asked_at, began_s = clock.now(), monotonic()
    fact, stood = work.last_published(), queries.as_it_stands()
    old = queries.plan_of(fact)
    if fact is None or old is None:
        return {"refused": "No plan is published. Plan the spring and publish it first."}

    rests_on = {"plan": str(fact.pk), "asked_at": asked_at.isoformat(), "stood": stood}

    def told(choice: Choice) -> None:
        jobs.tell_answer({"choices": choices_json([choice]), **rests_on})
        jobs.tell(min(1.0, (monotonic() - began_s) / AGAIN_S), f"So far: {choice.sentence}")

    try:
        choices = asked_again(
            to_plan(),
            old,
            asked_at=asked_at,
            begins=asked_at + TO_PUBLISH,
            time_limit_s=AGAIN_S,
            workers=WORKERS,
            told=told,
            stop=jobs.stop_asked,
        )
    except ValueError as error:
        return {"refused": str(error)}
    return {"choices": choices_json(choices), **rests_on}


def capacity(question: Question) -> dict[str, object]:
    """Count how many more boats can be promised by a day, beside a plan made now."""
    from yardwright.launch import queries
    from yardwright.plan.capacity import capacity as counted
    from yardwright.plan.planner import plan
    from yardwright.season import checks
    from yardwright.season.capacity import as_json, one_like, usual
    from yardwright.season.spring import problem_of
    from yardwright.season.under_way import under_way
    from yardwright.work import queries as work
    from yardwright.work.exchange import to_plan
    from yardwright.yard import clock, jobs

    fact, begins, stood = work.last_published(), clock.now(), queries.as_it_stands()
    season, old = to_plan(), queries.plan_of(fact)
    problem = problem_of(season, published=queries.published_times(), begins=begins)
    everybody = problem.people
    if old:
        problem = under_way(season, old, begins).beside(problem)
    limit_s = float(str(question.get("time_limit_s", TIME_LIMIT_S)))
    jobs.tell(0, "Planning what is here already.")
    stands = plan(problem, time_limit_s=limit_s / 2, workers=WORKERS)
    if stands.plan is None:
        return {"refused": " ".join(["There is no plan to begin with.", *stands.reasons])}
    try:
        like = checks.boat_named(season, str(question["like"])) if question["like"] else None
        to_come = one_like(season, like, begins=begins) if like else usual(season, begins=begins)
        found = counted(
            problem,
            stands.plan,
            to_come.like,
            problem.days.day_of(date.fromisoformat(str(question["by"]))),
            tolerance_days=int(str(question["tolerance_days"])),
            one_more_of=everybody,
            time_limit_s=limit_s / 2,
            workers=WORKERS,
            told=jobs.tell,
            stop=jobs.stop_asked,
        )
    except ValueError as error:
        return {"refused": str(error)}
    rests_on = {"plan": str(fact.pk) if fact else None, "stood": stood}
    return {**as_json(found, problem.days, to_come), **rests_on, "asked_at": begins.isoformat()}


def odds(_question: Question) -> dict[str, object]:
    """What owners can be told now: the published plan, lived through in many seasons."""
    from yardwright.season.uncertain import phone_answers
    from yardwright.yard import jobs

    jobs.tell(0.1, f"Living through {SEASONS:,} seasons.")
    return _by_the_plan(partial(phone_answers, seasons=SEASONS))


def savers(question: Question) -> dict[str, object]:
    """What would save every Ink in danger, or one boat's promise."""
    from yardwright.plan.processes import pool
    from yardwright.season.savers import Asked, fitting, promises_saved
    from yardwright.yard import jobs

    def saved(season: "Season", told: "Published", now: datetime) -> dict[str, object]:
        with pool(WORKERS) as some:
            asked = Asked(
                SEASONS,
                mapped=some.map,
                time_limit_s=SAVERS_S,
                told=jobs.tell,
                stop=jobs.stop_asked,
            )
            return promises_saved(fitting(season, told, now), str(question["boat"]), asked)

    return _by_the_plan(saved)


def _by_the_plan(
    answered: "Callable[[Season, Published, datetime], dict[str, object]]",
) -> dict[str, object]:
    """An answer by the plan that holds, with what it was worked out from."""
    from yardwright.launch import queries
    from yardwright.work import queries as work
    from yardwright.work.exchange import the_season
    from yardwright.yard import clock

    fact, now, stood = work.last_published(), clock.now(), queries.as_it_stands()
    told = queries.plan_of(fact)
    if fact is None or told is None:
        return {"refused": "No plan is published. Plan the spring and publish it first."}
    try:
        found = answered(the_season(), told, now)
    except ValueError as error:
        return {"refused": str(error)}
    return {**found, "plan": str(fact.pk), "stood": stood}


ANSWERS: Mapping[str, Callable[[Question], dict[str, object]]] = {
    "plan": _plan,
    "again": again,
    "capacity": capacity,
    "odds": odds,
    "savers": savers,
}


if __name__ == "__main__":
    main(sys.argv[1])
