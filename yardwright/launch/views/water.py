"""The Water Strip: when which boat can float, with the lifts hung on the tide."""

from datetime import date, timedelta
from urllib.parse import urlencode

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.launch import queries, strip
from yardwright.launch.forms import DayForm
from yardwright.yard import clock
from yardwright.yard.refused import Refused

DESK_PX, PHONE_PX = 1180, 360


@login_required
@require_GET
def water_strip(request: HttpRequest) -> HttpResponse:
    form = DayForm(request.GET)
    form.is_valid()
    day = form.cleaned_data.get("day") or clock.today()
    days = form.cleaned_data.get("days") or 1
    over = day + timedelta(days=days) <= clock.today()
    broken = () if over else queries.plan_broken()
    context = {"day": day, "days": days, "broken": broken, **_beside(day, days)}
    try:
        water = strip.strip(day, days)
    except Refused as refused:
        return render(request, "water.html", context | {"not_known": str(refused)})
    now, last = clock.now(), day + timedelta(days=days)
    today = day <= now.date() < last
    context |= {
        "water": water,
        "narrow": water.drawn("strip-phone", PHONE_PX),
        "today": today,
        "high": water.strip.high_after(now if today else water.strip.curve[0][0]),
        "goes_in": sorted(
            (
                one.launch
                for one in water.lines
                if one.launch and day <= one.launch.starts.date() < last
            ),
            key=lambda go: go.starts,
        ),
        "stopped": [one.water for one in water.lines if one.water.refused],
    }
    return render(request, "water.html", context)


def _beside(day: date, days: int) -> dict[str, object]:
    """Links to the days before and after, and between a day and its week."""

    def link(to: date, count: int) -> str:
        query = {"day": to.isoformat()} | ({"days": str(count)} if count > 1 else {})
        return f"{reverse('water-strip')}?{urlencode(query)}"

    step = timedelta(days=days)
    return {
        "before": day - step,
        "after": day + step,
        "before_link": link(day - step, days),
        "after_link": link(day + step, days),
        "other_link": link(day, 1 if days > 1 else strip.WEEK),
    }
