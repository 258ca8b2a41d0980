"""How many more boats can be promised by a day."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from yardwright.launch import queries, services
from yardwright.launch.forms import CapacityForm
from yardwright.launch.views.working import polled, progress
from yardwright.season.zone import said_day
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, form_page, is_fragment, who
from yardwright.yard.models import Job
from yardwright.yard.refused import Refused


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


def _capacity_context() -> dict[str, object]:
    job = queries.newest_job(queries.CAPACITY)
    found = job.answer if job and job.state == Job.State.DONE else None
    context = progress(job) | {"found": found, "form": CapacityForm(auto_id=False)}
    if not found or "refused" in found:
        return context
    return context | {"asked_at": datetime.fromisoformat(found["asked_at"]), "old": _old(found)}


def _old(found: Mapping[str, Any]) -> str:
    """Why a count no longer holds: by what changed, or by the hours that went by."""
    asked_on = datetime.fromisoformat(found["asked_at"]).astimezone(clock.zone()).date()
    went_by = f"The hours from {said_day(asked_on)} on were counted, and some are over."
    return queries.out_of_date(found) or (went_by if asked_on < clock.today() else "")


def _capacity(
    request: HttpRequest, form: CapacityForm | None = None, refused: str = "", status: int = 200
) -> HttpResponse:
    context = _capacity_context() | {"form": form or CapacityForm(), "refused": refused}
    return render(request, "capacity.html", context, status=status)
