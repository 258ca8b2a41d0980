"""The yard's own pages: a summary, and one form for each thing that the manager settles."""

from zoneinfo import ZoneInfo

from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.decorators import login_required
from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.tides.stations import Station, named, station
from yardwright.yard import clock, queries, services
from yardwright.yard.asked import answered, form_page, typed, who
from yardwright.yard.forms.gear import (
    InstrumentForm,
    LiftForm,
    PlaceForm,
    instrument_initial,
    lift_initial,
    place_initial,
)
from yardwright.yard.forms.people import OwnPasswordForm, PersonForm, person_initial
from yardwright.yard.forms.settings import LooksForm, SettingsForm, looks_initial, settings_initial
from yardwright.yard.forms.water import WaterForm, water_initial
from yardwright.yard.models import Instrument, Lift, Person, Place, Tide, Yard
from yardwright.yard.rights import may
from yardwright.yard.services import MANAGES, LogIn


@login_required
@require_GET
def yard(request: HttpRequest) -> HttpResponse:
    row = clock.the_yard()
    context = {
        "row": row,
        "looks": queries.looks(row),
        "may_settle": may(who(request), MANAGES),
        "station": station(row.station) if row.station else None,
        "tides": Tide.objects.count() if not row.station else 0,
        "lifts": Lift.objects.all(),
        "places": Place.objects.all(),
        "instruments": Instrument.objects.all(),
        "people": Person.objects.filter(works_here=True),
    }
    return render(request, "yard.html", context)


@login_required
@form_page
def settings(request: HttpRequest) -> HttpResponse:
    form = SettingsForm(typed(request), initial=settings_initial(clock.the_yard()))
    return answered(
        request,
        form,
        lambda: services.keep_settings(who(request), form.yard()),
        reverse("yard"),
        {"title": "Season and margins", "does": "This is how we work"},
    )


@login_required
@form_page
def looks(request: HttpRequest) -> HttpResponse:
    form = LooksForm(typed(request), initial=looks_initial(clock.the_yard()))
    return answered(
        request,
        form,
        lambda: services.keep_looks(who(request), form.looks()),
        reverse("yard"),
        {"title": "Looks after boats new in the water", "does": "This is how we look"},
    )


@login_required
@form_page
def water(request: HttpRequest) -> HttpResponse:
    row, asked = clock.the_yard(), request.GET.get("find", "")
    zone = ZoneInfo(row.zone)
    chosen = {"station": request.GET["station"], "table": ""} if "station" in request.GET else {}
    form = WaterForm(zone, typed(request), initial=water_initial(row, zone) | chosen)
    return answered(
        request,
        form,
        lambda: services.keep_water(who(request), form.water(), sill_known=form.sill_known),
        reverse("yard"),
        {"asked": asked, "found": _stations(asked, row)},
        "yard_water.html",
    )


def _stations(asked: str, row: Yard) -> list[tuple[Station, float | None]]:
    """Stations by name, nearest first where the yard's place is known."""
    found = named(asked)
    if row.latitude is None or row.longitude is None:
        return [(one, None) for one in found]
    here = row.latitude, row.longitude
    nearest = sorted(found, key=lambda one: one.distance_km(*here))
    return [(one, one.distance_km(*here)) for one in nearest]


@login_required
@form_page
def lift(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    row = get_object_or_404(Lift, pk=pk) if pk else None
    form = LiftForm(typed(request), initial=lift_initial(row))
    _name_stays(form, row)
    return answered(
        request,
        form,
        lambda: services.keep_lift(who(request), row, form.lift()),
        reverse("yard"),
        {"title": row.name if row else "A new lift", "does": "This is the lift"},
    )


@login_required
@form_page
def place(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    row = get_object_or_404(Place, pk=pk) if pk else None
    form = PlaceForm(typed(request), initial=place_initial(row))
    _name_stays(form, row)
    return answered(
        request,
        form,
        lambda: services.keep_place(who(request), row, form.place()),
        reverse("yard"),
        {"title": row.name if row else "A new place", "does": "This is the place"},
    )


def _name_stays(form: Form, row: object) -> None:
    """Facts speak of lifts and places by name."""
    if row is not None:
        form.fields["name"].disabled = True
        form.fields["name"].help_text = "Stays as it is: what was done speaks of it by this name."


@login_required
@form_page
def instrument(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    row = get_object_or_404(Instrument, pk=pk) if pk else None
    form = InstrumentForm(typed(request), initial=instrument_initial(row))
    return answered(
        request,
        form,
        lambda: services.keep_instrument(who(request), row, form.instrument()),
        reverse("yard"),
        {"title": row.name if row else "A new instrument", "does": "This is the instrument"},
    )


@login_required
@require_GET
def people(request: HttpRequest) -> HttpResponse:
    rows = Person.objects.select_related("user")
    context = {
        "here": [row for row in rows if row.works_here],
        "left": [row for row in rows if not row.works_here],
        "may_settle": may(who(request), MANAGES),
    }
    return render(request, "people.html", context)


@login_required
@form_page
def person(request: HttpRequest, pk: int | None = None) -> HttpResponse:
    row = get_object_or_404(Person, pk=pk) if pk else None
    form = PersonForm(typed(request), initial=person_initial(row))
    return answered(
        request,
        form,
        lambda: _keep_person(who(request), row, form),
        reverse("people"),
        {"title": row.name if row else "Somebody new", "does": "So it is"},
    )


def _keep_person(by: Person, row: Person | None, form: PersonForm) -> None:
    given = form.cleaned_data
    log_in = LogIn(given["log_in"], given["password"]) if given["log_in"] else None
    services.keep_person(by, row, form.person(), log_in, works_here=given["works_here"])


@login_required
@form_page
def own_password(request: HttpRequest) -> HttpResponse:
    user = who(request).user
    assert user is not None  # noqa: S101  # whoever is logged in has one
    form = OwnPasswordForm(user, typed(request))
    return answered(
        request,
        form,
        lambda: update_session_auth_hash(request, form.save()),
        reverse("morning-sheet"),
        {
            "title": "Your password",
            "does": "From now on the new one",
            "lead": "On your other devices you log in anew after this.",
            "typed_anew": "all three are typed anew",
        },
    )
