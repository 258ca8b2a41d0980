"""Haul-out: who comes out when, on the tide and before the frost."""

from dataclasses import dataclass, replace
from datetime import date

from django import forms
from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.calc.counting import count
from yardwright.fleet import queries as fleet
from yardwright.papers.day_sheet import Column, Section
from yardwright.papers.day_sheet import Kind as Holds
from yardwright.season.haul_out import Order, order
from yardwright.web.fall import on_paper, seasons_boats
from yardwright.work import exchange
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard.asked import WRONG
from yardwright.yard.forms.fields import YardForm
from yardwright.yard.models import Lift
from yardwright.yard.refused import Refused

DAYS = 60


class FrostForm(YardForm):
    """By when, and with which lift."""

    frost = forms.DateField(
        label="Frost is expected on",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="Empty: not known. The frost sum tells it from your station's table.",
    )
    lift = forms.ChoiceField(label="Which lift")

    def __init__(self, *args: object, **kwargs: object) -> None:
        super().__init__(*args, **kwargs)  # type: ignore[arg-type]  # Django's own
        lifts = [(lift.name, lift.name) for lift in Lift.objects.all()]
        self.fields["lift"].choices = lifts  # type: ignore[attr-defined]  # a choice field


@dataclass(frozen=True, slots=True)
class Answer:
    order: Order | None
    frost: date | None
    no: str = ""

    @property
    def sentence(self) -> str:
        if self.order is None:
            return self.no
        out, left = len(self.order.turns), len(self.order.left)
        if not out and not left:
            return "No boat is afloat that is to come out."
        boats = f"{count(out, 'boat comes', 'boats come')} out in order"
        late = sum("frost is expected" in " ".join(turn.because) for turn in self.order.turns)
        after = f", {late} after frost is expected" if late else ""
        no_turn = f" {left} {'has' if left == 1 else 'have'} no turn." if left else ""
        return f"{boats}{after}.{no_turn}"


def _answer(form: FrostForm) -> Answer:
    bound = form.is_bound and form.is_valid()
    frost = form.cleaned_data["frost"] if bound else None
    lifts = yard.lifts()
    lift = form.cleaned_data["lift"] if bound else (lifts[0].name if lifts else "")
    try:
        season = replace(
            exchange.yard_and_water(),
            lifts=lifts,
            places=yard.places(),
            limits=fleet.limits(),
            boats=seasons_boats(),
        )
        return Answer(order(season, clock.now(), DAYS, frost, lift), frost)
    except (Refused, ValueError) as wrong:
        return Answer(None, frost, str(wrong))


def _form(request: HttpRequest) -> FrostForm:
    return FrostForm(request.GET if "lift" in request.GET else None)


@login_required
@require_GET
def haul_out(request: HttpRequest) -> HttpResponse:
    form = _form(request)
    answer = _answer(form)
    status = WRONG if form.is_bound and not form.is_valid() else 200
    return render(request, "haul_out.html", {"form": form, "answer": answer}, status=status)


@login_required
@require_GET
def haul_out_paper(request: HttpRequest) -> HttpResponse:
    answer = _answer(_form(request))
    columns = (
        Column("", Holds.TICK),
        Column("day"),
        Column("from"),
        Column("until"),
        Column("boat", Holds.NAME, 1.3),
        Column("will stand", wide=1.3),
        Column("why then", wide=2.4),
        Column("out at, by", Holds.WRITE, 1),
    )
    turns = answer.order.turns if answer.order else ()
    rows = tuple(
        (
            f"{t.starts:%a} {t.starts.day} {t.starts:%b}",
            f"{t.starts:%H:%M}",
            f"{t.ends:%H:%M}",
            t.boat.name,
            t.place,
            "; ".join(t.because),
        )
        for t in turns
    )
    left = answer.order.left if answer.order else ()
    sections = (
        Section("In this order", "innermost first", columns, rows, empty="Nobody."),
        Section(
            "No turn",
            "",
            (Column("boat", Holds.NAME, 1), Column("why", wide=3)),
            tuple((boat.name, why) for boat, why in left),
            empty="Nobody.",
        ),
    )
    return on_paper(request, "Haul-out", answer.sentence, sections, reverse("haul-out"))
