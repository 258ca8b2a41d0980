"""A page that watches long work: asked again each second until the work is over."""

from django.http import HttpResponse
from django_htmx.http import HttpResponseStopPolling

from yardwright.yard.jobs import OPEN
from yardwright.yard.models import Job


def progress(job: Job | None) -> dict[str, object]:
    """What ``_working.html`` asks for."""
    return {
        "job": job,
        "working": _working(job),
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
