"""One step done on several boats, as with a trolley of batteries."""

from django.contrib.auth.decorators import login_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from yardwright.procedures.steps import book
from yardwright.work import own_steps, step_services
from yardwright.work.forms.several import SeveralForm
from yardwright.yard.asked import REFUSES, WRONG, form_page, who
from yardwright.yard.refused import Refused


@login_required
@form_page
def step_on_several(request: HttpRequest, code: str) -> HttpResponse:
    step = own_steps.step_of(book(), code)
    if step is None:
        raise Http404(f"No step {code}.")
    boats, by, refused, status = own_steps.to_do_on(step), who(request), "", 200
    form = SeveralForm(step, boats, request.POST or None)
    if not by.learner:
        form.fields.pop("second", None)
    if request.method == "POST":
        status = WRONG
        if form.is_valid():
            done = form.cleaned_data["boats"]
            try:
                step_services.do_on_several(form.entry(by), done, step, form.lies)
            except Refused as refusal:
                refused, status = str(refusal), REFUSES
            else:
                return redirect("step-on-several", code=code)
    context = {
        "step": step,
        "form": form,
        "boats": boats,
        "at_each": [kind.what for kind in form.kinds if kind.barrier],
        "refused": refused,
    }
    return render(request, "step_on_several.html", context, status=status)
