"""How many more boats can be promised by a day."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.launch import queries, services
from yardwright.launch.forms import CapacityForm
from yardwright.launch.views.working import polled, progress
from yardwright.papers.day_sheet import Column, DaySheet, Kind, Section
from yardwright.season.zone import said_day
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, form_page, is_fragment, printed, who
from yardwright.yard.models import Job
from yardwright.yard.refused import Refused

NOTHING = "Nothing is counted, or the counting is not over."
SURELY = (
    "Surely: a checked plan takes so many, and keeps every day in Ink that is kept now. Boats to come "
    "arrive by road, with their parts here, and stand in nobody's way."
)


@login_required
@form_page
def capacity(request: HttpRequest) -> HttpResponse:
    if request.method == "GET":
        return _capacity(request)
    form = CapacityForm(request.POST)
    if not form.is_valid():
        return _capacity(request, form, status=WRONG)
    typed, me = form.cleaned_data, who(request)
    try:
        if typed["deed"] == CapacityForm.STOP and typed["job"]:
            services.stop(typed["job"], me)
        elif typed["deed"] == CapacityForm.ASK:
            like = typed["like"].name if typed["like"] else ""
            services.count_capacity(me, typed["by"], like, typed["tolerance_days"] or 0)
    except Refused as refused:
        return _capacity(request, form, str(refused), REFUSES)
    return _capacity_job(request) if is_fragment(request) else redirect("capacity")


@login_required
@require_GET
def capacity_job(request: HttpRequest) -> HttpResponse:
    """How far the counting is; polled each second until it is over."""
    return polled(queries.newest_job(queries.CAPACITY), _capacity_job(request))


def _capacity_job(request: HttpRequest) -> HttpResponse:
    return render(request, "_capacity_job.html", _capacity_context())


def _capacity_context() -> dict[str, Any]:
    job = queries.newest_job(queries.CAPACITY)
    found = job.answer if job and job.state == Job.State.DONE else None
    context = progress(job) | {"found": found, "form": CapacityForm(auto_id=False)}
    if not found or "refused" in found:
        return context
    at = datetime.fromisoformat(found["asked_at"]).astimezone(clock.zone())
    by = f" by {job.asked_by}" if job and job.asked_by else ""
    asked = (
        f"Each like {found['like']}: {found['asks']}. Asked {said_day(at.date())} {at:%H:%M}{by}."
    )
    day = said_day(date.fromisoformat(found["by"]))
    return context | {
        "asked_at": at,
        "old": _old(found, at.date()),
        "asked": asked,
        "short": f"What is short, and what more of it would bring by {day}",
        "surely": SURELY,
    }


def _old(found: Mapping[str, Any], asked_on: date) -> str:
    """Why a count no longer holds: by what changed, or by the hours that went by."""
    went_by = f"The hours from {said_day(asked_on)} on were counted, and some are over."
    why = queries.out_of_date(found) or (went_by if asked_on < clock.today() else "")
    return f"{why} Count again before you promise a place." if why else ""


@login_required
@require_GET
def capacity_paper(request: HttpRequest) -> HttpResponse:
    context = _capacity_context()
    found = context["found"] or {}
    say = found.get("refused") or context.get("old") or found.get("sentence") or NOTHING
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title="How many more boats?",
        day=clock.today(),
        say=say,
        sections=(_short(context),) if context.get("old") == "" else (),
        address=request.build_absolute_uri(reverse("capacity")),
    )
    return printed(request, sheet, "more-boats")


def _short(context: Mapping[str, Any]) -> Section:
    """What more of what is short would bring; what the words mean stands above it."""
    return Section(
        context["short"],
        f"{context['asked']} {SURELY}",
        (
            Column("with", Kind.NAME, 2),
            Column("surely", Kind.NUMBER, 1),
            Column("no plan more than", Kind.NUMBER, 1),
        ),
        tuple(
            (
                one["more"],
                f"{one['at_least']}",
                "not found" if one["at_most"] is None else f"{one['at_most']}",
            )
            for one in context["found"]["short"]
        ),
        empty="No single thing.",
    )


def _capacity(
    request: HttpRequest, form: CapacityForm | None = None, refused: str = "", status: int = 200
) -> HttpResponse:
    context = _capacity_context() | {"form": form or CapacityForm(), "refused": refused}
    return render(request, "capacity.html", context, status=status)
