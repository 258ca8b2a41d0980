"""Tag cards: one for a boat, or all of the yard's."""

from collections.abc import Iterable
from functools import partial

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.papers.tag_card import TagCard, tag_cards
from yardwright.yard import clock
from yardwright.yard.asked import REFUSES, as_pdf


@login_required
@require_GET
def tag_paper(request: HttpRequest, tag: str) -> HttpResponse:
    return _cards(request, [boat_of(tag)])


@login_required
@require_GET
def tags_paper(request: HttpRequest) -> HttpResponse:
    boats = list(Boat.objects.all())
    if not boats:
        return HttpResponse("There is no boat yet.", status=REFUSES, content_type="text/plain")
    return _cards(request, boats)


def _cards(request: HttpRequest, boats: Iterable[Boat]) -> HttpResponse:
    cards = [
        TagCard(one.name, one.tag, request.build_absolute_uri(reverse("at-hand", args=[one.tag])))
        for one in boats
    ]
    return as_pdf(request, partial(tag_cards, clock.the_yard().name, cards, clock.today()), "tags")
