"""How many more boats can be promised by a day."""

from datetime import datetime

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from yardwright.launch import queries, services
from yardwright.launch.forms import CapacityForm
from yardwright.launch.views.working import polled, progress
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
    return progress(job) | {
        "found": found,
        "asked_at": datetime.fromisoformat(found["asked_at"]) if found and "by" in found else None,
        "form": CapacityForm(auto_id=False),
    }


def _capacity(
    request: HttpRequest, form: CapacityForm | None = None, refused: str = "", status: int = 200
) -> HttpResponse:
    context = _capacity_context() | {"form": form or CapacityForm(), "refused": refused}
    return render(request, "capacity.html", context, status=status)
