"""Findings: what was found on which boat, what comes of it, and on which other boats to look."""

from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.papers.day_sheet import Column, DaySheet, Section
from yardwright.papers.day_sheet import Kind as Holds
from yardwright.procedures.findings import Came
from yardwright.procedures.step import Season, Step
from yardwright.procedures.steps import steps_for
from yardwright.work import findings as found
from yardwright.work import photos, queries, services
from yardwright.work.findings import Batch
from yardwright.work.forms.findings import THERE, CameForm, FindingForm
from yardwright.work.models import Fact, Kind
from yardwright.work.views.steps import has_of
from yardwright.yard import clock
from yardwright.yard.asked import Context, answered, back_or, form_page, printed, typed, who

A_PAGE = 60


@login_required
@require_GET
def findings(request: HttpRequest) -> HttpResponse:
    page = Paginator(found.findings(), A_PAGE).get_page(request.GET.get("page"))
    context = {"batches": found.batches(), "page": page}
    return render(request, "findings.html", context)


FOUND = (
    Column("found", Holds.NAME, 2),
    Column("on", wide=1),
    Column("engine", wide=1),
    Column("by", wide=0.7),
    Column("when", wide=0.7),
    Column("what comes of it", Holds.WRITE, 1.6),
)


@login_required
@require_GET
def findings_paper(request: HttpRequest) -> HttpResponse:
    batches, all_ = found.batches(), found.findings()
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title="Findings",
        day=clock.today(),
        say=batches[0].sentence if batches else f"{len(all_)} found, none twice on one engine.",
        sections=(
            Section(
                "The same on one kind of engine",
                columns=(Column("", Holds.TICK), Column("", wide=1)),
                rows=tuple((f"{one.sentence} {_where_to_look(one)}",) for one in batches),
                empty="None.",
            ),
            Section("All, the newest first", columns=FOUND, rows=tuple(map(_row, all_[:A_PAGE]))),
        ),
        address=request.build_absolute_uri(reverse("findings")),
    )
    return printed(request, sheet, "findings")


def _where_to_look(one: Batch) -> str:
    others = ", ".join(boat.name for boat in one.others)
    return f"Look at: {others}." if others else ""


def _row(one: Fact) -> tuple[str, str, str, str, str]:
    words = f": {one.body['words']}" if one.body["words"] else ""
    engine, day = one.body["engine"] or "not known", one.done_at.astimezone(clock.zone())
    return f"{one.what}{words}", str(one.boat), engine, one.by.name, f"{day:%d %b %Y}"


@login_required
@form_page
def new_finding(request: HttpRequest, tag: str) -> HttpResponse:
    boat, by = boat_of(tag), who(request)
    asked = {"what": request.GET.get("what", ""), "there": request.GET.get("there", THERE)}
    form = FindingForm(typed(request), initial=asked)

    def deed() -> str:
        given = form.cleaned_data
        fact = services.find(
            form.entry(by), boat, given["what"], there=given["there"] == THERE, words=given["words"]
        )
        return back_or(request, fact.pk, reverse("finding", args=[fact.pk]))["Location"]

    context: Context = {
        "boat": boat,
        "before": found.findings(boat),
        "now": clock.now(),
        "keeps_place": clock.the_yard().photo_place,
    }
    return answered(
        request, form, deed, reverse("boat", args=[boat.tag]), context, "found_new.html"
    )


@login_required
@form_page
def finding(request: HttpRequest, pk: UUID) -> HttpResponse:
    known = queries.standing().filter(kind=Kind.FOUND).select_related("boat", "by")
    one = get_object_or_404(known, pk=pk)
    assert one.boat is not None  # noqa: S101  # a finding is a boat's
    boat, by = one.boat, who(request)
    form = CameForm(_steps_of(boat), typed(request))

    def deed() -> str:
        entry, here = form.entry(by), reverse("finding", args=[pk])
        came = services.come_of(entry, one, form.comes, form.says, form.work())
        return back_or(request, came.pk, here)["Location"]

    context: Context = {
        "one": one,
        "boat": boat,
        "batch": found.batch_of(one),
        "came": found.what_came(one),
        "photos": photos.of_entry(one),
        "step_way": Came.STEP,
        "offer_way": Came.OFFER,
    }
    return answered(request, form, deed, reverse("findings"), context, "finding.html")


def _steps_of(boat: Boat) -> list[Step]:
    """Her steps of the whole year: one that was done may be done again."""
    return [step for season in Season for step in steps_for(has_of(boat), season)]
