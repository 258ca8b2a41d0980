"""Day sheets: each person's day by the plan that holds, the whole yard's, and both on paper."""

from collections.abc import Callable, Iterator
from datetime import date, timedelta

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.launch import queries as launch
from yardwright.launch.forms import DayForm
from yardwright.papers.day_sheet import Column, DaySheet, Kind, Section, day_sheet
from yardwright.papers.paper import MissingLetterError
from yardwright.season.causes import Broken
from yardwright.season.day import not_as_usual
from yardwright.web.sheets import NO_LAND_START
from yardwright.web.whose_day import Day, Item, Lifting, Sheet, day_of
from yardwright.web.yards_round import section
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard.asked import REFUSES, WRONG, who
from yardwright.yard.forms.paper import PaperForm
from yardwright.yard.models import Person
from yardwright.yard.rights import may
from yardwright.yard.services import MANAGES

A_DAY = timedelta(days=1)
BROKEN = "The plan no longer holds; ask before you go by it."
NO_PLAN = "No plan is published, so nobody's day is known. Plan the spring first."
WORK = (
    Column("", Kind.TICK),
    Column("when", wide=0.8),
    Column("boat", Kind.NAME, 0.8),
    Column("she stands", wide=1),
    Column("work", wide=1.4),
    Column("what to know", wide=2.4),
)
LIFT = (
    Column("", Kind.TICK),
    Column("when", wide=0.8),
    Column("boat", Kind.NAME, 0.8),
    Column("she stands", wide=1),
    Column("what", wide=1.6),
    Column("she floats", wide=0.8),
    Column("in the slings at", Kind.WRITE, 0.8),
)
STEPS = (
    Column("", Kind.TICK),
    Column("boat", Kind.NAME, 0.6),
    Column("step", wide=1.2),
    Column("what goes back lies", wide=1.1),
    Column("mind", wide=2.2),
    Column("time", Kind.WRITE, 0.5),
)


@login_required
@require_GET
def day_sheets(request: HttpRequest) -> HttpResponse:
    """The whole yard's day."""
    day, wrong = _day(request)
    found = day_of(day)
    context = _beside(day, reverse("day-sheets")) | {
        "found": found,
        "wrong": wrong,
        "broken": _broken(day),
    }
    return render(request, "day_sheets.html", context, status=WRONG if wrong else 200)


@login_required
@require_GET
def person_day(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Person, pk=pk)
    day, wrong = _day(request)
    found = day_of(day, person)
    context = _beside(day, reverse("day", args=[pk])) | {
        "of": person,
        "sheet": found.of(person) if found else None,
        "found": found,
        "wrong": wrong,
        "broken": _broken(day),
        "unusual": _not_as_usual(person, day),
        "now": clock.now(),
        "may_calendar": person.works_here
        and (who(request) == person or may(who(request), MANAGES)),
        "no_land_start": NO_LAND_START,
    }
    return render(request, "person_day.html", context, status=WRONG if wrong else 200)


def _day(request: HttpRequest) -> tuple[date, str]:
    """The day asked for; what can't be read is today, and is said."""
    form = DayForm(request.GET)
    form.is_valid()
    day, asked = form.cleaned_data.get("day"), request.GET.get("day", "")
    wrong = f"“{asked}” is no day; write it like 2031-05-07. This is today." if asked else ""
    return (day, "") if day else (clock.today(), wrong)


def _broken(day: date) -> tuple[Broken, ...]:
    """Why the plan of a day to come no longer holds."""
    return launch.plan_broken() if day >= clock.today() else ()


def _not_as_usual(person: Person, day: date) -> str:
    return not_as_usual(yard.person(person), day)


def _beside(day: date, page: str) -> dict[str, object]:
    return {
        "day": day,
        "today": clock.today(),
        "before": f"{page}?day={day - A_DAY}",
        "after": f"{page}?day={day + A_DAY}",
    }


@login_required
@require_GET
def day_sheets_paper(request: HttpRequest) -> HttpResponse:
    """The lift's sheet and each person's, every one on a page of its own."""

    def sheet(found: Day) -> tuple[str, list[Section]]:
        parts = [*_lift(found.lifts), *section(found.new)]
        for one in found.sheets:
            if one.items:
                note = f"{one.unusual} {one.sentence}".lstrip()
                pk = one.person and one.person.pk
                address = request.build_absolute_uri(reverse("day", args=[pk])) if pk else ""
                parts += _work(one, one.name, note, address, own_page=bool(parts))
        return found.sentence, parts

    return _paper(request, "Day sheets", reverse("day-sheets"), sheet)


@login_required
@require_GET
def person_day_paper(request: HttpRequest, pk: int) -> HttpResponse:
    person = get_object_or_404(Person, pk=pk)

    def sheet(found: Day) -> tuple[str, list[Section]]:
        mine = found.of(person)
        at_work = _work(mine, "Work") if mine.items or not (mine.lifts or mine.new) else ()
        return mine.sentence, [*_lift(mine.lifts), *section(mine.new), *at_work]

    return _paper(request, person.name, reverse("day", args=[pk]), sheet, person)


def _paper(
    request: HttpRequest,
    title: str,
    page: str,
    sheet: Callable[[Day], tuple[str, list[Section]]],
    only: Person | None = None,
) -> HttpResponse:
    form, (day, wrong) = PaperForm(request.GET), _day(request)
    if wrong or not form.is_valid():
        return _no_paper(wrong or str(form.errors["paper"][0]), WRONG)
    found = day_of(day, only)
    if found is None:
        return _no_paper(NO_PLAN, REFUSES)
    say, parts = sheet(found)
    if only and (unusual := _not_as_usual(only, day)):
        say = f"{unusual} {say}"
    if broken := _broken(day):
        more = f" And {len(broken) - 1} more." if len(broken) > 1 else ""
        say = f"{BROKEN} {broken[0]}{more} {say}"
    printed = DaySheet(
        yard=clock.the_yard().name,
        title=title,
        day=day,
        say=say,
        sections=tuple(parts),
        address=request.build_absolute_uri(f"{page}?day={day}"),
        cautions=(NO_LAND_START,),
    )
    try:
        pdf = day_sheet(printed, form.cleaned_data["paper"])
    except MissingLetterError as error:
        return _no_paper(str(error), REFUSES)
    inline = {"Content-Disposition": f'inline; filename="day-{day}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=inline)


def _no_paper(why: str, status: int) -> HttpResponse:
    return HttpResponse(why, status=status, content_type="text/plain; charset=utf-8")


def _lift(lifts: list[Lifting]) -> list[Section]:
    return [Section("The lift", "", LIFT, tuple(map(_lift_row, lifts)))] if lifts else []


def _lift_row(one: Lifting) -> tuple[str, str, str, str, str]:
    fetch = f"; fetch her {one.fetch}" if one.fetch else ""
    water = one.water or "no water needed"
    what = f"{one.why or one.what}{fetch}"
    more = " ".join(filter(None, (*one.shut, one.held.said, one.measure)))
    what = f"{what.rstrip('.')}. {more}" if more else what
    return one.hours, one.boat, one.where, what, water


def _work(
    sheet: Sheet, title: str, note: str = "", address: str = "", *, own_page: bool = False
) -> Iterator[Section]:
    """Somebody's work, then the steps it stands for with what to mind at each."""
    rows = tuple(map(_work_row, sheet.items))
    yield Section(title, note, WORK, rows, "No work by name.", address=address, own_page=own_page)
    steps = tuple(
        (item.job.boat, one.step.title, one.lies, one.step.caution)
        for item in sheet.items
        for one in item.to_do
    )
    if steps:
        yield Section(f"{sheet.name}: step by step", f"Do not {NO_LAND_START}.", STEPS, steps)


def _work_row(item: Item) -> tuple[str, str, str, str, str]:
    job = item.job
    work = [job.what, item.spread, "overtime" if job.overtime else "", item.beside]
    goes = item.goes_in and f"She goes in {item.goes_in.starts:%H:%M}."
    held = [f"Held by a reading: {why}" for why in item.holds]
    part = f"Bring the part: {item.part}." if item.part else ""
    mind = f"Mind: {item.mind}." if item.mind else ""
    more = [item.done, part, goes or "", *held, item.goes_on, mind]
    return (
        item.stint.hours,
        job.boat,
        item.where,
        "; ".join(filter(None, work)),
        " ".join(filter(None, more)),
    )
