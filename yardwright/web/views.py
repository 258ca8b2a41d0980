"""Pages that compose the slices: Morning Sheet, Boat Page, Row Map, and their paper twins."""

from datetime import date
from uuid import uuid4

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.fleet import queries as fleet
from yardwright.launch import queries as launch
from yardwright.launch import strip
from yardwright.launch.forms import DayForm
from yardwright.papers.day_sheet import DaySheet, day_sheet
from yardwright.papers.paper import Paper
from yardwright.procedures.land_check import COVER
from yardwright.web import sheets, water_way
from yardwright.web.boat_page import boat_page
from yardwright.web.morning import Morning, morning
from yardwright.web.now import who_is_where
from yardwright.web.rows import order_on
from yardwright.work import queries as work
from yardwright.yard import clock
from yardwright.yard.asked import WRONG, Context, answer, who
from yardwright.yard.refused import Refused

DESK_PX, PAPER_PX, PHONE_PX = 1180, 760, 360


@login_required
@require_GET
def morning_sheet(request: HttpRequest) -> HttpResponse:
    sheet = morning(clock.now())
    water, no_water = _water(sheet)
    context = {
        "now": clock.now(),
        "morning": sheet,
        "water": water,
        "narrow": water.drawn("strip-phone", PHONE_PX) if water else None,
        "no_water": no_water,
        "kept_aside": work.kept_aside().count(),
        "savers_uuid": uuid4(),
        "who_is_where": who_is_where(clock.now()),
    }
    return render(request, "morning_sheet.html", context)


@login_required
@require_GET
def morning_sheet_paper(request: HttpRequest) -> HttpResponse:
    address = request.build_absolute_uri(reverse("morning-sheet"))
    sheet = morning(clock.now())
    water, _ = _water(sheet, PAPER_PX)
    name = clock.the_yard().name
    drawn = water.drawing if water else None
    if water and drawn:
        drawn = drawn._replace(sentence=f"{drawn.sentence} {water.strip.key}")
    return _paper(request, sheets.morning_sheet(name, sheet, drawn, address))


def _water(sheet: Morning, width: int = DESK_PX) -> tuple[strip.WaterOf | None, str]:
    """Today's water with the launches hung on it, or why it is not known."""
    try:
        return strip.strip_of(sheet.plan, sheet.boats, sheet.today, width=width), ""
    except Refused as refused:
        return None, str(refused)


@login_required
@require_GET
def row_map(request: HttpRequest) -> HttpResponse:
    """As the boats stand now; with ``day`` as the plan will have left them on its evening."""
    day, wrong = _evening(request)
    context: Context = {
        "shown": order_on(day, DESK_PX),
        "paper": reverse("row-map-paper") + (f"?day={day}" if day else ""),
        "wrong": wrong,
        "broken": launch.plan_broken(),
    }
    return answer(request, "row_map.html", context, status=WRONG if wrong else 200)


@login_required
@require_GET
def row_map_paper(request: HttpRequest) -> HttpResponse:
    day, wrong = _evening(request)
    if wrong:
        return HttpResponse(wrong, status=WRONG, content_type="text/plain; charset=utf-8")
    shown = order_on(day, PAPER_PX)
    address = request.build_absolute_uri(reverse("row-map") + (f"?day={day}" if day else ""))
    sheet = sheets.row_sheet(
        clock.the_yard().name, day or clock.today(), shown.yard, shown.sentence, address
    )
    return _paper(request, sheet)


def _evening(request: HttpRequest) -> tuple[date | None, str]:
    """The day whose evening is asked for, None for now; or what is wrong with it."""
    form = DayForm(request.GET)
    form.is_valid()
    day, asked = form.cleaned_data.get("day"), request.GET.get("day", "")
    if not asked:
        return None, ""
    if day is None:
        return None, f"“{asked}” is no day; write it like 2031-05-07. This is how they stand now."
    if day < clock.today():
        return None, f"{day} has passed: the order plays from today on. This is how they stand now."
    return day, ""


@login_required
@require_GET
def boat(request: HttpRequest, tag: str) -> HttpResponse:
    row = get_object_or_404(fleet.boats(), tag=tag.upper())
    written = row.facts.count()  # before: what comes meanwhile is told
    page = boat_page(row, clock.now())
    context = {
        "page": page,
        "boat": page.boat,
        "at_her": fleet.at_her(row, who(request), page.at),
        "written": written,
        "way": water_way.water_way(page),
        "land_way": water_way.land_way(page),
        "cover": COVER,
        "drawing_key": water_way.KEY,
        "good_blue": water_way.GOOD_BLUE,
        "lapses": water_way.LAPSES,
        "weight_percent": round(100 * (page.boat.weight_within or 0)),
    }
    return render(request, "boat.html", context)


@login_required
@require_GET
def boat_paper(request: HttpRequest, tag: str) -> HttpResponse:
    row = get_object_or_404(fleet.boats(), tag=tag.upper())
    address = request.build_absolute_uri(reverse("at-hand", args=[row.tag]))
    name = clock.the_yard().name
    return _paper(request, sheets.boat_sheet(name, boat_page(row, clock.now()), address))


def _paper(request: HttpRequest, sheet: DaySheet) -> HttpResponse:
    """A4 unless Letter is asked for."""
    letter = request.GET.get("paper", "").lower().endswith("letter")
    printed = day_sheet(sheet, Paper.LETTER if letter else Paper.A4)
    return HttpResponse(printed, content_type="application/pdf")
