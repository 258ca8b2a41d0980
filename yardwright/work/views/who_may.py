"""Who May: who may do and sign what, who is learning it, and how often they were watched."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.papers.day_sheet import Column, DaySheet, Section
from yardwright.papers.day_sheet import Kind as Holds
from yardwright.procedures.minors import LOCAL_LAW, not_for_minors
from yardwright.school import queries as school
from yardwright.season.model import Right
from yardwright.work import competence
from yardwright.work.competence import Learned, Practised
from yardwright.yard import clock
from yardwright.yard.asked import printed, who
from yardwright.yard.models import Person
from yardwright.yard.rights import may
from yardwright.yard.services import MANAGES

SIGNS = {
    Right.PROVE: "Does steps, proves back, looks and reads",
    Right.CLEAR: "Clears a reading, signs a way in off while open, enters what was kept aside",
    Right.WATER: "Puts a boat in the water",
    Right.INK: "Tells an owner a day in Ink; settles the yard and its people",
    Right.MONEY: "Sees money",
    Right.TEACH: "Teaches: classes, practice boats, what is planted on them",
}
MOST = 20
STEPS = (
    Column("step", Holds.NAME, 2),
    Column("stage", wide=0.9),
    Column("done", wide=0.5),
    Column("watched by", wide=1.2),
    Column("last", wide=0.7),
    Column("may do it alone: who signs", Holds.WRITE, 1.2),
)


@login_required
@require_GET
def who_may(request: HttpRequest) -> HttpResponse:
    people = list(Person.objects.filter(works_here=True))
    me = who(request)
    answers = school.answers(people if school.teaches(me) else [me])
    context = {
        "signs": [
            (words, [one for one in people if may(one, right)]) for right, words in SIGNS.items()
        ],
        "watchers": [one for one in people if not one.learner and one.may_watch],
        "learners": [
            (one, *answers.get(one.person.pk, (0, 0)))
            for one in competence.learned(one for one in people if one.learner)
        ],
        "too_many": competence.too_many_at_once()[:MOST],
        "minors": not_for_minors().items(),
        "local_law": LOCAL_LAW,
        "may_settle": may(who(request), MANAGES),
    }
    return render(request, "who_may.html", context)


@login_required
@require_GET
def competence_sheet(request: HttpRequest, pk: int) -> HttpResponse:
    (one,) = competence.learned([get_object_or_404(Person, pk=pk)])
    done = [step for step in one.steps if step.times]
    context = {"one": one, "done": done, "to_do": [s for s in one.steps if not s.times]}
    return render(request, "competence.html", context)


@login_required
@require_GET
def competence_paper(request: HttpRequest, pk: int) -> HttpResponse:
    (one,) = competence.learned([get_object_or_404(Person, pk=pk)])
    address = request.build_absolute_uri(reverse("competence", args=[pk]))
    return printed(request, sheet(one, address), f"competence-{pk}")


def sheet(one: Learned, address: str) -> DaySheet:
    """The competence sheet: what was done, who watched, and a line to sign for each step."""
    done = [step for step in one.steps if step.times]
    still = [step for step in one.watched_steps if not step.times]
    cautions: tuple[str, ...] = ()
    if one.is_minor:
        hazards = ", ".join(not_for_minors())
        cautions = (f"let them do what has to do with {hazards}: under age. {LOCAL_LAW}",)
    return DaySheet(
        yard=clock.the_yard().name,
        title=f"{one.person}: what they can do",
        day=clock.today(),
        say=one.sentence,
        sections=(
            Section("Done", columns=STEPS, rows=tuple(map(_row, done)), empty="No step yet."),
            Section("Watched, and not done yet", columns=STEPS, rows=tuple(map(_row, still))),
        ),
        address=address,
        cautions=cautions,
    )


def _row(one: Practised) -> tuple[str, str, str, str, str]:
    last = f"{one.last.astimezone(clock.zone()):%d %b %Y}" if one.last else "–"
    return one.step.title, one.step.stage, str(one.times or "–"), one.watchers, last
