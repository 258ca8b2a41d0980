"""The Water Strip: when which boat can float, with the lifts hung on the tide."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from urllib.parse import urlencode

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.launch import queries, strip
from yardwright.launch.forms import DayForm
from yardwright.launch.sheets import broken_plan
from yardwright.launch.strip import Line, WaterOf
from yardwright.papers.day_sheet import Column, DaySheet, Kind, Section
from yardwright.papers.drawing import Drawing
from yardwright.season.causes import Broken
from yardwright.season.strip import Strip
from yardwright.yard import clock
from yardwright.yard.asked import printed
from yardwright.yard.refused import Refused

DESK_PX, PHONE_PX, PAPER_PX = 1180, 360, 760
HIGH_PX = 860  # of a drawing that stands on one page with its words
WIND = (
    "go by this curve alone: the tide here is under half a metre, so the wind decides. Read a gauge "
    "before each lift."
)
ALONE = (
    "Astronomy or a printed table alone: wind can hold the water down. Look at the gauge before the "
    "lift. Not for navigation."
)


@login_required
@require_GET
def water_strip(request: HttpRequest) -> HttpResponse:
    day, days = _asked(request)
    context = {
        "day": day,
        "days": days,
        "broken": _broken(day, days),
        "paper": _link("water-paper", day, days),
        **_beside(day, days),
    }
    try:
        water = strip.strip(day, days)
    except Refused as refused:
        return render(request, "water.html", context | {"not_known": str(refused)})
    context |= {
        "water": water,
        "narrow": water.drawn("strip-phone", PHONE_PX),
        "say": _say(water, day, days),
        "key": _key(water.strip),
        "wind": WIND,
        "alone": ALONE,
    }
    return render(request, "water.html", context)


@login_required
@require_GET
def water_paper(request: HttpRequest) -> HttpResponse:
    day, days = _asked(request)
    try:
        water = strip.strip(day, days)
    except Refused as refused:
        say, parts, wind = str(refused), tuple[Section, ...](), False
    else:
        say, parts = _say(water, day, days), tuple(_parts(water))
        wind = water.strip.wind_decides
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title="Water Strip" if days == 1 else f"Water Strip, {days} days",
        day=day,
        say=say,
        sections=(*broken_plan(_broken(day, days)), *parts),
        address=request.build_absolute_uri(_link("water-strip", day, days)),
        cautions=(WIND,) if wind else (),
    )
    return printed(request, sheet, "water")


def _asked(request: HttpRequest) -> tuple[date, int]:
    form = DayForm(request.GET)
    form.is_valid()
    return form.cleaned_data.get("day") or clock.today(), form.cleaned_data.get("days") or 1


def _broken(day: date, days: int) -> tuple[Broken, ...]:
    """Why the plan no longer holds; of days that are over it is not asked."""
    return () if day + timedelta(days=days) <= clock.today() else queries.plan_broken()


def _say(water: WaterOf, day: date, days: int) -> str:
    """The next high water, or the first, who goes in on it, and who can't."""
    now, last = clock.now(), day + timedelta(days=days)
    today = day <= now.date() < last
    high = water.strip.high_after(now if today else water.strip.curve[0][0])
    said = ["No more high water on this strip."]
    if high:
        at = f"{high.at:%a %H:%M}, {high.height_m:.2f} m."
        said = [f"{'Next' if today else 'First'} high water {at}"]
    goes = sorted(
        (
            one.launch
            for one in water.lines
            if one.launch and day <= one.launch.starts.date() < last
        ),
        key=lambda go: go.starts,
    )
    stopped = [one.water for one in water.lines if one.water.refused]
    clock_of = "%a %H:%M" if days > 1 else "%H:%M"
    if goes:
        said.append(", ".join(f"{go.boat} goes in {go.starts:{clock_of}}" for go in goes) + ".")
    elif not stopped:
        said.append("No boat is planned to go in.")
    return " ".join((*said, *(f"{one.name} {one.note}." for one in stopped)))


def _key(of: Strip) -> str:
    """What the marks mean, and where the heights are from."""
    return (
        f"{of.lift_key} Bars: when each boat floats over our sill, with her slings and the yard's margin "
        f"of {clock.the_yard().margin_m:.2f} m. Filled blue: her launch. Hatched: her launch, but her "
        f"lift can't be had. Heights in metres above {of.datum}. From: {of.source}."
    ).lstrip()


def _parts(water: WaterOf) -> Iterator[Section]:
    key = " ".join(filter(None, (_key(water.strip), water.strip.less_sure, ALONE)))
    for drawn in _drawings(water.strip):
        yield Section(water.strip.title, drawing=drawn._replace(sentence=f"{drawn.sentence} {key}"))
    yield Section(
        "When the lift is open",
        "of the lifts that these launches use" if water.other_lifts else "",
        (Column("lift", Kind.NAME, 1), Column("open", wide=4)),
        tuple((name, f"{words}.") for name, words in water.strip.lift_words),
        empty="No lift is on file, so nobody knows when a boat can be lifted.",
    )
    yield Section(
        "When each boat floats",
        "",
        (
            Column("boat", Kind.NAME, 1),
            Column("draft", Kind.NUMBER),
            Column("floats", wide=2.5),
            Column("goes in", wide=1.5),
            Column("gauge, when", Kind.WRITE, 0.8),
        ),
        tuple(map(_row, water.lines)),
        empty="No boat is planned, promised or waiting for the lift in this week.",
    )


def _drawings(of: Strip) -> Iterator[Drawing]:
    """Each stands on one page: where there are too many boats, half of them each."""
    drawn, many = of.drawn("strip", PAPER_PX), len(of.boats)
    if drawn.height <= HIGH_PX or many < 2:
        yield drawn
    else:
        for half in (of.boats[: many // 2], of.boats[many // 2 :]):
            yield from _drawings(replace(of, boats=half))


def _row(one: Line) -> tuple[str, ...]:
    if one.boat.draft_m is None:
        draft, floats = "not known", "not known: measure her draft"
    else:
        spans = (f"{span} ({shut})" if shut else span for span, shut in one.waters)
        draft, floats = f"{one.boat.draft_m:.2f} m", ", ".join(spans) or "not in these hours"
    go = one.launch
    at = f"{go.starts:%a} {go.starts.day} {go.starts:%b %H:%M}–{go.ends:%H:%M}" if go else ""
    return one.boat.name, draft, floats, at or one.water.note or "no day yet"


def _link(page: str, to: date, count: int) -> str:
    query = {"day": to.isoformat()} | ({"days": str(count)} if count > 1 else {})
    return f"{reverse(page)}?{urlencode(query)}"


def _beside(day: date, days: int) -> dict[str, object]:
    """Links to the days before and after, and between a day and its week."""
    step = timedelta(days=days)
    return {
        "before": day - step,
        "after": day + step,
        "before_link": _link("water-strip", day - step, days),
        "after_link": _link("water-strip", day + step, days),
        "other_link": _link("water-strip", day, 1 if days > 1 else strip.WEEK),
    }
