"""The Under-wrap Card: what is under the wrap, where may I cut, where the wrap goes afterwards."""

from collections.abc import Sequence
from functools import partial

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.papers.day_sheet import Column, DaySheet, Section, day_sheet
from yardwright.papers.day_sheet import Kind as Holds
from yardwright.papers.drawing import Drawing
from yardwright.papers.paper import Paper
from yardwright.papers.under_wrap import SHAPES, Drawn, Hull, sketch
from yardwright.procedures.step import Has
from yardwright.procedures.steps import shipped
from yardwright.procedures.under_wrap import Mark, Zone, cuts_the_wrap
from yardwright.work import photos, queries, services
from yardwright.work.forms.under_wrap import CardReadForm, MarkForm
from yardwright.work.under_wrap import Card, Marked, card_in
from yardwright.yard import clock
from yardwright.yard.asked import (
    Context,
    answered,
    as_pdf,
    back_or,
    form_page,
    typed,
    who,
)

CUTTING = next(step for step in shipped().steps if cuts_the_wrap(step))
DO_NOT = (
    "cut towards the hull or your other hand: hook knife, blade away from both, from inside where"
    " you can get in. Film under tension whips."
)
THINGS = (
    Column("no.", Holds.NAME),
    Column("what", Holds.NAME, 1.6),
    Column("it is", wide=1),
    Column("where on her", wide=1),
    Column("goes afterwards", wide=1.2),
    Column("found", Holds.TICK),
)
TO_WRITE_IN = (("", "", "", "", ""),) * 5


@login_required
@form_page
def under_wrap(request: HttpRequest, tag: str) -> HttpResponse:
    boat, by = boat_of(tag), who(request)
    form = MarkForm(typed(request))

    def deed() -> str:
        fact = services.mark_under_wrap(form.entry(by), boat, form.mark())
        return back_or(request, fact.pk, _here(boat))["Location"]

    return _card(request, boat, form, deed)


@login_required
@form_page
def card_read(request: HttpRequest, tag: str) -> HttpResponse:
    boat, by = boat_of(tag), who(request)
    form = CardReadForm(typed(request))

    def deed() -> str:
        fact = services.read_card(form.entry(by), boat)
        return back_or(request, fact.pk, _here(boat))["Location"]

    return _card(request, boat, form, deed)


def _here(boat: Boat) -> str:
    return reverse("under-wrap", args=[boat.tag])


def _card(
    request: HttpRequest, boat: Boat, form: MarkForm | CardReadForm, deed: object
) -> HttpResponse:
    facts = queries.story([boat])[boat.pk]
    card, seen = card_in(facts), photos.beside(facts)
    marks = form if isinstance(form, MarkForm) else MarkForm()
    context: Context = {
        "boat": boat,
        "card": card,
        "drawing": drawing("under-wrap-sketch", boat, card),
        "cuts": [(one, seen.get(one.fact.pk, [])) for one in card.cuts],
        "others": [(one, seen.get(one.fact.pk, [])) for one in card.others],
        "mine": card.read_by(who(request)),
        "marks": marks,
        "reads": form if isinstance(form, CardReadForm) else CardReadForm(),
        "zones": [(zone.value, zone.middle) for zone in Zone],
        "caution": CUTTING.caution,
        "cutting": CUTTING.code,
        "now": clock.now(),
        "keeps_place": clock.the_yard().photo_place,
    }
    return answered(request, form, deed, _here(boat), context, "under_wrap.html")  # type: ignore[arg-type]


def drawing(ident: str, boat: Boat, card: Card, *, bow_up: bool = True) -> Drawing:
    has = frozenset(boat.has)
    hull = Hull(
        boat.name,
        boat.length_m,
        boat.beam_m,
        pointed_stern=Has.MAST in has,
        outboard=Has.OUTBOARD in has,
    )
    return sketch(ident, hull, [_drawn(one.mark) for one in card.marked], bow_up=bow_up)


def _drawn(mark: Mark) -> Drawn:
    along, across = mark.spot or mark.zone.middle
    words = f"{mark.number}: {mark.what}, {mark.sort}, {mark.zone}"
    return Drawn(mark.number, SHAPES[mark.sort], along, across, words)


@login_required
@require_GET
def under_wrap_paper(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    address = request.build_absolute_uri(_here(boat))
    card = card_in(queries.story([boat])[boat.pk])
    return as_pdf(request, partial(paper, boat, card, address), f"under-wrap-{boat.tag}")


def paper(boat: Boat, card: Card, address: str, on: Paper) -> bytes:
    """The card to hang on her: the sketch, what is numbered, and lines to write more on."""
    seen = drawing("card", boat, card, bow_up=False)
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title=f"Under the wrap: {boat.name}",
        day=clock.today(),
        say=card.not_known or "Read this before the first cut.",
        sections=(
            Section("From above", "bow to the left", drawing=seen, empty=""),
            Section("Cut here", columns=THINGS, rows=_rows(card.cuts), empty=card.not_known),
            Section("Not with the blade", columns=THINGS, rows=(*_rows(card.others), *TO_WRITE_IN)),
        ),
        address=address,
        cautions=(DO_NOT,),
    )
    return day_sheet(sheet, on)


def _rows(marked: Sequence[Marked]) -> tuple[tuple[str, ...], ...]:
    return tuple(
        (
            str(one.mark.number),
            one.mark.what,
            one.mark.sort,
            one.mark.zone,
            one.mark.goes or ("not said" if one.mark.sort.is_counted else "–"),
        )
        for one in marked
    )
