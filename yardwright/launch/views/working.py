"""A page that watches long work: asked again each second until the work is over."""

from django.http import HttpResponse
from django_htmx.http import HttpResponseStopPolling

from yardwright.launch import queries
from yardwright.yard.jobs import OPEN, ahead_of
from yardwright.yard.models import Job

SAID = {
    queries.PLAN: "the spring plan",
    queries.AGAIN: "a change of the plan",
    queries.CAPACITY: "how many more boats",
    queries.ODDS: "how sure each day is",
    queries.SAVERS: "savers",
}


def progress(job: Job | None) -> dict[str, object]:
    """What ``_working.html`` asks for."""
    ahead = ahead_of(job) if job else None
    return {
        "job": job,
        "working": _working(job),
        "ahead": ahead,
        "ahead_is": SAID[ahead.what] if ahead else "",
        "percent": round(100 * job.share) if job else 0,
    }


def _working(job: Job | None) -> bool:
    return job is not None and job.state in OPEN


def polled(job: Job | None, page: HttpResponse) -> HttpResponse:
    if not _working(job):
        stopped = HttpResponseStopPolling()
        stopped.content = page.content
        return stopped
    return page
