"""Around every request: the yard, its zone and its steps, an id, and one line in the log without names."""

import logging
from collections.abc import Callable
from functools import cache
from time import perf_counter
from uuid import UUID, uuid4, uuid5
from zoneinfo import ZoneInfo

from django.http import HttpRequest, HttpResponse, HttpResponseForbidden
from django.http.response import HttpResponseBase
from django.middleware.csrf import CsrfViewMiddleware
from django.utils import timezone

from yardwright.procedures.steps import going_by
from yardwright.web.log import request_id
from yardwright.work.own_steps import the_yards_book
from yardwright.yard import clock
from yardwright.yard.models import Yard

log = logging.getLogger("yardwright.request")
PAGES = UUID("5e0d3c1a-9b7f-4f0e-8a7c-21c4be6f90d3")  # the forms of all pages, by their numbers
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


def once(answer: Answer) -> Answer:
    """A form that has a number on its page, but no UUID, gets one by it: a second tap changes nothing."""

    def middleware(request: HttpRequest) -> HttpResponse:
        number = request.GET.get("once")
        if number and request.method == "POST" and "uuid" not in request.POST:
            sent = request.POST.copy()
            sent["uuid"] = str(uuid_of(number))
            request.POST = sent  # type: ignore[assignment]  # a view only reads it
        return answer(request)

    return middleware


def uuid_of(number: str) -> UUID:
    return uuid5(PAGES, number)


def yard_time(answer: Answer) -> Answer:
    """Every page speaks the yard's own time, and goes by its own steps."""

    def middleware(request: HttpRequest) -> HttpResponse:
        yard = Yard.objects.first()
        clock.remember(yard)
        try:
            if yard is None:
                return answer(request)
            with timezone.override(ZoneInfo(yard.zone)), going_by(cache(the_yards_book)):
                return answer(request)
        finally:
            clock.remember(None)

    return middleware
