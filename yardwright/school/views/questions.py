"""Questions made from the book and the facts: one at a time, and as a set on paper."""

from collections.abc import Iterator
from random import SystemRandom
from urllib.parse import urlencode

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.papers.day_sheet import Column, DaySheet, Section
from yardwright.papers.day_sheet import Kind as Holds
from yardwright.procedures.questions import About, Question, question_set
from yardwright.school import services
from yardwright.school.forms import SETS, ChosenForm, SetForm
from yardwright.school.queries import teaches
from yardwright.yard import clock
from yardwright.yard.asked import WRONG, form_page, printed, typed, who

MANY = 10
LETTERS = "abcd"


@login_required
@form_page
def questions(request: HttpRequest) -> HttpResponse:
    asked = SetForm(request.GET)
    given = asked.cleaned_data if asked.is_valid() else {}
    if not given.get("of_set"):
        query = {"of_set": SystemRandom().randint(1, SETS), "about": given.get("about", "")}
        return redirect(f"{reverse('questions')}?{urlencode(query)}")
    some = _set(given)
    n = min(given["n"] or 1, len(some))
    form, context = ChosenForm(typed(request)), _context(asked, some, n)
    if request.method == "POST":
        if not form.is_valid():
            context["form"] = form
            return render(request, "question.html", context, status=WRONG)
        sent, question = form.cleaned_data, some[n - 1]
        right = services.answer(
            who(request), sent["uuid"], given["of_set"], given["about"], question, sent["chosen"]
        )
        context |= {"answered": True, "chosen": sent["chosen"], "right": right}
    return render(request, "question.html", context)


def _set(given: dict[str, object]) -> tuple[Question, ...]:
    about = About(str(given["about"])) if given.get("about") else None
    return question_set(int(str(given["of_set"])), MANY, about)


def _context(asked: SetForm, some: tuple[Question, ...], n: int) -> dict[str, object]:
    given = asked.cleaned_data
    query = {"of_set": given["of_set"], "about": given["about"]}
    return {
        "question": some[n - 1],
        "n": n,
        "many": len(some),
        "here": f"?{urlencode(query | {'n': n})}",
        "next": f"?{urlencode(query | {'n': n + 1})}" if n < len(some) else "",
        "paper": f"{reverse('questions-paper')}?{urlencode(query)}",
        "sorts": [one.value for one in About],
        "about": given["about"],
        "form": ChosenForm(),
    }


@login_required
@require_GET
def questions_paper(request: HttpRequest) -> HttpResponse:
    """A set to hand out; for who teaches with its answers."""
    asked = SetForm(request.GET)
    if not asked.is_valid() or not asked.cleaned_data["of_set"]:
        return redirect("questions")
    some = _set(asked.cleaned_data)
    number = asked.cleaned_data["of_set"]
    columns = (Column("", wide=0.1), Column("", Holds.NAME, 1))
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title=f"Questions, set {number}",
        day=clock.today(),
        say="One answer to each is right.",
        sections=(
            *(
                Section(
                    f"{n}. {one.asks}",
                    columns=(Column("", Holds.TICK), *columns),
                    rows=tuple(zip(LETTERS, one.choices, strict=False)),
                )
                for n, one in enumerate(some, 1)
            ),
            *(_answers(some) if teaches(who(request)) else ()),
        ),
        address=request.build_absolute_uri(f"{reverse('questions')}?of_set={number}"),
    )
    return printed(request, sheet, f"questions-{number}")


def _answers(some: tuple[Question, ...]) -> Iterator[Section]:
    """For who teaches; on a page of their own."""
    yield Section(
        "Answers",
        columns=(
            Column("", Holds.NAME, 0.3),
            Column("right", wide=2),
            Column("why, and where it stands", wide=3),
        ),
        rows=tuple(
            (
                f"{n} {LETTERS[one.right]}",
                one.choices[one.right],
                f"{one.why} {one.source}",
            )
            for n, one in enumerate(some, 1)
        ),
        own_page=True,
    )
