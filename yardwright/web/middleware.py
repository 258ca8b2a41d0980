"""Around every request: the yard and its zone, an id, and one line in the log without names."""

import logging
from collections.abc import Callable
from time import perf_counter
from uuid import uuid4
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse, HttpResponseForbidden
from django.http.response import HttpResponseBase
from django.middleware.csrf import CsrfViewMiddleware
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


class OwnForms(CsrfViewMiddleware):
    """A form that the browser says comes from a page of this yard; any other needs its token.

    No other site can make a browser say so. A page that was kept on a phone has an old token.
    """

    def process_view(
        self,
        request: HttpRequest,
        callback: Callable[..., HttpResponseBase],
        callback_args: tuple[object, ...],
        callback_kwargs: dict[str, object],
    ) -> HttpResponseForbidden | None:
        if request.headers.get("Origin") == f"{request.scheme}://{request.get_host()}":
            return None
        return super().process_view(request, callback, callback_args, callback_kwargs)


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
