"""Taking a reading, its verdict with all it rests on, and the limits it is held against."""

from collections.abc import Mapping
from dataclasses import asdict
from typing import Any
from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.views.decorators.http import require_GET
from django_htmx.http import HttpResponseClientRedirect

from yardwright.calc.units import say
from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.procedures.quantities import Condition, Quantity, Values, quantities, quantity
from yardwright.season.model import Right
from yardwright.work import queries, services, verdicts, words
from yardwright.work.forms.entry import ReasonForm
from yardwright.work.forms.limits import LimitForm
from yardwright.work.forms.readings import MOST_PLACES, USUAL_PLACES, ReadingForm
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard.asked import (
    REFUSES,
    WRONG,
    Context,
    back,
    back_or,
    form_page,
    is_fragment,
    who,
)
from yardwright.yard.refused import Refused
from yardwright.yard.rights import may

MOST_BESIDE = 8
AS_TYPED = "as typed"  # a phone read it back to the person already


@login_required
@require_GET
def readings(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    facts = queries.story([boat])[boat.pk]
    year = clock.today().year
    now = [one for one in verdicts.judged(facts) if one.holds or one.reading.done_at.year == year]
    shown = {one.reading.pk for one in now}
    earlier = [one for one in verdicts.all_judged(facts) if one.reading.pk not in shown]
    context = {
        "boat": boat,
        "now": [_row(one) for one in now],
        "earlier": [_row(one) for one in reversed(earlier)],
        "held": sum(one.holds for one in now),
        "year": year,
    }
    return render(request, "readings.html", context)


def _row(one: verdicts.Judged) -> Context:
    said = one.judged.body
    return {
        "one": one,
        "values": words.read_values(one.reading),
        "limit": words.limit_words(said["limit"]),
        "why": said["reasons"][0]["words"],
    }


def _asked_for(request: HttpRequest) -> Quantity | None:
    code = request.GET.get("quantity", "")
    return quantity(code) if code in quantities() else None


@login_required
@form_page
def new_reading(request: HttpRequest, tag: str) -> HttpResponse:
    boat, of = boat_of(tag), _asked_for(request)
    if of is None:
        context = {"boat": boat, "quantities": quantities().values(), "back": back(request)}
        return render(request, "which_reading.html", context)
    places = _places(request)
    if request.method == "GET":
        where = {"where": request.GET.get("where", "")}
        return _new_reading(request, boat, of, ReadingForm(of, places, initial=where))
    form = ReadingForm(of, places, request.POST)
    if not form.is_valid():
        status = 200 if is_fragment(request) and "keep" not in request.POST else WRONG
        return _new_reading(request, boat, of, form, status=status)
    if request.POST.get("keep") not in (form.all_told, AS_TYPED):  # not yet said yes to
        return _new_reading(request, boat, of, form)
    return _keep(request, boat, of, form)


def _places(request: HttpRequest) -> int:
    asked = request.GET.get("places", "")
    return int(asked) if asked.isdecimal() and 1 <= int(asked) <= MOST_PLACES else USUAL_PLACES


def _keep(request: HttpRequest, boat: Boat, of: Quantity, form: ReadingForm) -> HttpResponse:
    by = who(request)
    read, typed = form.reading(by), "; ".join(one.typed for one in form.typed)
    try:
        taken, _ = services.read(form.entry(by), boat, read, typed)
    except Refused as refused:
        return _new_reading(request, boat, of, form, str(refused), REFUSES)
    then = reverse("reading", args=[taken.pk])
    if came_from := back(request):
        then += f"?{urlencode({'back': came_from})}"
    return HttpResponseClientRedirect(then) if is_fragment(request) else redirect(then)


def _new_reading(
    request: HttpRequest,
    boat: Boat,
    of: Quantity,
    form: ReadingForm,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    understood = form.is_bound and form.is_valid()
    said: Mapping[str, Any] | None = (
        verdicts.judgement(boat, form.reading(who(request))).record() if understood else None
    )
    context: Context = {
        "boat": boat,
        "of": of,
        "form": form,
        "places": [] if of.values == Values.ONE else [2, 3, 4, 6, 8, 12],
        "said": said,
        "limit": words.limit_words(said["limit"]) if said else "",
        "u": _u(said) if said else "",
        "beside": _beside(queries.story([boat])[boat.pk], of.code),
        "back": back(request),
        "query": request.GET.urlencode(),
        "refused": refused,
    }
    template = "_understood.html" if is_fragment(request) else "new_reading.html"
    return render(request, template, context, status=status)


@login_required
@form_page
def reading(request: HttpRequest, pk: UUID) -> HttpResponse:
    facts = Fact.objects.select_related("boat", "by")
    taken = get_object_or_404(facts, pk=pk, kind=Kind.READING)
    if request.method == "GET":
        return _reading(request, taken, ReasonForm())
    form = ReasonForm(request.POST)
    if not form.is_valid():
        return _reading(request, taken, form, status=WRONG)
    try:
        _deed(taken, form, request)
    except Refused as refused:
        return _reading(request, taken, form, str(refused), REFUSES)
    return back_or(request, form.cleaned_data["uuid"], reverse("reading", args=[pk]))


def _deed(taken: Fact, form: ReasonForm, request: HttpRequest) -> None:
    entry, reason = form.entry(who(request)), form.cleaned_data["reason"]
    match form.cleaned_data["deed"]:
        case ReasonForm.REPAIR:
            services.repair(entry, taken, reason)
        case ReasonForm.JUDGE:
            services.judge_again(entry, taken)
        case _:
            services.clear(entry, taken, reason)


def _reading(
    request: HttpRequest, taken: Fact, form: ReasonForm, refused: str = "", status: int = 200
) -> HttpResponse:
    assert taken.boat is not None  # noqa: S101  # a reading is a boat's
    facts = queries.story([taken.boat])[taken.boat.pk]
    mine = next((one for one in verdicts.all_judged(facts) if one.reading.pk == taken.pk), None)
    stands = mine is not None and mine.reading.pk in {
        one.reading.pk for one in verdicts.judged(facts)
    }
    of, by = quantity(taken.what), who(request)
    context: Context = {
        "boat": taken.boat,
        "taken": taken,
        "of": of,
        "values": words.read_values(taken),
        "mine": mine,
        "said": mine.judged.body if mine else None,
        "limit": words.limit_words(mine.judged.body["limit"]) if mine else "",
        "u": _u(mine.judged.body) if mine else "",
        "stands": stands,
        "holds": stands and mine is not None and mine.holds,
        "only_repair": mine is not None and mine.only_repair,
        "repairs": [f for f in facts if f.of_id == taken.pk and f.kind == Kind.DONE],
        "verdicts": [
            (f, words.limit_words(f.body["limit"]))
            for f in facts
            if f.of_id == taken.pk and f.kind == Kind.JUDGED
        ],
        "conditions": [(one.question, _told(taken, one)) for one in of.conditions],
        "beside": _beside(facts, taken.what, but=taken.pk),
        "struck": Fact.objects.filter(kind=Kind.STRUCK_OUT, of=taken).first(),
        "may_clear": may(by, Right.CLEAR),
        "back": back(request),
        "form": form,
        "refused": refused,
    }
    return render(request, "reading.html", context, status=status)


def _u(said: Mapping[str, Any]) -> str:
    """The widest uncertainty of its values, with the limit's own."""
    return say(max(said["u"]), said["unit"]) if said["u"] else ""


def _told(taken: Fact, one: Condition) -> str:
    told = taken.body["conditions"].get(one.code)
    if told is None:
        return "not told"
    if one.unit:
        return say(told, one.unit)
    return {True: "yes", False: "no"}.get(told, str(told))


def _beside(facts: list[Fact], code: str, but: UUID | None = None) -> list[Context]:
    """The same quantity read on her before, and at her other places: the newest first."""
    others = [one for one in verdicts.all_judged(facts) if one.reading.what == code]
    return [
        {"one": one, "values": words.read_values(one.reading)}
        for one in reversed(others)
        if one.reading.pk != but
    ][:MOST_BESIDE]


@login_required
@form_page
def new_limit(request: HttpRequest) -> HttpResponse:
    of = _asked_for(request)
    boat = boat_of(tag) if (tag := request.GET.get("boat", "")) else None
    if of is None:
        context = {"boat": boat, "quantities": quantities().values()}
        return render(request, "which_limit.html", context)
    name, engine = (boat.name, boat.engine) if boat else ("", "")
    engines = [] if boat else queries.engines()
    if request.method == "GET":
        return _new_limit(request, of, boat, LimitForm(of, name, engine, engines))
    form = LimitForm(of, name, engine, engines, request.POST)
    if not form.is_valid():
        return _new_limit(request, of, boat, form, status=WRONG)
    try:
        services.file_limit(form.cleaned_data["uuid"], who(request), form.filed())
    except Refused as refused:
        form.renew()
        return _new_limit(request, of, boat, form, str(refused), REFUSES)
    return redirect("readings", tag=boat.tag) if boat else redirect("new-limit")


def _new_limit(
    request: HttpRequest,
    of: Quantity,
    boat: Boat | None,
    form: LimitForm,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    context = {
        "of": of,
        "boat": boat,
        "form": form,
        "refused": refused,
        "on_file": [
            (limit, words.limit_words(asdict(limit)), words.besides_words(asdict(limit)))
            for limit in fleet.limits()
            if limit.quantity == of.code
        ],
    }
    return render(request, "new_limit.html", context, status=status)
