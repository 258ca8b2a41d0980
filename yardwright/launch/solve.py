"""The plan of one job, in a process of its own: ``python -m yardwright.launch.solve JOB_ID``."""

import os
import sys
from dataclasses import replace
from uuid import UUID

import django

TIME_LIMIT_S = 25.0
WORKERS = 2


def main(job_id: str) -> None:
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "yardwright.web.settings")
    django.setup()
    from yardwright.yard import jobs
    from yardwright.yard.models import Job

    jobs.leave_with_parent()
    jobs.tell(0, "Reading the season.")
    job = Job.objects.get(pk=UUID(job_id))
    limit_s = float(job.question.get("time_limit_s", TIME_LIMIT_S))
    jobs.tell_answer(answer(limit_s))


def answer(time_limit_s: float) -> dict[str, object]:
    """Plan what is left of the season from now on."""
    from yardwright.launch import queries
    from yardwright.plan.planner import plan
    from yardwright.plan.why import why_moved_aside, why_not_earlier
    from yardwright.season.published import Published, as_json, told_of
    from yardwright.season.spring import (
        SpringPlan,
        in_yard_time,
        not_planned,
        problem_of,
        the_lift,
    )
    from yardwright.work.exchange import the_season
    from yardwright.yard import clock, jobs

    season, begins = the_season(), clock.now()
    lift = the_lift(season).name
    problem = problem_of(season, lift=lift, published=queries.published_times(), begins=begins)
    found = plan(problem, time_limit_s=time_limit_s, workers=WORKERS, told=jobs.tell)
    empty = Published(
        asked_at=begins,
        lift=lift,
        status=found.status,
        ink_days=0,
        pencil_days=0,
        least_ink_days=found.bound.ink_days,
        least_pencil_days=found.bound.pencil_days,
        plan=SpringPlan((), (), ()),
        told={},
        not_planned=not_planned(season, lift=lift, begins=begins),
        reasons=found.reasons,
    )
    best, score = found.plan, found.score
    if best is None or score is None:
        return as_json(empty)
    why = {boat.name: why_not_earlier(problem, best, boat.id) for boat in problem.going_in}
    return as_json(
        replace(
            empty,
            ink_days=score.ink_days,
            pencil_days=score.pencil_days,
            plan=in_yard_time(problem, best),
            told=told_of(problem, best, why),
            asides_told=tuple(why_moved_aside(problem, best, boat) for boat in best.asides),
        )
    )


if __name__ == "__main__":
    main(sys.argv[1])
