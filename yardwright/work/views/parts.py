"""What is ordered: when it is due, and whether it came."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.fleet.forms.work import PartForm, part_initial
from yardwright.fleet.models import Part
from yardwright.work import part_services as services
from yardwright.work.forms.parts import CameInForm
from yardwright.work.parts import ordered, ordered_one
from yardwright.yard import clock
from yardwright.yard.asked import answered, back, form_page, typed, who


@login_required
@require_GET
def parts(request: HttpRequest) -> HttpResponse:
    rows = ordered(Part.objects.prefetch_related("work_set__boat"))
    rows.sort(key=lambda one: (not one.asked, one.here is not None))
    return render(request, "parts.html", {"parts": rows, "asked": sum(one.asked for one in rows)})


@login_required
@form_page
def part(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    row = get_object_or_404(Part, pk=pk) if pk else None
    zone = clock.zone()
    form = PartForm(zone, typed(request), initial=part_initial(row, zone))
    return answered(
        request,
        form,
        lambda: services.keep_part(
            who(request), row, form.cleaned_data["name"], form.cleaned_data["arrives"]
        ),
        back(request) or reverse("parts"),
        {
            "title": row.name if row else "A new part",
            "lead": f"{row.name}, {ordered_one(row).words}." if row else "",
            "does": "This is when it comes",
        },
    )


@login_required
@form_page
def part_came(request: HttpRequest, pk: int) -> HttpResponse:
    row = get_object_or_404(Part, pk=pk)
    form = CameInForm(typed(request))
    return answered(
        request,
        form,
        lambda: services.it_came(form.entry(who(request)), row),
        back(request) or reverse("parts"),
        {
            "title": f"{row.name}: did it come?",
            "lead": f"{row.name}, {ordered_one(row).words}.",
            "does": "It came",
        },
    )
