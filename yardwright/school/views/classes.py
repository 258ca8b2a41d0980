"""Classes, their term, and the practice boats."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from yardwright.papers.day_sheet import Column, DaySheet, Section
from yardwright.papers.day_sheet import Kind as Holds
from yardwright.procedures.steps import book
from yardwright.school import queries, services
from yardwright.school.forms import CallOffForm, ClassForm, DateForm, PracticeBoatForm
from yardwright.school.models import ClassGroup, PracticeBoat
from yardwright.school.queries import DateOf
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, Context, answered, form_page, printed, typed, who
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused

TERM = (
    Column("day", Holds.NAME, 1),
    Column("from, to", wide=0.8),
    Column("what is learnt", wide=2),
    Column("where", wide=1),
    Column("away", wide=1),
    Column("who was there", Holds.WRITE, 1.4),
)


@login_required
@require_GET
def school(request: HttpRequest) -> HttpResponse:
    me = who(request)
    groups, teaches = queries.groups_of(me), queries.teaches(me)
    people = [me, *Person.objects.filter(works_here=True, learner=True).exclude(pk=me.pk)]
    right = queries.answers(people if teaches else [me])
    context = {
        "groups": groups,
        "rounds": queries.open_rounds(groups),
        "teaches": teaches,
        "boats": PracticeBoat.objects.prefetch_related("rounds") if teaches else (),
        "answers": [(one, *right[one.pk]) for one in people if one.pk in right],
    }
    return render(request, "school.html", context)


@login_required
@form_page
def new_class(request: HttpRequest) -> HttpResponse:
    form, by = ClassForm(typed(request)), who(request)

    def deed() -> str:
        given = form.cleaned_data
        group = services.make_class(
            by, given["name"], list(given["learners"]), given["begins"], given["ends"]
        )
        return reverse("class", args=[group.pk])

    context: Context = {"title": "A class", "does": "Make the class"}
    return answered(request, form, deed, reverse("school"), context)


@login_required
@form_page
def new_practice_boat(request: HttpRequest) -> HttpResponse:
    form, by = PracticeBoatForm(typed(request)), who(request)

    def deed() -> str:
        boat = services.make_boat(by, form.cleaned_data["name"], form.cleaned_data["like"])
        return reverse("plant", args=[boat.pk])

    context: Context = {
        "title": "A practice boat",
        "lead": "Not a real boat on any list: what happens on her stays in the school.",
        "does": "Make her",
    }
    return answered(request, form, deed, reverse("school"), context)


@login_required
@form_page
def class_(request: HttpRequest, pk: int) -> HttpResponse:
    group, me = _group_of(request, pk), who(request)
    form, here = DateForm(typed(request)), reverse("class", args=[pk])

    def deed() -> None:
        given = form.cleaned_data
        day = services.Date(
            given["uuid"],
            given["starts"],
            given["minutes"],
            given["what"],
            given["where"],
            given["step"],
            given["boat"],
        )
        services.set_date(me, group, day)

    context: Context = {
        "group": group,
        "learners": group.learners.order_by("name"),
        "dates": queries.dates_of(group),
        "titles": {step.code: step.title for step in book().steps},
        "rounds": group.rounds.select_related("boat"),
        "teaches": queries.teaches(me),
    }
    return answered(request, form, deed, here, context, "class.html")


@login_required
@require_POST
def call_off(request: HttpRequest, pk: int) -> HttpResponse:
    form, me = CallOffForm(request.POST), who(request)
    group = _group_of(request, pk)
    if form.is_valid() and form.cleaned_data["meeting"].group_id == group.pk:
        try:
            services.call_off(me, form.cleaned_data["meeting"])
        except Refused as refused:
            return HttpResponse(str(refused), status=REFUSES, content_type="text/plain")
    return redirect("class", pk=pk)


@login_required
@require_GET
def class_paper(request: HttpRequest, pk: int) -> HttpResponse:
    group = _group_of(request, pk)
    dates = [one for one in queries.dates_of(group) if one.meeting.off_at is None]
    names = ", ".join(one.name for one in group.learners.order_by("name"))
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title=f"Term of {group.name}",
        day=clock.today(),
        say=f"{group.teacher} teaches {names}.",
        sections=(
            Section("Dates", columns=TERM, rows=tuple(map(_row, dates)), empty="None is set."),
        ),
        address=request.build_absolute_uri(reverse("class", args=[pk])),
    )
    return printed(request, sheet, f"class-{pk}")


def _row(one: DateOf) -> tuple[str, str, str, str, str]:
    starts = one.meeting.starts
    hours = f"{starts:%H:%M} to {one.ends:%H:%M}"
    what = one.meeting.what + (f", on {one.meeting.boat}" if one.meeting.boat else "")
    return (
        f"{starts:%a} {starts.day} {starts:%b}",
        hours,
        what,
        one.meeting.where,
        ", ".join(one.away) or "–",
    )


def _group_of(request: HttpRequest, pk: int) -> ClassGroup:
    """One of those that whoever asks may see."""
    seen = [group.pk for group in queries.groups_of(who(request))]
    return get_object_or_404(ClassGroup.objects.filter(pk__in=seen), pk=pk)
