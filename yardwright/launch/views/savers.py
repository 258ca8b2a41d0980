"""What would save the promises in danger: asked for, watched, stopped, and read."""

from datetime import datetime
from typing import Any, NamedTuple

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.launch import queries, services
from yardwright.launch.forms import SaversForm
from yardwright.launch.views.working import polled, progress
from yardwright.plan.changes import Kind
from yardwright.plan.spoken import spoken
from yardwright.season.saver_words import hurts, slack
from yardwright.yard.asked import REFUSES, WRONG, form_page, is_fragment, who
from yardwright.yard.models import Job
from yardwright.yard.refused import Refused


@login_required
@form_page
def savers(request: HttpRequest) -> HttpResponse:
    if request.method == "GET":
        return _savers(request, SaversForm(initial={"boat": request.GET.get("boat", "")}))
    form = SaversForm(request.POST)
    if not form.is_valid():
        return _savers(request, form, status=WRONG)
    typed, me = form.cleaned_data, who(request)
    try:
        if typed["deed"] == SaversForm.ASK:
            services.look_for_savers(me, typed["boat"])
        elif typed["job"]:
            services.stop(typed["job"], me)
    except Refused as refused:
        return _savers(request, form, str(refused), REFUSES)
    return _job(request) if is_fragment(request) else redirect("savers")


@login_required
@require_GET
def savers_job(request: HttpRequest) -> HttpResponse:
    """How far it is; polled each second until it is over."""
    return polled(queries.newest_job(queries.SAVERS), _job(request))


def _job(request: HttpRequest) -> HttpResponse:
    context = _context() | {"asking": SaversForm(initial={"boat": request.GET.get("boat", "")})}
    return render(request, "_savers_job.html", context)


def _savers(
    request: HttpRequest, form: SaversForm, refused: str = "", status: int = 200
) -> HttpResponse:
    context = _context() | {"asking": form, "refused": refused, "broken": queries.plan_broken()}
    return render(request, "savers.html", context, status=status)


def _context() -> dict[str, object]:
    job = queries.newest_job(queries.SAVERS)
    context = progress(job) | {"form": SaversForm(auto_id=False)}
    found = job.answer if job and job.state == Job.State.DONE else None
    if not found or "refused" in found:
        return context | {"found": found}
    return context | {
        "found": found,
        "asked_at": datetime.fromisoformat(found["asked_at"]),
        "old": queries.out_of_date(found),
        "boats": _shown(found),
        "others": [
            one | {"spoken": spoken(one["odds"])} for one in found["promises"] if one["in_ink"]
        ],
    }


def _shown(found: dict[str, Any]) -> list[dict[str, Any]]:
    """Each boat's savers as rows, the one worth doing apart."""
    sure, tag = {one["boat"]: one["odds"] for one in found["promises"]}, queries.tags()
    shown = []
    for one in found["boats"]:
        before, hers = spoken(sure[one["boat"]]), tag.get(one["boat"])
        rest = [_row(s, hers) for s in one["savers"]]
        worth = None if one["worth"] is None else rest.pop(one["worth"])
        shown.append(one | {"before": before, "worth": worth, "rest": rest, "tag": hers})
    return shown


def _row(saver: dict[str, Any], tag: str | None) -> dict[str, Any]:
    """A saver with the words of its row; what was found long ago has one kind alone."""
    enter = [entered(kind, tag) for kind in saver.get("kinds", [saver["kind"]])]
    replans = any(one.replans for one in enter)
    return saver | {
        "slack": slack(saver),
        "hurt": hurts(saver),
        "enter": enter,
        "replans": replans,
    }


class Entered(NamedTuple):
    """Where a change is told to the yard: words, a link, and words."""

    before: str
    link: str = ""
    where: str = ""
    after: str = ""
    replans: bool = True


def entered(kind: str, tag: str | None) -> Entered:
    """Where a change of a kind is told, and whether the plan is to be changed for it then."""
    match Kind[kind.upper()]:
        case Kind.LIFT:
            where = reverse("tell", args=["longer"])
            return Entered("Enter it under", f"{where}#tell-longer", "The lift stays open longer")
        case Kind.LONGER:
            where = reverse("tell", args=["stays"])
            link = f"{where}#tell-stays"
            return Entered("Enter it under", link, "Somebody stays longer", ", a day at a time")
        case Kind.FETCHED:
            return Entered("Say when it comes on", reverse("parts"), "Parts")
        case Kind.BORROWED:
            after = " with the trade, no weekdays, and these hours as longer on single days"
            return Entered("Enter", reverse("new-person"), "somebody new", after)
        case Kind.OWNER:
            link = reverse("ink", args=[tag]) if tag else ""
            asked = "Ask; once the owner has agreed, enter the new day on"
            return Entered(asked, link, "her Ink page", replans=False)
        case Kind.ANEW:
            return Entered(
                "There is nothing to enter;",
                reverse("spring"),
                "plan the spring anew",
                replans=False,
            )
        case Kind.ELSEWHERE:
            says = (
                "It can’t be entered, since the plan knows our own lifts alone: arrange it and "
                "keep it by hand"
            )
            return Entered(says, replans=False)
