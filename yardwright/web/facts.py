"""The fact book as pages: every reference value with its source; where two conflict, the yard chooses."""

from dataclasses import asdict, dataclass
from uuid import uuid4

from django import forms
from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright import refdata
from yardwright.calc.counting import count
from yardwright.fleet import queries as fleet
from yardwright.papers.day_sheet import Column, DaySheet, Kind, Section, day_sheet
from yardwright.papers.paper import Paper
from yardwright.procedures.quantities import quantity
from yardwright.season import fact_book
from yardwright.season import model as season
from yardwright.season.fact_book import Group
from yardwright.sums import sums
from yardwright.work import queries, services
from yardwright.work.facts import Entry
from yardwright.work.words import limit_words
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, form_page, who
from yardwright.yard.forms.fields import YardForm
from yardwright.yard.refused import Refused
from yardwright.yard.rights import may
from yardwright.yard.services import MANAGES


class ChoiceForm(YardForm):
    """Which of conflicting sources the yard goes by, and why."""

    uuid = forms.UUIDField(widget=forms.HiddenInput)
    what = forms.CharField(widget=forms.HiddenInput)
    row = forms.CharField(label="The yard goes by")
    reason = forms.CharField(label="Why", max_length=300)


@login_required
@require_GET
def topics(request: HttpRequest) -> HttpResponse:
    """All topics, and the rows in which some words stand."""
    asked = " ".join(request.GET.get("q", "").split())
    found = fact_book.found(asked, queries.chosen()) if asked else ()
    tables = [
        {
            "name": name,
            "title": fact_book.title(name),
            "rows": len(rows := [*refdata.rows(name).values()]),
            "memory": sum(row.trust == "from memory" for row in rows),
            "conflicts": sum(group.conflicts for group in fact_book.topic(name)),
        }
        for name in refdata.names()
    ]
    context = {
        "topics": tables,
        "asked": asked,
        "groups": found,
        "rows": sum(len(group.facts) for group in found),
        "limits": len(fleet.limits()),
    }
    return render(request, "facts.html", context)


@login_required
@form_page
def topic(request: HttpRequest, topic: str) -> HttpResponse:
    """One topic: each row with its source; where some conflict, who may settle the yard chooses."""
    if topic not in refdata.names():
        raise Http404(f"There is no topic {topic}.")
    if request.method == "GET":
        return _topic(request, topic)
    form = ChoiceForm(request.POST)
    if not form.is_valid():
        return _topic(request, topic, form, "Choose a source, and say why.", status=WRONG)
    given = form.cleaned_data
    if given["what"] not in {group.what for group in fact_book.topic(topic)}:
        raise Http404(f"There is no {given['what']} in {topic}.")
    entry = Entry(given["uuid"], who(request), clock.now())
    try:
        services.choose(entry, given["what"], given["row"], given["reason"])
    except Refused as refused:
        return _topic(request, topic, form, str(refused), status=REFUSES)
    return redirect(f"{reverse('facts-of', args=[topic])}#{given['row']}")


def _topic(
    request: HttpRequest,
    name: str,
    form: ChoiceForm | None = None,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "name": name,
        "title": fact_book.title(name),
        "groups": [
            (group, [one for one in sums().values() if one.by and one.by.of == group.what])
            for group in fact_book.topic(name, queries.chosen())
        ],
        "may_choose": may(who(request), MANAGES),
        "form": form,
        "uuid": uuid4(),
        "refused": refused,
    }
    return render(request, "facts_of.html", context, status=status)


@login_required
@require_GET
def topic_paper(request: HttpRequest, topic: str) -> HttpResponse:
    """One topic on paper."""
    if topic not in refdata.names():
        raise Http404(f"There is no topic {topic}.")
    address = request.build_absolute_uri(reverse("facts-of", args=[topic]))
    columns = (Column("what", Kind.NAME, 1.4), Column("value", wide=1.4), Column("source", wide=2))
    groups = fact_book.topic(topic, queries.chosen())
    rows = tuple(
        (f"{fact.tells}{f' ({fact.stands})' if fact.stands else ''}", fact.value, _source(fact))
        for group in groups
        for fact in group.facts
    )
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title=f"Facts: {fact_book.title(topic)}",
        day=clock.today(),
        say=_sentence(groups),
        sections=(Section("Rows", columns=columns, rows=rows),),
        address=address,
    )
    letter = request.GET.get("paper", "").lower().endswith("letter")
    printed = day_sheet(sheet, Paper.LETTER if letter else Paper.A4)
    return HttpResponse(printed, content_type="application/pdf")


def _source(fact: fact_book.Fact) -> str:
    return f"{fact.evidence} Why: {fact.why}" if fact.why else fact.evidence


def _sentence(groups: tuple[Group, ...]) -> str:
    rows = [fact.row for group in groups for fact in group.facts]
    memory = sum(row.trust == "from memory" for row in rows)
    told = count(len(rows), "row")
    return f"{told}, {memory} of them from memory." if memory else f"{told}, none from memory."


@dataclass(frozen=True, slots=True)
class Filed:
    """A limit of the yard's own, in words."""

    quantity: str
    limit: str
    source: str
    page: str


@login_required
@require_GET
def limits(request: HttpRequest) -> HttpResponse:
    """The limits that the yard filed itself, by whose they are: no maker's value comes with the product."""
    filed: dict[str, list[Filed]] = {}
    for one in sorted(fleet.limits(), key=_whose):
        words = limit_words(asdict(one))
        row = Filed(quantity(one.quantity).name, words, one.source, one.page)
        filed.setdefault(_whose(one), []).append(row)
    return render(request, "filed_limits.html", {"filed": filed})


def _whose(limit: season.Limit) -> str:
    if limit.boat:
        return f"{limit.boat} alone"
    return f"Every boat with the engine {limit.engine}" if limit.engine else "All boats"
