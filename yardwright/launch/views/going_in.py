"""A boat on her way to the water: moved, in the slings, looked at, handed over; her Lift Card."""

from uuid import uuid4

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.launch import on_her_way, services
from yardwright.launch.forms import GoingInForm, MoveForm, StandsForm
from yardwright.papers.lift_card import lift_card as printed
from yardwright.papers.paper import MissingLetterError
from yardwright.procedures.going_in import BILGE_DRY, BILGE_PUMP, State
from yardwright.work.facts import Entry
from yardwright.work.queries import Where
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, WRONG, form_page, is_fragment, who
from yardwright.yard.forms.paper import PaperForm
from yardwright.yard.models import Place
from yardwright.yard.refused import Refused


@login_required
@form_page
def going_in(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    if request.method == "GET":
        return _going_in(request, boat)
    form = GoingInForm(request.POST)
    if not form.is_valid():
        return _going_in(request, boat, form, status=WRONG)
    try:
        _deed(Entry(form.cleaned_data["uuid"], who(request), clock.now()), boat, form)
    except Refused as refused:
        return _going_in(request, boat, form, str(refused), REFUSES)
    return _going_in(request, boat) if is_fragment(request) else redirect("going-in", tag=tag)


def _deed(entry: Entry, boat: Boat, form: GoingInForm) -> None:
    typed = form.cleaned_data
    match typed["deed"]:
        case GoingInForm.OUT:
            where = typed["place"], typed["berth"]
            services.blocked_up(
                entry, boat, typed["lift"], typed["angle_deg"], typed["wind"], *where
            )
        case GoingInForm.READY:
            services.ready(entry, boat)
        case GoingInForm.INTO:
            services.into_slings(entry, boat, typed["lift"], typed["angle_deg"], typed["wind"])
        case GoingInForm.OFF:
            services.slings_off(entry, boat)
        case GoingInForm.BACK:
            services.lift_back(entry, boat)
        case GoingInForm.OVER:
            services.hand_over(entry, boat)
        case _:
            services.look(entry, boat, typed["at_what"], holds=typed["holds"], words=typed["words"])


def _going_in(
    request: HttpRequest,
    boat: Boat,
    form: GoingInForm | None = None,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    going = on_her_way.going(boat, clock.now())
    context = {
        "boat": boat,
        "going": going,
        "form": form,
        "new_uuid": uuid4,  # called anew for each form on the page
        "refused": refused,
        "BILGE_DRY": BILGE_DRY,
        "BILGE_PUMP": BILGE_PUMP,
        "places": Place.objects.all(),
    }
    page = "_going_in.html" if is_fragment(request) else "going_in.html"
    return render(request, page, context, status=status)


@login_required
@form_page
def move(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    if request.method == "GET":
        return _move(request, boat, None)
    form = MoveForm(request.POST)
    if not form.is_valid():
        return _move(request, boat, form, status=WRONG)
    typed, entry = form.cleaned_data, Entry(form.cleaned_data["uuid"], who(request), clock.now())
    state, place, berth = State(typed["state"]), typed["place"], typed["berth"]
    try:
        if place and state == on_her_way.where(boat).state:
            services.move(entry, boat, place, berth)
        else:
            services.set_state(entry, boat, state, place, berth)
    except Refused as refused:
        return _move(request, boat, form, str(refused), REFUSES)
    return redirect("going-in", tag=tag)


def _move(
    request: HttpRequest, boat: Boat, form: MoveForm | None, refused: str = "", status: int = 200
) -> HttpResponse:
    here = on_her_way.where(boat)
    form = form or MoveForm(initial={"state": here.state} | _brought_to(request, here))
    context = {"boat": boat, "here": here, "form": form, "refused": refused}
    return render(request, "move.html", context, status=status)


def _brought_to(request: HttpRequest, here: Where) -> dict[str, object]:
    """The place and berth that the address names, if it names one of the yard's; else hers."""
    asked = StandsForm(request.GET)
    if asked.is_valid() and asked.cleaned_data["place"]:
        return asked.cleaned_data
    return {"place": here.place, "berth": here.berth}


@login_required
@require_GET
def lift_card(request: HttpRequest, tag: str) -> HttpResponse:
    boat, form = boat_of(tag), PaperForm(request.GET)
    if not form.is_valid():
        return HttpResponse(form.errors["paper"].as_text(), status=WRONG, content_type="text/plain")
    address = request.build_absolute_uri(reverse("at-hand", args=[boat.tag]))
    try:
        pdf = printed(on_her_way.lift_card(boat, address), form.cleaned_data["paper"])
    except (Refused, MissingLetterError) as refused:
        return HttpResponse(str(refused), status=REFUSES, content_type="text/plain")
    name = f'inline; filename="lift-card-{boat.tag}.pdf"'
    return HttpResponse(pdf, content_type="application/pdf", headers={"Content-Disposition": name})
