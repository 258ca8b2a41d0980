"""The plan of one job, in a process of its own: ``python -m yardwright.launch.solve JOB_ID``."""

import os
import sys
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
    from yardwright.season.published import as_json, published
    from yardwright.season.spring import problem_of
    from yardwright.work.exchange import the_season
    from yardwright.yard import clock, jobs

    season, begins = the_season(), clock.now()
    problem = problem_of(season, published=queries.published_times(), begins=begins)
    found = plan(problem, time_limit_s=time_limit_s, workers=WORKERS, told=jobs.tell)
    return as_json(published(season, problem, found, begins=begins))


if __name__ == "__main__":
    main(sys.argv[1])
