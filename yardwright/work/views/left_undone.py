"""What is left undone, on one boat or in the whole yard, and putting one thing back."""

from collections import Counter
from collections.abc import Sequence
from functools import partial
from urllib.parse import urlencode
from uuid import UUID

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.papers.day_sheet import PUT_BACKS, DaySheet, Section, day_sheet
from yardwright.papers.paper import Paper
from yardwright.procedures.put_backs import Before, Harm, Proof
from yardwright.procedures.step import Has
from yardwright.season.model import Right
from yardwright.work import photos, put_backs, services
from yardwright.work.forms.left_undone import FoundForm, LeftForm, UndoneForm
from yardwright.work.models import Fact, Kind
from yardwright.work.put_backs import Left, LeftLine
from yardwright.yard import clock
from yardwright.yard.asked import (
    REFUSES,
    WRONG,
    Context,
    answer,
    answered,
    as_pdf,
    back_or,
    form_page,
    is_fragment,
    typed,
    who,
)
from yardwright.yard.models import Person
from yardwright.yard.refused import Refused
from yardwright.yard.rights import may

A_PAGE = 60
DEED = {Before.START: "a start", Before.WATER: "the water", Before.HANDOVER: "handover"}
BUTTON = {
    Proof.LOOKED: "Looked: it is back",
    Proof.FELT: "Felt it: it holds",
    Proof.MEASURED: "Measured it: it is right",
    Proof.RUN: "Ran it: it works",
}


@login_required
@require_GET
def left_undone(request: HttpRequest) -> HttpResponse:
    form = LeftForm(request.GET)
    form.is_valid()
    chosen, by = form.cleaned_data.get("harm", ""), form.cleaned_data.get("by") or "boat"
    everything = put_backs.left_lines()
    shown = [one for one in everything if not chosen or one.harm == chosen]
    page = form.cleaned_data.get("page") or 1
    first = (page - 1) * A_PAGE
    of_boat = _by_boat(shown)
    many = len(of_boat) if by == "boat" else len(shown)
    if by == "boat":
        rows: Sequence[object] = _boats(of_boat[first : first + A_PAGE])
    else:
        rows = put_backs.lefts(one.uuid for one in shown[first : first + A_PAGE])
    context = {
        "total": len(everything),
        "sinks": _could_sink(everything),
        "boats": len({one.boat_id for one in everything}),
        "by": by,
        "chosen": chosen,
        "harms": _harms(everything, by, chosen),
        "other_way": _link("thing" if by == "boat" else "boat", chosen),
        "rows": rows,
        "before": _link(by, chosen, page - 1) if page > 1 else "",
        "after": _link(by, chosen, page + 1) if many > first + A_PAGE else "",
    }
    return render(request, "left_undone.html", context)


def _by_boat(lines: Sequence[LeftLine]) -> list[list[LeftLine]]:
    """Each boat's lines; the boat with the nastiest first."""
    of_boat: dict[int, list[LeftLine]] = {}
    for line in lines:  # nastiest first already
        of_boat.setdefault(line.boat_id, []).append(line)
    return list(of_boat.values())


def _boats(of_boat: Sequence[Sequence[LeftLine]]) -> list[Context]:
    """Each boat with her three nastiest things."""
    shown = put_backs.lefts(line.uuid for hers in of_boat for line in hers[:3])
    worst = {one.uuid: one for one in shown}
    return [
        {
            "boat": worst[hers[0].uuid].boat,
            "count": len(hers),
            "sinks": _could_sink(hers),
            "worst": [worst[line.uuid] for line in hers[:3]],
        }
        for hers in of_boat
    ]


def _could_sink(lines: Sequence[LeftLine]) -> int:
    return sum(line.harm == Harm.SINKS for line in lines)


def _sinks(things: Sequence[Left]) -> int:
    return sum(one.thing.harm == Harm.SINKS for one in things)


def _harms(lines: Sequence[LeftLine], by: str, chosen: str) -> list[Context]:
    count = Counter(line.harm for line in lines)
    return [
        {"harm": harm, "count": count[harm], "link": _link(by, harm), "here": harm == chosen}
        for harm in Harm
        if count[harm]
    ]


def _link(by: str, harm: str, page: int = 1) -> str:
    query = {"by": by, "harm": harm, "page": str(page) if page > 1 else ""}
    return f"{reverse('left-undone')}?{urlencode({k: v for k, v in query.items() if v})}"


@login_required
@require_GET
def boat_left_undone(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    written = boat.facts.count()  # before: what comes meanwhile is told
    things = put_backs.left_undone(boat)
    seen, notes = photos.seen(boat, things)
    context = {
        "boat": boat,
        "at_her": fleet.at_her(boat, who(request), clock.now()),
        "written": written,
        "things": seen,
        "notes": notes,
        "deeds": _deeds(things),
        "say": _say(things),
    }
    return render(request, "boat_left_undone.html", context)


def _deeds(things: Sequence[Left]) -> list[tuple[str, int]]:
    """How many things hold back a start, the water, handover."""
    count = Counter(deed for one in things for deed in one.holds_back)
    return [(DEED[deed], count[deed]) for deed in Before if count[deed]]


def _say(things: Sequence[Left]) -> str:
    if not things:
        return "Nothing is left undone on her. All is proven back."
    many = "1 thing is" if len(things) == 1 else f"{len(things)} things are"
    sinks = _sinks(things)
    return f"{many} left undone; {f'{sinks} could' if sinks else 'none of them can'} sink her."


@login_required
@require_GET
def boat_left_undone_paper(request: HttpRequest, tag: str) -> HttpResponse:
    boat = boat_of(tag)
    address = request.build_absolute_uri(reverse("at-hand", args=[boat.tag]))
    prints = partial(paper, boat, put_backs.left_undone(boat), address)
    return as_pdf(request, prints, f"left-undone-{boat.tag}")


def paper(boat: Boat, things: Sequence[Left], address: str, on: Paper) -> bytes:
    """The paper twin of her list."""
    deeds = ", ".join(f"{count} before {deed}" for deed, count in _deeds(things))
    rows = tuple(map(_row, things))
    section = Section("Nastiest first", deeds, columns=PUT_BACKS, rows=rows)
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title=f"Left undone on {boat.name}",
        day=clock.today(),
        say=_say(things),
        sections=(section,),
        address=address,
    )
    return day_sheet(sheet, on)


def _row(one: Left) -> tuple[str, str, str, str]:
    thing = one.thing
    second = ", then a second pair of eyes" if thing.second else ""
    lies = thing.lies or "nobody wrote where"
    return thing.what, lies, thing.if_forgotten, f"{thing.proof}{second}"


@login_required
@form_page
def found(request: HttpRequest, tag: str) -> HttpResponse:
    """Something that nobody wrote down."""
    boat, by = boat_of(tag), who(request)
    has = frozenset(Has(word) for word in boat.has)
    ways = tuple(boat.ways_in.values_list("name", flat=True))
    form = FoundForm(has, ways, typed(request))
    then = reverse("boat-left-undone", args=[boat.tag])

    def deed() -> str:
        given = form.cleaned_data
        services.find_undone(form.entry(by), boat, form.kind, given["lies"], given["fitting"])
        return back_or(request, given["uuid"], then)["Location"]

    context: Context = {
        "title": f"Found undone on {boat.name}",
        "does": "It stands open: write it down",
        "lead": "Nobody wrote it down, and you see it open, off or missing.",
    }
    return answered(request, form, deed, then, context)


@login_required
@form_page
def undone(request: HttpRequest, pk: UUID) -> HttpResponse:
    facts = Fact.objects.select_related("boat", "by")
    fact = get_object_or_404(facts, pk=pk, kind=Kind.UNDONE)
    if request.method == "GET":
        return _undone(request, fact)
    form = UndoneForm(request.POST)
    if not form.is_valid():
        return _undone(request, fact, form, " ".join(_sentences(form)), WRONG)
    try:
        _deed_at(fact, form, who(request))
    except Refused as refused:
        return _undone(request, fact, form, str(refused), REFUSES)
    if is_fragment(request):
        return _undone(request, fact)
    return back_or(request, form.cleaned_data["uuid"], reverse("undone", args=[pk]))


def _sentences(form: UndoneForm) -> list[str]:
    return [str(says) for errors in form.errors.values() for says in errors]


def _deed_at(fact: Fact, form: UndoneForm, by: Person) -> None:
    given, entry = form.cleaned_data, form.entry(by)
    match given["deed"]:
        case UndoneForm.HOLDS:
            services.put_back(entry, fact, Proof(fact.body["proof"]))
        case UndoneForm.DOES_NOT:
            services.does_not_hold(entry, fact, given["words"])
        case _:
            services.sign_off(entry, fact, given["how"])


def _undone(
    request: HttpRequest,
    fact: Fact,
    form: UndoneForm | None = None,
    refused: str = "",
    status: int = 200,
) -> HttpResponse:
    one, by = put_backs.left(fact), who(request)
    hers = put_backs.left_undone(one.boat)
    place = next((n for n, other in enumerate(hers, 1) if other.uuid == fact.pk), None)
    step = put_backs.proving_step(one.boat, one.thing)
    learns = by.learner and step is not None and step.watch_learner
    context: Context = {
        "one": one,
        "photos": photos.seen(one.boat, [one])[0][0][1],
        "thing": one.thing,
        "boat": one.boat,
        "step": step,
        "button": step.proof_words if step else BUTTON[one.thing.proof],
        "place": place,
        "total": len(hers),
        "next": next((other for other in hers if other.uuid != fact.pk), None),
        "struck": Fact.objects.filter(kind=Kind.STRUCK_OUT, of=fact).first(),
        "mine": one.proven_by(by),
        "learns": learns,
        "may_sign_off": bool(one.thing.fitting) and may(by, Right.CLEAR),
        "fact": fact,
        "form": form or UndoneForm(),
        "fresh": UndoneForm(),
        "refused": refused,
    }
    return answer(request, "undone.html", context, status)
