"""Something happened: it is told, what no longer holds, the smallest changes, and one of them kept."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.launch import queries, services, sheets
from yardwright.launch.forms import AgainForm
from yardwright.launch.views import surprises
from yardwright.launch.views.surprises import Surprise
from yardwright.launch.views.working import polled, progress
from yardwright.season.causes import broken_since
from yardwright.work import queries as work
from yardwright.work.facts import Entry
from yardwright.yard import clock
from yardwright.yard.asked import (
    REFUSES,
    WRONG,
    form_page,
    is_fragment,
    printed,
    typed,
    who,
)
from yardwright.yard.jobs import OPEN
from yardwright.yard.models import Job, Person
from yardwright.yard.refused import Refused

FEW = 6  # sentences that are said at once; the others open
UNDERSTOOD = "understood"  # of this log-in: what was told last, said once


@login_required
@form_page
def again(request: HttpRequest) -> HttpResponse:
    if request.method == "GET":
        return _again(request)
    form = AgainForm(request.POST)
    if not form.is_valid():
        return _again(request, "Nothing was chosen. Use the buttons on this page.", WRONG)
    try:
        _deed(who(request), form)
    except Refused as refused:
        return _again(request, str(refused), REFUSES, form.cleaned_data)
    if form.cleaned_data["deed"] == AgainForm.PUBLISH:
        return redirect("spring")
    return _job(request) if is_fragment(request) else redirect("again")


def _deed(me: Person, form: AgainForm) -> None:
    given = form.cleaned_data
    if given["deed"] == AgainForm.ASK:
        services.plan_again(me)
    elif given["deed"] == AgainForm.PUBLISH:
        entry = Entry(given["uuid"], me, clock.now())
        services.publish_change(entry, given["job"], given["choice"], given["agreed"])
    elif given["job"]:
        services.stop(given["job"], me)


@login_required
@form_page
def tell(request: HttpRequest, what: str) -> HttpResponse:
    """One surprise is told; the page then says what was understood, and what breaks by it."""
    one = surprises.told(who(request), what, typed(request))
    if one is None:
        raise Http404
    if request.method == "GET":
        return _again(request, telling=one)
    if not one.form.is_valid():
        return _again(request, status=WRONG, telling=one)
    before = queries.plan_broken()
    try:
        understood = one.take()
    except Refused as refused:
        one.form.add_error(None, str(refused))
        return _again(request, status=REFUSES, telling=one)
    by_it = [str(broken) for broken in broken_since(queries.plan_broken(), before)]
    request.session[UNDERSTOOD] = understood._asdict() | {"by_it": by_it}
    return redirect(f"{reverse('again')}#understood")


@login_required
@require_GET
def again_job(request: HttpRequest) -> HttpResponse:
    """How far it is; polled each second until it is over."""
    return polled(queries.newest_job(queries.AGAIN), _job(request))


def _job(request: HttpRequest) -> HttpResponse:
    return render(request, "_again_job.html", _context())


def _again(
    request: HttpRequest,
    refused: str = "",
    status: int = 200,
    chosen: dict[str, object] | None = None,
    telling: Surprise | None = None,
) -> HttpResponse:
    understood = request.session.pop(UNDERSTOOD, None)
    by_it = understood["by_it"] if understood else []
    broken = [str(one) for one in queries.plan_broken()]
    new = [words for words in broken if words in by_it]
    first = new or broken
    context = _context(chosen) | {
        "refused": refused,
        "understood": understood,
        "by_it": new,
        "broken": first[:FEW],
        "more": first[FEW:],
        "before": [words for words in broken if words not in first],
        "telling": telling,
        "to_tell": list(surprises.to_tell(who(request), telling)),
    }
    return render(request, "again.html", context, status=status)


def _context(chosen: dict[str, object] | None = None) -> dict[str, object]:
    job, fact = queries.newest_job(queries.AGAIN), work.last_published()
    found = job.answer if job else None
    choices = queries.choices_in(job) if job else ()
    agreed = (chosen or {}).get("agreed") or ()
    return progress(job) | {
        "fact": fact,
        "found": found,
        "choices": [
            (choice, AgainForm(auto_id=False), queries.ink_moved(choice.plan)) for choice in choices
        ],
        "agreed": {boat.name for boat in agreed},  # type: ignore[attr-defined]
        "asked_at": choices[0].plan.asked_at if choices else None,
        "old": queries.out_of_date(found) if found and choices else "",
        "other_plan": bool(found and fact and found.get("plan") not in (None, str(fact.pk))),
        "form": AgainForm(auto_id=False),
    }


@login_required
@require_GET
def again_paper(request: HttpRequest) -> HttpResponse:
    """The changes on paper before one is published: to be talked over, and owners to be asked."""
    job, fact = queries.newest_job(queries.AGAIN), work.last_published()
    found = (job.answer if job else None) or {}
    other_plan = fact is not None and found.get("plan") not in (None, str(fact.pk))
    ended_early = job is not None and job.state == Job.State.FAILED
    choices = queries.choices_in(job) if job and fact and not (other_plan or ended_early) else ()
    sheet = sheets.change_sheet(
        clock.the_yard().name,
        clock.today(),
        [(one, queries.ink_moved(one.plan)) for one in choices],
        queries.plan_broken(),
        queries.out_of_date(found) if choices else "",
        job is not None and job.state in OPEN,
        request.build_absolute_uri(reverse("again")),
    )
    return printed(request, sheet, "something-changed")
