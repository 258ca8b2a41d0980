"""A note on a boat: what no other form asks for."""

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.urls import reverse

from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.work import put_backs, services
from yardwright.work.forms.notes import NoteForm
from yardwright.work.put_backs import Left
from yardwright.yard.asked import Context, answered, back_or, form_page, typed, who


def things_of(boat: Boat, left: list[Left]) -> list[str]:
    """What a note may be about: what is left undone, then her ways in."""
    return [one.thing.what for one in left] + [way.name for way in boat.ways_in.all()]


@login_required
@form_page
def note(request: HttpRequest, tag: str) -> HttpResponse:
    boat, by = boat_of(tag), who(request)
    form = NoteForm(things_of(boat, put_backs.left_undone(boat)), typed(request))
    then = reverse("boat", args=[boat.tag])

    def deed() -> str:
        given = form.cleaned_data
        services.note(form.entry(by), boat, given["words"], given["about"])
        return back_or(request, given["uuid"], f"{then}#notes")["Location"]

    context: Context = {"title": f"A note on {boat.name}", "does": "Write it down"}
    return answered(request, form, deed, then, context)
