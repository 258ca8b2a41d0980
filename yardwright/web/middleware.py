"""Around every request: the yard and its zone, an id, and one line in the log without names."""

import logging
from collections.abc import Callable
from time import perf_counter
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse
from django.utils import timezone

from yardwright.web.log import request_id
from yardwright.yard import clock
from yardwright.yard.models import Yard

log = logging.getLogger("yardwright.request")
Answer = Callable[[HttpRequest], HttpResponse]


def request_log(answer: Answer) -> Answer:
    def middleware(request: HttpRequest) -> HttpResponse:
        start = perf_counter()
        request_id.set(uuid4().hex[:12])
        response = answer(request)
        response["X-Request-Id"] = request_id.get()
        response["Content-Security-Policy"] = "default-src 'self'; frame-ancestors 'none'"
        route = request.resolver_match.route if request.resolver_match else "-"
        took_ms = (perf_counter() - start) * 1000
        log.info("%s /%s %d %.0f ms", request.method, route, response.status_code, took_ms)
        return response

    return middleware


def yard_time(answer: Answer) -> Answer:
    """Every page speaks the yard's own time."""

    def middleware(request: HttpRequest) -> HttpResponse:
        yard = Yard.objects.first()
        clock.remember(yard)
        try:
            if yard is None:
                return answer(request)
            with timezone.override(ZoneInfo(yard.zone)):
                return answer(request)
        finally:
            clock.remember(None)

    return middleware
