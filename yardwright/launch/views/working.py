"""A page that watches long work: asked again each second until the work is over."""

from django.http import HttpResponse
from django_htmx.http import HttpResponseStopPolling

from yardwright.yard.jobs import OPEN
from yardwright.yard.models import Job


def working(job: Job | None) -> bool:
    return job is not None and job.state in OPEN


def polled(job: Job | None, page: HttpResponse) -> HttpResponse:
    if not working(job):
        stopped = HttpResponseStopPolling()
        stopped.content = page.content
        return stopped
    return page
