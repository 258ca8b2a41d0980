"""What can I tell her owner now? One sentence for the phone, and what it rests on."""

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any
from uuid import uuid4

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_GET

from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.launch import queries, services
from yardwright.launch.calls import heard_of
from yardwright.launch.forms import AnswerForm
from yardwright.launch.held import held
from yardwright.launch.on_her_way import where
from yardwright.launch.views.working import polled, progress
from yardwright.launch.watched import watches
from yardwright.season import fact_book
from yardwright.work import queries as work
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, form_page, is_fragment, who
from yardwright.yard.models import Job
from yardwright.yard.refused import Refused


@login_required
@form_page
def answer(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    if request.method == "GET":
        return _answer(request, boat)
    form = AnswerForm(request.POST)
    if not form.is_valid():
        return _answer(request, boat, "Which step? Tap one of the buttons.", WRONG)
    typed, me = form.cleaned_data, who(request)
    try:
        if typed["deed"] == AnswerForm.ASK:
            services.work_out_odds(me)
        elif typed["job"]:
            services.stop(typed["job"], me)
    except Refused as refused:
        return _answer(request, boat, str(refused), REFUSES)
    if is_fragment(request):
        return render(request, "_answer_job.html", _context(boat))
    return redirect("answer", tag=tag)


@login_required
@require_GET
def answer_job(request: HttpRequest, tag: str) -> HttpResponse:
    """How far it is; polled each second until it is over."""
    page = render(request, "_answer_job.html", _context(boat_of(tag)))
    return polled(queries.newest_job(queries.ODDS), page)


def _answer(request: HttpRequest, boat: Boat, refused: str = "", status: int = 200) -> HttpResponse:
    return render(request, "answer.html", _context(boat) | {"refused": refused}, status=status)


def _context(boat: Boat) -> dict[str, object]:
    job, plan = queries.newest_job(queries.ODDS), work.last_published()
    told, watch = queries.plan_of(plan), watches().get(boat.name)
    planned = told.told.get(boat.name) if told else None
    context = progress(job) | {
        "boat": boat,
        "watch": watch,
        "over": watch and watch.handed_over(planned.handed_over if planned else None),
        "heard": heard_of(boat) if watch else None,
        "plan": plan,
        "planned": planned,
        "left_out": told and told.why_left_out(boat.name),
        "held": held(boat, told),
        "broken": queries.plan_broken_for(boat),
        "form": AnswerForm(auto_id=False),
        "today": clock.today(),
    }
    found = job.answer if job and job.state == Job.State.DONE else None
    if not found or "refused" in found:
        return context | {"found": found}
    asked_at = datetime.fromisoformat(found["asked_at"])
    hers = found["boats"].get(boat.name)
    return context | {
        "found": found,
        "asked_at": asked_at,
        "hers": hers,
        "unknown": "" if hers else _unknown(found, boat),
        "days": [_told(one) for one in hers["days"]] if hers else [],
        "other_plan": plan is None or str(plan.pk) != found["plan"],
        "old": queries.aged(found).of(boat.name),
        "usual": fact_book.topic("promises"),
    }


def _unknown(found: Mapping[str, Any], boat: Boat) -> str:
    """Why there is no answer for her."""
    return str(found["unknown"].get(boat.name) or f"she is {where(boat).state.lower()}")


def _told(one: dict[str, object]) -> dict[str, object]:
    low, high = (100 * float(end) for end in one["between"])  # type: ignore[attr-defined]
    day = date.fromisoformat(str(one["day"]))
    return one | {"day": day, "low": low, "high": high, "uuid": uuid4()}
