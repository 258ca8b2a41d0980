"""Freeze Tonight and the Winter Round: what frost would find, and the walk that sees to the rest."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from django import forms
from django.contrib.auth.decorators import login_required
from django.db.models import Q
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from yardwright.calc.counting import count
from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat
from yardwright.fleet.views import boat_of
from yardwright.papers.day_sheet import Column, DaySheet, Section
from yardwright.papers.day_sheet import Kind as Holds
from yardwright.procedures.land_check import COVER
from yardwright.procedures.step import Season as StepSeason
from yardwright.procedures.steps import book
from yardwright.season import model as season
from yardwright.season.freeze import (
    FREEZE_POINT,
    HOLDERS,
    Held,
    Night,
    Visit,
    Water,
    reach_min,
    save_order,
    saved_until,
    still_saved,
    strainer_freezes,
    water_in,
)
from yardwright.season.winter_round import (
    BATTERIES_ASHORE,
    UNWRAPPED,
    WRAP_ON,
    Round,
    Stop,
    winter_round,
)
from yardwright.web.at_hand import numbers
from yardwright.work import queries as work
from yardwright.work import services
from yardwright.work.findings import A_WINTER
from yardwright.work.forms.saved import SavedForm
from yardwright.work.models import Fact, Kind
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard.asked import REFUSES, WRONG, printed, who
from yardwright.yard.forms.fields import YardForm
from yardwright.yard.refused import Refused

STANDS = Q(kind__in=(Kind.MOVED, Kind.LIFTED))
SPEAKS = (Kind.UNDONE, Kind.PUT_BACK, Kind.LOOKED)
WATER_C = 5.0  # of water that has stood aboard in late fall
PAIRS, ALONE = "pairs", "alone"
ABOARD = (
    "work alone in the dark: one holds the ladder.",
    "leave a heater alone aboard, least of all where petrol may be.",
)
ON_THE_WALK = ("climb a ladder that nobody holds. Watch your footing.",)
OTHERWISE = "more people, heat, or a call to the owner"  # for what can't be saved before the hour


class NightForm(YardForm):
    """How long until it freezes, and who can work."""

    hours = forms.DecimalField(
        label="Hours until it freezes", min_value=0, max_value=48, decimal_places=1, initial=4
    )
    people = forms.IntegerField(label="People who can work", min_value=1, max_value=50, initial=2)
    goes = forms.ChoiceField(
        label="One goes with another",
        choices=[
            (PAIRS, "in pairs: one works, one holds the ladder"),
            (ALONE, "each alone: by daylight, where no ladder is needed"),
        ],
        required=False,
        initial=PAIRS,
    )
    air_c = forms.DecimalField(
        label="Coldest air tonight, °C", min_value=-60, max_value=-0.1, decimal_places=1, initial=-4
    )

    def clean(self) -> None:
        """Nobody goes alone unless that is asked for; what is not said of it means pairs."""
        self.cleaned_data["goes"] = self.cleaned_data.get("goes") or PAIRS
        if self.cleaned_data["goes"] == PAIRS and self.cleaned_data.get("people") == 1:
            self.add_error(
                "people",
                "One person makes no pair: call a second, or choose each alone, by daylight.",
            )


@dataclass(frozen=True, slots=True)
class Tonight:
    """What the page answers."""

    held: list[Held]
    night: Night
    begins: datetime
    marks: list[tuple[Fact, datetime]]  # what is marked saved, and until when at the latest
    strainer_h: float
    hours: str
    people: int
    in_pairs: bool

    @property
    def party(self) -> str:
        """What a party is called."""
        return "pair" if self.in_pairs else "person"

    @property
    def who(self) -> str:
        """The people, and how they go."""
        people = count(self.people, "person", "people")
        if not self.in_pairs:
            return f"{people}, each alone: by daylight, and where no ladder is needed"
        pairs = "one pair" if self.people < 4 else f"{self.people // 2} pairs"
        odd = ", the odd one with any of them" if self.people % 2 else ""
        return f"{people} in {pairs}{odd}"

    @property
    def not_known(self) -> list[Held]:
        return [one for one in self.held if one.water is Water.NOT_KNOWN]

    @property
    def wet(self) -> list[Held]:
        return [one for one in self.held if one.water is Water.HOLDS]

    @property
    def drained(self) -> list[str]:
        """Boats in which each place is drained."""
        wet = {one.boat.name for one in self.held if one.water is not Water.DRAINED}
        return sorted({one.boat.name for one in self.held} - wet)

    @property
    def sentence(self) -> str:
        wet, unsure = _boats(self.wet), _boats(self.not_known)
        if not self.held:
            return "No boat is in the yard's care, so frost finds nothing of ours."
        if not wet and not unsure:
            return (
                "No boat holds water that we know of; each place is drained, or saved for tonight."
            )
        words = [f"{count(wet, 'boat holds', 'boats hold')} water"] if wet else []
        words += [f"of {count(unsure, 'boat')} it is not known"] if unsure else []
        late = len(self.night.too_late)
        rest = f" {count(late, 'place')} can't be saved before the hour." if late else ""
        return f"{_capital(', and '.join(words))}.{rest}"

    def at(self, minute: int) -> datetime:
        return self.begins + timedelta(minutes=minute)


def _boats(held: list[Held]) -> int:
    return len({one.boat.name for one in held})


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _stories(about: Q) -> Iterator[tuple[season.Boat, list[Fact]]]:
    """Each boat by the facts asked about alone: whole stories of a yard are thousands of rows."""
    rows: list[Boat] = list(fleet.boats())
    facts: dict[int, list[Fact]] = defaultdict(list)
    wanted = work.standing().filter(STANDS | about).order_by("done_at", "received_at")
    for fact in work.with_people(wanted):
        fact.done_at = fact.done_at.astimezone(clock.zone())
        facts[fact.boat_id or 0].append(fact)
    for row in rows:
        yield work.value(row, facts[row.pk]), facts[row.pk]


def _of_water() -> Q:
    """The steps that drain and those that fill, what stands open between, and what was read."""
    steps = [code for one in HOLDERS for code in (*one.drained_by, *one.filled_by)]
    steps += [step.code for step in book().steps if step.refills]
    words = [book().kinds[code].what for holder in HOLDERS for code in holder.open_after]
    drained = Q(kind=Kind.DONE, what__in=steps) | Q(kind__in=SPEAKS, what__in=words)
    read = Q(kind=Kind.READING, what=FREEZE_POINT, done_at__gte=clock.now() - A_WINTER)
    return drained | read | Q(kind__in=(Kind.SAVED, Kind.HOSE_RUN))


def _of_the_round() -> Q:
    steps = [step.code for step in book().steps if step.season == StepSeason.WINTER]
    looks = Q(kind=Kind.LOOKED, what=COVER)
    words = [book().kinds[code].what for code in (BATTERIES_ASHORE, WRAP_ON)]
    said = Q(kind=Kind.DONE, what__in=[*steps, UNWRAPPED]) | Q(kind__in=SPEAKS, what__in=words)
    return said | Q(kind=Kind.DISTURBED) | looks


def _asked(request: HttpRequest) -> NightForm:
    """What is asked of the night; what is not said of it is as usual."""
    usual = {name: field.initial for name, field in NightForm.base_fields.items()}
    said = {name: words for name, words in request.GET.items() if name in usual}
    return NightForm(usual | said) if said else NightForm()


def seasons_boats() -> tuple[season.Boat, ...]:
    """Every boat as far as water, work and places go."""
    return tuple(boat for boat, _ in _stories(_of_water() | Q(kind=Kind.PROMISED)))


def _tonight(form: NightForm) -> Tonight:
    asked = {name: field.initial for name, field in form.fields.items()}
    if form.is_bound and form.is_valid():
        asked = form.cleaned_data
    held, marks, now = list[Held](), list[tuple[Fact, datetime]](), clock.now()
    limits = fleet.limits()
    for boat, facts in _stories(_of_water()):
        hers = _saved(facts, now)
        marks += [(mark, saved_until(mark.done_at)) for mark in hers.values()]
        by = {where: f"{mark.done_at:%H:%M}, {mark.by}" for where, mark in hers.items()}
        held += water_in(boat, by, limits)
    people, in_pairs = int(asked["people"]), asked["goes"] == PAIRS
    parties = people // 2 if in_pairs else people
    night = save_order(held, parties, int(float(asked["hours"]) * 60))
    strainer = strainer_freezes(WATER_C, float(asked["air_c"]))
    hours = f"{float(asked['hours']):g}"
    return Tonight(held, night, now, marks, strainer.tenth_frozen_h, hours, people, in_pairs)


def _saved(facts: list[Fact], now: datetime) -> dict[str, Fact]:
    """The marks of one boat that still count, by place; the newest of each."""
    ran = [fact.done_at for fact in facts if fact.kind == Kind.HOSE_RUN]
    return {
        fact.what: fact
        for fact in facts
        if fact.kind == Kind.SAVED and still_saved(fact.done_at, max(ran, default=None), now)
    }


@login_required
@require_GET
def freeze_tonight(request: HttpRequest) -> HttpResponse:
    form = _asked(request)
    return _freeze_page(request, form, status=WRONG if form.errors else 200)


def _freeze_page(
    request: HttpRequest, form: NightForm, no: str = "", status: int = 200
) -> HttpResponse:
    tonight = _tonight(form)
    visits = [
        (visit, stands(visit.boat), tonight.at(visit.start_min), tonight.at(visit.end_min))
        for visit in tonight.night.visits
    ]
    context = {
        "form": form,
        "tonight": tonight,
        "visits": visits,
        "too_late": [(one, stands(one.boat)) for one in tonight.night.too_late],
        "otherwise": OTHERWISE,
        "cautions": ABOARD,
        "reach_min": reach_min(),
        "water_c": WATER_C,
        "numbers": numbers(),
        "no": no,
    }
    return render(request, "freeze_tonight.html", context, status=status)


@login_required
@require_POST
def saved(request: HttpRequest, tag: str) -> HttpResponse:
    """One place in a boat is marked saved; what can't be is said on the page of all."""
    row, form = boat_of(tag), SavedForm(request.POST)
    if not form.is_valid():
        faults = " ".join(str(words) for field in form.errors.values() for words in field)
        return _freeze_page(request, NightForm(), faults, WRONG)
    try:
        services.save_from_frost(form.entry(who(request)), row, form.cleaned_data["where"])
    except Refused as refused:
        return _freeze_page(request, NightForm(), str(refused), REFUSES)
    return redirect(f"{reverse('freeze-tonight')}#saved")


@login_required
@require_GET
def freeze_paper(request: HttpRequest) -> HttpResponse:
    form = _asked(request)
    if form.errors:
        return _freeze_page(request, form, status=WRONG)
    tonight = _tonight(form)
    columns = (
        Column("", Holds.TICK),
        Column("boat", Holds.NAME, 1.4),
        Column("stands", wide=1),
        Column("where water stands", wide=2),
        Column("why", wide=2),
        Column(tonight.party, Holds.NUMBER),
        Column("from"),
        Column("until"),
        Column("done at, by", Holds.WRITE, 1),
    )
    sections = (
        Section(
            "Save in this order",
            f"{tonight.who}; what each minute saves, most first; not known counts as held;"
            f" {reach_min()} min a boat for the walk and the ladder",
            columns,
            tuple(row for visit in tonight.night.visits for row in _visit_rows(tonight, visit)),
            empty="Nothing that we know of.",
        ),
        Section(
            "Not before the hour",
            OTHERWISE,
            (*columns[1:4], Column("minutes", Holds.NUMBER)),
            tuple(
                (
                    one.boat.name,
                    stands(one.boat),
                    f"{one.water}: {one.holder.what}",
                    f"{one.minutes}",
                )
                for one in tonight.night.too_late
            ),
        ),
    )
    page = reverse("freeze-tonight")
    return on_paper(request, "Freeze Tonight", tonight.sentence, sections, page, ABOARD)


def _visit_rows(tonight: Tonight, visit: Visit) -> Iterator[tuple[str, ...]]:
    """A line for each place, to be ticked; boat, pair and hours once."""
    for first, one in enumerate(visit.places):
        boat = ("", "") if first else (visit.boat.name, stands(visit.boat))
        hours = (f"{tonight.at(visit.start_min):%H:%M}", f"{tonight.at(visit.end_min):%H:%M}")
        goes = ("", "", "") if first else (str(visit.party), *hours)
        yield *boat, f"{one.water}: {one.holder.what}", one.because, *goes


def stands(boat: season.Boat) -> str:
    berth = f", berth {boat.berth}" if boat.berth else ""
    return f"{boat.place}{berth}" if boat.place else "place not known"


def _round() -> Round:
    seen: Mapping[str, dict[str, datetime]] = defaultdict(dict)
    boats = []
    for boat, facts in _stories(_of_the_round()):
        boats.append(boat)
        for code, fact in work.steps_done(facts).items():
            seen[boat.name][code] = fact.done_at
    return winter_round(boats, yard.places(), seen, clock.now())


def _round_sentence(walk: Round) -> str:
    things = sum(len(stop.due) for stop in walk.everything)
    if not things:
        return "Nothing is due on any boat that stands on land."
    boats = {stop.boat.name for stop in (*walk.stops, *walk.shelves, *walk.nowhere)}
    at = [f"on {count(len(boats), 'boat')}"] if boats else []
    if places := len(walk.places):
        at.append(f"at {count(places, 'place')}")
    hours, minutes = divmod(walk.minutes, 60)
    return (
        f"{count(things, 'thing is', 'things are')} due {' and '.join(at)}: "
        f"about {hours} h {minutes:02} min of work, and the walk."
    )


@login_required
@require_GET
def round_page(request: HttpRequest) -> HttpResponse:
    walk = _round()
    context = {"walk": walk, "sentence": _round_sentence(walk), "cautions": ON_THE_WALK}
    return render(request, "winter_round.html", context)


@login_required
@require_GET
def round_paper(request: HttpRequest) -> HttpResponse:
    walk = _round()
    columns = (
        Column("", Holds.TICK),
        Column("boat", Holds.NAME, 1.4),
        Column("stands", wide=1.2),
        Column("see to", wide=3.6),
        Column("last", wide=1.2),
        Column("seen, value, unit", Holds.WRITE, 1.6),
        Column("who", Holds.WRITE, 0.6),
    )
    parts = (
        ("Once for each place", "entered on the page of the boat named", walk.places),
        ("In the order of the walk", "", walk.stops),
        ("Batteries ashore", "read where they lie", walk.shelves),
        ("No berth on file", "not on the walk", walk.nowhere),
    )
    sections = tuple(
        Section(title, note, columns, tuple(_round_rows(stops)))
        for title, note, stops in parts
        if stops
    )
    page = reverse("winter-round")
    return on_paper(request, "Winter Round", _round_sentence(walk), sections, page, ON_THE_WALK)


def _round_rows(stops: tuple[Stop, ...]) -> Iterator[tuple[str, ...]]:
    """A line for each look; one for all of them where all are due for the same reason."""
    for stop in stops:
        if stop.alike:
            titles = "; ".join(one.step.title for one in stop.due)
            yield stop.boat.name, stop.where, f"{len(stop.due)} looks: {titles}", stop.alike
            continue
        for first, one in enumerate(stop.due):
            who = ("", "") if first else (stop.boat.name, stop.where)
            yield *who, one.step.title, one.words


def on_paper(
    request: HttpRequest,
    title: str,
    say: str,
    sections: tuple[Section, ...],
    path: str,
    cautions: tuple[str, ...] = (),
) -> HttpResponse:
    """The paper twin of one of these pages."""
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title=title,
        day=clock.today(),
        say=say,
        sections=sections,
        address=request.build_absolute_uri(path),
        cautions=cautions,
    )
    return printed(request, sheet, path.strip("/"))
