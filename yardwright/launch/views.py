"""The spring plan, the water, and a boat on her way to it: one form, one service, one query each."""

from datetime import date, datetime, timedelta
from urllib.parse import urlencode
from uuid import uuid4

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET
from django_htmx.http import HttpResponseStopPolling

from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.launch import on_her_way, queries, services, strip
from yardwright.launch.forms import (
    CapacityForm,
    DayForm,
    GoingInForm,
    InkForm,
    MoveForm,
    SpringForm,
    ToldForm,
)
from yardwright.papers.lift_card import lift_card as printed
from yardwright.papers.paper import MissingLetterError
from yardwright.plan.calibration import Told, calibration
from yardwright.procedures.going_in import BILGE_DRY, BILGE_PUMP, State
from yardwright.work import queries as work
from yardwright.work.facts import Entry
from yardwright.work.forms.left_undone import PaperForm
from yardwright.work.models import Fact
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, form_page, is_fragment, who
from yardwright.yard.models import Job, Person
from yardwright.yard.refused import Refused

DESK_PX, PHONE_PX = 1180, 360


# --- the spring plan ------------------------------------------------------------


@login_required
@form_page
def spring(request: HttpRequest) -> HttpResponse:
    if request.method == "GET":
        return _spring(request)
    form = SpringForm(request.POST)
    if not form.is_valid():
        return _spring(request, "Nothing was chosen. Use the buttons on this page.", WRONG)
    try:
        _spring_deed(who(request), form)
    except Refused as refused:
        return _spring(request, str(refused), REFUSES)
    return _job(request) if is_fragment(request) else redirect("spring")


def _spring_deed(me: Person, form: SpringForm) -> None:
    deed, job = form.cleaned_data["deed"], form.cleaned_data["job"]
    if deed == SpringForm.PLAN:
        services.plan_the_spring(me)
    elif job is None:
        raise Refused("Which plan?", "Load the page again.")
    elif deed == SpringForm.STOP:
        services.stop(job, me)
    else:
        services.publish(Entry(form.cleaned_data["uuid"], me, clock.now()), job)


@login_required
@require_GET
def spring_job(request: HttpRequest) -> HttpResponse:
    """How far the planning is; polled each second until it is over."""
    return _polled(queries.newest_job(), _job(request))


def _polled(job: Job | None, page: HttpResponse) -> HttpResponse:
    if job is None or job.state not in (Job.State.READY, Job.State.RUNNING):
        stopped = HttpResponseStopPolling()
        stopped.content = page.content
        return stopped
    return page


def _job(request: HttpRequest, status: int = 200) -> HttpResponse:
    context = _job_context(work.last_published())
    return render(request, "_spring_job.html", context, status=status)


def _job_context(published: Fact | None) -> dict[str, object]:
    job = queries.newest_job()
    holds = published is not None and job is not None and published.body["job"] == str(job.pk)
    answer = queries.answer_of(job) if job and not holds else None
    return {
        "job": job,
        "working": job is not None and job.state in (Job.State.READY, Job.State.RUNNING),
        "percent": round(100 * job.share) if job else 0,
        "answer": answer,
        "answer_days": queries.days_of(answer),
        "published_it": holds,
        "form": SpringForm(auto_id=False),
        "fact": published,
    }


def _spring(request: HttpRequest, refused: str = "", status: int = 200) -> HttpResponse:
    fact = work.last_published()
    published = queries.plan_of(fact)
    context = _job_context(fact) | {
        "refused": refused,
        "published": published,
        "published_days": queries.days_of(published),
    }
    return render(request, "spring.html", context, status=status)


@login_required
@form_page
def ink(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    if request.method == "GET":
        return _ink(request, boat, None)
    form = InkForm(request.POST)
    if not form.is_valid():
        return _ink(request, boat, form, status=WRONG)
    entry = Entry(form.cleaned_data["uuid"], who(request), clock.now())
    try:
        services.make_ink(entry, boat, form.cleaned_data["day"], form.cleaned_data["owner_agreed"])
    except Refused as refused:
        return _ink(request, boat, form, str(refused), REFUSES)
    return redirect("ink", tag=tag)


def _ink(
    request: HttpRequest, boat: Boat, form: InkForm | None, refused: str = "", status: int = 200
) -> HttpResponse:
    plan = queries.plan_of(work.last_published())
    told = plan.told.get(boat.name) if plan else None
    context = {
        "boat": boat,
        "told": told,
        "promise": queries.promises(boat),
        "form": form or InkForm(initial={"day": told.handed_over if told else None}),
        "refused": refused,
    }
    return render(request, "ink.html", context, status=status)


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
    return _polled(queries.newest_job(queries.CAPACITY), _capacity_job(request))


def _capacity_job(request: HttpRequest) -> HttpResponse:
    return render(request, "_capacity_job.html", _capacity_context())


def _capacity_context() -> dict[str, object]:
    job = queries.newest_job(queries.CAPACITY)
    found = job.answer if job and job.state == Job.State.DONE else None
    return {
        "job": job,
        "working": job is not None and job.state in (Job.State.READY, Job.State.RUNNING),
        "percent": round(100 * job.share) if job else 0,
        "found": found,
        "asked_at": datetime.fromisoformat(found["asked_at"]) if found and "by" in found else None,
        "form": CapacityForm(auto_id=False),
    }


def _capacity(
    request: HttpRequest, form: CapacityForm | None = None, refused: str = "", status: int = 200
) -> HttpResponse:
    context = _capacity_context() | {"form": form or CapacityForm(), "refused": refused}
    return render(request, "capacity.html", context, status=status)


@login_required
@form_page
def told_owner(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    if request.method == "GET":
        return _told_owner(request, boat)
    form = ToldForm(request.POST)
    if not form.is_valid():
        return _told_owner(request, boat, form, status=WRONG)
    entry, typed = Entry(form.cleaned_data["uuid"], who(request), clock.now()), form.cleaned_data
    try:
        services.tell_owner(entry, boat, typed["day"], typed["percent"] / 100)
    except Refused as refused:
        return _told_owner(request, boat, form, str(refused), REFUSES)
    return redirect("boat", tag=tag)


def _told_owner(
    request: HttpRequest,
    boat: Boat,
    form: ToldForm | None = None,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {"boat": boat, "form": form or ToldForm(), "refused": refused}
    return render(request, "told_owner.html", context, status=status)


@login_required
@require_GET
def promises_kept(request: HttpRequest) -> HttpResponse:
    """Of the promises told at 80 %, how many were kept."""
    told = queries.promises_told()
    known = [Told(one.odds, one.kept) for one in told if one.kept is not None]
    context = {
        "found": calibration(known),
        "told": told,
        "open": sum(one.kept is None for one in told),
    }
    return render(request, "promises_kept.html", context)


# --- the water ------------------------------------------------------------------


@login_required
@require_GET
def water_strip(request: HttpRequest) -> HttpResponse:
    form = DayForm(request.GET)
    form.is_valid()
    day = form.cleaned_data.get("day") or clock.today()
    days = form.cleaned_data.get("days") or 1
    context = {"day": day, "days": days, **_beside(day, days)}
    try:
        water = strip.strip(day, days)
    except Refused as refused:
        return render(request, "water.html", context | {"not_known": str(refused)})
    now, last = clock.now(), day + timedelta(days=days)
    today = day <= now.date() < last
    context |= {
        "water": water,
        "narrow": water.drawn("strip-phone", PHONE_PX),
        "today": today,
        "high": water.strip.high_after(now if today else water.strip.curve[0][0]),
        "goes_in": sorted(
            (
                one.launch
                for one in water.lines
                if one.launch and day <= one.launch.starts.date() < last
            ),
            key=lambda go: go.starts,
        ),
    }
    return render(request, "water.html", context)


def _beside(day: date, days: int) -> dict[str, object]:
    """Links to the days before and after, and between a day and its week."""

    def link(to: date, count: int) -> str:
        query = {"day": to.isoformat()} | ({"days": str(count)} if count > 1 else {})
        return f"{reverse('water-strip')}?{urlencode(query)}"

    step = timedelta(days=days)
    return {
        "before": day - step,
        "after": day + step,
        "before_link": link(day - step, days),
        "after_link": link(day + step, days),
        "other_link": link(day, 1 if days > 1 else strip.WEEK),
    }


# --- going in -------------------------------------------------------------------


@login_required
@form_page
def going_in(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    if request.method == "GET":
        return _going_in(request, boat)
    form = GoingInForm(request.POST)
    if not form.is_valid():
        return _going_in(request, boat, form, status=WRONG)
    try:
        _deed(Entry(form.cleaned_data["uuid"], who(request), clock.now()), boat, form)
    except Refused as refused:
        return _going_in(request, boat, form, str(refused), REFUSES)
    return _going_in(request, boat) if is_fragment(request) else redirect("going-in", tag=tag)


def _deed(entry: Entry, boat: Boat, form: GoingInForm) -> None:
    typed = form.cleaned_data
    match typed["deed"]:
        case GoingInForm.READY:
            services.ready(entry, boat)
        case GoingInForm.INTO:
            services.into_slings(entry, boat, typed["lift"], typed["angle_deg"])
        case GoingInForm.OFF:
            services.slings_off(entry, boat)
        case GoingInForm.BACK:
            services.lift_back(entry, boat)
        case GoingInForm.OVER:
            services.hand_over(entry, boat)
        case _:
            services.look(entry, boat, typed["at_what"], holds=typed["holds"], words=typed["words"])


def _going_in(
    request: HttpRequest,
    boat: Boat,
    form: GoingInForm | None = None,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    going = on_her_way.going(boat, clock.now())
    context = {
        "boat": boat,
        "going": going,
        "form": form,
        "new_uuid": uuid4,  # called anew for each form on the page
        "refused": refused,
        "BILGE_DRY": BILGE_DRY,
        "BILGE_PUMP": BILGE_PUMP,
    }
    page = "_going_in.html" if is_fragment(request) else "going_in.html"
    return render(request, page, context, status=status)


@login_required
@form_page
def move(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    if request.method == "GET":
        return _move(request, boat, None)
    form = MoveForm(request.POST)
    if not form.is_valid():
        return _move(request, boat, form, status=WRONG)
    typed, entry = form.cleaned_data, Entry(form.cleaned_data["uuid"], who(request), clock.now())
    state, place, berth = State(typed["state"]), typed["place"], typed["berth"]
    try:
        if place and state == on_her_way.where(boat).state:
            services.move(entry, boat, place, berth)
        else:
            services.set_state(entry, boat, state, place, berth)
    except Refused as refused:
        return _move(request, boat, form, str(refused), REFUSES)
    return redirect("going-in", tag=tag)


def _move(
    request: HttpRequest, boat: Boat, form: MoveForm | None, refused: str = "", status: int = 200
) -> HttpResponse:
    here = on_her_way.where(boat)
    form = form or MoveForm(initial={"state": here.state, "place": here.place, "berth": here.berth})
    context = {"boat": boat, "here": here, "form": form, "refused": refused}
    return render(request, "move.html", context, status=status)


@login_required
@require_GET
def lift_card(request: HttpRequest, tag: str) -> HttpResponse:
    boat, form = boat_of(tag), PaperForm(request.GET)
    if not form.is_valid():
        return HttpResponse(form.errors["paper"].as_text(), status=WRONG, content_type="text/plain")
    address = request.build_absolute_uri(reverse("at-hand", args=[boat.tag]))
    try:
        pdf = printed(on_her_way.lift_card(boat, address), form.cleaned_data["paper"])
    except (Refused, MissingLetterError) as refused:
        return HttpResponse(str(refused), status=REFUSES, content_type="text/plain")
    name = f'inline; filename="lift-card-{boat.tag}.pdf"'
    return HttpResponse(pdf, content_type="application/pdf", headers={"Content-Disposition": name})
