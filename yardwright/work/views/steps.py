"""A boat's steps, and doing one."""

from collections.abc import Mapping

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.procedures.fittings import opened_by
from yardwright.procedures.going_in import State
from yardwright.procedures.quantities import quantity
from yardwright.procedures.step import Has, Season, Step
from yardwright.procedures.steps import book, not_covered, shipped, steps_for
from yardwright.procedures.under_wrap import cuts_the_wrap, draws_the_card
from yardwright.season.freeze import read_at
from yardwright.work import own_steps, put_backs, queries, services
from yardwright.work.forms.steps import StepForm, WorkForm
from yardwright.work.models import Fact, Kind
from yardwright.work.parts import with_parts
from yardwright.work.under_wrap import card_in
from yardwright.yard.asked import (
    REFUSES,
    WRONG,
    Context,
    answer,
    back_or,
    form_page,
    is_fragment,
    who,
)
from yardwright.yard.refused import Refused

IN_FALL = (State.AFLOAT, State.COMING_OUT, State.BLOCKED_UP, State.HANDED_OVER)
BY_SPRING = (Season.SPRING, Season.WINTER, Season.FALL)
BY_FALL = (Season.FALL, Season.WINTER, Season.SPRING)


@login_required
@require_GET
def steps(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    facts = queries.story([boat])[boat.pk]
    done, has = queries.steps_done(facts), has_of(boat)
    seasons = [_season(season, has, done) for season in order_of(facts)]
    now = next((one for one in seasons if one["steps"]), None)
    context = {
        "boat": boat,
        "seasons": [one for one in seasons if one["steps"]],
        "now": now,
        "not_covered": not_covered(has),
    }
    return render(request, "steps.html", context)


def has_of(boat: Boat) -> frozenset[Has]:
    return frozenset(Has(word) for word in boat.has)


def order_of(facts: list[Fact]) -> tuple[Season, ...]:
    """Which season comes first: where she stands says it."""
    moves = [fact for fact in facts if fact.kind in (Kind.MOVED, Kind.LIFTED)]
    return BY_FALL if moves and moves[-1].what in IN_FALL else BY_SPRING


def _season(season: Season, has: frozenset[Has], done: Mapping[str, Fact]) -> Context:
    """Her steps of one season: what is still to do, the next one first; then what is done."""
    hers = steps_for(has, season)
    to_do = [step for step in hers if step.code not in done]
    return {
        "name": season,
        "steps": hers,
        "to_do": to_do,
        "done": [(step, done[step.code]) for step in hers if step.code in done],
        "next": to_do[0] if to_do else None,
    }


@login_required
@form_page
def step(request: HttpRequest, tag: str, code: str) -> HttpResponse:
    boat, one = boat_of(tag), _step_of(code)
    ways = tuple(fleet.barrier(way) for way in boat.ways_in.all())
    if request.method == "GET":
        return _step(request, boat, one, StepForm(one, ways))
    form = StepForm(one, ways, request.POST)
    if not form.is_valid():
        return _step(request, boat, one, form, status=WRONG)
    try:
        entry, took_min = form.entry(who(request)), form.cleaned_data["took_min"]
        services.do_step(entry, boat, one, form.lies, form.fittings, took_min)
    except Refused as refused:
        return _step(request, boat, one, form, str(refused), REFUSES)
    if is_fragment(request):
        return _step(request, boat, one, StepForm(one, ways))
    then = reverse("step", args=[tag, code])
    return back_or(request, form.cleaned_data["uuid"], then)


@login_required
@form_page
def work_done(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    pieces = [piece.what for piece in boat.work.all()]
    if request.method == "GET":
        return _work_done(request, boat)
    form = WorkForm(pieces, request.POST)
    if not form.is_valid():
        refused = " ".join(str(says) for errors in form.errors.values() for says in errors)
        return _work_done(request, boat, refused, WRONG)
    given = form.cleaned_data
    try:
        services.finish_work(form.entry(who(request)), boat, given["what"], given["took_min"])
    except Refused as refusal:
        return _work_done(request, boat, str(refusal), REFUSES)
    return back_or(request, form.cleaned_data["uuid"], reverse("work-done", args=[tag]))


def _work_done(
    request: HttpRequest, boat: Boat, refused: str = "", status: int = 200
) -> HttpResponse:
    done = queries.work_done(queries.story([boat])[boat.pk])
    context = {
        "boat": boat,
        "to_do": [
            (piece, part, WorkForm([]))
            for piece, part in with_parts(boat)
            if piece.what not in done
        ],
        "typed": request.POST,
        "done": done.values(),
        "refused": refused,
    }
    return render(request, "work_done.html", context, status=status)


def _earlier(step: Step, done: Fact | None) -> Step | None:
    """The words that it was done by, where they are others now."""
    if done is None or done.body.get("edition") in (None, "", step.edition):
        return None
    return own_steps.done_by(done)


def _step_of(code: str) -> Step:
    """Also one that the yard left out since: it may have been done."""
    found = own_steps.step_of(book(), code) or own_steps.step_of(shipped(), code)
    if found is None:
        raise Http404(f"No step {code}.")
    return found


def _step(
    request: HttpRequest,
    boat: Boat,
    one: Step,
    form: StepForm,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    facts = queries.story([boat])[boat.pk]
    done, has = queries.steps_done(facts), has_of(boat)
    kinds = book().kinds
    proves = {kinds[code].what.casefold() for code in one.proves}
    left, hers = put_backs.left_undone(boat), steps_for(has, one.season)
    card = card_in(facts)
    context: Context = {
        "boat": boat,
        "step": one,
        "cuts": cuts_the_wrap(one),
        "draws": draws_the_card(one),
        "card": card,
        "card_read": card.read_by(who(request)),
        "form": form,
        "refused": refused,
        "done": done.get(one.code),
        "by_words": _earlier(one, done.get(one.code)),
        "not_hers": not one.suits(has),
        "before": [s for s in hers if s.code in one.after and s.code not in done],
        "proves": [undone for undone in left if undone.thing.what.casefold() in proves],
        "proves_kinds": [kinds[code].what for code in one.proves],
        "opens": [kinds[code] for code in one.opens],
        "fittings": [fitting for code in one.opens for fitting, _ in opened_by(code)],
        "reading": quantity(one.reading) if one.reading else None,
        "read_at": read_at(one.code),
        "learns": one.watch_learner and who(request).learner,
        "next": next((s for s in hers if s.code not in done), None),
    }
    return answer(request, "step.html", context, status)
