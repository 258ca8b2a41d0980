"""What would save the promises in danger: asked for, watched, stopped, and read."""

from collections.abc import Iterator, Mapping
from datetime import date, datetime
from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.launch import queries, services
from yardwright.launch.enter_saver import entered
from yardwright.launch.forms import SaversForm
from yardwright.launch.sheets import broken_plan
from yardwright.launch.views.working import polled, progress
from yardwright.papers.day_sheet import Column, DaySheet, Kind, Section
from yardwright.plan.spoken import spoken
from yardwright.season.saver_words import hurts, slack
from yardwright.season.zone import said_day
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, form_page, is_fragment, printed, who
from yardwright.yard.models import Job
from yardwright.yard.refused import Refused

NOBODY = "Nobody has looked for savers yet."
NOT_OVER = "The look for savers is not over yet."
ENDED = "The look for savers ended early; nothing of it is kept."
SURE = "Every Ink still to come is 90 % sure or better."
NOT_JUDGED = "No Ink that can be judged is in danger."
MAY_BE = "It ended before all was tried: there may be a better one."
MENDED = (
    "The published plan no longer fits the yard as it stands; this goes by the smallest change of it. "
    "Plan again."
)


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


def _context() -> dict[str, Any]:
    job = queries.newest_job(queries.SAVERS)
    context = progress(job) | {"form": SaversForm(auto_id=False)}
    found = job.answer if job and job.state == Job.State.DONE else None
    if not found or "refused" in found:
        return context | {"found": found}
    boats, old = _shown(found), queries.out_of_date(found)
    return context | {
        "found": found,
        "old": f"{old} Look again before you rely on this." if old else "",
        "mended": MENDED if found.get("mended") else "",
        "boats": boats,
        "none": "" if boats else NOT_JUDGED if found["unknown"] or found["missed"] else SURE,
        "not_known": [*_not_known(found)],
        "missed": [f"{boat}: her day has passed; call her owner." for boat in found["missed"]],
        "others": [
            one | {"spoken": spoken(one["odds"])} for one in found["promises"] if one["in_ink"]
        ],
        "may_be": MAY_BE,
        "worked_out": _worked_out(found, job),
    }


def _not_known(found: Mapping[str, Any]) -> Iterator[str]:
    for boat, why in found["unknown"].items():
        yield f"{boat}: her Ink can’t be judged, {why}."
    for boat in found["not_reached"]:
        yield f"{boat}: not looked at, it ended before; ask for her alone."


def _worked_out(found: Mapping[str, Any], job: Job | None) -> str:
    at = datetime.fromisoformat(found["asked_at"]).astimezone(clock.zone())
    whom = f" for {job.asked_by}" if job and job.asked_by else ""
    return (
        f"Worked out {said_day(at.date())} {at:%H:%M}{whom} from {found['seasons']} seasons, each lived "
        "through by the published plan; all savers in the same ones."
    )


def _shown(found: dict[str, Any]) -> list[dict[str, Any]]:
    """Each boat's savers as rows, the one worth doing apart."""
    sure, tag = {one["boat"]: one["odds"] for one in found["promises"]}, queries.tags()
    shown = []
    for one in found["boats"]:
        rest = [_row(saver, tag.get(one["boat"])) for saver in one["savers"]]
        worth = None if one["worth"] is None else rest.pop(one["worth"])
        hers = one | {"worth": worth, "rest": rest, "tag": tag.get(one["boat"])}
        promise = f"{'Ink' if one['in_ink'] else 'Pencil'} {one['day']}"
        told = f"{promise}, {spoken(sure[one['boat']])} by this plan"
        shown.append(hers | {"told": told, "nothing": _nothing(hers)})
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


def _nothing(one: Mapping[str, Any]) -> str:
    """What is said where no saver is worth doing."""
    if one["worth"]:
        return ""
    if one["stopped"]:
        return "It ended before all that the yard itself could do was tried; ask for her alone."
    owner = "; her owner could be asked" if one["rest"] else ""
    return f"Nothing that the yard could do makes it surer{owner}."


@login_required
@require_GET
def savers_paper(request: HttpRequest) -> HttpResponse:
    context = _context()
    if not context.get("boats"):
        job = context["job"]
        refused = (context["found"] or {}).get("refused", "")
        over = ENDED if job and not context["working"] else NOBODY
        say = refused or context.get("none") or (NOT_OVER if context["working"] else over)
    else:
        say = f"What the yard could do for {', '.join(one['boat'] for one in context['boats'])}."
    known = (context.get("old"), say, context.get("mended"))
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title="What would save a promise?",
        day=clock.today(),
        say=" ".join(filter(None, known)),
        sections=(*broken_plan(queries.plan_broken()), *_parts(context)),
        address=request.build_absolute_uri(reverse("savers")),
    )
    return printed(request, sheet, "savers")


def _parts(context: Mapping[str, Any]) -> Iterator[Section]:
    for one in context.get("boats", ()):
        yield _hers(one)
    told = [*context.get("not_known", ()), *context.get("missed", ())]
    told += [words for one in context.get("boats", ()) for words in one["not_reached"]]
    if told:
        rows = tuple((words,) for words in told)
        yield Section("Not known, not reached, or missed", "", (Column("what", wide=1),), rows)
    if others := context.get("others"):
        yield Section(
            "How sure each Ink is",
            context["worked_out"],
            (Column("boat", Kind.NAME, 1), Column("promised", wide=1), Column("how sure", wide=1)),
            tuple(
                (one["boat"], said_day(date.fromisoformat(one["promised"])), one["spoken"])
                for one in others
            ),
        )


def _hers(one: Mapping[str, Any]) -> Section:
    every = [*filter(None, (one["worth"],)), *one["rest"]]
    said = [f"{one['told']}.", one["nothing"], MAY_BE if one["stopped"] else ""]
    return Section(
        one["boat"],
        " ".join(filter(None, said)) if every else one["told"],
        (
            Column("", Kind.TICK),
            Column("could be done", Kind.NAME, 3),
            Column("how sure then", wide=1.2),
            Column("asks for", wide=1.6),
            Column("water to spare", wide=1.1),
            Column("whom it hurts", wide=1.4),
        ),
        tuple(
            (
                f"{'Worth doing: ' if saver is one['worth'] else ''}{saver['words']}",
                saver["spoken"],
                saver["cost"],
                saver["slack"],
                saver["hurt"],
            )
            for saver in every
        ),
        empty=one["nothing"],
    )
