"""Today's boats: what a phone takes along before it leaves the office, and their sheet on paper."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from django.contrib.auth.decorators import login_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_GET

from yardwright.fleet import queries as fleet
from yardwright.fleet.models import Boat, Visit
from yardwright.launch import queries as launch
from yardwright.papers.day_sheet import Column, DaySheet, Section
from yardwright.papers.day_sheet import Kind as Holds
from yardwright.procedures.put_backs import Harm
from yardwright.procedures.quantities import quantity
from yardwright.procedures.steps import steps_for
from yardwright.season.day import does_or_watches, on
from yardwright.season.published import Published, week_of
from yardwright.web.at_hand import Standing, edition, standing, yard_wide
from yardwright.work import put_backs
from yardwright.work import queries as work
from yardwright.work.models import Fact, Kind
from yardwright.work.parts import awaited
from yardwright.work.queries import Written
from yardwright.work.views.steps import has_of, order_of
from yardwright.yard import clock
from yardwright.yard import queries as yard
from yardwright.yard.asked import printed, who
from yardwright.yard.models import Instrument, Person

SOON_DAYS, SHEET_DAYS = 3, 2
ROWS_TO_SPARE = 2
MOST_BOATS, NAMED = 60, 5  # on one phone; of those left off, so many are named
PUT_BACKS = (
    Column("", Holds.TICK),
    Column("left undone", Holds.NAME, 1.8),
    Column("where it lies", wide=1.6),
    Column("proof", wide=1),
    Column("value, unit", Holds.WRITE, 0.9),
    Column("who", Holds.WRITE, 0.7),
    Column("time", Holds.WRITE, 0.6),
)
READINGS = (
    Column("reading", Holds.NAME, 1.5),
    Column("asked for by", wide=1.5),
    Column("value, unit", Holds.WRITE, 1.2),
    Column("instrument", Holds.WRITE, 1),
    Column("who", Holds.WRITE, 0.7),
    Column("time", Holds.WRITE, 0.6),
)
NOT_FOR_STANDING = (Kind.DONE,)  # half of all facts, and no part of how she stands
NO_ONE_GOES = "No boat goes in soon, and none was told a day soon."


@dataclass(frozen=True, slots=True)
class Today:
    """A boat as a phone takes her along."""

    row: Boat
    facts: list[Fact]
    stands: Standing
    goes_in: datetime | None  # None: not in the plan, or not soon

    @property
    def readings(self) -> list[tuple[str, str]]:
        """What is still to be read on her, and the step that asks for it."""
        done = work.steps_done(self.facts)
        hers = steps_for(has_of(self.row), order_of(self.facts)[0])
        return [
            (quantity(step.reading).name, step.title)
            for step in hers
            if step.reading and step.code not in done
        ]


def todays(days: int = SOON_DAYS, without: Iterable[Kind] = ()) -> list[Today]:
    """Those that go in within some days by the plan that holds, or told in Ink; the first first."""
    return _each(going_in(days, launch.plan_of(work.last_published())), without)


def going_in(days: int, plan: Published | None) -> list[tuple[Boat, datetime | None]]:
    """Each with when she goes in; None: told in Ink, not in the plan."""
    today = clock.today()
    until = today + timedelta(days=days)
    planned = week_of(plan.plan, today, days) if plan else set[str]()
    told = {name for name, day in launch.inks().items() if today <= day < until}
    goes = {go.boat: go.starts for go in plan.plan.launches} if plan else {}
    rows = fleet.boats().filter(name__in=planned | told)
    return sorted(((row, goes.get(row.name)) for row in rows), key=_first_to_go)


def _first_to_go(one: tuple[Boat, datetime | None]) -> tuple[bool, float, str]:
    row, at = one
    return at is None, at.timestamp() if at else 0.0, row.name


def _each(
    going: Sequence[tuple[Boat, datetime | None]], without: Iterable[Kind] = ()
) -> list[Today]:
    facts, now = work.story([row for row, _ in going], without), clock.now()
    return [Today(row, facts[row.pk], standing(row, facts[row.pk], now), at) for row, at in going]


@dataclass(frozen=True, slots=True)
class Along:
    """What a phone takes along: its person's work today, what goes in soon, their own boats."""

    work: list[Boat]  # that is on no other list
    soon: list[tuple[Boat, datetime | None]]
    own: list[Visit]  # starred or opened lately, of other boats
    starred: frozenset[int]

    @property
    def left_off(self) -> list[str]:
        """Beyond what a phone takes, the names."""
        soon = [*self.work, *(row for row, _ in self.soon)]
        names = [row.name for row in soon] + [one.boat.name for one in self.own]
        return names[MOST_BOATS:]

    @property
    def left_off_words(self) -> str:
        if not self.left_off:
            return ""
        some = ", ".join(self.left_off[:NAMED])
        more = f" and {len(self.left_off) - NAMED} more" if len(self.left_off) > NAMED else ""
        return f"A phone takes {MOST_BOATS} boats along. Left off: {some}{more}. Take a star off one you don't need."

    def boats(self) -> list[tuple[Boat, datetime | None]]:
        """Those that fit."""
        rows = fleet.boats().in_bulk([one.boat_id for one in self.own])
        own = [(rows[one.boat_id], None) for one in self.own]
        return [*((row, None) for row in self.work), *self.soon, *own][:MOST_BOATS]


def along(by: Person) -> Along:
    plan = launch.plan_of(work.last_published())
    soon = going_in(SOON_DAYS, plan)
    names, visits = {row.pk for row, _ in soon}, fleet.hers(by, clock.now())
    at_work = [row for row in _at_work(by, plan) if row.pk not in names]
    names |= {row.pk for row in at_work}
    return Along(
        at_work,
        soon,
        [one for one in visits if one.boat_id not in names],
        frozenset(one.boat_id for one in visits if one.starred),
    )


def _at_work(by: Person, plan: Published | None) -> list[Boat]:
    """The boats that somebody works on today by the plan, or watches at."""
    if plan is None:
        return []
    stints = on(plan.plan, clock.today(), {by.name: yard.person(by)}, clock.zone())
    names = {one.job.boat for one in does_or_watches(stints, by.name)}
    return list(fleet.boats().filter(name__in=names)) if names else []


def _sentence(boats: list[Today]) -> str:
    if not boats:
        return NO_ONE_GOES
    undone = sum(len(one.stands.undone) for one in boats)
    one = len(boats) == 1
    things = (
        f"{undone} thing{' is' if undone == 1 else 's are'}"
        if undone
        else "nothing written down is"
    )
    left = f"{things} left undone on {'her' if one else 'them'}"
    return f"{len(boats)} boat{' goes' if one else 's go'} in soon; {left}."


@login_required
@require_GET
def phone(request: HttpRequest) -> HttpResponse:
    takes = along(who(request))
    boats = _each(takes.soon, without=NOT_FOR_STANDING)
    context = {
        "boats": boats,
        "sentence": _sentence(boats),
        "along": takes,
        "broken": launch.plan_broken(),
    }
    return render(request, "phone.html", context)


@login_required
@require_GET
def today_list(request: HttpRequest) -> JsonResponse:
    """What a phone asks to know which of its copies are old."""
    by, around = who(request), yard_wide(fleet.limits(), list(Instrument.objects.all()))
    takes = along(by)
    boats = takes.boats()
    written = work.written(row for row, _ in boats)  # before: what comes meanwhile is fetched
    to_come = awaited(row for row, _ in boats)

    def told(one: Today) -> dict[str, str]:
        row, starred = one.row, one.row.pk in takes.starred
        known = written.get(row.pk, Written())
        return {
            "tag": row.tag,
            "name": row.name,
            "url": reverse("at-hand", args=[row.tag]),
            "edition": edition(
                row, known, by, one.stands, around, to_come[row.pk], starred=starred
            ),
        }

    each = _each(boats, without=NOT_FOR_STANDING)
    return JsonResponse({"boats": [*map(told, each)], "left_off": takes.left_off_words})


@login_required
@require_GET
def today_paper(request: HttpRequest) -> HttpResponse:
    boats = todays(SHEET_DAYS)
    sheet = DaySheet(
        yard=clock.the_yard().name,
        title="Today's boats",
        day=clock.today(),
        say=_sentence(boats),
        sections=tuple(part for one in boats for part in _sections(request, one)),
        address=request.build_absolute_uri(reverse("phone")),
    )
    return printed(request, sheet, "todays-boats")


def _sections(request: HttpRequest, one: Today) -> Iterator[Section]:
    """Her put-backs and her readings, with room to write; the time written counts when typed in."""
    stands = one.stands
    where = ", ".join(filter(None, (stands.boat.place, _berth(stands), _goes(one.goes_in))))
    yield Section(
        f"{one.row.name} · {one.row.tag}",
        f"{where}. {stands.floats.answer}.",
        PUT_BACKS,
        tuple(map(_row, stands.undone)),
        empty="Nothing is left undone on her.",
        address=request.build_absolute_uri(reverse("at-hand", args=[one.row.tag])),
    )
    spare = (("", ""),) * ROWS_TO_SPARE
    yield Section(f"{one.row.name}: readings", "", READINGS, (*one.readings, *spare))


def _berth(stands: Standing) -> str:
    return f"berth {stands.boat.berth}" if stands.boat.berth else ""


def _goes(at: datetime | None) -> str:
    return f"goes in {_day(at)} {at:%H:%M}" if at else "not in the plan"


def _day(when: date) -> str:
    return f"{when:%a} {when.day} {when:%b}"


def _row(left: put_backs.Left) -> tuple[str, str, str]:
    thing = left.thing
    second = ", then a second pair of eyes" if thing.second else ""
    sinks = " (could sink her)" if thing.harm == Harm.SINKS else ""
    return f"{thing.what}{sinks}", thing.lies or "nobody wrote where", f"{thing.proof}{second}"
