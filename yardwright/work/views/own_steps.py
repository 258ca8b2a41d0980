"""The yard's steps: read, changed, copied, taken out; one step done on several boats."""

from hashlib import blake2b
from itertools import groupby

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.procedures.step import Step
from yardwright.procedures.steps import Row, book, shipped
from yardwright.work import own_steps, step_services
from yardwright.work.forms.own_steps import OwnStepForm, TakeOutForm, ThingForm, code_for
from yardwright.yard.asked import REFUSES, WRONG, Context, answered, form_page, typed, who
from yardwright.yard.refused import Refused
from yardwright.yard.rights import may
from yardwright.yard.services import MANAGES


@login_required
@require_GET
def own_book(request: HttpRequest) -> HttpResponse:
    """All steps of the year, or those in which some words stand."""
    asked = " ".join(request.GET.get("q", "").split())
    steps = [step for step in book().steps if asked.casefold() in _words(step)]
    left_out = [code for code, row in own_steps.own().items() if row is None]
    context = {
        "asked": asked,
        "many": len(steps),
        "stages": [(stage, [*hers]) for stage, hers in groupby(steps, key=lambda one: one.stage)],
        "own": {step.code for step in steps if own_steps.is_own(step)},
        "left_out": [step for step in shipped().steps if step.code in left_out],
        "things": [kind for code, kind in book().kinds.items() if own_steps.is_own_thing(code)],
        "may_change": may(who(request), MANAGES),
        "amiss": own_steps.amiss(),
    }
    return render(request, "own_book.html", context)


def _words(step: Step) -> str:
    return " ".join((step.title, *step.how, step.why, step.caution)).casefold()


def _step(code: str) -> Step:
    """One of the book; one that was taken out can be taken in again."""
    found = own_steps.step_of(book(), code) or own_steps.step_of(shipped(), code)
    if found is None:
        raise Http404(f"No step {code}.")
    return found


@login_required
@require_GET
def own_step(request: HttpRequest, code: str) -> HttpResponse:
    step, kinds = _step(code), book().kinds
    context = {
        "step": step,
        "is_in": own_steps.step_of(book(), code) is not None,
        "is_own": own_steps.is_own(step),
        "versions": own_steps.history(code),
        "came_with": own_steps.version(code, "book"),
        "opens": [kinds[one].what for one in step.opens],
        "proves": [kinds[one].what for one in step.proves],
        "after": [one.title for one in book().steps if one.code in step.after],
        "may_change": may(who(request), MANAGES),
    }
    return render(request, "own_step.html", context)


@login_required
@form_page
def change_step(request: HttpRequest, code: str) -> HttpResponse:
    named = request.GET.get("version", "")
    base = own_steps.version(code, named) if named else _step(code)
    if base is None:
        raise Http404(f"No such version of {code}.")
    return _change(request, base, code)


@login_required
@form_page
def copy_step(request: HttpRequest, code: str) -> HttpResponse:
    return _change(request, _step(code), "")


def _change(request: HttpRequest, base: Step, code: str) -> HttpResponse:
    """First whom it touches is shown; then the same words are kept."""
    if request.method == "GET":
        return _form(request, base, code, OwnStepForm(book(), base, code))
    form = OwnStepForm(book(), base, code, request.POST)
    if not form.is_valid():
        return _form(request, base, code, form, status=WRONG)
    taken = own_steps.code_of(form.cleaned_data["uuid"])  # a second tap is no second copy
    kept_as = code or taken or code_for(form.cleaned_data["title"], _codes())
    try:
        changed = own_steps.with_change(kept_as, form.row)
        if request.POST.get("keep") == _digest(form):
            fact = step_services.keep_step(
                form.entry(who(request)), kept_as, form.row, form.cleaned_data["reason"]
            )
            return redirect("own-step", code=fact.what)
    except ValueError as error:
        return _form(request, base, code, form, str(error), REFUSES)
    except Refused as refused:
        return _form(request, base, code, form, str(refused), REFUSES)
    before, after = (own_steps.step_of(one, kept_as) for one in (book(), changed))
    touched = [*own_steps.touched(kept_as, before, after)]
    changes = [*own_steps.changes(before, after)] if after else []
    return _form(request, base, code, form, touched=touched, changes=changes, keep=_digest(form))


def _codes() -> set[str]:
    kinds = book().kinds.keys()
    return (
        kinds | {step.code for step in (*book().steps, *shipped().steps)} | own_steps.own().keys()
    )


def _digest(form: OwnStepForm) -> str:
    return blake2b(repr(form.row).encode(), digest_size=8).hexdigest()


def _form(
    request: HttpRequest,
    base: Step,
    code: str,
    form: OwnStepForm,
    refused: str = "",
    status: int = 200,
    **more: object,
) -> HttpResponse:
    context: Context = {
        "step": base,
        "copies": not code,
        "form": form,
        "refused": refused.splitlines(),
        "then": reverse("own-step", args=[base.code]),
        **more,
    }
    return render(request, "change_step.html", context, status=status)


@login_required
@form_page
def new_thing(request: HttpRequest) -> HttpResponse:
    """Something new that can be left undone; then steps are copied that open it and prove it back."""
    form = ThingForm(typed(request))

    def deed() -> None:
        given = form.cleaned_data
        code = own_steps.code_of(given["uuid"]) or code_for(given["what"], _codes())
        step_services.keep_thing(form.entry(who(request)), code, form.row, given["reason"])

    context: Context = {
        "title": "Something new that can be left undone",
        "lead": "Then copy a spring step that proves it back, and after that a fall step that leaves it undone.",
        "does": "Write it down",
    }
    return answered(request, form, deed, reverse("own-book"), context)


@login_required
@form_page
def change_thing(request: HttpRequest, code: str) -> HttpResponse:
    """A thing of the yard's own in other words; what is undone by now keeps its own."""
    row = _thing(code)
    form = ThingForm(typed(request), initial=dict(row))

    def deed() -> None:
        step_services.keep_thing(
            form.entry(who(request)), code, form.row, form.cleaned_data["reason"]
        )

    context: Context = {
        "title": f"Change {row['what']}",
        "lead": "What was left undone under the old words keeps them.",
        "does": "Keep it so",
    }
    return answered(request, form, deed, reverse("own-book"), context)


@login_required
@form_page
def take_out_thing(request: HttpRequest, code: str) -> HttpResponse:
    """No longer offered; first the steps that open it and prove it back let go of it."""
    row, form = _thing(code), TakeOutForm(typed(request))

    def deed() -> None:
        step_services.leave_out_thing(form.entry(who(request)), code, form.cleaned_data["reason"])

    context: Context = {
        "title": f"Offer {row['what']} no more",
        "lead": "What was left undone stays to be proven back, and what was done stays as it was done.",
        "does": "Offer it no more",
    }
    return answered(request, form, deed, reverse("own-book"), context)


def _thing(code: str) -> Row:
    """One of the yard's own; one that is offered no more has its last words."""
    row = own_steps.thing(code)
    if row is None:
        raise Http404(f"No thing of the yard's own called {code}.")
    return row


@login_required
@form_page
def take_out_step(request: HttpRequest, code: str) -> HttpResponse:
    step, form = _step(code), TakeOutForm(request.POST or None)
    refused, status = "", 200
    if request.method == "POST":
        status = WRONG
        if form.is_valid():
            given = form.cleaned_data
            try:
                step_services.keep_step(form.entry(who(request)), code, None, given["reason"])
            except Refused as refusal:
                refused, status = str(refusal), REFUSES
            else:
                return redirect("own-step", code=code)
    context: Context = {
        "step": step,
        "form": form,
        "refused": refused.splitlines(),
        "touched": [*own_steps.touched(code, step, None)],
        "then": reverse("own-step", args=[code]),
    }
    return render(request, "take_out_step.html", context, status=status)
