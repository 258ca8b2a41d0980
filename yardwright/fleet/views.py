"""A boat's particulars, and boats from a spreadsheet."""

from urllib.parse import urlencode
from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from yardwright.calc.units import units_like
from yardwright.fleet import services
from yardwright.fleet.forms.boats import BoatForm, boat_initial
from yardwright.fleet.forms.sheets import SheetForm, ToldForm
from yardwright.fleet.models import Boat, Import
from yardwright.season.sheet import TEMPLATE, written_bad
from yardwright.season.sheet_columns import MEASURED, BadSheet
from yardwright.yard.asked import REFUSES, WRONG, answered, form_page, typed, who
from yardwright.yard.refused import Refused
from yardwright.yard.rights import may
from yardwright.yard.services import MANAGES

BAD_SHOWN = 200


def boat_of(tag: str) -> Boat:
    """The boat of this address, however its letters are written."""
    return get_object_or_404(Boat.objects.select_related("owner"), tag=tag.upper())


@login_required
@form_page
def new_boat(request: HttpRequest) -> HttpResponse:
    form = BoatForm(typed(request), initial=boat_initial(None))
    return answered(
        request,
        form,
        lambda: reverse(
            "edit-boat", args=[services.keep_boat(who(request), None, form.boat()).tag]
        ),
        reverse("find-boat"),
        {
            "title": "A new boat",
            "does": "Add her",
            "lead": "Only her name must be known. What is not known stays not known.",
        },
    )


@login_required
@form_page
def edit_boat(request: HttpRequest, tag: str) -> HttpResponse:
    row = boat_of(tag)
    form = BoatForm(typed(request), initial=boat_initial(row))
    return answered(
        request,
        form,
        lambda: reverse("boat", args=[services.keep_boat(who(request), row, form.boat()).tag]),
        reverse("boat", args=[row.tag]),
        {"title": f"{row.name}: what she is", "does": "This is what she is", "boat": row},
        "edit_boat.html",
    )


@login_required
@form_page
def import_boats(request: HttpRequest) -> HttpResponse:
    """Send a spreadsheet to be looked at; nothing is a boat yet."""
    form = SheetForm(typed(request), request.FILES or None)

    def look() -> str:
        sent = form.cleaned_data["sheet"]
        uuid = form.cleaned_data["uuid"]
        held = services.look_at_sheet(who(request), uuid, sent.name, sent.read())
        return reverse("look-at-sheet", args=[held.pk])

    earlier = Import.objects.defer("content").select_related("by").exclude(brought_in_at=None)
    return answered(
        request,
        form,
        look,
        reverse("find-boat"),
        {"earlier": earlier, "may_settle": may(who(request), MANAGES)},
        "import_boats.html",
    )


@login_required
@require_GET
def template(_: HttpRequest) -> HttpResponse:
    return _download(TEMPLATE, "boats.csv")


def _download(text: str, name: str) -> HttpResponse:
    response = HttpResponse(text.encode("utf-8-sig"), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


@login_required
@require_GET
def look_at_sheet(request: HttpRequest, uuid: UUID) -> HttpResponse:
    row = get_object_or_404(Import, pk=uuid)
    if row.brought_in_at is not None:
        return _brought(request, row)
    return _preview(request, row, _told(request.GET.dict()))


def _told(given: dict[str, str]) -> dict[str, str]:
    """The unit said for a whole column, where it is one of its kind."""
    kinds = {name: units_like(one.unit) for name, one in MEASURED.items()}
    return {name: given[name] for name, like in kinds.items() if given.get(name) in like}


def _preview(
    request: HttpRequest,
    row: Import,
    told: dict[str, str],
    refused: Refused | None = None,
    status: int = 200,
) -> HttpResponse:
    try:
        sheet = services.sheet_of(row, told)
    except BadSheet as bad:
        return render(request, "sheet.html", {"row": row, "unreadable": bad}, status=WRONG)
    asked = {column.field: column.heading for column in sheet.without_unit}
    asked |= {c.field: c.heading for c in sheet.columns if c.field in told}
    context = {
        "row": row,
        "sheet": sheet,
        "refused": refused,
        "told": told,
        "told_query": urlencode(told),
        "units": ToldForm(asked, initial=told) if asked else None,
        "first": sheet.boats[:5],
        "bad": sheet.bad[:BAD_SHOWN],
        "bad_more": max(0, len(sheet.bad) - BAD_SHOWN),
    }
    return render(request, "sheet.html", context, status=status)


def _brought(
    request: HttpRequest, row: Import, refused: Refused | None = None, status: int = 200
) -> HttpResponse:
    there = Boat.objects.filter(pk__in=row.boats)
    context = {
        "row": row,
        "count": len(row.boats),
        "stay": there[:50] if row.taken_back_at else (),
        "stay_count": there.count() if row.taken_back_at else 0,
        "refused": refused,
    }
    return render(request, "brought_in.html", context, status=status)


@login_required
@require_GET
def bad_rows(request: HttpRequest, uuid: UUID) -> HttpResponse:
    row = get_object_or_404(Import, pk=uuid, brought_in_at=None)
    told = _told(request.GET.dict())
    try:
        sheet = services.sheet_of(row, told)
    except BadSheet:
        return _preview(request, row, told)
    return _download(written_bad(sheet), "rows-to-mend.csv")


@login_required
@require_POST
def bring_in(request: HttpRequest, uuid: UUID) -> HttpResponse:
    row, told = get_object_or_404(Import, pk=uuid), _told(request.POST.dict())
    try:
        services.bring_in(who(request), row, told)
    except BadSheet:
        return _preview(request, row, told)
    except Refused as refused:
        return _preview(request, row, told, refused, REFUSES)
    return redirect("look-at-sheet", uuid)


@login_required
@require_POST
def take_back(request: HttpRequest, uuid: UUID) -> HttpResponse:
    row = get_object_or_404(Import, pk=uuid)
    try:
        services.take_back(who(request), row)
    except Refused as refused:
        if row.brought_in_at is None:
            return _preview(request, row, {}, refused, REFUSES)
        return _brought(request, row, refused, REFUSES)
    return redirect("look-at-sheet", uuid)
