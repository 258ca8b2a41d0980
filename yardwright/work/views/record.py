"""Everything ever written about a boat; one entry, and striking it out."""

from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.core.paginator import Paginator
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.fleet.views import boat_of
from yardwright.work import photos, services, words
from yardwright.work.forms.entry import ReasonForm
from yardwright.work.models import Fact, Kind
from yardwright.yard.asked import REFUSES, WRONG, back_or, form_page, who
from yardwright.yard.refused import Refused

A_PAGE = 100


@login_required
@require_GET
def record(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    page = Paginator(words.record(boat), A_PAGE).get_page(request.GET.get("page"))
    rows = [(fact, words.told(fact), struck) for fact, struck in page]
    return render(request, "record.html", {"boat": boat, "page": page, "rows": rows})


@login_required
@form_page
def fact(request: HttpRequest, pk: UUID) -> HttpResponse:
    one = get_object_or_404(Fact.objects.select_related("boat", "by", "second", "of"), pk=pk)
    if request.method == "GET":
        return _fact(request, one, ReasonForm())
    form = ReasonForm(request.POST)
    if not form.is_valid():
        return _fact(request, one, form, status=WRONG)
    try:
        services.strike_out(form.entry(who(request)), one, form.cleaned_data["reason"])
    except Refused as refused:
        return _fact(request, one, form, str(refused), REFUSES)
    return back_or(request, form.cleaned_data["uuid"], reverse("fact", args=[pk]))


def _fact(
    request: HttpRequest, one: Fact, form: ReasonForm, refused: str = "", status: int = 200
) -> HttpResponse:
    about = Fact.objects.filter(of=one).select_related("by").order_by("done_at", "received_at")
    context = {
        "fact": one,
        "told": words.told(one),
        "of": (one.of, words.told(one.of)) if one.of else None,
        "about": [(other, words.told(other)) for other in about],
        "struck": next((other for other in about if other.kind == Kind.STRUCK_OUT), None),
        "photos": photos.of_entry(one),
        "takes_photos": one.boat is not None and one.kind not in (Kind.PHOTO, Kind.STRUCK_OUT),
        "can_strike": one.kind != Kind.STRUCK_OUT,
        "form": form,
        "refused": refused,
    }
    return render(request, "fact.html", context, status=status)
