"""The spring plan, asked for, watched, stopped and published, and on paper; a boat's day made Ink."""

from uuid import uuid4

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.launch import owner_services, queries, services, sheets
from yardwright.launch.calls import calls, heard_of
from yardwright.launch.forms import AnswerForm, InkForm, SpringForm
from yardwright.launch.held import held, held_soon
from yardwright.launch.spring_days import days_of
from yardwright.launch.views.working import polled, progress
from yardwright.launch.watched import watches
from yardwright.work import queries as work
from yardwright.work.facts import Entry
from yardwright.work.models import Fact
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, back, form_page, is_fragment, printed, who
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused


@login_required
@form_page
def spring(request: HttpRequest) -> HttpResponse:
    if request.method == "GET":
        return _spring(request)
    form = SpringForm(request.POST)
    if not form.is_valid():
        chosen = (
            "" if "reason" in form.errors else "Nothing was chosen. Use the buttons on this page."
        )
        return _spring(request, chosen, WRONG, form)
    try:
        _spring_deed(who(request), form)
    except Refused as refused:
        return _spring(request, str(refused), REFUSES, form)
    return _job(request) if is_fragment(request) else redirect("spring")


def _spring_deed(me: Person, form: SpringForm) -> None:
    deed, job = form.cleaned_data["deed"], form.cleaned_data["job"]
    if deed == SpringForm.PLAN:
        services.plan_the_spring(me)
    elif deed == SpringForm.TAKE_BACK:
        given = form.cleaned_data
        entry = Entry(given["uuid"], me, clock.now())
        services.take_back(entry, given["plan"], given["reason"], given["agreed"])
    elif job is None:
        raise Refused("Which plan?", "Load the page again.")
    elif deed == SpringForm.STOP:
        services.stop(job, me)
    else:
        entry = Entry(form.cleaned_data["uuid"], me, clock.now())
        services.publish(entry, job, form.cleaned_data["agreed"])


@login_required
@require_GET
def spring_job(request: HttpRequest) -> HttpResponse:
    """How far the planning is; polled each second until it is over."""
    return polled(queries.newest_job(), _job(request))


def _job(request: HttpRequest, status: int = 200) -> HttpResponse:
    context = _job_context(work.last_published())
    return render(request, "_spring_job.html", context, status=status)


def _job_context(published: Fact | None) -> dict[str, object]:
    job = queries.newest_job()
    answer = queries.offered(job)
    return progress(job) | {
        "answer": answer,
        "moves": queries.ink_moved(answer) if answer else (),
        "answer_days": days_of(answer, held=held_soon(answer)),
        "form": SpringForm(auto_id=False),
        "fact": published,
    }


def _spring(
    request: HttpRequest, refused: str = "", status: int = 200, typed: SpringForm | None = None
) -> HttpResponse:
    fact = work.last_published()
    before = work.last_published(before=fact.received_at) if fact else None
    held_before = queries.plan_of(before)
    published, sure = queries.plan_of(fact), queries.sures()
    context = _job_context(fact) | {
        "refused": refused,
        "published": published,
        "broken": queries.plan_broken(),
        "published_days": days_of(published, sure, held_soon(published)),
        "calls": calls(published, sure),
        "sure_soon": progress(queries.newest_job(queries.ODDS))["working"],
        "before": before,
        "moves_back": queries.ink_moved(held_before) if held_before else (),
        "typed": typed,
        "agreed": typed["agreed"].value() if typed else (),
    }
    return render(request, "spring.html", context, status=status)


@login_required
@require_GET
def spring_paper(request: HttpRequest) -> HttpResponse:
    plan = queries.plan_of(work.last_published())
    days = days_of(plan, queries.sures(), held_soon(plan))
    address = request.build_absolute_uri(reverse("spring"))
    name, today, broken = clock.the_yard().name, clock.today(), queries.plan_broken()
    sheet = sheets.spring_sheet(name, today, plan, days, broken, address)
    return printed(request, sheet, "spring-plan")


@login_required
@require_GET
def calls_paper(request: HttpRequest) -> HttpResponse:
    plan, sure = queries.plan_of(work.last_published()), queries.sures()
    found = calls(plan, sure)
    sheet = sheets.calls_sheet(
        clock.the_yard().name,
        clock.today(),
        found,
        sure,
        queries.plan_broken(),
        request.build_absolute_uri(f"{reverse('spring')}#calls"),
    )
    return printed(request, sheet, "owners-to-call")


@login_required
@form_page
def ink(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    if request.method == "GET":
        return _ink(request, boat, None)
    form = InkForm(request.POST)
    if not form.is_valid():
        return _ink(request, boat, form, status=WRONG)
    typed = form.cleaned_data
    entry = Entry(typed["uuid"], who(request), clock.now())
    try:
        owner_services.make_ink(
            entry, boat, typed["day"], typed["owner_agreed"], although=typed["although"]
        )
    except Refused as refused:
        return _ink(request, boat, form, str(refused), REFUSES)
    return redirect(back(request) or reverse("ink", args=[tag]))


def _ink(
    request: HttpRequest, boat: Boat, form: InkForm | None, refused: str = "", status: int = 200
) -> HttpResponse:
    plan = queries.plan_of(work.last_published())
    told = plan.told.get(boat.name) if plan else None
    typed = form.cleaned_data.get("day") if form and form.is_bound else None
    planned, watch = told.handed_over if told else None, watches().get(boat.name)
    if watch:
        planned = watch.handed_over(planned)
    day = typed or planned
    sure, ink = queries.sure_of(boat), queries.ink_told(boat)
    context = {
        "boat": boat,
        "told": told,
        "watch": watch,
        "broken": queries.plan_broken_for(boat),
        "promise": queries.promises(boat),
        "day": day,
        "sure": sure,
        "by_day": sure.by(day) if sure and day else "",
        "doubt": queries.doubt(boat, day, watch) if day else "",
        "allowed": queries.allowed(told, sure) if told else "",
        "held": held(boat, plan),
        "heard": heard_of(boat),
        "to_strike": [fact for fact in (ink, queries.told_by_phone(boat)) if fact],
        "struck_out": queries.days_struck_out(boat),
        "new_uuid": uuid4,  # called anew for each form on the page
        "answer_form": AnswerForm(auto_id=False),
        "form": form or InkForm(initial={"day": planned}),
        "refused": refused,
    }
    return render(request, "ink.html", context, status=status)
